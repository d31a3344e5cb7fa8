"""A few random changes of page and workbook against fresh checks; the program makes hundreds."""

from __future__ import annotations

from random import Random

import pytest

from tests.report.browser import browser
from tests.report.random_changes import Tally, page_changes, steps, workbook_changes


def test_words_are_counted_by_how_far_they_are_apart():
    assert steps("even odds", "even odds") == 0
    assert steps("enough", "likely enough") == steps("maybe too much", "enough") == 1
    assert steps("too much", "enough") == 2
    assert steps("short", "enough") == 4
    assert steps("sodium is right", "enough") > 4
    tally = Tally()
    tally.word("words", "", "short", "enough")
    tally.word("words", "", "enough", "enough")
    assert tally.share("words") == 0.5 and len(tally.far("words")) == 1


@pytest.mark.sheet
def test_a_changed_workbook_says_what_a_fresh_check_says(tmp_path):
    """Words equal in 95 of 100 and never two away; likely figures are the check's."""
    tally = workbook_changes(1, Random(4), tmp_path)
    for kind in tally.compared:
        if "status words" in kind:
            assert tally.share(kind) >= 0.95, tally.apart[kind]
            assert not tally.far(kind)
        elif kind.endswith(("Likely", "Aim", "Ratio")):
            assert tally.share(kind) >= 0.99, tally.apart[kind]
    assert sum(count for kind, count in tally.compared.items() if "status words" in kind) > 150


@pytest.mark.browser
def test_a_changed_page_says_what_a_fresh_check_says(tmp_path):
    with browser() as started:
        tally = page_changes(2, Random(4), tmp_path, started.new_page())
    assert tally.share("status words") >= 0.99, tally.apart["status words"]
    assert tally.share("status words, days in the pack as planned") == 1, tally.apart
    assert not tally.far("status words") and not tally.far("first screen: words")
    for kind in ("verdict sentences", "days covered", "reset", "cautions say they are as planned"):
        assert tally.share(kind) == 1, tally.apart[kind]
