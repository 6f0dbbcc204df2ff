//! From the model to the shapes of the JSON report.

use super::types::{
    Age, AgeEvidence, Answer, Candidate, Citation, Clause, ClauseComparison, Compared, Comparison,
    Condition, Defect, Difference, Evidence, Inspectors, Letter, LetterKey, Norm, Note, Question,
    Reading, Replaced, Root, RuleKey, Source, Tool, Unverified,
};
use crate::model::{
    self, Basis, CertificateFor, ConditionResult, NamedKind, OpenBecause, Phase, Phrase, Span,
};
use crate::report::{CAUTION, Report, View, clean, findings};

pub(super) fn report(report: &Report<'_>) -> Root {
    let view = report.view();
    Root {
        schema: 1,
        tool: Tool {
            version: env!("CARGO_PKG_VERSION"),
            patterns: report.patterns.digest().to_owned(),
        },
        source: report.text.sources.iter().map(source).collect(),
        question: question(report.question),
        letter: letter(&view),
        notes: report.notes.iter().map(|n| note(report, n)).collect(),
        clauses: clauses(&view),
        inspectors: report
            .letter
            .inspectors
            .iter()
            .map(|rule| inspectors(&view, rule))
            .collect(),
        condition: report
            .letter
            .findings
            .iter()
            .map(|d| defect(report, d))
            .collect(),
        age: age(&view, report.age),
        comparison: comparison(&view, report.comparison),
        answers: answers(report),
        next: report.steps().iter().map(|s| clean::line(s)).collect(),
        hazards: report.hazards().iter().map(|s| clean::line(s)).collect(),
        unverified: report
            .unverified()
            .into_iter()
            .map(|(id, source)| Unverified {
                id: id.to_owned(),
                title: clean::line(&source.title),
                locator: clean::line(&source.locator),
                grade: source.grade.clone(),
                checked: source.checked.to_string(),
            })
            .collect(),
        caution: CAUTION,
    }
}

pub(super) fn compared(report: &Report<'_>) -> Compared {
    let view = report.view();
    Compared {
        schema: 1,
        source: report.text.sources.iter().map(source).collect(),
        comparison: comparison(&view, report.comparison),
        age: age(&view, report.age),
    }
}

pub(super) fn answers(report: &Report<'_>) -> Vec<Answer> {
    report.answers.iter().map(|a| answer(report, a)).collect()
}

fn source(source: &model::Source) -> Source {
    Source {
        name: clean::line(&source.name),
        sha256: source.sha256.clone(),
        pages: source.pages,
        read_as: source.read_as.name(),
    }
}

/// `g`, `i2`: the form that `--basis` takes.
fn question(question: &model::Question) -> Question {
    Question {
        on: question.on.to_string(),
        inspection: question.inspection.name(),
        holder: question.holder.map(model::Kind::name),
        owner: question.owner.map(model::Ownership::name),
        trained: question.trained.as_ref().map(ToString::to_string),
        aircraft: question.aircraft.as_ref().map(ToString::to_string),
        basis: question.basis.map(Basis::name),
        issued: question.issued.map(|d| d.to_string()),
        ratings: question.ratings.map(|r| {
            let both = [(r.airframe, "airframe"), (r.powerplant, "powerplant")];
            both.into_iter().filter(|b| b.0).map(|b| b.1).collect()
        }),
        certificate_for: question.certificate_for.map(CertificateFor::name),
        earlier_certificate: question.earlier_certificate,
        inspection_authorization: question.inspection_authorization,
    }
}

fn letter(view: &View<'_>) -> Letter {
    let letter = view.letter;
    let of = |name: &'static str, spans: &[Span]| -> Vec<Evidence> {
        spans
            .iter()
            .map(|s| Evidence {
                of: Some(name),
                ..evidence(view, *s)
            })
            .collect()
    };
    let mut found = of("paper", &letter.paper_evidence);
    found.extend(of("basis", &letter.basis.evidence));
    found.extend(of("issued", &letter.issued.evidence));
    found.extend(of("aircraft", &letter.aircraft.evidence));
    Letter {
        is_letter: letter.paper.is_limitations(),
        paper: letter.paper.name(),
        basis: letter.basis.value.map(Basis::name),
        issued: letter.issued.value.map(|d| d.to_string()),
        aircraft: letter.aircraft.value.as_ref().map(ToString::to_string),
        alone: letter.paper == model::Paper::Clause,
        amended: letter.amended.value.map(|d| d.to_string()),
        term: letter.term.value.map(|d| d.to_string()),
        replaced: letter
            .replaced
            .iter()
            .map(|replaced| {
                let place = view.evidence(replaced.span);
                Replaced {
                    id: replaced.id.as_ref().map(|id| clean::line(id)),
                    by: replaced.by.name(),
                    source: place.source,
                    page: place.page,
                    line: place.line,
                    text: place.text,
                }
            })
            .collect(),
        evidence: found,
    }
}

fn evidence(view: &View<'_>, span: Span) -> Evidence {
    let found = view.evidence(span);
    Evidence {
        of: None,
        clause: found.clause,
        source: found.source,
        page: found.page,
        line: found.line,
        text: found.text,
        confidence: rounded(f64::from(found.confidence)),
    }
}

fn note(report: &Report<'_>, note: &model::Note) -> Note {
    Note {
        id: note.id(),
        message: clean::line(&report.note(note)),
        page: note.page(),
    }
}

fn clauses(view: &View<'_>) -> Vec<Clause> {
    let letter = view.letter;
    let mut norms: Vec<Vec<Norm>> = letter.clauses.iter().map(|_| Vec::new()).collect();
    for found in &letter.norms {
        if let Some(list) = norms.get_mut(found.clause) {
            list.push(norm(view, found));
        }
    }
    let mut citations: Vec<Vec<Citation>> = letter.clauses.iter().map(|_| Vec::new()).collect();
    for found in &letter.citations {
        if let Some(list) = view
            .clause_at(found.span)
            .and_then(|i| citations.get_mut(i))
        {
            list.push(citation(view, found));
        }
    }
    letter
        .clauses
        .iter()
        .zip(norms)
        .zip(citations)
        .enumerate()
        .map(|(index, ((clause, norms), citations))| {
            let place = view.evidence(clause.span);
            Clause {
                id: clean::line(&clause.id),
                number: clause.number.as_ref().map(|n| clean::line(&n.label)),
                printed: clause.number.as_ref().map(|n| clean::line(&n.printed)),
                item: clause.item.as_ref().map(|n| clean::line(&n.label)),
                level: clause.level,
                parent: clause.parent.map(|p| view.id(p)),
                phase: clause.phase.map(|p| match p {
                    Phase::One => 1,
                    Phase::Two => 2,
                }),
                source: place.source,
                page: place.page,
                line: place.line,
                text: view.words(clause.body),
                norms,
                topics: letter.topics.get(index).cloned().unwrap_or_default(),
                citations,
            }
        })
        .collect()
}

fn norm(view: &View<'_>, norm: &model::Norm) -> Norm {
    let words = |p: &Option<Phrase>| p.as_ref().map(|p| clean::line(&p.text));
    let spans = |s: &[Span]| s.iter().map(|s| view.words(*s)).collect();
    let place = view.evidence(norm.span);
    Norm {
        modality: norm.modality.name(),
        trigger: words(&norm.trigger),
        bearer: words(&norm.bearer),
        action: words(&norm.action),
        conditions: spans(&norm.conditions),
        exceptions: spans(&norm.exceptions),
        pattern: norm.pattern.clone(),
        quoted: norm.quoted,
        page: place.page,
        line: place.line,
        text: place.text,
    }
}

fn citation(view: &View<'_>, citation: &model::Citation) -> Citation {
    let place = view.evidence(citation.span);
    Citation {
        text: place.text,
        target: clean::line(&citation.target),
        title: citation.title,
        part: clean::line(&citation.part),
        section: clean::line(&citation.section),
        page: place.page,
        line: place.line,
    }
}

fn names(kinds: &[NamedKind]) -> Vec<&'static str> {
    let mut names = Vec::new();
    for kind in kinds {
        if !names.contains(&kind.kind.name()) {
            names.push(kind.kind.name());
        }
    }
    names
}

fn inspectors(view: &View<'_>, rule: &model::InspectorRule) -> Inspectors {
    let place = view.evidence(rule.span);
    Inspectors {
        clause: view.id(rule.clause),
        form: rule.form.name(),
        inspection: rule.inspection.name(),
        named: names(&rule.named),
        excluded: names(&rule.excluded),
        conditions: rule.conditions.iter().map(|c| view.words(c.span)).collect(),
        evidence: rule.evidence.iter().map(|s| evidence(view, *s)).collect(),
        source: place.source,
        page: place.page,
        line: place.line,
        text: place.text,
        doubt: findings::doubt(view, rule).as_deref().map(clean::line),
    }
}

fn defect(report: &Report<'_>, defect: &model::Defect) -> Defect {
    let view = report.view();
    Defect {
        kind: defect.kind().name(),
        clauses: view.ids(&defect.clauses),
        source: defect.span.map(|s| view.evidence(s).source),
        page: defect.span.map(|s| view.evidence(s).page),
        message: clean::line(&report.defect(defect)),
    }
}

fn age(view: &View<'_>, age: Option<&model::Age>) -> Age {
    let Some(age) = age else {
        return Age {
            best: None,
            by_words: Vec::new(),
            with_date: Vec::new(),
            candidates: Vec::new(),
            evidence: Vec::new(),
            notes: Vec::new(),
        };
    };
    Age {
        notes: age.misfit.iter().map(misfit).collect(),
        best: age.best.clone(),
        by_words: age.by_words.clone(),
        with_date: age.with_date.clone(),
        candidates: age
            .candidates
            .iter()
            .map(|c| Candidate {
                wording: c.wording.clone(),
                weight: rounded(c.weight),
            })
            .collect(),
        evidence: age
            .evidence
            .iter()
            .map(|e| AgeEvidence {
                evidence: evidence(view, e.span),
                pattern: e.pattern.clone(),
                points_to: clean::line(&e.points_to),
                supports: e.supports,
            })
            .collect(),
    }
}

fn comparison(view: &View<'_>, comparison: Option<&model::Comparison>) -> Comparison {
    let Some(comparison) = comparison else {
        return Comparison {
            wording: None,
            note: None,
            clauses: Vec::new(),
        };
    };
    Comparison {
        wording: comparison.wording.clone(),
        note: comparison
            .note
            .as_ref()
            .map(|n| clean::line(&findings::comparison_note(n))),
        clauses: comparison
            .clauses
            .iter()
            .map(|c| ClauseComparison {
                clause: view.id(c.clause),
                reference: c.reference.clone(),
                similarity: rounded(c.similarity),
                same: c.diff.as_ref().map(|d| d.same),
                differences: c
                    .diff
                    .iter()
                    .flat_map(|d| &d.differences)
                    .map(difference)
                    .collect(),
            })
            .collect(),
    }
}

pub(super) fn difference(difference: &model::Difference) -> Difference {
    Difference {
        kind: difference.kind.name(),
        material: difference.material,
        old: clean::lines(&difference.old),
        new: clean::lines(&difference.new),
        reason: clean::line(&findings::difference_reason(&difference.reason)),
    }
}

fn answer(report: &Report<'_>, answer: &model::Answer) -> Answer {
    let view = &report.view();
    let lines = |all: &[String]| all.iter().map(|s| clean::line(s)).collect::<Vec<_>>();
    Answer {
        holder: answer.holder.name(),
        inspection: answer.inspection.name(),
        answer: answer.answer.name(),
        open_because: answer.open_because.map(OpenBecause::name),
        if_met: answer.if_met.name(),
        settled_by: answer.settled_by.clone(),
        rule: RuleKey {
            answer: answer.rule.answer.name(),
            open_because: answer.rule.open_because.map(OpenBecause::name),
            citations: answer
                .rule
                .citations
                .iter()
                .map(|c| clean::line(&c.to_string()))
                .collect(),
            conditions: answer.rule.conditions.iter().map(condition).collect(),
            standing: lines(&answer.rule.standing),
            rules: answer.rule.rules.clone(),
            notes: lines(&report.rule_notes(answer)),
        },
        letter: LetterKey {
            answer: answer.letter.answer.name(),
            clauses: view.ids(&answer.letter.clauses),
            conditions: answer.letter.conditions.iter().map(condition).collect(),
            evidence: answer
                .letter
                .evidence
                .iter()
                .map(|s| evidence(view, *s))
                .collect(),
            notes: lines(&report.letter_notes(answer)),
        },
        readings: answer
            .readings
            .iter()
            .map(|r| Reading {
                id: r.id.clone(),
                answer: r.answer.name(),
                held_by: clean::line(&r.held_by),
                since: clean::line(&r.since),
                later_than_day: r.later_than_day,
                applies_if: r.applies_if.as_deref().map(clean::line),
                says: clean::line(&r.says),
                support: clean::line(&r.support),
                objection: clean::line(&r.objection),
                strength: clean::line(&r.strength),
            })
            .collect(),
        next: lines(&answer.next),
        hazards: lines(&answer.hazards),
    }
}

fn condition(condition: &ConditionResult) -> Condition {
    Condition {
        name: condition.name.clone(),
        met: condition.met,
        open_because: condition.open_because.map(OpenBecause::name),
        words: clean::line(&condition.words),
        citation: (!condition.citation.is_empty()).then(|| clean::line(&condition.citation)),
    }
}

fn misfit(misfit: &model::Misfit) -> Note {
    Note {
        id: model::Misfit::ID,
        message: clean::line(&findings::misfit(misfit)),
        page: None,
    }
}

/// Three decimals, so that the same input gives the same bytes on every machine.
pub(crate) fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
