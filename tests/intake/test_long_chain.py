"""EPA with DHA: the sum of two components, with EFSA's figure, and IOM's as a guide."""

import numpy as np
import pandas as pd
import pytest

from nutricheck.adequacy import chance
from nutricheck.check_plan import check
from nutricheck.intake.menu import with_sums
from nutricheck.needs import day_needs
from nutricheck.plan.models import DayType, Person
from tests.plans import SAMPLES

WALKER = {"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm"}
EFSA = "EFSA Journal 2010;8(3):1461, abstract: 250 mg a day; 100 to 200 mg of DHA more for mothers"
IOM = "IOM 2002/2005, in Kris-Etherton et al. 2009, abstract: about a tenth of alpha-linolenic acid"


def _targets(reference, **person):
    day = DayType.model_validate({"name": "day", "count": 1})
    targets = day_needs(Person.model_validate(WALKER | person), day, reference).targets
    return targets[targets["component"] == "EPA_DHA"]


@pytest.mark.parametrize(
    ("person", "mg", "source"),
    [({}, 250, EFSA), ({"age": 12}, 250, EFSA), ({"life_stage": "pregnancy"}, 350, EFSA)],
)
def test_efsa_advises_an_amount(person, mg, source):
    row = _targets("EFSA", **person)
    assert row[["role", "kind", "likely"]].values.tolist() == [["target", "AI", mg]], source


@pytest.mark.parametrize(
    ("person", "mg", "source"),
    [({}, 110, IOM), ({"sex": "male"}, 160, IOM), ({"age": 12}, 100, IOM)],
)
def test_iom_sets_none_and_tells_a_tenth(person, mg, source):
    row = _targets("DRI", **person)
    assert row[["role", "likely"]].values.tolist() == [["guide", mg]], source


def test_the_sum_is_of_both_and_unknown_where_one_is():
    foods = pd.DataFrame(
        {
            "F20D5": [0.1, 0.1, np.nan],
            "F22D6": [0.2, np.nan, np.nan],
            "EPA_DHA": [np.nan, np.nan, 9],
        }
    )
    sums = with_sums(foods)["EPA_DHA"].tolist()
    assert sums[0] == pytest.approx(300) and np.isnan(sums[1]) and sums[2] == 9


def test_a_report_judges_it_by_its_parts():
    result = check(SAMPLES / "july_survey.toml", reference="EFSA", draws=100)
    rows = result.coverage.set_index(["day", "component"])
    for day in result.coverage["day"].unique():
        both, epa, dha = (rows.loc[(day, tag)] for tag in ("EPA_DHA", "F20D5", "F22D6"))
        assert both["likely"] == pytest.approx(1000 * (epa["likely"] + dha["likely"]))
        assert both["low"] <= both["likely"] <= both["high"]
        assert both["reference"] == 250 and both["status"] in (
            chance.ENOUGH,
            chance.LIKELY_ENOUGH,
            chance.NEAR_ADVISED,
            chance.BELOW_ADVISED,
        )
