//! Finds the files of a region's layers, reads them and lays them over one
//! another.

use std::path::Path;
use std::sync::Arc;

use toml::de::DeTable;

use crate::diag::{Origin, Problems, Sources, read_file};

use super::draft::Draft;
use super::finish::finish;
use super::layer_file::{LayerFile, read};
use super::walk::suggestion;
use super::{Layer, Region};

/// The id of the region in force where nobody stated the setting: the
/// defaults alone.
pub const UNSTATED: &str = "unstated";

/// Greatest size of a region file, bytes; a greater one is no region file.
const GREATEST_SIZE: u64 = 1 << 18;

const DEFAULTS: &str = "regions/defaults/";
const SETTINGS: &str = "regions/";

/// The region files that come with the binary: path and text.
#[derive(Debug, Clone, Copy)]
pub struct BuiltIn<'a> {
    files: &'a [(&'a str, &'a str)],
}

impl Default for BuiltIn<'static> {
    fn default() -> Self {
        Self::new(crate::built_in::REGION_FILES)
    }
}

impl<'a> BuiltIn<'a> {
    /// The region files of another binary, or of a test.
    pub fn new(files: &'a [(&'a str, &'a str)]) -> Self {
        Self { files }
    }

    /// Path and text of every file of the defaults.
    pub fn defaults(self) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.files.iter().copied().filter(|(path, _)| path.starts_with(DEFAULTS))
    }

    /// Id, path and text of every setting.
    pub fn settings(self) -> impl Iterator<Item = (&'a str, &'a str, &'a str)> {
        self.files.iter().filter_map(|(path, text)| {
            let id = path.strip_prefix(SETTINGS)?.strip_suffix(".toml")?;
            (!id.contains('/')).then_some((id, *path, *text))
        })
    }

    /// The region of `setting` with `local` over it; see [`load`].
    pub fn load(
        self,
        setting: &str,
        local: Option<&Path>,
        sources: &mut Sources,
        problems: &mut Problems,
    ) -> Option<Region> {
        let mut reading = Reading { sources, problems: Problems::new(), layers: Vec::new() };
        for (path, text) in self.defaults() {
            reading.layer(path, text, Layer::Defaults);
        }
        let id = self.setting(setting, &mut reading);
        if let Some(path) = local {
            reading.file(path, Layer::Local);
        }
        let Reading { problems: mut found, layers, .. } = reading;
        let region = id.and_then(|id| {
            let mut draft = Draft::default();
            for layer in &layers {
                draft.lay(layer, &mut found);
            }
            // What a broken file leaves out would be reported twice over.
            if found.any_error() { None } else { finish(&id, draft, &mut found) }
        });
        problems.extend(found);
        region
    }

    /// Reads the setting, if one is stated; its id.
    fn setting(self, setting: &str, reading: &mut Reading<'_>) -> Option<String> {
        if setting == UNSTATED {
            return Some(UNSTATED.to_owned());
        }
        if let Some((id, path, text)) = self.settings().find(|(id, ..)| *id == setting) {
            reading.layer(path, text, Layer::Setting);
            return Some(id.to_owned());
        }
        let path = Path::new(setting);
        if path.extension().is_some_and(|e| e == "toml") {
            reading.file(path, Layer::Setting);
            return Some(path.file_stem()?.to_string_lossy().into_owned());
        }
        let known: Vec<_> = self.settings().map(|(id, ..)| id).collect();
        let help = format!(
            "{}Known: {}; or give the path of a .toml file.",
            suggestion(setting, known.iter().copied()),
            known.join(", ")
        );
        let message = format!("no region is called {setting}");
        reading.problems.error("unknown-region", Origin::whole(setting), message, help);
        None
    }
}

/// The files being read.
struct Reading<'a> {
    sources: &'a mut Sources,
    problems: Problems,
    layers: Vec<LayerFile>,
}

impl Reading<'_> {
    fn layer(&mut self, path: &str, text: &str, layer: Layer) {
        let file: Arc<str> = path.into();
        self.sources.add(file.clone(), text);
        self.layers.push(read(&file, text, layer, &mut self.problems));
    }

    fn file(&mut self, path: &Path, layer: Layer) {
        let name = path.display().to_string();
        let Some(text) = text_of(path, &name, &mut self.problems) else { return };
        self.layer(&name, &text, layer);
    }
}

fn text_of(path: &Path, name: &str, problems: &mut Problems) -> Option<String> {
    let bytes = match read_file(path, GREATEST_SIZE) {
        Ok(bytes) => bytes,
        Err(e) if e.kind() == std::io::ErrorKind::FileTooLarge => {
            let message = format!("more than {GREATEST_SIZE} bytes are too many for a region file");
            problems.error(
                "too-large",
                Origin::whole(name),
                message,
                "A region file is a few pages of TOML.",
            );
            return None;
        }
        Err(e) => {
            let help = "Check the path and that the file may be read.";
            problems.error("cannot-read", Origin::whole(name), format!("cannot be read: {e}"), help);
            return None;
        }
    };
    match String::from_utf8(bytes) {
        Ok(text) => Some(text),
        Err(e) => {
            let good = e.as_bytes().get(..e.utf8_error().valid_up_to()).unwrap_or_default();
            let line = good.iter().filter(|b| **b == b'\n').count() + 1;
            let help = "Save the file as UTF-8.";
            problems.error("not-utf-8", Origin::new(name, line, 0), "a letter is not UTF-8", help);
            None
        }
    }
}

/// Id and title of every setting that comes with the binary.
pub fn settings() -> Vec<(String, String)> {
    let title = |text: &str| {
        let (document, _) = DeTable::parse_recoverable(text);
        document.get_ref().get("title").and_then(|t| t.get_ref().as_str().map(str::to_owned))
    };
    BuiltIn::default()
        .settings()
        .map(|(id, _, text)| (id.to_owned(), title(text).unwrap_or_else(|| id.to_owned())))
        .collect()
}

/// The region of `setting` (an id, [`UNSTATED`], or the path of a `.toml`
/// file) with the file `local` laid over it. Every problem of every file is
/// added; `None` where one of them is an error, because half of an
/// authority's code is worse than none.
///
/// ```
/// use forebore::diag::{Problems, Sources};
/// use forebore::region::{self, Layer};
///
/// let (mut sources, mut problems) = (Sources::new(), Problems::new());
/// let region = region::load("limestone", None, &mut sources, &mut problems);
/// let limit = region.and_then(|mut r| r.limits.remove("pit_latrine_stop_m"));
/// assert_eq!(limit.map(|l| l.set_by.layer), Some(Layer::Setting));
/// ```
pub fn load(
    setting: &str,
    local: Option<&Path>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Region> {
    BuiltIn::default().load(setting, local, sources, problems)
}

/// Checks the file `path`: as a local file over the region of `setting`, or,
/// where `setting` is `None`, as a setting of its own. Gives the region it
/// makes, for whoever checks what lies beyond regions (that a rule switched
/// off exists).
pub fn check(
    path: &Path,
    setting: Option<&str>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Region> {
    match setting {
        Some(setting) => load(setting, Some(path), sources, problems),
        None => load(&path.display().to_string(), None, sources, problems),
    }
}
