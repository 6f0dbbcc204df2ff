//! Stacked bars: for each row one bar of all its counts, one behind the other. What a piece stands
//! for is told by its pattern and its figure, never by color alone; on a page the numbers stand in a
//! table below.

use super::blocks::{Table, element};
use super::inert::{Html, text};

/// Width of the drawing in its own units: a phone has room for it as it is.
const WIDTH: usize = 340;
/// Height of a row: its name, its numbers, its bar.
const ROW: usize = 48;
const BAR: usize = 14;
/// Height of a line of the legend.
const LINE: usize = 20;
/// A narrower piece has no room for its number.
const NUMBERED: usize = 12;

/// One stacked bar a row, all on one scale, and the table of the numbers.
#[must_use]
pub fn stacked(title: &str, first: &str, columns: &[&str], rows: &[(String, Vec<u64>)]) -> Html {
    let drawing = drawing(title, columns, rows, 0);
    let height = drawing.height;
    let id = name(title);
    let svg = format!(
        "<svg role=\"img\" aria-label=\"{}; the table below has the numbers\" width=\"{WIDTH}\" \
         height=\"{height}\" viewBox=\"0 0 {WIDTH} {height}\" fill=\"currentColor\" \
         font-size=\"13\">\n{}{}</svg>\n",
        text(title).as_str(),
        patterns(&id),
        drawing.marks
    );
    let mut all = element("div", "stack", &Html::own(svg));
    let heads: Vec<&str> = std::iter::once(first)
        .chain(columns.iter().copied())
        .collect();
    let numbers: Vec<usize> = (1..heads.len()).collect();
    let mut table = Table::new(&format!("{title}, in numbers"), &heads).numbers(&numbers);
    for (name, counts) in rows {
        let cells = counts.iter().map(|n| text(&n.to_string()));
        table.row(std::iter::once(text(name)).chain(cells));
    }
    all.push(&table.html());
    all
}

/// The same as a file of its own (SVG 1.1), with its title in it and black on white.
#[must_use]
pub fn chart(title: &str, under: &str, columns: &[&str], rows: &[(String, Vec<u64>)]) -> String {
    let head = 52;
    let drawing = drawing(title, columns, rows, head);
    let height = drawing.height + 24;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}\" height=\"{high}\" \
         viewBox=\"0 0 {WIDTH} {height}\" font-family=\"Georgia, 'Liberation Serif', serif\" \
         font-size=\"13\" color=\"#000\" fill=\"#000\">\n<title>{title}</title>\n\
         <rect width=\"{WIDTH}\" height=\"{height}\" fill=\"#fff\"/>\n\
         <text x=\"8\" y=\"20\" font-size=\"15\" font-weight=\"bold\">{title}</text>\n\
         <text x=\"8\" y=\"38\">{under}</text>\n{patterns}{marks}\
         <text x=\"8\" y=\"{foot}\" font-size=\"11\">Not legal advice.</text>\n</svg>\n",
        wide = 2 * WIDTH,
        high = 2 * height,
        title = text(title).as_str(),
        under = text(under).as_str(),
        patterns = patterns(&name(title)),
        marks = drawing.marks,
        foot = height - 10,
    )
}

struct Drawing {
    marks: String,
    height: usize,
}

fn drawing(title: &str, columns: &[&str], rows: &[(String, Vec<u64>)], top: usize) -> Drawing {
    let id = name(title);
    let most: u64 = rows
        .iter()
        .map(|(_, counts)| counts.iter().sum())
        .max()
        .unwrap_or(0);
    let used = |n: usize| rows.iter().any(|(_, c)| c.get(n).copied().unwrap_or(0) > 0);
    let mut marks = String::new();
    let mut y = top + 4;
    // The legend: two a line.
    for (place, (n, column)) in columns
        .iter()
        .enumerate()
        .filter(|(n, _)| used(*n))
        .enumerate()
    {
        let x = 8 + (place % 2) * (WIDTH / 2);
        let line = y + (place / 2) * LINE;
        marks.push_str(&piece(&id, n, x, line, 22, BAR));
        marks.push_str(&format!(
            "<text x=\"{}\" y=\"{}\">{}</text>\n",
            x + 28,
            line + 12,
            text(column).as_str()
        ));
    }
    let shown = (0..columns.len()).filter(|n| used(*n)).count();
    y += shown.div_ceil(2) * LINE + 6;
    for (name, counts) in rows {
        let all: u64 = counts.iter().sum();
        marks.push_str(&format!(
            "<text x=\"8\" y=\"{}\">{}: {all}</text>\n",
            y + 12,
            text(name).as_str()
        ));
        let mut x = 8;
        for (n, count) in counts.iter().enumerate().filter(|(_, count)| **count > 0) {
            let wide = length(*count, most);
            if wide >= NUMBERED {
                marks.push_str(&format!(
                    "<text x=\"{}\" y=\"{}\" font-size=\"11\" text-anchor=\"middle\">{count}</text>",
                    x + wide / 2,
                    y + 27
                ));
            }
            marks.push_str(&piece(&id, n, x, y + 30, wide, BAR));
            x += wide;
        }
        y += ROW;
    }
    Drawing { marks, height: y }
}

/// A piece of a bar in the pattern of its column.
fn piece(id: &str, n: usize, x: usize, y: usize, wide: usize, high: usize) -> String {
    let fill = match n {
        0 => "currentColor".to_owned(),
        5 => "none".to_owned(),
        _ => format!("url(#{id}-{n})"),
    };
    format!(
        "<rect x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{high}\" fill=\"{fill}\" \
         stroke=\"currentColor\"/>\n"
    )
}

/// The patterns between full and empty.
fn patterns(id: &str) -> String {
    let lines = ["M0 6 6 0", "M0 6 6 0M0 0 6 6", "M0 3H6", "M3 0V6"];
    let mut out = String::from("<defs>\n");
    for (n, line) in lines.iter().enumerate() {
        out.push_str(&format!(
            "<pattern id=\"{id}-{}\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
             <path d=\"{line}\" stroke=\"currentColor\" stroke-width=\"{}\" fill=\"none\"/>\
             </pattern>\n",
            n + 1,
            if n == 0 { 2 } else { 1 },
        ));
    }
    out.push_str("</defs>\n");
    out
}

/// A name for ids, from a title of this program.
fn name(title: &str) -> String {
    let mut name = String::from("p");
    for c in title.chars() {
        if c.is_ascii_alphanumeric() {
            name.push(c.to_ascii_lowercase());
        }
    }
    name
}

/// Length of a piece; what is there at all can be seen.
fn length(count: u64, most: u64) -> usize {
    let room = u64::try_from(WIDTH - 16).unwrap_or(1);
    usize::try_from(count.saturating_mul(room) / most.max(1))
        .unwrap_or(WIDTH)
        .max(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_one_bar_with_its_numbers() {
        let rows = [
            ("mechanic <x>".to_owned(), vec![12, 0, 3]),
            ("repair station".to_owned(), vec![0, 0, 15]),
        ];
        let html = stacked("Answers", "Who", &["yes", "no", "in dispute"], &rows);
        let html = html.as_str();
        assert_eq!(html.matches("<svg").count(), 1);
        assert!(html.contains("mechanic &lt;x&gt;: 15"), "{html}");
        // a column that counts nothing has no place in the legend
        assert!(!html.contains(">no</text>") && html.contains(">in dispute</text>"));
        let file = chart(
            "Who may sign?",
            "15 letters",
            &["yes", "no", "in dispute"],
            &rows,
        );
        assert!(file.starts_with("<svg xmlns="));
        assert!(!file.contains("href") && !file.contains("style="));
    }
}
