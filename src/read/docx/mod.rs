//! A word processor's file (Office Open XML, ECMA-376) → pages of lines.
//!
//! Such a file is a ZIP archive of XML parts. The numbers of clauses are no text in it; they are
//! worked out from the lists (`numbering`) and styles (`styles`). Where pages end is known only
//! where the program that saved the file has left marks; a line is a paragraph as it stands on its
//! page.

mod body;
mod numbering;
mod styles;
mod xml;

use std::collections::BTreeSet;
use std::io::{Cursor, Read};

use zip::ZipArchive;

use super::page::Page;
use super::plain;
use crate::model::{FileNote, ReadNote};

use body::Met;
use numbering::{Counter, Lists};
use styles::Styles;
use xml::{Node, walk};

/// Bytes of one part, unpacked. The text of a long letter takes one or two million.
const PART: u64 = 24 << 20;

/// Bytes of all parts together, unpacked.
const ALL: u64 = 64 << 20;

/// Characters of all heads and feet of pages.
const ASIDE: usize = 100_000;

/// Parts of a file.
const PARTS: usize = 4000;

/// A file that was read.
#[derive(Debug)]
pub(super) struct Docx {
    pub(super) pages: Vec<Page>,
    pub(super) total: u32,
    pub(super) notes: Vec<ReadNote>,
}

/// Why a file cannot be read.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Refusal {
    /// It is an archive of something else.
    Other,
    /// What is wrong and what to do.
    Says(String),
}

/// The name of the main part.
fn main_part(parts: &mut Parts<'_>) -> Option<String> {
    if parts.archive.len() > PARTS {
        return None;
    }
    let types = parts.take("[Content_Types].xml").ok()?;
    let name = relations(&parts.take("_rels/.rels").unwrap_or_default())
        .into_iter()
        .find(|(kind, _)| kind == "officeDocument")
        .map_or_else(
            || "word/document.xml".to_owned(),
            |(_, target)| target.trim_start_matches('/').to_owned(),
        );
    let known = types.contains("wordprocessingml");
    (known && parts.archive.index_for_name(&name).is_some()).then_some(name)
}

/// Reads the text of a file, no more than `most` characters of it.
pub(super) fn read(bytes: &[u8], most: usize) -> Result<Docx, Refusal> {
    let mut package = Package::open(bytes)?;
    let lists = package
        .first("numbering")
        .map(|p| Lists::read(&p))
        .unwrap_or_default();
    let styles = package
        .first("styles")
        .map(|p| Styles::read(&p))
        .unwrap_or_default();
    let mut counter = Counter::new(&lists);
    let mut write =
        |part: &str, most: usize| body::write(part, &styles, &lists, &mut counter, most);
    let (mut text, mut met) = write(&std::mem::take(&mut package.document), most);
    let mut notes = package.notes_at_end(&mut text, &mut met, most, &mut write);
    let aside = package.aside(&mut write);
    notes.splice(0..0, told(&met));
    // The text is bounded as it is written.
    let mut pages = plain::pages(&text, u32::MAX, usize::MAX).pages;
    if text.trim().is_empty() {
        return Err(Refusal::Says(
            "is a word processor's file without any text; if it holds pictures of pages, save it \
             as PDF"
                .into(),
        ));
    }
    count_lines(&mut pages);
    if let Some(first) = pages.first_mut() {
        first.aside.extend(aside);
    }
    Ok(Docx {
        total: pages.last().map_or(1, |p| p.number),
        pages,
        notes,
    })
}

/// The parts of a file, with the main one and those that it names.
struct Package<'f> {
    parts: Parts<'f>,
    /// The name of the main part.
    main: String,
    /// The main part.
    document: String,
    /// Kind and target of what it names.
    links: Vec<(String, String)>,
}

impl<'f> Package<'f> {
    fn open(bytes: &'f [u8]) -> Result<Self, Refusal> {
        let archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| Refusal::Other)?;
        let mut parts = Parts { archive, left: ALL };
        let main = main_part(&mut parts).ok_or(Refusal::Other)?;
        let document = parts.take(&main).map_err(Refusal::Says)?;
        let mut package = Self {
            parts,
            main,
            document,
            links: Vec::new(),
        };
        let (_, file) = package.place();
        let links = package.beside(&format!("_rels/{file}.rels"));
        package.links = relations(&package.parts.take(&links).unwrap_or_default());
        Ok(package)
    }

    /// The folder of the main part, and its name there.
    fn place(&self) -> (&str, &str) {
        self.main.rsplit_once('/').unwrap_or(("", &self.main))
    }

    /// The part that the main one names so.
    fn beside(&self, target: &str) -> String {
        let (folder, _) = self.place();
        match target.strip_prefix('/') {
            Some(absolute) => absolute.to_owned(),
            None if folder.is_empty() => target.to_owned(),
            None => format!("{folder}/{target}"),
        }
    }

    /// The parts of a kind; a part is named once, however often links lead to it.
    fn named(&self, kind: &str) -> BTreeSet<String> {
        self.links
            .iter()
            .filter(|(k, _)| k == kind)
            .map(|(_, target)| self.beside(target))
            .collect()
    }

    /// The first part of a kind.
    fn first(&mut self, kind: &str) -> Option<String> {
        let name = self.named(kind).into_iter().next()?;
        self.parts.take(&name).ok()
    }

    /// Writes footnotes and endnotes behind the text, and says so.
    fn notes_at_end(
        &mut self,
        text: &mut String,
        met: &mut Met,
        most: usize,
        write: &mut impl FnMut(&str, usize) -> (String, Met),
    ) -> Vec<ReadNote> {
        let mut notes = Vec::new();
        for kind in ["footnotes", "endnotes"] {
            for name in self.named(kind) {
                let Ok(part) = self.parts.take(&name) else {
                    met.damaged = true;
                    continue;
                };
                let (words, more) = write(&part, most.saturating_sub(text.len()));
                met.cut |= more.cut;
                met.damaged |= more.damaged;
                if words.trim().is_empty() {
                    continue;
                }
                text.push_str("\n\n");
                text.push_str(words.trim());
                met.deleted += more.deleted;
                met.inserted += more.inserted;
                notes.push(ReadNote::file_note(FileNote::NotesAtEnd));
            }
        }
        notes
    }

    /// The heads and feet of the pages, each once.
    fn aside(&mut self, write: &mut impl FnMut(&str, usize) -> (String, Met)) -> Vec<String> {
        let mut aside: Vec<String> = Vec::new();
        let mut left = ASIDE;
        for kind in ["header", "footer"] {
            for name in self.named(kind) {
                let Ok(part) = self.parts.take(&name) else {
                    continue;
                };
                let (words, _) = write(&part, left);
                left = left.saturating_sub(words.len());
                let line = words.split_whitespace().collect::<Vec<_>>().join(" ");
                if !line.is_empty() && !aside.contains(&line) {
                    aside.push(line);
                }
            }
        }
        aside
    }
}

/// Lines of a page are counted as they stand on it, blank ones left out.
fn count_lines(pages: &mut [Page]) {
    let (mut page, mut line) = (0, 0);
    for sheet in pages {
        if sheet.number != page {
            (page, line) = (sheet.number, 0);
        }
        for one in &mut sheet.lines {
            line += 1;
            one.number = line;
        }
    }
}

/// What the reader has to know about the reading.
fn told(met: &Met) -> Vec<ReadNote> {
    let mut notes = Vec::new();
    let mut say = |told: bool, note| {
        if told {
            notes.push(ReadNote::file_note(note));
        }
    };
    let (deleted, inserted) = (met.deleted, met.inserted);
    say(
        deleted > 0 || inserted > 0,
        FileNote::TrackedChanges { deleted, inserted },
    );
    say(met.hidden > 0, FileNote::HiddenText(met.hidden));
    say(met.comments > 0, FileNote::Comments(met.comments));
    say(met.numbered > 0, FileNote::AutomaticNumbers(met.numbered));
    say(!met.laid_out, FileNote::PagesByBreaks);
    say(met.damaged, FileNote::PartDamaged);
    say(met.cut, FileNote::CharactersLimit);
    notes
}

/// The links of a part: the last word of their kind, and the target. Links out of the file are
/// left out.
fn relations(part: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    walk(part, &mut |node| {
        if let Node::Open("Relationship", a) = node
            && a.get("TargetMode") != Some("External")
            && let (Some(kind), Some(target)) = (a.get("Type"), a.get("Target"))
        {
            let kind = kind.rsplit('/').next().unwrap_or_default();
            out.push((kind.to_owned(), target.to_owned()));
        }
    });
    out
}

/// The parts of a file.
struct Parts<'f> {
    archive: ZipArchive<Cursor<&'f [u8]>>,
    /// Bytes that may still be unpacked.
    left: u64,
}

impl Parts<'_> {
    /// A part, unpacked; no more than [`PART`] bytes of it, whatever it says of its own size, and
    /// no more than [`ALL`] of all.
    fn take(&mut self, name: &str) -> Result<String, String> {
        let mut bytes = Vec::new();
        let unreadable = || format!("its part {name} cannot be read; save the file as PDF");
        let file = self.archive.by_name(name).map_err(|_| unreadable())?;
        let most = PART.min(self.left);
        file.take(most + 1)
            .read_to_end(&mut bytes)
            .map_err(|_| unreadable())?;
        let read = bytes.len() as u64;
        self.left = self.left.saturating_sub(read);
        if read > most {
            return Err(format!(
                "its part {name} is larger than {} MB, or all parts together are larger than {} MB; a letter is far smaller",
                PART >> 20,
                ALL >> 20
            ));
        }
        Ok(xml::decode(&bytes))
    }
}
