//! Positioned characters → lines in reading order.
//!
//! Whatever the engine, it hands over characters with their place; lines, columns, paragraphs and
//! text that runs sideways are worked out here. Every loop is bounded by the number of characters
//! or by a constant, whatever the coordinates say.

use super::columns::{self, Block};
use super::page::{Frame, Joint, Line};
use super::segment::{Row, Segment, WIDE};

/// A character (or a word) on the page; y grows downwards, units are points.
#[derive(Clone, Debug)]
pub(super) struct PlacedText {
    /// Where it begins, along the direction of writing.
    pub(super) x: f64,
    /// Baseline.
    pub(super) y: f64,
    /// How far the direction of writing advances.
    pub(super) advance: f64,
    /// Size of the type.
    pub(super) size: f64,
    /// Direction of writing as a vector.
    pub(super) direction: (f64, f64),
    /// The character, or more than one for a ligature.
    pub(super) text: String,
    /// 1 for a text layer.
    pub(super) confidence: f32,
    /// Whether the engine saw it as the beginning of a piece of its own, apart from what stands
    /// to the left of it.
    pub(super) apart: bool,
    /// Where it stands on the picture of the page, for an engine that hands over whole words.
    pub(super) frame: Option<Frame>,
}

/// Lines in reading order, and the lines that run in another direction.
pub(super) fn lines(marks: &[PlacedText], width: f64, height: f64) -> (Vec<Line>, Vec<String>) {
    let oblique = marks.iter().filter(|m| is_oblique(m.direction)).count();
    if oblique > 0 && oblique * 10 < marks.len() {
        let (slant, straight): (Vec<PlacedText>, Vec<PlacedText>) =
            marks.iter().cloned().partition(|m| is_oblique(m.direction));
        let (lines, mut aside) = lines(&straight, width, height);
        aside.extend(stamps(&slant));
        return (lines, aside);
    }
    let mut count = [0_usize; 4];
    for mark in marks {
        if let Some(n) = count.get_mut(quarter(mark.direction)) {
            *n += 1;
        }
    }
    let total: usize = count.iter().sum();
    let mut order = [0, 1, 2, 3];
    order.sort_by_key(|&q| std::cmp::Reverse(count[q]));
    let mut out = Vec::new();
    let mut aside = Vec::new();
    for quarter_turn in order {
        if count[quarter_turn] == 0 {
            continue;
        }
        let gap = word_gap(marks);
        let upright: Vec<PlacedText> = marks
            .iter()
            .filter(|m| quarter(m.direction) == quarter_turn)
            .map(|m| turned(m, quarter_turn, width, height))
            .collect();
        let extent = if quarter_turn % 2 == 0 { height } else { width };
        let blocks = columns::blocks(rows(upright, gap));
        // A few words across the direction of the text are a stamp or a fax line, not the letter.
        if count[quarter_turn] * 10 < total {
            aside.extend(
                blocks
                    .iter()
                    .flat_map(|b| b.rows.iter())
                    .map(|r| words(r).0),
            );
        } else {
            finish(blocks, extent, &mut out);
        }
    }
    for (n, line) in out.iter_mut().enumerate() {
        line.number = u32::try_from(n + 1).unwrap_or(u32::MAX);
    }
    (out, aside)
}

/// The gap that parts words, as a share of the size. Where blanks are drawn as characters, a small
/// gap is only loose setting.
fn word_gap(marks: &[PlacedText]) -> f64 {
    let blanks = marks.iter().filter(|m| m.text.trim().is_empty()).count();
    if blanks * 12 > marks.len() {
        0.22
    } else {
        0.15
    }
}

/// Whether the writing runs neither along the page nor across it; a page laid askew on the scanner
/// is off by a few degrees only.
fn is_oblique((dx, dy): (f64, f64)) -> bool {
    let (long, short) = (dx.abs().max(dy.abs()), dx.abs().min(dy.abs()));
    short > 0.18 * long
}

/// The lines of a stamp that was set aslant, in the order in which they were drawn.
fn stamps(marks: &[PlacedText]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut last: Option<&PlacedText> = None;
    for mark in marks {
        let goes_on = last.is_some_and(|b| {
            let along = b.direction.0.hypot(b.direction.1).max(f64::MIN_POSITIVE);
            let x = b.x + b.advance * b.direction.0 / along;
            let y = b.y + b.advance * b.direction.1 / along;
            (mark.x - x).hypot(mark.y - y) < b.size.max(mark.size)
        });
        match out.last_mut() {
            Some(line) if goes_on => line.push_str(&mark.text),
            _ => out.push(mark.text.clone()),
        }
        last = Some(mark);
    }
    out.retain(|line| !line.trim().is_empty());
    out
}

/// Quarter turns of the direction of writing, clockwise.
fn quarter((dx, dy): (f64, f64)) -> usize {
    match (dx.abs() >= dy.abs(), dx >= 0.0, dy > 0.0) {
        (true, true, _) => 0,
        (true, false, _) => 2,
        (false, _, true) => 1,
        (false, _, false) => 3,
    }
}

/// The mark on the page turned upright.
fn turned(mark: &PlacedText, quarter_turn: usize, width: f64, height: f64) -> PlacedText {
    let (x, y) = match quarter_turn {
        0 => (mark.x, mark.y),
        1 => (mark.y, width - mark.x),
        2 => (width - mark.x, height - mark.y),
        _ => (height - mark.y, mark.x),
    };
    PlacedText {
        x,
        y,
        ..mark.clone()
    }
}

/// A baseline that collects marks.
struct Baseline {
    marks: Vec<PlacedText>,
    y: f64,
    size: f64,
    right: f64,
}

fn rows(mut marks: Vec<PlacedText>, gap: f64) -> Vec<Row> {
    marks.sort_by(|a, b| a.y.total_cmp(&b.y));
    let mut open: Vec<Baseline> = Vec::new();
    for mark in marks {
        // Only the last few baselines can be meant, as marks come from top to bottom.
        let fit = open.iter_mut().rev().take(4).find(|line| {
            let size = line.size.max(mark.size).max(1.0);
            let off = (mark.y - line.y).abs();
            off < 0.30 * size
                // a raised or lowered small character beside the end of the line
                || (mark.size < 0.8 * size
                    && off < 0.5 * size
                    && (mark.x - line.right).abs() < 0.5 * size)
        });
        let right = mark.x + mark.advance;
        if let Some(line) = fit {
            line.right = line.right.max(right);
            line.marks.push(mark);
        } else {
            open.push(Baseline {
                y: mark.y,
                size: mark.size,
                right,
                marks: vec![mark],
            });
        }
    }
    open.into_iter()
        .map(|line| segments(line.marks, gap))
        .filter(|row| !row.is_empty())
        .collect()
}

fn segments(mut marks: Vec<PlacedText>, word_gap: f64) -> Row {
    marks.sort_by(|a, b| a.x.total_cmp(&b.x));
    let mut row: Row = Vec::new();
    let mut last: Option<PlacedText> = None;
    for mark in marks {
        if mark.text.trim().is_empty() {
            // a blank that is drawn: it parts words, whatever its width
            if let (Some(segment), true) = (row.last_mut(), last.is_some())
                && !segment.text.ends_with(' ')
            {
                segment.text.push(' ');
            }
            continue;
        }
        let size = mark.size.max(1.0);
        if let Some(before) = &last
            && before.text == mark.text
            && (before.x - mark.x).abs() < 0.15 * size
            && (before.y - mark.y).abs() < 0.15 * size
        {
            // drawn twice, a little apart, to look bold
            continue;
        }
        let gap = last
            .as_ref()
            .map_or(f64::MAX, |b| mark.x - (b.x + b.advance));
        let right = mark.x + mark.advance;
        match row.last_mut() {
            Some(segment) if gap <= WIDE * size && !mark.apart => {
                if gap > word_gap * size && !segment.text.ends_with(' ') {
                    segment.text.push(' ');
                }
                segment.text.push_str(&mark.text);
                segment.right = segment.right.max(right);
                segment.size = segment.size.max(mark.size);
            }
            _ => row.push(Segment {
                left: mark.x,
                right,
                base: mark.y,
                size: mark.size,
                text: mark.text.clone(),
                weak: Vec::new(),
                frames: Vec::new(),
            }),
        }
        if let (Some(frame), Some(segment)) = (mark.frame, row.last_mut()) {
            segment.frames.push(frame);
        }
        if mark.confidence < 1.0
            && let Some(segment) = row.last_mut()
        {
            let word = segment.text.split_whitespace().count().saturating_sub(1);
            let word = u32::try_from(word).unwrap_or(u32::MAX);
            match segment.weak.last_mut() {
                Some((w, c)) if *w == word => *c = c.min(mark.confidence),
                _ => segment.weak.push((word, mark.confidence)),
            }
        }
        last = Some(mark);
    }
    row
}

/// The words of a row and the weak ones among them.
fn words(row: &Row) -> (String, Vec<(u32, f32)>) {
    let mut text = String::new();
    let mut weak = Vec::new();
    let mut before = 0_u32;
    for segment in row {
        weak.extend(segment.weak.iter().map(|&(w, c)| (w + before, c)));
        for word in segment.text.split_whitespace() {
            if !text.is_empty() {
                text.push(' ');
            }
            text.push_str(word);
            before += 1;
        }
    }
    (text, weak)
}

/// Joints between lines from the gaps between baselines.
fn finish(blocks: Vec<Block>, extent: f64, out: &mut Vec<Line>) {
    let leading = leading(&blocks);
    for block in blocks {
        let right = block
            .rows
            .iter()
            .flatten()
            .map(|s| s.right)
            .fold(f64::MIN, f64::max);
        let left = block
            .rows
            .iter()
            .flatten()
            .map(|s| s.left)
            .fold(f64::MAX, f64::min);
        let mut above: Option<(f64, f64)> = None;
        for row in &block.rows {
            let Some(base) = row.first().map(|s| s.base) else {
                continue;
            };
            let size = row.iter().map(|s| s.size).fold(1.0, f64::max);
            let joint = match above {
                None => Joint::Break,
                Some((base_above, size_above)) => {
                    let allowed = (1.25 * leading).max(1.25 * size.max(size_above));
                    if base - base_above > allowed {
                        Joint::Gap
                    } else {
                        Joint::Line
                    }
                }
            };
            above = Some((base, size));
            let (text, weak) = words(row);
            let frames: Vec<Frame> = row.iter().flat_map(|s| s.frames.iter().copied()).collect();
            if text.is_empty() {
                continue;
            }
            let end = row.iter().map(|s| s.right).fold(f64::MIN, f64::max);
            out.push(Line {
                text,
                number: 0,
                #[expect(clippy::cast_possible_truncation, reason = "a share of the page")]
                height: (base / extent.max(1.0)) as f32,
                joint,
                // a foot that is set to the right fills no line
                full: right - end < 0.15 * (right - left)
                    && row
                        .first()
                        .is_some_and(|s| end - s.left > 0.5 * (right - left)),
                weak,
                frames,
            });
        }
    }
}

/// The distance of lines within a paragraph: what the closest fifth of the lines keeps.
fn leading(blocks: &[Block]) -> f64 {
    let mut gaps: Vec<f64> = Vec::new();
    for block in blocks {
        for pair in block.rows.windows(2) {
            if let [a, b] = pair
                && let (Some(a), Some(b)) = (a.first(), b.first())
                && b.base - a.base > 0.8 * a.size.min(b.size)
            {
                gaps.push(b.base - a.base);
            }
        }
    }
    gaps.sort_by(f64::total_cmp);
    gaps.get(gaps.len() / 5).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str, x: f64, y: f64) -> Vec<PlacedText> {
        text.chars()
            .enumerate()
            .map(|(n, c)| PlacedText {
                x: x + 6.0 * f64::from(u32::try_from(n).unwrap_or(0)),
                y,
                advance: 6.0,
                size: 10.0,
                direction: (1.0, 0.0),
                text: c.to_string(),
                confidence: 1.0,
                apart: false,
                frame: None,
            })
            .collect()
    }

    fn texts(lines: &[Line]) -> Vec<&str> {
        lines.iter().map(|l| l.text.as_str()).collect()
    }

    #[test]
    fn drawing_order_does_not_matter() {
        let mut marks = typed("second line", 50.0, 112.0);
        marks.extend(typed("first line", 50.0, 100.0));
        marks.reverse();
        let (lines, _) = lines(&marks, 600.0, 800.0);
        assert_eq!(texts(&lines), ["first line", "second line"]);
    }

    #[test]
    fn a_number_in_the_margin_joins_its_clause() {
        let mut marks = typed("No person may", 110.0, 100.0);
        marks.extend(typed("(26)", 50.0, 101.5));
        let (lines, _) = lines(&marks, 600.0, 800.0);
        assert_eq!(texts(&lines), ["(26) No person may"]);
    }

    #[test]
    fn a_wide_gap_parts_paragraphs() {
        let mut marks = Vec::new();
        for (n, y) in [100.0, 112.0, 124.0, 142.0, 154.0].iter().enumerate() {
            marks.extend(typed(&format!("line {n}"), 50.0, *y));
        }
        let (lines, _) = lines(&marks, 600.0, 800.0);
        let joints: Vec<Joint> = lines.iter().map(|l| l.joint).collect();
        assert_eq!(
            joints,
            [
                Joint::Break,
                Joint::Line,
                Joint::Line,
                Joint::Gap,
                Joint::Line
            ]
        );
    }

    #[test]
    fn text_upside_down_is_read_from_its_own_top() {
        let marks: Vec<PlacedText> = typed("first", 50.0, 100.0)
            .into_iter()
            .chain(typed("second", 50.0, 112.0))
            .map(|m| PlacedText {
                x: 600.0 - m.x,
                y: 800.0 - m.y,
                direction: (-1.0, 0.0),
                ..m
            })
            .collect();
        let (lines, _) = lines(&marks, 600.0, 800.0);
        assert_eq!(texts(&lines), ["first", "second"]);
    }

    #[test]
    fn a_stamp_set_aslant_stays_out_of_the_lines() {
        let mut marks = Vec::new();
        for n in 0..20_u32 {
            let y = 100.0 + 12.0 * f64::from(n);
            marks.extend(typed("a line of the letter", 50.0, y));
        }
        let stamp: Vec<PlacedText> = typed("RECEIVED", 0.0, 0.0)
            .into_iter()
            .map(|m| PlacedText {
                x: 100.0 + m.x * 0.8,
                y: 200.0 - m.x * 0.6,
                direction: (0.8, -0.6),
                ..m
            })
            .collect();
        marks.extend(stamp);
        let (lines, aside) = lines(&marks, 600.0, 800.0);
        assert!(texts(&lines).iter().all(|l| *l == "a line of the letter"));
        assert_eq!(aside, ["RECEIVED"]);
    }

    #[test]
    fn coordinates_without_bounds_are_survived() {
        let mut marks = typed("x", 1e300, -1e300);
        marks.extend(typed("y", f64::MIN_POSITIVE, 0.0));
        let (lines, _) = lines(&marks, 1e9, 1e9);
        assert_eq!(lines.len(), 2);
    }
}
