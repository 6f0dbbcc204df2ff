//! Several papers handed in as one letter: pages, phases, amendments, the certificate, and papers
//! that do not belong to it.

use std::path::PathBuf;

use serde_json::Value;

const HEAD: &str =
    "EXPERIMENTAL OPERATING LIMITATIONS\nAircraft: Marrow Kestrel M-2, registration N0WHO\n";
const FIRST: &str = "(1) No person may operate this aircraft for other than the purpose of meeting the requirements of § 91.319(b).\n(2) These operating limitations are a part of Form 8130-7.\n";
const SECOND: &str = "(3) Condition inspections must be recorded in the aircraft maintenance records.\n(4) An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.\n";

/// Writes the files and returns the report in JSON.
fn report(files: &[(&str, &str)], more: &[&str]) -> Value {
    let (folder, names) = written(files);
    let output = assert_cmd::Command::cargo_bin("whomay")
        .expect("it is built")
        .current_dir(folder.path())
        .args(["read", "--format", "json"])
        .args(if more.contains(&"--on") {
            &[][..]
        } else {
            &["--on", "2026-11-25"]
        })
        .args(more)
        .args(&names)
        .output()
        .expect("it runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).expect("it is JSON")
}

fn written(files: &[(&str, &str)]) -> (tempfile::TempDir, Vec<PathBuf>) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let names = files
        .iter()
        .map(|(name, words)| {
            std::fs::write(folder.path().join(name), words).expect("a file");
            PathBuf::from(name)
        })
        .collect();
    (folder, names)
}

fn answer<'v>(report: &'v Value, holder: &str) -> &'v str {
    report["answers"]
        .as_array()
        .expect("answers")
        .iter()
        .find(|a| a["holder"] == holder)
        .and_then(|a| a["answer"].as_str())
        .expect("one answer for each")
}

fn messages(report: &Value, list: &str) -> Vec<String> {
    report[list]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|n| n["message"].as_str().map(str::to_owned))
        .collect()
}

fn kinds(report: &Value) -> Vec<&str> {
    report["condition"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|d| d["kind"].as_str())
        .collect()
}

#[test]
fn pages_in_the_wrong_order_are_put_right_with_a_note() {
    let one = format!("{HEAD}{FIRST}Page 1 of 2\n");
    let two = format!("{SECOND}Page 2 of 2\n");
    let read = report(&[("b.txt", &two), ("a.txt", &one)], &[]);
    let ids: Vec<&str> = read["clauses"]
        .as_array()
        .expect("clauses")
        .iter()
        .filter_map(|c| c["number"].as_str())
        .collect();
    assert_eq!(ids, ["1", "2", "3", "4"]);
    assert!(
        messages(&read, "notes")
            .iter()
            .any(|m| m.contains("page numbers: a.txt, b.txt")),
        "{:?}",
        messages(&read, "notes")
    );
    assert!(kinds(&read).is_empty(), "{:?}", kinds(&read));
    // each statement names its file
    let clause = read["clauses"]
        .as_array()
        .expect("clauses")
        .last()
        .expect("one");
    assert_eq!(clause["source"], 0);
    assert_eq!(read["source"][0]["name"], "b.txt");
}

#[test]
fn every_format_names_the_file_of_a_statement() {
    let one = format!("{HEAD}{FIRST}");
    let files = [("first.txt", one.as_str()), ("second.txt", SECOND)];
    for format in ["terminal", "markdown"] {
        let (folder, names) = written(&files);
        let output = assert_cmd::Command::cargo_bin("whomay")
            .expect("it is built")
            .current_dir(folder.path())
            .args(["read", "--on", "2026-11-25", "--format", format])
            .args(&names)
            .output()
            .expect("it runs");
        let words = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(words.contains("second.txt, "), "{format}:\n{words}");
    }
}

#[test]
fn a_certificate_beside_the_letter_tells_basis_and_day() {
    let letter = format!("{HEAD}{FIRST}{SECOND}");
    let certificate = "UNITED STATES OF AMERICA\nDEPARTMENT OF TRANSPORTATION - FEDERAL AVIATION ADMINISTRATION\nSPECIAL AIRWORTHINESS CERTIFICATE\nA CATEGORY / DESIGNATION EXPERIMENTAL\nPURPOSE OPERATING AMATEUR-BUILT AIRCRAFT\nD N0WHO SERIAL NO. 0-INVENTED\nE DATE OF ISSUANCE 05/14/2008 EXPIRY UNLIMITED\n";
    for files in [
        [("letter.txt", letter.as_str()), ("card.txt", certificate)],
        [("card.txt", certificate), ("letter.txt", letter.as_str())],
    ] {
        let read = report(&files, &[]);
        assert_eq!(read["letter"]["is_letter"], true);
        assert_eq!(read["letter"]["basis"], "g");
        assert_eq!(read["letter"]["issued"], "2008-05-14");
        assert_eq!(answer(&read, "mechanic"), "yes");
        assert!(
            messages(&read, "notes").iter().any(
                |m| m.starts_with("The file card.txt is the special airworthiness certificate")
            ),
            "{:?}",
            messages(&read, "notes")
        );
    }
    let alone = report(&[("card.txt", certificate)], &[]);
    assert_eq!(alone["letter"]["paper"], "certificate");
    assert_eq!(answer(&alone, "mechanic"), "undetermined");
}

#[test]
fn the_day_of_the_letter_goes_before_that_of_the_certificate() {
    let letter = format!("{HEAD}Date of issue: June 2, 2009\n{FIRST}{SECOND}");
    let certificate = "SPECIAL AIRWORTHINESS CERTIFICATE\nCATEGORY / DESIGNATION EXPERIMENTAL\nPURPOSE OPERATING AMATEUR-BUILT AIRCRAFT\nDATE OF ISSUANCE 05/14/2008\n";
    let read = report(&[("card.txt", certificate), ("letter.txt", &letter)], &[]);
    assert_eq!(read["letter"]["issued"], "2009-06-02");
}

#[test]
fn a_persons_certificate_and_a_registration_are_told_by_name() {
    let letter = format!("{HEAD}{FIRST}{SECOND}");
    let person = "UNITED STATES OF AMERICA\nJ. MARROW\nhas been found to be properly qualified to exercise the privileges of\nREPAIRMAN\nLIGHT-SPORT AIRCRAFT INSPECTION\nThe holder may perform the annual condition inspection.\n";
    let registration = "CERTIFICATE OF AIRCRAFT REGISTRATION\nThis certificate is issued for registration purposes only.\nN0WHO\n";
    for (words, name) in [
        (person, "a person's certificate"),
        (registration, "a registration"),
    ] {
        let read = report(&[("letter.txt", &letter), ("other.txt", words)], &[]);
        assert_eq!(read["letter"]["is_letter"], true, "{name}");
        assert_eq!(answer(&read, "mechanic"), "yes");
        assert_eq!(answer(&read, "repair-station"), "disputed");
        assert!(
            kinds(&read).contains(&"other-document"),
            "{:?}",
            kinds(&read)
        );
        assert!(
            messages(&read, "condition")
                .iter()
                .any(|m| m.starts_with(&format!("the file other.txt is {name}"))),
            "{:?}",
            messages(&read, "condition")
        );
        let alone = report(&[("other.txt", words)], &[]);
        assert_eq!(alone["letter"]["is_letter"], false);
        assert_eq!(answer(&alone, "mechanic"), "undetermined");
    }
}

/// A letter in a hand of its own, without figures, that speaks of the certificate in running text.
#[test]
fn a_letter_that_speaks_of_the_certificate_is_no_certificate() {
    let letter = "INVENTED: no such office exists.\n\nFEDERAL AVIATION ADMINISTRATION\nManufacturing Inspection Office, Brantle Cove\n\nTo whoever flies the Pellow Wren\nMarch 3, 2009\n\nWe issued your special airworthiness certificate, experimental, to operate an\namateur-built aircraft under 14 CFR 21.191(g). What follows travels with it.\n\nONE. Carry nobody until the forty hours are flown off.\n\nTWO. No aerobatics, no towing, no hire.\n\nTHREE. Once in each twelve months somebody has to go through the aircraft the\nway appendix D of part 43 goes through one. We look to the man whose repairman\ncard carries this airplane for that; failing him, to an A&P.\n\nFOUR. A mechanic who has not seen the aircraft before shall not rely on THREE.\n";
    let read = report(&[("letter.txt", letter)], &[]);
    assert_eq!(read["letter"]["paper"], "operating-limitations");
    assert_eq!(answer(&read, "mechanic"), "undetermined");
    let form = "SPECIAL AIRWORTHINESS CERTIFICATE\nCategory: Experimental\nPurpose: Operating amateur-built aircraft\n";
    let read = report(&[("form.txt", form)], &[]);
    assert_eq!(read["letter"]["paper"], "certificate");
}

#[test]
fn a_page_of_the_letter_that_speaks_of_a_registration_stays() {
    let last = "(5) The certificate of registration is kept aboard.\n";
    let letter = format!("{HEAD}{FIRST}{SECOND}");
    let read = report(&[("1.txt", &letter), ("2.txt", last)], &["--basis", "g"]);
    assert!(
        !kinds(&read).contains(&"other-document"),
        "{:?}",
        kinds(&read)
    );
    assert_eq!(answer(&read, "mechanic"), "yes");
}

#[test]
fn phase_one_and_phase_two_are_two_papers_of_one_letter() {
    let one = format!("{HEAD}PHASE I\n{FIRST}");
    let two = format!(
        "{HEAD}PHASE II\n(1) No person may operate this aircraft unless these operating limitations are aboard.\n(2) An appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.\n"
    );
    let read = report(&[("one.txt", &one), ("two.txt", &two)], &[]);
    assert_eq!(answer(&read, "mechanic"), "yes");
    let ids: Vec<&str> = read["clauses"]
        .as_array()
        .expect("clauses")
        .iter()
        .filter_map(|c| c["id"].as_str())
        .filter(|id| !id.starts_with('p'))
        .collect();
    assert_eq!(ids, ["1", "2", "1/2", "2/2"]);
    assert!(
        !kinds(&read).contains(&"repeated-number"),
        "{:?}",
        kinds(&read)
    );
}

#[test]
fn an_amendment_takes_the_place_of_its_clauses() {
    let letter = format!("{HEAD}Date of issue: May 14, 2008\n{FIRST}{SECOND}");
    let amendment = "AMENDMENT TO OPERATING LIMITATIONS\nDate of issue: March 3, 2026\nLimitation 4 is hereby amended to read as follows.\n(4) Only an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.\n";
    let before = report(&[("letter.txt", &letter)], &["--basis", "g"]);
    assert_eq!(answer(&before, "builder-repairman"), "yes");
    let read = report(
        &[("letter.txt", &letter), ("amendment.txt", amendment)],
        &[],
    );
    assert_eq!(answer(&read, "mechanic"), "yes");
    assert_eq!(answer(&read, "builder-repairman"), "no");
    assert_eq!(read["letter"]["issued"], "2008-05-14");
    assert!(
        messages(&read, "notes")
            .iter()
            .any(|m| m.contains("for limitation 4 its words hold")),
        "{:?}",
        messages(&read, "notes")
    );
    assert!(!kinds(&read).contains(&"contradiction"));
    assert!(
        !kinds(&read).contains(&"repeated-number"),
        "{:?}",
        kinds(&read)
    );
}

#[test]
fn the_day_of_a_letter_is_told_from_the_figures_beside_it() {
    for (line, issued) in [
        ("Serial PK-0031      October 4, 2010", Some("2010-10-04")),
        ("Serial PK-0031, 4 October 2010", Some("2010-10-04")),
        (
            "Executed this twenty-first day of October, 2016.",
            Some("2016-10-21"),
        ),
        ("Signed the third day of May 1999", Some("1999-05-03")),
        ("Kit 0031 October 4", None),
        ("The first October 4, one day only", None),
        ("Thirtieth day of February, 2016", None),
    ] {
        let letter = format!("{HEAD}{line}\n\n{FIRST}{SECOND}");
        let read = report(&[("letter.txt", &letter)], &[]);
        assert_eq!(read["letter"]["issued"].as_str(), issued, "{line}");
    }
}

#[test]
fn a_paper_beside_the_letter_does_not_make_it_unclear() {
    let silent = format!("{HEAD}{FIRST}(3) Fly by day only.\n");
    let person = "UNITED STATES OF AMERICA\nJ. MARROW\nhas been found to be properly qualified to exercise the privileges of\nREPAIRMAN\n1. Condition inspection: repairman, as trained.\n";
    let read = report(&[("letter.txt", &silent), ("person.txt", person)], &[]);
    assert!(
        messages(&read, "condition")
            .iter()
            .any(|m| m.contains("no part of the letter")),
        "{:?}",
        read["condition"]
    );
    let alone = report(&[("letter.txt", &silent)], &[]);
    assert_eq!(
        answer(&read, "repair-station"),
        answer(&alone, "repair-station")
    );
}

const DATED: &str = "EXPERIMENTAL OPERATING LIMITATIONS, AMATEUR-BUILT\nAircraft: Marrow Kestrel M-2, registration N0WHO\nDate of issue: May 14, 2008\n";
const LIST: &str = "(1) No person may operate this aircraft for other than the purpose of meeting the requirements of § 91.319(b).\n(2) These operating limitations are a part of Form 8130-7.\n(3) No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection.\n(4) An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.\n";
const ONLY: &str = "Only an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.";

/// Each printed form of an amendment: the builder, whom the old clause names, is shut out.
#[test]
fn each_form_of_an_amendment_takes_the_place_of_its_clause() {
    let letter = format!("{DATED}{LIST}");
    for (form, words) in [
        (
            "numbered",
            format!(
                "AMENDMENT TO OPERATING LIMITATIONS\nN0WHO\nDate of issue: March 3, 2026\nLimitation 4 is hereby amended to read as follows.\n(4) {ONLY}\n"
            ),
        ),
        (
            "quoted",
            format!(
                "AMENDMENT TO OPERATING LIMITATIONS\nN0WHO, March 3, 2026\nLimitation (4) is amended to read:\n\"{ONLY}\"\n"
            ),
        ),
        (
            "replaced",
            format!(
                "AMENDMENT NO. 1\nAircraft N0WHO. March 3, 2026.\nItem 4 of the operating limitations is replaced by the following:\n{ONLY}\n"
            ),
        ),
        (
            "in place of",
            format!(
                "AMENDMENT NO. 1 to the operating limitations of N0WHO\nMarch 3, 2026\nIn place of limitation 4, the following applies:\n{ONLY}\n"
            ),
        ),
        (
            "deleted and added",
            format!(
                "AMENDMENT NO. 2 to the operating limitations of N0WHO\nMarch 3, 2026\nLimitation 4 is deleted. Limitation 5 is added:\n(5) {ONLY}\n"
            ),
        ),
    ] {
        let read = report(&[("letter.txt", &letter), ("amendment.txt", &words)], &[]);
        assert_eq!(answer(&read, "builder-repairman"), "no", "{form}: {read:#}");
        assert_eq!(answer(&read, "mechanic"), "yes", "{form}");
        let replaced = read["letter"]["replaced"].as_array().expect("a list");
        assert_eq!(replaced.len(), 1, "{form}: {replaced:?}");
        assert_eq!(replaced[0]["id"], "4", "{form}");
        // before the day of the amendment nobody is told that he may
        let before = report(
            &[("letter.txt", &letter), ("amendment.txt", &words)],
            &["--on", "2026-01-05"],
        );
        assert_eq!(answer(&before, "mechanic"), "undetermined", "{form}");
    }
}

#[test]
fn an_amendment_on_the_last_page_of_the_letter_counts() {
    let letter = format!(
        "{DATED}{LIST}\n\nAMENDMENT, March 3, 2026\nLimitation 4 is amended to read as follows:\n{ONLY}\n"
    );
    let read = report(&[("letter.txt", &letter)], &[]);
    assert_eq!(answer(&read, "builder-repairman"), "no", "{read:#}");
    assert_eq!(answer(&read, "mechanic"), "yes");
}

#[test]
fn a_replaced_clause_counts_nowhere_else() {
    let letter = format!("{DATED}{LIST}");
    let amendment = "AMENDMENT TO OPERATING LIMITATIONS\nN0WHO, March 3, 2026\nLimitation 3 is amended to read as follows.\n(3) No person may operate this aircraft unless within the preceding 6 calendar months it has had a condition inspection.\n";
    let (folder, names) = written(&[("letter.txt", &letter), ("amendment.txt", amendment)]);
    let output = assert_cmd::Command::cargo_bin("whomay")
        .expect("it is built")
        .current_dir(folder.path())
        .args(["due", "2026-03-14", "--format", "json"])
        .args(names.iter().flat_map(|n| ["--letter".into(), n.clone()]))
        .output()
        .expect("it runs");
    let due: Value = serde_json::from_slice(&output.stdout).expect("it is JSON");
    assert!(due.to_string().contains("2026-09-30"), "{due}");
}

#[test]
fn a_later_letter_of_the_same_aircraft_replaces_the_earlier_one() {
    let old = format!("{DATED}{LIST}");
    let new = format!(
        "{}{}",
        DATED.replace("May 14, 2008", "April 2, 2024"),
        LIST.replace("(4) An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.", &format!("(4) {ONLY}"))
    );
    for files in [
        [("old.txt", old.as_str()), ("new.txt", new.as_str())],
        [("new.txt", new.as_str()), ("old.txt", old.as_str())],
    ] {
        let read = report(&files, &[]);
        assert_eq!(answer(&read, "builder-repairman"), "no", "{read:#}");
        assert_eq!(answer(&read, "mechanic"), "yes");
        assert_eq!(read["letter"]["issued"], "2024-04-02");
        assert!(
            !kinds(&read).contains(&"contradiction"),
            "{:?}",
            kinds(&read)
        );
        let before = report(&files, &["--on", "2020-01-05"]);
        assert_eq!(answer(&before, "mechanic"), "undetermined");
    }
}

#[test]
fn sets_in_one_file_replace_each_other_only_where_they_are_of_one_phase() {
    let old = format!("{DATED}{LIST}");
    let new = format!(
        "\nThis set replaces the set dated May 14, 2008:\n{}{}",
        DATED
            .replace(
                "EXPERIMENTAL OPERATING LIMITATIONS",
                "Op. limits, exp. certificate"
            )
            .replace("May 14, 2008", "April 2, 2024"),
        LIST.replace(
            " under § 65.104 or an appropriately rated FAA-certificated mechanic",
            ""
        )
    );
    let read = report(&[("both.txt", &format!("{old}{new}"))], &[]);
    assert_eq!(answer(&read, "mechanic"), "disputed", "{read:#}");
    let replaced = read["letter"]["replaced"].as_array().expect("a list");
    assert!(replaced.iter().any(|r| r["by"] == "later-letter"));

    let phases = format!(
        "PHASE I LIMITATIONS, AMATEUR-BUILT N0WHO, 5/1/2012\n1. Fly 40 hours in the area.\n2. Fly by day only under VFR.\n\nPHASE II LIMITATIONS, AMATEUR-BUILT N0WHO, 9/15/2012\n1. No person may operate this aircraft for other than recreation and education after phase I.\n2. {ONLY}\n"
    );
    let read = report(&[("phases.txt", &phases)], &[]);
    assert_eq!(read["letter"]["replaced"].as_array().map(Vec::len), Some(0));
}

#[test]
fn letters_of_two_aircraft_stop_and_are_answered_apart() {
    let one = format!("{DATED}{LIST}");
    let two = format!(
        "{}{}",
        DATED.replace("N0WHO", "N0TWO").replace("Marrow", "Quern"),
        LIST.replace("(4) An", "(4) Only an")
            .replace(" or an appropriately rated FAA-certificated mechanic", "")
    );
    for files in [
        [("one.txt", one.as_str()), ("two.txt", two.as_str())],
        [("two.txt", two.as_str()), ("one.txt", one.as_str())],
    ] {
        let (folder, names) = written(&files);
        let run = |more: &[&str]| {
            assert_cmd::Command::cargo_bin("whomay")
                .expect("it is built")
                .current_dir(folder.path())
                .args(["who", "--on", "2026-11-25", "--format", "json"])
                .args(more)
                .args(&names)
                .output()
                .expect("it runs")
        };
        let stopped = run(&[]);
        assert_eq!(stopped.status.code(), Some(2));
        let said = String::from_utf8_lossy(&stopped.stderr).into_owned();
        for word in [
            "registration mark",
            "N0WHO",
            "N0TWO",
            "--each",
            "--same-aircraft",
        ] {
            assert!(said.contains(word), "{word}: {said}");
        }
        let each: Value = serde_json::from_slice(&run(&["--each"]).stdout).expect("it is JSON");
        let each = each.as_array().expect("a list");
        assert_eq!(each.len(), 2);
        for read in each {
            let other = read["source"][0]["name"] == "two.txt";
            let wanted = if other { "no" } else { "yes" };
            assert_eq!(answer(read, "mechanic"), wanted, "{other}");
        }
        let same = run(&["--same-aircraft"]);
        assert!(same.status.success());
    }
}

#[test]
fn a_term_that_has_run_out_stands_on_the_first_screen() {
    let letter = format!("{DATED}These limitations expire on March 8, 2025.\n{LIST}");
    let (folder, names) = written(&[("letter.txt", &letter)]);
    let screen = |day: &str| {
        let output = assert_cmd::Command::cargo_bin("whomay")
            .expect("it is built")
            .current_dir(folder.path())
            .args(["who", "--on", day])
            .args(&names)
            .output()
            .expect("it runs");
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    assert!(screen("2026-11-25").contains("own term ran out on 2025-03-08"));
    assert!(!screen("2025-01-25").contains("own term ran out"));
    assert!(screen("2007-11-25").contains("younger than the day asked about"));
}

#[test]
fn words_with_a_line_through_them_count_nowhere() {
    let letter = format!("{DATED}{}", LIST.replace("An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an", "~~An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or~~ An"));
    let read = report(&[("letter.txt", &letter)], &[]);
    assert_eq!(answer(&read, "builder-repairman"), "disputed", "{read:#}");
    assert_eq!(read["letter"]["replaced"][0]["by"], "struck");
}

#[test]
fn a_page_that_was_not_read_is_no_silence() {
    use whomay::model::{
        FileNote, GaveUp, PageNote, Question, ReadNote, Torn, UnreadKind, Verdict,
    };
    let patterns = whomay::patterns::Patterns::embedded().unwrap();
    let silent = format!(
        "{DATED}(1) No person may operate this aircraft for other than the purpose of meeting the requirements of § 91.319(b).\n(2) These operating limitations are a part of Form 8130-7.\n(3) Fly by day only.\n"
    );
    let yes = |notes: Vec<ReadNote>, words: &str| {
        let mut text = whomay::read::read_bytes(
            "letter.txt",
            words.as_bytes().to_vec(),
            &whomay::read::Limits::default(),
        )
        .unwrap();
        text.notes.extend(notes);
        let case = whomay::Case::of(text, &patterns);
        let question = Question::on(jiff::civil::date(2026, 11, 25));
        whomay::answer(&case.letter, &question, &patterns)
            .iter()
            .any(|a| a.answer == Verdict::Yes)
    };
    assert!(yes(Vec::new(), &silent));
    let mut kinds = Vec::new();
    let page = |note| ReadNote::page_note(2, note);
    for note in [
        page(PageNote::Scan),
        page(PageNote::Drawn),
        page(PageNote::Garbled),
        page(PageNote::Broken),
        page(PageNote::TooLong),
        page(PageNote::TooMuch),
        page(PageNote::BreaksOff(Torn::Picture)),
        page(PageNote::Longer),
        page(PageNote::GivenUp(GaveUp::Damaged)),
        page(PageNote::WithoutWords),
        page(PageNote::Empty),
        page(PageNote::CharactersLimit { read: 9, most: 10 }),
        ReadNote::file_note(FileNote::PagesLimit {
            total: 3,
            read: 2,
            plain: true,
        }),
        ReadNote::file_note(FileNote::PagesUnread {
            pages: vec![2],
            too_long: false,
        }),
        ReadNote::file_note(FileNote::CharactersLimit),
        ReadNote::file_note(FileNote::BreaksOff),
        ReadNote::file_note(FileNote::BytesLost),
        ReadNote::file_note(FileNote::PartDamaged),
    ] {
        kinds.extend(note.unread());
        let id = note.id();
        assert!(!yes(vec![note], &silent), "{id}");
    }
    kinds.sort_unstable();
    kinds.dedup();
    assert_eq!(kinds, UnreadKind::ALL.to_vec());
    // a page of a text file on which nothing stands, a page that is not there, a clause too
    let page = silent.replace("(3) Fly", "\u{c}\n\u{c}(3) Fly");
    assert!(!yes(Vec::new(), &page));
    let numbered = silent.replace("(3) Fly", "Page 1 of 3\n\u{c}(3) Fly") + "Page 3 of 3\n";
    assert!(!yes(Vec::new(), &numbered));
    let gap = silent.replace(
        "(2) These operating limitations are a part of Form 8130-7.\n",
        "",
    );
    assert!(!yes(Vec::new(), &gap));
}

#[test]
fn files_about_letters_get_no_certain_answer() {
    let patterns = whomay::patterns::Patterns::embedded().unwrap();
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<PathBuf> = std::fs::read_dir(root.join("tests/quiet"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    files.extend(
        [
            "README.md",
            "DEVELOPERS.md",
            "samples/README.md",
            "samples/answers.jsonl",
            "samples/not-a-letter.txt",
            "tests/outside/README.md",
        ]
        .map(|f| root.join(f)),
    );
    for file in files {
        let name = file.display().to_string();
        let text = whomay::read(
            std::slice::from_ref(&name),
            &whomay::read::Limits::default(),
        )
        .unwrap();
        let case = whomay::Case::of(text, &patterns);
        let question = whomay::model::Question::on(jiff::civil::date(2026, 11, 25));
        for answer in whomay::answer(&case.letter, &question, &patterns) {
            assert_eq!(
                answer.answer,
                whomay::model::Verdict::Undetermined,
                "{name}: {}",
                case.letter.paper.name()
            );
        }
    }
}
