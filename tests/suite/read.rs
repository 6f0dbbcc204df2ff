//! Reading files as a caller of the library does: text in its encodings, PDF through the worker.

use std::io::Write as _;
use std::path::PathBuf;

use whomay::model::{Counted, PageNote, ReadAs, ReadNote, Text};
use whomay::read::{Limits, Ocr, ReadError, read};

fn limits() -> Limits {
    Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        ..Limits::default()
    }
}

fn read_bytes(bytes: &[u8]) -> Result<Text, ReadError> {
    read_with(bytes, &limits())
}

fn read_with(bytes: &[u8], limits: &Limits) -> Result<Text, ReadError> {
    let mut file = tempfile::NamedTempFile::new().expect("a temporary file");
    file.write_all(bytes).expect("a file that was just made");
    read(&[file.path().display().to_string()], limits)
}

fn content(text: &str) -> String {
    read_bytes(text.as_bytes()).expect("plain text").content
}

fn message(bytes: &[u8]) -> String {
    match read_bytes(bytes) {
        Ok(text) => panic!("read as «{}»", text.content),
        Err(error) => error.message,
    }
}

fn note_ids(text: &Text) -> Vec<&str> {
    text.notes.iter().map(ReadNote::id).collect()
}

/// A PDF of one page for each content stream, with Helvetica as /F1 and an optional image /I.
pub(crate) fn pdf(pages: &[&str], image: bool) -> Vec<u8> {
    let kids: Vec<String> = (0..pages.len())
        .map(|n| format!("{} 0 R", 5 + 2 * n))
        .collect();
    let mut objects = vec![
        "<</Type/Catalog/Pages 2 0 R>>".to_owned(),
        format!("<</Type/Pages/Count {}/Kids[{}]>>", pages.len(), kids.join(" ")),
        "<</Type/Font/Subtype/Type1/BaseFont/Helvetica/Encoding/WinAnsiEncoding>>".to_owned(),
        "<</Type/XObject/Subtype/Image/Width 8/Height 8/BitsPerComponent 8/ColorSpace/DeviceGray/Length 64>>stream\n0123456789012345678901234567890123456789012345678901234567890123\nendstream".to_owned(),
    ];
    let image = if image { "/XObject<</I 4 0 R>>" } else { "" };
    for (n, page) in pages.iter().enumerate() {
        objects.push(format!(
            "<</Type/Page/Parent 2 0 R/MediaBox[0 0 612 792]/Contents {} 0 R/Resources<</Font<</F1 3 0 R>>{image}>>>>",
            6 + 2 * n
        ));
        objects.push(format!(
            "<</Length {}>>stream\n{page}\nendstream",
            page.len()
        ));
    }
    let mut out = b"%PDF-1.4\n".to_vec();
    let mut places = Vec::new();
    for (n, object) in objects.iter().enumerate() {
        places.push(out.len());
        out.extend(format!("{} 0 obj\n{object}\nendobj\n", n + 1).bytes());
    }
    let table = out.len();
    out.extend(format!("xref\n0 {}\n0000000000 65535 f \n", places.len() + 1).bytes());
    for place in &places {
        out.extend(format!("{place:010} 00000 n \n").bytes());
    }
    out.extend(
        format!(
            "trailer<</Size {}/Root 1 0 R>>\nstartxref\n{table}\n%%EOF\n",
            places.len() + 1
        )
        .bytes(),
    );
    out
}

/// Lines at 14 points, from the top.
pub(crate) fn lines(lines: &[&str]) -> String {
    let mut out = "BT /F1 11 Tf 14 TL 72 720 Td ".to_owned();
    for line in lines {
        let line = line
            .replace('\\', "\\\\")
            .replace('(', "\\(")
            .replace(')', "\\)");
        out.push_str(&format!("({line}) Tj T* "));
    }
    out + "ET"
}

#[test]
fn words_broken_at_line_ends_are_joined() {
    assert_eq!(
        content("The inspection is to be per-\nformed by a mechanic.\n"),
        "The inspection is to be performed\nby a mechanic."
    );
    assert_eq!(
        content("a maneuver in-\nvolving an abrupt change\n"),
        "a maneuver involving\nan abrupt change"
    );
    assert_eq!(content("cer\u{ad}\ntificate\n"), "certificate");
}

#[test]
fn hyphens_of_compounds_are_kept() {
    for (broken, whole) in [
        (
            "an FAA-\ncertificated mechanic",
            "an FAA-certificated\nmechanic",
        ),
        ("of amateur-\nbuilt aircraft", "of amateur-built\naircraft"),
        ("Form 8130-\n7 is", "Form 8130-7\nis"),
        ("91.1057-\n91.1061 and", "91.1057-91.1061\nand"),
        ("total time-in-\nservice", "total time-in-service"),
        ("as follows-\n1. The owner", "as follows-\n1. The owner"),
        (
            "built by self-\nconfessed builders",
            "built by self-confessed\nbuilders",
        ),
        // the text itself tells
        (
            "rigid-frame and rigid-\nframe kites",
            "rigid-frame and rigid-frame\nkites",
        ),
        ("OPERATING LIMITA-\nTIONS", "OPERATING LIMITATIONS"),
    ] {
        assert_eq!(content(broken), whole);
    }
}

#[test]
fn a_clause_goes_on_over_a_page_break() {
    let text = read_bytes(
        b"Limits of N0WHO\n\n(1) No person may operate this aircraft\nunless the mechanic\n\nPage 1 of 2\n\x0cLimits of N0WHO\n\nhas signed.\n\n(2) The owner must keep it.\n\nPage 2 of 2\n",
    )
    .expect("plain text");
    assert_eq!(
        text.content,
        "(1) No person may operate this aircraft\nunless the mechanic\nhas signed.\n\n(2) The owner must keep it."
    );
    let furniture: Vec<(&str, u32)> = text
        .furniture
        .iter()
        .map(|f| (f.text.as_str(), f.place.page))
        .collect();
    assert_eq!(
        furniture,
        [
            ("Limits of N0WHO", 1),
            ("Page 1 of 2", 1),
            ("Limits of N0WHO", 2),
            ("Page 2 of 2", 2)
        ]
    );
    let at = text.content.find("signed").expect("it is there");
    let place = text.place(at);
    assert_eq!((place.page, place.line), (2, 3));
}

#[test]
fn a_paragraph_that_ended_stays_ended_over_a_page_break() {
    let text = content("(1) The owner must keep it.\n\x0c(2) The mechanic may inspect it.\n");
    assert_eq!(
        text,
        "(1) The owner must keep it.\n\n(2) The mechanic may inspect it."
    );
}

#[test]
fn encodings_and_controls() {
    let text = read_bytes(b"\xa7 91.319(b) \x93may\x94\x07\x1b not\r\nend").expect("it is text");
    assert_eq!(text.content, "§ 91.319(b) \"may\" not\nend");
    assert_eq!(note_ids(&text), ["windows-1252"]);
    assert_eq!(text.sources[0].read_as, ReadAs::Text);
    let wide: Vec<u8> = "\u{feff}No person may"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    assert_eq!(
        read_bytes(&wide).expect("it is text").content,
        "No person may"
    );
}

#[test]
fn what_cannot_be_read_says_why_and_what_to_do() {
    for (bytes, part) in [
        (&b""[..], "empty"),
        (b" \n\t\n", "blanks"),
        (b"%PDF-1.4\nnothing", "damaged"),
        (b"\x89PNG\r\n\x1a\n....", "PNG picture"),
        (b"PK\x03\x04........", "save it as PDF"),
        (b"\0\x01\x02\x03\0\x01\x02\x03", "neither text nor PDF"),
    ] {
        let message = message(bytes);
        assert!(message.contains(part), "«{message}» lacks «{part}»");
    }
    let error = read(&["no/such/file"], &limits()).expect_err("there is none");
    assert!(
        error
            .to_string()
            .starts_with("no/such/file: there is no such file")
    );
}

#[test]
fn a_pdf_is_read_with_its_places() {
    let page = lines(&[
        "(1) No person may operate this aircraft",
        "unless it was inspected.",
    ]);
    let text = read_bytes(&pdf(&[&page, &page.replace("(1", "(2")], false)).expect("a sound PDF");
    assert_eq!(text.sources[0].read_as, ReadAs::PdfText);
    assert_eq!(text.sources[0].pages, 2);
    assert!(text.notes.is_empty(), "{:?}", text.notes);
    let at = text.content.rfind("unless").expect("it is there");
    let place = text.place(at);
    assert_eq!((place.page, place.line), (2, 2));
}

#[test]
fn without_a_worker_a_pdf_is_read_once_and_says_so() {
    let page = lines(&["(1) No person may operate this aircraft."]);
    let limits = Limits {
        worker: None,
        ..limits()
    };
    let text = read_with(&pdf(&[&page], false), &limits).expect("a sound PDF");
    assert_eq!(text.content, "(1) No person may operate this aircraft.");
    assert_eq!(note_ids(&text), ["one-reading"]);
}

#[test]
fn a_scan_is_called_a_scan() {
    let without_ocr = Limits {
        ocr: Ocr::Off,
        ..limits()
    };
    let scan = "q 612 0 0 792 0 0 cm /I Do Q";
    let error = read_with(&pdf(&[scan], true), &without_ocr).expect_err("no words in it");
    assert!(error.message.contains("the page is a scan"), "{error}");
    let page = lines(&["(1) No person may operate this aircraft."]);
    let text = read_with(&pdf(&[&page, scan], true), &without_ocr).expect("one page has text");
    assert_eq!(note_ids(&text), ["page-is-scan"]);
    assert_eq!(text.notes[0].page(), Some(2));
}

#[test]
#[cfg(feature = "ocr")]
fn a_picture_without_words_is_said_to_have_none() {
    let scan = "q 612 0 0 792 0 0 cm /I Do Q";
    let message = message(&pdf(&[scan], true));
    assert!(message.contains("no words were found"), "{message}");
    let page = lines(&["(1) No person may operate this aircraft."]);
    let text = read_bytes(&pdf(&[&page, scan], true)).expect("one page has text");
    assert_eq!(note_ids(&text), ["page-without-words"]);
    assert_eq!(text.notes[0].page(), Some(2));
}

#[test]
fn words_that_the_paper_does_not_show_are_left_out() {
    let page = lines(&["(1) No person may operate this aircraft."])
        + " BT 3 Tr /F1 11 Tf 72 400 Td (Any person may.) Tj ET";
    let text = read_bytes(&pdf(&[&page], false)).expect("a sound PDF");
    assert_eq!(text.content, "(1) No person may operate this aircraft.");
    assert!(note_ids(&text).contains(&"hidden-text"));
}

#[test]
fn words_that_nobody_sees_are_left_out_and_said() {
    let page = lines(&["(1) No person may operate this aircraft."]);
    let words = "BT /F1 11 Tf 72 400 Td (Any person may.) Tj ET";
    for (how, more) in [
        ("white", format!("q 1 g {words} Q")),
        ("all but white", format!("q 0.99 0.98 0.97 rg {words} Q")),
        ("tiny", words.replace("11 Tf", "0.3 Tf")),
        (
            "scaled to nothing",
            format!("q 0.02 0 0 0.02 72 400 cm {words} Q"),
        ),
        ("clipped away", format!("q 0 0 10 10 re W n {words} Q")),
        ("below a box", format!("{words} q 1 g 60 390 300 30 re f Q")),
        (
            "black on black",
            format!("q 0 g 60 390 300 30 re f {words} Q"),
        ),
    ] {
        let text = read_bytes(&pdf(&[&format!("{page} {more}")], false)).expect("a sound PDF");
        assert_eq!(
            text.content, "(1) No person may operate this aircraft.",
            "{how}"
        );
        assert!(
            note_ids(&text).contains(&"hidden-text"),
            "{how}: {:?}",
            text.notes
        );
    }
    for (how, more) in [
        ("gray", format!("q 0.6 g {words} Q")),
        (
            "white on black",
            format!("q 0 g 60 390 300 30 re f 1 g {words} Q"),
        ),
        ("on a box", format!("q 1 g 60 390 300 30 re f Q {words}")),
        (
            "beside a box",
            format!("{words} q 1 g 60 420 300 30 re f Q"),
        ),
        ("on a line", format!("{words} q 60 399 300 1 re f Q")),
        ("in a clip", format!("q 60 390 300 30 re W n {words} Q")),
    ] {
        let text = read_bytes(&pdf(&[&format!("{page} {more}")], false)).expect("a sound PDF");
        assert!(
            text.content.ends_with("Any person may."),
            "{how}: {}",
            text.content
        );
        assert!(
            !note_ids(&text).contains(&"hidden-text"),
            "{how}: {:?}",
            text.notes
        );
    }
}

#[test]
fn the_layer_of_an_ocr_program_is_used_and_named() {
    let page = "q 612 0 0 792 0 0 cm /I Do Q ".to_owned()
        + &lines(&["(1) No person may operate this aircraft."]).replace("BT", "BT 3 Tr");
    let text = read_bytes(&pdf(&[&page], true)).expect("a sound PDF");
    assert_eq!(text.content, "(1) No person may operate this aircraft.");
    assert_eq!(note_ids(&text), ["page-hidden-layer"]);
}

#[test]
fn two_readings_that_differ_in_a_deciding_word_are_reported() {
    // The second engine knows no crop box: it sees the word outside of the page, the first does not.
    let page =
        lines(&["(1) A rated mechanic may perform the condition inspection of this aircraft."])
            + " BT /F1 11 Tf 72 900 Td (only) Tj ET";
    let text = read_bytes(&pdf(&[&page], false)).expect("a sound PDF");
    let differ = PageNote::Differ(vec![Counted {
        word: "only".to_owned(),
        first: 0,
        second: 1,
    }]);
    let note = ReadNote::page_note(1, differ);
    assert!(text.notes.contains(&note), "{:?}", text.notes);
}

#[test]
fn limits_cut_and_say_so() {
    let page = lines(&["(1) No person may operate this aircraft."]);
    let few = Limits {
        pages: 2,
        ..limits()
    };
    let text = read_with(&pdf(&[&page, &page, &page], false), &few).expect("a sound PDF");
    assert!(note_ids(&text).contains(&"pages-limit"), "{:?}", text.notes);
    let short = Limits {
        characters: 30,
        ..limits()
    };
    let text = read_with(b"one line of words\nanother line of words", &short).expect("text");
    assert_eq!(text.content, "one line of words");
    assert_eq!(note_ids(&text), ["characters-limit"]);
    let small = Limits {
        bytes: 10,
        ..limits()
    };
    let error = read_with(b"more than ten bytes", &small).expect_err("too large");
    assert!(error.message.contains("larger than"), "{}", error.message);
}

#[test]
fn a_worker_that_hangs_is_stopped() {
    // a form that draws itself ten times, nine levels deep
    let mut bytes = pdf(&["/X0 Do"], false);
    let text = String::from_utf8_lossy(&bytes).replace(
        "/Font<</F1 3 0 R>>>>>>",
        "/Font<</F1 3 0 R>>/XObject<</X0 10 0 R>>>>>>",
    );
    let mut text = text[..text.rfind("xref\n0").expect("there is one")].to_owned();
    for n in 0..9 {
        let body = if n < 8 {
            format!("/X{} Do ", n + 1).repeat(10)
        } else {
            "q Q".into()
        };
        text.push_str(&format!(
            "{} 0 obj\n<</Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</X{} {} 0 R>>>>/Length {}>>stream\n{body}\nendstream\nendobj\n",
            10 + n, n + 1, 11 + n, body.len()
        ));
    }
    bytes.clear();
    bytes.extend(text.bytes());
    bytes.extend(b"trailer<</Root 1 0 R>>\n%%EOF\n");
    let limits = Limits {
        seconds: 1,
        ..limits()
    };
    let begun = std::time::Instant::now();
    let outcome = read_with(&bytes, &limits);
    assert!(begun.elapsed().as_secs() < 8, "{:?}", begun.elapsed());
    assert!(outcome.is_err());
}

#[test]
fn several_files_are_one_text() {
    let mut first = tempfile::NamedTempFile::new().expect("a temporary file");
    let mut second = tempfile::NamedTempFile::new().expect("a temporary file");
    first
        .write_all(b"(1) One.\n")
        .expect("a file that was just made");
    second
        .write_all(b"(2) Two.\n")
        .expect("a file that was just made");
    let names = [&first, &second].map(|f| f.path().display().to_string());
    let text = read(&names, &limits()).expect("two texts");
    assert_eq!(text.content, "(1) One.\n\n(2) Two.");
    let place = text.place(text.content.find("(2)").expect("it is there"));
    assert_eq!((place.source, place.page, place.line), (1, 1, 1));
}
