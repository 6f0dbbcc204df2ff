//! The year of the aircraft: the next limit, everything that runs, and what only the reader knows.

use super::{Shell, ask, page};
use crate::answer::Flight;
use crate::patterns::Patterns;
use crate::report::html::{Html, heading, p, text};
use crate::report::year;
use crate::serve::facts::{Facts, OF_YEAR};
use crate::serve::held::Held;

/// The page of the year.
pub(in crate::serve) fn year(
    token: &str,
    id: u64,
    held: &Held,
    facts: &Facts,
    patterns: &Patterns,
) -> String {
    let base = format!("/{token}/letters/{id}");
    let view = held.view_of(facts.letter, patterns);
    let mut body = match facts.inspected {
        None => {
            let mut head = heading(1, TITLE);
            head.push(&p(&text(
                "Say when the last condition inspection was: all else is counted from there.",
            )));
            head
        }
        Some(inspected) => {
            let found = view.year(inspected, facts, patterns);
            let (dues, _) = view.due(inspected);
            year::paper(&found, &dues, patterns).body()
        }
    };
    body.push(&form(&base, facts));
    if facts.inspected.is_some() {
        body.push(&take(&base, facts));
    }
    body.push(&super::back(&base, facts));
    page(&Shell::of(token, TITLE), &body)
}

const TITLE: &str = "The year of this aircraft";

/// Days that only the reader knows, each with its question and what helps to answer it.
const DAYS: [(&str, &str, &str); 6] = [
    (
        "expires",
        "Which day does the airworthiness certificate print as its end?",
        "Leave it out where none is printed.",
    ),
    (
        "certified",
        "When was the certificate issued or renewed?",
        "Where it differs from the day of the letter.",
    ),
    (
        "altimeter",
        "When were altimeter and static system tested?",
        "",
    ),
    ("transponder", "When was the transponder tested?", ""),
    (
        "elt",
        "When was the emergency locator transmitter inspected?",
        "",
    ),
    (
        "elt-removed",
        "When was the transmitter taken out?",
        "Only where a placard and an entry say so.",
    ),
];

fn form(base: &str, facts: &Facts) -> Html {
    let mut out = heading(2, "What only you know");
    out.push(&Html::own(format!(
        "<form method=\"get\" action=\"{base}/year\" id=\"of-year\">\n"
    )));
    let shown: Vec<&str> = OF_YEAR.into_iter().chain(["inspected", "on"]).collect();
    for (name, value) in facts.but(&shown) {
        out.push(&ask::hidden(name, value));
    }
    let inspected = facts.inspected.map_or_else(String::new, |d| d.to_string());
    out.push(&field(
        "inspected",
        "date",
        "When was the last condition inspection?",
        "",
        &inspected,
    ));
    let on = facts.question.on.to_string();
    out.push(&field(
        "on",
        "date",
        "On which day do you ask?",
        "It tells what is overdue.",
        &on,
    ));
    let given = |name: &str| facts.given(name).unwrap_or_default();
    out.push(&field(
        "hours-left",
        "text",
        "How many hours are left of an interval in hours?",
        "Where the letter counts hours in service, such as 100.",
        given("hours-left"),
    ));
    for (name, label, hint) in DAYS {
        out.push(&field(name, "date", label, hint, given(name)));
    }
    out.push(&field(
        "seats",
        "text",
        "How many seats does it have?",
        "The pilot's included.",
        given("seats"),
    ));
    let yes_no = [("yes", "Yes"), ("no", "No")];
    out.push(&choice("ifr", "Is it flown under IFR?", &yes_no, facts));
    let flights = Flight::ALL.map(|flight| (flight.name(), flight_words(flight)));
    out.push(&choice(
        "flight",
        "What is the flight for?",
        &flights,
        facts,
    ));
    out.push(&Html::own(
        "<p><button type=\"submit\">Count it</button></p>\n</form>\n".to_owned(),
    ));
    out
}

const fn flight_words(flight: Flight) -> &'static str {
    match flight {
        Flight::Purpose => "The purpose of the certificate, such as exhibition or racing",
        Flight::LocalTraining => "Training within 50 nautical miles of the airport",
        Flight::Testing => "Design and testing",
        Flight::FerryForElt => "To the place where the transmitter is repaired or installed",
        Flight::Other => "Any other flight",
    }
}

fn field(name: &str, kind: &str, label: &str, hint: &str, value: &str) -> Html {
    let (hint, by) = if hint.is_empty() {
        (String::new(), String::new())
    } else {
        (
            format!(
                "<small id=\"h-{name}\" class=\"hint\">{}</small>\n",
                text(hint).as_str()
            ),
            format!(" aria-describedby=\"h-{name}\""),
        )
    };
    Html::own(format!(
        "<p class=\"field\"><label for=\"q-{name}\">{}</label>\n{hint}\
         <input type=\"{kind}\" id=\"q-{name}\" name=\"{name}\" value=\"{}\"{by}></p>\n",
        text(label).as_str(),
        text(value).as_str(),
    ))
}

fn choice(name: &str, label: &str, options: &[(&str, &str)], facts: &Facts) -> Html {
    let given = facts.given(name);
    let mut list = ask::option("", "Not said", given.is_none());
    for (value, words) in options {
        list.push(&ask::option(value, words, given == Some(value)));
    }
    Html::own(format!(
        "<p class=\"field\"><label for=\"q-{name}\">{}</label>\n\
         <select id=\"q-{name}\" name=\"{name}\">\n{}</select></p>\n",
        text(label).as_str(),
        list.as_str()
    ))
}

fn take(base: &str, facts: &Facts) -> Html {
    let files = [
        ("inspection.ics", "Calendar entries of what runs out"),
        ("year.html", "This as a web page, to print"),
        ("year.md", "The same as Markdown"),
        ("year.json", "The same as JSON, for programs"),
    ];
    let mut out = heading(2, "Take it with you");
    out.push(&ask::files(base, facts, &files));
    out
}
