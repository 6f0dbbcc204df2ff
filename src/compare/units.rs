//! Atoms, and citations as one unit each, as numbers that are compared.

use std::collections::HashMap;
use std::ops::Range;

use super::atoms::Atom;
use super::cite::Cited;

/// Numbers for keys, shared by the texts that are compared.
#[derive(Debug, Default)]
pub(super) struct Keys {
    numbers: HashMap<Box<str>, u32>,
}

impl Keys {
    fn number(&mut self, word: &str) -> u32 {
        if let Some(number) = self.numbers.get(word) {
            return *number;
        }
        let next = u32::try_from(self.numbers.len()).unwrap_or(u32::MAX);
        self.numbers.insert(word.into(), next);
        next
    }

    /// What makes each atom equal to another one.
    pub(super) fn of(&mut self, atoms: &[Atom]) -> Vec<u32> {
        atoms.iter().map(|a| self.number(&a.word)).collect()
    }

    /// The atoms with each citation as one unit, whose words are its key: another form of the
    /// same citation is a difference that is shown.
    pub(super) fn units(&mut self, atoms: &[Atom], cited: &[Cited]) -> Vec<Unit> {
        let mut out = Vec::with_capacity(atoms.len());
        let mut cited = cited.iter().enumerate().peekable();
        let mut at = 0;
        while let Some(atom) = atoms.get(at) {
            while cited.next_if(|(_, c)| c.atoms.start < at).is_some() {}
            let unit = match cited.next_if(|(_, c)| c.atoms.start == at) {
                Some((n, c)) if !c.atoms.is_empty() => {
                    let mut key = "cites".to_owned();
                    for part in atoms.get(c.atoms.clone()).unwrap_or_default() {
                        key.push(' ');
                        key.push_str(&part.word);
                    }
                    Unit {
                        key: self.number(&key),
                        atoms: c.atoms.clone(),
                        citation: Some(n),
                    }
                }
                _ => Unit {
                    key: self.number(&atom.word),
                    atoms: at..at + 1,
                    citation: None,
                },
            };
            at = unit.atoms.end;
            out.push(unit);
        }
        out
    }
}

/// One atom, or a whole citation.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    /// What makes it equal to another one.
    pub(super) key: u32,
    /// The atoms.
    pub(super) atoms: Range<usize>,
    /// Index of the citation.
    pub(super) citation: Option<usize>,
}
