//! The rules of `patterns/law/` and the readings, word for word against the texts that they cite
//! (`tests/outside/data/rules.md`, with source), and § 91.327(b) as a worked example of a closed
//! list.

use whomay::model::{CategoryClass, KeyTwo, Kind, Letter, Ownership, Paper, Question, Verdict};
use whomay::patterns::{Patterns, Reference};

const RULES: &str = include_str!("data/rules.md");

/// Blanks folded, and none after a section sign: the states differ in that.
fn fold(text: &str) -> String {
    text.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .replace("§ ", "§")
}

/// The text of a section in a state: "14 CFR 65.109(a)" stands under "14 CFR 65.109".
fn text_of(title: &str, state: &str) -> Option<String> {
    RULES.split("\n## ").skip(1).find_map(|part| {
        let (head, body) = part.split_once('\n')?;
        let (section, stands) = head.split_once(" | ")?;
        let rest = title.strip_prefix(section)?;
        let whole = !rest.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        (whole && stands == state).then(|| fold(body))
    })
}

fn check(id: &str, source: &Reference, wrong: &mut Vec<String>) -> bool {
    let official = source.title.starts_with("14 CFR")
        || source.title.starts_with("90 FR")
        || source.title.starts_with("44 FR");
    if !official || source.quote.is_empty() {
        return false;
    }
    match text_of(&source.title, &source.locator) {
        None => wrong.push(format!(
            "{id}: no text of {} in state «{}»",
            source.title, source.locator
        )),
        Some(text) if !text.contains(&fold(&source.quote)) => {
            wrong.push(format!(
                "{id}: {} does not say «{}»",
                source.title, source.quote
            ));
        }
        Some(_) => {}
    }
    true
}

#[test]
fn every_rule_is_quoted_word_for_word() {
    let patterns = Patterns::embedded().expect("the embedded patterns compile");
    let mut wrong = Vec::new();
    let mut checked = 0;
    for law in &patterns.law {
        for source in &law.file.source {
            checked += usize::from(check(&law.id, source, &mut wrong));
        }
    }
    for reading in &patterns.reading {
        for source in &reading.file.source {
            checked += usize::from(check(&reading.id, source, &mut wrong));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(checked >= 50, "{checked} quotes");
}

/// 14 CFR 91.327(b)(2): "No person may operate … unless … a condition inspection is performed once
/// every 12 calendar months by a certificated repairman (light-sport) with a maintenance rating, an
/// appropriately rated mechanic, or an appropriately rated repair station". A list after "unless"
/// is closed: these three, and nobody else.
#[test]
fn section_91_327_b_is_a_closed_list() {
    let patterns = Patterns::embedded().expect("the embedded patterns compile");
    let letter = Letter {
        paper: Paper::LightSportCategory,
        ..Letter::default()
    };
    let mut question = Question::on("2026-11-25".parse().expect("a day"));
    question.owner = Some(Ownership::OwnName);
    question.trained = CategoryClass::parse("airplane");
    question.aircraft = CategoryClass::parse("airplane");
    for answer in whomay::answer(&letter, &question, &patterns) {
        let named = matches!(
            answer.holder,
            Kind::LightSportRepairmanMaintenance | Kind::Mechanic | Kind::RepairStation
        );
        let (want, key) = if named {
            (Verdict::Yes, KeyTwo::Named)
        } else {
            (Verdict::No, KeyTwo::ShutOut)
        };
        assert_eq!(
            (answer.answer, answer.letter.answer),
            (want, key),
            "{:?}",
            answer.holder
        );
        let nothing = whomay::model::Text::default();
        let view = whomay::report::View::new(&nothing, &letter);
        let told = whomay::report::findings::key_notes(&view, &patterns, &answer.letter);
        assert!(told.iter().any(|n| n.contains("§ 91.327(b)(2)")));
    }
}
