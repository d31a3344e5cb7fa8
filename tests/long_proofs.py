"""Tests that take long and try more of what others try: run where NUTRICHECK_LONG is set.

They keep CI at about 15 minutes. Each is the beginning of a test's id; of a rule or a screen that
is proved on many plans, some are left in every run.
"""

from __future__ import annotations

__all__ = ["LONG_PROOFS"]

_PAGE = "tests/report/test_page_browser.py::"
_SHEET = "tests/report/test_workbook_recalculated.py::"
_SAVED = "tests/plan/test_saved_elsewhere.py::test_saved_by_libreoffice_it_reads_the_same"

LONG_PROOFS: tuple[str, ...] = (
    *(
        f"{_PAGE}test_before_any_change_the_twin_gives_what_the_check_gave[{plan}]"
        for plan in ("ridge-EFSA", "hostile-EFSA", "cold-DRI", "people-DRI", "coeliac-EFSA")
    ),
    *(
        f"{_PAGE}test_every_figure_shown_is_that_of_a_fresh_check[{change}]"
        for change in ("change0-EFSA", "change1-DRI")
    ),
    *(
        f"{_PAGE}test_chances_words_and_the_answer_are_those_of_a_fresh_check[{number}]"
        for number in (1, 2, 3)
    ),
    *(
        f"{_PAGE}test_opens_without_a_complaint_and_fits_the_width[{how}]"
        for how in ("july_survey-dark-390", "light_pack-light-390", "light_pack-dark-1280")
    ),
    *(
        f"{_SHEET}test_every_formula_equals_python[{plan}]"
        for plan in ("light", "cold", "spread and found")
    ),
    f"{_SHEET}test_letters_are_large_enough_in_print[hostile]",
    *(f"{_SAVED}[{plan}]" for plan in ("july_survey", "light_pack")),
    "tests/test_sharing.py::test_a_shared_copy_is_that_of_a_healthy_person_all_through[measured]",
    "tests/editor/test_session.py::test_after_any_changes_the_answer_is_that_of_a_fresh_check[8]",
    "tests/editor/test_window.py::test_a_whole_plan_is_made_from_nothing_by_clicks_and_keys",
    "tests/hard_use/test_interrupted.py::test_ctrl_c_at_any_moment[words1]",
    "tests/hard_use/test_surroundings.py::test_no_line_is_wider_than_a_narrow_terminal[57]",
    "tests/hard_use/test_surroundings.py::test_encoding_and_time_zone[unknown zone]",
    "tests/plan/test_hostile_workbooks.py::test_ten_thousand_faults[formulas]",
    "tests/plan/test_hostile_workbooks.py::test_all_of_it_within_a_gigabyte",
    "tests/hard_use/test_surroundings.py::test_locale_with_a_decimal_comma[tr_TR.ISO-8859-9]",
    "tests/cli/test_help.py::test_every_example_runs",
    "tests/advice/test_additions.py::test_each_objective_is_least_by_its_own_measure",
)
