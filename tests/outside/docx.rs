//! Word processor files against another reader.
//!
//! Source: LibreOffice 7.4.7 (Debian), `soffice --headless --convert-to txt:Text`. `clauses.docx`
//! was made with python-docx (`tests/suite/data/docx/make.py`), `lists.docx` by LibreOffice from
//! `lists.html`. The `.txt` files are what LibreOffice reads in them; it sets every cell of a table
//! on a line of its own, so words are compared with the line ends folded.

use std::path::PathBuf;

use whomay::read::{Limits, read};

#[test]
fn another_reader_sees_the_same_numbers_and_words() {
    let tests = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests");
    let (mut numbered, mut same) = (0, 0);
    for (file, name) in [
        ("suite/data/docx/clauses.docx", "clauses"),
        ("outside/data/docx/lists.docx", "lists"),
    ] {
        let theirs = tests.join(format!("outside/data/docx/{name}.txt"));
        let theirs = std::fs::read_to_string(theirs).unwrap();
        let file = tests.join(file).display().to_string();
        let ours = read(&[file], &Limits::default()).unwrap().content;
        let fold = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let paragraphs: Vec<String> = ours.split("\n\n").map(fold).collect();
        for line in theirs
            .lines()
            .map(|l| fold(l.trim_start_matches('\u{feff}')))
        {
            let first = line.split(' ').next().unwrap_or_default();
            let is_number = first.ends_with(['.', ')']) || first.contains('.');
            if !is_number || first.len() > 6 {
                continue;
            }
            numbered += 1;
            same += usize::from(paragraphs.contains(&line));
            if !paragraphs.contains(&line) {
                println!("not ours: {line}");
            }
        }
        assert_eq!(
            fold(&ours),
            fold(theirs.trim_start_matches('\u{feff}')),
            "{name}"
        );
    }
    println!("numbers and words of numbered paragraphs: {same} of {numbered}");
    assert_eq!((same, numbered), (26, 26));
}
