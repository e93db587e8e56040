//! Unheated spaces: how cold they get, and what the home loses to them.

use mateline_model::{Report, Subject};
use mateline_tests::{Copy, check_file, number};

const ENCLOSURE: &str = "enclosure: {walls: wall, ceilings: attic-ceiling, floors: floor, inspected_by_list: true}";
const CRAWL_SPACE: &str = "  kind: crawl-space\n  conditioned: false\n  height: 3 ft\n  depth_below_grade: 1 ft\n";
const OVER: &str = "    adjoins: crawl-space\n";
const HEADING: &str = "assemblies: # layers from inside to outside\n";

/// Sparrow Court with texts replaced, each of which it holds.
fn sparrow(replacements: &[(&str, &str)]) -> Report {
    check_file(&Copy::edited("sparrow-court", replacements).home()).unwrap_or_else(|bad| panic!("{bad}"))
}

/// Sparrow Court with an enclosure that describes unheated spaces.
fn enclosing(unheated: &str) -> Report {
    let with = ENCLOSURE.replace("inspected_by_list: true", &format!("inspected_by_list: true, unheated: {unheated}"));
    sparrow(&[(ENCLOSURE, &with)])
}

/// Sparrow Court over a basement outside its thermal envelope.
fn over_a_cellar() -> Report {
    let cellar = "  kind: basement\n  conditioned: false\n  wall: cellar-wall\n  floor: cellar-floor\n  height: 7 ft\n  \
                  depth_below_grade: 5 ft\n";
    let built = "  cellar-wall: {kind: basement-wall, layers: [{material: concrete, thickness: 8 in}]}\n  \
                 cellar-floor: {kind: slab, layers: [{material: concrete, thickness: 4 in}]}\n";
    sparrow(&[
        (CRAWL_SPACE, cellar),
        (OVER, "    adjoins: unheated-basement\n"),
        (HEADING, &format!("{HEADING}{built}")),
    ])
}

/// Sparrow Court on piers: its floor is the same, over outdoor air.
fn over_outdoor_air() -> Report {
    sparrow(&[(CRAWL_SPACE, "  kind: piers\n"), (OVER, "    adjoins: outdoor\n")])
}

fn needs(report: &Report) -> [f64; 3] {
    ["energy.heating_need", "energy.hourly_heating_need", "energy.heating_load"]
        .map(|quantity| number(report, "home", quantity))
}

/// The mean of Greensboro's January, and its design temperature as the example has it (°C): the reference notes' months of the
/// public file (computed by another hand).
const JANUARY: f64 = 0.33;
const DESIGN: f64 = (19.0 - 32.0) / 1.8;

/// Air of a basement in the ground and of a vented crawl space lies between outdoors and the rooms; the home needs less heat over
/// it than over outdoor air, in the months, in the hours and on the coldest day. First principles.
#[test]
fn what_lies_below_the_floor_is_warmer_than_outdoors() {
    let (cellar, crawl_space, piers) = (over_a_cellar(), sparrow(&[]), over_outdoor_air());
    for report in [&cellar, &crawl_space] {
        for (quantity, outdoors) in [("energy.space_winter", JANUARY), ("energy.space_coldest", DESIGN)] {
            let space = number(report, "unheated.below-floor", quantity);
            assert!(outdoors < space && space < 20.0, "{quantity}: {space} beside {outdoors}");
        }
        for (over, in_air) in needs(report).iter().zip(needs(&piers)) {
            assert!(*over < in_air, "{over} beside {in_air}");
        }
    }
    assert!(piers.facts.get(&Subject::element("unheated", "below-floor"), "energy.space_factor").is_none());
}

/// Heat into the space is heat out of it on the coldest day: what passes the floor is the floor's own U-factor times what lies
/// between the rooms and the space, and it is what the load counts for the ground. The load's ground by hand: the steady factor
/// of floor and all below it, from rooms to outdoors.
#[test]
fn the_temperature_below_is_the_one_that_the_load_has() {
    for report in [over_a_cellar(), sparrow(&[])] {
        let space = number(&report, "unheated.below-floor", "energy.space_coldest");
        let floors = report.facts.subjects().filter(|subject| subject.section() == "surfaces");
        let below =
            floors.filter(|subject| subject.as_str().contains("crawl-space") || subject.as_str().contains("unheated"));
        let floor: f64 = below.map(|subject| number(&report, subject.as_str(), "envelope.heat_loss")).sum();
        let ground = number(&report, "home", "junctions.ground_loss");
        let passes = floor * (20.0 - space);
        assert!(passes > 100.0 && (passes / (ground * (20.0 - DESIGN)) - 1.0).abs() < 1e-9, "{passes} W");
        let whole = number(&report, "home", "junctions.ua_with_junctions");
        let airborne = number(&report, "home", "energy.envelope_loss");
        assert!((airborne + ground - whole).abs() < 1e-9 * whole, "no part is counted twice or left out");
    }
}

/// A closed attic by hand: the ceiling's own loss beside 40 W/K of the roof and 0.33 times 85 m³ of air three times an hour.
/// More air only brings it nearer to outdoors; a home that says less of it stands as one that says nothing.
#[test]
fn an_attic_keeps_what_its_roof_and_air_let_it() {
    let described = |changes: &str| enclosing(&format!("{{attic: {{outer_loss: 40 W/K, volume: 85 m³{changes}}}}}"));
    let (closed, open, bare) = (described(", air_changes: 3 ACH"), described(", air_changes: 30 ACH"), sparrow(&[]));
    let ceiling = number(&bare, "surfaces.attic-ceiling-attic-up", "envelope.heat_loss");
    let out = 40.0 + 0.33 * 3.0 * 85.0;
    let factor = out / (ceiling + out);
    assert!((number(&closed, "unheated.attic", "energy.space_factor") - factor).abs() < 1e-9);
    let losses = [&bare, &closed].map(|report| number(report, "home", "energy.envelope_loss"));
    assert!((losses[0] - losses[1] - (1.0 - factor) * ceiling).abs() < 1e-9, "{losses:?}");
    let winter = [&closed, &open].map(|report| number(report, "unheated.attic", "energy.space_winter"));
    assert!(20.0 > winter[0] && winter[0] > winter[1] && winter[1] > JANUARY, "{winter:?}");
    let by_hand = 20.0 - factor * (20.0 - JANUARY);
    assert!((winter[0] - by_hand).abs() < 0.005, "{winter:?} beside {by_hand}");
    let of = [&closed, &open, &bare].map(needs);
    for ((sheltered, aired), cold) in of[0].iter().zip(of[1]).zip(of[2]) {
        assert!(*sheltered < aired && aired < cold, "{of:?}");
    }
    let half = described("");
    assert_eq!(needs(&half), of[2]);
    let why = half.missing.iter().find(|one| one.subject.as_str() == "unheated.attic").map(|one| one.because.clone());
    assert_eq!(why.as_deref(), Some("enclosure.unheated.attic.air_changes is not given"));
    // Both homes of the performance path stand under the same attic, which the table's ceiling leaves about as warm.
    let reference = |report: &Report| number(report, "references.energy-code-2021", "energy.reference_source");
    assert!(reference(&closed) < reference(&open) && reference(&open) < reference(&bare));
}

/// Rooms lose what the home loses where a wall and a door of one of them stand against a garage that is described.
#[test]
fn rooms_lose_what_the_home_loses_beside_a_garage() {
    let wall = "  garage-wall:\n    kind: wall\n    adjoins: garage\n    layers:\n      - {material: gypsum-board, thickness: 1/2 in}\n      \
                - framed: {member: softwood, size: 2x6, spacing: 16 in, fill: cellulose-dense-pack}\n      \
                - {material: osb, thickness: 7/16 in, role: air-barrier}\n";
    let garage = "unheated: {garage: {outer_loss: 60 W/K, volume: 90 m³, air_changes: 1 ACH}}";
    let of = |described: &str| {
        let with = "inspected_by_list: true, except: [{module: A, face: west, assembly: garage-wall}]";
        let enclosure = ENCLOSURE.replace("inspected_by_list: true", &format!("{with}{described}"));
        sparrow(&[(ENCLOSURE, &enclosure), (HEADING, &format!("{HEADING}{wall}"))])
    };
    let (warm, cold) = (of(&format!(", {garage}")), of(""));
    for report in [&warm, &cold] {
        let spaces = report.facts.subjects().filter(|subject| subject.section() == "spaces");
        let rooms: f64 = spaces.map(|room| number(report, room.as_str(), "energy.heating_load")).sum();
        let home = number(report, "home", "energy.heating_load");
        assert!((rooms / home - 1.0).abs() < 1e-9, "{rooms} W of rooms, {home} W of the home");
    }
    // What a room's door loses is less by the factor, in the room that it serves.
    let factor = number(&warm, "unheated.garage", "energy.space_factor");
    let entry = [&cold, &warm].map(|report| number(report, "spaces.entry", "energy.heating_load"));
    let door = number(&cold, "openings.front-door", "envelope.heat_loss") * (20.0 - DESIGN);
    assert!(entry[0] - entry[1] >= (1.0 - factor) * door, "{entry:?}, {door} W through the door, {factor}");
}
