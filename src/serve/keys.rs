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

/// Keys that let one request in, each once.
#[derive(Debug, Default)]
pub(super) struct Keys(Vec<(String, Instant)>);

impl Keys {
    /// A new key; `None` where the system has no random numbers. The oldest goes where many are out.
    pub(super) fn make(&mut self) -> Option<String> {
        let key = token()?;
        if self.0.len() >= KEYS {
            self.0.remove(0);
        }
        self.0.push((key.clone(), Instant::now()));
        Some(key)
    }

    /// Whether the key lets in; then it does so no more.
    pub(super) fn take(&mut self, key: &str) -> bool {
        self.0.retain(|(_, made)| made.elapsed() < KEY);
        let before = self.0.len();
        self.0.retain(|(held, _)| !same(held, key));
        self.0.len() < before
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
        let (one, other) = (keys.make().expect("random"), keys.make().expect("random"));
        assert!(!keys.take(&one[..31]));
        assert!(keys.take(&one));
        assert!(!keys.take(&one));
        assert!(keys.take(&other));
        let first = keys.make().expect("random");
        for _ in 0..KEYS {
            keys.make().expect("random");
        }
        assert!(!keys.take(&first));
    }
}
