//! Which work the plant does and which the site, as far as the home says.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::Subject;
use mateline_model::home::Party;

/// A piece of work: what, which, by whom.
struct Work {
    what: String,
    which: String,
    by: Option<Party>,
}

pub(crate) fn section(source: Source<'_>) -> Section {
    let work = work(source);
    let table = |name: &str, title: &str, by: Option<Party>| {
        let rows: Vec<Vec<Cell>> = work
            .iter()
            .filter(|piece| piece.by == by)
            .map(|piece| vec![Cell::words(&piece.what), Cell::words(&piece.which), Cell::words("____")])
            .collect();
        (!rows.is_empty()).then(|| Block::Table(Table::schedule(name, title, &["Work", "Which", "Done"], rows)))
    };
    let mut blocks: Vec<Block> = [
        table("work-in-the-plant", "In the plant", Some(Party::Factory)),
        table("work-on-site", "On site", Some(Party::Site)),
        table("work-of-nobody-yet", "Not said by whom", None),
    ]
    .into_iter()
    .flatten()
    .collect();
    blocks.push(Block::paragraph(
        "Only work that the home file names is listed. Foundation, setting, weather cover and connections follow the \
         plant's and the site's own contracts.",
    ));
    Section { id: "work-split", title: "Factory work and site work", blocks }
}

fn work(source: Source<'_>) -> Vec<Work> {
    let home = &source.report.home;
    let seams = source.subjects("seams").map(|subject: &Subject| Work {
        what: "close the mate line".to_owned(),
        which: subject.id().to_owned(),
        by: source.report.home.seam(subject.id()).and_then(|(_, seam)| seam.by),
    });
    let holes = home.penetrations.iter().map(|(id, hole)| Work {
        what: format!("make and seal {} {}", hole.count, words::of(&hole.kind)),
        which: id.to_string(),
        by: hole.by,
    });
    let finishes = home.finishes.iter().map(|(id, finish)| Work {
        what: format!("apply {}", finish.category.replace('-', " ")),
        which: id.to_string(),
        by: finish.by,
    });
    let ducts = home.systems.ventilation.iter().flat_map(|(unit, described)| {
        let crossing = described.ducts.iter().filter(|(_, duct)| duct.crosses_mate_line == Some(true));
        crossing.map(move |(id, _)| Work {
            what: "join the duct across the mate line".to_owned(),
            which: format!("{id} of {unit}"),
            by: Some(Party::Site),
        })
    });
    seams.chain(holes).chain(finishes).chain(ducts).collect()
}
