//! The answers to questions, as far as they were given.

use std::collections::BTreeMap;

/// The answers so far; what was left out is not in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers<Key, Given> {
    given: BTreeMap<Key, Given>,
}

impl<Key, Given> Default for Answers<Key, Given> {
    fn default() -> Self {
        Self { given: BTreeMap::new() }
    }
}

impl<Key: Ord, Given> Answers<Key, Given> {
    /// Takes an answer.
    pub fn put(&mut self, key: Key, given: Given) {
        self.given.insert(key, given);
    }

    /// Forgets an answer.
    pub fn remove(&mut self, key: &Key) {
        self.given.remove(key);
    }

    /// The answer for `key`.
    pub fn get(&self, key: &Key) -> Option<&Given> {
        self.given.get(key)
    }

    /// Forgets the answers that `keep` does not hold of.
    pub fn retain(&mut self, mut keep: impl FnMut(&Key, &Given) -> bool) {
        self.given.retain(|key, given| keep(key, given));
    }

    /// All answers, in the order of their keys.
    pub fn iter(&self) -> impl Iterator<Item = (&Key, &Given)> {
        self.given.iter()
    }
}
