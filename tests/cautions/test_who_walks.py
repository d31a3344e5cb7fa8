"""What is said of a person whatever is eaten: the young, the old, and words that cannot apply."""

import copy

import pytest

import nutricheck as nc
from nutricheck.cautions.person import person_cautions
from nutricheck.needs import day_needs
from nutricheck.plan.models import DayType, Person
from tests.plans import WOMAN

PLAN = {
    "person": dict(WOMAN),
    "days": [{"name": "walk", "count": 2, "moving": "4 h", "pace": "3.6 km/h", "pack": "6 kg"}],
    "packed": [{"item": "oats", "food": "08120", "mass": "1 kg"}],
    "portions": [{"item": "oats", "amount": "300 g"}],
}


def person(**changes):
    return Person(**{**PLAN["person"], **changes})


def checked(**changes):
    plan = copy.deepcopy(PLAN)
    plan["person"] |= changes
    return nc.check(plan, draws=0)


def test_a_healthy_child_is_not_sent_to_the_doctor():
    girl = person(age=12, mass="40 kg", height="150 cm")
    (caution,) = person_cautions(girl, "DRI")
    assert (
        caution.level == "note"
        and "as much as the day uses" in caution.text
        and "doctor" not in caution.text.lower()
    )
    cool = DayType(name="walk", count=1, moving="4 h", pack="5 kg", air_temperature="18 °C")
    texts = " ".join(caution.text for caution in day_needs(girl, cool).cautions)
    assert "doctor" not in texts.lower()


def test_old_age_brings_heat_thirst_medicines_and_protein():
    """85 years, 17 kg, 40 °C."""
    man = person(sex="male", age=85, mass="70 kg", height="172 cm")
    hot = DayType(name="walk", count=1, moving="3 h", pack="17 kg", air_temperature="40 °C")
    cautions = (*person_cautions(man, "DRI"), *day_needs(man, hot).cautions)
    found = {caution.id: caution for caution in cautions}
    assert found["heat in old age"].level == "danger"
    assert found["pack in old age"].detail == "17 kg, 24 %"
    words = found["old age"].text + found["heat in old age"].text
    for word in ("Thirst", "medicines", "protein", "65"):
        assert word.lower() in words.lower()


@pytest.mark.parametrize(
    ("age", "conditions", "moving", "grams"),
    [
        (66, [], "0 h", [(70, 84)]),
        (78, [], "5 h", [(70, 84), (84, 140)]),
        (65, [], "0 h", []),
        (40, [], "5 h", [(84, 140)]),
        (16, [], "5 h", []),
        (78, ["kidney"], "5 h", []),
    ],
)
def test_protein_guides_are_of_the_age(age, conditions, moving, grams):
    """70 kg. PROT-AGE 2013: 1.0 to 1.2 g/kg above 65; AND/DC/ACSM 2016: 1.2 to 2.0 in training."""
    walker = person(age=age, mass="70 kg", height="170 cm", conditions=conditions)
    targets = day_needs(walker, DayType(name="d", count=1, moving=moving)).targets
    guides = targets[(targets["component"] == "PROCNT") & (targets["role"] == "guide")]
    found = list(guides[["low", "high"]].itertuples(index=False, name=None))
    assert found == [pytest.approx(pair) for pair in grams]


@pytest.mark.parametrize(
    ("changes", "is_possible"),
    [
        ({}, True),
        ({"age": 9}, False),
        ({"age": 12}, True),
        ({"age": 56}, False),
        ({"age": 85}, False),
        ({"postmenopausal": True}, False),
        ({"sex": "male"}, False),
        ({"age": 9, "life_stage": "pregnancy"}, True),
    ],
)
def test_whom_words_of_pregnancy_can_concern(changes, is_possible):
    assert person(**changes).can_be_pregnant is is_possible


@pytest.mark.parametrize(
    "changes",
    [
        {"age": 85, "mass": "60 kg", "height": "160 cm"},
        {"age": 52, "postmenopausal": True},
        {"sex": "male"},
    ],
)
def test_no_word_of_menstruation_or_pregnancy_where_it_cannot_apply(changes):
    result = checked(**changes)
    notes = " ".join([*result.targets["note"].fillna(""), *result.coverage["note"].fillna("")])
    said = notes + " ".join(caution.text for caution in result.cautions)
    assert "menstru" not in said.lower() and "pregnan" not in said.lower()


def test_where_they_can_apply_they_are_said():
    folate = checked().targets.query("component == 'FOLDFE' and role == 'target'")
    assert folate["note"].str.contains("pregnant").all()
    iron = checked(age=52).targets.query("component == 'FE' and role == 'target'")
    assert iron["note"].str.contains("menstruation").all()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"sex": "male", "postmenopausal": True}, "Is the sex right"),
        ({"age": 9, "mass": "30 kg", "height": "135 cm", "life_stage": "pregnancy"}, "at 9 years"),
        ({"age": 70, "life_stage": "pregnancy"}, "at 70 years"),
        ({"age": 62, "life_stage": "lactation"}, "breast-feeding at 62 years"),
        ({"life_stage": "pregnancy", "postmenopausal": True}, "Which of the two is right"),
    ],
)
def test_what_is_hardly_possible_is_asked_about(changes, words):
    assert any(words in question for question in checked(**changes).questions)


def test_what_is_usual_is_not_asked_about():
    for changes in ({}, {"postmenopausal": True, "age": 52}, {"life_stage": "pregnancy"}):
        assert not [
            question for question in checked(**changes).questions if question.startswith("Person")
        ]


def test_liver_speaks_of_pregnancy_only_to_those_who_can_be():
    liver = {
        "batch": [
            {
                "name": "liver",
                "ingredients": [{"food": "13325", "mass": "1 kg"}],
                "preparation": {"kind": "cooked", "method": "braised"},
                "drying": {"temperature": "60 °C", "time": "8 h"},
            }
        ],
        "packed": [{"item": "liver", "mass": "200 g"}],
        "portions": [{"item": "liver", "amount": "20 g"}],
    }

    def of_liver(**changes):
        plan = {**PLAN, **liver, "person": {**PLAN["person"], **changes}}
        found = nc.check(plan, draws=0).cautions
        return [
            (caution.level, "pregnan" in caution.text)
            for caution in found
            if "in liver" in caution.topic
        ]

    assert ("warning", True) in of_liver()
    assert ("danger", True) in of_liver(life_stage="pregnancy")
    assert ("warning", False) in of_liver(age=70) and ("warning", True) not in of_liver(age=70)


@pytest.mark.parametrize(
    ("mass", "milligrams", "level"),
    [("30 kg", 900, None), ("30 kg", 1500, "warning"), ("30 kg", 4900, "danger"),
     ("70 kg", 4900, "warning"), ("70 kg", 5100, "danger")],
)  # fmt: skip
def test_potassium_is_judged_by_age_and_body_mass(mass, milligrams, level):
    """VKM 2017: 990 mg below 10 years beside food; EFSA 2005: 5 g at once for adults."""
    child = {"age": 9, "height": "135 cm"} if mass == "30 kg" else {}
    plan = copy.deepcopy(PLAN)
    plan["person"] |= {"mass": mass, **child}
    plan["label"] = [
        {
            "name": "salt substitute",
            "kind": "supplement",
            "serving": "10 g",
            "amounts": {"K": f"{milligrams} mg"},
        }
    ]
    plan["packed"] = [*plan["packed"], {"item": "salt substitute", "mass": "20 g"}]
    plan["portions"] = [*plan["portions"], {"item": "salt substitute", "amount": "10 g"}]
    found = [
        caution.level
        for caution in nc.check(plan, draws=0).cautions
        if caution.id == "potassium added"
    ]
    assert found == ([level] if level else [])


def test_manganese_of_oats_does_not_make_a_childs_plan_a_no():
    """300 g of oats hold some 11 mg; the level is 6 mg at 9 to 13 years (IOM 2001)."""
    result = checked(age=12, mass="40 kg", height="150 cm")
    row = result.coverage.query("component == 'MN' and day == 'walk'").iloc[0]
    assert row["upper"] == 6 < row["upper_likely"]
    assert row["status"] != "too much"
    assert "by ordinary food alone" in row["note"]
