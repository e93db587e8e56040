//! Every quantity of this plugin, with its unit and meaning.

use mateline_model::quantity::Units;

/// A pressure.
pub(crate) const PRESSURE: Units = Units::new("Pa", 1, "Pa", 1);
/// A leakage area.
pub(crate) const SMALL_AREA: Units = Units::new("cm²", 2, "in²", 2);
/// An air flow per area of envelope.
pub(crate) const FLOW_PER_AREA: Units = Units::new("m³/(h·m²)", 2, "cfm/ft²", 4);
/// Air changes.
pub(crate) const AIR_CHANGES: Units = Units::new("1/h", 2, "ACH", 2);
/// A coefficient: the flow at 1 Pa.
pub(crate) const COEFFICIENT: Units = Units::new("m³/h", 3, "cfm", 3);
/// An exponent.
pub(crate) const EXPONENT: Units = Units::plain(3);

mateline_sdk::quantities! {
    Q50 = number("airtightness.q50", Units::HOURLY_FLOW; "Leakage at 50 Pa by the budget: the sum of the best estimates; of an element, its part.");
    ELA4 = number("airtightness.ela4", SMALL_AREA; "Effective leakage area at 4 Pa by the budget, discharge coefficient 1; of an element, its part.");
    EQLA10 = number("airtightness.eqla10", SMALL_AREA; "Equivalent leakage area at 10 Pa by the budget, discharge coefficient 0.611.");
    EXPONENT_USED = number("airtightness.exponent", EXPONENT; "Exponent of the budget's power law.");
    ACH50 = number("airtightness.ach50", AIR_CHANGES; "Air changes at 50 Pa by the budget, of the interior volume.");
    Q50_PER_AREA = number("airtightness.q50_per_area", FLOW_PER_AREA; "Leakage at 50 Pa by the budget, per area of the exterior envelope.");
    Q50_PER_INTERIOR_AREA = number("airtightness.q50_per_interior_area", FLOW_PER_AREA; "Leakage at 50 Pa by the budget, per area of the envelope as seen from inside.");
    Q50_FACTORY = number("airtightness.q50_factory", Units::HOURLY_FLOW; "Part of the budget that the factory closes.");
    Q50_SITE = number("airtightness.q50_site", Units::HOURLY_FLOW; "Part of the budget that the site closes.");
    Q50_FOUNDATION = number("airtightness.q50_foundation", Units::HOURLY_FLOW; "Part of the budget in the foundation and between it and the boxes.");
    Q50_SEAMS = number("airtightness.q50_seams", Units::HOURLY_FLOW; "Mate lines' part of the budget, points where four boxes meet included.");
    Q50_OPENINGS = number("airtightness.q50_openings", Units::HOURLY_FLOW; "Part of windows, doors, skylights and hatches in the budget.");
    Q50_PENETRATIONS = number("airtightness.q50_penetrations", Units::HOURLY_FLOW; "Part of holes and exhausts in the budget.");
    Q50_LINES = number("airtightness.q50_lines", Units::HOURLY_FLOW; "Part of sills, rims and the line between wall and ceiling in the budget.");
    Q50_ENVELOPE = number("airtightness.q50_envelope", Units::HOURLY_FLOW; "Part of the surfaces in the budget, for leaks that nobody lists.");
    Q50_LOW = number("airtightness.q50_low", Units::HOURLY_FLOW; "Leakage at 50 Pa that the budget stays above in nine cases of ten.");
    Q50_MEDIAN = number("airtightness.q50_median", Units::HOURLY_FLOW; "Leakage at 50 Pa that the budget stays below as often as above.");
    Q50_HIGH = number("airtightness.q50_high", Units::HOURLY_FLOW; "Leakage at 50 Pa that the budget stays below in nine cases of ten.");
    PLANT_TEST_Q50 = number("airtightness.plant_test_q50", Units::HOURLY_FLOW; "Leakage at 50 Pa that a test of the box in the plant may show: the budget of what the factory closes in it.");
    VARIANCE_SHARE = number("airtightness.variance_share", Units::PERCENT; "Share of the budget's variance that comes from this element.");
    Q50_GAIN = number("airtightness.q50_gain", Units::HOURLY_FLOW; "Leakage at 50 Pa saved by the action.");
    GAIN_ACTION = text("airtightness.gain_action"; "What would make this element tighter.");
    TARGET_Q50 = number("airtightness.target_q50", Units::HOURLY_FLOW; "Leakage at 50 Pa that a pack's target comes to in this home.");
    CHANCE = number("airtightness.chance", Units::PERCENT; "Chance of meeting the target, once the home is finished, by the budget.");
    PREDICTED_CHANCE = number("airtightness.predicted_chance", Units::PERCENT; "Chance of meeting the target, once the home is finished, by the prediction from the latest test.");
    REMAINING_ALLOWANCE = number("airtightness.remaining_allowance", Units::HOURLY_FLOW; "Leakage at 50 Pa that may still be added before the target is used up; below zero when it is.");
    NEXT_TEST_Q50 = number("airtightness.next_test_q50", Units::HOURLY_FLOW; "Reading at 50 Pa that the final test may show so that the target is met with the test's uncertainty.");

    TEST_Q50 = number("airtightness.test_q50", Units::HOURLY_FLOW; "Measured leakage at 50 Pa by ISO 9972, mean of the directions.");
    TEST_Q50_LOW = number("airtightness.test_q50_low", Units::HOURLY_FLOW; "Lower end of the measured leakage at 50 Pa, of its 95 % interval.");
    TEST_Q50_HIGH = number("airtightness.test_q50_high", Units::HOURLY_FLOW; "Upper end of the measured leakage at 50 Pa, of its 95 % interval.");
    TEST_Q50_E779 = number("airtightness.test_q50_e779", Units::HOURLY_FLOW; "Measured leakage at 50 Pa by ASTM E779, which also counts the air's viscosity.");
    TEST_EXPONENT = number("airtightness.test_exponent", EXPONENT; "Exponent of the measured curve, mean of the directions.");
    TEST_EXPONENT_LOW = number("airtightness.test_exponent_low", EXPONENT; "Lower end of the 95 % interval of the exponent.");
    TEST_EXPONENT_HIGH = number("airtightness.test_exponent_high", EXPONENT; "Upper end of the 95 % interval of the exponent.");
    TEST_C = number("airtightness.test_c", Units::new("m³/h", 3, "cfm", 3); "Coefficient of the measured curve: its flow at 1 Pa.");
    TEST_C_LOW = number("airtightness.test_c_low", Units::new("m³/h", 3, "cfm", 3); "Lower end of the 95 % interval of the coefficient.");
    TEST_C_HIGH = number("airtightness.test_c_high", Units::new("m³/h", 3, "cfm", 3); "Upper end of the 95 % interval of the coefficient.");
    TEST_R2 = number("airtightness.test_r2", Units::plain(4); "Square of the correlation coefficient of the fit, the lower of the directions.");
    TEST_ACH50 = number("airtightness.test_ach50", AIR_CHANGES; "Measured air changes at 50 Pa.");
    TEST_Q50_PER_AREA = number("airtightness.test_q50_per_area", FLOW_PER_AREA; "Measured leakage at 50 Pa per area of the exterior envelope.");
    TEST_ELA4 = number("airtightness.test_ela4", SMALL_AREA; "Measured effective leakage area at 4 Pa, discharge coefficient 1.");
    TEST_EQLA10 = number("airtightness.test_eqla10", SMALL_AREA; "Measured equivalent leakage area at 10 Pa, discharge coefficient 0.611.");
    TEST_VALID = flag("airtightness.test_valid"; "Whether the test keeps to the conditions of ISO 9972, or of a single-point test.");
    TEST_OBJECTION = text("airtightness.test_objection"; "Why the test does not keep to the conditions of ISO 9972.");
    TEST_VALID_E779 = flag("airtightness.test_valid_e779"; "Whether the test keeps to the conditions of ASTM E779.");
    TEST_OBJECTION_E779 = text("airtightness.test_objection_e779"; "Why the test does not keep to the conditions of ASTM E779.");
    STAGE_BUDGET_Q50 = number("airtightness.stage_budget_q50", Units::HOURLY_FLOW; "Leakage at 50 Pa that the budget expects of this test, with the parts still open.");

    PREDICTED_Q50 = number("airtightness.predicted_q50", Units::HOURLY_FLOW; "Predicted leakage at 50 Pa, of the finished home, from the latest test.");
    PREDICTED_Q50_LOW = number("airtightness.predicted_q50_low", Units::HOURLY_FLOW; "Predicted leakage at 50 Pa that the home stays above in nine cases of ten.");
    PREDICTED_Q50_HIGH = number("airtightness.predicted_q50_high", Units::HOURLY_FLOW; "Predicted leakage at 50 Pa that the home stays below in nine cases of ten.");
    EFFECTIVE_DRAWS = number("airtightness.effective_draws", Units::plain(0); "Draws of equal weight that would say as much as the weighted draws of the prediction.");
    PREDICTED_ACH50 = number("airtightness.predicted_ach50", AIR_CHANGES; "Predicted air changes at 50 Pa.");
    PREDICTED_Q50_PER_AREA = number("airtightness.predicted_q50_per_area", FLOW_PER_AREA; "Predicted leakage at 50 Pa per area of the exterior envelope.");
    BEST_Q50 = number("airtightness.best_q50", Units::HOURLY_FLOW; "Leakage at 50 Pa, as far as it is known: from the latest valid test, else from the budget.");
    BEST_ACH50 = number("airtightness.best_ach50", AIR_CHANGES; "Air changes at 50 Pa, as far as they are known: from the latest valid test, else from the budget.");
    BEST_Q50_PER_AREA = number("airtightness.best_q50_per_area", FLOW_PER_AREA; "Leakage at 50 Pa per envelope area, as far as it is known, of the exterior envelope.");
    BEST_EXPONENT = number("airtightness.best_exponent", EXPONENT; "Exponent of the home's leakage, as far as it is known: of the latest valid test with several points, else the usual one.");
    BEST_FROM = words("airtightness.best_from", mateline_sdk::all_of!["test", "prediction", "budget"]; "Where the best value comes from: test, prediction or budget.");
    SHOWN_Q50 = number("airtightness.shown_q50", Units::HOURLY_FLOW; "Leakage at 50 Pa: as the final test has it; before it, what nine homes in ten stay below by the forecast from an earlier test; before any, by the budget; never less than a later test found, even one that does not keep to its standard.");
    SHOWN_ACH50 = number("airtightness.shown_ach50", AIR_CHANGES; "Air changes at 50 Pa: as the final test has them; before it, what nine homes in ten stay below by forecast; before any test, by the budget.");
    SHOWN_Q50_PER_AREA = number("airtightness.shown_q50_per_area", FLOW_PER_AREA; "Leakage at 50 Pa per envelope area: as the final test has it; before it, what nine homes in ten stay below by forecast; before any test, by the budget.");
    INFILTRATION = number("airtightness.infiltration", Units::HOURLY_FLOW; "Yearly effective infiltration that may be credited: of the measured home; nothing without a final test or a weather and shielding factor.");
    INFILTRATION_ESTIMATE = number("airtightness.infiltration_estimate", Units::HOURLY_FLOW; "Yearly effective infiltration by the best value, whether or not it may be credited.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_in_the_namespace_and_units_known() {
        let mut names: Vec<String> = quantities().iter().map(|definition| definition.name.to_string()).collect();
        assert!(names.iter().all(|name| name.starts_with("airtightness.")));
        names.sort();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
        for definition in quantities() {
            assert!(definition.units.dimension().is_some(), "{}", definition.name);
            assert!(mateline_model::quantity::unit(&definition.units.ip).is_some() || definition.units.ip.is_empty());
        }
    }
}
