//! While a letter is read.

use super::{Shell, count, page};
use crate::report::html::{Html, heading, list, text};
use crate::serve::jobs::Status;

pub(in crate::serve) fn wait(
    token: &str,
    id: u64,
    names: &[String],
    status: &Status,
    before: usize,
) -> String {
    let mut body = heading(1, "Reading your letter");
    body.push(&list(names.iter().take(12).map(|n| {
        let mut item = Html::own("<bdi>");
        item.push(&text(n));
        item.push(&Html::own("</bdi>"));
        item
    })));
    body.push(&Html::own(format!(
        "<div id=\"wait\" data-events=\"/{token}/letters/{id}/events\">\n\
         <p><progress aria-label=\"Pages read\"></progress></p>\n\
         <p role=\"status\">{}</p>\n</div>\n\
         <p class=\"quiet\">Pages that are pictures take a few seconds each. This page goes on by \
         itself; you can leave it open.</p>\n",
        text(&said(status, before)).as_str()
    )));
    page(
        &Shell {
            token: Some(token),
            title: "Reading your letter",
            head: Html::own("<noscript><meta http-equiv=\"refresh\" content=\"1\"></noscript>\n"),
            class: "",
            back: true,
        },
        &body,
    )
}

/// How far it is, in words.
pub(in crate::serve) fn said(status: &Status, before: usize) -> String {
    match status {
        Status::Waiting if before > 0 => {
            format!("Waiting: {} before it.", count(before, "letter", "letters"))
        }
        Status::Waiting | Status::Reading(_, 0) => "Reading.".to_owned(),
        Status::Reading(done, all) if done < all => {
            format!("{done} of {all} pages read.")
        }
        Status::Reading(..) => "All pages read; working out the answer.".to_owned(),
        Status::Done(_) | Status::Failed(_) => "Done.".to_owned(),
    }
}
