//! Stacked bars as SVG: for each row one bar of all its counts, one behind the other. On a page the
//! numbers stand in a table below. What stands where is worked out in [`drawing`].

use super::super::drawing::{self, Anchor, Drawing, Fill, HATCHINGS, LETTERS, Shape, TILE, WIDTH};
use super::blocks::{Table, element};
use super::inert::{Html, text};

/// One stacked bar a row, all on one scale, and the table of the numbers.
#[must_use]
pub fn stacked(title: &str, first: &str, columns: &[&str], rows: &[(String, Vec<u64>)]) -> Html {
    let drawing = drawing::stacked(columns, rows);
    let height = drawing.height;
    let id = name(title);
    let svg = format!(
        "<svg role=\"img\" aria-label=\"{}; the table below has the numbers\" width=\"{WIDTH}\" \
         height=\"{height}\" viewBox=\"0 0 {WIDTH} {height}\" fill=\"currentColor\" \
         font-size=\"{LETTERS}\">\n{}</svg>\n",
        text(title).as_str(),
        shapes(&drawing, &id)
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
    let drawing = drawing::chart(title, under, columns, rows);
    let height = drawing.height;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}\" height=\"{high}\" \
         viewBox=\"0 0 {WIDTH} {height}\" font-family=\"Georgia, 'Liberation Serif', serif\" \
         font-size=\"{LETTERS}\" color=\"#000\" fill=\"#000\">\n<title>{title}</title>\n\
         <rect width=\"{WIDTH}\" height=\"{height}\" fill=\"#fff\"/>\n{shapes}</svg>\n",
        wide = 2 * WIDTH,
        high = 2 * height,
        shapes = shapes(&drawing, &name(title)),
        title = text(title).as_str(),
    )
}

/// The shapes of a drawing, and the patterns that they are filled with.
fn shapes(drawing: &Drawing, id: &str) -> String {
    let head = drawing.head.iter().map(|s| shape(s, id));
    let marks = drawing.marks.iter().map(|s| shape(s, id));
    head.chain([patterns(id)]).chain(marks).collect()
}

fn shape(shape: &Shape, id: &str) -> String {
    match shape {
        Shape::Rectangle {
            x,
            y,
            wide,
            high,
            fill,
        } => {
            let fill = match fill {
                Fill::Full => "currentColor".to_owned(),
                Fill::Empty => "none".to_owned(),
                Fill::Hatched(n) => format!("url(#{id}-{})", n + 1),
            };
            format!(
                "<rect x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{high}\" fill=\"{fill}\" \
                 stroke=\"currentColor\"/>\n"
            )
        }
        Shape::Text {
            x,
            y,
            size,
            bold,
            anchor,
            words,
        } => {
            let size = match *size {
                LETTERS => String::new(),
                size => format!(" font-size=\"{size}\""),
            };
            let weight = if *bold { " font-weight=\"bold\"" } else { "" };
            // A number stands on the line of its piece.
            let (anchor, end) = match anchor {
                Anchor::Start => ("", "\n"),
                Anchor::Middle => (" text-anchor=\"middle\"", ""),
            };
            format!(
                "<text x=\"{x}\" y=\"{y}\"{size}{weight}{anchor}>{}</text>{end}",
                text(words).as_str()
            )
        }
    }
}

/// The patterns between full and empty.
fn patterns(id: &str) -> String {
    let mut out = String::from("<defs>\n");
    for (n, hatching) in HATCHINGS.iter().enumerate() {
        let lines: String = hatching.lines.iter().map(line).collect();
        out.push_str(&format!(
            "<pattern id=\"{id}-{}\" width=\"{TILE}\" height=\"{TILE}\" \
             patternUnits=\"userSpaceOnUse\"><path d=\"{lines}\" stroke=\"currentColor\" \
             stroke-width=\"{}\" fill=\"none\"/></pattern>\n",
            n + 1,
            hatching.stroke,
        ));
    }
    out.push_str("</defs>\n");
    out
}

/// A line as a piece of a path.
fn line([x, y, to_x, to_y]: &[usize; 4]) -> String {
    match (x == to_x, y == to_y) {
        (_, true) => format!("M{x} {y}H{to_x}"),
        (true, _) => format!("M{x} {y}V{to_y}"),
        _ => format!("M{x} {y} {to_x} {to_y}"),
    }
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
