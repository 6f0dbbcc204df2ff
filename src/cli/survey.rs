//! `whomay survey`.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use anyhow::{Context, bail};
use clap::Args;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};

use super::facts::Facts;
use super::shared::{FAILED, Shared};
use super::values::{self, Format};
use crate::model::{Kind, Question};
use crate::patterns::Patterns;
use crate::read::Limits;
use crate::report::clean;
use crate::survey::{
    self, Cache, Entry, Fingerprint, Journal, Options, Row, Standing, Summary, Survey, csv, html,
    jsonl, table,
};

/// Columns of the widest table.
const WIDEST: usize = 200;

/// What is wanted.
#[derive(Debug, Args)]
pub(super) struct Wishes {
    /// Folders with everything below them, .zip archives, letters
    #[arg(required_unless_present = "list", value_name = "PATH")]
    pub(super) paths: Vec<PathBuf>,
    /// A file that names a path on each line
    #[arg(long, value_name = "FILE")]
    pub(super) list: Vec<PathBuf>,
    #[command(flatten)]
    pub(super) facts: Facts,
    /// Exit code 2 where a letter could not be read
    #[arg(long)]
    pub(super) strict: bool,
    /// Keep names, marks, numbers and addresses
    #[arg(long)]
    pub(super) identify: bool,
    /// Numbers in the place of file names
    #[arg(long)]
    pub(super) anonymous: bool,
    /// Keep the text of scans in this folder, for your eyes only, and read it from there next
    /// time
    #[arg(long, value_name = "DIR")]
    pub(super) cache: Option<PathBuf>,
    /// A drawing for a newsletter beside the result: one bar a person, as .svg or .png
    #[arg(long, value_name = "FILE", value_parser = values::drawing())]
    pub(super) chart: Option<PathBuf>,
    /// How many letters are read at the same time; as many as there are cores unless given
    #[arg(long, value_name = "NUMBER", value_parser = jobs)]
    pub(super) jobs: Option<usize>,
}

/// The number of letters that are read at the same time.
fn jobs(words: &str) -> Result<usize, String> {
    words
        .parse()
        .ok()
        .filter(|n| (1..=256).contains(n))
        .ok_or_else(|| "accepted: 1 to 256".to_owned())
}

/// One row a letter, and a summary.
pub(super) fn run(shared: &Shared, wishes: &Wishes) -> anyhow::Result<ExitCode> {
    shared.only(
        "survey",
        &[Format::Terminal, Format::Json, Format::Csv, Format::Html],
    )?;
    let named = wishes.paths.iter().chain(&wishes.list);
    shared.guard(&named.collect::<Vec<_>>())?;
    for path in &wishes.paths {
        there(path)?;
    }
    let output = shared.lasting()?;
    let mut aside: Vec<PathBuf> = wishes.cache.iter().cloned().collect();
    aside.extend(output.map(Path::to_owned));
    aside.extend(output.map(rows_beside));
    if let Some(path) = &wishes.chart {
        super::output::can_be_made(path, shared.force)?;
        aside.push(path.clone());
    }
    let entries = survey::find(&wishes.paths, &wishes.list, &aside);
    if entries.is_empty() {
        bail!("no letters there; name folders, archives (.zip) or files of letters");
    }
    let patterns = std::mem::ManuallyDrop::new(shared.load()?);
    let question = wishes.facts.question();
    let cache = wishes
        .cache
        .as_deref()
        .map(|folder| cache(shared, folder))
        .transpose()?;
    let work = Work {
        shared,
        entries: &entries,
        patterns: &patterns,
        survey: Survey::new(options(shared, &question, wishes), cache, &patterns),
        wanted: question.holder,
        question,
    };
    let summary = match output {
        Some(path) => work.to_file(path, wishes)?,
        None => work.stream()?,
    };
    if let Some(path) = &wishes.chart {
        let drawing = drawn(path, &summary, &work.question)?;
        super::output::to_file(path, shared.force, |out| Ok(out.write_all(&drawing)?))?;
        shared.tell(&format!("wrote {}", clean::path(path)));
    }
    shared.tell(&counted(&summary));
    let unreadable = summary.of(Standing::Unreadable);
    Ok(if wishes.strict && unreadable > 0 {
        ExitCode::from(FAILED)
    } else {
        ExitCode::SUCCESS
    })
}

/// The chart in the form that the name of its file asks for.
fn drawn(path: &Path, summary: &Summary, question: &Question) -> anyhow::Result<Vec<u8>> {
    #[cfg(feature = "ocr")]
    if values::ends_in(path, "png") {
        return html::picture(summary, question).with_context(|| {
            format!(
                "{}: the picture could not be drawn; name a file that ends in .svg",
                clean::path(path)
            )
        });
    }
    #[cfg(not(feature = "ocr"))]
    let _ = path; // `values::drawing` lets no other ending in.
    Ok(html::chart(summary, question).into_bytes())
}

/// A folder that was named has to be there: a survey of nothing looks like a finished one. A single
/// file that is not there is a row that says so.
fn there(path: &Path) -> anyhow::Result<()> {
    let ends_as_folder = path
        .as_os_str()
        .to_string_lossy()
        .ends_with(std::path::is_separator);
    let folder = ends_as_folder || path.extension().is_none();
    if folder && !path.exists() && !path.is_symlink() {
        bail!(
            "{}: there is no such folder; check the name, and where you are",
            clean::path(path)
        );
    }
    Ok(())
}

fn options(shared: &Shared, question: &Question, wishes: &Wishes) -> Options {
    Options {
        question: question.clone(),
        identify: wishes.identify,
        anonymous: wishes.anonymous,
        threads: wishes.jobs.unwrap_or_else(crate::threads::cores),
        limits: Limits {
            progress: None,
            ..shared.limits()
        },
    }
}

/// What a reading depends on beside the file.
fn reader(shared: &Shared) -> String {
    let limits = Limits {
        progress: None,
        worker: None,
        ..shared.limits()
    };
    format!("{limits:?}")
}

fn cache(shared: &Shared, folder: &Path) -> anyhow::Result<Cache> {
    Cache::open(folder, &reader(shared))
        .with_context(|| format!("{}: no folder for results", clean::path(folder)))
}

/// The count for standard error.
fn counted(summary: &Summary) -> String {
    let parts: Vec<String> = Standing::ALL
        .into_iter()
        .map(|s| (s, summary.of(s)))
        .filter(|(s, n)| *n > 0 && *s != Standing::Unreadable)
        .map(|(s, n)| format!("{n} {}", s.name()))
        .collect();
    let read = if parts.is_empty() {
        "none of them could be used".to_owned()
    } else {
        parts.join(", ")
    };
    format!(
        "{} files: {read}; {} could not be read",
        summary.rows,
        summary.of(Standing::Unreadable)
    )
}

/// Columns of the table: a name of a file may take what a wide terminal gives.
fn columns(shared: &Shared) -> usize {
    let stdout = std::io::stdout().is_terminal();
    if shared.width.is_some() || shared.output.is_some() || !stdout {
        return shared.columns();
    }
    terminal_size::terminal_size().map_or(shared.columns(), |(width, _)| {
        usize::from(width.0).min(WIDEST)
    })
}

/// The file beside a result that holds the finished rows until the result is whole.
fn rows_beside(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".rows");
    PathBuf::from(name)
}

struct Work<'w> {
    shared: &'w Shared,
    entries: &'w [Entry],
    patterns: &'w Patterns,
    survey: Survey<'w>,
    question: Question,
    wanted: Option<Kind>,
}

impl Work<'_> {
    /// Rows come out as they are finished.
    fn stream(&self) -> anyhow::Result<Summary> {
        let live = std::io::stdout().is_terminal();
        let bar = Bar::new(self, 0, !live);
        let mut summary = Summary::default();
        self.shared.stream(|out| {
            let mut sink = self.sink(out);
            sink.head()?;
            self.survey.run(self.entries, 0, |row| {
                summary.add(&row);
                bar.step();
                sink.row(&row)?;
                if live { sink.out.flush() } else { Ok(()) }
            })?;
            bar.done();
            Ok(sink.end(&summary)?)
        })?;
        Ok(summary)
    }

    /// Rows are kept beside the result as they are finished, so that a survey that was broken off
    /// goes on; the result is written as a whole.
    fn to_file(&self, path: &Path, wishes: &Wishes) -> anyhow::Result<Summary> {
        let beside = rows_beside(path);
        let arguments = format!(
            "{:?} {:?} {} {} {}",
            self.question,
            self.wanted,
            wishes.identify,
            wishes.anonymous,
            reader(self.shared)
        );
        let fingerprint = Fingerprint::new(self.patterns, &arguments, self.entries);
        let (mut journal, done) = Journal::open(&beside, &fingerprint)?;
        if done > 0 {
            self.shared.tell(&format!(
                "going on after letter {done} of {}",
                self.entries.len()
            ));
        }
        let bar = Bar::new(self, done, true);
        self.survey.run(self.entries, done, |row| {
            bar.step();
            journal.add(&row)
        })?;
        bar.done();
        let mut summary = Summary::default();
        self.shared.stream(|out| {
            let mut sink = self.sink(out);
            sink.head()?;
            journal.rows(|row| {
                summary.add(&row);
                sink.row(&row)
            })?;
            Ok(sink.end(&summary)?)
        })?;
        journal.finish()?;
        Ok(summary)
    }

    fn kinds(&self) -> Vec<Kind> {
        self.wanted
            .map_or_else(|| Kind::HOLDERS.to_vec(), |k| vec![k])
    }

    fn sink<'s>(&'s self, out: &'s mut dyn Write) -> Sink<'s> {
        Sink {
            format: self.shared.format,
            kinds: self.kinds(),
            wanted: self.wanted,
            width: columns(self.shared),
            question: &self.question,
            digest: self.patterns.digest(),
            identify: self.survey.identifies(),
            letters: html::Letters::new(&self.kinds()),
            out,
        }
    }
}

/// Writes rows in a format.
struct Sink<'s> {
    format: Format,
    kinds: Vec<Kind>,
    wanted: Option<Kind>,
    width: usize,
    question: &'s Question,
    digest: &'s str,
    identify: bool,
    /// For a page, which begins with the counts.
    letters: html::Letters,
    out: &'s mut dyn Write,
}

impl Sink<'_> {
    fn head(&mut self) -> std::io::Result<()> {
        let head = match self.format {
            Format::Csv => csv::head(&self.kinds).map_err(std::io::Error::other)?,
            Format::Json | Format::Html => String::new(),
            _ => table::head(self.wanted, self.width),
        };
        self.out.write_all(head.as_bytes())
    }

    fn row(&mut self, row: &Row) -> std::io::Result<()> {
        let line = match self.format {
            Format::Csv => csv::row(row, &self.kinds).map_err(std::io::Error::other)?,
            Format::Json => jsonl::row(row)?,
            Format::Html => {
                self.letters.add(row);
                return Ok(());
            }
            _ => table::row(row, self.wanted, self.width),
        };
        self.out.write_all(line.as_bytes())
    }

    fn end(&mut self, summary: &Summary) -> std::io::Result<()> {
        let end = match self.format {
            Format::Csv => String::new(),
            Format::Json => jsonl::summary(summary, self.question, self.digest),
            Format::Html => html::page(summary, self.question, &self.letters, self.identify),
            _ => table::summary(
                summary,
                self.question,
                self.wanted,
                self.width,
                self.identify,
            ),
        };
        self.out.write_all(end.as_bytes())
    }
}

/// The progress on standard error: only on a terminal, and only where it takes over a second.
struct Bar {
    bar: ProgressBar,
    wanted: bool,
    begun: Instant,
}

impl Bar {
    fn new(work: &Work<'_>, done: usize, wanted: bool) -> Self {
        let letters = u64::try_from(work.entries.len()).unwrap_or(u64::MAX);
        let bar = ProgressBar::with_draw_target(Some(letters), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template(
            "{wide_bar} {human_pos} of {human_len} letters, {rate}, {eta} left",
        ) {
            let rate = |state: &ProgressState, out: &mut dyn std::fmt::Write| {
                // A bar that cannot be drawn is no reason to stop.
                let _ = match state.per_sec() {
                    rate if rate < 10.0 => write!(out, "{rate:.1} a second"),
                    rate => write!(out, "{rate:.0} a second"),
                };
            };
            bar.set_style(style.with_key("rate", rate).progress_chars("=> "));
        }
        bar.set_position(u64::try_from(done).unwrap_or(0));
        bar.reset_eta();
        Self {
            bar,
            wanted: wanted && !work.shared.quiet && std::io::stderr().is_terminal(),
            begun: Instant::now(),
        }
    }

    fn step(&self) {
        self.bar.inc(1);
        if self.wanted && self.bar.is_hidden() && self.begun.elapsed() > Duration::from_secs(1) {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
    }

    fn done(&self) {
        self.bar.finish_and_clear();
    }
}
