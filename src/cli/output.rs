//! Printing and writing, so that nothing is ever left half done.

use std::fs;
use std::io::{self, IsTerminal, Write};
use std::path::Path;

use anyhow::{Context, bail};

use crate::diag::{Problems, Sources, render};

/// Prints a result. A reader that stopped listening is no error.
pub(super) fn print(text: &str) -> anyhow::Result<()> {
    let mut out = anstream::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(error).context("cannot print the result")
        }
        _ => Ok(()),
    }
}

/// Whether results go to a terminal.
pub(super) fn to_terminal() -> bool {
    io::stdout().is_terminal()
}

/// Columns of the terminal, where results go to one.
pub(super) fn terminal_width() -> Option<usize> {
    terminal_size::terminal_size().map(|(terminal_size::Width(columns), _)| usize::from(columns))
}

/// Prints problems to standard error.
pub(super) fn report(problems: &Problems, sources: &Sources) {
    if !problems.is_empty() {
        anstream::eprint!("{}", render(problems, sources, true));
    }
}

/// Writes a file whole or not at all.
pub(super) fn write(path: &Path, text: &str) -> anyhow::Result<()> {
    staged(path, text)?.persist(path).with_context(|| format!("cannot write {}", path.display()))?;
    Ok(())
}

/// Writes a new file whole or not at all; one that is there, a link too, stays
/// as it is.
pub(super) fn write_new(path: &Path, text: &str) -> anyhow::Result<()> {
    let help = || format!("cannot write {}; name a file that is not there yet", path.display());
    staged(path, text)?.persist_noclobber(path).with_context(help)?;
    Ok(())
}

/// The text in a file of another name beside the one that it is for.
fn staged(path: &Path, text: &str) -> anyhow::Result<tempfile::NamedTempFile> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = || format!("cannot write {}", path.display());
    let mut file = tempfile::NamedTempFile::new_in(folder).with_context(name)?;
    file.write_all(text.as_bytes()).with_context(name)?;
    Ok(file)
}

/// Makes a folder that does not exist yet or is empty.
pub(super) fn fresh_folder(folder: &Path) -> anyhow::Result<()> {
    let filled = folder.read_dir().map(|mut d| d.next().is_some()).unwrap_or(false);
    if filled || folder.is_file() {
        bail!("{} is there already and is not empty; name another folder", folder.display());
    }
    fs::create_dir_all(folder).with_context(|| format!("cannot make the folder {}", folder.display()))
}
