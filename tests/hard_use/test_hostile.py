"""A hostile input of each kind, another than those of the runs that are started by hand."""

from __future__ import annotations

import warnings

import pytest

from tests.hard_use.hostile import KINDS, Case, Outcome, _judge, try_all, try_one


@pytest.mark.parametrize("kind", KINDS)
def test_a_hostile_input_ends_well_or_with_one_clear_error(kind):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        wrong, case = try_one(kind, 0, seed=7)
        assert not wrong, (case, wrong)


def test_odd_requests_leave_the_editor_alive():
    shown: list[str] = []
    assert try_all(30, 7, ["editor"], shown.append) == {"editor": (30, 0)}, shown


@pytest.mark.parametrize(
    ("ended", "words"),
    [
        (Outcome(1, b"", b"", 0.1), "without a word"),
        (Outcome(1, b"", b"Traceback (most recent call last)", 0.1), "Traceback"),
        (Outcome(-11, b"", b"x", 0.1), "status -11"),
        (Outcome(0, b"a\x1b[2J", b"", 0.1), "a terminal may obey"),
        (Outcome(0, "a\u202eb".encode(), b"", 0.1), "a terminal may obey"),
        (Outcome(0, b'{"a": NaN}', b"", 0.1), "NaN in a JSON text"),
        (Outcome(0, b"{}", b"", 99.0), "99 s"),
    ],
)
def test_the_judge_finds_what_is_wrong(ended, words, tmp_path):
    with pytest.raises(AssertionError, match=words):
        _judge(Case(["check", "--json"]), ended, tmp_path)
