//! Text that Markdown takes as text.

use super::clean;

/// Text that Markdown takes as text, on one line: no markup, no HTML, and nothing that a forum
/// turns into a link or a mention by itself.
pub(crate) fn escape(text: &str) -> String {
    /// Invisible, of no width, no place for a line to break: it keeps `@name`, `#1` and `://`
    /// from being taken for more than words.
    const JOINER: char = '\u{2060}';
    let mut out = String::with_capacity(text.len());
    let line = clean::line(text);
    let mut rest = line.as_str();
    // A list or a heading begins only at the head of a line.
    let digits = rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (number, after) = rest.split_at(digits);
    if digits > 0 && after.starts_with(['.', ')']) || after.starts_with(['-', '+', '=']) {
        out.push_str(number);
        out.push('\\');
        out.extend(after.chars().next());
        rest = after.get(1..).unwrap_or_default();
    }
    for (at, c) in rest.char_indices() {
        if matches!(
            c,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '$'
        ) || c == '(' && rest[..at].ends_with(']')
        {
            out.push('\\');
        }
        out.push(c);
        let next = rest.get(at + c.len_utf8()..).unwrap_or_default();
        let www = c.eq_ignore_ascii_case(&'w') && next.starts_with('.');
        if matches!(c, '@' | '#') || c == ':' && next.starts_with("//") || www {
            out.push(JOINER);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_a_letter_stay_marks() {
        assert_eq!(
            escape("[x](y) <b>\n| a_b"),
            "\\[x\\]\\(y) \\<b\\> \\| a\\_b"
        );
        assert_eq!(escape("- a"), "\\- a");
        assert_eq!(escape("12. a"), "12\\. a");
        assert_eq!(escape("(12) a"), "(12) a");
        assert_eq!(escape("&lt;b&gt;"), "\\&lt;b\\&gt;");
    }

    #[test]
    fn nothing_becomes_a_link_or_a_mention_by_itself() {
        let said = escape("@all #1 a@b.c https://example.invalid www.example.invalid");
        for live in ["@all", "#1", "a@b", "://", "www."] {
            assert!(!said.contains(live), "{live} in {said}");
        }
    }
}
