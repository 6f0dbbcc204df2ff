//! The questions beside the report, and what can be taken along.

use jiff::civil::Date;

use crate::answer::{Answered, Fact};
use crate::model::{Answer, Kind};
use crate::patterns::Patterns;
use crate::report::html::{Html, heading, text};
use crate::report::{days, words, year};
use crate::serve::facts::{self, Facts};
use crate::serve::held::View;

/// More options than this are a list to choose from, not buttons.
const BUTTONS: usize = 6;

/// Everything beside the report of a letter. `base` is the address of the letter.
pub(in crate::serve) fn aside(
    base: &str,
    facts: &Facts,
    view: &View,
    answered: &Answered,
    short: &str,
    patterns: &Patterns,
) -> Html {
    if !view.letter.paper.is_limitations() {
        return take(base, facts, view, short, patterns);
    }
    let mut out = heading(2, "Questions");
    out.push(&Html::own(
        "<p class=\"quiet\">Each answer changes the report at once. What you leave at \
         \u{201c}not sure\u{201d} stays open.</p>\n",
    ));
    out.push(&Html::own(format!(
        "<form id=\"asked\" method=\"get\" action=\"{base}\">\n"
    )));
    let kept = ["letter", "same-aircraft", "inspection"];
    for name in kept.into_iter().chain(facts::OF_YEAR) {
        if let Some(value) = facts.given(name) {
            out.push(&hidden(name, value));
        }
    }
    out.push(&holder(facts));
    out.push(&day(
        "on",
        "On which day will it be signed?",
        facts.question.on,
    ));
    for asked in open(facts, view, patterns) {
        out.push(&match asked {
            Asked::Open(fact, options) => question(fact, &options, facts, &answered.answers),
            Asked::Kept(fact, value) => hidden(fact.name(), &value),
        });
    }
    out.push(&calendar(base, facts, view, patterns));
    out.push(&Html::own(STILL));
    out.push(&super::entry::form(base, facts, ""));
    out.push(&super::claim::form(base, facts, ""));
    out.push(&take(base, facts, view, short, patterns));
    out
}

/// What is kept while other things change.
pub(super) fn hidden(name: &str, value: &str) -> Html {
    Html::own(format!(
        "<input type=\"hidden\" name=\"{name}\" value=\"{}\">\n",
        text(value).as_str()
    ))
}

/// The questions beside two letters.
pub(in crate::serve) fn two(base: &str, facts: &Facts) -> Html {
    let mut out = heading(2, "Questions");
    out.push(&Html::own(format!(
        "<form id=\"asked\" method=\"get\" action=\"{base}\">\n"
    )));
    out.push(&day(
        "on",
        "On which day will it be signed?",
        facts.question.on,
    ));
    out.push(&Html::own(STILL));
    out
}

/// Where no script runs, a button shows the answer.
const STILL: &str =
    "<p class=\"only-still\"><button type=\"submit\">Show the answer</button></p>\n</form>\n";

/// The end of a letter here.
pub(in crate::serve) fn forget(base: &str) -> Html {
    Html::own(format!(
        "<form method=\"post\" action=\"{base}/forget\"><p>\
         <button type=\"submit\" class=\"plain\">Forget this now</button></p></form>\n"
    ))
}

/// A fact as the form has it.
enum Asked {
    Open(Fact, Vec<String>),
    /// Said, but it decides nothing beside the other facts: kept, in case they change.
    Kept(Fact, String),
}

/// The facts that were given and those that can still change the answer, in their order.
fn open(facts: &Facts, view: &View, patterns: &Patterns) -> Vec<Asked> {
    let of = |list: Vec<(Fact, Vec<String>)>, fact: Fact| {
        let found = list.into_iter().find(|(f, _)| *f == fact);
        found.map(|(_, options)| options)
    };
    let asked = view.ask(&facts.question, patterns);
    // Whose answer is wanted has a control of its own; a second field of the name would win over it.
    Fact::ALL
        .into_iter()
        .filter(|fact| *fact != Fact::Holder)
        .filter_map(|fact| match facts.given(fact.name()) {
            None => of(asked.clone(), fact).map(|options| Asked::Open(fact, options)),
            Some(value) => {
                let without = facts.without(fact);
                let options = of(view.ask(&without, patterns), fact);
                Some(options.map_or_else(
                    || Asked::Kept(fact, value.to_owned()),
                    |options| Asked::Open(fact, options),
                ))
            }
        })
        .collect()
}

/// Whose answer is wanted.
fn holder(facts: &Facts) -> Html {
    let chosen = facts.given("holder");
    let mut options = Html::own("<option value=\"\">Everybody</option>\n");
    for kind in Kind::HOLDERS {
        options.push(&option(
            kind.name(),
            words::kind_short(kind),
            chosen == Some(kind.name()),
        ));
    }
    Html::own(format!(
        "<p class=\"field\"><label for=\"q-holder\">Whose signature do you ask about?</label>\n\
         <select id=\"q-holder\" name=\"holder\">\n{}</select></p>\n",
        options.as_str()
    ))
}

fn day(name: &str, label: &str, value: Date) -> Html {
    Html::own(format!(
        "<p class=\"field\"><label for=\"q-{name}\">{label}</label>\n\
         <input type=\"date\" id=\"q-{name}\" name=\"{name}\" value=\"{value}\"></p>\n"
    ))
}

pub(super) fn option(value: &str, words: &str, chosen: bool) -> Html {
    Html::own(format!(
        "<option value=\"{}\"{}>{}</option>\n",
        text(value).as_str(),
        if chosen { " selected" } else { "" },
        text(words).as_str()
    ))
}

/// One question: buttons for a few answers, a list for many.
fn question(fact: Fact, options: &[String], facts: &Facts, answers: &[Answer]) -> Html {
    let name = fact.name();
    let given = facts.given(name);
    let mut kinds: Vec<&str> = answers
        .iter()
        .filter(|a| a.settled_by.iter().any(|s| s == name))
        .map(|a| words::kind_tag(a.holder))
        .collect();
    kinds.dedup();
    let mut hint = facts::hint(fact).to_owned();
    if !kinds.is_empty() {
        hint.push_str(&format!(" It decides for: {}.", words::list(&kinds, "and")));
    }
    let hint = format!(
        "<small id=\"h-{name}\" class=\"hint\">{}</small>",
        text(&hint).as_str()
    );
    if options.len() > BUTTONS {
        let mut list = option("", "Not sure", given.is_none());
        for value in options {
            let words = facts::option(fact, value);
            list.push(&option(value, &words, given == Some(value.as_str())));
        }
        return Html::own(format!(
            "<p class=\"field\"><label for=\"q-{name}\">{}</label>\n{hint}\n\
             <select id=\"q-{name}\" name=\"{name}\" aria-describedby=\"h-{name}\">\n{}</select></p>\n",
            text(facts::asked(fact)).as_str(),
            list.as_str()
        ));
    }
    let mut buttons = Html::new();
    let unsure = [String::new()];
    for value in options.iter().chain(&unsure) {
        let (words, chosen) = if value.is_empty() {
            ("Not sure".to_owned(), given.is_none())
        } else {
            (facts::option(fact, value), given == Some(value.as_str()))
        };
        let id: String = value.chars().filter(char::is_ascii_alphanumeric).collect();
        buttons.push(&Html::own(format!(
            "<label><input type=\"radio\" id=\"q-{name}-{id}\" name=\"{name}\" value=\"{}\"{}> {}\
             </label>\n",
            text(value).as_str(),
            if chosen { " checked" } else { "" },
            text(&words).as_str()
        )));
    }
    Html::own(format!(
        "<fieldset class=\"field\" aria-describedby=\"h-{name}\"><legend>{}</legend>\n{hint}\n{}\
         </fieldset>\n",
        text(facts::asked(fact)).as_str(),
        buttons.as_str()
    ))
}

/// The day of the last inspection, and the next limit after it.
fn calendar(base: &str, facts: &Facts, view: &View, patterns: &Patterns) -> Html {
    let value = facts
        .inspected
        .map_or_else(String::new, |day| day.to_string());
    let mut out = Html::own(format!(
        "<p class=\"field\"><label for=\"q-inspected\">When was the last condition inspection?\
         </label>\n<small id=\"h-inspected\" class=\"hint\">For the next limit of the year, and a \
         calendar entry.</small>\n\
         <input type=\"date\" id=\"q-inspected\" name=\"inspected\" value=\"{value}\" \
         aria-describedby=\"h-inspected\"></p>\n"
    ));
    if let Some(inspected) = facts.inspected {
        let found = view.year(inspected, facts, patterns);
        out.push(&Html::own(format!(
            "<p class=\"told\">{}.</p>\n",
            text(&days::told(&year::headline(&found))).as_str()
        )));
        if found.due.last_day.is_none() {
            let (dues, interval) = view.due(inspected);
            if let Some(note) = crate::report::due::notes(&dues, &interval, patterns).first() {
                out.push(&Html::own(format!(
                    "<p class=\"quiet\">{}</p>\n",
                    text(note).as_str()
                )));
            }
        }
    }
    out.push(&Html::own(format!(
        "<p><a href=\"{base}/year{}\">Everything that runs out in the year</a></p>\n",
        text(&facts.query()).as_str()
    )));
    out
}

/// Files to take along, each with what it is.
pub(in crate::serve) fn files(base: &str, facts: &Facts, files: &[(&str, &str)]) -> Html {
    let query = facts.query();
    let query = text(&query);
    let items: String = files
        .iter()
        .map(|(file, words)| {
            let query = query.as_str();
            format!("<li><a href=\"{base}/{file}{query}\" download>{words}</a></li>\n")
        })
        .collect();
    Html::own(format!("<ul>\n{items}</ul>\n"))
}

/// Downloads, and the end.
fn take(base: &str, facts: &Facts, view: &View, short: &str, patterns: &Patterns) -> Html {
    let query = facts.query();
    let query = text(&query);
    let query = query.as_str();
    let mut items = String::new();
    let limitations = view.letter.paper.is_limitations();
    for (file, words) in [
        (
            "report.html",
            "The report as a web page, to pass on or print",
        ),
        ("report.md", "The report as Markdown, for a message"),
        ("report.json", "The report as JSON, for programs"),
        ("memo.docx", "A memo of two pages, for a word processor"),
        (
            "request.html",
            "A draft request for amended limitations, to print",
        ),
        ("request.docx", "The same draft, for a word processor"),
        ("request.md", "The same draft as Markdown"),
    ]
    .into_iter()
    .take(if limitations { 7 } else { 3 })
    {
        items.push_str(&format!(
            "<li><a href=\"{base}/{file}{query}\" download>{words}</a></li>\n"
        ));
    }
    let entry = facts
        .inspected
        .is_some_and(|day| view.year(day, facts, patterns).next.is_some());
    items.push_str(&if !limitations {
        String::new()
    } else if entry {
        format!(
            "<li><a href=\"{base}/inspection.ics{query}\" download>Calendar entries of what runs out, the \
             inspection first</a></li>\n"
        )
    } else {
        "<li class=\"quiet\">A calendar entry, once you say when the last inspection was.</li>\n"
            .to_owned()
    });
    Html::own(format!(
        "<h2 id=\"take\">Take it with you</h2>\n{sheet}\
         <details class=\"post\"><summary>A short answer for a message</summary>\n\
         <textarea id=\"short\" readonly rows=\"9\" aria-label=\"A short answer for a message\">\
         {post}</textarea>\n\
         <p class=\"only-drop\"><button type=\"button\" class=\"plain\" id=\"copy\">Copy it\
         </button> <span role=\"status\" id=\"copied\"></span></p></details>\n\
         <p class=\"quiet\">A report quotes the letter, with names and marks in it: look before you \
         pass it on.</p>\n\
         <ul>\n{items}</ul>\n{}",
        forget(base).as_str(),
        post = text(short).as_str(),
        sheet = if limitations {
            format!(
                "<p><a href=\"{base}/sheet{query}\">One page for the inspector, before the work \
                 starts</a></p>\n"
            )
        } else {
            String::new()
        },
    ))
}
