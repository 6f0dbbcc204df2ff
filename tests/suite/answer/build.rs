//! Letters built by hand, as `understand` would leave them.

use std::sync::OnceLock;

use whomay::model::{
    Basis, Clause, Form, Inspection, InspectorCondition, InspectorConditionKind, InspectorRule,
    Kind, Letter, NamedKind, Paper, RuleDoubt, Span,
};
use whomay::patterns::Patterns;

/// The embedded patterns, compiled once.
pub(crate) fn patterns() -> &'static Patterns {
    static PATTERNS: OnceLock<Patterns> = OnceLock::new();
    PATTERNS.get_or_init(|| Patterns::as_written().expect("the embedded patterns compile"))
}

/// A clause about inspectors: form, inspection, named, excluded.
#[derive(Clone, Debug)]
pub(crate) struct Says {
    pub(crate) form: Form,
    pub(crate) inspection: Inspection,
    pub(crate) named: Vec<Kind>,
    pub(crate) excluded: Vec<Kind>,
    pub(crate) conditions: Vec<(InspectorConditionKind, Option<Kind>)>,
    pub(crate) doubt: Option<RuleDoubt>,
}

impl Says {
    pub(crate) fn new(form: Form, named: &[Kind]) -> Self {
        Self {
            form,
            inspection: Inspection::Yearly,
            named: named.to_vec(),
            excluded: Vec::new(),
            conditions: Vec::new(),
            doubt: None,
        }
    }

    pub(crate) fn open(named: &[Kind]) -> Self {
        Self::new(Form::Open, named)
    }

    pub(crate) fn closed(named: &[Kind]) -> Self {
        Self::new(Form::Closed, named)
    }

    pub(crate) fn excludes(excluded: &[Kind]) -> Self {
        Self {
            excluded: excluded.to_vec(),
            ..Self::new(Form::None, &[])
        }
    }

    pub(crate) fn excluding(mut self, excluded: &[Kind]) -> Self {
        self.excluded = excluded.to_vec();
        self
    }

    pub(crate) fn of(mut self, inspection: Inspection) -> Self {
        self.inspection = inspection;
        self
    }

    pub(crate) fn if_(mut self, kind: InspectorConditionKind, on: Option<Kind>) -> Self {
        self.conditions.push((kind, on));
        self
    }
}

/// A letter whose clauses 20, 21 … say so.
pub(crate) fn letter(basis: Option<&str>, says: &[Says]) -> Letter {
    let mut letter = Letter {
        paper: Paper::OperatingLimitations,
        ..Letter::default()
    };
    letter.basis.value = basis.map(|b| Basis::parse(b).expect("a basis"));
    for (n, said) in says.iter().enumerate() {
        let span = Span::new(n * 100, n * 100 + 90);
        letter.clauses.push(Clause {
            id: (20 + n).to_string(),
            number: None,
            item: None,
            level: 1,
            parent: None,
            span,
            body: span,
            phase: None,
        });
        let names = |kinds: &[Kind]| {
            kinds
                .iter()
                .map(|kind| NamedKind {
                    kind: *kind,
                    span: Span::new(span.start + 1, span.start + 9),
                    pattern: "inspector/test".to_owned(),
                    by_card: false,
                })
                .collect()
        };
        letter.inspectors.push(InspectorRule {
            clause: n,
            span,
            form: said.form,
            inspection: said.inspection,
            named: names(&said.named),
            excluded: names(&said.excluded),
            conditions: said
                .conditions
                .iter()
                .map(|(kind, on)| InspectorCondition {
                    kind: *kind,
                    span: Span::new(span.start + 10, span.start + 20),
                    on: *on,
                })
                .collect(),
            demands: false,
            evidence: vec![Span::new(span.start + 20, span.start + 30)],
            doubt: said.doubt.clone(),
        });
    }
    letter
}
