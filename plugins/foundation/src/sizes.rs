//! The sizes of a foundation: given in the home, or usual ones that are stated with every result.

use crate::lack;
use mateline_equation::equation;
use mateline_model::home::{Earthwork, Footing, Foundation, FoundationKind, Home, Id, LayerKind};
use mateline_model::quantity::{Length, Units};
use mateline_model::{Origin, Step, Term};
use mateline_sdk::Lack;

/// A usual value that no source backs.
pub const STATED: &str = "stated where the home gives none (common practice, no source)";

/// Height of a basement from slab to boxes, and depth of its slab below grade (m): 9 ft and 7 ft.
const BASEMENT: (f64, f64) = (9.0 * FOOT, 7.0 * FOOT);
/// The same of a crawl space: 4 ft and 2 ft.
const CRAWL_SPACE: (f64, f64) = (4.0 * FOOT, 2.0 * FOOT);
/// Height of boxes on piers above grade: 3 ft.
const PIERS: f64 = 3.0 * FOOT;
/// Thickness of a foundation wall: 8 in.
const WALL: f64 = 8.0 * INCH;
/// Thickness of a slab, and of the gravel below it: 4 in.
const SLAB: f64 = 4.0 * INCH;
/// Width and thickness of a footing: 20 in and 10 in.
const FOOTING: (f64, f64) = (20.0 * INCH, 10.0 * INCH);

/// One foot (m).
pub const FOOT: f64 = 0.3048;
/// One inch (m).
pub const INCH: f64 = 0.0254;

equation! {
    /// Depth of a footing that is not given: below the frost, and below the slab. Source: geometry.
    pub FootingDepth = "D_f = max(D_fr, d + t_s + t_f)" {
        D_f: Length "underside of the footing below grade" [Units::LENGTH],
        D_fr: Length "frost depth" [Units::LENGTH],
        d: Length "floor below grade" [Units::LENGTH],
        t_s: Length "slab" [Units::LENGTH],
        t_f: Length "thickness of the footing" [Units::LENGTH],
    }

    /// Height of a wall from the footing to the boxes. Source: geometry.
    pub WallHeight = "h_w = max(0, h + D_f − t_f − d)" {
        h_w: Length "height of the wall from the footing to the boxes" [Units::LENGTH],
        h: Length "height from floor to boxes" [Units::LENGTH],
        D_f: Length "underside of the footing below grade" [Units::LENGTH],
        t_f: Length "thickness of the footing" [Units::LENGTH],
        d: Length "floor below grade" [Units::LENGTH],
    }
}

/// A length with where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// The length (m).
    pub value: f64,
    /// Its symbol.
    pub symbol: &'static str,
    /// What it is.
    pub meaning: &'static str,
    /// Where it comes from.
    pub origin: Origin,
}

impl Size {
    fn given(symbol: &'static str, meaning: &'static str, length: Length, path: &str) -> Size {
        Size { value: length.si(), symbol, meaning, origin: Origin::Given(path.to_owned()) }
    }

    fn stated(symbol: &'static str, meaning: &'static str, value: f64) -> Size {
        Size { value, symbol, meaning, origin: Origin::Published(STATED.to_owned()) }
    }

    /// A given length, or a usual one.
    pub fn or_stated(
        symbol: &'static str,
        meaning: &'static str,
        length: Option<Length>,
        path: &str,
        usual: f64,
    ) -> Size {
        length.map_or_else(|| Size::stated(symbol, meaning, usual), |length| Size::given(symbol, meaning, length, path))
    }

    /// The length as a quantity.
    pub fn length(&self) -> Length {
        Length::from_si(self.value)
    }

    /// As a term of a calculation.
    pub fn term(&self) -> Term {
        let mut term = Term::new(self.symbol, self.meaning, Length::from_si(self.value), Units::LENGTH);
        term.origin = self.origin.clone();
        term
    }
}

/// What the walls, footings and floor of a foundation measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizes {
    /// What it is.
    pub kind: FoundationKind,
    /// From its floor to the underside of the boxes.
    pub height: Size,
    /// From grade down to its floor.
    pub floor_depth: Size,
    /// Wall of concrete.
    pub wall: Size,
    /// Width of the footing.
    pub footing_width: Size,
    /// Thickness of the footing.
    pub footing_thickness: Size,
    /// From grade down to the underside of the footing.
    pub footing_depth: Size,
    /// How that depth comes about, where it is not given.
    pub depth_step: Option<Step>,
    /// Slab; nothing where the floor is bare ground.
    pub slab: Size,
    /// Gravel under the slab.
    pub base: Size,
    /// Everything between the floor's surface and the ground below it.
    pub floor_build: Size,
}

/// What a part of the home stands on, as the home gives it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand<'a> {
    /// What it is.
    pub kind: FoundationKind,
    /// Height, with its path.
    pub height: (Option<Length>, String),
    /// Depth of the floor below grade, with its path.
    pub depth: (Option<Length>, String),
    /// Footing, with its path.
    pub footing: (Option<&'a Footing>, String),
    /// Its walls' assembly.
    pub wall: Option<&'a Id>,
    /// Its floor's assembly.
    pub floor: Option<&'a Id>,
    /// Whether what is not given is stated rather than missing.
    pub lenient: bool,
}

impl<'a> Stand<'a> {
    /// The foundation itself.
    pub fn chosen(foundation: &'a Foundation) -> Stand<'a> {
        Stand {
            kind: foundation.kind,
            height: (foundation.height, "foundation.height".to_owned()),
            depth: (foundation.depth_below_grade, "foundation.depth_below_grade".to_owned()),
            footing: (foundation.footing.as_ref(), "foundation.footing".to_owned()),
            wall: foundation.wall.as_ref(),
            floor: foundation.floor.as_ref(),
            lenient: false,
        }
    }

    /// One of its exceptions.
    pub fn exception(foundation: &'a Foundation, index: usize) -> Option<Stand<'a>> {
        let except = foundation.except.get(index)?;
        let path = format!("foundation.except.{index}");
        let footing = match &except.footing {
            Some(footing) => (Some(footing), format!("{path}.footing")),
            None => (foundation.footing.as_ref(), "foundation.footing".to_owned()),
        };
        Some(Stand {
            kind: except.kind,
            height: (except.height, format!("{path}.height")),
            depth: (except.depth_below_grade, format!("{path}.depth_below_grade")),
            footing,
            wall: foundation.wall.as_ref(),
            floor: None,
            lenient: false,
        })
    }

    /// A kind the foundation is compared with; its own kind keeps its own sizes.
    pub fn alternative(foundation: Option<&'a Foundation>, kind: FoundationKind) -> Stand<'a> {
        let own = foundation.filter(|foundation| foundation.kind == kind);
        if let Some(own) = own {
            return Stand { lenient: true, ..Stand::chosen(own) };
        }
        let sizes = foundation.and_then(|foundation| foundation.alternatives.get(&kind));
        let path = format!("foundation.alternatives.{}", word(kind));
        Stand {
            kind,
            height: (sizes.and_then(|sizes| sizes.height), format!("{path}.height")),
            depth: (sizes.and_then(|sizes| sizes.depth_below_grade), format!("{path}.depth_below_grade")),
            footing: (foundation.and_then(|foundation| foundation.footing.as_ref()), "foundation.footing".to_owned()),
            wall: foundation.and_then(|foundation| foundation.wall.as_ref()),
            floor: None,
            lenient: true,
        }
    }

    fn path(&self) -> &str {
        self.height.1.trim_end_matches(".height")
    }
}

impl Sizes {
    /// The sizes of what a part of the home stands on.
    ///
    /// # Errors
    /// What is missing.
    pub fn of(home: &Home, stand: &Stand<'_>) -> Result<Sizes, Lack> {
        let path = stand.path();
        let kind = stand.kind;
        let (usual_height, usual_depth) = match kind {
            FoundationKind::Basement => BASEMENT,
            FoundationKind::CrawlSpace => CRAWL_SPACE,
            FoundationKind::Piers => (PIERS, 0.0),
            FoundationKind::Slab => (0.0, 0.0),
        };
        let hollow = matches!(kind, FoundationKind::Basement | FoundationKind::CrawlSpace);
        let needed = |field: &str| Lack::at(format!("{path} has no {field}"), path);
        if !stand.lenient {
            if kind != FoundationKind::Slab {
                stand.height.0.ok_or_else(|| needed("height"))?;
            }
            if hollow {
                stand.depth.0.ok_or_else(|| needed("depth_below_grade"))?;
            }
            stand.footing.0.ok_or_else(|| needed("footing"))?;
        }
        let height = Size::or_stated("h", "height from floor to boxes", stand.height.0, &stand.height.1, usual_height);
        let floor_depth = Size::or_stated("d", "floor below grade", stand.depth.0, &stand.depth.1, usual_depth);
        let concrete_wall = stand.wall.and_then(|id| layers(home, id, "concrete"));
        let wall = from_layers("t", "concrete wall", concrete_wall, WALL);
        let (slab, base, floor_build) = floor(home, stand);
        let (footing, footing_path) = (stand.footing.0, &stand.footing.1);
        let given = |field: &str| format!("{footing_path}.{field}");
        let footing_width =
            Size::or_stated("w_f", "width of the footing", footing.map(|f| f.width), &given("width"), FOOTING.0);
        let thickness = footing.map(|f| f.thickness);
        let footing_thickness =
            Size::or_stated("t_f", "thickness of the footing", thickness, &given("thickness"), FOOTING.1);
        // The depth of the chosen footing says nothing about another kind of foundation.
        let own = !footing_path.starts_with("foundation.footing")
            || home.foundation.as_ref().is_some_and(|foundation| foundation.kind == kind);
        let meaning = "underside of the footing below grade";
        let (footing_depth, depth_step) = match footing.and_then(|f| f.depth).filter(|_| own) {
            Some(depth) => (Size::given("D_f", meaning, depth, &given("depth")), None),
            None => {
                let frost = home.site.frost_depth.ok_or_else(|| lack::site("frost_depth"))?;
                let frost = Size::given("D_fr", "frost depth", frost, "site.frost_depth");
                let depth = FootingDepth {
                    D_fr: frost.length(),
                    d: floor_depth.length(),
                    t_s: slab.length(),
                    t_f: footing_thickness.length(),
                };
                let (value, step) = depth.step();
                let size = Size { value: value.si(), symbol: "D_f", meaning, origin: Origin::Computed };
                let step = [&frost, &floor_depth, &slab, &footing_thickness]
                    .into_iter()
                    .map(Size::term)
                    .fold(step, Step::with);
                (size, Some(step))
            }
        };
        Ok(Sizes {
            kind,
            height,
            floor_depth,
            wall,
            footing_width,
            footing_thickness,
            footing_depth,
            depth_step,
            slab,
            base,
            floor_build,
        })
    }

    /// Whether walls on footings go all round.
    pub fn has_walls(&self) -> bool {
        self.kind != FoundationKind::Piers
    }

    /// Height of the concrete wall, from the footing to the boxes (m).
    pub fn wall_height(&self) -> f64 {
        self.wall_height_worked().value().si()
    }

    /// How that height comes about.
    pub fn wall_height_worked(&self) -> WallHeight {
        WallHeight {
            h: self.height.length(),
            D_f: self.footing_depth.length(),
            t_f: self.footing_thickness.length(),
            d: self.floor_depth.length(),
        }
    }

    /// Depth of the ground below the floor, from grade (m); nothing where the floor is at grade.
    pub fn pit_depth(&self) -> f64 {
        let sunk =
            matches!(self.kind, FoundationKind::Basement | FoundationKind::CrawlSpace) && self.floor_depth.value > 0.0;
        if sunk { self.floor_depth.value + self.floor_build.value } else { 0.0 }
    }

    /// Height of wall from the footing to grade (m).
    pub fn buried_wall(&self) -> f64 {
        (self.footing_depth.value - self.footing_thickness.value).max(0.0)
    }
}

/// The word of a kind, as the home writes it.
pub fn word(kind: FoundationKind) -> &'static str {
    match kind {
        FoundationKind::Basement => "basement",
        FoundationKind::CrawlSpace => "crawl-space",
        FoundationKind::Slab => "slab",
        FoundationKind::Piers => "piers",
    }
}

/// The earthwork as the home gives it.
pub fn earthwork(home: &Home) -> Earthwork {
    home.foundation.as_ref().and_then(|foundation| foundation.earthwork.clone()).unwrap_or_default()
}

/// Slab, gravel below it, and all layers of the floor.
fn floor(home: &Home, stand: &Stand<'_>) -> (Size, Size, Size) {
    let paved = matches!(stand.kind, FoundationKind::Basement | FoundationKind::Slab);
    let concrete = stand.floor.and_then(|id| layers(home, id, "concrete"));
    let none = |symbol, meaning| Size { value: 0.0, symbol, meaning, origin: Origin::Computed };
    if !paved && concrete.is_none() {
        return (none("t_s", "no slab"), none("t_b", "no gravel below it"), none("t_d", "no floor"));
    }
    let slab = from_layers("t_s", "slab", concrete, SLAB);
    let gravel = stand.floor.and_then(|id| layers(home, id, "gravel"));
    let radon = home.foundation.as_ref().and_then(|foundation| foundation.radon.as_ref()?.permeable_layer);
    let base = match (gravel, radon) {
        (None, Some(layer)) => Size::given("t_b", "gravel below the slab", layer, "foundation.radon.permeable_layer"),
        (gravel, _) => from_layers("t_b", "gravel below the slab", gravel, SLAB),
    };
    let whole = stand.floor.and_then(|id| layers(home, id, ""));
    let build = match whole {
        Some((thickness, path)) => Size {
            value: thickness.max(slab.value + base.value),
            symbol: "t_d",
            meaning: "all layers of the floor",
            origin: Origin::Given(path),
        },
        None => {
            Size { value: slab.value + base.value, symbol: "t_d", meaning: "slab and gravel", origin: Origin::Computed }
        }
    };
    (slab, base, build)
}

fn from_layers(symbol: &'static str, meaning: &'static str, found: Option<(f64, String)>, usual: f64) -> Size {
    match found {
        Some((value, path)) => Size { value, symbol, meaning, origin: Origin::Given(path) },
        None => Size::stated(symbol, meaning, usual),
    }
}

/// Thickness of the layers of an assembly whose material's id begins with a word, and the path of the first.
pub fn layers(home: &Home, assembly: &Id, word: &str) -> Option<(f64, String)> {
    let mut total = 0.0;
    let mut first = None;
    for (index, layer) in home.assemblies.get(assembly)?.layers.iter().enumerate() {
        if let Ok(LayerKind::Material(material, thickness)) = layer.kind()
            && material.starts_with(word)
        {
            total += thickness.map_or(0.0, |thickness| thickness.si());
            first.get_or_insert_with(|| format!("assemblies.{assembly}.layers.{index}"));
        }
    }
    first.filter(|_| total > 0.0).map(|path| (total, path))
}
