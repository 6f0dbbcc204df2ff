//! The page on this machine, asked over its port as a browser asks.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use tempfile::TempDir;

use crate::cli::whomay;

const DAY: &str = "on=2026-11-25";

/// The running program; ended when it is dropped.
struct Page {
    child: Child,
    /// `127.0.0.1:PORT`
    host: String,
    /// `/TOKEN/`
    base: String,
    /// Where its lock is.
    _folder: TempDir,
}

/// What came back.
struct Answer {
    status: u16,
    head: String,
    body: String,
}

impl Answer {
    fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (n, value) = line.split_once(':')?;
            n.eq_ignore_ascii_case(name).then_some(value.trim())
        })
    }
}

fn program(folder: &Path, more: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_whomay"));
    command
        .arg("serve")
        .args(more)
        .env("XDG_RUNTIME_DIR", folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

impl Page {
    fn start() -> Self {
        Self::with(&["--no-open"], tempfile::tempdir().unwrap(), &[])
    }

    fn with(arguments: &[&str], folder: TempDir, env: &[(&str, &str)]) -> Self {
        let mut child = program(folder.path(), arguments)
            .envs(env.iter().copied())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let rest = line.trim().strip_prefix("http://").unwrap();
        let (host, base) = rest.split_once('/').unwrap();
        assert!(host.starts_with("127.0.0.1:"), "{host}");
        Self {
            child,
            host: host.to_owned(),
            base: format!("/{base}"),
            _folder: folder,
        }
    }

    fn ask(&self, head: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        let mut request = format!("{head} HTTP/1.1\r\nConnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "Host") {
            request.push_str(&format!("Host: {}\r\n", self.host));
        }
        for (name, value) in headers {
            request.push_str(&format!("{name}: {value}\r\n"));
        }
        if !headers.iter().any(|(name, _)| *name == "Content-Length") {
            request.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        request.push_str("\r\n");
        stream.write_all(request.as_bytes()).unwrap();
        stream.write_all(body).unwrap();
        let mut all = Vec::new();
        stream.read_to_end(&mut all).unwrap();
        let all = String::from_utf8_lossy(&all).into_owned();
        let (head, body) = all.split_once("\r\n\r\n").unwrap();
        Answer {
            status: head.split(' ').nth(1).unwrap().parse().unwrap(),
            head: head.to_owned(),
            body: body.to_owned(),
        }
    }

    fn get(&self, path: &str) -> Answer {
        self.ask(&format!("GET {}{path}", self.base), &[], b"")
    }

    fn post(&self, path: &str, kind: &str, body: &[u8]) -> Answer {
        let head = format!("POST {}{path}", self.base);
        self.ask(&head, &[("Content-Type", kind)], body)
    }

    /// Hands over files by slot and name; the address of what came of it, below the base.
    fn hand_over(&self, files: &[(&str, &str, &[u8])]) -> String {
        let mut body = Vec::new();
        for (slot, name, bytes) in files {
            let head = format!(
                "--x\r\nContent-Disposition: form-data; name=\"{slot}\"; filename=\"{name}\"\r\n\r\n"
            );
            body.extend_from_slice(head.as_bytes());
            body.extend_from_slice(bytes);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(b"--x--\r\n");
        let answer = self.post("letters", "multipart/form-data; boundary=x", &body);
        assert_eq!(answer.status, 303, "{}", answer.body);
        let to = answer.header("location").unwrap();
        let to = to.strip_prefix(&self.base).unwrap().to_owned();
        for _ in 0..1200 {
            if !self.get(&to).body.contains("data-events=") {
                break;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        to
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn sample(name: &str) -> Vec<u8> {
    std::fs::read(Path::new("samples").join(name)).unwrap()
}

/// What the command line writes, run in the folder of the samples.
fn told(arguments: &[&str]) -> String {
    let output = whomay()
        .current_dir("samples")
        .args(arguments)
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_page_says_what_the_command_line_says() {
    let page = Page::start();
    let letter = page.hand_over(&[("file", "open-list-f.txt", &sample("open-list-f.txt"))]);
    let same = |file: &str, arguments: &[&str]| {
        let here = page.get(&format!("{letter}/{file}")).body;
        assert!(here == told(arguments), "{file}");
    };
    let on = "--on=2026-11-25";
    same(
        &format!("report.json?{DAY}"),
        &["who", "open-list-f.txt", on, "--format=json"],
    );
    let facts = "owner=company&trained=airplane&earlier-certificate=no&holds-ia=yes\
                 &certificate-for=this&ratings=airframe&basis=g&holder=mechanic";
    same(
        &format!("report.json?{DAY}&{facts}"),
        &[
            "read",
            "open-list-f.txt",
            on,
            "--format=json",
            "--owner=company",
            "--trained=airplane",
            "--earlier-certificate=no",
            "--inspection-authorization=yes",
            "--certificate-for=this",
            "--ratings=airframe",
            "--basis=g",
            "--holder=mechanic",
        ],
    );
    same(
        &format!("report.html?{DAY}"),
        &["read", "open-list-f.txt", on, "--format=html"],
    );
    same(
        &format!("report.md?{DAY}"),
        &["read", "open-list-f.txt", on, "--format=markdown"],
    );
    same(
        &format!("request.md?{DAY}"),
        &["request", "open-list-f.txt", on, "--format=markdown"],
    );
    same(
        "inspection.ics?inspected=2026-03-14",
        &[
            "due",
            "2026-03-14",
            "--letter=open-list-f.txt",
            "--calendar",
        ],
    );

    year_and_sheet_are_the_same(&same);

    let several = page.hand_over(&[
        ("file", "lettered.pdf", &sample("lettered.pdf")),
        ("file", "names-nobody.txt", &sample("names-nobody.txt")),
    ]);
    let choice = page.get(&format!("{several}?{DAY}")).body;
    assert!(choice.contains("These papers are of different aircraft"));
    for there in ["letter=1", "letter=2", "same-aircraft=yes"] {
        assert!(choice.contains(there), "{there}");
    }
    let second = page.get(&format!("{several}?{DAY}&letter=2")).body;
    assert!(second.contains("names-nobody.txt") && !second.contains("lettered.pdf"));
    let json = page
        .get(&format!("{several}/report.json?{DAY}&same-aircraft=yes"))
        .body;
    let there = [
        "read",
        "lettered.pdf",
        "names-nobody.txt",
        "--same-aircraft",
        on,
        "--format=json",
    ];
    assert!(json == told(&there));

    let two = page.hand_over(&[
        ("old", "closed-list.txt", &sample("closed-list.txt")),
        ("new", "open-list-g.txt", &sample("open-list-g.txt")),
    ]);
    let json = page.get(&format!("{two}/changes.json?{DAY}")).body;
    let there = [
        "compare",
        "closed-list.txt",
        "open-list-g.txt",
        on,
        "--format=json",
    ];
    assert!(json == told(&there));
    assert!(page.get(&two).body.contains("What it does to the answers"));
}

/// Invented.
const BY_HOURS: &[u8] = b"OPERATING LIMITATIONS\nEXPERIMENTAL, EXHIBITION, 14 CFR 21.191(d)\n\n\
    1. This aircraft must be operated under part 91 and these operating limitations.\n\n\
    2. No person may operate this aircraft unless within the preceding 100 hours of time in service or \
    12 calendar months, whichever occurs first, it has had a condition inspection performed in \
    accordance with the scope and detail of appendix D to part 43 and was found to be in a condition for \
    safe operation.\n";

fn year_and_sheet_are_the_same(same: &dyn Fn(&str, &[&str])) {
    let on = "--on=2026-11-25";
    let facts = "inspected=2026-03-14&hours-left=7.5&expires=2026-12-24&certified=2025-12-24\
                 &altimeter=2024-11-01&ifr=yes&transponder=2024-12-02&elt=2026-01-05&seats=2&flight=other";
    for (file, format) in [
        ("year.md", "--format=markdown"),
        ("year.html", "--format=html"),
        ("year.json", "--format=json"),
        ("inspection.ics", "--calendar"),
    ] {
        same(
            &format!("{file}?{DAY}&{facts}"),
            &[
                "due",
                "2026-03-14",
                "--letter=open-list-f.txt",
                on,
                "--hours-left=7.5",
                "--expires=2026-12-24",
                "--issued=2025-12-24",
                "--altimeter=2024-11-01",
                "--ifr=yes",
                "--transponder=2024-12-02",
                "--elt=2026-01-05",
                "--seats=2",
                "--flight=other",
                format,
            ],
        );
    }
    for (file, format) in [("sheet.md", "markdown"), ("sheet.html", "html")] {
        let format = format!("--format={format}");
        same(
            &format!("{file}?{DAY}&owner=self"),
            &[
                "read",
                "open-list-f.txt",
                "--sheet",
                on,
                "--owner=self",
                &format,
            ],
        );
    }
}

#[test]
fn the_next_limit_stands_beside_the_letter_and_on_a_page() {
    let page = Page::start();
    let letter = page.hand_over(&[("file", "a.txt", &sample("open-list-g.txt"))]);
    let facts = format!("{DAY}&inspected=2026-03-14&transponder=2024-12-02&owner=self");
    let beside = page.get(&format!("{letter}?{facts}")).body;
    assert!(
        beside.contains("Next limit: Dec 31, 2026, the transponder test."),
        "{beside}"
    );
    assert!(beside.contains("<input type=\"hidden\" name=\"transponder\" value=\"2024-12-02\">"));
    let year = page.get(&format!("{letter}/year?{facts}")).body;
    assert!(year.contains("<h1>Next limit: Dec 31, 2026, the transponder test</h1>"));
    assert!(year.contains("The altimeter test: not asked here."));
    assert!(year.contains("<input type=\"hidden\" name=\"owner\" value=\"self\">"));
    let over = page.get(&format!("{letter}/year?on=2027-05-01&inspected=2026-03-14"));
    assert!(
        over.body
            .contains("Overdue on May 1, 2027: the condition inspection")
    );
    assert!(over.body.contains("what a special flight permit asks"));
    // Without a day nothing is counted, and nothing is claimed.
    let open = page.get(&format!("{letter}/year?{DAY}")).body;
    assert!(open.contains("Say when the last condition inspection was"));
    assert!(!open.contains("year.md") && !open.contains("Next limit"));
    assert_eq!(page.get(&format!("{letter}/year.md?{DAY}")).status, 404);
    assert_eq!(page.get(&format!("{letter}/year?seats=none")).status, 400);
    let by_hours = page.hand_over(&[("file", "h.txt", BY_HOURS)]);
    let hours = page.get(&format!(
        "{by_hours}/year?{DAY}&inspected=2026-03-14&hours-left=8"
    ));
    assert!(
        hours
            .body
            .contains("Next limit: 8 more hours, and Mar 31, 2027 at the latest")
    );
    assert!(!hours.body.contains("(--"), "an option on the page");
    // A letter without an interval gives no day.
    let none = page.hand_over(&[("file", "b.txt", b"OPERATING LIMITATIONS\nEXPERIMENTAL, 14 CFR 21.191(g)\n\n1. This aircraft must be operated under part 91 and these operating limitations.\n\n2. The placard must be displayed.\n")]);
    let beside = page.get(&format!("{none}?{DAY}&inspected=2026-03-14")).body;
    assert!(beside.contains("No day can be given on which something runs out."));
}

#[test]
fn an_entry_is_held_against_the_letter_on_its_page() {
    let page = Page::start();
    let letter = page.hand_over(&[("file", "a.txt", &sample("open-list-g.txt"))]);
    assert!(page.get(&letter).body.contains("id=\"entry\""));
    let form = "application/x-www-form-urlencoded";
    let to = format!("{letter}/entry?{DAY}");
    let told = |words: &str| {
        let words: String = form_urlencoded::byte_serialize(words.as_bytes()).collect();
        page.post(&to, form, format!("entry={words}").as_bytes())
    };
    let right = "7/14/26 TT 1211.0. Condition inspection in accordance with the scope and detail of \
                 appendix D to part 43, found to be in a condition for safe operation. Ada Borrow \
                 AP0000042";
    let current = told(right);
    assert_eq!(current.status, 200);
    assert!(current.body.contains("<h1>Current: nothing is missing"));
    assert!(current.body.contains("Good through Jul 31, 2027."));
    let not = told(&format!(
        "<b>{}</b>",
        right.replace("found to be", "NOT found to be")
    ));
    assert!(not.body.contains("<h1>Not current"), "{}", not.body);
    assert!(!not.body.contains("Good through"));
    assert!(not.body.contains("&lt;b&gt;7/14/26") && !not.body.contains("<b>"));
    assert!(
        not.body
            .contains(&format!("{letter}?{DAY}\">Back to the letter"))
    );
    let whose = told(&right.replace("AP0000042", ""));
    assert!(
        whose
            .body
            .contains("Which certificate the signer holds is not told.")
    );
    assert!(!whose.body.contains("--"), "an option on the page");
    assert_eq!(told(" ").status, 400);
    assert_eq!(told(&"a ".repeat(4001)).status, 400);
    // Papers of different aircraft are told apart first.
    let several = page.hand_over(&[
        ("file", "lettered.pdf", &sample("lettered.pdf")),
        ("file", "names-nobody.txt", &sample("names-nobody.txt")),
    ]);
    for way in ["year", "sheet"] {
        assert_eq!(
            page.get(&format!("{several}/{way}?{DAY}")).status,
            303,
            "{way}"
        );
        let one = page.get(&format!("{several}/{way}?{DAY}&letter=2"));
        assert_eq!(one.status, 200, "{way}");
    }
    let kind = "application/x-www-form-urlencoded";
    let posted = page.post(&format!("{several}/entry?{DAY}"), kind, b"entry=x");
    assert_eq!(posted.status, 303);
}

#[test]
fn the_questions_stand_beside_the_report_and_keep_what_was_said() {
    let page = Page::start();
    let letter = page.hand_over(&[("file", "a.txt", &sample("open-list-f.txt"))]);
    let first = page.get(&format!("{letter}?{DAY}")).body;
    assert!(first.contains("name=\"owner\" value=\"self\"> Yes"));
    assert!(first.contains("What is in dispute"));
    assert!(!first.contains("<code>whomay"), "a command on the page");
    let said = page.get(&format!("{letter}?{DAY}&owner=not-owner&holder="));
    assert!(
        said.body
            .contains("name=\"owner\" value=\"not-owner\" checked")
    );
    assert!(
        said.body
            .contains("report.json?on=2026-11-25&amp;owner=not-owner")
    );
    for wrong in ["owner=king", "on=2026-13-01", "x=y"] {
        let answer = page.get(&format!("{letter}?{wrong}"));
        assert_eq!(answer.status, 400, "{wrong}");
    }
    for nowhere in [
        format!("{letter}/report.exe"),
        format!("{letter}/pages/0/1"),
        "letters/77".to_owned(),
        "letters/x".to_owned(),
    ] {
        assert_eq!(page.get(&nowhere).status, 404, "{nowhere}");
    }
    let kind = "application/x-www-form-urlencoded";
    let forget = page.post(&format!("{letter}/forget"), kind, b"");
    assert_eq!(forget.status, 303);
    assert_eq!(page.get(&letter).status, 410);
}

#[test]
fn only_a_browser_of_this_machine_with_the_token_is_let_in() {
    let page = Page::start();
    let answer = page.get("");
    assert_eq!(answer.status, 200);
    let policy = answer.header("content-security-policy").unwrap();
    assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"));
    assert_eq!(answer.header("cache-control"), Some("no-store"));
    let own = format!("GET {}", page.base);
    let own = own.as_str();
    let port = page.host.rsplit(':').next().unwrap();
    let rebound = format!("rebound.example:{port}");
    let local = format!("localhost:{port}");
    for (head, header, status) in [
        (own, ("Host", "elsewhere.example"), 403),
        (own, ("Host", rebound.as_str()), 403),
        (own, ("Host", local.as_str()), 200),
        (own, ("Origin", "http://elsewhere.example"), 403),
        (own, ("Origin", "null"), 403),
        (own, ("Sec-Fetch-Site", "cross-site"), 403),
        ("GET /", ("Accept", "*/*"), 404),
        (
            "GET /00000000000000000000000000000000/",
            ("Accept", "*/*"),
            404,
        ),
        ("GET /open/0", ("Accept", "*/*"), 404),
        ("GET //etc/passwd", ("Accept", "*/*"), 404),
        ("GET http://elsewhere.example/", ("Accept", "*/*"), 403),
    ] {
        let answer = page.ask(head, &[header], b"");
        assert_eq!(answer.status, status, "{head} {header:?}");
        assert!(status == 200 || !answer.body.contains(&page.base));
        assert!(answer.header("content-security-policy").is_some());
    }
}

/// Every route there is, below the secret of a page that holds letter 1.
const ROUTES: &[&str] = &[
    "GET ",
    "GET page.css",
    "GET page.js",
    "POST letters",
    "POST key",
    "POST stop",
    "GET letters/1",
    "GET letters/1/events",
    "POST letters/1/words",
    "POST letters/1/claim",
    "POST letters/1/entry",
    "GET letters/1/year",
    "GET letters/1/year?inspected=2026-03-14",
    "GET letters/1/sheet",
    "GET letters/1/sheet.html",
    "GET letters/1/sheet.md",
    "GET letters/1/year.html?inspected=2026-03-14",
    "GET letters/1/year.md?inspected=2026-03-14",
    "GET letters/1/year.json?inspected=2026-03-14",
    "POST letters/1/forget",
    "GET letters/1/pages/0/1",
    "GET letters/1/report.html",
    "GET letters/1/report.md",
    "GET letters/1/report.json",
    "GET letters/1/memo.docx",
    "GET letters/1/request.docx",
    "GET letters/1/request.md",
    "GET letters/1/inspection.ics?inspected=2026-03-14",
    "GET letters/1/changes.json",
    "GET letters/1/survey.csv",
    "GET nowhere",
];

#[test]
fn no_route_answers_under_another_address() {
    let page = Page::start();
    let letter = page.hand_over(&[("file", "a.txt", &sample("open-list-f.txt"))]);
    assert_eq!(letter, "letters/1");
    let token = page.base.trim_matches('/');
    let turned: String = token.chars().rev().collect();
    let wrong = [
        "/".to_owned(),
        "//".to_owned(),
        "/open/".to_owned(),
        "/open//".to_owned(),
        "/open/open/".to_owned(),
        format!("/open/{}/", "0".repeat(32)),
        format!("/open/{turned}/"),
        format!("/open/{token}/"),
        "/opened/".to_owned(),
        "/OPEN/".to_owned(),
        "/%6fpen/".to_owned(),
        "/*/".to_owned(),
        "/{token}/".to_owned(),
        "/./".to_owned(),
        "/%2e%2e/".to_owned(),
        format!("/{}/", "0".repeat(32)),
        format!("/{turned}/"),
        format!("/{}/", token.to_uppercase()),
        format!("/{}/", &token[1..]),
        format!("/{}/", &token[..31]),
        format!("/{token}0/"),
        format!("/{token}%00/"),
        format!("//{token}/"),
        format!("/x/{token}/"),
    ];
    for before in &wrong {
        if before.trim_matches('/') == token && !before.starts_with("//") {
            continue; // a token without letters is its own upper case
        }
        for route in ROUTES {
            let (method, rest) = route.split_once(' ').unwrap();
            let head = format!("{method} {before}{rest}");
            let answer = page.ask(&head, &[], b"");
            assert_eq!(answer.status, 404, "{head}");
            assert!(!answer.body.contains(token), "{head}");
            assert!(!answer.head.contains(token), "{head}");
        }
    }
    // nothing was forgotten, and the right address does answer
    for route in ROUTES.iter().filter(|r| r.contains("letters/1/report")) {
        let rest = route.split_once(' ').unwrap().1;
        assert_eq!(page.get(rest).status, 200, "{route}");
    }
}

#[test]
fn too_much_is_turned_away_with_a_word_on_what_to_do() {
    let page = Page::start();
    let head = format!("POST {}letters", page.base);
    let kind = ("Content-Type", "multipart/form-data; boundary=x");
    let answer = page.ask(&head, &[kind, ("Content-Length", "1073741824")], b"");
    assert_eq!(answer.status, 413);
    assert!(answer.body.contains("hand over only its pages"));
    for body in ["--x--\r\n", "no form at all", ""] {
        let answer = page.post("letters", kind.1, body.as_bytes());
        assert_eq!(answer.status, 400, "{body}");
    }
    let answer = page.post("letters", "text/plain", b"x");
    assert!((400..500).contains(&answer.status));
    let empty = page.hand_over(&[("file", "empty.pdf", b"")]);
    let answer = page.get(&empty);
    assert_eq!(answer.status, 422);
    assert!(answer.body.contains("the file is empty"), "{}", answer.body);
}

#[test]
fn names_of_files_stay_words() {
    let page = Page::start();
    let name = "../<b>&'\u{202e}<script>x<script>.txt";
    let letter = page.hand_over(&[("file", name, &sample("closed-list.txt"))]);
    let body = page.get(&letter).body;
    assert!(!body.contains("<script>x") && !body.contains('\u{202e}'));
    assert!(body.contains("script&gt;.txt"), "the name is not shown");
}

#[test]
fn a_second_start_says_where_the_first_runs() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_owned();
    let page = Page::with(&["--no-open"], folder, &[]);
    let second = program(&path, &["--no-open"]).output().unwrap();
    assert!(second.status.success());
    let said = String::from_utf8(second.stdout).unwrap();
    assert!(said.contains(&format!("http://{}{}", page.host, page.base)));
    assert!(said.contains("It runs there already."));
}

#[test]
fn files_that_a_start_names_are_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_owned();
    let page = Page::with(&["--no-open", "samples/closed-list.txt"], folder, &[]);
    let there = |number: u32, name: &str| {
        (0..200).any(|_| {
            std::thread::sleep(Duration::from_millis(50));
            page.get(&format!("letters/{number}")).body.contains(name)
        })
    };
    assert!(there(1, "closed-list.txt"));
    // A second start has the first read them.
    let second = program(&path, &["--no-open", "samples/names-nobody.txt"])
        .output()
        .unwrap();
    assert!(second.status.success(), "{second:?}");
    assert!(there(2, "names-nobody.txt"));
    let missing = program(&path, &["--no-open", "samples/nowhere.pdf"])
        .output()
        .unwrap();
    assert_eq!(missing.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&missing.stderr).contains("nowhere.pdf"));
}

#[test]
fn a_key_leads_to_a_letter_and_nowhere_else() {
    let page = Page::start();
    page.hand_over(&[("file", "a.txt", &sample("closed-list.txt"))]);
    let key = |to: &str| page.post("key", "text/plain", to.as_bytes());
    let opened = |key: &str| page.ask(&format!("GET /open/{key}"), &[], b"");
    let made = key("letters/1");
    let at = format!("{}letters/1", page.base);
    assert_eq!(
        opened(made.body.trim()).header("location"),
        Some(at.as_str())
    );
    for wrong in [
        "letters/x",
        "letters/1/forget",
        "//elsewhere.example",
        "\r\nX: y",
    ] {
        assert_eq!(key(wrong).status, 400, "{wrong}");
    }
}

#[test]
fn what_somebody_told_is_held_against_the_letter() {
    let page = Page::start();
    let letter = page.hand_over(&[("file", "open-list-f.txt", &sample("open-list-f.txt"))]);
    assert!(page.get(&letter).body.contains("id=\"claim\""));
    let form = "application/x-www-form-urlencoded";
    let to = format!("{letter}/claim?{DAY}");
    let told = |words: &str| page.post(&to, form, format!("claim={words}").as_bytes());
    let turned = told("Only+a+mechanic+may+perform+the+condition+inspection.");
    assert_eq!(turned.status, 200);
    assert!(
        turned.body.contains("Is not what the letter says."),
        "{}",
        turned.body
    );
    // The words come back as words, and the way back keeps the facts.
    let marked = told("%3Cb%3EA+mechanic+may%3C%2Fb%3E");
    assert!(
        marked
            .body
            .contains("&lt;b&gt;A mechanic may&lt;/b&gt;</textarea>")
    );
    assert!(
        marked
            .body
            .contains(&format!("{letter}?{DAY}\">Back to the letter"))
    );
    assert_eq!(told("+").status, 400);
    assert_eq!(told(&"a".repeat(4001)).status, 400);
}

#[test]
fn the_program_can_be_stopped_on_its_page() {
    let mut page = Page::start();
    let answer = page.post("stop", "application/x-www-form-urlencoded", b"");
    assert!(
        answer.body.contains("The program has ended"),
        "{}",
        answer.body
    );
    assert!(page.child.wait().unwrap().success());
}

/// The middle one of some times.
fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

#[test]
fn heavy_letters_hold_up_no_quick_one() {
    let page = Page::start();
    // long texts, a large upload and a scan
    let long = "(1) The owner, or (a) the builder, may inspect it. ".repeat(3000);
    let scan = sample("scans/lettered-upside-down.pdf");
    let send = |name: &str, bytes: &[u8]| {
        let mut body = format!(
            "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n"
        )
        .into_bytes();
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n--x--\r\n");
        let answer = page.post("letters", "multipart/form-data; boundary=x", &body);
        assert_eq!(answer.status, 303);
        let to = answer.header("location").unwrap().to_owned();
        to.strip_prefix(&page.base).unwrap().to_owned()
    };
    let heavy: Vec<String> = (0..2)
        .map(|_| send("long.txt", long.as_bytes()))
        .chain((0..2).map(|_| send("scan.pdf", &scan)))
        .collect();
    let times: Vec<Duration> = (0..5)
        .map(|_| {
            let begun = std::time::Instant::now();
            let letter = page.hand_over(&[("file", "a.txt", &sample("closed-list.txt"))]);
            assert_eq!(page.get(&letter).status, 200);
            begun.elapsed()
        })
        .collect();
    // a slow build on a busy machine takes a second; behind the others it takes minutes
    let median = median(times);
    println!("median of quick letters: {median:?}");
    assert!(median < Duration::from_secs(10), "{median:?}");
    for letter in &heavy {
        let kind = "application/x-www-form-urlencoded";
        assert_eq!(
            page.post(&format!("{letter}/forget"), kind, b"").status,
            303
        );
        assert_eq!(page.get(letter).status, 410);
    }
}

/// State and parent of a process; nothing where it is gone.
#[cfg(target_os = "linux")]
fn state(process: u32) -> Option<(String, u32)> {
    let stat = std::fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
    let mut rest = stat.rsplit_once(") ")?.1.split(' ');
    let state = rest.next()?.to_owned();
    (state != "Z").then_some((state, rest.next()?.parse().ok()?))
}

/// The processes that a program has started.
#[cfg(target_os = "linux")]
fn workers(program: u32) -> Vec<u32> {
    std::fs::read_dir("/proc")
        .unwrap()
        .filter_map(|entry| entry.ok()?.file_name().to_str()?.parse().ok())
        .filter(|&process| state(process).is_some_and(|(_, parent)| parent == program))
        .collect()
}

/// Hands over a scan and does not wait for it; the workers that read it.
#[cfg(target_os = "linux")]
fn begun_scan(page: &Page) -> Vec<u32> {
    let scan = sample("scans/lettered-upside-down.pdf");
    let mut body =
        b"--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.pdf\"\r\n\r\n"
            .to_vec();
    body.extend_from_slice(&scan);
    body.extend_from_slice(b"\r\n--x--\r\n");
    let answer = page.post("letters", "multipart/form-data; boundary=x", &body);
    assert_eq!(answer.status, 303);
    let mut seen = Vec::new();
    for _ in 0..200 {
        std::thread::sleep(Duration::from_millis(20));
        seen = workers(page.child.id());
        if !seen.is_empty() {
            break;
        }
    }
    assert!(!seen.is_empty(), "no worker was seen");
    seen
}

#[cfg(target_os = "linux")]
fn all_end(workers: impl Fn() -> bool) -> bool {
    (0..200).any(|_| {
        std::thread::sleep(Duration::from_millis(50));
        workers()
    })
}

#[cfg(target_os = "linux")]
#[test]
fn forgetting_a_scan_ends_its_worker() {
    let page = Page::start();
    begun_scan(&page);
    let kind = "application/x-www-form-urlencoded";
    assert_eq!(page.post("letters/1/forget", kind, b"").status, 303);
    let gone = all_end(|| workers(page.child.id()).is_empty());
    assert!(gone, "the worker goes on");
}

#[cfg(target_os = "linux")]
#[test]
fn workers_end_with_the_program_whatever_ends_it() {
    for signal in ["TERM", "KILL"] {
        let mut page = Page::start();
        let workers = begun_scan(&page);
        let ended = Command::new("kill")
            .args([&format!("-{signal}"), &page.child.id().to_string()])
            .status();
        assert!(ended.unwrap().success());
        page.child.wait().unwrap();
        let gone = all_end(|| workers.iter().all(|&worker| state(worker).is_none()));
        assert!(gone, "{signal}: a worker goes on");
    }
}

#[test]
fn a_connection_without_a_request_is_closed() {
    let page = Page::start();
    let begun = ["", "GET /"].map(|begun| {
        let mut stream = TcpStream::connect(&page.host).unwrap();
        stream.write_all(begun.as_bytes()).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .unwrap();
        (begun, stream)
    });
    for (begun, mut stream) in begun {
        let mut answer = Vec::new();
        let ended = stream.read_to_end(&mut answer);
        assert!(ended.is_ok(), "{begun:?}: {ended:?}");
    }
    assert_eq!(page.get("").status, 200);
}

/// Everything below a folder, with its mode.
#[cfg(unix)]
fn below(folder: &Path) -> Vec<(std::path::PathBuf, u32, u64)> {
    use std::os::unix::fs::MetadataExt;
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let data = std::fs::symlink_metadata(&path).unwrap();
        if data.is_dir() {
            found.extend(below(&path));
        }
        found.push((path, data.mode() & 0o777, data.len()));
    }
    found
}

#[cfg(unix)]
#[test]
fn every_end_is_an_end_and_leaves_nothing() {
    for signal in ["INT", "TERM", "HUP", "QUIT", "KILL"] {
        let folder = tempfile::tempdir().unwrap();
        let temporary = tempfile::tempdir().unwrap();
        let path = folder.path().to_owned();
        let place = temporary.path().display().to_string();
        let mut page = Page::with(&["--no-open"], folder, &[("TMPDIR", &place)]);
        page.hand_over(&[("file", "a.txt", &sample("closed-list.txt"))]);
        page.hand_over(&[
            ("many", "a.txt", &sample("closed-list.txt")),
            ("many", "b.pdf", &sample("lettered.pdf")),
        ]);
        let open: Vec<_> = below(&path)
            .into_iter()
            .chain(below(temporary.path()))
            .collect();
        for (file, mode, _) in &open {
            assert_eq!(mode & 0o077, 0, "{} can be read", file.display());
        }
        let ended = Command::new("kill")
            .args([&format!("-{signal}"), &page.child.id().to_string()])
            .status();
        assert!(ended.unwrap().success());
        let status = page.child.wait().unwrap();
        let killed = signal == "KILL";
        assert_eq!(status.success(), !killed, "{signal}");
        let left = below(temporary.path());
        assert!(left.is_empty(), "{signal}: {left:?}");
        let left = below(&path);
        assert_eq!(left.len(), 1, "{signal}: {left:?}");
        assert!(left[0].2 == 0 || killed, "only an empty lock may be left");
    }
}

/// A browser that only writes down what it was opened with.
#[cfg(target_os = "linux")]
fn browser(folder: &Path) -> std::path::PathBuf {
    use std::os::unix::fs::PermissionsExt;
    let opened = folder.join("opened");
    let script = folder.join("xdg-open");
    let words = format!(
        "#!/bin/sh\necho \"$1\" > '{0}.new'\n/bin/mv '{0}.new' '{0}'\n",
        opened.display()
    );
    std::fs::write(&script, words).unwrap();
    std::fs::set_permissions(&script, std::fs::Permissions::from_mode(0o755)).unwrap();
    opened
}

#[cfg(target_os = "linux")]
fn address(opened: &Path) -> String {
    let address = (0..200)
        .find_map(|_| {
            std::thread::sleep(Duration::from_millis(50));
            std::fs::read_to_string(opened).ok()
        })
        .expect("no browser was opened");
    std::fs::remove_file(opened).unwrap();
    address.trim().to_owned()
}

/// The command line of a browser can be seen by others, so its address holds no token, at the
/// first start and at the second.
#[cfg(target_os = "linux")]
#[test]
fn the_browser_is_opened_with_an_address_for_one_use() {
    let folder = tempfile::tempdir().unwrap();
    let opened = browser(folder.path());
    let path = folder.path().display().to_string();
    let place = folder.path().to_owned();
    let page = Page::with(&[], folder, &[("PATH", &path)]);
    let mut keys = Vec::new();
    for start in 0..3 {
        if start > 0 {
            let second = program(&place, &[]).env("PATH", &path).output().unwrap();
            assert!(second.status.success(), "{second:?}");
            assert!(second.stderr.is_empty(), "{second:?}");
        }
        let address = address(&opened);
        assert!(!address.contains(page.base.trim_matches('/')), "{address}");
        let key = address.split("/open/").nth(1).unwrap().to_owned();
        assert_eq!(address, format!("http://{}/open/{key}", page.host));
        assert!(!keys.contains(&key));
        let first = page.ask(&format!("GET /open/{key}"), &[], b"");
        assert_eq!(first.status, 303);
        assert_eq!(first.header("location"), Some(page.base.as_str()));
        let second = page.ask(&format!("GET /open/{key}"), &[], b"");
        assert_eq!(second.status, 404);
        assert!(!second.body.contains(&page.base));
        keys.push(key);
    }
}

/// Who can write into the folder of the lock could have any address opened.
#[cfg(unix)]
#[test]
fn a_lock_that_others_can_write_is_not_believed() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_owned();
    let page = Page::with(&["--no-open"], folder, &[]);
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o777)).unwrap();
    let mut other = program(&path, &["--no-open"]).spawn().unwrap();
    let mut line = String::new();
    BufReader::new(other.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    other.kill().unwrap();
    other.wait().unwrap();
    assert!(!line.contains(&page.host), "{line}");
}
