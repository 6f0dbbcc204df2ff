//! The shape of the code: how long a function may be, which room may use which, which files of a room
//! use each other in a circle, and how many words of English stand in the code.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::{Path, PathBuf};

use crate::law_words::files;

/// Lines of the longest function, from `fn` to the brace that closes it.
const LONGEST: usize = 80;

/// A file below `src/`.
struct Source {
    path: PathBuf,
    /// Its code, with blanks in the place of comments, of what stands in literals, and of what is
    /// compiled for tests alone.
    code: String,
    /// The literals of that, by their place.
    literals: Vec<(usize, String)>,
}

impl Source {
    fn new(path: PathBuf, text: &str) -> Self {
        let (code, mut literals) = masked(text);
        let code = without_tests(&code);
        literals.retain(|(at, _)| code.as_bytes()[*at] == b'"');
        Self {
            path,
            code,
            literals,
        }
    }

    /// The module: `["read", "docx", "body"]`.
    fn module(&self) -> Vec<String> {
        let below = self.path.strip_prefix("src").unwrap().with_extension("");
        let mut module: Vec<String> = below
            .iter()
            .map(|p| p.to_str().unwrap().to_owned())
            .collect();
        if module
            .last()
            .is_some_and(|m| m == "mod" || m == "lib" || m == "main")
        {
            module.pop();
        }
        module
    }

    fn name(&self) -> String {
        self.path.display().to_string()
    }

    fn line(&self, at: usize) -> usize {
        self.code[..at].matches('\n').count() + 1
    }
}

/// All of them, but for files of tests.
fn sources() -> Vec<Source> {
    let mut all = Vec::new();
    files(Path::new("src"), &mut all);
    all.into_iter()
        .filter(|path| path.file_stem().is_none_or(|s| s != "tests"))
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            Source::new(path, &text)
        })
        .collect()
}

/// The code with blanks in the place of comments and of what stands in literals, byte for byte, and
/// the literals of text, by the place of the mark that opens them.
fn masked(text: &str) -> (String, Vec<(usize, String)>) {
    let bytes = text.as_bytes();
    let mut out = bytes.to_vec();
    let mut literals = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let rest = &text[at..];
        let end = if rest.starts_with("//") {
            let end = rest.find('\n').map_or(bytes.len(), |n| at + n);
            blank(&mut out, at, end);
            end
        } else if rest.starts_with("/*") {
            let end = rest.find("*/").map_or(bytes.len(), |n| at + n + 2);
            blank(&mut out, at, end);
            end
        } else if let Some(hashes) = raw(text, at) {
            let open = at + 2 + hashes;
            let close = format!("\"{}", "#".repeat(hashes));
            let end = text[open..].find(&close).map_or(bytes.len(), |n| open + n);
            literals.push((open - 1, text[open..end].to_owned()));
            blank(&mut out, open, end);
            end + close.len()
        } else if rest.starts_with('"') {
            let mut end = at + 1;
            while end < bytes.len() && bytes[end] != b'"' {
                end += if bytes[end] == b'\\' { 2 } else { 1 };
            }
            literals.push((at, text[at + 1..end].to_owned()));
            blank(&mut out, at + 1, end);
            end + 1
        } else if rest.starts_with('\'') {
            let letter = character(rest);
            blank(&mut out, at + 1, at + letter.max(1));
            at + letter.max(1) + usize::from(letter > 0)
        } else {
            at + rest.chars().next().map_or(1, char::len_utf8)
        };
        at = end;
    }
    (String::from_utf8(out).unwrap(), literals)
}

fn blank(out: &mut [u8], from: usize, to: usize) {
    for byte in &mut out[from..to] {
        if *byte != b'\n' {
            *byte = b' ';
        }
    }
}

/// How many `#` a raw literal that starts here has.
fn raw(text: &str, at: usize) -> Option<usize> {
    let before = text[..at].chars().next_back();
    if before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
        return None;
    }
    let rest = text[at..].strip_prefix('r')?;
    let hashes = rest.len() - rest.trim_start_matches('#').len();
    rest[hashes..].starts_with('"').then_some(hashes)
}

/// The bytes of a literal of one character before its closing mark; 0 for a lifetime.
fn character(rest: &str) -> usize {
    let inner = &rest[1..];
    if inner.starts_with('\\') {
        return inner
            .char_indices()
            .skip(2)
            .find(|(_, c)| *c == '\'')
            .map_or(0, |(n, _)| n + 1);
    }
    let mut chars = inner.chars();
    let first = chars.next().map_or(0, char::len_utf8);
    if chars.next() == Some('\'') {
        first + 1
    } else {
        0
    }
}

/// One past the brace that closes the one at `open`.
fn closed(code: &str, open: usize) -> usize {
    let mut depth = 0;
    for (n, c) in code[open..].char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 1 => return open + n + 1,
            '}' => depth -= 1,
            _ => {}
        }
    }
    code.len()
}

/// Where the body of an item begins, or where it ends without one.
fn body(code: &str, from: usize) -> Option<usize> {
    let mut depth = 0;
    for (n, c) in code[from..].char_indices() {
        match c {
            '(' | '[' => depth += 1,
            ')' | ']' => depth -= 1,
            '{' if depth == 0 => return Some(from + n),
            ';' if depth == 0 => return None,
            _ => {}
        }
    }
    None
}

/// The code with blanks in the place of what is compiled for tests alone.
fn without_tests(code: &str) -> String {
    const TEST: &str = "#[cfg(test)]";
    let mut out = code.as_bytes().to_vec();
    let mut from = 0;
    while let Some(at) = code[from..].find(TEST).map(|n| from + n) {
        let item = at + TEST.len();
        let end = match body(code, item) {
            Some(open) => closed(code, open),
            None => code[item..].find(';').map_or(code.len(), |n| item + n + 1),
        };
        blank(&mut out, at, end);
        from = end;
    }
    String::from_utf8(out).unwrap()
}

/// Whether a word stands by itself here.
fn is_word(code: &str, at: usize, word: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '_';
    !code[..at].ends_with(part) && !code[at + word.len()..].starts_with(part)
}

/// The name that starts here.
fn ident(code: &str) -> &str {
    let end = code
        .find(|c: char| !(c.is_alphanumeric() || c == '_'))
        .unwrap_or(code.len());
    &code[..end]
}

/// The functions of the code: name, and from `fn` to one past the closing brace.
fn functions(code: &str) -> Vec<(&str, Range<usize>)> {
    code.match_indices("fn ")
        .filter(|(at, _)| is_word(code, *at, "fn"))
        .map(|(at, word)| (at, ident(&code[at + word.len()..])))
        .filter(|(_, name)| !name.is_empty())
        .filter_map(|(at, name)| Some((name, at..closed(code, body(code, at)?))))
        .collect()
}

/// Functions that are too long: line, name and lines.
fn too_long(source: &Source) -> Vec<(usize, &str, usize)> {
    functions(&source.code)
        .into_iter()
        .map(|(name, range)| {
            let lines = source.code[range.clone()].matches('\n').count() + 1;
            (source.line(range.start), name, lines)
        })
        .filter(|(_, _, lines)| *lines > LONGEST)
        .collect()
}

#[test]
fn no_function_is_long() {
    let mut found = Vec::new();
    for source in sources() {
        for (line, name, lines) in too_long(&source) {
            found.push(format!("{}:{line}: {name}: {lines} lines", source.name()));
        }
    }
    assert!(
        found.is_empty(),
        "{} functions of more than {LONGEST} lines; split each where it does another thing:\n{}",
        found.len(),
        found.join("\n")
    );
    // The test sees what it looks for, and is not led astray by braces in literals and comments.
    let long = format!(
        "/// fn a() {{\nfn long() {{ '{{'; \"}}\"; // }}\n{}}}\nfn short() {{\n}}\n",
        "    x();\n".repeat(LONGEST)
    );
    let source = Source::new(PathBuf::from("src/x.rs"), &long);
    assert_eq!(too_long(&source), [(2, "long", LONGEST + 2)]);
}

/// The rooms in the order of the contributor's map; those that come later are below.
fn rooms() -> Vec<String> {
    let map = std::fs::read_to_string("DEVELOPERS.md").unwrap();
    let mut rooms: Vec<String> = Vec::new();
    for row in map.lines().filter_map(|l| l.strip_prefix("| `src/")) {
        let room = ident(row).to_owned();
        if !rooms.contains(&room) {
            rooms.push(room);
        }
    }
    rooms
}

/// What lib.rs gives another place, by its name: `Case` is of the room `case`.
fn given(sources: &[Source]) -> BTreeMap<String, String> {
    let lib = sources.iter().find(|s| s.path.ends_with("lib.rs")).unwrap();
    paths(&lib.code)
        .into_iter()
        .filter(|p| p.reexport)
        .filter_map(|p| Some((p.bound?, p.segments.first()?.clone())))
        .collect()
}

/// The rooms that a file uses, with the line.
fn used_rooms(source: &Source, given: &BTreeMap<String, String>) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for path in paths(&source.code) {
        let [first, item, ..] = path.segments.as_slice() else {
            continue;
        };
        if first == "crate" {
            let room = given.get(item).unwrap_or(item).clone();
            found.entry(room).or_insert_with(|| source.line(path.at));
        }
    }
    found
}

/// Uses against the direction that stay, each with the reason.
const UPWARD: [(&str, &str); 0] = [];

#[test]
fn a_room_uses_only_rooms_above_it() {
    let sources = sources();
    let rooms = rooms();
    let given = given(&sources);
    let place = |room: &str| rooms.iter().position(|r| r == room);
    let mut found = Vec::new();
    let mut kept = BTreeSet::new();
    for source in &sources {
        let module = source.module();
        let Some(room) = module.first() else { continue };
        if room == "build" {
            continue;
        }
        let Some(own) = place(room) else {
            found.push(format!("{}: {room} is not on the map", source.name()));
            continue;
        };
        for (used, line) in used_rooms(source, &given) {
            if place(&used).is_some_and(|other| other <= own) {
                continue;
            }
            let name = source.name();
            if UPWARD.contains(&(name.as_str(), used.as_str())) {
                kept.insert(name);
            } else {
                found.push(format!("{name}:{line}: {room} uses {used}"));
            }
        }
    }
    assert!(
        found.is_empty(),
        "one direction: a room uses only rooms above it in the table of DEVELOPERS.md:\n{}",
        found.join("\n")
    );
    for (file, used) in UPWARD {
        assert!(kept.contains(file), "{file} no longer uses {used}");
    }
}

/// A path of the code, as far as it is written.
struct Named {
    at: usize,
    segments: Vec<String>,
    /// The name that it has from then on, where a `use` gives it one.
    bound: Option<String>,
    /// `pub use`: it is handed on.
    reexport: bool,
}

/// Every path of two names and more, and every name that a `use` gives.
fn paths(code: &str) -> Vec<Named> {
    let mut found = Vec::new();
    let mut uses = Vec::new();
    for (at, word) in code.match_indices("use ") {
        if !is_word(code, at, "use") {
            continue;
        }
        let start = at + word.len();
        let end = code[start..].find(';').map_or(code.len(), |n| start + n);
        let line = code[..at].rfind('\n').map_or(0, |n| n + 1);
        let reexport = code[line..at].trim_start().starts_with("pub");
        uses.push(at..end);
        let from = found.len();
        tree(&code[start..end], start, &[], &mut found);
        for path in &mut found[from..] {
            path.reexport = reexport;
        }
    }
    let mut at = 0;
    while let Some(sign) = code[at..].find("::").map(|n| at + n) {
        at = sign + 2;
        let head = code[..sign]
            .rfind(|c: char| !(c.is_alphanumeric() || c == '_'))
            .map_or(0, |n| n + 1);
        if head == sign || code[..head].ends_with("::") {
            continue;
        }
        let mut segments = vec![code[head..sign].to_owned()];
        let mut end = sign;
        while code[end..].starts_with("::") {
            let next = ident(&code[end + 2..]);
            if next.is_empty() {
                break;
            }
            segments.push(next.to_owned());
            end += 2 + next.len();
        }
        if segments.len() > 1 && !uses.iter().any(|u| u.contains(&head)) {
            found.push(Named {
                at: head,
                segments,
                bound: None,
                reexport: false,
            });
        }
    }
    found
}

/// The paths of a tree of a `use`.
fn tree(words: &str, at: usize, before: &[String], out: &mut Vec<Named>) {
    let mut segments = before.to_vec();
    let mut rest = words.trim();
    loop {
        if let Some(group) = rest.strip_prefix('{') {
            let group = group.trim_end().trim_end_matches('}');
            for part in parts(group) {
                tree(part, at, &segments, out);
            }
            return;
        }
        let name = ident(rest);
        let own = name == "self" && !segments.is_empty();
        if !own {
            segments.push(if name.is_empty() { "*" } else { name }.to_owned());
        }
        rest = rest[name.len()..].trim_start();
        match rest.strip_prefix("::") {
            Some(more) => rest = more.trim_start(),
            None => break,
        }
    }
    let renamed = rest.strip_prefix("as ").map(|n| ident(n.trim()).to_owned());
    let bound = renamed.or_else(|| segments.last().cloned());
    if !segments.is_empty() {
        out.push(Named {
            at,
            segments,
            bound,
            reexport: false,
        });
    }
}

/// The parts between the commas of a group.
fn parts(group: &str) -> Vec<&str> {
    let mut depth = 0;
    let mut from = 0;
    let mut out = Vec::new();
    for (n, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                out.push(&group[from..n]);
                from = n + 1;
            }
            _ => {}
        }
    }
    out.push(&group[from..]);
    out.retain(|p| !p.trim().is_empty());
    out
}

/// The files by their modules, and what each module hands on or holds under another name.
struct Modules<'s> {
    sources: &'s [Source],
    files: BTreeMap<Vec<String>, usize>,
    /// By file: the path that a name stands for.
    names: Vec<BTreeMap<String, Vec<String>>>,
}

impl<'s> Modules<'s> {
    fn new(sources: &'s [Source]) -> Self {
        let files: BTreeMap<Vec<String>, usize> = sources
            .iter()
            .enumerate()
            .filter(|(_, s)| !s.module().is_empty())
            .map(|(n, s)| (s.module(), n))
            .collect();
        let mut all = Self {
            sources,
            files,
            names: Vec::new(),
        };
        for source in sources {
            let module = source.module();
            let held = paths(&source.code)
                .into_iter()
                .filter_map(|p| Some((p.bound?, all.absolute(&module, &p.segments)?)))
                .collect();
            all.names.push(held);
        }
        all
    }

    /// A path from the root of the crate on; none where it leads out of it.
    fn absolute(&self, module: &[String], segments: &[String]) -> Option<Vec<String>> {
        let mut path = match segments.first()?.as_str() {
            "crate" => Vec::new(),
            "self" => module.to_vec(),
            "super" => module.split_last()?.1.to_vec(),
            child => {
                let mut path = module.to_vec();
                path.push(child.to_owned());
                return self.files.contains_key(&path).then(|| {
                    path.extend(segments[1..].iter().cloned());
                    path
                });
            }
        };
        for segment in &segments[1..] {
            if segment == "super" {
                path.pop();
            } else {
                path.push(segment.clone());
            }
        }
        Some(path)
    }

    /// The file in which what a path names is written.
    fn file(&self, path: &[String], depth: usize) -> Option<usize> {
        let (length, file) = (1..=path.len())
            .rev()
            .find_map(|n| Some((n, *self.files.get(&path[..n])?)))?;
        let Some(item) = path.get(length) else {
            return Some(file);
        };
        match self.names[file].get(item) {
            Some(other) if depth < 8 && other != path => {
                let mut whole = other.clone();
                whole.extend(path[length + 1..].iter().cloned());
                self.file(&whole, depth + 1).or(Some(file))
            }
            _ => Some(file),
        }
    }

    /// The files of its own room that a file uses.
    fn used(&self, n: usize) -> BTreeSet<usize> {
        let source = &self.sources[n];
        let module = source.module();
        paths(&source.code)
            .iter()
            .filter(|p| !p.reexport)
            .filter_map(|p| {
                let bound = self.names[n].get(&p.segments[0]);
                let path = match bound.filter(|_| p.bound.is_none()) {
                    Some(known) => {
                        let mut path = known.clone();
                        path.extend(p.segments[1..].iter().cloned());
                        path
                    }
                    None => self.absolute(&module, &p.segments)?,
                };
                (path.first() == module.first()).then_some(path)
            })
            .filter_map(|path| self.file(&path, 0))
            .filter(|other| *other != n)
            .collect()
    }

    /// Pairs of files of a room that use each other.
    fn circles(&self) -> Vec<(String, String)> {
        let used: Vec<BTreeSet<usize>> = (0..self.sources.len()).map(|n| self.used(n)).collect();
        let mut found = Vec::new();
        for (n, of) in used.iter().enumerate() {
            for other in of.iter().filter(|o| **o > n && used[**o].contains(&n)) {
                found.push((self.sources[n].name(), self.sources[*other].name()));
            }
        }
        found.sort();
        found
    }
}

/// Pairs of files that use each other, and have to be read together. None may be added; one that is
/// gone is taken off.
const CIRCLES: [(&str, &str); 6] = [
    ("grammar/action.rs", "grammar/mod.rs"),
    ("grammar/lexer.rs", "grammar/mod.rs"),
    ("grammar/mod.rs", "grammar/person.rs"),
    ("grammar/mod.rs", "grammar/value.rs"),
    ("patterns/rules/compile.rs", "patterns/rules/mod.rs"),
    ("survey/mod.rs", "survey/run.rs"),
];

#[test]
fn files_of_a_room_do_not_use_each_other_in_a_circle() {
    let sources = sources();
    let found = Modules::new(&sources).circles();
    let known: Vec<(String, String)> = CIRCLES
        .iter()
        .map(|(a, b)| (format!("src/{a}"), format!("src/{b}")))
        .collect();
    let new: Vec<String> = found
        .iter()
        .filter(|c| !known.contains(c))
        .map(|(a, b)| format!("{a} and {b}"))
        .collect();
    assert!(
        new.is_empty(),
        "{} new circles; move what both need into a file below both:\n{}",
        new.len(),
        new.join("\n")
    );
    for circle in &known {
        assert!(found.contains(circle), "{circle:?} is no circle any more");
    }
}

/// Rooms in which knowledge of English is data: words stand in `patterns/`, constructions in the code.
const WITHOUT_WORDS: [&str; 7] = [
    "src/text",
    "src/grammar",
    "src/understand/modality",
    "src/understand/inspectors",
    "src/understand/split",
    "src/compare",
    "src/answer",
];

/// Words of grammar: they say how other words hang together, and code may name them.
const OF_GRAMMAR: &str = "about above after all also although and another any are aren been before \
    behind being below beside besides between both but can cannot could did does doing down during \
    each either else every except few for from had has have having her here him his how into its \
    itself less many may might more most must neither nobody none nor not nothing off once one only \
    onto other others our out over own per same shall she should since some such than that the their \
    them then there these they this those though through thus till too toward towards under unless \
    until upon was were what when where whereas whether which while who whoever whole whom whose why \
    will with within without would yet you your anybody anyone everybody everyone everything thru";

/// The words of English that a literal holds; none where it is a message, an id or a path.
fn english(literal: &str) -> Vec<&str> {
    let message = literal.contains(['{', '}', '\\', '«', '§', '…'])
        || literal.starts_with(char::is_uppercase)
        || literal.ends_with(['.', ':'])
        || literal.split_whitespace().count() > 5;
    if message {
        return Vec::new();
    }
    literal
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | '(' | ')' | ';' | '’' | '\''))
        .filter(|w| w.len() >= 3 && w.bytes().all(|c| c.is_ascii_lowercase()))
        .filter(|w| OF_GRAMMAR.split_whitespace().all(|o| o != *w))
        .collect()
}

/// Functions that turn the keys of a format into values, or values into keys, and a file of them.
const KEYS: [&str; 3] = ["name", "named", "meaning"];
const FILE_OF_KEYS: &str = "src/grammar/value.rs";

/// The words of literals that are no keys, no messages of errors and no attributes, with their places.
fn words_of(source: &Source) -> Vec<(usize, &str)> {
    if source.name() == FILE_OF_KEYS {
        return Vec::new();
    }
    let code = &source.code;
    let keys: Vec<Range<usize>> = functions(code)
        .into_iter()
        .filter(|(name, _)| KEYS.contains(name))
        .map(|(_, range)| range)
        .collect();
    source
        .literals
        .iter()
        .filter(|(at, _)| {
            let before = code[..*at].trim_end();
            let line = &before[before.rfind('\n').map_or(0, |n| n + 1)..];
            let called = ["expect(", "panic!(", "bail!(", "anyhow!(", "unreachable!("];
            !called.iter().any(|c| before.ends_with(c))
                && !line.trim_start().starts_with("#[")
                && !keys.iter().any(|k| k.contains(at))
        })
        .flat_map(|(at, literal)| english(literal).into_iter().map(|w| (*at, w)))
        .collect()
}

/// Different words of English in the code of these rooms; it may only become smaller.
const MOST_WORDS: usize = 102;

#[test]
fn words_of_english_do_not_grow_in_the_code() {
    let mut all: BTreeSet<String> = BTreeSet::new();
    let mut by_file: Vec<(String, BTreeSet<String>)> = Vec::new();
    for source in sources() {
        if WITHOUT_WORDS
            .iter()
            .any(|room| source.path.starts_with(room))
        {
            let words: BTreeSet<String> = words_of(&source)
                .into_iter()
                .map(|(_, word)| word.to_owned())
                .collect();
            all.extend(words.iter().cloned());
            by_file.push((source.name(), words));
        }
    }
    by_file.sort_by_key(|(name, words)| (Reverse(words.len()), name.clone()));
    let listed: Vec<String> = by_file
        .iter()
        .filter(|(_, words)| !words.is_empty())
        .map(|(name, words)| {
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            format!("{} {name}: {}", words.len(), words.join(" "))
        })
        .collect();
    assert!(
        all.len() <= MOST_WORDS,
        "{} words of English stand in the code, {MOST_WORDS} are known; words with their meaning \
         belong into patterns/:\n{}",
        all.len(),
        listed.join("\n")
    );
    // The test sees what it looks for.
    let text = r#"
        fn a() { is("mechanic", "or", "e.g."); x.expect("the mechanic"); format!("{x} repairman") }
        fn named() -> &'static str { "owner" }
        #[cfg(test)]
        mod tests { const X: &str = "builder"; }
    "#;
    let source = Source::new(PathBuf::from("src/x.rs"), text);
    let words: Vec<&str> = words_of(&source).into_iter().map(|(_, w)| w).collect();
    assert_eq!(words, ["mechanic"]);
}
