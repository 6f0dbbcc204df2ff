//! What has to be said of the reading of a file, as data: a worker process and the cache of a survey
//! hand it on as it is.

use serde::{Deserialize, Serialize};

/// Something about the reading that the reader of the report has to know.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReadNote {
    /// The name of the file, as it is shown, where several were handed in and the page alone does
    /// not say of which.
    pub file: Option<String>,
    /// What there is to know.
    pub kind: ReadNoteKind,
}

/// Of a page, or of the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum ReadNoteKind {
    /// Of one page.
    Page {
        /// From 1.
        page: u32,
        /// What.
        note: PageNote,
    },
    /// Of the file, or of all files together.
    File(FileNote),
}

/// What there is to know about one page.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PageNote {
    /// A picture of paper, and nothing read it.
    Scan,
    /// Its words are drawn as shapes and were not read.
    Drawn,
    /// Its characters make no words.
    Garbled,
    /// It holds no text.
    Empty,
    /// Its words come from an invisible layer over a picture.
    HiddenLayer,
    /// Its words were read by OCR.
    ByOcr,
    /// A picture in which OCR found no words.
    WithoutWords,
    /// It is damaged, and may hold more than was read.
    Broken,
    /// Reading it took too long and was stopped.
    TooLong,
    /// It holds more characters than any printed page; reading it was stopped.
    TooMuch,
    /// Its end is missing.
    BreaksOff(Torn),
    /// OCR gave it up.
    GivenUp(GaveUp),
    /// A second reading finds more words on it.
    Longer,
    /// Its words come from the second reading, as the first found no usable text.
    SecondUsed,
    /// Two readings of it differ in words that decide.
    Differ(Vec<Counted>),
    /// So many of its characters are not visible on paper and were left out.
    HiddenText(u32),
    /// So many of its characters stand outside of its edges and were left out.
    TextOutside(u32),
    /// Of so many of its characters the file does not tell which they are.
    UnknownCharacters(u32),
    /// The text was cut on it: more characters than are read.
    CharactersLimit {
        /// Characters before the cut.
        read: usize,
        /// The limit.
        most: usize,
    },
    /// A slip of OCR that was corrected.
    Slip {
        /// The line on the page, from 1.
        line: u32,
        /// What OCR read.
        read: String,
        /// What it was taken for.
        taken: String,
    },
    /// Blanks between words that OCR lost and that were put in.
    Blanks(Vec<LostBlanks>),
    /// What a person read on the picture or on the paper.
    ByPerson {
        /// The line on the page, from 1.
        line: u32,
        /// What OCR read.
        read: String,
        /// What the person read; the same where OCR was not sure and right.
        person: String,
    },
}

/// What of a page is damaged or cut short in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Torn {
    /// What it shows: words and shapes.
    Content,
    /// Its picture.
    Picture,
}

/// Why OCR gave a page up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum GaveUp {
    /// It took longer than the limit.
    TooLong {
        /// The limit.
        seconds: u64,
    },
    /// It has more pixels than are read.
    TooLarge,
    /// Its picture breaks off.
    Cut,
    /// Its picture is of a kind that is not known.
    Unknown,
    /// Its picture is damaged.
    Damaged,
}

/// A word that decides, and how often each of two readings has it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Counted {
    /// The word.
    pub word: String,
    /// In the first reading.
    pub first: usize,
    /// In the second.
    pub second: usize,
}

/// Words between which OCR lost blanks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LostBlanks {
    /// The line on the page, from 1.
    pub line: u32,
    /// What OCR read; empty where nothing stood there.
    pub read: String,
}

/// What there is to know about a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FileNote {
    /// A text that is no UTF-8 was read as Windows-1252.
    Windows1252,
    /// Some bytes of a text are no characters.
    BytesLost,
    /// It has more pages than are read.
    PagesLimit {
        /// Pages of the file.
        total: u32,
        /// Pages that were read.
        read: u32,
        /// It is plain text.
        plain: bool,
    },
    /// Its end or some of its pages are missing.
    BreaksOff,
    /// Pages that no engine read.
    PagesUnread {
        /// Their numbers, ascending.
        pages: Vec<u32>,
        /// The reading was stopped for its time; else the reader broke down.
        too_long: bool,
    },
    /// Words that rest on one reading.
    OneReading(OneReading),
    /// Footnotes were put behind the text.
    NotesAtEnd,
    /// Tracked changes: what is deleted was left out, what is inserted was read.
    TrackedChanges {
        /// Pieces deleted.
        deleted: usize,
        /// Pieces inserted.
        inserted: usize,
    },
    /// So many pieces of hidden text were left out.
    HiddenText(usize),
    /// So many comments in the margin were not read.
    Comments(usize),
    /// So many numbers are no text and were worked out from the lists of the file.
    AutomaticNumbers(usize),
    /// Where its pages end is not said; only breaks set by hand were counted.
    PagesByBreaks,
    /// Its text breaks off or is damaged.
    PartDamaged,
    /// It holds more characters than are read.
    CharactersLimit,
    /// The pages were handed in out of order and put in order.
    PutInOrder {
        /// By what.
        by: OrderBy,
        /// The pages, in the order in which they are read.
        pages: Vec<PageOf>,
    },
}

/// Why there is no second reading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OneReading {
    /// It could not follow these pages.
    Of(Vec<u32>),
    /// It was not made.
    NotTried,
    /// It failed on the file.
    Failed,
}

/// What pages are put in order by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OrderBy {
    /// "Page 2 of 3".
    PageNumbers,
    /// The numbers of the clauses.
    ClauseNumbers,
}

/// A page of one of several files.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PageOf {
    /// The name of the file, as it is shown.
    pub file: String,
    /// The page, where the file has several.
    pub page: Option<u32>,
}

impl ReadNote {
    /// Of one page.
    #[must_use]
    pub const fn page_note(page: u32, note: PageNote) -> Self {
        Self {
            file: None,
            kind: ReadNoteKind::Page { page, note },
        }
    }

    /// Of the file.
    #[must_use]
    pub const fn file_note(note: FileNote) -> Self {
        Self {
            file: None,
            kind: ReadNoteKind::File(note),
        }
    }

    /// The page that it speaks of; the first where there are several.
    #[must_use]
    pub fn page(&self) -> Option<u32> {
        match &self.kind {
            ReadNoteKind::Page { page, .. } => Some(*page),
            ReadNoteKind::File(FileNote::PagesUnread { pages, .. }) => pages.first().copied(),
            ReadNoteKind::File(_) => None,
        }
    }

    /// A stable name such as `page-is-scan`, for machines.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match &self.kind {
            ReadNoteKind::Page { note, .. } => note.id(),
            ReadNoteKind::File(note) => note.id(),
        }
    }
}

impl PageNote {
    const fn id(&self) -> &'static str {
        match self {
            Self::Scan => "page-is-scan",
            Self::Drawn => "page-is-drawn",
            Self::Garbled => "page-garbled",
            Self::Empty => "page-empty",
            Self::HiddenLayer => "page-hidden-layer",
            Self::ByOcr => "page-by-ocr",
            Self::WithoutWords => "page-without-words",
            Self::Broken => "page-broken",
            Self::TooLong | Self::TooMuch => "page-cut",
            Self::BreaksOff(_) => "page-breaks-off",
            Self::GivenUp(_) => "page-unread",
            Self::Longer => "page-longer",
            Self::SecondUsed => "second-reading-used",
            Self::Differ(_) => "readings-differ",
            Self::HiddenText(_) => "hidden-text",
            Self::TextOutside(_) => "text-outside",
            Self::UnknownCharacters(_) => "unknown-characters",
            Self::CharactersLimit { .. } => "characters-limit",
            Self::Slip { .. } => "ocr-slip",
            Self::Blanks(_) => "ocr-blanks",
            Self::ByPerson { .. } => "read-by-person",
        }
    }
}

impl FileNote {
    const fn id(&self) -> &'static str {
        match self {
            Self::Windows1252 => "windows-1252",
            Self::BytesLost => "bytes-lost",
            Self::PagesLimit { .. } => "pages-limit",
            Self::BreaksOff => "file-breaks-off",
            Self::PagesUnread { .. } => "page-unread",
            Self::OneReading(_) => "one-reading",
            Self::NotesAtEnd => "notes-at-end",
            Self::TrackedChanges { .. } => "tracked-changes",
            Self::HiddenText(_) => "hidden-text",
            Self::Comments(_) => "comments",
            Self::AutomaticNumbers(_) => "automatic-numbers",
            Self::PagesByBreaks => "pages-by-breaks",
            Self::PartDamaged => "part-damaged",
            Self::CharactersLimit => "characters-limit",
            Self::PutInOrder { .. } => "pages-put-in-order",
        }
    }
}
