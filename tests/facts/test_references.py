"""The tables of reference intakes hang together, and say what was read for each value."""

from __future__ import annotations

import re
from collections import defaultdict
from itertools import pairwise, product

import pytest

from nutricheck.facts import evidence
from nutricheck.facts import ledger as sources
from nutricheck.facts.components import BY_TAG

TABLES = ("dri_us_canada", "efsa_drv")
YOUNGEST = {"dri_us_canada": 9, "efsa_drv": 7}
NO_END = 120
# Groups a person may belong to; EFSA's iron has its own for women.
GROUPS = [
    ("male", "general"),
    ("female", "general"),
    ("female", "pregnancy"),
    ("female", "lactation"),
]
IRON_GROUPS = [("female", "premenopausal"), ("female", "postmenopausal")]
OLDEST_MOTHER = 51
# EFSA's values under 18 of which no page was read stand not here; what a hot day asks for does.
EFSA_LATER = {9, 11, 15, 18}
EFSA_FROM_7 = {"MG", "K", "NA", "VITC", "FE", "CA", "PROCNT", "WATER"}
# Kind of value → the kinds that are never below it.
ABOVE = {
    **{"EAR": ["RDA"], "AR": ["PRI"], "RDA": ["UL"], "PRI": ["UL"], "AI": ["UL", "CDRR"]},
    **{"AMDR low": ["AMDR high"], "RI low": ["RI high"]},
}
LIMITS = {"UL", "CDRR"}


def rows_of(table):
    return [
        {
            **row,
            "value": float(row["value"]),
            "ages": (int(row["age_from"]), int(row["age_below"])),
        }
        for row in evidence.rows(table)
        if row["kind"] != "no UL"
    ]


def is_same_age(one, other):
    return max(one["ages"][0], other["ages"][0]) < min(one["ages"][1], other["ages"][1])


def fits(row, sex, stage):
    return row["sex"] in (sex, "any") and row["life_stage"] == stage


def bands(table, sex, stage):
    """(component, kind, basis) → rows of a group, youngest first."""
    found = defaultdict(list)
    for row in rows_of(table):
        if fits(row, sex, stage):
            found[row["component"], row["kind"], row["basis"]].append(row)
    return {key: sorted(rows, key=lambda row: row["ages"]) for key, rows in found.items()}


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize(("sex", "stage"), GROUPS + IRON_GROUPS)
def test_ages_neither_overlap_nor_leave_a_gap(table, sex, stage):
    for key, rows in bands(table, sex, stage).items():
        for younger, older in pairwise(rows):
            assert younger["ages"][1] == older["ages"][0], (key, younger["ages"], older["ages"])
        starts, ends = rows[0]["ages"][0], rows[-1]["ages"][1]
        if stage in ("pregnancy", "lactation"):
            youngest, oldest = max(14, YOUNGEST[table]), OLDEST_MOTHER
        else:
            youngest, oldest = YOUNGEST[table], NO_END
        if "AMDR" in key[1]:
            youngest = min(youngest, starts)
        if stage == "general" and table == "efsa_drv":
            is_chief = key[0] in EFSA_FROM_7 and key[1] in ("PRI", "AI", "safe and adequate")
            assert starts == 7 or (starts in EFSA_LATER and not is_chief), key
            if key[:2] == ("FD", "UL") or (key[0], sex) == ("FE", "female") or key[0] == "ZN":
                # the rest is a safe level, goes by the menopause, or by phytate
                oldest = min(oldest, ends)
            if key == ("FIBTG", "AI", "per_MJ"):
                oldest = 18  # from there on an amount a day
            youngest = max(youngest, starts)
        elif table == "efsa_drv":
            youngest = 18
        assert starts <= youngest and ends >= oldest, (key, starts, ends)


@pytest.mark.parametrize("table", TABLES)
def test_values_are_of_known_components_in_their_units(table):
    units = defaultdict(set)
    for row in rows_of(table):
        tag = row["component"]
        assert tag in BY_TAG or tag in ("NIAEQ", "WATER"), tag
        assert 0 < row["value"] < 1e5 and row["ages"][0] < row["ages"][1] <= NO_END
        if "%" not in row["unit"] and tag in BY_TAG and tag != "WATER":
            assert row["unit"] == BY_TAG[tag].unit, row
        units[tag, row["kind"], row["basis"]].add(row["unit"])
        assert (row["unit"] == "%") == (row["basis"] == "pct_of_energy"), row
    assert all(len(found) == 1 for found in units.values()), units


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize(("sex", "stage"), GROUPS + IRON_GROUPS)
def test_requirement_below_recommendation_below_upper_level(table, sex, stage):
    """EAR < RDA <= UL, AR < PRI <= UL and AI <= UL at every age, where the basis is the same."""
    found = bands(table, sex, stage)
    compared = 0
    for (component, kind, basis), rows in found.items():
        for upper in ABOVE.get(kind, ()):
            for row, other in product(rows, found.get((component, upper, basis), [])):
                if is_same_age(row, other):
                    assert row["value"] <= other["value"], (row, other)
                    assert upper in LIMITS or row["value"] < other["value"], (row, other)
                    compared += 1
    if stage == "general":
        assert compared > 15


def test_each_recommendation_stands_beside_its_requirement():
    """DRI: an RDA is worked out from an EAR, so no group has one without the other."""
    for sex, stage in GROUPS:
        found = bands("dri_us_canada", sex, stage)
        for component, kind, _ in found:
            other = {"RDA": "EAR", "EAR": "RDA"}.get(kind)
            if other:
                assert any((component, other) == key[:2] for key in found), (component, sex, stage)
            if kind == "AI":
                assert (component, "RDA", "per_day") not in found, component


@pytest.mark.parametrize("table", TABLES)
def test_no_value_twice(table):
    keys = [
        (row["component"], row["kind"], row["sex"], row["life_stage"], row["ages"], row["basis"])
        for row in rows_of(table)
    ]
    assert len(keys) == len(set(keys))


# ---------------------------------------------------------------- sources


@pytest.mark.parametrize("table", [*TABLES, "label_daily_values"])
def test_a_status_names_what_was_read(table):
    """No row claims a check that did not happen: its page is named, and is of the kind it says."""
    for row in evidence.rows(table):
        read, status = row["read"], row["status"]
        assert (status == "memory") == (read == ""), row
        if status == "official":
            assert re.match(r"NASEM|IOM|EFSA abstract", read), row
            assert re.search(r"nap\.edu|nationalacademies\.org|nih\.gov|efsa\.europa\.eu", read), (
                row
            )
        if re.match(r"quoted|news|EFSA news|trade news|table quoting|industry|secondary", read):
            assert status == "secondary", row


def test_efsa_addresses_are_those_of_the_cited_opinions():
    for row in evidence.rows("efsa_drv"):
        match = re.match(r"EFSA Journal (\d{4});\d+\(\d+\):(\d+), ", row["report"])
        if match:
            assert row["source"] == "https://doi.org/10.2903/j.efsa.{}.{}".format(*match.groups())
        else:
            assert re.match(r"SCF 200\d, .*EFSA 2006|EFSA, Overview", row["report"]), row


def test_a_dietitian_can_find_the_table():
    """Every reference names body, year, and a page, a chapter, or an opinion by its number."""
    for row in evidence.rows("dri_us_canada"):
        assert re.match(r"(IOM|NASEM) \d{4}.*(p\. \d{3}|ch\. \d+)$", row["report"]), row
    for row in evidence.rows("label_daily_values"):
        assert re.search(r"101\.9\(c\)|Annex XIII", row["source"]), row


def test_addresses_are_addresses():
    """Where a table has a column of addresses, it holds addresses and nothing else."""
    for name in evidence.names():
        if "found_at" in evidence.sidecar(name):
            for figure in sources.figures(name):
                assert re.match(r"https?://|$", figure.address), figure
