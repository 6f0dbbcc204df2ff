//! What is in dispute, what to do next, what to beware of, what nobody has verified.

use super::{Page, prose};
use crate::model::{Kind, Verdict};
use crate::report::html::{
    Html, Table, classed, definitions, fold, heading, link, list, p, small, steps, text,
};
use crate::report::steps::{
    Said, Told, UNVERIFIED, beware as hazards, next as next_steps, unverified as unverified_rows,
};
use crate::report::{days, readings, words};

pub(super) fn readings(page: &Page<'_>) -> Html {
    let all = readings::readings(page.report);
    if all.is_empty() {
        return Html::new();
    }
    let mut out = p(&text(readings::NO_RANK));
    let row = |label: &str, said: &str| (text(label), text(&words::capital(said)));
    for reading in &all {
        let applied = reading.applied;
        out.push(&heading(3, &reading.held_by()));
        let mut about: Vec<&str> = Vec::new();
        if !applied.since.is_empty() {
            about.push(&applied.since);
        }
        if applied.later_than_day {
            about.push(readings::LATER);
        }
        about.extend(applied.applies_if.as_deref());
        if !about.is_empty() {
            let about = words::capital(&about.join("; "));
            out.push(&classed("quiet", &text(&words::sentence(&about))));
        }
        let mut rows = vec![row("Here", &format!("{}.", reading.here()))];
        if !applied.says.is_empty() {
            rows.insert(0, row("Says", &applied.says));
        }
        out.push(&definitions(rows));
        let weighed = reading.weighed().into_iter();
        let weighed = weighed.map(|(label, said)| row(&words::capital(label), said));
        out.push(&fold("For and against", &definitions(weighed)));
    }
    out
}

/// Who says what, a row each: everything on one screen, for and against left to [`readings`].
pub(super) fn brief(page: &Page<'_>) -> Html {
    let groups = readings::readings(page.report);
    if groups.is_empty() {
        return Html::new();
    }
    let mut all: Vec<&str> = Vec::new();
    for name in groups.iter().flat_map(|r| names(&r.kinds)) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    let mut out = p(&text(&format!(
        "May {} sign? Nobody has decided it; these are the readings, in no order of rank.",
        words::list(&all, "or")
    )));
    let mut table = Table::new("The readings", &["Who says so", "What they say"]).quiet_caption();
    for reading in &groups {
        let mut who = text(&reading.held_by());
        who.push(&Html::own(" "));
        who.push(&small(&days::told(&reading.applied.since)));
        let mut says = text(&words::capital(words::first_sentence(
            &reading.applied.says,
        )));
        let here = names(&reading.kinds);
        if here.len() < all.len() {
            says.push(&Html::own(" "));
            says.push(&small(&format!("(Of {}.)", words::list(&here, "and"))));
        }
        table.row([who, says]);
    }
    out.push(&table.html());
    out.push(&p(&link(
        "readings",
        &text("What speaks for and against each of them"),
    )));
    out
}

/// Kinds in a sentence; the two ratings of a light-sport repairman as one.
fn names(kinds: &[(Kind, Verdict)]) -> Vec<&'static str> {
    let mut names: Vec<&str> = Vec::new();
    for (kind, _) in kinds {
        let name = match kind {
            Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance => {
                "a light-sport repairman"
            }
            Kind::RepairStation => "a repair station",
            Kind::BuilderRepairman => "the builder with the repairman certificate",
            other => words::kind_in_sentence(*other),
        };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

pub(super) fn next(page: &Page<'_>) -> Html {
    let Told { general, own } = next_steps(page.report);
    let own = own.iter().map(for_some);
    if general.is_empty() {
        return steps(own);
    }
    let mut out = steps(general.iter().map(|step| prose(step)));
    if own.len() > 0 {
        out.push(&fold("For one person or another", &list(own)));
    }
    out
}

pub(super) fn beware(page: &Page<'_>) -> Html {
    let Told { general, own } = hazards(page.report);
    let general = general.iter().map(|hazard| prose(hazard));
    list(general.chain(own.iter().map(for_some)))
}

/// Situations that fit the letter and the facts, each with its steps.
pub(super) fn situations(page: &Page<'_>) -> Html {
    crate::report::situations::of(page.report)
        .iter()
        .flat_map(|(title, steps)| {
            [
                heading(3, title),
                list(steps.iter().map(|step| prose(step)).collect::<Vec<_>>()),
            ]
        })
        .collect()
}

/// The sentence, with the kinds that it is meant for where it is not for all.
fn for_some(said: &Said<'_>) -> Html {
    let mut out = prose(said.sentence);
    if let Some(kinds) = &said.only {
        out.push(&Html::own(" "));
        out.push(&small(&format!("({kinds})")));
    }
    out
}

pub(super) fn unverified(page: &Page<'_>) -> Html {
    let found = unverified_rows(page.report);
    if found.is_empty() {
        return Html::new();
    }
    let mut out = p(&text(UNVERIFIED));
    out.push(&list(found.iter().map(|row| {
        let mut item = text(&row.said);
        item.push(&Html::own(" "));
        item.push(&small(&format!("({}, {})", row.id, row.checked)));
        item
    })));
    out
}
