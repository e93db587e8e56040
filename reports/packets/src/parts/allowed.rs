//! What the plant may build into a box, and what it may not.

use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::{Finish, Id, Party};
use mateline_model::{Outcome, Severity, Subject, Verdict};

/// Whether a finish is in a room of the box, or in the whole home.
pub(crate) fn is_in(source: Source<'_>, finish: &Finish, id: &Id) -> bool {
    let spaces = &source.report.home.spaces;
    let has_room = |room: &Id| spaces.get(room).is_some_and(|space| space.within.iter().any(|within| within == id));
    finish.within.iter().next().is_none() || finish.within.iter().any(has_room)
}

/// The finishes of a box that the plant applies.
fn of_plant<'a>(source: Source<'a>, id: &'a Id) -> impl Iterator<Item = (&'a Id, &'a Finish)> {
    let finishes = source.report.home.finishes.iter();
    finishes.filter(move |(_, finish)| finish.by == Some(Party::Factory) && is_in(source, finish, id))
}

/// The requirements on a finish.
fn required<'a>(source: Source<'a>, name: &Id) -> Vec<&'a Verdict> {
    let subject = Subject::element("finishes", name);
    source.judged().filter(|verdict| verdict.subject == subject && verdict.severity == Severity::Required).collect()
}

/// Materials that the plant builds in.
pub(crate) fn built_in(source: Source<'_>, id: &Id) -> Table {
    let rows = of_plant(source, id).map(|(name, finish)| {
        let path = |field: &str| format!("finishes.{name}.{field}");
        let open = required(source, name).into_iter().find(|verdict| verdict.fails());
        vec![
            Cell::words(name.to_string()),
            source.named(path("category"), Some(finish.category.replace('-', " "))),
            source.named(path("product"), finish.product.as_ref()),
            finish.lot.as_ref().map_or_else(|| Cell::words("any"), |lot| source.named(path("lot"), Some(lot))),
            open.map_or_else(|| Cell::words("yes"), |_| Cell::words("not yet")),
        ]
    });
    let heads = ["Material", "Use", "Product", "Lot", "May be used"];
    Table::schedule(
        &format!("built-in-{id}"),
        &format!("Box {id}: materials built in, in the plant"),
        &heads,
        rows.collect(),
    )
}

/// What may not be built in: what is listed and still lacks something, and of every other product what does not hold
/// what its kind of material is judged by.
pub(crate) fn refused(source: Source<'_>, id: &Id) -> Table {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for (name, _) in of_plant(source, id) {
        for verdict in required(source, name).into_iter().filter(|verdict| verdict.fails()) {
            rows.push(vec![Cell::words(name.to_string()), Cell::words(&verdict.title), source.outcome(verdict)]);
        }
    }
    let mut asked: Vec<(&str, Cell, Vec<String>)> = Vec::new();
    for (name, finish) in of_plant(source, id) {
        let kind = finish.category.replace('-', " ");
        for verdict in required(source, name).into_iter().filter(|verdict| verdict.outcome == Outcome::Met) {
            let [_, limit, _] = source.numbers(verdict);
            match asked.iter_mut().find(|(title, known, _)| *title == verdict.title && known.text == limit.text) {
                Some((.., kinds)) if kinds.contains(&kind) => {}
                Some((.., kinds)) => kinds.push(kind.clone()),
                None => asked.push((&verdict.title, limit, vec![kind.clone()])),
            }
        }
    }
    rows.extend(asked.into_iter().map(|(title, limit, kinds)| {
        vec![
            Cell::words(format!("any other {}", words::joined(&kinds))),
            Cell::words(format!("unless it holds: {title}")),
            limit,
        ]
    }));
    let heads = ["Not to be used", "Because", "State or limit"];
    Table::schedule(&format!("refused-{id}"), &format!("Box {id}: materials not to be used"), &heads, rows).note(
        "Nothing that the list above does not name may be used indoors: another product, another lot or an added sealant, \
         adhesive or coating needs its records first, whatever its values. A material that is short or unproven waits.",
    )
}
