//! Text → Letter: what the words alone say.

mod budget;
pub mod citations;
mod context;
mod findings;
pub mod inspectors;
pub mod modality;
pub mod sentences;
pub mod split;
pub mod topics;

use crate::document;
use crate::model::{
    Citation, Clause, InspectorRule, Letter, Norm, Note, Paper, Span, Text, TooMuch,
};
use crate::patterns::{PatternError, Patterns, Token};

pub use context::Context;
pub use findings::deciding_doubts;
pub use split::Split;

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
    /// Why nothing was understood, where the text is too much to read.
    pub too_much: Option<TooMuch>,
}

/// Runs the stages on a text.
#[must_use]
pub fn passage(text: &str, context: Context<'_>, patterns: &Patterns) -> Passage {
    let tokens = patterns.lexicon.tokens(text);
    if let Some(too_much) = budget::exceeded(&tokens, &[], &[]) {
        return Passage {
            too_much: Some(too_much),
            ..Passage::default()
        };
    }
    let clauses = split::clauses(text, &tokens, patterns);
    let sentences = sentences::sentences(text, &tokens, &clauses, patterns);
    if let Some(too_much) = budget::exceeded(&tokens, &clauses, &sentences) {
        return Passage {
            tokens,
            sentences,
            too_much: Some(too_much),
            ..Passage::default()
        };
    }
    let citations = citations::citations(text, &tokens, context, patterns);
    let norms = modality::norms(text, &tokens, &clauses, &sentences, context, patterns);
    let topics = topics::topics(text, &tokens, &sentences, &clauses, patterns);
    let split = Split {
        text,
        tokens: &tokens,
        clauses: &clauses,
        sentences: &sentences,
        citations: &citations,
    };
    let inspectors = inspectors::inspectors(&split, &[], 1, patterns).rules;
    Passage {
        tokens,
        clauses,
        sentences,
        norms,
        topics,
        citations,
        inspectors,
        too_much: None,
    }
}

/// Whether patterns with a folder laid over them can be used: each meaning of a word and each action
/// of a rule has to be one that the grammar knows.
///
/// # Errors
/// [`PatternError::Form`] with the file and what is wrong.
pub fn check(patterns: &Patterns) -> Result<(), PatternError> {
    crate::grammar::Grammar::check(patterns)
}

/// What has to be said of the reading.
fn of_reading(text: &Text) -> Vec<Note> {
    text.notes.iter().cloned().map(Note::Read).collect()
}

/// A letter of which nothing was understood, and why.
fn not_understood(text: &Text, why: TooMuch) -> Letter {
    let mut letter = Letter {
        notes: of_reading(text),
        unread: text.unread(),
        ..Letter::default()
    };
    letter.notes.push(Note::TooMuch(why));
    letter
}

/// Reads a letter's words: the papers first, then the sentences of those that count.
#[must_use]
pub fn understand(text: &Text, patterns: &Patterns) -> Letter {
    understand_on(1, text, patterns)
}

/// The same, the clauses read by so many threads at once; what is read does not depend on their number.
pub(crate) fn understand_on(threads: usize, text: &Text, patterns: &Patterns) -> Letter {
    let whole = &text.content;
    let context = Context::default();
    let tokens = patterns.lexicon.tokens(whole);
    if let Some(too_much) = budget::exceeded(&tokens, &[], &[]) {
        return not_understood(text, too_much);
    }
    let clauses = split::clauses(whole, &tokens, patterns);
    let all = sentences::sentences(whole, &tokens, &clauses, patterns);
    if let Some(too_much) = budget::exceeded(&tokens, &clauses, &all) {
        return not_understood(text, too_much);
    }
    let mut letter = Letter {
        topics: topics::topics(whole, &tokens, &all, &clauses, patterns),
        citations: citations::citations(whole, &tokens, context, patterns),
        clauses,
        notes: of_reading(text),
        unread: text.unread(),
        ..Letter::default()
    };
    let laid = document::lay_out(&mut letter, text, tokens, patterns);
    let content = laid.masked.as_deref().unwrap_or(whole);
    let tokens = &laid.tokens;
    let sentences = sentences::sentences(content, tokens, &letter.clauses, patterns);
    letter.norms = modality::norms(
        content,
        tokens,
        &letter.clauses,
        &sentences,
        context,
        patterns,
    );
    let left_out = document::papers::left_out(&laid.parts);
    let split = Split {
        text: content,
        tokens,
        clauses: &letter.clauses,
        sentences: &sentences,
        citations: &letter.citations,
    };
    let found = inspectors::inspectors(&split, &left_out, threads, patterns);
    letter.inspectors = found.rules;
    let overlooked = inspectors::overlooked(
        content,
        tokens,
        &sentences,
        &letter,
        &found.understood,
        &left_out,
        patterns,
    );
    letter.inspectors.extend(overlooked);
    letter.inspectors.sort_by_key(|r| r.clause);
    if !letter.paper.is_limitations() && letter.paper != Paper::Clause {
        // A paper that is no letter says nothing of who inspects; its words are in no doubt.
        letter.inspectors.retain(|r| r.doubt.is_none());
    }
    findings::check(&mut letter, text, tokens, &laid.parts, patterns);
    letter
}
