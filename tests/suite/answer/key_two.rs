//! Key 2, clause by clause: levels, conflicts, exclusion, generic terms, conditions, lost text.

use whomay::model::{
    Basis, Defect, Detail, Form, Inspection, InspectorConditionKind as Asks, KeyNote, KeyTwo, Kind,
    Letter, Modality, Norm, OpenBecause, Paper, Question, RuleDoubt, Span, Verdict,
};

use super::build::{Says, letter, patterns};

fn ask(letter: &Letter, kind: Kind, set: impl FnOnce(&mut Question)) -> whomay::model::Answer {
    let mut question = Question::on("2026-11-25".parse().expect("a day"));
    question.holder = Some(kind);
    set(&mut question);
    whomay::answer(letter, &question, patterns()).remove(0)
}

fn key(letter: &Letter, kind: Kind) -> KeyTwo {
    ask(letter, kind, |_| ()).letter.answer
}

use Kind::{
    BuilderRepairman as Builder, LightSportRepairman as LightSport,
    LightSportRepairmanInspection as Inspecting, LightSportRepairmanMaintenance as Maintaining,
    Mechanic, Other, Owner, RepairStation as Station, Repairman,
};

#[test]
fn a_clause_for_the_named_inspection_goes_before_a_general_one() {
    let both = letter(
        Some("g"),
        &[
            Says::open(&[Mechanic]).of(Inspection::Any),
            Says::closed(&[Station]),
        ],
    );
    assert_eq!(key(&both, Mechanic), KeyTwo::ShutOut);
    let answer = ask(&both, Station, |_| ());
    assert_eq!(answer.letter.answer, KeyTwo::Named);
    // Both are shown, the deciding one first.
    assert_eq!(answer.letter.clauses, [1, 0]);
    assert_eq!(answer.letter.notes, [KeyNote::GeneralYields(vec![0])]);
}

#[test]
fn a_list_for_another_inspection_decides_nothing() {
    let hundred = letter(
        Some("a"),
        &[Says::closed(&[Mechanic]).of(Inspection::HundredHour)],
    );
    assert_eq!(key(&hundred, Station), KeyTwo::Silent);
    let asked = ask(&hundred, Station, |q| {
        q.inspection = Inspection::HundredHour
    });
    assert_eq!(asked.letter.answer, KeyTwo::ShutOut);
    // A "may" for one and a "must" for the other is no contradiction.
    let two = letter(
        Some("a"),
        &[
            Says::open(&[Mechanic, Station]),
            Says::closed(&[Mechanic]).of(Inspection::HundredHour),
        ],
    );
    assert_eq!(key(&two, Station), KeyTwo::Named);
}

#[test]
fn two_closed_lists_that_differ_are_unclear_for_those_in_one() {
    let two = letter(
        Some("g"),
        &[Says::closed(&[Builder]), Says::closed(&[Mechanic])],
    );
    for kind in [Builder, Mechanic] {
        let answer = ask(&two, kind, |_| ());
        assert_eq!(answer.letter.answer, KeyTwo::Unclear);
        assert_eq!(answer.answer, Verdict::Undetermined);
        assert_eq!(answer.open_because, Some(OpenBecause::Text));
    }
    assert_eq!(key(&two, Station), KeyTwo::ShutOut);
    assert_eq!(ask(&two, Owner, |_| ()).answer, Verdict::No);
    let open = letter(
        Some("g"),
        &[Says::closed(&[Mechanic]), Says::open(&[Builder])],
    );
    assert_eq!(key(&open, Builder), KeyTwo::Unclear);
    assert_eq!(key(&open, Mechanic), KeyTwo::Named);
    assert_eq!(key(&open, Station), KeyTwo::ShutOut);
    let lists = letter(
        Some("g"),
        &[Says::open(&[Mechanic]), Says::open(&[Builder])],
    );
    assert_eq!(key(&lists, Builder), KeyTwo::Named);
    assert_eq!(key(&lists, Station), KeyTwo::Unlisted);
}

#[test]
fn exclusion_by_name() {
    let beside = letter(
        Some("g"),
        &[Says::open(&[Mechanic]).excluding(&[LightSport])],
    );
    assert_eq!(key(&beside, Inspecting), KeyTwo::Excluded);
    assert_eq!(key(&beside, Station), KeyTwo::Unlisted);
    // "Any repairman except a light-sport repairman".
    let except = letter(
        Some("g"),
        &[Says::open(&[Repairman]).excluding(&[LightSport])],
    );
    assert_eq!(key(&except, Maintaining), KeyTwo::Excluded);
    assert_eq!(key(&except, Builder), KeyTwo::Generic);
    // One clause lets in, another shuts out, equally exact.
    let conflict = letter(
        Some("g"),
        &[Says::open(&[Station]), Says::excludes(&[Station])],
    );
    assert_eq!(key(&conflict, Station), KeyTwo::Unclear);
    // The exclusion is the more exact one: one rating of two.
    let exact = letter(
        Some("g"),
        &[Says::open(&[LightSport]), Says::excludes(&[Inspecting])],
    );
    assert_eq!(key(&exact, Inspecting), KeyTwo::Excluded);
    assert_eq!(key(&exact, Maintaining), KeyTwo::Named);
    // A general exclusion, and a clause for this inspection.
    let general = letter(
        Some("g"),
        &[
            Says::excludes(&[LightSport]).of(Inspection::Any),
            Says::open(&[Mechanic, Inspecting]),
        ],
    );
    assert_eq!(key(&general, Inspecting), KeyTwo::Named);
    assert_eq!(key(&general, Maintaining), KeyTwo::Excluded);
    // Only an exclusion: nobody else is listed.
    let only = letter(Some("g"), &[Says::excludes(&[LightSport])]);
    assert_eq!(key(&only, Inspecting), KeyTwo::Excluded);
    assert_eq!(key(&only, Mechanic), KeyTwo::Silent);
    assert_eq!(ask(&only, Owner, |_| ()).answer, Verdict::Undetermined);
}

#[test]
fn generic_terms() {
    let repairman = letter(Some("g"), &[Says::closed(&[Repairman])]);
    assert_eq!(key(&repairman, Builder), KeyTwo::Generic);
    assert_eq!(key(&repairman, Mechanic), KeyTwo::ShutOut);
    let person = letter(Some("g"), &[Says::closed(&[Other])]);
    assert_eq!(key(&person, Mechanic), KeyTwo::Generic);
    assert_eq!(key(&person, Owner), KeyTwo::ShutOut);
    let light_sport = letter(Some("i"), &[Says::closed(&[LightSport])]);
    assert_eq!(key(&light_sport, Inspecting), KeyTwo::Named);
    assert_eq!(key(&light_sport, Maintaining), KeyTwo::Named);
    assert_eq!(key(&light_sport, Builder), KeyTwo::ShutOut);
    let faa = letter(Some("g"), &[Says::closed(&[Kind::FaaInspector])]);
    assert_eq!(key(&faa, Mechanic), KeyTwo::ShutOut);
}

#[test]
fn conditions_of_the_clause() {
    let ia = letter(
        Some("g"),
        &[Says::closed(&[Mechanic]).if_(Asks::HoldsInspectionAuthorization, None)],
    );
    let open = ask(&ia, Mechanic, |_| ());
    assert_eq!(open.answer, Verdict::Undetermined);
    assert_eq!(
        (open.if_met, open.settled_by.as_slice()),
        (Verdict::Yes, ["holds-ia".to_owned()].as_slice())
    );
    let without = ask(&ia, Mechanic, |q| q.inspection_authorization = Some(false));
    assert_eq!(
        (without.letter.answer, without.answer),
        (KeyTwo::ShutOut, Verdict::No)
    );
    let with = ask(&ia, Mechanic, |q| q.inspection_authorization = Some(true));
    assert_eq!(with.answer, Verdict::Yes);
    // Put on one kind, it asks nothing of another.
    let owner = letter(
        Some("i"),
        &[Says::open(&[LightSport, Mechanic]).if_(Asks::OwnedByHolder, Some(LightSport))],
    );
    assert_eq!(ask(&owner, Mechanic, |_| ()).answer, Verdict::Yes);
    let not_owner = ask(&owner, Maintaining, |q| {
        q.owner = Some(whomay::model::Ownership::NotOwner);
        q.trained = whomay::model::CategoryClass::parse("airplane");
        q.aircraft = q.trained.clone();
    });
    assert_eq!(
        (not_owner.letter.answer, not_owner.answer),
        (KeyTwo::Unlisted, Verdict::Disputed)
    );
    // Words that nothing tests are an open fact.
    let odd = letter(Some("g"), &[Says::open(&[Mechanic]).if_(Asks::Other, None)]);
    assert_eq!(ask(&odd, Mechanic, |_| ()).settled_by, ["clause-condition"]);
}

#[test]
fn the_same_answer_in_a_case_and_out_of_it_is_no_question() {
    let in_a_case = |says: Says| says.if_(Asks::Case, None);
    let sold = letter(Some("g"), &[in_a_case(Says::closed(&[Mechanic]))]);
    let named = ask(&sold, Mechanic, |_| ());
    assert_eq!(named.answer, Verdict::Yes);
    assert!(named.letter.notes.contains(&KeyNote::EitherWay(vec![0])));
    // Shut out in it, and not out of it.
    assert_eq!(ask(&sold, Station, |_| ()).answer, Verdict::Undetermined);
    // Out of it another list shuts the mechanic out.
    let beside = letter(
        Some("g"),
        &[
            in_a_case(Says::closed(&[Mechanic])),
            Says::closed(&[Builder]),
        ],
    );
    assert_eq!(ask(&beside, Mechanic, |_| ()).answer, Verdict::Undetermined);
    // A permission in a case says something of the time out of it, too.
    let may = letter(Some("g"), &[in_a_case(Says::open(&[Mechanic]))]);
    assert_eq!(ask(&may, Mechanic, |_| ()).answer, Verdict::Undetermined);
}

#[test]
fn words_that_hold_in_one_case_only_shut_nobody_out_for_certain() {
    let in_a_case = |says: Says| letter(Some("g"), &[says.if_(Asks::Other, None)]);
    let listed = in_a_case(Says::closed(&[Mechanic]));
    let excluded = in_a_case(Says::excludes(&[Builder]));
    for letter in [&listed, &excluded] {
        let answer = ask(letter, Builder, |_| ());
        assert_eq!(
            (answer.letter.answer, answer.answer),
            (KeyTwo::Unclear, Verdict::Undetermined)
        );
        assert_eq!(answer.letter.notes, [KeyNote::InOneCase(vec![0])]);
    }
    // A clause that holds always decides beside it.
    let both = letter(
        Some("g"),
        &[
            Says::closed(&[Mechanic]).if_(Asks::Other, None),
            Says::closed(&[Mechanic]),
        ],
    );
    assert_eq!(key(&both, Builder), KeyTwo::ShutOut);
    // A condition on one kind of a list is none on the list.
    let on_one = letter(
        Some("g"),
        &[Says::closed(&[Mechanic]).if_(Asks::Other, Some(Mechanic))],
    );
    assert_eq!(key(&on_one, Builder), KeyTwo::ShutOut);
}

#[test]
fn may_not_unless_asks_and_a_recommendation_does_not() {
    let mut bars = letter(
        Some("g"),
        &[Says::new(Form::None, &[Mechanic])
            .if_(Asks::HoldsInspectionAuthorization, Some(Mechanic))],
    );
    let norm = |modality| Norm {
        clause: 0,
        modality,
        span: Span::new(0, 90),
        trigger: None,
        bearer: None,
        action: None,
        conditions: Vec::new(),
        exceptions: Vec::new(),
        limiter: None,
        pattern: None,
        quoted: false,
    };
    bars.norms = vec![norm(Modality::Restriction)];
    assert_eq!(ask(&bars, Mechanic, |_| ()).settled_by, ["holds-ia"]);
    assert_eq!(
        ask(&bars, Mechanic, |q| q.inspection_authorization =
            Some(false))
        .letter
        .answer,
        KeyTwo::Excluded
    );
    assert_eq!(
        ask(&bars, Mechanic, |q| q.inspection_authorization = Some(true)).answer,
        Verdict::Yes
    );
    bars.norms = vec![norm(Modality::Statement)];
    assert_eq!(ask(&bars, Mechanic, |_| ()).answer, Verdict::Yes);
}

fn defect(detail: Detail, clauses: Vec<usize>, span: Option<Span>) -> Defect {
    Defect {
        detail,
        clauses,
        span,
    }
}

#[test]
fn what_is_lost_or_doubtful_makes_the_letter_unclear() {
    let mut silent = letter(Some("g"), &[]);
    assert_eq!(key(&silent, Mechanic), KeyTwo::Silent);
    silent.findings = vec![defect(
        Detail::PageMissing {
            page: 2,
            of: 3,
            behind: Some(1),
        },
        vec![],
        None,
    )];
    let answer = ask(&silent, Mechanic, |_| ());
    assert_eq!(
        (answer.letter.answer, answer.answer),
        (KeyTwo::Unclear, Verdict::Undetermined)
    );
    assert_eq!(ask(&silent, Kind::Manufacturer, |_| ()).answer, Verdict::No);
    assert_eq!(ask(&silent, Owner, |_| ()).answer, Verdict::Undetermined);
    // With a list at hand a missing page is a note.
    let mut listed = letter(Some("g"), &[Says::open(&[Mechanic])]);
    listed.findings = silent.findings.clone();
    let answer = ask(&listed, Mechanic, |_| ());
    assert_eq!(answer.answer, Verdict::Yes);
    assert_eq!(
        answer.letter.notes,
        [KeyNote::AnotherClauseLost(listed.findings[0].clone())]
    );
    // A doubtful word, or a cut, in the clause itself.
    listed.findings = vec![defect(
        Detail::DoubtfulWord { meant: None },
        vec![0],
        Some(Span::new(5, 9)),
    )];
    assert_eq!(key(&listed, Mechanic), KeyTwo::Unclear);
    listed.findings = vec![defect(
        Detail::ClauseCut { at_page_end: false },
        vec![0],
        None,
    )];
    assert_eq!(key(&listed, Mechanic), KeyTwo::Unclear);
    let mut said = Says::closed(&[Mechanic]);
    said.doubt = Some(RuleDoubt::Word {
        span: Span::new(4, 8),
        meant: Some("only".to_owned()),
    });
    let doubtful = letter(Some("g"), &[said]);
    assert_eq!(key(&doubtful, Mechanic), KeyTwo::Unclear);
    assert_eq!(key(&doubtful, Station), KeyTwo::Unclear);
    let nameless = letter(Some("g"), &[Says::closed(&[])]);
    assert_eq!(key(&nameless, Mechanic), KeyTwo::Unclear);
}

#[test]
fn other_papers_and_other_days() {
    let mut paper = letter(None, &[]);
    for kind in [
        Paper::Unknown,
        Paper::Certificate,
        Paper::AirmanCertificate,
        Paper::Registration,
    ] {
        paper.paper = kind;
        for answer in whomay::answer(
            &paper,
            &Question::on("2026-11-25".parse().expect("a day")),
            patterns(),
        ) {
            assert_eq!(answer.answer, Verdict::Undetermined);
            assert_eq!(answer.letter.notes, [KeyNote::NoLetter(kind)]);
        }
    }
    // A letter that is younger than the day was not in force.
    let mut young = letter(Some("g"), &[Says::open(&[Mechanic])]);
    young.issued.value = Some("2026-12-01".parse().expect("a day"));
    assert_eq!(ask(&young, Mechanic, |_| ()).answer, Verdict::Undetermined);
    assert_eq!(
        ask(&young, Kind::GeneralRepairman, |_| ()).answer,
        Verdict::No
    );
}

#[test]
fn contradictions_between_letter_and_option_are_reported() {
    let mut own = letter(Some("g"), &[]);
    own.issued.value = Some("2008-05-14".parse().expect("a day"));
    let mut question = Question::on("2026-11-25".parse().expect("a day"));
    assert!(whomay::answer::notes(&own, &question, patterns()).is_empty());
    question.basis = Basis::parse("d");
    question.issued = Some("2009-05-14".parse().expect("a day"));
    let ids: Vec<_> = whomay::answer::notes(&own, &question, patterns())
        .into_iter()
        .map(|n| n.id())
        .collect();
    assert_eq!(ids, ["basis-contradicts", "issued-contradicts"]);
    // The option is followed.
    let answer = ask(&own, Maintaining, |q| q.basis = Basis::parse("d"));
    assert_eq!(answer.answer, Verdict::No);
}

#[test]
fn next_steps_name_who_can_sign_and_what_it_takes() {
    let list = letter(Some("g"), &[Says::open(&[Builder, Mechanic])]);
    let answer = ask(&list, Inspecting, |_| ());
    let all = answer.next.join("\n");
    for words in [
        "Who can sign without doubt",
        "--owner",
        "16-hour",
        "whomay request",
        "65.109(a)",
    ] {
        assert!(all.contains(words), "{words} in:\n{all}");
    }
    let station = ask(&list, Station, |_| ());
    assert!(
        station
            .next
            .iter()
            .any(|s| s.contains("works at the station"))
    );
    assert!(!station.hazards.is_empty());
    insta::assert_snapshot!("next_steps_of_a_light_sport_repairman", all);
}

/// What a letter with this one clause on inspectors gives, in an amateur-built letter.
fn of_clause(clause: &str, kind: Kind, set: impl FnOnce(&mut Question)) -> whomay::model::Answer {
    let text = format!(
        "OPERATING LIMITATIONS\n\nExperimental, amateur-built aircraft (14 CFR 21.191(g))\n\n1. {clause}\n\n\
         2. This aircraft may not be flown over densely populated areas.\n\n\
         3. No person may carry persons or property for compensation or hire.\n"
    );
    let case = whomay::Case::of(whomay::model::Text::verbatim(&text), patterns());
    ask(&case.letter, kind, set)
}

/// Domain notes 0.1: such words name the builder, and a light-sport repairman whose card lists the
/// aircraft is open, too.
#[test]
fn a_card_that_lists_the_aircraft_may_come_under_words_that_name_no_builder() {
    use whomay::model::CertificateFor;
    let bare = "The condition inspection shall be performed only by the holder of the repairman certificate \
                for this aircraft.";
    let held = |card| {
        of_clause(bare, Maintaining, |q| {
            q.certificate_for = Some(card);
        })
        .letter
        .answer
    };
    assert_eq!(held(CertificateFor::This), KeyTwo::Generic);
    assert_eq!(held(CertificateFor::Unlisted), KeyTwo::Generic);
    assert_eq!(held(CertificateFor::Other), KeyTwo::ShutOut);
    assert_eq!(
        of_clause(bare, Builder, |_| ()).letter.answer,
        KeyTwo::Named
    );
    // Who the words call the builder is nobody else.
    let builder = "The condition inspection shall be performed only by the builder holding the repairman \
                   certificate for this aircraft.";
    assert_eq!(
        of_clause(builder, Maintaining, |_| ()).letter.answer,
        KeyTwo::ShutOut
    );
}

/// Lists by reference (domain notes 0.1): part 65 certificates persons, § 43.3 names repair stations, too.
#[test]
fn part_65_leaves_a_repair_station_out_and_43_3_lets_it_in() {
    let by = |reference| {
        let clause = format!(
            "The condition inspection shall be performed by a person authorized {reference}."
        );
        move |kind| of_clause(&clause, kind, |_| ()).letter.answer
    };
    let part_65 = by("under part 65");
    assert_eq!(part_65(Station), KeyTwo::ShutOut);
    assert_eq!(part_65(Mechanic), KeyTwo::Generic);
    let part_43 = by("by § 43.3");
    assert_eq!(part_43(Station), KeyTwo::Generic);
    assert_eq!(part_43(Mechanic), KeyTwo::Generic);
}

/// A clause that is not understood and speaks of inspections in general is no silence on a special one.
#[test]
fn a_general_clause_in_doubt_is_not_silence() {
    let mut doubtful = Says::new(Form::None, &[]).of(Inspection::Any);
    doubtful.doubt = Some(RuleDoubt::Overlooked);
    let general = letter(Some("g"), &[doubtful]);
    let asked = ask(&general, Station, |q| {
        q.inspection = Inspection::HundredHour;
    });
    assert_eq!(asked.letter.answer, KeyTwo::Unclear);
}
