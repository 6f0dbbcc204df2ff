//! `whomay wordings`, `rules`, `readings`, `explain` and `schema`.

use std::process::ExitCode;

use anyhow::bail;

use super::shared::Shared;
use super::values::{Format, Schema};
use crate::report::catalog::{self, Catalog};
use crate::report::{clean, explain, json};

/// Lists what is held.
pub(super) fn list(shared: &Shared, held: Catalog) -> anyhow::Result<ExitCode> {
    shared.only("this list", &[Format::Terminal, Format::Json])?;
    let patterns = shared.load()?;
    let entries = catalog::entries(held, &patterns);
    let result = match shared.format {
        Format::Json => catalog::json(&entries),
        _ => catalog::terminal(&entries, shared.columns()),
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}

/// Prints what an id, a tag or a citation stands for; or its file as it stands.
pub(super) fn explain(shared: &Shared, id: &str, source: bool) -> anyhow::Result<ExitCode> {
    shared.only("explain", &[Format::Terminal])?;
    let patterns = shared.load()?;
    let found = if source {
        explain::source(id, &patterns)
    } else {
        explain::explain(id, &patterns, shared.columns())
    };
    match found {
        Ok(full) => shared.write(&full)?,
        Err(near) if near.is_empty() => bail!(
            "{}: no pattern, rule, reading, tag or citation is held under this name; `whomay rules`, `readings` and `wordings` list them",
            clean::line(id)
        ),
        Err(near) => bail!(
            "{}: no pattern, rule, reading, tag or citation is held under this name; like it: {}",
            clean::line(id),
            near.join(", ")
        ),
    }
    Ok(ExitCode::SUCCESS)
}

/// Prints the JSON Schema.
pub(super) fn schema(shared: &Shared, of: Schema) -> anyhow::Result<ExitCode> {
    shared.write(match of {
        Schema::Report => json::SCHEMA,
        Schema::Survey => crate::survey::jsonl::SCHEMA,
    })?;
    Ok(ExitCode::SUCCESS)
}
