"""Text of others on its way to a terminal, a CSV file and JSON."""

import csv
import io
import json
import sys

import pandas as pd
import pytest

from nutricheck.cli import main
from nutricheck.outside_text import csv_text, json_text, printable

# A terminal's commands (ESC, C1), marks that turn the direction round, line and page breaks.
ODD = "\x00\x07\x1b\x7f\x85\x9b\u200e\u202e\u2028\u2066\ufeff\ufffe"


def test_what_a_terminal_obeys_is_a_dot_and_the_rest_stays():
    assert printable(f"a{ODD}b") == "a" + "·" * len(ODD) + "b"
    plain = "Grünkohl, μg ½ – 芋 \u05d0\n2 × 3"
    assert printable(plain) == plain


def test_json_says_the_same_in_characters_that_print():
    text = json_text({"name": f"x{ODD}y", "n": [1, None]})
    assert json.loads(text) == {"name": f"x{ODD}y", "n": [1, None]}
    assert text.replace("\n", "").isprintable()


def test_no_cell_of_a_csv_is_a_formula_and_numbers_stay():
    names = ["=1+1", "+x", "-x", "@x", "\t=1", " =1", "−3", "-3", "bean", "x\x1by"]
    text = csv_text(pd.DataFrame({"name": names, "amount": [-1.5] * len(names)}))
    rows = list(csv.reader(io.StringIO(text)))[1:]
    assert [row[0] for row in rows] == [
        "'=1+1", "'+x", "'-x", "'@x", "·=1", "' =1", "−3", "-3", "bean", "x·y",
    ]  # fmt: skip
    assert {row[1] for row in rows} == {"-1.5"}


def test_a_usage_error_does_not_repeat_a_word_without_end(capsys, monkeypatch):
    monkeypatch.setattr(sys, "argv", ["nutricheck", "schema", "x" * 50_000])
    with pytest.raises(SystemExit):
        main()
    assert len(capsys.readouterr().err) < 500
