//! Differences between two wordings.

use proptest::prelude::*;
use whomay::compare::diff;
use whomay::model::{Diff, Op};
use whomay::patterns::Patterns;

fn patterns() -> &'static Patterns {
    static PATTERNS: std::sync::OnceLock<Patterns> = std::sync::OnceLock::new();
    PATTERNS.get_or_init(|| Patterns::embedded().expect("the embedded patterns load"))
}

fn kinds(old: &str, new: &str) -> Vec<(&'static str, bool)> {
    diff(old, new, patterns())
        .differences
        .iter()
        .map(|d| (d.kind.name(), d.material))
        .collect()
}

/// The two sides of a comparison, from its pieces.
fn sides(diff: &Diff) -> (String, String) {
    let (mut old, mut new) = (String::new(), String::new());
    for op in &diff.ops {
        match op {
            Op::Keep(words) => {
                old.push_str(words);
                new.push_str(words);
            }
            Op::Delete(words) => old.push_str(words),
            Op::Insert(words) => new.push_str(words),
        }
    }
    (old, new)
}

/// What a comparison leaves aside, put into one form.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            c if c.is_whitespace() || c == '\u{ad}' => {}
            '’' | '‘' => out.push('\''),
            '“' | '”' => out.push('"'),
            '–' | '—' => out.push('-'),
            c => out.extend(c.to_lowercase()),
        }
    }
    out
}

const CLAUSE: &str = "An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.";

#[test]
fn each_kind_of_change_is_told() {
    type Kinds<'k> = &'k [(&'k str, bool)];
    let cases: [(&str, &str, &str, Kinds<'_>); 19] = [
        (
            "only",
            CLAUSE,
            &format!("Only {CLAUSE}"),
            &[("limiter", true)],
        ),
        (
            "must",
            CLAUSE,
            &CLAUSE.replace("may", "must"),
            &[("modality", true)],
        ),
        (
            "form of a citation",
            CLAUSE,
            &CLAUSE.replace('§', "FAR"),
            &[("citation", false)],
        ),
        (
            "title of a citation",
            CLAUSE,
            &CLAUSE.replace('§', "14 CFR §"),
            &[("citation", false)],
        ),
        (
            "another rule",
            "A repairman certificated under § 65.104 may perform the condition inspection.",
            "A repairman certificated under § 65.109 may perform the condition inspection.",
            &[
                ("inspector-added", true),
                ("inspector-removed", true),
                ("citation", true),
            ],
        ),
        (
            "a kind more",
            CLAUSE,
            &CLAUSE.replace("mechanic may", "mechanic or a repair station may"),
            &[("inspector-added", true)],
        ),
        (
            "a kind less",
            CLAUSE,
            &CLAUSE.replace(" or an appropriately rated FAA-certificated mechanic", ""),
            &[("inspector-removed", true)],
        ),
        (
            "not",
            CLAUSE,
            &CLAUSE.replace("may", "may not"),
            &[("negation", true)],
        ),
        (
            "slip",
            "No person must operate",
            "No person may operate",
            &[("modality", false)],
        ),
        (
            "shall",
            "It shall be recorded",
            "It must be recorded",
            &[("modality", false)],
        ),
        (
            "interval",
            "within 12 calendar months",
            "within 24 calendar months",
            &[("number", true)],
        ),
        (
            "calendar",
            "within 12 calendar months",
            "within 12 months",
            &[("number", true)],
        ),
        (
            "filled in",
            "for at least [ ] hours",
            "for at least 40 hours",
            &[("editorial", false)],
        ),
        (
            "number word",
            "within twelve months",
            "within 12 months",
            &[("editorial", false)],
        ),
        (
            "moved",
            "under § 91.319(e) and",
            "under § 91.319(i) and",
            &[("citation", false)],
        ),
        (
            "moved, in the long form",
            "under § 91.319(e) and",
            "under 14 CFR § 91.319(i) and",
            &[("citation", false), ("citation", false)],
        ),
        (
            "another rule, in the long form",
            "under § 91.319(e) and",
            "under 14 CFR § 91.309(e) and",
            &[("citation", true), ("citation", true)],
        ),
        (
            "turned round",
            "of appendix D to part 43 it",
            "of 14 CFR part 43, appendix D it",
            &[("citation", false)],
        ),
        (
            "term",
            "the aircraft owner",
            "the aircraft operator",
            &[("term", true)],
        ),
    ];
    for (name, old, new, expected) in cases {
        assert_eq!(kinds(old, new), expected, "{name}");
    }
}

#[test]
fn what_prints_alike_is_the_same() {
    for (old, new) in [
        ("the “aircraft” – owner’s", "the \"aircraft\" - owner's"),
        ("§91.319 (b)", "§ 91.319(b)"),
        (
            "OPERATING LIMITATIONS\nPhase I",
            "Operating Limitations Phase I",
        ),
        ("con\u{ad}dition  inspec\u{ad}tion", "condition inspection"),
        ("at ____ hours", "at ___________ hours"),
        ("", " \n"),
    ] {
        let diff = diff(old, new, patterns());
        assert!(diff.same, "{old} / {new}: {:?}", diff.ops);
        assert!(diff.differences.is_empty());
    }
}

#[test]
fn changes_are_whole_words_without_confetti() {
    let old = "The appropriate parts must be available for use by ground or flight personnel.";
    let new = "The appropriate parts are accessible to flight, ground, and maintenance personnel at all times.";
    let diff = diff(old, new, patterns());
    let changes = diff
        .ops
        .windows(2)
        .filter(|w| matches!(w[0], Op::Keep(_)) && !matches!(w[1], Op::Keep(_)))
        .count();
    assert!(changes <= 2, "{:?}", diff.ops);
}

fn words() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        Just("may"),
        Just("must"),
        Just("not"),
        Just("only"),
        Just("the"),
        Just("mechanic"),
        Just("repair station"),
        Just("inspection"),
        Just("§ 65.104"),
        Just("FAR 65.104"),
        Just("part 43, appendix D"),
        Just("appendix D to part 43"),
        Just("12"),
        Just("____"),
        Just("[insert date]"),
        Just(","),
        Just("."),
        Just("—"),
        Just("“quoted”"),
        Just("owner’s"),
        Just("No person"),
        Just("unless"),
        Just("\n"),
        Just("é"),
        Just("con\u{ad}dition"),
    ];
    proptest::collection::vec(word, 0..24).prop_map(|w| w.join(" "))
}

#[test]
fn what_comes_to_a_citation_is_an_insertion() {
    let old = "Inspections under part 43 are recorded.";
    let new = "Inspections under 14 CFR part 43 are recorded.";
    let compared = diff(old, new, patterns());
    let inserted: Vec<&Op> = compared
        .ops
        .iter()
        .filter(|op| !matches!(op, Op::Keep(_)))
        .collect();
    assert_eq!(inserted, [&Op::Insert(" 14 CFR".to_owned())]);
    assert!(compared.differences.iter().all(|d| !d.material));
    // Another form of it is one change.
    let compared = diff("See § 91.319(b).", "See FAR 91.319(b).", patterns());
    assert_eq!(compared.differences.len(), 1, "{:?}", compared.differences);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn the_pieces_rebuild_both_sides(old in words(), new in words()) {
        let diff = diff(&old, &new, patterns());
        let (was, is) = sides(&diff);
        prop_assert_eq!(is, new);
        prop_assert_eq!(plain(&was), plain(&old));
        prop_assert_eq!(diff.same, diff.ops.iter().all(|o| matches!(o, Op::Keep(_))));
        prop_assert_eq!(diff.same, diff.differences.is_empty());
    }

    #[test]
    fn anything_can_be_compared(old in any::<String>(), new in any::<String>()) {
        let diff = diff(&old, &new, patterns());
        prop_assert_eq!(sides(&diff).1, new);
    }

    #[test]
    fn compared_with_itself_nothing_differs(text in words()) {
        let diff = diff(&text, &text, patterns());
        prop_assert!(diff.same);
        prop_assert!(diff.differences.is_empty());
    }

    #[test]
    fn swapping_the_sides_swaps_the_pieces(old in words(), new in words()) {
        let there = diff(&old, &new, patterns());
        let back = diff(&new, &old, patterns());
        prop_assert_eq!(there.same, back.same);
        let changes = |d: &Diff| -> Vec<(char, String)> {
            d.ops
                .iter()
                .filter_map(|op| match op {
                    Op::Delete(w) => Some(('-', w.trim().to_owned())),
                    Op::Insert(w) => Some(('+', w.trim().to_owned())),
                    Op::Keep(_) => None,
                })
                .collect()
        };
        let mut a = changes(&there);
        let mut b: Vec<(char, String)> = changes(&back)
            .into_iter()
            .map(|(c, w)| (if c == '-' { '+' } else { '-' }, w))
            .collect();
        a.sort();
        b.sort();
        prop_assert_eq!(a, b);
    }
}
