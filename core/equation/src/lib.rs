//! `equation!`: an equation is written once, and gives the value, the printed step and the line of the catalogue.
//!
//! ```text
//! use mateline_equation::equation;
//! use mateline_model::quantity::{Area, Length, Units};
//!
//! equation! {
//!     /// Width of a rectangle. Source: geometry.
//!     pub(crate) Width = "b = A/l" {
//!         b: Length "width" [Units::LENGTH],
//!         A: Area "area" [Units::AREA],
//!         l: Length "length" [Units::LENGTH],
//!     }
//! }
//!
//! let width = Width { A: Area::from_si(6.0), l: Length::from_si(3.0) };
//! assert_eq!(width.value(), Length::from_si(2.0));
//! let (_, step) = width.step();
//! assert_eq!(step.given(Width::l, "modules.A.size.x").equation, "b = A/l");
//! ```
//!
//! The text is read while the program is compiled: names, dimensions and units are checked there. `declaration.rs` reads
//! what stands around the text, `formula.rs` the text, `dimensions.rs` checks it, `generate.rs` writes the Rust.

#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop here"))]

mod declaration;
mod dimensions;
mod formula;
mod generate;
#[cfg(test)]
mod messages;
mod token;

use proc_macro::{Delimiter, Group, Ident, Literal, Punct, Spacing, Span, TokenStream, TokenTree};
use token::{Fault, Token, Tree};

/// Compiles equations; the crate's documentation shows one, DEVELOPERS.md tells the whole language.
#[proc_macro]
pub fn equation(input: TokenStream) -> TokenStream {
    let mut places = vec![None];
    let tokens = read(input, &mut places);
    let written = compile(&tokens).and_then(|rust| {
        rust.parse::<TokenStream>().map_err(|_| Fault::new(0, "equation! wrote Rust that the compiler cannot read"))
    });
    match written {
        Ok(rust) => put_back(rust, &places),
        Err(fault) => {
            let tree = places.get(fault.place).cloned().flatten();
            refuse(&fault.message, tree.map_or_else(Span::call_site, |tree| tree.span()))
        }
    }
}

/// All equations of one use of the macro, as Rust.
fn compile(tokens: &[Token]) -> Result<String, Fault> {
    let mut rust = String::new();
    for declared in declaration::read(tokens)? {
        let formula = formula::Formula::read(&declared)?;
        dimensions::check(&declared, &formula)?;
        rust += &generate::rust(&declared, &formula);
    }
    Ok(rust)
}

/// The compiler's tokens as ours, each with the number of its place in the source.
fn read(stream: TokenStream, places: &mut Vec<Option<TokenTree>>) -> Vec<Token> {
    let mut tokens = Vec::new();
    for tree in stream {
        let place = places.len();
        places.push(Some(tree.clone()));
        let tree = match tree {
            // What a macro by example hands on stands in invisible brackets.
            TokenTree::Group(group) if group.delimiter() == Delimiter::None => {
                tokens.extend(read(group.stream(), places));
                continue;
            }
            TokenTree::Group(group) => {
                let open = match group.delimiter() {
                    Delimiter::Brace => '{',
                    Delimiter::Bracket => '[',
                    _ => '(',
                };
                Tree::Group(open, read(group.stream(), places), group.stream().to_string())
            }
            TokenTree::Ident(ident) => Tree::Word(ident.to_string()),
            TokenTree::Punct(punct) => Tree::Mark(punct.as_char()),
            TokenTree::Literal(literal) => Tree::Text(literal.to_string()),
        };
        tokens.push(Token { tree, place });
    }
    tokens
}

/// Rust with what stands in the brackets of the source where the writer left a mark for it.
fn put_back(stream: TokenStream, places: &[Option<TokenTree>]) -> TokenStream {
    let mut out = TokenStream::new();
    for tree in stream {
        let marked = match &tree {
            TokenTree::Ident(ident) => {
                ident.to_string().strip_prefix(generate::BRACKETS).and_then(|place| place.parse::<usize>().ok())
            }
            _ => None,
        };
        match (tree, marked.and_then(|place| places.get(place).cloned().flatten())) {
            (_, Some(TokenTree::Group(written))) => out.extend(written.stream()),
            (TokenTree::Group(group), _) => {
                let mut inner = Group::new(group.delimiter(), put_back(group.stream(), places));
                inner.set_span(group.span());
                out.extend([TokenTree::Group(inner)]);
            }
            (tree, _) => out.extend([tree]),
        }
    }
    out
}

/// `::core::compile_error! { "message" }` at a place.
fn refuse(message: &str, span: Span) -> TokenStream {
    let mark = |c: char, spacing| TokenTree::Punct(Punct::new(c, spacing));
    let word = |text: &str| TokenTree::Ident(Ident::new(text, span));
    let colons = || [mark(':', Spacing::Joint), mark(':', Spacing::Alone)];
    let text = TokenTree::Literal(Literal::string(message));
    let body = TokenTree::Group(Group::new(Delimiter::Brace, text.into()));
    let call = colons().into_iter().chain([word("core")]).chain(colons()).chain([word("compile_error")]);
    let call = call.chain([mark('!', Spacing::Alone), body]);
    call.map(|mut tree| {
        tree.set_span(span);
        tree
    })
    .collect()
}
