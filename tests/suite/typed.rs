//! Nothing that is decided in `answer`, `report` or `serve` hangs on the letters of an id or of a
//! sentence for people: kinds are compared, texts are not searched.

use std::path::Path;

use crate::law_words::files;

/// Ways to look into a text.
const LOOKS: [&str; 11] = [
    "contains",
    "starts_with",
    "ends_with",
    "strip_prefix",
    "strip_suffix",
    "split_once",
    "rsplit_once",
    "split",
    "find",
    "matches",
    "match_indices",
];

/// Names of what may not be looked into: ids, and sentences that the program made itself.
const CLOSED: [&str; 19] = [
    "id",
    "ids",
    "kind",
    "message",
    "doubt",
    "says",
    "said",
    "step",
    "hazard",
    "note",
    "reason",
    "citation",
    "paragraph",
    "rule",
    "held_by",
    "warning",
    "caution",
    "name()",
    "title()",
];

/// Calls between a name and the look that change nothing of it.
const THROUGH: [&str; 7] = [
    "as_str()",
    "as_deref()",
    "trim()",
    "to_lowercase()",
    "to_ascii_lowercase()",
    "chars()",
    "clone()",
];

/// The places where a text of a closed name is looked into.
fn looks(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    for look in LOOKS {
        for (at, _) in code.match_indices(&format!(".{look}(")) {
            let argument = code[at + look.len() + 2..].trim_start();
            // A list of ids is asked for a member, not for a piece of one.
            let member = argument.starts_with('&') && look == "contains";
            let mut before = code[..at].trim_end();
            while let Some(call) = THROUGH.iter().find(|c| before.ends_with(&format!(".{c}"))) {
                before = before[..before.len() - call.len() - 1].trim_end();
            }
            let call = before.ends_with("()");
            let name_end = before.len() - if call { 2 } else { 0 };
            let start = before[..name_end]
                .rfind(|c: char| !c.is_alphanumeric() && c != '_')
                .map_or(0, |n| n + 1);
            let name = &before[start..];
            if CLOSED.contains(&name) && !member {
                let line = code[..at].matches('\n').count() + 1;
                found.push(format!("{line}: {name}.{look}"));
            }
        }
    }
    found
}

#[test]
fn no_id_and_no_sentence_is_searched() {
    let mut found = Vec::new();
    for room in ["answer", "report", "serve"] {
        let mut all = Vec::new();
        files(&Path::new("src").join(room), &mut all);
        assert!(!all.is_empty());
        for path in all {
            let code = std::fs::read_to_string(&path).unwrap();
            let code = code
                .split("#[cfg(test)]\nmod tests")
                .next()
                .unwrap_or_default();
            for place in looks(code) {
                found.push(format!("{}:{place}", path.display()));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    // The test sees what it looks for.
    assert_eq!(looks("if note.id.starts_with(\"page-\") {").len(), 1);
    assert_eq!(
        looks("defect.message.to_lowercase().contains(\"cut\")").len(),
        1
    );
    assert_eq!(
        looks("answer.holder.name()\n    .ends_with(\"x\")").len(),
        1
    );
    assert_eq!(
        looks("rules.contains(&law.id) && text.contains(\"x\")").len(),
        0
    );
}
