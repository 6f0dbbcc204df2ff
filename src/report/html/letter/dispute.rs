//! What is in dispute, what to do next, what to beware of, what nobody has verified.

use super::{Page, prose};
use crate::model::{Kind, Verdict};
use crate::report::html::{
    Html, Table, classed, definitions, fold, heading, link, list, p, small, steps, text,
};
use crate::report::terminal::{covered, grouped, hazards, steps as next_steps};
use crate::report::{days, words};

pub(super) fn readings(page: &Page<'_>) -> Html {
    let groups = grouped(page.report);
    if groups.is_empty() {
        return Html::new();
    }
    let mut out = p(&text(
        "No order of rank: this program does not decide which reading is right.",
    ));
    for (reading, kinds) in groups {
        out.push(&heading(3, &words::capital(&reading.held_by)));
        let mut about: Vec<String> = Vec::new();
        if !reading.since.is_empty() {
            about.push(reading.since.clone());
        }
        if reading.later_than_day {
            about.push("later than the day asked about".to_owned());
        }
        about.extend(reading.applies_if.clone());
        if !about.is_empty() {
            let about = words::capital(&about.join("; "));
            out.push(&classed("quiet", &text(&words::sentence(&about))));
        }
        let here: Vec<String> = kinds
            .iter()
            .map(|(kind, verdict)| {
                format!("{}: {}", words::kind_tag(*kind), words::verdict(*verdict))
            })
            .collect();
        let here = format!("{}.", here.join("; "));
        let pairs = |said: &[(&str, &String)]| {
            let pairs: Vec<(Html, Html)> = said
                .iter()
                .filter(|(_, said)| !said.is_empty())
                .map(|(label, said)| (text(label), text(&words::capital(said))))
                .collect();
            definitions(pairs)
        };
        out.push(&pairs(&[("Says", &reading.says), ("Here", &here)]));
        out.push(&fold(
            "For and against",
            &pairs(&[
                ("For it", &reading.support),
                ("Against it", &reading.objection),
                ("Strength", &reading.strength),
            ]),
        ));
    }
    out
}

/// Who says what, a row each: everything on one screen, for and against left to [`readings`].
pub(super) fn brief(page: &Page<'_>) -> Html {
    let groups = grouped(page.report);
    if groups.is_empty() {
        return Html::new();
    }
    let mut all: Vec<&str> = Vec::new();
    for name in groups.iter().flat_map(|(_, kinds)| names(kinds)) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    let mut out = p(&text(&format!(
        "May {} sign? Nobody has decided it; these are the readings, in no order of rank.",
        words::list(&all, "or")
    )));
    let mut table = Table::new("The readings", &["Who says so", "What they say"]).quiet_caption();
    for (reading, kinds) in groups {
        let mut who = text(&words::capital(&reading.held_by));
        who.push(&Html::own(" "));
        who.push(&small(&days::told(&reading.since)));
        let mut says = text(&words::capital(words::first_sentence(&reading.says)));
        let here = names(&kinds);
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
    let general = page.report.steps();
    let items: Vec<Html> = general.iter().map(|step| prose(step)).collect();
    let alone = items.is_empty();
    let mut more: Vec<Html> = Vec::new();
    for (step, kinds) in next_steps(page.report) {
        if general.iter().any(|g| g == step) || covered(page.report, step) {
            continue;
        }
        more.push(for_kinds(page, step, &kinds));
    }
    if alone {
        return steps(more);
    }
    let mut out = steps(items);
    if !more.is_empty() {
        out.push(&fold("For one person or another", &list(more)));
    }
    out
}

pub(super) fn beware(page: &Page<'_>) -> Html {
    let mut items: Vec<Html> = page.report.hazards().iter().map(|h| prose(h)).collect();
    for (hazard, kinds) in hazards(page.report) {
        items.push(for_kinds(page, hazard, &kinds));
    }
    list(items)
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
fn for_kinds(page: &Page<'_>, sentence: &str, kinds: &[Kind]) -> Html {
    let mut out = prose(sentence);
    if kinds.len() < page.report.answers.len() {
        let kinds: Vec<&str> = kinds.iter().map(|k| words::kind_tag(*k)).collect();
        out.push(&Html::own(" "));
        out.push(&small(&format!("({})", kinds.join("; "))));
    }
    out
}

pub(super) fn unverified(page: &Page<'_>) -> Html {
    let found = page.report.unverified();
    if found.is_empty() {
        return Html::new();
    }
    let mut out = p(&text(
        "Whatever has one of the grades D, M, I and P above was reported by one person, written from \
         memory, inferred, or is common practice.",
    ));
    out.push(&list(found.iter().map(|(id, source)| {
        let locator = if source.locator.is_empty() {
            String::new()
        } else {
            format!(", {}", source.locator)
        };
        let mut item = text(&format!(
            "{}{locator}: {}",
            source.title,
            words::grade(&source.grade)
        ));
        item.push(&Html::own(" "));
        item.push(&small(&format!("({id}, {})", source.checked)));
        item
    })));
    out
}
