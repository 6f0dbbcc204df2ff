//! `whomay completions` and `whomay manual`: from the definitions of the arguments, so that they
//! cannot say anything else than `--help`.

use std::process::ExitCode;

use anyhow::Context;
use clap::CommandFactory;

use super::args::Arguments;
use super::shared::Shared;

/// A completion script.
pub(super) fn completions(
    shared: &Shared,
    shell: clap_complete::Shell,
) -> anyhow::Result<ExitCode> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut command(), "whomay", &mut script);
    let script = String::from_utf8(script).context("the script is no text")?;
    shared.write(&script)?;
    Ok(ExitCode::SUCCESS)
}

/// One man page with all commands.
pub(super) fn manual(shared: &Shared) -> anyhow::Result<ExitCode> {
    let mut page = Vec::new();
    let mut whole = command();
    whole.build();
    let manual = clap_mangen::Man::new(whole.clone())
        .title("WHOMAY")
        .section("1");
    manual.render_title(&mut page)?;
    manual.render_name_section(&mut page)?;
    manual.render_synopsis_section(&mut page)?;
    manual.render_description_section(&mut page)?;
    manual.render_options_section(&mut page)?;
    for part in whole.get_subcommands().filter(|c| c.get_name() != "help") {
        let part = part
            .clone()
            .display_name(format!("whomay {}", part.get_name()));
        // Options of every command stand above, once.
        let part = part.mut_args(|a| if a.is_global_set() { a.hide(true) } else { a });
        page.extend_from_slice(format!(".SH {}\n", part.get_name().to_uppercase()).as_bytes());
        let about = part
            .get_about()
            .map(ToString::to_string)
            .unwrap_or_default();
        page.extend_from_slice(format!("{}\n.PP\n", roff(&about)).as_bytes());
        let man = clap_mangen::Man::new(part);
        let mut section = Vec::new();
        man.render_synopsis_section(&mut section)?;
        man.render_options_section(&mut section)?;
        let section = String::from_utf8(section).context("the manual is no text")?;
        // Parts of a command are one level below it.
        page.extend_from_slice(section.replace(".SH ", ".SS ").as_bytes());
    }
    manual.render_extra_section(&mut page)?;
    let page = String::from_utf8(page).context("the manual is no text")?;
    shared.write(&page)?;
    Ok(ExitCode::SUCCESS)
}

/// The definitions, without what the program keeps to itself.
fn command() -> clap::Command {
    let whole = Arguments::command();
    let mut shown = clap::Command::new("whomay")
        .version(env!("CARGO_PKG_VERSION"))
        .args(whole.get_arguments().cloned());
    if let Some(about) = whole.get_about() {
        shown = shown.about(about.clone());
    }
    if let Some(after) = whole.get_after_help() {
        shown = shown.after_help(after.clone());
    }
    let parts = whole.get_subcommands().filter(|c| !c.is_hide_set());
    shown.subcommands(parts.cloned())
}

/// Words that roff takes as words.
fn roff(words: &str) -> String {
    let words = words.replace('\\', "\\e").replace('-', "\\-");
    if words.starts_with(['.', '\'']) {
        format!("\\&{words}")
    } else {
        words
    }
}
