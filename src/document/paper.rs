//! What kind of paper it is, on which basis and day it was issued, for what kind of aircraft.

use std::ops::Range;

use jiff::civil::Date;

use super::alone;
use super::evidence::{Judged, Tally};
use super::papers::{self, Part, What};
use crate::model::{Basis, CategoryClass, Citation, Found, Genre, Letter, Paper, Span, Text};
use crate::patterns::{PaperMeaning, Patterns, Token, TokenKind};

/// A sign found in the text.
pub(super) struct Sign<'p> {
    pub(super) meaning: &'p PaperMeaning,
    tokens: Range<usize>,
    pub(super) span: Span,
}

/// Fills `paper`, `basis`, `issued` and `aircraft` from the words, takes out papers that are no
/// part of the letter. Tells which pages belong to which of the papers handed in.
pub(super) fn tell(
    letter: &mut Letter,
    text: &Text,
    tokens: &[Token],
    patterns: &Patterns,
) -> Vec<Part> {
    let content = &text.content;
    let mut signs = signs(tokens, patterns);
    let parts = papers::parts(letter, text, tokens, &signs, patterns);
    let other = |span: Span| {
        parts
            .iter()
            .any(|p| matches!(p.what, What::Other(_)) && p.span.contains(span))
    };
    signs.retain(|s| !other(s.span));
    let citations: Vec<Citation> = letter
        .citations
        .iter()
        .filter(|c| !other(c.span))
        .cloned()
        .collect();
    papers::settle(letter, text, &parts);
    let heads = Heads::of(letter, content, &parts);
    letter.basis = basis(&signs, &citations, content, &heads);
    (letter.paper, letter.paper_evidence) =
        paper(letter, &signs, text, tokens, &heads, &parts, patterns);
    letter.issued = issued(letter, &signs, tokens, text, &heads, &parts);
    letter.aircraft = aircraft(&signs, &heads);
    parts
}

/// The words before the first numbered clause of each paper: title, aircraft, dates; and where the
/// signature stands, behind the last one.
struct Heads {
    heads: Vec<Span>,
    tails: Vec<Span>,
}

impl Heads {
    fn of(letter: &Letter, content: &str, parts: &[Part]) -> Self {
        let numbered = |whole: Span| {
            letter
                .clauses
                .iter()
                .filter(|c| c.level == 1 && (c.number.is_some() || c.item.is_some()))
                .filter(move |c| whole.start <= c.span.start && c.span.start < whole.end)
        };
        let mut all = Self {
            heads: Vec::new(),
            tails: Vec::new(),
        };
        for whole in wholes(letter, content, parts) {
            let end = numbered(whole)
                .next()
                .map_or(whole.end.min(whole.start + HEAD), |c| c.span.start);
            all.heads.push(Span::new(whole.start, end));
            let last = numbered(whole)
                .next_back()
                .map_or(whole.end, |c| c.span.end);
            all.tails.push(Span::new(last, whole.end + 1));
        }
        for part in parts.iter().filter(|p| p.what == What::Certificate) {
            all.heads.push(part.span);
        }
        all
    }

    fn contains(&self, span: Span) -> bool {
        self.heads.iter().any(|h| h.contains(span))
    }

    fn in_tail(&self, span: Span) -> bool {
        self.tails
            .iter()
            .any(|t| t.start <= span.start && span.start < t.end)
    }

    fn say(&self, content: &str, word: &str) -> bool {
        self.heads
            .iter()
            .any(|h| h.of(content).to_lowercase().contains(word))
    }
}

/// The papers that are letters, each from its first page to its last. Another file is another
/// letter only where its numbers begin anew; photos of pages go on with them.
fn wholes(letter: &Letter, content: &str, parts: &[Part]) -> Vec<Span> {
    let numbers = |span: Span| {
        letter
            .clauses
            .iter()
            .filter(move |c| span.start <= c.span.start && c.span.start < span.end)
            .filter(|c| c.level == 1)
            .filter_map(|c| c.number.as_ref()?.label.parse::<u32>().ok())
    };
    let mut out: Vec<(u16, Span)> = Vec::new();
    for part in parts.iter().filter(|p| p.what == What::Letter) {
        match out.last_mut() {
            Some((source, span))
                if *source == part.source
                    || numbers(part.span).next().is_none_or(|first| {
                        numbers(*span).next_back().is_some_and(|last| first >= last)
                    }) =>
            {
                span.end = part.span.end;
                *source = part.source;
            }
            _ => out.push((part.source, part.span)),
        }
    }
    if let [(_, only)] = out.as_mut_slice() {
        // blanks before the first line belong to it, too
        only.start = if parts.first().is_some_and(|p| p.what == What::Letter) {
            0
        } else {
            only.start
        };
    }
    if out.is_empty() {
        return vec![Span::new(0, content.len())];
    }
    out.into_iter().map(|(_, span)| span).collect()
}

/// Without a numbered clause, this many bytes are taken for the head.
const HEAD: usize = 1200;

/// A form with fewer numbered clauses is one, whatever its words.
const FEW_CLAUSES: usize = 3;

/// What paper it is, and the words that told.
fn paper(
    letter: &Letter,
    signs: &[Sign<'_>],
    text: &Text,
    tokens: &[Token],
    head: &Heads,
    parts: &[Part],
    patterns: &Patterns,
) -> (Paper, Vec<Span>) {
    let content = &text.content;
    let of = |meaning: &PaperMeaning| -> Vec<Span> {
        signs
            .iter()
            .filter(|s| s.meaning == meaning)
            .map(|s| s.span)
            .collect()
    };
    let first = |spans: &[Span]| spans.iter().take(3).copied().collect::<Vec<_>>();
    let numbered = letter
        .clauses
        .iter()
        .filter(|c| c.level == 1 && (c.number.is_some() || c.item.is_some()))
        .count();
    let light_sport: Vec<Span> = of(&PaperMeaning::LightSportCategory)
        .into_iter()
        .filter(|s| head.contains(*s) || s.of(content).starts_with("91.327"))
        .collect();
    let experimental = letter.basis.value.is_some() || head.say(content, "experimental");
    let registration = of(&PaperMeaning::Registration);
    let airman = of(&PaperMeaning::AirmanCertificate);
    let certificate = of(&PaperMeaning::Certificate);
    let tally = tally_of(letter, content, tokens, parts, patterns);
    let judged = tally.judged();
    let against = |genre: Genre| -> Vec<Span> {
        let of_it = tally.against.iter().filter(|(g, _)| *g == genre);
        of_it.map(|(_, span)| *span).take(3).collect()
    };
    let forms = !(registration.is_empty() && airman.is_empty() && certificate.is_empty());
    if !forms && alone::is_clause(letter, text, tokens, &tally) {
        return (Paper::Clause, first(&tally.words));
    }
    let form =
        |signs: &[Span]| !signs.is_empty() && (judged != Judged::Letter || numbered < FEW_CLAUSES);
    if form(&registration) {
        return (Paper::Registration, first(&registration));
    }
    if !airman.is_empty() && (judged != Judged::Letter || airman.len() > 1 && tally.title == 0) {
        return (Paper::AirmanCertificate, first(&airman));
    }
    match judged {
        Judged::Letter if !light_sport.is_empty() && !experimental => {
            (Paper::LightSportCategory, first(&light_sport))
        }
        Judged::Letter if !certificate.is_empty() && tally.title == 0 && numbered == 0 => {
            (Paper::Certificate, first(&certificate))
        }
        Judged::Letter => (Paper::OperatingLimitations, first(&tally.words)),
        Judged::Other(genre) => (Paper::Other(genre), against(genre)),
        Judged::Unclear if !certificate.is_empty() => (Paper::Certificate, first(&certificate)),
        Judged::Unclear => (Paper::Unknown, Vec::new()),
    }
}

/// The evidence of the pages that are taken for the letter, together.
fn tally_of(
    letter: &Letter,
    content: &str,
    tokens: &[Token],
    parts: &[Part],
    patterns: &Patterns,
) -> Tally {
    let of = |span: Span| {
        Tally::of(
            content,
            tokens,
            span,
            &letter.clauses,
            &letter.topics,
            patterns,
        )
    };
    let mine = |p: &&Part| !matches!(p.what, What::Other(_));
    if parts.iter().all(|p| mine(&p)) {
        return of(Span::new(0, content.len()));
    }
    // The letter begins with its own first page, and so do its titles.
    let (mut start, mut end) = (content.len(), 0);
    for part in parts.iter().filter(mine) {
        start = start.min(part.span.start);
        end = end.max(part.span.end);
    }
    of(Span::new(start.min(end), end))
}

/// The paragraph of § 21.191: cited in the head, named in the head, cited anywhere as the purpose,
/// named anywhere; the first of these that tells, and only if it tells one.
fn basis(signs: &[Sign<'_>], citations: &[Citation], content: &str, head: &Heads) -> Found<Basis> {
    let cited: Vec<(Basis, Span)> = citations
        .iter()
        .filter(|c| c.part == "21" && c.section.starts_with("191"))
        .filter_map(|c| Basis::parse(&c.target).map(|b| (b, c.span)))
        .collect();
    let named: Vec<(Basis, Span)> = signs
        .iter()
        .filter_map(|s| match s.meaning {
            PaperMeaning::Basis(b) => Some((*b, s.span)),
            _ => None,
        })
        .filter(|(_, span)| !person_follows(content, *span))
        .collect();
    let in_head = |list: &[(Basis, Span)]| -> Vec<(Basis, Span)> {
        list.iter()
            .filter(|(_, s)| head.contains(*s))
            .copied()
            .collect()
    };
    for candidates in [in_head(&cited), in_head(&named), cited, named] {
        if candidates.is_empty() {
            continue;
        }
        let mut letters: Vec<char> = candidates.iter().map(|(b, _)| b.letter).collect();
        letters.sort_unstable();
        letters.dedup();
        let evidence = candidates.iter().take(3).map(|(_, s)| *s).collect();
        // Exhibition and air racing share their letters; every rule treats (d) and (e) alike.
        let one = letters.len() == 1 || letters == ['d', 'e'];
        let value = one.then(|| {
            candidates
                .iter()
                .map(|(b, _)| *b)
                .find(|b| b.item.is_some())
                .unwrap_or(Basis {
                    letter: letters[0],
                    item: None,
                })
        });
        return Found { value, evidence };
    }
    Found::default()
}

/// "amateur-built aircraft builder" names a person, "light-sport repairman" too.
fn person_follows(content: &str, span: Span) -> bool {
    let next = content
        .get(span.end..)
        .unwrap_or("")
        .split_whitespace()
        .next()
        .unwrap_or("");
    ["builder", "repairman", "repairmen"]
        .iter()
        .any(|p| next.to_lowercase().starts_with(p))
}

fn aircraft(signs: &[Sign<'_>], head: &Heads) -> Found<CategoryClass> {
    let found: Vec<(&CategoryClass, Span)> = signs
        .iter()
        .filter_map(|s| match s.meaning {
            PaperMeaning::Category(c) if head.contains(s.span) => Some((c, s.span)),
            _ => None,
        })
        .collect();
    let mut categories: Vec<&str> = found.iter().map(|(c, _)| c.category.as_str()).collect();
    categories.sort_unstable();
    categories.dedup();
    let mut classes: Vec<&str> = found
        .iter()
        .filter_map(|(c, _)| c.class.as_deref())
        .collect();
    classes.sort_unstable();
    classes.dedup();
    Found {
        value: match categories.as_slice() {
            [one] => Some(CategoryClass {
                category: (*one).to_owned(),
                class: match classes.as_slice() {
                    [class] => Some((*class).to_owned()),
                    _ => None,
                },
            }),
            _ => None,
        },
        evidence: found.iter().take(3).map(|(_, s)| *s).collect(),
    }
}

/// How many tokens may stand between "Date of issue" and the date.
const REACH: usize = 9;

/// Whether the label itself says that it is the day of issue.
fn strong(label: &str) -> bool {
    let label = label.to_ascii_lowercase();
    label.starts_with("date of issu")
        || label.starts_with("date issued")
        || label.starts_with("issue")
}

/// The days that a stretch of the text gives, but for those that a label says to be others.
pub(super) fn dates(
    tokens: &[Token],
    content: &str,
    within: Span,
    patterns: &Patterns,
) -> Vec<(Date, Span)> {
    let first = tokens.partition_point(|t| t.span.start < within.start);
    let end = tokens.partition_point(|t| t.span.start < within.end);
    let tokens = tokens.get(first..end).unwrap_or_default();
    let signs: Vec<Sign<'_>> = signs(tokens, patterns);
    let heads = Heads {
        heads: vec![within],
        tails: Vec::new(),
    };
    unlabelled(&signs, tokens, content, &heads)
}

fn signs<'p>(tokens: &'p [Token], patterns: &'p Patterns) -> Vec<Sign<'p>> {
    patterns
        .paper
        .phrases
        .find(tokens)
        .map(|(range, (_, meaning))| Sign {
            meaning,
            span: Span::new(
                tokens[range.start].span.start,
                tokens[range.end - 1].span.end,
            ),
            tokens: range,
        })
        .collect()
}

/// Dates in the head that nothing labels as another day.
fn unlabelled(
    signs: &[Sign<'_>],
    tokens: &[Token],
    content: &str,
    head: &Heads,
) -> Vec<(Date, Span)> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if !head.contains(tokens[at].span) {
            at += 1;
            continue;
        }
        let Some((date, end)) = date_at(tokens, content, at) else {
            at += 1;
            continue;
        };
        let span = Span::new(tokens[at].span.start, tokens[end - 1].span.end);
        let other = signs.iter().any(|s| {
            *s.meaning == PaperMeaning::OtherDate && s.span.end <= span.start && {
                let between = content.get(s.span.end..span.start).unwrap_or("");
                between.len() < 30 && !between.contains(['\n', '.', ';'])
            }
        });
        if !other {
            found.push((date, span));
        }
        at = end;
    }
    found
}

fn issued(
    letter: &Letter,
    signs: &[Sign<'_>],
    tokens: &[Token],
    text: &Text,
    head: &Heads,
    parts: &[Part],
) -> Found<Date> {
    let content = &text.content;
    let mut found: Vec<(Date, Span)> = Vec::new();
    for sign in signs
        .iter()
        .filter(|s| *s.meaning == PaperMeaning::IssueDate)
    {
        let start = sign.tokens.end;
        // Another label, or a new sentence, ends the reach of this one.
        let next_label = signs
            .iter()
            .filter(|s| {
                s.tokens.start >= start
                    && matches!(s.meaning, PaperMeaning::IssueDate | PaperMeaning::OtherDate)
            })
            .map(|s| s.tokens.start)
            .min()
            .unwrap_or(tokens.len());
        let reach = (start..tokens.len().min(start + REACH).min(next_label)).find_map(|at| {
            date_at(tokens, content, at).map(|(date, end)| {
                (
                    date,
                    Span::new(tokens[at].span.start, tokens[end - 1].span.end),
                )
            })
        });
        let labelled_otherwise = signs.iter().any(|s| {
            *s.meaning == PaperMeaning::OtherDate
                && s.tokens.end <= sign.tokens.start
                && sign.tokens.start - s.tokens.end <= 2
                && !content[s.span.end..sign.span.start].contains('\n')
        });
        if let Some((date, span)) = reach
            && !labelled_otherwise
        {
            found.push((date, Span::new(sign.span.start, span.end)));
        }
    }
    let outside = |span: Span| head.contains(span) || head.in_tail(span);
    // A weak label ("dated") in the middle of a clause dates something else.
    found.retain(|(_, span)| outside(*span) || strong(span.of(content)));
    if found.is_empty() {
        found = unlabelled(signs, tokens, content, head);
    }
    // An amendment has a day of its own; it is not that of the letter.
    let of = |span: &Span| {
        parts
            .iter()
            .rfind(|p| p.span.start <= span.start)
            .map(|p| p.what)
    };
    if found.iter().any(|(_, s)| of(s) != Some(What::Amendment)) {
        found.retain(|(_, s)| of(s) != Some(What::Amendment));
    }
    let one = |found: &[(Date, Span)]| {
        let mut days: Vec<Date> = found.iter().map(|(d, _)| *d).collect();
        days.sort_unstable();
        days.dedup();
        match days.as_slice() {
            [day] => Some(*day),
            _ => None,
        }
    };
    let mut value = one(&found);
    if value.is_none() && parts.len() > 1 {
        // Several papers: the day of the one that says who inspects, and of a letter before that
        // of the certificate beside it.
        let among = |keep: &dyn Fn(&Span) -> bool| {
            let kept: Vec<(Date, Span)> = found.iter().filter(|(_, s)| keep(s)).copied().collect();
            one(&kept)
        };
        let source = |span: &Span| text.place(span.start).source;
        let says_who: Vec<u16> = letter
            .clauses
            .iter()
            .zip(&letter.topics)
            .filter(|(_, topics)| topics.iter().any(|t| t == "inspection-who"))
            .map(|(c, _)| source(&c.span))
            .collect();
        let letters = |s: &Span| of(s) == Some(What::Letter);
        value = among(&|s| letters(s) && says_who.contains(&source(s))).or_else(|| among(&letters));
    }
    Found {
        value,
        evidence: found.iter().take(4).map(|(_, s)| *s).collect(),
    }
}

/// The months, in small letters.
pub(crate) const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// A day of the month in words, and how many: `third`, `twenty-first` (a hyphen is no token).
fn ordinal(word: impl Fn(usize) -> String) -> Option<(i16, usize)> {
    const ONES: [&str; 19] = [
        "first",
        "second",
        "third",
        "fourth",
        "fifth",
        "sixth",
        "seventh",
        "eighth",
        "ninth",
        "tenth",
        "eleventh",
        "twelfth",
        "thirteenth",
        "fourteenth",
        "fifteenth",
        "sixteenth",
        "seventeenth",
        "eighteenth",
        "nineteenth",
    ];
    let one = |word: &str| {
        let at = ONES.iter().position(|o| *o == word)?;
        i16::try_from(at + 1).ok()
    };
    let first = word(0);
    match first.as_str() {
        "twenty" => one(&word(1)).filter(|n| *n < 10).map(|n| (20 + n, 2)),
        "twentieth" => Some((20, 1)),
        "thirtieth" => Some((30, 1)),
        "thirty" => (word(1) == "first").then_some((31, 2)),
        other => one(other).map(|n| (n, 1)),
    }
}

/// A date that starts at a token, and the index past it: `May 14, 2008`, `3 June 1999`,
/// `2025-11-12`, `10/02/2002` (month first, as in the United States).
pub(crate) fn date_at(tokens: &[Token], content: &str, at: usize) -> Option<(Date, usize)> {
    let word = |i: usize| {
        tokens
            .get(i)
            .map(|t: &Token| t.span.of(content))
            .unwrap_or("")
    };
    let month = |i: usize| {
        let word = word(i).to_ascii_lowercase();
        (word.len() >= 3)
            .then(|| {
                MONTHS
                    .iter()
                    .position(|m| *m == word || (word.len() <= 4 && m.starts_with(&word)))
            })
            .flatten()
            .and_then(|m| i8::try_from(m + 1).ok())
    };
    let number = |i: usize| -> Option<i16> {
        tokens
            .get(i)
            .filter(|t| t.kind == TokenKind::Number)
            .and_then(|t| {
                let digits = t
                    .span
                    .of(content)
                    .trim_end_matches(|c: char| c.is_ascii_alphabetic());
                (!digits.is_empty()).then(|| digits.parse().ok()).flatten()
            })
    };
    let skip = |i: usize| {
        if matches!(word(i), "," | "." | "of" | "day") {
            i + 1
        } else {
            i
        }
    };
    let skip2 = |i: usize| skip(skip(i));
    // "0031 October" and "October 4" behind a serial number are no day and no year.
    let digits = |i: usize| word(i).bytes().filter(u8::is_ascii_digit).count();
    let day_number = |i: usize| number(i).filter(|_| digits(i) <= 2);
    let year_number = |i: usize| number(i).filter(|_| matches!(digits(i), 2 | 4));
    let year = |n: i16| match n {
        0..=40 => n + 2000,
        41..=99 => n + 1900,
        _ => n,
    };
    let day = |y: i16, m: i8, d: i16, end: usize| {
        let date = Date::new(year(y), m, i8::try_from(d).ok()?).ok()?;
        (1946..=2100).contains(&date.year()).then_some((date, end))
    };
    if let Some(m) = month(at) {
        let d_at = skip(at + 1);
        let d = day_number(d_at)?;
        let y_at = skip(d_at + 1);
        return day(year_number(y_at)?, m, d, y_at + 1);
    }
    let (of_month, m_at) = match ordinal(|i| word(at + i).to_ascii_lowercase()) {
        Some((d, words)) => (Some(d), skip2(at + words)),
        None => (day_number(at), skip2(at + 1)),
    };
    if let (Some(d), Some(m)) = (of_month, month(m_at)) {
        let y_at = skip(m_at + 1);
        return day(year_number(y_at)?, m, d, y_at + 1);
    }
    let first = number(at)?;
    // "2025-11-12": hyphens between figures are no tokens.
    let joined = |i: usize| {
        tokens.get(i).zip(tokens.get(i + 1)).map_or("", |(a, b)| {
            content.get(a.span.end..b.span.start).unwrap_or("")
        })
    };
    if word(at).len() == 4 && joined(at) == "-" && joined(at + 1) == "-" {
        let m = i8::try_from(number(at + 1)?).ok()?;
        return day(first, m, number(at + 2)?, at + 3);
    }
    let separated = |i: usize| matches!(word(i), "/" | "-");
    if separated(at + 1) && separated(at + 3) {
        let m = i8::try_from(first).ok()?;
        return day(number(at + 4)?, m, number(at + 2)?, at + 5);
    }
    if joined(at) == "-" && joined(at + 1) == "-" {
        let m = i8::try_from(first).ok()?;
        return day(number(at + 2)?, m, number(at + 1)?, at + 3);
    }
    None
}
