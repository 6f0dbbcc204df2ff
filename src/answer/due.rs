//! When a condition inspection runs out, by the letter's own interval. Calendar months and
//! days are computed; for what is ambiguous the earlier day is given as the safe one.

use super::next::clause_of;
use crate::model::{Letter, Paper};
use crate::patterns::entry::means;
use crate::patterns::{EntryRole, Patterns, TermOf, WordList, WordLists};
use crate::text::numbers;
use jiff::ToSpan;
use jiff::civil::Date;

/// What the letter says about the interval.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Interval {
    /// So many calendar months: computed.
    CalendarMonths(i32),
    /// "12 months" without "calendar": ambiguous.
    Months(i32),
    /// Two numbers of calendar months in one clause, which of them holds is not computed.
    OneOfMonths {
        /// The smaller.
        least: i32,
        /// The larger.
        most: i32,
    },
    /// So many days: computed.
    Days(i32),
    /// Once in each calendar year: to the end of this one or of the next.
    CalendarYear,
    /// "annually", "yearly", "each year".
    Annually,
    /// So many hours in service.
    Hours(i32),
    /// So many hours or calendar months, whichever come first.
    HoursOrMonths {
        /// Hours in service.
        hours: i32,
        /// Months.
        months: i32,
        /// They are calendar months.
        calendar: bool,
    },
    /// So many hours or days, whichever come first.
    HoursOrDays {
        /// Hours in service.
        hours: i32,
        /// Days.
        days: i32,
    },
    /// No letter was given: the usual interval is taken, and said to be taken.
    NotSaid,
    /// The letter has no clause that sets an interval.
    NoClause,
}

/// When one inspection runs out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// The day of the inspection, as in the log entry.
    pub inspected: Date,
    /// The last day on which it is current, through 24:00; `None` where it cannot be computed.
    pub last_day: Option<Date>,
    /// The day from which on no flight may be made without another inspection.
    pub out_of_date_from: Option<Date>,
    /// The day through which it is current on every reading of an ambiguous interval.
    pub surely_through: Option<Date>,
    /// The day after which it is over on every reading.
    pub over_after: Option<Date>,
}

/// The last day of the month `months` calendar months after the month of `day`.
///
/// `None` where the calendar ends (years beyond 9999).
#[must_use]
pub fn last_day_after(day: Date, months: i32) -> Option<Date> {
    day.first_of_month()
        .checked_add(months.months())
        .ok()
        .map(Date::last_of_month)
}

/// When inspections of these days run out, by the interval.
#[must_use]
pub fn due(dates: &[Date], interval: &Interval) -> Vec<Due> {
    dates.iter().map(|date| one(*date, interval)).collect()
}

/// The usual interval in calendar months, where no letter was given (common practice).
const USUAL: i32 = 12;

fn one(inspected: Date, interval: &Interval) -> Due {
    let last_day = match interval {
        Interval::CalendarMonths(months)
        | Interval::HoursOrMonths {
            months,
            calendar: true,
            ..
        } => last_day_after(inspected, *months),
        Interval::NotSaid => last_day_after(inspected, USUAL),
        Interval::Days(days) | Interval::HoursOrDays { days, .. } => {
            inspected.checked_add(days.days()).ok()
        }
        _ => None,
    };
    let surely_through = match interval {
        Interval::Months(months) | Interval::HoursOrMonths { months, .. } => {
            inspected.checked_add(months.months()).ok()
        }
        Interval::Annually => inspected.checked_add(USUAL.months()).ok(),
        Interval::OneOfMonths { least, .. } => last_day_after(inspected, *least),
        Interval::CalendarYear => Some(inspected.last_of_year()),
        _ => None,
    };
    Due {
        inspected,
        last_day,
        out_of_date_from: last_day.and_then(|d| d.tomorrow().ok()),
        surely_through: last_day.or(surely_through),
        over_after: last_day.or(match interval {
            Interval::Months(months) | Interval::HoursOrMonths { months, .. } => {
                last_day_after(inspected, *months)
            }
            Interval::OneOfMonths { most, .. } => last_day_after(inspected, *most),
            // Once in the next year of the calendar is a reading of "each year", too.
            Interval::CalendarYear | Interval::Annually => {
                Date::new(inspected.year() + 1, 12, 31).ok()
            }
            _ => None,
        }),
    }
}

/// What the letter says about the interval of the yearly inspection, with the clause; where it
/// says nothing, what a rule sets for such an aircraft.
///
/// `text` is the normalized text of the letter.
#[must_use]
pub fn interval(letter: &Letter, text: &str, patterns: &Patterns) -> (Interval, Option<String>) {
    let mut fallback: Option<(u8, Interval, String)> = None;
    for (clause, topics) in letter.clauses.iter().zip(&letter.topics) {
        // What a clause is about is told by its phrases; where none of them stands in it, a sentence that
        // says how often the aircraft is inspected still sets an interval.
        let on_topic = topics.iter().any(|t| t == "inspection-when");
        let words = clause.body.of(text).to_ascii_lowercase();
        let found = clause_interval(&words, on_topic, patterns);
        let rank = match found {
            Interval::CalendarMonths(_)
            | Interval::OneOfMonths { .. }
            | Interval::Days(_)
            | Interval::CalendarYear => 4,
            Interval::HoursOrMonths { .. } | Interval::HoursOrDays { .. } => 5,
            Interval::Months(_) => 3,
            Interval::Annually => 2,
            Interval::Hours(_) => 1,
            Interval::NotSaid | Interval::NoClause => continue,
        };
        let rank = if on_topic { rank + ON_TOPIC } else { rank };
        if fallback.as_ref().is_none_or(|(best, ..)| rank > *best) {
            fallback = Some((rank, found, clause.id.clone()));
        }
    }
    if let Some((_, interval, clause)) = fallback {
        return (interval, Some(clause));
    }
    let by_rule = (letter.paper == Paper::LightSportCategory)
        .then(|| patterns.statement.terms(TermOf::Inspection).next())
        .flatten();
    match by_rule {
        Some((_, term)) => (Interval::CalendarMonths(term.months), None),
        None => (
            Interval::NoClause,
            clause_of(letter, "inspection-when").map(str::to_owned),
        ),
    }
}

/// Whether a letter says when to inspect: in a clause on that topic, or by an interval that it sets.
pub(super) fn says_when(letter: &Letter, text: &str, patterns: &Patterns) -> bool {
    clause_of(letter, "inspection-when").is_some()
        || interval(letter, text, patterns).0 != Interval::NoClause
}

/// A clause on when the aircraft is inspected comes before any other.
const ON_TOPIC: u8 = 8;

/// The interval of a clause, in lower case: of the sentences that speak of an inspection, and not
/// only of a check of something else, such as the altimeter. Of a clause that is not on that topic, those
/// that say how often.
fn clause_interval(words: &str, on_topic: bool, patterns: &Patterns) -> Interval {
    let speaks = |part: &str| patterns.list.within(part, WordList::Inspecting);
    let mut weak = Interval::NoClause;
    let mut parts = sentences(words, patterns).into_iter().peekable();
    while let Some(part) = parts.next() {
        if !speaks(part) || of_something_else(part, patterns) {
            continue;
        }
        // "each 12 calendar months; after 500 hours, each 6 calendar months": the second part
        // speaks of the same inspection.
        let mut sentence = part.to_owned();
        // "every 12 cal. months", "(part 43, app. D)": a full stop within a bracket ends no sentence.
        while (sentence.matches('(').count() > sentence.matches(')').count()
            || ends_short(&sentence, patterns))
            && let Some(more) = parts.next()
        {
            sentence.push_str(more);
        }
        while sentence.ends_with(';')
            && let Some(more) = parts.next_if(|p| !speaks(p) && !of_something_else(p, patterns))
        {
            sentence.push_str(more);
        }
        if !on_topic && !says_how_often(&sentence, patterns) {
            continue;
        }
        match sentence_interval(&sentence, &patterns.list) {
            Interval::NoClause => {}
            Interval::Hours(n) if weak == Interval::NoClause => weak = Interval::Hours(n),
            Interval::Annually if matches!(weak, Interval::NoClause | Interval::Hours(_)) => {
                weak = Interval::Annually;
            }
            Interval::Hours(_) | Interval::Annually => {}
            Interval::Days(_) if weak != Interval::NoClause => {}
            found => return found,
        }
    }
    weak
}

/// The parts of a clause that a semicolon or a full stop ends; that of "91.169(a)" or "12 calendar mos." ends none.
fn sentences<'w>(words: &'w str, patterns: &Patterns) -> Vec<&'w str> {
    let mut found = Vec::new();
    let mut from = 0;
    for (at, end) in words.match_indices(['.', ';']) {
        let behind = words[at + end.len()..].chars().next();
        let within = behind.is_some_and(|c| c.is_ascii_digit())
            || ends_short(&words[from..at + end.len()], patterns);
        if end == ";" || !within {
            found.push(&words[from..at + end.len()]);
            from = at + end.len();
        }
    }
    found.push(&words[from..]);
    found
}

/// Whether a sentence says how often, and of the aircraft or of nothing: "inspected every 25 hours", "annually".
fn says_how_often(sentence: &str, patterns: &Patterns) -> bool {
    let tokens: Vec<&str> = sentence
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    let past = |word: &&&str| patterns.list.has(word, WordList::Past);
    let often = tokens.iter().enumerate().any(|(n, word)| {
        let counted = number(&tokens[n..]).is_some();
        let again = n > 0 && (EVERY.contains(&tokens[n - 1]) || past(&&tokens[n - 1]));
        // "within the 12 calendar months preceding", "10 hours or 30 days, whichever comes first"
        let before = tokens[n..].iter().skip(1).take(UNIT).any(|w| past(&w));
        let first = tokens[n..].contains(&WHICHEVER);
        patterns.list.has(word, WordList::Annually)
            || counted && (again || before || first)
            || same_month(&tokens[n..], &patterns.list)
    });
    // "must be inspected", "shall have been inspected", "condition inspection: every".
    let condition = tokens
        .iter()
        .any(|word| patterns.list.has(word, WordList::Condition));
    often && (condition || of_the_aircraft(sentence, patterns))
}

/// The months after its issue at whose end the certificate expires by the letter's own words: "expires one year
/// from the date of issue".
pub(super) fn ends_after(letter: &Letter, text: &str, patterns: &Patterns) -> Option<i32> {
    let says = |sentence: &str, means: &str| {
        let found = patterns.entry.meanings(sentence, EntryRole::Word);
        found.contains(&means)
    };
    letter.clauses.iter().find_map(|clause| {
        let words = clause.body.of(text).to_ascii_lowercase();
        sentences(&words, patterns)
            .into_iter()
            .find_map(|sentence| {
                let ends = patterns.entry.may_show(sentence, EntryRole::Expires)
                    && says(sentence, means::ISSUE)
                    && !patterns.list.within(sentence, WordList::Inspecting);
                match sentence_interval(sentence, &patterns.list) {
                    Interval::Months(months) | Interval::CalendarMonths(months) if ends => {
                        Some(months)
                    }
                    Interval::Annually if ends => Some(USUAL),
                    _ => None,
                }
            })
    })
}

/// Whether the last word is a short form, whose full stop ends no sentence.
fn ends_short(sentence: &str, patterns: &Patterns) -> bool {
    let last = sentence
        .strip_suffix('.')
        .and_then(|s| s.rsplit(|c: char| !c.is_alphanumeric()).next());
    last.is_some_and(|w| patterns.list.has(w, WordList::ShortFormOfEntry))
}

/// Whether a sentence speaks of the aircraft, or of the scope of its inspection.
fn of_the_aircraft(sentence: &str, patterns: &Patterns) -> bool {
    let entry = &patterns.entry;
    !entry.meanings(sentence, EntryRole::Aircraft).is_empty()
        || entry
            .meanings(sentence, EntryRole::Shows)
            .contains(&"scope")
}

fn of_something_else(sentence: &str, patterns: &Patterns) -> bool {
    let found = patterns.entry.meanings(sentence, EntryRole::Inspection);
    let other = found.contains(&"other") && !found.iter().any(|m| *m != "other");
    // "The parachute must be inspected each 12 calendar months": a part, and nowhere the aircraft.
    // "The airframe must be inspected each 12 calendar months and the engine each 50 hours": what is inspected
    // stands before the verb, or behind it where it opens the sentence.
    let verb = sentence
        .split_whitespace()
        .position(|word| patterns.list.within(word, WordList::Inspecting));
    let words: Vec<&str> = sentence.split_whitespace().collect();
    let (before, behind) = words.split_at(verb.unwrap_or(0));
    let names_part = |words: &[&str]| {
        let words = words.join(" ");
        let found = patterns.entry.meanings(&words, EntryRole::Word);
        found.contains(&means::THING) || found.contains(&means::OPTIONAL)
    };
    let part = names_part(before) || before.len() < 2 && names_part(behind);
    // "an inspection of airframe and powerplant": all of it.
    let rated = patterns.entry.meanings(sentence, EntryRole::Rating);
    let whole = rated.contains(&means::BOTH)
        || [means::AIRFRAME, means::POWERPLANT]
            .iter()
            .all(|m| rated.contains(m));
    let aircraft = whole || of_the_aircraft(sentence, patterns);
    let speaks = patterns.list.within(sentence, WordList::Inspecting);
    other || speaks && part && !aircraft && found.is_empty()
}

fn sentence_interval(words: &str, lists: &WordLists) -> Interval {
    let tokens: Vec<&str> = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    let mut said = Said::default();
    let any = |list| tokens.iter().any(|w| lists.has(w, list));
    let kept = any(WordList::Recorded) && !any(WordList::InForce);
    let mut running = 0;
    for n in 0..tokens.len() {
        let before = n.checked_sub(1).map_or("", |n| tokens[n]);
        let behind_tens = numbers::tens(before).is_some();
        // "The record must be kept for 12 months" says how long, and not how often.
        let how_long = before == "for" && kept;
        if !(how_long || behind_tens && numbers::unit(tokens[n]).is_some()) {
            said.add(&tokens[n..], lists);
            running +=
                usize::from(lists.has(before, WordList::Past) && number(&tokens[n..]).is_some());
        }
    }
    // "within the preceding 100 hours and within the preceding 12 calendar months": either can run out first.
    let first = words.contains(WHICHEVER) || words.contains(" or ") || running > 1;
    said.interval(first)
}

/// The lengths of time that a sentence names.
#[derive(Default)]
struct Said {
    /// Numbers of months, and whether they are calendar months.
    months: Vec<(i32, bool)>,
    hours: Option<i32>,
    days: Option<i32>,
    yearly: bool,
    calendar_year: bool,
}

impl Said {
    /// What the first of these words begin.
    fn add(&mut self, words: &[&str], lists: &WordLists) {
        let month = |word: &str| lists.has(word, WordList::Month);
        let calendar = |word: &str| lists.has(word, WordList::Calendar);
        let year = |word: &str| lists.has(word, WordList::OneYear);
        let at = |k: usize| words.get(k).copied().unwrap_or("");
        if let Some((count, used)) = number(words) {
            // "twelve (12) calendar months"
            let again = words.get(used..).and_then(number);
            let unit = used + again.filter(|(n, _)| *n == count).map_or(0, |(_, n)| n);
            let (unit, behind) = (at(unit), at(unit + 1));
            if calendar(unit) && month(behind) {
                self.months.push((count, true));
            } else if month(unit) {
                self.months.push((count, false));
            } else if lists.has(unit, WordList::Hour) {
                self.hours.get_or_insert(count);
            } else if lists.has(unit, WordList::Day) {
                self.days = self.days.max(Some(count));
            } else if lists.has(unit, WordList::Year) && count == 1 {
                self.yearly = true;
            } else if lists.has(unit, WordList::Year) {
                self.months.push((count.saturating_mul(12), false));
            }
        }
        // "to the end of the twelfth calendar month"
        let figures = |word: &str| {
            let (figures, end) = word.split_at(word.len().saturating_sub(2));
            let ends = ["st", "nd", "rd", "th"].contains(&end);
            ends.then(|| figures.parse().ok()).flatten().map(|n| (n, 1))
        };
        if let Some((count, 1)) = numbers::ordinal(at).or_else(|| figures(at(0)))
            && calendar(at(1))
            && month(at(2))
        {
            self.months.extend(i32::try_from(count).map(|n| (n, true)));
        }
        if same_month(words, lists) {
            self.months.push((USUAL, true));
        }
        let once = EVERY.contains(&at(0)) || lists.has(at(0), WordList::Past);
        let yearly = once && (year(at(1)) || at(1) == "a" && year(at(2)));
        // "within the past year" is a time that runs, not a year of the calendar.
        if yearly && lists.has(at(0), WordList::Past) {
            self.months.push((USUAL, false));
        }
        self.yearly |= yearly && !lists.has(at(0), WordList::Past);
        self.calendar_year |= once && calendar(at(1)) && year(at(2));
        self.yearly |= lists.has(at(0), WordList::Annual)
            && (lists.has(at(1), WordList::Inspecting) || lists.has(at(1), WordList::Condition));
        self.yearly |= lists.has(at(0), WordList::Annually);
    }

    fn interval(mut self, first: bool) -> Interval {
        // Of one number said in both ways the calendar months come first, and hold.
        self.months
            .sort_unstable_by_key(|(n, calendar)| (*n, !calendar));
        self.months.dedup_by_key(|(n, _)| *n);
        // Days beside hours give a day only where the words say that the first of them binds.
        let days = self.days.filter(|d| {
            (*d >= LEAST_DAYS && self.hours.is_none()) || (self.hours.is_some() && first)
        });
        match (self.months.as_slice(), self.hours, days) {
            ([(least, _), .., (most, _)], ..) => Interval::OneOfMonths {
                least: *least,
                most: *most,
            },
            ([(months, calendar), ..], Some(hours), _) if first => Interval::HoursOrMonths {
                hours,
                months: *months,
                calendar: *calendar,
            },
            ([(months, true), ..], ..) => Interval::CalendarMonths(*months),
            ([(months, false), ..], ..) => Interval::Months(*months),
            ([], Some(hours), Some(days)) => Interval::HoursOrDays { hours, days },
            ([], None, Some(days)) => Interval::Days(days),
            ([], ..) if self.calendar_year => Interval::CalendarYear,
            ([], ..) if self.yearly => Interval::Annually,
            ([], Some(hours), _) => Interval::Hours(hours),
            ([], None, None) => Interval::NoClause,
        }
    }
}

/// Whether these words begin with "the same calendar month of the following year".
fn same_month(words: &[&str], lists: &WordLists) -> bool {
    let at = |k: usize| words.get(k).copied().unwrap_or("");
    let month = |k: usize| lists.has(at(k), WordList::Month);
    let anew =
        |k: usize| lists.has(at(k), WordList::Following) && lists.has(at(k + 1), WordList::OneYear);
    at(0) == SAME
        && (month(1) || lists.has(at(1), WordList::Calendar) && month(2))
        && (2..=2 + UNIT).any(anew)
}

/// "The same month".
const SAME: &str = "same";

/// Says that the first of several limits binds.
const WHICHEVER: &str = "whichever";

/// So many words behind a number its unit ends.
const UNIT: usize = 4;

/// Words for what comes again.
const EVERY: [&str; 4] = ["each", "every", "once", "per"];

/// Fewer days are no interval between inspections, but one for a report or a notice.
const LEAST_DAYS: i32 = 90;

/// The number that the first of these words say, in figures or in words, and how many they are.
fn number(words: &[&str]) -> Option<(i32, usize)> {
    let word = |n: usize| words.get(n).copied().unwrap_or("");
    let figures = word(0).parse().ok().map(|n: i32| (n, 1));
    let in_words = || {
        let (n, used) = numbers::cardinal(word)?;
        Some((i32::try_from(n).ok()?, used))
    };
    figures
        .or_else(in_words)
        .filter(|(n, _)| (1..=9999).contains(n))
}
