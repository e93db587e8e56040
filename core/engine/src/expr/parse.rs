//! Tokens to tree, by the grammar of [`super::syntax`]: one method for each of its lines.
//!
//! Rows (`a + b + c`) are loops and nesting is recursion, counted by [`Reader::nested`], so a long text needs no deep
//! stack.

use super::DEEPEST;
use super::error::{ExpressionError, did_you_mean, nearest};
use super::figure::Figure;
use super::lex::{Lexeme, Token};
use super::pattern::Pattern;
use super::syntax::{Arithmetic, Comparator, Function, NameRef, Node, Over, Part, Sign, THIS};
use winnow::Parser;
use winnow::error::EmptyError;
use winnow::stream::TokenSlice;
use winnow::token::any;

/// The tree of an expression.
///
/// # Errors
/// The first token in a wrong place, and every call with wrong arguments before it.
pub(super) fn expression(text: &str, tokens: &[Token]) -> Result<Node, Vec<ExpressionError>> {
    if tokens.is_empty() {
        return Err(vec![ExpressionError::new("the expression is empty", 0, text.len())]);
    }
    let mut reader = Reader { text, tokens: TokenSlice::new(tokens), depth: 0, in_figure: false, errors: Vec::new() };
    let read = reader.expression().and_then(|root| if reader.at_end() { Ok(root) } else { reader.unexpected() });
    match read {
        Ok(root) if reader.errors.is_empty() => Ok(root),
        Ok(_) => Err(reader.errors),
        Err(error) => {
            reader.errors.push(error);
            Err(reader.errors)
        }
    }
}

struct Reader<'t> {
    text: &'t str,
    tokens: TokenSlice<'t, Token>,
    depth: usize,
    /// Whether the elements of a section are gone through here.
    in_figure: bool,
    /// Mistakes after which reading goes on.
    errors: Vec<ExpressionError>,
}

type Read<T> = Result<T, ExpressionError>;

impl<'t> Reader<'t> {
    /// `expression = all { "or" all }`
    fn expression(&mut self) -> Read<Node> {
        Ok(joined(self.row(Reader::all, Sign::Or)?, Part::Any))
    }

    /// `all = negation { "and" negation }`
    fn all(&mut self) -> Read<Node> {
        Ok(joined(self.row(Reader::negation, Sign::And)?, Part::All))
    }

    /// One piece or more, with a sign between them.
    fn row(&mut self, piece: fn(&mut Self) -> Read<Node>, between: Sign) -> Read<Vec<Node>> {
        let mut pieces = vec![piece(self)?];
        while self.take(between).is_some() {
            pieces.push(piece(self)?);
        }
        Ok(pieces)
    }

    /// `negation = "not" negation | comparison`
    fn negation(&mut self) -> Read<Node> {
        let Some(token) = self.take(Sign::Not) else {
            return self.comparison();
        };
        let inner = self.nested(Reader::negation)?;
        let end = inner.end;
        Ok(Node::new(Part::Not(Box::new(inner)), token.start, end))
    }

    /// `comparison = sum [ comparator sum ]`
    fn comparison(&mut self) -> Read<Node> {
        let left = self.sum()?;
        let Some((comparator, _)) = self.comparator() else {
            return Ok(left);
        };
        let right = self.sum()?;
        if let Some((_, token)) = self.comparator() {
            return wrong("comparisons do not chain (join two with 'and')", token.start, token.end);
        }
        let (start, end) = (left.start, right.end);
        Ok(Node::new(Part::Compare(Box::new(left), comparator, Box::new(right)), start, end))
    }

    /// `sum = product { ("+" | "-") product }`
    fn sum(&mut self) -> Read<Node> {
        self.chain(Reader::product, [Arithmetic::Plus, Arithmetic::Minus])
    }

    /// `product = signed { ("*" | "/") signed }`
    fn product(&mut self) -> Read<Node> {
        self.chain(Reader::signed, [Arithmetic::Times, Arithmetic::Over])
    }

    fn chain(&mut self, piece: fn(&mut Self) -> Read<Node>, operators: [Arithmetic; 2]) -> Read<Node> {
        let first = piece(self)?;
        let mut rest = Vec::new();
        while let Some(operator) = self.operator(operators) {
            rest.push((operator, piece(self)?));
        }
        let Some((_, last)) = rest.last() else {
            return Ok(first);
        };
        let (start, end) = (first.start, last.end);
        Ok(Node::new(Part::Chain(Box::new(first), rest), start, end))
    }

    /// `signed = "-" signed | value`
    fn signed(&mut self) -> Read<Node> {
        let Some(token) = self.take(Sign::Arithmetic(Arithmetic::Minus)) else {
            return self.value();
        };
        let inner = self.nested(Reader::signed)?;
        let end = inner.end;
        Ok(Node::new(Part::Negative(Box::new(inner)), token.start, end))
    }

    /// `value = quantity | text | "true" | "false" | name [ "of" subject ] | call | figure | list | "(" expression ")"`
    fn value(&mut self) -> Read<Node> {
        let Some(token) = self.take_where(Some) else {
            return self.wrong_here(|_| "a value is missing at the end".to_owned());
        };
        let part = match &token.lexeme {
            Lexeme::Number(quantity) => Part::Number(*quantity),
            Lexeme::Text(text) => Part::Text(text.clone()),
            Lexeme::Sign(Sign::True) => Part::Flag(true),
            Lexeme::Sign(Sign::False) => Part::Flag(false),
            Lexeme::Name(name) => match self.take(Sign::Open) {
                Some(open) => return self.call(name, token, open),
                None => return self.name(name, token),
            },
            Lexeme::Sign(Sign::OpenList) => {
                let (pieces, end) = self.pieces(token, Sign::CloseList)?;
                return Ok(Node::new(Part::List(pieces), token.start, end));
            }
            Lexeme::Sign(Sign::Open) => {
                let inner = self.nested(Reader::expression)?;
                let end = self.close(token, Sign::Close)?;
                return Ok(Node { start: token.start, end, ..inner });
            }
            Lexeme::Sign(_) => {
                let message = format!("a value is missing before {}", token.quoted(self.text));
                return wrong(message, token.start, token.end);
            }
        };
        Ok(Node::new(part, token.start, token.end))
    }

    /// `name [ "of" subject ]`
    fn name(&mut self, path: &str, token: &Token) -> Read<Node> {
        let own = path.strip_prefix("its.").or_else(|| path.strip_prefix(THIS).filter(|_| !self.in_figure));
        let path = own.unwrap_or(path).to_owned();
        let mut name = NameRef { path, of: None, start: token.start, end: token.end };
        if self.take(Sign::Of).is_some() {
            let subject = self.take_where(|token| match &token.lexeme {
                Lexeme::Text(word) => Some((word, true, token)),
                Lexeme::Name(word) => Some((word, !word.contains('.'), token)),
                _ => None,
            });
            let Some((subject, plain, token)) = subject else {
                return self.wrong_here(|written| format!("'of' needs a subject after it, not {written}"));
            };
            if !plain {
                let message = format!("a subject with a dot stands in quotes: '{subject}'");
                return wrong(message, token.start, token.end);
            }
            name.of = Some(subject.clone());
            name.end = token.end;
        }
        let (start, end) = (name.start, name.end);
        Ok(Node::new(Part::Name(name), start, end))
    }

    /// `call = function "(" expression { "," expression } ")"`, or a figure.
    fn call(&mut self, name: &str, token: &Token, open: &Token) -> Read<Node> {
        if let Some(figure) = Figure::ALL.into_iter().find(|figure| figure.name() == name)
            && self.is_figure(figure)
        {
            return self.figure(figure, token, open);
        }
        let place = self.errors.len();
        let (mut arguments, end) = self.pieces(open, Sign::Close)?;
        let mut wrong = |message: String, start: usize, end: usize| {
            self.errors.insert(place, ExpressionError::new(message, start, end));
        };
        let Some((function, _)) = Function::ALL.iter().find(|(_, known)| *known == name) else {
            let known = Function::ALL.iter().map(|(_, known)| *known);
            let near = nearest(name, known.chain(Figure::ALL.iter().map(|figure| figure.name())));
            let message =
                format!("unknown function '{name}'{}; 'mateline rules language' lists them", did_you_mean(near));
            wrong(message, token.start, token.end);
            // Stands in for the call, which is never evaluated.
            return Ok(Node::new(Part::List(arguments), token.start, end));
        };
        if let Some(message) = function.refuses(&arguments) {
            wrong(message, token.start, end);
        }
        let part = match (function, arguments.as_mut_slice()) {
            (Function::Matches, [text, Node { part: Part::Text(pattern), start, end }]) => {
                match Pattern::new(pattern) {
                    Ok(pattern) => Part::Matches(Box::new(text.clone()), pattern),
                    Err(message) => {
                        wrong(message, *start, *end);
                        Part::Flag(false)
                    }
                }
            }
            (Function::Before, [inner]) => Part::Before(Box::new(inner.clone())),
            _ => Part::Call(*function, arguments),
        };
        Ok(Node::new(part, token.start, end))
    }

    /// Whether what has just been opened is a figure over a section: what is no function always is, what can be both where
    /// one of a figure's words stands in it.
    fn is_figure(&self, figure: Figure) -> bool {
        if !matches!(figure, Figure::Count | Figure::Min | Figure::Max) {
            return true;
        }
        let mut depth = 0;
        for token in self.tokens.iter() {
            match &token.lexeme {
                Lexeme::Sign(Sign::Open | Sign::OpenList) => depth += 1,
                Lexeme::Sign(Sign::Close | Sign::CloseList) if depth == 0 => return false,
                Lexeme::Sign(Sign::Close | Sign::CloseList) => depth -= 1,
                Lexeme::Name(name) if depth == 0 && matches!(name.as_str(), "over" | "where") => return true,
                _ => {}
            }
        }
        false
    }

    /// `figure = figures "(" [ expression "over" ] section [ "where" expression ] [ "weighted_by" expression ] ")"`
    fn figure(&mut self, figure: Figure, token: &Token, open: &Token) -> Read<Node> {
        if std::mem::replace(&mut self.in_figure, true) {
            return wrong("a figure over a section cannot stand within another", token.start, token.end);
        }
        let read = self.figure_within(figure, token, open);
        self.in_figure = false;
        read
    }

    fn figure_within(&mut self, figure: Figure, token: &Token, open: &Token) -> Read<Node> {
        let of = if figure.has_value() { Some(self.nested(Reader::expression)?) } else { None };
        if of.is_some() && !self.word("over") {
            return self.wrong_here(|written| format!("unexpected {written}: it is written {}", figure.form()));
        }
        let section = self.take_where(|token| match &token.lexeme {
            Lexeme::Name(name) => Some((name, token)),
            _ => None,
        });
        let Some((section, at)) = section else {
            return self.wrong_here(|written| {
                format!("a section is missing before {written}: it is written {}", figure.form())
            });
        };
        let filter = if self.word("where") { Some(self.nested(Reader::expression)?) } else { None };
        let weight = match figure == Figure::Mean && self.word("weighted_by") {
            true => Some(self.nested(Reader::expression)?),
            false => None,
        };
        let end = self.close(open, Sign::Close)?;
        let over = Over { figure, of, section: section.clone(), at: (at.start, at.end), filter, weight };
        Ok(Node::new(Part::Over(Box::new(over)), token.start, end))
    }

    /// Takes a word that is one within figures only.
    fn word(&mut self, word: &str) -> bool {
        self.take_where(|token| matches!(&token.lexeme, Lexeme::Name(name) if name == word).then_some(())).is_some()
    }

    /// Expressions with commas between them, to the closing mark; they may be none.
    fn pieces(&mut self, open: &Token, closing: Sign) -> Read<(Vec<Node>, usize)> {
        if let Some(token) = self.take(closing) {
            return Ok((Vec::new(), token.end));
        }
        let pieces = self.nested(|reader| reader.row(Reader::expression, Sign::Comma))?;
        Ok((pieces, self.close(open, closing)?))
    }

    /// The end of the closing mark that must stand here.
    fn close(&mut self, open: &Token, closing: Sign) -> Read<usize> {
        match self.take(closing) {
            Some(token) => Ok(token.end),
            None if self.at_end() => wrong(format!("{} is not closed", open.quoted(self.text)), open.start, open.end),
            None => self.unexpected(),
        }
    }

    /// Reads something one level further down.
    fn nested<T>(&mut self, inner: fn(&mut Self) -> Read<T>) -> Read<T> {
        if self.depth >= DEEPEST {
            return self.wrong_here(|_| format!("the expression nests more than {DEEPEST} deep"));
        }
        self.depth += 1;
        let read = inner(self);
        self.depth -= 1;
        read
    }

    /// Whatever may stand here, if it does.
    fn take_where<T>(&mut self, wanted: impl FnMut(&'t Token) -> Option<T>) -> Option<T> {
        any::<_, EmptyError>.verify_map(wanted).parse_next(&mut self.tokens).ok()
    }

    fn take(&mut self, wanted: Sign) -> Option<&'t Token> {
        self.take_where(|token| (token.lexeme == Lexeme::Sign(wanted)).then_some(token))
    }

    fn operator(&mut self, wanted: [Arithmetic; 2]) -> Option<Arithmetic> {
        self.take_where(|token| match token.lexeme {
            Lexeme::Sign(Sign::Arithmetic(operator)) if wanted.contains(&operator) => Some(operator),
            _ => None,
        })
    }

    fn comparator(&mut self) -> Option<(Comparator, &'t Token)> {
        self.take_where(|token| match token.lexeme {
            Lexeme::Sign(Sign::Comparator(comparator)) => Some((comparator, token)),
            _ => None,
        })
    }

    fn at_end(&self) -> bool {
        self.tokens.is_empty()
    }

    fn unexpected<T>(&self) -> Read<T> {
        self.wrong_here(|written| format!("unexpected {written}"))
    }

    /// An error about the token at hand, or about the end of the text.
    fn wrong_here<T>(&self, message: impl FnOnce(&str) -> String) -> Read<T> {
        match self.tokens.first() {
            Some(token) => wrong(message(&token.quoted(self.text)), token.start, token.end),
            None => wrong(message("the end"), self.text.trim_end().len(), self.text.len()),
        }
    }
}

/// One piece as it is, several as one node.
fn joined(mut pieces: Vec<Node>, part: fn(Vec<Node>) -> Part) -> Node {
    let (start, end) = (pieces.first().map_or(0, |piece| piece.start), pieces.last().map_or(0, |piece| piece.end));
    match pieces.pop() {
        Some(only) if pieces.is_empty() => only,
        last => {
            pieces.extend(last);
            Node::new(part(pieces), start, end)
        }
    }
}

fn wrong<T>(message: impl Into<String>, start: usize, end: usize) -> Read<T> {
    Err(ExpressionError::new(message, start, end))
}
