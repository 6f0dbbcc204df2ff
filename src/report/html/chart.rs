//! A chart: bars side by side in columns, each with its number in figures, so that nothing rests
//! on color; the same numbers stand in a table below it.

use super::blocks::{Table, block};
use super::inert::{Html, text};

/// Sizes in units of the drawing.
const LABEL: usize = 150;
const COLUMN: usize = 112;
const BAR: usize = 66;
const ROW: usize = 26;
const HEAD: usize = 26;

/// Counts in rows and columns as bars, and the table of the numbers.
#[must_use]
pub fn bars(title: &str, first: &str, columns: &[&str], rows: &[(String, Vec<u64>)]) -> Html {
    let mut all = block(Html::own(format!(
        "<div class=\"table\" role=\"region\" tabindex=\"0\" aria-label=\"{0}, as bars\">\n{1}</div>",
        text(title).as_str(),
        drawing(title, columns, rows)
    )));
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

fn drawing(title: &str, columns: &[&str], rows: &[(String, Vec<u64>)]) -> String {
    let most = rows
        .iter()
        .flat_map(|(_, counts)| counts)
        .copied()
        .max()
        .unwrap_or(0)
        .max(1);
    let (width, height) = (LABEL + COLUMN * columns.len(), HEAD + ROW * rows.len() + 6);
    let mut out = format!(
        "<svg role=\"img\" aria-label=\"{}; the table below has the numbers\" \
         width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" fill=\"currentColor\" font-size=\"14\">\n",
        text(title).as_str()
    );
    for (n, column) in columns.iter().enumerate() {
        out.push_str(&format!(
            "<text x=\"{}\" y=\"16\" font-style=\"italic\">{}</text>\n",
            LABEL + n * COLUMN,
            text(column).as_str()
        ));
    }
    for (line, (name, counts)) in rows.iter().enumerate() {
        let top = HEAD + line * ROW;
        out.push_str(&format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"end\">{}</text>\n",
            LABEL - 12,
            top + 15,
            text(name).as_str()
        ));
        for (n, count) in counts.iter().enumerate() {
            let left = LABEL + n * COLUMN;
            let length = length(*count, most);
            out.push_str(&format!(
                "<rect x=\"{left}\" y=\"{}\" width=\"{length}\" height=\"14\" \
                 fill-opacity=\"0.62\"/><text x=\"{}\" y=\"{}\">{count}</text>\n",
                top + 3,
                left + length + 5,
                top + 15
            ));
        }
    }
    out.push_str("</svg>\n");
    out
}

/// Length of a bar; what is there at all can be seen.
fn length(count: u64, most: u64) -> usize {
    if count == 0 {
        return 0;
    }
    let bar = u64::try_from(BAR).unwrap_or(1);
    usize::try_from(count.saturating_mul(bar) / most)
        .unwrap_or(BAR)
        .clamp(2, BAR)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_bar_has_its_number_and_names_are_inert() {
        let chart = bars(
            "Form & age",
            "Age",
            &["open", "<closed>"],
            &[
                ("1990s".to_owned(), vec![12, 0]),
                ("2000s".to_owned(), vec![1, 1000]),
            ],
        );
        let html = chart.as_str();
        assert!(html.contains("Form &amp; age") && html.contains("&lt;closed&gt;"));
        assert!(
            html.contains("width=\"2\"") && html.contains("width=\"66\""),
            "{html}"
        );
        assert!(
            html.contains(">1000</text>") && html.contains(">1000</td>"),
            "{html}"
        );
        assert!(!html.contains("http"), "{html}");
    }
}
