//! The libraries that the program is built from: under which licenses they come, which are there
//! twice, where they come from, and which have an advisory against them. What is borne stands with its
//! reason in `.ci/libraries.toml`.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Borne {
    /// Licenses, with what each asks for.
    licenses: BTreeMap<String, String>,
    /// Libraries in two versions, with the reason.
    twice: BTreeMap<String, String>,
    /// Advisories, with the reason.
    advisories: BTreeMap<String, String>,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn borne() -> Borne {
    let borne: Borne =
        toml::from_str(&std::fs::read_to_string(root().join(".ci/libraries.toml")).unwrap())
            .unwrap();
    let reasons = [&borne.licenses, &borne.twice, &borne.advisories];
    for (name, reason) in reasons.into_iter().flatten() {
        assert!(reason.len() > 5, "{name} has no reason");
    }
    borne
}

#[derive(Deserialize)]
struct Lock {
    package: Vec<Locked>,
}

#[derive(Deserialize)]
struct Locked {
    name: String,
    version: String,
    source: Option<String>,
    checksum: Option<String>,
}

fn lock() -> Vec<Locked> {
    let lock = std::fs::read_to_string(root().join("Cargo.lock")).unwrap();
    toml::from_str::<Lock>(&lock).unwrap().package
}

/// Whether an SPDX expression can be met with these licenses; none where it is no expression. `/` is
/// an old way to write OR.
fn allowed(expression: &str, licenses: &BTreeSet<&str>) -> Option<bool> {
    let spaced = expression
        .replace('(', " ( ")
        .replace(')', " ) ")
        .replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut rest = words.as_slice();
    let result = either(&mut rest, licenses)?;
    rest.is_empty().then_some(result)
}

fn either(words: &mut &[&str], licenses: &BTreeSet<&str>) -> Option<bool> {
    let mut result = both(words, licenses)?;
    while let ["OR", rest @ ..] = *words {
        *words = rest;
        result |= both(words, licenses)?;
    }
    Some(result)
}

fn both(words: &mut &[&str], licenses: &BTreeSet<&str>) -> Option<bool> {
    let mut result = one(words, licenses)?;
    while let ["AND", rest @ ..] = *words {
        *words = rest;
        result &= one(words, licenses)?;
    }
    Some(result)
}

fn one(words: &mut &[&str], licenses: &BTreeSet<&str>) -> Option<bool> {
    match *words {
        ["(", rest @ ..] => {
            *words = rest;
            let result = either(words, licenses)?;
            *words = words.strip_prefix(&[")"])?;
            Some(result)
        }
        // A license with an exception is another license.
        [license, "WITH", exception, rest @ ..] => {
            *words = rest;
            Some(licenses.contains(format!("{license} WITH {exception}").as_str()))
        }
        [")" | "OR" | "AND" | "WITH", ..] | [] => None,
        [license, rest @ ..] => {
            *words = rest;
            Some(licenses.contains(license))
        }
    }
}

#[test]
fn expressions_of_licenses_are_read() {
    let licenses = BTreeSet::from(["MIT", "Zlib"]);
    for (expression, expected) in [
        ("MIT", Some(true)),
        ("GPL-3.0-only", Some(false)),
        ("GPL-3.0-only OR MIT", Some(true)),
        ("GPL-3.0-only/MIT", Some(true)),
        ("GPL-3.0-only AND MIT", Some(false)),
        ("Zlib AND MIT", Some(true)),
        ("(Zlib OR MIT) AND Unicode-3.0", Some(false)),
        ("Unicode-3.0 AND MIT OR Zlib", Some(true)),
        ("MIT WITH Some-exception", Some(false)),
        ("MIT WITH Some-exception OR Zlib", Some(true)),
        ("(MIT", None),
        ("MIT Zlib", None),
        ("", None),
    ] {
        assert_eq!(allowed(expression, &licenses), expected, "{expression}");
    }
}

#[test]
fn every_library_has_a_license_that_is_allowed() {
    #[derive(Deserialize)]
    struct Metadata {
        packages: Vec<Package>,
    }
    #[derive(Deserialize)]
    struct Package {
        name: String,
        version: String,
        license: Option<String>,
    }
    let cargo = |arguments: &[&str]| {
        let output = Command::new(env!("CARGO"))
            .args(arguments)
            .current_dir(root())
            .output()
            .unwrap();
        assert!(output.status.success(), "{output:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    // What other systems need was never fetched.
    let version = cargo(&["-vV"]);
    let host = version
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .unwrap();
    let metadata = cargo(&[
        "metadata",
        "--locked",
        "--offline",
        "--format-version=1",
        "--filter-platform",
        host,
    ]);
    let metadata: Metadata = serde_json::from_str(&metadata).unwrap();
    assert!(metadata.packages.len() > 200);
    let borne = borne();
    let licenses: BTreeSet<&str> = borne.licenses.keys().map(String::as_str).collect();
    let mut bad = Vec::new();
    let mut needed = BTreeSet::new();
    for package in &metadata.packages {
        let license = package.license.as_deref().unwrap_or_default();
        if allowed(license, &licenses) != Some(true) {
            bad.push(format!("{} {}: «{license}»", package.name, package.version));
        }
        for one in &licenses {
            let mut fewer = licenses.clone();
            fewer.remove(one);
            if allowed(license, &fewer) != Some(true) {
                needed.insert(*one);
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert_eq!(needed, licenses, "allowed, and not needed");
}

#[test]
fn no_library_is_there_twice_without_a_reason() {
    let mut versions: BTreeMap<String, usize> = BTreeMap::new();
    for package in lock() {
        *versions.entry(package.name).or_default() += 1;
    }
    versions.retain(|_, n| *n > 1);
    let twice: Vec<&String> = versions.keys().collect();
    let borne = borne();
    assert_eq!(twice, borne.twice.keys().collect::<Vec<_>>());
}

#[test]
fn every_library_comes_from_the_one_registry_and_has_a_checksum() {
    let mut sources = BTreeSet::new();
    for package in lock().iter().filter(|p| p.name != "whomay") {
        let source = package.source.as_deref().unwrap_or("a folder");
        assert!(
            source.starts_with("registry+"),
            "{}: {source}",
            package.name
        );
        assert!(package.checksum.is_some(), "{}", package.name);
        sources.insert(source.to_owned());
    }
    assert_eq!(sources.len(), 1, "{sources:?}");
}

/// An advisory as the RustSec database writes it, before its words.
#[derive(Deserialize)]
struct Advisory {
    advisory: About,
    versions: Versions,
}

#[derive(Deserialize)]
struct About {
    id: String,
    package: String,
    withdrawn: Option<String>,
}

#[derive(Deserialize)]
struct Versions {
    #[serde(default)]
    patched: Vec<String>,
    #[serde(default)]
    unaffected: Vec<String>,
}

/// The three numbers of a version; what stands behind `-` comes before the version itself.
fn numbers(version: &str) -> (Vec<u64>, bool) {
    let version = version.split('+').next().unwrap();
    let (numbers, before) = version
        .split_once('-')
        .map_or((version, false), |v| (v.0, true));
    let numbers = numbers.split('.').map(|n| n.trim().parse().unwrap());
    (numbers.collect(), !before)
}

/// Whether a version is one of those that a requirement names, such as `>= 1.2.3, < 2`.
fn meets(version: &str, requirement: &str) -> bool {
    let own = numbers(version);
    requirement.split(',').map(str::trim).all(|part| {
        let digit = part.find(|c: char| c.is_ascii_digit()).unwrap();
        let (sign, told) = part.split_at(digit);
        let told = numbers(told);
        let given = told.0.len();
        let full = |mut v: (Vec<u64>, bool)| {
            v.0.resize(3, 0);
            v
        };
        let order = own.cmp(&full(told.clone()));
        let same = |n: usize| own.0[..n] == full(told.clone()).0[..n];
        match sign.trim() {
            ">=" => order != Ordering::Less,
            ">" => order == Ordering::Greater,
            "<=" => order != Ordering::Greater,
            "<" => order == Ordering::Less,
            "=" => same(given),
            "~" => order != Ordering::Less && same(given.min(2)),
            "^" | "" => {
                let first = told.0.iter().position(|n| *n > 0).map_or(given, |n| n + 1);
                order != Ordering::Less && same(first)
            }
            sign => panic!("{sign} in {requirement}"),
        }
    })
}

/// The advisories of a copy of the database that speak of these packages and are not borne.
fn against(database: &Path, packages: &[Locked], borne: &BTreeMap<String, String>) -> Vec<String> {
    let mut found = Vec::new();
    for package in packages {
        let folder = database.join("crates").join(&package.name);
        let Ok(files) = std::fs::read_dir(folder) else {
            continue;
        };
        for file in files {
            let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
            let Some((_, rest)) = text.split_once("```toml\n") else {
                continue;
            };
            let head = rest.split("\n```").next().unwrap();
            let Advisory { advisory, versions } = toml::from_str(head).unwrap();
            let harmless = versions.patched.iter().chain(&versions.unaffected);
            if advisory.package == package.name
                && advisory.withdrawn.is_none()
                && !harmless.into_iter().any(|r| meets(&package.version, r))
                && !borne.contains_key(&advisory.id)
            {
                found.push(format!(
                    "{} {}: {}",
                    package.name, package.version, advisory.id
                ));
            }
        }
    }
    found.sort();
    found
}

#[test]
fn advisories_are_held_against_the_versions() {
    for (version, requirement, expected) in [
        ("1.2.3", ">= 1.2.3", true),
        ("1.2.3-rc.1", ">= 1.2.3", false),
        ("1.2.3", "< 1.2.3", false),
        ("1.2.10", "> 1.2.9", true),
        ("0.41.0", ">=0.30.1, <0.41.0", false),
        ("0.40.2", ">=0.30.1, <0.41.0", true),
        ("1.9.0", "^1.2", true),
        ("2.0.0", "^1.2", false),
        ("0.2.9", "^0.2.3", true),
        ("0.3.0", "^0.2.3", false),
        ("0.0.4", "^0.0.3", false),
        ("1.2.9", "~1.2.3", true),
        ("1.3.0", "~1.2.3", false),
        ("1.2.3+spec-1.1.0", "= 1.2.3", true),
        ("1.2.4", "= 1.2", true),
        ("1.2.4", "1.3", false),
    ] {
        assert_eq!(
            meets(version, requirement),
            expected,
            "{version} {requirement}"
        );
    }
    let database = tempfile::tempdir().unwrap();
    let folder = database.path().join("crates/invented");
    std::fs::create_dir_all(&folder).unwrap();
    let write = |id: &str, more: &str, patched: &str| {
        let text = format!(
            "```toml\n[advisory]\nid = \"{id}\"\npackage = \"invented\"\ndate = \"2026-01-01\"\n{more}\
             \n[versions]\npatched = [{patched}]\n```\n\n# Words\n"
        );
        std::fs::write(folder.join(format!("{id}.md")), text).unwrap();
    };
    write("A-1", "", "\">= 1.4.0\"");
    write("A-2", "", "\">= 1.3.0\"");
    write("A-3", "withdrawn = \"2026-02-01\"", "");
    write("A-4", "informational = \"unmaintained\"", "");
    write("A-5", "", "");
    let package = |name: &str| Locked {
        name: name.to_owned(),
        version: "1.3.0".to_owned(),
        source: None,
        checksum: None,
    };
    let packages = [package("invented"), package("another")];
    let borne = BTreeMap::from([("A-5".to_owned(), "a reason".to_owned())]);
    assert_eq!(
        against(database.path(), &packages, &borne),
        ["invented 1.3.0: A-1", "invented 1.3.0: A-4"]
    );
}

/// Only where a copy of the database is there: nothing is fetched for a test.
#[test]
fn no_library_has_an_advisory_against_it() {
    let Some(database) = std::env::var_os("WHOMAY_ADVISORIES") else {
        println!("skipped: WHOMAY_ADVISORIES names no copy of the database");
        return;
    };
    let database = Path::new(&database);
    assert!(database.join("crates").is_dir(), "no copy of the database");
    let found = against(database, &lock(), &borne().advisories);
    assert!(found.is_empty(), "{}", found.join("\n"));
}
