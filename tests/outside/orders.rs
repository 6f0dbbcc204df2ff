//! Orders read into wordings.
//!
//! Source: `data/letters/orders/`, two invented documents in the form of orders by an author who
//! did not see the program, with the items that they hold; the README above tells how.

use serde_json::Value;
use whomay::compare::{OrderFacts, OrderReading};
use whomay::patterns::Patterns;

fn words(text: &str) -> String {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase()
}

struct Figures {
    items: usize,
    found: usize,
    whole: usize,
    basis: usize,
    intruders: usize,
    surplus: usize,
}

fn measure(name: &str, ending: &str, basis: Option<char>) -> (Figures, OrderReading) {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let folder = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/outside/data/letters/orders"
    );
    let key: Value = serde_json::from_str(
        &std::fs::read_to_string(format!("{folder}/{name}.gold.json"))
            .expect("the key is in the repository"),
    )
    .expect("JSON");
    let text = whomay::read(
        &[format!("{folder}/{name}.{ending}")],
        &whomay::read::Limits::default(),
    )
    .expect("it is text");
    let facts = OrderFacts {
        series: "Invented".to_owned(),
        revision: "Invented order".to_owned(),
        issued: None,
        basis,
        checked: jiff::civil::Date::constant(2026, 11, 25),
    };
    let reading = whomay::compare::order(&text, &facts, &patterns);
    let items = key["items"].as_array().expect("items");
    let mut figures = Figures {
        items: items.len(),
        found: 0,
        whole: 0,
        basis: 0,
        intruders: 0,
        surplus: 0,
    };
    let mut used = vec![false; reading.wordings.len()];
    for item in items {
        let label = item["item"].as_str().unwrap_or_default();
        let wanted = words(item["text"].as_str().unwrap_or_default());
        let letters: Vec<char> = item["basis"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|b| b.as_str().and_then(|b| b.chars().next()))
            .collect();
        // The same item twice: the one with the nearest words.
        let same = |n: usize| {
            let got = words(&reading.wordings[n].text);
            got.chars()
                .zip(wanted.chars())
                .take_while(|(a, b)| a == b)
                .count()
        };
        let best = (0..reading.wordings.len())
            .filter(|n| !used[*n] && reading.wordings[*n].item == label)
            .max_by_key(|n| same(*n));
        let Some(n) = best else {
            if std::env::var_os("ORDERS").is_some() {
                println!("-- {name} {label}: not found");
            }
            continue;
        };
        used[n] = true;
        figures.found += 1;
        let got = &reading.wordings[n];
        let mut body = words(&got.text);
        // The item number may stand at the end.
        if let Some(rest) = body.strip_suffix(&format!(" {label}")) {
            body = rest.to_owned();
        }
        figures.whole += usize::from(body == wanted);
        figures.basis += usize::from(got.basis == letters);
        if std::env::var_os("ORDERS").is_some() && (body != wanted || got.basis != letters) {
            println!(
                "-- {name} {label} {:?} {letters:?}\n got  {body}\n want {wanted}",
                got.basis
            );
        }
    }
    figures.surplus = used.iter().filter(|u| !**u).count();
    for not in key["not_items"].as_array().into_iter().flatten() {
        let out = words(not["text"].as_str().unwrap_or_default());
        if out.split(' ').count() >= 3 {
            figures.intruders += reading
                .wordings
                .iter()
                .filter(|w| words(&w.text).contains(&out))
                .count();
        }
    }
    println!(
        "{name}: {} items, found {}, whole {}, basis {}, with words that are no items {}, surplus {}; table {}",
        figures.items,
        figures.found,
        figures.whole,
        figures.basis,
        figures.intruders,
        figures.surplus,
        reading.table
    );
    (figures, reading)
}

/// Everything that the key calls an item comes out, whole, and nothing else. At first sight the
/// list gave 28 of its 35 items, none of them whole, and the table none.
fn all_of_it(figures: &Figures) {
    assert_eq!(figures.found, figures.items);
    assert_eq!(figures.whole, figures.items);
    assert_eq!(figures.basis, figures.items);
    assert_eq!((figures.intruders, figures.surplus), (0, 0));
}

#[test]
fn a_numbered_list_gives_its_items() {
    for ending in ["txt", "pdf"] {
        let (figures, reading) = measure("list-form", ending, Some('g'));
        all_of_it(&figures);
        assert!(!reading.table);
    }
}

#[test]
fn a_table_gives_its_rows() {
    for ending in ["txt", "pdf"] {
        let (figures, reading) = measure("table-form", ending, None);
        all_of_it(&figures);
        assert!(reading.table);
        assert_eq!(reading.reserved, ["55"]);
    }
}
