//! Papers of different aircraft, handed in as one letter.

use super::whose::Unit;
use crate::model::{Differs, Mixed, Span, Whose};

/// Whether papers of different aircraft were handed in as one letter; which papers belong
/// together, and what differs.
pub(crate) fn mixed(units: &[Unit]) -> Option<Mixed> {
    let groups = by_aircraft(units);
    // A running head with another mark than its own page: the page cannot be parted, but is not
    // answered either.
    let torn = units.iter().any(|unit| {
        let (heads, own): (Vec<_>, Vec<_>) = unit.marks.iter().partition(|(_, s)| s.start == s.end);
        !own.is_empty() && heads.iter().any(|(m, _)| own.iter().all(|(o, _)| o != m))
    });
    if groups.len() < 2 && !torn {
        return None;
    }
    Some(Mixed {
        letters: groups
            .iter()
            .map(|group| {
                let mut spans: Vec<Span> = group.iter().map(|n| units[*n].span).collect();
                spans.sort_by_key(|s| s.start);
                spans
            })
            .collect(),
        differences: differences(units, &groups),
    })
}

/// The papers that may be of one aircraft.
fn by_aircraft(units: &[Unit]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut waiting: Vec<usize> = Vec::new();
    for (n, unit) in units.iter().enumerate() {
        if unit.marks.is_empty() && unit.serials.is_empty() && unit.makes.is_empty() {
            waiting.push(n);
            continue;
        }
        let same = groups.iter().position(|group| {
            group
                .iter()
                .any(|m| same_aircraft(&units[*m], unit) == Some(true))
        });
        let kin = || {
            groups.iter().position(|group| {
                group
                    .iter()
                    .all(|m| same_aircraft(&units[*m], unit).is_none())
            })
        };
        match same.or_else(kin) {
            Some(group) => groups[group].push(n),
            None => groups.push(vec![n]),
        }
    }
    for n in waiting {
        place(units, &mut groups, n);
    }
    groups
}

/// What tells the aircraft of the groups apart, with its places in each group.
fn differences(units: &[Unit], groups: &[Vec<usize>]) -> Vec<Differs> {
    let values = |of: &dyn Fn(&Unit) -> Vec<(String, Span)>| -> Vec<Vec<Span>> {
        groups
            .iter()
            .map(|group| {
                let mut seen: Vec<String> = Vec::new();
                let mut spans = Vec::new();
                for (value, span) in group.iter().flat_map(|n| of(&units[*n])) {
                    if !seen.contains(&value) {
                        seen.push(value);
                        spans.push(span);
                    }
                }
                spans
            })
            .collect()
    };
    let all: [(Whose, Vec<Vec<Span>>); 4] = [
        (Whose::Mark, values(&|u| u.marks.clone())),
        (Whose::Serial, values(&|u| u.serials.clone())),
        (Whose::Make, values(&|u| u.makes.clone())),
        (
            Whose::Day,
            values(&|u| u.days.iter().map(|(d, s)| (d.to_string(), *s)).collect()),
        ),
    ];
    all.into_iter()
        .filter(|(_, spans)| spans.iter().filter(|s| !s.is_empty()).count() > 1)
        .map(|(whose, spans)| Differs { whose, spans })
        .collect()
}

/// Puts a paper that names no aircraft to the letter that it belongs to: the one whose numbers it
/// goes on, else the one before it, else the one behind it. A whole letter of another day is one of
/// its own.
fn place(units: &[Unit], groups: &mut Vec<Vec<usize>>, n: usize) {
    let unit = &units[n];
    let unrelated = |m: &usize| {
        let other = &units[*m];
        other.letter
            && unit.letter
            && unit.first.is_some_and(|f| f <= 2)
            && matches!((other.issued, unit.issued), (Some(a), Some(b)) if a != b)
    };
    let goes_on = |group: &Vec<usize>| {
        group.iter().any(|m| {
            matches!((units[*m].last, unit.first), (Some(last), Some(first)) if first == last + 1)
        })
    };
    let near = |group: &Vec<usize>| {
        group
            .iter()
            .filter(|m| **m < n)
            .max()
            .map_or(usize::MAX, |m| n - m)
    };
    let open: Vec<usize> = (0..groups.len())
        .filter(|g| !groups[*g].iter().any(unrelated))
        .collect();
    let best = open
        .iter()
        .copied()
        .find(|g| goes_on(&groups[*g]))
        .or_else(|| open.iter().copied().min_by_key(|g| near(&groups[*g])));
    match best {
        Some(group) => groups[group].push(n),
        None => groups.push(vec![n]),
    }
}

/// Whether two papers are of one aircraft; `None` where they do not tell.
fn same_aircraft(a: &Unit, b: &Unit) -> Option<bool> {
    let common = |x: &[(String, Span)], y: &[(String, Span)]| -> Option<bool> {
        if x.is_empty() || y.is_empty() {
            return None;
        }
        Some(x.iter().any(|(v, _)| y.iter().any(|(w, _)| v == w)))
    };
    let marks = common(&a.marks, &b.marks);
    let serials = common(&a.serials, &b.serials);
    match (marks, serials) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), _) | (_, Some(true)) => Some(true),
        (None, None) => {
            let words = |u: &Unit| -> Vec<String> {
                u.makes
                    .iter()
                    .flat_map(|(m, _)| m.split(' ').map(str::to_owned).collect::<Vec<_>>())
                    .collect()
            };
            let (x, y) = (words(a), words(b));
            if x.is_empty() || y.is_empty() {
                return None;
            }
            Some(x.iter().any(|w| y.contains(w)))
        }
    }
}
