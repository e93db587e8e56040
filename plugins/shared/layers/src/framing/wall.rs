//! The share of a wall's face that is framing, counted member by member from the length of wall, its corners, mate
//! lines and openings. A member is taken to be solid through the full depth of the framed layer.

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use super::count::{AREA, Count, LENGTH, Part, finish};
use mateline_equation::equation;
use mateline_model::home::{Opening, OpeningKind};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Step, Term};

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

equation! {
    /// Height between the plates of a wall. Source: geometry.
    pub Clear = "Hc = A/L − hr − (nb + nt) t" {
        Hc: Length "height between plates" [LENGTH],
        A: Area "area with openings" [AREA],
        L: Length "length of wall" [LENGTH],
        hr: Length "height of rims" [Units::THICKNESS],
        nb: f64 "bottom plates" [Units::COUNT],
        nt: f64 "top plates" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
    }

    /// The same in a wall without rims. Source: geometry.
    pub ClearWithoutRims = "Hc = A/L − (nb + nt) t" {
        Hc: Length "height between plates" [LENGTH],
        A: Area "area with openings" [AREA],
        L: Length "length of wall" [LENGTH],
        nb: f64 "bottom plates" [Units::COUNT],
        nt: f64 "top plates" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
    }

    /// Regular studs over the whole length of a wall; what is a whole number but for rounding counts as one.
    /// Source: common practice, no source.
    pub RegularStuds = "N = ⌈L/s − 10⁻⁹⌉ + 1" {
        N: f64 "regular studs" [Units::COUNT],
        L: Length "length of wall" [LENGTH],
        s: Length "spacing" [Units::THICKNESS],
    }

    /// Rims of floor and ceiling within a wall's height. Source: geometry.
    pub Rims = "A = hr L" {
        A: Area "floor and ceiling rims" [AREA],
        hr: Length "height of rims" [Units::THICKNESS],
        L: Length "length of wall" [LENGTH],
    }

    /// Plates along a wall. Source: geometry.
    pub Plates = "A = (nb + nt) t L" {
        A: Area "plates" [AREA],
        nb: f64 "bottom plates" [Units::COUNT],
        nt: f64 "top plates" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        L: Length "length of wall" [LENGTH],
    }

    /// Bottom plates that doors take away. Source: geometry.
    pub CutPlates = "A = −nb t Wd" {
        A: Area "bottom plates cut out at doors" [AREA],
        nb: f64 "bottom plates" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        Wd: Length "widths of doors" [LENGTH],
    }

    /// Regular studs between the plates. Source: geometry.
    pub Studs = "A = N t Hc" {
        A: Area "regular studs" [AREA],
        N: f64 "regular studs" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        Hc: Length "height between plates" [LENGTH],
    }

    /// Openings of a wall with the headers above them, no higher than the plates leave. Source: geometry.
    pub Displaced = "Ad = Σ n_o w_o min(Hc, h_o + dh_o)" {
        Ad: Area "openings with their headers" [AREA],
        n_o: [f64] "how many" [Units::COUNT],
        w_o: [Length] "width of an opening" [LENGTH],
        h_o: [Length] "height of an opening" [LENGTH],
        dh_o: [Length] "depth of its header" [Units::THICKNESS],
        Hc: Length "height between plates" [LENGTH],
    }

    /// Regular studs that openings displace. Source: common practice, no source.
    pub DisplacedStuds = "A = −(t/s) Ad" {
        A: Area "regular studs displaced by openings" [AREA],
        t: Length "thickness of a member" [Units::THICKNESS],
        s: Length "spacing" [Units::THICKNESS],
        Ad: Area "openings with their headers" [AREA],
    }

    /// One full-height stud at each side of every opening. Source: common practice, no source.
    pub FullHeight = "A = 2 n t Hc" {
        A: Area "full-height studs beside openings" [AREA],
        n: f64 "openings" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        Hc: Length "height between plates" [LENGTH],
    }

    /// Jack studs at both sides of every opening. Source: common practice, no source.
    pub Jacks = "A = 2 nj t Σ n_o j_o" {
        A: Area "jack studs" [AREA],
        nj: f64 "jack studs at each side" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        n_o: [f64] "how many" [Units::COUNT],
        j_o: [Length] "height of a jack" [LENGTH],
    }

    /// Headers over openings, which bear on the jacks. Source: common practice, no source.
    pub Headers = "A = Σ n_o dh_o (w_o + 2 nj t)" {
        A: Area "headers" [AREA],
        n_o: [f64] "how many" [Units::COUNT],
        dh_o: [Length] "depth of a header" [Units::THICKNESS],
        w_o: [Length] "width of an opening" [LENGTH],
        nj: f64 "jack studs at each side" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
    }

    /// Rough sills under windows. Source: common practice, no source.
    pub Sills = "A = t Ww" {
        A: Area "rough sills" [AREA],
        t: Length "thickness of a member" [Units::THICKNESS],
        Ww: Length "widths of windows" [LENGTH],
    }

    /// More studs at outside corners. Source: common practice, no source.
    pub CornerStuds = "A = nc nk t Hc" {
        A: Area "corner studs" [AREA],
        nc: f64 "outside corners" [Units::COUNT],
        nk: f64 "more studs at each" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        Hc: Length "height between plates" [LENGTH],
    }

    /// More studs of both boxes where a mate line ends in the wall. Source: common practice, no source.
    pub MateStuds = "A = 2 ne nm t Hc" {
        A: Area "studs at mate lines, one set per box" [AREA],
        ne: f64 "mate lines that end in the wall" [Units::COUNT],
        nm: f64 "more studs of each box" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        Hc: Length "height between plates" [LENGTH],
    }

    /// Rows of blocking between the regular studs. Source: common practice, no source.
    pub Blocking = "A = nr t max(0, L − N t)" {
        A: Area "blocking between studs" [AREA],
        nr: f64 "rows" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        L: Length "length of wall" [LENGTH],
        N: f64 "regular studs" [Units::COUNT],
    }
}

impl FramedWall {
    /// The regular studs.
    pub fn studs(&self) -> RegularStuds {
        RegularStuds { L: self.run, s: self.members.spacing }
    }

    /// Height between the plates, and its step.
    pub fn clear(&self) -> (Length, Step) {
        let members = &self.members;
        let (nb, nt) = (f64::from(members.bottom_plates), f64::from(members.top_plates));
        let (A, L, hr, t) = (self.gross, self.run, members.rim_height, members.thickness);
        if hr.si() > 0.0 { Clear { A, L, hr, nb, nt, t }.step() } else { ClearWithoutRims { A, L, nb, nt, t }.step() }
    }
}

/// Counts the members of a wall: rims, plates, studs, headers, jacks, full-height studs beside openings, rough sills,
/// corner studs, mate-line studs and blocking. Studs stand between the plates; openings displace the regular studs they
/// interrupt. One full-height stud stands at each side of an opening. Window jacks without a given sill reach up to a
/// header below the plates. A header is no deeper than the wall leaves above its opening.
///
/// Source: common practice, no source.
///
/// # Errors
/// In words, when the wall has no room for what is in it.
pub fn wall(wall: &FramedWall) -> Result<Count, String> {
    let members = &wall.members;
    let (t, s, L) = (members.thickness, members.spacing, wall.run);
    if wall.run.si() <= 0.0 || wall.gross.si() <= 0.0 {
        return Err("the wall has no length or no area to count framing in".to_owned());
    }
    let (Hc, _) = wall.clear();
    let openings: Area = wall.openings.iter().map(FramedOpening::area).sum();
    let face = wall.gross - openings;
    if Hc.si() <= 0.0 || face.si() <= 0.0 {
        return Err("plates and openings leave no wall to count framing in".to_owned());
    }
    let N = wall.studs().value();
    let openings = Openings { wall, clear: Hc };
    let (nb, nt, nj) = (f64::from(members.bottom_plates), f64::from(members.top_plates), f64::from(members.jacks));
    let (nk, nm) = (f64::from(members.corner_studs), f64::from(members.mate_line_studs));
    let (Ww, Wd) = (openings.widths(|opening| !opening.is_door), openings.widths(|opening| opening.is_door));
    let n_o: Vec<f64> = openings.each(|opening| f64::from(opening.count));
    let w_o: Vec<Length> = openings.each(|opening| opening.width);
    let h_o: Vec<Length> = openings.each(|opening| opening.height);
    let dh_o: Vec<Length> = openings.each(|opening| openings.header(opening));
    let j_o: Vec<Length> = openings.each(|opening| openings.jack(opening));
    let (Ad, displaced) = Displaced { n_o: &n_o, w_o: &w_o, h_o: &h_o, dh_o: &dh_o, Hc }.step();
    let (headers, head) = Headers { n_o: &n_o, dh_o: &dh_o, w_o: &w_o, nj, t }.step();
    let over = |term, opening: &FramedOpening| Term { meaning: format!("header over {}", opening.words()), ..term };
    let parts = vec![
        Part::of("floor and ceiling rims", Rims { hr: members.rim_height, L }.step()),
        Part::of("plates", Plates { nb, nt, t, L }.step()),
        Part::of("bottom plates cut out at doors", CutPlates { nb, t, Wd }.step()),
        Part::of("regular studs", Studs { N, t, Hc }.step()),
        Part::of("regular studs displaced by openings", DisplacedStuds { t, s, Ad }.step()).after(displaced),
        Part::of("full-height studs beside openings", FullHeight { n: n_o.iter().sum(), t, Hc }.step()),
        Part::of("jack studs", Jacks { nj, t, n_o: &n_o, j_o: &j_o }.step()),
        Part::of("headers", (headers, head.each(Headers::dh_o, &wall.openings, over))),
        Part::of("rough sills", Sills { t, Ww }.step()),
        Part::of("corner studs", CornerStuds { nc: wall.corners, nk, t, Hc }.step()),
        Part::of("studs at mate lines, one set per box", MateStuds { ne: wall.mate_line_ends, nm, t, Hc }.step()),
        Part::of("blocking between studs", Blocking { nr: f64::from(members.blocking_rows), t, L, N }.step()),
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
    fn each<T>(&self, of: impl Fn(&FramedOpening) -> T) -> Vec<T> {
        self.wall.openings.iter().map(of).collect()
    }

    fn widths(&self, of: impl Fn(&FramedOpening) -> bool) -> Length {
        let openings = self.wall.openings.iter().filter(|opening| of(opening));
        openings.map(|opening| opening.width * f64::from(opening.count)).sum()
    }

    fn header(&self, opening: &FramedOpening) -> Length {
        least(self.wall.members.header_depth, self.clear - opening.height)
    }

    /// Height of the jacks beside an opening.
    fn jack(&self, opening: &FramedOpening) -> Length {
        let below_header = self.clear - self.header(opening);
        match (opening.is_door, opening.sill) {
            (true, _) => least(opening.height, below_header),
            (false, Some(sill)) => least(sill + opening.height, below_header),
            (false, None) => below_header,
        }
    }
}

impl FramedOpening {
    /// As the home gives it.
    pub fn of(opening: &Opening) -> FramedOpening {
        FramedOpening {
            width: opening.width,
            height: opening.height,
            count: opening.count,
            sill: opening.sill,
            is_door: matches!(opening.kind, OpeningKind::GlazedDoor | OpeningKind::OpaqueDoor),
        }
    }

    fn area(&self) -> Area {
        self.width * self.height * f64::from(self.count)
    }

    /// `2 of 1219 x 914 mm`.
    pub fn words(&self) -> String {
        format!("{} of {:.0} x {:.0} mm", self.count, self.width.si() * 1e3, self.height.si() * 1e3)
    }
}

/// The smaller of two lengths, never below zero.
fn least(a: Length, b: Length) -> Length {
    Length::from_si(a.si().min(b.si()).max(0.0))
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
