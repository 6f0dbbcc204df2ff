//! Markup that is safe by the way it was made.

use crate::report::clean;

/// Markup. Words get into it only through [`text`] and [`lines`], so whatever a letter says stays
/// words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Html(String);

impl Html {
    /// Nothing.
    #[must_use]
    pub const fn new() -> Self {
        Self(String::new())
    }

    /// Adds at the end.
    pub fn push(&mut self, more: &Self) {
        self.0.push_str(&more.0);
    }

    /// Whether there is nothing in it.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The markup.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Markup of this program's own making: tags, never words from outside.
    pub(crate) fn own(markup: impl Into<String>) -> Self {
        Self(markup.into())
    }

    /// The pieces with something between them.
    #[must_use]
    pub fn joined(pieces: impl IntoIterator<Item = Self>, between: &Self) -> Self {
        let mut all = Self::new();
        for (n, piece) in pieces.into_iter().enumerate() {
            if n > 0 {
                all.push(between);
            }
            all.push(&piece);
        }
        all
    }
}

impl FromIterator<Self> for Html {
    fn from_iter<I: IntoIterator<Item = Self>>(pieces: I) -> Self {
        Self::joined(pieces, &Self::new())
    }
}

/// Words on one line: runs of blanks become one, control and bidirectional characters visible,
/// the characters of HTML itself escaped. Good in an element and in a quoted attribute.
#[must_use]
pub fn text(words: &str) -> Html {
    Html(escaped(&clean::line(words)))
}

/// Words whose line ends stay; for elements that show them.
#[must_use]
pub fn lines(words: &str) -> Html {
    Html(escaped(&clean::lines(words)))
}

/// Like [`text`], with the blanks at both ends kept as one: for pieces of a running text.
#[must_use]
pub fn piece(words: &str) -> Html {
    let blank = |at_end: bool| {
        let c = if at_end {
            words.chars().next_back()
        } else {
            words.chars().next()
        };
        c.is_some_and(char::is_whitespace)
    };
    let inner = escaped(&clean::line(words));
    if inner.is_empty() {
        return Html(if words.is_empty() { "" } else { " " }.to_owned());
    }
    let before = if blank(false) { " " } else { "" };
    let after = if blank(true) { " " } else { "" };
    Html(format!("{before}{inner}{after}"))
}

/// The sign of a section stays with its number.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut before = ' ';
    for c in words.chars() {
        let c = if c == ' ' && before == '§' {
            '\u{a0}'
        } else {
            c
        };
        before = c;
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_words() {
        assert_eq!(
            text("<script>a&b</script> \"x\" 'y'\u{202e}\u{1b}[0m").as_str(),
            "&lt;script&gt;a&amp;b&lt;/script&gt; &quot;x&quot; &#39;y&#39;\u{fffd}\u{241b}[0m"
        );
    }

    #[test]
    fn a_piece_keeps_its_blanks_as_one() {
        assert_eq!(piece("\n may  fly ").as_str(), " may fly ");
        assert_eq!(piece("may").as_str(), "may");
        assert_eq!(piece(" \n ").as_str(), " ");
        assert_eq!(piece("").as_str(), "");
    }
}
