//! Reads one reference with its list of members.

use super::target::{self, Section};
use crate::model::{Citation, Span};
use crate::patterns::citation::CiteRole;
use crate::patterns::{Patterns, Token, TokenKind};
use crate::understand::Context;

pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: &'a [Token],
    pub(super) context: Context<'a>,
    pub(super) patterns: &'a Patterns,
    pub(super) found: Vec<Citation>,
}

/// What joins two members of a list.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Join {
    List,
    Range,
}

impl<'a> Reader<'a> {
    /// Reads a reference that starts at token `at`; the token behind it, or `None`.
    pub(super) fn read(&mut self, at: usize) -> Option<usize> {
        if let Some((next, role)) = self.role(at) {
            return match role {
                CiteRole::System => {
                    // "CFR 14 Part 43"; "far" in small letters is another word.
                    if !self.word(at).starts_with(char::is_uppercase) {
                        return None;
                    }
                    let (title, next) = match self.small(next) {
                        Some((n, behind))
                            if self.role(behind).is_some_and(|(_, r)| {
                                r == CiteRole::Part || r == CiteRole::Section
                            }) && n <= 50 =>
                        {
                            (n, behind)
                        }
                        _ => (14, next),
                    };
                    self.after_system(at, next, title)
                }
                CiteRole::Section => self.sections(at, next, 14, true),
                CiteRole::Part => self.parts(at, next, 14, false),
                CiteRole::Appendix => self.lettered(at, next, "appendix"),
                CiteRole::Subpart => self.lettered(at, next, "subpart"),
                CiteRole::Paragraph => self.paragraphs(at, next),
                CiteRole::Law => Some(self.over_numbers(next)),
                CiteRole::Lead => self.bare(at, next),
                CiteRole::Unit | CiteRole::Parts => None,
            };
        }
        let token = self.tokens.get(at)?;
        if token.kind == TokenKind::Number {
            // "14 CFR …", "49 U.S.C. 44701".
            let behind = self
                .small(at)
                .and_then(|(title, next)| Some((title, self.role(next)?)));
            return match behind {
                Some((title, (behind, CiteRole::System))) if title <= 50 => {
                    self.after_system(at, behind, title)
                }
                Some((_, (behind, CiteRole::Law))) => Some(self.over_numbers(behind)),
                _ => None,
            }
            .or_else(|| self.bare(at, at));
        }
        // "title 49 of the Code of Federal Regulations, part 830", "title 14, part 43".
        if self.is(at, "title") {
            let (title, mut next) = self.small(at + 1)?;
            let mut known = false;
            for _ in 0..5 {
                if let Some(behind) = self.over_short_name(next) {
                    next = behind;
                } else if self.is(next, ",")
                    || self.is(next, "of")
                    || self.is(next, "the")
                    || self.is(next, "chapter")
                {
                    next += 1;
                } else if let Some((behind, CiteRole::System)) = self.role(next) {
                    next = behind;
                    known = true;
                }
            }
            if !(1..=50).contains(&title) {
                return None;
            }
            let role = self.role(next).map(|(_, r)| r);
            if matches!(role, Some(CiteRole::Part | CiteRole::Section)) || known {
                return self.after_system(at, next, title);
            }
        }
        None
    }

    fn word(&self, at: usize) -> &'a str {
        self.tokens.get(at).map_or("", |t| t.span.of(self.text))
    }

    fn is(&self, at: usize, lower: &str) -> bool {
        self.tokens.get(at).is_some_and(|t| t.is(self.text, lower))
    }

    fn glued(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|t| t.glued)
    }

    fn role(&self, at: usize) -> Option<(usize, CiteRole)> {
        self.patterns
            .citation
            .phrases
            .longest_at(self.tokens, at)
            .map(|(end, role)| (end, *role))
    }

    /// A whole number, and the token behind it.
    fn small(&self, at: usize) -> Option<(u16, usize)> {
        let token = self.tokens.get(at)?;
        let number = (token.kind == TokenKind::Number)
            .then(|| token.span.of(self.text).parse().ok())
            .flatten()?;
        Some((number, at + 1))
    }

    /// A section number such as `91.319`.
    fn section_number(&self, at: usize) -> Option<(&'a str, &'a str)> {
        let token = self.tokens.get(at)?;
        if token.kind != TokenKind::Number {
            return None;
        }
        let (part, section) = token.span.of(self.text).split_once('.')?;
        let digits = section.trim_end_matches(|c: char| c.is_ascii_lowercase());
        let fits = (1..=4).contains(&part.len())
            && part.bytes().all(|c| c.is_ascii_digit())
            && (1..=5).contains(&digits.len())
            && section.len() - digits.len() <= 1
            && digits.bytes().all(|c| c.is_ascii_digit());
        fits.then_some((part, section))
    }

    fn is_unit(&self, at: usize) -> bool {
        self.role(at).is_some_and(|(_, r)| r == CiteRole::Unit)
    }

    fn known(&self, part: &str) -> bool {
        part.parse::<u16>()
            .is_ok_and(|p| self.patterns.citation.parts.binary_search(&p).is_ok())
    }

    /// Labels in parentheses behind a section number, and the token behind them.
    fn labels(&self, mut at: usize, glued_first: bool) -> (Vec<String>, usize) {
        let mut labels = Vec::new();
        while self.word(at) == "("
            && self.word(at + 2) == ")"
            && self.tokens.get(at + 1).is_some_and(|t| {
                t.kind != TokenKind::Mark && t.span.len() <= 5 && is_label(t.span.of(self.text))
            })
        {
            if !self.glued(at) && (glued_first || !labels.is_empty()) {
                // "§ 91.215 (a)": a letter a blank away belongs to it, unless it starts a clause.
                let letter = self.word(at + 1).len() <= 2
                    && self
                        .word(at + 1)
                        .starts_with(|c: char| c.is_ascii_lowercase());
                let starts = self
                    .word(at + 3)
                    .starts_with(|c: char| c.is_uppercase() || c.is_ascii_digit());
                if !letter || starts {
                    break;
                }
            }
            labels.push(self.word(at + 1).to_owned());
            at += 3;
        }
        (labels, at)
    }

    /// What joins the members of a list at token `at`, and the token behind it.
    fn join(&self, at: usize) -> Option<(Join, usize)> {
        let mut next = at;
        let comma = matches!(self.word(next), "," | ";");
        next += usize::from(comma);
        let word = self.word(next);
        let joins = |w: &str| word.eq_ignore_ascii_case(w);
        if joins("through")
            || joins("thru")
            || (joins("to") && !comma)
            || matches!(word, "-" | "–" | "—") && !comma
        {
            return Some((Join::Range, next + 1));
        }
        if joins("and") || joins("or") || word == "&" {
            next += 1;
            // "and/or", "or of"
            if self.word(next) == "/" {
                next += 2;
            }
            return Some((Join::List, next));
        }
        comma.then_some((Join::List, next))
    }

    /// Over a system's short name in brackets: "(14 CFR)", "(CFR)".
    fn over_short_name(&self, at: usize) -> Option<usize> {
        if !self.is(at, "(") {
            return None;
        }
        let within = self.small(at + 1).map_or(at + 1, |(_, behind)| behind);
        match self.role(within) {
            Some((behind, CiteRole::System)) if self.is(behind, ")") => Some(behind + 1),
            _ => None,
        }
    }

    /// Over words such as "part", "§" and "section" between a system and its number.
    fn after_system(&mut self, from: usize, mut at: usize, title: u16) -> Option<usize> {
        for _ in 0..4 {
            at = self.over_short_name(at).unwrap_or(at);
            match self.role(at) {
                Some((next, CiteRole::Section | CiteRole::System | CiteRole::Part)) => at = next,
                _ if self.is(at, ",")
                    && self
                        .role(at + 1)
                        .is_some_and(|(_, r)| matches!(r, CiteRole::Part | CiteRole::Section)) =>
                {
                    at += 1
                }
                _ => break,
            }
        }
        match self.role(at) {
            Some((next, CiteRole::Appendix)) => return self.lettered(at, next, "appendix"),
            Some((next, CiteRole::Subpart)) => return self.lettered(at, next, "subpart"),
            _ => {}
        }
        if self.section_number(at).is_some() {
            return self.sections(from, at, title, true);
        }
        self.parts(from, at, title, true)
    }

    /// A list of sections; `from` is the first token of the reference, `at` its first number.
    fn sections(&mut self, from: usize, at: usize, title: u16, told: bool) -> Option<usize> {
        let (first_part, _) = self.section_number(at)?;
        let sign = self.word(from).starts_with('§')
            || self.role(from).is_none_or(|(_, r)| r != CiteRole::Section);
        if title == 14 && !(told && sign) && !self.known(first_part) {
            return None;
        }
        let mut from = from;
        let mut at = at;
        let mut range = false;
        let mut last: Option<Section> = None;
        loop {
            let (section, next) = if let Some((part, number)) = self.section_number(at) {
                let (paragraphs, next) = self.labels(at + 1, true);
                let section = Section {
                    title,
                    part: part.to_owned(),
                    number: number.to_owned(),
                    paragraphs,
                };
                (section, next)
            } else if let Some(held) = &last {
                let (labels, next) = self.labels(at, false);
                (held.sibling(&labels), next)
            } else {
                return None;
            };
            if range && let Some(citation) = self.found.last_mut() {
                citation.target = format!("{}..{}", citation.target, section.target());
                citation.span.end = self.tokens[next - 1].span.end;
            } else {
                self.push(from, next, &section);
            }
            last = Some(section);
            at = next;
            let Some((join, member)) = self.join(next) else {
                break;
            };
            // "and under § 65.95", "or § 91.411"
            let mut member = member;
            let mut words = 0;
            while let Some((behind, CiteRole::Section | CiteRole::System)) = self.role(member) {
                if words == 2 {
                    break;
                }
                member = behind;
                words += 1;
            }
            if let Some((part, _)) = self.section_number(member) {
                if words == 0 && (self.is_unit(member + 1) || (title == 14 && !self.known(part))) {
                    break;
                }
                if words == 0 && self.is(next, "to") && join == Join::Range && !told {
                    break;
                }
            } else {
                let (labels, behind) = self.labels(member, false);
                // "§ 91.319, (b) The pilot": the next clause of running text.
                let starts = self.word(behind).starts_with(char::is_uppercase);
                if labels.is_empty() || words > 0 || starts {
                    break;
                }
            }
            range = join == Join::Range;
            from = if range {
                from
            } else {
                first_word(member, words)
            };
            at = member;
        }
        Some(at)
    }

    fn push(&mut self, from: usize, next: usize, section: &Section) {
        let Some((first, last)) = self.tokens.get(from).zip(self.tokens.get(next.max(1) - 1))
        else {
            return;
        };
        self.found.push(Citation {
            span: Span::new(first.span.start, last.span.end),
            target: section.target(),
            title: section.title,
            part: section.part.clone(),
            section: section.number.clone(),
        });
    }

    /// A list of whole parts, with the appendix or subpart that follows one of them.
    fn parts(&mut self, from: usize, at: usize, title: u16, told: bool) -> Option<usize> {
        if self.section_number(at).is_some() {
            // "Part 91.319(b)"
            return self.sections(from, at, title, false);
        }
        let plural = (from..at).any(|t| {
            matches!(self.role(t), Some((_, CiteRole::Part | CiteRole::System)))
                && self.word(t).ends_with(['s', 'S'])
        });
        let (first, behind) = self.part_number(at)?;
        let explained = self.is(behind, "of")
            && (self.is(behind + 1, "this") || self.is(behind + 1, "title"))
            && ["chapter", "title", "subchapter"]
                .iter()
                .any(|w| self.is(behind + 2, w));
        if !(told || plural || explained || self.known(first)) {
            return None;
        }
        let mut from = from;
        let mut at = at;
        let mut range = false;
        loop {
            let (number, next) = self.part_number(at)?;
            // "part 830 of title 49"
            let title = if self.is(next, "of") && self.is(next + 1, "title") {
                self.small(next + 2).map_or(title, |(t, _)| t)
            } else {
                title
            };
            self.push_part(from, next, (title, number), range);
            let next = self.inside(next);
            at = next;
            let Some((join, member)) = self.join(next) else {
                break;
            };
            let (member, named) = self.over_part_words(member);
            let Some((number, behind)) = self.part_number(member) else {
                // "part 43 and 91.409"
                if self
                    .section_number(member)
                    .is_some_and(|(part, _)| self.known(part))
                    && !self.is_unit(member + 1)
                    && join == Join::List
                {
                    return self.sections(member, member, title, false).or(Some(at));
                }
                break;
            };
            // Behind a single "part" a comma ends the list: "part 43, 12 calendar months".
            let list = plural || named || !matches!(self.word(next), "," | ";");
            let fits = list
                && (named || self.known(number) || title != 14 || (plural && number.len() > 1));
            let title_follows = matches!(
                self.role(behind),
                Some((_, CiteRole::Part | CiteRole::System | CiteRole::Section))
            );
            if !fits
                || title_follows
                || self.is_unit(behind)
                || self.glued(behind) && self.word(behind) == ")"
            {
                break;
            }
            range = join == Join::Range;
            from = if range {
                from
            } else {
                first_word(member, usize::from(named))
            };
            at = member;
        }
        Some(at)
    }

    /// A whole part of a title; the last one of a range goes with its first.
    fn push_part(&mut self, from: usize, next: usize, (title, number): (u16, &str), range: bool) {
        let target = target::part(title, number);
        let span = Span::new(self.tokens[from].span.start, self.tokens[next - 1].span.end);
        if range && let Some(citation) = self.found.last_mut() {
            citation.target = format!("{}..{target}", citation.target);
            citation.span.end = span.end;
        } else {
            self.found.push(Citation {
                span,
                target,
                title,
                part: number.to_owned(),
                section: String::new(),
            });
        }
    }

    /// The token behind the words for a part, and whether there were any.
    fn over_part_words(&self, mut at: usize) -> (usize, bool) {
        let mut named = false;
        while let Some((behind, CiteRole::Part | CiteRole::System)) = self.role(at) {
            named = true;
            at = behind;
            if self.role(at).is_none() {
                break;
            }
        }
        (at, named)
    }

    /// The number of a part.
    fn part_number(&self, at: usize) -> Option<(&'a str, usize)> {
        let token = self.tokens.get(at)?;
        let word = token.span.of(self.text);
        let fits = token.kind == TokenKind::Number
            && word.len() <= 4
            && word.bytes().all(|c| c.is_ascii_digit())
            && !word.starts_with('0');
        fits.then_some((word, at + 1))
    }

    /// "part 43, appendix D" and "part 91, subpart K": narrows the part just found.
    fn inside(&mut self, next: usize) -> usize {
        let mut at = next + usize::from(self.word(next) == ",");
        at += usize::from(self.word(at) == "(");
        let (behind, kind) = match self.role(at) {
            Some((behind, CiteRole::Appendix)) => (behind, "appendix"),
            Some((behind, CiteRole::Subpart)) => (behind, "subpart"),
            _ => return next,
        };
        let labels = self.letters(behind);
        // "part 121, subpart K of part 91": the subpart belongs to the other part.
        let end = labels.last().map_or(behind, |(_, end)| *end);
        if labels.is_empty()
            || ((self.is(end, "of") || self.is(end, "to"))
                && self
                    .role(end + 1)
                    .is_some_and(|(_, r)| matches!(r, CiteRole::Part | CiteRole::System)))
        {
            return next;
        }
        let Some(whole) = self.found.pop() else {
            return next;
        };
        let mut start = whole.span.start;
        for (label, end) in &labels {
            self.found.push(Citation {
                span: Span::new(start, self.tokens[end - 1].span.end),
                target: format!("{} {kind} {label}", whole.target),
                ..whole.clone()
            });
            start = self.tokens.get(*end).map_or(start, |t| t.span.start);
        }
        let starts: Vec<usize> = labels.iter().skip(1).map(|(_, end)| end - 1).collect();
        let count = self.found.len();
        for (n, at) in starts.iter().enumerate() {
            if let Some(citation) = self.found.get_mut(count - starts.len() + n) {
                citation.span.start = self.tokens[*at].span.start;
            }
        }
        end
    }

    /// Letters of appendices or subparts in a list, each with the token behind it.
    fn letters(&self, mut at: usize) -> Vec<(&'a str, usize)> {
        let mut found = Vec::new();
        loop {
            let word = self.word(at);
            let letter = word.len() <= 2
                && word.starts_with(|c: char| c.is_ascii_uppercase())
                && word
                    .bytes()
                    .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
            if !letter || (self.tokens[at].kind == TokenKind::Number) {
                return found;
            }
            // "appendix D, A person": an article after a comma is no member.
            found.push((word, at + 1));
            let Some((join, next)) = self.join(at + 1) else {
                return found;
            };
            let follower = self.word(next);
            let article = follower == "A"
                && self.tokens.get(next + 1).is_some_and(|t| {
                    t.kind == TokenKind::Word
                        && !["to", "of", "and", "or"].iter().any(|w| t.is(self.text, w))
                });
            if join == Join::Range || article {
                return found;
            }
            at = next;
        }
    }

    /// "appendix D to part 43", "subparts B, C, or D of part 101", "appendix F of this part".
    fn lettered(&mut self, from: usize, at: usize, kind: &str) -> Option<usize> {
        let labels = self.letters(at);
        let end = labels.last().map(|(_, end)| *end)?;
        let mut next = end;
        let of = self.is(next, "to") || self.is(next, "of") || self.is(next, "in");
        let loose = matches!(self.word(next), "," | "(");
        next += usize::from(of || loose);
        if self.is(next, "the") {
            next += 1;
        }
        let mut title = 14;
        let mut named = false;
        if let Some((n, behind)) = self.small(next)
            && self
                .role(behind)
                .is_some_and(|(_, r)| r == CiteRole::System)
        {
            title = n;
            next = behind;
        }
        for _ in 0..3 {
            if let Some((behind, CiteRole::System | CiteRole::Part)) = self.role(next) {
                next = behind;
                named = true;
            }
        }
        // An appendix is a text of its own; a subpart of "this part" is the text itself.
        let own = of && kind == "appendix" && self.is(end + 1, "this") && self.is(end + 2, "part");
        let (part, behind) = if own {
            (self.context.part?.to_owned(), end + 3)
        } else if named && let Some((number, behind)) = self.part_number(next) {
            (number.to_owned(), behind)
        } else if kind == "subpart" && !of {
            (self.context.part?.to_owned(), end)
        } else {
            return Some(end);
        };
        let last = labels.len() - 1;
        for (n, (label, label_end)) in labels.iter().enumerate() {
            let first = if n == 0 { from } else { label_end - 1 };
            let end = if n == last { behind } else { *label_end };
            let (Some(a), Some(b)) = (self.tokens.get(first), self.tokens.get(end - 1)) else {
                continue;
            };
            self.found.push(Citation {
                span: Span::new(a.span.start, b.span.end),
                target: format!("{} {kind} {label}", target::part(title, &part)),
                title,
                part: part.clone(),
                section: String::new(),
            });
        }
        Some(behind)
    }

    /// "(f) and (g)": how each member is joined, where it begins, its labels, and the token behind it.
    fn paragraph_list(&self, from: usize, at: usize) -> Vec<(Join, usize, Vec<String>, usize)> {
        let mut members = Vec::new();
        let mut member = at;
        let mut first = from;
        let mut join = Join::List;
        loop {
            let (labels, next) = self.labels(member, false);
            if labels.is_empty() {
                break;
            }
            members.push((join, first, labels, next));
            let Some((j, mut behind)) = self.join(next) else {
                break;
            };
            if let Some((over, CiteRole::Paragraph)) = self.role(behind) {
                behind = over;
            }
            join = j;
            first = behind;
            member = behind;
        }
        members
    }

    /// "paragraph (c) of § 91.319", "paragraphs (f) and (g) of this section".
    fn paragraphs(&mut self, from: usize, at: usize) -> Option<usize> {
        let members = self.paragraph_list(from, at);
        let end = members.last().map(|m| m.3)?;
        if !self.is(end, "of") && !self.is(end, "in") {
            return Some(end);
        }
        let mut next = end + 1;
        let base;
        if self.is(next, "this") && self.is(next + 1, "section") {
            if !self.speaks_of(from) {
                return Some(next + 2);
            }
            next += 2;
            let (part, number) = self
                .context
                .section?
                .trim_start_matches('§')
                .trim()
                .split_once('.')?;
            base = Section {
                title: 14,
                part: part.to_owned(),
                number: number.to_owned(),
                paragraphs: Vec::new(),
            };
        } else {
            let mut told = 0;
            while let Some((behind, CiteRole::Section | CiteRole::System)) = self.role(next) {
                next = behind;
                told += 1;
                if told == 3 {
                    break;
                }
            }
            let Some((part, number)) = self.section_number(next).filter(|_| told > 0) else {
                return Some(end);
            };
            next += 1;
            base = Section {
                title: 14,
                part: part.to_owned(),
                number: number.to_owned(),
                paragraphs: Vec::new(),
            };
        }
        let mut held = base;
        let count = members.len();
        for (n, (join, first, labels, behind)) in members.into_iter().enumerate() {
            let section = held.sibling(&labels);
            let behind = if n + 1 == count { next } else { behind };
            if join == Join::Range
                && let Some(citation) = self.found.last_mut()
            {
                citation.target = format!("{}..{}", citation.target, section.target());
                if let Some(token) = self.tokens.get(behind - 1) {
                    citation.span.end = token.span.end;
                }
            } else {
                self.push(first, behind, &section);
            }
            held = section;
        }
        Some(next)
    }

    /// Whether a sentence speaks of the paragraphs that it names, and does not only point at them:
    /// they are its subject, or it holds against them.
    fn speaks_of(&self, from: usize) -> bool {
        self.word(from).starts_with(char::is_uppercase)
            || from
                .checked_sub(1)
                .is_some_and(|before| self.is(before, "notwithstanding"))
    }

    /// A bare section number: "in accordance with 91.205", "91.319(b)".
    fn bare(&mut self, from: usize, at: usize) -> Option<usize> {
        let (part, section) = self.section_number(at)?;
        let part_known = part
            .parse::<u16>()
            .is_ok_and(|p| self.patterns.citation.bare.binary_search(&p).is_ok());
        if !part_known || self.is_unit(at + 1) {
            return None;
        }
        if at > 0
            && (matches!(self.word(at - 1), "$" | "#" | "£")
                || (self.glued(at)
                    && !matches!(self.word(at - 1), "(" | "[" | "—" | "\"" | "“" | "/")))
        {
            return None;
        }
        let paragraph = self.word(at + 1) == "(" && self.glued(at + 1);
        let led = from < at;
        if !(paragraph || led || section.len() >= 3) {
            return None;
        }
        self.sections(at, at, 14, false)
    }

    /// Over the numbers of a statute: "49 U.S.C. 44701, 44702".
    fn over_numbers(&self, mut at: usize) -> usize {
        loop {
            if self.role(at).is_some_and(|(_, r)| r == CiteRole::Section) {
                at += 1;
            } else if self
                .tokens
                .get(at)
                .is_some_and(|t| t.kind == TokenKind::Number)
            {
                let (_, next) = self.labels(at + 1, true);
                at = next;
            } else {
                return at;
            }
        }
    }
}

/// The first token of a list's next member: its number, or the sign before it.
fn first_word(member: usize, words: usize) -> usize {
    member.saturating_sub(words)
}

/// Whether a word can be the label of a paragraph.
fn is_label(word: &str) -> bool {
    let bytes = word.as_bytes();
    let small = bytes.iter().all(u8::is_ascii_digit) && bytes.len() <= 2;
    let letters = bytes.len() <= 2 && bytes.iter().all(u8::is_ascii_alphabetic);
    let roman = bytes.len() <= 5 && bytes.iter().all(|c| b"ivxlIVXL".contains(c));
    small || letters || roman
}
