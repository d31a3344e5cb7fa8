"""Tests that fail today, each with what is known of why.

Take a line out when its cause is cured.
"""

DRAWN = "drawn plans meet bounds and questions newer than their generator"
KNOWN_FAILURES = {
    "tests/data_builder/test_own.py::test_every_food_of_the_default_table_would_pass": (
        "two records of the full SR28 exceed the component ranges"
    ),
    "tests/cohort/test_person_days.py::test_a_day_of_table_foods_is_judged_as_check_judges_it": (
        "a check estimates what a table leaves out, the cohort does not yet"
    ),
    "tests/plan/test_forms.py::test_generated_plans_pass_through_schema_and_both_forms": DRAWN,
    "tests/invariants/test_plans.py::test_low_likely_high_stay_in_order_and_shares_in_bounds": (
        "known_share is 0 where all is estimated; the test expects the older meaning"
    ),
    "tests/invariants/test_plans.py::test_scaling_all_portions_scales_coverage": DRAWN,
    "tests/invariants/test_plans.py::test_what_is_unknown_never_becomes_zero": (
        "not traced; seen once in a full run"
    ),
    "tests/report/test_workbook.py::test_additions_are_a_sheet_of_values": (
        "not traced; since additions obey what a food may be used for"
    ),
    "tests/report/test_workbook_recalculated.py::"
    "test_changed_inputs_give_what_a_fresh_check_gives": (
        "Overview!B42 keeps its old text after inputs change; not traced"
    ),
    "tests/hard_use/test_surroundings.py::test_names_that_are_no_text": (
        "fails in a full run and passes alone; not traced"
    ),
}
