//! Mechanisms of the grammar, each with clauses that it reads and clauses that stay in doubt.
//!
//! The sentences are made for these tests; what they must mean is plain English (common practice,
//! no source).

use whomay::model::{Form, Inspection};
use whomay::patterns::Patterns;
use whomay::understand::{Context, passage};

/// What a clause comes to: "closed mechanic repair-station", "doubt", "nothing".
fn read(text: &str, patterns: &Patterns) -> String {
    let found = passage(text, Context::default(), patterns).inspectors;
    if found.iter().any(|r| r.doubt.is_some()) {
        return "doubt".into();
    }
    let mut out: Vec<String> = Vec::new();
    for rule in found {
        if rule.inspection == Inspection::Other {
            continue;
        }
        let form = match rule.form {
            Form::Closed => "closed",
            Form::Open => "open",
            Form::None => "none",
        };
        let mut words: Vec<&str> = rule.named.iter().map(|n| n.kind.name()).collect();
        words.sort_unstable();
        words.dedup();
        let mut shut: Vec<String> = rule
            .excluded
            .iter()
            .map(|n| format!("not-{}", n.kind.name()))
            .collect();
        shut.sort_unstable();
        let words: Vec<String> = words.into_iter().map(str::to_owned).chain(shut).collect();
        out.push(format!("{form} {}", words.join(" ")).trim().to_owned());
    }
    if out.is_empty() {
        return "nothing".into();
    }
    out.join("; ")
}

/// Reads each behind a sentence that names a mechanic.
fn behind_a_list(cases: &[(&str, &str)]) {
    let text = |behind: &str| format!("A mechanic may perform the condition inspection. {behind}");
    let texts: Vec<String> = cases.iter().map(|(behind, _)| text(behind)).collect();
    let wanted = cases.iter().map(|(_, wanted)| *wanted);
    let cases: Vec<(&str, &str)> = texts.iter().map(String::as_str).zip(wanted).collect();
    all(&cases);
}

fn all(cases: &[(&str, &str)]) {
    let patterns = Patterns::embedded().unwrap();
    let wrong: Vec<String> = cases
        .iter()
        .filter_map(|(text, wanted)| {
            let found = read(text, &patterns);
            (found != *wanted).then(|| format!("{text}\n  {found} instead of {wanted}"))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// An aside that says nothing may stand between any two parts of a statement; a condition, or an
/// aside with a person in it, may not be lost.
#[test]
fn asides_stand_anywhere_and_conditions_are_no_asides() {
    all(&[
        (
            "The condition inspection may, under the terms of this letter, be performed by a mechanic.",
            "open mechanic",
        ),
        (
            "The condition inspection shall, at the end of each period, be performed, if at all, only by a mechanic.",
            "closed mechanic",
        ),
        (
            "A mechanic may, wherever the aircraft is based, perform the condition inspection.",
            "open mechanic",
        ),
        (
            "The condition inspection may, with the builder's mother looking on, be performed by a mechanic.",
            "doubt",
        ),
        (
            "The condition inspection may, gribbling the frobs, be performed by a mechanic.",
            "doubt",
        ),
    ]);
}

/// Who gives a right to whom to do what: in every order of the words.
#[test]
fn rights_are_read_in_every_order() {
    all(&[
        (
            "There is extended to a mechanic the privilege of performing the condition inspection.",
            "open mechanic",
        ),
        (
            "In a mechanic is vested the sole authority to perform the condition inspection.",
            "closed mechanic",
        ),
        (
            "This letter restricts to a mechanic the performance of the condition inspection.",
            "closed mechanic",
        ),
        (
            "This office has no objection to a mechanic performing the condition inspection.",
            "open mechanic",
        ),
        (
            "This office recognizes nobody but a mechanic as entitled to perform the condition inspection.",
            "closed mechanic",
        ),
        (
            "This office has no opinion on a mechanic performing the condition inspection.",
            "doubt",
        ),
    ]);
}

/// Whoever performs it must be one of these.
#[test]
fn the_person_who_performs_it_is_told_with_who_and_anyone() {
    all(&[
        (
            "Anyone who performs the condition inspection must be a mechanic.",
            "closed mechanic",
        ),
        (
            "Any person who signs off the condition inspection must hold a mechanic certificate.",
            "closed mechanic",
        ),
        (
            "The person who performs the condition inspection must have good light at hand.",
            "nothing",
        ),
        (
            "The person who performs the condition inspection must have a mechanic's gribble.",
            "doubt",
        ),
    ]);
}

/// A person is no part of an open phrase, and a deed is none either.
#[test]
fn open_phrases_swallow_nobody_and_no_deed() {
    all(&[
        (
            "A repair station rated for the aircraft and an A & P may perform the condition inspection.",
            "open mechanic repair-station",
        ),
        (
            "The owner may call on a frobnicator to perform the condition inspection.",
            "doubt",
        ),
        (
            "Once each 12 calendar months this aircraft shall be gribbled by a mechanic.",
            "doubt",
        ),
        (
            "Each 12 calendar months this aircraft shall be gone over by a mechanic.",
            "closed mechanic",
        ),
        (
            "Before each flight the pilot shall inspect the aircraft; this does not replace the condition inspection.",
            "nothing",
        ),
    ]);
}

/// What a letter calls a term is that term; what it says of one inspection leaves the general rule.
#[test]
fn terms_and_exceptions_hold_where_the_letter_puts_them() {
    all(&[
        (
            "In this letter the \"yearly certifier\" means a mechanic. Only the yearly certifier may perform the condition inspection.",
            "closed mechanic",
        ),
        (
            "The inspections required by these limitations may be performed by a mechanic, except that the 100-hour inspection shall be performed by a repair station.",
            "open mechanic; closed repair-station",
        ),
        (
            "As to the 100-hour inspection, it may be performed by a repair station.",
            "open repair-station",
        ),
    ]);
}

/// A clause in capitals within a letter of small letters goes on over its lines, behind a semicolon
/// too, however long the lines are and whether or not blank lines stand between them: no line of it
/// is a heading.
#[test]
fn a_clause_in_capitals_is_one_clause() {
    let patterns = Patterns::embedded().unwrap();
    let long = "7. THE YEARLY CONDITION INSPECTION IS TO BE MADE BY AN AIRFRAME AND POWERPLANT MECHANIC;\n   \
        OR THE BUILDER WHO HOLDS THE REPAIRMAN CERTIFICATE FOR THIS AIRCRAFT.";
    let narrow = "7. THE YEARLY CONDITION INSPECTION\n   IS TO BE MADE BY A MECHANIC;\n   \
        OR THE BUILDER WHO HOLDS\n   THE REPAIRMAN CERTIFICATE FOR IT.";
    let two = "7. THE YEARLY CONDITION INSPECTION\n   IS TO BE MADE BY A MECHANIC.\n   \
        ALSO THE BUILDER MAY DO IT";
    let spaced = long.replace('\n', "\n\n");
    for clause in [long, narrow, two, &spaced] {
        let text = format!(
            "6. The pilot in command shall hold a pilot certificate.\n\n{clause}\n\n\
             8. No person may operate this aircraft for hire.\n"
        );
        let letter = whomay::understand(&whomay::model::Text::verbatim(&text), &patterns);
        if clause == long {
            let read = letter.clauses.iter().find(|c| c.id == "7").unwrap();
            assert!(read.span.of(&text).contains("THE BUILDER"), "{read:?}");
        }
        // The builder is named, or it is said that the clause is not clear.
        let builder = |r: &whomay::model::InspectorRule| r.named.len() == 2 || r.doubt.is_some();
        let rules = &letter.inspectors;
        let named: Vec<_> = rules.iter().flat_map(|r| &r.named).collect();
        let each = clause == two && named.len() == 2;
        assert!(rules.iter().all(builder) || each, "{clause}: {rules:?}");
    }
}

/// The form of each rule of a letter, the kinds that it names, and whether it is in doubt.
fn rules(text: &str, patterns: &Patterns) -> Vec<(&'static str, String, bool)> {
    let letter = whomay::understand(&whomay::model::Text::verbatim(text), patterns);
    let rules = letter.inspectors.iter().map(|r| {
        let kinds: Vec<&str> = r.named.iter().map(|n| n.kind.name()).collect();
        (r.form.name(), kinds.join(" "), r.doubt.is_some())
    });
    rules.collect()
}

/// What a letter says of the list that it gives, and who is meant when somebody is away, decides
/// with it.
#[test]
fn a_sentence_about_the_list_and_a_condition_on_somebody_are_heard() {
    let patterns = Patterns::embedded().unwrap();
    let read = |text: &str| rules(text, &patterns);
    let may = "6. A mechanic may perform the condition inspection.";
    let must = "6. A mechanic must perform the condition inspection.";
    let open = "The list in paragraph 6 is not exclusive.";
    let mechanic = |form, doubt| vec![(form, "mechanic".to_owned(), doubt)];
    // A list that closes nothing stays as it is; one that closes is in doubt, in the same clause,
    // in another one, by its number.
    assert_eq!(read(&format!("{may} {open}")), mechanic("open", false));
    for between in [" ", "\n\n7. "] {
        assert_eq!(
            read(&format!("{must}{between}{open}")),
            mechanic("closed", true)
        );
    }
    let other = format!("{must}\n\n7. The list in paragraph 9 is not exclusive.\n\n8. X.");
    assert_eq!(
        read(&other),
        mechanic("closed", true),
        "no such clause: any list"
    );
    let both = vec![("closed", "builder-repairman mechanic".to_owned(), false)];
    let absence = [
        "In the absence of the builder, a mechanic must perform the condition inspection.",
        "The condition inspection must be performed by a mechanic if the builder is away.",
    ];
    for text in absence {
        let mut found = read(text);
        for (_, kinds, _) in &mut found {
            let mut all: Vec<&str> = kinds.split(' ').collect();
            all.sort_unstable();
            *kinds = all.join(" ");
        }
        assert_eq!(found, both, "{text}");
    }
    // "If not by B": he may, too.
    let found =
        read("The condition inspection must be performed by a mechanic if not by the builder.");
    assert!(found[0].1.contains("builder-repairman"), "{found:?}");
    // What follows "or an approved" may be somebody, though the word is not known.
    let found = read(
        "The operator may call upon a mechanic rated for the work, an FAA approved repairstaton or \
         the manufacturer to perform the condition inspection.",
    );
    assert!(found.iter().any(|(_, _, doubt)| *doubt), "{found:?}");
    // "Such certificate" is not that of a person whom the sentence names behind it.
    let found = read(
        "The person holding such certificate may perform the condition inspection, and a mechanic \
         may do likewise.",
    );
    assert!(found.iter().all(|(_, _, doubt)| *doubt), "{found:?}");
    // The signature of somebody is no matter of records, and "go over" is inspecting.
    for text in [
        "The log entry for the condition inspection must carry the signature of a mechanic.",
        "The logbook entry covering the condition inspection shall be dated and signed by a mechanic.",
        "Every 12 calendar months a mechanic shall go over this aircraft in a condition inspection.",
    ] {
        assert_eq!(read(text), mechanic("closed", false), "{text}");
    }
    // "Any of them" means no list of which a member was not understood.
    let found = read(
        "The aircraft may be worked on by a repairmon, a mechanic, or a repair station. Any of them \
         may perform the condition inspection.",
    );
    assert!(found.iter().all(|(_, _, doubt)| *doubt), "{found:?}");
    let nothing = "Nothing in this letter limits who may do the inspection.";
    assert_eq!(read(&format!("{must} {nothing}")), mechanic("closed", true));
}

/// Whoever has an inspection as the object of what he does, in whatever verb, is not passed over:
/// silence would give everybody a "yes". What is only noted, watched or stands beside it is.
/// What a sentence behind a list asks of one of it, or adds to what was said last.
#[test]
fn what_is_asked_of_one_kind_is_asked_of_it_in_the_list() {
    let patterns = Patterns::embedded().unwrap();
    let list = "6. The builder or a mechanic may perform the condition inspection.";
    let asked = format!(
        "{list} A mechanic may not perform the condition inspection unless he holds an inspection authorization."
    );
    let letter = whomay::understand(&whomay::model::Text::verbatim(&asked), &patterns);
    let rule = &letter.inspectors[0];
    assert!(
        rule.doubt.is_some() || !rule.conditions.is_empty(),
        "{rule:?}"
    );
    for modal in ["may not", "cannot", "can't"] {
        let alone =
            format!("6. A mechanic {modal} sign off the condition inspection unless he has an IA.");
        let letter = whomay::understand(&whomay::model::Text::verbatim(&alone), &patterns);
        let rule = &letter.inspectors[0];
        assert!(rule.doubt.is_some() || rule.demands, "{rule:?}");
    }
    let doubts = |text: &str| rules(text, &patterns).iter().any(|(.., doubt)| *doubt);
    let must = "6. The builder must perform the condition inspection.";
    assert!(doubts(&format!(
        "{must} A mechanic may assist. So may a repair station."
    )));
    assert!(!doubts(&format!("{list} So may a repair station.")));
}

/// Who inspects may be told by "the inspector", and by a word that nobody knows before a modal verb.
#[test]
fn the_inspector_and_an_unknown_one_are_no_silence() {
    let patterns = Patterns::embedded().unwrap();
    let duty = "5. No person may operate this aircraft unless within the preceding 12 calendar months it has had a \
                condition inspection.\n\n6. ";
    for told in [
        "The inspector shall be a certificated mechanic.",
        "The tavolar shall inspect the aircraft each year.",
        "The tavolar must perform the condition inspection.",
    ] {
        let found = rules(&format!("{duty}{told}"), &patterns);
        let says = |(form, _, doubt): &(&str, String, bool)| *doubt || *form != "none";
        assert!(found.iter().any(says), "{told} {found:?}");
    }
    for other in [
        "A copy shall be shown to the inspector.",
        "The tavolar shall be painted each year.",
    ] {
        assert_eq!(rules(&format!("{duty}{other}"), &patterns), [], "{other}");
    }
}

/// What is written in the records, and whether it says who inspects: known by what the sentence lacks.
#[test]
fn what_is_written_in_the_records_names_nobody() {
    let patterns = Patterns::embedded().unwrap();
    let doubts = |text: &str| {
        let found = rules(text, &patterns);
        found
            .iter()
            .any(|(form, .., doubt)| *doubt || *form != "none")
    };
    for records in [
        "For each condition inspection, the records must show the day on which it was made and who made it, by signature.",
        "In the record of the condition inspection shall stand the date and the signature of the inspector.",
        "The log must tell when the condition inspection was made, at what total time, and by whom.",
        "The aircraft shall be inspected each year, and the records must show who made it.",
    ] {
        assert!(!doubts(records), "{records}");
    }
    for somebody in [
        "The records must show that a mechanic made the condition inspection.",
        "The records must show that a tavolar made the condition inspection.",
        "The condition inspection must be signed in the log by him.",
        "The condition inspection must be made by the person whose name is in the log.",
        "Whoever keeps the records makes the condition inspection.",
        "The condition inspection and the entry are the work of the pilot.",
        "The person making the entry in the log must be certificated and makes the condition inspection.",
    ] {
        assert!(doubts(somebody), "{somebody}");
    }
}

/// What bears on every list of a letter, in a clause of its own that names nobody.
#[test]
fn what_bears_on_every_list_puts_each_in_doubt() {
    let patterns = Patterns::embedded().unwrap();
    let doubts = |other: &str| {
        let text = format!("6. A mechanic may perform the condition inspection.\n\n7. {other}");
        let found = rules(&text, &patterns);
        found.iter().any(|(.., doubt)| *doubt)
    };
    for bears in [
        "Whatever is not permitted here is forbidden.",
        "May here means shall.",
        "The privileges of § 65.104 are withdrawn.",
    ] {
        assert!(doubts(bears), "{bears}");
    }
    for other in [
        "Flight over a city is forbidden.",
        "Aerobatic flight that is not permitted by the manual is forbidden.",
        "Limitation 3 of the letter of 1999 is withdrawn.",
        "All of the controls must be free.",
    ] {
        assert!(!doubts(other), "{other}");
    }
}

#[test]
fn no_act_on_an_inspection_is_silence() {
    let patterns = Patterns::embedded().unwrap();
    let rules = |text: &str| {
        whomay::understand(&whomay::model::Text::verbatim(text), &patterns)
            .inspectors
            .len()
    };
    for text in [
        "A mechanic shall begin the condition inspection each year.",
        "A mechanic must furnish the condition inspection each year.",
        "A mechanic shall check the aircraft in a condition inspection.",
        "Each year a mechanic shall test the aircraft by a condition inspection.",
        "A mechanic must service the aircraft, including the condition inspection.",
        "Before the due date a mechanic shall verify by a condition inspection that the aircraft is safe.",
        "The condition inspection shall be provided by a mechanic.",
        "The condition inspection is to be obtained from a mechanic.",
        "A mechanic must be used for the condition inspection.",
    ] {
        assert_ne!(rules(text), 0, "{text}");
    }
    for text in [
        "A mechanic may watch the condition inspection.",
        "The condition inspection shall be recorded in the log by the person who performed it.",
        "The owner shall keep the records of the condition inspection.",
        "The owner shall remove the cowling before the condition inspection.",
    ] {
        assert_eq!(rules(text), 0, "{text}");
    }
    // A second person within a phrase of the first one is no shop that employs him.
    let letter = whomay::understand(
        &whomay::model::Text::verbatim(
            "A repairman with a mechanic may perform the condition inspection.",
        ),
        &patterns,
    );
    assert!(letter.inspectors.iter().all(|r| r.doubt.is_some()));
}

/// What binds a certificate to the aircraft, what stands beside an "or", and what sounds like a
/// record but says who inspects.
#[test]
fn certificates_asides_and_signatures_are_read_by_their_parts() {
    let patterns = Patterns::embedded().unwrap();
    let read = |text: &str| rules(text, &patterns);
    let one = |form, kinds: &str, doubt| vec![(form, kinds.to_owned(), doubt)];
    for link in [
        "for this aircraft",
        "issued with respect to this aircraft",
        "that bears the serial number and model of this aircraft",
        "covering this aircraft",
    ] {
        let clause = format!(
            "6. The condition inspection may be performed by the holder of a repairman certificate {link}."
        );
        assert_eq!(
            read(&clause),
            one("open", "builder-repairman", false),
            "{link}"
        );
    }
    // a row of linking words that ends nowhere, and an unknown word in it
    for link in ["issued with respect to", "blorped to this aircraft"] {
        let clause = format!(
            "6. The condition inspection may be performed by the holder of a repairman certificate {link}."
        );
        assert!(read(&clause).iter().all(|(.., doubt)| *doubt), "{link}");
    }
    for or in [
        "or",
        "or, equally,",
        "or, in the alternative,",
        "or alternatively",
    ] {
        let clause = format!(
            "6. The condition inspection must be performed by a repair station {or} a mechanic."
        );
        assert_eq!(
            read(&clause),
            one("closed", "repair-station mechanic", false),
            "{or}"
        );
    }
    assert_eq!(
        read(
            "6. The maintenance record entry for the condition inspection shall be signed by a mechanic."
        ),
        one("closed", "mechanic", false)
    );
    assert_eq!(
        read("6. The maintenance record entry for the oil change shall be signed by a mechanic."),
        []
    );
    // a term and what it stands for; the only ones, and only one
    assert_eq!(
        read(
            "6. Wherever this letter speaks of an eligible person, it means a mechanic. The \
             condition inspection must be performed by an eligible person."
        ),
        one("closed", "mechanic", false)
    );
    let must = "6. A mechanic must perform the condition inspection.\n\n7.";
    assert_eq!(
        read(&format!(
            "{must} The persons named in limitation 6 are not to be read as the only ones permitted."
        )),
        one("closed", "mechanic", true)
    );
    assert_eq!(
        read(&format!(
            "{must} In addition to limitation 6, the pilot may carry only one passenger."
        )),
        one("closed", "mechanic", false)
    );
}

/// What an author's letters showed at first sight.
#[test]
fn labels_terms_and_the_other_inspection_are_heard() {
    let patterns = Patterns::embedded().unwrap();
    let lists = |text: &str| -> Vec<(String, String, Vec<&'static str>)> {
        let read = passage(text, Context::default(), &patterns);
        assert!(read.inspectors.iter().all(|r| r.doubt.is_none()), "{text}");
        read.inspectors
            .iter()
            .map(|r| {
                let named = r.named.iter().map(|n| n.kind.name()).collect();
                (
                    r.form.name().to_owned(),
                    r.inspection.name().to_owned(),
                    named,
                )
            })
            .collect()
    };
    let list = |form: &str, of: &str, named: &[&'static str]| {
        (form.to_owned(), of.to_owned(), named.to_vec())
    };
    let half =
        "The condition inspection may be performed by a) a mechanic, or b) a repair station.";
    assert_eq!(
        lists(half),
        [list("open", "yearly", &["mechanic", "repair-station"])]
    );
    let term = "A mechanic or a repair station will hereinafter be referred to as the approved person. \
        The condition inspection must be performed by the approved person.";
    assert_eq!(
        lists(term),
        [list("closed", "yearly", &["mechanic", "repair-station"])]
    );
    let other = "The condition inspection may be performed by a mechanic, except that when the 100 hour \
        inspection of this aircraft comes due, that inspection may be performed by a repair station.";
    assert_eq!(
        lists(other),
        [
            list("open", "yearly", &["mechanic"]),
            list("open", "100-hour", &["repair-station"])
        ]
    );
}

/// What binds a certificate, a rating or a rule to a person is any row of linking words; a word that is
/// none of them is never passed over.
#[test]
fn a_person_is_told_by_what_is_bound_to_him() {
    let cases = [
        (
            "a person whom the Administrator has certificated as a mechanic",
            "closed mechanic",
        ),
        (
            "a mechanic certificated by the FAA for both airframe and powerplant",
            "closed mechanic",
        ),
        (
            "a person holding a mechanic certificate on which both ratings, airframe and powerplant, are shown",
            "closed mechanic",
        ),
        (
            "a mechanic who also has a valid FAA inspection authorization",
            "closed mechanic",
        ),
        (
            "a repairman using the privileges given in § 65.109(b)",
            "closed light-sport-repairman-maintenance",
        ),
        (
            "a repairman whose FAA card names this very aircraft",
            "closed builder-repairman",
        ),
        (
            "a mechanic with the ratings that this aircraft calls for",
            "closed mechanic",
        ),
        ("a mechanic whose helper holds an airframe rating", "doubt"),
        (
            "a person acting for the holder of a mechanic certificate",
            "doubt",
        ),
        ("a person authorized by the builder", "doubt"),
        ("a repairman for maintenance", "doubt"),
        ("a person who once held a mechanic certificate", "doubt"),
        (
            "a person who has not been certificated as a mechanic",
            "doubt",
        ),
        ("a person certificated as a mechanic by Canada", "doubt"),
        ("a repairman acting outside § 65.109", "doubt"),
        (
            "a person for whom a mechanic certificate has been requested",
            "doubt",
        ),
        (
            "a mechanic with neither the airframe nor the powerplant rating",
            "doubt",
        ),
        (
            "a person authorized by a mechanic with airframe and powerplant ratings",
            "doubt",
        ),
    ];
    let sentences = cases.map(|(person, wanted)| {
        let text = format!("The condition inspection shall be performed by {person}.");
        (text, wanted)
    });
    let sentences: Vec<(&str, &str)> = sentences.iter().map(|(t, w)| (t.as_str(), *w)).collect();
    all(&sentences);
}

/// Which inspection is meant is told by a second name in brackets, by the letter that asks for it, or by
/// "of this kind".
#[test]
fn an_inspection_is_told_by_its_other_name_or_by_who_asks_for_it() {
    all(&[
        (
            "The yearly look-over of this aircraft (condition inspection) shall be performed by a mechanic.",
            "closed mechanic",
        ),
        (
            "Such inspections as this letter calls for shall be performed by a mechanic.",
            "closed mechanic",
        ),
        (
            "Such inspections as the owner calls for shall be performed by a mechanic.",
            "doubt",
        ),
        (
            "Performing the condition inspection is prohibited for all persons except a mechanic.",
            "closed mechanic",
        ),
        (
            "A mechanic shall not be used to perform the condition inspection.",
            "none not-mechanic",
        ),
    ]);
}

/// A clause in doubt on two inspections is in doubt on both, though a guess be made at one.
#[test]
fn a_doubt_reaches_every_inspection_of_the_clause() {
    let patterns = Patterns::embedded().unwrap();
    let text = "Except that the 100-hour inspection shall be completed by a mechanic who gribbles, the \
                condition inspection shall be completed by the builder or a mechanic.";
    let doubted: Vec<Inspection> = passage(text, Context::default(), &patterns)
        .inspectors
        .iter()
        .filter(|r| r.doubt.is_some())
        .map(|r| r.inspection)
        .collect();
    assert!(doubted.contains(&Inspection::Yearly), "{doubted:?}");
    assert!(doubted.contains(&Inspection::HundredHour), "{doubted:?}");
}

/// A list whose items have the numbers of clauses is one list where an item breaks off with "or"; and a misread
/// word may be the one that says which inspection is meant.
#[test]
fn a_list_that_breaks_off_and_a_misread_inspection_are_no_silence() {
    let patterns = Patterns::embedded().unwrap();
    let letter = |clause: &str| {
        let text = format!(
            "OPERATING LIMITATIONS\nExperimental, Amateur-Built\n\nThis aircraft shall be operated under VFR, day only.\n\
             {clause}\nNo person may carry passengers for hire.\n"
        );
        rules(&text, &patterns)
    };
    let list = letter(
        "(1) an A&P mechanic, or\n(2) a certificated repair station shall perform the condition inspection.",
    );
    // in doubt, or with both; never the last item alone
    for (form, kinds, doubt) in &list {
        assert!(
            *doubt || kinds == "mechanic repair-station",
            "{form} {kinds}"
        );
    }
    assert!(!list.is_empty());
    let misread = "Permission is granted to a repa1r station to carry out the condition inspecti0n and the 100-hour \
                   inspection.";
    let doubted: Vec<Inspection> = passage(misread, Context::default(), &patterns)
        .inspectors
        .iter()
        .filter(|r| r.doubt.is_some())
        .map(|r| r.inspection)
        .collect();
    assert!(doubted.contains(&Inspection::Yearly), "{doubted:?}");
}

/// A letter whose clause 7 lets the condition inspection be performed so, up to the number of the next clause.
fn with_clause_7(performed: &str, patterns: &Patterns) -> Vec<(&'static str, String, bool)> {
    let text = format!(
        "OPERATING LIMITATIONS\nExperimental, Amateur-Built\n\n6. This aircraft shall be operated under VFR, day \
         only.\n\n7. The condition inspection shall be performed {performed} No person may carry passengers for hire.\n"
    );
    rules(&text, patterns)
}

/// A sentence that takes, gives or changes what a list elsewhere says, and that was not read, leaves the list in
/// doubt; one that speaks of something else does not.
#[test]
fn a_sentence_that_bears_on_a_list_from_outside_is_heard() {
    let patterns = Patterns::embedded().unwrap();
    let doubted = |sentence: &str, same_clause: bool| {
        let join = if same_clause { " " } else { "\n\n8. " };
        let found = with_clause_7(
            &format!("by a mechanic or a repair station.{join}{sentence}\n\n9."),
            &patterns,
        );
        assert!(
            found.iter().any(|(form, ..)| *form == "closed"),
            "{sentence}: {found:?}"
        );
        found.iter().any(|(.., doubt)| *doubt)
    };
    for same in [
        "Optional.",
        "Phase I only.",
        "This is advisory.",
        "Its ratings shall include composite aircraft.",
        "The builder enjoys all the privileges of a mechanic.",
    ] {
        assert!(doubted(same, true), "{same}");
    }
    for other in [
        "Limitation 7 is waived.",
        "Shops under part 145 have no business with (7) unless this office says so.",
        "Limitations 3 through 7 apply only during Phase I.",
        "The preceding limitation is withdrawn.",
        "Repair stations have no privileges on this aircraft.",
        "For \"mechanic\" read \"mechanic or builder\".",
        "The words \"or a repair station\" in limitation 7 are of no effect.",
        "No other person may do so.",
        "CANCELLED June 3, 2004.",
        "The condition blorven shall be conducted by the builder.",
    ] {
        assert!(doubted(other, false), "{other}");
    }
    for innocent in [
        "In addition to limitation 7, the pilot may carry only one passenger.",
        "The aircraft may be washed by a mechanic.",
        "Repairs of the spar shall be performed by a mechanic.",
        "Limitations 3 through 5 apply only during Phase I.",
        "Carry (6) the registration and (7) the weight sheet.",
        "The following placard shall be displayed: EXPERIMENTAL.",
    ] {
        assert!(!doubted(innocent, false), "{innocent}");
    }
}

/// Where an item of a list is missing, nobody is shut out by the rest.
#[test]
fn a_list_with_a_lost_item_is_in_doubt() {
    let patterns = Patterns::embedded().unwrap();
    let list = |items: &str| {
        let found = with_clause_7(
            &format!("by one of the following: {items}.\n\n8."),
            &patterns,
        );
        found.iter().any(|(.., doubt)| *doubt)
    };
    assert!(!list(
        "(a) the builder; (b) a mechanic; (c) a repair station"
    ));
    assert!(list("(a) the builder; (c) a repair station"));
}

/// What a tail takes back of a list, and a negation that is not of the verb, are not passed over.
#[test]
fn a_tail_that_takes_back_and_not_always_are_in_doubt() {
    all(&[
        (
            "The condition inspection shall be performed by a mechanic or a repair station, the latter only.",
            "doubt",
        ),
        (
            "The condition inspection shall be performed by a mechanic or a repair station in turn.",
            "doubt",
        ),
        (
            "The condition inspection shall not always be performed by a mechanic.",
            "doubt",
        ),
        (
            "The condition inspection shall always be performed by a mechanic.",
            "closed mechanic",
        ),
    ]);
}

/// "You may not fly until A inspects": whom it names, and nobody else. What comes before or after an
/// inspection, and bars no flight, says nothing.
#[test]
fn who_inspects_before_a_flight_is_read_from_what_bars_it() {
    all(&[
        (
            "You may not operate this aircraft until a mechanic performs the condition inspection.",
            "closed mechanic",
        ),
        (
            "You may not operate this aircraft before a mechanic has performed the condition inspection.",
            "closed mechanic",
        ),
        (
            "Until the builder or a mechanic signs the condition inspection, do not fly this aircraft.",
            "closed builder-repairman mechanic",
        ),
        (
            "The owner may not fly this aircraft until either a mechanic or a repair station certifies that a \
             condition inspection within the preceding 12 calendar months found it in a condition for safe operation.",
            "closed mechanic repair-station",
        ),
        (
            "You may operate this aircraft only when a mechanic performs the condition inspection each year.",
            "closed mechanic",
        ),
        (
            "If a mechanic performs the condition inspection, the owner may fly the aircraft.",
            "doubt",
        ),
        (
            "The pilot may not leave the ground before a stranger signs the condition inspection of a mechanic.",
            "doubt",
        ),
        (
            "The owner shall furnish the logbooks when a mechanic performs the condition inspection.",
            "nothing",
        ),
        ("The builder may fly the aircraft.", "nothing"),
    ]);
}

/// Whoever inspects is a person, and what he must hold limits the inspection; what he need not hold
/// does not.
#[test]
fn what_whoever_inspects_must_hold_is_read() {
    all(&[
        (
            "Whoever performs the condition inspection must hold a current inspection authorization.",
            "closed mechanic",
        ),
        (
            "Whoever performs the condition inspection must hold a mechanic certificate.",
            "closed mechanic",
        ),
        (
            "Whoever performs the condition inspection must hold the blue permit.",
            "doubt",
        ),
        (
            "Whoever performs the condition inspection need not hold an inspection authorization.",
            "none",
        ),
        (
            "The owner may not have the condition inspection performed by a repair station.",
            "none not-repair-station",
        ),
        (
            "The owner need not have the condition inspection performed by a repair station.",
            "none repair-station",
        ),
    ]);
}

/// A word that nobody knows, where the inspection may have stood, leaves no silence.
#[test]
fn an_unknown_word_behind_condition_is_no_silence() {
    all(&[
        (
            "The yearly condition blorven shall be made by a mechanic.",
            "doubt",
        ),
        (
            "This aircraft shall be given a condition blorven, to the scope and detail of appendix D to part 43, by \
             the builder of the aircraft.",
            "doubt",
        ),
        (
            "The aircraft shall be kept in a blorven condition by a mechanic.",
            "nothing",
        ),
    ]);
}

/// An interval is made of parts: how often, a preposition, and a period.
#[test]
fn intervals_of_inspections_are_read_by_parts() {
    for words in [
        "for each period of 12 calendar months",
        "in every calendar year",
        "within each succeeding 12 months",
    ] {
        all(&[(
            &format!(
                "The condition inspection prescribed {words} shall be performed by a mechanic."
            ),
            "closed mechanic",
        )]);
    }
}

/// What a modal says is never dropped: a permission denied is none.
#[test]
fn a_rule_without_a_use_for_the_modal_keeps_what_it_says() {
    all(&[
        (
            "It shall not be permissible for a mechanic to perform the condition inspection.",
            "doubt",
        ),
        (
            "It shall be permissible for a mechanic to perform the condition inspection.",
            "open mechanic",
        ),
        (
            "Person permitted to perform the condition inspection: a mechanic only.",
            "closed mechanic",
        ),
    ]);
}

/// "May also" adds to the list before it, of whichever inspection that speaks; who adds himself is no
/// addition.
#[test]
fn an_addition_joins_a_list_on_any_inspection_of_its_own_clause() {
    all(&[
        (
            "The inspection described in item 7 of these limitations must be performed by a mechanic. The condition \
             inspection may also be performed by a certificated repair station.",
            "closed mechanic repair-station; closed mechanic",
        ),
        (
            "The builder holding the repairman certificate for this aircraft may perform the condition inspection \
             while also the owner of the aircraft.",
            "doubt",
        ),
    ]);
}

/// What would not bear on a list as a sentence of its own does not as a tail; what does is in doubt.
#[test]
fn a_tail_that_bears_on_nobody_is_passed_over() {
    all(&[
        (
            "A mechanic may perform the condition inspection, which is needed only if the aircraft is to be flown.",
            "open mechanic",
        ),
        (
            "A mechanic may perform the condition inspection, and the engine must be weighed.",
            "open mechanic",
        ),
        (
            "A mechanic may perform the condition inspection, and exceptions are not made.",
            "doubt",
        ),
        (
            "A mechanic may perform the condition inspection, but only Smith may sign.",
            "doubt",
        ),
        (
            "A mechanic may perform the condition inspection, with everybody else excluded.",
            "doubt",
        ),
        (
            "The condition inspection shall be performed by a mechanic, but when the aircraft has been sold.",
            "doubt",
        ),
    ]);
}

/// What asks for an inspection, of which aircraft and how often is told by a row of linking words, in
/// any order; what would be another inspection is none of them.
#[test]
fn an_inspection_is_bound_by_rows_of_linking_words() {
    all(&[
        (
            "This aircraft's yearly condition inspection may be performed by a mechanic.",
            "open mechanic",
        ),
        (
            "The condition inspection to which the aircraft named above is subject may be performed by a mechanic.",
            "open mechanic",
        ),
        (
            "A mechanic shall perform the inspection you will find required under limitation 2 above.",
            "closed mechanic",
        ),
        (
            "A mechanic may perform whatever inspections these operating limitations prescribe.",
            "open mechanic",
        ),
        (
            "The condition inspection which comes due on this aircraft from year to year may only be performed by a \
             mechanic.",
            "closed mechanic",
        ),
        (
            "The condition inspection of any other aircraft may be performed by a mechanic.",
            "doubt",
        ),
        (
            "The condition inspection made by a mechanic may be performed by a repair station.",
            "doubt",
        ),
    ]);
}

/// "The making of the inspection" is the deed itself, whatever verb stands before it.
#[test]
fn a_noun_for_the_deed_is_no_aside() {
    all(&[
        (
            "A mechanic may begin the carrying out of the condition inspection.",
            "doubt",
        ),
        (
            "A mechanic shall ensure the performance of the condition inspection.",
            "doubt",
        ),
        (
            "The owner may assist in the performance of the condition inspection.",
            "nothing",
        ),
        (
            "The owner shall notify this office on completion of the condition inspection.",
            "nothing",
        ),
        (
            "The owner shall keep a record of the condition inspection.",
            "nothing",
        ),
    ]);
}

/// What to keep, send or ask bears on no list; what says something of the list does.
#[test]
fn clerical_sentences_bear_on_no_list() {
    all(&[
        (
            "A mechanic may perform the condition inspection. Questions about this paragraph may be sent to this office.",
            "open mechanic",
        ),
        (
            "A mechanic may perform the condition inspection. Keep this letter in the aircraft.",
            "open mechanic",
        ),
        (
            "A mechanic may perform the condition inspection. Ask this office for exceptions.",
            "doubt",
        ),
    ]);
}

/// Offices type clauses without a verb: who is "OK", "required", "not permitted" or "only" behind a heading or
/// behind a sentence that names the inspection. What speaks of something else, or of nothing, is in doubt.
#[test]
fn a_line_without_a_verb_is_read_by_its_predicate() {
    all(&[
        (
            "Condition inspection: A&P mechanic OK, builder with repairman certificate OK, owner not OK.",
            "open builder-repairman mechanic not-owner",
        ),
        (
            "Condition inspection required every 12 months. A&P mechanic or repair station only.",
            "closed mechanic repair-station",
        ),
        (
            "Condition inspection each 12 mos. Must be performed by a mechanic.",
            "closed mechanic",
        ),
        (
            "No condition inspection by the owner. A&P mechanic required.",
            "closed mechanic not-owner",
        ),
        (
            "Condition inspection by a mechanic mandatory before flight.",
            "closed mechanic",
        ),
        (
            "A mechanic to inspect the aircraft every 12 months and sign.",
            "closed mechanic",
        ),
        (
            "Not authorized to sign condition inspection: owner, light-sport repairman.",
            "none not-light-sport-repairman not-owner",
        ),
        (
            "100 hr insp when towing for hire: A&P mechanic only.",
            "closed mechanic",
        ),
        (
            "Condition inspection: A&P signature required, IA not required.",
            "closed mechanic",
        ),
        (
            "Condition inspection by a mechanic not required.",
            "none mechanic",
        ),
        ("Condition inspection: tavolar OK, A&P OK.", "doubt"),
        ("Condition inspection: A&P mechanic recommended.", "doubt"),
        ("Condition inspection: A&P mechanic OK until sold.", "doubt"),
        (
            "Condition inspection by a mechanic required before first flight.",
            "doubt",
        ),
        (
            "Condition inspection required every 12 months. Major repairs: A&P mechanic only.",
            "doubt",
        ),
        (
            "Condition inspection required every 12 months. Passengers permitted.",
            "doubt",
        ),
        (
            "Condition inspection required every 12 months. A&P mechanic to assist the owner.",
            "doubt",
        ),
        (
            "No condition inspection by person without A&P certificate.",
            "doubt",
        ),
        ("A&P mechanic OK.", "doubt"),
    ]);
}

/// Whom the owner calls on for an inspection is said to do it; who is not to be counted among those named
/// is shut out; whose inspection counts no more is no silence.
#[test]
fn who_is_called_on_and_who_does_not_count_are_heard() {
    all(&[
        (
            "For the 100-hour inspection, the owner shall hire a mechanic.",
            "closed mechanic",
        ),
        (
            "For the condition inspection, the owner may use a mechanic.",
            "open mechanic",
        ),
        (
            "In the matter of the condition inspection, the owner shall hire a mechanic.",
            "closed mechanic",
        ),
        (
            "A mechanic may perform the condition inspection. A light-sport repairman is not to be counted among the \
             persons so described.",
            "open mechanic not-light-sport-repairman",
        ),
        (
            "After a sale the builder's condition inspection does not count any more.",
            "doubt",
        ),
        ("An FAA certificated mechanic may perform", "doubt"),
        (
            "The owner shall not have the condition inspection performed only by a mechanic.",
            "doubt",
        ),
        (
            "The owner shall not have the condition inspection performed by a mechanic with the proper ratings or the \
             certificated amateur builder of the aircraft.",
            "none not-builder-repairman not-mechanic",
        ),
    ]);
}

/// A person is told by a row of linking words with ratings, rules, the aircraft and its builder between them.
#[test]
fn a_person_is_bound_by_rows_of_linking_words() {
    all(&[
        (
            "The condition inspection may be performed by a person to whom a repairman card has been issued with this \
             aircraft entered on it.",
            "open builder-repairman",
        ),
        (
            "The condition inspection may be performed by a mechanic whose FAA certificate carries airframe and \
             powerplant ratings.",
            "open mechanic",
        ),
        (
            "The condition inspection may be performed by the holder of a light-sport repairman certificate on which \
             the rating entered is inspection.",
            "open light-sport-repairman-inspection",
        ),
        (
            "The condition inspection may be performed by a repairman certificated for this aircraft, the holder of a \
             light-sport repairman certificate, or a mechanic.",
            "open builder-repairman light-sport-repairman mechanic",
        ),
        (
            "The condition inspection may be performed by the aircraft's own certificated repairman.",
            "open builder-repairman",
        ),
        (
            "The condition inspection may be performed by the holder of the certificate that § 65.104 never grants to \
             the builder of this aircraft.",
            "doubt",
        ),
    ]);
}

/// A predicate of permission, duty, exclusion or limit takes the deed as a verb, as a noun or in front; denied,
/// it says the contrary or nothing certain.
#[test]
fn predicates_take_the_deed_in_any_form() {
    all(&[
        (
            "A mechanic is approved for the conduct of the condition inspection.",
            "open mechanic",
        ),
        (
            "A mechanic is not approved for the conduct of the condition inspection.",
            "none not-mechanic",
        ),
        (
            "For the performance of the condition inspection the owner may engage a mechanic.",
            "open mechanic",
        ),
        (
            "Apart from a mechanic, everyone is barred from performing the condition inspection.",
            "closed mechanic",
        ),
        (
            "Apart from a mechanic, everyone is free to perform the condition inspection.",
            "doubt",
        ),
        (
            "There is a ban on the conduct of the condition inspection by anyone other than a mechanic.",
            "closed mechanic",
        ),
        (
            "There is no ban on the conduct of the condition inspection by anyone other than a mechanic.",
            "doubt",
        ),
        (
            "The circle of those entitled to perform the condition inspection is confined to mechanics.",
            "closed mechanic",
        ),
        (
            "The circle of those entitled to perform the condition inspection is not confined to mechanics.",
            "doubt",
        ),
        (
            "The owner has no duty to hire a mechanic for the condition inspection.",
            "none mechanic",
        ),
        (
            "The builder has the duty to perform the condition inspection.",
            "closed builder-repairman",
        ),
        (
            "The condition inspection will be counted toward compliance only when performed by a mechanic.",
            "closed mechanic",
        ),
        (
            "A mechanic is qualified for flight as well as for the condition inspection.",
            "doubt",
        ),
    ]);
}

/// A sentence behind a list closes it, opens it, adds to it or shuts out of it by whom it means and what it says
/// of them; one that is not read leaves the list in doubt.
#[test]
fn sentences_behind_a_list_are_made_of_whom_and_what() {
    let cases = [
        (
            "Everyone not named above is shut out of this inspection.",
            "closed mechanic",
        ),
        (
            "The mention of those persons operates to exclude all others.",
            "closed mechanic",
        ),
        (
            "Beyond those so named, nobody is permitted to perform the inspection.",
            "closed mechanic",
        ),
        (
            "The FAA gives no credit for an inspection by someone else.",
            "closed mechanic",
        ),
        (
            "The foregoing is a complete list of the persons authorized to perform it.",
            "closed mechanic",
        ),
        (
            "The foregoing is not a complete list of those who may perform it.",
            "open mechanic",
        ),
        (
            "The above are the only ones entitled to perform it.",
            "closed mechanic",
        ),
        (
            "The above are not the only ones entitled to perform it.",
            "open mechanic",
        ),
        (
            "The rights of other persons authorized by regulation are unaffected.",
            "open mechanic",
        ),
        (
            "This office will accept an inspection made by a repair station as well.",
            "open mechanic repair-station",
        ),
        (
            "A light-sport repairman is not on the list.",
            "open mechanic not-light-sport-repairman",
        ),
        ("All the rest of the world is excluded.", "closed mechanic"),
        ("The list of spare parts is complete.", "doubt"),
        ("The uninvited are excluded.", "doubt"),
    ];
    behind_a_list(&cases);
}

/// A second sentence closes a list, adds to it or takes out of it by what it says of others, of a choice, of a place
/// that somebody takes or of a certificate that suffices; what it says of something else, of another time or of a
/// word that is not known leaves the list as it is, or in doubt.
#[test]
fn a_second_sentence_closes_adds_and_takes_out() {
    let cases = [
        ("You may not use anyone else.", "closed mechanic"),
        ("A third choice does not exist.", "closed mechanic"),
        ("Any other person lacks the authority.", "closed mechanic"),
        (
            "No person outside that description may do so.",
            "closed mechanic",
        ),
        (
            "This authority is not shared by anyone else.",
            "closed mechanic",
        ),
        ("You need not use anyone else.", "doubt"),
        ("A third choice of propeller does not exist.", "doubt"),
        ("There is no other requirement.", "open mechanic"),
        (
            "A repair station may take the mechanic's place.",
            "open mechanic repair-station",
        ),
        (
            "A repair station may be used in his stead.",
            "open mechanic repair-station",
        ),
        (
            "The builder is just as acceptable.",
            "open builder-repairman mechanic",
        ),
        (
            "Otherwise the builder may perform it.",
            "open builder-repairman mechanic",
        ),
        (
            "A repair station may not take the mechanic's place.",
            "open mechanic not-repair-station",
        ),
        ("A repair station may take the owner's place.", "doubt"),
        ("A repair station had the same authority.", "doubt"),
        ("The foregoing applies equally to tavolars.", "doubt"),
        (
            "This does not extend to repair stations.",
            "open mechanic not-repair-station",
        ),
        (
            "One with just an inspection rating may not.",
            "open mechanic not-light-sport-repairman-inspection",
        ),
        (
            "An inspection rating alone is not enough.",
            "open mechanic not-light-sport-repairman-inspection",
        ),
        ("A mechanic certificate alone is not enough.", "doubt"),
        ("Do not use a repair station.", "doubt"),
    ];
    behind_a_list(&cases);
}

/// What is asked of one kind alone is asked of it where the sentence before names that kind, and is lost nowhere.
#[test]
fn a_condition_on_one_kind_is_heard_behind_its_list() {
    let patterns = Patterns::embedded().unwrap();
    let asked = |text: &str| {
        let found = passage(text, Context::default(), &patterns).inspectors;
        if found.iter().any(|r| r.doubt.is_some()) {
            return "doubt".to_owned();
        }
        let kinds = found.iter().flat_map(|r| &r.conditions);
        let kinds: Vec<&str> = kinds.filter_map(|c| c.on).map(|kind| kind.name()).collect();
        kinds.join(" ")
    };
    let list = "A mechanic or a repair station may perform the condition inspection.";
    for (behind, wanted) in [
        (
            "If it is performed by a mechanic, he must hold an inspection authorization.",
            "mechanic",
        ),
        (
            "If a mechanic is used, he must hold an inspection authorization.",
            "doubt",
        ),
        (
            "A mechanic who performs it must hold an inspection authorization.",
            "mechanic",
        ),
        (
            "If a mechanic is used, he need not hold an inspection authorization.",
            "",
        ),
        (
            "If a mechanic is used, he must hold a tavolar rating.",
            "doubt",
        ),
        (
            "A mechanic may not perform it unless he holds an inspection authorization.",
            "doubt",
        ),
    ] {
        assert_eq!(asked(&format!("{list} {behind}")), wanted, "{behind}");
    }
    let other = "A repair station may perform the condition inspection.";
    let behind = "A mechanic who performs it must hold an inspection authorization.";
    assert_eq!(asked(&format!("{other} {behind}")), "doubt");
}

/// Who is named elsewhere is shut out where the clause that refers to him bars it; of two lists that differ a
/// reference does not say which.
#[test]
fn a_reference_is_followed_in_a_ban_too() {
    all(&[
        (
            "1. A mechanic may perform the 100-hour inspection.\n\n2. The condition inspection must not be performed \
             by a person named in limitation 1.",
            "open mechanic; none not-mechanic",
        ),
        (
            "1. A mechanic may perform the 100-hour inspection.\n\n2. The condition inspection may be performed by \
             those whom limitation 1 describes.",
            "open mechanic; open mechanic",
        ),
        (
            "1. A mechanic may perform the 100-hour inspection. A repair station may perform the condition \
             inspection.\n\n2. Any other inspection must not be performed by a person named in limitation 1.",
            "doubt",
        ),
        (
            "The condition gremmed may be made by any person listed in limitation 9.",
            "doubt",
        ),
        (
            "A suitably rated tavolar alone performs the condition inspection.",
            "doubt",
        ),
        (
            "The zlorp engine must be warm before the condition inspection.",
            "nothing",
        ),
        (
            "Nobody who is not listed in paragraph 8 above may work through the condition inspection.",
            "doubt",
        ),
    ]);
}

/// "If the builder has not performed it, a mechanic must do so" names both; what a proviso asks of one is asked of
/// him, and what it denies is in doubt.
#[test]
fn what_another_leaves_undone_and_what_is_provided_are_read() {
    all(&[
        (
            "If the builder has not performed the condition inspection, a mechanic must do so.",
            "closed builder-repairman mechanic",
        ),
        (
            "A mechanic must perform the condition inspection unless the builder performs it himself.",
            "closed builder-repairman mechanic",
        ),
        (
            "A mechanic need not perform the condition inspection unless the builder performs it himself.",
            "doubt",
        ),
        (
            "A mechanic may perform the condition inspection, provided he holds an inspection authorization.",
            "open mechanic",
        ),
        (
            "A mechanic may perform the condition inspection, provided he does not hold an inspection authorization.",
            "doubt",
        ),
        (
            "A mechanic may perform the condition inspection, but a light-sport repairman may not do so.",
            "open mechanic not-light-sport-repairman",
        ),
        (
            "The owner shall hand the aircraft over to a mechanic for the condition inspection.",
            "closed mechanic",
        ),
        (
            "The owner must tell this office before a mechanic performs the condition inspection.",
            "nothing",
        ),
        (
            "The condition inspection may be performed by a repair station certificated under part 145 of the Federal \
             Aviation Regulations.",
            "open repair-station",
        ),
        (
            "The condition inspection may be performed by a. the certificated builder; b. a mechanic; or c. a repair \
             station.",
            "open builder-repairman mechanic repair-station",
        ),
    ]);
}

/// "The following", "those on this list", "none but these": the list behind the statement takes the place of the words that point
/// ahead to it, whatever the statement says; without a list nothing is known.
#[test]
fn a_list_that_follows_takes_the_place_of_what_points_to_it() {
    all(&[
        (
            "Those named here may perform the condition inspection: (a) a mechanic; (b) a repair station.",
            "open mechanic repair-station",
        ),
        (
            "None but the following may perform the condition inspection: (a) a mechanic; (b) a repair station.",
            "closed mechanic repair-station",
        ),
        (
            "The condition inspection shall not be performed by anyone who is not on this list: (a) a mechanic; (b) a repair station.",
            "closed mechanic repair-station",
        ),
        (
            "The right to perform the condition inspection is limited to the following: (a) a mechanic; (b) a repair station.",
            "closed mechanic repair-station",
        ),
        (
            "It is permissible for any of the following to perform the condition inspection: (a) a mechanic; (b) a repair station.",
            "open mechanic repair-station",
        ),
        (
            "The owner shall have one of the following perform the condition inspection: (a) a mechanic; (b) a repair station.",
            "closed mechanic repair-station",
        ),
        (
            "The following may not perform the condition inspection: (a) an owner; (b) a kit manufacturer.",
            "none not-manufacturer not-owner",
        ),
        (
            "None of the following may perform the condition inspection: (a) an owner; (b) a kit manufacturer.",
            "doubt",
        ),
        (
            "The condition inspection may be performed by others than those listed here: (a) an owner; (b) a mechanic.",
            "doubt",
        ),
        (
            "Not only those listed below may perform the condition inspection: (a) the builder; (b) a repair station.",
            "doubt",
        ),
        (
            "The condition inspection may be performed by one of the following.",
            "doubt",
        ),
    ]);
}

/// An inspection that counts, stands or is accepted only under somebody's hand; one that does not.
#[test]
fn what_counts_and_what_is_accepted_says_who_inspects() {
    all(&[
        (
            "A condition inspection counts only when a mechanic has performed it.",
            "closed mechanic",
        ),
        (
            "The condition inspection is void unless a mechanic has performed it.",
            "closed mechanic",
        ),
        (
            "The condition inspection is void if performed by a mechanic.",
            "doubt",
        ),
        (
            "The condition inspection stands unless a mechanic has performed it.",
            "doubt",
        ),
        (
            "The condition inspection is not accepted from anyone but a mechanic.",
            "closed mechanic",
        ),
        (
            "The condition inspection is not accepted from a mechanic.",
            "none not-mechanic",
        ),
        (
            "A condition inspection by a mechanic counts for nothing.",
            "none not-mechanic",
        ),
        (
            "This office refuses credit to a condition inspection by a mechanic.",
            "none not-mechanic",
        ),
        (
            "The condition inspection counts only when it has been recorded in the aircraft records with the signature and certificate number of the person who made it.",
            "nothing",
        ),
        (
            "The condition inspection counts only when it has been recorded with the signature of the mechanic who made it.",
            "doubt",
        ),
        (
            "The condition inspection counts only when recorded in the log by a mechanic.",
            "doubt",
        ),
        (
            "The condition inspection cannot be regarded as complete without the signature of a mechanic.",
            "closed mechanic",
        ),
        (
            "The condition inspection may be regarded as complete without the signature of a mechanic.",
            "doubt",
        ),
    ]);
}

/// Acts of other kinds say nothing of who inspects, unless the inspection itself, or the aircraft for it, is what
/// somebody is given; to be present is a duty that may bear on it.
#[test]
fn another_act_is_passed_over_only_where_it_is_not_done_to_the_inspection() {
    all(&[
        (
            "The owner shall record the condition inspection in the log.",
            "nothing",
        ),
        (
            "A mechanic shall record the condition inspection in the aircraft records.",
            "nothing",
        ),
        (
            "The owner shall hand the condition inspection to a mechanic.",
            "doubt",
        ),
        (
            "The owner must schedule a mechanic for the condition inspection.",
            "doubt",
        ),
        (
            "A mechanic may witness the condition inspection.",
            "nothing",
        ),
        ("A mechanic must witness the condition inspection.", "doubt"),
        (
            "The owner shall help the mechanic with the condition inspection.",
            "nothing",
        ),
        (
            "A mechanic must be present during the condition inspection.",
            "doubt",
        ),
        (
            "A repair station may see through the yearly inspection of this aircraft.",
            "open repair-station",
        ),
        (
            "A mechanic weighs the aircraft after the condition inspection.",
            "nothing",
        ),
        ("A mechanic supplies the condition inspection.", "doubt"),
        (
            "Wash the airplane; condition inspection by a mechanic.",
            "doubt",
        ),
        (
            "The oil may be changed and the condition inspection performed by a mechanic.",
            "doubt",
        ),
        ("You can't make the condition inspection.", "doubt"),
        ("The condition inspection isn't yours to make.", "doubt"),
        ("The condition inspection can't be skipped.", "nothing"),
        (
            "If a mechanic performs the condition inspection, the builder may not sign it.",
            "doubt",
        ),
        (
            "Before a mechanic performs the condition inspection, the owner must open the cowling.",
            "nothing",
        ),
        (
            "This letter does not say who may perform the condition inspection.",
            "nothing",
        ),
        (
            "This letter does not say who may perform the condition inspection, but a mechanic must.",
            "doubt",
        ),
    ]);
}

/// "According to the manual only a mechanic may" reports what another text says.
#[test]
fn what_another_text_says_limits_nobody_for_certain() {
    all(&[
        (
            "According to the kit manual only a mechanic may perform the condition inspection.",
            "doubt",
        ),
        (
            "For purposes of insurance only a mechanic may perform the condition inspection.",
            "doubt",
        ),
        (
            "According to the kit manual a mechanic may perform the condition inspection.",
            "open mechanic",
        ),
        (
            "For purposes of these limitations only a mechanic may perform the condition inspection.",
            "closed mechanic",
        ),
        (
            "The condition inspection shall be performed by a mechanic according to the manufacturer's checklist.",
            "closed mechanic",
        ),
        (
            "This office orders that a mechanic may perform the condition inspection.",
            "doubt",
        ),
        (
            "This office orders that a mechanic shall perform the condition inspection.",
            "closed mechanic",
        ),
    ]);
}

#[test]
fn whom_the_latter_means_and_what_not_always_denies() {
    all(&[
        (
            "The builder or a mechanic may perform the condition inspection. The latter may not perform the 100-hour inspection.",
            "open builder-repairman mechanic; none not-mechanic",
        ),
        (
            "\"Accepted inspector\" means the builder or a mechanic. The accepted inspector may not make the condition inspection.",
            "none not-builder-repairman not-mechanic",
        ),
        (
            "\"Accepted inspector\" means the builder or a mechanic. The accepted inspector may make the condition inspection.",
            "open builder-repairman mechanic",
        ),
        (
            "The owner who performs the condition inspection must be a mechanic.",
            "doubt",
        ),
        (
            "The person who performs the condition inspection must be a mechanic.",
            "closed mechanic",
        ),
        (
            "A mechanic is not in all cases authorized to perform the condition inspection.",
            "doubt",
        ),
        (
            "A mechanic is not authorized to perform the condition inspection.",
            "none not-mechanic",
        ),
        (
            "The builder or a mechanic may perform the condition inspection. An inspection by anyone else shall not be void.",
            "doubt",
        ),
        (
            "The builder or a mechanic may perform the condition inspection. An inspection by anyone else shall be void.",
            "closed builder-repairman mechanic",
        ),
        (
            "If the builder elects to perform the condition inspection, a mechanic must.",
            "doubt",
        ),
        (
            "If the builder does not perform the condition inspection, a mechanic must.",
            "closed builder-repairman mechanic",
        ),
        (
            "Unless the builder performs the condition inspection, a mechanic must.",
            "closed builder-repairman mechanic",
        ),
        (
            "If the builder does not perform the condition inspection, a mechanic may.",
            "doubt",
        ),
    ]);
}

#[test]
fn nobody_but_and_the_like_close_in_every_order() {
    all(&[
        (
            "The condition inspection must not be done by anyone at all except a mechanic.",
            "closed mechanic",
        ),
        (
            "No one may perform the condition inspection without being a mechanic.",
            "closed mechanic",
        ),
        (
            "For anyone but a mechanic it is forbidden to perform the condition inspection.",
            "closed mechanic",
        ),
        (
            "Permission to perform the condition inspection is granted to a mechanic and to no one else.",
            "closed mechanic",
        ),
        (
            "A mechanic shall have the sole and exclusive authority to perform the condition inspection.",
            "closed mechanic",
        ),
        (
            "The owner shall not let anyone but a mechanic perform the condition inspection.",
            "closed mechanic",
        ),
        (
            "The owner may let a mechanic perform the condition inspection.",
            "open mechanic",
        ),
        (
            "The owner shall not let a mechanic perform the condition inspection.",
            "none not-mechanic",
        ),
        ("Let a mechanic watch the condition inspection.", "doubt"),
        (
            "The condition inspection may be performed by a repairman certificated for this aircraft and for no other.",
            "doubt",
        ),
        (
            "The builder or a mechanic may perform the condition inspection. To everyone else the inspection is forbidden.",
            "closed builder-repairman mechanic",
        ),
        (
            "The builder or a mechanic may perform the condition inspection. Others authorized by the regulations are not shut out.",
            "open builder-repairman mechanic",
        ),
    ]);
}

#[test]
fn what_is_said_of_some_times_or_flights_is_not_said_of_all() {
    all(&[
        (
            "No person may operate this aircraft for hire unless a mechanic has performed the condition inspection.",
            "doubt",
        ),
        (
            "Any condition inspection after an accident shall be performed by a mechanic.",
            "doubt",
        ),
        (
            "At the end of phase I the condition inspection shall be performed by a mechanic.",
            "doubt",
        ),
        (
            "Starting with the day of a sale, the condition inspection shall be made by a mechanic.",
            "doubt",
        ),
        (
            "Beginning with the date typed above, the condition inspection shall be made by a mechanic.",
            "closed mechanic",
        ),
        (
            "The condition inspection may be performed by a mechanic, only at such times as his tools are within reach.",
            "doubt",
        ),
        (
            "The aircraft may not be flown if the condition inspection was performed by the builder.",
            "doubt",
        ),
        (
            "Each year, the inspections required by these limitations may be performed by a mechanic.",
            "open mechanic",
        ),
    ]);
}

#[test]
fn whom_a_relative_pronoun_means_is_told_by_its_own_sentence() {
    all(&[
        (
            "The builder may help a mechanic, who alone may sign off the condition inspection.",
            "doubt",
        ),
        (
            "The records name the builder and a mechanic, either of whom may perform the condition inspection.",
            "open builder-repairman mechanic",
        ),
        (
            "A mechanic may not perform the condition inspection. Not so the builder.",
            "doubt",
        ),
        (
            "A mechanic may perform the condition inspection. Not so the builder.",
            "open mechanic not-builder-repairman",
        ),
        (
            "The builder may perform the condition inspection himself, or have it performed by a mechanic.",
            "open builder-repairman mechanic",
        ),
    ]);
}

#[test]
fn a_look_at_the_aircraft_each_year_is_no_silence() {
    all(&[
        ("A mechanic must look at this aircraft every year.", "doubt"),
        (
            "The owner may be required by the FSDO to have the aircraft examined by a mechanic every year.",
            "doubt",
        ),
        (
            "The owner may be required by the FSDO to have the aircraft examined by a mechanic after an accident.",
            "nothing",
        ),
        (
            "The condition inspection must, but need not, be performed by a mechanic.",
            "doubt",
        ),
        (
            "A mechanic may, but need not, perform the condition inspection.",
            "open mechanic",
        ),
    ]);
}

/// Sentences of another reader, each of which was once read for certain as what it does not say: of another
/// inspection or flight, of a possibility, of the past, of what somebody else wrote or forbade.
const TOO_CERTAIN: &[&str] = &[
    "The altimeter must be inspected. The inspection shall be performed by a repair station.",
    "The ELT must be inspected each year; the inspection shall be performed by a mechanic.",
    "The ballistic parachute shall be inspected each year. This inspection shall be performed by a mechanic.",
    "A weight and balance check is required. This inspection shall be performed by a mechanic.",
    "The inspection of the records may be performed only by an FAA inspector.",
    "The inspection of the records shall be performed by an FAA inspector.",
    "Inspection of the records may be performed only by an FAA inspector.",
    "Inspections of the records shall be performed by an FAA inspector.",
    "The builder may not perform the condition inspection. This does not apply to a mechanic.",
    "Only a mechanic may perform the condition inspection, but this does not apply to the builder.",
    "Only a mechanic may perform the condition inspection. This does not extend to the builder.",
    "No person but a mechanic may perform the condition inspection, the builder excepted.",
    "The condition inspection shall be performed in accordance with written instructions by the kit manufacturer.",
    "The condition inspection shall be performed according to procedures used by a repair station.",
    "The condition inspection shall be performed within 12 months of the one by the builder.",
    "The condition inspection shall be performed following repairs by a mechanic.",
    "No person may operate this aircraft for hire unless a mechanic has performed the condition inspection.",
    "No person may operate this aircraft carrying cargo unless a mechanic has performed the condition inspection.",
    "No person may operate this aircraft above 10,000 feet unless a repair station has performed the condition inspection.",
    "The aircraft may not be operated for hire unless the condition inspection was performed by a mechanic.",
    "The aircraft may not be flown if the condition inspection was performed by the builder.",
    "The aircraft may not be flown if the condition inspection was performed by a mechanic.",
    "The aircraft may not be flown when the condition inspection was performed by the builder.",
    "The aircraft may not be flown where the condition inspection has been performed by a repair station.",
    "The condition inspection may not be performed by any person.",
    "The condition inspection shall not be performed by any person.",
    "The condition inspection must not be performed by any person.",
    "The condition inspection cannot be performed by any person.",
    "The builder may not perform the condition inspection. Not so a mechanic.",
    "The builder may be prohibited from performing the condition inspection.",
    "The builder can be prohibited from performing the condition inspection.",
    "The condition inspection may be restricted to a mechanic.",
    "The FAA may require a mechanic to perform the condition inspection.",
    "Mechanics and the builder may perform the condition inspection. Prior approval of the office is required.",
    "The condition inspection may be performed by a mechanic. The builder's presence is required.",
    "A light-sport repairman may perform the condition inspection. A maintenance rating is required.",
    "The builder may perform the condition inspection. A mechanic must take part.",
    "A mechanic may perform the condition inspection, but only at the home base.",
    "A mechanic may perform the condition inspection, although only on the engine.",
    "A mechanic may perform the condition inspection, and the builder may also, but only under supervision.",
    "Mechanics, repair stations and the builder may perform the condition inspection, but the last only before sale.",
    "Mechanics and the builder may perform the condition inspection, but the last only with a witness.",
    "The following apply when the aircraft is rented:\n(a) only a mechanic may perform the condition inspection;\n(b) the owner shall keep the records.",
    "The following apply during Phase I:\n(a) only the builder may perform the condition inspection;\n(b) no passenger may be carried.",
    "The following apply outside the United States:\n(a) only a repair station may perform the condition inspection.",
    "The following apply after sale of the aircraft:\n(a) only a mechanic may perform the condition inspection.",
    "With respect to the engine the condition inspection shall be performed by a mechanic.",
    "The condition inspection shall be performed by a mechanic with respect to the engine.",
    "The condition inspection shall be performed by a mechanic in respect of the engine.",
    "The condition inspection may be performed only by a mechanic with respect to the engine.",
    "Any condition inspection after an accident shall be performed by a mechanic.",
    "Only a mechanic may perform the condition inspection required after an accident.",
    "Within the first year the condition inspection shall be performed by the builder.",
    "Only a mechanic may perform the condition inspection in the field.",
    "The condition inspection was reserved to a mechanic.",
    "The condition inspection was required to be performed by a mechanic.",
    "Mechanics were required to perform the condition inspection.",
    "A mechanic was prohibited from performing the condition inspection.",
    "Under the terms of the insurance policy only a mechanic may perform the condition inspection.",
    "Under the terms of the lease only a mechanic may perform the condition inspection.",
    "Under the terms of the loan only the builder may perform the condition inspection.",
    "Only a mechanic may perform the condition inspection under the insurance policy.",
    "A mechanic may perform the condition inspection. Nobody else is required to.",
    "A mechanic may perform the condition inspection. Nobody else is obliged to.",
    "A mechanic may perform the condition inspection. Nobody else has to.",
    "A mechanic may perform the condition inspection. No one else must do so.",
    "A mechanic may perform the condition inspection. All other persons are excluded from the hangar.",
    "A mechanic may perform the condition inspection. Others are not permitted in the hangar.",
    "The builder may perform the condition inspection. All other persons are barred from the hangar.",
    "Only a mechanic may perform the condition inspection. Repair stations may be used.",
    "Only a mechanic may perform the condition inspection. A repair station may be used instead.",
    "Only a mechanic may perform the condition inspection. The builder may be used.",
    "Only a mechanic may perform the condition inspection. Builders may be used too.",
    "Mechanics and the builder may perform the condition inspection, whichever the office designates.",
    "A mechanic or the builder shall perform the condition inspection, whichever the local office prefers.",
    "Mechanics and the builder may perform the condition inspection, whichever is nearer.",
    "Only a mechanic may perform the condition inspection. A waiver may be granted.",
    "Only a mechanic may perform the condition inspection. Waivers may be granted.",
    "Only a mechanic may perform the condition inspection. The builder may obtain a waiver.",
    "Only a mechanic may perform the condition inspection. Phase I is excepted.",
    "The condition inspection may be performed by a mechanic not by the builder alone.",
    "The condition inspection may be performed by any person.",
    "The condition inspection may be performed by a mechanic. The foregoing is void.",
    "The condition inspection may be performed by a mechanic. The foregoing sentence has no effect.",
    "The condition inspection may be performed by a mechanic. This was the rule until 2020.",
    "The condition inspection may be performed by a mechanic. That rule no longer holds.",
    "The condition inspection may be performed by a mechanic. The word \"mechanic\" includes a repair station.",
    "The condition inspection may be performed by a mechanic. In this letter \"may\" means \"must\".",
    "The condition inspection may be performed by a mechanic. The word may is to be read as must.",
    "The condition inspection may be performed by a mechanic. Mandatory.",
    "The condition inspection may be performed by a mechanic. The permission lapses on the sale of the aircraft.",
    "The condition inspection may be performed by a mechanic. The permission is withdrawn.",
    "The condition inspection may be performed by a mechanic. The aircraft's present owner has asked for an exception.",
    "The condition inspection may be performed by a mechanic. This letter is superseded.",
    "The condition inspection may be performed by a mechanic. This office has withdrawn its consent.",
    "The condition inspection may be performed by a mechanic. The aircraft is exempt from it.",
    "The condition inspection may be performed by a mechanic. Only gliders are covered.",
    "The condition inspection may be performed by a mechanic. The aircraft is excepted.",
    "The condition inspection may be performed by a mechanic. This amendment has not yet been approved.",
    "The condition inspection may be performed by a mechanic. Draft only.",
    "The condition inspection may be performed by a mechanic. This aircraft does not fall under it.",
    "The condition inspection may be performed by a mechanic. This revision takes effect in 2031.",
    "The condition inspection may be performed by a mechanic. For this aircraft the privilege ends in 2024.",
    "The condition inspection may be performed by a mechanic. The office that issued it has revoked it.",
    "The condition inspection may be performed by a mechanic. The builder's privileges do not extend to the condition inspection.",
    "The condition inspection is the mechanic's privilege alone.",
    "The builder's performance of the condition inspection is not permitted.",
    "The condition inspection is a mechanic's job.",
    "The condition inspection is a mechanic's duty and nobody else's.",
    "Only a mechanic may perform the condition inspection. The restriction has ended.",
    "Only a mechanic may perform the condition inspection. Privileges under § 65.104 are not affected.",
    "Only a mechanic may perform the condition inspection. The builder's rights are reserved.",
    "The following may perform the condition inspection: (a) the builder; (b) a mechanic. Line (a) is void.",
    "The following may perform the condition inspection: (a) the builder; (b) a mechanic. The first is out.",
    "Only a mechanic may perform the condition inspection. The 100-hour inspection is meant.",
    "Defects found at the condition inspection by its sole inspector, a mechanic, shall be recorded.",
    "The condition inspection shall be performed by a mechanic, or rather by the builder.",
    "The condition inspection shall be performed by a mechanic, that is, by the builder.",
    "Only a mechanic may perform the condition inspection, the club believes.",
    "The condition inspection in the first year shall be performed by a mechanic.",
    "The condition inspection due at 100 hours shall be performed by a mechanic.",
    "The condition inspection at the option of the owner shall be performed by a mechanic.",
    "This year's condition inspection may be performed only by a mechanic.",
    "Only a mechanic may perform the condition inspection. The office has not agreed.",
    "Only a mechanic may perform the condition inspection. Compliance is voluntary.",
];

#[test]
fn what_was_once_too_certain_stays_in_doubt() {
    let patterns = Patterns::embedded().unwrap();
    let certain: Vec<&&str> = TOO_CERTAIN
        .iter()
        .filter(|text| read(text, &patterns) != "doubt")
        .collect();
    assert!(certain.is_empty(), "{certain:#?}");
}

/// An occasion tells that another inspection may be meant than the yearly one; an interval tells which, of "it" too.
#[test]
fn an_occasion_leaves_in_doubt_which_inspection_is_meant() {
    all(&[
        (
            "It must be inspected every 12 calendar months by a mechanic.",
            "closed mechanic",
        ),
        (
            "Once each year a mechanic shall inspect the aircraft.",
            "closed mechanic",
        ),
        (
            "Every 12 calendar months the aircraft shall be inspected by a mechanic before it is flown again.",
            "closed mechanic",
        ),
        (
            "The condition inspection shall be performed by a mechanic before it goes back into service.",
            "closed mechanic",
        ),
        (
            "Following any period of outdoor storage, a mechanic shall inspect the aircraft.",
            "doubt",
        ),
        (
            "Whenever banners are towed, the aircraft must be inspected by a repair station.",
            "doubt",
        ),
        (
            "The aircraft must be inspected by a mechanic before it is entered in a race.",
            "doubt",
        ),
        (
            "The aircraft shall, when rented, be inspected by a mechanic.",
            "doubt",
        ),
    ]);
    let patterns = Patterns::embedded().unwrap();
    let found = passage(
        "It must be inspected every 100 hours by a mechanic.",
        Context::default(),
        &patterns,
    )
    .inspectors;
    assert!(
        found
            .iter()
            .all(|r| r.inspection == Inspection::HundredHour)
    );
}
