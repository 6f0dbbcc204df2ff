//! The report on a letter and answers made by hand: what every format says, and that nothing in a
//! letter can steer a terminal.

use jiff::civil::date;
use whomay::model::{
    Age, Answer, Basis, CategoryClass, Clause, Comparison, ConditionResult, Defect, Detail, Form,
    Found, Inspection, InspectorRule, KeyNote, KeyTwo, Kind, Label, Letter, LetterKey, Modality,
    NamedKind, Norm, Note, OpenBecause, Paper, Phrase, Question, ReadAs, ReadingApplied,
    RuleAnswer, RuleCitation, RuleKey, Source, Span, Text, Verdict,
};
use whomay::patterns::Patterns;
use whomay::report::{Report, json, markdown, short, terminal};

const LETTER: &str = "\
INVENTED SAMPLE - not a real letter
Operating limitations, amateur-built, N0WHO, issued May 14, 2008

(22) No person may operate this aircraft unless within the preceding 12
calendar months it has had a condition inspection.

(26) An experimental aircraft builder certificated as a repairman for this
aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic
may perform the condition inspection required by these operating limitations.
";

/// The span of words that stand in the text once.
fn at(text: &str, words: &str) -> Span {
    let start = text.find(words).expect(words);
    Span::new(start, start + words.len())
}

struct Made {
    text: Text,
    letter: Letter,
    question: Question,
    answers: Vec<Answer>,
    notes: Vec<Note>,
    patterns: Patterns,
}

impl Made {
    fn report<'a>(&'a self, compared: Option<&'a (Comparison, Age)>) -> Report<'a> {
        Report {
            text: &self.text,
            letter: &self.letter,
            question: &self.question,
            answers: &self.answers,
            notes: &self.notes,
            comparison: compared.map(|c| &c.0),
            age: compared.map(|c| &c.1),
            patterns: &self.patterns,
        }
    }
}

fn clause(content: &str, number: &str, words: &str) -> Clause {
    let printed = format!("({number})");
    let head = at(content, &printed);
    let body = at(content, words);
    Clause {
        id: number.into(),
        number: Some(Label {
            printed,
            label: number.into(),
            span: head,
        }),
        item: None,
        level: 1,
        parent: None,
        span: Span::new(head.start, body.end),
        body,
        phase: None,
    }
}

fn answer(holder: Kind, verdict: Verdict, rule: RuleAnswer, letter: KeyTwo) -> Answer {
    Answer {
        ratings: None,
        holder,
        inspection: Inspection::Yearly,
        answer: verdict,
        open_because: match verdict {
            Verdict::Disputed => Some(OpenBecause::Law),
            Verdict::Undetermined => Some(OpenBecause::Fact),
            _ => None,
        },
        if_met: verdict,
        settled_by: Vec::new(),
        rule: RuleKey {
            answer: rule,
            open_because: (rule == RuleAnswer::Open).then_some(OpenBecause::Fact),
            citations: vec![RuleCitation {
                paragraph: "14 CFR 65.104(b)".into(),
                days: "since 1979".into(),
                read: "grade A".into(),
                ..RuleCitation::default()
            }],
            rules: Vec::new(),
            conditions: Vec::new(),
            standing: Vec::new(),
            notes: Vec::new(),
            unsettled: false,
        },
        letter: LetterKey {
            answer: letter,
            clauses: vec![1],
            conditions: Vec::new(),
            evidence: vec![at(LETTER, "may perform")],
            notes: Vec::new(),
        },
        readings: Vec::new(),
        next: vec!["Look at the certificate before the work starts.".into()],
        hazards: vec!["After the last day there is no flight, not even to the inspector.".into()],
    }
}

fn unlisted_light_sport() -> Answer {
    let mut made = answer(
        Kind::LightSportRepairmanInspection,
        Verdict::Undetermined,
        RuleAnswer::Open,
        KeyTwo::Unlisted,
    );
    made.if_met = Verdict::Disputed;
    made.settled_by = vec!["owner".into(), "trained".into()];
    made.rule.conditions = vec![
        ConditionResult {
            name: "basis".into(),
            met: Some(true),
            open_because: None,
            words: "the certificate is one under § 21.191(g), (i), (k) or (l)".into(),
            citation: "§ 65.109(a)(2)".into(),
        },
        ConditionResult {
            name: "owned-by-holder".into(),
            met: None,
            open_because: Some(OpenBecause::Fact),
            words: "the holder owns the aircraft".into(),
            citation: "§ 65.109(a)(1)".into(),
        },
    ];
    made.readings = vec![ReadingApplied {
        id: "reading/exhaustive".into(),
        answer: Verdict::No,
        if_met: Verdict::No,
        held_by: "the regulator, in a fact sheet".into(),
        since: "2025-12-11".into(),
        later_than_day: false,
        applies_if: None,
        line: None,
        says: "The list is complete; a revised letter is needed.".into(),
        support: "The regulator prescribes the limitations (§ 91.319(i)).".into(),
        objection: "The sentence has no «only».".into(),
        strength: "Guidance, no law; no court has decided (grade B).".into(),
    }];
    made
}

fn made() -> Made {
    let bodies = [
        "No person may operate this aircraft unless within the preceding 12\ncalendar months it has had a condition inspection.",
        "An experimental aircraft builder certificated as a repairman for this\naircraft under § 65.104 or an appropriately rated FAA-certificated mechanic\nmay perform the condition inspection required by these operating limitations.",
    ];
    let mut text = Text::verbatim(LETTER);
    text.sources.push(Source {
        name: "letters/made.txt".into(),
        sha256: "0".repeat(64),
        pages: 1,
        read_as: ReadAs::Text,
    });
    let named = |kind, words| NamedKind {
        kind,
        span: at(LETTER, words),
        pattern: "inspector/made".into(),
        by_card: false,
    };
    let mut question = Question::on(date(2026, 11, 25));
    question.aircraft = CategoryClass::parse("airplane");
    let open = RuleAnswer::Open;
    let mut maintenance = answer(
        Kind::LightSportRepairmanMaintenance,
        Verdict::Undetermined,
        open,
        KeyTwo::Unlisted,
    );
    maintenance.if_met = Verdict::Disputed;
    maintenance.settled_by = vec!["trained".into()];
    let no = |kind| answer(kind, Verdict::No, RuleAnswer::No, KeyTwo::Unlisted);
    Made {
        letter: Letter {
            paper: Paper::OperatingLimitations,
            paper_evidence: vec![at(LETTER, "Operating limitations")],
            clauses: vec![
                clause(LETTER, "22", bodies[0]),
                clause(LETTER, "26", bodies[1]),
            ],
            norms: vec![Norm {
                clause: 0,
                modality: Modality::Restriction,
                span: at(LETTER, bodies[0]),
                trigger: Some(Phrase {
                    text: "No person may".into(),
                    span: Some(at(LETTER, "No person may")),
                }),
                bearer: None,
                action: None,
                conditions: Vec::new(),
                exceptions: Vec::new(),
                limiter: None,
                pattern: Some("modality/no-person-unless".into()),
                quoted: false,
            }],
            topics: vec![
                vec!["inspection-when".into()],
                vec!["inspection-who".into()],
            ],
            inspectors: vec![InspectorRule {
                clause: 1,
                span: at(LETTER, bodies[1]),
                form: Form::Open,
                inspection: Inspection::Yearly,
                named: vec![
                    named(Kind::BuilderRepairman, "experimental aircraft builder"),
                    named(Kind::Mechanic, "mechanic"),
                ],
                excluded: Vec::new(),
                conditions: Vec::new(),
                demands: false,
                evidence: vec![at(LETTER, "may perform")],
                doubt: None,
            }],
            basis: Found {
                value: Basis::parse("g"),
                evidence: vec![at(LETTER, "amateur-built")],
            },
            issued: Found {
                value: Some(date(2008, 5, 14)),
                evidence: vec![at(LETTER, "May 14, 2008")],
            },
            ..Letter::default()
        },
        text,
        question,
        answers: vec![
            answer(
                Kind::BuilderRepairman,
                Verdict::Yes,
                RuleAnswer::Yes,
                KeyTwo::Named,
            ),
            answer(Kind::Mechanic, Verdict::Yes, RuleAnswer::Yes, KeyTwo::Named),
            answer(
                Kind::RepairStation,
                Verdict::Disputed,
                RuleAnswer::Yes,
                KeyTwo::Unlisted,
            ),
            unlisted_light_sport(),
            maintenance,
            no(Kind::GeneralRepairman),
            no(Kind::Manufacturer),
            no(Kind::Owner),
        ],
        notes: Vec::new(),
        patterns: Patterns::embedded().unwrap(),
    }
}

fn plain(report: &str) -> String {
    // The digest of the patterns changes with every pattern.
    let text = anstream::adapter::strip_str(report).to_string();
    text.lines()
        .map(|l| l.split(", patterns ").next().unwrap_or(l))
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn the_whole_report() {
    let made = made();
    insta::assert_snapshot!(plain(&terminal::whole(&made.report(None), 80)));
}

#[test]
fn the_first_screen_has_24_lines_and_ends_with_the_caution() {
    let made = made();
    let text = plain(&terminal::whole(&made.report(None), 80));
    let screen: Vec<&str> = text.lines().take(24).collect();
    let joined = screen.join(" ");
    assert!(joined.contains("mechanic or an attorney."), "{text}");
    for kind in ["Builder", "Mechanic", "Repair station", "Owner without"] {
        assert!(joined.contains(kind), "{kind}");
    }
}

#[test]
fn no_line_is_wider_than_told() {
    let made = made();
    for width in [32, 40, 59, 60, 72, 80] {
        let text = plain(&terminal::whole(&made.report(None), width));
        for line in text.lines() {
            assert!(line.chars().count() <= width, "{width}: {line}");
        }
    }
}

#[test]
fn short_markdown_has_under_15_lines() {
    let made = made();
    let text = short::markdown(&made.report(None));
    assert!(text.lines().count() < 15, "{text}");
    insta::assert_snapshot!(text);
}

#[test]
fn a_hostile_letter_cannot_steer_a_terminal() {
    let mut made = made();
    let hostile = "\u{1b}]0;x\u{7}\u{9b}2J\u{202e}\u{0}";
    let swap = |text: &str| text.replace("INVENTED", hostile);
    made.text.content = LETTER.replace("appropriately", "\u{1b}[2Jppropria");
    made.text.sources[0].name = swap("INVENTED.txt");
    made.letter.findings.push(Defect {
        detail: Detail::OrderWords {
            revision: swap("INVENTED revision"),
        },
        clauses: vec![0],
        span: Some(Span::new(3, 7)),
    });
    made.letter.clauses[0].id = hostile.into();
    made.answers[0].next.push(swap("INVENTED"));
    let asks = swap("INVENTED");
    let note = KeyNote::ConditionNotMet { clause: 0, asks };
    made.answers[0].letter.notes.push(note);
    made.answers[0].hazards.push(swap("INVENTED"));
    let report = made.report(None);
    for output in [
        terminal::whole(&report, 80),
        short::markdown(&report),
        markdown::long(&report),
        json::report(&report),
    ] {
        let text = anstream::adapter::strip_str(&output).to_string();
        assert_eq!(
            text.matches("[2J").count(),
            output.matches("[2J").count(),
            "an escape of the letter was taken for one of ours"
        );
        for c in output.replace("\u{1b}[", "").chars() {
            assert!(c == '\n' || !c.is_control(), "{c:?}");
            assert!(!('\u{202a}'..='\u{202e}').contains(&c), "{c:?}");
        }
    }
}

/// The first screen, the whole report and the page of a letter, each in one line of plain words.
fn read_of(text: &str) -> [String; 3] {
    let patterns = Patterns::embedded().expect("the embedded patterns");
    let text = Text::verbatim(text);
    let letter = whomay::understand(&text, &patterns);
    let question = Question::on(date(2026, 11, 25));
    let answers = whomay::answer(&letter, &question, &patterns);
    let report = Report {
        text: &text,
        letter: &letter,
        question: &question,
        answers: &answers,
        notes: &[],
        comparison: None,
        age: None,
        patterns: &patterns,
    };
    [
        plain(&terminal::overview(&report, 80)),
        plain(&terminal::whole(&report, 80)),
        whomay::report::html::letter(&report, &[]),
    ]
    .map(|text| text.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Which inspection words in doubt speak of is in doubt, too.
#[test]
fn words_in_doubt_are_not_said_to_be_of_one_inspection() {
    let [brief, whole, _] = read_of(
        "EXPERIMENTAL OPERATING LIMITATIONS\n\n1. This aircraft shall not be flown unless someone described in B.3 \
         has found it to be in a condition for safe operation. The persons meant by B.1 are: a mechanic who holds \
         both ratings.\n",
    );
    assert!(brief.contains("Clause 1 (line 3) is not clear"), "{brief}");
    assert!(
        !brief.contains("100-hour inspection; is not clear"),
        "{brief}"
    );
    let either = "the yearly condition inspection or the 100-hour inspection; is not clear";
    assert!(whole.contains(either), "{whole}");
}

/// What leaves a clause in doubt is marked on the first screen and in the page's answer, also where it is
/// another sentence than the one that is quoted.
#[test]
fn the_words_that_were_not_understood_stand_on_the_first_screen() {
    let [brief, _, page] = read_of(
        "OPERATING LIMITATIONS\nEXPERIMENTAL, AMATEUR-BUILT\n\n1. In winter a mechanic shall perform the condition \
         inspection.\n\n2. The condition inspection may be performed by a mechanic. Approval of the office is \
         required.\n",
    );
    let answer = page.split("<table").next().unwrap_or_default();
    for (marked, words) in [
        ("«In winter»", "In winter"),
        (
            "«Approval of the office is required.»",
            "Approval of the office is required.",
        ),
    ] {
        assert!(brief.contains(marked), "{brief}");
        // a mark of the sentence that is quoted leads to what is said of it
        let mark = format!("<mark>{words}</mark>");
        let leads = format!("{words}</a></mark>");
        assert!(
            answer.contains(&mark) || answer.contains(&leads),
            "{answer}"
        );
    }
}
