//! From tree and data to a value, to what is missing, or to why it cannot be worked out.
//!
//! Operands are all evaluated; a failure outweighs missing data, because it stays when the data come. Only a side of
//! `and` or `or` that settles the matter outweighs both.

use super::kind::{self, Kind};
use super::syntax::{Arithmetic, Comparator, Function, NameRef, Node, Part};
use super::{Evaluation, Item, Lookup, Scope};
use mateline_model::home::Date;
use mateline_model::quantity::Quantity;

pub(super) fn evaluate(node: &Node, scope: &dyn Scope) -> Evaluation {
    settle(work_out(node, scope))
}

/// Why there is no value.
enum Lack {
    Missing(Vec<String>),
    Failed(String),
}

type Worked = Result<Item, Lack>;

fn settle(worked: Worked) -> Evaluation {
    match worked {
        Ok(item) => Evaluation::Known(item),
        Err(Lack::Missing(missing)) => Evaluation::Unknown(missing),
        Err(Lack::Failed(why)) => Evaluation::Failed(why),
    }
}

fn failed<T>(why: impl Into<String>) -> Result<T, Lack> {
    Err(Lack::Failed(why.into()))
}

fn work_out(node: &Node, scope: &dyn Scope) -> Worked {
    match &node.part {
        Part::Number(quantity) => Ok(Item::Number(*quantity)),
        Part::Text(text) => Ok(Item::Text(text.clone())),
        Part::Flag(flag) => Ok(Item::Flag(*flag)),
        Part::Name(name) => look_up(name, scope),
        Part::List(pieces) => Ok(Item::List(all_of(pieces.iter().map(|piece| work_out(piece, scope)))?)),
        Part::Call(function, arguments) => call(*function, arguments, scope),
        Part::Negative(inner) => {
            let item = work_out(inner, scope)?;
            let quantity = signed("-", &item)?;
            Ok(Item::Number(Quantity { si: -quantity.si, ..quantity }))
        }
        Part::Chain(first, rest) => chain(first, rest, scope),
        Part::Compare(left, Comparator::In, right) => membership(left, right, scope),
        Part::Compare(left, comparator, right) => {
            let (left, right) = both(work_out(left, scope), work_out(right, scope))?;
            compare(&left, *comparator, &right).map(Item::Flag)
        }
        Part::Not(inner) => match work_out(inner, scope)? {
            Item::Flag(flag) => Ok(Item::Flag(!flag)),
            other => failed(format!("'not' needs true or false, not {}", Kind::of(&other))),
        },
        Part::All(pieces) => junction("and", false, pieces.iter().map(|piece| work_out(piece, scope))),
        Part::Any(pieces) => junction("or", true, pieces.iter().map(|piece| work_out(piece, scope))),
    }
}

fn look_up(name: &NameRef, scope: &dyn Scope) -> Worked {
    match scope.look_up(&name.path, name.of.as_deref()) {
        Lookup::Found(Item::Number(quantity)) if !quantity.si.is_finite() => {
            failed(format!("{name} is not a finite number"))
        }
        Lookup::Found(item) => Ok(item),
        Lookup::Missing(why) => Err(Lack::Missing(vec![why])),
        Lookup::Absent => Err(Lack::Missing(vec![format!("{name} is not given")])),
    }
}

/// Every value, or the first failure, or everything that is missing.
fn all_of(results: impl Iterator<Item = Worked>) -> Result<Vec<Item>, Lack> {
    let mut items = Vec::new();
    let mut missing = Vec::new();
    let mut failure = None;
    for result in results {
        match result {
            Ok(item) => items.push(item),
            Err(Lack::Missing(more)) => add(&mut missing, more),
            Err(Lack::Failed(why)) => failure = failure.or(Some(why)),
        }
    }
    match failure {
        Some(why) => failed(why),
        None if missing.is_empty() => Ok(items),
        None => Err(Lack::Missing(missing)),
    }
}

fn both(left: Worked, right: Worked) -> Result<(Item, Item), Lack> {
    match (left, right) {
        (Ok(left), Ok(right)) => Ok((left, right)),
        (Err(Lack::Missing(mut missing)), Err(Lack::Missing(more))) => {
            add(&mut missing, more);
            Err(Lack::Missing(missing))
        }
        (Err(failure @ Lack::Failed(_)), _) | (_, Err(failure @ Lack::Failed(_))) => Err(failure),
        (Err(lack), Ok(_)) | (Ok(_), Err(lack)) => Err(lack),
    }
}

fn add(missing: &mut Vec<String>, more: Vec<String>) {
    for why in more {
        if !missing.contains(&why) {
            missing.push(why);
        }
    }
}

/// Kleene's strong `and` (`settling` false) and `or` (`settling` true).
fn junction(word: &str, settling: bool, results: impl Iterator<Item = Worked>) -> Worked {
    let mut settled = false;
    let flags = results.map(|result| match result? {
        Item::Flag(flag) => {
            settled |= flag == settling;
            Ok(Item::Flag(flag))
        }
        other => failed(format!("'{word}' needs true or false, not {}", Kind::of(&other))),
    });
    let rest = all_of(flags);
    if settled { Ok(Item::Flag(settling)) } else { rest.map(|_| Item::Flag(!settling)) }
}

fn chain(first: &Node, rest: &[(Arithmetic, Node)], scope: &dyn Scope) -> Worked {
    let mut sum = work_out(first, scope);
    for (operator, piece) in rest {
        sum = both(sum, work_out(piece, scope)).and_then(|(left, right)| compute(&left, *operator, &right));
    }
    sum
}

fn compute(left: &Item, operator: Arithmetic, right: &Item) -> Worked {
    let kind = kind::compute(&Kind::of(left), operator, &Kind::of(right)).map_err(Lack::Failed)?;
    let (Item::Number(a), Item::Number(b), Kind::Number(dimension)) = (left, right, kind) else {
        return failed("numbers are needed");
    };
    let si = match operator {
        Arithmetic::Plus => a.si + b.si,
        Arithmetic::Minus => a.si - b.si,
        Arithmetic::Times => a.si * b.si,
        Arithmetic::Over if b.si == 0.0 => return failed("division by zero"),
        Arithmetic::Over => a.si / b.si,
    };
    if si.is_finite() {
        Ok(Item::Number(Quantity::new(si, dimension)))
    } else {
        failed("the result is too large to reckon with")
    }
}

/// A number that may change its sign.
fn signed(what: &str, item: &Item) -> Result<Quantity, Lack> {
    kind::unsigned(what, &Kind::of(item)).map_err(Lack::Failed)?;
    if let Item::Number(quantity) = item { Ok(*quantity) } else { failed("a number is needed") }
}

fn compare(left: &Item, comparator: Comparator, right: &Item) -> Result<bool, Lack> {
    let (left, right) = (as_date(left, right), as_date(right, left));
    kind::compare(&Kind::of(&left), comparator, &Kind::of(&right)).map_err(Lack::Failed)?;
    let order = match (&left, &right) {
        (Item::Number(a), Item::Number(b)) => a.si.partial_cmp(&b.si),
        (Item::Text(a), Item::Text(b)) | (Item::Date(a), Item::Date(b)) => Some(a.cmp(b)),
        (Item::Flag(a), Item::Flag(b)) => Some(a.cmp(b)),
        _ => None,
    };
    let Some(order) = order else { return failed(format!("'{}' has nothing to compare", comparator.sign())) };
    Ok(match comparator {
        Comparator::Equal | Comparator::In => order.is_eq(),
        Comparator::Unequal => order.is_ne(),
        Comparator::Below => order.is_lt(),
        Comparator::AtMost => order.is_le(),
        Comparator::Above => order.is_gt(),
        Comparator::AtLeast => order.is_ge(),
    })
}

/// A text that is a date, where it meets one.
fn as_date(item: &Item, other: &Item) -> Item {
    match (item, other) {
        (Item::Text(text), Item::Date(_)) if text.parse::<Date>().is_ok() => Item::Date(text.clone()),
        _ => item.clone(),
    }
}

/// `x in [a, b]` is `x == a or x == b`, three-valued. With `x` missing it is unknown whatever the list.
fn membership(left: &Node, right: &Node, scope: &dyn Scope) -> Worked {
    let left = work_out(left, scope);
    let values = match &right.part {
        Part::List(pieces) => pieces.iter().map(|piece| work_out(piece, scope)).collect(),
        _ => match work_out(right, scope) {
            Ok(Item::List(items)) => items.into_iter().map(Ok).collect(),
            Ok(other) => return failed(format!("'in' needs a list after it, not {}", Kind::of(&other))),
            Err(lack) => vec![Err(lack)],
        },
    };
    let left = match left {
        Ok(item) => item,
        Err(lack) => return both(Err(lack), all_of(values.into_iter()).map(Item::List)).map(|(item, _)| item),
    };
    let equal = |value: Worked| value.and_then(|value| compare_member(&left, &value).map(Item::Flag));
    junction("in", true, values.into_iter().map(equal))
}

fn compare_member(left: &Item, value: &Item) -> Result<bool, Lack> {
    match (left, value) {
        (Item::List(_), _) | (_, Item::List(_)) => failed("'in' cannot look for a list in a list"),
        _ => compare(left, Comparator::Equal, value),
    }
}

fn call(function: Function, arguments: &[Node], scope: &dyn Scope) -> Worked {
    if let (Function::Given, [Node { part: Part::Name(name), .. }]) = (function, arguments) {
        return Ok(Item::Flag(matches!(scope.look_up(&name.path, name.of.as_deref()), Lookup::Found(_))));
    }
    let items = all_of(arguments.iter().map(|argument| work_out(argument, scope)))?;
    match (function, items.as_slice()) {
        (Function::Min | Function::Max, [first, rest @ ..]) => extreme(function, first, rest),
        (Function::Abs, [item]) => {
            let quantity = signed("abs", item)?;
            Ok(Item::Number(Quantity { si: quantity.si.abs(), ..quantity }))
        }
        (Function::Count, [Item::List(items)]) => Ok(Item::Number(Quantity::plain(items.len() as f64))),
        (Function::Count, [other]) => failed(format!("'count' needs a list, not {}", Kind::of(other))),
        (Function::LeadingNumber, [Item::Text(text)]) => leading_number(text),
        (Function::LeadingNumber, [other]) => failed(format!("'leading_number' needs text, not {}", Kind::of(other))),
        _ => failed(format!("'{}' cannot take {} arguments", function.name(), items.len())),
    }
}

fn extreme(function: Function, first: &Item, rest: &[Item]) -> Worked {
    let needs_numbers =
        |item: &Item| Lack::Failed(format!("'{}' needs numbers, not {}", function.name(), Kind::of(item)));
    let &Item::Number(mut best) = first else { return Err(needs_numbers(first)) };
    for item in rest {
        let Item::Number(next) = item else { return Err(needs_numbers(item)) };
        if next.dimension != best.dimension {
            let (a, b) = (Kind::of(first), Kind::of(item));
            return failed(format!("'{}' cannot hold both {a} and {b}", function.name()));
        }
        let better = if function == Function::Min { next.si < best.si } else { next.si > best.si };
        if better {
            best = *next;
        }
    }
    Ok(Item::Number(best))
}

/// The number a text begins with, digits and one point: 6 of `6A`, 2.5 of `2.5 in`.
fn leading_number(text: &str) -> Worked {
    let mut points = 0;
    let reach = text.find(|c: char| {
        points += usize::from(c == '.');
        !(c.is_ascii_digit() || c == '.' && points == 1)
    });
    let digits = text.get(..reach.unwrap_or(text.len())).unwrap_or_default();
    match digits.parse::<f64>() {
        Ok(number) if number.is_finite() && digits.starts_with(|c: char| c.is_ascii_digit()) => {
            Ok(Item::Number(Quantity::plain(number)))
        }
        _ => failed(format!("'{text}' does not begin with a number")),
    }
}
