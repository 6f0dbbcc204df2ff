//! A chart of stacked bars as shapes: where every bar, name and number stands is worked out here, once
//! for all formats. What a piece stands for is told by its pattern and its figure, never by color alone.

/// Width of the drawing in its own units: a phone has room for it as it is.
pub(super) const WIDTH: usize = 340;
/// Room at the left and the right.
pub(super) const MARGIN: usize = 8;
/// Size of the letters, unless told.
pub(super) const LETTERS: usize = 13;
/// Size of the letters of a number, and of what stands at the foot.
const SMALL: usize = 11;
/// Height of a row: its name, its numbers, its bar.
const ROW: usize = 48;
const BAR: usize = 14;
/// Height of a line of the legend.
const LINE: usize = 20;
/// A narrower piece has no room for its number.
const NUMBERED: usize = 12;
/// Room for the title and what stands under it.
const HEAD: usize = 52;
const FOOT: usize = 24;

/// Side of the tile that a hatching repeats.
pub(super) const TILE: usize = 6;

/// Lines that are repeated tile by tile.
#[derive(Debug)]
pub(super) struct Hatching {
    /// From x and y to x and y, in the tile.
    pub(super) lines: &'static [[usize; 4]],
    /// Width of the lines.
    pub(super) stroke: usize,
}

/// The hatchings between full and empty.
pub(super) const HATCHINGS: [Hatching; 4] = [
    Hatching {
        lines: &[[0, 6, 6, 0]],
        stroke: 2,
    },
    Hatching {
        lines: &[[0, 6, 6, 0], [0, 0, 6, 6]],
        stroke: 1,
    },
    Hatching {
        lines: &[[0, 3, 6, 3]],
        stroke: 1,
    },
    Hatching {
        lines: &[[3, 0, 3, 6]],
        stroke: 1,
    },
];

/// What a piece is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    Full,
    /// By its place in [`HATCHINGS`].
    Hatched(usize),
    Empty,
}

impl Fill {
    /// The filling of a column, counted from 0.
    const fn of(column: usize) -> Self {
        match column {
            0 => Self::Full,
            n if n <= HATCHINGS.len() => Self::Hatched(n - 1),
            _ => Self::Empty,
        }
    }
}

/// Which point of the words stands at the place told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
}

/// One thing to draw, in black; y grows downwards.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// A rectangle with an outline one unit wide.
    Rectangle {
        x: usize,
        y: usize,
        wide: usize,
        high: usize,
        fill: Fill,
    },
    /// Words on their base line.
    Text {
        x: usize,
        y: usize,
        size: usize,
        bold: bool,
        anchor: Anchor,
        words: String,
    },
}

impl Shape {
    fn text(x: usize, y: usize, size: usize, words: &str) -> Self {
        Self::Text {
            x,
            y,
            size,
            bold: false,
            anchor: Anchor::Start,
            words: words.to_owned(),
        }
    }
}

/// The shapes in the order in which they are drawn.
#[derive(Debug)]
pub(super) struct Drawing {
    /// In units of the drawing, as its width is [`WIDTH`].
    pub(super) height: usize,
    /// The title and what stands under it.
    pub(super) head: Vec<Shape>,
    /// The legend, the bars and the foot.
    pub(super) marks: Vec<Shape>,
}

/// One stacked bar a row, all on one scale, below a legend.
pub(super) fn stacked(columns: &[&str], rows: &[(String, Vec<u64>)]) -> Drawing {
    let mut drawing = Drawing {
        height: 0,
        head: Vec::new(),
        marks: Vec::new(),
    };
    drawing.bars(columns, rows);
    drawing
}

/// The same with a title, a line under it and a foot, to stand alone.
pub(super) fn chart(
    title: &str,
    under: &str,
    columns: &[&str],
    rows: &[(String, Vec<u64>)],
) -> Drawing {
    let title = Shape::Text {
        x: MARGIN,
        y: 20,
        size: 15,
        bold: true,
        anchor: Anchor::Start,
        words: title.to_owned(),
    };
    let mut drawing = Drawing {
        height: HEAD,
        head: vec![title, Shape::text(MARGIN, 38, LETTERS, under)],
        marks: Vec::new(),
    };
    drawing.bars(columns, rows);
    drawing.height += FOOT;
    let foot = Shape::text(MARGIN, drawing.height - 10, SMALL, "Not legal advice.");
    drawing.marks.push(foot);
    drawing
}

impl Drawing {
    /// Puts the legend and the bars below what is there.
    fn bars(&mut self, columns: &[&str], rows: &[(String, Vec<u64>)]) {
        self.height += 4;
        self.legend(columns, rows);
        let total = |counts: &[u64]| counts.iter().sum::<u64>();
        let most = rows.iter().map(|(_, c)| total(c)).max().unwrap_or(0);
        for (name, counts) in rows {
            self.row(name, counts, total(counts), most);
        }
    }

    /// The columns that count something: two a line.
    fn legend(&mut self, columns: &[&str], rows: &[(String, Vec<u64>)]) {
        let used = |n: usize| rows.iter().any(|(_, c)| c.get(n).copied().unwrap_or(0) > 0);
        let shown: Vec<(usize, &str)> = (0..)
            .zip(columns.iter().copied())
            .filter(|(n, _)| used(*n))
            .collect();
        for (place, &(n, column)) in shown.iter().enumerate() {
            let x = MARGIN + (place % 2) * (WIDTH / 2);
            let y = self.height + (place / 2) * LINE;
            self.piece(n, x, y, 22);
            self.marks
                .push(Shape::text(x + 28, y + 12, LETTERS, column));
        }
        self.height += shown.len().div_ceil(2) * LINE + 6;
    }

    fn row(&mut self, name: &str, counts: &[u64], total: u64, most: u64) {
        let y = self.height;
        let label = format!("{name}: {total}");
        self.marks
            .push(Shape::text(MARGIN, y + 12, LETTERS, &label));
        let mut x = MARGIN;
        for (n, count) in counts.iter().enumerate().filter(|(_, count)| **count > 0) {
            let wide = length(*count, most);
            if wide >= NUMBERED {
                self.marks.push(Shape::Text {
                    x: x + wide / 2,
                    y: y + 27,
                    size: SMALL,
                    bold: false,
                    anchor: Anchor::Middle,
                    words: count.to_string(),
                });
            }
            self.piece(n, x, y + 30, wide);
            x += wide;
        }
        self.height += ROW;
    }

    /// A piece of a bar with the filling of its column.
    fn piece(&mut self, column: usize, x: usize, y: usize, wide: usize) {
        self.marks.push(Shape::Rectangle {
            x,
            y,
            wide,
            high: BAR,
            fill: Fill::of(column),
        });
    }
}

/// Length of a piece; what is there at all can be seen.
fn length(count: u64, most: u64) -> usize {
    let room = u64::try_from(WIDTH - 2 * MARGIN).unwrap_or(1);
    usize::try_from(count.saturating_mul(room) / most.max(1))
        .unwrap_or(WIDTH)
        .max(2)
}
