//! Norms: every pattern file keeps its own promises, and the grammar keeps its scope.

use std::sync::LazyLock;

use whomay::model::{Binds, Clause, Modality, Norm, Span};
use whomay::patterns::{Class, Patterns};
use whomay::understand::{Context, modality, passage};

fn patterns() -> &'static Patterns {
    static PATTERNS: LazyLock<Patterns> =
        LazyLock::new(|| Patterns::as_written().expect("embedded patterns load"));
    &PATTERNS
}

fn norms(text: &str) -> Vec<Norm> {
    passage(text, Context::default(), patterns()).norms
}

fn shape(text: &str) -> Vec<(&'static str, Option<String>)> {
    norms(text)
        .iter()
        .map(|n| (n.modality.name(), n.bearer.as_ref().map(|b| b.text.clone())))
        .collect()
}

fn one(text: &str) -> Norm {
    let mut all = norms(text);
    assert_eq!(all.len(), 1, "{text}: {all:#?}");
    all.remove(0)
}

fn words(spans: &[Span], text: &str) -> Vec<String> {
    spans.iter().map(|s| s.of(text).to_owned()).collect()
}

/// Whether the words of a list do in a text what their class is for.
fn shows(class: Class, span: &str, text: &str, norms: &[Norm]) -> bool {
    let bearer = |n: &Norm| n.bearer.as_ref().is_some_and(|b| b.text == span);
    let among = |spans: &[Span]| words(spans, text).iter().any(|w| w == span);
    match class {
        Class::Agent | Class::Status => norms.iter().any(bearer),
        Class::Thing | Class::Participle | Class::Stative => {
            text.contains(span) && !norms.is_empty() && norms.iter().all(|n| n.bearer.is_none())
        }
        Class::Inference => norms.iter().all(|n| n.trigger.is_none()),
        Class::Prose => norms
            .iter()
            .any(|n| n.pattern.as_deref() == Some("modality/may-of-possibility")),
        Class::Condition => norms.iter().any(|n| among(&n.conditions)),
        Class::Exception | Class::Escape => norms.iter().any(|n| among(&n.exceptions)),
        // Lists that the grammar looks into; what they do is tested with the clauses.
        Class::Content | Class::Time | Class::Postpositive | Class::NoAdverb => text.contains(span),
    }
}

/// Whether the words of a list stay silent in a text.
fn silent(class: Class, norms: &[Norm]) -> bool {
    match class {
        Class::Agent | Class::Status => norms.iter().all(|n| n.bearer.is_none()),
        Class::Thing | Class::Participle | Class::Stative => {
            norms.iter().any(|n| n.bearer.is_some())
        }
        Class::Inference => norms.iter().any(|n| n.trigger.is_some()),
        Class::Prose => norms
            .iter()
            .all(|n| n.pattern.as_deref() != Some("modality/may-of-possibility")),
        Class::Condition => norms.iter().all(|n| n.conditions.is_empty()),
        Class::Exception | Class::Escape => norms.iter().all(|n| n.exceptions.is_empty()),
        Class::Content | Class::Time | Class::Postpositive | Class::NoAdverb => true,
    }
}

#[test]
fn every_pattern_hits_and_misses_as_it_says() {
    let patterns = patterns();
    let mut wrong = Vec::new();
    for loaded in &patterns.modality.files {
        let id = loaded.id.as_str();
        for hit in &loaded.file.hit {
            let norms = passage(&hit.text, Context::default(), patterns).norms;
            let found = match &loaded.file.words {
                Some(list) => shows(list.class, &hit.span, &hit.text, &norms),
                None => norms.iter().any(|n| {
                    n.pattern.as_deref() == Some(id)
                        && n.trigger.as_ref().is_some_and(|t| {
                            t.text == hit.span
                                && t.span.is_some_and(|s| s.of(&hit.text) == hit.span)
                        })
                }),
            };
            if !found {
                wrong.push(format!("{id} must hit: {}\n    {norms:?}", hit.text));
            }
        }
        for miss in &loaded.file.miss {
            let norms = passage(&miss.text, Context::default(), patterns).norms;
            let quiet = match &loaded.file.words {
                Some(list) => silent(list.class, &norms),
                None => norms.iter().all(|n| n.pattern.as_deref() != Some(id)),
            };
            if !quiet {
                wrong.push(format!("{id} must miss: {}\n    {norms:?}", miss.text));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn negation_has_its_scope() {
    let cases = [
        (
            "The mechanic need not hold an inspection authorization.",
            "statement",
        ),
        (
            "The mechanic is not required to hold an inspection authorization.",
            "statement",
        ),
        (
            "No mechanic is required to hold an inspection authorization.",
            "statement",
        ),
        (
            "A mechanic may not sign unless both ratings are held.",
            "restriction",
        ),
        (
            "No person may operate this aircraft unless it has been inspected.",
            "restriction",
        ),
        (
            "Neither the owner nor the pilot may remove the placard.",
            "prohibition",
        ),
        (
            "Nothing in this limitation requires a second inspection.",
            "statement",
        ),
        (
            "Nothing in this limitation shall require a second inspection.",
            "statement",
        ),
        (
            "Passengers may not be carried until phase I is complete.",
            "restriction",
        ),
        (
            "Under no circumstances may the pilot carry cargo.",
            "prohibition",
        ),
        (
            "The owner may not only look on but also help.",
            "permission",
        ),
        ("Night flight is not authorized.", "prohibition"),
        ("No more than two persons may be aboard.", "restriction"),
    ];
    for (text, modality) in cases {
        assert_eq!(one(text).modality.name(), modality, "{text}");
    }
}

#[test]
fn duties_wear_many_words() {
    for text in [
        "The inspection will be recorded in the aircraft records.",
        "This aircraft is to be operated under VFR, day only.",
        "The owner has to notify the office.",
        "The owner is required to notify the office.",
        "The owner is responsible for the entry.",
        "A parachute is required for each occupant.",
        "The operator shall be required to keep the records.",
    ] {
        assert_eq!(one(text).modality, Modality::Obligation, "{text}");
    }
}

#[test]
fn effects_and_possibilities_are_no_norms() {
    for text in [
        "The noise may be due to a loose panel.",
        "Ice may have caused the failure.",
        "Any alteration will render the certificate invalid.",
        "The aircraft shall be deemed airworthy after the entry.",
        "The inspector shall not be liable for later defects.",
        "This limitation shall apply after phase I.",
        "Additional time may be required.",
        "The owner should keep a copy.",
        "The purpose of this letter is to describe the limits.",
    ] {
        assert_eq!(one(text).modality, Modality::Statement, "{text}");
    }
}

#[test]
fn only_binds_what_it_stands_with() {
    let closed = one("Only an appropriately rated mechanic may perform the inspection.");
    assert_eq!(closed.modality, Modality::Restriction);
    assert_eq!(
        closed.bearer.map(|b| b.text).as_deref(),
        Some("an appropriately rated mechanic")
    );
    let binds = [
        (
            "Only an appropriately rated mechanic may perform the inspection.",
            Binds::Subject,
        ),
        (
            "An appropriately rated mechanic only may perform the inspection.",
            Binds::Subject,
        ),
        (
            "This aircraft may only operate from Sample Field.",
            Binds::Place,
        ),
        (
            "This aircraft may be operated only within 25 miles of Sample Field.",
            Binds::Place,
        ),
        ("Test flights must be made by day only.", Binds::Time),
        (
            "The inspection may be performed only by a certificated mechanic.",
            Binds::Agent,
        ),
        (
            "The inspection shall be performed by a certificated mechanic only.",
            Binds::Agent,
        ),
        (
            "The pilot may perform only the maneuvers listed below.",
            Binds::Object,
        ),
        (
            "Passengers may be carried only if both seats have belts.",
            Binds::Condition,
        ),
        ("VFR day only.", Binds::Time),
    ];
    for (text, wanted) in binds {
        assert_eq!(one(text).limiter.map(|l| l.binds), Some(wanted), "{text}");
    }
    // A place, a time or an object limits nobody: the norm closes no list of persons.
    assert_eq!(
        one("Test flights must be made by day only.").modality,
        Modality::Obligation
    );
}

#[test]
fn one_norm_per_main_clause() {
    let text = "The owner must inspect the hoses, and the pilot may fly the aircraft; no person shall ride along.";
    assert_eq!(
        shape(text),
        [
            ("obligation", Some("The owner".to_owned())),
            ("permission", Some("the pilot".to_owned())),
            ("prohibition", Some("person".to_owned())),
        ]
    );
    let owner = || Some("The owner".to_owned());
    assert_eq!(
        shape("The owner must inspect the hoses and record the result."),
        [("obligation", owner())]
    );
    assert_eq!(
        shape("The owner must hold the certificate and must record the result."),
        [("obligation", owner()), ("obligation", owner())]
    );
    // A modal inside a condition or a relative clause is no norm of its own.
    assert_eq!(
        shape("If the pilot must land, the person who may sign shall tell the owner."),
        [("obligation", Some("the person who may sign".to_owned()))]
    );
}

#[test]
fn bearers_are_people_and_bodies() {
    let cases = [
        ("This aircraft must be operated under part 91.", None),
        ("The report shall contain the date.", None),
        (
            "The inspection must be performed by an appropriately rated mechanic.",
            Some("an appropriately rated mechanic"),
        ),
        (
            "It is prohibited for any person to remove the placard.",
            Some("any person"),
        ),
        ("The records laid down by the office must be kept.", None),
        ("The FSDO will review the application.", Some("The FSDO")),
        (
            "Where the operator fails to report, it shall inform the office.",
            Some("the operator"),
        ),
        ("No person may be carried in this aircraft.", None),
    ];
    for (text, bearer) in cases {
        assert_eq!(
            one(text).bearer.map(|b| b.text).as_deref(),
            bearer,
            "{text}"
        );
    }
}

#[test]
fn conditions_and_exceptions_are_spans() {
    let text = "During phase I, the pilot may carry a passenger if both wear parachutes, unless the office objects.";
    let norm = one(text);
    assert_eq!(
        words(&norm.conditions, text),
        ["During phase I", "if both wear parachutes"]
    );
    assert_eq!(words(&norm.exceptions, text), ["unless the office objects"]);
    let text = "Except for takeoffs, this aircraft may not be flown low, except when spraying unless the office objects.";
    let norm = one(text);
    assert_eq!(norm.modality, Modality::Restriction);
    assert_eq!(
        words(&norm.exceptions, text),
        [
            "Except for takeoffs",
            "except when spraying",
            "unless the office objects"
        ]
    );
}

#[test]
fn old_letters_speak_without_verbs() {
    let cases = [
        ("VFR day only.", Modality::Restriction),
        ("Aerobatics prohibited.", Modality::Prohibition),
        ("No passengers.", Modality::Prohibition),
        ("Parachutes required.", Modality::Obligation),
    ];
    for (text, modality) in cases {
        assert_eq!(one(text).modality, modality, "{text}");
    }
    assert!(norms("Sample Field, Nowhere.").is_empty());
}

#[test]
fn quotations_bind_nobody() {
    let text = "The entry must say: \"The owner must inspect the seat.\"";
    let binding: Vec<_> = norms(text).into_iter().filter(|n| !n.quoted).collect();
    assert_eq!(binding.len(), 1, "{binding:#?}");
}

#[test]
fn a_lead_in_governs_its_items() {
    let text = "1. The owner must:\n(a) keep the log;\n(b) tell the office of each change; and\n(c) sign the entry.\n";
    let found = shape(text);
    assert_eq!(found.len(), 3, "{found:?}");
    assert!(
        found
            .iter()
            .all(|f| *f == ("obligation", Some("The owner".to_owned())))
    );
    let context = Context {
        stem: Some("The pilot may not:"),
        ..Context::default()
    };
    let norms = passage(
        "carry passengers unless phase I is over;",
        context,
        patterns(),
    )
    .norms;
    assert_eq!(norms.len(), 1);
    assert_eq!(norms[0].modality, Modality::Restriction);
    assert_eq!(norms[0].trigger.as_ref().and_then(|t| t.span), None);
}

#[test]
fn any_spans_are_survived() {
    let patterns = patterns();
    let texts = [
        "",
        "may",
        "No",
        "must must must",
        ", , , may , ,",
        "(((may))) \u{201d}\u{201d} “shall",
        "Only",
        "é may not ü unless",
        "the of the of shall by by by",
        "may\u{a0}not —— must: : ; only unless",
    ];
    for text in texts {
        let tokens = patterns.lexicon.tokens(text);
        let wild = [
            Span::new(0, text.len()),
            Span::new(text.len(), 0),
            Span::new(3, 900),
        ];
        let clause = |body: Span| Clause {
            id: "x".into(),
            number: None,
            item: None,
            level: 1,
            parent: Some(7),
            span: body,
            body,
            phase: None,
        };
        let clauses: Vec<Clause> = wild.iter().map(|s| clause(*s)).collect();
        let context = Context::default();
        let with = modality::norms(text, &tokens, &clauses, &wild, context, patterns);
        let without = modality::norms(text, &tokens, &[], &[], context, patterns);
        for norm in with.iter().chain(&without) {
            assert!(text.get(norm.span.start..norm.span.end).is_some());
        }
    }
}

/// Four times the text may take no more than about four times the time, even in one sentence.
#[test]
fn one_endless_sentence_takes_linear_time() {
    let patterns = patterns();
    let base = "The owner must inspect the aircraft before flight, and no person may operate it \
                unless it has been inspected by a mechanic; ";
    let time = |times: usize| {
        let text = base.repeat(times);
        let tokens = patterns.lexicon.tokens(&text);
        let start = std::time::Instant::now();
        let norms = modality::norms(&text, &tokens, &[], &[], Context::default(), patterns);
        assert_eq!(norms.len(), 2 * times);
        start.elapsed().as_secs_f64()
    };
    let (short, long) = (time(300), time(2400));
    assert!(long < 32.0 * short + 0.1, "{short} s, then {long} s");
}
