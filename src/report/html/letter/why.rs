//! Why: the clauses that say who may inspect, then the two keys of every kind.

use super::Page;
use super::marks::{kind_anchor, rule_anchor};
use crate::model::{
    Answer, ConditionResult, Inspection, InspectorRule, KeyTwo, NamedKind, OpenBecause, RuleAnswer,
    RuleCitation,
};
use crate::report::first::{FirstScreen, Row};
use crate::report::html::{Html, classed, definitions, fold, link, list, p, quote, small, text};
use crate::report::terminal::own_words;
use crate::report::{clean, days, findings, first, words};

/// What each clause says about who may inspect, quoted once.
pub(super) fn clauses(page: &Page<'_>) -> Html {
    let rules = &page.report.letter.inspectors;
    if rules.is_empty() {
        return p(&text(
            "No clause that was read says who may do an inspection.",
        ));
    }
    rules
        .iter()
        .enumerate()
        .map(|(n, rule)| clause(page, n, rule))
        .collect()
}

fn clause(page: &Page<'_>, n: usize, rule: &InspectorRule) -> Html {
    let report = page.report;
    let view = report.view();
    let mut out = Html::own(format!("<h3 id=\"{}\">Clause ", rule_anchor(n)));
    out.push(&page.clause(rule.clause));
    out.push(&Html::own(" "));
    out.push(&small(&format!("({})", view.place_words(rule.span))));
    out.push(&Html::own("</h3>\n"));
    let about = match rule.inspection {
        Inspection::Other => "another inspection, not the yearly one",
        other => words::inspection(other),
    };
    let said = format!("{}; it {}.", words::capital(about), words::stance(rule));
    out.push(&p(&text(&said)));
    out.push(&quoted_words(page, rule));
    let mut pairs: Vec<(Html, Html)> = Vec::new();
    for (label, kinds) in [("Names", &rule.named), ("Shuts out", &rule.excluded)] {
        if !kinds.is_empty() {
            pairs.push((text(label), text(&titles(kinds))));
        }
    }
    for condition in &rule.conditions {
        pairs.push((text("Condition"), page.words(condition.span)));
    }
    if let Some(doubt) = findings::doubt(&view, rule) {
        pairs.push((text("Doubt"), text(&doubt)));
    }
    out.push(&definitions(pairs));
    out
}

/// The words of a rule as a quote; those that decide are marked, and lead to their place.
pub(super) fn quoted_words(page: &Page<'_>, rule: &InspectorRule) -> Html {
    let mut marks = page.marks.marks(rule.span);
    for mark in &mut marks {
        mark.to = if page.has_letter {
            mark.id.clone()
        } else {
            String::new()
        };
        mark.id.clear();
    }
    quote(&page.report.text.content, rule.span, &marks)
}

fn titles(kinds: &[NamedKind]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for kind in kinds {
        if !names.contains(&kind.kind.title()) {
            names.push(kind.kind.title());
        }
    }
    names.join("; ")
}

/// The two keys of every kind.
pub(super) fn keys(page: &Page<'_>, first: &FirstScreen) -> Html {
    if page.report.answers.is_empty() {
        return Html::new();
    }
    let mut out = p(&text(
        "The rule: does it give this person the right on that day? The letter: does it, in force \
         for this aircraft, let the person in? Both must be answered with yes.",
    ));
    let mut notes = Notes::default();
    for row in &first.rows {
        let of = |a: &&Answer| row.kinds.contains(&a.holder);
        let answers: Vec<&Answer> = page.report.answers.iter().filter(of).collect();
        out.push(&match answers.as_slice() {
            [answer] => one(page, answer, &mut notes),
            several => together(page, row, several, &mut notes),
        });
    }
    let mut more = notes.html();
    more.push(&classed("quiet", &text(&words::grades())));
    out.push(&fold(
        "Notes to the answers, and what the grades mean",
        &more,
    ));
    out
}

/// What is noted to several kinds stands once, with a number.
#[derive(Default)]
struct Notes(Vec<String>);

impl Notes {
    /// Links to the notes.
    fn links(&mut self, notes: &[String]) -> Option<Html> {
        let links: Vec<Html> = notes
            .iter()
            .map(|note| {
                let note = words::sentence(&clean::line(note));
                let known = self.0.iter().position(|n| *n == note);
                let n = known.unwrap_or_else(|| {
                    self.0.push(note);
                    self.0.len() - 1
                }) + 1;
                link(&format!("note-{n}"), &text(&n.to_string()))
            })
            .collect();
        if links.is_empty() {
            return None;
        }
        let mut said = Html::own(if links.len() == 1 { "Note " } else { "Notes " });
        said.push(&Html::joined(links, &Html::own(", ")));
        said.push(&Html::own("."));
        Some(said)
    }

    fn html(&self) -> Html {
        if self.0.is_empty() {
            return Html::new();
        }
        let mut out = super::super::heading(3, "Notes to the answers");
        let items: Vec<String> = self
            .0
            .iter()
            .enumerate()
            .map(|(n, note)| format!("<li id=\"note-{}\">{}</li>\n", n + 1, text(note).as_str()))
            .collect();
        out.push(&Html::own(format!("<ol>\n{}</ol>\n", items.concat())));
        out
    }
}

fn one(page: &Page<'_>, answer: &Answer, notes: &mut Notes) -> Html {
    let because = first::because(page.report, answer);
    let mut out = Html::own(format!(
        "<h3 id=\"{}\">{}: {}</h3>\n",
        kind_anchor(answer.holder),
        text(&words::capital(words::holder_title(answer))).as_str(),
        words::verdict(answer.answer),
    ));
    if !because.is_empty() {
        out.push(&p(&text(&words::sentence(&words::capital(&because)))));
    }
    out.push(&p(&in_short(page, answer)));
    let whole = both_keys(page, answer, notes);
    out.push(&fold("The rule and the letter word for word", &whole));
    out
}

/// Both keys in full.
fn both_keys(page: &Page<'_>, answer: &Answer, notes: &mut Notes) -> Html {
    definitions(
        [
            ("The rule", rule_key(page, answer, notes)),
            ("The letter", letter_key(page, answer, notes)),
        ]
        .into_iter()
        .filter(|(_, said)| !said.is_empty())
        .map(|(label, said)| (text(label), said)),
    )
}

/// Kinds that share a row of the table: what is the same of them stands once.
fn together(page: &Page<'_>, row: &Row, answers: &[&Answer], notes: &mut Notes) -> Html {
    let mut out =
        super::super::heading(3, &format!("{}: {}", row.name, words::verdict(row.verdict)));
    if !row.because.is_empty() {
        out.push(&p(&text(&words::sentence(&words::capital(&row.because)))));
    }
    let letter = answers.first().map(|a| the_letter(page, a));
    let alike = answers.iter().all(|a| Some(the_letter(page, a)) == letter);
    let mut items = Html::own("<ul>\n");
    let mut whole = Html::new();
    for answer in answers {
        let name = words::capital(words::holder_title(answer));
        let said = if alike {
            text(&format!("{name}: the rule {}.", the_rule(answer)))
        } else {
            let mut said = text(&format!("{name}: "));
            said.push(&in_short(page, answer));
            said
        };
        items.push(&Html::own(format!(
            "<li id=\"{}\">{}</li>\n",
            kind_anchor(answer.holder),
            said.as_str()
        )));
        let both = both_keys(page, answer, notes);
        if !both.is_empty() {
            whole.push(&super::super::heading(4, &name));
            whole.push(&both);
        }
    }
    items.push(&Html::own("</ul>\n"));
    out.push(&items);
    if let Some(letter) = letter.filter(|_| alike) {
        out.push(&p(&letter));
    }
    out.push(&fold("The rule and the letter word for word", &whole));
    out
}

/// Both keys in two sentences.
fn in_short(page: &Page<'_>, answer: &Answer) -> Html {
    let mut said = text(&format!("The rule {}.", the_rule(answer)));
    said.push(&Html::own(" "));
    said.push(&the_letter(page, answer));
    said
}

/// What the rule says, and where: the end of "The rule …".
fn the_rule(answer: &Answer) -> String {
    let cited = words::short_citations(&answer.rule.citations);
    let mut rule = words::rule(answer.rule.answer).to_owned();
    if !cited.is_empty() {
        rule.push_str(&format!(": {}", days::told(&cited)));
    }
    rule
}

/// What the letter says, in a sentence.
fn the_letter(page: &Page<'_>, answer: &Answer) -> Html {
    let mut said = text(&format!(
        "The letter {}",
        words::key_two(answer.letter.answer)
    ));
    if !answer.letter.clauses.is_empty() && answer.letter.answer != KeyTwo::Silent {
        said.push(&Html::own(" ("));
        said.push(&page.clauses(&answer.letter.clauses));
        said.push(&Html::own(")"));
    }
    said.push(&Html::own("."));
    said
}

/// When the citations, which stand above, were held against their source.
fn checked(citations: &[RuleCitation]) -> String {
    let mut days: Vec<&str> = citations.iter().map(|c| c.checked.as_str()).collect();
    days.dedup();
    match days.as_slice() {
        [day] if !day.is_empty() => format!("Checked {}.", days::told(day)),
        _ => words::sentence(&days::told(&words::citations(citations))),
    }
}

fn rule_key(page: &Page<'_>, answer: &Answer, notes: &mut Notes) -> Html {
    let rule = &answer.rule;
    let mut out = Html::new();
    if !rule.citations.is_empty() {
        out.push(&p(&text(&checked(&rule.citations))));
    }
    for id in &rule.rules {
        if let Some(source) = page.report.sources(id).iter().find(|s| !s.quote.is_empty()) {
            out.push(&Html::own(format!(
                "<blockquote>{}</blockquote>\n",
                text(&source.quote).as_str()
            )));
        }
    }
    let mut items: Vec<Html> = rule.conditions.iter().map(condition).collect();
    if rule.answer != RuleAnswer::No {
        let standing = rule.standing.iter();
        items.extend(standing.map(|s| labelled("always", s)));
    }
    out.push(&list(items));
    if let Some(links) = notes.links(&page.report.rule_notes(answer)) {
        out.push(&p(&links));
    }
    out
}

fn letter_key(page: &Page<'_>, answer: &Answer, notes: &mut Notes) -> Html {
    let view = page.report.view();
    let letter = &answer.letter;
    let mut out = Html::new();
    let mut items: Vec<Html> = Vec::new();
    for span in &own_words(page.report, answer) {
        let found = view.evidence(*span);
        let mut item = page.words(*span);
        let mut place = view.place_words(*span);
        if found.confidence < 0.995 {
            place.push_str(&format!(
                ", read with {:.0} % confidence",
                found.confidence * 100.0
            ));
        }
        item.push(&Html::own(" "));
        item.push(&small(&format!("({place})")));
        items.push(item);
    }
    items.extend(letter.conditions.iter().map(condition));
    out.push(&list(items));
    if let Some(links) = notes.links(&page.report.letter_notes(answer)) {
        out.push(&p(&links));
    }
    out
}

fn condition(condition: &ConditionResult) -> Html {
    let label = match condition.met {
        Some(true) => "met",
        Some(false) => "not met",
        None if condition.open_because == Some(OpenBecause::Law) => "unsettled",
        None => "unknown",
    };
    let mut said = if condition.words.is_empty() {
        condition.name.clone()
    } else {
        condition.words.clone()
    };
    if !condition.citation.is_empty() {
        said.push_str(&format!(" ({})", condition.citation));
    }
    labelled(label, &said)
}

fn labelled(label: &str, said: &str) -> Html {
    let mut out = Html::own(format!(
        "<em>{}:</em> ",
        text(&words::capital(label)).as_str()
    ));
    out.push(&text(said));
    out
}
