"""Tests that fail today, each with what is known of why.

Take a line out when its cause is cured.
"""

KNOWN_FAILURES = {
    "tests/report/test_workbook_recalculated.py::"
    "test_changed_inputs_give_what_a_fresh_check_gives": (
        "fewer days are fewer in the pack, which keeps more of the vitamins: the workbook has the "
        "share that the days left when it was written; and the test makes its expected ranges "
        "and chances without the columns that coverage has since"
    ),
    "tests/hard_use/test_surroundings.py::test_names_that_are_no_text": (
        "fails in a full run and passes alone; not traced"
    ),
}
