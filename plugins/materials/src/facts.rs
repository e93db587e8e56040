//! Every quantity of this plugin, with its unit and meaning.

use mateline_model::quantity::Units;

/// A concentration in air.
pub(crate) const CONCENTRATION_UNITS: Units = Units::new("µg/m³", 2, "µg/m³", 2);
/// VOC content; both systems write it in grams per litre.
const CONTENT_UNITS: Units = Units::new("g/L", 0, "g/L", 0);
/// An emission factor.
pub(crate) const EMISSION_UNITS: Units = Units::new("µg/(m²·h)", 2, "µg/(m²·h)", 2);
/// What a source gives off.
pub(crate) const SOURCE_UNITS: Units = Units::new("µg/h", 1, "µg/h", 1);
/// Radon in air.
const RADON_UNITS: Units = Units::new("Bq/m³", 0, "pCi/L", 1);
/// A share of a volume of air.
const PPM_UNITS: Units = Units::new("ppm", 3, "ppm", 3);

mateline_sdk::quantities! {
    KIND = text("materials.kind";
        "Kind of finish: coating, adhesive, sealant, flooring, board, joinery, panel, insulation, pipe, other.");
    CATEGORY = text("materials.category"; "What a finish is used as, in the words of the rules that limit it.");
    AREA = number("materials.area", Units::AREA; "Area exposed to the rooms: given, or derived from the rooms.");
    LENGTH = number("materials.length", Units::LENGTH;
        "Length of a bead or strip: given, or the length of all mate lines.");
    VOC_CONTENT = number("materials.voc_content", CONTENT_UNITS;
        "VOC content, less water and exempt compounds, as given.");
    COLOURANT_VOC = number("materials.colourant_voc", CONTENT_UNITS;
        "Colourant VOC: per volume of colourant, as given.");
    MAY_HOLD_COMPOSITE_WOOD = flag("materials.may_hold_composite_wood";
        "Whether the finish may hold composite wood: by its kind or category, or because it says so.");
    COMPOSITE_WOOD = text("materials.composite_wood"; "Composite wood class: by its formaldehyde, as given.");
    PANEL = text("materials.panel"; "Composite wood panel, as the federal rule divides them.");
    PANEL_FORMALDEHYDE = number("materials.panel_formaldehyde", PPM_UNITS;
        "Formaldehyde of the panel: in the air of its chamber test, as given.");
    EMISSIONS_KNOWN = flag("materials.emissions_known";
        "Whether emission factors of the finish are known, by its own test or one that took it in.");
    FINISH = text("materials.finish"; "Finish that an emission comes from.");
    COMPOUND = text("materials.compound"; "Compound in the air.");
    SPACE = text("materials.space"; "Room whose air it is; 'home' for the whole dwelling.");
    CONCENTRATION = number("materials.concentration", CONCENTRATION_UNITS;
        "Concentration at 14 days: from all finishes together, in steady air.");
    CONCENTRATION_MOVE_IN = number("materials.concentration_move_in", CONCENTRATION_UNITS;
        "Concentration at move-in: from all finishes together.");
    CONCENTRATION_ONE_YEAR = number("materials.concentration_one_year", CONCENTRATION_UNITS;
        "Mean concentration over the first year: after move-in, from all finishes together.");
    LARGEST_SOURCE = text("materials.largest_source"; "Finish that gives off most of a compound at 14 days.");
    SOURCE_SHARE = number("materials.source_share", Units::PERCENT; "Share of the largest source.");
    ALL_SOURCES_KNOWN = flag("materials.all_sources_known";
        "Whether every finish of the room has known emissions and an area; missing, and not false, where one has not.");
    SUMS_COMPLETE = flag("materials.sums_complete";
        "Whether every finish of the home has known emissions and an area; missing, and not false, where one has not.");
    UNKNOWN_SOURCES = number("materials.unknown_sources", Units::plain(0);
        "Finishes of the room of which it is not known what they give off, counted.");
    CHRONIC_REFERENCE_LEVEL = number("materials.chronic_reference_level", CONCENTRATION_UNITS;
        "Chronic reference exposure level, a toxicological value and no limit of a code.");
    CHRONIC_LEVEL_SURE = flag("materials.chronic_level_sure";
        "Whether the chronic reference level was looked up or is recalled without doubt.");
    CDPH_ALLOWABLE = number("materials.cdph_allowable", CONCENTRATION_UNITS;
        "Concentration that the CDPH method allows one product to bring about.");
    CDPH_LEVEL_SURE = flag("materials.cdph_level_sure";
        "Whether the allowable concentration was looked up or is recalled without doubt.");
    FLOW_NEEDED = number("materials.flow_needed", Units::HOURLY_FLOW;
        "Fresh air that would bring the concentration at 14 days down to the lower of the two levels.");
    HAZARD_INDEX = number("materials.hazard_index", Units::plain(2);
        "Hazard index: of the organ most concerned, the sum of yearly mean concentration over chronic reference level.");
    HAZARD_ORGAN = text("materials.hazard_organ"; "Organ with the greatest hazard index.");
    SCENARIO_CONCENTRATION = number("materials.scenario_concentration", CONCENTRATION_UNITS;
        "Concentration in the standard residence: what one product brings about, 0.9 of the volume ventilated.");
    SCENARIO_CONCENTRATION_WHOLE_FLOW = number("materials.scenario_concentration_whole_flow", CONCENTRATION_UNITS;
        "Concentration in the standard residence by area-specific flow: what one product brings about.");
    SCENARIO_LOADING = text("materials.scenario_loading";
        "Area the scenario uses: floor, ceiling, wall, or project for the finish's own.");
    MEASURED_CONCENTRATION = number("materials.measured_concentration", CONCENTRATION_UNITS;
        "Measured concentration: of a compound in the air of a room, as the record gives it.");
    MEASURED_COMPOUND = text("materials.measured_compound"; "Compound that an air sample was tested for.");
    MEASURED_RADON = number("materials.measured_radon", RADON_UNITS; "Measured radon, as the record gives it.");
    CONTENTS_DECLARED = flag("materials.contents_declared";
        "Whether the contents are listed, or a valid statement of them is named.");
    AVOIDED = text("materials.avoided";
        "Kinds of substances to avoid that the listed contents belong to; 'none' where there are none.");
    AVOIDED_COUNT = number("materials.avoided_count", Units::plain(0);
        "Kinds of substances to avoid: how many of them it holds.");
    EVIDENCE_STATE = text("materials.evidence_state";
        "State of a record on the day of judging: valid, expired, not-yet-issued, too-old, no-end, no-dates, missing.");
    EVIDENCE_VALID = flag("materials.evidence_valid";
        "Whether a record is valid on the day of judging; missing where that cannot be told.");
    EVIDENCE_DAYS_LEFT = number("materials.evidence_days_left", Units::DAYS;
        "Time left of the record: days from the day of judging to its end, negative after it.");
    EVIDENCE_FILE_NAMED = flag("materials.evidence_file_named";
        "Whether the record's file is named.");
    EVIDENCE_FILE_PRESENT = flag("materials.evidence_file_present";
        "Whether the record's file is in the project folder; missing where it could not be read.");
    EVIDENCE_SHA256 = text("materials.evidence_sha256"; "SHA-256 of the record's file, in hexadecimal.");
    EVIDENCE_OWED_BY = text("materials.evidence_owed_by";
        "Who has to provide the record: as given, or who applies the finishes it backs.");
    EVIDENCE_USES = number("materials.evidence_uses", Units::plain(0); "Finishes that rest on the record, counted.");
    EVIDENCE_MATCHES = flag("materials.evidence_matches";
        "Whether every record the finish names is for its product, maker, model, lot and category.");
    EMISSION_CERTIFICATE = text("materials.emission_certificate";
        "Emission certificate: state of the best one that the finish names and that belongs to it.");
    COMPOSITE_WOOD_LABEL = text("materials.composite_wood_label";
        "Composite wood label: state of the best one that the finish names and that belongs to it.");
    PRODUCT_RECORD = text("materials.product_record";
        "Product record: state of the best label or test report that an opening names and that belongs to it.");
    PANEL_COUNT = number("materials.panel_count", Units::plain(0);
        "Composite wood finishes: those in a box's rooms, counted.");
    CUSTODY_COUNT = number("materials.custody_count", Units::plain(0);
        "Chain-of-custody records: finishes with composite wood in a box's rooms that a valid one backs, counted.");
}
