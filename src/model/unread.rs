//! What was not read: a type, so that whoever answers has to say what follows from each kind.

use super::{FileNote, PageNote, ReadNote, ReadNoteKind, Text};

/// A page or a piece of a file that was not read, or not whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unread {
    /// Why.
    pub kind: UnreadKind,
    /// The page, where one is known.
    pub page: Option<u32>,
}

/// Why words were not read. Closed, because an answer has to handle each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum UnreadKind {
    /// A picture of paper, and nothing read it.
    Scan,
    /// Words drawn as shapes.
    Drawn,
    /// Characters that make no words.
    Garbled,
    /// A damaged page: it may hold more than was read.
    Broken,
    /// Reading it was stopped, or it breaks off.
    Cut,
    /// A page that reading gave up.
    Failed,
    /// A picture in which no words were found.
    WithoutWords,
    /// A page without any text.
    Empty,
    /// The file has more pages or characters than are read.
    Limit,
    /// The file breaks off.
    File,
    /// Single characters of a text file were lost.
    Bytes,
}

impl UnreadKind {
    /// Every kind.
    pub const ALL: [Self; 11] = [
        Self::Scan,
        Self::Drawn,
        Self::Garbled,
        Self::Broken,
        Self::Cut,
        Self::Failed,
        Self::WithoutWords,
        Self::Empty,
        Self::Limit,
        Self::File,
        Self::Bytes,
    ];
}

impl UnreadKind {
    /// Whether it may hold clauses that nobody has seen, so that nothing that was read is certain.
    /// A page on which nothing stands, a picture without words and a lost character hold no clause
    /// for all that is known, but no silence rests on them either.
    #[must_use]
    pub const fn may_hold_any_clause(self) -> bool {
        match self {
            Self::Scan
            | Self::Drawn
            | Self::Garbled
            | Self::Broken
            | Self::Cut
            | Self::Failed
            | Self::Limit
            | Self::File => true,
            Self::WithoutWords | Self::Empty | Self::Bytes => false,
        }
    }
}

impl ReadNote {
    /// What it says was not read; `None` for one that speaks of words that were read. A new kind of
    /// note has to be decided here.
    #[must_use]
    pub const fn unread(&self) -> Option<UnreadKind> {
        match &self.kind {
            ReadNoteKind::Page { note, .. } => note.unread(),
            ReadNoteKind::File(note) => note.unread(),
        }
    }

    /// Whether it says that words of the letter were not read. A clause on inspectors could stand
    /// there, so nothing that was read is certain.
    #[must_use]
    pub fn loses_text(&self) -> bool {
        self.unread().is_some_and(UnreadKind::may_hold_any_clause)
    }
}

impl PageNote {
    const fn unread(&self) -> Option<UnreadKind> {
        Some(match self {
            Self::Scan => UnreadKind::Scan,
            Self::Drawn => UnreadKind::Drawn,
            Self::Garbled => UnreadKind::Garbled,
            Self::Broken => UnreadKind::Broken,
            Self::TooLong | Self::TooMuch | Self::BreaksOff(_) | Self::Longer => UnreadKind::Cut,
            Self::GivenUp(_) => UnreadKind::Failed,
            Self::WithoutWords => UnreadKind::WithoutWords,
            Self::Empty => UnreadKind::Empty,
            Self::CharactersLimit { .. } => UnreadKind::Limit,
            Self::HiddenLayer
            | Self::ByOcr
            | Self::SecondUsed
            | Self::Differ(_)
            | Self::HiddenText(_)
            | Self::TextOutside(_)
            | Self::UnknownCharacters(_)
            | Self::Slip { .. }
            | Self::Blanks(_)
            | Self::ByPerson { .. } => return None,
        })
    }
}

impl FileNote {
    const fn unread(&self) -> Option<UnreadKind> {
        Some(match self {
            Self::BytesLost => UnreadKind::Bytes,
            Self::PagesLimit { .. } | Self::CharactersLimit => UnreadKind::Limit,
            Self::BreaksOff | Self::PartDamaged => UnreadKind::File,
            Self::PagesUnread { .. } => UnreadKind::Failed,
            Self::Windows1252
            | Self::OneReading(_)
            | Self::NotesAtEnd
            | Self::TrackedChanges { .. }
            | Self::HiddenText(_)
            | Self::Comments(_)
            | Self::AutomaticNumbers(_)
            | Self::PagesByBreaks
            | Self::PutInOrder { .. } => return None,
        })
    }
}

impl Text {
    /// Everything that was not read: what the reader says, and pages on which nothing stands.
    #[must_use]
    pub fn unread(&self) -> Vec<Unread> {
        let mut found: Vec<Unread> = self
            .notes
            .iter()
            .filter_map(|note| {
                Some(Unread {
                    kind: note.unread()?,
                    page: note.page(),
                })
            })
            .collect();
        for (n, source) in self.sources.iter().enumerate() {
            for page in 1..=source.pages {
                let stands = self
                    .anchors
                    .iter()
                    .any(|a| usize::from(a.source) == n && a.page == page);
                let told = found.iter().any(|u| u.page == Some(page));
                let past = found.iter().any(|u| u.kind == UnreadKind::Limit);
                if !stands && !told && !past {
                    found.push(Unread {
                        kind: UnreadKind::Empty,
                        page: Some(page),
                    });
                }
            }
        }
        found
    }
}
