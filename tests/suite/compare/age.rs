//! The age of a letter.

use whomay::compare::age;
use whomay::model::{Age, Letter, MisfitKind, Text};
use whomay::patterns::Patterns;

fn patterns() -> Patterns {
    Patterns::as_written().expect("the embedded patterns load")
}

fn read(text: &str, patterns: &Patterns) -> (Text, Letter, Age) {
    let text = Text::verbatim(text);
    let letter = whomay::understand(&text, patterns);
    let age = age(&letter, &text, patterns);
    (text, letter, age)
}

#[test]
fn every_feature_shows_in_its_hits_and_not_in_its_misses() {
    let patterns = patterns();
    let mut wrong = Vec::new();
    for loaded in &patterns.age.files {
        for hit in &loaded.file.hit {
            let (text, _, age) = read(&hit.text, &patterns);
            if let Some(family) = &loaded.file.family {
                if age.best.as_ref() != Some(&family.name) {
                    wrong.push(format!(
                        "{}: {:?} {:?} {:?}",
                        loaded.id,
                        age.best,
                        &age.candidates[..3],
                        age.evidence
                    ));
                }
                continue;
            }
            let shown = age.evidence.iter().find(|e| e.pattern == loaded.id);
            match shown {
                Some(e) if e.span.of(&text.content).starts_with(&hit.span) => {}
                other => wrong.push(format!("{}: {other:?}", loaded.id)),
            }
        }
        for miss in &loaded.file.miss {
            let (_, _, age) = read(&miss.text, &patterns);
            let shown = match &loaded.file.family {
                Some(family) => age.best.as_ref() == Some(&family.name),
                None => age.evidence.iter().any(|e| e.pattern == loaded.id),
            };
            if shown {
                wrong.push(format!("{} shows in its miss: {}", loaded.id, miss.text));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The wordings of a series as one letter, with a stated day.
fn letter_of(series: &[&str], issued: Option<jiff::civil::Date>, patterns: &Patterns) -> Age {
    let bodies: Vec<String> = patterns
        .wording
        .iter()
        .filter(|w| w.file.is_of('g') && series.contains(&w.file.series.as_str()))
        .map(|w| super::pairing::bare(&w.file.text).to_owned())
        .collect();
    assert!(!bodies.is_empty(), "{series:?}");
    let (text, mut letter) = super::pairing::letter(&bodies, 'g');
    letter.issued.value = issued;
    age(&letter, &text, patterns)
}

#[test]
fn the_wordings_of_a_revision_date_a_letter() {
    let patterns = patterns();
    for (series, expected) in [
        (
            &["AC 20-27D", "AC 20-27D or 8130.2C"][..],
            "AC 20-27D / 8130.2C",
        ),
        (&["8130.2F", "8130.2F CHG 3"], "8130.2F to CHG 3"),
        (&["8130.2F CHG 4"], "8130.2F CHG 4/5"),
        (&["8130.2G", "8130.2G CHG 1"], "8130.2G"),
    ] {
        let age = letter_of(series, None, &patterns);
        assert_eq!(age.best.as_deref(), Some(expected), "{:?}", age.candidates);
    }
}

#[test]
fn shared_words_give_no_single_answer() {
    let patterns = patterns();
    for series in [&["8130.2E or before"][..], &["8130.2K"], &["8130.2L"]] {
        let age = letter_of(series, None, &patterns);
        assert_eq!(age.best, None, "{series:?}: {:?}", age.candidates);
    }
    // Nor does a day alone.
    let text = Text::verbatim("1. Smoking is prohibited.");
    let mut letter = whomay::understand(&text, &patterns);
    letter.issued.value = Some(jiff::civil::date(2013, 5, 1));
    let age = age(&letter, &text, &patterns);
    assert_eq!(age.best, None);
    assert_eq!(age.candidates[0].wording, "8130.2G");
}

#[test]
fn a_day_that_does_not_fit_the_words_is_told() {
    let patterns = patterns();
    let note = |series: &[&str], y| {
        let age = letter_of(series, Some(jiff::civil::date(y, 6, 1)), &patterns);
        age.misfit.map(|m| m.kind)
    };
    let f = ["8130.2F", "8130.2F CHG 3"];
    assert_eq!(note(&f, 2007), None);
    let old = note(&f, 2018);
    assert!(
        matches!(old, Some(MisfitKind::ReplacedBefore(_))),
        "{old:?}"
    );
    let young = note(&["8130.2G", "8130.2G CHG 1"], 2006);
    assert!(matches!(young, Some(MisfitKind::CameLater(_))), "{young:?}");
}
