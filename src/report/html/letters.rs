//! Two letters held against each other: what it does to the answers, then pair by pair.

use super::inert::piece;
use super::{Html, Table, classed, heading, list, p, section, strong, text};
use crate::model::{Answer, ClausePair, Diff, Op, Relation};
use crate::report::letters::{Letters, reasons, told};
use crate::report::{CAUTION, words};

/// The comparison in pieces, for a page that has more on it: its title and its body.
#[must_use]
pub fn letters(letters: &Letters<'_>) -> (String, Html) {
    let title = format!("What the newer letter changes, on {}", letters.question.on);
    let mut body = Html::own("<p class=\"kicker\">Two letters, clause by clause</p>\n");
    body.push(&heading(1, &title));
    body.push(&classed("lead", &text(&letters.names())));
    body.push(&section("answer", "Who may sign", &answers(letters)));
    let (limitations, rest) = letters.parts();
    let mut changes = p(&text(&letters.summary()));
    changes.push(&p(&text(
        "What is gone is struck out, what is new is underlined; clauses that stayed the same are \
         left out.",
    )));
    changes.push(&pairs(letters, &limitations));
    body.push(&section(
        "changes",
        "What changed in the limitations",
        &changes,
    ));
    let other = pairs(letters, &rest);
    if !other.is_empty() {
        body.push(&section("other", "Lines without a number", &other));
    }
    (title, body)
}

fn answers(letters: &Letters<'_>) -> Html {
    let (old, new) = letters.answers;
    let mut table = Table::new(
        "Answers by the older and the newer letter",
        &["Who", "Older letter", "Newer letter"],
    )
    .quiet_caption();
    let mut changed = 0;
    for was in old {
        let same = |a: &&Answer| a.holder == was.holder && a.inspection == was.inspection;
        let Some(is) = new.iter().find(same) else {
            continue;
        };
        let (before, now) = (words::verdict(was.answer), words::verdict(is.answer));
        let now = if was.answer == is.answer {
            text(now)
        } else {
            changed += 1;
            let mut out = strong(now);
            out.push(&Html::own(" "));
            out.push(&super::small("changed"));
            out
        };
        table.row([text(words::kind_short(was.holder)), text(before), now]);
    }
    let said = match changed {
        0 => "No kind of inspector gets another answer.".to_owned(),
        1 => "One kind of inspector gets another answer.".to_owned(),
        n => format!("{n} kinds of inspectors get another answer."),
    };
    let mut out = p(&text(&said));
    out.push(&table.html());
    out.push(&classed("caution", &text(CAUTION)));
    out
}

fn pairs(letters: &Letters<'_>, pairs: &[&ClausePair]) -> Html {
    pairs
        .iter()
        .filter(|pair| told(pair))
        .map(|pair| one(letters, pair))
        .collect()
}

fn one(letters: &Letters<'_>, pair: &ClausePair) -> Html {
    let (head, about) = letters.head(pair);
    let mut out = heading(3, &format!("{head}: {about}"));
    match &pair.diff {
        Some(diff) if diff.same => {}
        Some(diff) => {
            out.push(&both(diff));
            out.push(&list(reasons(diff).iter().map(|r| text(r))));
        }
        None => {
            let tag = if pair.relation == Relation::Missing {
                "del"
            } else {
                "ins"
            };
            for words in letters.alone(pair) {
                out.push(&Html::own(format!(
                    "<blockquote><{tag}>{}</{tag}></blockquote>\n",
                    text(&words).as_str()
                )));
            }
        }
    }
    out
}

/// One text with both wordings.
fn both(diff: &Diff) -> Html {
    let mut out = Html::own("<blockquote>");
    let mut before = false;
    for op in &diff.ops {
        let (tag, words) = match op {
            Op::Keep(words) => ("", words),
            Op::Delete(words) => ("del", words),
            Op::Insert(words) => ("ins", words),
        };
        if tag.is_empty() || words.trim().is_empty() {
            out.push(&piece(words));
            before = false;
            continue;
        }
        // what is new stands where the old stood, but apart from it; blanks are not marked
        if before || words.starts_with(char::is_whitespace) {
            out.push(&Html::own(" "));
        }
        out.push(&Html::own(format!(
            "<{tag}>{}</{tag}>",
            text(words).as_str()
        )));
        before = !words.ends_with(char::is_whitespace);
        if !before {
            out.push(&Html::own(" "));
        }
    }
    out.push(&Html::own("</blockquote>\n"));
    out
}
