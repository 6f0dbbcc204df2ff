//! Where results go: files that are never lost, pipes that close early, terminals of any width,
//! and what is made from the definitions of the arguments.

use std::fs;
use std::io::Write;
use std::process::{Command as Plain, Stdio};

use predicates::prelude::*;

use super::cli::whomay;

const LETTER: &str = "samples/open-list-g.txt";
const DAY: &str = "--on=2026-11-25";

/// Every command that writes a result, ready for `-o`.
const WRITERS: [&[&str]; 18] = [
    &["read", LETTER, DAY],
    &["read", LETTER, DAY, "--format=html"],
    &["read", LETTER, DAY, "--sheet"],
    &["who", LETTER, DAY, "--short"],
    &["show", "clauses", LETTER],
    &["passages", "-o", "x"],
    &["compare", LETTER],
    &["compare", LETTER, "samples/open-list-f.txt"],
    &["due", "2026-01-31"],
    &["due", "2026-01-31", "--calendar"],
    &["entry", LETTER, "samples/not-a-letter.txt"],
    &["request", LETTER, DAY],
    &["wordings"],
    &["rules"],
    &["readings"],
    &["schema"],
    &["completions", "bash"],
    &["manual"],
];

#[test]
fn every_command_writes_what_it_would_have_printed() {
    let folder = tempfile::tempdir().unwrap();
    for (n, arguments) in WRITERS.iter().enumerate() {
        let arguments: Vec<&str> = arguments
            .iter()
            .copied()
            .filter(|a| !["-o", "x"].contains(a))
            .collect();
        let run = || {
            let mut command = whomay();
            command.args(&arguments);
            command.write_stdin("{\"id\": \"1\", \"text\": \"A mechanic may fly.\"}\n");
            command
        };
        let printed = run().output().unwrap();
        assert!(printed.status.success(), "{arguments:?}: {printed:?}");
        assert!(!printed.stdout.is_empty(), "{arguments:?}");
        let file = folder.path().join(n.to_string());
        let written = run().arg("-o").arg(&file).output().unwrap();
        assert!(written.status.success(), "{arguments:?}: {written:?}");
        assert!(written.stdout.is_empty(), "{arguments:?}");
        assert!(fs::read(&file).unwrap() == printed.stdout, "{arguments:?}");
        run().arg("-o").arg(&file).assert().code(2);
    }
}

#[test]
fn no_input_is_ever_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let letter = folder.path().join("letter.txt");
    let before = fs::read(LETTER).unwrap();
    fs::write(&letter, &before).unwrap();
    let again = folder.path().join("sub/../letter.txt");
    fs::create_dir(folder.path().join("sub")).unwrap();
    let letter = letter.to_str().unwrap();
    let commands: [&[&str]; 9] = [
        &["read", letter],
        &["read", LETTER, letter],
        &["who", letter, "--format=html"],
        &["show", "text", letter],
        &["compare", LETTER, letter],
        &["due", "2026-01-31", "--letter", letter],
        &["entry", LETTER, letter],
        &["request", letter],
        &["passages", letter],
    ];
    for arguments in commands {
        for output in [letter, again.to_str().unwrap()] {
            whomay()
                .args(arguments)
                .args(["--force", "-o", output])
                .assert()
                .code(2)
                .stderr(predicate::str::contains("files to be read"));
            assert!(fs::read(letter).unwrap() == before, "{arguments:?}");
        }
    }
    #[cfg(unix)]
    {
        let link = folder.path().join("link.txt");
        std::os::unix::fs::symlink(letter, &link).unwrap();
        whomay()
            .args(["read", letter, "--force", "-o"])
            .arg(&link)
            .assert()
            .code(2);
        assert!(fs::read(letter).unwrap() == before);
    }
}

#[test]
fn what_cannot_be_written_is_said_before_the_work() {
    let folder = tempfile::tempdir().unwrap();
    let there = folder.path().join("there");
    fs::write(&there, "mine").unwrap();
    // The letter is not there either; the output is looked at first.
    for (output, why) in [
        (there.clone(), "--force"),
        (folder.path().to_owned(), "is a folder"),
        (folder.path().join("no/x"), "folder is not there"),
    ] {
        whomay()
            .args(["read", "no-such-letter.txt", "-o"])
            .arg(output)
            .assert()
            .code(2)
            .stdout("")
            .stderr(predicate::str::contains(why));
    }
    assert_eq!(fs::read_to_string(there).unwrap(), "mine");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_exit_code_2() {
    whomay()
        .args(["read", LETTER, "-o", "/dev/full"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("/dev/full"));
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let output = Plain::new(assert_cmd::cargo::cargo_bin("whomay"))
        .args(["read", LETTER])
        .stdout(full)
        .stderr(Stdio::piped())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2), "{output:?}");
}

#[test]
fn work_that_fails_leaves_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.html");
    whomay()
        .args(["read", "no-such-letter.txt", "--format=html", "-o"])
        .arg(&file)
        .assert()
        .code(2);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_pipe_that_closes_early_is_quiet_for_every_command() {
    for arguments in WRITERS {
        let arguments = arguments.iter().filter(|a| !["-o", "x"].contains(*a));
        let mut child = Plain::new(assert_cmd::cargo::cargo_bin("whomay"))
            .args(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let line = b"{\"id\": \"1\", \"text\": \"A mechanic may fly.\"}\n";
        // Commands that read no standard input may have gone by then.
        let _ = child.stdin.take().unwrap().write_all(line);
        let output = child.wait_with_output().unwrap();
        assert!(output.status.success(), "{output:?}");
        assert!(output.stderr.is_empty(), "{output:?}");
    }
}

#[test]
fn a_closed_standard_error_is_no_panic() {
    let mut child = Plain::new(assert_cmd::cargo::cargo_bin("whomay"))
        .args(["read", "no-such-letter.txt"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(2));
}

#[test]
fn terminals_may_be_narrow_or_wide() {
    for width in ["40", "80", "200"] {
        for arguments in [
            &["read", LETTER, DAY][..],
            &["who", LETTER, DAY],
            &["read", LETTER, DAY, "--sheet"],
            &["request", LETTER, DAY],
            &["due", "2026-01-31"],
            &["wordings"],
            &["readings"],
        ] {
            let output = whomay()
                .args(arguments)
                .args(["--width", width])
                .output()
                .unwrap();
            assert!(output.status.success(), "{arguments:?}: {output:?}");
            let text = String::from_utf8(output.stdout).unwrap();
            let columns: usize = width.parse().unwrap();
            for line in text.lines() {
                let wide = line.chars().count();
                // A word that has no place to break may stand out.
                let one_word = line.split_whitespace().count() <= 2;
                assert!(wide <= columns || one_word, "{arguments:?} {width}: {line}");
            }
        }
    }
}

#[test]
fn no_color_holds_for_every_command() {
    for arguments in WRITERS {
        let output = whomay()
            .args(arguments.iter().filter(|a| !["-o", "x"].contains(*a)))
            .env("NO_COLOR", "1")
            .write_stdin("")
            .output()
            .unwrap();
        assert!(!output.stdout.contains(&0x1b), "{arguments:?}");
    }
}

#[test]
fn completions_and_manual_know_every_command_and_option() {
    let help = |arguments: &[&str]| {
        let output = whomay().args(arguments).arg("--help").output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let commands: Vec<String> = help(&[])
        .lines()
        .skip_while(|l| !l.starts_with("Commands:"))
        .skip(1)
        .take_while(|l| l.starts_with("  "))
        .filter_map(|l| l.split_whitespace().next().map(str::to_owned))
        .filter(|c| c != "help" && c.chars().all(|c| c.is_ascii_lowercase() || c == '-'))
        .collect();
    assert!(commands.contains(&"completions".to_owned()), "{commands:?}");
    let said = |arguments: &[&str]| {
        let output = whomay().args(arguments).output().unwrap();
        assert!(output.status.success(), "{arguments:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    let manual = said(&["manual"]).replace("\\-", "-");
    assert!(manual.contains(".TH WHOMAY 1"), "{manual}");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = said(&["completions", shell]);
        assert!(!script.contains("worker"), "{shell}");
        for command in ["read", "who", "due", "passages", "manual"] {
            assert!(script.contains(command), "{shell}: {command}");
        }
        for option in ["holder", "earlier-certificate", "format", "force"] {
            assert!(script.contains(option), "{shell}: {option}");
        }
    }
    assert!(!manual.contains("worker"));
    for option in ["--holder", "--format", "--force", "--short", "--calendar"] {
        assert!(manual.contains(option), "{option}");
    }
    for command in ["READ", "WHO", "DUE", "COMPLETIONS"] {
        assert!(manual.contains(&format!("\n.SH {command}\n")), "{command}");
    }
    whomay().args(["completions", "dos"]).assert().code(2);
}

/// A pipe among the files would be waited for without end.
#[cfg(unix)]
#[test]
fn a_pipe_among_the_pattern_files_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("word/pipe.toml");
    fs::create_dir(folder.path().join("word")).unwrap();
    let made = Plain::new("mkfifo").arg(&pipe).status().unwrap();
    assert!(made.success());
    whomay()
        .args(["who", LETTER, DAY, "--patterns"])
        .arg(folder.path())
        .timeout(std::time::Duration::from_secs(60))
        .assert()
        .code(2)
        .stderr(predicate::str::contains("pipe.toml").and(predicate::str::contains("is no file")));
}
