//! The shell of a page: policy, style, skip link, footer.

use std::collections::BTreeSet;

use sha2::{Digest, Sha256};

use super::inert::{Html, text};
use crate::report::CAUTION;

/// The one style sheet of every page.
pub(crate) const STYLE: &str = include_str!("style.css");

/// The style sheet as a page carries it: the rules of classes that it has, without what only the
/// writers of the sheet need.
fn carried(body: &Html) -> String {
    let classes: BTreeSet<&str> = body
        .as_str()
        .split(" class=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .flat_map(str::split_whitespace)
        .collect();
    // A rule of classes stands on a line of its own, within a query, too.
    let own = |c: char| c.is_ascii_alphanumeric() || c == '-';
    let selects = |selector: &str| {
        selector.trim().strip_prefix('.').is_none_or(|rest| {
            let name = rest.split(|c| !own(c)).next().unwrap_or_default();
            ["skip", "unseen"].contains(&name) || classes.contains(name)
        })
    };
    let wanted = |line: &&str| match line.split_once('{') {
        Some((selectors, _)) if line.ends_with('}') => selectors.split(',').any(selects),
        _ => true,
    };
    let lines: Vec<&str> = STYLE.lines().filter(wanted).collect();
    pressed(&lines.join("\n"))
}

/// A style sheet without blanks that mean nothing. Between selectors, and in sums, they do mean
/// something, and stay.
fn pressed(style: &str) -> String {
    let mut out: String = style.lines().map(str::trim).collect::<Vec<_>>().join("");
    for (wide, tight) in [
        (" {", "{"),
        ("{ ", "{"),
        (" }", "}"),
        (": ", ":"),
        ("; ", ";"),
        (", ", ","),
        (";}", "}"),
    ] {
        out = out.replace(wide, tight);
    }
    out
}

/// The whole file. The body starts with its heading of level 1.
///
/// The policy lets nothing in but this style sheet, by its digest, and pictures that stand in
/// the page itself: no script, no font, no frame, no form, no request.
#[must_use]
pub fn page(title: &str, body: &Html) -> String {
    let style = carried(body);
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
         style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; form-action 'none'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n\
         <meta name=\"referrer\" content=\"no-referrer\">\n\
         <meta name=\"robots\" content=\"noindex\">\n\
         <title>{title}</title>\n<style>{style}</style>\n</head>\n<body>\n\
         <a class=\"skip\" href=\"#content\">Skip to the content</a>\n\
         <main id=\"content\" tabindex=\"-1\">\n{body}</main>\n\
         <footer>\n<p>{CAUTION}</p>\n<p>whomay {version}. This file holds everything it shows; \
         it loads nothing and sends nothing.</p>\n</footer>\n</body>\n</html>\n",
        digest = base64(&Sha256::digest(style.as_bytes())),
        title = text(title).as_str(),
        body = body.as_str(),
        version = env!("CARGO_PKG_VERSION"),
    )
}

/// Base64 of RFC 4648, section 4.
pub(super) fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let mut bits = 0_u32;
        for n in 0..3 {
            bits = bits << 8 | u32::from(group.get(n).copied().unwrap_or(0));
        }
        for n in 0..4 {
            if n > group.len() {
                out.push('=');
                continue;
            }
            let digit = usize::try_from(bits >> (18 - 6 * n) & 63).unwrap_or(0);
            out.push(char::from(DIGITS[digit]));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn base64_keeps_to_its_standard() {
        for (bytes, said) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(bytes.as_bytes()), said);
        }
    }

    #[test]
    fn a_style_sheet_loses_its_blanks_and_nothing_else() {
        assert_eq!(
            pressed(
                "a, b > c {\n  width: calc(50% - 36rem); margin: 0 1px;\n}\n@media (min-width: 9rem) {\n  p { color: red; }\n}\n"
            ),
            "a,b > c{width:calc(50% - 36rem);margin:0 1px}@media (min-width:9rem){p{color:red}}"
        );
    }

    #[test]
    fn a_page_carries_the_rules_of_its_classes() {
        let quiet = carried(&super::super::classed("quiet", &text("x")));
        let memo = carried(&super::super::div("memo", &text("x")));
        assert!(memo.contains(".memo h2{") && !quiet.contains(".memo h2{"));
        assert!(quiet.contains(".quiet{") && quiet.contains(".skip{"));
        assert!(quiet.len() < memo.len());
    }

    #[test]
    fn a_page_brings_everything_with_it() {
        let page = page("a <b>", &super::super::heading(1, "x"));
        assert!(page.contains("<title>a &lt;b&gt;</title>"));
        assert!(!page.contains("<script"));
        for outside in ["http://", "https://", "url(", "@import"] {
            assert!(!page.contains(outside), "{outside}");
        }
    }
}
