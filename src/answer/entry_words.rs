//! What the words of a log entry show: days, hours, names, numbers, certificates.

use super::entry::Item;
use crate::model::Kind;
use jiff::civil::Date;

/// An entry read.
pub(super) struct Read {
    /// Lower case, blanks and dashes folded, quotes straight.
    pub(super) folded: String,
    /// Days in order of the text, with their words.
    pub(super) dates: Vec<(Date, String)>,
    /// Certificates in order of the text.
    pub(super) signers: Vec<Signer>,
    time: Option<String>,
    cycles: Option<String>,
    name: Option<String>,
    signature: Option<String>,
    number: Option<String>,
}

/// A certificate that the entry speaks of.
pub(super) struct Signer {
    /// `None` where the words do not tell which.
    pub(super) kind: Option<Kind>,
    pub(super) words: String,
}

/// Words with their place in the folded text and whether they are numbers.
pub(super) fn read(entry: &str) -> Read {
    let folded = fold(entry);
    let dates = dates(&folded);
    Read {
        time: time(&folded),
        cycles: folded
            .find("cycles")
            .map(|at| around(&folded, at, "cycles".len(), 12)),
        name: name(entry),
        signature: ["/s/", "signed", "signature"]
            .iter()
            .find(|w| folded.contains(**w))
            .map(|w| (*w).to_owned()),
        number: number(&folded, &dates),
        signers: signers(&folded),
        dates,
        folded,
    }
}

impl Read {
    /// The words that show the item.
    pub(super) fn found(&self, item: Item, statement: Option<&str>) -> Option<String> {
        match item {
            Item::Date => self
                .dates
                .first()
                .map(|(d, words)| format!("{words} ({d})")),
            Item::Statement => self.statement(statement),
            Item::Scope => [
                "scope and detail",
                "appendix d",
                "inspection procedures",
                "approved program",
                "inspection program",
            ]
            .iter()
            .find(|w| self.folded.contains(**w))
            .map(|w| (*w).to_owned()),
            Item::TimeInService => self.time.clone(),
            Item::Cycles => self.cycles.clone(),
            Item::Name => self.name.clone(),
            Item::Signature => self.signature.clone(),
            Item::CertificateNumber => self.number.clone(),
            Item::CertificateKind => self.signers.first().map(|s| s.words.clone()),
        }
    }

    /// The statement of the letter or a similar one: it says that the aircraft was inspected and
    /// found in a condition for safe operation, and has most of the letter's words.
    fn statement(&self, wanted: Option<&str>) -> Option<String> {
        const HEART: &str = "condition for safe operation";
        let inspected = ["inspected", "inspection"]
            .iter()
            .any(|w| self.folded.contains(w));
        if !inspected || !self.folded.contains(HEART) {
            return None;
        }
        let Some(wanted) = wanted else {
            return Some(HEART.to_owned());
        };
        let wanted = fold(wanted);
        let long: Vec<&str> = wanted
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| w.len() > 3 && !["insert", "date", "either", "that"].contains(w))
            .collect();
        let have = long.iter().filter(|w| self.folded.contains(**w)).count();
        (have * 2 >= long.len()).then(|| HEART.to_owned())
    }
}

/// Lower case, one blank for any, straight quotes and plain dashes.
pub(super) fn fold(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        let c = match c {
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            '\u{2018}' | '\u{2019}' => '\'',
            '\u{201c}' | '\u{201d}' => '"',
            c if c.is_whitespace() => ' ',
            c => c,
        };
        if c == ' ' && out.ends_with(' ') {
            continue;
        }
        out.extend(c.to_lowercase());
    }
    out
}

/// The first passage in quotes.
pub(super) fn quoted(text: &str) -> Option<String> {
    let opens = |c: char| matches!(c, '"' | '\u{201c}');
    let closes = |c: char| matches!(c, '"' | '\u{201d}');
    let from = text.find(opens)?;
    let rest = text.get(from..)?;
    let mut chars = rest.char_indices();
    chars.next()?;
    let start = chars.next()?.0;
    let body = rest.get(start..)?;
    let words = body.find(closes).and_then(|end| body.get(..end))?;
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    (!words.is_empty()).then_some(words)
}

/// Some words to both sides of a place.
fn around(text: &str, at: usize, len: usize, margin: usize) -> String {
    let mut start = at.saturating_sub(margin);
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let mut end = (at + len + margin).min(text.len());
    while !text.is_char_boundary(end) {
        end += 1;
    }
    text.get(start..end).unwrap_or("").trim().to_owned()
}

const MONTHS: [&str; 12] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];

/// `2026-05-14`, `5/14/2026`, `05-14-26`, `14 May 2026`, `May 14, 2026`. Numbers are month first,
/// as in US logs; two digits of a year are of this century.
fn dates(folded: &str) -> Vec<(Date, String)> {
    let tokens: Vec<&str> = folded
        .split(|c: char| !(c.is_alphanumeric() || c == '/' || c == '-'))
        .filter(|w| !w.is_empty())
        .collect();
    let mut found = Vec::new();
    let mut n = 0;
    while let Some(token) = tokens.get(n) {
        let next = |k: usize| tokens.get(n + k).copied().unwrap_or("");
        let (date, used) = if let Some(date) = numeric(token) {
            (Some(date), 1)
        } else if let (Some(day), Some(month), Some(year)) =
            (day(token), month(next(1)), year(next(2)))
        {
            (Date::new(year, month, day).ok(), 3)
        } else if let (Some(month), Some(day), Some(year)) =
            (month(token), day(next(1)), year(next(2)))
        {
            (Date::new(year, month, day).ok(), 3)
        } else {
            (None, 1)
        };
        if let Some(date) = date {
            let words: Vec<&str> = tokens.iter().skip(n).take(used).copied().collect();
            found.push((date, words.join(" ")));
            n += used;
        } else {
            n += 1;
        }
    }
    found
}

fn numeric(token: &str) -> Option<Date> {
    let parts: Vec<&str> = token.split(['/', '-']).collect();
    let [a, b, c] = parts.as_slice() else {
        return None;
    };
    if a.len() == 4 {
        return Date::new(a.parse().ok()?, b.parse().ok()?, c.parse().ok()?).ok();
    }
    Date::new(year(c)?, a.parse().ok()?, b.parse().ok()?).ok()
}

fn day(token: &str) -> Option<i8> {
    let digits = token.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    digits.parse().ok().filter(|d| (1..=31).contains(d))
}

fn month(token: &str) -> Option<i8> {
    let at = MONTHS.iter().position(|m| token.starts_with(m))?;
    let known = token.len() == 3
        || [
            "january",
            "february",
            "march",
            "april",
            "june",
            "july",
            "august",
            "sept",
            "september",
            "october",
            "november",
            "december",
        ]
        .contains(&token);
    known.then(|| i8::try_from(at + 1).ok()).flatten()
}

fn year(token: &str) -> Option<i16> {
    let year: i16 = token.parse().ok()?;
    match token.len() {
        4 if (1900..=2200).contains(&year) => Some(year),
        2 => Some(2000 + year),
        _ => None,
    }
}

/// A number with its label: "tt 412.6", "412.6 hours". Labels of hours have the number before
/// them, the others after.
fn time(folded: &str) -> Option<String> {
    let tokens: Vec<&str> = folded.split(' ').collect();
    let bare = |n: usize| {
        tokens
            .get(n)
            .map(|t| t.trim_matches(|c: char| !c.is_alphanumeric()))
            .unwrap_or("")
    };
    let hours = |n: usize| {
        let word = bare(n);
        let digits = word.chars().next().is_some_and(|c| c.is_ascii_digit());
        digits && numeric(word).is_none() && word.replace(',', "").parse::<f64>().is_ok()
    };
    for n in 0..tokens.len() {
        let label = bare(n);
        let after = match label {
            "tt" | "ttaf" | "ttsn" | "tis" | "tach" | "hobbs" => Some(1),
            "total" if bare(n + 1) == "time" => Some(2),
            "time-in-service" => Some(1),
            "time" if bare(n + 1) == "in" && bare(n + 2) == "service" => Some(3),
            _ => None,
        };
        if let Some(from) = after {
            let at = (n + from..n + from + 4).find(|k| hours(*k));
            if let Some(at) = at {
                let words: Vec<&str> = (n..=at).map(bare).collect();
                return Some(words.join(" "));
            }
        }
        if matches!(label, "hours" | "hrs" | "hrs." | "hr") && n > 0 && hours(n - 1) {
            return Some(format!("{} {label}", bare(n - 1)));
        }
    }
    None
}

/// A number of five digits or more beside a word for a certificate, or alone.
fn number(folded: &str, dates: &[(Date, String)]) -> Option<String> {
    let tokens: Vec<&str> = folded.split(' ').collect();
    let digits = |t: &str| t.chars().filter(char::is_ascii_digit).count();
    for (n, token) in tokens.iter().enumerate() {
        let word = token.trim_matches(|c: char| !c.is_alphanumeric());
        let is_date = dates.iter().any(|(_, d)| d == word) || numeric(word).is_some();
        if digits(word) < 5 || is_date || word.contains('.') {
            continue;
        }
        let before: Vec<&str> = tokens.iter().take(n).rev().take(4).copied().collect();
        let near = before.iter().any(|w| {
            [
                "cert",
                "no",
                "number",
                "#",
                "a&p",
                "repairman",
                "mechanic",
                "crs",
                "ia",
            ]
            .iter()
            .any(|k| {
                w.trim_matches(|c: char| ".,:;()".contains(c))
                    .starts_with(k)
            })
        });
        if near || digits(word) >= 6 {
            return Some(word.to_owned());
        }
    }
    None
}

/// A name after "name", "signed", "by", or "/s/".
fn name(entry: &str) -> Option<String> {
    for line in entry.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        for (n, word) in words.iter().enumerate() {
            let label = word
                .trim_matches(|c: char| ".,:;()".contains(c))
                .to_ascii_lowercase();
            if !["name", "signed", "by", "/s/", "inspector", "signature"].contains(&label.as_str())
            {
                continue;
            }
            let mut name = Vec::new();
            for word in words.iter().skip(n + 1).take(6) {
                let clean = word.trim_matches(|c: char| ".,:;()/".contains(c));
                let capital = clean.chars().next().is_some_and(char::is_uppercase);
                if clean.is_empty() || clean == "s" {
                    continue;
                }
                if !capital {
                    break;
                }
                name.push(clean);
                if word.ends_with([',', ';']) {
                    break;
                }
            }
            if name.len() >= 2 {
                return Some(name.join(" "));
            }
        }
    }
    None
}

/// The certificates, longest words first at each place.
fn signers(folded: &str) -> Vec<Signer> {
    use Kind::{
        BuilderRepairman, LightSportRepairmanInspection, LightSportRepairmanMaintenance, Mechanic,
        RepairStation,
    };
    let light_sport = [
        "light-sport",
        "light sport",
        "lsri",
        "lsrm",
        "65.107",
        "65.109",
    ]
    .iter()
    .find_map(|w| folded.find(w));
    let mut found: Vec<(usize, Signer)> = Vec::new();
    let mut add = |words: &str, kind: Option<Kind>| {
        if let Some(at) = word_at(folded, words)
            && !found.iter().any(|(_, s)| s.kind == kind)
        {
            found.push((
                at,
                Signer {
                    kind,
                    words: words.to_owned(),
                },
            ));
        }
    };
    for words in [
        "experimental aircraft builder",
        "65.104",
        "builder repairman",
        "repairman builder",
    ] {
        add(words, Some(BuilderRepairman));
    }
    if light_sport.is_some() {
        for words in [
            "lsri",
            "inspection rating",
            "repairman inspection",
            "(inspection)",
        ] {
            add(words, Some(LightSportRepairmanInspection));
        }
        for words in [
            "lsrm",
            "maintenance rating",
            "repairman maintenance",
            "(maintenance)",
            "light-sport maintenance",
            "light-sport) maintenance",
            "light-sport, maintenance",
            "light-sport aircraft) maintenance",
        ] {
            add(words, Some(LightSportRepairmanMaintenance));
        }
    }
    for words in ["repair station", "crs"] {
        add(words, Some(RepairStation));
    }
    for words in ["a&p", "a & p", "airframe and powerplant", "mechanic"] {
        add(words, Some(Mechanic));
    }
    if found.is_empty() {
        let general = ["light-sport", "light sport", "repairman", "owner", "pilot"];
        for words in general {
            let kind = ["owner", "pilot"].contains(&words).then_some(Kind::Owner);
            if let Some(at) = word_at(folded, words)
                && found.is_empty()
            {
                found.push((
                    at,
                    Signer {
                        kind,
                        words: words.to_owned(),
                    },
                ));
            }
        }
    }
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().map(|(_, s)| s).collect()
}

/// Where a phrase stands as words of its own.
fn word_at(folded: &str, words: &str) -> Option<usize> {
    let mut from = 0;
    while let Some(at) = folded.get(from..).and_then(|rest| rest.find(words)) {
        let at = from + at;
        let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
        let before = folded.get(..at).and_then(|s| s.chars().next_back());
        let after = folded
            .get(at + words.len()..)
            .and_then(|s| s.chars().next());
        if edge(before) && edge(after) {
            return Some(at);
        }
        from = at + words.len();
    }
    None
}
