//! What is said of the reading, of the papers and of the facts: the stable name, the page and the
//! sentence of every kind of note.

use jiff::civil::{Date, date};
use whomay::model::{
    Basis, CategoryClass, Counted, FactNote, FactStatement, FileNote, GaveUp, LostBlanks, Misfit,
    MisfitKind, Note, OneReading, OrderBy, PageNote, PageOf, PaperNote, ReadNote, Stands, TooMuch,
    Torn,
};
use whomay::patterns::Patterns;
use whomay::report::findings;

const OCR: &str = "run it through an OCR program that writes a PDF with text or a text file, or type the clauses into a text file";

fn check(note: &Note, id: &str, page: Option<u32>, said: &str, patterns: &Patterns) {
    assert_eq!(note.id(), id, "{note:?}");
    assert_eq!(note.page(), page, "{note:?}");
    assert_eq!(findings::note(patterns, note), said);
}

/// Serialized and read again, as the worker and the cache do, a note is the same.
fn handed_on(note: &ReadNote) -> ReadNote {
    let kept = serde_json::to_string(note).expect("a note is plain data");
    serde_json::from_str(&kept).expect("it was written a line above")
}

#[test]
fn what_is_said_of_a_page() {
    let patterns = Patterns::embedded().unwrap();
    let counted = |word: &str, first, second| Counted {
        word: word.to_owned(),
        first,
        second,
    };
    let lost = |line, read: &str| LostBlanks {
        line,
        read: read.to_owned(),
    };
    let by_person = |read: &str, person: &str| PageNote::ByPerson {
        line: 5,
        read: read.to_owned(),
        person: person.to_owned(),
    };
    let given_up = |why: &str| {
        format!(
            "Page 3 could not be read by OCR: {why}. Scan it again at 200 to 300 dots per inch."
        )
    };
    let torn = |what: &str| {
        format!(
            "Page 3 breaks off: {what} is damaged or cut short in the file, and words are missing. Copy or download the file again, or scan the page again."
        )
    };
    for (note, id, said) in [
        (PageNote::Scan, "page-is-scan", format!("Page 3 is a scan, a picture of paper without words in it, and was not read; {OCR}.")),
        (PageNote::Drawn, "page-is-drawn", format!("The words of page 3 are drawn as shapes and were not read; print the page to paper or to a picture, and {OCR}.")),
        (PageNote::Garbled, "page-garbled", format!("What page 3 shows cannot be told from the file: its characters make no English words. Print it to a picture, and {OCR}.")),
        (PageNote::Empty, "page-empty", "Page 3 holds no text.".into()),
        (PageNote::HiddenLayer, "page-hidden-layer", "Page 3 is a scan; its words come from the invisible layer that an OCR program laid over it. Hold what matters against the picture.".into()),
        (PageNote::ByOcr, "page-by-ocr", "Page 3 is a picture; its words were read by OCR. Hold the words that matter against the paper.".into()),
        (PageNote::WithoutWords, "page-without-words", "Page 3 is a picture in which OCR found no words. If the paper has words, scan it again at 200 to 300 dots per inch.".into()),
        (PageNote::Broken, "page-broken", "Page 3 is damaged; it may hold more than was read.".into()),
        (PageNote::TooLong, "page-cut", "Reading page 3 took too long and was stopped; it may hold more than was read.".into()),
        (PageNote::TooMuch, "page-cut", "Page 3 holds more characters than any printed page; reading it was stopped.".into()),
        (PageNote::BreaksOff(Torn::Content), "page-breaks-off", torn("what it shows")),
        (PageNote::BreaksOff(Torn::Picture), "page-breaks-off", torn("its picture")),
        (PageNote::GivenUp(GaveUp::TooLong { seconds: 60 }), "page-unread", given_up("reading it took more than 60 seconds")),
        (PageNote::GivenUp(GaveUp::TooLarge), "page-unread", given_up("it has more than 100 million pixels")),
        (PageNote::GivenUp(GaveUp::Cut), "page-unread", given_up("its picture breaks off")),
        (PageNote::GivenUp(GaveUp::Unknown), "page-unread", given_up("its picture is of a kind that is not known")),
        (PageNote::GivenUp(GaveUp::Damaged), "page-unread", given_up("its picture is damaged")),
        (PageNote::Longer, "page-longer", "A second, independent reading finds more words on page 3 than the first; something may be missing. Hold the words that matter against the paper.".into()),
        (PageNote::SecondUsed, "second-reading-used", "The first reading found no usable text on page 3; the words of page 3 come from the second reading, which knows less about where they stand. Hold them against the paper.".into()),
        (PageNote::Differ(vec![counted("only", 0, 1), counted("not", 3, 2)]), "readings-differ", "Two independent readings of page 3 differ in words that decide: \"only\" (0 against 1), \"not\" (3 against 2). Hold them against the paper.".into()),
        (PageNote::HiddenText(42), "hidden-text", "Page 3 holds 42 characters that are not visible on paper; they were left out.".into()),
        (PageNote::TextOutside(21), "text-outside", "Page 3 holds 21 characters outside of its edges; they were left out.".into()),
        (PageNote::UnknownCharacters(2), "unknown-characters", "The file does not tell which 2 characters of page 3 are; words with one of them are doubtful.".into()),
        (PageNote::CharactersLimit { read: 17, most: 30 }, "characters-limit", "The text was cut after 17 characters, on page 3: the limit is 30. What follows was not read.".into()),
        (PageNote::Slip { line: 5, read: "pan".into(), taken: "part".into() }, "ocr-slip", "Page 3, line 5: OCR read «pan»; taken for «part».".into()),
        (PageNote::Blanks(vec![lost(5, "ofthe"), lost(7, "")]), "ocr-blanks", "Page 3: OCR lost blanks between words; they were put in: line 5 «ofthe», line 7.".into()),
        (by_person("mechanlc", "mechanic"), "read-by-person", "Page 3, line 5: OCR read «mechanlc»; a person looked and read «mechanic».".into()),
        (by_person("mechanic", "mechanic"), "read-by-person", "Page 3, line 5: OCR was not sure of «mechanic»; a person looked and read the same.".into()),
    ] {
        let mut note = ReadNote::page_note(3, note);
        assert_eq!(handed_on(&note), note);
        check(&Note::Read(note.clone()), id, Some(3), &said, &patterns);
        note.file = Some("scan.pdf".to_owned());
        let of_file = format!("scan.pdf: {said}");
        check(&Note::Read(note), id, Some(3), &of_file, &patterns);
    }
}

#[test]
fn what_is_said_of_a_file() {
    let patterns = Patterns::embedded().unwrap();
    let limit = |plain| FileNote::PagesLimit {
        total: 9,
        read: 2,
        plain,
    };
    let unread = |pages: &[u32], too_long| FileNote::PagesUnread {
        pages: pages.to_vec(),
        too_long,
    };
    let page_of = |file: &str, page| PageOf {
        file: file.to_owned(),
        page,
    };
    let in_order = |by| FileNote::PutInOrder {
        by,
        pages: vec![page_of("b.png", None), page_of("a.pdf", Some(2))],
    };
    for (note, id, page, said) in [
        (
            FileNote::Windows1252,
            "windows-1252",
            None,
            "The text is no UTF-8; it was read as Windows-1252. Where signs such as § look wrong, save it as UTF-8.",
        ),
        (
            FileNote::BytesLost,
            "bytes-lost",
            None,
            "Some bytes of the text are no characters; words with one of them are doubtful.",
        ),
        (
            limit(true),
            "pages-limit",
            None,
            "The text has 9 pages, the first 2 were read: that is the limit.",
        ),
        (
            limit(false),
            "pages-limit",
            None,
            "The file has 9 pages, the first 2 were read: that is the limit.",
        ),
        (
            FileNote::BreaksOff,
            "file-breaks-off",
            None,
            "The PDF breaks off or is damaged: its end or some of its pages are missing. Copy or download it again.",
        ),
        (
            unread(&[4], true),
            "page-unread",
            Some(4),
            "Page 4 could not be read: reading took too long and was stopped. Open the file in a PDF program and print it to a new PDF.",
        ),
        (
            unread(&[1, 2, 7], false),
            "page-unread",
            Some(1),
            "Pages 1, 2 and 7 could not be read: the reader broke down on the file. Open the file in a PDF program and print it to a new PDF.",
        ),
        (
            FileNote::OneReading(OneReading::Of(vec![2, 3])),
            "one-reading",
            None,
            "The second, independent reading could not follow pages 2 and 3; the words there rest on one reading.",
        ),
        (
            FileNote::OneReading(OneReading::NotTried),
            "one-reading",
            None,
            "The PDF was read once and in this process: no second, independent reading was made.",
        ),
        (
            FileNote::OneReading(OneReading::Failed),
            "one-reading",
            None,
            "The second, independent reading failed on this file; the words rest on one reading.",
        ),
        (
            FileNote::NotesAtEnd,
            "notes-at-end",
            None,
            "Footnotes of the file stand at the end of the text, without their marks.",
        ),
        (
            FileNote::TrackedChanges {
                deleted: 3,
                inserted: 1,
            },
            "tracked-changes",
            None,
            "The file holds tracked changes: 3 deleted and 1 inserted pieces. What is marked as deleted was left out, what is marked as inserted was read. Ask which text was signed.",
        ),
        (
            FileNote::HiddenText(2),
            "hidden-text",
            None,
            "The file holds hidden text (2 pieces), which nobody sees on paper; it was left out.",
        ),
        (
            FileNote::Comments(2),
            "comments",
            None,
            "The file holds 2 comments in the margin; they were not read.",
        ),
        (
            FileNote::AutomaticNumbers(22),
            "automatic-numbers",
            None,
            "22 numbers are no text in the file; they were worked out from its lists as the word processor does it. Check them against the paper.",
        ),
        (
            FileNote::PagesByBreaks,
            "pages-by-breaks",
            None,
            "The file does not say where its pages end; only breaks set by hand were counted.",
        ),
        (
            FileNote::PartDamaged,
            "part-damaged",
            None,
            "The text of the file breaks off or is damaged; what stands before was read. Get the file again.",
        ),
        (
            FileNote::CharactersLimit,
            "characters-limit",
            None,
            "The file holds more characters than any letter; what follows the limit was not read.",
        ),
        (
            in_order(OrderBy::PageNumbers),
            "pages-put-in-order",
            None,
            "The pages were handed in out of order and were put in the order of their page numbers: b.png, a.pdf page 2.",
        ),
        (
            in_order(OrderBy::ClauseNumbers),
            "pages-put-in-order",
            None,
            "The pages were handed in out of order and were put in the order of their clause numbers: b.png, a.pdf page 2.",
        ),
    ] {
        let note = ReadNote::file_note(note);
        assert_eq!(handed_on(&note), note);
        check(&Note::Read(note), id, page, said, &patterns);
    }
}

#[test]
fn what_is_said_of_the_papers() {
    let patterns = Patterns::embedded().unwrap();
    let ids = |all: &[&str]| all.iter().map(|id| (*id).to_owned()).collect::<Vec<_>>();
    let amendment = |at, limitations: &[&str]| PaperNote::Amendment {
        at,
        limitations: ids(limitations),
    };
    let file = || Stands::File("amendment.txt".to_owned());
    let too_much = |what: &str| {
        format!(
            "This is too much to read: the text has {what}, as no letter does. Hand over only the pages of the letter."
        )
    };
    for (note, id, said) in [
        (Note::TooMuch(TooMuch::Words(300_001)), "too-much", too_much("300001 words")),
        (Note::TooMuch(TooMuch::Clauses(4001)), "too-much", too_much("4001 clauses")),
        (Note::TooMuch(TooMuch::Sentence(5001)), "too-much", too_much("a sentence of 5001 words")),
        (Note::Paper(PaperNote::CertificateBeside(Stands::Page(2))), "certificate-beside", "Page 2 is the special airworthiness certificate (FAA Form 8130-7): category, purpose and dates were read from it, too.".into()),
        (Note::Paper(amendment(Stands::Page(2), &[])), "amendment", "Page 2 amends the letter; no clause of the letter has one of its numbers, so both stand beside one another.".into()),
        (Note::Paper(amendment(file(), &["4", "7"])), "amendment", "The file amendment.txt amends the letter: for limitations 4, 7 its words hold, not those of the letter before it. Before the day of the amendment the old words held.".into()),
        (Note::Paper(PaperNote::AmendsItself(ids(&["4"]))), "amendment", "The paper amends itself: for limitation 4 the later words hold. Before the day of the amendment the old words held.".into()),
        (Note::Paper(PaperNote::Deletion(ids(&["4"]))), "deletion", "An amendment deletes limitation 4; nothing of it counts.".into()),
        (Note::Paper(PaperNote::StruckThrough), "struck-through", "Words with a line through them count nowhere.".into()),
        (Note::Paper(PaperNote::LaterLetter(date(2020, 3, 4))), "later-letter", "Two letters of the same aircraft were handed in: the later one, of 2020-03-04, is taken to be in force, and nothing of the earlier one counts.".into()),
    ] {
        check(&note, id, None, &said, &patterns);
    }
    let misfit = |kind| Misfit {
        issued: date(2018, 6, 1),
        wording: "8130.2F".to_owned(),
        kind,
    };
    let day: Date = date(2011, 4, 16);
    assert_eq!(
        findings::misfit(&misfit(MisfitKind::CameLater(day))),
        "The letter says that it was issued on 2018-06-01, but its words are those of 8130.2F, which came later (about 2011-04-16): check the date."
    );
    assert_eq!(
        findings::misfit(&misfit(MisfitKind::ReplacedBefore(day))),
        "The letter says that it was issued on 2018-06-01, but its words are those of 8130.2F, which was replaced about 2011-04-16: an office may have used an old template."
    );
    assert_eq!(Misfit::ID, "date-and-wording");
}

#[test]
fn what_is_said_of_the_facts() {
    let patterns = Patterns::embedded().unwrap();
    let basis = |letter| Basis { letter, item: None };
    let craft = |category: &str| CategoryClass {
        category: category.to_owned(),
        class: None,
    };
    let (day, on) = (date(2020, 3, 4), date(2019, 1, 2));
    for (note, id, said) in [
        (
            FactNote::ClauseAlone,
            "clause-alone",
            "Judged on this clause alone: no letter around it was handed in. Another clause, an amendment or the certificate can say otherwise; hand in all pages of the operating limitations.",
        ),
        (
            FactNote::BasisContradicts {
                question: basis('d'),
                letter: basis('g'),
            },
            "basis-contradicts",
            "The question says § 21.191(d), the letter § 21.191(g). The answers follow the question; check the certificate.",
        ),
        (
            FactNote::NoBasis,
            "basis-contradicts",
            "The question names a paragraph of § 21.191, but the paper is that of a light-sport category aircraft, which has no experimental certificate. The answers follow the paper.",
        ),
        (
            FactNote::IssuedContradicts {
                question: on,
                letter: day,
            },
            "issued-contradicts",
            "The question says that the letter was issued on 2019-01-02, the letter says 2020-03-04. The answers follow the question; check the letter.",
        ),
        (
            FactNote::AircraftContradicts {
                question: craft("glider"),
                letter: craft("airplane"),
            },
            "aircraft-contradicts",
            "The question says that the aircraft is glider, the letter airplane. The answers follow the question; check the certificate.",
        ),
        (
            FactNote::BasisTwice,
            "basis-twice",
            "The letter gives two purposes of § 21.191; none is relied on. Say which one holds.",
        ),
        (
            FactNote::IssuedTwice,
            "issued-twice",
            "The letter gives two issue dates; none is relied on. Say which one holds.",
        ),
        (
            FactNote::LetterYounger { issued: day, on },
            "letter-younger-than-day",
            "The letter was issued on 2020-03-04, after the day asked about (2019-01-02). The letter in force on that day counts, and it is not this one.",
        ),
        (
            FactNote::AmendmentYounger { amended: day, on },
            "amendment-younger-than-day",
            "The amendment is of 2020-03-04, after the day asked about (2019-01-02). On that day the words before it held.",
        ),
    ] {
        check(&Note::Fact(note), id, None, said, &patterns);
    }
    let run_out = FactNote::TermRunOut { day, on };
    let said = patterns.statement.say(
        "note-term-run-out",
        &[("day", "2020-03-04"), ("on", "2019-01-02")],
    );
    check(
        &Note::Fact(run_out),
        "own-term-run-out",
        None,
        &said,
        &patterns,
    );
    for (of, id) in FactStatement::ALL.into_iter().zip([
        "certificate-expires",
        "basis-younger-than-day",
        "letter-before-1979",
    ]) {
        assert!(patterns.statement.get(of.name()).is_some(), "{of:?}");
        for (known, words) in [(Some(basis('d')), "(d)"), (None, "")] {
            let note = FactNote::Statement {
                of,
                basis: known,
                on,
            };
            let said = patterns
                .statement
                .say(of.name(), &[("basis", words), ("on", "2019-01-02")]);
            check(&Note::Fact(note), id, None, &said, &patterns);
        }
    }
}

#[test]
fn what_is_said_of_a_rule() {
    use whomay::model::{Kind, Question, RuleNote};
    let patterns = Patterns::embedded().unwrap();
    let on = date(2026, 11, 25);
    let letter = whomay::model::Letter::default();
    let answers = whomay::answer(&letter, &Question::on(on), &patterns);
    let mut key = answers[0].rule.clone();
    let said = |key: &whomay::model::RuleKey| findings::rule_notes(&patterns, key);
    let mut remarks = 0;
    for law in &patterns.law {
        let checked = &law.file.source[0].checked;
        for (remark, note) in law.file.note.iter().enumerate() {
            let law = law.id.clone();
            key.notes = vec![RuleNote::Remark { law, remark }];
            let sentence = format!("{} (grade {}, checked {checked})", note.text, note.grade);
            assert_eq!(said(&key), [sentence]);
            remarks += 1;
        }
    }
    assert!(remarks > 10, "{remarks}");
    key.notes.push(key.notes[0].clone());
    assert_eq!(said(&key).len(), 1, "a remark is made once");
    let kind = Kind::Owner;
    key.notes = vec![RuleNote::CertificateNotSaid, RuleNote::NoRule { kind, on }];
    let no_rule = [("kind", kind.title()), ("on", "2026-11-25")];
    assert_eq!(
        said(&key),
        [
            "Which certificate this person holds is not said, so no rule can be looked up.",
            &patterns.statement.say("no-rule", &no_rule),
        ]
    );
}
