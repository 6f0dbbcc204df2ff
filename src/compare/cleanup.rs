//! Makes a shortest edit script readable: no confetti, and changes that begin and end where a
//! reader would put them.

use super::side::{Hunk, Side};
use super::tokens::DiffTokenKind;
use super::words;

/// Cleans the changes of a script, which come in order and do not touch each other.
pub(super) fn clean_up(hunks: Vec<Hunk>, old: &Side<'_>, new: &Side<'_>) -> Vec<Hunk> {
    let mut out: Vec<Hunk> = Vec::with_capacity(hunks.len());
    for mut hunk in hunks {
        if hunk.old.is_empty() && hunk.new.is_empty() {
            continue;
        }
        match out.last_mut() {
            Some(last) if joins(last, &mut hunk, old, new) => {
                last.old.end = hunk.old.end;
                last.new.end = hunk.new.end;
            }
            _ => out.push(hunk),
        }
    }
    slide(&mut out, old, new);
    out
}

/// Whether what is kept between two changes is too little to tell them apart. May move the right
/// one nearer to the left one.
fn joins(left: &Hunk, right: &mut Hunk, old: &Side<'_>, new: &Side<'_>) -> bool {
    let kept = left.new.end..right.new.start;
    let Some(tokens) = new.tokens.get(kept.clone()) else {
        return false;
    };
    if kept.is_empty() {
        return true;
    }
    // One unit between two changes within an unbroken word, such as an address.
    if (kept.start..=kept.end).all(|n| new.gap(n).is_empty()) {
        let near = nearest(right, kept.len() - 1, old, new);
        let joins = kept.len() - near <= 1;
        if joins {
            move_by(right, -isize::try_from(near).unwrap_or(0));
        }
        return joins;
    }
    // A light word or two between two changes, each of which is longer than they are.
    let light = tokens
        .iter()
        .all(|a| a.kind == DiffTokenKind::Mark || words::is_light(a.role));
    let size = |h: &Hunk| h.old.len().max(h.new.len());
    // One word of weight that stayed by chance amid changed passages.
    let all = |h: &Hunk| h.old.len() + h.new.len();
    if kept.len() == 1 && all(left) > 4 && all(right) > 4 {
        return true;
    }
    light && kept.len() <= 2 && size(left) > kept.len() && size(right) > kept.len()
}

/// How far a change on one side can move to the left, up to `most`, with the same words left.
fn nearest(hunk: &Hunk, most: usize, old: &Side<'_>, new: &Side<'_>) -> usize {
    let (side, range) = match (hunk.old.is_empty(), hunk.new.is_empty()) {
        (true, false) => (new, &hunk.new),
        (false, true) => (old, &hunk.old),
        _ => return 0,
    };
    let key = |n: Option<usize>| n.and_then(|n| side.tokens.get(n)).map(|a| &*a.word);
    (1..=most)
        .take_while(|n| key(range.start.checked_sub(*n)) == key(range.end.checked_sub(*n)))
        .count()
}

fn move_by(hunk: &mut Hunk, by: isize) {
    for range in [&mut hunk.old, &mut hunk.new] {
        range.start = range.start.saturating_add_signed(by);
        range.end = range.end.saturating_add_signed(by);
    }
}

/// Moves changes that are on one side only to where they read best: a deletion of «, or B» in
/// «A, or B, or C» could stand in several places.
fn slide(hunks: &mut [Hunk], old: &Side<'_>, new: &Side<'_>) {
    for n in 0..hunks.len() {
        let low = n.checked_sub(1).and_then(|n| hunks.get(n)).cloned();
        let high = hunks.get(n + 1).cloned();
        let Some(hunk) = hunks.get_mut(n) else {
            continue;
        };
        let (side, range, bottom, top) = if hunk.old.is_empty() {
            (
                new,
                hunk.new.clone(),
                low.as_ref().map_or(0, |h| h.new.end + 1),
                high.as_ref()
                    .map_or(new.tokens.len(), |h| h.new.start.saturating_sub(1)),
            )
        } else if hunk.new.is_empty() {
            (
                old,
                hunk.old.clone(),
                low.as_ref().map_or(0, |h| h.old.end + 1),
                high.as_ref()
                    .map_or(old.tokens.len(), |h| h.old.start.saturating_sub(1)),
            )
        } else {
            continue;
        };
        let best = best_place(side, &range, bottom, top);
        move_by(hunk, best);
    }
}

/// How far to move a range so that it reads best; the same words are left and taken.
fn best_place(side: &Side<'_>, range: &std::ops::Range<usize>, bottom: usize, top: usize) -> isize {
    let key = |n: usize| side.tokens.get(n).map(|a| &*a.word);
    let mut best = (place_score(side, range.start, range.end), 0isize);
    let (mut start, mut end, mut by) = (range.start, range.end, 0isize);
    while start > bottom && key(start - 1) == key(end.saturating_sub(1)) {
        start -= 1;
        end -= 1;
        by -= 1;
        let score = place_score(side, start, end);
        if score > best.0 {
            best = (score, by);
        }
    }
    (start, end, by) = (range.start, range.end, 0);
    while end < top && key(start) == key(end) {
        start += 1;
        end += 1;
        by += 1;
        let score = place_score(side, start, end);
        if score > best.0 {
            best = (score, by);
        }
    }
    best.1
}

/// How well a change from token `start` to before token `end` reads.
fn place_score(side: &Side<'_>, start: usize, end: usize) -> u32 {
    edge(side, start) + edge(side, end)
}

/// How good a boundary the place before a token is.
fn edge(side: &Side<'_>, at: usize) -> u32 {
    let Some(before) = at.checked_sub(1).and_then(|n| side.tokens.get(n)) else {
        return 4;
    };
    if at >= side.tokens.len() {
        return 4;
    }
    let glued = side.gap(at).is_empty();
    match before.span.of(side.text) {
        "." | ";" | ":" | "?" | "!" if !glued => 4,
        "," if !glued => 3,
        _ if !glued => 2,
        _ if side
            .tokens
            .get(at)
            .is_some_and(|a| matches!(a.span.of(side.text), "," | ";" | "." | ":")) =>
        {
            1
        }
        _ => 0,
    }
}
