//! What topics say about whether two texts are the same clause: paraphrase leaves the topic.

/// What topics that two texts share in full add to the similarity of their words: less than a rare
/// word that both have, so that topics decide among candidates that are near and make none.
const WEIGHT: f64 = 0.05;

/// The part of the topics of two texts that both have, from 0 to 1.
pub(super) fn shared(a: &[String], b: &[String]) -> f64 {
    let told = |topics: &[String]| topics.iter().filter(|t| *t != "other").count();
    let both = a.iter().filter(|t| *t != "other" && b.contains(t)).count();
    if both == 0 {
        return 0.0;
    }
    2.0 * both as f64 / (told(a) + told(b)) as f64
}

/// How like two texts are by their words and their topics, from the similarity of their words.
pub(super) fn likeness(similarity: f64, a: &[String], b: &[String]) -> f64 {
    similarity + WEIGHT * shared(a, b)
}

/// The least likeness of texts that say the same in other words where nothing else comes near.
const IN_OTHER_WORDS: f64 = 0.1;
/// The same where the topic of one is not told.
const UNTOLD: f64 = 0.12;
/// How much more like to each other they are than either is to any other text, …
const STANDS_OUT: f64 = 1.2;
/// … and where they share a topic.
const STANDS_OUT_IN_TOPIC: f64 = 1.1;

/// Whether two texts that share few words are each other's only choice: neither is nearly as like
/// to anything else, which is `next`. Where the topics of both are `told` and none is the `same`,
/// they say something else.
pub(super) fn stands_out(likeness: f64, next: f64, same: bool, told: bool) -> bool {
    if same {
        likeness >= IN_OTHER_WORDS && likeness >= STANDS_OUT_IN_TOPIC * next
    } else {
        !told && likeness >= UNTOLD && likeness >= STANDS_OUT * next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_topic_that_tells_nothing_is_not_shared() {
        let topics = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
        let (area, both) = (topics(&["area"]), topics(&["area", "phase"]));
        assert!((shared(&area, &both) - 2.0 / 3.0).abs() < 1e-9);
        assert!(shared(&topics(&["other"]), &topics(&["other"])).abs() < 1e-9);
        assert!((likeness(0.5, &area, &area) - 0.5 - WEIGHT).abs() < 1e-9);
    }
}
