//! Canonical forms of what is cited.

/// A section with its paragraphs: `91.319(b)`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Section {
    pub(super) title: u16,
    pub(super) part: String,
    pub(super) number: String,
    /// Labels of the paragraphs, outermost first.
    pub(super) paragraphs: Vec<String>,
}

impl Section {
    pub(super) fn target(&self) -> String {
        let mut out = String::new();
        if self.title != 14 {
            out.push_str(&format!("{} CFR ", self.title));
        }
        out.push_str(&self.part);
        out.push('.');
        out.push_str(&self.number);
        for label in &self.paragraphs {
            out.push('(');
            out.push_str(label);
            out.push(')');
        }
        out
    }

    /// The same section with the paragraphs of a later member of a list: in "(a)(1) and (2)" the
    /// (2) stands for (a)(2).
    pub(super) fn sibling(&self, labels: &[String]) -> Self {
        let mut paragraphs = self.paragraphs.clone();
        let depth = labels.first().map_or(0, |first| {
            let kind = kind(first, 0);
            paragraphs
                .iter()
                .enumerate()
                .rev()
                .find(|(depth, held)| self::kind(held, *depth) == kind)
                .map_or(0, |(depth, _)| depth)
        });
        paragraphs.truncate(depth);
        paragraphs.extend(labels.iter().cloned());
        Self {
            paragraphs,
            ..self.clone()
        }
    }
}

/// 0 for letters, 1 for digits, 2 for Roman numbers, 3 for capitals. The third level of a section
/// is Roman, the first is not.
fn kind(label: &str, depth: usize) -> u8 {
    let bytes = label.as_bytes();
    if bytes.iter().all(u8::is_ascii_digit) {
        1
    } else if bytes.iter().all(u8::is_ascii_uppercase) {
        3
    } else if depth >= 2 || (bytes.len() > 1 && bytes.iter().all(|c| b"ivx".contains(c))) {
        2
    } else {
        0
    }
}

/// A whole part.
pub(super) fn part(title: u16, number: &str) -> String {
    if title == 14 {
        format!("part {number}")
    } else {
        format!("{title} CFR part {number}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn siblings_take_the_place_of_their_kind() {
        let section = |labels: &[&str]| Section {
            title: 14,
            part: "91".into(),
            number: "511".into(),
            paragraphs: labels.iter().map(|l| (*l).to_owned()).collect(),
        };
        let sibling =
            |held: &[&str], next: &str| section(held).sibling(&[next.to_owned()]).target();
        assert_eq!(sibling(&["a", "1"], "2"), "91.511(a)(2)");
        assert_eq!(sibling(&["a", "1"], "b"), "91.511(b)");
        assert_eq!(sibling(&["d", "1", "i"], "2"), "91.511(d)(2)");
        assert_eq!(sibling(&["d", "1", "i"], "ii"), "91.511(d)(1)(ii)");
    }
}
