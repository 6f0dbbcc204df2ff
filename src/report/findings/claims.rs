//! What a claim says otherwise than the letter.

use crate::model::{ClaimDetail, ForceTurned};

/// A departure of a claim as a sentence without capital and stop.
#[must_use]
pub fn claim(detail: &ClaimDetail) -> String {
    let of = |whom: &str, kind: &crate::model::Kind| format!("{whom}: {}", kind.title());
    match detail {
        ClaimDetail::LimitsList => {
            "it limits the list (only), the letter permits without limiting".to_owned()
        }
        ClaimDetail::MustLimitsList => "it says that they must, which limits the list; the letter \
                                        permits without limiting"
            .to_owned(),
        ClaimDetail::OpensList => {
            "it permits without limiting, the letter limits the list".to_owned()
        }
        ClaimDetail::LetsOthersIn => "it lets others in, the letter limits the list".to_owned(),
        ClaimDetail::NeedNot => "it says that they need not, the letter demands it".to_owned(),
        ClaimDetail::ShutsOutNamed(kind) => of("it shuts out somebody whom the letter names", kind),
        ClaimDetail::NamesShutOut(kind) => of("it names somebody whom the letter shuts out", kind),
        ClaimDetail::NamesUnnamed(kind) => {
            of("it names somebody whom the letter does not name", kind)
        }
        ClaimDetail::LeavesOut(kind) => of("it leaves out somebody whom the letter names", kind),
        ClaimDetail::NoAuthorization => {
            "it says that no inspection authorization is needed, the letter asks for one".to_owned()
        }
        ClaimDetail::AsksAuthorization => {
            "it asks for an inspection authorization, the letter does not".to_owned()
        }
        ClaimDetail::AnotherInspection(inspection) => another_inspection(inspection.name()),
        ClaimDetail::AnotherCheck(words) => another_inspection(words),
        ClaimDetail::Force(turned) => force(*turned).to_owned(),
        ClaimDetail::AddsLimit => {
            "it limits (only) what the letter says without a limit".to_owned()
        }
        ClaimDetail::LeavesOutOnly => "it leaves out \"only\"".to_owned(),
        ClaimDetail::OneDenies => {
            "one of the two has a \"not\" that the other does not have".to_owned()
        }
        ClaimDetail::LeavesOutWords(words) => format!("it leaves out «{words}»"),
        ClaimDetail::LeavesOutCondition(words) => {
            format!("it leaves out the condition «{words}»")
        }
        ClaimDetail::AddsCondition(words) => {
            format!("it sets a condition that the letter does not: «{words}»")
        }
        ClaimDetail::AddsWords(words) => format!("the clause does not say «{words}»"),
        ClaimDetail::DoesAway(words) => {
            format!("it does away with a condition of the letter («{words}»)")
        }
        ClaimDetail::Rival { says, letter } => letter.as_ref().map_or_else(
            || format!("it says {says}, which the clause does not"),
            |letter| format!("it says {says}, the letter {letter}"),
        ),
        ClaimDetail::Number {
            says,
            letter,
            last_day,
        } => number(says, letter.as_deref(), *last_day),
        ClaimDetail::Cites(target) => format!("it cites {target}, which the clause does not"),
    }
}

fn another_inspection(which: &str) -> String {
    format!("it speaks of another inspection ({which}) than the clause")
}

fn number(says: &str, letter: Option<&str>, last_day: bool) -> String {
    match letter {
        Some(letter) if last_day => {
            format!("it says {says}, the letter {letter}: the last day differs")
        }
        Some(letter) => format!("it says {says}, the letter {letter}"),
        None => format!("it says {says}, the clause has no such number"),
    }
}

const fn force(turned: ForceTurned) -> &'static str {
    match turned {
        ForceTurned::LeaveForDuty => "it gives leave where the letter lays a duty",
        ForceTurned::DutyForLeave => "it lays a duty where the letter gives leave",
        ForceTurned::LeaveForBar => "it permits what the letter bars",
        ForceTurned::DutyForBar => "it demands what the letter bars",
        ForceTurned::BarForLeave => "it bars what the letter permits",
        ForceTurned::BarForDuty => "it bars what the letter demands",
        ForceTurned::NoNeedForDuty => "it says that there is no need of what the letter demands",
        ForceTurned::DutyForNoNeed => "it demands what the letter says is not needed",
        ForceTurned::LimitForLeave => "it limits what the letter permits without a limit",
        ForceTurned::LeaveForLimit => "it permits without the limit that the letter sets",
        ForceTurned::LeaveForBarWithExceptions => {
            "it permits what the letter bars but for its exceptions"
        }
        ForceTurned::BarForWayOut => "it bars wholly what the letter bars with a way out",
        ForceTurned::WayOutForBar => "it gives a way out that the letter does not give",
    }
}
