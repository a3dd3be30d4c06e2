//! Reading a file that somebody names: no more of it than is asked for, and
//! never one that is no file (a pipe or a device may never end).

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// The bytes of a plain file.
///
/// # Errors
/// When it cannot be opened, is no plain file, or holds more than `most`
/// bytes ([`io::ErrorKind::FileTooLarge`]).
pub fn read_file(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    // Looked at before it is opened: opening a pipe may wait for ever.
    if !std::fs::metadata(path)?.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a plain file"));
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most {
        let message = format!("it is longer than {most} bytes");
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, message));
    }
    Ok(bytes)
}

/// The text of a plain file that is no link: for folders whose files must
/// lie in them.
///
/// # Errors
/// As [`read_file`], and where it is a link or not UTF-8.
pub fn read_own_text(path: &Path, most: u64) -> io::Result<String> {
    if std::fs::symlink_metadata(path)?.is_symlink() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is a link, which is not followed"));
    }
    let bytes = read_file(path, most)?;
    String::from_utf8(bytes).map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is not UTF-8 text"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_is_read_than_asked_for() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        std::fs::write(&path, "12345").unwrap();
        assert_eq!(read_file(&path, 5).unwrap(), b"12345");
        assert_eq!(read_file(&path, 4).unwrap_err().kind(), io::ErrorKind::FileTooLarge);
        assert!(read_file(folder.path(), 4).is_err(), "a folder is no file");
    }

    #[cfg(unix)]
    #[test]
    fn devices_and_links_are_refused() {
        assert!(read_file(Path::new("/dev/zero"), 10).is_err());
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("a.txt"), folder.path().join("b.txt"));
        std::fs::write(&path, "text").unwrap();
        std::os::unix::fs::symlink(&path, &link).unwrap();
        assert_eq!(read_own_text(&path, 10).unwrap(), "text");
        assert!(read_own_text(&link, 10).is_err());
    }
}
