//! From tree and data to a value, to what is missing, or to why it cannot be worked out.
//!
//! Operands are all evaluated; a failure outweighs missing data, because it stays when the data come. Only a side of
//! `and` or `or` that settles the matter outweighs both.

use super::figure::{self, Figure};
use super::kind::{self, Kind};
use super::syntax::{Arithmetic, Comparator, Function, NameRef, Node, Over, Part, THIS};
use super::{Evaluation, Item, Join, Lookup, Scope, Within};
use indexmap::IndexSet;
use mateline_model::home::Date;
use mateline_model::quantity::{Dimension, Quantity};

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
        Part::Matches(inner, pattern) => match work_out(inner, scope)? {
            Item::Text(text) => Ok(Item::Flag(pattern.fits(&text))),
            other => failed(format!("'matches' needs text, not {}", Kind::of(&other))),
        },
        Part::Over(over) => over_section(over, scope),
        Part::Before(inner) => match scope.former() {
            Ok(former) => work_out(inner, &*former).map_err(|lack| match lack {
                Lack::Missing(missing) => {
                    Lack::Missing(missing.into_iter().map(|what| format!("in the former revision {what}")).collect())
                }
                failed => failed,
            }),
            Err(why) => Err(Lack::Missing(vec![why])),
        },
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
fn all_of<T>(results: impl Iterator<Item = Result<T, Lack>>) -> Result<Vec<T>, Lack> {
    let mut items = Vec::new();
    let mut missing = IndexSet::new();
    let mut failure = None;
    for result in results {
        match result {
            Ok(item) => items.push(item),
            Err(Lack::Missing(more)) => missing.extend(more),
            Err(Lack::Failed(why)) => failure = failure.or(Some(why)),
        }
    }
    match failure {
        Some(why) => failed(why),
        None if missing.is_empty() => Ok(items),
        None => Err(Lack::Missing(missing.into_iter().collect())),
    }
}

fn both<T>(left: Result<T, Lack>, right: Worked) -> Result<(T, Item), Lack> {
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

/// Goes through the elements of a section.
fn over_section(over: &Over, scope: &dyn Scope) -> Worked {
    let elements = match scope.within(&over.section, join(over, scope).as_ref()) {
        Within::Elements(elements) => elements,
        // Nothing is counted where nothing is said of it.
        Within::Absent(_) if over.figure == Figure::Count => Vec::new(),
        Within::Absent(why) => return Err(Lack::Missing(vec![why])),
        Within::Failed(why) => return failed(why),
    };
    let elements = elements.iter().map(|element| &**element);
    let counts = |element: &dyn Scope| over.filter.as_ref().map_or(Ok(Item::Flag(true)), |it| work_out(it, element));
    match over.figure {
        Figure::Any | Figure::None => {
            let found = junction("where", true, elements.map(|element| named(element, counts(element))))?;
            Ok(Item::Flag((found == Item::Flag(true)) == (over.figure == Figure::Any)))
        }
        Figure::All => {
            let holds = |element: &dyn Scope| over.of.as_ref().map_or(Ok(Item::Flag(true)), |of| work_out(of, element));
            let either = |element: &dyn Scope| {
                let left_out =
                    counts(element).map(|item| if let Item::Flag(flag) = item { Item::Flag(!flag) } else { item });
                junction("all", true, [left_out, holds(element)].into_iter())
            };
            junction("all", false, elements.map(|element| named(element, either(element))))
        }
        _ => {
            let value = |element: &dyn Scope| {
                match counts(element)? {
                    Item::Flag(true) => {}
                    Item::Flag(false) => return Ok(None),
                    other => return failed(format!("'where' needs true or false, not {}", Kind::of(&other))),
                }
                let one = || Ok(Item::Number(Quantity::plain(1.0)));
                let value = over.of.as_ref().map_or_else(one, |of| work_out(of, element));
                let weight = over.weight.as_ref().map_or_else(one, |weight| work_out(weight, element));
                match both(value, weight)? {
                    (value, Item::Number(weight)) => Ok(Some((value, weight.si))),
                    (_, other) => failed(format!("'weighted_by' needs numbers, not {}", Kind::of(&other))),
                }
            };
            let values = all_of(elements.map(|element| named(element, value(element))))?;
            let values: Vec<(Item, f64)> = values.into_iter().flatten().collect();
            if over.figure == Figure::Count {
                return Ok(Item::Number(Quantity::plain(values.len() as f64)));
            }
            figure::of(over.figure, &values)
                .or_else(|why| failed(format!("{} over {}: {why}", over.figure.name(), over.section)))
        }
    }
}

/// The words that a field of the elements may be, where the figure says so.
fn join<'o>(over: &'o Over, scope: &dyn Scope) -> Option<Join<'o>> {
    let (field, outer) = over.joined_by()?;
    let word = |item: Item| if let Item::Text(word) = item { Some(word) } else { None };
    // What is judged is here the scope itself: only its elements call it so.
    let words = match scope.look_up(outer.path.strip_prefix(THIS)?, None) {
        Lookup::Found(Item::List(items)) => items.into_iter().map(word).collect::<Option<Vec<String>>>()?,
        Lookup::Found(item) => vec![word(item)?],
        _ => return None,
    };
    Some(Join { field, words })
}

/// What is missing of an element, or fails, with its name.
fn named<T>(element: &dyn Scope, found: Result<T, Lack>) -> Result<T, Lack> {
    let Some(name) = element.name() else { return found };
    let named = |what: String| if what.contains(name) { what } else { format!("{name}: {what}") };
    found.map_err(|lack| match lack {
        Lack::Missing(missing) => Lack::Missing(missing.into_iter().map(named).collect()),
        Lack::Failed(why) => Lack::Failed(named(why)),
    })
}

fn compute(left: &Item, operator: Arithmetic, right: &Item) -> Worked {
    let kind = kind::compute(&Kind::of(left), operator, &Kind::of(right)).map_err(Lack::Failed)?;
    if let Item::Date(date) = left {
        return from_date(date, operator, right);
    }
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

/// The time between two dates, or the date so many whole days after or before one.
fn from_date(date: &str, operator: Arithmetic, right: &Item) -> Worked {
    const DAY: f64 = 86_400.0;
    let parse = |text: &str| text.parse::<Date>().map_err(Lack::Failed);
    let date = parse(date)?;
    match right {
        Item::Date(other) => {
            let days = parse(other)?.days_until(date);
            Ok(Item::Number(Quantity::new(f64::from(days) * DAY, Dimension::TIME)))
        }
        Item::Number(time) => {
            let days = if operator == Arithmetic::Minus { -time.si } else { time.si } / DAY;
            let moved = date.after_days(days.round());
            moved.map_or_else(|| failed("the date is out of reach"), |date| Ok(Item::Date(date.to_string())))
        }
        other => failed(format!("a date cannot meet {}", Kind::of(other))),
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
    if let (Function::Count, [Node { part: Part::Name(NameRef { path, of: None, .. }), .. }]) = (function, arguments)
        && scope.is_section(path)
    {
        let count = match scope.within(path, None) {
            Within::Elements(elements) => elements.len(),
            Within::Absent(_) => 0,
            Within::Failed(why) => return failed(why),
        };
        return Ok(Item::Number(Quantity::plain(count as f64)));
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
        (Function::Begins, [Item::Text(text), Item::Text(start)]) => Ok(Item::Flag(text.starts_with(start.as_str()))),
        (Function::Ends, [Item::Text(text), Item::Text(end)]) => Ok(Item::Flag(text.ends_with(end.as_str()))),
        (Function::Common, [Item::List(one), Item::List(other)]) => {
            Ok(Item::List(distinct(one.iter().filter(|item| other.contains(item)))))
        }
        (Function::Distinct, [Item::List(items)]) => Ok(Item::List(distinct(items.iter()))),
        (Function::LeadingNumber, [other]) => failed(format!("'leading_number' needs text, not {}", Kind::of(other))),
        _ => failed(format!("'{}' cannot take {} arguments", function.name(), items.len())),
    }
}

fn distinct<'i>(items: impl Iterator<Item = &'i Item>) -> Vec<Item> {
    let mut found: Vec<Item> = Vec::new();
    for item in items {
        if !found.contains(item) {
            found.push(item.clone());
        }
    }
    found
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
