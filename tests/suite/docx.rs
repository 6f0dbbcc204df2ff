//! Word processor files: numbers that exist only as lists, tables, tracked changes, hidden text.
//! `data/docx/make.py` makes the files.

use std::io::Write as _;

use whomay::model::{Form, Kind, ReadAs, Text};
use whomay::patterns::Patterns;
use whomay::read::{Limits, read, read_bytes};

fn file(name: &str) -> Text {
    let path = format!(
        "{}/tests/suite/data/docx/{name}",
        env!("CARGO_MANIFEST_DIR")
    );
    read(&[path], &Limits::default()).unwrap()
}

#[test]
fn numbers_of_lists_stand_before_their_clauses() {
    let text = file("clauses.docx");
    let heads: Vec<String> = text
        .content
        .split("\n\n")
        .map(|p| p.chars().take(34).collect::<String>().replace('\n', " "))
        .collect();
    let expected = [
        "INVENTED SAMPLE - not a real lette",
        "OPERATING LIMITATIONS",
        "EXPERIMENTAL, OPERATING AMATEUR-BU",
        "Registration mark: N0WHO",
        "Purpose: 14 CFR section 21.191(g),",
        "Date of issue: May 14, 2008",
        "(1) No person may operate this air",
        "(2) During phase I flight testing:",
        "(a) all flights must be conducted ",
        "(b) no person may be carried who i",
        "(i) a second pilot;",
        "(ii) an observer.",
        "(3) This aircraft must be operated",
        "(4) The restart of the letters is ",
        "(a) this item, which is (a) again.",
        "This paragraph has no number and e",
        "(22) No person must operate this a",
        "(23) Condition inspections must be",
        "Additional limitations",
        "1. The pilot in command must hold ",
        "1.A for the category;",
        "1.B for the class.",
        "2. An experimental aircraft builde",
    ];
    assert_eq!(heads, expected);
    assert_eq!(text.sources[0].read_as, ReadAs::Docx);
    assert_eq!(text.sources[0].pages, 2);
    let aside: Vec<&str> = text.furniture.iter().map(|f| f.text.as_str()).collect();
    assert!(aside.contains(&"Operating Limitations, N0WHO"), "{aside:?}");
    assert!(
        aside.contains(&"Sample Flight Standards District Office"),
        "{aside:?}"
    );
    let at = text.content.find("(22)").unwrap();
    assert_eq!((text.place(at).page, text.place(at).line), (2, 1));
    assert!(text.notes.iter().any(|n| n.id() == "automatic-numbers"));
}

#[test]
fn what_is_deleted_or_hidden_is_left_out_and_said() {
    let text = file("changes.docx");
    let content = text.content.replace('\n', " ");
    assert!(
        content.contains("2) A certificated mechanic may perform the condition inspection"),
        "{content}"
    );
    for gone in ["only", "Hidden", "owner may"] {
        assert!(!content.contains(gone), "{gone}: {content}");
    }
    assert!(
        content.contains("3) This aircraft must display the word EXPERIMENTAL near"),
        "{content}"
    );
    assert!(content.contains("4) The pilot must advise"), "{content}");
    for id in ["tracked-changes", "hidden-text"] {
        assert!(text.notes.iter().any(|n| n.id() == id), "{id}");
    }
    let mark = text.content.find('\u{fffd}').unwrap();
    assert!(
        text.doubts
            .iter()
            .any(|d| d.span.start <= mark && mark < d.span.end)
    );
}

#[test]
fn the_clause_is_found_by_its_number() {
    let text = file("clauses.docx");
    let patterns = Patterns::embedded().unwrap();
    let letter = whomay::understand(&text, &patterns);
    let rule = letter
        .inspectors
        .iter()
        .find(|r| r.form == Form::Open)
        .unwrap();
    assert_eq!(
        letter.clauses[rule.clause].number.as_ref().unwrap().label,
        "2"
    );
    let named: Vec<Kind> = rule.named.iter().map(|n| n.kind).collect();
    assert_eq!(named, [Kind::BuilderRepairman, Kind::Mechanic]);
    assert_eq!(letter.issued.value.unwrap().to_string(), "2008-05-14");
}

fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, part) in parts {
        archive
            .start_file(*name, zip::write::SimpleFileOptions::default())
            .unwrap();
        archive.write_all(part.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

const TYPES: (&str, &str) = (
    "[Content_Types].xml",
    "<Types>application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml</Types>",
);

fn document(body: &str) -> Result<Text, String> {
    let document = format!("<w:document xmlns:w=\"w\"><w:body>{body}</w:body></w:document>");
    let bytes = packed(&[TYPES, ("word/document.xml", &document)]);
    read_bytes("a.docx", bytes, &Limits::default()).map_err(|e| e.message)
}

#[test]
fn text_boxes_cells_and_old_versions() {
    let text = document(
        "<w:p><w:r><w:t>Head</w:t><mc:AlternateContent><mc:Choice><w:txbxContent><w:p><w:r>\
         <w:t>In a box</w:t></w:r></w:p></w:txbxContent></mc:Choice><mc:Fallback><w:p><w:r>\
         <w:t>In a box</w:t></w:r></w:p></mc:Fallback></mc:AlternateContent></w:r></w:p>\
         <w:tbl><w:tr><w:tc><w:p><w:r><w:t>26</w:t></w:r></w:p></w:tc><w:tc><w:p><w:r>\
         <w:t>A mechanic</w:t><w:tab/><w:t>may &amp; can</w:t></w:r></w:p><w:p><w:r><w:t>inspect</w:t>\
         </w:r></w:p></w:tc></w:tr></w:tbl>\
         <w:p><w:pPr><w:pPrChange><w:pPr><w:numPr><w:numId w:val=\"7\"/></w:numPr></w:pPr>\
         </w:pPrChange></w:pPr><w:r><w:t>End</w:t></w:r></w:p>",
    )
    .unwrap();
    assert_eq!(
        text.content,
        "In a box\n\nHead\n\n26 A mechanic may & can\n\ninspect\n\nEnd"
    );
}

/// Small files that would unpack to gigabytes are stopped in their worker, and say so.
#[test]
fn bombs_end_in_a_moment() {
    let limits = Limits {
        worker: Some(env!("CARGO_BIN_EXE_whomay").into()),
        // a slow build on a busy machine; memory is what is at stake
        seconds: 60,
        ..Limits::default()
    };
    let whole = "<w:document><w:body><w:p><w:pPr><w:numPr><w:numId w:val=\"1\"/></w:numPr></w:pPr>\
                 <w:r><w:t>A mechanic may inspect.</w:t></w:r></w:p></w:body></w:document>";
    let links = |links: &str| format!("<Relationships>{links}</Relationships>");
    let read = |parts: &[(&str, &str)]| {
        let begun = std::time::Instant::now();
        let read = read_bytes("a.docx", packed(parts), &limits);
        assert!(begun.elapsed().as_secs() < 80, "{:?}", begun.elapsed());
        read
    };
    // one part named 2,000 times
    let foot = format!(
        "<w:ftr><w:p><w:r><w:t>{}</w:t></w:r></w:p></w:ftr>",
        "foot ".repeat(2_000_000)
    );
    let many: String = (0..2000)
        .map(|n| format!("<Relationship Id=\"r{n}\" Type=\"x/footer\" Target=\"footer1.xml\"/>"))
        .collect();
    let text = read(&[
        TYPES,
        ("word/document.xml", whole),
        ("word/_rels/document.xml.rels", &links(&many)),
        ("word/footer1.xml", &foot),
    ])
    .unwrap();
    assert_eq!(text.content, "A mechanic may inspect.");
    // a level with a long text, used in every paragraph
    let numbering = format!(
        "<w:numbering><w:abstractNum w:abstractNumId=\"0\"><w:lvl w:ilvl=\"0\"><w:start w:val=\"1\"/>\
         <w:lvlText w:val=\"%1 {}\"/></w:lvl></w:abstractNum><w:num w:numId=\"1\">\
         <w:abstractNumId w:val=\"0\"/></w:num></w:numbering>",
        "x".repeat(1_000_000)
    );
    let lists = "<Relationship Type=\"x/numbering\" Target=\"numbering.xml\"/>";
    let body = whole.replace("<w:body>", "").replace("</w:body>", "");
    let paragraph = &body["<w:document>".len()..body.len() - "</w:document>".len()];
    let document = format!("<w:document>{}</w:document>", paragraph.repeat(5000));
    let text = read(&[
        TYPES,
        ("word/document.xml", &document),
        ("word/_rels/document.xml.rels", &links(lists)),
        ("word/numbering.xml", &numbering),
    ])
    .unwrap();
    assert!(text.content.len() < 1_000_000, "{}", text.content.len());
    // parts that are large together
    let part = format!("<w:footnotes>{}</w:footnotes>", " ".repeat(23 << 20));
    let names: Vec<String> = (0..4).map(|n| format!("word/notes{n}.xml")).collect();
    let all: String = names
        .iter()
        .map(|n| format!("<Relationship Type=\"x/footnotes\" Target=\"/{n}\"/>"))
        .collect();
    let all = links(&all);
    let mut parts = vec![
        TYPES,
        ("word/document.xml", whole),
        ("word/_rels/document.xml.rels", &all),
    ];
    parts.extend(names.iter().map(|n| (n.as_str(), part.as_str())));
    let text = read(&parts).unwrap();
    assert!(
        text.notes.iter().any(|n| n.id() == "part-damaged"),
        "{:?}",
        text.notes
    );
    // more words than any letter
    let document = whole.replace("A mechanic", &"A mechanic ".repeat(1_000_000));
    let text = read(&[TYPES, ("word/document.xml", &document)]);
    if let Ok(text) = text {
        assert!(
            text.notes.iter().any(|n| n.loses_text()),
            "{:?}",
            text.notes
        );
    }
}

#[test]
fn damaged_and_hostile_files_are_said_to_be() {
    assert!(document("").unwrap_err().contains("without any text"));
    let cut = packed(&[
        TYPES,
        (
            "word/document.xml",
            "<w:document><w:body><w:p><w:r><w:t>may<",
        ),
    ]);
    let text = read_bytes("a.docx", cut, &Limits::default()).unwrap();
    assert!(text.notes.iter().any(|n| n.id() == "part-damaged"));
    let bomb = " ".repeat(30 << 20);
    let message = document(&bomb).unwrap_err();
    assert!(message.contains("larger than"), "{message}");
    let deep = "<w:tbl><w:tr><w:tc>".repeat(50_000);
    assert!(document(&format!("{deep}<w:p><w:r><w:t>x</w:t></w:r></w:p>")).is_ok());
    let plain = packed(&[("letter.txt", "a letter")]);
    let error = read_bytes("a.zip", plain, &Limits::default()).unwrap_err();
    assert!(error.message.contains("ZIP archive"), "{error}");
    let whole = std::fs::read("tests/suite/data/docx/clauses.docx").unwrap();
    for at in (0..whole.len()).step_by(997) {
        let mut bytes = whole.clone();
        bytes[at] ^= 0x55;
        bytes.truncate(whole.len() - at % 300);
        let _ = read_bytes("a.docx", bytes, &Limits::default());
    }
}

#[test]
fn words_with_a_line_through_them_are_marked() {
    let text = document(
        "<w:p><w:r><w:t>A mechanic </w:t></w:r><w:r><w:rPr><w:strike/></w:rPr><w:t>or a repairman</w:t></w:r><w:r><w:rPr><w:strike w:val=\"0\"/></w:rPr><w:t> may inspect.</w:t></w:r></w:p>",
    )
    .unwrap();
    assert_eq!(
        text.content.trim(),
        "A mechanic ~~or a repairman~~ may inspect."
    );
}
