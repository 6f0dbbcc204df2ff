//! Makes the clauses: pieces of text between starts, with levels, parents and ids.

use std::collections::{HashMap, HashSet};

use super::labels::Kind;
use super::marks::{NumberMark, Scene};
use super::paragraphs::{in_capitals, starts_with_label, stops};
use super::sequence::Chosen;
use crate::model::{Clause, Label, Span};
use crate::patterns::numbering::NumberingRole;
use crate::patterns::{ModalRole, TokenKind, WordList};

/// A piece of the text that is a clause of its own.
struct Piece {
    span: Span,
    chosen: Option<Chosen>,
    /// The number as it is printed.
    number: Option<Label>,
    /// End of the number, for the body.
    body: usize,
    item: Option<Label>,
    /// End of the words, without the item.
    words_end: usize,
    heading: bool,
    indent: usize,
}

/// The clauses of a text whose numbers are known. `ends` are tokens at which a clause starts
/// because an item number ends the one before.
pub(super) fn clauses(
    scene: &Scene<'_>,
    marks: &[NumberMark],
    chosen: &[Chosen],
    ends: &[usize],
) -> Vec<Clause> {
    let pieces = pieces(scene, marks, chosen, ends);
    nest(scene, marks, &pieces)
}

/// Where the pieces start: token, and the number there.
fn pieces(
    scene: &Scene<'_>,
    marks: &[NumberMark],
    chosen: &[Chosen],
    ends: &[usize],
) -> Vec<Piece> {
    let tokens = scene.tokens;
    let mut starts: Vec<(usize, Option<Chosen>)> = vec![(0, None)];
    let numbered: HashSet<usize> = chosen.iter().map(|c| marks[c.mark].token).collect();
    // A number alone on its line is the number of what stands on the next one.
    let alone: HashSet<usize> = chosen
        .iter()
        .map(|c| &marks[c.mark])
        .filter(|m| m.head && m.span.end >= scene.lines.all[m.line].span.end)
        .map(|m| m.line + 1)
        .collect();
    let mut token = 0;
    for (n, (line, starts_here)) in scene.lines.all.iter().zip(scene.starts).enumerate() {
        while tokens
            .get(token)
            .is_some_and(|t| t.span.start < line.span.start)
        {
            token += 1;
        }
        // "… of part" over a page break "43. This inspection": no number, so no paragraph.
        let words = line.span.of(scene.text);
        let refused = n > 0
            && starts_with_label(words)
            && !numbered.contains(&token)
            && !scene.headings[n - 1]
            && !stops(scene.lines.all[n - 1].span.of(scene.text));
        if *starts_here && !refused && (!alone.contains(&n) || scene.headings[n]) {
            starts.push((token, None));
        }
    }
    starts.extend(scene.barred.iter().map(|list| {
        let at = tokens.partition_point(|t| t.span.start < list.start);
        (at, None)
    }));
    starts.extend(ends.iter().map(|at| (*at, None)));
    starts.extend(scene.notes().into_iter().map(|at| (at, None)));
    starts.extend(scene.definitions().into_iter().map(|at| (at, None)));
    for c in chosen {
        let mark = &marks[c.mark];
        if mark.titled && c.level > 1 {
            continue;
        }
        let mut at = mark.token;
        if at > 0 && scene.is_bullet(at - 1) {
            at -= 1;
        }
        if !mark.head
            && let Some(heading) = scene.capitals_before(at)
        {
            starts.push((heading, None));
        }
        starts.push((at, Some(*c)));
    }
    // A number wins over a paragraph that starts at the same token.
    starts.sort_by_key(|(at, chosen)| (*at, chosen.is_none()));
    starts.dedup_by_key(|(at, _)| *at);
    starts.retain(|(at, _)| *at < tokens.len());
    let mut made = Vec::with_capacity(starts.len());
    for (n, (first, chosen)) in starts.iter().enumerate() {
        let end = starts.get(n + 1).map_or(tokens.len(), |(at, _)| *at);
        if end <= *first {
            continue;
        }
        made.push(piece(scene, marks, *first, end, *chosen));
    }
    made
}

fn piece(
    scene: &Scene<'_>,
    marks: &[NumberMark],
    first: usize,
    end: usize,
    chosen: Option<Chosen>,
) -> Piece {
    let span = Span::new(
        scene.tokens[first].span.start,
        scene.tokens[end - 1].span.end,
    );
    let line = scene.lines.at(span.start);
    let mut body = span.start;
    let mut number = None;
    if let Some(c) = chosen {
        let mark = &marks[c.mark];
        // The rule of a table behind the number is none of its words.
        let rest = scene.text.get(mark.span.end..span.end).unwrap_or("");
        body = span.end - rest.trim_start_matches([' ', '|', '\t']).len();
        body = body.max(mark.span.end).min(span.end);
        number = Some(Label {
            printed: mark.span.of(scene.text).to_owned(),
            label: label_of(mark, scene.text),
            span: mark.span,
        });
    }
    let item = scene.item(first, end);
    let words_end = item.as_ref().map_or(span.end, |(_, at)| *at);
    let heading = chosen.is_none()
        && item.is_none()
        && (scene.barred.iter().any(|list| list.start == span.start)
            || scene.headings.get(line).copied().unwrap_or(false)
            || looks_like_heading(span.of(scene.text)) && !scene.binds(first, end));
    Piece {
        span,
        chosen,
        number,
        body,
        words_end: words_end.max(body),
        item: item.map(|(label, _)| label),
        heading,
        indent: scene.lines.all.get(line).map_or(0, |l| l.indent),
    }
}

/// The label without its marks; a 1 that was read as a letter is a 1.
fn label_of(mark: &NumberMark, text: &str) -> String {
    match mark.values[0].and_then(super::labels::Value::number) {
        Some(n) => n.to_string(),
        None => mark.label.of(text).to_owned(),
    }
}

/// Words that are no sentence: a heading, a signature, a field of a form.
fn looks_like_heading(words: &str) -> bool {
    let item =
        words.starts_with(|c: char| c.is_lowercase() || matches!(c, '•' | '·' | '▪' | '●' | '*'));
    !words.contains(char::is_alphabetic)
        || (!item && words.len() <= 80 && !stops(words) && words.split_whitespace().count() <= 10)
}

/// Gives the pieces their levels, parents and ids.
fn nest(scene: &Scene<'_>, marks: &[NumberMark], pieces: &[Piece]) -> Vec<Clause> {
    let mut nest = Nest {
        scene,
        marks,
        by_items: by_items(pieces),
        sections: sections(scene, pieces),
        whole_list: is_whole_list(scene, pieces),
        clauses: Vec::with_capacity(pieces.len()),
        open: Vec::new(),
        columns: HashMap::new(),
        counted: None,
        waiting: None,
        lead: None,
        headed: false,
        item_seen: false,
        unfinished: false,
    };
    for (n, piece) in pieces.iter().enumerate() {
        nest.piece(n, piece);
    }
    name(&mut nest.clauses, pieces);
    nest.clauses
}

/// A lettered list of so many full sentences, and no other number beside it, is the letter itself
/// and no list of what an unnumbered paragraph speaks of.
const WHOLE_LIST: usize = 10;

fn is_whole_list(scene: &Scene<'_>, pieces: &[Piece]) -> bool {
    let (mut items, mut first) = (0, None);
    for piece in pieces {
        let Some(chosen) = piece.chosen.filter(|c| c.level == 1) else {
            continue;
        };
        let words = Span::new(piece.span.start, piece.words_end).of(scene.text);
        let label = piece.number.as_ref().map(|n| n.label.as_str());
        let starts_again = items > 0 && label == first;
        if chosen.value.kind == Kind::Arabic || chosen.value.kind.has_parts() || starts_again {
            return false;
        }
        if !stops(words) {
            // A heading, or the name of who signs, whose initial reads as a number.
            continue;
        }
        first = first.or(label);
        items += 1;
    }
    items >= WHOLE_LIST
}

/// The characters of a line up to a byte.
struct Counted {
    line: usize,
    byte: usize,
    characters: usize,
}

/// The clauses made so far, and what the next piece depends on.
struct Nest<'a> {
    scene: &'a Scene<'a>,
    marks: &'a [NumberMark],
    /// The letter names its clauses by item numbers at their ends and by nothing else.
    by_items: bool,
    /// The pieces that are numbered headings of sections.
    sections: HashSet<usize>,
    /// The clauses of the letter are one lettered list, whatever leads in to it.
    whole_list: bool,
    clauses: Vec<Clause>,
    /// The open clause of each level.
    open: Vec<usize>,
    /// The column where the words of a clause start.
    columns: HashMap<usize, usize>,
    /// How far the last of these was counted: a line of many clauses is counted once.
    counted: Option<Counted>,
    /// The paragraph that an item number at the end of a later one will name.
    waiting: Option<usize>,
    /// The unnumbered paragraph that leads in to a list.
    lead: Option<usize>,
    /// Behind a heading a paragraph does not belong to the clause above it.
    headed: bool,
    item_seen: bool,
    /// The last paragraph leads in to what follows it.
    unfinished: bool,
}

impl Nest<'_> {
    fn piece(&mut self, n: usize, piece: &Piece) {
        let at = self.clauses.len();
        let (parent, level) = match piece.chosen {
            Some(chosen) => self.below_numbers(chosen, self.sections.contains(&n)),
            None => self.below_paragraphs(piece),
        };
        let item = self.item(piece, level);
        self.look_at(piece);
        let span = Span::new(piece.span.start, piece.span.end).trimmed(self.scene.text);
        self.clauses.push(Clause {
            id: String::new(),
            number: piece.number.clone(),
            item,
            level: u8::try_from(level).unwrap_or(u8::MAX),
            parent: parent.filter(|p| *p < at),
            span,
            body: Span::new(piece.body, piece.words_end).trimmed(self.scene.text),
            phase: None,
        });
    }

    /// Parent and level of a piece with a number.
    fn below_numbers(&mut self, chosen: Chosen, is_section: bool) -> (Option<usize>, usize) {
        let at = self.clauses.len();
        let shift = usize::from(!self.sections.is_empty() && !is_section);
        let mut depth = chosen.level.saturating_sub(1 + shift);
        let lettered = chosen.value.kind != Kind::Arabic && !chosen.value.kind.has_parts();
        if depth == 0
            && lettered
            && !is_section
            && !self.whole_list
            && let Some(lead) = self.lead
        {
            // A lettered list under an unnumbered paragraph that leads in.
            if self.open.first() != Some(&lead) {
                self.open.clear();
                self.open.push(lead);
            }
            depth = 1;
        } else if self.under_lead() && lettered {
            depth += 1;
        }
        self.open.truncate(depth);
        let parent = if depth == 0 {
            None
        } else {
            self.open.last().copied()
        };
        if !is_section {
            self.open.push(at);
        }
        self.waiting = None;
        self.headed = false;
        (parent, depth + 1)
    }

    /// Parent and level of a piece without a number.
    fn below_paragraphs(&mut self, piece: &Piece) -> (Option<usize>, usize) {
        if piece.heading && !(self.waiting.is_some() && self.unfinished) {
            self.waiting = None;
            self.headed = true;
            return (None, 1);
        }
        if piece.item.is_some() || self.by_items {
            self.open.clear();
            let parent = self.waiting;
            return (parent, usize::from(parent.is_some()) + 1);
        }
        let parent = if self.headed {
            None
        } else {
            owner(&self.open, &self.columns, &self.clauses, piece)
        };
        let level = parent.map_or(1, |p| usize::from(self.clauses[p].level) + 1);
        (parent, level)
    }

    /// Whether the open clauses stand under the paragraph that leads in.
    fn under_lead(&self) -> bool {
        self.lead.is_some() && self.open.first() == self.lead.as_ref()
    }

    /// The item number of a piece, unless it names a clause before it.
    fn item(&mut self, piece: &Piece, level: usize) -> Option<Label> {
        let mut item = piece.item.clone();
        if piece.number.is_none() && !piece.heading {
            if let (Some(first), Some(label)) = (self.waiting, item.as_ref()) {
                // The number stands at the end of the last paragraph, and names the first.
                if let Some(clause) = self.clauses.get_mut(first) {
                    clause.item = Some(label.clone());
                    item = None;
                }
                self.waiting = None;
            } else if self.by_items && item.is_none() && self.waiting.is_none() {
                self.waiting = Some(self.clauses.len());
            }
            self.item_seen |= piece.item.is_some();
            // What stands before the first item belongs to it only where it leads in.
            self.unfinished = self.ends_with(piece, &[':', ';', ',', '—']);
            if !self.item_seen && !self.unfinished {
                self.waiting = None;
            }
        }
        // The same where the last member of a list under a paragraph closes the clause.
        if piece.number.is_some()
            && self.by_items
            && level > 1
            && let Some(first) = self.open.first().and_then(|f| self.clauses.get_mut(*f))
            && first.number.is_none()
            && first.item.is_none()
        {
            first.item = item.take();
        }
        item
    }

    /// Notes where the words of a numbered piece start, and whether another one leads in to a list.
    fn look_at(&mut self, piece: &Piece) {
        let at = self.clauses.len();
        if piece.number.is_none() {
            self.lead = self.ends_with(piece, &[':', '—']).then_some(at);
            return;
        }
        let column = self.column(piece.body);
        self.columns.insert(at, column);
        if let Some(chosen) = piece.chosen
            && !self.under_lead()
            && self.marks[chosen.mark].head
        {
            self.lead = None;
        }
    }

    /// The column of a byte on its line, or of the words behind it.
    fn column(&mut self, byte: usize) -> usize {
        let scene = self.scene;
        let on = scene.lines.at(byte);
        let Some(line) = scene.lines.all.get(on) else {
            return 0;
        };
        let rest = scene.text.get(byte..).unwrap_or("");
        let to = byte + rest.len() - rest.trim_start().len();
        let counted = self
            .counted
            .as_ref()
            .filter(|c| c.line == on && c.byte <= to);
        let (from, before) = counted.map_or((line.span.start, 0), |c| (c.byte, c.characters));
        let characters = before + Span::new(from, to).of(scene.text).chars().count();
        self.counted = Some(Counted {
            line: on,
            byte: to,
            characters,
        });
        characters + line.indent
    }

    /// Whether the words of a piece, without its item number, end with one of these marks.
    fn ends_with(&self, piece: &Piece, marks: &[char]) -> bool {
        let words = Span::new(piece.span.start, piece.words_end).of(self.scene.text);
        words.trim_end().ends_with(marks)
    }
}

/// Gives the clauses their ids.
fn name(clauses: &mut [Clause], pieces: &[Piece]) {
    let mut ids = Ids::default();
    for (n, piece) in pieces.iter().enumerate() {
        let Some(clause) = clauses.get(n) else {
            return;
        };
        let parent = clause.parent.and_then(|p| clauses.get(p));
        let pair = piece.chosen.is_some_and(|c| c.value.kind.has_parts());
        let id = match (&clause.number, &clause.item) {
            (Some(number), _) => ids.fresh(match parent {
                Some(parent) if !pair => format!("{}({})", parent.id, number.label),
                _ => number.label.clone(),
            }),
            (None, Some(item)) => ids.fresh(item.label.clone()),
            (None, None) => ids.paragraph(),
        };
        if let Some(clause) = clauses.get_mut(n) {
            clause.id = id;
        }
    }
}

/// The clause to which an unnumbered paragraph belongs: the numbered clause above it, or, where
/// its words stand as deep as those of a sub-item, that one.
fn owner(
    open: &[usize],
    columns: &HashMap<usize, usize>,
    clauses: &[Clause],
    piece: &Piece,
) -> Option<usize> {
    let first = *open.first()?;
    // A signature or a form's field under the last clause belongs to none.
    if piece.heading {
        return None;
    }
    let deepest = open.iter().rev().copied().find(|at| {
        clauses.get(*at).is_some_and(|c| c.number.is_some())
            && columns
                .get(at)
                .is_some_and(|column| piece.indent > 0 && piece.indent + 1 >= *column)
    });
    Some(deepest.unwrap_or(first))
}

/// Whether the letter names its clauses by item numbers at their ends and by nothing else.
fn by_items(pieces: &[Piece]) -> bool {
    let items = pieces
        .iter()
        .filter(|p| p.item.is_some() && p.number.is_none())
        .count();
    let numbers = pieces
        .iter()
        .filter(|p| {
            p.chosen
                .is_some_and(|c| c.level == 1 && c.value.kind == Kind::Arabic)
        })
        .count();
    items >= 3 && items > numbers
}

/// The pieces that are numbered headings of sections: "I. PHASE I", "A. GENERAL", with clauses in
/// Arabic numbers below, or "1. Flying.", with 1.1 and 1.2 below.
fn sections(scene: &Scene<'_>, pieces: &[Piece]) -> HashSet<usize> {
    let tops: Vec<usize> = (0..pieces.len())
        .filter(|n| pieces[*n].chosen.is_some_and(|c| c.level == 1))
        .collect();
    let mut under = pieces
        .iter()
        .filter_map(|p| p.chosen.filter(|c| c.level == 2))
        .map(|c| c.value.kind);
    let parts = under.clone().any(Kind::has_parts);
    let below = parts || under.any(|kind| kind == Kind::Arabic);
    let all_headings = tops.iter().all(|n| {
        let piece = &pieces[*n];
        let words = Span::new(piece.body, piece.words_end)
            .trimmed(scene.text)
            .of(scene.text);
        piece
            .chosen
            .is_some_and(|c| parts || matches!(c.value.kind, Kind::Upper | Kind::RomanUpper))
            && words.len() <= 120
            && (in_capitals(words)
                || !stops(words)
                || words.ends_with(':')
                || parts && words.split_whitespace().count() <= 4)
    });
    if below && all_headings && !tops.is_empty() {
        tops.into_iter().collect()
    } else {
        HashSet::new()
    }
}

/// Hands out ids, each once.
#[derive(Default)]
struct Ids {
    used: HashMap<String, u32>,
    paragraphs: u32,
}

impl Ids {
    fn fresh(&mut self, base: String) -> String {
        let count = self.used.entry(base.clone()).or_insert(0);
        *count += 1;
        if *count == 1 {
            base
        } else {
            let id = format!("{base}/{count}");
            self.used.entry(id.clone()).or_insert(1);
            id
        }
    }

    fn paragraph(&mut self) -> String {
        self.paragraphs += 1;
        format!("p{}", self.paragraphs)
    }
}

impl Scene<'_> {
    /// Notes within a line, in capitals and with a colon, behind a full stop.
    fn notes(&self) -> Vec<usize> {
        let mut found = Vec::new();
        for (range, role) in self.patterns.numbering.words.find(self.tokens) {
            let head = range.start;
            if *role == NumberingRole::Note
                && in_capitals(self.word(head))
                && self.before(head).0 == super::marks::Before::Stop
                && !super::quotes::inside(self.quotes, self.tokens[head].span.start)
            {
                found.push(head);
            }
        }
        found
    }

    fn listed(&self, at: usize, list: WordList) -> bool {
        self.patterns.list.has(self.word(at), list)
    }

    /// Definitions in a row: "For the purposes of this section: Duty period means … Standby
    /// means …". Each of them starts a paragraph.
    fn definitions(&self) -> Vec<usize> {
        let lower =
            |at: usize, word: &str| self.tokens.get(at).is_some_and(|t| t.is(self.text, word));
        let mut found = Vec::new();
        if !self.text.contains("means") {
            return found;
        }
        let mut announced = false;
        for at in 0..self.tokens.len() {
            announced |= self.listed(at, WordList::Definitions)
                || self.listed(at, WordList::Purposes) && lower(at + 1, "of");
            if !(announced && lower(at, "means")) {
                continue;
            }
            for first in (at.saturating_sub(10)..at).rev() {
                let (before, _) = self.before(first);
                let breaks = matches!(
                    before,
                    super::marks::Before::Stop | super::marks::Before::Pause
                );
                let word = self.word(first);
                if breaks
                    && word.starts_with(char::is_alphabetic)
                    && !(first > 0 && (lower(first - 1, "and") || lower(first - 1, "or")))
                {
                    if first > 0
                        && !self.closes_label(first - 1)
                        && word.starts_with(char::is_uppercase)
                        && !lower(first, "this")
                    {
                        found.push(first);
                    }
                    break;
                }
                if matches!(word, ")" | "(" | ",") && !matches!(self.word(first + 1), "means") {
                    break;
                }
            }
        }
        found
    }

    /// The first token of a heading in capitals that stands directly before a token and behind a
    /// full stop.
    pub(super) fn capitals_before(&self, at: usize) -> Option<usize> {
        let mut first = at;
        let mut long = false;
        while let Some(p) = first.checked_sub(1) {
            if at - p > 14 {
                return None;
            }
            let word = self.word(p);
            let joins = matches!(word, "-" | "–" | "—" | "&" | ":" | "(" | ")" | "/" | ",");
            // A dot within "PHASE I. FLIGHT TEST" goes on; one behind a small letter stops.
            let inner_dot = word == "."
                && p.checked_sub(1).is_some_and(|q| {
                    matches!(self.word(q), "I" | "II" | "1" | "2")
                        && self.listed(q.saturating_sub(1), WordList::Phase)
                });
            let capital = word.chars().all(|c| c.is_uppercase() || c.is_ascii_digit());
            if !(joins || capital || inner_dot) {
                break;
            }
            long |= capital && word.chars().filter(|c| c.is_uppercase()).count() >= 4;
            first = p;
        }
        while first < at
            && matches!(
                self.word(first),
                "-" | "–" | "—" | "&" | ":" | ")" | "/" | ","
            )
        {
            first += 1;
        }
        let stop = first == 0 || self.before_plain(first);
        (long && first < at && stop).then_some(first)
    }

    /// Whether tokens hold a modal with words on both sides: "also the builder may do it" is no
    /// heading, though no full stop ends it. "May 14" is a date, "who may inspect" a title.
    fn binds(&self, first: usize, end: usize) -> bool {
        let modals = &self.patterns.modality;
        let asks = ["who", "what", "when", "where", "how", "which"];
        !asks
            .iter()
            .any(|w| self.word(first).eq_ignore_ascii_case(w))
            && (first + 1..end).any(|at| {
                modals
                    .phrases
                    .longest_at(self.tokens, at)
                    .is_some_and(|(after, file)| {
                        let trigger = modals.trigger_of(*file);
                        after < end
                            && self.tokens[after].kind == TokenKind::Word
                            && trigger.is_some_and(|t| t.role == ModalRole::Modal)
                    })
            })
    }

    fn before_plain(&self, at: usize) -> bool {
        at.checked_sub(1)
            .is_some_and(|p| matches!(self.word(p), "." | ";" | "!" | "?" | "\"" | "”"))
    }

    fn is_bullet(&self, at: usize) -> bool {
        matches!(self.word(at), "•" | "·" | "▪" | "●" | "|")
    }
}
