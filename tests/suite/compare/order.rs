//! Orders read into wording files.

use jiff::civil::date;
use whomay::compare::{OrderFacts, OrderReading, References, Within, order};
use whomay::model::Text;
use whomay::patterns::Patterns;

fn facts(basis: Option<char>) -> OrderFacts {
    OrderFacts {
        series: "9999.1X".to_owned(),
        revision: "Order 9999.1X (invented)".to_owned(),
        issued: Some(date(2020, 5, 4)),
        basis,
        checked: date(2026, 11, 25),
    }
}

fn read(text: &str, basis: Option<char>) -> OrderReading {
    let patterns = Patterns::embedded().expect("the embedded patterns load");
    order(&Text::verbatim(text), &facts(basis), &patterns)
}

const LIST: &str = "153. ISSUANCE OF OPERATING LIMITATIONS.

b. The following operating limitations shall be prescribed:

(1) No person may operate this aircraft for other than the purpose of
recreation and education.

(2) Aerobatic flight is prohibited.

NOTE: The inspector must take either the one above or the next one.

(3) This aircraft may conduct aerobatic flight in accordance with § 91.303.
It must be recorded.

(5) No person may operate this aircraft unless within the preceding 12
calendar months it has had a condition inspection performed in
accordance with appendix D to part 43.
";

const TABLE: &str = "APPENDIX D. OPERATING LIMITATIONS
Item No.   Limitation   Basis
1   No person may operate this aircraft for other than the   § 21.191(a), (g)
    purpose stated in the program letter. (1)
2   A parachute must be worn by each occupant. (2)   § 21.191(d), (e)
Item No.   Limitation   Basis
3   No person may operate this aircraft unless within the preceding   All
    12 calendar months it has had a condition inspection performed per
    the scope and detail of Part 43, appendix D. (3)
Note: the inspector must fill in the following.
5   Flight over a congested airway is authorized for takeoff. (5) § 21.191(g)
";

#[test]
fn a_numbered_list_is_read() {
    let reading = read(LIST, Some('g'));
    let items: Vec<&str> = reading.wordings.iter().map(|w| w.item.as_str()).collect();
    assert_eq!(items, ["1", "2", "3", "5"], "{reading:#?}");
    assert_eq!(reading.missing, [4]);
    assert!(!reading.table);
    assert!(
        reading
            .skipped
            .iter()
            .any(|s| s.2.contains("shall be prescribed"))
    );
    assert!(
        reading.wordings[3].text.ends_with("appendix D to part 43."),
        "{}",
        reading.wordings[3].text
    );
    assert_eq!(reading.wordings[3].topic, "inspection-when");
}

#[test]
fn a_table_with_a_basis_column_is_read() {
    let reading = read(TABLE, None);
    assert!(reading.table);
    let rows: Vec<(&str, String, &str)> = reading
        .wordings
        .iter()
        .map(|w| (w.item.as_str(), w.basis.iter().collect(), w.text.as_str()))
        .collect();
    assert_eq!(
        rows,
        [
            (
                "1",
                "ag".to_owned(),
                "No person may operate this aircraft for other than the purpose stated in the program letter."
            ),
            (
                "2",
                "de".to_owned(),
                "A parachute must be worn by each occupant."
            ),
            (
                "3",
                ('a'..='l').collect(),
                "No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection performed per the scope and detail of Part 43, appendix D."
            ),
            (
                "5",
                "g".to_owned(),
                "Flight over a congested airway is authorized for takeoff."
            ),
        ]
    );
    assert_eq!(reading.missing, [4]);
    assert!(reading.skipped.iter().any(|s| s.2.starts_with("Note:")));
}

#[test]
fn the_files_load_and_are_compared_with() {
    let folder = tempfile::tempdir().expect("a folder");
    let reading = read(TABLE, None);
    for wording in &reading.wordings {
        let path = folder.path().join(&wording.path);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        std::fs::write(path, &wording.toml).expect("written");
    }
    let patterns = Patterns::with_overlay(folder.path()).expect("the files load");
    let added: Vec<_> = patterns
        .wording
        .iter()
        .filter(|w| w.file.series == "9999.1X")
        .collect();
    assert_eq!(added.len(), 4);
    let references = References::new(Within::Basis('d'), &patterns);
    let near = references.nearest("Each occupant must wear a parachute.");
    assert_eq!(
        near.first().map(|n| n.0.id.as_str()),
        Some("wording/9999.1X/2")
    );
}

#[test]
fn without_a_basis_no_file_is_made() {
    let reading = read(LIST, None);
    assert!(reading.wordings.is_empty());
    assert_eq!(reading.without_basis, ["1", "2", "3", "5"]);
}
