//! The share of a wall's face that is framing, counted member by member from the length of wall, its corners, mate
//! lines and openings. A member is taken to be solid through the full depth of the framed layer.

use mateline_model::quantity::{Area, Length, Quantity, Ratio};

/// Members of a wall, with the trade's usual numbers where the home does not say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallMembers {
    /// Face width of a member, `t`.
    pub thickness: Length,
    /// Distance from centre to centre, `s`.
    pub spacing: Length,
    /// Plates along the bottom, `nb`.
    pub bottom_plates: u32,
    /// Plates along the top, `nt`.
    pub top_plates: u32,
    /// Depth of headers, `dh`.
    pub header_depth: Length,
    /// Jack studs at each side of an opening, `nj`.
    pub jacks: u32,
    /// Studs at each outside corner beside the regular ones.
    pub corner_studs: u32,
    /// Studs of each box where a mate line ends in the wall, beside the regular ones.
    pub mate_line_studs: u32,
    /// Rows of blocking, seen edge on.
    pub blocking_rows: u32,
    /// Height of a storey's wall that floor and ceiling rims fill, `hr`.
    pub rim_height: Length,
}

/// What is assumed where the home does not say (common practice, no source).
pub mod usual {
    use mateline_model::quantity::Length;
    /// Plates along the bottom.
    pub const BOTTOM_PLATES: u32 = 1;
    /// Plates along the top.
    pub const TOP_PLATES: u32 = 2;
    /// Depth of headers: a nominal 2x8, 7 1/4 in.
    pub const HEADER_DEPTH: Length = Length::from_si(7.25 * 0.0254);
    /// Jack studs at each side of an opening.
    pub const JACKS: u32 = 1;
    /// Studs at each outside corner beside the regular ones.
    pub const CORNER_STUDS: u32 = 2;
    /// Studs of each box at a mate line beside the regular ones.
    pub const MATE_LINE_STUDS: u32 = 1;
}

/// An opening in a framed wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FramedOpening {
    /// Rough width, `w`.
    pub width: Length,
    /// Rough height, `h`.
    pub height: Length,
    /// How many, `n`.
    pub count: u32,
    /// Height of the sill above the floor, where known.
    pub sill: Option<Length>,
    /// Whether it stands on the floor and cuts the bottom plate.
    pub is_door: bool,
}

/// A wall whose members are counted.
#[derive(Clone, Debug, PartialEq)]
pub struct FramedWall {
    /// Length in plan, `L`.
    pub run: Length,
    /// Area with openings, `A`.
    pub gross: Area,
    /// Outside corners.
    pub corners: f64,
    /// Mate lines that end in the wall.
    pub mate_line_ends: f64,
    /// Openings.
    pub openings: Vec<FramedOpening>,
    /// Members.
    pub members: WallMembers,
}

impl FramedWall {
    /// `N = ⌈L/s⌉ + 1`.
    pub fn regular_studs(&self) -> f64 {
        (self.run / self.members.spacing - 1e-9).ceil() + 1.0
    }
}

/// A symbol in the equation of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Symbol {
    /// As the equation writes it.
    pub symbol: &'static str,
    /// What it stands for.
    pub meaning: String,
    /// Its value: a length, an area or a number.
    pub value: Quantity,
}

/// Members of one sort and the area they cover.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What they are: `regular studs`.
    pub what: &'static str,
    /// How their area follows.
    pub equation: &'static str,
    /// The equation's symbols, in its order.
    pub symbols: Vec<Symbol>,
    /// The area they cover; below zero where it takes away what openings displace.
    pub area: Area,
}

impl Part {
    pub(crate) fn new(what: &'static str, equation: &'static str, area: Area) -> Part {
        Part { what, equation, symbols: Vec::new(), area }
    }

    pub(crate) fn with(mut self, symbol: &'static str, meaning: impl Into<String>, value: impl Into<Quantity>) -> Part {
        self.symbols.push(Symbol { symbol, meaning: meaning.into(), value: value.into() });
        self
    }
}

/// The members found and the share they cover.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    /// Sorts of members; an area below zero takes away what openings displace.
    pub parts: Vec<Part>,
    /// The face they share with the cavities: the wall less its openings.
    pub face: Area,
    /// `f`.
    pub fraction: Ratio,
}

/// Counts the members of a wall.
///
/// `f = Σ A_i / (A − A_openings)`, with `A_i` the faces of rims, plates, studs, headers, jacks, full-height studs beside
/// openings, rough sills, corner studs, mate-line studs and blocking (m²). Studs stand between the plates, their number
/// is `⌈L/s⌉ + 1` over the whole length; openings displace the regular studs they interrupt. One full-height stud
/// stands at each side of an opening. Window jacks without a given sill reach up to a header below the plates. A
/// header is no deeper than the wall leaves above its opening.
///
/// Source: common practice, no source.
///
/// # Errors
/// In words, when the wall has no room for what is in it.
pub fn wall(wall: &FramedWall) -> Result<Count, String> {
    let members = &wall.members;
    let thickness = members.thickness;
    if wall.run.si() <= 0.0 || wall.gross.si() <= 0.0 {
        return Err("the wall has no length or no area to count framing in".to_owned());
    }
    let plates = f64::from(members.bottom_plates) + f64::from(members.top_plates);
    let clear = wall.gross / wall.run - members.rim_height - thickness * plates;
    let openings: Area = wall.openings.iter().map(FramedOpening::area).sum();
    let face = wall.gross - openings;
    if clear.si() <= 0.0 || face.si() <= 0.0 {
        return Err("plates and openings leave no wall to count framing in".to_owned());
    }
    let studs = wall.regular_studs();
    let openings = Openings { wall, clear };
    let number = openings.number(|_| true);
    let all_widths = openings.widths(|_| true);
    let windows = openings.widths(|opening| !opening.is_door);
    let doors = openings.widths(|opening| opening.is_door);
    let displaced = openings.displaced();
    let jacks = openings.jacks();
    let (bottom, top) = (f64::from(members.bottom_plates), f64::from(members.top_plates));
    let jacks_each = f64::from(members.jacks);
    let corner_studs = f64::from(members.corner_studs);
    let (mate_studs, rows) = (f64::from(members.mate_line_studs), f64::from(members.blocking_rows));
    let between = Length::from_si((wall.run - thickness * studs).si().max(0.0));
    let t = |part: Part| part.with("t", "thickness of a member", thickness);
    let high = |part: Part| part.with("Hc", "height between plates", clear);
    let mut header_part = Part::new("headers", "A = Σ n dh (w + 2 nj t)", openings.headers())
        .with("Σ n w", "widths of openings", all_widths)
        .with("n", "openings", number)
        .with("nj", "jack studs at each side", jacks_each);
    for opening in &wall.openings {
        let meaning = format!("header over {}", opening.words());
        header_part = header_part.with("dh", meaning, openings.header(opening));
    }
    let parts = vec![
        Part::new("floor and ceiling rims", "A = hr L", members.rim_height * wall.run)
            .with("hr", "height of rims", members.rim_height)
            .with("L", "length of wall", wall.run),
        t(Part::new("plates", "A = (nb + nt) t L", thickness * wall.run * plates)
            .with("nb", "bottom plates", bottom)
            .with("nt", "top plates", top))
        .with("L", "length of wall", wall.run),
        t(Part::new("bottom plates cut out at doors", "A = −nb t Wd", doors * thickness * -bottom).with(
            "nb",
            "bottom plates",
            bottom,
        ))
        .with("Wd", "widths of doors", doors),
        high(t(Part::new("regular studs", "A = N t Hc", thickness * clear * studs).with("N", "regular studs", studs))),
        t(Part::new(
            "regular studs displaced by openings",
            "A = −(t/s) Ad",
            displaced * -(thickness / members.spacing),
        ))
        .with("s", "spacing", members.spacing)
        .with("Ad", "openings with their headers, Σ n w (h + dh)", displaced),
        high(t(Part::new("full-height studs beside openings", "A = 2 n t Hc", thickness * clear * (2.0 * number))
            .with("n", "openings", number))),
        t(Part::new("jack studs", "A = 2 nj t J", thickness * jacks * (2.0 * jacks_each)).with(
            "nj",
            "jack studs at each side",
            jacks_each,
        ))
        .with("J", "heights of jacks, once per opening", jacks),
        t(header_part),
        t(Part::new("rough sills", "A = t Ww", thickness * windows)).with("Ww", "widths of windows", windows),
        high(t(Part::new("corner studs", "A = nc nk t Hc", thickness * clear * (wall.corners * corner_studs))
            .with("nc", "outside corners", wall.corners)
            .with("nk", "more studs at each", corner_studs))),
        high(t(Part::new(
            "studs at mate lines, one set per box",
            "A = 2 ne nm t Hc",
            thickness * clear * (2.0 * wall.mate_line_ends * mate_studs),
        )
        .with("ne", "mate lines that end in the wall", wall.mate_line_ends)
        .with("nm", "more studs of each box", mate_studs))),
        t(Part::new("blocking between studs", "A = nr t Lb", thickness * between * rows).with("nr", "rows", rows))
            .with("Lb", "length between studs, L − N t", between),
    ];
    finish(parts, face)
}

/// The openings of a wall and what stands around them.
struct Openings<'a> {
    wall: &'a FramedWall,
    /// Height between plates.
    clear: Length,
}

impl Openings<'_> {
    fn number(&self, of: impl Fn(&FramedOpening) -> bool) -> f64 {
        self.wall.openings.iter().filter(|opening| of(opening)).map(|opening| f64::from(opening.count)).sum()
    }

    fn widths(&self, of: impl Fn(&FramedOpening) -> bool) -> Length {
        let openings = self.wall.openings.iter().filter(|opening| of(opening));
        openings.map(|opening| opening.width * f64::from(opening.count)).sum()
    }

    fn header(&self, opening: &FramedOpening) -> Length {
        least(self.wall.members.header_depth, self.clear - opening.height)
    }

    /// `Σ n w (h + dh)`.
    fn displaced(&self) -> Area {
        let each = |opening: &FramedOpening| {
            let height = least(opening.height + self.header(opening), self.clear);
            opening.width * height * f64::from(opening.count)
        };
        self.wall.openings.iter().map(each).sum()
    }

    /// `Σ n hj`.
    fn jacks(&self) -> Length {
        let each = |opening: &FramedOpening| {
            let below_header = self.clear - self.header(opening);
            let height = match (opening.is_door, opening.sill) {
                (true, _) => least(opening.height, below_header),
                (false, Some(sill)) => least(sill + opening.height, below_header),
                (false, None) => below_header,
            };
            height * f64::from(opening.count)
        };
        self.wall.openings.iter().map(each).sum()
    }

    /// `Σ n dh (w + 2 nj t)`.
    fn headers(&self) -> Area {
        let members = &self.wall.members;
        let bearing = members.thickness * (2.0 * f64::from(members.jacks));
        let each =
            |opening: &FramedOpening| self.header(opening) * (opening.width + bearing) * f64::from(opening.count);
        self.wall.openings.iter().map(each).sum()
    }
}

impl FramedOpening {
    fn area(&self) -> Area {
        self.width * self.height * f64::from(self.count)
    }

    /// `2 of 1219 x 914 mm`.
    pub(crate) fn words(&self) -> String {
        format!("{} of {:.0} x {:.0} mm", self.count, self.width.si() * 1e3, self.height.si() * 1e3)
    }
}

/// The smaller of two lengths, never below zero.
fn least(a: Length, b: Length) -> Length {
    Length::from_si(a.si().min(b.si()).max(0.0))
}

/// Sums the parts over the face.
pub(crate) fn finish(parts: Vec<Part>, face: Area) -> Result<Count, String> {
    let parts: Vec<Part> = parts.into_iter().filter(|part| part.area.si() != 0.0).collect();
    let framing: Area = parts.iter().map(|part| part.area).sum();
    let fraction = framing / face;
    if (0.0..=1.0).contains(&fraction) {
        Ok(Count { parts, face, fraction: Ratio::from_si(fraction) })
    } else {
        Err(format!("the members counted cover {:.0} % of the face; give framed.fraction", fraction * 100.0))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn inches(number: f64) -> Length {
        Length::from_si(number * 0.0254)
    }

    fn members() -> WallMembers {
        WallMembers {
            thickness: inches(1.5),
            spacing: inches(16.0),
            bottom_plates: 1,
            top_plates: 2,
            header_depth: inches(7.25),
            jacks: 1,
            corner_studs: 0,
            mate_line_studs: 0,
            blocking_rows: 0,
            rim_height: inches(0.0),
        }
    }

    fn sixteen_feet(openings: Vec<FramedOpening>, members: WallMembers) -> FramedWall {
        let run = inches(192.0);
        FramedWall { run, gross: run * inches(96.0), corners: 0.0, mate_line_ends: 0.0, openings, members }
    }

    fn fraction(wall_: &FramedWall) -> f64 {
        wall(wall_).unwrap().fraction.si()
    }

    /// Counted by hand: 16 ft by 8 ft, studs 1.5 in at 16 in, three plates.
    /// Face 192 x 96 = 18,432 in². Plates 3 x 1.5 x 192 = 864. Studs 192/16 + 1 = 13 of 96 − 4.5 = 91.5 in:
    /// 13 x 1.5 x 91.5 = 1,784.25. Together 2,648.25 in², or 14.37 %.
    #[test]
    fn a_plain_wall_counted_by_hand() {
        let found = fraction(&sixteen_feet(Vec::new(), members()));
        assert!((found - 2_648.25 / 18_432.0).abs() < 1e-9, "{found}");
    }

    /// The same wall, 12 in of its height filled by rims, by hand: rims 12 x 192 = 2,304; plates 864; studs
    /// 13 x 1.5 x (96 − 12 − 4.5) = 1,550.25. Together 4,718.25 of 18,432 in²: 25.60 %.
    #[test]
    fn a_wall_with_rims_counted_by_hand() {
        let members = WallMembers { rim_height: inches(12.0), ..members() };
        let found = fraction(&sixteen_feet(Vec::new(), members));
        assert!((found - 4_718.25 / 18_432.0).abs() < 1e-9, "{found}");
    }

    /// The same wall with one window 48 x 36 in, sill at 36 in, by hand:
    /// displaced studs −48/16 x 1.5 x (36 + 7.25) = −194.625; full-height studs 2 x 1.5 x 91.5 = 274.5;
    /// jacks 2 x 1.5 x 72 = 216; header 7.25 x (48 + 3) = 369.75; rough sill 1.5 x 48 = 72.
    /// 2,648.25 − 194.625 + 274.5 + 216 + 369.75 + 72 = 3,385.875 over 18,432 − 1,728 = 16,704: 20.27 %.
    #[test]
    fn a_wall_with_a_window_counted_by_hand() {
        let window = FramedOpening {
            width: inches(48.0),
            height: inches(36.0),
            count: 1,
            sill: Some(inches(36.0)),
            is_door: false,
        };
        let found = fraction(&sixteen_feet(vec![window], members()));
        assert!((found - 3_385.875 / 16_704.0).abs() < 1e-9, "{found}");
    }

    /// The plain wall with a door 36 x 82 in, one corner with two more studs, one mate line with one more stud per box
    /// and a row of blocking, by hand: bottom plate −1.5 x 36 = −54; displaced −36/16 x 1.5 x 89.25 = −301.21875;
    /// full-height 274.5; jacks 2 x 1.5 x 82 = 246; header 7.25 x 39 = 282.75; corner 2 x 1.5 x 91.5 = 274.5;
    /// mate line 2 x 1.5 x 91.5 = 274.5; blocking 1.5 x (192 − 13 x 1.5) = 258.75.
    /// Sum 2,648.25 + 1,255.78125 = 3,904.03125 over 18,432 − 2,952 = 15,480: 25.22 %.
    #[test]
    fn a_wall_with_a_door_a_corner_and_a_mate_line_counted_by_hand() {
        let door = FramedOpening { width: inches(36.0), height: inches(82.0), count: 1, sill: None, is_door: true };
        let members = WallMembers { corner_studs: 2, mate_line_studs: 1, blocking_rows: 1, ..members() };
        let mut framed = sixteen_feet(vec![door], members);
        (framed.corners, framed.mate_line_ends) = (1.0, 1.0);
        let found = fraction(&framed);
        assert!((found - 3_904.031_25 / 15_480.0).abs() < 1e-9, "{found}");
    }

    #[test]
    fn more_members_than_wall_is_said() {
        let members = WallMembers { corner_studs: 200, ..members() };
        let mut framed = sixteen_feet(Vec::new(), members);
        framed.corners = 2.0;
        let message = wall(&framed).unwrap_err();
        assert!(
            message.ends_with("give framed.fraction") && message.starts_with("the members counted cover 3"),
            "{message}"
        );
        framed.run = Length::from_si(0.0);
        assert!(wall(&framed).is_err());
    }
}
