//! The frame that is drawn around the words of a sticker, and the boxes of a form.

/// The signs of a frame at both ends of its lines become blanks, lines of nothing else empty ones.
pub(super) fn stripped(entry: &str) -> String {
    let side = |c: char| "|\u{a6}\u{2502}\u{2503}\u{2551}".contains(c);
    let rule = |line: &str| {
        line.chars().filter(|c| !c.is_whitespace()).count() >= LEAST
            && line
                .chars()
                .all(|c| c.is_whitespace() || "-=+*~#".contains(c) || side(c) || drawn(c))
    };
    entry
        .split('\n')
        .map(|line| {
            let bare = line.trim_matches(|c: char| c.is_whitespace() || side(c));
            if rule(line) {
                ""
            } else if bare.len() < line.trim().len() {
                bare
            } else {
                line
            }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

/// Of a form whose lines open with a box to tick, what was chosen: where one box is ticked, an
/// alternative behind an empty one is not said. An empty box before anything else stays.
pub(super) fn chosen(entry: &str, alternative: &dyn Fn(&str) -> bool) -> String {
    let parted: Vec<String> = entry
        .split('\n')
        .map(|line| side_by_side(line, alternative))
        .collect();
    let entry = parted.join("\n");
    if !entry.split('\n').any(|line| opens(line, &TICKED)) {
        return entry;
    }
    entry
        .split('\n')
        .map(|line| {
            if opens(line, &EMPTY) && alternative(line) {
                ""
            } else {
                line
            }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

/// Boxes that stand side by side, each on a line of its own. Where the one that is ticked is an
/// alternative, so are the others: "[x] condition inspection  [ ] 100 hour  [ ] other".
fn side_by_side(line: &str, alternative: &dyn Fn(&str) -> bool) -> String {
    let boxes = || TICKED.iter().chain(&EMPTY);
    if boxes().map(|b| line.matches(b).count()).sum::<usize>() < 2 {
        return line.to_owned();
    }
    let parted = boxes().fold(line.to_owned(), |line, b| {
        line.replace(b, &format!("\n{b}"))
    });
    let ticked: Vec<&str> = parted.lines().filter(|l| opens(l, &TICKED)).collect();
    let one_of_them = matches!(ticked.as_slice(), [one] if alternative(one));
    let left = |l: &'_ str| -> String {
        if one_of_them && opens(l, &EMPTY) {
            behind_label(l).to_owned()
        } else {
            l.to_owned()
        }
    };
    let lines: Vec<String> = parted.lines().map(left).filter(|l| !l.is_empty()).collect();
    lines.join("\n").trim_start().to_owned()
}

/// What stands behind the label of a box and a wide gap: "[ ] Repairman   Cert. no. 0001234".
fn behind_label(line: &str) -> &str {
    let label = line
        .trim_start()
        .trim_start_matches(|c: char| !c.is_alphanumeric());
    label.find(GAP).map_or("", |at| label[at..].trim_start())
}

/// Blanks that part fields.
const GAP: &str = "  ";

/// Lines that open with an empty box: what stands there was not done or is not said.
pub(super) fn unticked(entry: &str) -> Vec<String> {
    entry
        .split('\n')
        .filter(|line| opens(line, &EMPTY))
        .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

fn opens(line: &str, boxes: &[&str]) -> bool {
    boxes.iter().any(|b| line.trim_start().starts_with(b))
}

/// Boxes with a tick.
const TICKED: [&str; 7] = ["[x]", "[X]", "(x)", "(X)", "[v]", "\u{2611}", "\u{2612}"];
/// Boxes without one.
const EMPTY: [&str; 5] = ["[ ]", "[]", "[_]", "( )", "\u{2610}"];

/// A line that rules off has at least so many signs.
const LEAST: usize = 3;

/// The signs with which boxes are drawn (Unicode block "Box Drawing").
fn drawn(c: char) -> bool {
    ('\u{2500}'..='\u{257f}').contains(&c)
}

#[cfg(test)]
mod tests {
    use super::{chosen, stripped, unticked};

    #[test]
    fn a_frame_goes_and_what_stands_within_stays() {
        let framed = "+------+\n| 5/14/26 |\n| TT 400 |\n+------+";
        assert_eq!(stripped(framed), "\n5/14/26\nTT 400\n");
    }

    #[test]
    fn an_alternative_with_an_empty_box_goes_where_another_is_ticked() {
        let alternative = |line: &str| line.contains("fit");
        let form = "[x] Found fit\n[ ] Found NOT fit\n[ ] Engine";
        let left = chosen(form, &alternative);
        assert_eq!(left, "[x] Found fit\n\n[ ] Engine");
        assert_eq!(unticked(&left), ["[ ] Engine"]);
        assert_eq!(chosen("[ ] Found fit", &alternative), "[ ] Found fit");
    }

    #[test]
    fn boxes_side_by_side_are_alternatives_too() {
        let alternative = |line: &str| line.contains("fit");
        let form = "Result: [x] fit   [ ] not fit\nEnd";
        assert_eq!(chosen(form, &alternative), "Result: \n[x] fit   \nEnd");
        let parts = chosen("[x] Engine [ ] Wings", &alternative);
        assert_eq!(unticked(&parts), ["[ ] Wings"]);
        let field = "[x] fit  [ ] not fit   Cert. no. 0000001";
        assert_eq!(chosen(field, &alternative), "[x] fit  \nCert. no. 0000001");
        let unticked_alone = "Result: [ ] fit   [ ] not fit";
        assert_eq!(unticked(&chosen(unticked_alone, &alternative)).len(), 2);
    }

    #[test]
    fn a_bar_between_fields_and_a_blank_to_sign_in_stay() {
        let form = "TT 400 | SMOH 12\nSigned ______";
        assert_eq!(stripped(form), form);
    }
}
