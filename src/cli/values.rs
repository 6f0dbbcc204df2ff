//! Values of options: each error names the accepted values.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use clap::builder::{PathBufValueParser, TypedValueParser};
use jiff::civil::Date;

use crate::answer::Flight;
use crate::model::{Basis, CategoryClass, CertificateFor, Inspection, Kind, Ownership, Ratings};
use crate::report::days;
use crate::report::show::Stage;

/// How the result is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// Text for people
    Terminal,
    /// For programs; see `whomay schema`
    #[value(alias = "jsonl")]
    Json,
    /// To paste into a message or a document
    Markdown,
    /// Rows for a spreadsheet, of a survey
    Csv,
    /// A page in one file: to read in a browser, to print, to pass on
    Html,
    /// A word processor's file: a memo or a draft request
    Docx,
}

impl Format {
    /// The formats of a report: all but rows.
    pub(super) const REPORT: [Self; 4] = [Self::Terminal, Self::Json, Self::Markdown, Self::Html];

    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Terminal => "terminal",
            Self::Json => "json",
            Self::Markdown => "markdown",
            Self::Csv => "csv",
            Self::Html => "html",
            Self::Docx => "docx",
        }
    }
}

/// What reads pictures of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Engine {
    /// The models in this program
    BuiltIn,
    /// The program of this name
    Tesseract,
    /// Nothing; scans are reported as such
    Off,
}

/// What a schema describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Schema {
    /// A report: `read` and `who`
    Report,
    /// A line of a survey
    Survey,
}

/// When to style.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Color {
    /// On a terminal, unless NO_COLOR is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

pub(super) fn date(words: &str) -> Result<Date, String> {
    days::typed(words).ok_or_else(|| format!("expected a day as {}", days::TYPED))
}

/// A file for a drawing, by its ending.
pub(super) fn drawing() -> impl TypedValueParser<Value = PathBuf> {
    PathBufValueParser::new().try_map(drawable)
}

fn drawable(path: PathBuf) -> Result<PathBuf, String> {
    let png = ends_in(&path, "png");
    if ends_in(&path, "svg") || (png && cfg!(feature = "ocr")) {
        return Ok(path);
    }
    Err(match (png, cfg!(feature = "ocr")) {
        (_, true) => "a drawing is written as .svg or .png; name a file that ends so",
        (true, false) => {
            "a .png is drawn only by a program built with the feature «ocr», and this one is not; \
             name a file that ends in .svg"
        }
        (false, false) => "a drawing is written as .svg; name a file that ends so",
    }
    .to_owned())
}

/// Whether a name has this ending, in small letters or capitals.
pub(super) fn ends_in(path: &Path, ending: &str) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case(ending))
}

pub(super) fn holder(words: &str) -> Result<Kind, String> {
    let small = words.to_ascii_lowercase();
    let short = ABBREVIATIONS.iter().find(|(short, _)| *short == small);
    short
        .map(|(_, kind)| *kind)
        .or_else(|| Kind::from_name(&small))
        .filter(|k| Kind::HOLDERS.contains(k) || *k == Kind::Other)
        .ok_or_else(|| {
            let names: Vec<&str> = Kind::HOLDERS.iter().map(|k| k.name()).collect();
            format!(
                "accepted: {}, other; or A&P, IA, CRS, LSRI, LSRM",
                names.join(", ")
            )
        })
}

/// What the trade calls the kinds for short (common practice, no source; the rules have the ratings
/// of § 65.107 in full). An inspection authorization is held by a mechanic with both ratings
/// (§ 65.91(c)(1), from memory).
const ABBREVIATIONS: [(&str, Kind); 8] = [
    ("a&p", Kind::Mechanic),
    ("ap", Kind::Mechanic),
    ("a+p", Kind::Mechanic),
    ("ia", Kind::Mechanic),
    ("a&p/ia", Kind::Mechanic),
    ("crs", Kind::RepairStation),
    ("lsri", Kind::LightSportRepairmanInspection),
    ("lsrm", Kind::LightSportRepairmanMaintenance),
];

/// A holder as typed: the kind, and what the word says beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Holder {
    /// The kind.
    pub(super) kind: Kind,
    /// "IA": the mechanic holds an inspection authorization.
    pub(super) authorized: bool,
}

pub(super) fn holder_as_typed(words: &str) -> Result<Holder, String> {
    Ok(Holder {
        kind: holder(words)?,
        authorized: ["ia", "a&p/ia"].contains(&words.to_ascii_lowercase().as_str()),
    })
}

pub(super) fn owner(words: &str) -> Result<Ownership, String> {
    Ownership::from_name(words).ok_or_else(|| {
        let names: Vec<&str> = Ownership::ALL.iter().map(|o| o.name()).collect();
        format!("accepted: {}", names.join(", "))
    })
}

pub(super) fn category(words: &str) -> Result<CategoryClass, String> {
    CategoryClass::parse(words)
        .filter(|c| c.class.as_deref() != Some(""))
        .ok_or_else(|| {
            format!(
                "accepted: {}; a class may follow, as in airplane/single-engine-land",
                CategoryClass::CATEGORIES.join(", ")
            )
        })
}

pub(super) fn basis(words: &str) -> Result<Basis, String> {
    Basis::parse(words).ok_or_else(|| {
        "accepted: a paragraph of 14 CFR 21.191, a to l, and i1, i2, i3 (amateur-built is g)"
            .to_owned()
    })
}

pub(super) fn ratings(words: &str) -> Result<Ratings, String> {
    let mut ratings = Ratings {
        airframe: false,
        powerplant: false,
    };
    for word in words.split(',') {
        match word.trim() {
            "airframe" => ratings.airframe = true,
            "powerplant" => ratings.powerplant = true,
            _ => return Err("accepted: airframe, powerplant or airframe,powerplant".to_owned()),
        }
    }
    Ok(ratings)
}

pub(super) fn certificate_for(words: &str) -> Result<CertificateFor, String> {
    CertificateFor::from_name(words).ok_or_else(|| "accepted: this, other, none".to_owned())
}

pub(super) fn flight(words: &str) -> Result<Flight, String> {
    Flight::from_name(words).ok_or_else(|| {
        let names: Vec<&str> = Flight::ALL.iter().map(|f| f.name()).collect();
        format!("accepted: {}", names.join(", "))
    })
}

pub(super) fn yes_no(words: &str) -> Result<bool, String> {
    match words {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("accepted: yes, no".to_owned()),
    }
}

pub(super) fn inspection(words: &str) -> Result<Inspection, String> {
    Inspection::from_name(words)
        .filter(|i| matches!(i, Inspection::Yearly | Inspection::HundredHour))
        .ok_or_else(|| "accepted: yearly, 100-hour".to_owned())
}

pub(super) fn stage(words: &str) -> Result<Stage, String> {
    Stage::from_name(words).ok_or_else(|| {
        let names: Vec<&str> = Stage::ALL.iter().map(|s| s.name()).collect();
        format!("accepted: {}", names.join(", "))
    })
}
