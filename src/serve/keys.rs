//! The token of a run, and keys that let one request in.

use std::time::{Duration, Instant};

/// 128 random bits in hexadecimal digits.
pub(super) fn token() -> Option<String> {
    let mut bits = [0_u8; 16];
    getrandom::fill(&mut bits).ok()?;
    Some(bits.iter().map(|b| format!("{b:02x}")).collect())
}

/// How long a key may be used: a browser comes at once.
const KEY: Duration = Duration::from_secs(120);

/// Keys that are out at once.
const KEYS: usize = 16;

/// Keys that let one request in, each once, and where below the token each leads.
#[derive(Debug, Default)]
pub(super) struct Keys(Vec<(String, String, Instant)>);

impl Keys {
    /// A new key that leads there; `None` where the system has no random numbers. The oldest goes
    /// where many are out.
    pub(super) fn make(&mut self, to: &str) -> Option<String> {
        let key = token()?;
        if self.0.len() >= KEYS {
            self.0.remove(0);
        }
        self.0.push((key.clone(), to.to_owned(), Instant::now()));
        Some(key)
    }

    /// Where the key leads, if it lets in; then it does so no more.
    pub(super) fn take(&mut self, key: &str) -> Option<String> {
        self.0.retain(|(_, _, made)| made.elapsed() < KEY);
        let at = self.0.iter().position(|(held, ..)| same(held, key))?;
        Some(self.0.remove(at).1)
    }
}

/// Whether two tokens are the same, in a time that does not tell where they differ.
pub(super) fn same(one: &str, other: &str) -> bool {
    let differ = one
        .bytes()
        .zip(other.bytes())
        .fold(0, |differ, (a, b)| std::hint::black_box(differ | (a ^ b)));
    one.len() == other.len() && differ == 0
}

/// Whether these are 32 hexadecimal digits, as [`token`] makes them.
pub(super) fn is_key(word: &str) -> bool {
    word.len() == 32 && word.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_differ_and_are_compared_as_a_whole() {
        let (one, other) = (token().expect("random"), token().expect("random"));
        assert_eq!(one.len(), 32);
        assert!(!same(&one, &other));
        assert!(same(&one, &one.clone()));
        assert!(!same(&one, &one[..31]));
        assert!(!same(&one, &format!("{one}0")));
    }

    #[test]
    fn a_key_is_good_for_one_use() {
        let mut keys = Keys::default();
        let one = keys.make("").expect("random");
        let other = keys.make("letters/3").expect("random");
        assert_eq!(keys.take(&one[..31]), None);
        assert_eq!(keys.take(&one).as_deref(), Some(""));
        assert_eq!(keys.take(&one), None);
        assert_eq!(keys.take(&other).as_deref(), Some("letters/3"));
        let first = keys.make("").expect("random");
        for _ in 0..KEYS {
            keys.make("").expect("random");
        }
        assert_eq!(keys.take(&first), None);
    }
}
