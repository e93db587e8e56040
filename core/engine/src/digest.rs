//! Names for contents: SHA-256 over everything that a result was made from.

use crate::load::{Node, Placed};
use sha2::{Digest as _, Sha256};

/// The name of a content.
pub type Digest = [u8; 32];

/// Takes a content piece by piece. Every piece says how long it is, so that no two contents read alike.
#[derive(Default)]
pub struct Digester(Sha256);

impl Digester {
    /// A text.
    pub fn text(&mut self, text: &str) {
        self.0.update((text.len() as u64).to_le_bytes());
        self.0.update(text);
    }

    /// A number, to the last bit.
    pub fn number(&mut self, number: f64) {
        self.0.update(number.to_bits().to_le_bytes());
    }

    /// A mark that tells kinds of content apart.
    pub fn mark(&mut self, mark: u8) {
        self.0.update([mark]);
    }

    /// Another content by its name.
    pub fn digest(&mut self, digest: &Digest) {
        self.0.update(digest);
    }

    /// A tree without its places.
    pub fn tree(&mut self, tree: &Placed) {
        match &tree.node {
            Node::Null => self.mark(0),
            Node::Bool(value) => self.0.update([1, u8::from(*value)]),
            Node::Int(value) => {
                self.mark(2);
                self.0.update(value.to_le_bytes());
            }
            Node::Float(value) => {
                self.mark(3);
                self.number(*value);
            }
            Node::Str(value) => {
                self.mark(4);
                self.text(value);
            }
            Node::Seq(items) => {
                self.mark(5);
                self.0.update((items.len() as u64).to_le_bytes());
                items.iter().for_each(|item| self.tree(item));
            }
            Node::Map(entries) => {
                self.mark(6);
                self.0.update((entries.len() as u64).to_le_bytes());
                for entry in entries.iter() {
                    self.text(&entry.key);
                    self.tree(&entry.value);
                }
            }
        }
    }

    /// The name.
    pub fn finish(self) -> Digest {
        self.0.finalize().into()
    }
}
