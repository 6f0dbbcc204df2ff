//! Why: the clauses that say who may inspect, then the two keys of every kind.

use super::Page;
use super::marks::{kind_anchor, rule_anchor};
use crate::model::{Answer, InspectorRule, RuleCitation};
use crate::report::first::{FirstScreen, Row as Line};
use crate::report::html::{Html, classed, definitions, fold, link, list, p, quote, small, text};
use crate::report::why::{self, Condition, Keys, LetterKey, Notes, Row, RuleKey};
use crate::report::{days, words};

/// What each clause says about who may inspect, quoted once.
pub(super) fn clauses(page: &Page<'_>) -> Html {
    let clauses = why::clauses(page.report);
    if clauses.is_empty() {
        return p(&text(why::NO_CLAUSE));
    }
    let clauses = clauses.iter().enumerate();
    clauses.map(|(n, one)| clause(page, n, one)).collect()
}

fn clause(page: &Page<'_>, n: usize, clause: &why::Clause<'_>) -> Html {
    let mut out = Html::own(format!("<h3 id=\"{}\">Clause ", rule_anchor(n)));
    out.push(&page.clause(clause.rule.clause));
    out.push(&Html::own(" "));
    out.push(&small(&format!("({})", clause.place)));
    out.push(&Html::own("</h3>\n"));
    let about = words::capital(clause.about);
    out.push(&p(&text(&format!("{about}; it {}.", clause.stance))));
    out.push(&quoted_words(page, clause.rule));
    let pairs = clause.rows.iter().filter_map(|row| {
        let said = match row {
            Row::Names(kinds) | Row::ShutsOut(kinds) => text(kinds),
            // they are marked in the quote
            Row::KeyWords(_) => return None,
            Row::Condition(span) => page.words(*span),
            Row::Doubt(doubt) => text(doubt),
        };
        Some((text(&words::capital(row.label())), said))
    });
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
    let mut more = all_notes(&notes);
    more.push(&classed("quiet", &text(&words::grades())));
    out.push(&fold(
        "Notes to the answers, and what the grades mean",
        &more,
    ));
    out
}

/// Links to notes; what is noted to several kinds stands once, with a number.
fn links(notes: &[String], seen: &mut Notes) -> Option<Html> {
    let links: Vec<Html> = notes
        .iter()
        .map(|note| {
            let (n, _) = seen.number(note);
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

/// The notes that the links lead to.
fn all_notes(notes: &Notes) -> Html {
    let notes = notes.all();
    if notes.is_empty() {
        return Html::new();
    }
    let mut out = super::super::heading(3, "Notes to the answers");
    let items: Vec<String> = notes
        .iter()
        .enumerate()
        .map(|(n, note)| format!("<li id=\"note-{}\">{}</li>\n", n + 1, text(note).as_str()))
        .collect();
    out.push(&Html::own(format!("<ol>\n{}</ol>\n", items.concat())));
    out
}

fn one(page: &Page<'_>, answer: &Answer, notes: &mut Notes) -> Html {
    let keys = why::keys(page.report, answer);
    let mut out = Html::own(format!(
        "<h3 id=\"{}\">{}: {}</h3>\n",
        kind_anchor(answer.holder),
        text(&keys.name).as_str(),
        keys.verdict,
    ));
    if !keys.because.is_empty() {
        out.push(&p(&text(&words::sentence(&words::capital(&keys.because)))));
    }
    out.push(&p(&in_short(page, &keys)));
    let whole = both_keys(page, &keys, notes);
    out.push(&fold("The rule and the letter word for word", &whole));
    out
}

/// Both keys in full.
fn both_keys(page: &Page<'_>, keys: &Keys<'_>, notes: &mut Notes) -> Html {
    definitions(
        [
            ("The rule", rule_key(&keys.rule, notes)),
            ("The letter", letter_key(page, &keys.letter, notes)),
        ]
        .into_iter()
        .filter(|(_, said)| !said.is_empty())
        .map(|(label, said)| (text(label), said)),
    )
}

/// Kinds that share a row of the table: what is the same of them stands once.
fn together(page: &Page<'_>, row: &Line, answers: &[&Answer], notes: &mut Notes) -> Html {
    let mut out =
        super::super::heading(3, &format!("{}: {}", row.name, words::verdict(row.verdict)));
    if !row.because.is_empty() {
        out.push(&p(&text(&words::sentence(&words::capital(&row.because)))));
    }
    let all: Vec<Keys<'_>> = answers.iter().map(|a| why::keys(page.report, a)).collect();
    let letter = all.first().map(|keys| the_letter(page, &keys.letter));
    let alike = all
        .iter()
        .all(|keys| Some(the_letter(page, &keys.letter)) == letter);
    let mut items = Html::own("<ul>\n");
    let mut whole = Html::new();
    for (answer, keys) in answers.iter().zip(&all) {
        let name = &keys.name;
        let said = if alike {
            text(&format!("{name}: the rule {}.", keys.rule.cited()))
        } else {
            let mut said = text(&format!("{name}: "));
            said.push(&in_short(page, keys));
            said
        };
        items.push(&Html::own(format!(
            "<li id=\"{}\">{}</li>\n",
            kind_anchor(answer.holder),
            said.as_str()
        )));
        let both = both_keys(page, keys, notes);
        if !both.is_empty() {
            whole.push(&super::super::heading(4, name));
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
fn in_short(page: &Page<'_>, keys: &Keys<'_>) -> Html {
    let mut said = text(&format!("The rule {}.", keys.rule.cited()));
    said.push(&Html::own(" "));
    said.push(&the_letter(page, &keys.letter));
    said
}

/// What the letter says, in a sentence.
fn the_letter(page: &Page<'_>, letter: &LetterKey) -> Html {
    let mut said = text(&format!("The letter {}", letter.said));
    if !letter.clauses.is_empty() {
        said.push(&Html::own(" ("));
        said.push(&page.clauses(&letter.clauses));
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

fn rule_key(rule: &RuleKey<'_>, notes: &mut Notes) -> Html {
    let mut out = Html::new();
    if !rule.citations.is_empty() {
        out.push(&p(&text(&checked(rule.citations))));
    }
    for quote in &rule.quotes {
        out.push(&Html::own(format!(
            "<blockquote>{}</blockquote>\n",
            text(quote).as_str()
        )));
    }
    let mut items: Vec<Html> = rule.conditions.iter().map(condition).collect();
    items.extend(rule.standing.iter().map(|s| labelled("always", s)));
    out.push(&list(items));
    if let Some(links) = links(&rule.notes, notes) {
        out.push(&p(&links));
    }
    out
}

fn letter_key(page: &Page<'_>, letter: &LetterKey, notes: &mut Notes) -> Html {
    let mut out = Html::new();
    let mut items: Vec<Html> = Vec::new();
    for deciding in &letter.words {
        let mut item = page.words(deciding.span);
        item.push(&Html::own(" "));
        item.push(&small(&format!("({})", deciding.place)));
        items.push(item);
    }
    items.extend(letter.conditions.iter().map(condition));
    out.push(&list(items));
    if let Some(links) = links(&letter.notes, notes) {
        out.push(&p(&links));
    }
    out
}

fn condition(condition: &Condition) -> Html {
    labelled(condition.label, &condition.cited())
}

fn labelled(label: &str, said: &str) -> Html {
    let label = words::capital(label);
    let mut out = Html::own(format!("<em>{}:</em> ", text(&label).as_str()));
    out.push(&text(said));
    out
}
