"""Whether the salt is iodised: asked where it matters, and the answer decides the iodine."""

import numpy as np
import pytest

from nutricheck.check_plan import check
from nutricheck.facts.constants import constant
from nutricheck.foods import open_table
from tests.plans import WOMAN

# WHO advises 20 to 40 mg of iodine in a kg of salt; US labels 45; from 15 where it is eaten
WHO_MG_PER_KG = (20, 40)


def _checked(iodised=None, salt="15 g", draws=200, table=None, **trip):
    if iodised is not None:
        trip["iodised_salt"] = iodised
    plan = {
        "trip": trip,
        "person": dict(WOMAN),
        "days": [{"name": "day", "count": 5}],
        "batch": [
            {
                "name": "tomatoes",
                "ingredients": [{"food": "11529", "mass": "2 kg"}],
                "preparation": {"kind": "raw", "salt": salt},
                "drying": {"method": "hot air", "temperature": "55 C", "time": "10 h"},
                "moisture": "10 %",
            }
        ],
        "packed": [
            {"item": "tomatoes", "mass": "100 g"},
            {"item": "salt", "food": "02047", "mass": "10 g"},
        ],
        "portions": [
            {"item": "tomatoes", "amount": "20 g"},
            {"item": "salt", "amount": "2 g"},
        ],
    }
    return check(plan, draws=draws, table=table)


def _iodine(result):
    row = result.coverage.set_index(["day", "component"]).loc[("day", "ID")]
    return row["low"], row["likely"], row["high"]


def test_it_is_asked_only_where_salt_matters_and_the_plan_does_not_say():
    assert any(q.startswith("Salt: is the") and "iodised_salt" in q for q in _checked().questions)
    for said in (_checked(True), _checked(False)):
        assert not any(q.startswith("Salt") for q in said.questions)


def test_the_answer_decides_the_iodine():
    usual = constant("iodised_salt")
    assert usual.low <= WHO_MG_PER_KG[0] < usual.value < WHO_MG_PER_KG[1] <= usual.high
    asked, yes, no = _iodine(_checked()), _iodine(_checked(True)), _iodine(_checked(False))
    assert no[1] == pytest.approx(np.nan_to_num(asked[1]), rel=0.05)  # nothing comes from the salt
    # by hand: 2 g of packed salt at 30 ug, and of the 15 g of the batch the share that is eaten
    batch = _checked(True).batches["tomatoes"]
    of_batch = 15 * 20 / batch.dried_mass_g
    assert yes[1] - no[1] == pytest.approx((2 + of_batch) * usual.value, rel=0.01)
    assert yes[0] < yes[1] < yes[2] and yes[2] - yes[0] > 0.5 * (yes[1] - no[1])


def test_without_draws_and_with_layers_the_answer_is_the_same():
    plain = _iodine(_checked(True, draws=0))[1]
    assert _iodine(_checked(True))[1] == pytest.approx(plain, rel=0.02)
    assert _iodine(_checked(True, draws=0, table=["default", "default"]))[1] == pytest.approx(plain)


def test_a_table_is_itself_where_the_plan_does_not_say():
    table = open_table()
    assert table.with_salt(None) is table
    assert table.with_salt(True) == table.with_salt(True) != table.with_salt(False)
    assert hash(table.with_salt(True)) == hash(table.with_salt(True))
    assert table.values(["02047"], ["ID", "NA"])[0].tolist()[0][1] == 38758
    kept = open_table().with_salt(False)  # the table that opened the file is let go
    assert kept.values(["02047"], ["ID"])[0].item() == 0
