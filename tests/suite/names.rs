//! Names of files that are no UTF-8: every command takes them, and no output breaks on one.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};

use serde_json::Value;
use tempfile::TempDir;

use super::cli::whomay;

const DAY: &str = "--on=2026-11-25";
const ENTRY: &str = "7/14/26 TT 1211.0. Condition inspection in accordance with the scope and detail of \
                     appendix D to part 43, found to be in a condition for safe operation. Ada Borrow \
                     AP0000042";

/// A folder with a name of its own in which two letters have names that differ in one byte only.
struct Place {
    folder: TempDir,
}

impl Place {
    fn new() -> Self {
        let place = Self {
            folder: tempfile::tempdir().unwrap(),
        };
        fs::create_dir(place.at(b"")).unwrap();
        fs::copy("samples/open-list-g.txt", place.at(b"caf\xe8.txt")).unwrap();
        fs::copy("samples/closed-list.txt", place.at(b"caf\xe9.txt")).unwrap();
        fs::write(place.at(b"entry\xff"), ENTRY).unwrap();
        fs::write(place.at(b"claim\xff"), "A mechanic may sign it.").unwrap();
        place
    }

    fn at(&self, name: &[u8]) -> PathBuf {
        let club = self.folder.path().join(OsStr::from_bytes(b"club\xfe"));
        if name.is_empty() {
            club
        } else {
            club.join(OsStr::from_bytes(name))
        }
    }
}

/// Arguments of any kind.
macro_rules! words {
    ($($word:expr),*) => {
        [$(OsString::from($word)),*]
    };
}

/// What a run writes, which has to be UTF-8 and the same with `-o` and a name that is none.
fn told(place: &Place, arguments: &[OsString]) -> String {
    let run = || {
        let mut command = whomay();
        command.args(arguments);
        command
    };
    let output = run().output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {output:?}");
    let said = String::from_utf8(output.stdout).unwrap();
    let file = place.at(b"out\xfd");
    let written = run().arg("-o").arg(&file).output().unwrap();
    assert!(written.status.success(), "{arguments:?}: {written:?}");
    let tells = String::from_utf8(written.stderr).unwrap();
    assert!(
        tells.contains("wrote ") && tells.contains("/club\\xFE/out\\xFD"),
        "{tells}"
    );
    assert!(fs::read_to_string(&file).unwrap() == said, "{arguments:?}");
    fs::remove_file(&file).unwrap();
    said
}

#[test]
fn a_letter_an_entry_and_a_claim_may_have_any_name() {
    let place = Place::new();
    let (open, closed) = (place.at(b"caf\xe8.txt"), place.at(b"caf\xe9.txt"));
    let (entry, claim) = (place.at(b"entry\xff"), place.at(b"claim\xff"));
    for (command, format) in [
        ("read", "--format=html"),
        ("who", "--format=terminal"),
        ("request", "--format=markdown"),
    ] {
        let said = told(&place, &words![command, &open, DAY, format]);
        assert!(!said.contains('\u{fffd}'), "{command} {format}: {said}");
    }
    let json: Value =
        serde_json::from_str(&told(&place, &words!["who", &open, DAY, "--format=json"])).unwrap();
    let name = json["source"][0]["name"].as_str().unwrap();
    assert!(name.ends_with("/club\\xFE/caf\\xE8.txt"), "{name}");
    told(&place, &words!["show", "clauses", &open]);
    told(&place, &words!["compare", &open]);
    told(&place, &words!["compare", &open, &closed]);
    told(&place, &words!["compare", &open, "--claim-file", &claim]);
    let current = told(&place, &words!["entry", &open, &entry, DAY]);
    assert!(current.contains("Current: nothing is missing"), "{current}");
    told(&place, &words!["due", "2026-03-14", "--letter", &open, DAY]);
}

#[test]
fn no_input_of_any_name_is_written_over() {
    let place = Place::new();
    let open = place.at(b"caf\xe8.txt");
    let refused = whomay()
        .args(words!["who", &open, "--force", "-o", &open])
        .output()
        .unwrap();
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8(refused.stderr).unwrap();
    assert!(
        said.contains("caf\\xE8.txt: is one of the files to be read"),
        "{said}"
    );
    let missing = whomay()
        .arg("who")
        .arg(place.at(b"no\xe8"))
        .output()
        .unwrap();
    assert_eq!(missing.status.code(), Some(2));
    let said = String::from_utf8(missing.stderr).unwrap();
    assert!(said.contains("no\\xE8: there is no such file"), "{said}");
}

/// The rows of a survey by the names of their files.
fn rows(place: &Place, more: &[OsString]) -> Vec<Value> {
    let mut all = words!["survey", DAY, "--format=json"].to_vec();
    all.extend_from_slice(more);
    told(place, &all)
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .filter(|row: &Value| row["type"] == "letter")
        .collect()
}

#[test]
fn letters_whose_names_differ_in_such_a_byte_are_two_rows() {
    let place = Place::new();
    for name in [b"entry\xff".as_slice(), b"claim\xff"] {
        fs::remove_file(place.at(name)).unwrap();
    }
    let list = place.folder.path().join(OsStr::from_bytes(b"list\xfc"));
    fs::write(
        &list,
        b"# both\r\n\r\nclub\xfe/caf\xe9.txt\r\n  club\xfe/caf\xe8.txt",
    )
    .unwrap();
    let cache = place.folder.path().join(OsStr::from_bytes(b"kept\xfb"));
    let club = place.at(b"");
    let named = |rows: &[Value]| -> Vec<(String, String)> {
        let text = |v: &Value| v.as_str().unwrap().to_owned();
        let file = |v: &Value| text(v).rsplit('/').next().unwrap().to_owned();
        rows.iter()
            .map(|r| (file(&r["file"]), text(&r["form"])))
            .collect()
    };
    let both = [("caf\\xE8.txt", "open"), ("caf\\xE9.txt", "closed")]
        .map(|(file, form)| (file.to_owned(), form.to_owned()));
    let found = rows(&place, &words![&club, "--cache", &cache]);
    assert_eq!(named(&found), both);
    let mut listed = named(&rows(&place, &words!["--list", &list, "--identify"]));
    listed.reverse();
    assert_eq!(listed, both);
    for format in ["--format=csv", "--format=html"] {
        told(&place, &words!["survey", &club, DAY, &format]);
    }
    let chart = place
        .folder
        .path()
        .join(OsStr::from_bytes(b"chart\xfa.svg"));
    whomay()
        .args(words!["survey", &club, DAY, "--chart", &chart])
        .assert()
        .success();
    assert!(fs::read_to_string(&chart).unwrap().starts_with("<svg"));
}

#[test]
fn folders_of_patterns_and_models_may_have_any_name() {
    let place = Place::new();
    let mine = place.folder.path().join(OsStr::from_bytes(b"mine\xf9"));
    let order = place.at(b"order\xe9.txt");
    fs::copy("tests/outside/data/letters/orders/table-form.txt", &order).unwrap();
    whomay()
        .args(words!["wordings", "add", &order, "--series", "9999.1T"])
        .args(words!["--issued", "2026-01-15", "-o", &mine])
        .assert()
        .success();
    let open = place.at(b"caf\xe8.txt");
    told(
        &place,
        &words![
            "compare",
            &open,
            "--wording",
            "9999.1T/18",
            "--patterns",
            &mine
        ],
    );
    // Two files of patterns are two, whatever their names are.
    let wordings = mine.join("wording/9999.1T");
    let one = fs::read(wordings.join("18.toml")).unwrap();
    for name in [b"x\xe8.toml", b"x\xe9.toml"] {
        fs::write(wordings.join(OsStr::from_bytes(name)), &one).unwrap();
    }
    let all = told(
        &place,
        &words!["wordings", "--format=json", "--patterns", &mine],
    );
    for id in [r"9999.1T/x\\xE8", r"9999.1T/x\\xE9"] {
        assert!(all.contains(id), "{id}");
    }
    let scan = Path::new("samples/scans/contradiction-fax.tif");
    let refused = whomay()
        .args(words!["who", &scan, "--ocr-models", &mine])
        .output()
        .unwrap();
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8(refused.stderr).unwrap();
    assert!(
        said.contains("mine\\xF9 holds no models to read them with"),
        "{said}"
    );
}

/// Papers of two aircraft go into a folder, a page each.
#[test]
fn one_page_a_letter_is_written_beside_such_names() {
    let place = Place::new();
    let into = place.folder.path().join(OsStr::from_bytes(b"pages\xf8"));
    fs::create_dir(&into).unwrap();
    let (open, closed) = (place.at(b"caf\xe8.txt"), place.at(b"caf\xe9.txt"));
    whomay()
        .args(words![
            "read",
            &open,
            &closed,
            DAY,
            "--each",
            "--format=html"
        ])
        .args(words!["-o", &into])
        .assert()
        .success();
    let mut made: Vec<OsString> = fs::read_dir(&into)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    made.sort();
    assert_eq!(made, ["caf\\xE8-report.html", "caf\\xE9-report.html"]);
}
