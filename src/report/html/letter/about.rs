//! What is missing, where the wording comes from, what was read and asked.

use super::Page;
use crate::model::ReadAs;
use crate::report::asked::{asked, made_with};
use crate::report::html::{Html, classed, definitions, link, list, p, small, text};
use crate::report::{age, days, gaps, replaced, words};

/// Flaws of the letter, and what could not be read.
pub(super) fn gaps(page: &Page<'_>) -> Html {
    let view = page.report.view();
    let mut items: Vec<Html> = Vec::new();
    for flaw in gaps::flaws(page.report) {
        let mut item = text(&flaw.said);
        if let Some(place) = &flaw.place {
            item.push(&Html::own(" "));
            item.push(&small(&format!("({place})")));
        }
        if let Some(clause) = flaw.clause.filter(|_| page.has_letter) {
            item.push(&Html::own(" "));
            item.push(&link(
                &super::clause_anchor(clause),
                &text(&format!("Look at clause {}", view.id(clause))),
            ));
            item.push(&Html::own("."));
        }
        items.push(item);
    }
    let lines = replaced::lines(&view, page.report.letter).into_iter();
    let lines = lines.chain(gaps::notes(page.report));
    items.extend(lines.map(|line| text(&line)));
    if items.is_empty() {
        return p(&text("Nothing was found missing, doubtful or unread."));
    }
    list(items)
}

/// Where the wording comes from.
pub(super) fn age(page: &Page<'_>) -> Html {
    let Some(age) = page.report.age.filter(|a| age::known(a)) else {
        return Html::new();
    };
    let mut out = Html::new();
    for sentence in age::with_notes(age) {
        out.push(&p(&text(&sentence)));
    }
    let features = age::features(&page.report.view(), age);
    out.push(&list(features.iter().map(|feature| {
        let mut item = page.words(feature.span);
        item.push(&Html::own(" "));
        item.push(&small(&format!("({})", feature.place)));
        item.push(&Html::own(" "));
        item.push(&text(&format!("{}.", feature.points_to)));
        item
    })));
    out
}

/// What was read, what was asked, and with what it was answered.
pub(super) fn about(page: &Page<'_>) -> Html {
    let report = page.report;
    let letter = report.letter;
    let mut pairs: Vec<(Html, Html)> = Vec::new();
    for source in &report.text.sources {
        let pages = if source.pages == 1 {
            "1 page".to_owned()
        } else {
            format!("{} pages", source.pages)
        };
        let how = match source.read_as {
            ReadAs::PdfText => "text of a PDF",
            ReadAs::PdfScan => "scan in a PDF, read by OCR",
            ReadAs::Image => "picture, read by OCR",
            ReadAs::Text => "plain text",
            ReadAs::Docx => "word processor file",
        };
        let mut said = Html::own("<bdi>");
        said.push(&text(super::file_name(&source.name)));
        said.push(&Html::own("</bdi>: "));
        said.push(&text(&format!("{pages}, {how}.")));
        said.push(&Html::own(" "));
        said.push(&small(&format!("SHA-256 {}", source.sha256)));
        pairs.push((text("File"), said));
    }
    let quoted = |spans: &[crate::model::Span], said: String| {
        let mut out = text(&said);
        for span in spans.iter().take(3) {
            out.push(&Html::own(" "));
            out.push(&page.words(*span));
        }
        out
    };
    let purpose = letter.basis.value.map_or_else(
        || "not found in the letter".to_owned(),
        |b| format!("{}, § 21.191{b}:", words::basis(b)),
    );
    pairs.push((text("Purpose"), quoted(&letter.basis.evidence, purpose)));
    let issued = letter.issued.value.map_or_else(
        || "not found in the letter".to_owned(),
        |day| format!("{}:", days::day(day)),
    );
    pairs.push((text("Issued"), quoted(&letter.issued.evidence, issued)));
    pairs.push((text("Asked"), text(&asked(report.question))));
    pairs.push((
        text("Made with"),
        text(&format!("{}.", made_with(report.patterns))),
    ));
    let mut out = Html::own("<div id=\"facts\">\n");
    out.push(&definitions(pairs));
    out.push(&Html::own("</div>\n"));
    out.push(&classed(
        "quiet",
        &super::prose("`whomay explain ID` shows a rule, a reading or a pattern in full."),
    ));
    out
}
