//! Every pattern file of the inspector and paper folders finds its hits and none of its misses,
//! and every pattern file is well formed.

use std::collections::BTreeSet;

use whomay::patterns::{Patterns, PhraseSet, WordList, cited};
use whomay::report::{Report, View, findings, json, terminal};

/// Whether a phrase of file `n` is found in the text, and the words that it covers.
fn found<V: Clone>(
    patterns: &Patterns,
    phrases: &PhraseSet<(usize, V)>,
    n: usize,
    text: &str,
) -> Vec<String> {
    let tokens = patterns.lexicon.tokens(text);
    phrases
        .find(&tokens)
        .filter(|(_, (file, _))| *file == n)
        .map(|(range, _)| {
            text[tokens[range.start].span.start..tokens[range.end - 1].span.end].to_owned()
        })
        .collect()
}

#[test]
fn inspector_words_find_their_hits_and_no_misses() {
    let patterns = Patterns::as_written().unwrap();
    for (n, loaded) in patterns.inspector.files.iter().enumerate() {
        for hit in &loaded.file.hit {
            let words = found(&patterns, &patterns.inspector.phrases, n, &hit.text);
            assert!(
                words.contains(&hit.span),
                "{}: {words:?} lacks «{}»",
                loaded.id,
                hit.span
            );
        }
        for miss in &loaded.file.miss {
            let words = found(&patterns, &patterns.inspector.phrases, n, &miss.text);
            assert!(
                words.is_empty(),
                "{}: {words:?} in «{}»",
                loaded.id,
                miss.text
            );
        }
    }
}

#[test]
fn words_of_the_grammar_find_their_hits_and_no_misses() {
    let patterns = Patterns::as_written().unwrap();
    let found = |n: usize, text: &str| -> Vec<String> {
        let tokens = patterns.lexicon.tokens(text);
        (0..tokens.len())
            .flat_map(|at| {
                patterns
                    .grammar
                    .phrases_at(&tokens, at)
                    .map(move |m| (at, m))
            })
            .filter(|(_, (_, classes))| classes.iter().any(|[file, _]| usize::from(*file) == n))
            .map(|(at, (end, _))| text[tokens[at].span.start..tokens[end - 1].span.end].to_owned())
            .collect()
    };
    let (words, _) = patterns.grammar_as_written().unwrap();
    for (n, loaded) in words.iter().enumerate() {
        for hit in &loaded.file.hit {
            let words = found(n, &hit.text);
            assert!(words.contains(&hit.span), "{}: {words:?}", loaded.id);
        }
        for miss in &loaded.file.miss {
            let words = found(n, &miss.text);
            assert!(
                words.is_empty(),
                "{}: {words:?} in «{}»",
                loaded.id,
                miss.text
            );
        }
    }
}

#[test]
fn rules_of_the_grammar_read_their_hits_and_leave_their_misses() {
    let patterns = Patterns::as_written().unwrap();
    let read = |text: &str| {
        let text = whomay::model::Text::verbatim(text);
        let letter = whomay::understand(&text, &patterns);
        whomay::understand::inspectors::analyses(&text.content, &letter, &patterns)
    };
    let (_, rules) = patterns.grammar_as_written().unwrap();
    for loaded in &rules {
        for hit in &loaded.file.hit {
            let read = read(&hit.text);
            assert!(
                read.iter().all(|a| a.verdict == "read")
                    && read.iter().any(|a| a.files.contains(&loaded.id)),
                "{}: {} {read:?}",
                loaded.id,
                hit.text
            );
        }
        for miss in &loaded.file.miss {
            let read = read(&miss.text);
            assert!(
                read.iter().all(|a| !a.files.contains(&loaded.id)),
                "{}: {}",
                loaded.id,
                miss.text
            );
        }
    }
}

/// A rule that names a phrase that nothing makes is dead, and so is one whose phrase no rule takes.
#[test]
fn every_phrase_of_a_rule_is_made_and_taken_and_no_rule_stands_twice() {
    // Made by the lexer; roots that the code asks for.
    let lexer = [
        "CITE",
        "LABEL",
        "LOOSE",
        "NUMBER",
        "OPEN",
        "QUOTE",
        "TERM",
        "UNRELATED",
    ];
    let roots = ["S", "CL", "TITLE", "ASIDE"];
    let patterns = Patterns::embedded().unwrap();
    let (words, files) = patterns.grammar_as_written().unwrap();
    let rules: Vec<&str> = files
        .iter()
        .flat_map(|f| &f.file.rules)
        .map(String::as_str)
        .collect();
    let classes = words.iter().flat_map(|f| &f.file.words);
    let mut made: BTreeSet<&str> = classes.map(|c| c.class.as_str()).chain(lexer).collect();
    let mut taken: BTreeSet<&str> = roots.into_iter().collect();
    let mut wanted = Vec::new();
    for rule in &rules {
        let (left, rest) = rule.split_once(" : ").unwrap();
        made.insert(left);
        let right = rest.split_once(" = ").map_or(rest, |(right, _)| right);
        for place in right.split_whitespace() {
            let bare = place.strip_suffix('?').unwrap_or(place);
            for name in bare
                .split('/')
                .filter(|n| n.starts_with(char::is_uppercase))
            {
                taken.insert(name);
                wanted.push((name, rule));
            }
        }
    }
    for (name, rule) in wanted {
        assert!(made.contains(name), "nothing makes {name}: {rule}");
    }
    for rule in &rules {
        let left = rule.split_once(" : ").unwrap().0;
        assert!(taken.contains(left), "no rule takes {left}: {rule}");
    }
    let once: BTreeSet<&str> = rules.iter().copied().collect();
    assert_eq!(once.len(), rules.len(), "a rule stands twice");
}

#[test]
fn paper_signs_find_their_hits_and_no_misses() {
    let patterns = Patterns::as_written().unwrap();
    for (n, loaded) in patterns.paper.files.iter().enumerate() {
        for hit in &loaded.file.hit {
            let mut words = found(&patterns, &patterns.paper.phrases, n, &hit.text);
            words.extend(found(&patterns, &patterns.paper.labels, n, &hit.text));
            assert!(
                words.contains(&hit.span),
                "{}: {words:?} lacks «{}»",
                loaded.id,
                hit.span
            );
        }
        for miss in &loaded.file.miss {
            let mut words = found(&patterns, &patterns.paper.phrases, n, &miss.text);
            words.extend(found(&patterns, &patterns.paper.labels, n, &miss.text));
            assert!(
                words.is_empty(),
                "{}: {words:?} in «{}»",
                loaded.id,
                miss.text
            );
        }
    }
}

#[test]
fn evidence_of_papers_finds_its_hits_and_no_misses() {
    let patterns = Patterns::as_written().unwrap();
    let known = &patterns.evidence;
    let found = |n: usize, text: &str| -> Vec<String> {
        let tokens = patterns.lexicon.tokens(text);
        known
            .phrases
            .find(&tokens)
            .filter(|(_, files)| files.contains(&n))
            .map(|(range, _)| {
                text[tokens[range.start].span.start..tokens[range.end - 1].span.end].to_owned()
            })
            .collect()
    };
    for (n, loaded) in known.files.iter().enumerate() {
        for hit in &loaded.file.hit {
            let words = found(n, &hit.text);
            assert!(words.contains(&hit.span), "{}: {words:?}", loaded.id);
        }
        for miss in &loaded.file.miss {
            let words = found(n, &miss.text);
            assert!(words.is_empty(), "{}: {words:?}", loaded.id);
        }
    }
}

#[test]
fn outdated_places_and_terms_are_told_of_hits_and_not_of_misses() {
    let patterns = Patterns::as_written().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let flaws = |text: &str| -> Vec<(String, String)> {
        let file = folder.path().join("letter.txt");
        std::fs::write(&file, text).unwrap();
        let file = file.to_string_lossy().into_owned();
        let text = whomay::read(&[file], &whomay::read::Limits::default()).unwrap();
        let letter = whomay::understand(&text, &patterns);
        let view = View::new(&text, &letter);
        let told = letter.findings.iter();
        told.map(|d| {
            let words = d.span.map_or("", |s| s.of(&text.content));
            (findings::defect(&view, &patterns, d), words.to_owned())
        })
        .collect()
    };
    for loaded in &patterns.outdated.files {
        // The sentence with what it rests on.
        let says = &format!("{} ({})", loaded.file.says, cited(&loaded.file.source));
        for hit in &loaded.file.hit {
            let told = flaws(&hit.text);
            assert!(
                told.contains(&(says.clone(), hit.span.clone())),
                "{}: {told:?}",
                loaded.id
            );
        }
        for miss in &loaded.file.miss {
            let told = flaws(&miss.text);
            assert!(
                told.iter().all(|(m, _)| m != says),
                "{}: {told:?}",
                loaded.id
            );
        }
    }
}

#[test]
fn words_of_claims_are_put_as_letters_put_them() {
    let patterns = Patterns::as_written().unwrap();
    let mut wrong = Vec::new();
    let mut check = |id: &str, text: &str, means: &str| {
        let plain = whomay::compare::in_plain_words(text, &patterns);
        if plain != means {
            wrong.push(format!("{id}: «{text}» is put as «{plain}», not «{means}»"));
        }
    };
    let claims = patterns.claim();
    assert!(claims.files.len() > 50, "they are compiled when asked for");
    for loaded in &claims.files {
        for hit in &loaded.file.hit {
            check(&loaded.id, &hit.text, &hit.means);
        }
        for miss in &loaded.file.miss {
            check(&loaded.id, &miss.text, &miss.text);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The report on a letter, for programs and for people.
fn report_on(content: &str, patterns: &Patterns) -> String {
    let case = whomay::Case::of(whomay::model::Text::verbatim(content), patterns);
    let question = whomay::model::Question::on(jiff::civil::date(2026, 11, 25));
    let answered = case.answer(question, patterns);
    let (comparison, age) = case.compare(patterns);
    let report = Report {
        text: &case.text,
        letter: &case.letter,
        question: &answered.question,
        answers: &answered.answers,
        notes: &answered.notes,
        comparison: Some(&comparison),
        age: Some(&age),
        patterns,
    };
    json::report(&report) + &terminal::whole(&report, 80)
}

/// What the build has made of the files, and left out of them, changes no report.
#[test]
fn the_files_say_the_same_as_they_are_written_and_as_they_are_built_in() {
    let written = Patterns::as_written().unwrap();
    let built = Patterns::embedded().unwrap();
    assert!(written.ids().eq(built.ids()));
    assert_eq!(written.digest(), built.digest());
    let samples = std::fs::read_dir("samples").unwrap();
    let mut letters = samples
        .map(|sample| sample.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "txt"))
        .peekable();
    assert!(letters.peek().is_some());
    for path in letters {
        let letter = std::fs::read_to_string(&path).unwrap();
        let same = report_on(&letter, &built) == report_on(&letter, &written);
        assert!(same, "{}", path.display());
    }
}

#[test]
fn every_id_is_explained_by_its_source_text() {
    let patterns = Patterns::embedded().unwrap();
    assert!(patterns.ids().count() > 100);
    for id in patterns.ids() {
        let text = patterns.source_of(id).unwrap();
        assert!(text.contains("about = "), "{id}");
        assert!(text.contains("grade = "), "{id}");
        assert!(text.contains("checked = "), "{id}");
    }
}

#[test]
fn a_bad_pattern_file_is_refused_with_its_place() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("inspector")).unwrap();
    let file = folder.path().join("inspector/gyro.toml");
    std::fs::write(&file, "about = \"x\"\nsince = \"0.1.0\"\nfoo = 1\n").unwrap();
    let message = Patterns::with_overlay(folder.path())
        .unwrap_err()
        .to_string();
    assert!(message.contains("inspector/gyro.toml"), "{message}");
    assert!(message.contains("line 3"), "{message}");
}

#[test]
fn an_overlay_adds_a_word_without_new_code() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("word")).unwrap();
    std::fs::write(
        folder.path().join("word/wrench.toml"),
        r#"about = "A word of one office."
since = "0.1.0"
[[source]]
title = "common practice, no source"
grade = "P"
checked = 2026-11-25
[[words]]
class = "N"
means = "head=mechanic"
any = ["ticketed wrench"]
[[hit]]
text = "A ticketed wrench may perform the condition inspection."
span = "ticketed wrench"
[[miss]]
text = "A wrench lies in the cockpit."
why = "A tool."
"#,
    )
    .unwrap();
    let patterns = Patterns::with_overlay(folder.path()).unwrap();
    let found = whomay::understand::passage(
        "A ticketed wrench may perform the condition inspection.",
        whomay::understand::Context::default(),
        &patterns,
    );
    assert_eq!(found.inspectors[0].named[0].kind.name(), "mechanic");
    assert_eq!(found.inspectors[0].named[0].pattern, "word/wrench");
}

#[test]
fn words_of_entries_find_their_hits_and_no_misses() {
    let patterns = Patterns::as_written().unwrap();
    let found = |file: usize, text: &str| -> Vec<String> {
        let tokens = patterns.entry.tokens(text);
        patterns
            .entry
            .marks(&tokens)
            .iter()
            .filter(|m| m.file == file)
            .map(|m| text[tokens[m.from].span.start..tokens[m.to - 1].span.end].to_owned())
            .collect()
    };
    let mut wrong = Vec::new();
    for (n, loaded) in patterns.entry.files.iter().enumerate() {
        for hit in &loaded.file.hit {
            let words = found(n, &hit.text);
            if !words.contains(&hit.span) {
                wrong.push(format!("{}: {words:?} lacks «{}»", loaded.id, hit.span));
            }
        }
        for miss in &loaded.file.miss {
            let words = found(n, &miss.text);
            if !words.is_empty() {
                wrong.push(format!("{}: {words:?} in «{}»", loaded.id, miss.text));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn statements_say_their_hits_and_none_of_their_misses() {
    let patterns = Patterns::as_written().unwrap();
    for loaded in &patterns.statement.files {
        let name = loaded.id.strip_prefix("statement/").unwrap();
        let said = patterns.statement.say(name, &[]);
        for hit in &loaded.file.hit {
            assert!(said.contains(&hit.text), "{}: «{}»", loaded.id, hit.text);
        }
        for miss in &loaded.file.miss {
            assert!(!said.contains(&miss.text), "{}: «{}»", loaded.id, miss.text);
            assert!(!miss.why.is_empty(), "{}", loaded.id);
        }
    }
    for loaded in &patterns.situation {
        let said = loaded.file.steps().join(" ");
        for hit in &loaded.file.hit {
            assert!(said.contains(&hit.text), "{}: «{}»", loaded.id, hit.text);
        }
        for miss in &loaded.file.miss {
            assert!(!said.contains(&miss.text), "{}: «{}»", loaded.id, miss.text);
        }
    }
}

/// Every sentence that the code asks for by name is held, and every one held is asked for.
#[test]
fn the_code_and_the_statements_know_each_other() {
    let patterns = Patterns::embedded().unwrap();
    let mut code = String::new();
    let mut todo = vec![std::path::PathBuf::from("src")];
    while let Some(dir) = todo.pop() {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                todo.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                code.push_str(&std::fs::read_to_string(&path).unwrap());
            }
        }
    }
    for loaded in &patterns.statement.files {
        let name = loaded.id.strip_prefix("statement/").unwrap();
        assert!(
            code.contains(&format!("\"{name}\"")) || loaded.file.term.is_some(),
            "nobody says {name}"
        );
    }
    for piece in code
        .split("statement.say(\"")
        .skip(1)
        .chain(code.split(" law(\"").skip(1))
    {
        let name = piece.split('"').next().unwrap();
        assert!(
            patterns.statement.get(name).is_some(),
            "no statement {name}"
        );
    }
}

#[test]
fn words_and_rules_of_a_folder_that_mean_nothing_are_refused() {
    for (room, name, from, to, says) in [
        (
            "grammar",
            "duty",
            "= state must $3",
            "= blorp $3",
            "«blorp» is no action",
        ),
        (
            "word",
            "person-heads",
            "head=mechanic\"",
            "head=blorp\"",
            "means = \"head=blorp\" is no meaning",
        ),
    ] {
        let file = format!("{room}/{name}");
        let embedded = Patterns::embedded().unwrap();
        let text = embedded.source_of(&file).unwrap().replacen(from, to, 1);
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join(room)).unwrap();
        std::fs::write(folder.path().join(format!("{file}.toml")), text).unwrap();
        let patterns = Patterns::with_overlay(folder.path()).unwrap();
        let message = whomay::understand::check(&patterns)
            .unwrap_err()
            .to_string();
        assert!(message.starts_with(&format!("{file}.toml: ")), "{message}");
        assert!(message.contains(says), "{message}");
    }
}

#[test]
fn lists_of_words_hold_their_hits_and_no_misses() {
    let patterns = Patterns::as_written().unwrap();
    let found = |text: &str, list: WordList| -> Vec<String> {
        let words: Vec<&str> = text
            .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '(' | ')' | '?'))
            .map(|word| word.strip_suffix('.').unwrap_or(word))
            .collect();
        let lower = text.to_lowercase();
        let several = patterns.list.stems(list).filter(|s| s.contains(' '));
        let mut found: Vec<String> = several
            .filter(|stem| lower.contains(stem))
            .map(str::to_owned)
            .collect();
        for at in 0..words.len() {
            if patterns.list.has(words[at], list) {
                found.push(words[at].to_owned());
            }
            let word = |n: usize| words.get(at + n).copied().unwrap_or("");
            if let Some(n) = patterns.list.row(list, word) {
                found.push(words[at..at + n].join(" "));
            }
        }
        found
    };
    for loaded in &patterns.list.files {
        for hit in &loaded.file.hit {
            let words = found(&hit.text, hit.list);
            assert!(
                words.contains(&hit.span),
                "{}: {words:?} in «{}»",
                loaded.id,
                hit.text
            );
        }
        for miss in &loaded.file.miss {
            let words = found(&miss.text, miss.list);
            assert!(
                words.is_empty(),
                "{}: {words:?} in «{}»",
                loaded.id,
                miss.text
            );
        }
    }
}
