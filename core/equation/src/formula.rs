//! The text of an equation:
//!
//! ```text
//! equation = sum "=" sum
//! sum      = ["−"] product { ("+" | "−") product }
//! product  = power { ["·" | "/"] power }              left to right: D/6 (a + b) is (D/6)(a + b)
//! power    = base ["²" | "³" | "⁻¹" | … | "^" base]
//! base     = number ["[" unit "]"] | "π" | symbol | function "(" sum { "," sum } ")"
//!          | "(" sum ")" | "|" sum "|" | "⌈" sum "⌉" | "⌊" sum "⌋" | "√" base
//!          | ("Σ" | "min" | "max") product            over lists, to the end of the product
//! function = "min" | "max" | "exp" | "ln" | "log₁₀" | "sin" | "cos" | "tan" | "atan"
//! ```

use crate::declaration::{Declaration, Declared};
use crate::token::Fault;
use mateline_units::{Unit, unit};
use std::ops::Range;

/// A part of an equation, and where it stands in the text.
#[derive(Debug)]
pub struct Node {
    pub what: What,
    pub at: Range<usize>,
}

/// What a part is.
#[derive(Debug)]
pub enum What {
    Number(f64, Option<Unit>),
    /// The number of a declared symbol.
    Symbol(usize),
    Negative(Box<Node>),
    Two(Operator, Box<Node>, Box<Node>),
    Call(Function, Vec<Node>),
    /// Over the lists in it.
    Over(Function, Box<Node>),
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Operator {
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Function {
    Sum,
    Min,
    Max,
    Root,
    Absolute,
    Up,
    Down,
    Exp,
    Ln,
    Log10,
    Sin,
    Cos,
    Tan,
    Atan,
}

const NAMES: &[(&str, Function)] = &[
    ("min", Function::Min),
    ("max", Function::Max),
    ("exp", Function::Exp),
    ("ln", Function::Ln),
    ("log₁₀", Function::Log10),
    ("sin", Function::Sin),
    ("cos", Function::Cos),
    ("tan", Function::Tan),
    ("atan", Function::Atan),
];

/// How the value comes from the text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// `x = …`
    Direct,
    /// `1/x = …`
    Inverse,
    /// Any other: the value is found elsewhere and handed in.
    Solved,
}

/// Both sides of an equation.
#[derive(Debug)]
pub struct Formula {
    pub left: Node,
    pub right: Node,
    pub form: Form,
}

impl Formula {
    /// Reads the text of a declaration, in which every declared symbol has to occur.
    pub fn read(declared: &Declaration) -> Result<Formula, Fault> {
        let mut parser = Parser { text: &declared.text, at: 0, symbols: &declared.symbols, bars: 0, last: 0 };
        let sides = parser.equation().map_err(|message| Fault::new(declared.place, message))?;
        let (left, right) = sides;
        for (index, symbol) in declared.symbols.iter().enumerate() {
            if !left.holds(index) && !right.holds(index) {
                let message = format!("`{}` is declared and not in `{}`", symbol.printed, declared.text);
                return Err(Fault::new(symbol.place, message));
            }
        }
        let form = match &left.what {
            _ if right.holds(0) => Form::Solved,
            What::Symbol(0) => Form::Direct,
            What::Two(Operator::Divide, one, x) => match (&one.what, &x.what) {
                (What::Number(one, None), What::Symbol(0)) if *one == 1.0 => Form::Inverse,
                _ => Form::Solved,
            },
            _ => Form::Solved,
        };
        Ok(Formula { left, right, form })
    }
}

impl Node {
    /// Every part of it, itself first.
    pub fn visit<'a>(&'a self, see: &mut impl FnMut(&'a Node)) {
        see(self);
        match &self.what {
            What::Number(..) | What::Symbol(_) => {}
            What::Negative(inner) | What::Over(_, inner) => inner.visit(see),
            What::Two(_, a, b) => {
                a.visit(see);
                b.visit(see);
            }
            What::Call(_, arguments) => arguments.iter().for_each(|argument| argument.visit(see)),
        }
    }

    /// The symbols in it, each once, in the order of their declaration.
    pub fn symbols(&self) -> Vec<usize> {
        let mut found = Vec::new();
        self.visit(&mut |node| {
            if let What::Symbol(index) = node.what {
                found.push(index);
            }
        });
        found.sort_unstable();
        found.dedup();
        found
    }

    fn holds(&self, symbol: usize) -> bool {
        self.symbols().contains(&symbol)
    }

    /// Its value where it is made of numbers alone.
    pub fn constant(&self) -> Option<f64> {
        match &self.what {
            What::Number(number, None) => Some(*number),
            What::Negative(inner) => inner.constant().map(|number| -number),
            What::Two(Operator::Divide, a, b) => Some(a.constant()? / b.constant()?),
            _ => None,
        }
    }
}

struct Parser<'a> {
    text: &'a str,
    at: usize,
    symbols: &'a [Declared],
    /// How many `|` are open.
    bars: usize,
    /// Where the part taken last ends.
    last: usize,
}

type Read<T> = Result<T, String>;

impl Parser<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn peek(&mut self) -> Option<char> {
        self.at += self.rest().len() - self.rest().trim_start().len();
        self.rest().chars().next()
    }

    fn take(&mut self, c: char) -> bool {
        let found = self.peek() == Some(c);
        if found {
            self.at += c.len_utf8();
            self.last = self.at;
        }
        found
    }

    fn needs<T>(&mut self, what: &str) -> Read<T> {
        let place = match self.peek() {
            Some(_) => format!("before `{}`", self.rest()),
            None => "at the end".to_owned(),
        };
        Err(format!("{what} is needed {place} of `{}`", self.text))
    }

    fn equation(&mut self) -> Read<(Node, Node)> {
        let left = self.sum()?;
        if !self.take('=') {
            return self.needs("`=`");
        }
        let right = self.sum()?;
        if self.peek().is_some() { self.needs("an operator") } else { Ok((left, right)) }
    }

    fn two(&self, operator: Operator, a: Node, b: Node) -> Node {
        let at = a.at.start..b.at.end;
        Node { what: What::Two(operator, Box::new(a), Box::new(b)), at }
    }

    fn node(&self, start: usize, what: What) -> Node {
        Node { what, at: start..self.last }
    }

    fn sum(&mut self) -> Read<Node> {
        self.peek();
        let start = self.at;
        let negative = self.take('−') || self.take('-');
        let mut sum = self.product()?;
        if negative {
            sum = self.node(start, What::Negative(Box::new(sum)));
        }
        loop {
            let operator = match self.peek() {
                Some('+') => Operator::Add,
                Some('−' | '-') => Operator::Subtract,
                _ => return Ok(sum),
            };
            let _ = self.take('+') || self.take('−') || self.take('-');
            let next = self.product()?;
            sum = self.two(operator, sum, next);
        }
    }

    fn product(&mut self) -> Read<Node> {
        let mut product = self.power()?;
        loop {
            let operator = match self.peek() {
                Some('/') => Operator::Divide,
                Some(c) if c == '·' || c == '×' || self.begins(c) => Operator::Multiply,
                _ => return Ok(product),
            };
            let _ = self.take('/') || self.take('·') || self.take('×');
            let next = self.power()?;
            product = self.two(operator, product, next);
        }
    }

    /// Whether a factor begins with this character.
    fn begins(&self, c: char) -> bool {
        is_name(c) || c.is_ascii_digit() || "(√⌈⌊Σ".contains(c) || c == '|' && self.bars == 0
    }

    fn power(&mut self) -> Read<Node> {
        let base = self.base()?;
        let start = self.at;
        let digits: String = self.rest().chars().map_while(superscript).collect();
        if !digits.is_empty() {
            self.at += self.rest().chars().take_while(|c| superscript(*c).is_some()).map(char::len_utf8).sum::<usize>();
            self.last = self.at;
            let Ok(exponent) = digits.parse::<f64>() else { return self.needs("a whole exponent") };
            let exponent = self.node(start, What::Number(exponent, None));
            return Ok(self.two(Operator::Power, base, exponent));
        }
        if self.rest().starts_with('^') {
            self.at += 1;
            let exponent = self.base()?;
            return Ok(self.two(Operator::Power, base, exponent));
        }
        Ok(base)
    }

    fn base(&mut self) -> Read<Node> {
        let first = self.peek();
        let start = self.at;
        let enclosed = [('⌈', '⌉', Function::Up), ('⌊', '⌋', Function::Down), ('|', '|', Function::Absolute)];
        match first {
            Some('(') => {
                self.take('(');
                let bars = std::mem::take(&mut self.bars);
                let inner = self.sum()?;
                self.bars = bars;
                if !self.take(')') {
                    return self.needs("`)`");
                }
                Ok(Node { what: inner.what, at: start..self.last })
            }
            Some('√') => {
                self.take('√');
                let inner = self.base()?;
                Ok(self.node(start, What::Call(Function::Root, vec![inner])))
            }
            Some('Σ') => {
                self.take('Σ');
                let inner = self.product()?;
                Ok(self.node(start, What::Over(Function::Sum, Box::new(inner))))
            }
            Some(c) if c.is_ascii_digit() => self.number(),
            Some(c) if is_name(c) => self.name(),
            Some(c) => match enclosed.iter().find(|(open, ..)| *open == c) {
                Some((open, close, function)) => {
                    self.take(*open);
                    self.bars += usize::from(c == '|');
                    let inner = self.sum()?;
                    self.bars -= usize::from(c == '|');
                    if !self.take(*close) {
                        return self.needs(&format!("`{close}`"));
                    }
                    Ok(self.node(start, What::Call(*function, vec![inner])))
                }
                None => self.needs("a number, a symbol or a bracket"),
            },
            None => self.needs("a number, a symbol or a bracket"),
        }
    }

    fn number(&mut self) -> Read<Node> {
        let start = self.at;
        let length = self.rest().chars().take_while(|c| c.is_ascii_digit() || *c == '.').count();
        let digits = self.rest().get(..length).unwrap_or_default().to_owned();
        self.at += length;
        self.last = self.at;
        let number: f64 = digits.parse().map_err(|_| format!("`{digits}` is no number"))?;
        if !self.rest().starts_with('[') {
            return Ok(self.node(start, What::Number(number, None)));
        }
        let Some(end) = self.rest().find(']') else { return self.needs("`]` after a unit") };
        let name = self.rest().get(1..end).unwrap_or_default().to_owned();
        let found = unit(&name).ok_or_else(|| format!("unknown unit `{name}`"))?;
        self.at += end + 1;
        self.last = self.at;
        Ok(self.node(start, What::Number(number, Some(found))))
    }

    fn name(&mut self) -> Read<Node> {
        let start = self.at;
        let length: usize = self.rest().chars().take_while(|c| is_part(*c)).map(char::len_utf8).sum();
        let name = self.rest().get(..length).unwrap_or_default().to_owned();
        self.at += length;
        self.last = self.at;
        if let Some(index) = self.symbols.iter().position(|symbol| symbol.printed == name) {
            return Ok(self.node(start, What::Symbol(index)));
        }
        if name == "π" {
            return Ok(self.node(start, What::Number(std::f64::consts::PI, None)));
        }
        let Some((_, function)) = NAMES.iter().find(|(known, _)| *known == name) else {
            return Err(format!("unknown symbol `{name}`"));
        };
        let lists = matches!(function, Function::Min | Function::Max);
        if lists && self.peek() != Some('(') {
            let inner = self.product()?;
            return Ok(self.node(start, What::Over(*function, Box::new(inner))));
        }
        if !self.take('(') {
            return self.needs(&format!("`(` after `{name}`"));
        }
        let bars = std::mem::take(&mut self.bars);
        let mut arguments = vec![self.sum()?];
        while self.take(',') {
            arguments.push(self.sum()?);
        }
        self.bars = bars;
        if !self.take(')') {
            return self.needs("`)`");
        }
        if lists == (arguments.len() < 2) {
            return Err(format!("`{name}` takes {}", if lists { "two values or more" } else { "one value" }));
        }
        Ok(self.node(start, What::Call(*function, arguments)))
    }
}

/// Whether a symbol may begin so.
fn is_name(c: char) -> bool {
    c.is_alphabetic() && superscript(c).is_none()
}

/// Whether a symbol may go on so. A superscript digit is a number to the standard library, and an exponent here.
fn is_part(c: char) -> bool {
    (c.is_alphanumeric() || c == '_' || c == '\'') && superscript(c).is_none()
}

fn superscript(c: char) -> Option<char> {
    let digit = "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|known| known == c);
    match digit {
        Some(digit) => char::from_digit(u32::try_from(digit).ok()?, 10),
        None => (c == '⁻').then_some('-'),
    }
}
