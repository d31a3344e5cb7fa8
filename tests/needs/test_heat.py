"""Heat itself: the WBGT of a day against its limits, the heat balance, and who bears it worse."""

from itertools import product

import pytest

from nutricheck.facts.caution import caution
from nutricheck.needs.energy import energy_need
from nutricheck.needs.heat import heat_cautions, heat_stress
from nutricheck.plan.models import DayType, Person

WALKER = Person(sex="female", age=35, mass="70 kg", height="168 cm")


def air(celsius, humidity=None):
    given = {"air_temperature": f"{celsius} °C"}
    return given if humidity is None else {**given, "humidity": f"{humidity} %"}


def walk(celsius, humidity=None, **changes):
    base = {"name": "walk", "count": 1, "moving": "7 h", "pace": "4 km/h", "pack": "14 kg"}
    return DayType(**{**base, **air(celsius, humidity), **changes})


def rest(celsius, humidity=None, **changes):
    return DayType(**{"name": "rest", "count": 1, **air(celsius, humidity), **changes})


def heat_told(day, person=WALKER):
    return [
        (caution.id, caution.level)
        for caution in heat_cautions(person, day, energy_need(person, day))
    ]


def stress(day, person=WALKER):
    return heat_stress(person, day, energy_need(person, day))


LIMIT, SUN = "heat above the limit", "heat above the limit in the sun"
REST = "heat above the limit at rest"


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (walk(20, 50), []),
        (walk(24, 40), []),
        (walk(28, 40), [(SUN, "note")]),
        (walk(31, 40), [(LIMIT, "warning")]),
        (walk(33, 60), [(LIMIT, "danger")]),
        (walk(36, 80), [("heat in the shade", "danger")]),
        (rest(20, 50), []),
        (rest(30, 40), []),
        (rest(36, 40), [(SUN, "note")]),
        (rest(40, 10), [(REST, "warning")]),
        (rest(46, 10), [(REST, "warning")]),
        (rest(46), [(REST, "warning")]),
        (rest(46, 35), [(REST, "danger")]),
        (rest(42, 95), [("heat in the shade", "danger")]),
        (DayType(name="rest", count=1), []),
    ],
)
def test_what_is_said_of_the_heat_of_a_day(day, expected):
    """An unacclimatised healthy adult. The levels between note and danger are ours, the limits are
    NIOSH's and ACSM's; see tests/published/test_heat.py."""
    assert heat_told(day) == expected


def test_a_measured_sweat_rate_does_not_silence_heat():
    assert heat_told(walk(36, 80, sweat_rate="0.8 L/h")) == heat_told(walk(36, 80))


WORSE = {
    "heat in childhood": {"age": 12},
    "heat in old age": {"age": 78},
    "heat in pregnancy": {"life_stage": "pregnancy"},
    "heat with an illness": {"conditions": ["heart"]},
    "heat with a salt medicine": {"conditions": ["salt medicine"]},
}
ORDER = (None, "note", "warning", "danger")


@pytest.mark.parametrize("why", WORSE)
def test_heat_is_more_serious_for_those_who_bear_it_worse(why):
    base = {"sex": "female", "age": 35, "mass": "70 kg", "height": "168 cm", "acclimatised": True}
    healthy, other = Person(**base), Person(**{**base, **WORSE[why]})
    for day in (walk(31, 40), walk(28, 40), rest(36, 40), rest(44), rest(46, 10)):
        level, worse = stress(day, healthy).level, stress(day, other).level
        assert ORDER.index(worse) > ORDER.index(level), day
        (_, main), (reason, second) = heat_told(day, other)
        assert reason == why and second in (main, "warning")
    assert heat_told(walk(20, 50), other) == []


#: Listed groups besides those of WORSE, with one body for all.
LISTED = [*WORSE.values(), {"age": 66}, {"age": 92}, {"age": 17}, {"conditions": ["kidney"]}]
DAYS = [
    make(degrees / 2, humidity)
    for make, degrees, humidity in product((rest, walk), range(44, 104, 3), (None, 20, 55))
]


def gravest(day, person, energy):
    return max(
        (ORDER.index(caution.level) for caution in heat_cautions(person, day, energy)), default=0
    )


@pytest.mark.parametrize("listed", LISTED, ids=str)
@pytest.mark.parametrize("age", [19, 45])
def test_no_listed_group_has_a_weaker_word_than_a_healthy_adult(listed, age):
    """Of the same body under the same heat; of what is said, not of the WBGT alone. An old body
    makes less heat at rest, so that it once had a note where a young one had a warning."""
    base = {"sex": "female", "mass": "70 kg", "height": "168 cm"}
    adult = Person(**base, age=age)
    other = Person(**{**base, "age": 34, **listed}, acclimatised=True)
    for day in DAYS:
        healthy = gravest(day, adult, energy_need(adult, day))
        worse = gravest(day, other, energy_need(other, day))
        assert worse > healthy or worse == healthy in (0, 3), (day.air_temperature_c, healthy)


@pytest.mark.parametrize("person", [WALKER, WALKER.model_copy(update={"age_years": 70})])
def test_who_is_not_used_to_the_heat_has_no_weaker_word(person):
    used = person.model_copy(update={"acclimatised": True})
    for day in DAYS:
        energy = energy_need(person, day)
        assert gravest(day, person, energy) >= gravest(day, used, energy)


def test_two_reasons_are_both_told():
    old_heart = WALKER.model_copy(update={"age_years": 70, "conditions": ("kidney",)})
    reasons = [name for name, _ in heat_told(rest(44), old_heart)[1:]]
    assert reasons == ["heat in old age", "heat with an illness"]


def test_acclimatised_people_bear_more():
    """NIOSH 2016-106: at 300 W 28.2 °C against 25.0."""
    used = WALKER.model_copy(update={"acclimatised": True})
    fresh = stress(walk(31, 40))
    assert stress(walk(31, 40), used).limit_c - fresh.limit_c == pytest.approx(3.2, abs=0.2)
    assert heat_told(walk(31, 40), used) == [(SUN, "note")]


def test_the_danger_of_hot_rest_is_told_with_its_figures():
    (found,) = heat_cautions(WALKER, rest(46, 10), energy_need(WALKER, rest(46, 10)))
    assert found.detail == (
        "heat, moisture and sun together (WBGT) 29 °C in the shade, 34 °C in the sun; "
        "the limit is 32 °C for people not used to the heat"
    )
    assert found.where == "rest" and found.topic == "heat illness"
    assert "alk" not in found.text, "nobody walks on that day"


@pytest.mark.parametrize("humidity", [0, 10, 50, 100, None])
def test_a_hotter_day_is_never_less_serious(humidity):
    for make in (walk, rest):
        levels = [ORDER.index(stress(make(degrees, humidity)).level) for degrees in range(-5, 58)]
        assert levels == sorted(levels)


def test_every_reason_has_its_words():
    assert all(caution(why, raised=True).level == "danger" for why in WORSE)
