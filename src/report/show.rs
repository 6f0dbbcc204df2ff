//! What one stage saw: a row for each thing it found, with its place and its words.

use serde::Serialize;
use serde_json::{Map, Value};

use super::terminal::sheet::{Sheet, bold, dim};
use super::{View, clean, findings, json};
use crate::model::{Clause, Comparison, Letter, NamedKind, Op, Phase, Phrase, Span, Text};
use crate::patterns::Patterns;

/// A stage that can be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// The lines as read, with page and line.
    Lines,
    /// The normalized text.
    Text,
    /// Numbered clauses and paragraphs.
    Clauses,
    /// Sentences.
    Sentences,
    /// Norms: what permits, demands, bars, restricts.
    Norms,
    /// Rules cited.
    Citations,
    /// Topics of the clauses.
    Topics,
    /// The analysis of each sentence that bears on who inspects, as a tree.
    Grammar,
    /// Who may inspect.
    Inspectors,
    /// The clauses beside the nearest reference wordings.
    Alignment,
}

impl Stage {
    /// Every stage, in the order in which they run.
    pub const ALL: [Self; 10] = [
        Self::Lines,
        Self::Text,
        Self::Clauses,
        Self::Sentences,
        Self::Norms,
        Self::Citations,
        Self::Topics,
        Self::Grammar,
        Self::Inspectors,
        Self::Alignment,
    ];

    /// The name on the command line.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Lines => "lines",
            Self::Text => "text",
            Self::Clauses => "clauses",
            Self::Sentences => "sentences",
            Self::Norms => "norms",
            Self::Citations => "citations",
            Self::Topics => "topics",
            Self::Grammar => "grammar",
            Self::Inspectors => "inspectors",
            Self::Alignment => "alignment",
        }
    }

    /// The stage of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.name() == name)
    }
}

/// One thing that a stage found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// First byte in the normalized text.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
    /// Index into the sources.
    pub source: u16,
    /// Page in that file.
    pub page: u32,
    /// Line on that page.
    pub line: u32,
    /// Id of the clause.
    pub clause: Option<String>,
    /// The words.
    pub text: String,
    /// What the stage says of them, by name.
    #[serde(flatten)]
    pub fields: Map<String, Value>,
}

/// What is shown.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    /// The text.
    pub text: &'a Text,
    /// The letter.
    pub letter: &'a Letter,
    /// Its sentences.
    pub sentences: &'a [Span],
    /// Its comparison, for [`Stage::Alignment`].
    pub comparison: &'a Comparison,
    /// The patterns, for [`Stage::Norms`]: which fired, and what the one that won is about.
    pub patterns: &'a Patterns,
}

/// The rows of a stage.
#[must_use]
pub fn rows(stage: Stage, seen: Seen<'_>) -> Vec<Row> {
    let view = View::new(seen.text, seen.letter);
    let letter = seen.letter;
    match stage {
        Stage::Lines | Stage::Text => lines(&view),
        Stage::Sentences => seen
            .sentences
            .iter()
            .map(|s| row(&view, *s, Map::new()))
            .collect(),
        Stage::Clauses => letter.clauses.iter().map(|c| clause(&view, c)).collect(),
        Stage::Norms => {
            let fired = fired(seen.text, seen.patterns);
            letter
                .norms
                .iter()
                .map(|n| norm(&view, n, &fired, seen.patterns))
                .collect()
        }
        Stage::Citations => letter
            .citations
            .iter()
            .map(|c| {
                let mut fields = Map::new();
                put(&mut fields, "target", Some(clean::line(&c.target)));
                put(&mut fields, "title", Some(c.title));
                row(&view, c.span, fields)
            })
            .collect(),
        Stage::Topics => letter
            .clauses
            .iter()
            .zip(&letter.topics)
            .map(|(c, topics)| {
                let mut fields = Map::new();
                put(&mut fields, "topics", Some(topics.clone()));
                row(&view, c.span, fields)
            })
            .collect(),
        Stage::Grammar => analyses(&view, seen),
        Stage::Inspectors => letter
            .inspectors
            .iter()
            .map(|r| inspectors(&view, r))
            .collect(),
        Stage::Alignment => alignment(&view, letter, seen.comparison),
    }
}

/// A clause, as it is numbered and where it stands.
fn clause(view: &View<'_>, c: &Clause) -> Row {
    let mut fields = Map::new();
    put(
        &mut fields,
        "printed",
        c.number.as_ref().map(|n| clean::line(&n.printed)),
    );
    put(
        &mut fields,
        "item",
        c.item.as_ref().map(|n| clean::line(&n.printed)),
    );
    put(&mut fields, "level", Some(c.level));
    put(&mut fields, "parent", c.parent.map(|p| view.id(p)));
    put(
        &mut fields,
        "phase",
        c.phase.map(|p| if p == Phase::One { 1 } else { 2 }),
    );
    row(view, c.span, fields)
}

/// The clauses that were held against a reference wording.
fn alignment(view: &View<'_>, letter: &Letter, comparison: &Comparison) -> Vec<Row> {
    comparison
        .clauses
        .iter()
        .filter_map(|c| {
            let clause = letter.clauses.get(c.clause)?;
            let mut fields = Map::new();
            put(&mut fields, "reference", Some(c.reference.clone()));
            put(
                &mut fields,
                "similarity",
                Some((c.similarity * 1000.0).round() / 1000.0),
            );
            put(
                &mut fields,
                "words",
                c.diff.as_ref().map(|d| marked(&d.ops)),
            );
            Some(row(view, clause.span, fields))
        })
        .collect()
}

/// The sentences of the letter as the grammar reads them; what has no bearing on who inspects is
/// left out.
fn analyses(view: &View<'_>, seen: Seen<'_>) -> Vec<Row> {
    crate::understand::inspectors::analyses(&seen.text.content, seen.letter, seen.patterns)
        .into_iter()
        .map(|analysis| {
            let mut fields = Map::new();
            put(&mut fields, "grammar", Some(analysis.verdict));
            let left: Vec<String> = analysis.left.iter().map(|s| view.words(*s)).collect();
            put(
                &mut fields,
                "not accounted for",
                (!left.is_empty()).then_some(left),
            );
            let tree: Vec<String> = analysis.tree.lines().map(clean::line).collect();
            put(&mut fields, "tree", Some(tree));
            row(view, analysis.span, fields)
        })
        .collect()
}

/// Where the phrases of the deontic patterns stand in the text, and the file of each.
fn fired(text: &Text, patterns: &Patterns) -> Vec<(Span, usize)> {
    let tokens = patterns.lexicon.tokens(&text.content);
    let modality = &patterns.modality;
    let mut fired: Vec<(Span, usize)> = modality
        .phrases
        .find(&tokens)
        .chain(modality.frames.find(&tokens))
        .filter_map(|(range, file)| {
            let first = tokens.get(range.start)?;
            let last = tokens.get(range.end.checked_sub(1)?)?;
            Some((Span::new(first.span.start, last.span.end), *file))
        })
        .collect();
    fired.sort_unstable();
    fired
}

fn norm(
    view: &View<'_>,
    norm: &crate::model::Norm,
    fired: &[(Span, usize)],
    patterns: &Patterns,
) -> Row {
    let phrase = |p: &Option<Phrase>| p.as_ref().map(|p| clean::line(&p.text));
    let spans = |all: &[Span]| {
        let all: Vec<String> = all.iter().map(|s| view.words(*s)).collect();
        (!all.is_empty()).then_some(all)
    };
    let mut fields = Map::new();
    put(&mut fields, "modality", Some(norm.modality.name()));
    put(&mut fields, "trigger", phrase(&norm.trigger));
    put(&mut fields, "pattern", norm.pattern.clone());
    put(&mut fields, "bearer", phrase(&norm.bearer));
    put(&mut fields, "action", phrase(&norm.action));
    put(&mut fields, "conditions", spans(&norm.conditions));
    put(&mut fields, "exceptions", spans(&norm.exceptions));
    put(&mut fields, "quoted", norm.quoted.then_some(true));
    put(
        &mut fields,
        "limiter",
        norm.limiter
            .as_ref()
            .map(|l| format!("\"{}\" on {}", view.words(l.span), l.binds.name())),
    );
    let files = &patterns.modality.files;
    let won = files
        .iter()
        .find(|l| Some(l.id.as_str()) == norm.pattern.as_deref());
    put(&mut fields, "why", won.map(|l| l.file.about.clone()));
    let from = fired.partition_point(|(span, _)| span.start < norm.span.start);
    let all: Vec<String> = fired
        .iter()
        .skip(from)
        .take_while(|(span, _)| span.start < norm.span.end)
        .filter_map(|(span, file)| {
            let id = &files.get(*file)?.id;
            Some(format!("\"{}\" {id}", view.words(*span)))
        })
        .collect();
    put(&mut fields, "fired", (!all.is_empty()).then_some(all));
    row(view, norm.span, fields)
}

fn inspectors(view: &View<'_>, rule: &crate::model::InspectorRule) -> Row {
    let kinds = |named: &[NamedKind]| {
        let all: Vec<String> = named
            .iter()
            .map(|n| {
                format!(
                    "{} \"{}\" ({})",
                    n.kind.name(),
                    view.words(n.span),
                    n.pattern
                )
            })
            .collect();
        (!all.is_empty()).then_some(all)
    };
    let conditions: Vec<String> = rule
        .conditions
        .iter()
        .map(|c| {
            let on = c.on.map_or("all", crate::model::Kind::name);
            format!("{} on {on} \"{}\"", c.kind.name(), view.words(c.span))
        })
        .collect();
    let mut fields = Map::new();
    put(&mut fields, "form", Some(rule.form.name()));
    put(&mut fields, "inspection", Some(rule.inspection.name()));
    put(&mut fields, "named", kinds(&rule.named));
    put(&mut fields, "excluded", kinds(&rule.excluded));
    put(
        &mut fields,
        "conditions",
        (!conditions.is_empty()).then_some(conditions),
    );
    let deciding: Vec<String> = rule.evidence.iter().map(|s| view.words(*s)).collect();
    put(
        &mut fields,
        "evidence",
        (!deciding.is_empty()).then_some(deciding),
    );
    put(
        &mut fields,
        "doubt",
        findings::doubt(view, rule).as_deref().map(clean::line),
    );
    row(view, rule.span, fields)
}

/// A comparison in one line: `[-old-]` and `{+new+}`.
fn marked(ops: &[Op]) -> String {
    let mut said = String::new();
    for op in ops {
        match op {
            Op::Keep(words) => said.push_str(words),
            Op::Delete(words) => said.push_str(&format!("[-{words}-]")),
            Op::Insert(words) => said.push_str(&format!("{{+{words}+}}")),
        }
    }
    clean::line(&said)
}

fn put<T: Serialize>(fields: &mut Map<String, Value>, name: &str, value: Option<T>) {
    if let Some(value) = value {
        fields.insert(
            name.to_owned(),
            serde_json::to_value(value).unwrap_or(Value::Null),
        );
    }
}

fn row(view: &View<'_>, span: Span, fields: Map<String, Value>) -> Row {
    let found = view.evidence(span);
    Row {
        start: span.start,
        end: span.end,
        source: found.source,
        page: found.page,
        line: found.line,
        clause: found.clause,
        text: found.text,
        fields,
    }
}

fn lines(view: &View<'_>) -> Vec<Row> {
    let mut at = 0;
    let mut rows = Vec::new();
    for line in view.text.content.split_inclusive('\n') {
        let span = Span::new(at, at + line.len());
        at += line.len();
        let place = view.text.place(span.start);
        let mut fields = Map::new();
        let confidence = view.text.confidence(span);
        put(
            &mut fields,
            "confidence",
            (confidence < 1.0).then(|| (f64::from(confidence) * 1000.0).round() / 1000.0),
        );
        rows.push(Row {
            start: span.start,
            end: span.end,
            source: place.source,
            page: place.page,
            line: place.line,
            clause: view.clause_at(span).map(|i| view.id(i)),
            text: clean::lines(line.trim_end()),
            fields,
        });
    }
    rows
}

/// The rows as JSON.
#[must_use]
pub fn json(stage: Stage, rows: &[Row]) -> String {
    #[derive(Serialize)]
    struct Shown<'a> {
        schema: u32,
        stage: &'static str,
        rows: &'a [Row],
    }
    json::pretty(&Shown {
        schema: 1,
        stage: stage.name(),
        rows,
    })
}

/// The rows for people.
#[must_use]
pub fn terminal(stage: Stage, rows: &[Row], width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let several = rows.iter().any(|r| r.source > 0);
    for row in rows {
        let mut place = format!("{}:{}", row.page, row.line);
        if several {
            // the file by its rank among those handed in
            place.insert_str(0, &format!("{}/", row.source + 1));
        }
        match stage {
            Stage::Text => sheet.line(&row.text),
            Stage::Lines => {
                let doubt = row
                    .fields
                    .get("confidence")
                    .map_or_else(String::new, |c| format!(" [confidence {c}]"));
                sheet.line(&format!(
                    "{} {}{doubt}",
                    dim(&format!("{place:>7}")),
                    row.text
                ));
            }
            _ => found(&mut sheet, &place, row),
        }
    }
    if rows.is_empty() {
        sheet.para(0, &format!("No {} found.", stage.name()));
    }
    sheet.finish()
}

/// What is read first.
const ORDER: [&str; 8] = [
    "modality",
    "trigger",
    "pattern",
    "why",
    "bearer",
    "action",
    "form",
    "inspection",
];

fn found(sheet: &mut Sheet, place: &str, row: &Row) {
    let clause = row.clause.as_deref().unwrap_or("-");
    sheet.hanging(
        0,
        4,
        &format!(
            "{} {} {}",
            dim(&format!("{place:>6}")),
            bold(clause),
            row.text
        ),
    );
    let mut fields: Vec<(&String, &Value)> = row.fields.iter().collect();
    fields.sort_by_key(|(name, _)| ORDER.iter().position(|o| o == name).unwrap_or(ORDER.len()));
    for (name, value) in fields {
        let said = match value {
            Value::String(s) => s.clone(),
            Value::Array(all) => {
                let all: Vec<String> = all
                    .iter()
                    .map(|v| v.as_str().map_or_else(|| v.to_string(), str::to_owned))
                    .collect();
                all.join("; ")
            }
            other => other.to_string(),
        };
        sheet.labelled(8, 20, name, &said);
    }
}
