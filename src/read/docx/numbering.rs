//! Automatic numbers. In a word processor's file the numbers of clauses are no text: a paragraph
//! names a list and a level, and the list says how its levels count and look.

use std::collections::BTreeMap;

use super::xml::{Attributes, Node, walk};

/// Characters around the numbers of a level; a word processor takes a few words.
const LONGEST: usize = 100;

/// Levels of a list.
const LEVELS: usize = 9;

/// How a level counts and looks.
#[derive(Clone, Debug)]
struct Level {
    start: i64,
    format: Format,
    /// `(%1)`, `%1.%2`.
    text: String,
    /// The level (from 1) whose use starts this one again; 0 for never, `None` for every level
    /// above.
    restart: Option<usize>,
    /// Every number in it is written in figures.
    figures: bool,
    /// The paragraph style that stands for this level.
    style: Option<String>,
}

impl Default for Level {
    fn default() -> Self {
        Self {
            start: 0,
            format: Format::Decimal,
            text: String::new(),
            restart: None,
            figures: false,
            style: None,
        }
    }
}

/// How a number is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Format {
    Decimal,
    DecimalZero,
    LowerLetter,
    UpperLetter,
    LowerRoman,
    UpperRoman,
    Ordinal,
    Bullet,
    None,
}

impl Format {
    fn of(name: &str) -> Self {
        match name {
            "decimalZero" => Self::DecimalZero,
            "lowerLetter" => Self::LowerLetter,
            "upperLetter" => Self::UpperLetter,
            "lowerRoman" => Self::LowerRoman,
            "upperRoman" => Self::UpperRoman,
            "ordinal" => Self::Ordinal,
            "bullet" => Self::Bullet,
            "none" => Self::None,
            _ => Self::Decimal,
        }
    }

    fn write(self, n: i64) -> String {
        match self {
            Self::Decimal => n.to_string(),
            Self::DecimalZero => format!("{n:02}"),
            Self::LowerLetter => letters(n),
            Self::UpperLetter => letters(n).to_ascii_uppercase(),
            Self::LowerRoman => roman(n),
            Self::UpperRoman => roman(n).to_ascii_uppercase(),
            Self::Ordinal => ordinal(n),
            Self::Bullet | Self::None => String::new(),
        }
    }
}

/// 1 is `a`, 27 is `aa`, 28 is `bb`.
fn letters(n: i64) -> String {
    let Ok(index) = usize::try_from(n - 1) else {
        return String::new();
    };
    let letter = b'a' + u8::try_from(index % 26).unwrap_or(0);
    char::from(letter)
        .to_string()
        .repeat((index / 26 + 1).min(8))
}

fn roman(n: i64) -> String {
    const SIGNS: [(i64, &str); 13] = [
        (1000, "m"),
        (900, "cm"),
        (500, "d"),
        (400, "cd"),
        (100, "c"),
        (90, "xc"),
        (50, "l"),
        (40, "xl"),
        (10, "x"),
        (9, "ix"),
        (5, "v"),
        (4, "iv"),
        (1, "i"),
    ];
    if !(1..4000).contains(&n) {
        return n.to_string();
    }
    let mut left = n;
    let mut out = String::new();
    for (value, sign) in SIGNS {
        while left >= value {
            out.push_str(sign);
            left -= value;
        }
    }
    out
}

fn ordinal(n: i64) -> String {
    let end = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{end}")
}

#[derive(Debug, Default)]
struct List {
    levels: BTreeMap<usize, Level>,
    /// The list stands in the style of that name.
    of_style: Option<String>,
}

/// A use of a list.
#[derive(Debug, Default)]
struct Use {
    list: String,
    /// The counting starts at this number for this use.
    starts: BTreeMap<usize, i64>,
    /// Levels that look otherwise for this use.
    levels: BTreeMap<usize, Level>,
}

/// The lists of a file.
#[derive(Debug, Default)]
pub(super) struct Lists {
    lists: BTreeMap<String, List>,
    uses: BTreeMap<String, Use>,
}

impl Lists {
    /// Reads `numbering.xml`.
    pub(super) fn read(part: &str) -> Self {
        let mut lists = Self::default();
        let (mut list, mut used, mut at) = (None::<String>, None::<String>, 0_usize);
        // Inside a level: of a list, or of a use that overrides it.
        let mut level: Option<Level> = None;
        walk(part, &mut |node| match node {
            Node::Open("abstractNum", a) => {
                let id = a.get("abstractNumId").unwrap_or_default().to_owned();
                lists.lists.entry(id.clone()).or_default();
                list = Some(id);
            }
            Node::Open("num", a) => {
                let id = a.get("numId").unwrap_or_default().to_owned();
                lists.uses.entry(id.clone()).or_default();
                used = Some(id);
            }
            Node::Open("abstractNumId", a) => {
                if let Some(one) = used.as_ref().and_then(|u| lists.uses.get_mut(u)) {
                    a.val().unwrap_or_default().clone_into(&mut one.list);
                }
            }
            Node::Open("lvlOverride", a) => at = index(a.get("ilvl")),
            Node::Open("startOverride", a) => {
                if let Some(one) = used.as_ref().and_then(|u| lists.uses.get_mut(u)) {
                    one.starts.insert(at, number(a).unwrap_or(1));
                }
            }
            Node::Open("lvl", a) => {
                at = index(a.get("ilvl"));
                level = Some(Level::default());
            }
            Node::Close("lvl") => {
                if let Some(level) = level.take() {
                    if let Some(one) = used.as_ref().and_then(|u| lists.uses.get_mut(u)) {
                        one.levels.insert(at, level);
                    } else if let Some(one) = list.as_ref().and_then(|l| lists.lists.get_mut(l)) {
                        one.levels.insert(at, level);
                    }
                }
            }
            Node::Open("numStyleLink", a) => {
                if let Some(one) = list.as_ref().and_then(|l| lists.lists.get_mut(l)) {
                    one.of_style = a.val().map(str::to_owned);
                }
            }
            Node::Open(name, a) => {
                if let Some(level) = &mut level {
                    property(level, name, a);
                }
            }
            Node::Close("abstractNum") => list = None,
            Node::Close("num") => used = None,
            Node::Close(_) | Node::Text(_) => {}
        });
        lists
    }

    /// The level of a list that stands for a paragraph style.
    pub(super) fn level_of_style(&self, num: &str, style: &str) -> Option<usize> {
        self.lists
            .get(&self.uses.get(num)?.list)?
            .levels
            .iter()
            .find(|(_, level)| level.style.as_deref() == Some(style))
            .map(|(at, _)| *at)
    }

    /// The list style behind a use, where the list stands there.
    pub(super) fn style_of(&self, num: &str) -> Option<&str> {
        self.lists
            .get(&self.uses.get(num)?.list)?
            .of_style
            .as_deref()
    }

    fn level(&self, num: &str, at: usize) -> Option<&Level> {
        let one = self.uses.get(num)?;
        one.levels
            .get(&at)
            .or_else(|| self.lists.get(&one.list)?.levels.get(&at))
    }
}

fn index(level: Option<&str>) -> usize {
    level
        .and_then(|l| l.parse().ok())
        .unwrap_or(0)
        .min(LEVELS - 1)
}

fn number(attributes: &Attributes) -> Option<i64> {
    attributes
        .val()?
        .parse()
        .ok()
        .filter(|n| (0..1_000_000).contains(n))
}

fn property(level: &mut Level, name: &str, attributes: &Attributes) {
    match name {
        "start" => level.start = number(attributes).unwrap_or(1),
        "numFmt" => level.format = Format::of(attributes.val().unwrap_or_default()),
        "lvlText" => {
            let text = attributes.val().unwrap_or_default();
            level.text = text.chars().take(LONGEST).collect();
        }
        "lvlRestart" => level.restart = attributes.val().and_then(|v| v.parse().ok()),
        "isLgl" => level.figures = attributes.on(),
        "pStyle" => level.style = attributes.val().map(str::to_owned),
        _ => {}
    }
}

/// Counts along the paragraphs of a text.
#[derive(Debug)]
pub(super) struct Counter<'l> {
    lists: &'l Lists,
    /// For each list the last number of each level. Uses of one list count on together.
    last: BTreeMap<&'l str, [Option<i64>; LEVELS]>,
    /// Levels of uses whose own start was taken.
    started: std::collections::BTreeSet<(String, usize)>,
}

impl<'l> Counter<'l> {
    pub(super) fn new(lists: &'l Lists) -> Self {
        Self {
            lists,
            last: BTreeMap::new(),
            started: std::collections::BTreeSet::new(),
        }
    }

    /// The number of the next paragraph of that use and level, as it is printed; empty for a
    /// level that prints none.
    pub(super) fn next(&mut self, num: &str, at: usize) -> Option<String> {
        let lists = self.lists;
        let one = lists.uses.get(num)?;
        let level = lists.level(num, at)?;
        let last = self.last.entry(one.list.as_str()).or_default();
        let own = one
            .starts
            .get(&at)
            .filter(|_| self.started.insert((num.to_owned(), at)));
        let value = match (own, last.get(at).copied().flatten()) {
            (Some(start), _) => *start,
            (None, Some(n)) => n + 1,
            (None, None) => one.starts.get(&at).copied().unwrap_or(level.start),
        };
        if let Some(slot) = last.get_mut(at) {
            *slot = Some(value);
        }
        for (above, slot) in last.iter_mut().enumerate().take(at) {
            // A level that was passed over counts as begun.
            if slot.is_none() {
                *slot = lists.level(num, above).map(|l| l.start);
            }
        }
        for (below, slot) in last.iter_mut().enumerate().skip(at + 1) {
            let restart = lists.level(num, below).and_then(|l| l.restart);
            if restart.is_none_or(|r| r > at) {
                *slot = None;
            }
        }
        let last = *last;
        Some(match level.format {
            Format::Bullet => "•".to_owned(),
            _ => self.written(num, level, &last),
        })
    }

    fn written(&self, num: &str, level: &Level, last: &[Option<i64>; LEVELS]) -> String {
        let mut out = String::new();
        let mut chars = level.text.chars().peekable();
        while let Some(c) = chars.next() {
            let digit = chars.peek().and_then(|d| d.to_digit(10)).filter(|d| *d > 0);
            match (c, digit) {
                ('%', Some(digit)) => {
                    chars.next();
                    let at = digit as usize - 1;
                    let format = match self.lists.level(num, at) {
                        Some(l) if level.figures && l.format != Format::None => Format::Decimal,
                        Some(l) => l.format,
                        None => Format::Decimal,
                    };
                    if let Some(n) = last.get(at).copied().flatten() {
                        out.push_str(&format.write(n));
                    }
                }
                _ => out.push(c),
            }
        }
        out.trim().to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PART: &str = r#"<w:numbering xmlns:w="w">
<w:abstractNum w:abstractNumId="0">
 <w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:lvlText w:val="(%1)"/></w:lvl>
 <w:lvl w:ilvl="1"><w:start w:val="1"/><w:numFmt w:val="lowerLetter"/><w:lvlText w:val="(%2)"/></w:lvl>
 <w:lvl w:ilvl="2"><w:start w:val="1"/><w:numFmt w:val="lowerRoman"/><w:lvlText w:val="%1.%2.%3"/><w:isLgl/></w:lvl>
 <w:lvl w:ilvl="3"><w:start w:val="5"/><w:numFmt w:val="upperRoman"/><w:lvlText w:val="%4)"/><w:lvlRestart w:val="0"/></w:lvl>
</w:abstractNum>
<w:num w:numId="1"><w:abstractNumId w:val="0"/></w:num>
<w:num w:numId="2"><w:abstractNumId w:val="0"/><w:lvlOverride w:ilvl="0"><w:startOverride w:val="22"/></w:lvlOverride></w:num>
</w:numbering>"#;

    #[test]
    fn levels_count_restart_and_look_as_the_list_says() {
        let lists = Lists::read(PART);
        let mut counter = Counter::new(&lists);
        let mut next = |num: &str, at: usize| counter.next(num, at).unwrap();
        assert_eq!(next("1", 0), "(1)");
        assert_eq!(next("1", 1), "(a)");
        assert_eq!(next("1", 1), "(b)");
        assert_eq!(next("1", 2), "1.2.1");
        assert_eq!(next("1", 3), "V)");
        assert_eq!(next("1", 0), "(2)");
        assert_eq!(next("1", 1), "(a)");
        assert_eq!(next("1", 3), "VI)");
        assert_eq!(next("2", 0), "(22)");
        assert_eq!(next("2", 0), "(23)");
        assert_eq!(next("1", 0), "(24)");
        assert!(counter.next("9", 0).is_none());
    }

    #[test]
    fn numbers_as_letters_and_roman_figures() {
        assert_eq!(letters(26), "z");
        assert_eq!(letters(28), "bb");
        assert_eq!(letters(0), "");
        assert_eq!(roman(14), "xiv");
        assert_eq!(roman(1999), "mcmxcix");
        assert_eq!(ordinal(112), "112th");
    }
}
