//! The frame that is drawn around the words of a sticker.

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

/// A line that rules off has at least so many signs.
const LEAST: usize = 3;

/// The signs with which boxes are drawn (Unicode block "Box Drawing").
fn drawn(c: char) -> bool {
    ('\u{2500}'..='\u{257f}').contains(&c)
}

#[cfg(test)]
mod tests {
    use super::stripped;

    #[test]
    fn a_frame_goes_and_what_stands_within_stays() {
        let framed = "+------+\n| 5/14/26 |\n| TT 400 |\n+------+";
        assert_eq!(stripped(framed), "\n5/14/26\nTT 400\n");
    }

    #[test]
    fn a_bar_between_fields_and_a_blank_to_sign_in_stay() {
        let form = "TT 400 | SMOH 12\nSigned ______";
        assert_eq!(stripped(form), form);
    }
}
