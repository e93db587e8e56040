//! The assemblies: drawn to scale, their layers with what each does against air, vapour, water and heat, and U-factors.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::home::{Assembly, Id, LayerKind, Role};
use mateline_model::quantity::Units;
use mateline_model::{Drawing, Subject};
use mateline_reports::ReportError;

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut blocks = vec![Block::Table(schedule(source))];
    for (id, assembly) in &source.report.home.assemblies {
        let subject = Subject::element("assemblies", id);
        let here = |figure: &mateline_model::Figure| {
            matches!(figure.drawing, Drawing::Section { .. }) && figure.subject == subject
        };
        blocks.extend(super::figures(source, here)?);
        blocks.push(Block::Table(layers(source, id, assembly)));
    }
    Ok(Section { id: "assemblies", title: "Assemblies", blocks })
}

fn schedule(source: Source<'_>) -> Table {
    let rows = source.report.home.assemblies.iter().map(|(id, assembly)| {
        let subject = Subject::element("assemblies", id);
        let barrier = |role: Role| {
            let names: Vec<String> = assembly
                .layers
                .iter()
                .enumerate()
                .filter(|(_, layer)| layer.role.iter().any(|known| *known == role))
                .map(|(index, _)| (index + 1).to_string())
                .collect();
            if names.is_empty() {
                Cell::words("none named")
            } else {
                Cell::words(format!("layer {}", names.join(", ")))
            }
        };
        vec![
            Cell::words(id.to_string()),
            source.choice(format!("assemblies.{id}.kind"), &assembly.kind),
            source.fact(&subject, "takeoff.net_area"),
            source.fact(&subject, "envelope.thickness"),
            source.fact(&subject, "envelope.r_nominal"),
            source.fact(&subject, "envelope.u_factor"),
            barrier(Role::AirBarrier),
            barrier(Role::VapourRetarder),
            source.shown_by(
                &format!("assemblies.{id}"),
                &[("detail", assembly.detail.as_ref()), ("drawing", assembly.drawing.as_ref())],
            ),
        ]
    });
    let heads = [
        "Assembly",
        "Kind",
        "Net area",
        "Thickness",
        "Nominal R-value",
        "U-factor",
        "Air barrier",
        "Vapour retarder",
        "Detail, drawing",
    ];
    Table::schedule("assemblies", "Schedule of assemblies", &heads, rows.collect())
        .note("Layers are counted from inside to outside.")
}

fn layers(source: Source<'_>, id: &Id, assembly: &Assembly) -> Table {
    let rows = assembly.layers.iter().enumerate().map(|(index, layer)| {
        let path = |field: &str| format!("assemblies.{id}.layers.{index}.{field}");
        let (what, thickness) = match layer.kind() {
            Ok(LayerKind::Material(name, thickness)) => (
                source.named(path("material"), Some(material(source, name))),
                source.given(path("thickness"), thickness, &Units::THICKNESS),
            ),
            Ok(LayerKind::Framed(framing)) => {
                let fill = material(source, &framing.fill);
                let member = material(source, &framing.member);
                let text = format!("{member} framing, {fill} between");
                let spacing = source.given(path("framed.spacing"), Some(framing.spacing), &Units::THICKNESS);
                (
                    source.named(path("framed"), Some(format!("{text}; {} on centre", spacing.text))),
                    source.given(path("framed.size"), Some(framing.size.depth), &Units::THICKNESS),
                )
            }
            Ok(LayerKind::AirSpace(depth)) => {
                (Cell::words("closed air space"), source.given(path("air-space"), Some(depth), &Units::THICKNESS))
            }
            Ok(LayerKind::VentedCavity(depth)) => {
                (Cell::words("vented cavity"), source.given(path("vented-cavity"), Some(depth), &Units::THICKNESS))
            }
            Err(why) => (Cell::words(why), Cell::words("")),
        };
        let role = |roles: &[Role]| {
            let here: Vec<Role> = layer.role.iter().filter(|role| roles.contains(role)).copied().collect();
            if here.is_empty() { Cell::words("") } else { source.choice(path("role"), &here) }
        };
        vec![
            Cell::words((index + 1).to_string()),
            what,
            thickness,
            role(&[Role::AirBarrier, Role::AirControl]),
            role(&[Role::VapourRetarder]),
            role(&[Role::ContinuousInsulation]),
            role(&[Role::WaterBarrier, Role::Waterproofing, Role::CapillaryBreak]),
            role(&[Role::Structure, Role::Finish]),
        ]
    });
    let heads =
        ["Layer", "Material", "Thickness", "Against air", "Against vapour", "Against heat", "Against water", "Other"];
    let note = assembly.note.as_ref().map(ToString::to_string).unwrap_or_default();
    Table::schedule(&format!("layers-{id}"), &format!("Layers of {id}, inside to outside"), &heads, rows.collect())
        .note(crate::words::sentence(&note))
}

/// A material's name on schedules.
fn material(source: Source<'_>, id: &str) -> String {
    let own = source.report.home.materials.iter().find(|(known, _)| known.as_ref() == id);
    own.and_then(|(_, material)| material.name.as_ref()).map_or_else(|| id.replace('-', " "), ToString::to_string)
}
