//! Static checks: names that exist, kinds that may meet, words that can occur.

use super::Names;
use super::error::{ExpressionError, did_you_mean, never};
use super::figure::Figure;
use super::kind::{self, Kind};
use super::syntax::{Comparator, Function, NameRef, Node, Over, Part};
use mateline_model::home::Date;

/// The kind of an expression, or everything wrong with it.
pub(super) fn check(text: &str, root: &Node, names: &dyn Names) -> Result<Kind, Vec<ExpressionError>> {
    let mut checker = Checker { text, names, errors: Vec::new() };
    let kind = checker.kind(root);
    if checker.errors.is_empty() {
        return Ok(kind);
    }
    checker.errors.sort_by_key(|error| (error.start, error.end));
    Err(checker.errors)
}

struct Checker<'e> {
    text: &'e str,
    names: &'e dyn Names,
    errors: Vec<ExpressionError>,
}

impl Checker<'_> {
    /// The kind of a piece; [`Kind::Unknown`] when something in it is wrong, which is then in the list.
    fn kind(&mut self, node: &Node) -> Kind {
        match &node.part {
            Part::Number(quantity) => Kind::Number(quantity.dimension),
            Part::Text(word) => Kind::Text(Some(vec![word.clone()])),
            Part::Flag(_) => Kind::Flag,
            Part::Name(name) => self.name(name),
            Part::List(pieces) => Kind::List(Box::new(self.alike("a list", pieces))),
            Part::Call(function, arguments) => self.call(*function, node, arguments),
            Part::Matches(inner, _) => {
                self.text_needed("matches", inner);
                Kind::Flag
            }
            Part::Over(over) => self.over(over),
            Part::Before(inner) => self.kind(inner),
            Part::Negative(inner) => {
                let kind = self.kind(inner);
                self.told(node, kind::unsigned("-", &kind)).map_or(Kind::Unknown, |()| kind)
            }
            Part::Chain(first, rest) => {
                let mut sum = self.kind(first);
                for (operator, piece) in rest {
                    let right = self.kind(piece);
                    let met = kind::compute(&sum, *operator, &right)
                        .map_err(|message| ExpressionError::new(message, node.start, piece.end));
                    sum = match met {
                        Ok(kind) => kind,
                        Err(error) => {
                            self.errors.push(error);
                            Kind::Unknown
                        }
                    };
                }
                sum
            }
            Part::Compare(left, comparator, right) => {
                self.comparison(node, left, *comparator, right);
                Kind::Flag
            }
            Part::Not(inner) => {
                self.condition("not", inner);
                Kind::Flag
            }
            Part::All(pieces) => {
                pieces.iter().for_each(|piece| self.condition("and", piece));
                Kind::Flag
            }
            Part::Any(pieces) => {
                pieces.iter().for_each(|piece| self.condition("or", piece));
                Kind::Flag
            }
        }
    }

    /// The result, or nothing with the message put in the list.
    fn told<T>(&mut self, node: &Node, result: Result<T, String>) -> Option<T> {
        result.map_err(|message| self.errors.push(node.error(message))).ok()
    }

    fn name(&mut self, name: &NameRef) -> Kind {
        match self.names.kind(&name.path, name.of.as_deref()) {
            Ok(kind) => kind,
            Err(near) => {
                let of = name.of.as_ref().map_or_else(String::new, |subject| format!(" of '{subject}'"));
                let hint = did_you_mean(near.first().map(String::as_str));
                let message = format!("unknown name '{}'{of}{hint}", name.path);
                self.errors.push(ExpressionError::new(message, name.start, name.end));
                Kind::Unknown
            }
        }
    }

    fn condition(&mut self, word: &str, node: &Node) {
        let kind = self.kind(node);
        if !matches!(kind, Kind::Flag | Kind::Unknown) {
            self.errors.push(node.error(format!("'{word}' needs true or false, not {kind}")));
        }
    }

    /// The one kind of several pieces.
    fn alike(&mut self, what: &str, pieces: &[Node]) -> Kind {
        let mut common = Kind::Unknown;
        for piece in pieces {
            let kind = self.kind(piece);
            let message = format!("{what} cannot hold both {common} and {kind}");
            match common.clone().with(kind) {
                Some(kind) => common = kind,
                None => self.errors.push(piece.error(message)),
            }
        }
        common
    }

    fn call(&mut self, function: Function, node: &Node, arguments: &[Node]) -> Kind {
        let name = function.name();
        match function {
            Function::Min | Function::Max => {
                let kind = self.alike(&format!("'{name}'"), arguments);
                if !matches!(kind, Kind::Number(_) | Kind::Unknown) {
                    self.errors.push(node.error(format!("'{name}' needs numbers, not {kind}")));
                    return Kind::Unknown;
                }
                kind
            }
            Function::Abs => {
                let kind = self.alike(name, arguments);
                self.told(node, kind::unsigned(name, &kind)).map_or(Kind::Unknown, |()| kind)
            }
            Function::Count => {
                if let [Node { part: Part::Name(NameRef { path, of: None, .. }), .. }] = arguments
                    && self.names.is_section(path)
                {
                    return Kind::PLAIN;
                }
                let kind = self.alike(name, arguments);
                if !matches!(kind, Kind::List(_) | Kind::Unknown) {
                    self.errors.push(node.error(format!("'count' needs a list, not {kind}")));
                }
                Kind::PLAIN
            }
            Function::LeadingNumber => {
                arguments.iter().for_each(|argument| self.text_needed(name, argument));
                Kind::PLAIN
            }
            Function::Begins | Function::Ends | Function::Matches => {
                arguments.iter().for_each(|argument| self.text_needed(name, argument));
                Kind::Flag
            }
            Function::Common | Function::Distinct => {
                let kind = self.alike(&format!("'{name}'"), arguments);
                if !matches!(kind, Kind::List(_) | Kind::Unknown) {
                    self.errors.push(node.error(format!("'{name}' needs a list, not {kind}")));
                    return Kind::Unknown;
                }
                kind
            }
            // Each stands for itself in the tree.
            Function::Before => Kind::Unknown,
            Function::Given => {
                self.alike(name, arguments);
                Kind::Flag
            }
        }
    }

    fn text_needed(&mut self, what: &str, node: &Node) {
        let kind = self.kind(node);
        if !matches!(kind, Kind::Text(_) | Kind::Unknown) {
            self.errors.push(node.error(format!("'{what}' needs text, not {kind}")));
        }
    }

    fn over(&mut self, over: &Over) -> Kind {
        let inner = match self.names.within(&over.section) {
            Ok(names) => names,
            Err(message) => {
                self.errors.push(ExpressionError::new(message, over.at.0, over.at.1));
                return Kind::Unknown;
            }
        };
        let mut within = Checker { text: self.text, names: &*inner, errors: Vec::new() };
        if let Some(filter) = &over.filter {
            within.condition("where", filter);
        }
        if let Some(weight) = &over.weight {
            let kind = within.kind(weight);
            within.told(weight, kind::unsigned("weighted_by", &kind));
        }
        let name = over.figure.name();
        let kind = match (&over.of, over.figure) {
            (None, Figure::Count) => Kind::PLAIN,
            (None, _) => Kind::Flag,
            (Some(of), Figure::All) => {
                within.condition(name, of);
                Kind::Flag
            }
            (Some(of), figure) => match within.kind(of) {
                Kind::Number(dimension) if figure == Figure::Sum && dimension.point => {
                    within.errors.push(of.error("temperatures on a scale have no sum"));
                    Kind::Unknown
                }
                kind @ (Kind::Number(_) | Kind::Unknown) => kind,
                Kind::Date if matches!(figure, Figure::Min | Figure::Max) => Kind::Date,
                kind => {
                    within.errors.push(of.error(format!("'{name}' needs numbers, not {kind}")));
                    Kind::Unknown
                }
            },
        };
        self.errors.append(&mut within.errors);
        kind
    }

    fn comparison(&mut self, node: &Node, left: &Node, comparator: Comparator, right: &Node) {
        let (mut a, mut b) = (self.kind(left), self.kind(right));
        // A text written where a date is meant is one.
        match (&a, &b) {
            (Kind::Date, Kind::Text(_)) if self.all_dates(right) => b = Kind::Date,
            (Kind::Text(_), Kind::Date) if self.all_dates(left) => a = Kind::Date,
            (Kind::Date, Kind::List(kind)) if matches!(**kind, Kind::Text(_)) && self.all_dates(right) => {
                b = Kind::List(Box::new(Kind::Date));
            }
            _ => {}
        }
        if self.told(node, kind::compare(&a, comparator, &b)).is_some() {
            self.words(left, &a, right);
            self.words(right, element(&b), left);
        }
    }

    /// Whether a piece holds nothing but written texts, each of which must then be a date.
    fn all_dates(&mut self, node: &Node) -> bool {
        match &node.part {
            Part::Text(text) => {
                self.told(node, text.parse::<Date>());
                true
            }
            Part::List(pieces) => pieces.iter().all(|piece| self.all_dates(piece)),
            _ => false,
        }
    }

    /// Tells of every written text that can never equal a value of the other side.
    fn words(&mut self, side: &Node, kind: &Kind, written: &Node) {
        let Kind::Text(Some(words)) = kind else { return };
        match (&side.part, &written.part) {
            // Two written texts are the author's own affair.
            (Part::Text(_) | Part::List(_), _) => {}
            (_, Part::List(pieces)) => pieces.iter().for_each(|piece| self.words(side, kind, piece)),
            (_, Part::Text(word)) if !words.contains(word) => {
                let what = self.text.get(side.start..side.end).unwrap_or_default();
                self.errors.push(written.error(never(word, what, words)));
            }
            _ => {}
        }
    }
}

/// The kind of a list's values; of anything else its own.
fn element(kind: &Kind) -> &Kind {
    if let Kind::List(inner) = kind { inner } else { kind }
}
