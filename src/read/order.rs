//! Pages handed in out of order: put right by their page numbers, or by their clause numbers.
//!
//! Only where the pages themselves leave no doubt: every number stands once, and, for clause
//! numbers, each page goes on where the one before it ends. Otherwise the order given holds.

use super::furniture::starts_clause;
use super::normalize::CleanPage;
use crate::model::OrderBy;

/// How many lines at either edge of a page may hold its number.
const EDGE: usize = 4;

/// Puts the pages in order; tells by what, where the order was another one.
pub(super) fn sort(pages: &mut Vec<CleanPage>) -> Option<OrderBy> {
    let marks: Vec<Option<(u32, u32)>> = pages.iter().map(mark).collect();
    if marks.iter().flatten().count() > 1 {
        let order = by_pages(&marks)?;
        return apply(pages, &order).then_some(OrderBy::PageNumbers);
    }
    let order = by_clauses(pages)?;
    apply(pages, &order).then_some(OrderBy::ClauseNumbers)
}

/// Moves the pages; tells whether any moved.
fn apply(pages: &mut Vec<CleanPage>, order: &[usize]) -> bool {
    if order.iter().enumerate().all(|(n, &o)| n == o) {
        return false;
    }
    let mut held: Vec<Option<CleanPage>> = std::mem::take(pages).into_iter().map(Some).collect();
    pages.extend(order.iter().filter_map(|&n| held.get_mut(n)?.take()));
    // whatever an order forgot stays at the end; nothing is lost
    pages.extend(held.into_iter().flatten());
    true
}

/// The page that a page says it is.
fn mark(page: &CleanPage) -> Option<(u32, u32)> {
    let count = page.lines.len();
    page.lines
        .iter()
        .enumerate()
        .filter(|(n, _)| *n < EDGE || *n + EDGE >= count)
        .find_map(|(_, line)| page_mark(&line.text))
}

/// Reads "Page 2 of 6" or "Page 2/6" in a line, also where OCR read a letter for a figure.
pub(super) fn page_mark(line: &str) -> Option<(u32, u32)> {
    let lower = line.to_lowercase();
    let at = lower.find("page")?;
    let mut words = lower
        .get(at + 4..)?
        .split(|c: char| c.is_whitespace() || matches!(c, '/' | '.' | ':' | ',' | ')'))
        .filter(|w| !w.is_empty());
    let page = figure(words.next()?)?;
    let next = words.next()?;
    let of = if matches!(next, "of" | "0f") {
        figure(words.next()?)?
    } else {
        lower.contains('/').then(|| figure(next))??
    };
    (page >= 1 && page <= of && of < 100).then_some((page, of))
}

fn figure(word: &str) -> Option<u32> {
    if word.len() > 2 {
        return None;
    }
    word.chars()
        .map(|c| match c {
            'l' | 'i' | '|' => '1',
            'o' => '0',
            other => other,
        })
        .collect::<String>()
        .parse()
        .ok()
}

/// The order by page numbers: within each set of pages "of n" the pages change places among
/// themselves. Two papers of as many pages each are told by their numbers standing twice.
fn by_pages(marks: &[Option<(u32, u32)>]) -> Option<Vec<usize>> {
    let mut order: Vec<usize> = (0..marks.len()).collect();
    let mut totals: Vec<u32> = marks.iter().flatten().map(|(_, of)| *of).collect();
    totals.sort_unstable();
    totals.dedup();
    for total in totals {
        let places: Vec<usize> = (0..marks.len())
            .filter(|&n| marks[n].is_some_and(|(_, of)| of == total))
            .collect();
        let mut sorted = places.clone();
        sorted.sort_by_key(|&n| marks[n]);
        let twice = sorted.windows(2).any(|w| marks[w[0]] == marks[w[1]]);
        // A page without a number in between would lose its place.
        let torn = places.windows(2).any(|w| w[0] + 1 != w[1]) && sorted != places;
        if twice || torn {
            continue;
        }
        for (&place, &from) in places.iter().zip(&sorted) {
            order[place] = from;
        }
    }
    Some(order)
}

/// The order by clause numbers: each page begins with the number after the last one of another.
fn by_clauses(pages: &[CleanPage]) -> Option<Vec<usize>> {
    let ranges: Vec<Option<(u32, u32)>> = pages.iter().map(range).collect();
    let mut numbered: Vec<usize> = (0..pages.len()).filter(|&n| ranges[n].is_some()).collect();
    if numbered.len() < 2 || ranges.iter().skip(1).any(Option::is_none) {
        return None;
    }
    let places = numbered.clone();
    numbered.sort_by_key(|&n| ranges[n]);
    let chain = numbered.windows(2).all(|w| {
        matches!((ranges[w[0]], ranges[w[1]]), (Some((_, end)), Some((begin, _))) if begin == end + 1)
    });
    let mut order: Vec<usize> = (0..pages.len()).collect();
    for (&place, &from) in places.iter().zip(&numbered) {
        order[place] = from;
    }
    chain.then_some(order)
}

/// The first and the last clause number of a page, if they rise.
fn range(page: &CleanPage) -> Option<(u32, u32)> {
    let numbers: Vec<u32> = page
        .lines
        .iter()
        .filter(|l| starts_clause(&l.text))
        .filter_map(|l| {
            let digits: String = l
                .text
                .trim_start_matches(['(', '['])
                .chars()
                .take_while(char::is_ascii_digit)
                .collect();
            digits.parse().ok()
        })
        .collect();
    let rises = numbers.windows(2).all(|w| w[0] < w[1]);
    rises.then(|| Some((*numbers.first()?, *numbers.last()?)))?
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::page::Line;

    fn page(source: u16, lines: &[&str]) -> CleanPage {
        CleanPage {
            source,
            page: 1,
            lines: lines
                .iter()
                .map(|text| Line {
                    text: (*text).to_owned(),
                    ..Line::default()
                })
                .collect(),
            furniture: Vec::new(),
            ocr: false,
        }
    }

    fn sources(pages: &[CleanPage]) -> Vec<u16> {
        pages.iter().map(|l| l.source).collect()
    }

    #[test]
    fn page_marks_as_ocr_reads_them() {
        for (line, expected) in [
            ("Page 2 of 3", Some((2, 3))),
            ("N0WHO limitations  Page l of 3", Some((1, 3))),
            ("PAGE 2/3", Some((2, 3))),
            ("page 3 0f 3", Some((3, 3))),
            ("see page 4", None),
            ("Page 5 of 3", None),
            ("the page of the book", None),
        ] {
            assert_eq!(page_mark(line), expected, "{line}");
        }
    }

    #[test]
    fn pages_change_places_by_their_numbers() {
        let mut pages = vec![
            page(0, &["(9) Nine.", "Page 2 of 3"]),
            page(1, &["(1) One.", "Page 1 of 3"]),
            page(2, &["(15) Fifteen.", "Page 3 of 3"]),
        ];
        assert_eq!(sort(&mut pages), Some(OrderBy::PageNumbers));
        assert_eq!(sources(&pages), [1, 0, 2]);
        assert_eq!(sort(&mut pages), None);
    }

    #[test]
    fn two_papers_of_as_many_pages_stay_apart() {
        let mut pages = vec![
            page(0, &["Page 1 of 2"]),
            page(0, &["Page 2 of 2"]),
            page(1, &["Page 1 of 2"]),
            page(1, &["Page 2 of 2"]),
        ];
        assert_eq!(sort(&mut pages), None);
        assert_eq!(sources(&pages), [0, 0, 1, 1]);
    }

    #[test]
    fn pages_change_places_by_their_clauses() {
        let mut pages = vec![
            page(0, &["(4) Four.", "more", "(5) Five."]),
            page(1, &["Head", "(1) One.", "(3) Three."]),
        ];
        assert_eq!(sort(&mut pages), Some(OrderBy::ClauseNumbers));
        assert_eq!(sources(&pages), [1, 0]);
    }

    #[test]
    fn numbers_that_do_not_go_on_move_nothing() {
        for pair in [
            [["(4) Four.", "(5) Five."], ["(1) One.", "(2) Two."]],
            [["(1) One.", "(9) Nine."], ["(1) One.", "(4) Four."]],
            [["26. Old.", "more"], ["26. New.", "more"]],
        ] {
            let mut pages = vec![page(0, &pair[0]), page(1, &pair[1])];
            assert_eq!(sort(&mut pages), None, "{pair:?}");
        }
    }
}
