//! The clauses as a tree: which of them stand below one.

use std::ops::Range;

use crate::model::{Clause, Span};

/// The clause at an index with everything below it, as indexes: its sub-items and paragraphs follow
/// it directly. Empty where there is no such clause.
#[must_use]
pub fn subtree(clauses: &[Clause], at: usize) -> Range<usize> {
    let Some(first) = clauses.get(at) else {
        return at..at;
    };
    let mut end = at + 1;
    while let Some(clause) = clauses.get(end) {
        let inside = clause.parent.is_some_and(|p| (at..end).contains(&p));
        if !inside && clause.level <= first.level {
            break;
        }
        end += 1;
    }
    at..end
}

/// Everything from the head of the clause at an index to the last word below it; `None` where there
/// is no such clause.
#[must_use]
pub fn whole(clauses: &[Clause], at: usize) -> Option<Span> {
    let below = clauses.get(subtree(clauses, at))?;
    let start = below.first()?.span.start;
    let end = below.iter().map(|c| c.span.end).max()?;
    Some(Span::new(start, end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::patterns::Patterns;

    #[test]
    fn what_stands_below_a_clause_follows_it() {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let text =
            "(1) The pilot may do\n(a) loops;\n(b) rolls.\n(2) No hire.\n(3) The owner signs.\n";
        let clauses =
            crate::understand::split::clauses(text, &patterns.lexicon.tokens(text), &patterns);
        let ids: Vec<&str> = clauses.iter().map(|c| c.id.as_str()).collect();
        assert_eq!(ids, ["1", "1(a)", "1(b)", "2", "3"]);
        assert_eq!(subtree(&clauses, 0), 0..3);
        assert_eq!(subtree(&clauses, 1), 1..2);
        assert_eq!(subtree(&clauses, 3), 3..4);
        assert_eq!(subtree(&clauses, 9), 9..9);
        let whole = whole(&clauses, 0).map(|s| s.of(text));
        assert!(whole.is_some_and(|w| w.ends_with("(b) rolls.")));
    }
}
