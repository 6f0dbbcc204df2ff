//! What has to be said of the reading of the files, in sentences.

use crate::model::{
    Counted, FileNote, LostBlanks, OneReading, OrderBy, PageNote, PageOf, ReadNote, ReadNoteKind,
    Torn,
};
use crate::read::{BY_OCR_PROGRAM, gave_up};
use crate::report::words;

/// A note on the reading as sentences, with the remedy where there is one.
#[must_use]
pub fn read_note(note: &ReadNote) -> String {
    let said = match &note.kind {
        ReadNoteKind::Page { page, note } => of_page(*page, note),
        ReadNoteKind::File(note) => of_file(note),
    };
    match &note.file {
        Some(file) => format!("{file}: {said}"),
        None => said,
    }
}

fn of_page(page: u32, note: &PageNote) -> String {
    match note {
        PageNote::Scan => format!(
            "Page {page} is a scan, a picture of paper without words in it, and was not read; \
             {BY_OCR_PROGRAM}."
        ),
        PageNote::Drawn => format!(
            "The words of page {page} are drawn as shapes and were not read; print the page to \
             paper or to a picture, and {BY_OCR_PROGRAM}."
        ),
        PageNote::Garbled => format!(
            "What page {page} shows cannot be told from the file: its characters make no English \
             words. Print it to a picture, and {BY_OCR_PROGRAM}."
        ),
        PageNote::Empty => format!("Page {page} holds no text."),
        PageNote::HiddenLayer => format!(
            "Page {page} is a scan; its words come from the invisible layer that an OCR program \
             laid over it. Hold what matters against the picture."
        ),
        PageNote::ByOcr => format!(
            "Page {page} is a picture; its words were read by OCR. Hold the words that matter \
             against the paper."
        ),
        PageNote::WithoutWords => format!(
            "Page {page} is a picture in which OCR found no words. If the paper has words, scan \
             it again at 200 to 300 dots per inch."
        ),
        PageNote::Broken => format!("Page {page} is damaged; it may hold more than was read."),
        PageNote::TooLong => format!(
            "Reading page {page} took too long and was stopped; it may hold more than was read."
        ),
        PageNote::TooMuch => format!(
            "Page {page} holds more characters than any printed page; reading it was stopped."
        ),
        PageNote::BreaksOff(torn) => breaks_off(page, *torn),
        PageNote::GivenUp(why) => gave_up(page, *why),
        PageNote::Longer => longer(page),
        PageNote::SecondUsed => second_used(page),
        PageNote::Differ(words) => differ(page, words),
        PageNote::HiddenText(count) => format!(
            "Page {page} holds {count} characters that are not visible on paper; they were left \
             out."
        ),
        PageNote::TextOutside(count) => format!(
            "Page {page} holds {count} characters outside of its edges; they were left out."
        ),
        PageNote::UnknownCharacters(count) => format!(
            "The file does not tell which {count} characters of page {page} are; words with one \
             of them are doubtful."
        ),
        PageNote::CharactersLimit { read, most } => format!(
            "The text was cut after {read} characters, on page {page}: the limit is {most}. What \
             follows was not read."
        ),
        PageNote::Slip { line, read, taken } => {
            format!("Page {page}, line {line}: OCR read «{read}»; taken for «{taken}».")
        }
        PageNote::Blanks(lost) => blanks(page, lost),
        PageNote::ByPerson { line, read, person } => {
            format!("Page {page}, line {line}: {}.", by_person(read, person))
        }
    }
}

fn breaks_off(page: u32, torn: Torn) -> String {
    let what = match torn {
        Torn::Content => "what it shows",
        Torn::Picture => "its picture",
    };
    format!(
        "Page {page} breaks off: {what} is damaged or cut short in the file, and words are \
         missing. Copy or download the file again, or scan the page again."
    )
}

fn longer(page: u32) -> String {
    format!(
        "A second, independent reading finds more words on page {page} than the first; something \
         may be missing. Hold the words that matter against the paper."
    )
}

fn second_used(page: u32) -> String {
    format!(
        "The first reading found no usable text on page {page}; the words of page {page} come \
         from the second reading, which knows less about where they stand. Hold them against the \
         paper."
    )
}

fn differ(page: u32, words: &[Counted]) -> String {
    let words: Vec<String> = words
        .iter()
        .map(|w| format!("\"{}\" ({} against {})", w.word, w.first, w.second))
        .collect();
    format!(
        "Two independent readings of page {page} differ in words that decide: {}. Hold them \
         against the paper.",
        words.join(", ")
    )
}

fn blanks(page: u32, lost: &[LostBlanks]) -> String {
    let lines: Vec<String> = lost
        .iter()
        .map(|l| match l.read.as_str() {
            "" => format!("line {}", l.line),
            read => format!("line {} «{read}»", l.line),
        })
        .collect();
    format!(
        "Page {page}: OCR lost blanks between words; they were put in: {}.",
        lines.join(", ")
    )
}

fn by_person(read: &str, person: &str) -> String {
    if read == person {
        format!("OCR was not sure of «{read}»; a person looked and read the same")
    } else {
        format!("OCR read «{read}»; a person looked and read «{person}»")
    }
}

fn of_file(note: &FileNote) -> String {
    match note {
        FileNote::Windows1252 => WINDOWS_1252.to_owned(),
        FileNote::BytesLost => BYTES_LOST.to_owned(),
        FileNote::PagesLimit { total, read, plain } => format!(
            "The {} has {total} pages, the first {read} were read: that is the limit.",
            if *plain { "text" } else { "file" }
        ),
        FileNote::BreaksOff => BREAKS_OFF.to_owned(),
        FileNote::PagesUnread { pages, too_long } => pages_unread(pages, *too_long),
        FileNote::OneReading(OneReading::Of(pages)) => format!(
            "The second, independent reading could not follow {}; the words there rest on one \
             reading.",
            listed(pages)
        ),
        FileNote::OneReading(OneReading::NotTried) => NOT_TRIED.to_owned(),
        FileNote::OneReading(OneReading::Failed) => SECOND_FAILED.to_owned(),
        FileNote::NotesAtEnd => NOTES_AT_END.to_owned(),
        FileNote::TrackedChanges { deleted, inserted } => format!(
            "The file holds tracked changes: {deleted} deleted and {inserted} inserted pieces. \
             What is marked as deleted was left out, what is marked as inserted was read. Ask \
             which text was signed."
        ),
        FileNote::HiddenText(pieces) => format!(
            "The file holds hidden text ({pieces} pieces), which nobody sees on paper; it was \
             left out."
        ),
        FileNote::Comments(count) => {
            format!("The file holds {count} comments in the margin; they were not read.")
        }
        FileNote::AutomaticNumbers(count) => format!(
            "{count} numbers are no text in the file; they were worked out from its lists as the \
             word processor does it. Check them against the paper."
        ),
        FileNote::PagesByBreaks => PAGES_BY_BREAKS.to_owned(),
        FileNote::PartDamaged => PART_DAMAGED.to_owned(),
        FileNote::CharactersLimit => CHARACTERS_LIMIT.to_owned(),
        FileNote::PutInOrder { by, pages } => put_in_order(*by, pages),
    }
}

const WINDOWS_1252: &str = "The text is no UTF-8; it was read as Windows-1252. Where signs such as \
    § look wrong, save it as UTF-8.";
const BYTES_LOST: &str =
    "Some bytes of the text are no characters; words with one of them are doubtful.";
const BREAKS_OFF: &str = "The PDF breaks off or is damaged: its end or some of its pages are \
    missing. Copy or download it again.";
const NOT_TRIED: &str =
    "The PDF was read once and in this process: no second, independent reading was made.";
const SECOND_FAILED: &str =
    "The second, independent reading failed on this file; the words rest on one reading.";
const NOTES_AT_END: &str =
    "Footnotes of the file stand at the end of the text, without their marks.";
const PAGES_BY_BREAKS: &str =
    "The file does not say where its pages end; only breaks set by hand were counted.";
const PART_DAMAGED: &str = "The text of the file breaks off or is damaged; what stands before was \
    read. Get the file again.";
const CHARACTERS_LIMIT: &str =
    "The file holds more characters than any letter; what follows the limit was not read.";

fn pages_unread(pages: &[u32], too_long: bool) -> String {
    let why = if too_long {
        "reading took too long and was stopped"
    } else {
        "the reader broke down on the file"
    };
    format!(
        "{} could not be read: {why}. Open the file in a PDF program and print it to a new PDF.",
        words::capital(&listed(pages))
    )
}

fn put_in_order(by: OrderBy, pages: &[PageOf]) -> String {
    let by = match by {
        OrderBy::PageNumbers => "page numbers",
        OrderBy::ClauseNumbers => "clause numbers",
    };
    let names: Vec<String> = pages
        .iter()
        .map(|p| match p.page {
            Some(page) => format!("{} page {page}", p.file),
            None => p.file.clone(),
        })
        .collect();
    format!(
        "The pages were handed in out of order and were put in the order of their {by}: {}.",
        names.join(", ")
    )
}

/// "page 3", "pages 1, 2 and 7".
fn listed(numbers: &[u32]) -> String {
    let all: Vec<String> = numbers.iter().map(u32::to_string).collect();
    let pages = if all.len() == 1 { "page" } else { "pages" };
    format!("{pages} {}", words::list(&all, "and"))
}
