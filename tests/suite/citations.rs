//! Citations, in all the forms that letters use.

use whomay::patterns::Patterns;
use whomay::patterns::citation::CiteRole;
use whomay::understand::{Context, citations::citations};

fn cite_in(text: &str, context: Context<'_>) -> Vec<String> {
    let patterns = Patterns::as_written().expect("embedded patterns");
    let tokens = patterns.lexicon.tokens(text);
    citations(text, &tokens, context, &patterns)
        .into_iter()
        .map(|c| format!("{} = {}", c.span.of(text), c.target))
        .collect()
}

#[test]
fn forms() {
    let text = include_str!("citations/forms.txt");
    let mut out = String::new();
    for line in text.lines() {
        out.push_str(line);
        out.push('\n');
        for found in cite_in(line, Context::default()) {
            out.push_str("    ");
            out.push_str(&found);
            out.push('\n');
        }
    }
    insta::assert_snapshot!(out);
}

#[test]
fn this_section_and_this_part_need_a_context() {
    let text = "Paragraphs (f) and (g) of this section and appendix D to this part apply.";
    assert!(cite_in(text, Context::default()).is_empty());
    let context = Context {
        part: Some("43"),
        section: Some("43.15"),
        ..Context::default()
    };
    assert_eq!(
        cite_in(text, context),
        [
            "Paragraphs (f) = 43.15(f)",
            "(g) of this section = 43.15(g)",
            "appendix D to this part = part 43 appendix D"
        ]
    );
}

#[test]
fn every_citation_file_hits_and_misses() {
    let patterns = Patterns::as_written().expect("embedded patterns");
    for loaded in &patterns.citation.files {
        let role = loaded.file.role;
        let words = |text: &str| -> Vec<String> {
            if role == CiteRole::Parts {
                return cite_in(text, Context::default());
            }
            let tokens = patterns.lexicon.tokens(text);
            patterns
                .citation
                .phrases
                .find(&tokens)
                .filter(|(_, r)| **r == role)
                .map(|(r, _)| {
                    text[tokens[r.start].span.start..tokens[r.end - 1].span.end].to_owned()
                })
                .collect()
        };
        for hit in &loaded.file.hit {
            let found = words(&hit.text);
            let there = found.iter().any(|w| w.starts_with(&hit.span));
            assert!(there, "{}: {found:?} in «{}»", loaded.id, hit.text);
        }
        for miss in &loaded.file.miss {
            assert_eq!(words(&miss.text), [""; 0], "{}: {}", loaded.id, miss.text);
        }
    }
}
