//! Two wordings compared word by word.

use std::ops::Range;

use similar::{Algorithm, DiffOp, capture_diff_slices};

use super::side::{Hunk, Side};
use super::units::{Keys, Unit};
use super::{cleanup, kinds};
use crate::model::{Diff, Op};
use crate::patterns::Patterns;

/// Compares two wordings word by word.
///
/// The kept and the inserted pieces together are the new text, byte for byte; the kept and the
/// deleted ones are the old text up to what [`Diff::same`] leaves aside.
#[must_use]
pub fn diff(old: &str, new: &str, patterns: &Patterns) -> Diff {
    let old = Side::new(old, &patterns.list);
    let new = Side::new(new, &patterns.list);
    let hunks = hunks(&old, &new);
    Diff {
        same: hunks.is_empty(),
        ops: ops(&hunks, &old, &new),
        differences: kinds::differences(&hunks, &old, &new, patterns),
    }
}

/// The changes, tidied for reading; empty where the wording is the same.
pub(super) fn hunks(old: &Side<'_>, new: &Side<'_>) -> Vec<Hunk> {
    if old
        .tokens
        .iter()
        .map(|a| &a.word)
        .eq(new.tokens.iter().map(|a| &a.word))
    {
        return Vec::new();
    }
    // Always worked out in one direction, so that swapping the sides only swaps the changes.
    if old.text > new.text {
        return in_order(new, old)
            .into_iter()
            .map(|h| Hunk {
                old: h.new,
                new: h.old,
            })
            .collect();
    }
    in_order(old, new)
}

fn in_order(old: &Side<'_>, new: &Side<'_>) -> Vec<Hunk> {
    let mut keys = Keys::default();
    let old_units = keys.units(&old.tokens, &old.cited);
    let new_units = keys.units(&new.tokens, &new.cited);
    let mut fine = Vec::new();
    for coarse in script(
        &key_row(&old_units, |u| u.key),
        &key_row(&new_units, |u| u.key),
    ) {
        let old_part = old_units.get(coarse.old.clone()).unwrap_or_default();
        let new_part = new_units.get(coarse.new.clone()).unwrap_or_default();
        let hunk = Hunk {
            old: tokens_of(old_part, &old_units, coarse.old.start),
            new: tokens_of(new_part, &new_units, coarse.new.start),
        };
        let targets = |part: &[Unit], side: &Side<'_>| -> Vec<String> {
            part.iter()
                .filter_map(|u| side.cited.get(u.citation?))
                .map(|c| c.target.clone())
                .collect()
        };
        let (was, is) = (targets(old_part, old), targets(new_part, new));
        if was.is_empty() && is.is_empty() {
            fine.push(hunk);
            continue;
        }
        let old_keys = keys.of(old.tokens.get(hunk.old.clone()).unwrap_or_default());
        let new_keys = keys.of(new.tokens.get(hunk.new.clone()).unwrap_or_default());
        let inner = script(&old_keys, &new_keys);
        // Another rule is cited, or words came to a citation or went from it: only the words that
        // differ are the change. The same rule in another form is one change.
        let added = matches!(&*inner, [h] if h.old.is_empty() || h.new.is_empty());
        if was == is && !added {
            fine.push(hunk);
            continue;
        }
        fine.extend(inner.into_iter().map(|h| Hunk {
            old: h.old.start + hunk.old.start..h.old.end + hunk.old.start,
            new: h.new.start + hunk.new.start..h.new.end + hunk.new.start,
        }));
    }
    cleanup::clean_up(fine, old, new)
}

fn key_row<T>(row: &[T], key: impl Fn(&T) -> u32) -> Vec<u32> {
    row.iter().map(key).collect()
}

/// Tokens of a row of units, of which the first has the index `first`.
fn tokens_of(part: &[Unit], units: &[Unit], first: usize) -> Range<usize> {
    match (part.first(), part.last()) {
        (Some(a), Some(b)) => a.tokens.start..b.tokens.end,
        _ => {
            let at = units
                .get(first)
                .map(|u| u.tokens.start)
                .or_else(|| units.last().map(|u| u.tokens.end))
                .unwrap_or(0);
            at..at
        }
    }
}

/// The shortest edit script, as changes with something kept between them.
fn script(old: &[u32], new: &[u32]) -> Vec<Hunk> {
    let mut hunks: Vec<Hunk> = Vec::new();
    for op in capture_diff_slices(Algorithm::Myers, old, new) {
        if matches!(op, DiffOp::Equal { .. }) {
            continue;
        }
        let hunk = Hunk {
            old: op.old_range(),
            new: op.new_range(),
        };
        match hunks.last_mut() {
            Some(last) if last.old.end == hunk.old.start && last.new.end == hunk.new.start => {
                last.old.end = hunk.old.end;
                last.new.end = hunk.new.end;
            }
            _ => hunks.push(hunk),
        }
    }
    hunks
}

/// The pieces of the comparison. Blanks go with the word after them, except that those before a
/// change of some words into others stay with the words that are kept.
fn ops(hunks: &[Hunk], old: &Side<'_>, new: &Side<'_>) -> Vec<Op> {
    let mut ops = Vec::with_capacity(hunks.len() * 3 + 1);
    let mut at = 0;
    // The inserted words before took the blank before the next kept word with them.
    let mut bare = false;
    let kept_piece = |range: &Range<usize>, bare: bool| {
        let mut kept = piece(new, range);
        if bare && !range.is_empty() {
            kept.drain(..new.gap(range.start).len());
        }
        kept
    };
    for hunk in hunks {
        let mut kept = kept_piece(&(at..hunk.new.start), bare);
        let mut deleted = piece(old, &hunk.old);
        let mut inserted = piece(new, &hunk.new);
        let (gap_old, gap_new) = (old.gap(hunk.old.start), new.gap(hunk.new.start));
        if !deleted.is_empty()
            && !inserted.is_empty()
            && !kept.is_empty()
            && gap_old.is_empty() == gap_new.is_empty()
        {
            kept.push_str(gap_new);
            deleted.drain(..gap_old.len());
            inserted.drain(..gap_new.len());
        }
        // The kept word behind the change brings the blank of the new text; where only one text
        // has a blank there, it belongs to the changed words.
        let (behind_old, behind_new) = (old.gap(hunk.old.end), new.gap(hunk.new.end));
        if !deleted.is_empty() && behind_new.is_empty() && hunk.old.end < old.tokens.len() {
            deleted.push_str(behind_old);
        }
        bare = !inserted.is_empty() && behind_old.is_empty() && hunk.new.end < new.tokens.len();
        if bare {
            inserted.push_str(behind_new);
        }
        at = hunk.new.end;
        push(&mut ops, Op::Keep(kept));
        push(&mut ops, Op::Delete(deleted));
        push(&mut ops, Op::Insert(inserted));
    }
    let mut rest = kept_piece(&(at..new.tokens.len()), bare);
    rest.push_str(new.gap(new.tokens.len()));
    push(&mut ops, Op::Keep(rest));
    ops
}

/// The words of a range with the blanks before them.
fn piece(side: &Side<'_>, range: &Range<usize>) -> String {
    if range.is_empty() {
        return String::new();
    }
    let mut out = side.gap(range.start).to_owned();
    out.push_str(side.words(range));
    out
}

fn push(ops: &mut Vec<Op>, op: Op) {
    let (Op::Keep(words) | Op::Delete(words) | Op::Insert(words)) = &op;
    if !words.is_empty() {
        ops.push(op);
    }
}
