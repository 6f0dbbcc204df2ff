//! The files of `patterns/law/`: hits and misses, unknown conditions, the days around each rule.

use whomay::answer::try_example;
use whomay::patterns::Patterns;

use super::build::patterns;

#[test]
fn every_hit_and_miss_of_the_law_holds() {
    let mut wrong = Vec::new();
    for law in &patterns().law {
        for hit in &law.file.hit {
            let got = try_example(&law.id, hit, patterns());
            if !got.applies || got.gives != hit.gives {
                wrong.push(format!("{}: hit {hit:?}\n    got {got:?}", law.id));
            }
        }
        for miss in &law.file.miss {
            if try_example(&law.id, miss, patterns()).applies {
                wrong.push(format!("{}: miss {miss:?} applies", law.id));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_rule_with_an_unknown_condition_is_refused_with_file_and_line() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::create_dir(folder.path().join("law")).expect("law");
    let text = patterns()
        .source_of("law/light-sport-inspection")
        .expect("the file")
        .replace("\"owned-by-holder\"", "\"owned-by-a-friend\"");
    std::fs::write(folder.path().join("law/light-sport-inspection.toml"), text).expect("written");
    let message = Patterns::with_overlay(folder.path())
        .expect_err("refused")
        .to_string();
    assert!(
        message.contains("law/light-sport-inspection.toml"),
        "{message}"
    );
    assert!(message.contains("owned-by-a-friend"), "{message}");
    assert!(message.contains("category-trained"), "{message}");
    assert!(message.contains("line"), "{message}");
}

#[test]
fn every_rule_carries_quote_grade_and_day_checked() {
    for law in &patterns().law {
        for source in &law.file.source {
            assert!(!source.title.is_empty(), "{}", law.id);
            assert!(!source.locator.is_empty(), "{}", law.id);
        }
        assert!(law.file.citation.starts_with('§'), "{}", law.id);
    }
}
