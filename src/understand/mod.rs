//! Text → Letter: what the words alone say.

pub mod citations;
mod condition;
pub mod inspectors;
pub mod modality;
mod paper;
mod papers;
pub mod sentences;
pub mod split;
pub mod topics;

use crate::model::{Citation, Clause, InspectorRule, Letter, Norm, Span, Text};
use crate::patterns::{Patterns, Token};

pub use condition::deciding_doubts;

/// What is known of a passage before it is read, for texts that are handed over in pieces.
#[derive(Clone, Copy, Debug, Default)]
pub struct Context<'a> {
    /// A lead-in that governs the text: "The operator shall:".
    pub stem: Option<&'a str>,
    /// Part of the CFR in which the text stands, for "this part".
    pub part: Option<&'a str>,
    /// Section in which the text stands, for "this section".
    pub section: Option<&'a str>,
}

/// Everything that the stages find in a text; see the machine contract of `whomay passages`.
#[derive(Clone, Debug, Default)]
pub struct Passage {
    /// Words, numbers and marks.
    pub tokens: Vec<Token>,
    /// Numbered clauses and unnumbered paragraphs, in order.
    pub clauses: Vec<Clause>,
    /// Sentences; together they cover the text.
    pub sentences: Vec<Span>,
    /// One norm per main clause.
    pub norms: Vec<Norm>,
    /// Topics, parallel to `clauses`.
    pub topics: Vec<Vec<String>>,
    /// Cited rules.
    pub citations: Vec<Citation>,
    /// Who may inspect.
    pub inspectors: Vec<InspectorRule>,
}

/// Runs the stages on a text.
#[must_use]
pub fn passage(text: &str, context: Context<'_>, patterns: &Patterns) -> Passage {
    let tokens = patterns.lexicon.tokens(text);
    let clauses = split::clauses(text, &tokens, patterns);
    let sentences = sentences::sentences(text, &tokens, &clauses, patterns);
    let citations = citations::citations(text, &tokens, context, patterns);
    let norms = modality::norms(text, &tokens, &clauses, &sentences, context, patterns);
    let topics = topics::topics(text, &tokens, &clauses, patterns);
    let inspectors = inspectors::inspectors(
        text, &tokens, &clauses, &sentences, &norms, &citations, patterns,
    );
    Passage {
        tokens,
        clauses,
        sentences,
        norms,
        topics,
        citations,
        inspectors,
    }
}

/// Reads a letter's words.
#[must_use]
pub fn understand(text: &Text, patterns: &Patterns) -> Letter {
    let passage = passage(&text.content, Context::default(), patterns);
    let mut letter = Letter {
        clauses: passage.clauses,
        norms: passage.norms,
        topics: passage.topics,
        citations: passage.citations,
        inspectors: passage.inspectors,
        notes: text.notes.clone(),
        ..Letter::default()
    };
    let parts = paper::tell(&mut letter, text, &passage.tokens, patterns);
    let overlooked = inspectors::overlooked(
        &text.content,
        &passage.tokens,
        &passage.sentences,
        &letter,
        &papers::left_out(&parts),
        patterns,
    );
    letter.inspectors.extend(overlooked);
    condition::check(&mut letter, text, &passage.tokens, &parts, patterns);
    letter
}
