//! What an office sets for its reports: its name and logo, the order of the sections, the words, a template of its own.
use super::page::Picture;
use super::thumbnail::Thumbnail;
use super::{Error, Wording, clean};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

const VERSION: i64 = 1;

/// The sections of a report in their usual order.
pub const SECTIONS: [&str; 13] = [
    "glance",
    "findings",
    "equipment",
    "readings",
    "figures",
    "unseen",
    "outside",
    "open",
    "photographs",
    "remarks",
    "cautions",
    "everything",
    "decided",
];

/// The paper that a report is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    #[default]
    Letter,
    A4,
}

/// The settings file as it is written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[expect(dead_code, reason = "it was looked at before the rest")]
    version: i64,
    #[serde(default)]
    name: String,
    #[serde(default)]
    lines: Vec<String>,
    logo: Option<PathBuf>,
    #[serde(default)]
    paper: Paper,
    #[serde(default)]
    order: Vec<String>,
    #[serde(default)]
    remarks: bool,
    template: Option<PathBuf>,
    #[serde(default)]
    wording: toml::Table,
}

/// An office's settings; the default is a report that names no office.
#[derive(Debug, Clone, Default)]
pub struct Office {
    pub name: String,
    /// Address, telephone: whatever stands below the name.
    pub lines: Vec<String>,
    pub logo: Option<Thumbnail>,
    pub paper: Paper,
    first: Vec<String>,
    /// Whether what people said beside the inspection is told.
    pub remarks: bool,
    /// The text of a template for the HTML report, and where it came from.
    pub template: Option<(PathBuf, String)>,
    wording: toml::Table,
}

/// What of an office stands on its reports.
#[derive(Debug, Serialize)]
pub struct Face {
    pub name: String,
    pub lines: Vec<String>,
    pub logo: Option<Picture>,
    pub paper: Paper,
}

impl Office {
    /// Reads a settings file; the files it names lie beside it.
    pub fn load(path: &Path) -> Result<Office, Error> {
        let text = read(path)?;
        let file = parse(path, &text)?;
        if let Some(strange) = file.order.iter().find(|id| !SECTIONS.contains(&id.as_str())) {
            let line = text.lines().position(|l| l.contains(strange.as_str())).map_or(1, |at| at + 1);
            let what = format!("there is no section '{strange}'; there are {}", SECTIONS.join(", "));
            return Err(Error::Office { path: path.to_owned(), line, what });
        }
        let beside = |name: &Path| path.parent().unwrap_or(Path::new("")).join(name);
        let logo = file.logo.map(|name| Thumbnail::logo(&beside(&name))).transpose()?;
        let template = file.template.map(|name| beside(&name));
        let template = template.map(|path| read(&path).map(|text| (path, text))).transpose()?;
        let office = Office {
            name: file.name,
            lines: file.lines,
            logo,
            paper: file.paper,
            first: file.order,
            remarks: file.remarks,
            template,
            wording: file.wording,
        };
        office.wording().map_err(|error| named(path, &text, error))?;
        Ok(office)
    }

    /// The words of the report, the office's own over those that ship.
    pub fn wording(&self) -> Result<Wording, Error> {
        Wording::shipped_with(&self.wording)
    }

    /// Every section: those that the office names first, the others after them, so that none is lost.
    pub fn order(&self) -> Vec<String> {
        let rest = SECTIONS.iter().map(|id| (*id).to_owned()).filter(|id| !self.first.contains(id));
        let mut order: Vec<String> = Vec::new();
        for id in self.first.iter().cloned().chain(rest) {
            if !order.contains(&id) {
                order.push(id);
            }
        }
        order
    }

    /// What stands on the reports.
    pub fn face(&self) -> Face {
        let logo = self.logo.as_ref().map(|logo| Picture {
            file: "logo.jpg".to_owned(),
            alt: format!("Logo of {}", if self.name.is_empty() { "the office".into() } else { clean(&self.name) }),
            width: logo.width,
            height: logo.height,
            jpeg: logo.jpeg.clone(),
        });
        Face { name: clean(&self.name), lines: self.lines.iter().map(|l| clean(l)).collect(), logo, paper: self.paper }
    }
}

fn read(path: &Path) -> Result<String, Error> {
    std::fs::read_to_string(path).map_err(|source| Error::Unreadable { path: path.to_owned(), source })
}

fn parse(path: &Path, text: &str) -> Result<File, Error> {
    let fault = |e: toml::de::Error| Error::Office {
        path: path.to_owned(),
        line: e.span().map_or(1, |span| text[..span.start.min(text.len())].matches('\n').count() + 1),
        what: e.message().to_owned(),
    };
    let table: toml::Table = toml::from_str(text).map_err(fault)?;
    match table.get("version").and_then(toml::Value::as_integer) {
        Some(found) if found > VERSION => Err(Error::Office {
            path: path.to_owned(),
            line: 1,
            what: format!("it has version {found}, and this program knows only up to {VERSION}"),
        }),
        _ => toml::from_str(text).map_err(fault),
    }
}

/// A fault of the wording, told with the file and the line that it came from.
fn named(path: &Path, text: &str, error: Error) -> Error {
    let Error::Wording { source } = error else { return error };
    let what = source.message().to_owned();
    // The message names the key between backticks or quotes; the parsed table has no lines of its own any more.
    let key = what.split(['`', '\'', '"']).nth(1).unwrap_or_default();
    let line = text.lines().position(|l| !key.is_empty() && l.contains(key)).map_or(1, |at| at + 1);
    Error::Office { path: path.to_owned(), line, what }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn office(text: &str) -> Result<Office, Error> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("office.toml");
        std::fs::write(&path, text).unwrap();
        Office::load(&path)
    }

    #[test]
    fn what_the_office_names_comes_first_and_nothing_is_lost() {
        let order = office("version = 1\norder = [\"cautions\", \"glance\"]").unwrap().order();
        assert_eq!(order[..3], ["cautions", "glance", "findings"]);
        assert_eq!(order.len(), SECTIONS.len());
    }

    #[test]
    fn a_slip_is_told_with_its_file_and_line() {
        for (text, line, told) in [
            ("version = 1\norder = [\"glances\"]", 2, "glances"),
            ("version = 1\n\ncolour = \"red\"", 3, "colour"),
            ("version = 1\n[wording.word]\nglanse = \"x\"", 3, "glanse"),
            ("version = 9\nunheard-of = 1", 1, "version 9"),
        ] {
            let error = office(text).unwrap_err();
            assert!(matches!(&error, Error::Office { line: at, .. } if *at == line), "{text}: {error}");
            assert!(error.to_string().contains(told) && error.to_string().contains("office.toml"), "{error}");
        }
    }

    #[test]
    fn an_office_changes_words_one_by_one() {
        let office =
            office("version = 1\n[wording]\ntitle = \"Our look at it\"\n[wording.class.worn]\nlabel = \"Old\"")
                .unwrap();
        let (own, shipped) = (office.wording().unwrap(), Wording::shipped().unwrap());
        assert_eq!((own.title.as_str(), own.class("worn").label.as_str()), ("Our look at it", "Old"));
        assert_eq!(own.class("worn").meaning, shipped.class("worn").meaning);
        assert_eq!(own.words(), shipped.words());
    }
}
