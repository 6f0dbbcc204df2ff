//! Function words of English: the closed classes on which the clause grammar rests.
//!
//! They are grammar, so they live in code; words that mean something live in `patterns/`.

use super::Lexicon;

/// "the", "each", "such", numerals.
pub const DETERMINER: u32 = 1;
/// "it", "they", "he".
pub const PRONOUN: u32 = 1 << 1;
/// "who", "which", "that".
pub const RELATIVE: u32 = 1 << 2;
/// "if", "when", "unless".
pub const SUBORDINATOR: u32 = 1 << 3;
/// "of", "under", "after".
pub const PREPOSITION: u32 = 1 << 4;
/// "and", "or", "but".
pub const COORDINATOR: u32 = 1 << 5;
/// "be", "is", "been".
pub const BE: u32 = 1 << 6;
/// "have", "has", "had".
pub const HAVE: u32 = 1 << 7;
/// Adverbs that stand between a modal and its verb.
pub const ADVERB: u32 = 1 << 8;
/// "not", "never".
pub const NOT: u32 = 1 << 9;
/// Words that a noun phrase looks through: "half of the members".
pub const QUANTIFIER: u32 = 1 << 10;
/// "may", "must", "shall", "will", "should": never the end of a noun phrase.
pub const MODAL: u32 = 1 << 11;
/// Finite verbs that show a statement where no trigger stands.
pub const FINITE: u32 = 1 << 12;
/// Nouns for people and bodies (data).
pub const AGENT: u32 = 1 << 16;
/// Nouns for things that look like people, or that bear no duty (data).
pub const THING: u32 = 1 << 17;
/// Irregular participles (data).
pub const PARTICIPLE: u32 = 1 << 18;
/// Participles that describe a state of the subject (data): "must be certificated".
pub const STATUS: u32 = 1 << 19;
/// Verbs that a thing does and a body does not: "shall contain" (data).
pub const STATIVE: u32 = 1 << 20;

/// Verbs whose content is inferred, not laid down (data): "suggests that the bubbles must".
pub const INFERENCE: u32 = 1 << 21;
/// Words of running prose (data): where they stand, "may" of a thing is a possibility.
pub const PROSE: u32 = 1 << 22;

/// Verbs and the like whose "that" opens what they say (data): "ensures that".
pub const CONTENT: u32 = 1 << 24;
/// Nouns for times (data): "days", "daylight".
pub const TIME: u32 = 1 << 25;
/// Adjectives that may stand behind their noun (data): "the authority responsible".
pub const POSTPOSITIVE: u32 = 1 << 26;
/// Words in -ly that are no adverbs (data): "assembly".
pub const NO_ADVERB: u32 = 1 << 27;
/// Subordinators of a reason or a contrast: what stands behind them holds.
pub const REASON: u32 = 1 << 28;
/// Pronouns that stand for a person whatever follows them.
pub const ANYONE: u32 = 1 << 29;
/// Prepositions of place.
pub const PLACE: u32 = 1 << 30;
/// The lists that say nothing of what part of speech a word is: words of every kind stand in them.
pub const LISTS: u32 = CONTENT | TIME | POSTPOSITIVE | NO_ADVERB | REASON | ANYONE | PLACE;

const CLOSED: &[(u32, &str)] = &[
    (
        DETERMINER,
        "the a an this that these those each every any all some such no both either neither his her \
         its their our your my another other several many most certain one two three four five six \
         seven eight nine ten eleven twelve half whatever whichever",
    ),
    (
        PRONOUN,
        "it they he she you we i one who whoever anyone everyone everybody anybody nobody none nothing there",
    ),
    (RELATIVE, "who which that whose whom whereby wherein"),
    (
        SUBORDINATOR,
        "if when where unless whenever wherever until till because although though since while whereas \
         whether once provided lest",
    ),
    (
        PREPOSITION,
        "of in on at by for with without within under over above below between among during after before \
         upon from to into onto through throughout until till since per than as about against across along \
         around beyond despite except excluding including inside outside near off out regarding concerning \
         toward towards via notwithstanding pursuant following prior subject according unless besides \
         commencing effective due unlike like given beginning",
    ),
    (COORDINATOR, "and or but nor yet"),
    (BE, "be is are was were been being am"),
    (HAVE, "have has had having"),
    (
        ADVERB,
        "also then always either only so still again further therefore thus hence however otherwise instead \
         thereafter thereupon now soon often sometimes ever even just too well first both all each together \
         themselves itself himself herself additionally accordingly immediately promptly forthwith \
         moreover nevertheless nonetheless likewise thereby herein hereby likely",
    ),
    (NOT, "not never"),
    (
        QUANTIFIER,
        "half one two three four five six seven eight nine ten majority any each all none some most both \
         either neither many several number",
    ),
    (
        MODAL,
        "may must shall will should can cannot could would might ought",
    ),
    (
        FINITE,
        "is are was were has have had does do did means mean includes include consists applies apply \
         contains requires require",
    ),
    (REASON, "since because although though whereas while where"),
    (
        ANYONE,
        "anyone everyone anybody everybody nobody whoever who",
    ),
    (
        PLACE,
        "in within from over at to on into onto near inside outside above below along across around",
    ),
];

/// Class bits by number of the word in the lexicon.
#[derive(Clone, Debug, Default)]
pub struct Classes {
    bits: Vec<u32>,
}

impl Classes {
    /// The closed classes.
    pub(super) fn closed(lexicon: &mut Lexicon) -> Self {
        let mut classes = Self::default();
        for (class, words) in CLOSED {
            for word in words.split_whitespace() {
                classes.add(lexicon, word, *class);
            }
        }
        classes
    }

    /// Gives a word a class.
    pub(super) fn add(&mut self, lexicon: &mut Lexicon, word: &str, class: u32) {
        let at = lexicon.add(word) as usize;
        if self.bits.len() <= at {
            self.bits.resize(at + 1, 0);
        }
        if let Some(bits) = self.bits.get_mut(at) {
            *bits |= class;
        }
    }

    /// The classes of a word by its number in the lexicon, its part of speech; none for unknown
    /// words.
    #[must_use]
    pub fn of(&self, word: u32) -> u32 {
        self.all(word) & !LISTS
    }

    /// Whether a word stands in one of these [`LISTS`].
    #[must_use]
    pub fn listed(&self, word: u32, lists: u32) -> bool {
        self.all(word) & lists & LISTS != 0
    }

    fn all(&self, word: u32) -> u32 {
        self.bits.get(word as usize).copied().unwrap_or(0)
    }
}
