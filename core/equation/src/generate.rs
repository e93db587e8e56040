//! The Rust of an equation: a struct of its inputs, `value`, `step`, the symbols and the line of the catalogue.

use crate::declaration::{Declaration, Declared, Kind};
use crate::formula::{Form, Formula, Function, Node, Operator, What};
use mateline_units::Dimension;
use std::fmt::Write;

const MODEL: &str = "::mateline_model";
/// Stands for the tokens of brackets, with their place: those are put back as they were written, place and all.
pub const BRACKETS: &str = "__brackets_";

/// An equation that has been checked.
pub fn rust(declared: &Declaration, formula: &Formula) -> String {
    let writer = Writer { declared, formula };
    let mut out = String::new();
    writer.structure(&mut out);
    writer.implementation(&mut out);
    out
}

struct Writer<'a> {
    declared: &'a Declaration,
    formula: &'a Formula,
}

impl Writer<'_> {
    fn solved(&self) -> bool {
        self.formula.form == Form::Solved
    }

    /// The symbols that are fields: all but the result, unless that is handed in.
    fn fields(&self) -> &[Declared] {
        let all = &self.declared.symbols;
        if self.solved() { all } else { all.get(1..).unwrap_or_default() }
    }

    fn symbol(&self, index: usize) -> Option<&Declared> {
        self.declared.symbols.get(index)
    }

    fn lifetime(&self) -> &'static str {
        if self.fields().iter().any(|symbol| symbol.list) { "<'a>" } else { "" }
    }

    fn structure(&self, out: &mut String) {
        let Declaration { docs, visibility, name, text, .. } = self.declared;
        for doc in docs {
            let _ = write!(out, "#[doc = {doc}] ");
        }
        let _ = write!(
            out,
            "#[doc = \"\"] #[doc = \"`{text}`\"] #[derive(Clone, Copy, Debug)] \
             #[allow(non_snake_case, dead_code, reason = \"symbols are named as they are printed\")] \
             {visibility}struct {name}{} {{ ",
            self.lifetime()
        );
        for symbol in self.fields() {
            let kind = kind(symbol);
            let kind = if symbol.list { format!("&'a [{kind}]") } else { kind };
            let _ = write!(out, "#[doc = {}] pub {}: {kind}, ", symbol.meaning, symbol.field);
        }
        out.push_str("} ");
    }

    fn implementation(&self, out: &mut String) {
        let Declaration { name, text, docs, symbols, .. } = self.declared;
        let Some(result) = symbols.first() else { return };
        let elided = if self.lifetime().is_empty() { "" } else { "<'_>" };
        let _ = write!(
            out,
            "#[allow(clippy::all, non_snake_case, non_upper_case_globals, dead_code, unused_parens, \
             reason = \"written by equation!\")] impl {name}{elided} {{ "
        );
        for symbol in symbols {
            let _ = write!(
                out,
                "#[doc = {}] pub const {}: {MODEL}::Symbol = {MODEL}::Symbol({:?}); ",
                symbol.meaning, symbol.field, symbol.printed
            );
        }
        let listed: String = symbols
            .iter()
            .map(|symbol| {
                let (printed, meaning) = (&symbol.printed, &symbol.meaning);
                let dimension = measure(symbol.dimension);
                format!(
                    "{MODEL}::EquationSymbol {{ symbol: {printed:?}, meaning: {meaning}, dimension: {dimension} }}, "
                )
            })
            .collect();
        let about = docs.join(", \"\\n\", ");
        let _ = write!(
            out,
            "#[doc = \"The equation's line in the catalogue.\"] pub const EQUATION: {MODEL}::Equation = \
             {MODEL}::Equation {{ name: {name:?}, text: {text:?}, about: ::core::concat!({about}), \
             symbols: &[{listed}], tried: {} }}; ",
            self.tried()
        );
        let kind = kind(result);
        if self.solved() {
            let _ = write!(out, "#[doc = \"The value handed in, and the step that shows it.\"] ");
        } else {
            let body = self.value(result);
            let _ = write!(
                out,
                "#[doc = \"What the equation gives.\"] #[inline] #[must_use] pub fn value(&self) -> {kind} {{ {body} }} \
                 #[doc = \"What the equation gives, and the step that shows it.\"] "
            );
        }
        let _ =
            write!(out, "#[must_use] pub fn step(&self) -> ({kind}, {MODEL}::Step) {{ {} }} }} ", self.step(result));
    }

    fn value(&self, result: &Declared) -> String {
        let mut body = String::new();
        for symbol in self.fields().iter().filter(|symbol| !symbol.list) {
            let _ = write!(body, "let {} = {}; ", symbol.field, number(symbol, &format!("self.{}", symbol.field)));
        }
        let right = self.expression(&self.formula.right);
        let value = if self.formula.form == Form::Inverse { format!("1.0_f64 / {right}") } else { right };
        body + &match &result.kind {
            Kind::Typed(name) => format!("{MODEL}::quantity::{name}::from_si({value})"),
            _ => value,
        }
    }

    fn step(&self, result: &Declared) -> String {
        let (text, field) = (&self.declared.text, &result.field);
        let value = if self.solved() { format!("self.{field}") } else { "self.value()".to_owned() };
        let mut body = format!("let result = {value}; let mut terms = ::std::vec::Vec::new(); ");
        let inputs = self.declared.symbols.get(1..).unwrap_or_default();
        let mut written: Vec<&str> = Vec::new();
        for symbol in inputs {
            if !symbol.list {
                let _ = write!(body, "terms.push({}); ", term(symbol, &format!("self.{}", symbol.field)));
            } else if !written.contains(&letter(symbol)) {
                written.push(letter(symbol));
                let group: Vec<&Declared> =
                    inputs.iter().filter(|other| other.list && letter(other) == letter(symbol)).collect();
                let (pattern, lists) = together(&group);
                let terms: String = group
                    .iter()
                    .map(|one| format!("terms.push({}); ", term(one, &format!("*{}", one.field))))
                    .collect();
                let _ = write!(body, "for {pattern} in {lists} {{ {terms} }} ");
            }
        }
        let shown = term(result, "result");
        let _ = write!(
            body,
            "let step = {MODEL}::Step {{ terms, result: ::core::option::Option::Some({shown}), \
             ..{MODEL}::Step::new({text:?}) }}; (result, step)"
        );
        body
    }

    /// The equation with numbers that the caller draws.
    fn tried(&self) -> String {
        if self.solved() {
            return "::core::option::Option::None".to_owned();
        }
        let name = &self.declared.name;
        let (mut lists, mut fields) = (String::new(), String::new());
        for symbol in self.fields() {
            let drawn = match &symbol.kind {
                Kind::Typed(name) => format!("{MODEL}::quantity::{name}::from_si(draw())"),
                _ => "draw()".to_owned(),
            };
            let field = &symbol.field;
            if symbol.list {
                let _ = write!(lists, "let {field} = [{drawn}, {drawn}, {drawn}]; ");
                let _ = write!(fields, "{field}: &{field}, ");
            } else {
                let _ = write!(fields, "{field}: {drawn}, ");
            }
        }
        format!("::core::option::Option::Some(|draw| {{ {lists} {name} {{ {fields} }}.step().1 }})")
    }

    fn expression(&self, node: &Node) -> String {
        match &node.what {
            What::Number(number, unit) => format!("{:?}_f64", unit.map_or(*number, |unit| unit.to_si(*number))),
            What::Symbol(index) => self.symbol(*index).map(|symbol| symbol.field.clone()).unwrap_or_default(),
            What::Negative(inner) => format!("(-{})", self.expression(inner)),
            What::Two(Operator::Power, base, exponent) => self.power(base, exponent),
            What::Two(operator, a, b) => {
                let sign = match operator {
                    Operator::Add => '+',
                    Operator::Subtract => '-',
                    Operator::Divide => '/',
                    Operator::Multiply | Operator::Power => '*',
                };
                format!("({} {sign} {})", self.expression(a), self.expression(b))
            }
            What::Call(function, arguments) => self.call(*function, arguments),
            What::Over(function, inner) => self.over(*function, inner),
        }
    }

    fn power(&self, base: &Node, exponent: &Node) -> String {
        let value = self.expression(base);
        match exponent.constant() {
            Some(0.5) => format!("({value}).sqrt()"),
            Some(n) if n.fract() == 0.0 && n.abs() <= 64.0 => format!("{MODEL}::portable::powi({value}, {})", n as i32),
            _ => format!("{MODEL}::portable::pow({value}, {})", self.expression(exponent)),
        }
    }

    fn call(&self, function: Function, arguments: &[Node]) -> String {
        let all: Vec<String> = arguments.iter().map(|argument| self.expression(argument)).collect();
        let (method, module) = match function {
            Function::Min => ("min", false),
            Function::Max => ("max", false),
            Function::Root => ("sqrt", false),
            Function::Absolute => ("abs", false),
            Function::Up => ("ceil", false),
            Function::Down => ("floor", false),
            Function::Exp => ("exp", true),
            Function::Ln => ("ln", true),
            Function::Log10 => ("log10", true),
            Function::Sin => ("sin", true),
            Function::Cos => ("cos", true),
            Function::Tan => ("tan", true),
            Function::Atan => ("atan", true),
            Function::Sum => ("sum", false),
        };
        let Some((first, rest)) = all.split_first() else { return String::new() };
        match rest {
            [] if module => format!("{MODEL}::portable::{method}({first})"),
            [] => format!("f64::{method}({first})"),
            rest => rest.iter().fold(first.clone(), |so_far, next| format!("f64::{method}({so_far}, {next})")),
        }
    }

    fn over(&self, function: Function, inner: &Node) -> String {
        let symbols = inner.symbols();
        let lists: Vec<&Declared> =
            symbols.iter().filter_map(|index| self.symbol(*index)).filter(|symbol| symbol.list).collect();
        let (pattern, iterator) = together(&lists);
        let numbers: String = lists
            .iter()
            .map(|symbol| format!("let {} = {}; ", symbol.field, number(symbol, &format!("(*{})", symbol.field))))
            .collect();
        let (start, join) = match function {
            Function::Min => ("f64::INFINITY", "f64::min(so_far, next)"),
            Function::Max => ("f64::NEG_INFINITY", "f64::max(so_far, next)"),
            _ => ("0.0_f64", "so_far + next"),
        };
        format!(
            "({iterator}.map(|{pattern}| {{ {numbers} {} }}).fold({start}, |so_far, next| {join}))",
            self.expression(inner)
        )
    }
}

/// What a list is indexed by: the end of its symbol, `j` of `R_j`.
fn letter(symbol: &Declared) -> &str {
    symbol.printed.rsplit('_').next().unwrap_or_default()
}

/// A pattern over lists that run side by side, and what it runs over.
fn together(lists: &[&Declared]) -> (String, String) {
    let Some((first, rest)) = lists.split_first() else { return (String::new(), String::new()) };
    let start = (first.field.clone(), format!("self.{}.iter()", first.field));
    rest.iter().fold(start, |(pattern, iterator), next| {
        (format!("({pattern}, {})", next.field), format!("{iterator}.zip(self.{}.iter())", next.field))
    })
}

/// The type of a field.
fn kind(symbol: &Declared) -> String {
    match &symbol.kind {
        Kind::Typed(name) => format!("{MODEL}::quantity::{name}"),
        Kind::Number | Kind::Measured => "f64".to_owned(),
    }
}

/// A field's value as a number in SI.
fn number(symbol: &Declared, value: &str) -> String {
    if matches!(symbol.kind, Kind::Typed(_)) { format!("{value}.si()") } else { value.to_owned() }
}

/// A term of a step.
fn term(symbol: &Declared, value: &str) -> String {
    let value = match symbol.kind {
        Kind::Measured => format!("{MODEL}::quantity::Quantity::new({value}, {})", measure(symbol.dimension)),
        Kind::Typed(_) | Kind::Number => value.to_owned(),
    };
    format!("{MODEL}::Term::new({:?}, {}, {value}, {BRACKETS}{})", symbol.printed, symbol.meaning, symbol.units)
}

fn measure(dimension: Dimension) -> String {
    let d = dimension;
    let parts = [
        ("length", d.length),
        ("mass", d.mass),
        ("time", d.time),
        ("temperature", d.temperature),
        ("current", d.current),
        ("money", d.money),
        ("angle", d.angle),
        ("loudness", d.loudness),
        ("sound_level", d.sound_level),
    ];
    let mut fields: String = parts.iter().filter(|(_, e)| *e != 0).map(|(name, e)| format!("{name}: {e}, ")).collect();
    if d.point {
        fields += "point: true, ";
    }
    format!("{MODEL}::quantity::Dimension {{ {fields} ..{MODEL}::quantity::Dimension::PLAIN }}")
}
