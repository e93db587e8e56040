//! What stands around an equation's text:
//!
//! ```text
//! equation = docs ["pub" ["(" … ")"]] Name "=" "text" "{" { symbol "," } "}"
//! symbol   = field ["printed"] ":" type "meaning" "[" units "]"
//! type     = Quantity | f64 | "unit" | "[" type "]"
//! ```
//!
//! The first symbol is the result. A type in brackets is a list, over which the text sums. A unit in place of a type is
//! for what the model has no type for: the field is a number of that unit's SI unit.

use crate::token::{Fault, Token, Tree};
use mateline_units::{Dimension, TYPES, unit};

/// An equation as it is declared.
#[derive(Debug)]
pub struct Declaration {
    /// The documentation's lines, as literals.
    pub docs: Vec<String>,
    pub visibility: String,
    pub name: String,
    pub text: String,
    /// Where the text stands.
    pub place: usize,
    /// The symbols, the result first.
    pub symbols: Vec<Declared>,
}

/// A symbol as it is declared.
#[derive(Debug)]
pub struct Declared {
    /// The field's name.
    pub field: String,
    /// The symbol as it is printed.
    pub printed: String,
    pub kind: Kind,
    pub list: bool,
    pub dimension: Dimension,
    /// What it stands for, as a literal.
    pub meaning: String,
    /// The place of the brackets that hold the units it is shown in.
    pub units: usize,
    pub place: usize,
}

/// What the field holds.
#[derive(Debug, PartialEq)]
pub enum Kind {
    /// One of the model's quantities.
    Typed(String),
    /// A plain number.
    Number,
    /// A number in SI of a dimension that no type has.
    Measured,
}

/// All declarations of one use of the macro.
pub fn read(tokens: &[Token]) -> Result<Vec<Declaration>, Fault> {
    let mut reader = Reader { tokens, next: 0, last: 0 };
    let mut all = Vec::new();
    while reader.peek().is_some() {
        all.push(reader.declaration()?);
    }
    Ok(all)
}

struct Reader<'a> {
    tokens: &'a [Token],
    next: usize,
    /// The place of the token taken last, for what is missing after it.
    last: usize,
}

impl<'a> Reader<'a> {
    fn peek(&self) -> Option<&'a Tree> {
        self.tokens.get(self.next).map(|token| &token.tree)
    }

    fn take(&mut self) -> Option<&'a Tree> {
        let token = self.tokens.get(self.next)?;
        self.next += 1;
        self.last = token.place;
        Some(&token.tree)
    }

    fn needs<T>(&self, what: &str) -> Result<T, Fault> {
        Err(Fault::new(
            self.tokens.get(self.next).map_or(self.last, |token| token.place),
            format!("{what} is needed here"),
        ))
    }

    fn word(&mut self, what: &str) -> Result<String, Fault> {
        match self.peek() {
            Some(Tree::Word(word)) => {
                self.take();
                Ok(word.clone())
            }
            _ => self.needs(what),
        }
    }

    fn mark(&mut self, mark: char) -> Result<(), Fault> {
        match self.peek() {
            Some(Tree::Mark(found)) if *found == mark => {
                self.take();
                Ok(())
            }
            _ => self.needs(&format!("`{mark}`")),
        }
    }

    /// A text in quotes, as it stands in the source.
    fn literal(&mut self, what: &str) -> Result<String, Fault> {
        match self.peek() {
            Some(Tree::Text(text)) if text.starts_with('"') => {
                self.take();
                Ok(text.clone())
            }
            _ => self.needs(what),
        }
    }

    /// A text in quotes whose characters matter here.
    fn plain(&mut self, what: &str) -> Result<String, Fault> {
        let literal = self.literal(what)?;
        let text = literal.trim_matches('"');
        if text.contains('\\') {
            return Err(Fault::new(self.last, "write the characters themselves, without `\\`"));
        }
        Ok(text.to_owned())
    }

    fn declaration(&mut self) -> Result<Declaration, Fault> {
        let mut docs = Vec::new();
        while let Some(Tree::Mark('#')) = self.peek() {
            self.take();
            match self.take() {
                Some(Tree::Group('[', tokens, _)) => docs.extend(tokens.iter().find_map(|token| match &token.tree {
                    Tree::Text(text) => Some(text.clone()),
                    _ => None,
                })),
                _ => return self.needs("a doc comment"),
            }
        }
        let mut visibility = String::new();
        if matches!(self.peek(), Some(Tree::Word(word)) if word == "pub") {
            self.take();
            visibility = "pub ".to_owned();
            if let Some(Tree::Group('(', _, source)) = self.peek() {
                self.take();
                visibility = format!("pub({source}) ");
            }
        }
        let name = self.word("the equation's name")?;
        self.mark('=')?;
        let text = self.plain("the equation's text")?;
        let place = self.last;
        let Some(Tree::Group('{', tokens, _)) = self.peek() else { return self.needs("`{` with the symbols") };
        self.take();
        let mut inner = Reader { tokens, next: 0, last: self.last };
        let mut symbols: Vec<Declared> = Vec::new();
        while inner.peek().is_some() {
            let symbol = inner.symbol()?;
            if symbols.iter().any(|other| other.field == symbol.field || other.printed == symbol.printed) {
                return Err(Fault::new(symbol.place, format!("`{}` is declared twice", symbol.printed)));
            }
            symbols.push(symbol);
            if inner.peek().is_some() {
                inner.mark(',')?;
            }
        }
        if docs.is_empty() {
            return Err(Fault::new(place, "a doc comment is needed that says what the equation gives, and its source"));
        }
        match symbols.first() {
            None => Err(Fault::new(place, "an equation needs symbols, the result first")),
            Some(result) if result.list => Err(Fault::new(result.place, "the result cannot be a list")),
            Some(_) => Ok(Declaration { docs, visibility, name, text, place, symbols }),
        }
    }

    fn symbol(&mut self) -> Result<Declared, Fault> {
        let field = self.word("a symbol")?;
        let place = self.last;
        let printed = match self.peek() {
            Some(Tree::Text(_)) => self.plain("the symbol as printed")?,
            _ => field.clone(),
        };
        self.mark(':')?;
        let (list, (kind, dimension)) = match self.peek() {
            Some(Tree::Group('[', tokens, _)) => {
                self.take();
                (true, Reader { tokens, next: 0, last: self.last }.kind()?)
            }
            _ => (false, self.kind()?),
        };
        let meaning = self.literal("what the symbol stands for, in quotes,")?;
        let Some(Tree::Group('[', ..)) = self.peek() else { return self.needs("`[` with the units it is shown in") };
        self.take();
        Ok(Declared { field, printed, kind, list, dimension, meaning, units: self.last, place })
    }

    fn kind(&mut self) -> Result<(Kind, Dimension), Fault> {
        if let Some(Tree::Text(_)) = self.peek() {
            let name = self.plain("a unit")?;
            return match unit(&name) {
                Some(unit) => Ok((Kind::Measured, unit.dimension)),
                None => Err(Fault::new(self.last, format!("unknown unit `{name}`"))),
            };
        }
        let name = self.word("a quantity's type")?;
        if name == "f64" {
            return Ok((Kind::Number, Dimension::PLAIN));
        }
        match TYPES.iter().find(|(known, _)| *known == name) {
            Some((_, dimension)) => Ok((Kind::Typed(name), *dimension)),
            None => Err(Fault::new(self.last, format!("`{name}` is no quantity of the model"))),
        }
    }
}
