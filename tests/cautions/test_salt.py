"""Cautions on salt: both ways, by the worst heat day, and a doctor where no figure holds."""

import math

import pytest

from nutricheck.caution_limits import holding
from nutricheck.cautions.salt import doctor_cautions, salt_limits
from nutricheck.needs.day import day_needs
from nutricheck.plan.models import DayType, Person

CLIMB = DayType(name="climb", count=4, moving="8 h", sweat_rate="0.695 L/h")
REST = DayType(name="rest", count=2)


def walker(**changes):
    return Person(**{"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm", **changes})


def found(eaten_mg, day=CLIMB, heat_days=range(1, 22), is_known=True, **person):
    need = day_needs(walker(**person), day, heat_days=tuple(heat_days)).sodium
    return [
        (caution.id, caution.level, caution.detail)
        for caution in holding(
            salt_limits(day, eaten_mg, need, known_share=1.0 if is_known else 0.5)
        )
    ]


def test_too_little_is_told_by_the_first_heat_day():
    """The low line of 5.56 L on heat day 1 is 3,722 mg, as the mean of 21 it is 3,137."""
    [(name, level, detail)] = found(3500.0)
    assert (name, level) == ("too little salt", "warning")
    assert "at least 3,72" in detail and "heat day 1" in detail
    assert found(3500.0, is_known=False) == []


def test_too_much_is_told_by_the_last_heat_day():
    """From heat day 10 on the lines are 5,819 and 10,457 mg, on the first 6,971 and 10,971."""
    assert found(4211.0) == []
    [(name, level, detail)] = found(6500.0)
    assert (name, level) == ("more salt than useful", "note") and "heat day 21" in detail
    [(name, level, _)] = found(10_800.0)
    assert (name, level) == ("far too much salt", "danger")
    assert found(10_800.0, heat_days=(1,))[0][0] == "more salt than useful"


def test_a_rest_day_with_little_salt_is_no_hazard():
    assert found(900.0, day=REST) == []
    assert found(11_000.0, day=REST)[0][:2] == ("far too much salt", "danger")


def test_unknown_salt_brings_no_caution():
    assert found(math.nan) == []


@pytest.mark.parametrize("condition", ["blood pressure", "heart", "kidney", "salt medicine"])
def test_where_no_figure_holds_a_doctor_is_asked(condition):
    assert found(3500.0, conditions=[condition]) == []
    for days, level in (([CLIMB, REST], "danger"), ([REST], "warning")):
        needs = [day_needs(walker(conditions=[condition]), day).sodium for day in days]
        [caution] = doctor_cautions(needs)
        assert (caution.id, caution.where, caution.level) == ("salt asks a doctor", "person", level)
        words = "medicine that changes salt" if condition == "salt medicine" else condition
        assert words in caution.text


def test_pregnancy_asks_on_sweating_days_alone():
    climb, rest = (day_needs(walker(life_stage="pregnancy"), day).sodium for day in (CLIMB, REST))
    assert [caution.level for caution in doctor_cautions([climb, rest])] == ["warning"]
    assert doctor_cautions([rest]) == ()


def test_a_child_is_warned_of_what_has_killed_children():
    """Campbell and Train 2017: less than 10 g of sodium killed two children."""
    child = {"age": 9, "mass": "30 kg", "height": "135 cm"}
    assert found(9_700.0, day=REST, **child)[0][:2] == ("far too much salt", "danger")
