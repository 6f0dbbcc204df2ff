//! Topics: every file keeps its promises, and the names are those of the contract.

use whomay::model::{Clause, Span};
use whomay::patterns::Patterns;
use whomay::understand::sentences::sentences;
use whomay::understand::topics::{subjects, topics};

fn of(text: &str, patterns: &Patterns) -> Vec<String> {
    let whole = Span::new(0, text.len());
    let clause = Clause {
        id: "1".into(),
        number: None,
        item: None,
        level: 1,
        parent: None,
        span: whole,
        body: whole,
        phase: None,
    };
    let tokens = patterns.lexicon.tokens(text);
    let clauses = [clause];
    let found = sentences(text, &tokens, &clauses, patterns);
    topics(text, &tokens, &found, &clauses, patterns).remove(0)
}

#[test]
fn every_topic_hits_and_misses_as_it_says() {
    let patterns = Patterns::as_written().unwrap();
    let mut wrong = Vec::new();
    for (n, loaded) in patterns.topic.files.iter().enumerate() {
        let name = patterns.topic.name(n);
        for hit in &loaded.file.hit {
            let tokens = patterns.lexicon.tokens(&hit.text);
            let seen = (0..tokens.len()).any(|at| {
                patterns
                    .topic
                    .phrases
                    .all_at(&tokens, at)
                    .any(|(end, signs)| {
                        let span = Span::new(tokens[at].span.start, tokens[end - 1].span.end);
                        span.of(&hit.text) == hit.span && signs.iter().any(|(f, _)| *f == n)
                    })
            });
            if !seen || !of(&hit.text, &patterns).iter().any(|t| t == name) {
                wrong.push(format!("{name} must hit: {}", hit.text));
            }
        }
        for miss in &loaded.file.miss {
            if of(&miss.text, &patterns).iter().any(|t| t == name) {
                wrong.push(format!("{name} must miss: {}", miss.text));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn names_are_those_of_the_contract() {
    let patterns = Patterns::as_written().unwrap();
    let names: Vec<&str> = (0..patterns.topic.files.len())
        .map(|n| patterns.topic.name(n))
        .collect();
    let contract = [
        "aerobatics",
        "area",
        "atc-notice",
        "compensation",
        "documents-aboard",
        "equipment",
        "foreign-operation",
        "inspection-record",
        "inspection-when",
        "inspection-who",
        "major-change",
        "passengers",
        "phase",
        "pilot-qualification",
        "placard-marking",
        "purpose",
        "towing",
        "transfer-ownership",
        "vfr-night-ifr",
        "weight-cg",
    ];
    assert_eq!(names, contract);
    assert_eq!(of("All is well.", &patterns), ["other"]);
}

#[test]
fn every_subject_hits_and_misses_as_it_says() {
    let patterns = Patterns::as_written().unwrap();
    let known = &patterns.subject().topics;
    let mut wrong = Vec::new();
    for (n, loaded) in known.files.iter().enumerate() {
        let name = known.name(n);
        for hit in &loaded.file.hit {
            let tokens = patterns.subject().tokens(&hit.text);
            let seen = (0..tokens.len()).any(|at| {
                known.phrases.all_at(&tokens, at).any(|(end, signs)| {
                    let span = Span::new(tokens[at].span.start, tokens[end - 1].span.end);
                    span.of(&hit.text) == hit.span && signs.iter().any(|(f, _)| *f == n)
                })
            });
            if !seen || !subjects(&hit.text, &patterns).contains(&n) {
                wrong.push(format!("{name} must hit: {}", hit.text));
            }
        }
        for miss in &loaded.file.miss {
            if subjects(&miss.text, &patterns).contains(&n) {
                wrong.push(format!("{name} must miss: {}", miss.text));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
