"""Every published-figure table has a sidecar that says where it comes from and what it means."""

import math
import re

import pytest

from nutricheck.errors import EvidenceError
from nutricheck.facts import evidence

SIDECAR_KEYS = {"title", "publisher", "edition", "licence", "source", "retrieved", "changes"}
UNITS_AS_WORDS = {"text"}


@pytest.mark.parametrize("name", evidence.names())
def test_sidecar_matches_its_table(name):
    sidecar = evidence.sidecar(name)
    assert sidecar.keys() >= SIDECAR_KEYS
    table = evidence.rows(name)
    assert table, "an evidence table must hold figures"
    assert list(sidecar["columns"]) == list(table[0])
    for column in sidecar["columns"].values():
        assert column.keys() >= {"unit", "meaning", "missing"}
        assert column["unit"] and column["meaning"]


@pytest.mark.parametrize("name", evidence.names())
def test_numeric_columns_are_numbers(name):
    table = evidence.frame(name)
    for column, description in evidence.sidecar(name)["columns"].items():
        is_text = description["unit"] in UNITS_AS_WORDS
        assert (table[column].dtype != "float64") == is_text


def test_no_evidence_names_a_private_place():
    for name in evidence.names():
        text = str(evidence.rows(name)) + str(evidence.sidecar(name))
        # a path of somebody's machine is no source
        assert not re.search(r"(?<![\w:/.])(/|\.\./)\w+/", text)


def test_sodium_is_not_a_missing_value():
    assert "NA" in evidence.frame("retention_r6_2007").columns
    assert not math.isnan(evidence.frame("retention_r6_2007")["NA"].iloc[0])


def test_unknown_table_is_one_clear_error():
    with pytest.raises(EvidenceError, match="no_such"):
        evidence.rows("no_such")
