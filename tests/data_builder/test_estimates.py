"""Estimates of what SR28 leaves out: fatty acids, chloride, borrowed foods, and draws by kind."""

import csv
import math
import os
from pathlib import Path

import numpy as np
import pytest

from data_builder.estimates import estimates, with_estimates
from data_builder.estimates_fit import (
    cofid_pairs,
    is_alike,
    sr28_records,
    write_estimate_tables,
)
from data_builder.sr28 import read_full
from data_builder.trace_elements import ForeignFood, read_foreign
from data_builder.unknown_fit import PROBABILITIES, Records, kind_quantiles, same_food
from data_builder.verify_unknown import verify_unknown
from nutricheck.errors import SourceError
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.facts.composition_kinds import composition_kind
from nutricheck.foods import open_table
from tests.data_builder.small_sr28 import write

needs_cofid = pytest.mark.skipif(
    not os.environ.get("NUTRICHECK_COFID"), reason="NUTRICHECK_COFID names no file of CoFID"
)


@pytest.fixture(scope="module")
def records():
    """The default table's own values as kinds are made of, without what is borrowed."""
    table = open_table()
    foods = table.all_foods()
    wanted = [tag for tag in tags() if tag in table.units and tag not in ("WATER", "ENERC_KCAL")]
    wanted = [tag for tag in wanted if tag not in ("ID", "BIOT", "CLD", "TRP", "FD", "ALC")]
    amounts = table.composition(list(foods.index), ["WATER", *wanted]).to_numpy()
    put_there = np.zeros(amounts.shape, dtype=bool)
    row_of = {food_id: row for row, food_id in enumerate(foods.index)}
    for food_id, tag in table._rows(
        "SELECT food_id, tag FROM named_amount "
        "WHERE source_code = '5' OR derivation_code IN ('ML', 'S')"
    ):
        if tag in wanted:
            put_there[row_of[food_id], 1 + wanted.index(tag)] = True
    return Records(
        foods["description"].tolist(),
        foods["group_code"].tolist(),
        amounts[:, 0],
        amounts[:, 1:],
        put_there[:, 1:],
        wanted,
    )


@pytest.mark.parametrize("whole_foods", [False, True])
def test_draws_of_the_unknown_hold_nine_tenths_of_the_truth(records, whole_foods):
    """On foods that the kinds do not know: 85 to 95 % for each component, within Monte-Carlo
    error; those that most foods hold none of may lie above it."""
    held = verify_unknown(records, whole_foods=whole_foods, menus=200, draws=200, seed=1)
    assert {"MG", "K", "NA", "VITC", "FIBTG", "CA", "VITB12", "F18D3CN3"} <= held.keys()
    for tag, of_tag in held.items():
        error = 2.6 * math.sqrt(0.09 / of_tag.menus)
        assert of_tag.share > 0.85 - error, (tag, of_tag)
        if of_tag.below:
            assert of_tag.share < 0.95 + error, (tag, of_tag)
    assert 0.88 < np.mean([of_tag.share for of_tag in held.values()]) < 0.93


def test_a_plain_range_would_not_hold_it(records):
    """The test can fail: ranges half as wide hold far less."""
    narrow = Records(
        records.descriptions,
        records.groups,
        records.water,
        records.values,
        records.is_added,
        records.tags,
    )
    middle = (0.25, 0.75)
    found = kind_quantiles(narrow)
    places = [PROBABILITIES.index(share) for share in middle]
    inside = [
        np.mean((row[places[0]] <= row) & (row <= row[places[1]])) for _, _, row in found.values()
    ]
    assert np.mean(inside) < 0.8


def test_a_kind_needs_twenty_records_or_ten_that_hold_none():
    def found(amounts):
        count = len(amounts)
        records = Records(
            [f"Lettuce{'abcdefghijklmnopqrstuvwxyz'[n]}, spinach" for n in range(count)],
            ["1100"] * count,
            np.full(count, 90.0),
            np.array(amounts, dtype=float)[:, None],
            np.zeros((count, 1), dtype=bool),
            ["K"],
        )
        return kind_quantiles(records).get(("leaf", "K"))

    assert found([1.0] * 19) is None
    count, foods, quantiles = found([*range(1, 21)])
    assert (count, foods) == (20, 20)
    # by hand: 1 to 20 in 10 g of dry matter are 10 to 200 in 100 g; the median lies between
    assert quantiles[PROBABILITIES.index(0.5)] == pytest.approx(105)
    assert found([0.0] * 9) is None
    assert found([0.0] * 10)[2].tolist() == [0.0] * len(PROBABILITIES)


def test_forms_of_one_food_count_once():
    """Three forms of one food beside nineteen foods weigh as one: the median is that of twenty."""
    names = [*[f"{'abcdefghijklmnopqrstuvwxyz'[n]}x leaves, raw" for n in range(19)]]
    names += ["spinach leaves, raw", "spinach leaves, boiled", "spinach leaves, canned, drained"]
    assert len({same_food(name) for name in names}) == 20
    values = np.array([*[10.0] * 10, *[20.0] * 9, 90.0, 90.0, 90.0])[:, None]
    records = Records(
        names,
        ["3500"] * 22,
        np.full(22, 90.0),
        values,
        np.zeros((22, 1), dtype=bool),
        ["K"],
    )
    count, foods, quantiles = kind_quantiles(records)["leaf", "K"]
    assert (count, foods) == (22, 20)
    assert 100 <= quantiles[PROBABILITIES.index(0.5)] <= 200
    assert quantiles[PROBABILITIES.index(0.95)] > 500


@pytest.mark.parametrize(
    ("description", "group", "kind"),
    [
        ("Lentils, raw", "1600", "pulse"),
        ("Pasta, dry, enriched", "2000", "refined grain, fortified"),
        ("Pasta, dry, unenriched", "2000", "refined grain"),
        ("Cereals, oats, regular and quick, not fortified, dry", "0800", "whole grain"),
        ("Milk, lowfat, fluid, 1% milkfat, with added vitamin A and vitamin D", "0100",
         "milk and yoghurt, fortified"),
        ("Turkey, breast, meat only, with added solution, raw", "0500", "poultry"),
        ("Beans, snap, green, raw", "1100", "green pulse"),
        ("Oil, olive, salad or cooking", "0400", "plant oil"),
        ("Courgette, raw", "CoFID DG", "fruit vegetable"),
    ],
)  # fmt: skip
def test_kinds(description, group, kind):
    assert composition_kind(description, group).name == kind


def test_every_food_of_the_table_has_a_kind():
    foods = open_table().all_foods()
    pairs = zip(foods["description"], foods["group_code"], strict=True)
    assert all(composition_kind(text, group) for text, group in pairs)


def test_borrowed_foods_are_alike_and_never_dried_to_fresh():
    table = open_table()
    rows = evidence.rows("borrowed_foods")
    assert len(rows) >= 300
    water = table.composition([row["food_id"] for row in rows], ["WATER"])["WATER"]
    for row in rows:
        ours = 100 - water[row["food_id"]]
        assert table.food(row["food_id"]).description == row["food"]
        other = ours / float(row["dry_matter_ratio"])
        # by dry matter neither is the dried form of the other
        assert 0.5 < ours / other < 2.0, row["food"]


@pytest.mark.parametrize(
    ("other", "is_same"),
    [
        ({"WATER": 90.0, "PROCNT": 3.0, "FAT": 0.3}, True),
        ({"WATER": 90.0, "PROCNT": 3.9, "FAT": 0.3}, True),  # 0.9 g is a trifle
        ({"WATER": 95.0, "PROCNT": 1.5, "FAT": 0.1}, True),  # the same by dry matter
        ({"WATER": 90.0, "PROCNT": 4.5, "FAT": 0.3}, False),
        ({"WATER": 10.0, "PROCNT": 27.0, "FAT": 2.7}, False),  # its dried form
        ({"WATER": 90.0, "PROCNT": 3.0}, False),
    ],
)
def test_which_foods_are_alike(other, is_same):
    ours = {"WATER": 90.0, "PROCNT": 3.0, "FAT": 0.3}
    assert is_alike(ours, ForeignFood("1", "other", "DG", other)) == is_same


def test_estimates_leave_measured_values_alone(tmp_path):
    data = read_full(write(tmp_path / "sr28"))
    whole = with_estimates(data)
    before = data.amounts.matrix(len(data.foods), len(data.components))
    after = whole.amounts.matrix(len(whole.foods), len(whole.components))
    known = ~np.isnan(before)
    assert (after[:, : before.shape[1]][known] == before[known]).all()
    assert len(whole.amounts.value) == len(data.amounts.value) + len(estimates(data))


FOREIGN = "food_id,name,group,tag,unit,value,flag\n1,Kale,DG,ID,ug,3,\n1,Kale,DG,WATER,g,90,\n"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a,b\n", ":1: expected the columns"),
        (FOREIGN + "1,Kale,DG,ID\n", ":4: 4 cells"),
        (FOREIGN + "2,Leek,DG,ID,mg,3,\n", ":4: 'ID' in 'mg'"),
        (FOREIGN + "1,Kale,DG,ID,ug,3,\n", ":4: ID of '1' stands there already"),
        (FOREIGN + "2,Leek,DG,ID,ug,much,\n", ":4: value is 'much'"),
        (FOREIGN + "2,Leek,DG,ID,ug,-3,\n", ":4: value is '-3'"),
    ],
)
def test_a_wrong_file_of_another_table_is_one_clear_error(tmp_path, text, message):
    path = tmp_path / "other.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SourceError, match=message):
        read_foreign(path)


def test_an_empty_value_of_another_table_is_unknown_not_zero(tmp_path):
    path = tmp_path / "other.csv"
    path.write_text(FOREIGN + "1,Kale,DG,SE,ug,,\n", encoding="utf-8")
    kale = read_foreign(path)["1"]
    assert kale.amounts == {"ID": 3.0, "WATER": 90.0} and kale.dry_g == 10


@pytest.mark.sr28
@needs_cofid
def test_evidence_tables_are_remade_byte_for_byte(tmp_path):
    data = read_full(Path(os.environ["NUTRICHECK_SR28_ZIP"]))
    cofid = read_foreign(Path(os.environ["NUTRICHECK_COFID"]))
    ours = Path(evidence.__file__).parent
    for path in write_estimate_tables(data, cofid, tmp_path):
        assert path.read_bytes() == (ours / path.name).read_bytes(), path.name
    assert sr28_records(data).values.shape[0] == 8789


@needs_cofid
def test_chloride_follows_sodium_as_in_cofid():
    """The molar ratio of chloride to sodium in foods with at least 100 mg sodium in 100 g."""
    from nutricheck.facts.constants import constant

    ratio = [
        food.amounts["CLD"] / 35.45 / (food.amounts["NA"] / 22.990)
        for food in read_foreign(Path(os.environ["NUTRICHECK_COFID"])).values()
        if food.amounts.get("NA", 0) >= 100 and food.amounts.get("CLD")
    ]
    chloride = constant("chloride_per_sodium")
    assert len(ratio) == 1000
    low, likely, high = np.quantile(ratio, [0.05, 0.5, 0.95])
    assert (low, likely, high) == pytest.approx(
        (chloride.low, chloride.value, chloride.high), abs=0.006
    )


def test_pairs_name_foods_once():
    for name in ("cofid_pairs", "frida_pairs"):
        text = (Path(__file__).parents[2] / "data_builder" / f"{name}.csv").read_text("utf-8")
        rows = list(csv.DictReader(text.splitlines()))
        assert len({row["food_id"] for row in rows}) == len(rows) == len(cofid_pairs(name))
