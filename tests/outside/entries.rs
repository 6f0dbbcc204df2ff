//! Log entries and due dates by a second author (`data/entries/README.md`).

use jiff::civil::Date;
use serde_json::Value;
use whomay::answer::{Finding, Flight, Reason, YearFacts, due, entry, year};
use whomay::model::{Basis, CategoryClass, Question, Text};
use whomay::patterns::{Patterns, TermOf};

fn lines(name: &str) -> Vec<Value> {
    std::fs::read_to_string(format!("tests/outside/data/entries/{name}"))
        .unwrap()
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

fn day(value: &Value) -> Option<Date> {
    value.as_str().map(|d| d.parse().unwrap())
}

/// Letters and figures in capitals.
fn bare(words: &str) -> String {
    words
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .collect::<String>()
        .to_uppercase()
}

/// The kinds that a label of the set may stand for, by the names of the program.
fn kinds(label: &str) -> Vec<Option<&str>> {
    match label {
        "mechanic-airframe-only" | "mechanic-powerplant-only" | "mechanic-rating-not-said" => {
            vec![Some("mechanic")]
        }
        "builder-repairman-other-aircraft" => vec![Some("builder-repairman")],
        "light-sport-repairman-rating-not-said" | "repairman-not-said-which" | "none" => vec![None],
        "builder-no-certificate-said" => vec![None, Some("owner")],
        other => vec![Some(other)],
    }
}

/// Other values that are defensible: one, or a list of them.
fn alternatives<'v>(alt: &'v Value, key: &str) -> Vec<&'v Value> {
    match alt.get(key) {
        Some(Value::Array(several)) => several.iter().collect(),
        Some(one) => vec![one],
        None => Vec::new(),
    }
}

#[derive(Default, Debug)]
struct Score {
    verdict: usize,
    kind: usize,
    date: usize,
    time: usize,
    name: usize,
    number: usize,
    finding: usize,
    aircraft: usize,
    wrongly_good: Vec<String>,
    right_called_defective: Vec<String>,
}

#[test]
fn entries_of_a_second_author_reach_the_bars() {
    reach_the_bars("entries.jsonl");
}

#[test]
fn further_entries_reach_the_bars() {
    reach_the_bars("entries-second.jsonl");
}

/// At first sight .82 of the verdicts; mended since.
#[test]
fn entries_of_a_third_author_reach_the_bars() {
    reach_the_bars("entries-third.jsonl");
}

/// At first sight .80 of the verdicts; mended since, but for the signer's kind (bar .97).
#[test]
fn entries_of_a_fourth_author_are_read_no_worse_than_they_were() {
    let (score, count) = scored("entries-fourth.jsonl");
    assert_eq!(count, 100);
    assert!(score.verdict >= 97 && score.kind >= 96, "{score:?}");
    assert!(score.date == 100 && score.time == 100, "{score:?}");
    assert!(score.name >= 96 && score.number >= 99, "{score:?}");
    assert!(score.finding >= 99 && score.aircraft == 100, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.is_empty(), "{score:?}");
}

/// Sixteen of them take back elsewhere what their statement says. Below the bar for the verdict, and
/// told so in the README: right entries with such words beside the statement are put in question.
#[test]
fn entries_of_a_fifth_author_are_never_good_wrongly() {
    let (score, count) = scored("entries-fifth.jsonl");
    assert_eq!(count, 70);
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.verdict >= 64 && score.kind >= 69, "{score:?}");
    assert!(score.right_called_defective.is_empty(), "{score:?}");
}

/// At first sight .74 of the verdicts: right entries with ordinary remarks beside the statement were put
/// in question. Mended since, but for some of them; below the bar for the verdict, and told so.
#[test]
fn entries_of_a_sixth_author_are_never_good_wrongly() {
    let (score, count) = scored("entries-sixth.jsonl");
    assert_eq!(count, 100);
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.is_empty(), "{score:?}");
    assert!(score.verdict >= 99 && score.kind == 100, "{score:?}");
    assert!(score.date == 100 && score.time == 100, "{score:?}");
    assert!(score.name == 100 && score.number == 100, "{score:?}");
    assert!(score.finding >= 96 && score.aircraft == 100, "{score:?}");
}

/// 83 of them take back beside the statement what it says, in words that the author thought of before
/// the program ran on them: at first sight 25 of these were good wrongly.
#[test]
fn entries_that_take_back_their_statement_are_never_good() {
    let (score, count) = scored("entries-seventh.jsonl");
    assert_eq!(count, 121);
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.is_empty(), "{score:?}");
    // "Kit" is a known word, so the number glued behind that name is not taken apart (`x040`).
    assert!(score.verdict >= 120 && score.kind >= 120, "{score:?}");
}

/// At first sight .89 of the verdicts; mended since.
#[test]
fn entries_of_an_eighth_set_reach_the_bars() {
    reach_the_bars("entries-eighth.jsonl");
}

/// At first sight .84 of the verdicts, four good wrongly; mended since.
#[test]
fn entries_of_a_ninth_set_reach_the_bars() {
    reach_the_bars("entries-ninth.jsonl");
}

/// At first sight .87 of the verdicts; mended since.
#[test]
fn entries_of_a_tenth_set_reach_the_bars() {
    reach_the_bars("entries-tenth.jsonl");
}

/// At first sight .92 of the verdicts; mended since.
#[test]
fn entries_of_an_eleventh_set_reach_the_bars() {
    reach_the_bars("entries-eleventh.jsonl");
}

/// At first sight, after the tenth and the eleventh were mended, .88 of the verdicts, none good wrongly; mended
/// since. Where a fault is left open the set calls the finding affirmative, and the program negative.
#[test]
fn entries_of_a_twelfth_set_reach_the_bars() {
    reach_the_bars("entries-twelfth.jsonl");
}

/// At first sight .81 of the verdicts, none good wrongly; mended since.
#[test]
fn entries_of_a_thirteenth_set_reach_the_bars() {
    reach_the_bars("entries-thirteenth.jsonl");
}

/// At first sight, after the thirteenth was mended, .76 of the verdicts, one good wrongly; mended since.
#[test]
fn entries_of_a_fourteenth_set_reach_the_bars() {
    reach_the_bars("entries-fourteenth.jsonl");
}

/// At first sight, after wordings, layouts and remarks of our own were mended, .73 of the verdicts, one good
/// wrongly (a cylinder far below its like, "staked, no change"); mended since.
#[test]
fn entries_of_a_fifteenth_set_are_never_good_wrongly() {
    let (score, count) = scored("entries-fifteenth.jsonl");
    assert_eq!(count, 120);
    assert!(score.verdict >= 114 && score.kind >= 117, "{score:?}");
    assert!(score.date == 120 && score.time >= 119, "{score:?}");
    assert!(score.name >= 118 && score.number >= 119, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.len() <= 1, "{score:?}");
}

/// At first sight, after the fifteenth was mended, .80 of the verdicts, none good wrongly; mended since.
#[test]
fn entries_of_a_sixteenth_set_are_never_good_wrongly() {
    let (score, count) = scored("entries-sixteenth.jsonl");
    assert_eq!(count, 120);
    assert!(score.verdict >= 115 && score.kind >= 118, "{score:?}");
    assert!(score.date == 120 && score.time >= 118, "{score:?}");
    assert!(score.name >= 116 && score.number >= 118, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.len() <= 2, "{score:?}");
}

/// At first sight .89 of the verdicts before the remarks were read by what a doubt can touch, .90 after, none good
/// wrongly; mended since.
#[test]
fn entries_of_a_seventeenth_set_reach_the_bars() {
    reach_the_bars("entries-seventeenth.jsonl");
}

/// At first sight, after the seventeenth was mended, .73 of the verdicts, three good wrongly; mended since. Below the
/// bar for the verdict.
#[test]
fn entries_of_an_eighteenth_set_are_never_good_wrongly() {
    let (score, count) = scored("entries-eighteenth.jsonl");
    assert_eq!(count, 120);
    assert!(score.verdict >= 111 && score.kind >= 115, "{score:?}");
    assert!(score.date >= 119 && score.time >= 117, "{score:?}");
    assert!(score.name >= 115 && score.number >= 118, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.len() <= 1, "{score:?}");
}

/// At first sight .88 of the verdicts, one good wrongly (the checklist of who made the engine), the same before and
/// after what is said in the present was asked for; mended since.
#[test]
fn entries_of_a_nineteenth_set_reach_the_bars() {
    reach_the_bars("entries-nineteenth.jsonl");
}

/// At first sight .83 of the verdicts, one good wrongly (a reading outside of the range that stands behind it), before and
/// after the nineteenth was mended; mended since. Below the bar for the verdict.
#[test]
fn entries_of_a_twentieth_set_are_never_good_wrongly() {
    let (score, count) = scored("entries-twentieth.jsonl");
    assert_eq!(count, 120);
    assert!(score.verdict >= 108 && score.kind >= 117, "{score:?}");
    assert!(score.date == 120 && score.time == 120, "{score:?}");
    assert!(score.name >= 118 && score.number >= 120, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.len() <= 1, "{score:?}");
}

/// At first sight .91 of the verdicts, and .92 after forms of our own were read; one good wrongly in both (the serial
/// number of a sister without a label); mended since.
#[test]
fn entries_of_a_twenty_first_set_reach_the_bars() {
    reach_the_bars("entries-twenty-first.jsonl");
}

/// At first sight .82 of the verdicts, before and after the twenty-first was mended, none good wrongly; mended since.
#[test]
fn entries_of_a_twenty_second_set_reach_the_bars() {
    reach_the_bars("entries-twenty-second.jsonl");
}

/// At first sight .89 of the verdicts, two good wrongly (readings beyond a limit that stands in front of its word, or
/// that a book allows); mended since, and no more. Below the bar for the verdict.
#[test]
fn entries_of_a_twenty_third_set_are_never_good_wrongly() {
    let (score, count) = scored("entries-twenty-third.jsonl");
    assert_eq!(count, 120);
    assert!(score.verdict >= 112 && score.kind >= 119, "{score:?}");
    assert!(score.date == 120 && score.time >= 119, "{score:?}");
    assert!(score.name >= 117 && score.number >= 119, "{score:?}");
    assert!(score.finding >= 111 && score.aircraft == 120, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.len() <= 2, "{score:?}");
}

/// Right entries in as many forms as we could think of, in three parts, each written before the program ran on it. At
/// first sight, the program before: .81, .73 and .65 of the verdicts; after the part before was mended: .77 of the
/// second, .80 of the third.
#[test]
fn forms_of_entries_are_read() {
    let (score, count) = scored("entries-forms.jsonl");
    assert_eq!(count, 268);
    assert!(score.verdict >= 258 && score.kind >= 266, "{score:?}");
    assert!(score.date == 268 && score.time >= 262, "{score:?}");
    assert!(score.name >= 264 && score.number >= 266, "{score:?}");
    assert!(score.right_called_defective.len() <= 6, "{score:?}");
}

/// One right entry again and again, each time with one of its parts in another wording: finding, scope, total
/// time, day, certificate, signature, station.
#[test]
fn wordings_of_each_part_of_an_entry_are_read() {
    let (score, count) = scored("entries-wordings.jsonl");
    assert_eq!(count, 258);
    assert!(score.verdict >= 247 && score.kind >= 255, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
}

/// Tables, exports, objects in braces, boxes, prose; ten of forty are not right.
#[test]
fn layouts_of_entries_are_read() {
    let (score, count) = scored("entries-layouts.jsonl");
    assert_eq!(count, 40);
    assert!(score.verdict >= 37 && score.kind >= 39, "{score:?}");
    assert!(score.wrongly_good.is_empty(), "{score:?}");
}

/// Remarks beside a whole statement (`data/entries/remarks.jsonl`), by the one who mended the words,
/// written before the program ran on them: 175 that do nothing, 135 that take something back.
#[test]
fn remarks_are_told_apart_by_what_they_do() {
    let (left_be, believed) = remarks("remarks.jsonl");
    assert!(left_be >= 158, "{left_be}");
    assert!(believed.len() <= 5, "{believed:#?}");
}

/// By the one who mended the words again, in five parts, each written before the program ran on it: 412 that
/// do nothing and 299 that take something back, harder than those that stand in logs.
#[test]
fn further_remarks_are_told_apart_by_what_they_do() {
    let (left_be, believed) = remarks("remarks-second.jsonl");
    assert!(left_be >= 381, "{left_be}");
    assert!(believed.len() <= 17, "{believed:#?}");
}

/// By the one who mended the words a third time, in two parts, each written before the program ran on it: what
/// mechanics write of every system of an aircraft, 206 that do nothing and 119 that leave a fault open in words
/// or readings that are a fault without a word of one.
#[test]
fn remarks_of_a_third_set_are_told_apart_by_what_they_do() {
    let (left_be, believed) = remarks("remarks-third.jsonl");
    assert!(left_be >= 198, "{left_be}");
    assert!(believed.len() <= 8, "{believed:#?}");
}

/// Written before the program ran on them, of parts that no file knows. At first sight 73 of 90 left alone and 38
/// of 50 found.
#[test]
fn remarks_of_a_fourth_set_are_told_apart_by_what_they_do() {
    let (left_be, believed) = remarks("remarks-fourth.jsonl");
    assert!(left_be >= 79, "{left_be}");
    assert!(believed.len() <= 3, "{believed:#?}");
}

/// Written before the program ran on them, of both kinds, in two parts, the second after the first was mended. At
/// first sight 41 of 60 and 37 of 50 left alone, 29 of 40 and 17 of 30 found.
#[test]
fn remarks_of_a_fifth_set_are_told_apart_by_what_they_do() {
    let (left_be, believed) = remarks("remarks-fifth.jsonl");
    assert!(left_be >= 90, "{left_be}");
    assert!(believed.len() <= 17, "{believed:#?}");
}

/// Faults told without a word of one ("coolant level goes down about a cup each flight") and harmless remarks in the present
/// and the past, in two parts, each written before the program ran on it. At first sight, the program before: 110 and
/// 106 of 120 left alone, 30 and 32 of 60 found; after what is said in the present had been asked for, the second
/// part: 89 left alone, 47 found.
#[test]
fn remarks_of_a_sixth_set_are_told_apart_by_what_they_do() {
    let (left_be, believed) = remarks("remarks-sixth.jsonl");
    assert!(left_be >= 201, "{left_be}");
    assert!(believed.len() <= 11, "{believed:#?}");
}

/// Faults without a word of one and harmless remarks, in two parts. At first sight, the program before: 105 of 120 and 114
/// of 121 left alone, 44 and 47 of 60 found; after the first part was mended, the second: 114 and 48.
#[test]
fn remarks_of_a_seventh_set_are_told_apart_by_what_they_do() {
    let (left_be, believed) = remarks("remarks-seventh.jsonl");
    assert!(left_be >= 223, "{left_be}");
    assert!(believed.len() <= 15, "{believed:#?}");
}

/// How many remarks that do nothing are left alone, and which that take something back are believed.
fn remarks(name: &str) -> (usize, Vec<String>) {
    let patterns = Patterns::embedded().unwrap();
    let path = "tests/outside/data/entries/letters/g-closed.txt";
    let text = Text::verbatim(&std::fs::read_to_string(path).unwrap());
    let letter = whomay::understand(&text, &patterns);
    let question = Question::on("2026-11-20".parse().unwrap());
    let (mut left_be, mut believed) = (0, Vec::new());
    for row in lines(name) {
        let remark = row["remark"].as_str().unwrap();
        let words = format!(
            "5/10/2026  N000GC  TT 400.0\nI certify that this aircraft has been inspected on \
             5/10/2026 in accordance with the scope and detail of appendix D to part 43, and was \
             found to be in a condition for safe operation.\n{remark}\nDora Penhallow  A&P  0013399"
        );
        let good = entry(&letter, &text.content, &words, &question, &patterns)
            .good_through
            .is_some();
        if row["does"] == "nothing" {
            left_be += usize::from(good);
        } else if good {
            believed.push(remark.to_owned());
        }
    }
    (left_be, believed)
}

fn scored(name: &str) -> (Score, usize) {
    let patterns = Patterns::embedded().unwrap();
    let set = lines(name);
    let mut score = Score::default();
    for row in &set {
        one(row, &patterns, &mut score);
    }
    println!("{score:?}");
    (score, set.len())
}

fn reach_the_bars(name: &str) {
    let (score, count) = scored(name);
    let share = |n: usize| n as f64 / count as f64;
    assert!(share(score.verdict) >= 0.95, "{score:?}");
    assert!(share(score.kind) >= 0.97, "{score:?}");
    for field in [
        score.date,
        score.time,
        score.name,
        score.number,
        score.finding,
        score.aircraft,
    ] {
        assert!(share(field) >= 0.95, "{score:?}");
    }
    assert!(score.wrongly_good.is_empty(), "{score:?}");
    assert!(score.right_called_defective.len() <= 2, "{score:?}");
}

fn one(row: &Value, patterns: &Patterns, score: &mut Score) {
    let (want, alt) = (&row["expect"], &row["alt"]);
    let path = format!(
        "tests/outside/data/entries/letters/{}.txt",
        row["letter"].as_str().unwrap()
    );
    let text = Text::verbatim(&std::fs::read_to_string(path).unwrap());
    let letter = whomay::understand(&text, patterns);
    let question = Question::on(day(&row["on"]).unwrap());
    let words = row["entry"].as_str().unwrap();
    let found = entry(&letter, &text.content, words, &question, patterns);
    let id = row["id"].as_str().unwrap().to_owned();
    let either = |key: &str, got: &dyn Fn(&Value) -> bool| -> usize {
        let right = got(&want[key]) || alternatives(alt, key).into_iter().any(got);
        if !right {
            println!("{id}: {key} is not {}: {found:?}", want[key]);
        }
        usize::from(right)
    };
    score.verdict += either("verdict", &|v| v.as_str() == Some(found.verdict.name()));
    score.kind += either("signer_kind", &|v| {
        v.as_str()
            .is_some_and(|k| kinds(k).contains(&found.kind().map(whomay::model::Kind::name)))
    });
    score.date += either("date", &|v| day_or_none(v) == found.date);
    score.time += either("total_time", &|v| {
        let hours = v.as_str().and_then(hours);
        hours == found.hours.as_ref().map(|h| h.0)
    });
    let same = |v: &Value, got: &Option<String>| {
        bare(v.as_str().unwrap_or_default()) == bare(got.as_deref().unwrap_or_default())
    };
    score.name += either("name", &|v| same(v, &found.name));
    score.number += either("number", &|v| same(v, &found.number));
    let finding = match found.finding.0 {
        Finding::Affirmative => "affirmative",
        Finding::Negative | Finding::Qualified => "negative",
        Finding::Missing => "absent",
    };
    score.finding += either("finding", &|v| v.as_str() == Some(finding));
    let other = found
        .reasons
        .iter()
        .any(|r| matches!(r, Reason::OtherMark { .. } | Reason::OtherSerial(_)));
    let aircraft = match (other, found.same_aircraft) {
        (true, _) => "other",
        (false, true) => "same",
        (false, false) => "not said",
    };
    score.aircraft += either("aircraft", &|v| v.as_str() == Some(aircraft));
    let good = found.good_through.map(|d| d.to_string());
    let defensible = alternatives(alt, "verdict").iter().any(|v| *v == "current");
    if good.is_some() && good.as_deref() != want["good_through"].as_str() && !defensible {
        score.wrongly_good.push(id.clone());
    }
    let said_so = alternatives(alt, "verdict")
        .iter()
        .any(|v| *v == "defective");
    if want["verdict"] == "current" && found.verdict.name() == "defective" && !said_so {
        score.right_called_defective.push(id);
    }
}

/// Hours of a label: "1,204.7", "6 322.7", "512:35".
fn hours(label: &str) -> Option<f64> {
    let plain = label.replace([',', ' '], "");
    match plain.split_once(':') {
        Some((whole, minutes)) => {
            let (whole, minutes): (f64, f64) = (whole.parse().ok()?, minutes.parse().ok()?);
            Some(whole + minutes / 60.0)
        }
        None => plain.parse().ok(),
    }
}

fn day_or_none(value: &Value) -> Option<Date> {
    value.as_str().and_then(|d| d.parse().ok())
}

/// At first sight 25 of 30, one day claimed where no clause sets one (how long a record is kept). `xd08`, `xd09`: of
/// hours and a day the label names the day alone.
#[test]
fn due_dates_of_a_twenty_first_set_are_right_but_for_two() {
    let wrong = wrong("due-twenty-first.jsonl");
    let hours = |w: &String| w.contains("\"xd08\"") || w.contains("\"xd09\"");
    assert!(wrong.iter().all(hours), "{wrong:#?}");
}

#[test]
fn due_dates_of_a_second_author_are_all_right() {
    all_right("due.jsonl");
}

#[test]
fn further_due_dates_are_all_right() {
    all_right("due-second.jsonl");
}

#[test]
fn due_dates_of_a_third_author_are_all_right() {
    all_right("due-third.jsonl");
}

/// A day of the year ("not later than April 30 of every year") is not computed.
#[test]
fn due_dates_of_a_fourth_author_are_right_but_for_a_fixed_day() {
    let wrong = wrong("due-fourth.jsonl");
    assert!(wrong.iter().all(|w| w.contains("ud27")), "{wrong:#?}");
}

/// At first sight 27 of 30.
#[test]
fn due_dates_of_a_fifth_set_are_all_right() {
    all_right("due-fifth.jsonl");
}

/// At first sight 30 of 30, with hours read as numbers.
#[test]
fn due_dates_of_a_sixth_set_are_all_right() {
    all_right("due-sixth.jsonl");
}

/// At first sight 30 of 30.
#[test]
fn due_dates_of_a_seventh_set_are_all_right() {
    all_right("due-seventh.jsonl");
}

/// At first sight 29 of 30: which day the certificate's three years took effect is not established, and one
/// issued between the two days in question is taken to run a year (`statement/certificate-term`).
#[test]
fn due_dates_of_an_eighth_set_are_right_but_for_a_day_not_established() {
    let wrong = wrong("due-eighth.jsonl");
    assert!(wrong.iter().all(|w| w.contains("yd21")), "{wrong:#?}");
}

/// At first sight 29 of 30: "365 days" alone was not heard as an interval.
#[test]
fn due_dates_of_a_ninth_set_are_all_right() {
    all_right("due-ninth.jsonl");
}

/// At first sight 27 of 30.
#[test]
fn due_dates_of_a_tenth_set_are_all_right() {
    all_right("due-tenth.jsonl");
}

/// At first sight 28 of 30.
#[test]
fn due_dates_of_an_eleventh_set_are_all_right() {
    all_right("due-eleventh.jsonl");
}

/// At first sight 30 of 30.
#[test]
fn due_dates_of_a_twelfth_set_are_all_right() {
    all_right("due-twelfth.jsonl");
}

/// At first sight 27 of 30. `d25`: an aircraft for research needs no transmitter (14 CFR 91.207(f)), which the label does
/// not see.
#[test]
fn due_dates_of_a_thirteenth_set_are_right_but_for_a_label() {
    let wrong = wrong("due-thirteenth.jsonl");
    assert!(wrong.iter().all(|w| w.contains("\"d25\"")), "{wrong:#?}");
}

/// At first sight 26 of 30: one day claimed from the interval of a transmitter.
#[test]
fn due_dates_of_a_fourteenth_set_are_all_right() {
    all_right("due-fourteenth.jsonl");
}

/// At first sight 25 of 30, no day claimed wrongly: a certificate that "expires one year from the date of issue", hours
/// without months, a clause that is not taken for one of the interval by its topic.
#[test]
fn due_dates_of_a_fifteenth_set_are_all_right() {
    all_right("due-fifteenth.jsonl");
}

/// At first sight 29 of 30: "after each 50 hours in service".
#[test]
fn due_dates_of_a_sixteenth_set_are_all_right() {
    all_right("due-sixteenth.jsonl");
}

/// At first sight 28 of 30, and 29 after intervals were read from what a sentence says; no day claimed wrongly. `d24`: of two
/// intervals the one before flight is not told apart from the one of storage, so no day is claimed.
#[test]
fn due_dates_of_a_seventeenth_set_are_right_but_for_one() {
    let wrong = wrong("due-seventeenth.jsonl");
    assert!(wrong.iter().all(|w| w.contains("\"d24\"")), "{wrong:#?}");
}

/// At first sight 30 of 30.
#[test]
fn due_dates_of_an_eighteenth_set_are_all_right() {
    all_right("due-eighteenth.jsonl");
}

/// At first sight 28 of 30, and no day claimed wrongly. `ud17`: hours of an inspection of parts alone.
#[test]
fn due_dates_of_a_nineteenth_set_are_right_but_for_one() {
    let wrong = wrong("due-nineteenth.jsonl");
    assert!(wrong.iter().all(|w| w.contains("\"ud17\"")), "{wrong:#?}");
}

/// At first sight 29 of 30. `dw20`: of hours that are left and a day that has passed the label names the day alone.
#[test]
fn due_dates_of_a_twentieth_set_are_right_but_for_one() {
    let wrong = wrong("due-twentieth.jsonl");
    assert!(wrong.iter().all(|w| w.contains("\"dw20\"")), "{wrong:#?}");
}

fn all_right(name: &str) {
    let wrong = wrong(name);
    assert!(wrong.is_empty(), "{wrong:#?}");
}

fn wrong(name: &str) -> Vec<String> {
    let patterns = Patterns::embedded().unwrap();
    let mut wrong = Vec::new();
    for row in lines(name) {
        let (facts, want) = (&row["facts"], &row["expect"]);
        let basis = facts["basis"].as_str().unwrap_or("21.191(g)");
        let head = if facts["certificate"].is_null() {
            format!("OPERATING LIMITATIONS\nEXPERIMENTAL, 14 CFR § {basis}\n")
        } else {
            "OPERATING LIMITATIONS\nSPECIAL AIRWORTHINESS CERTIFICATE, LIGHT-SPORT CATEGORY\n14 CFR § 21.190\n"
                .to_owned()
        };
        let clause = row["clause"]
            .as_str()
            .filter(|c| !c.is_empty())
            .unwrap_or("The placard must be displayed.");
        let text = Text::verbatim(&format!(
            "{head}\n1. This aircraft must be operated in accordance with part 91 and these operating limitations, which must be carried in the aircraft.\n\n2. {clause}\n"
        ));
        let letter = whomay::understand(&text, &patterns);
        // Where the facts are silent on placard and entry, the removal is one that the rule knows.
        let removed = facts["placard"] != false && facts["log_entry"] != false;
        let known = YearFacts {
            hours_left: facts["hours_left"].as_f64(),
            expires: day(&facts["certificate_expires"]),
            certified: day(&facts["certificate_issued"]),
            altimeter: day(&facts["altimeter"]),
            ifr: facts["ifr"].as_bool(),
            transponder: day(&facts["transponder"]),
            elt: day(&facts["elt"]),
            elt_removed: removed.then(|| day(&facts["elt_removed"])).flatten(),
            seats: facts["seats"].as_u64().and_then(|n| u32::try_from(n).ok()),
            flight: facts["use"].as_str().map(|u| match u {
                "exhibition flight" => Flight::Purpose,
                "training within 50 NM of the airport" => Flight::LocalTraining,
                "ferry to a place where the ELT can be repaired" => Flight::FerryForElt,
                _ => Flight::Other,
            }),
            aircraft: facts["category"].as_str().and_then(CategoryClass::parse),
            basis: Basis::parse(basis),
        };
        let found = year(
            day(&row["done"]).unwrap(),
            day(&row["on"]).unwrap(),
            Some((&letter, &text)),
            &known,
            &patterns,
        );
        let id = &row["id"];
        let either = |key: &str, got: &dyn Fn(&Value) -> bool| {
            got(&want[key]) || alternatives(&row["alt"], key).into_iter().any(got)
        };
        if !either("inspection_due", &|v| found.due.last_day == day(v)) {
            wrong.push(format!("{id}: due {:?}", found.due.last_day));
        }
        if !either("overdue", &|v| Some(found.is_overdue()) == v.as_bool()) {
            wrong.push(format!("{id}: overdue {:?}", found.overdue));
        }
        let name = |of: &TermOf| match of {
            TermOf::Inspection => "inspection",
            TermOf::Certificate => "certificate",
            TermOf::Altimeter => "altimeter",
            TermOf::Transponder => "transponder",
            TermOf::Elt => "elt",
        };
        let mut next: Vec<String> = match (found.hours_left, &found.next) {
            (Some(left), _) => vec![format!("hours {left}")],
            (None, Some((day, of))) => of.iter().map(|o| format!("{} {day}", name(o))).collect(),
            (None, None) => Vec::new(),
        };
        next.sort();
        let same = |v: &Value| {
            let mut wanted: Vec<String> = v
                .as_str()
                .filter(|w| *w != "none")
                .map(|w| w.split(';').map(|p| limit(p.trim())).collect())
                .unwrap_or_default();
            wanted.sort();
            next == wanted
        };
        if !either("next_limit", &same) {
            wrong.push(format!("{id}: next {next:?}"));
        }
    }
    wrong
}

/// A limit of a label, with hours as the number they are: "hours 41.0" is "hours 41".
fn limit(label: &str) -> String {
    match label
        .strip_prefix("hours ")
        .and_then(|h| h.parse::<f64>().ok())
    {
        Some(hours) => format!("hours {hours}"),
        None => label.to_owned(),
    }
}

/// Nothing is claimed where nothing says so: the letter without an interval.
#[test]
fn no_interval_gives_no_day() {
    let dues = due(
        &["2026-05-14".parse().unwrap()],
        &whomay::answer::Interval::NoClause,
    );
    assert_eq!(dues[0].last_day, None);
}
