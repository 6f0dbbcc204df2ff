//! `whomay wordings add`.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::{Args, Subcommand};
use jiff::civil::Date;

use super::letter;
use super::output::to_file;
use super::shared::Shared;
use super::values::{self, Format};
use crate::compare::{OrderFacts, order};
use crate::model::Basis;
use crate::patterns::Patterns;
use crate::report::{clean, order as report};

/// What can be done with wordings.
#[derive(Debug, Subcommand)]
pub(super) enum Action {
    /// Read the limitations of an order that you hold into wording files for --patterns
    Add(Add),
}

/// The order, and what it does not say itself.
#[derive(Debug, Args)]
pub(super) struct Add {
    /// The order: PDF or text; a numbered list, a table with a column for the basis, or plain
    /// clauses
    #[arg(required = true, value_name = "ORDER")]
    order: Vec<PathBuf>,
    /// Family of revisions, such as 8130.2G; the files get a folder of this name
    #[arg(long, value_name = "NAME")]
    series: String,
    /// The revision in words, such as "Order 8130.2G CHG 1"; by default "Order" and the series
    #[arg(long, value_name = "WORDS")]
    revision: Option<String>,
    /// The day on which the revision was issued
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    issued: Option<Date>,
    /// Paragraph of 14 CFR 21.191 of limitations for which the order names none
    #[arg(long, value_name = "LETTER", value_parser = values::basis)]
    basis: Option<Basis>,
}

impl Add {
    /// The files of the order.
    fn named(&self) -> String {
        let names: Vec<String> = self.order.iter().map(|f| clean::path(f)).collect();
        names.join(", ")
    }
}

/// Writes the wording files of an order into the folder that `--output` names.
pub(super) fn add(shared: &Shared, add: &Add) -> anyhow::Result<ExitCode> {
    shared.only("wordings add", &[Format::Terminal, Format::Json])?;
    let Some(folder) = shared.output.as_deref() else {
        bail!("name a folder for the wording files with -o FOLDER");
    };
    let shown = clean::path(folder);
    if folder.exists() && !folder.is_dir() {
        bail!("{shown}: is a file; name a folder");
    }
    let patterns = Patterns::embedded()?;
    let text = letter::text(shared, &add.order, &patterns)?;
    let facts = OrderFacts {
        series: add.series.clone(),
        revision: add
            .revision
            .clone()
            .unwrap_or_else(|| format!("Order {}", add.series)),
        issued: add.issued,
        basis: add.basis.map(|b| b.letter),
        checked: jiff::Zoned::now().date(),
    };
    let reading = order(&text, &facts, &patterns);
    if reading.wordings.is_empty() {
        if reading.without_basis.is_empty() {
            bail!(
                "{}: no limitations were found in it: no numbered list, no table with a column \
                 for the basis, no paragraphs",
                add.named()
            );
        }
        bail!(
            "{}: it does not say for which paragraph of § 21.191 its {} limitations are; state it \
             with --basis",
            add.named(),
            reading.without_basis.len()
        );
    }
    // All or nothing: no file of an earlier run is replaced, none is left half done.
    if !shared.force
        && let Some(there) = reading
            .wordings
            .iter()
            .map(|w| folder.join(&w.path))
            .find(|path| path.exists())
    {
        bail!(
            "{}: is there already; nothing was written; --force replaces it",
            clean::path(&there)
        );
    }
    let mut made = BTreeSet::new();
    for wording in &reading.wordings {
        let path = folder.join(&wording.path);
        if let Some(parent) = path.parent()
            && made.insert(parent.to_owned())
        {
            std::fs::create_dir_all(parent).with_context(|| shown.clone())?;
        }
        to_file(&path, shared.force, |out| {
            Ok(out.write_all(wording.toml.as_bytes())?)
        })?;
    }
    Patterns::with_overlay(folder).with_context(|| {
        format!("{shown}: the files were written, but the folder cannot be used with --patterns")
    })?;
    let result = match shared.format {
        Format::Json => report::json(&reading),
        _ => report::terminal(&reading, &shown, shared.columns()),
    };
    shared.print(&result)?;
    Ok(ExitCode::SUCCESS)
}
