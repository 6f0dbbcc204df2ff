//! Blanks between the characters of a line: which are there, and which are not.

use super::glyph::Glyph;

/// A blank behind a figure and a stop, and before a figure, is as sure as this, or none: numbers of
/// rules and clauses ("91.319", "1.1") have a dot with room around it, and a new number or sentence
/// stands wide apart.
const IN_NUMBER: f32 = 0.7;

/// Puts in the blanks that no single step shows, but the steps between two characters together: seen
/// at 0.4 and at 0.3, one is there at 1 - 0.6 x 0.7.
pub(super) fn put(glyphs: &mut Vec<Glyph>, scores: &[f32], classes: usize, characters: &[char]) {
    let Some(class) = characters.iter().position(|&c| c == ' ').map(|n| n + 1) else {
        return;
    };
    let likely = |step: usize| scores.get(step * classes + class).map_or(0.0, |s| s.exp());
    let mut put: Vec<(usize, Glyph)> = Vec::new();
    for (n, pair) in glyphs.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        if a.sign == ' ' || b.sign == ' ' {
            continue;
        }
        let between = a.to..b.from;
        let none: f32 = between.clone().map(|step| 1.0 - likely(step)).product();
        let best = between.max_by(|&a, &b| likely(a).total_cmp(&likely(b)));
        if let Some(step) = best.filter(|_| none < 0.5) {
            let glyph = Glyph {
                class,
                sign: ' ',
                from: step,
                to: step + 1,
                likely: 1.0 - none,
            };
            put.push((n + 1, glyph));
        }
    }
    for (at, glyph) in put.into_iter().rev() {
        glyphs.insert(at, glyph);
    }
}

/// A quote opens or closes: where blanks stand on both sides of it, the less likely one is none. The
/// ends of a line are blanks of which nobody doubts.
pub(super) fn beside_quotes(glyphs: &mut Vec<Glyph>, quotes: &[char]) {
    let blank = |g: Option<&Glyph>| match g {
        None => Some(1.0),
        Some(g) => (g.sign == ' ').then_some(g.likely),
    };
    let mut none: Vec<usize> = Vec::new();
    for (n, glyph) in glyphs.iter().enumerate() {
        if !quotes.contains(&glyph.sign) {
            continue;
        }
        let before = n.checked_sub(1);
        let sides = (
            blank(before.and_then(|b| glyphs.get(b))),
            blank(glyphs.get(n + 1)),
        );
        if let (Some(left), Some(right)) = sides {
            none.push(if left < right {
                n.saturating_sub(1)
            } else {
                n + 1
            });
        }
    }
    let mut n = 0;
    glyphs.retain(|g| {
        n += 1;
        g.sign != ' ' || !none.contains(&(n - 1))
    });
}

/// Takes unsure blanks out of numbers. That one may be there is a doubt of the figure behind it.
pub(super) fn in_numbers(glyphs: &mut Vec<Glyph>) {
    let figure = |g: Option<&Glyph>| g.is_some_and(|g| g.sign.is_ascii_digit());
    for n in (2..glyphs.len()).rev() {
        let unsure = glyphs
            .get(n)
            .filter(|g| g.sign == ' ' && g.likely < IN_NUMBER);
        let stop = glyphs.get(n - 1).is_some_and(|g| g.sign == '.');
        let Some(likely) = unsure.filter(|_| stop).map(|g| g.likely) else {
            continue;
        };
        if figure(glyphs.get(n - 2)) && figure(glyphs.get(n + 1)) {
            glyphs.remove(n);
            if let Some(next) = glyphs.get_mut(n) {
                next.likely = next.likely.min(1.0 - likely);
            }
        }
    }
}
