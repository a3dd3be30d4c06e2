//! The sites of a comparison: surveys, folders of them, and tables of pegs.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::{Arc, Mutex, PoisonError};

use anyhow::{Context, bail};

use crate::diag::{Level, Origin, Problems, Sources, read_file};
use crate::facts::{self, FactSource, Shared, SiteFacts};
use crate::place::distance_m;
use crate::region::{self, Region};
use crate::survey::entry::{self, Setting, WrittenIn};
use crate::survey::{self, RecordKind, Seen, Survey, TableFile, Well, shapes, table};
use crate::tune::Site;

/// One site to be: a survey still to be read, or a peg of a table.
pub(super) enum Item {
    Survey(PathBuf),
    Peg(Box<Well>),
}

impl Item {
    /// The site, or which file cannot be used and why.
    pub fn site(&self, around: Option<&Around<'_>>, settings: &Settings) -> Result<Site, (String, String)> {
        match (self, around) {
            (Item::Survey(path), _) => of_survey(path, settings),
            (Item::Peg(peg), Some(around)) => Ok(around.at(peg)),
            (Item::Peg(peg), None) => Err((peg.from.to_string(), "there is no survey around it".to_owned())),
        }
    }
}

fn of_survey(path: &Path, settings: &Settings) -> Result<Site, (String, String)> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let file = path.display().to_string();
    let Some(survey) = survey::read_survey(path, &mut sources, &mut problems) else {
        let first = problems.iter().find(|p| p.level == Level::Error);
        let why =
            first.map_or_else(|| "it cannot be used".to_owned(), |p| format!("{} ({})", p.message, p.at));
        return Err((file, why));
    };
    let [a, b] = settings.both(&survey).map_err(|why| (file.clone(), why))?;
    let facts = |region: &Arc<Region>| -> Rc<dyn FactSource> {
        Rc::new(SiteFacts::of_survey(&survey, region.clone()))
    };
    let of_a = facts(&a);
    let of_b = if Arc::ptr_eq(&a, &b) { of_a.clone() } else { facts(&b) };
    Ok(Site { name: survey.peg.name.value.clone(), from: file, sides: [(a, of_a), (b, of_b)] })
}

/// The survey around the pegs of a table.
pub(super) struct Around<'a> {
    survey: &'a Survey,
    shared: [Arc<Shared>; 2],
}

impl<'a> Around<'a> {
    pub fn new(survey: &'a Survey, settings: &Settings) -> Result<Self, String> {
        let [a, b] = settings.both(survey)?;
        let shared = |region: &Arc<Region>| Arc::new(Shared::of_survey(survey, region.clone()));
        let of_a = shared(&a);
        let of_b = if Arc::ptr_eq(&a, &b) { of_a.clone() } else { shared(&b) };
        Ok(Self { survey, shared: [of_a, of_b] })
    }

    fn at(&self, peg: &Well) -> Site {
        let mut site = facts::Site::of_survey(self.survey);
        let moved_m = distance_m(site.peg.at.value.at, peg.position.at);
        site.peg.name = Seen::new(peg.name.clone(), peg.from.clone());
        site.peg.at = Seen::new(peg.position.clone(), peg.from.clone());
        site.peg.elevation_m = peg.elevation_m.clone();
        // A circle searched around the survey's peg holds a smaller one
        // around a peg beside it, and none around a far one.
        site.looked_for.retain(|_, radius| {
            radius.value -= moved_m;
            radius.value > 0.0
        });
        let site = Arc::new(site);
        let facts = |shared: &Arc<Shared>| -> Rc<dyn FactSource> {
            Rc::new(SiteFacts::for_peg(shared.clone(), site.clone()))
        };
        let [a, b] = &self.shared;
        let of_a = facts(a);
        let of_b = if Arc::ptr_eq(a, b) { of_a.clone() } else { facts(b) };
        let sides = [(a.region.clone(), of_a), (b.region.clone(), of_b)];
        Site { name: peg.name.clone(), from: peg.from.to_string(), sides }
    }
}

/// A setting and a local file, as the command names them.
type Named<'a> = (&'a Option<String>, &'a Option<PathBuf>);

/// Regions by setting and local file; `None` where one cannot be used.
type Known = BTreeMap<(String, Option<PathBuf>), Option<Arc<Region>>>;

/// The region with as few virtual bores as a comparison draws at each site.
fn drawn_less(region: Region) -> Arc<Region> {
    Arc::new(region.with_bores_at_most(DRAWN).unwrap_or(region))
}

/// The prior that says how many those are.
const DRAWN: &str = "compare_virtual_bores";

/// The regions of both sides: one for all sites, or that of each survey.
pub(super) struct Settings {
    stated: [Option<Arc<Region>>; 2],
    locals: [Option<PathBuf>; 2],
    /// Each is read once, and not once a survey.
    known: Mutex<Known>,
}

impl Settings {
    /// `None` where a region that the command names cannot be used.
    pub fn load(sides: [Named<'_>; 2], sources: &mut Sources, problems: &mut Problems) -> Option<Self> {
        let mut known = Known::new();
        let mut stated = [None, None];
        for ((setting, local), stated) in sides.into_iter().zip(&mut stated) {
            let name = setting.as_deref().unwrap_or(region::UNSTATED);
            // The same region on both sides is one and the same, so that its
            // facts are worked out once.
            let key = (name.to_owned(), local.clone());
            if !known.contains_key(&key) {
                let region = region::load(name, local.as_deref(), sources, problems)?;
                known.insert(key.clone(), Some(drawn_less(region)));
            }
            if setting.is_some() {
                *stated = known.get(&key).cloned().flatten();
            }
        }
        let locals = sides.map(|(_, local)| local.clone());
        Some(Self { stated, locals, known: Mutex::new(known) })
    }

    /// The region of a side for every site, where the command names one.
    pub fn stated(&self, side: usize) -> Option<&Region> {
        self.stated.get(side)?.as_deref()
    }

    /// How many virtual bores are drawn at a site, by the regions met so far.
    pub fn bores(&self) -> Option<f64> {
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        let drawn = known.values().flatten().filter_map(|r| Some(r.priors.get("virtual_bores")?.value));
        drawn.max_by(f64::total_cmp)
    }

    fn both(&self, survey: &Survey) -> Result<[Arc<Region>; 2], String> {
        let name = survey.region.as_ref().map_or(region::UNSTATED, |r| r.value.as_str());
        let [a, b] = [0, 1].map(|side| {
            if let Some(region) = self.stated.get(side).and_then(Clone::clone) {
                return Some(region);
            }
            let local = self.locals.get(side).and_then(Clone::clone);
            let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
            let read = |(name, local): &(String, Option<PathBuf>)| {
                region::load(name, local.as_deref(), &mut Sources::new(), &mut Problems::new())
                    .map(drawn_less)
            };
            let key = (name.to_owned(), local);
            let region = known.get(&key).cloned().unwrap_or_else(|| read(&key));
            known.insert(key, region.clone());
            region
        });
        a.zip(b).map(|(a, b)| [a, b]).ok_or_else(|| format!("its region {name} cannot be used"))
    }
}

/// So deep are folders of surveys looked into.
const MAX_DEPTH: usize = 6;

/// The longest table of pegs that is read, bytes.
const MAX_TABLE_BYTES: u64 = 256 << 20;

/// The longest survey that is looked at while folders are searched, bytes.
const MAX_SURVEY_BYTES: u64 = 4 << 20;

/// Everything that the paths name, in the order given and, in folders, of
/// their names.
pub(super) fn items(
    paths: &[PathBuf],
    sources: &mut Sources,
    problems: &mut Problems,
) -> anyhow::Result<Vec<Item>> {
    let mut items = Vec::new();
    for path in paths {
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
        if path.is_dir() {
            let before = items.len();
            surveys_in(path, 0, &mut items)?;
            if items.len() == before {
                bail!("there is no survey in {}: no .toml file with a [peg]", path.display());
            }
        } else if matches!(ending.as_str(), "csv" | "tsv" | "txt" | "geojson" | "json") {
            pegs_of(path, ending.ends_with("json"), sources, problems, &mut items)?;
        } else {
            items.push(Item::Survey(path.clone()));
        }
    }
    Ok(items)
}

fn surveys_in(folder: &Path, depth: usize, items: &mut Vec<Item>) -> anyhow::Result<()> {
    let entries = fs::read_dir(folder).with_context(|| format!("cannot read {}", folder.display()))?;
    let mut found = Vec::new();
    for entry in entries {
        let entry = entry.with_context(|| format!("cannot read {}", folder.display()))?;
        found.push((entry.path(), entry.file_type()?));
    }
    found.sort_by(|a, b| a.0.cmp(&b.0));
    for (path, kind) in found {
        if kind.is_dir() && depth < MAX_DEPTH {
            surveys_in(&path, depth + 1, items)?;
        } else if kind.is_file() && path.extension().is_some_and(|e| e == "toml") {
            // Local files and regions lie beside surveys; they have no peg.
            let named = path.file_name().is_some_and(|n| n == "survey.toml");
            let peg = || read_file(&path, MAX_SURVEY_BYTES).is_ok_and(|bytes| has_peg(&bytes));
            if named || peg() {
                items.push(Item::Survey(path));
            }
        }
    }
    Ok(())
}

fn has_peg(bytes: &[u8]) -> bool {
    bytes.split(|b| *b == b'\n').any(|line| line.trim_ascii_start().starts_with(b"[peg]"))
}

/// The pegs of a table or of shapes: names and positions, read as those of
/// wells are.
fn pegs_of(
    path: &Path,
    is_shapes: bool,
    sources: &mut Sources,
    problems: &mut Problems,
    items: &mut Vec<Item>,
) -> anyhow::Result<()> {
    let name: Arc<str> = path.display().to_string().into();
    let bytes = read_file(path, MAX_TABLE_BYTES).with_context(|| format!("cannot read {name}"))?;
    let Some(text) = table::decode(&bytes, &name, problems) else { bail!("{name} is no text") };
    let text: Arc<str> = text.into();
    sources.add(name.clone(), text.clone());
    let file = TableFile::plain(Seen::new(name.to_string(), Origin::whole(name.clone())));
    let read = match is_shapes {
        true => shapes::read_geojson(&text, &name, &file, RecordKind::Well, problems),
        false => table::read_table(&file, &text, &name, RecordKind::Well, problems),
    };
    let setting = Setting { written_in: WrittenIn::File, peg: None, accuracy_m: None, visited: None };
    let pegs = entry::wells(&read.records, setting, problems).used;
    if pegs.is_empty() {
        bail!("there is no peg in {name}: each needs lat and lon, or easting_m, northing_m and zone");
    }
    items.extend(pegs.into_iter().map(|peg| Item::Peg(Box::new(peg))));
    Ok(())
}
