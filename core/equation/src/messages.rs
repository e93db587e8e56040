//! What is said of a declaration that cannot be, on token text: the compiler's own tokens exist only while it compiles.

use crate::compile;
use crate::token::{Token, Tree};

/// The tokens of a text: words, literals, brackets and signs. Places count from 1.
fn tokens(text: &str) -> Vec<Token> {
    let characters: Vec<char> = text.chars().collect();
    read(&characters, &mut 0, &mut 0)
}

fn read(text: &[char], at: &mut usize, place: &mut usize) -> Vec<Token> {
    let mut found = Vec::new();
    while let Some(&c) = text.get(*at) {
        *at += 1;
        if c.is_whitespace() {
            continue;
        }
        if matches!(c, ')' | ']' | '}') {
            break;
        }
        *place += 1;
        let (mine, start) = (*place, *at);
        let until = |at: &mut usize, end: &dyn Fn(char) -> bool| {
            while text.get(*at).is_some_and(|c| !end(*c)) {
                *at += 1;
            }
        };
        let tree = match c {
            '(' | '[' | '{' => {
                let inner = read(text, at, place);
                Tree::Group(c, inner, text[start..*at - 1].iter().collect())
            }
            '"' => {
                until(at, &|c| c == '"');
                *at += 1;
                Tree::Text(text[start - 1..*at].iter().collect())
            }
            c if c.is_alphanumeric() => {
                until(at, &|c| !c.is_alphanumeric() && c != '_');
                Tree::Word(text[start - 1..*at].iter().collect())
            }
            c => Tree::Mark(c),
        };
        found.push(Token { tree, place: mine });
    }
    found
}

/// The message, and the token at its place.
fn refused(text: &str, symbols: &str) -> String {
    let all = tokens(&format!("#[doc = \"Trial.\"] Trial = \"{text}\" {{ {symbols} }}"));
    let fault = compile(&all).expect_err("the equation cannot be");
    let mut at = String::new();
    look(&all, fault.place, &mut at);
    format!("{at}: {}", fault.message)
}

fn look(tokens: &[Token], place: usize, at: &mut String) {
    for token in tokens {
        match &token.tree {
            Tree::Word(text) | Tree::Text(text) if token.place == place => *at = text.clone(),
            Tree::Group(_, inner, _) => look(inner, place, at),
            _ => {}
        }
    }
}

const FOOTING: &str = "B: Length \"width\" [U], q: LineLoad \"load\" [U], q_a: Pressure \"bearing\" [U], γ: \"N/m³\" \"weight of concrete\" [U], t: Length \"depth\" [U],";

#[test]
fn what_stands_in_a_text_is_checked() {
    let cases = [
        ("B = q/(q_a − γ t_w)", "unknown symbol `t_w`"),
        ("B = q/(q_a − γ)", "`t` is declared and not in `B = q/(q_a − γ)`"),
        ("B = q/(q_a − t) γ", "`q_a` and `t` do not fit: a pressure and a length"),
        ("B = q/(q_a − γ t) t", "the left side is a length, the right side an area"),
        ("B = q/(q_a − γ t − 3[psff])", "unknown unit `psff`"),
        ("B = q/(q_a − γ t", "`)` is needed at the end of `B = q/(q_a − γ t`"),
        ("B q/(q_a − γ t)", "`=` is needed at the end of `B q/(q_a − γ t)`"),
        ("B = q/(q_a − γ t))", "an operator is needed before `)` of `B = q/(q_a − γ t))`"),
        ("B = exp(q/(q_a − γ t))", "`q/(q_a − γ t)` is a length, and a plain number is needed"),
        ("B = q/(q_a − γ t)^t", "the exponent `t` is no plain number"),
        ("B = max(q/(q_a − γ t))", "`max` takes two values or more"),
        ("B = Σ q/(q_a − γ t)", "`Σ q/(q_a − γ t)` has no list to go over"),
        ("B = √(q/(q_a − γ t))", "the left side is a length, the right side m^0.5"),
    ];
    for (text, message) in cases {
        let said = refused(text, FOOTING);
        let at = if message.contains("declared") { "t".to_owned() } else { format!("\"{text}\"") };
        assert_eq!(said, format!("{at}: {message}"));
    }
}

#[test]
fn a_temperature_on_a_scale_and_a_list_have_their_places() {
    let symbols = "T: Temperature \"after\" [U], T_0: Temperature \"before\" [U], f: f64 \"share\" [U],";
    assert!(
        refused("T = f T_0", symbols)
            .ends_with("`T_0` is a temperature on a scale, of which only differences are taken")
    );
    assert!(refused("T = T_0 + T_0 f", symbols).contains("only differences"));
    assert!(refused("T = T_0 + (T_0 + T_0) f", symbols).contains("do not fit"));
    let symbols = "Q: Flow \"all\" [U], Q_u: [Flow] \"each\" [U],";
    assert!(refused("Q = 2 Q_u", symbols).ends_with("`Q_u` is a list and stands outside a sum"));
}

#[test]
fn a_declaration_is_checked_at_its_symbols() {
    let cases = [
        ("x: Lenght \"width\" [U], y: f64 \"n\" [U],", "Lenght: `Lenght` is no quantity of the model"),
        ("x: \"furlong\" \"width\" [U], y: f64 \"n\" [U],", "\"furlong\": unknown unit `furlong`"),
        ("x: Length [U], y: f64 \"n\" [U],", ": what the symbol stands for, in quotes, is needed here"),
        ("x: f64 \"width\", y: f64 \"n\" [U],", ": `[` with the units it is shown in is needed here"),
        ("x: f64 \"a\" [U], x: f64 \"n\" [U],", "x: `x` is declared twice"),
        ("x: [f64] \"a\" [U], y: f64 \"n\" [U],", "x: the result cannot be a list"),
        ("", "\"x = y\": an equation needs symbols, the result first"),
    ];
    for (symbols, message) in cases {
        assert_eq!(refused("x = y", symbols), message);
    }
    let undocumented = compile(&tokens("Trial = \"x = y\" { x: f64 \"a\" [U], y: f64 \"b\" [U] }"));
    assert!(undocumented.expect_err("there is no doc comment").message.starts_with("a doc comment is needed"));
}

#[test]
fn zero_fits_everything_and_powers_share_their_exponents() {
    let sound = [
        ("B = max(0, q/(q_a − γ t))", FOOTING),
        ("B = (q t/(q_a − γ t))^0.5", FOOTING),
        ("1/B = (q_a − γ t)/q", FOOTING),
        ("B = 0.5[ft] (q/(1[ft] (q_a − γ t)))^0.625", FOOTING),
    ];
    for (text, symbols) in sound {
        let all = tokens(&format!("#[doc = \"Trial.\"] Trial = \"{text}\" {{ {symbols} }}"));
        assert_eq!(compile(&all).map(|_| ()), Ok(()), "{text}");
    }
}
