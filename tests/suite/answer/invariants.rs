//! What must hold of every answer, on every combination and on generated questions.
//!
//! The oracle at the end is written apart from the program, straight from the table of answers: it
//! knows only when a `yes` or a `no` may be certain.

use whomay::model::{
    Answer, Basis, CategoryClass, CertificateFor, Defect, DefectKind, Detail, Form, Inspection,
    InspectorConditionKind as Asks, KeyTwo, Kind, Letter, OpenBecause, Ownership, Paper, Question,
    Ratings, RuleAnswer, RuleDoubt, Verdict,
};

use super::build::{Says, letter, patterns};

const DAYS: [&str; 16] = [
    "1979-08-08",
    "1979-08-09",
    "1979-12-31",
    "1980-01-01",
    "2004-08-31",
    "2004-09-01",
    "2004-09-02",
    "2015-05-05",
    "2025-10-21",
    "2025-10-22",
    "2025-10-23",
    "2026-07-23",
    "2026-07-24",
    "2026-07-25",
    "2026-11-25",
    "1970-01-01",
];
const BASES: [&str; 15] = [
    "a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k", "l", "i1", "i2", "i3",
];
const CATEGORIES: [&str; 8] = [
    "airplane",
    "glider",
    "rotorcraft",
    "rotorcraft/gyroplane",
    "rotorcraft/helicopter",
    "lighter-than-air",
    "lighter-than-air/balloon",
    "airplane/single-engine-sea",
];

/// A small generator of its own, so that the same questions come on every machine.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(sides).expect("sides")).expect("small")
    }

    fn of<T: Clone>(&mut self, all: &[T]) -> T {
        all[self.roll(all.len())].clone()
    }

    fn maybe<T>(&mut self, value: impl FnOnce(&mut Self) -> T) -> Option<T> {
        (self.roll(3) > 0).then(|| value(self))
    }

    fn kinds(&mut self, most: usize) -> Vec<Kind> {
        let mut kinds = Vec::new();
        for _ in 0..=self.roll(most) {
            let kind = self.of(&Kind::ALL);
            if !kinds.contains(&kind) {
                kinds.push(kind);
            }
        }
        kinds
    }

    fn says(&mut self) -> Says {
        let named = self.kinds(3);
        let mut says = match self.roll(5) {
            0 | 1 => Says::open(&named),
            2 | 3 => Says::closed(&named),
            _ => Says::new(Form::None, &named),
        };
        if self.roll(4) == 0 {
            says = says.excluding(&self.kinds(1));
        }
        if self.roll(3) == 0 {
            let asks = self.of(&[
                Asks::ThisAircraft,
                Asks::OwnedByHolder,
                Asks::HoldsInspectionAuthorization,
                Asks::AtLeast,
                Asks::AsAuthorizedBy433,
                Asks::UnderPart65,
                Asks::AppropriatelyRated,
                Asks::Certificated,
                Asks::Supervised,
                Asks::Other,
            ]);
            let on = (self.roll(2) == 0).then(|| self.of(&named));
            says = says.if_(asks, on);
        }
        if self.roll(12) == 0 {
            says.doubt = Some(RuleDoubt::Overlooked);
        }
        says.of(self.of(&[
            Inspection::Yearly,
            Inspection::Yearly,
            Inspection::Any,
            Inspection::HundredHour,
            Inspection::Other,
        ]))
    }

    fn letter(&mut self) -> Letter {
        let clauses = self.roll(4);
        let says: Vec<Says> = (0..clauses).map(|_| self.says()).collect();
        let basis = self.maybe(|d| d.of(&BASES));
        let mut letter = letter(basis, &says);
        letter.issued.value = self
            .maybe(|d| d.of(&["1975-01-01", "2008-05-14", "2025-11-12", "2026-02-20"]))
            .map(|d| d.parse().expect("a day"));
        if self.roll(10) == 0 {
            letter.findings.push(Defect {
                detail: self.of(&[
                    Detail::PageMissing {
                        page: 2,
                        of: 2,
                        behind: Some(1),
                    },
                    Detail::BeginsAt {
                        number: "3".to_owned(),
                    },
                    Detail::ClauseCut { at_page_end: true },
                ]),
                clauses: Vec::new(),
                span: None,
            });
        }
        letter.paper = match self.roll(20) {
            0 => Paper::LightSportCategory,
            1 => Paper::Unknown,
            _ => Paper::OperatingLimitations,
        };
        letter
    }

    fn question(&mut self) -> Question {
        let mut q = Question::on(self.of(&DAYS).parse().expect("a day"));
        if self.roll(5) == 0 {
            q.inspection = self.of(&[Inspection::HundredHour, Inspection::Other]);
        }
        let category = |d: &mut Self| CategoryClass::parse(d.of(&CATEGORIES)).expect("a category");
        q.owner = self.maybe(|d| d.of(&Ownership::ALL));
        q.trained = self.maybe(category);
        q.aircraft = self.maybe(category);
        q.ratings = self.maybe(|d| Ratings {
            airframe: d.roll(3) > 0,
            powerplant: d.roll(3) > 0,
        });
        q.certificate_for = self.maybe(|d| {
            d.of(&[
                CertificateFor::This,
                CertificateFor::Other,
                CertificateFor::Unlisted,
            ])
        });
        q.earlier_certificate = self.maybe(|d| d.roll(3) == 0);
        q.inspection_authorization = self.maybe(|d| d.roll(2) == 0);
        q
    }
}

fn answers(letter: &Letter, question: &Question) -> Vec<Answer> {
    whomay::answer(letter, question, patterns())
}

const fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Yes => 3,
        Verdict::Disputed => 2,
        Verdict::Undetermined => 1,
        Verdict::No => 0,
    }
}

#[test]
fn what_holds_of_every_answer_holds_of_10000_generated_questions() {
    let mut dice = Dice(0x5eed_cafe_f00d_0001);
    let mut seen = [0_usize; 4];
    for n in 0..10_000 {
        let letter = dice.letter();
        let question = dice.question();
        for answer in answers(&letter, &question) {
            let context = || format!("question {n}: {letter:#?}\n{question:#?}\n{answer:#?}");
            seen[usize::from(rank(answer.answer))] += 1;
            let is_letter = !matches!(letter.paper, Paper::Unknown);
            // No yes unless both keys turn.
            if answer.answer == Verdict::Yes {
                assert_eq!(answer.rule.answer, RuleAnswer::Yes, "{}", context());
                assert!(
                    matches!(answer.letter.answer, KeyTwo::Named | KeyTwo::Silent),
                    "{}",
                    context()
                );
                assert!(
                    answer.letter.conditions.iter().all(|c| c.met == Some(true)),
                    "{}",
                    context()
                );
            }
            // Key 1 no: never anything but no.
            if answer.rule.answer == RuleAnswer::No && is_letter {
                assert_eq!(answer.answer, Verdict::No, "{}", context());
            }
            // A closed list without the kind, or an exclusion, the text certain: always no.
            if matches!(answer.letter.answer, KeyTwo::ShutOut | KeyTwo::Excluded) && is_letter {
                assert_eq!(answer.answer, Verdict::No, "{}", context());
            }
            // An open list without the kind: never yes, and no only where key 1 fails.
            if answer.letter.answer == KeyTwo::Unlisted {
                assert_ne!(answer.answer, Verdict::Yes, "{}", context());
                assert!(
                    answer.answer != Verdict::No || answer.rule.answer == RuleAnswer::No,
                    "{}",
                    context()
                );
            }
            // What is certain has nothing open, and what is open says why.
            let certain = matches!(answer.answer, Verdict::Yes | Verdict::No);
            assert_eq!(certain, answer.open_because.is_none(), "{}", context());
            if certain {
                assert_eq!(answer.if_met, answer.answer, "{}", context());
                assert!(answer.settled_by.is_empty(), "{}", context());
            }
            if answer.open_because == Some(OpenBecause::Fact) {
                assert!(!answer.settled_by.is_empty(), "{}", context());
            }
            assert!(rank(answer.if_met) >= rank(answer.answer), "{}", context());
            // Zero false certainty, by an oracle that shares no code with the program.
            let allowed = oracle::certain(&letter, &question, answer.holder);
            match answer.answer {
                Verdict::Yes => assert!(allowed.yes, "{}", context()),
                Verdict::No => assert!(allowed.no, "{}", context()),
                _ => {}
            }
        }
    }
    // The generator reaches every answer.
    assert!(seen.iter().all(|n| *n > 500), "{seen:?}");
}

#[test]
fn adding_a_fact_never_makes_an_answer_better_than_its_if_met() {
    let mut dice = Dice(0x5eed_cafe_f00d_0002);
    for _ in 0..4_000 {
        let letter = dice.letter();
        let question = dice.question();
        let mut more = question.clone();
        let extra = dice.question();
        more.owner = more.owner.or(extra.owner);
        more.trained = more.trained.or(extra.trained);
        more.aircraft = more.aircraft.or(extra.aircraft);
        more.certificate_for = more.certificate_for.or(extra.certificate_for);
        more.earlier_certificate = more.earlier_certificate.or(extra.earlier_certificate);
        more.ratings = more.ratings.or(extra.ratings);
        more.inspection_authorization = more
            .inspection_authorization
            .or(extra.inspection_authorization);
        if letter.basis.value.is_none() {
            more.basis = more.basis.or_else(|| Basis::parse(dice.of(&BASES)));
        }
        for (before, after) in answers(&letter, &question)
            .iter()
            .zip(answers(&letter, &more))
        {
            assert!(
                rank(after.answer) <= rank(before.if_met)
                    && rank(after.if_met) <= rank(before.if_met),
                "{letter:#?}\n{question:#?}\n{more:#?}\n{before:#?}\n{after:#?}"
            );
            // And what was certain without the fact, key 1 or key 2 may still fail on it; but a
            // no stays a no.
            if before.answer == Verdict::No {
                assert_eq!(
                    after.answer,
                    Verdict::No,
                    "{before:#?}\n{after:#?}\n{more:#?}"
                );
            }
        }
    }
}

#[test]
fn removing_only_never_makes_an_answer_stricter() {
    let mut dice = Dice(0x5eed_cafe_f00d_0003);
    for _ in 0..4_000 {
        let says: Vec<Says> = (0..=dice.roll(2)).map(|_| dice.says()).collect();
        let at = dice.roll(says.len());
        if says[at].form != Form::Closed {
            continue;
        }
        let mut without = says.clone();
        without[at].form = Form::Open;
        let basis = Some(dice.of(&BASES));
        let question = dice.question();
        let closed = letter(basis, &says);
        let open = letter(basis, &without);
        for (strict, loose) in answers(&closed, &question)
            .iter()
            .zip(answers(&open, &question))
        {
            // An answer that rests on unclear text may become clear either way.
            if strict.letter.answer == KeyTwo::Unclear || loose.letter.answer == KeyTwo::Unclear {
                continue;
            }
            // Disputed and undetermined have no order; what the answer could become has.
            assert!(
                rank(loose.if_met) >= rank(strict.if_met)
                    && (loose.answer != Verdict::No || strict.answer == Verdict::No)
                    && (strict.answer != Verdict::Yes || loose.answer == Verdict::Yes),
                "{says:#?}\n{question:#?}\n{strict:#?}\n{loose:#?}"
            );
        }
    }
}

#[test]
fn the_days_around_each_rule() {
    let full = |q: &mut Question| {
        q.owner = Some(Ownership::OwnName);
        q.trained = CategoryClass::parse("airplane");
        q.aircraft = CategoryClass::parse("airplane");
    };
    let on = |day: &str, basis: &str, kind: Kind| {
        let letter = letter(Some(basis), &[Says::open(&Kind::HOLDERS)]);
        let mut q = Question::on(day.parse().expect("a day"));
        full(&mut q);
        q.holder = Some(kind);
        answers(&letter, &q).remove(0).answer
    };
    use Kind::{
        BuilderRepairman as B, LightSportRepairmanInspection as I,
        LightSportRepairmanMaintenance as L, Mechanic as M,
    };
    use Verdict::{No, Undetermined, Yes};
    for (day, basis, kind, want) in [
        ("1979-08-08", "g", B, No),
        // Which day of 1979 it was, is not known: ignorance is no dispute.
        ("1979-08-09", "g", B, Undetermined),
        ("1979-08-10", "g", B, Undetermined),
        ("1979-12-31", "g", B, Undetermined),
        ("1980-01-01", "g", B, Yes),
        ("1980-01-02", "g", B, Yes),
        ("2004-08-31", "i", I, No),
        ("2004-09-01", "i", I, Yes),
        ("2004-09-02", "i", I, Yes),
        ("2004-08-31", "i", L, No),
        ("2004-09-01", "i", L, Yes),
        ("2025-10-21", "i", I, Yes),
        ("2025-10-22", "i", I, Yes),
        ("2025-10-21", "g", I, No),
        ("2025-10-22", "g", I, Yes),
        ("2025-10-23", "g", I, Yes),
        ("2025-10-21", "g", L, No),
        ("2025-10-22", "g", L, Yes),
        ("2025-10-21", "k", L, No),
        ("2025-10-22", "k", L, Yes),
        ("2025-10-22", "d", L, No),
        ("2025-10-21", "g", M, Yes),
        ("2025-10-22", "g", M, Yes),
        ("2026-07-23", "l", L, Yes),
        ("2026-07-24", "l", L, Yes),
        ("2026-07-25", "l", L, Yes),
    ] {
        assert_eq!(
            on(day, basis, kind),
            want,
            "{day} ({basis}) {}",
            kind.name()
        );
    }
}

#[test]
fn the_bare_question_on_an_open_letter_of_today() {
    let f = letter(
        Some("g"),
        &[Says::open(&[Kind::BuilderRepairman, Kind::Mechanic])],
    );
    let got: Vec<_> = answers(&f, &Question::on("2026-11-25".parse().expect("a day")))
        .into_iter()
        .map(|a| (a.holder.name(), a.answer.name(), a.if_met.name()))
        .collect();
    assert_eq!(
        got,
        [
            ("builder-repairman", "yes", "yes"),
            ("mechanic", "yes", "yes"),
            ("repair-station", "disputed", "disputed"),
            (
                "light-sport-repairman-inspection",
                "undetermined",
                "disputed"
            ),
            (
                "light-sport-repairman-maintenance",
                "undetermined",
                "disputed"
            ),
            ("general-repairman", "no", "no"),
            ("manufacturer", "no", "no"),
            ("owner", "no", "no"),
        ]
    );
}

/// When may a `yes` or a `no` be certain? From the table of answers, in other words than the
/// program's: by asking for every way in which it could turn out otherwise.
mod oracle {
    use super::{
        Asks, CertificateFor, DefectKind, Form, Inspection, Kind, Letter, Ownership, Paper,
        Question,
    };

    pub(super) struct Allowed {
        pub(super) yes: bool,
        pub(super) no: bool,
    }

    /// yes, no, or neither.
    #[derive(Clone, Copy, PartialEq, Eq, Debug)]
    enum Sure {
        Yes,
        No,
        Open,
    }

    pub(super) fn certain(letter: &Letter, q: &Question, kind: Kind) -> Allowed {
        if letter.paper == Paper::Unknown {
            return Allowed {
                yes: false,
                no: false,
            };
        }
        let rule = rule(letter, q, kind);
        let text = text(letter, q, kind);
        // An owner has no from the rule only under a list, or where part 43 bars.
        Allowed {
            yes: rule == Sure::Yes && text == Sure::Yes,
            no: rule == Sure::No || text == Sure::No,
        }
    }

    fn light_sport(kind: Kind) -> bool {
        matches!(
            kind,
            Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance
        )
    }

    fn trained(q: &Question, old: bool) -> Sure {
        let (Some(t), Some(a)) = (&q.trained, &q.aircraft) else {
            return Sure::Open;
        };
        if t.category != a.category {
            return Sure::No;
        }
        if old {
            if t.category != "rotorcraft" {
                return Sure::Yes;
            }
            let gyro = |c: &Option<String>| c.as_deref().map(|c| c == "gyroplane");
            return match (gyro(&t.class), gyro(&a.class)) {
                (Some(false), _) | (_, Some(false)) => Sure::No,
                (Some(true), Some(true)) => Sure::Yes,
                _ => Sure::Open,
            };
        }
        match (&t.class, &a.class) {
            (None, _) => Sure::Yes,
            (Some(_), None) => Sure::Open,
            (Some(t), Some(a)) => {
                if t == a {
                    Sure::Yes
                } else {
                    Sure::No
                }
            }
        }
    }

    fn ratings(q: &Question) -> Sure {
        let Some(r) = q.ratings else {
            return Sure::Yes;
        };
        if r.airframe && r.powerplant {
            return Sure::Yes;
        }
        if !r.airframe {
            return Sure::No;
        }
        match &q.aircraft {
            None => Sure::Open,
            Some(a) if a.category == "glider" => Sure::Yes,
            Some(a) if a.category == "lighter-than-air" => match a.class.as_deref() {
                Some("balloon") => Sure::Yes,
                None => Sure::Open,
                Some(_) => Sure::No,
            },
            Some(_) => Sure::No,
        }
    }

    fn both(one: Sure, other: Sure) -> Sure {
        match (one, other) {
            (Sure::No, _) | (_, Sure::No) => Sure::No,
            (Sure::Yes, Sure::Yes) => Sure::Yes,
            _ => Sure::Open,
        }
    }

    /// Key 1 over all bases that are possible: sure only where all agree.
    fn rule(letter: &Letter, q: &Question, kind: Kind) -> Sure {
        let category = letter.paper == Paper::LightSportCategory;
        let all: Vec<String> = match q.basis.or(letter.basis.value) {
            _ if category => vec![String::new()],
            Some(b) if b.letter == 'i' && b.item.is_none() => {
                ["i1", "i2", "i3"].map(str::to_owned).to_vec()
            }
            Some(b) => vec![format!(
                "{}{}",
                b.letter,
                b.item.map_or_else(String::new, |n| n.to_string())
            )],
            None => [
                "a", "b", "c", "d", "e", "f", "g", "h", "i1", "i2", "i3", "j", "k", "l",
            ]
            .map(str::to_owned)
            .to_vec(),
        };
        let each: Vec<Sure> = all
            .iter()
            .map(|b| rule_on(letter, q, kind, b, category))
            .collect();
        if each.iter().all(|s| *s == each[0]) {
            each[0]
        } else {
            Sure::Open
        }
    }

    fn rule_on(letter: &Letter, q: &Question, kind: Kind, basis: &str, category: bool) -> Sure {
        let day = q.on.to_string();
        let since = |d: &str| day.as_str() >= d;
        let new = since("2025-10-22");
        let part_43 = !category
            && q.earlier_certificate == Some(true)
            && !basis.starts_with('i')
            && basis != "l";
        let unsettled = |s: Sure| {
            if s == Sure::Yes && part_43 {
                Sure::Open
            } else {
                s
            }
        };
        let yearly = q.inspection == Inspection::Yearly;
        match kind {
            Kind::BuilderRepairman => {
                let card = !matches!(
                    q.certificate_for,
                    Some(CertificateFor::Other | CertificateFor::Unlisted)
                );
                if category || !since("1979-08-09") || !card {
                    Sure::No
                } else if basis == "g" && yearly && since("1980-01-01") {
                    unsettled(Sure::Yes)
                } else {
                    Sure::Open
                }
            }
            Kind::Mechanic => ratings(q),
            Kind::RepairStation => Sure::Yes,
            k if light_sport(k) => {
                let inspecting = k == Kind::LightSportRepairmanInspection;
                if !since("2004-09-01") {
                    return Sure::No;
                }
                if category {
                    return if inspecting {
                        Sure::No
                    } else {
                        trained(q, !new)
                    };
                }
                if q.inspection == Inspection::HundredHour {
                    return if inspecting {
                        Sure::No
                    } else if basis == "i1" {
                        unsettled(trained(q, !new))
                    } else if new && ["g", "i2", "i3", "k", "l"].contains(&basis) {
                        if trained(q, false) == Sure::No {
                            Sure::No
                        } else {
                            Sure::Open
                        }
                    } else {
                        Sure::No
                    };
                }
                let covered = if new {
                    basis == "g" || basis == "k" || basis == "l" || basis.starts_with('i')
                } else {
                    basis.starts_with('i')
                };
                if !covered {
                    return Sure::No;
                }
                if !yearly {
                    return if !new || trained(q, false) == Sure::No {
                        Sure::No
                    } else {
                        Sure::Open
                    };
                }
                let owned = match q.owner {
                    _ if !inspecting => Sure::Yes,
                    Some(Ownership::OwnName) => Sure::Yes,
                    Some(Ownership::NotOwner) => Sure::No,
                    _ => Sure::Open,
                };
                unsettled(both(owned, trained(q, !new)))
            }
            Kind::Owner => {
                // Under a list the rule lets no owner in; where part 43 applies it bars.
                if category || part_43 || (says_who(letter, q) && !young(letter, q)) {
                    Sure::No
                } else {
                    Sure::Open
                }
            }
            _ => Sure::No,
        }
    }

    fn young(letter: &Letter, q: &Question) -> bool {
        q.issued.or(letter.issued.value).is_some_and(|i| i > q.on)
    }

    fn bears(letter: &Letter, q: &Question) -> Vec<usize> {
        letter
            .inspectors
            .iter()
            .enumerate()
            .filter(|(_, r)| r.inspection == q.inspection || r.inspection == Inspection::Any)
            .map(|(n, _)| n)
            .collect()
    }

    fn says_who(letter: &Letter, q: &Question) -> bool {
        bears(letter, q).iter().any(|n| {
            let r = &letter.inspectors[*n];
            r.form != Form::None || !r.excluded.is_empty() || !r.conditions.is_empty()
        })
    }

    fn covers(said: Kind, kind: Kind) -> Sure {
        if said == kind {
            return Sure::Yes;
        }
        match said {
            Kind::LightSportRepairman if light_sport(kind) => Sure::Yes,
            Kind::Repairman
                if light_sport(kind)
                    || kind == Kind::BuilderRepairman
                    || kind == Kind::GeneralRepairman =>
            {
                Sure::Open
            }
            Kind::Other if kind != Kind::Owner => Sure::Open,
            _ => Sure::No,
        }
    }

    /// A clause's own conditions for the kind.
    fn asks(letter: &Letter, n: usize, q: &Question, kind: Kind) -> Sure {
        let rule = &letter.inspectors[n];
        rule.conditions
            .iter()
            .filter(|c| c.on.is_none_or(|on| covers(on, kind) != Sure::No))
            .map(|c| match c.kind {
                Asks::ThisAircraft => match (kind, q.certificate_for) {
                    (
                        Kind::Mechanic | Kind::RepairStation | Kind::Manufacturer | Kind::Owner,
                        _,
                    )
                    | (Kind::BuilderRepairman, None)
                    | (_, Some(CertificateFor::This)) => Sure::Yes,
                    (Kind::BuilderRepairman, _) | (_, Some(CertificateFor::Other)) => Sure::No,
                    _ => Sure::Open,
                },
                Asks::OwnedByHolder => match q.owner {
                    Some(Ownership::OwnName) => Sure::Yes,
                    Some(Ownership::NotOwner) => Sure::No,
                    _ => Sure::Open,
                },
                Asks::HoldsInspectionAuthorization => match q.inspection_authorization {
                    Some(true) => Sure::Yes,
                    Some(false) => Sure::No,
                    None => Sure::Open,
                },
                Asks::AtLeast | Asks::AppropriatelyRated if kind == Kind::Mechanic => ratings(q),
                Asks::AtLeast | Asks::AppropriatelyRated | Asks::AsAuthorizedBy433 => Sure::Yes,
                Asks::UnderPart65 => match kind {
                    Kind::RepairStation | Kind::Manufacturer | Kind::Owner => Sure::No,
                    _ => Sure::Yes,
                },
                Asks::Certificated => match kind {
                    Kind::Owner => Sure::No,
                    Kind::Manufacturer => Sure::Open,
                    _ => Sure::Yes,
                },
                // out of its case an obligation says nothing of whom it names in it
                Asks::Case if rule.form == Form::Closed => Sure::Yes,
                Asks::Supervised | Asks::Case | Asks::Other => Sure::Open,
            })
            .fold(Sure::Yes, both)
    }

    /// Key 2: yes where the letter certainly does not stand in the way, no where it certainly
    /// does.
    fn text(letter: &Letter, q: &Question, kind: Kind) -> Sure {
        let category = letter.paper == Paper::LightSportCategory;
        let in_list = matches!(
            kind,
            Kind::Mechanic | Kind::RepairStation | Kind::LightSportRepairmanMaintenance
        );
        if category && q.on.to_string().as_str() < "2004-09-01" {
            return Sure::Open;
        }
        if category && !in_list {
            return Sure::No;
        }
        if !category && young(letter, q) {
            return Sure::Open;
        }
        let own = own_words(letter, q, kind);
        if category {
            // The rule names the kind; only the paper's certain words can take it away.
            return match own {
                Own::No => Sure::No,
                Own::Conflict => Sure::Open,
                Own::Conditions(s) | Own::Lacks(s) | Own::Silent(s) | Own::Loose(s) => s,
            };
        }
        match own {
            Own::No => Sure::No,
            Own::Conflict | Own::Lacks(_) | Own::Loose(_) => Sure::Open,
            Own::Conditions(s) => s,
            Own::Silent(s) => {
                let lost = letter.findings.iter().any(|d| {
                    matches!(
                        d.kind(),
                        DefectKind::MissingPage | DefectKind::MissingNumber | DefectKind::Cut
                    )
                });
                let note = light_sport(kind)
                    && q.basis
                        .or(letter.basis.value)
                        .is_none_or(|b| b.letter == 'g');
                if lost || note || kind == Kind::Owner {
                    Sure::Open
                } else {
                    s
                }
            }
        }
    }

    enum Own {
        No,
        Conflict,
        Lacks(Sure),
        /// Named by a general word in an open list.
        Loose(Sure),
        Conditions(Sure),
        Silent(Sure),
    }

    fn own_words(letter: &Letter, q: &Question, kind: Kind) -> Own {
        let all = bears(letter, q);
        let special: Vec<usize> = all
            .iter()
            .copied()
            .filter(|n| letter.inspectors[*n].inspection == q.inspection)
            .collect();
        let lists = |set: &[usize]| {
            set.iter()
                .copied()
                .filter(|n| letter.inspectors[*n].form != Form::None)
                .collect::<Vec<_>>()
        };
        let level = if lists(&special).is_empty() {
            lists(&all)
        } else {
            lists(&special)
        };
        // Any doubt on the clauses that could decide takes all certainty.
        let doubtful = all.iter().any(|n| letter.inspectors[*n].doubt.is_some());
        // Demands without a list.
        let mut demands = Sure::Yes;
        for n in all
            .iter()
            .filter(|n| letter.inspectors[**n].form == Form::None)
        {
            if letter.inspectors[*n]
                .named
                .iter()
                .any(|k| covers(k.kind, kind) != Sure::No)
            {
                demands = both(demands, asks(letter, *n, q, kind));
            }
        }
        let excluded: Vec<usize> = all
            .iter()
            .copied()
            .filter(|n| {
                letter.inspectors[*n]
                    .excluded
                    .iter()
                    .any(|k| k.kind != Kind::Other && covers(k.kind, kind) != Sure::No)
            })
            .collect();
        let named_by = |n: usize| {
            let r = &letter.inspectors[n];
            let best = r
                .named
                .iter()
                .map(|k| covers(k.kind, kind))
                .max_by_key(|s| match s {
                    Sure::Yes => 2,
                    Sure::Open => 1,
                    Sure::No => 0,
                })
                .unwrap_or(Sure::No);
            if best == Sure::No || asks(letter, n, q, kind) == Sure::No {
                Sure::No
            } else {
                best
            }
        };
        if doubtful {
            // The program may still be certain where a doubtful general clause gives way to a
            // special one; the oracle allows that case only.
            let special_doubt = special
                .iter()
                .chain(&level)
                .any(|n| letter.inspectors[*n].doubt.is_some());
            if special_doubt {
                return Own::Conflict;
            }
        }
        if demands == Sure::No {
            return Own::No;
        }
        if level.is_empty() {
            return if excluded.is_empty() {
                Own::Silent(demands)
            } else {
                Own::No
            };
        }
        if level.iter().any(|n| {
            let r = &letter.inspectors[*n];
            r.form == Form::Closed && r.named.is_empty()
        }) {
            return Own::Conflict;
        }
        let special_level = !lists(&special).is_empty();
        let excluded_here: Vec<usize> = excluded
            .iter()
            .copied()
            .filter(|n| !special_level || special.contains(n))
            .collect();
        let any_named = level.iter().any(|n| named_by(*n) != Sure::No);
        if !excluded_here.is_empty() {
            // 3 the kind itself, 2 a word for both ratings, 1 a word that may cover it.
            let exact = |said: Kind| match covers(said, kind) {
                Sure::No => 0,
                Sure::Open => 1,
                Sure::Yes if said == kind => 3,
                Sure::Yes => 2,
            };
            let out = excluded_here
                .iter()
                .flat_map(|n| &letter.inspectors[*n].excluded)
                .filter(|k| k.kind != Kind::Other)
                .map(|k| exact(k.kind))
                .max()
                .unwrap_or(0);
            let strongest = |n: usize| {
                if named_by(n) == Sure::No {
                    return 0;
                }
                let named = &letter.inspectors[n].named;
                named.iter().map(|k| exact(k.kind)).max().unwrap_or(0)
            };
            let inside = level.iter().map(|n| strongest(*n)).max().unwrap_or(0);
            let special_before_general =
                !special_level && excluded_here.iter().any(|n| special.contains(n));
            if out >= 2 && (special_before_general || out > inside) {
                return Own::No;
            }
            // «The builder may; no other repairman»: one clause, and the exact word holds.
            let one_clause = out == 1
                && inside >= 2
                && level
                    .iter()
                    .all(|n| strongest(*n) == 0 || excluded_here.contains(n));
            if out >= 2 || (inside > 0 && !one_clause) {
                return Own::Conflict;
            }
        } else if !excluded.is_empty() && !any_named {
            // Shut out in general, and the special clause does not speak of it.
            return Own::No;
        }
        let closed: Vec<usize> = level
            .iter()
            .copied()
            .filter(|n| letter.inspectors[*n].form == Form::Closed)
            .collect();
        let lacking = closed.iter().any(|n| named_by(*n) == Sure::No);
        if lacking {
            return if any_named { Own::Conflict } else { Own::No };
        }
        if !any_named {
            return Own::Lacks(demands);
        }
        if closed.is_empty() && level.iter().all(|n| named_by(*n) != Sure::Yes) {
            return Own::Loose(demands);
        }
        let decisive = if closed.is_empty() { &level } else { &closed };
        let surely: Vec<Sure> = decisive
            .iter()
            .filter(|n| named_by(**n) != Sure::No)
            .map(|n| both(named_by(*n), asks(letter, *n, q, kind)))
            .collect();
        let best = if closed.is_empty() {
            if surely.contains(&Sure::Yes) {
                Sure::Yes
            } else {
                Sure::Open
            }
        } else {
            surely.into_iter().fold(Sure::Yes, both)
        };
        Own::Conditions(both(best, demands))
    }
}
