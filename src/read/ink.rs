//! What a reader of the paper sees of a page's characters: ink against its ground, size, clips, what
//! is drawn over it.
//!
//! Where that cannot be told (a picture below, a pattern, a mask), a character counts as seen: words
//! that are left out are worse than words too many.

use kurbo::{Point, Rect};

/// Nobody reads letters that are smaller, in points.
const SMALL: f64 = 1.0;
/// Shades that lie so close together are one to the eye, of 255.
const CLOSE: u8 = 24;
/// Less opacity is no ink.
const FAINT: f32 = 0.1;
/// Areas that are remembered; a page with more of them is a drawing.
const AREAS: usize = 2000;
/// Narrower areas are lines, in points.
const LINE: f64 = 3.0;

/// Red, green, blue and opacity; `None` where that cannot be told.
pub(super) type Ink = Option<[u8; 4]>;

/// What was drawn so far.
#[derive(Debug, Default)]
pub(super) struct Ground {
    areas: Vec<(Rect, Ink)>,
    clips: Vec<Rect>,
    groups: Vec<f32>,
    /// More areas than are remembered.
    crowded: bool,
}

impl Ground {
    pub(super) fn clip(&mut self, area: Rect) {
        self.clips.push(area);
    }

    pub(super) fn unclip(&mut self) {
        self.clips.pop();
    }

    pub(super) fn group(&mut self, opacity: f32) {
        self.groups.push(opacity);
    }

    pub(super) fn ungroup(&mut self) {
        self.groups.pop();
    }

    /// An area is filled; true where nothing below it is seen any more.
    pub(super) fn fill(&mut self, area: Rect, ink: Ink) -> bool {
        if area.width() < LINE || area.height() < LINE {
            return false;
        }
        let area = self.clips.iter().fold(area, |a, clip| a.intersect(*clip));
        let opaque = ink.filter(|[.., alpha]| *alpha == 255 && self.opacity() > 0.99);
        if self.areas.len() < AREAS {
            self.areas.push((area, opaque));
        } else {
            self.crowded = true;
        }
        opaque.is_some()
    }

    /// Whether a character is seen there, in that size and ink.
    pub(super) fn shows(&self, at: Point, size: f64, ink: Ink) -> bool {
        if size < SMALL || self.opacity() < FAINT {
            return false;
        }
        // half a letter more: a clip may be drawn tightly around its words
        let room = size / 2.0;
        if !self
            .clips
            .iter()
            .all(|clip| clip.inflate(room, room).contains(at))
        {
            return false;
        }
        let Some([red, green, blue, alpha]) = ink else {
            return true;
        };
        if f32::from(alpha) < FAINT * 255.0 {
            return false;
        }
        let below = self.areas.iter().rev().find(|(area, _)| area.contains(at));
        let ground = match below {
            Some((_, Some(ground))) => *ground,
            None if !self.crowded => [255; 4],
            Some((_, None)) | None => return true,
        };
        let seen = |ink: u8, ground: u8| {
            let near = u32::from(ink.abs_diff(ground)) * u32::from(alpha) / 255;
            near >= u32::from(CLOSE)
        };
        seen(red, ground[0]) || seen(green, ground[1]) || seen(blue, ground[2])
    }

    fn opacity(&self) -> f32 {
        self.groups.iter().product()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BLACK: Ink = Some([0, 0, 0, 255]);
    const WHITE: Ink = Some([255, 255, 255, 255]);
    const AT: Point = Point::new(50.0, 50.0);

    fn area(from: f64, to: f64) -> Rect {
        Rect::new(from, from, to, to)
    }

    #[test]
    fn ink_is_held_against_its_ground() {
        let mut ground = Ground::default();
        assert!(ground.shows(AT, 10.0, BLACK));
        assert!(!ground.shows(AT, 10.0, WHITE));
        assert!(!ground.shows(AT, 10.0, Some([250, 250, 240, 255])));
        assert!(!ground.shows(AT, 10.0, Some([0, 0, 0, 10])));
        assert!(!ground.shows(AT, 0.3, BLACK));
        assert!(ground.fill(area(0.0, 100.0), BLACK));
        assert!(ground.shows(AT, 10.0, WHITE));
        assert!(!ground.shows(AT, 10.0, BLACK));
        ground.fill(area(40.0, 60.0), None);
        assert!(ground.shows(AT, 10.0, BLACK) && ground.shows(AT, 10.0, WHITE));
    }

    #[test]
    fn clips_and_groups_hide() {
        let mut ground = Ground::default();
        ground.clip(area(60.0, 100.0));
        assert!(!ground.shows(AT, 10.0, BLACK));
        ground.unclip();
        assert!(ground.shows(AT, 10.0, BLACK));
        ground.group(0.02);
        assert!(!ground.shows(AT, 10.0, BLACK));
        ground.ungroup();
        assert!(ground.shows(AT, 10.0, BLACK));
    }
}
