"""Report screens: widths, wrapping, wide characters, colour only on a terminal."""

from __future__ import annotations

import io

import pytest
from rich.cells import cell_len

from nutricheck.report.parts import Column, Line, Styled, Table, left, right
from nutricheck.report.screen import Screen, text_table
from nutricheck.report.words import percent
from nutricheck.terminal_size import WIDEST

COLUMNS = [*left("item"), *right("g"), *left("what to say about it")]


def test_columns_line_up_by_hand():
    lines = text_table([*left("item"), *right("g")], [["oats", "60"], ["almonds", "7"]])
    assert lines == ["item      g", "───────────", "oats     60", "almonds   7"]


@pytest.mark.parametrize("name", ["a" * 30, "乾燥ほうれん草 " * 9, "word " * 40])
def test_long_cells_wrap_to_the_width(name):
    lines = text_table(COLUMNS, [[name, "1,234", "long words " * 20]])
    assert max(cell_len(line) for line in lines) <= WIDEST


def test_words_are_broken_only_where_nothing_else_helps():
    columns = left("item", "status")
    lines = text_table(columns, [["magnesium supplement", "above the level"]], width=24)
    assert [line.split()[0] for line in lines[2:]] == ["magnesium", "supplement"]
    lines = text_table(columns, [["m" * 30, "above the level"]], width=24)
    assert max(cell_len(line) for line in lines) <= 24


def test_wrapped_cells_lose_no_word():
    words = " ".join(f"word{i}" for i in range(60))
    lines = text_table(COLUMNS, [["x", "1", words]])
    assert " ".join(" ".join(lines[2:]).replace("x ", "").split()).endswith("word59")
    assert all(f"word{i}" in " ".join(lines) for i in range(60))


@pytest.mark.parametrize(("width", "heading"), [(WIDEST, "item  range  g"), (60, "item  g")])
def test_a_narrow_screen_leaves_out_what_is_extra(width, heading):
    out = io.StringIO()
    screen = Screen(out)
    screen.width = width
    columns = [*left("item"), Column("range", "right", is_extra=True), *right("g")]
    screen.show([Table("title", columns, [["group"], ["oats", "1–2", "1"]])])
    assert out.getvalue().splitlines()[1] == heading
    assert out.getvalue().splitlines()[3] == "group"
    assert ("1–2" in out.getvalue()) == (width == WIDEST)


def test_a_short_row_is_a_heading():
    lines = text_table(COLUMNS, [["group"], ["oats", "60", "y"]])
    assert lines[2] == "group"


def test_no_colour_outside_a_terminal():
    out = io.StringIO()
    screen = Screen(out)
    table = Table("title", COLUMNS, [[Styled("a", "good"), "1", "b"]])
    screen.show([Line("short", "bad", mark=Styled("!", "bad")), table])
    assert "\x1b" not in out.getvalue()
    assert out.getvalue().startswith("! short\n")


def test_marked_lines_hang_behind_their_mark():
    out = io.StringIO()
    Screen(out).show([Line("word " * 40, mark="note:")])
    lines = out.getvalue().splitlines()
    assert lines[0].startswith("note: word")
    assert all(line.startswith("      word") for line in lines[1:])
    assert max(map(len, lines)) <= WIDEST


def test_colour_repeats_words_on_a_terminal(monkeypatch):
    class Terminal(io.StringIO):
        def isatty(self):
            return True

        def fileno(self):
            return 1

    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr("os.get_terminal_size", lambda fd: type("Size", (), {"columns": 80})())
    out = Terminal()
    Screen(out).show([Line("short", "bad")])
    assert out.getvalue() == "\x1b[1;31mshort\x1b[0m\n"


@pytest.mark.parametrize(
    ("ratio", "shown"),
    [
        (0.996, "99 %"),  # below the reference, it must not read as met
        (1 / 3 * 3 - 1e-16, "100 %"),
        (1.004, "100 %"),
        (0.984, "98 %"),
        (16.2, "16 ×"),
        (float("nan"), "–"),
    ],
)
def test_what_is_not_whole_never_reads_100_percent(ratio, shown):
    assert percent(ratio).replace("\u00a0", " ") == shown


@pytest.mark.parametrize("width", [40, 50, 60, 79])
def test_a_table_that_does_not_fit_stands_as_paragraphs(width):
    columns = [*left("item"), *right(*(f"column {k}" for k in range(9)))]
    lines = text_table(columns, [["group"], ["oats, rolled", *(["1,234"] * 8), ""]], width=width)
    assert max(map(cell_len, lines)) <= width
    assert lines[:3] == ["group", "oats, rolled", "  column 0: 1,234"]
    assert len(lines) == 10  # an empty cell has no line
