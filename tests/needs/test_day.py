"""day_needs: one target per component, bases kept apart, ranges in order."""

import math

import pytest

from nutricheck.errors import NutricheckError
from nutricheck.facts import evidence
from nutricheck.needs import day_needs
from nutricheck.needs.reference import not_held
from nutricheck.needs.sodium import ORDINARY_HIGH
from nutricheck.plan.models import DayType, Person

HOT = DayType(
    name="hot walk",
    count=10,
    moving="7 h",
    pace="4 km/h",
    pack="14 kg",
    climb="600 m",
    descent="600 m",
    surface="light brush",
    air_temperature="32 °C",
    humidity="40 %",
)
REST = DayType(name="rest", count=2)
COMPONENTS = {
    *("MG", "K", "NA", "VITC", "ENERC_KCAL", "PROCNT", "FIBTG", "CA", "FE", "P", "ZN", "CU"),
    *("MN", "SE", "ID", "THIA", "RIBF", "NIAEQ", "PANTAC", "VITB6A", "BIOT", "FOLDFE"),
    *("VITB12", "CHOLN", "VITA_RAE", "VITD", "TOCPHA", "VITK1", "F18D2CN6", "F18D3CN3"),
}


SEXES = ("female", "male")


def walker(**changes):
    return Person(**{"sex": "female", "age": 35, "mass": "70 kg", "height": "168 cm", **changes})


def rows(targets, component, role):
    return targets[(targets["component"] == component) & (targets["role"] == role)]


def target(needs, component):
    return rows(needs.targets, component, "target").iloc[0]


STAGES = [
    walker(sex=sex, age=age, mass=f"{mass} kg", height=f"{height} cm")
    for sex, age, mass, height in [
        ("female", 9, 29, 134),
        ("male", 13, 45, 156),
        ("female", 16, 55, 163),
        ("male", 18, 66, 176),
        ("male", 19, 70, 178),
        ("female", 31, 62, 168),
        ("male", 51, 80, 178),
        ("female", 71, 60, 160),
        ("male", 90, 70, 170),
    ]
] + [
    walker(age=age, life_stage=stage)
    for stage in ("pregnancy", "lactation")
    for age in (13, 16, 25, 40, 52)
]


@pytest.mark.parametrize("person", STAGES, ids=lambda p: f"{p.sex} {p.age_years} {p.life_stage}")
@pytest.mark.parametrize("day", [HOT, REST], ids=lambda d: d.name)
@pytest.mark.parametrize("reference", ["DRI", "EFSA"])
def test_every_life_stage_has_one_target_per_component(person, day, reference):
    targets = day_needs(person, day, reference).targets
    chosen = targets[targets["role"] == "target"]
    assert chosen["component"].is_unique
    asked = {"NA"} if person.life_stage == "pregnancy" and day.name == HOT.name else set()
    assert set(chosen["component"]) >= COMPONENTS - {*not_held(person, reference)} - asked
    assert set(chosen["component"]).isdisjoint(not_held(person, reference))
    assert (chosen["low"] <= chosen["likely"]).all()
    assert (chosen["likely"] <= chosen["high"]).all()
    assert (chosen["low"] > 0).all()
    assert (targets["source"] != "").all()
    for role in ("requirement", "upper", "range low", "range high"):
        of_role = targets[(targets["role"] == role) & (targets["kind"] != "CDRR")]
        assert of_role["component"].is_unique, role


def test_upper_levels_keep_their_basis():
    targets = day_needs(walker(), REST).targets
    upper = targets[targets["role"] == "upper"].set_index("component")["basis"]
    assert upper["MG"] == "supplements only"
    assert upper["NIA"] == upper["FOLAC"] == upper["TOCPHA"] == "supplements and fortified food"
    assert upper["VITA_RAE"] == "preformed retinol"
    assert upper["CA"] == "all sources"


def test_hot_day_target_is_published_base_plus_sweat():
    needs = day_needs(walker(), HOT)
    base, planned = rows(needs.targets, "K", "base").iloc[0], target(needs, "K")
    lost = needs.sweat.electrolytes.loc["K"]
    assert base["likely"] == 2600 and base["kind"] == "AI" and base["is_published"]
    assert planned["kind"] == "planning" and not planned["is_published"]
    for end in ("low", "likely", "high"):
        assert planned[end] == pytest.approx(2600 + lost[end])


def test_sodium_aims_at_what_is_needed_without_sweat_plus_sweat():
    """NRC 1989: 500 mg without sweat; the AI of 1500 mg holds some already, and is the least."""
    needs = day_needs(walker(), HOT)
    lost = needs.sweat.electrolytes.at["NA", "likely"]
    assert lost == pytest.approx(22.99 * 42 * needs.sweat.likely_l, rel=1e-4)
    assert target(needs, "NA")["likely"] == pytest.approx(500 + lost, rel=1e-4)
    assert rows(needs.targets, "NA", "base")["likely"].item() == 1500
    rest = target(day_needs(walker(), REST), "NA")
    assert (rest["likely"], rest["kind"]) == (1500, "AI")


def test_chloride_goes_with_sodium_and_has_no_target():
    needs = day_needs(walker(), HOT)
    assert set(needs.targets.query("component == 'CLD'")["role"]) == {"base"}
    losses = needs.sweat.electrolytes["likely"]
    assert losses["CLD"] / losses["NA"] == pytest.approx(1.54, abs=0.005)


def test_the_same_day_later_in_the_trip_asks_for_less_sodium():
    first, tenth = (target(day_needs(walker(), HOT, heat_days=(n,)), "NA") for n in (1, 10))
    assert first["likely"] > tenth["likely"]


@pytest.mark.parametrize("person", [{"conditions": ["heart"]}, {"life_stage": "pregnancy"}])
def test_without_a_salt_figure_the_reason_is_given(person):
    found = day_needs(walker(**person), HOT)
    none = rows(found.targets, "NA", "no figure").iloc[0]
    assert none["kind"] == "ask your doctor" and math.isnan(none["likely"])
    assert found.sodium.band is None and found.sodium.reasons
    assert found.sodium.sweat_mg[1] > 1500, "what the sweat takes is still told"


def test_efsa_takes_its_own_adequate_intake_and_the_dri_for_what_it_has_not_set():
    """EFSA 2019: safe and adequate 2,000 mg; NASEM 2019: CDRR 2,300 mg."""
    rest = day_needs(walker(), REST, "EFSA").sodium
    assert rest.band is not None
    assert (rest.band.low, rest.band.aim, rest.band.high) == (2000, 2000, 2300)


def test_vitamin_c_has_no_heat_surcharge_and_says_so():
    hot, rest = (day_needs(walker(), day) for day in (HOT, REST))
    assert target(hot, "VITC")["likely"] == target(rest, "VITC")["likely"] == 75
    assert "no published standard" in rows(hot.targets, "VITC", "guide")["note"].item()


def test_smoker_adds_35_mg_vitamin_c():
    """IOM 2000: the requirement of smokers is 35 mg/day higher."""
    needs = day_needs(walker(smoker=True), REST)
    assert target(needs, "VITC")["likely"] == 110
    assert rows(needs.targets, "VITC", "requirement")["likely"].item() == 95
    assert target(day_needs(walker(smoker=True), REST, "EFSA"), "VITC")["likely"] == 95


@pytest.mark.parametrize("eats", ["vegetarian", "vegan"])
def test_vegetarian_iron_is_judged_at_1_8_times_the_reference(eats):
    """IOM 2001, p. 574: 1.8 times the requirement on a vegetarian diet."""
    needs = day_needs(walker(eats=eats), REST)
    assert target(needs, "FE")["likely"] == pytest.approx(32.4)
    assert rows(needs.targets, "FE", "requirement")["likely"].item() == pytest.approx(1.8 * 8.1)
    assert "IOM 2001" in target(needs, "FE")["source"]
    assert not len(rows(needs.targets, "FE", "guide"))


@pytest.mark.parametrize(
    ("changes", "reference", "note"),
    [({}, "EFSA", 16), ({"life_stage": "pregnancy"}, "DRI", 27)],
    ids=["EFSA sets no factor", "it would pass the upper level in pregnancy"],
)
def test_where_it_is_not_judged_it_is_told_beside_the_target(changes, reference, note):
    needs = day_needs(walker(eats="vegan", **changes), REST, reference)
    assert target(needs, "FE")["likely"] == note
    assert rows(needs.targets, "FE", "guide")["likely"].item() == pytest.approx(1.8 * note)


@pytest.mark.parametrize("mass", [50, 90])
def test_protein_scales_with_body_mass(mass):
    needs = day_needs(walker(mass=f"{mass} kg"), REST)
    assert target(needs, "PROCNT")["likely"] == pytest.approx(0.8 * mass)


def test_efsa_values_per_energy_follow_the_day():
    needs = day_needs(walker(), HOT, "EFSA")
    thiamin = target(needs, "THIA")
    for end in ("low", "likely", "high"):
        expected = 0.1 * getattr(needs.energy, end) * 4.184 / 1000
        assert thiamin[end] == pytest.approx(expected)


def test_efsa_pregnancy_wins_over_general():
    folate = day_needs(walker(life_stage="pregnancy"), REST, "EFSA").targets
    folate = folate[folate["component"] == "FOLDFE"]
    assert list(folate["role"]) == ["target"] and folate["likely"].item() == 600


@pytest.mark.parametrize(("past_menopause", "expected"), [(False, 16), (True, 11)])
def test_efsa_iron_goes_by_menopause(past_menopause, expected):
    needs = day_needs(walker(age=50, postmenopausal=past_menopause), REST, "EFSA")
    assert target(needs, "FE")["likely"] == expected


@pytest.mark.parametrize(
    ("age", "past_menopause", "words"),
    [
        (45, False, ""),
        (45, True, "women over 50 (8 mg)"),
        (55, False, "31 to 50 (18 mg)"),
        (55, True, ""),
    ],
)
def test_dri_iron_is_set_by_age_and_says_where_menopause_differs(age, past_menopause, words):
    """IOM 2001: 18 mg for women of 19 to 50, 8 mg above."""
    iron = target(day_needs(walker(age=age, postmenopausal=past_menopause), REST), "FE")
    assert iron["likely"] == (18 if age < 51 else 8)
    assert words in iron["note"] and bool(iron["note"]) == bool(words)


def test_folic_acid_is_told_to_women_alone():
    notes = {sex: target(day_needs(walker(sex=sex), REST), "FOLDFE")["note"] for sex in SEXES}
    assert "may become pregnant" in notes["female"] and notes["male"] == ""


@pytest.mark.parametrize(("age", "is_told"), [(13, True), (14, False), (50, False), (51, True)])
def test_an_age_outside_the_values_for_mothers_is_told(age, is_told):
    """The DRI for pregnancy are set for 14 to 50 years."""
    note = target(day_needs(walker(age=age, life_stage="pregnancy"), REST), "MG")["note"]
    assert ("values of pregnancy at 14 to 50 years" in note) == is_told


def test_protein_guide_of_walking_days():
    """AND/DC/ACSM 2016: 1.2 to 2.0 g/kg; by hand 84, 112 and 140 g for 70 kg."""
    guide = rows(day_needs(walker(), HOT).targets, "PROCNT", "guide").iloc[0]
    assert (guide["low"], guide["likely"], guide["high"]) == pytest.approx((84, 112, 140))
    assert rows(day_needs(walker(), REST).targets, "PROCNT", "guide").empty


def test_efsa_zinc_is_a_range_by_phytate():
    """EFSA 2014;12(10):3844: women 7.5, 9.3, 11, 12.7 mg at 300, 600, 900, 1200 mg phytate."""
    zinc = target(day_needs(walker(), REST, "EFSA"), "ZN")
    assert (zinc["low"], zinc["likely"], zinc["high"]) == (7.5, 9.3, 12.7)
    assert target(day_needs(walker(eats="vegetarian"), REST, "EFSA"), "ZN")["likely"] == 11


def test_no_spread_where_requirements_are_skewed_or_unknown():
    needs = day_needs(walker(), REST)
    assert math.isnan(target(needs, "FE")["sd"])
    assert math.isnan(target(needs, "K")["sd"])
    assert target(needs, "MG")["sd"] == pytest.approx(27.5)


@pytest.mark.parametrize(
    ("age", "pack", "is_told"), [(17, "10 kg", False), (17, "10.1 kg", True), (18, "15 kg", False)]
)
def test_a_pack_for_the_young_is_a_fifth_of_body_mass_at_most(age, pack, is_told):
    """American Academy of Pediatrics, as the press quotes it: 10 to 20 % of body mass."""
    day = DayType(name="walk", count=1, moving="4 h", pack=pack)
    topics = {caution.topic for caution in day_needs(walker(age=age, mass="50 kg"), day).cautions}
    assert ("pack of a young person" in topics) is is_told


@pytest.mark.parametrize("reference", ["DRI", "EFSA"])
def test_a_figure_says_where_it_was_not_checked_against_the_publication(reference):
    table = {"DRI": "dri_us_canada", "EFSA": "efsa_drv"}[reference]
    remarks = {"secondary": " (as quoted elsewhere)", "memory": " (from memory, unchecked)"}
    stated = {row["report"] + remarks.get(row["status"], "") for row in evidence.rows(table)}
    targets = day_needs(walker(), REST, reference).targets
    # what EFSA has not set of sodium is the DRI's
    is_own = targets["role"] != ORDINARY_HIGH
    published = targets[targets["is_published"] & is_own]["source"]
    assert set(published) <= stated
    if reference == "EFSA":
        assert published.str.endswith("(as quoted elsewhere)").any()


def test_unknown_set_is_one_clear_error():
    with pytest.raises(NutricheckError, match="DRI, EFSA"):
        day_needs(walker(), REST, "XX")


def test_efsa_zinc_of_mothers():
    """EFSA 2014;12(10):3844: 1.6 mg more in pregnancy, 2.9 mg in lactation, at any phytate."""
    for stage, more in (("pregnancy", 1.6), ("lactation", 2.9)):
        zinc = target(day_needs(walker(life_stage=stage), REST, "EFSA"), "ZN")
        expected = (7.5 + more, 9.3 + more, 12.7 + more)
        assert (zinc["low"], zinc["likely"], zinc["high"]) == pytest.approx(expected)
        assert f"{more:g} mg for {stage}" in zinc["note"]
