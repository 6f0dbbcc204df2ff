//! Both keys together, cell by cell.

use std::collections::BTreeSet;

use super::state::{Fact, State};
use crate::model::{Basis, KeyTwo, Kind, OpenBecause, Verdict};

/// What a cell of the table says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Decision {
    pub(super) answer: Verdict,
    pub(super) open_because: Option<OpenBecause>,
    pub(super) if_met: Verdict,
    pub(super) facts: BTreeSet<Fact>,
}

impl Decision {
    fn certain(answer: Verdict) -> Self {
        Self {
            answer,
            open_because: None,
            if_met: answer,
            facts: BTreeSet::new(),
        }
    }

    pub(super) fn unknown() -> Self {
        Self {
            answer: Verdict::Undetermined,
            open_because: Some(OpenBecause::Text),
            if_met: Verdict::Undetermined,
            facts: BTreeSet::new(),
        }
    }

    /// The basis is not known and makes a difference: an open fact, unless the letter alone
    /// decides.
    pub(super) fn with_open_basis(mut self, key_two: KeyTwo) -> Self {
        match key_two {
            KeyTwo::Excluded | KeyTwo::ShutOut => {}
            KeyTwo::Unclear => {
                self.facts.insert(Fact::Basis);
            }
            _ => {
                self.facts.insert(Fact::Basis);
                self.answer = Verdict::Undetermined;
                self.open_because = Some(OpenBecause::Fact);
            }
        }
        self
    }
}

/// For the best of several: yes, disputed, undetermined, no.
pub(super) const fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Yes => 3,
        Verdict::Disputed => 2,
        Verdict::Undetermined => 1,
        Verdict::No => 0,
    }
}

/// The cell of the table. `rule` is key 1 on this basis, `clause` what the clause itself asks.
pub(super) fn decide(
    key_two: KeyTwo,
    kind: Kind,
    basis: Option<Basis>,
    rule: &State,
    clause: &State,
) -> Decision {
    if matches!(key_two, KeyTwo::Excluded | KeyTwo::ShutOut) || rule.no {
        return Decision::certain(Verdict::No);
    }
    let both = rule.clone().and(clause);
    if key_two == KeyTwo::Unclear {
        return Decision {
            facts: both.facts,
            ..Decision::unknown()
        };
    }
    let best = cap(key_two, kind, basis);
    if best == Verdict::Undetermined {
        // A silent letter and somebody to whom no rule speaks: nothing can be said.
        return Decision {
            answer: Verdict::Undetermined,
            open_because: Some(if both.facts.is_empty() {
                OpenBecause::Law
            } else {
                OpenBecause::Fact
            }),
            if_met: Verdict::Undetermined,
            facts: both.facts,
        };
    }
    let if_met = if both.law { Verdict::Disputed } else { best };
    if both.facts.is_empty() {
        Decision {
            open_because: (if_met == Verdict::Disputed).then_some(OpenBecause::Law),
            ..Decision::certain(if_met)
        }
    } else {
        Decision {
            answer: Verdict::Undetermined,
            open_because: Some(OpenBecause::Fact),
            if_met,
            facts: both.facts,
        }
    }
}

/// The best that the letter allows where the rule says yes.
fn cap(key_two: KeyTwo, kind: Kind, basis: Option<Basis>) -> Verdict {
    match key_two {
        KeyTwo::Named => Verdict::Yes,
        KeyTwo::Unlisted | KeyTwo::Generic => Verdict::Disputed,
        KeyTwo::Silent => match kind {
            // The regulator's note on letters of amateur-built aircraft makes no exception for
            // letters that name nobody.
            Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance
                if basis.is_some_and(|b| b.letter == 'g') =>
            {
                Verdict::Disputed
            }
            k if !Kind::HOLDERS.contains(&k) || k == Kind::Owner => Verdict::Undetermined,
            _ => Verdict::Yes,
        },
        KeyTwo::Excluded | KeyTwo::ShutOut => Verdict::No,
        KeyTwo::Unclear => Verdict::Undetermined,
    }
}
