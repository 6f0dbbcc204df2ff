//! Comparisons: a letter beside the wordings held, beside another letter, beside a claim.

use super::blocks::element;
use super::inert::piece;
use super::{
    Html, Table, block_quote, classed, div, heading, list, p, page, section, small, strong, text,
};
use crate::model::{ClaimStatement, ClausePair, Diff, Op, Relation};
use crate::patterns::Patterns;
use crate::report::claim::{DOUBT, NOTHING, claimed, departure, in_doubt, marked, said, sides};
use crate::report::compare::{Held, held, look_at, summary};
use crate::report::diff::{change_lines, matters};
use crate::report::letters::{Letters, reasons, told};
use crate::report::{CAUTION, Report, View, age, words};

const HOW_TO_READ: &str = "Words that are gone are struck out; words that are new are underlined.";

/// Two letters: what it does to the answers, then pair by pair, the same ones left out.
#[must_use]
pub fn letters(letters: &Letters<'_>, side_by_side: bool) -> String {
    page(TITLE, &letters_body(letters, side_by_side))
}

/// Title of the page of two letters.
pub(crate) const TITLE: &str = "What the new letter changes";

/// The body of [`letters`], for a page that has more on it.
pub(crate) fn letters_body(letters: &Letters<'_>, side_by_side: bool) -> Html {
    let mut body = kicker("Two letters, clause by clause");
    body.push(&heading(1, TITLE));
    body.push(&classed("lead", &text(&letters.names())));
    if let Some(line) = letters.two_aircraft() {
        body.push(&p(&strong(&line)));
    }
    body.push(&caution());
    body.push(&section(
        "answers",
        "What it does to the answers",
        &effects(letters),
    ));
    let mut clauses = p(&text(&letters.summary()));
    clauses.push(&classed("turn", &text(HOW_TO_READ)));
    let (limitations, rest) = letters.parts();
    for pair in limitations.into_iter().filter(|p| told(p)) {
        clauses.push(&one(letters, pair, side_by_side));
    }
    body.push(&section("clauses", "Clause by clause", &clauses));
    let rest: Html = rest
        .into_iter()
        .filter(|p| told(p))
        .map(|pair| one(letters, pair, side_by_side))
        .collect();
    if !rest.is_empty() {
        body.push(&section("lines", "Lines without a number", &rest));
    }
    body
}

fn effects(letters: &Letters<'_>) -> Html {
    let effects = letters.effects();
    if effects.is_empty() {
        return p(&text(&letters.no_effect()));
    }
    let caption = format!(
        "Who may sign the condition inspection on {}",
        letters.question.on
    );
    let mut table = Table::new(&caption, &["Who", "Old letter", "New letter"]);
    for effect in effects {
        table.row([
            text(effect.kind.title()),
            text(&effect.was),
            strong(&effect.is),
        ]);
    }
    table.html()
}

fn one(letters: &Letters<'_>, pair: &ClausePair, side_by_side: bool) -> Html {
    let (head, about) = letters.head(pair);
    let mut out = heading(3, &format!("{head}: {about}"));
    match &pair.diff {
        Some(diff) if diff.same => {}
        Some(diff) => {
            out.push(&texts(diff, side_by_side, ["Old letter", "New letter"]));
            out.push(&list(reasons(diff).iter().map(|r| text(r))));
        }
        None => {
            let gone = pair.relation == Relation::Missing;
            for words in letters.alone(pair) {
                let words = if gone { del(&words) } else { ins(&words) };
                out.push(&block_quote(&words));
            }
        }
    }
    out
}

/// A letter beside the wordings that are held.
#[must_use]
pub fn wordings(report: &Report<'_>, side_by_side: bool) -> String {
    let title = "The letter beside the wordings held";
    let mut body = kicker("Operating limitations, clause by clause");
    body.push(&heading(1, title));
    let Some(comparison) = report.comparison else {
        return page(title, &body);
    };
    for (n, sentence) in summary(report, comparison).iter().enumerate() {
        let words = text(sentence);
        body.push(&if n == 0 {
            classed("lead", &words)
        } else {
            p(&words)
        });
    }
    body.push(&caution());
    let mut clauses = classed("turn", &text(HOW_TO_READ));
    for clause in &comparison.clauses {
        let Some(held) = held(report, clause) else {
            continue;
        };
        clauses.push(&one_held(&held, side_by_side));
    }
    body.push(&section(
        "clauses",
        "Clauses with other words than their wording",
        &clauses,
    ));
    if let Some(age) = report.age.filter(|a| age::known(a)) {
        let said: Html = age::with_notes(age).iter().map(|s| p(&text(s))).collect();
        body.push(&section("age", "Where the wording comes from", &said));
    }
    page(title, &body)
}

fn one_held(held: &Held<'_>, side_by_side: bool) -> Html {
    let mut out = heading(3, &format!("{}: {}", held.clause, matters(held.material)));
    out.push(&p(&small(&format!("{}; {}", held.like, held.place))));
    out.push(&texts(held.diff, side_by_side, ["Wording", "Letter"]));
    if held.other_words {
        out.push(&list(look_at(held.diff).iter().map(|l| text(l))));
    } else {
        let lines = change_lines(held.diff, |_| true);
        out.push(&list(lines.iter().map(|l| text(l))));
    }
    out
}

/// What somebody says about the letter, held against it.
#[must_use]
pub fn claim(view: View<'_>, statements: &[ClaimStatement], patterns: &Patterns) -> String {
    page(CLAIM, &claim_body(view, statements, patterns))
}

/// Title of the page of a claim.
pub(crate) const CLAIM: &str = "What is said about the letter, and what it says";

/// The body of [`claim`], for a page that has more on it.
pub(crate) fn claim_body(
    view: View<'_>,
    statements: &[ClaimStatement],
    patterns: &Patterns,
) -> Html {
    let mut body = kicker("A claim, held against operating limitations");
    body.push(&heading(1, CLAIM));
    body.push(&caution());
    if statements.is_empty() {
        body.push(&p(&text(NOTHING)));
    }
    for (n, statement) in statements.iter().enumerate() {
        let mut part = block_quote(&pieces(&claimed(statement)));
        part.push(&p(&strong(&words::sentence(&words::capital(said(
            statement,
        ))))));
        if let Some(clause) = statement.clause {
            let place = statement
                .span
                .map_or_else(String::new, |s| format!(" ({})", view.place_words(s)));
            part.push(&p(&text(&format!("Clause {}{place}:", view.id(clause)))));
            part.push(&block_quote(&pieces(&marked(view, statement))));
        }
        let findings = statement.findings.iter();
        part.push(&list(findings.map(|f| text(&departure(view, f)))));
        if in_doubt(statement) {
            part.push(&p(&text(DOUBT)));
        }
        let sides = sides(statement, patterns);
        if !sides.is_empty() {
            part.push(&list(sides.iter().map(|s| text(s))));
        }
        body.push(&section(
            &format!("claim-{}", n + 1),
            &format!("Statement {}", n + 1),
            &part,
        ));
    }
    body
}

/// Words, the marked ones strong.
fn pieces(words: &[(String, bool)]) -> Html {
    let mut out = Html::new();
    for (n, (words, mark)) in words.iter().enumerate() {
        if n > 0 && !words.starts_with([',', '.', ';', ':', '?', '!']) {
            out.push(&piece(" "));
        }
        let words = words.trim();
        out.push(&if *mark { strong(words) } else { text(words) });
    }
    out
}

fn kicker(words: &str) -> Html {
    classed("kicker", &text(words))
}

fn caution() -> Html {
    classed("caution", &text(CAUTION))
}

/// Both texts: in one, or side by side.
fn texts(diff: &Diff, side_by_side: bool, heads: [&str; 2]) -> Html {
    if !side_by_side {
        let mut out = Html::new();
        let mut gone = "";
        for op in &diff.ops {
            let (words, markup) = match op {
                Op::Keep(words) => (words, piece(words)),
                Op::Delete(words) => (words, del(words)),
                Op::Insert(words) => (words, ins(words)),
            };
            // «must» for «may» are two words for one who copies them, too.
            if !gone.is_empty()
                && gone.ends_with(char::is_alphanumeric)
                && words.starts_with(char::is_alphanumeric)
            {
                out.push(&piece(" "));
            }
            out.push(&markup);
            gone = if matches!(op, Op::Delete(_)) {
                words
            } else {
                ""
            };
        }
        return block_quote(&out);
    }
    let side = |old: bool| -> Html {
        let ops = diff.ops.iter().filter_map(|op| match op {
            Op::Keep(words) => Some(piece(words)),
            Op::Delete(words) => old.then(|| del(words)),
            Op::Insert(words) => (!old).then(|| ins(words)),
        });
        ops.collect()
    };
    let column = |head: &str, words: &Html| {
        let mut out = classed("turn", &text(head));
        out.push(&block_quote(words));
        div("side", &out)
    };
    let mut both = column(heads[0], &side(true));
    both.push(&column(heads[1], &side(false)));
    div("sides", &both)
}

/// Words that are gone: struck out, and said to listeners.
fn del(words: &str) -> Html {
    changed(words, "del", "gone")
}

/// Words that are new: underlined, and said to listeners.
fn ins(words: &str) -> Html {
    changed(words, "ins", "new")
}

fn changed(words: &str, tag: &'static str, label: &'static str) -> Html {
    let mut inner = element("span", "unseen", &text(&format!("[{label}:")));
    inner.push(&piece(words));
    inner.push(&element("span", "unseen", &text("]")));
    element(tag, "", &inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_texts_are_there_and_inert() {
        let diff = Diff {
            same: false,
            ops: vec![
                Op::Keep("No <b>person ".into()),
                Op::Delete("must".into()),
                Op::Insert("may & can".into()),
            ],
            differences: Vec::new(),
        };
        let inline = texts(&diff, false, ["a", "b"]);
        assert!(inline.as_str().contains("No &lt;b&gt;person <del>"));
        assert!(
            inline
                .as_str()
                .contains("</del> <ins><span class=\"unseen\">[new:</span>may &amp; can<span class=\"unseen\">]</span></ins>")
        );
        let sides = texts(&diff, true, ["a", "b"]);
        let (old, new) = sides.as_str().split_once(">b<").expect("two sides");
        assert!(old.contains("<del>") && !old.contains("<ins>"));
        assert!(new.contains("<ins>") && !new.contains("<del>"));
    }
}
