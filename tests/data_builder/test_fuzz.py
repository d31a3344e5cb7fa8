"""Random damage to the builder's inputs: a SourceError or a table, never anything else.

Damage is what happens to files: bytes altered, cut out, doubled, moved between fields. Hypothesis
shrinks what it finds; the profile is deterministic.
"""

import csv
import io

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from data_builder.csv_files import _EvenLines
from data_builder.fdc import build_fdc
from data_builder.nut_data import _numbers
from data_builder.own_table import COLUMNS, read_own
from data_builder.sr28 import read_full
from nutricheck.errors import SourceError
from tests.data_builder import small_fdc, small_sr28

FEW = settings(
    max_examples=60,
    deadline=10_000,  # milliseconds: no hang
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)

damage = st.lists(
    st.tuples(
        st.sampled_from(["alter", "cut", "insert", "double", "truncate"]),
        st.floats(0, 1, exclude_max=True),
        st.binary(min_size=1, max_size=12)
        | st.sampled_from([b"~", b"^", b"\n", b'"', b",", b"\x00"]),
    ),
    min_size=1,
    max_size=3,
)


def damaged(raw: bytes, what) -> bytes:
    """The bytes after some damage."""
    for kind, share, extra in what:
        place = int(share * len(raw))
        if kind == "alter":
            raw = raw[:place] + extra + raw[place + len(extra) :]
        elif kind == "cut":
            raw = raw[:place] + raw[place + 5 * len(extra) :]
        elif kind == "insert":
            raw = raw[:place] + extra + raw[place:]
        elif kind == "double":
            raw = raw[:place] + raw[max(0, place - 40) :]
        else:
            raw = raw[:place]
    return raw


@FEW
@given(name=st.sampled_from(sorted(small_sr28.FULL)), what=damage)
def test_damaged_sr28(tmp_path, name, what):
    raw = ("\r\n".join(small_sr28.FULL[name]) + "\r\n").encode("latin-1")
    folder = small_sr28.write(tmp_path / "sr28", {name: damaged(raw, what)})
    try:
        data = read_full(folder)
    except SourceError as error:
        assert 0 < len(str(error)) < 2000
    else:
        assert np.isfinite(data.amounts.value).all()
        assert all(food.description for food in data.foods)


@FEW
@given(name=st.sampled_from(sorted(small_fdc.FILES)), what=damage)
def test_damaged_fdc(tmp_path, name, what):
    raw = small_fdc.text(small_fdc.FILES[name]).encode()
    folder = small_fdc.write(tmp_path / "fdc", {name: damaged(raw, what)})
    try:
        build_fdc(folder, tmp_path / "table")
    except SourceError as error:
        assert 0 < len(str(error)) < 2000


@FEW
@given(what=damage)
def test_damaged_own_analyses(tmp_path, what):
    raw = f"{','.join(COLUMNS)}\n16069,,K,812,mg,3,14,lab\nown-1,Nettle,MG,<0.3,g,,,\n".encode()
    path = tmp_path / "own.csv"
    path.write_bytes(damaged(raw, what))
    try:
        read_own(path)
    except SourceError as error:
        assert 0 < len(str(error)) < 2000


@settings(derandomize=True, max_examples=200)
@given(st.integers(0, 10**9), st.integers(0, 6))
def test_decimal_numbers_read_as_float_reads_them(digits, decimals):
    text = f"{digits:0{decimals + 1}d}"
    text = f"{text[: len(text) - decimals]}.{text[len(text) - decimals :]}" if decimals else text
    raw = np.frombuffer(f"{text}^".encode(), dtype=np.uint8)
    assert _numbers(raw, np.array([0]), np.array([len(text)]))[0] == float(text)


fields = st.text(alphabet='ab,"\n\r', max_size=6)


@settings(derandomize=True, max_examples=200)
@given(
    st.lists(st.lists(fields, min_size=1, max_size=4), min_size=1, max_size=6), st.integers(1, 9)
)
def test_lines_of_equal_width_are_told_as_the_csv_module_tells_them(rows, piece):
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\n").writerows(rows)
    widths = {len(row) for row in rows}
    stream = _EvenLines(io.BytesIO(out.getvalue().encode()), "file", len(rows[0]))
    try:
        while stream.read(piece):
            pass
        assert widths == {len(rows[0])}
    except SourceError as error:
        assert widths != {len(rows[0])}
        first = next(i for i, row in enumerate(rows) if len(row) != len(rows[0]))
        assert f"file:{first + 2}: " in str(error)
