//! Charts: for each column of a table a drawing of bars, one a row, each with its number in
//! figures, so that nothing rests on color; the same numbers stand in a table below. The drawings
//! are narrow, so that a phone has room for one and a sheet of paper for two side by side.

use unicode_width::UnicodeWidthStr;

use super::blocks::{Table, element};
use super::inert::{Html, text};

/// Sizes in units of the drawing; a letter of a name takes about `LETTER`.
const LETTER: usize = 7;
const NUMBER: usize = 44;
const WIDTH: usize = 280;
const ROW: usize = 24;
const HEAD: usize = 26;

/// Counts in rows and columns as bars, and the table of the numbers. All bars have one scale;
/// columns that count nothing are left to the table.
#[must_use]
pub fn bars(title: &str, first: &str, columns: &[&str], rows: &[(String, Vec<u64>)]) -> Html {
    let most = rows
        .iter()
        .flat_map(|(_, counts)| counts)
        .copied()
        .max()
        .unwrap_or(0);
    let mut drawings = Html::new();
    for (n, column) in columns.iter().enumerate() {
        let counts: Vec<(&str, u64)> = rows
            .iter()
            .map(|(name, counts)| (name.as_str(), counts.get(n).copied().unwrap_or(0)))
            .collect();
        if counts.iter().any(|(_, count)| *count > 0) {
            drawings.push(&Html::own(drawing(title, column, &counts, most)));
        }
    }
    let mut all = element("div", "bars", &drawings);
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

/// The bars of one column.
fn drawing(title: &str, column: &str, rows: &[(&str, u64)], most: u64) -> String {
    let names = rows.iter().map(|(name, _)| name.width()).max().unwrap_or(0);
    let left = (names * LETTER + 10).min(WIDTH / 2);
    let longest = WIDTH - left - NUMBER;
    let height = HEAD + ROW * rows.len() + 4;
    let mut out = format!(
        "<svg role=\"img\" aria-label=\"{}: {}; the table below has the numbers\" \
         width=\"{WIDTH}\" height=\"{height}\" viewBox=\"0 0 {WIDTH} {height}\" \
         fill=\"currentColor\" font-size=\"14\">\n\
         <text x=\"{left}\" y=\"16\" font-style=\"italic\">{}</text>\n",
        text(title).as_str(),
        text(column).as_str(),
        text(column).as_str()
    );
    for (line, (name, count)) in rows.iter().enumerate() {
        let top = HEAD + line * ROW;
        let length = length(*count, most, longest);
        out.push_str(&format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"end\">{}</text>\
             <rect x=\"{left}\" y=\"{}\" width=\"{length}\" height=\"13\" \
             fill-opacity=\"0.62\"/><text x=\"{}\" y=\"{}\">{count}</text>\n",
            left - 8,
            top + 15,
            text(name).as_str(),
            top + 4,
            left + length + 6,
            top + 15
        ));
    }
    out.push_str("</svg>\n");
    out
}

/// Length of a bar; what is there at all can be seen.
fn length(count: u64, most: u64, longest: usize) -> usize {
    if count == 0 {
        return 0;
    }
    let bar = u64::try_from(longest).unwrap_or(1);
    usize::try_from(count.saturating_mul(bar) / most.max(1))
        .unwrap_or(longest)
        .clamp(2, longest.max(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_bar_has_its_number_and_names_are_inert() {
        let chart = bars(
            "Form & age",
            "Age",
            &["open", "<closed>", "silent"],
            &[
                ("1990s".to_owned(), vec![12, 0, 0]),
                ("2000s".to_owned(), vec![1, 1000, 0]),
            ],
        );
        let html = chart.as_str();
        assert!(html.contains("Form &amp; age") && html.contains("&lt;closed&gt;"));
        assert_eq!(html.matches("<svg").count(), 2, "{html}");
        assert!(html.contains("width=\"2\""), "{html}");
        assert!(
            html.contains(">1000</text>") && html.contains(">1000</td>"),
            "{html}"
        );
        assert!(!html.contains("http"), "{html}");
    }
}
