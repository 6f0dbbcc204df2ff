//! A club of invented letters with the truth about each: seeded, so that the same number gives the
//! same letters. Texts of limitations come from `patterns/wording/`; clauses that say who may
//! inspect, heads, names and marks are invented here. No mark is one that an aircraft can have.

use std::collections::BTreeMap;

use whomay::patterns::Patterns;

/// What is true of a letter.
#[derive(Clone, Debug)]
pub(crate) struct Truth {
    pub(crate) file: String,
    pub(crate) bytes: Vec<u8>,
    /// `open`, `closed`, `silent`, `contradictory`, `doubtful`, `unreadable`.
    pub(crate) form: &'static str,
    pub(crate) basis: Option<&'static str>,
    pub(crate) year: Option<i64>,
    pub(crate) named: Vec<&'static str>,
    /// Answers that were worked out by hand from the table of the two keys, for letters of
    /// amateur-built aircraft on 2026-11-25.
    pub(crate) answers: Vec<(&'static str, &'static str)>,
    /// A flaw that was put in.
    pub(crate) defect: Option<&'static str>,
    /// Words that tell whose letter it is.
    pub(crate) secrets: Vec<String>,
    /// The clause follows a reference wording.
    pub(crate) follows: bool,
}

/// A generator of numbers (xorshift), the same everywhere.
pub(crate) struct Seed(pub(crate) u64);

impl Seed {
    pub(crate) fn next(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(below).unwrap()).unwrap()
    }

    pub(crate) fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.next(all.len())]
    }
}

struct Who {
    form: &'static str,
    clauses: &'static [&'static str],
    named: &'static [&'static str],
    answers: &'static [(&'static str, &'static str)],
    follows: bool,
}

const B: &str = "builder-repairman";
const M: &str = "mechanic";
const S: &str = "repair-station";
const I: &str = "light-sport-repairman-inspection";

const WHO: [Who; 7] = [
    Who {
        form: "open",
        clauses: &[
            "An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.",
        ],
        named: &[B, M],
        answers: &[(B, "yes"), (M, "yes"), (S, "disputed"), (I, "undetermined")],
        follows: true,
    },
    Who {
        form: "open",
        clauses: &[
            "An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104, an appropriately rated FAA-certificated mechanic, or an appropriately rated FAA-certificated repair station may perform the condition inspection required by these operating limitations.",
        ],
        named: &[B, M, S],
        answers: &[(B, "yes"), (M, "yes"), (S, "yes"), (I, "undetermined")],
        follows: false,
    },
    Who {
        form: "open",
        clauses: &[
            "An appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.",
        ],
        named: &[M],
        answers: &[
            (B, "disputed"),
            (M, "yes"),
            (S, "disputed"),
            (I, "undetermined"),
        ],
        follows: false,
    },
    Who {
        form: "closed",
        clauses: &[
            "The condition inspection required by these operating limitations must be performed by an experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic.",
        ],
        named: &[B, M],
        answers: &[(B, "yes"), (M, "yes"), (S, "no"), (I, "no")],
        follows: false,
    },
    Who {
        form: "closed",
        clauses: &[
            "Only an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.",
        ],
        named: &[M],
        answers: &[(B, "no"), (M, "yes"), (S, "no"), (I, "no")],
        follows: false,
    },
    Who {
        form: "silent",
        clauses: &[],
        named: &[],
        answers: &[(B, "yes"), (M, "yes"), (S, "yes"), (I, "undetermined")],
        follows: false,
    },
    Who {
        form: "contradictory",
        clauses: &[
            "An appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.",
            "The condition inspection required by these operating limitations must be performed only by an appropriately rated FAA-certificated repair station.",
        ],
        named: &[M, S],
        answers: &[(M, "undetermined"), (I, "no")],
        follows: false,
    },
];

/// Clauses of every letter: what a letter is known by.
const COMMON: [&str; 3] = [
    "No person may operate this aircraft for carrying persons or property for compensation or hire.",
    "The pilot in command of this aircraft must notify the control tower of the experimental nature of this aircraft when operating into or out of airports with operational control towers.",
    "No person must operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection performed in accordance with the scope and detail of appendix D to part 43, and was found to be in a condition for safe operation.",
];

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A club of so many letters.
pub(crate) fn club(letters: usize, seed: u64) -> Vec<Truth> {
    let patterns = Patterns::embedded().unwrap();
    let mut series: BTreeMap<(&'static str, String), Vec<String>> = BTreeMap::new();
    for wording in &patterns.wording {
        let basis = match wording.file.basis.first().map(String::as_str) {
            Some("g") => "g",
            Some("d") => "d",
            Some("f") => "f",
            Some("i") => "i",
            _ => continue,
        };
        let words = wording.file.text.to_lowercase();
        let inspectors = [
            "mechanic",
            "repairm",
            "repair station",
            "inspector",
            "inspected by",
        ];
        // A text that is cut in its source ends in the middle of a sentence, as no clause does.
        if wording.file.cut != whomay::patterns::Cut::Whole
            || inspectors.iter().any(|w| words.contains(w))
            || wording.file.item == "lead-in"
            || wording.file.topic.starts_with("inspection")
            || words.contains('[')
            || words.contains("91.319(e)")
        {
            continue;
        }
        let text = wording
            .file
            .text
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        // The note of an order on where a clause applies is no part of it.
        let body = text
            .split(" (Applicability:")
            .next()
            .unwrap_or_default()
            .trim_start_matches(|c: char| c.is_ascii_digit() || "()[]. ".contains(c))
            .to_owned();
        series
            .entry((basis, wording.file.series.clone()))
            .or_default()
            .push(
                body.trim_end_matches(|c: char| "(){}0123456789 ".contains(c))
                    .to_owned(),
            );
    }
    let series: Vec<(&'static str, Vec<String>)> = series
        .into_iter()
        .map(|((basis, _), clauses)| (basis, clauses))
        .collect();
    let mut seed = Seed(seed);
    (0..letters)
        .map(|n| {
            if n % 20 == 7 {
                unreadable(n, &mut seed)
            } else {
                letter(n, &series, &mut seed)
            }
        })
        .collect()
}

fn name(n: usize, ending: &str) -> String {
    format!("{:02}/letter-{n:05}.{ending}", n / 100)
}

fn unreadable(n: usize, seed: &mut Seed) -> Truth {
    let (bytes, ending): (&[u8], _) = *seed.of(&[
        (b"".as_slice(), "txt"),
        (b"   \n\n  \n".as_slice(), "txt"),
        (
            b"\x00\x01\x02\x03\x00\x00\xff\xfe\x00\x01binary\x00\x00\x00".as_slice(),
            "dat",
        ),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00".as_slice(), "gif"),
        (
            b"<!DOCTYPE html><html><body>a page</body></html>".as_slice(),
            "html",
        ),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1old".as_slice(), "doc"),
        (
            b"PK\x03\x04 a damaged word processor's file".as_slice(),
            "docx",
        ),
    ]);
    Truth {
        file: name(n, ending),
        bytes: bytes.to_vec(),
        form: "unreadable",
        basis: None,
        year: None,
        named: Vec::new(),
        answers: Vec::new(),
        defect: None,
        secrets: Vec::new(),
        follows: false,
    }
}

fn letter(n: usize, series: &[(&'static str, Vec<String>)], seed: &mut Seed) -> Truth {
    let (basis, clauses) = seed.of(series);
    let who = seed.of(&WHO);
    let mut all: Vec<String> = COMMON.iter().map(|c| (*c).to_owned()).collect();
    all.extend(clauses.iter().take(12).cloned());
    let owner = format!("Quillon{n} Madeupson{n}");
    let mark = format!("N0IO{n}");
    let serial = format!("DEMO-{n:05}X");
    let road = format!("{} Zzyzx{n} Road, Sampleton{n}", n % 90 + 1);
    let mut secrets = vec![
        format!("Quillon{n}"),
        format!("Madeupson{n}"),
        mark.clone(),
        serial.clone(),
        format!("Zzyzx{n}"),
        format!("Sampleton{n}"),
    ];
    for (at, clause) in who.clauses.iter().enumerate() {
        let mut clause = (*clause).to_owned();
        if at == 0 && !who.follows && seed.next(8) == 0 {
            clause.push_str(&format!(
                " Papers go to {owner} ({mark}, s/n {serial}), {road}."
            ));
        }
        all.push(clause);
    }
    let defect = match seed.next(10) {
        0 => Some("missing-number"),
        1 => Some("repeated-number"),
        2 => Some("missing-page"),
        _ => None,
    };
    let year = (seed.next(8) > 0).then(|| 1996 + i64::try_from(seed.next(30)).unwrap());
    let title = match *basis {
        "g" => "EXPERIMENTAL, OPERATING AMATEUR-BUILT AIRCRAFT",
        "d" => "EXPERIMENTAL, EXHIBITION",
        "f" => "EXPERIMENTAL, MARKET SURVEY",
        _ => "EXPERIMENTAL, OPERATING LIGHT-SPORT AIRCRAFT",
    };
    let purpose = match *basis {
        "g" => "14 CFR section 21.191(g)",
        "d" => "14 CFR section 21.191(d)",
        "f" => "14 CFR section 21.191(f)",
        _ => "14 CFR section 21.191(i)",
    };
    let mut text = format!(
        "INVENTED SAMPLE - not a real letter\n\nOPERATING LIMITATIONS\n{title}\n\nRegistration \
         mark: {mark}\nSerial number: {serial}\nOwner: {owner}\nAddress: {road}\nPurpose: \
         {purpose}\n"
    );
    if let Some(year) = year {
        text.push_str(&format!(
            "Date of issue: {} {}, {year}\n",
            seed.of(&MONTHS),
            seed.next(28) + 1
        ));
    }
    text.push('\n');
    let pages = defect == Some("missing-page");
    if pages {
        text.push_str("Page 1 of 3\n\n");
    }
    let half = all.len() / 2;
    let mut number = 1;
    for (at, clause) in all.iter().enumerate() {
        if pages && at == half {
            text.push_str("\u{c}Page 2 of 3\n\n");
        }
        // A gap or a repetition in the middle, never at the clauses on inspectors.
        if at == 3 && defect == Some("missing-number") {
            number += 1;
        }
        if at == 3 && defect == Some("repeated-number") {
            number -= 1;
        }
        text.push_str(&format!("({number}) {}\n\n", wrapped(clause)));
        number += 1;
    }
    text.push_str(&format!("________________\n{owner}, applicant\n"));
    secrets.retain(|s| text.contains(s.as_str()));
    let lost = matches!(defect, Some("missing-number" | "missing-page"));
    let form = if who.form == "silent" && lost {
        "doubtful"
    } else {
        who.form
    };
    Truth {
        file: name(n, "txt"),
        bytes: text.into_bytes(),
        form,
        basis: Some(basis),
        year,
        named: who.named.to_vec(),
        answers: if *basis == "g" && form != "doubtful" && year.is_none_or(|y| y > 1979) {
            who.answers.to_vec()
        } else {
            Vec::new()
        },
        defect,
        secrets,
        follows: who.follows,
    }
}

fn wrapped(clause: &str) -> String {
    textwrap::fill(clause, 78)
}
