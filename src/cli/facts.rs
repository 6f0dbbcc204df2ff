//! The facts of the question, as options.

use clap::Args;
use jiff::civil::Date;

use super::values;
use crate::model::{
    Basis, CategoryClass, CertificateFor, Inspection, Ownership, Question, Ratings,
};

/// What only the user knows; what is not given stays open.
#[derive(Debug, Args)]
#[command(next_help_heading = "Facts (what is not given stays open)")]
pub(super) struct Facts {
    /// The day of the inspection; today unless given
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    pub(super) on: Option<Date>,
    /// Whose answer is wanted, such as mechanic, or A&P, IA, CRS, LSRI, LSRM; every kind unless given
    #[arg(long, value_name = "KIND", value_parser = values::holder_as_typed)]
    pub(super) holder: Option<values::Holder>,
    /// How this person owns the aircraft: self, co-owner, company, trust, not-owner
    #[arg(long, value_name = "HOW", value_parser = values::owner)]
    pub(super) owner: Option<Ownership>,
    /// What a light-sport repairman was trained for: airplane, glider, …
    #[arg(long, value_name = "CATEGORY[/CLASS]", value_parser = values::category)]
    pub(super) trained: Option<CategoryClass>,
    /// What the aircraft is: airplane, rotorcraft/gyroplane, …
    #[arg(long, value_name = "CATEGORY[/CLASS]", value_parser = values::category)]
    pub(super) aircraft: Option<CategoryClass>,
    /// Paragraph of 14 CFR 21.191 on the certificate: g is amateur-built
    #[arg(long, value_name = "LETTER", value_parser = values::basis)]
    pub(super) basis: Option<Basis>,
    /// The day on which the letter was issued
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    pub(super) issued: Option<Date>,
    /// A mechanic's ratings: airframe,powerplant
    #[arg(long, value_name = "RATINGS", value_parser = values::ratings)]
    pub(super) ratings: Option<Ratings>,
    /// Which aircraft the repairman certificate names: this, other, none
    #[arg(long, value_name = "WHICH", value_parser = values::certificate_for)]
    pub(super) certificate_for: Option<CertificateFor>,
    /// Whether the FAA issued another kind of airworthiness certificate for the aircraft before
    /// (a foreign one does not count): yes, no
    #[arg(long, value_name = "YES|NO", value_parser = values::yes_no)]
    pub(super) earlier_certificate: Option<bool>,
    /// Which inspection: yearly, 100-hour
    #[arg(long, value_name = "WHICH", default_value = "yearly", value_parser = values::inspection)]
    pub(super) inspection: Inspection,
    /// Whether the mechanic holds an inspection authorization: yes, no
    #[arg(long, value_name = "YES|NO", value_parser = values::yes_no)]
    pub(super) inspection_authorization: Option<bool>,
}

impl Facts {
    /// The question. The clock is read here and nowhere else, for a day that is not given.
    pub(super) fn question(&self) -> Question {
        Question {
            on: self.on.unwrap_or_else(|| jiff::Zoned::now().date()),
            inspection: self.inspection,
            holder: self.holder.map(|h| h.kind),
            owner: self.owner,
            trained: self.trained.clone(),
            aircraft: self.aircraft.clone(),
            basis: self.basis,
            issued: self.issued,
            ratings: self.ratings,
            certificate_for: self.certificate_for,
            earlier_certificate: self.earlier_certificate,
            // An authorization that is denied in so many words counts before an abbreviation.
            inspection_authorization: self
                .inspection_authorization
                .or_else(|| self.holder.filter(|h| h.authorized).map(|_| true)),
            same_aircraft: false,
        }
    }
}
