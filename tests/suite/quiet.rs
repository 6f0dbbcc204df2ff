//! Prose that is no letter yields few norms.

use whomay::model::Modality;
use whomay::patterns::Patterns;
use whomay::understand::{Context, passage};

/// The norms that bind and the number of sentences of a file of `tests/quiet/`; none of them may
/// name inspectors.
fn read(name: &str) -> (Vec<String>, usize) {
    let path = format!("{}/tests/quiet/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    let patterns = Patterns::embedded().unwrap();
    let passage = passage(&text, Context::default(), &patterns);
    assert!(
        passage.inspectors.is_empty(),
        "{name}: {:?}",
        passage.inspectors
    );
    let norms = passage
        .norms
        .iter()
        .filter(|n| n.modality != Modality::Statement && !n.quoted)
        .map(|n| format!("{}: {}", n.modality.name(), n.span.of(&text)))
        .collect();
    (norms, passage.sentences.len())
}

#[test]
fn prose_is_quiet() {
    for (name, most) in [("magazine.txt", 2), ("abstract.txt", 1), ("story.txt", 1)] {
        let (norms, sentences) = read(name);
        assert!(sentences > 8, "{name}");
        assert!(norms.len() <= most, "{name}: {norms:#?}");
    }
}

/// A lease is full of norms, but names no inspectors.
#[test]
fn a_lease_names_no_inspectors() {
    assert!(read("lease.txt").0.len() > 5);
}
