//! Registration marks.

/// The registration mark that a word is: N, a digit, at most six more (14 CFR 47.15 has at most
/// five characters behind the N; invented ones have more). Characters that are read for one
/// another are one.
pub(crate) fn mark_of(word: &str) -> Option<String> {
    let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
    let rest = &bare.strip_prefix('N')?.replace('-', "");
    let figures = rest.bytes().filter(u8::is_ascii_digit).count();
    let plain = rest
        .bytes()
        .all(|b| b.is_ascii_digit() || b.is_ascii_uppercase());
    (plain && (2..=7).contains(&rest.len()) && figures > 0 && rest.as_bytes()[0].is_ascii_digit())
        .then(|| format!("N{}", alike(rest)))
}

/// Characters that OCR takes for one another, as one.
pub(crate) fn alike(word: &str) -> String {
    word.chars()
        .map(|c| match c.to_ascii_uppercase() {
            'O' | 'Q' => '0',
            'I' | 'L' => '1',
            'S' => '5',
            'B' => '8',
            'Z' => '2',
            c => c,
        })
        .collect()
}

/// The mark that a text gives, where it gives one alone.
pub(crate) fn only_mark(text: &str) -> Option<String> {
    let mut marks = text.split_whitespace().filter_map(mark_of);
    let first = marks.next()?;
    marks.all(|mark| mark == first).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::only_mark;

    #[test]
    fn one_mark_is_the_letters_two_are_not() {
        assert_eq!(
            only_mark("Mark: N000XX. N000XX shall be"),
            Some("N000XX".into())
        );
        assert_eq!(only_mark("N000XX, and N000YY"), None);
        assert_eq!(only_mark("No mark"), None);
    }
}
