//! The people of a log entry: names, certificates, numbers, put together signer by signer.

use super::cards;
use super::dates::Day;
use super::figures::{self, Placed};
use super::identity::Identity;
use super::names::{self, same_name};
use super::words::{FIELD, Words};
use crate::model::{CategoryClass, CertificateFor, Kind, Ownership, Ratings};
use crate::patterns::entry::means;
use crate::patterns::{EntryRole, WordList};

/// Somebody who signs, or stands beside who signs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Signer {
    /// The kind of certificate; `None` where the words do not tell which.
    pub kind: Option<Kind>,
    /// A mechanic's ratings, where the words tell them.
    pub ratings: Option<Ratings>,
    /// The mechanic holds an inspection authorization.
    pub inspection_authorization: bool,
    /// What a light-sport repairman is said to be trained for.
    pub trained: Option<CategoryClass>,
    /// Whether the signer is said to own the aircraft.
    pub owner: Option<Ownership>,
    /// Which aircraft the card is said to be for.
    pub certificate_for: Option<CertificateFor>,
    /// The name.
    pub name: Option<String>,
    /// The number of the certificate.
    pub number: Option<String>,
    /// The words that tell the certificate.
    pub words: String,
    /// Where they stand, in tokens.
    pub(super) from: usize,
    pub(super) to: usize,
}

/// What the entry tells of people.
pub(super) struct People {
    pub(super) signers: Vec<Signer>,
    /// Names in order, with whether a label of a signature stands before.
    pub(super) names: Vec<(Placed, bool)>,
    pub(super) numbers: Vec<Placed>,
    /// A word for a signature, or a name that stands where one signs.
    pub(super) signature: Option<String>,
}

impl People {
    /// Nobody.
    pub(super) const fn none() -> Self {
        Self {
            signers: Vec::new(),
            names: Vec::new(),
            numbers: Vec::new(),
            signature: None,
        }
    }
}

/// An element of the row of people.
enum Element {
    Name(String),
    Number(String),
    /// A certificate or rating, by its mark.
    Feature(usize),
}

pub(super) fn read(words: &Words<'_>, days: &[Day], own: &Identity) -> People {
    let marks = figures::marks(words);
    let serials = figures::serials(words);
    let taken: Vec<Placed> = marks.iter().chain(&serials).cloned().collect();
    let mut numbers = figures::numbers(words, days, &taken);
    // A number in the form of the aircraft's own serial number is that of its sister.
    numbers.retain(|n| {
        !own.serials.iter().any(|s| {
            *s == figures::bare(&n.words)
                || n.words.contains('-') && figures::of_one_form(s, &n.words)
        })
    });
    let mut names = names::names(words, &numbers, days);
    names.retain(|(name, _)| !of_owner(words, name, &numbers));
    let mut row: Vec<(usize, usize, Element)> = Vec::new();
    for (name, _) in &names {
        row.push((name.from, name.to, Element::Name(name.words.clone())));
    }
    for number in &numbers {
        row.push((
            number.from,
            number.to,
            Element::Number(number.words.clone()),
        ));
    }
    for (n, mark) in words.marks.iter().enumerate() {
        // "student mechanic" holds no certificate of one.
        let within_other = words.all(EntryRole::Uncertificated).any(|u| {
            u.from <= mark.from && mark.to <= u.to && (u.to - u.from) > (mark.to - mark.from)
        });
        let feature = !within_other
            && match mark.role {
                EntryRole::Certificate => {
                    let builder = words.means(mark) == Kind::Other.name();
                    !employer(words, mark)
                        && !by_a_shop(words, mark)
                        && !denied(words, mark)
                        && !pointed(words, mark)
                        && (!builder || uncertificated(words, mark, &numbers, &names))
                }
                EntryRole::Rating => strong_rating(words, n, &numbers),
                EntryRole::RatingLetter => {
                    words.word(mark.from).chars().all(char::is_uppercase)
                        && (ticked_rating(words, mark)
                            || numbers.iter().any(|p| {
                                p.from == mark.to
                                    || p.from == mark.to + 1 && words.word(mark.to) == ")"
                            }))
                }
                EntryRole::Uncertificated => uncertificated(words, mark, &numbers, &names),
                _ => false,
            };
        let in_name = names
            .iter()
            .any(|(name, _)| name.from < mark.to && mark.from < name.to);
        if feature && !in_name {
            row.push((mark.from, mark.to, Element::Feature(n)));
        }
    }
    row.sort_by_key(|(from, to, _)| (*from, std::cmp::Reverse(*to)));
    let mut signers: Vec<Signer> = groups(words, row)
        .into_iter()
        .filter_map(|group| signer(words, &group, &marks, own))
        .collect();
    // Somebody without a certificate counts only where nobody with one stands beside.
    if signers.iter().any(|s| s.kind != Some(Kind::Owner)) {
        signers.retain(|s| s.kind != Some(Kind::Owner) || supervised(words, s));
    }
    name_stations(&mut signers);
    name_of_nameless(&mut signers, &names);
    let signature = signature(words, &names, &signers);
    People {
        signers,
        names,
        numbers,
        signature,
    }
}

/// Whether a repair station is told as the one who employs the signer.
fn employer(words: &Words<'_>, mark: &crate::patterns::EntryMark) -> bool {
    words.means(mark) == Kind::RepairStation.name()
        && words
            .all(EntryRole::Certificate)
            .any(|m| words.means(m) == Kind::Repairman.name())
        && words.all(EntryRole::Rating).any(|m| {
            words.means(m) == means::EMPLOYED
                && m.to <= mark.from
                && mark.from <= m.to + FAR
                && words.segment_of(m.from) == words.segment_of(mark.from)
        })
}

/// "Bolts inspected by repair station 000AB12", above the finding that somebody else signs: who did a part of the work.
fn by_a_shop(words: &Words<'_>, mark: &crate::patterns::EntryMark) -> bool {
    let station = |m: &crate::patterns::EntryMark| words.means(m) == Kind::RepairStation.name();
    let Some(finding) = words.all(EntryRole::Affirmative).last() else {
        return false;
    };
    let segment = words.segment_of(mark.from);
    let done = words
        .tokens_of(segment)
        .any(|n| n < mark.from && words.says(n, means::WORK));
    station(mark)
        && mark.from > 0
        && words.says(mark.from - 1, means::OF_RULE)
        && done
        && segment < words.segment_of(finding.from)
        && words
            .all(EntryRole::Certificate)
            .any(|m| m.from > finding.to && !station(m))
}

/// A station that stands twice, as in a head and a foot, has its name in either place.
fn name_stations(signers: &mut [Signer]) {
    let named: Vec<Signer> = signers
        .iter()
        .filter(|s| s.kind == Some(Kind::RepairStation) && s.name.is_some())
        .cloned()
        .collect();
    for signer in signers.iter_mut() {
        let same = |s: &&Signer| s.kind == signer.kind && s.number == signer.number;
        let by_station = signer.kind == Some(Kind::RepairStation);
        if by_station
            && let Some(other) = named
                .iter()
                .filter(same)
                .max_by_key(|s| s.name.as_ref().map_or(0, String::len))
        {
            signer.name.clone_from(&other.name);
        }
    }
}

/// "Owner: NAME": whose aircraft it is, where somebody with a certificate signs; a certificate right behind the name is
/// his own.
fn of_owner(words: &Words<'_>, name: &Placed, numbers: &[Placed]) -> bool {
    let labelled = name.from > 1
        && words.word(name.from - 1) == ":"
        && (words.covered(EntryRole::Uncertificated, name.from - 2)
            || words.says(name.from - 2, means::PERSON));
    let own = |from: usize| {
        (name.to..=name.to + 2).contains(&from)
            && words.gap(from).len() < FIELD
            && words.line_of(from) == words.line_of(name.from)
    };
    let certificates = || words.all(EntryRole::Certificate);
    labelled
        && certificates().next().is_some()
        && !certificates().any(|m| own(m.from))
        && !numbers.iter().any(|n| own(n.from))
}

/// "Authority: A&P 0001234 ... Performed by: NAME": where one person is named and one certificate told, they go
/// together, however far apart a form has them.
fn name_of_nameless(signers: &mut [Signer], names: &[(Placed, bool)]) {
    let [signer] = signers else { return };
    let shop = matches!(signer.kind, Some(Kind::RepairStation | Kind::Manufacturer));
    let Some((first, _)) = names.first() else {
        return;
    };
    let one = names
        .iter()
        .all(|(name, _)| same_name(&name.words, &first.words));
    if signer.name.is_none() && signer.number.is_some() && signer.kind.is_some() && one && !shop {
        let longest = names.iter().rev().map(|(name, _)| &name.words);
        signer.name = longest.max_by_key(|n| n.len()).cloned();
    }
}

/// "not a repair station": said not to be one.
fn denied(words: &Words<'_>, mark: &crate::patterns::EntryMark) -> bool {
    let no = mark.from > 0 && words.says(mark.from - 1, means::NO);
    no || words
        .all(EntryRole::Harmless)
        .any(|m| m.from < mark.from && mark.to <= m.to && words.covered(EntryRole::Negator, m.from))
}

/// "on file at this repair station": a station that is pointed at, and told elsewhere.
fn pointed(words: &Words<'_>, mark: &crate::patterns::EntryMark) -> bool {
    let station = words.means(mark) == Kind::RepairStation.name();
    let this = |m: &crate::patterns::EntryMark| {
        m.from > 0 && words.word(m.from - 1).eq_ignore_ascii_case("this")
    };
    station
        && this(mark)
        && words
            .all(EntryRole::Certificate)
            .any(|m| words.means(m) == Kind::RepairStation.name() && !this(m))
}

/// Whether the words of somebody without a certificate stand before "under the supervision of".
fn supervised(words: &Words<'_>, signer: &Signer) -> bool {
    words
        .all(EntryRole::Supervision)
        .any(|m| signer.from <= m.from && m.from <= signer.to + 12)
}

/// "airframe" alone is a part of the aircraft, unless a certificate or number stands beside it.
fn strong_rating(words: &Words<'_>, n: usize, numbers: &[Placed]) -> bool {
    let mark = &words.marks[n];
    let means = words.means(mark);
    let reach = if employed(words, n) { FAR } else { 4 };
    let near = |from: usize, to: usize| from <= mark.to + reach && mark.from <= to + reach;
    let certificate = words
        .all(EntryRole::Certificate)
        .any(|m| near(m.from, m.to) && words.segment_of(m.from) == words.segment_of(mark.from));
    let number = numbers
        .iter()
        .any(|p| p.from <= mark.to + 4 && mark.to <= p.from);
    let said = mark.to - mark.from > 1;
    match means {
        means::AIRFRAME | means::POWERPLANT => {
            said && rating_words(words, mark.from, mark.to) || certificate || number
        }
        means::BOTH => {
            certificate
                || number
                || words.of(mark).len() < 6
                || said && rating_words(words, mark.from, mark.to)
        }
        means::INSPECTION | means::MAINTENANCE => {
            certificate || said && words.all(EntryRole::Certificate).next().is_some()
        }
        _ => certificate || number || words.of(mark).chars().all(|c| !c.is_lowercase()),
    }
}

/// Whether the words themselves speak of a rating, a mechanic or a certificate.
fn rating_words(words: &Words<'_>, from: usize, to: usize) -> bool {
    (from..to)
        .any(|n| words.word(n).eq_ignore_ascii_case("only") || words.is_in(n, WordList::OfRating))
}

/// "Ratings: [x] A  [x] P": a letter behind a box that is ticked, where the lines above speak of ratings.
fn ticked_rating(words: &Words<'_>, mark: &crate::patterns::EntryMark) -> bool {
    let line = words.line_of(mark.from);
    let box_before = mark.from > 0 && words.word(mark.from - 1) == "]";
    let rating = |n: usize| words.says(n, means::RATED) || words.is_in(n, WordList::OfRating);
    box_before
        && (0..mark.from)
            .rev()
            .take_while(|n| line <= words.line_of(*n) + 2)
            .any(rating)
}

/// "owner" or "pilot" speaks of the signer where a name or number stands beside it, or where it is
/// labelled so.
fn uncertificated(
    words: &Words<'_>,
    mark: &crate::patterns::EntryMark,
    numbers: &[Placed],
    names: &[(Placed, bool)],
) -> bool {
    let line = words.line_of(mark.from);
    let near = |from: usize, to: usize| {
        from <= mark.to + 4 && mark.from <= to + 4 && words.line_of(from).abs_diff(line) <= 1
    };
    numbers.iter().any(|p| near(p.from, p.to))
        || names.iter().any(|(p, _)| near(p.from, p.to))
        || words
            .all(EntryRole::NameLabel)
            .chain(words.all(EntryRole::SignatureLabel))
            .any(|m| m.to <= mark.from && mark.from <= m.to + 3)
}

/// The row cut into people: each has one name, one number, and certificates that go together.
fn groups(
    words: &Words<'_>,
    row: Vec<(usize, usize, Element)>,
) -> Vec<Vec<(usize, usize, Element)>> {
    let mut groups: Vec<Vec<(usize, usize, Element)>> = Vec::new();
    for element in row {
        let new = match groups.last() {
            None => true,
            Some(group) => begins(words, group, &element),
        };
        if new {
            groups.push(vec![element]);
        } else if let Some(group) = groups.last_mut() {
            group.push(element);
        }
    }
    groups
}

fn begins(
    words: &Words<'_>,
    group: &[(usize, usize, Element)],
    next: &(usize, usize, Element),
) -> bool {
    let has = |what: fn(&Element) -> bool| group.iter().any(|(.., e)| what(e));
    let name = has(|e| matches!(e, Element::Name(_)));
    let number = has(|e| matches!(e, Element::Number(_)));
    let feature = has(|e| matches!(e, Element::Feature(_)));
    let end = group.iter().map(|(_, to, _)| *to).max().unwrap_or_default();
    let far = next.0 > end + FAR && words.line_of(next.0) > words.line_of(end.saturating_sub(1));
    match &next.2 {
        // A name after a whole person is another one; a name after a lone certificate is its own.
        Element::Name(other) => {
            let same = group
                .iter()
                .any(|(.., e)| matches!(e, Element::Name(n) if same_name(n, other)));
            !same && name || (feature && number && next.0 > end + 2)
        }
        Element::Number(_) => number,
        // "Mechanic: NAME" begins a person. After a number only what follows at once belongs to the same.
        Element::Feature(_) if name && leads_to_name(words, next.1) => true,
        // "repairman 0006903, propeller overhaul, employed by a shop".
        Element::Feature(n)
            if employed(words, *n) && words.segment_of(next.0) == words.segment_of(end - 1) =>
        {
            false
        }
        Element::Feature(_) => number && (feature && next.0 > end + 3 || far),
    }
}

/// A colon and what is no rating or certificate: "Mechanic: NAME".
fn leads_to_name(words: &Words<'_>, at: usize) -> bool {
    let number = |n: usize| words.word(n).starts_with(|c: char| c.is_ascii_digit());
    // "(Experimental aircraft builder: MAKE MODEL, N000AB)"
    let line = words.line_of(at);
    let before = || (0..at).rev().take_while(|n| words.line_of(*n) == line);
    let opened = before().filter(|n| words.word(*n) == "(").count();
    let within = opened > before().filter(|n| words.word(*n) == ")").count();
    words.word(at) == ":"
        && !within
        && !number(at + 1)
        && !words.covered_by(&[EntryRole::Rating, EntryRole::Certificate], at + 1)
}

fn employed(words: &Words<'_>, mark: usize) -> bool {
    words
        .marks
        .get(mark)
        .is_some_and(|m| m.role == EntryRole::Rating && words.means(m) == means::EMPLOYED)
}

/// So many tokens apart, on another line, two things are not of one person.
const FAR: usize = 10;

fn signer(
    words: &Words<'_>,
    group: &[(usize, usize, Element)],
    marks: &[Placed],
    own: &Identity,
) -> Option<Signer> {
    let features: Vec<&crate::patterns::EntryMark> = group
        .iter()
        .filter_map(|(.., e)| match e {
            Element::Feature(n) => words.marks.get(*n),
            _ => None,
        })
        .collect();
    let (first, last) = (features.first()?, features.iter().max_by_key(|m| m.to)?);
    let says = |role: EntryRole, means: &str| {
        features
            .iter()
            .any(|m| m.role == role && words.means(m) == means)
    };
    let rating =
        |means: &str| says(EntryRole::Rating, means) || says(EntryRole::RatingLetter, means);
    let authorization = rating(means::INSPECTION_AUTHORIZATION);
    let from = group.iter().map(|(from, ..)| *from).min()?;
    let to = group.iter().map(|(_, to, _)| *to).max()?;
    let card = cards::card(words, from, to, marks, own);
    // "builder, repairman certificate for this aircraft": whose card names an aircraft that he built.
    let built = says(EntryRole::Certificate, Kind::Other.name())
        && says(EntryRole::Certificate, Kind::Repairman.name())
        && (card.is_some()
            || cards::of_this(words, from, to)
            || cards::beside_own_mark(words, to, marks, own));
    let of_builder = says(EntryRole::Certificate, Kind::Repairman.name())
        && (card == Some(CertificateFor::This) || cards::of_this(words, from, to))
        && named_as_builder(group, own);
    let kind = if not_yet(words, group, &features) {
        Some(Kind::Owner)
    } else {
        kind(&says)
    };
    let kind = kind.or_else(|| (built || of_builder).then_some(Kind::BuilderRepairman));
    let (airframe, powerplant) = (rating(means::AIRFRAME), rating(means::POWERPLANT));
    let both = rating("both") || authorization || airframe && powerplant;
    let ratings =
        (kind == Some(Kind::Mechanic) && (both || airframe || powerplant)).then_some(Ratings {
            airframe: both || airframe,
            powerplant: both || powerplant,
        });
    let light_sport = matches!(
        kind,
        Some(Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance)
    );
    let numbered = group
        .iter()
        .find_map(|(_, to, e)| matches!(e, Element::Number(_)).then_some(*to));
    let repairman = !matches!(
        kind,
        Some(Kind::Mechanic | Kind::RepairStation | Kind::Owner | Kind::Manufacturer)
    );
    Some(Signer {
        kind,
        ratings,
        inspection_authorization: authorization,
        certificate_for: card.filter(|_| repairman),
        name: cards::firm(words, kind, &features)
            .or_else(|| name_of(words, group, kind))
            .or_else(|| cards::firm_behind(words, kind, numbered.unwrap_or(to))),
        number: group.iter().find_map(|(.., e)| match e {
            Element::Number(n) => Some(n.clone()),
            _ => None,
        }),
        trained: light_sport
            .then(|| cards::trained(words, from, to))
            .flatten(),
        owner: light_sport.then(|| cards::owner(words, from, to)).flatten(),
        words: words.between(first.from, last.to),
        from,
        to,
    })
}

/// Of a name that is signed and printed the fuller one; the first of two alike.
fn name_of(
    words: &Words<'_>,
    group: &[(usize, usize, Element)],
    kind: Option<Kind>,
) -> Option<String> {
    group
        .iter()
        .filter_map(|(from, to, e)| match e {
            Element::Name(_) if kind == Some(Kind::RepairStation) => {
                Some(words.between(*from, cards::firm_end(words, *to)))
            }
            Element::Name(n) => Some(n.clone()),
            _ => None,
        })
        .rev()
        .max_by_key(String::len)
}

/// "repairman certificate for this aircraft", signed by the builder whom the letter names.
fn named_as_builder(group: &[(usize, usize, Element)], own: &Identity) -> bool {
    let mut names = group.iter().filter_map(|(.., e)| match e {
        Element::Name(n) => Some(n),
        _ => None,
    });
    own.builder
        .as_ref()
        .is_some_and(|b| names.any(|n| same_name(n, b)))
}

/// "student, certificate expected": who gives no number and is none yet holds no certificate.
fn not_yet(
    words: &Words<'_>,
    group: &[(usize, usize, Element)],
    features: &[&crate::patterns::EntryMark],
) -> bool {
    let number = group.iter().any(|(.., e)| matches!(e, Element::Number(_)));
    !number
        && features.iter().any(|m| {
            m.role == EntryRole::Uncertificated
                && words
                    .all(EntryRole::Doubt)
                    .any(|d| words.means(d) == means::HOLDER && d.from < m.to && m.from < d.to)
        })
}

fn kind(says: &dyn Fn(EntryRole, &str) -> bool) -> Option<Kind> {
    let certificate = |kind: Kind| says(EntryRole::Certificate, kind.name());
    let rating =
        |means: &str| says(EntryRole::Rating, means) || says(EntryRole::RatingLetter, means);
    let (inspection, maintenance) = (
        Kind::LightSportRepairmanInspection,
        Kind::LightSportRepairmanMaintenance,
    );
    let light = certificate(Kind::LightSportRepairman);
    let repairman = certificate(Kind::Repairman);
    let employed = repairman && !light && rating(means::EMPLOYED);
    let mechanic = certificate(Kind::Mechanic)
        || [
            means::BOTH,
            means::AIRFRAME,
            means::POWERPLANT,
            means::INSPECTION_AUTHORIZATION,
        ]
        .iter()
        .any(|m| rating(m));
    if certificate(Kind::GeneralRepairman) || employed {
        Some(Kind::GeneralRepairman)
    } else if certificate(Kind::BuilderRepairman) {
        Some(Kind::BuilderRepairman)
    } else if certificate(maintenance) {
        Some(maintenance)
    } else if certificate(inspection) {
        Some(inspection)
    } else if (light || repairman) && rating(means::MAINTENANCE) {
        Some(maintenance)
    } else if (light || repairman) && rating(means::INSPECTION) {
        Some(inspection)
    } else if light || repairman {
        None
    } else if certificate(Kind::RepairStation) {
        Some(Kind::RepairStation)
    } else if mechanic {
        Some(Kind::Mechanic)
    } else if certificate(Kind::Manufacturer) {
        Some(Kind::Manufacturer)
    } else if certificate(Kind::Other) {
        // Having built it is no certificate, and whether there is one is not said.
        None
    } else {
        Some(Kind::Owner)
    }
}

/// A word for a signature with a name behind it, or a name that is not printed behind a label:
/// in a typed copy of a log the name beside certificate and number stands for the signature.
fn signature(words: &Words<'_>, names: &[(Placed, bool)], signers: &[Signer]) -> Option<String> {
    // "Signed:" and nothing behind it.
    let end = words.tokens.len();
    let empty = words
        .all(EntryRole::SignatureLabel)
        .any(|m| end > 0 && m.to + 1 >= end && words.word(end - 1) == ":");
    if empty || words.all(EntryRole::Unsigned).next().is_some() {
        return None;
    }
    if let Some((name, _)) = names.iter().find(|(_, signed)| *signed) {
        return Some(format!("signed {}", name.words));
    }
    if let Some(label) = words.all(EntryRole::SignatureLabel).next()
        && !names.is_empty()
    {
        return Some(words.of(label));
    }
    // A form with a place for the signature asks for one beside the printed name.
    let place = words.all(EntryRole::SignatureLabel).next().is_some()
        || words.all(EntryRole::Blank).next().is_some();
    let printed = |name: &Placed| {
        place
            && words.all(EntryRole::NameLabel).any(|m| {
                m.to <= name.from
                    && name.from <= m.to + 2
                    && words
                        .lists()
                        .within(&words.of(m).to_lowercase(), WordList::PrintedName)
            })
    };
    names
        .iter()
        .find(|(name, _)| {
            !printed(name)
                && signers.iter().any(|s| {
                    // The firm stands in its own words; whoever is named beside it signs for it.
                    s.name.as_deref() == Some(&name.words) || s.kind == Some(Kind::RepairStation)
                })
        })
        .map(|(name, _)| name.words.clone())
        // A station that ends the entry with its name and number signs by them.
        .or_else(|| {
            let whole = |s: &&Signer| {
                s.kind == Some(Kind::RepairStation)
                    && s.number.is_some()
                    && words.line_of(s.to.saturating_sub(1))
                        == words.line_of(words.tokens.len().saturating_sub(1))
            };
            let station = signers.iter().find(whole)?;
            station.name.clone().filter(|_| !place)
        })
        // "FOR STATION: NAME" in its foot.
        .or_else(|| {
            let last = words.line_of(words.tokens.len().saturating_sub(1));
            let from = (0..words.tokens.len()).find(|n| words.line_of(*n) == last)?;
            let foot = words.between(from, words.tokens.len()).to_lowercase();
            signers
                .iter()
                .filter(|s| s.kind == Some(Kind::RepairStation) && s.from < from)
                .filter_map(|s| s.name.clone())
                .find(|name| foot.contains(&name.to_lowercase()))
        })
}
