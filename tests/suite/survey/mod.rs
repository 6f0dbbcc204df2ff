//! Surveys: counts against the truth of a generated club, order, resumption, redaction, archives.

mod chart;
mod club;

use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use whomay::model::{ReadAs, Source, Text};
use whomay::survey::Cache;

use club::{Truth, club};

const DAY: &str = "--on=2026-11-25";

fn survey(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_whomay"))
        .args(["survey", DAY])
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap()
}

fn lines(output: &Output) -> Vec<Value> {
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout.clone())
        .unwrap()
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect()
}

fn write(folder: &Path, letters: &[Truth]) {
    for letter in letters {
        let path = folder.join("club").join(&letter.file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, &letter.bytes).unwrap();
    }
}

fn made(letters: usize, seed: u64) -> (tempfile::TempDir, Vec<Truth>) {
    let folder = tempfile::tempdir().unwrap();
    let truth = club(letters, seed);
    write(folder.path(), &truth);
    (folder, truth)
}

#[test]
fn counts_of_a_club_of_a_thousand_equal_the_truth() {
    let (folder, truth) = made(1000, 42);
    let lines = lines(&survey(folder.path(), &["club", "--format", "json"]));
    assert_eq!(lines.len(), 1001);
    let schema: Value = serde_json::from_str(whomay::survey::jsonl::SCHEMA).unwrap();
    let mut compiler = boon::Compiler::new();
    let mut schemas = boon::Schemas::new();
    compiler.add_resource("survey.json", schema).unwrap();
    let schema = compiler.compile("survey.json", &mut schemas).unwrap();
    let mut wrong = Vec::new();
    let mut forms: BTreeMap<&str, u64> = BTreeMap::new();
    let mut defects: BTreeMap<&str, u64> = BTreeMap::new();
    let mut follows = 0;
    for (line, truth) in lines.iter().zip(&truth) {
        if let Err(error) = schemas.validate(line, schema) {
            panic!("{error:#}");
        }
        *forms.entry(truth.form).or_default() += 1;
        if let Some(defect) = truth.defect {
            *defects.entry(defect).or_default() += 1;
        }
        follows += u64::from(truth.follows);
        let mut check = |what: &str, said: Value, wanted: Value| {
            if said != wanted {
                wrong.push(format!("{} {what}: {said} instead of {wanted}", truth.file));
            }
        };
        check(
            "file",
            line["file"].clone(),
            format!("club/{}", truth.file).into(),
        );
        check("form", line["form"].clone(), truth.form.into());
        check("basis", line["basis"].clone(), truth.basis.into());
        check("year", line["year"].clone(), truth.year.into());
        check("named", line["named"].clone(), truth.named.clone().into());
        check(
            "error",
            line["error"].is_string().into(),
            (truth.form == "unreadable").into(),
        );
        check(
            "follows",
            line["who"]["reference"].is_string().into(),
            truth.follows.into(),
        );
        for (kind, answer) in &truth.answers {
            let said = line["answers"]
                .as_array()
                .unwrap()
                .iter()
                .find(|a| a["kind"] == *kind);
            check(kind, said.unwrap()["answer"].clone(), (*answer).into());
        }
        let found = line["defects"].as_array().unwrap();
        for planted in ["missing-number", "repeated-number", "missing-page"] {
            let wanted = truth.defect == Some(planted);
            check(
                planted,
                found.iter().any(|d| d == planted).into(),
                wanted.into(),
            );
        }
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    let summary = lines.last().unwrap();
    if let Err(error) = schemas.validate(summary, schema) {
        panic!("{error:#}");
    }
    assert_eq!(summary["files"], 1000);
    for (form, count) in forms {
        assert_eq!(summary["form"][form], count, "{form}");
    }
    for (defect, count) in defects {
        assert_eq!(summary["defects"][defect], count, "{defect}");
    }
    let known: u64 = summary["known_clauses"]
        .as_object()
        .unwrap()
        .values()
        .map(|n| n.as_u64().unwrap())
        .sum();
    assert_eq!(known, follows);
    // The variants of the generator: two open ones, two closed ones, and the contradictory pair.
    let new = summary["new_clauses"].as_array().unwrap();
    assert!((4..=12).contains(&new.len()), "{new:#?}");
    for group in ["by_age", "by_basis"] {
        let counted: u64 = summary[group]
            .as_object()
            .unwrap()
            .values()
            .flat_map(|g| g.as_object().unwrap().values())
            .map(|n| n.as_u64().unwrap())
            .sum();
        assert_eq!(counted, 950, "{group}");
    }
}

#[test]
fn a_survey_that_was_broken_off_goes_on_to_the_same_bytes() {
    let (folder, _) = made(30, 7);
    let folder = folder.path();
    for format in ["json", "csv", "terminal"] {
        let whole = format!("whole.{format}");
        let broken = format!("broken.{format}");
        let run = |output: &str| survey(folder, &["club", "--format", format, "-o", output]);
        assert!(run(&whole).status.success());
        let before = std::fs::read(folder.join(&whole)).unwrap();
        // What a break leaves: some rows and a half.
        let mut child = Command::new(env!("CARGO_BIN_EXE_whomay"))
            .args([
                "survey", DAY, "club", "--format", format, "-o", &broken, "--jobs", "1",
            ])
            .current_dir(folder)
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        let rows = folder.join(format!("{broken}.rows"));
        while std::fs::read(&rows).map_or(0, |r| r.iter().filter(|b| **b == b'\n').count()) < 3
            && child.try_wait().unwrap().is_none()
        {
            std::thread::sleep(std::time::Duration::from_millis(3));
        }
        child.kill().unwrap();
        child.wait().unwrap();
        let kept = std::fs::read(&rows).unwrap();
        assert!(!folder.join(&broken).exists());
        let lines = kept.iter().filter(|b| **b == b'\n').count();
        std::fs::write(&rows, &kept[..kept.len() - if lines > 2 { 9 } else { 0 }]).unwrap();
        // With other options, or other letters, it does not go on.
        let other = survey(
            folder,
            &["club", "--format", format, "-o", &broken, "--anonymous"],
        );
        assert_eq!(other.status.code(), Some(2));
        let said = String::from_utf8_lossy(&other.stderr).into_owned();
        assert!(said.contains("other options"), "{said}");
        std::fs::write(folder.join("club/zz.txt"), "one more").unwrap();
        let other = run(&broken);
        assert_eq!(other.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&other.stderr).contains("other letters"));
        std::fs::remove_file(folder.join("club/zz.txt")).unwrap();
        let gone_on = run(&broken);
        assert!(gone_on.status.success(), "{gone_on:?}");
        let said = String::from_utf8_lossy(&gone_on.stderr).into_owned();
        assert!(said.contains("going on after letter"), "{said}");
        assert_eq!(
            before,
            std::fs::read(folder.join(&broken)).unwrap(),
            "{format}"
        );
        assert!(!rows.exists());
        // The result is there: it is replaced by force only.
        assert_eq!(run(&broken).status.code(), Some(2));
    }
}

#[test]
fn rows_do_not_depend_on_the_threads() {
    let (folder, _) = made(120, 3);
    let one = survey(folder.path(), &["club", "--format", "json", "--jobs", "1"]);
    let many = survey(folder.path(), &["club", "--format", "json", "--jobs", "7"]);
    assert!(one.status.success());
    assert_eq!(one.stdout, many.stdout);
}

#[test]
fn nothing_tells_whose_letter_it_is() {
    let (folder, truth) = made(60, 11);
    for format in ["terminal", "csv", "json", "html"] {
        let output = survey(folder.path(), &["club", "--format", format]);
        assert!(output.status.success(), "{output:?}");
        let said = String::from_utf8(output.stdout).unwrap();
        let said = said.replace("<wbr>", "");
        for secret in truth.iter().flat_map(|t| &t.secrets) {
            assert!(!said.contains(secret.as_str()), "{format}: {secret}");
        }
        assert!(said.contains("letter-0") || format == "terminal");
    }
    let output = survey(folder.path(), &["club", "--format", "json", "--identify"]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(
        said.contains("Madeupson"),
        "names are kept where that is asked for"
    );
    let output = survey(folder.path(), &["club", "--format", "csv", "--anonymous"]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(
        !said.contains("letter-0") && said.contains("letter 17,"),
        "{said}"
    );
}

#[test]
fn marks_in_names_of_files_and_hostile_names_are_harmless() {
    let folder = tempfile::tempdir().unwrap();
    let letter = club(1, 5).remove(0).bytes;
    let arguments = [
        "N0WHO limits.txt",
        "=cmd|' C calc'!A0.txt",
        "a\u{1b}[2Jb.txt",
        "<b onmouseover=alert(1)>.txt",
        "\u{202e}txt.b\u{7}.txt",
    ];
    for name in arguments {
        std::fs::write(folder.path().join(name), &letter).unwrap();
    }
    for format in ["terminal", "csv", "json", "html"] {
        let mut all = arguments.to_vec();
        all.extend(["--format", format]);
        let output = survey(folder.path(), &all);
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(
            !said.contains(['\u{1b}', '\u{7}', '\u{202e}']) && !said.contains("N0WHO"),
            "{said}"
        );
        if format == "html" {
            assert!(said.contains("&lt;b onmouseover"), "{said}");
            assert!(!said.contains("<b onmouseover"), "{said}");
        }
        if format == "csv" {
            assert!(said.contains("'=cmd|"), "{said}");
        }
    }
}

#[test]
fn a_bad_file_is_a_row_and_strict_is_strict() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.txt"), club(1, 5).remove(0).bytes).unwrap();
    let good = survey(folder.path(), &["a.txt", "--strict"]);
    assert_eq!(good.status.code(), Some(0), "{good:?}");
    let output = survey(folder.path(), &["a.txt", "nowhere.txt", "--format", "json"]);
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("1 could not be read"), "{said}");
    let rows = lines(&output);
    assert_eq!(rows[1]["form"], "unreadable");
    assert!(rows[1]["error"].as_str().unwrap().contains("no such file"));
    let strict = survey(folder.path(), &["a.txt", "nowhere.txt", "--strict"]);
    assert_eq!(strict.status.code(), Some(2));
    for missing in ["nowhere", "nowhere.d/"] {
        let output = survey(folder.path(), &["a.txt", missing]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(
            said.contains(missing) && said.contains("no such folder"),
            "{said}"
        );
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn archives_and_lists_give_the_same_rows() {
    let (folder, truth) = made(60, 9);
    let folder = folder.path();
    let mut archive = zip::ZipWriter::new(std::fs::File::create(folder.join("club.zip")).unwrap());
    let options = zip::write::SimpleFileOptions::default();
    for letter in truth.iter().rev() {
        archive.start_file(&*letter.file, options).unwrap();
        archive.write_all(&letter.bytes).unwrap();
    }
    archive.start_file("../../zz/bomb.txt", options).unwrap();
    for _ in 0..60 {
        archive.write_all(&vec![b' '; 1 << 20]).unwrap();
    }
    archive.finish().unwrap();
    std::fs::create_dir(folder.join("lists")).unwrap();
    let names: Vec<String> = truth
        .iter()
        .map(|t| format!("../club/{}", t.file))
        .collect();
    std::fs::write(
        folder.join("lists/list.txt"),
        format!("# the club\n\n{}\n", names.join("\n")),
    )
    .unwrap();
    let bare = |mut rows: Vec<Value>| {
        for row in &mut rows {
            let row = row.as_object_mut().unwrap();
            for key in ["file", "row"] {
                row.remove(key);
            }
        }
        rows
    };
    let direct = bare(lines(&survey(folder, &["club", "--format", "json"])));
    let listed = bare(lines(&survey(
        folder,
        &["--list", "lists/list.txt", "--format", "json"],
    )));
    assert_eq!(direct, listed);
    let packed = lines(&survey(folder, &["club.zip", "--format", "json"]));
    let bomb = packed
        .iter()
        .find(|r| r["file"].as_str().is_some_and(|f| f.ends_with("bomb.txt")))
        .unwrap();
    assert!(
        bomb["error"]
            .as_str()
            .unwrap()
            .contains("hundreds of times"),
        "{bomb}"
    );
    let letters: Vec<Value> = packed
        .into_iter()
        .filter(|r| r["type"] == "letter" && !r["file"].as_str().unwrap().ends_with("bomb.txt"))
        .collect();
    assert_eq!(bare(letters), direct[..60]);
}

/// Python's own CSV library reads the rows.
#[test]
fn another_library_reads_the_rows() {
    let (folder, truth) = made(60, 21);
    let output = survey(
        folder.path(),
        &["club", "--format", "csv", "-o", "rows.csv"],
    );
    assert!(output.status.success(), "{output:?}");
    let open = truth.iter().filter(|t| t.form == "open").count();
    let checked = Command::new("python3")
        .arg(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/suite/data/survey/check.py"
        ))
        .arg("rows.csv")
        .args([format!("open={open}"), "unreadable=3".to_owned()])
        .current_dir(folder.path())
        .output();
    let Ok(checked) = checked else {
        eprintln!("skipped: no python3");
        return;
    };
    assert!(checked.status.success(), "{checked:?}");
    assert_eq!(String::from_utf8_lossy(&checked.stdout).trim(), "60");
}

/// The result and what is kept lie in the folder that is surveyed, and are no letters.
#[test]
fn what_a_survey_writes_is_no_letter_of_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    for letter in club(3, 5) {
        let name = letter.file.rsplit('/').next().unwrap().to_owned();
        std::fs::write(path.join(name), letter.bytes).unwrap();
    }
    std::fs::write(path.join("more.txt"), "letter-00000.txt\n").unwrap();
    let run = |force: bool| {
        let mut arguments = vec![
            ".", "--list", "more.txt", "--cache", "kept", "-o", "rows.csv",
        ];
        arguments.extend(["--format", "csv"]);
        arguments.extend(force.then_some("--force"));
        survey(path, &arguments)
    };
    assert!(run(false).status.success());
    let rows = std::fs::read_to_string(path.join("rows.csv")).unwrap();
    assert_eq!(rows.lines().count(), 4, "{rows}");
    assert_eq!(run(false).status.code(), Some(2), "never over another file");
    assert!(run(true).status.success());
    assert_eq!(
        rows,
        std::fs::read_to_string(path.join("rows.csv")).unwrap()
    );
    let over = survey(
        path,
        &["letter-00000.txt", "-o", "letter-00000.txt", "--force"],
    );
    assert_eq!(over.status.code(), Some(2), "never over a letter");
    let device = survey(path, &["letter-00000.txt", "-o", "/dev/null"]);
    assert!(device.status.success(), "{device:?}");
}

#[test]
fn no_line_is_wider_than_was_told() {
    let (folder, _) = made(20, 4);
    for width in ["40", "80", "200"] {
        let output = survey(folder.path(), &["club", "--width", width]);
        let said = String::from_utf8(output.stdout).unwrap();
        let widest = said.lines().max_by_key(|l| l.chars().count()).unwrap();
        assert!(widest.chars().count() <= width.parse().unwrap(), "{widest}");
        assert!(!said.contains('\u{1b}'), "no colors");
    }
}

/// A scan is read once; what was kept of it gives the same row, and is what gives it.
#[cfg(feature = "ocr")]
#[test]
fn a_scan_is_read_once_where_results_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    let scan = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/samples/scans/open-list-f-page-5-scanned.pdf"
    );
    let run = || survey(path, &[scan, "--cache", "kept", "--format", "csv"]);
    let first = run();
    assert!(first.status.success(), "{first:?}");
    assert_eq!(first.stdout, run().stdout);
    let kept: Vec<_> = std::fs::read_dir(path.join("kept")).unwrap().collect();
    assert_eq!(kept.len(), 1);
    let file = kept[0].as_ref().unwrap().path();
    let text = std::fs::read_to_string(&file).unwrap();
    let (before, after) = text.split_once("\"pages\":").unwrap();
    let after = after.trim_start_matches(|c: char| c.is_ascii_digit());
    std::fs::write(&file, format!("{before}\"pages\":77{after}")).unwrap();
    let said = String::from_utf8(run().stdout).unwrap();
    assert!(said.contains(",77,pdf-scan,"), "{said}");
}

#[test]
fn results_of_scans_are_kept_for_the_owner_alone() {
    let folder = tempfile::tempdir().unwrap();
    let kept = folder.path().join("kept");
    let cache = Cache::open(&kept, "reader 1").unwrap();
    let mut text = Text::verbatim("(1) A mechanic may inspect.");
    let sha256 = "0".repeat(64);
    let source = |read_as| Source {
        name: "a.png".to_owned(),
        sha256: sha256.clone(),
        pages: 1,
        read_as,
    };
    text.sources = vec![source(ReadAs::Text)];
    cache.keep(&text);
    assert!(
        cache.get("a.png", &sha256).is_none(),
        "only what OCR read is kept"
    );
    text.sources = vec![source(ReadAs::Image)];
    cache.keep(&text);
    let back = cache.get("b.png", &sha256).unwrap();
    assert_eq!(back.content, text.content);
    assert_eq!(back.anchors, text.anchors);
    assert_eq!(back.sources[0].name, "b.png");
    assert!(
        Cache::open(&kept, "reader 2")
            .unwrap()
            .get("a.png", &sha256)
            .is_none()
    );
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&kept), 0o700);
        for file in std::fs::read_dir(&kept).unwrap() {
            let path = file.unwrap().path();
            assert_eq!(mode(&path), 0o600);
            std::fs::write(&path, "damaged").unwrap();
        }
    }
    assert!(
        cache.get("a.png", &sha256).is_none(),
        "a damaged file is no result"
    );
}

#[cfg(unix)]
#[test]
fn folders_and_files_that_others_can_change_are_not_believed() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (folder, _) = made(3, 7);
    let at = |name: &str| folder.path().join(name);
    let mode = |name: &str, mode| {
        std::fs::set_permissions(at(name), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    std::fs::create_dir(at("kept")).unwrap();
    mode("kept", 0o777);
    let refused = survey(folder.path(), &["club", "--cache", "kept"]);
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8(refused.stderr).unwrap();
    assert!(
        said.contains("kept: ") && said.contains("can be changed by others"),
        "{said}"
    );
    mode("kept", 0o700);
    assert!(
        survey(folder.path(), &["club", "--cache", "kept"])
            .status
            .success()
    );

    std::fs::write(at("elsewhere"), "somebody's words\n").unwrap();
    symlink(at("elsewhere"), at("out.csv.rows")).unwrap();
    let to_file = ["club", "--format=csv", "-o", "out.csv"];
    let refused = survey(folder.path(), &to_file);
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8(refused.stderr).unwrap();
    assert!(said.contains("out.csv.rows: is a link"), "{said}");
    let words = std::fs::read_to_string(at("elsewhere")).unwrap();
    assert_eq!(words, "somebody's words\n");
    std::fs::remove_file(at("out.csv.rows")).unwrap();
    std::fs::write(at("out.csv.rows"), "").unwrap();
    mode("out.csv.rows", 0o666);
    assert_eq!(survey(folder.path(), &to_file).status.code(), Some(2));
}

#[cfg(unix)]
#[test]
fn links_that_lead_out_of_the_folder_are_told_and_not_followed() {
    use std::os::unix::fs::symlink;
    let (folder, truth) = made(3, 7);
    let at = |name: &str| folder.path().join(name);
    std::fs::create_dir(at("private")).unwrap();
    std::fs::write(at("private/letter.txt"), &truth[0].bytes).unwrap();
    symlink(at("private/letter.txt"), at("club/a-link.txt")).unwrap();
    symlink(at("private"), at("club/a-folder")).unwrap();
    symlink(at("club").join(&truth[1].file), at("club/within.txt")).unwrap();
    let rows = lines(&survey(
        folder.path(),
        &["club", "--format", "json", "--identify"],
    ));
    let out: Vec<&Value> = rows
        .iter()
        .filter(|r| {
            r["error"]
                .as_str()
                .is_some_and(|e| e.contains("leads out of the folder"))
        })
        .collect();
    assert_eq!(out.len(), 2, "{rows:#?}");
    // three letters, two links out and the summary; the link within is one of the three
    assert_eq!(rows.len(), 6, "{rows:#?}");
}
