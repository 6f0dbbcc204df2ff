//! Why, without layout: what each clause says about who may inspect, and the two keys of a kind.
//! Formats only lay it out.

use super::{Report, View, clean, days, findings, first, words};
use crate::model::{
    Answer, ConditionResult, Inspection, InspectorRule, KeyTwo, NamedKind, OpenBecause, RuleAnswer,
    RuleCitation, Span,
};

/// What is said where no clause speaks of who inspects.
pub(crate) const NO_CLAUSE: &str = "No clause that was read says who may do an inspection.";

/// Confidence from which on words count as read for certain.
const SURE: f32 = 0.995;

/// What a clause says about who may inspect.
pub(crate) struct Clause<'a> {
    /// The statement of the letter.
    pub(crate) rule: &'a InspectorRule,
    /// Where it stands.
    pub(crate) place: String,
    /// Which inspection it speaks of.
    pub(crate) about: &'static str,
    /// What it does: "closes the list", "permits".
    pub(crate) stance: &'static str,
    /// What it says, in rows.
    pub(crate) rows: Vec<Row>,
}

/// A row of what a clause says.
pub(crate) enum Row {
    /// The kinds that it names.
    Names(String),
    /// The kinds that it shuts out.
    ShutsOut(String),
    /// The words that decide.
    KeyWords(Vec<Span>),
    /// A condition of the clause.
    Condition(Span),
    /// Why its words cannot be relied on.
    Doubt(String),
}

impl Row {
    /// The label before it.
    pub(crate) const fn label(&self) -> &'static str {
        match self {
            Self::Names(_) => "names",
            Self::ShutsOut(_) => "shuts out",
            Self::KeyWords(_) => "key words",
            Self::Condition(_) => "condition",
            Self::Doubt(_) => "doubt",
        }
    }
}

/// What each clause says, in the order of the letter.
pub(crate) fn clauses<'a>(report: &Report<'a>) -> Vec<Clause<'a>> {
    let rules = report.letter.inspectors.iter();
    rules.map(|rule| clause(report, rule)).collect()
}

fn clause<'a>(report: &Report<'a>, rule: &'a InspectorRule) -> Clause<'a> {
    let view = report.view();
    let mut rows = Vec::new();
    if !rule.named.is_empty() {
        rows.push(Row::Names(titles(&rule.named)));
    }
    if !rule.excluded.is_empty() {
        rows.push(Row::ShutsOut(titles(&rule.excluded)));
    }
    if !rule.evidence.is_empty() {
        rows.push(Row::KeyWords(rule.evidence.clone()));
    }
    let conditions = rule.conditions.iter();
    rows.extend(conditions.map(|c| Row::Condition(c.span)));
    rows.extend(findings::doubt(&view, rule).map(Row::Doubt));
    Clause {
        rule,
        place: view.place_words(rule.span),
        about: match rule.inspection {
            Inspection::Yearly | Inspection::HundredHour if one_of_two(report, rule) => {
                words::ONE_OF_TWO
            }
            Inspection::Other => "another inspection, not the yearly one",
            other => words::inspection(other),
        },
        stance: words::stance(rule),
        rows,
    }
}

/// Whether the same words, which are not clear, stand for the yearly and for the 100-hour inspection.
fn one_of_two(report: &Report<'_>, rule: &InspectorRule) -> bool {
    let mut rules = report.letter.inspectors.iter();
    rule.doubt.is_some()
        && rules.any(|other| {
            other.doubt.is_some()
                && other.span == rule.span
                && other.inspection != rule.inspection
                && matches!(
                    other.inspection,
                    Inspection::Yearly | Inspection::HundredHour
                )
        })
}

/// The kinds, each once.
fn titles(kinds: &[NamedKind]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for kind in kinds {
        if !names.contains(&kind.kind.title()) {
            names.push(kind.kind.title());
        }
    }
    names.join("; ")
}

/// The two keys of a kind.
pub(crate) struct Keys<'a> {
    /// The kind, as a title.
    pub(crate) name: String,
    /// The word of the answer.
    pub(crate) verdict: &'static str,
    /// What stands behind it; empty where nothing has to.
    pub(crate) because: String,
    /// The rule of the day.
    pub(crate) rule: RuleKey<'a>,
    /// The letter.
    pub(crate) letter: LetterKey,
}

/// What the rule says of a kind.
pub(crate) struct RuleKey<'a> {
    /// The end of "The rule …".
    pub(crate) said: &'static str,
    /// The rules, each with its days, state and grade.
    pub(crate) citations: &'a [RuleCitation],
    /// The words of the rules, where they are held.
    pub(crate) quotes: Vec<&'a str>,
    /// The conditions, each held against the facts.
    pub(crate) conditions: Vec<Condition>,
    /// What always stands beside a yes.
    pub(crate) standing: &'a [String],
    /// What there is to know beside it.
    pub(crate) notes: Vec<String>,
}

/// What the letter says of a kind.
pub(crate) struct LetterKey {
    /// The end of "The letter …".
    pub(crate) said: &'static str,
    /// Indexes of the clauses that say it; empty where the letter is silent.
    pub(crate) clauses: Vec<usize>,
    /// The words that decide for this kind.
    pub(crate) words: Vec<Deciding>,
    /// The conditions of the clauses, each held against the facts.
    pub(crate) conditions: Vec<Condition>,
    /// What there is to know beside it.
    pub(crate) notes: Vec<String>,
}

impl RuleKey<'_> {
    /// The end of "The rule …", with the rules, their days and grades.
    pub(crate) fn cited(&self) -> String {
        let cited = words::short_citations(self.citations);
        if cited.is_empty() {
            self.said.to_owned()
        } else {
            format!("{}: {}", self.said, days::told(&cited))
        }
    }
}

impl LetterKey {
    /// "clause 8", "clauses 8 and 9"; `None` where the letter is silent.
    pub(crate) fn named(&self, view: &View<'_>) -> Option<String> {
        let ids = view.ids(&self.clauses);
        match ids.as_slice() {
            [] => None,
            [one] => Some(format!("clause {one}")),
            several => Some(format!("clauses {}", words::list(several, "and"))),
        }
    }
}

/// A condition, held against the facts.
pub(crate) struct Condition {
    /// Whether it is met: a word.
    pub(crate) label: &'static str,
    /// It is met.
    pub(crate) met: bool,
    /// What it asks.
    pub(crate) words: String,
    /// The paragraph; empty where there is none.
    pub(crate) citation: String,
}

impl Condition {
    fn of(condition: &ConditionResult) -> Self {
        let words = if condition.words.is_empty() {
            &condition.name
        } else {
            &condition.words
        };
        Self {
            label: match condition.met {
                Some(true) => "met",
                Some(false) => "not met",
                None if condition.open_because == Some(OpenBecause::Law) => "unsettled",
                None => "unknown",
            },
            met: condition.met == Some(true),
            words: words.clone(),
            citation: condition.citation.clone(),
        }
    }

    /// What it asks, with the paragraph behind it.
    pub(crate) fn cited(&self) -> String {
        if self.citation.is_empty() {
            self.words.clone()
        } else {
            format!("{} ({})", self.words, self.citation)
        }
    }
}

/// Words that decide.
pub(crate) struct Deciding {
    /// Their bytes.
    pub(crate) span: Span,
    /// Id of the clause in which they stand.
    pub(crate) clause: Option<String>,
    /// Where they stand, and how surely they were read where that is in question.
    pub(crate) place: String,
}

/// The two keys of an answer.
pub(crate) fn keys<'a>(report: &Report<'a>, answer: &'a Answer) -> Keys<'a> {
    Keys {
        name: words::capital(words::holder_title(answer)),
        verdict: words::verdict(answer.answer),
        because: first::because(report, answer),
        rule: rule_key(report, answer),
        letter: letter_key(report, answer),
    }
}

fn rule_key<'a>(report: &Report<'a>, answer: &'a Answer) -> RuleKey<'a> {
    let rule = &answer.rule;
    let quote = |id: &String| {
        let mut sources = report.sources(id).iter();
        sources.find(|s| !s.quote.is_empty())
    };
    RuleKey {
        said: words::rule(rule.answer),
        citations: &rule.citations,
        quotes: rule
            .rules
            .iter()
            .filter_map(quote)
            .map(|s| s.quote.as_str())
            .collect(),
        conditions: rule.conditions.iter().map(Condition::of).collect(),
        standing: if rule.answer == RuleAnswer::No {
            &[]
        } else {
            &rule.standing
        },
        notes: report.rule_notes(answer),
    }
}

fn letter_key(report: &Report<'_>, answer: &Answer) -> LetterKey {
    let letter = &answer.letter;
    let silent = letter.answer == KeyTwo::Silent;
    let words = own_words(report, answer);
    LetterKey {
        said: words::key_two(letter.answer),
        clauses: if silent {
            Vec::new()
        } else {
            letter.clauses.clone()
        },
        words: words.iter().map(|span| deciding(report, *span)).collect(),
        conditions: letter.conditions.iter().map(Condition::of).collect(),
        notes: report.letter_notes(answer),
    }
}

fn deciding(report: &Report<'_>, span: Span) -> Deciding {
    let view = report.view();
    let found = view.evidence(span);
    let mut place = view.place_words(span);
    if found.confidence < SURE {
        let percent = found.confidence * 100.0;
        place.push_str(&format!(", read with {percent:.0} % confidence"));
    }
    Deciding {
        span,
        clause: found.clause,
        place,
    }
}

/// The words that decide for this kind. Where the kind is in no list, those are the words of the
/// clause as a whole, which stand quoted above.
pub(crate) fn own_words(report: &Report<'_>, answer: &Answer) -> Vec<Span> {
    if matches!(answer.letter.answer, KeyTwo::Unlisted | KeyTwo::ShutOut) {
        return Vec::new();
    }
    // Names of other kinds decide nothing here.
    let others: Vec<Span> = report
        .letter
        .inspectors
        .iter()
        .flat_map(|rule| rule.named.iter().chain(&rule.excluded))
        .filter(|named| named.kind != answer.holder)
        .map(|named| named.span)
        .collect();
    let evidence = answer.letter.evidence.iter().copied();
    let own: Vec<Span> = evidence.filter(|span| !others.contains(span)).collect();
    if own.is_empty() {
        answer.letter.evidence.clone()
    } else {
        own
    }
}

/// The notes to the answers, in the order in which they come up: what holds for several kinds is
/// said once.
#[derive(Default)]
pub(crate) struct Notes(Vec<String>);

impl Notes {
    /// The number of a note, from 1, and whether it comes up for the first time.
    pub(crate) fn number(&mut self, note: &str) -> (usize, bool) {
        let note = words::sentence(&clean::line(note));
        if let Some(n) = self.0.iter().position(|known| *known == note) {
            return (n + 1, false);
        }
        self.0.push(note);
        (self.0.len(), true)
    }

    /// All of them so far.
    pub(crate) fn all(&self) -> &[String] {
        &self.0
    }
}
