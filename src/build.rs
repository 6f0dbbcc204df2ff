//! Turns what a run asks of the pattern files into JSON, which loads several times faster than TOML, and
//! compiles the words and rules of the grammar and the words of log entries, which are the most of them,
//! into tables that need no loading.
//!
//! Nothing is judged here: for a file that is no TOML, and for what did not compile, the program goes back
//! to the files as they are written, and refuses one with file, line and column.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

/// As much of the library as compiles words and rules.
#[allow(
    dead_code,
    unreachable_pub,
    reason = "the program uses more of it than the build"
)]
mod model {
    mod span;
    pub(crate) use span::Span;
}
#[allow(dead_code, unreachable_pub, unused_imports, reason = "the same")]
mod patterns {
    pub(crate) mod marked;
    pub(crate) mod phrase;
    pub(crate) mod rules;
    pub(crate) mod tables;
}

use patterns::marked::Marked;
use patterns::rules::{Compiled, WordClass};
use patterns::tables::Store;

/// The folders of words and of rules.
const COMPILED: [&str; 2] = ["word/", "grammar/"];
/// The folder of the words of log entries.
const ENTRIES: &str = "entry/";
/// Folders that few runs ask for: they are read as they were written, where one does.
const SELDOM: [&str; 2] = ["claim/", "subject/"];

/// Folders whose files are shown with their sources.
const SHOWN: [&str; 6] = [
    "law/",
    "outdated/",
    "reading/",
    "situation/",
    "statement/",
    "wording/",
];
/// Folders whose hits teach words that a scan may hold.
const TEACHING: [&str; 2] = ["inspector/", "topic/"];

fn main() {
    let root = PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").expect("cargo sets it"));
    let out = PathBuf::from(std::env::var_os("OUT_DIR").expect("cargo sets it"));
    let folder = root.join("patterns");
    println!("cargo::rerun-if-changed={}", folder.display());
    for source in [
        "build.rs",
        "model/span.rs",
        "patterns/marked.rs",
        "patterns/phrase.rs",
        "patterns/rules",
        "patterns/tables.rs",
    ] {
        println!("cargo::rerun-if-changed=src/{source}");
    }
    pack_relocations();
    let mut texts = BTreeMap::new();
    walk(&folder, &folder, &mut texts);
    let mut hasher = Sha256::new();
    for (id, text) in &texts {
        hasher.update(id.as_bytes());
        hasher.update([0]);
        hasher.update(text.as_bytes());
        hasher.update([0]);
    }
    let digest: String = hasher.finalize()[..8]
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    let grammar = grammar(&texts).map(|compiled| Store::of(&compiled));
    write(&out.join("grammar.bin"), &grammar.unwrap_or_default());
    let entries = entries(&texts).map(|marked| Store::of(&marked));
    write(&out.join("entry.bin"), &entries.unwrap_or_default());
    let sources = postcard::to_stdvec(&texts).expect("texts can be written down");
    write(&out.join("sources.bin"), &deflated(&sources));
    let files: Vec<(String, String)> = texts
        .into_iter()
        .map(|(id, text)| {
            let mut apart = COMPILED.iter().chain(&SELDOM);
            let compiled = apart.any(|room| id.starts_with(room));
            let value = toml::from_str::<toml::Table>(&text)
                .ok()
                .filter(|_| !compiled)
                .and_then(|table| serde_json::to_value(asked_for(&id, table)).ok());
            (id, value.map(|v| v.to_string()).unwrap_or_default())
        })
        .collect();
    let built = postcard::to_stdvec(&(digest, files)).expect("texts can be written down");
    write(&out.join("patterns.bin"), &built);
}

/// What a run asks of a file: not what is there for the checks of the files, which take them as they are
/// written, nor phrases that are compiled.
fn asked_for(id: &str, mut file: toml::Table) -> toml::Table {
    let of = |rooms: &[&str]| rooms.iter().any(|room| id.starts_with(room));
    file.remove("miss");
    if !of(&TEACHING) {
        file.remove("hit");
    }
    let idle = [("source", !of(&SHOWN)), ("any", of(&[ENTRIES]))];
    for (key, _) in idle.into_iter().filter(|(_, idle)| *idle) {
        if let Some(toml::Value::Array(rows)) = file.get_mut(key) {
            rows.clear();
        }
    }
    file
}

/// Has relative relocations written in their short form, which makes the program a megabyte smaller,
/// where the C library of this machine can load it: GNU libc since 2.36.
fn pack_relocations() {
    let is = |name: &str, value: &str| std::env::var(name).is_ok_and(|v| v == value);
    let gnu = is("CARGO_CFG_TARGET_OS", "linux") && is("CARGO_CFG_TARGET_ENV", "gnu");
    let own = std::env::var("TARGET").is_ok_and(|target| is("HOST", &target));
    if !gnu || !own {
        return;
    }
    let said = std::process::Command::new("getconf")
        .arg("GNU_LIBC_VERSION")
        .output();
    let said = said.map(|o| String::from_utf8_lossy(&o.stdout).into_owned());
    let version = said.unwrap_or_default();
    let mut numbers = version
        .trim_start_matches(|c: char| !c.is_ascii_digit())
        .split('.')
        .map(|n| n.trim().parse::<u32>().unwrap_or_default());
    if (numbers.next(), numbers.next()) >= (Some(2), Some(36)) {
        println!("cargo::rustc-link-arg-bins=-Wl,-z,pack-relative-relocs");
    }
}

fn deflated(bytes: &[u8]) -> Vec<u8> {
    let mut into = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
    into.write_all(bytes).expect("memory can be written");
    into.finish().expect("memory can be written")
}

fn write(file: &Path, bytes: &[u8]) {
    std::fs::write(file, bytes).expect("the output folder can be written");
}

/// The words and rules of the grammar; `None` where a file does not have the form.
fn grammar(texts: &BTreeMap<String, String>) -> Option<Compiled> {
    #[derive(Deserialize)]
    struct Words {
        words: Vec<WordClass>,
    }
    #[derive(Deserialize)]
    struct Rules {
        rules: Vec<String>,
        #[serde(default)]
        asides_in: Vec<String>,
    }
    let [words, rules] = COMPILED;
    let words: Vec<Words> = of_room(texts, words)?;
    let rules: Vec<Rules> = of_room(texts, rules)?;
    Compiled::new(
        words.iter().map(|f| f.words.as_slice()),
        rules
            .iter()
            .map(|f| (f.rules.as_slice(), f.asides_in.as_slice())),
    )
    .ok()
}

/// The words of log entries; `None` where a file does not have the form.
fn entries(texts: &BTreeMap<String, String>) -> Option<Marked> {
    #[derive(Deserialize)]
    struct Phrases {
        any: Vec<String>,
    }
    let files: Vec<Phrases> = of_room(texts, ENTRIES)?;
    Marked::new(files.iter().map(|f| f.any.as_slice())).ok()
}

fn of_room<T: DeserializeOwned>(texts: &BTreeMap<String, String>, room: &str) -> Option<Vec<T>> {
    texts
        .iter()
        .filter(|(id, _)| id.starts_with(room))
        .map(|(_, text)| toml::from_str(text).ok())
        .collect()
}

fn walk(root: &Path, folder: &Path, texts: &mut BTreeMap<String, String>) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for path in entries.flatten().map(|e| e.path()) {
        if path.is_dir() {
            walk(root, &path, texts);
        } else if path.extension().is_some_and(|e| e == "toml") {
            let id = path
                .with_extension("")
                .strip_prefix(root)
                .unwrap_or(&path)
                .components()
                .map(|c| c.as_os_str().to_string_lossy())
                .collect::<Vec<_>>()
                .join("/");
            texts.insert(id, std::fs::read_to_string(&path).unwrap_or_default());
        }
    }
}
