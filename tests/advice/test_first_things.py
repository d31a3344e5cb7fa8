"""What can hurt a person is an action, before food that only fills a gap; each case once misled."""

from __future__ import annotations

import io

import pytest

from nutricheck.advice.additions import additions
from nutricheck.advice.answer import answer
from nutricheck.check_plan import check
from nutricheck.report.answer_words import action_words
from nutricheck.report.drink import short_drink
from nutricheck.report.terminal import print_report
from tests.plans import WOMAN


def plan(*foods: tuple[str, str, str], person=None, day=None, **more):
    """A plan that eats (item, food, grams a day) on four walking days."""
    return {
        "person": WOMAN | (person or {}),
        "trip": {"cooking": "cooks"},
        "days": [{"name": "walk", "count": 4, "moving": "5 h"} | (day or {})],
        "packed": [{"item": item, "food": food, "mass": "4 kg"} for item, food, _ in foods],
        "portions": [{"item": item, "amount": grams} for item, _, grams in foods],
    } | more


RICE = ("rice", "20044", "400 g")


def first_texts(asked):
    """What the actions say, in order."""
    return [action_words(action)[0] for action in answer(check(asked, draws=0)).actions]


def screen(asked):
    out = io.StringIO()
    print_report(check(asked, draws=0), file=out)
    return out.getvalue()


def test_too_little_planned_drink_at_rest_in_great_heat_comes_before_food():
    hot = {"moving": "0 h", "air_temperature": "44 °C", "humidity": "15 %", "drink": "3 L"}
    first = first_texts(plan(("rice", "20044", "200 g"), day=hot))
    place = next(at for at, text in enumerate(first) if text.startswith("Plan to drink more: walk"))
    assert "3.0 L planned, about" in first[place]
    assert not any(text.startswith("Carry more food") for text in first[:place])


def test_tyramine_is_a_question_for_the_doctor_and_comes_before_the_way_of_drying():
    ill = {"conditions": ["MAO inhibitor"]}
    asked = plan(RICE, ("cheddar", "01009", "30 g"), person=ill)
    asked["batch"] = [
        {
            "name": "jerky",
            "ingredients": [{"food": "23557", "mass": "1 kg"}],
            "preparation": {"kind": "raw"},
            "drying": {"temperature": "40 °C", "time": "12 h"},
        }
    ]
    asked["packed"].append({"item": "jerky", "mass": "160 g"})
    asked["portions"].append({"item": "jerky", "amount": "40 g"})
    found = check(asked, draws=0)
    ids = [caution.id for caution in found.cautions if caution.level == "danger"]
    assert ids.index("tyramine") < ids.index("raw meat")
    first = first_texts(asked)
    assert first[0].startswith("Leave out: ")
    assert first[1] == ("Ask your doctor first: which of these foods your MAO inhibitor allows")
    # what stays at home needs no better drying
    assert not any(text.startswith("Heat the meat") for text in first)


def test_meat_dried_raw_is_made_safe_by_an_action_of_its_own():
    asked = plan(RICE)
    asked["batch"] = [
        {
            "name": "jerky",
            "ingredients": [{"food": "23557", "mass": "1 kg"}],
            "preparation": {"kind": "raw"},
            "drying": {"temperature": "40 °C", "time": "12 h"},
        }
    ]
    asked["packed"].append({"item": "jerky", "mass": "160 g"})
    asked["portions"].append({"item": "jerky", "amount": "40 g"})
    assert first_texts(asked)[0] == "Heat the meat to 71 °C before or after drying: jerky"


def test_the_deadliest_comes_first_among_what_is_left_out():
    """Raw oysters can kill within days; alcohol harms an ill liver."""
    ill = {"conditions": ["iron overload", "no alcohol"]}
    asked = plan(RICE, ("wine", "14084", "50 g"), ("oysters", "15171", "50 g"), person=ill)
    asked["trip"]["cooking"] = "hot water"
    assert check(asked, draws=0).left.not_for_person == ("wine", "oysters")
    asked["person"]["conditions"] = ["liver"]
    assert check(asked, draws=0).left.not_for_person == ("wine", "oysters")
    broad = plan(
        RICE,
        ("couscous", "20028", "50 g"),
        ("beans", "16052", "50 g"),
        person={"conditions": ["G6PD deficiency", "coeliac"]},
    )
    assert check(broad, draws=0).left.not_for_person == ("couscous", "beans")


def test_histamine_rich_food_and_food_that_may_hold_an_allergen_are_actions():
    tuna = first_texts(
        plan(RICE, ("cheese", "01009", "30 g"), person={"conditions": ["histamine"]})
    )
    assert any(text.startswith("Leave out what you cannot take: cheese") for text in tuna)
    asked = plan(RICE, ("chocolate", "19904", "10 g"), person={"does_not_eat": ["dairy"]})
    things = first_texts(asked)
    place = next(
        number
        for number, what in enumerate(things)
        if what.startswith("Read the label first, or leave it out: chocolate (Chocolate, dark")
    )
    assert not any(text.startswith("Carry more food") for text in things[:place])
    assert "no allergy check" in screen(asked)


@pytest.mark.parametrize(("grams", "is_told"), [("90 g", False), ("160 g", True)])
def test_more_prunes_than_work_as_a_laxative_are_told(grams, is_told):
    """Attaluri et al. 2011: 100 g a day."""
    found = first_texts(plan(RICE, ("prunes", "09291", grams)))
    assert ("Eat at most 100 g a day: prunes (160 g a day)" in found) is is_told


def test_no_more_prunes_are_proposed_than_work_as_a_laxative():
    from nutricheck.advice.additions.foods import trail_foods

    result = check(plan(RICE), draws=0)
    ceilings = trail_foods(result.table)["ceiling_g"]
    assert ceilings["09289"] == 100 < ceilings[ceilings.index.str.startswith("09")].max()


def test_fish_liver_oil_says_how_much_a_day_bears():
    oil = [("oil", "04589", grams) for grams in ("5 g", "15 g")]
    levels = []
    for portion in oil:
        result = check(plan(RICE, portion), draws=0)
        (found,) = (one for one in result.cautions if one.id == "fish liver oil")
        assert found.where == "oil (10 g)"  # 3,000 µg of retinol at 300 µg in a gram
        levels.append(found.level)
    assert levels == ["note", "warning"]


def test_proposed_fish_liver_oil_says_so_too():
    """Once a teaspoon of it was proposed to a child without a word."""
    girl = {"sex": "female", "age": 12, "mass": "42 kg", "height": "152 cm"}
    found = additions(check(plan(RICE, person=girl), draws=0), sources=("list",))
    assert any("cod liver" in name.lower() for name in found.items["item"])
    (caution,) = (one for one in found.cautions if one.id == "fish liver oil")
    assert "1,700" in caution.text  # µg, IOM 2001, 9 to 13 years


def test_a_childs_useless_salt_and_coffee_come_before_food():
    boy = {"sex": "male", "age": 9, "mass": "30 kg", "height": "135 cm"}
    asked = plan(("rice", "20044", "150 g"), ("salt", "02047", "12 g"), person=boy)
    asked["packed"].append({"item": "coffee", "food": "14214", "mass": "100 g"})
    asked["portions"].append({"item": "coffee", "amount": "5 g"})
    first = first_texts(asked)
    assert first[0].startswith("Take at most ") and first[0].endswith("g of the salt a day")
    place = next(at for at, text in enumerate(first) if text.startswith("Give less coffee"))
    assert not any(text.startswith(("Carry more food", "Take vitamin")) for text in first[:place])
    # an adult is told of it in the table alone
    assert not any(
        "of the salt a day" in text for text in first_texts(asked | {"person": dict(WOMAN)})
    )


def test_coffee_closes_no_gap():
    """Instant coffee is rich in magnesium and niacin, and 40 g of it holds over 1 g of caffeine."""
    boy = {"sex": "male", "age": 9, "mass": "30 kg", "height": "135 cm"}
    for person in (boy, dict(WOMAN)):
        asked = plan(("rice", "20044", "150 g"), person=person)
        asked["packed"].append({"item": "coffee", "food": "14214", "mass": "100 g"})
        asked["portions"].append({"item": "coffee", "amount": "2 g"})
        found = first_texts(asked)
        assert any(text.startswith(("Take magnesium", "Find food with", "Eat ")) for text in found)
        assert not any(text.startswith("Eat ") and "coffee" in text for text in found)


def test_a_thin_person_who_lacks_energy_is_told_so_first():
    thin = {"sex": "female", "age": 85, "mass": "40 kg", "height": "153 cm"}
    asked = plan(("rice", "20044", "150 g"), person=thin)
    found = answer(check(asked, draws=0))
    assert "too little food for a thin body" in found.dangers
    assert [action.kind for action in found.actions[:2]] == ["eat what is left", "energy"]
    asked["person"] = thin | {"mass": "60 kg"}
    assert "too little food for a thin body" not in answer(check(asked, draws=0)).dangers


def test_what_a_clinic_set_is_all_that_is_drunk_and_its_limit_of_salt_is_shown():
    by = {"set_by": "county hospital", "set_on": "2026-05-12"}
    asked = plan(
        RICE,
        person={"conditions": ["kidney"]},
        day={"air_temperature": "33 °C", "humidity": "40 %"},
        clinic=[
            {"component": "fluid", "limit": "2.5 L"} | by,
            {"component": "NA", "limit": "2300 mg"} | by,
        ],
    )
    words = short_drink(check(asked, draws=0))
    assert words.startswith("Drink at most 2.5 L a day in all, on the way and in camp")
    assert "no more than 2,300 mg of sodium a day, as your clinic set it" in words
    text = screen(asked)
    assert "of at most 2,300 mg" in text
    (potassium,) = (line for line in text.splitlines() if line.startswith("! potassium"))
    assert "eaten" in potassium and "mg" in potassium and "ask your doctor" in potassium


def test_the_screen_says_what_its_last_column_is():
    (head,) = (line for line in screen(plan(RICE)).splitlines() if "of aim" in line)
    assert head.split() == ["none", "aim", "twice", "of", "aim", "·", "chance", "of", "enough"]


def test_salt_that_lacks_is_something_to_do():
    hot = {"moving": "7 h", "air_temperature": "32 °C", "humidity": "40 %"}
    found = answer(check(plan(RICE, day=hot), draws=0))
    (action,) = [action for action in found.actions if action.kind == "salt"]
    assert action.item == "walk" and action.grams_a_litre > 1
    what, why = action_words(action)
    assert what.startswith("Add salt on walk: ") and "in each litre" in what
    assert why.startswith("You eat ")
    kinds = [action.kind for action in found.actions]
    assert all(
        kinds.index("salt") < number for number, kind in enumerate(kinds) if kind == "tablet"
    )


def test_a_second_tablet_is_named_where_leaving_out_the_first_is_not_enough():
    """Two capsules of 500 mg of magnesium a day against a level of 350 mg (IOM 1997)."""
    names = ("red tablet", "blue tablet")
    amounts = {"amounts": {"MG": "500 mg"}, "states": {"MG": "element"}}
    label = {"kind": "supplement", "serving": "1 g", **amounts}
    asked = plan(RICE, label=[{"name": name, **label} for name in names])
    asked["packed"] += [{"item": name, "mass": "20 g"} for name in names]
    asked["portions"] += [{"item": name, "amount": "1 g"} for name in names]
    said = first_texts(asked)
    first = next(number for number, what in enumerate(said) if what.startswith("Leave out the "))
    other = "blue" if "red" in said[first] else "red"
    assert said[first + 1] == f"Of the {other} tablet take at most half a day"


def less(asked):
    """What is named against upper levels: item and the share that may stay."""
    found = answer(check(asked, draws=0)).actions
    return [(action.item, action.after_share) for action in found if action.kind == "less"]


def capsule(**label):
    """A plan with rice, carrots and a capsule a day."""
    asked = plan(RICE, ("carrots", "11124", "300 g"))
    asked["label"] = [{"name": "capsule", "kind": "supplement", "serving": "1 g", **label}]
    asked["packed"].append({"item": "capsule", "mass": "20 g"})
    asked["portions"].append({"item": "capsule", "amount": "1 g"})
    return asked


def test_what_brings_the_retinol_is_named_and_not_the_carrots():
    """Carrots bring no preformed retinol, which alone the level of 3,000 µg counts (IOM 2001)."""
    ((item, may_stay),) = less(capsule(amounts={"RETOL": "3200 ug"}))
    assert item == "capsule"
    assert may_stay == pytest.approx(3000 / 3200, abs=0.01)


def test_all_vitamin_e_of_a_capsule_counts_so_that_more_of_it_may_stay():
    """The level counts the capsule's whole amount; its share is of that and not of what works."""
    asked = capsule(amounts={"VITE": "1500 mg"})
    result = check(asked, draws=0)
    row = result.coverage.set_index(["day", "component"]).loc[("trip mean", "TOCPHA")]
    (may_stay,) = [share for item, share in less(asked) if item == "capsule"]
    assert may_stay == pytest.approx(row["upper"] / row["upper_likely"], abs=0.01)


def test_what_is_left_at_home_is_not_told_how_to_be_heated_however_it_is_spelt():
    batch = {
        "name": "beef mince",
        "ingredients": [{"food": "23557", "mass": "2 kg"}],
        "drying": {"temperature": "60 °C", "time": "8 h"},
    }
    for spelt in ("beef mince", "Beef mince"):
        asked = plan(RICE, person={"does_not_eat": ["beef"]}, batch=[batch])
        asked["packed"].append({"item": spelt, "mass": "400 g"})
        asked["portions"].append({"item": spelt, "amount": "60 g"})
        said = [what for what in first_texts(asked) if "beef mince" in what.lower()]
        assert len(said) == 1 and said[0].startswith("Leave out"), said
