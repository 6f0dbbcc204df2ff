//! On which paragraph a certificate rests, and for what kind of aircraft.

/// A paragraph of 14 CFR 21.191.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Basis {
    /// `a` to `l`.
    pub letter: char,
    /// The number under (i): 1, 2 or 3.
    pub item: Option<u8>,
}

impl Basis {
    /// Reads `g`, `(g)`, `i2`, `(i)(2)`, `21.191(g)`.
    #[must_use]
    pub fn parse(words: &str) -> Option<Self> {
        let words = words.trim().to_ascii_lowercase();
        let words = words.strip_prefix("§").unwrap_or(&words).trim();
        let words = words.strip_prefix("21.191").unwrap_or(words);
        let bare: String = words.chars().filter(char::is_ascii_alphanumeric).collect();
        let mut chars = bare.chars();
        let letter = chars.next().filter(|c| ('a'..='l').contains(c))?;
        let item = match (letter, chars.next()) {
            (_, None) => None,
            ('i', Some(d @ '1'..='3')) => u8::try_from(d.to_digit(10)?).ok(),
            _ => return None,
        };
        chars.next().is_none().then_some(Self { letter, item })
    }

    /// The name in machine contracts: `g`, `i2`.
    #[must_use]
    pub fn name(self) -> String {
        self.item.map_or_else(
            || self.letter.to_string(),
            |n| format!("{}{n}", self.letter),
        )
    }
}

impl std::fmt::Display for Basis {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "({})", self.letter)?;
        self.item.map_or(Ok(()), |n| write!(f, "({n})"))
    }
}

/// Category, and class where it is known, as in § 61.5: `airplane/single-engine-land`,
/// `rotorcraft/gyroplane`, `glider`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CategoryClass {
    /// `airplane`, `rotorcraft`, `glider`, `lighter-than-air`, `powered-lift`,
    /// `powered-parachute`, `weight-shift-control`.
    pub category: String,
    /// The class, where given.
    pub class: Option<String>,
}

impl CategoryClass {
    /// The category of rotorcraft.
    pub const ROTORCRAFT: &'static str = "rotorcraft";
    /// The category of gliders.
    pub const GLIDER: &'static str = "glider";
    /// The class of balloons, lighter than air.
    pub const BALLOON: &'static str = "balloon";
    /// The class of gyroplanes, which are rotorcraft.
    pub const GYROPLANE: &'static str = "gyroplane";

    /// The categories that training and aircraft can have (§ 61.5).
    pub const CATEGORIES: [&'static str; 7] = [
        "airplane",
        "rotorcraft",
        "glider",
        "lighter-than-air",
        "powered-lift",
        "powered-parachute",
        "weight-shift-control",
    ];

    /// The classes of each category (§ 61.5, with gyroplane and helicopter).
    pub const CLASSES: [(&'static str, &'static [&'static str]); 5] = [
        (
            "airplane",
            &[
                "single-engine-land",
                "multi-engine-land",
                "single-engine-sea",
                "multi-engine-sea",
            ],
        ),
        ("rotorcraft", &["gyroplane", "helicopter"]),
        ("lighter-than-air", &["airship", "balloon"]),
        ("powered-parachute", &["land", "sea"]),
        ("weight-shift-control", &["land", "sea"]),
    ];

    /// Reads `CATEGORY`, `CATEGORY/CLASS`, or a class whose name tells its category
    /// (`gyroplane`); `None` where the category, or the class within it, is unknown: a class
    /// that nobody knows must not be found "different".
    #[must_use]
    pub fn parse(words: &str) -> Option<Self> {
        let clean = |w: &str| {
            w.split_whitespace()
                .collect::<Vec<_>>()
                .join("-")
                .to_ascii_lowercase()
        };
        let (category, class) = match words.split_once('/') {
            Some((category, class)) => (clean(category), Some(clean(class))),
            None => (clean(words), None),
        };
        if class.is_none()
            && let Some((owner, _)) = Self::CLASSES[..3]
                .iter()
                .find(|(_, classes)| classes.contains(&category.as_str()))
        {
            return Some(Self {
                category: (*owner).to_owned(),
                class: Some(category),
            });
        }
        let known = Self::CATEGORIES.contains(&category.as_str())
            && class.as_deref().is_none_or(|class| {
                Self::CLASSES
                    .iter()
                    .any(|(owner, classes)| *owner == category && classes.contains(&class))
            });
        known.then_some(Self { category, class })
    }
}

impl std::fmt::Display for CategoryClass {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.category)?;
        self.class.as_ref().map_or(Ok(()), |c| write!(f, "/{c}"))
    }
}
