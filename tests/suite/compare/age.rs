//! The age of a letter.

use whomay::compare::age;
use whomay::model::{Age, Letter, Text};
use whomay::patterns::Patterns;

fn patterns() -> Patterns {
    Patterns::embedded().expect("the embedded patterns load")
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
