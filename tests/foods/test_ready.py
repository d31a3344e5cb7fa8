"""Whether foods can be eaten as packed: the classes, the doubts, and that every food has one."""

from __future__ import annotations

import re

import pandas as pd
import pytest

from nutricheck.facts import evidence
from nutricheck.foods import Food, open_table
from nutricheck.foods.ready import CLASSES, NOT_KNOWN, Readiness, classes, readiness, worst


@pytest.fixture(scope="module")
def table():
    return open_table()


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Lentils, raw", "heat"),
        ("16085", "heat"),  # split peas, raw
        ("Wheat flour, white, all-purpose, unenriched", "heat"),
        ("Pasta, dry, unenriched", "heat"),
        ("16032", "never"),  # red kidney beans, raw
        ("Beans, kidney, mature seeds, sprouted, raw", "never"),
        ("Cassava, raw", "never"),
        ("Taro, raw", "never"),
        ("Lima beans, immature seeds, raw", "never"),
        ("Elderberries, raw", "never"),
        ("Couscous, dry", "soak"),
        ("Bulgur, dry", "soak"),
        ("Cereals, oats, regular and quick, not fortified, dry", "soak"),
        ("11378", "soak"),  # potato flakes
        ("Nuts, almonds", "ready"),
        ("Raisins, seedless", "ready"),
        ("Milk, dry, whole, without added vitamin D", "ready"),
        ("16070", "ready"),  # lentils, boiled
        ("16034", "ready"),  # red kidney beans, canned
        ("Spinach, raw", "ready"),
        ("Apricots, dried, sulfured, uncooked", "ready"),
        ("Egg, whole, raw, fresh", "heat"),
        ("Egg, whole, dried", "soak"),
        ("Potatoes, flesh and skin, raw", "heat"),
        ("Yam, raw", "heat"),
        ("11049", "ready"),  # pinto beans, immature, boiled
        ("11048", "never"),  # and as they are
        ("17352", "heat"),  # veal shank that is not said to be cooked
        ("Fish, cod, Atlantic, dried and salted", "heat"),
    ],
)
def test_class_of_a_food(table, name, expected):
    assert readiness(table.resolve(name)).name == expected


def test_every_food_of_sr28_has_a_class_and_every_row_is_used(table):
    foods = table.all_foods()
    found = classes(foods)
    assert set(found) == set(CLASSES)
    used: set[int] = set()
    rows = evidence.rows("ready_to_eat")
    for group_code, text in zip(foods["group_code"], foods["description"].str.lower(), strict=True):
        used.add(
            next(
                number
                for number, row in enumerate(rows)
                if group_code in row["group_codes"].split() and re.search(row["words"], text)
            )
        )
    assert used == set(range(len(rows)))


def test_what_must_be_cooked_says_how_and_what_lifts_it():
    for row in evidence.rows("ready_to_eat"):
        must_be_cooked = row["class"] in ("heat", "never")
        assert bool(row["made_safe"]) == must_be_cooked, row
        assert (row["lifted_by"] in ("blanching", "cooking", "boiling")) == must_be_cooked, row


def test_a_row_from_memory_makes_nothing_ready():
    rows = [row for row in evidence.rows("ready_to_eat") if row["status"] == "memory"]
    assert rows
    assert {row["class"] for row in rows} <= {"heat", "never"}


def test_a_food_of_another_table_has_no_class_unless_sr28_describes_it_so():
    ours = Food("fdc-1", "Lentils, green, dry", "1600", "Legumes", 8.0)
    assert readiness(ours) == NOT_KNOWN
    same = Food("172420", "LENTILS, RAW", "1600", "Legumes", 8.0)
    assert readiness(same).name == "heat"
    # the id of another food proves nothing
    turnip = Food("16069", "Turnip, our garden, raw", "", "", 90.0)
    assert readiness(turnip) == NOT_KNOWN
    frame = pd.DataFrame(
        {"description": [ours.description, "Lentils, raw"], "group_code": ["1600", "1600"]}
    )
    assert list(classes(frame)) == ["", "heat"]


def test_parts_together_are_as_the_worst_of_them():
    ready, soak, heat = (Readiness(name) for name in ("ready", "soak", "heat"))
    assert worst([ready, soak]) == soak
    assert worst([ready, heat, NOT_KNOWN]) == heat
    assert worst([ready, NOT_KNOWN]) == NOT_KNOWN
    assert worst([]) == NOT_KNOWN
