"""Several people who eat from one pack."""

from __future__ import annotations

import copy
import io
import json
from types import SimpleNamespace

import pandas as pd
import pytest

import nutricheck as nc
from nutricheck.advice.additions.into_plan import plan_with
from nutricheck.cohort.check_many import checked_plans
from nutricheck.editor.session import Session
from nutricheck.editor.view import answer_part
from nutricheck.errors import NutricheckError, PlanError
from nutricheck.plan.read import plan_from_data, read_plan
from nutricheck.plan.to_share import shareable
from nutricheck.plan.write import plan_text, write_data
from nutricheck.report.data import coverage_csv, result_json
from nutricheck.report.page import page_html
from nutricheck.report.page_plan import plan_with_places
from nutricheck.report.people import group_words, person_answers
from nutricheck.report.terminal import print_report
from nutricheck.report.workbook import workbook_sheets
from tests.plans import MAN, eat, food, people_plan, plan_of_text

ADA, PLAN = people_plan()["person"], people_plan()


def changed(**sections):
    return {**copy.deepcopy(PLAN), **copy.deepcopy(sections)}


def eaten(result, day_name="walk"):
    grams = result.portioned.grams.loc[day_name]
    return grams[grams > 0].to_dict()


def test_each_eats_a_share_or_portions_of_their_own():
    """By hand: 200 g of almonds and 150 % of them; 1,200 g of walnuts over 12 days in 2 to 3."""
    people = nc.check(PLAN, draws=0).group.people
    assert eaten(people["Ada"]) == pytest.approx(
        {"almonds": 200, "oats": 100, "raisins": 40, "walnuts": 40}
    )
    assert eaten(people["Ben"]) == pytest.approx(
        {"almonds": 300, "oats": 150, "walnuts": 60, "drink": 60}
    )


def test_the_parts_are_the_pack():
    result = nc.check(PLAN, draws=0)
    parts = [part.supply.items.set_index("item") for part in result.group.people.values()]
    whole = result.group.supply.items.set_index("item")
    for column in ("mass_g", "container_mass_g", "used_longest_g", "left_longest_g"):
        together = parts[0][column].add(parts[1][column], fill_value=0.0)
        assert together.to_dict() == pytest.approx(whole[column].to_dict(), abs=1e-9), column
    packed = {"almonds": 6000, "oats": 3000, "raisins": 480, "walnuts": 1200, "sugar": 0}
    # all sugar goes into Ben's drinks, 60 g on each of 12 days
    assert whole["mass_g"].to_dict() == pytest.approx({**packed, "drink": 720})
    start = result.group.supply.pack.iloc[0]
    assert start["total_g"] == pytest.approx(sum(packed.values()) + 720 + 50 + 400)
    weights = [part.supply.pack.iloc[0]["total_g"] for part in result.group.people.values()]
    assert sum(weights) == pytest.approx(start["total_g"])


def test_two_alike_are_each_as_one_with_half_the_pack():
    """The same draws: every figure of either is that of a person alone with half of all."""
    twins = changed(companions=[{**ADA, "name": "Eda"}])
    del twins["ferment"], twins["days"][0]["energy"]
    twins["portions"] = [eat("almonds", "200 g"), eat("walnuts", over="12 days")]
    alone = copy.deepcopy(twins)
    del alone["companions"]
    for entry in alone["packed"]:
        number, unit = entry["mass"].split()
        entry["mass"] = f"{float(number) / 2} {unit}"
    alone["packed"][0]["container_mass"] = "25 g"
    alone["carried"] = [{"name": "half", "mass": "200 g", "holds": "3 L"}]
    group, single = nc.check(twins, draws=200).group, nc.check(alone, draws=200)
    for part in group.people.values():
        pd.testing.assert_frame_equal(part.coverage, single.coverage)
        pd.testing.assert_frame_equal(part.supply.pack, single.supply.pack)


def test_what_runs_out_runs_out_for_all():
    """3,000 g of oats for 250 g a day end after 12 days; 2,500 g after 10."""
    less = changed()
    less["packed"][1]["mass"] = "2.5 kg"
    group = nc.check(less, draws=0).group
    lasts = [
        found.supply.items.set_index("item").at["oats", "lasts_longest_days"]
        for found in (*group.people.values(), group)
    ]
    assert lasts == pytest.approx([10, 10, 10])
    text = " ".join(group_words(nc.check(less, draws=0)))
    assert "Used up for everyone before the end of 12 days: oats after 10.0 days." in text


def test_what_was_measured_and_set_is_one_persons_alone():
    clinic = [
        {"component": "NA", "aim": "1800 mg", "set_by": "ward", "set_on": "May", "who": "Ben"}
    ]
    people = nc.check(changed(clinic=clinic), draws=0).group.people
    assert people["Ada"].needs["walk"].energy.likely == 2500
    assert people["Ben"].needs["walk"].energy.likely > 2600
    assert (set(people["Ada"].figures), set(people["Ben"].figures)) == (set(), {"NA"})


def test_who_carries_less_uses_less():
    """As a plan of one whose days have that pack: 70 % of 12 kg are 8.4 kg."""
    lighter = changed()
    lighter["companions"][0]["carries"] = "70 %"
    alone = changed(person=MAN | {"name": "Ben"})
    del alone["companions"], alone["days"][0]["energy"]
    alone["days"][0]["pack"] = "8.4 kg"
    alone["portions"] = [eat("almonds", "300 g"), eat("oats", "150 g"), eat("drink", "1 batch")]
    energy = nc.check(lighter, draws=0).group.people["Ben"].needs["walk"].energy
    assert energy == nc.check(alone, draws=0).needs["walk"].energy


def test_a_legs_limit_is_the_packs():
    legs = [{"name": "south", "days": 12, "days_shortest": 10, "limit": "6 kg"}]
    group = nc.check(changed(legs=legs), draws=0).group
    assert [caution.id for caution in group.cautions] == ["leg too heavy"]
    for part in group.people.values():
        assert "leg too heavy" not in {one.id for one in part.cautions}
    assert any(
        "Ada and Ben: Pack, from the start" in text
        for text in group_words(nc.check(changed(legs=legs), draws=0))
    )


def test_what_is_found_is_split_by_shares():
    """200 g at most: 80 g and 120 g, of which half counts."""
    found = [{"name": "berries", "food": "Blueberries, raw", "at_most": "200 g"}]
    people = nc.check(changed(found=found), draws=0).group.people
    assert [eaten(part)["berries"] for part in people.values()] == pytest.approx([40, 60])


def test_questions_are_about_the_whole_plan_and_stand_once():
    odd = changed()
    odd["packed"].append(food("rice", "20045", "1 kg"))
    group = nc.check(odd, draws=0).group
    assert [
        question
        for question in group.questions
        if "rice" in question and "no portion takes" in question
    ]
    assert not [one for part in group.people.values() for one in part.questions if "rice" in one]


def test_reports_say_whom_they_are_about():
    result = nc.check(PLAN, draws=0)
    out = io.StringIO()
    print_report(result, file=out)
    for name in ("Ada", "Ben"):
        assert f"What follows is about {name}'s part of the pack." in out.getvalue()
    assert "The pack of Ada and Ben: 11.8 kg at the start" in out.getvalue()
    document = json.loads(result_json(result))
    assert list(document["people"]) == ["Ada", "Ben"]
    assert document["people"]["Ben"]["answer"] != document["answer"]
    assert document["whole_pack"]["supply"]["trips"][0]["food_g"] == pytest.approx(11400)
    assert [line.split(",")[0] for line in coverage_csv(result).splitlines()[:2]] == [
        "person",
        "Ada",
    ]
    page = page_html(result)
    assert 'id="people"' in page and "Ben, man, 35 y" in page
    assert "about Ada&#39;s part of the pack that Ada and Ben eat from" in page
    ben = page_html(result.group.people["Ben"])
    assert "about Ben&#39;s part of the pack." in ben and 'id="people"' not in ben
    sheets = {sheet.name: sheet for sheet in workbook_sheets(result)}
    texts = [value for cells in sheets["People"].cells.values() for value, _ in cells.values()]
    assert [answer.headline in texts for answer in person_answers(result)] == [True, True]
    assert any(str(text).startswith("The pack of Ada and Ben") for text in texts)
    assert plan_with_places(result) is None


def test_a_plan_of_one_says_nothing_of_it():
    alone = changed()
    del alone["companions"]
    alone["portions"] = [
        portion for portion in alone["portions"] if portion.get("who", ["Ada"]) == ["Ada"]
    ]
    result = nc.check(alone, draws=0)
    assert result.group is None and not result.is_part
    assert "people" not in json.loads(result_json(result))
    assert "People" not in {sheet.name for sheet in workbook_sheets(result)}


def test_both_forms_say_it(tmp_path):
    clinic = [
        {"component": "NA", "aim": "1800 mg", "set_by": "ward", "set_on": "May", "who": "Ben"}
    ]
    data = changed(clinic=clinic)
    read = plan_from_data(data)
    assert plan_of_text(plan_text(data)) == read
    write_data(tmp_path / "plan.xlsx", data)
    assert read_plan(tmp_path / "plan.xlsx") == read


def test_a_copy_to_share_has_numbers_for_names():
    data = changed()
    data["companions"][0]["conditions"] = ["kidney"]
    text = plan_text(shareable(data)).split("[person]")[1]
    assert "Ben" not in [line for line in text.splitlines() if not line.startswith("#")]
    copy_of = shareable(data)
    assert [copy_of["person"]["name"], copy_of["companions"][0]["name"]] == ["person 1", "person 2"]
    assert "conditions" not in copy_of["companions"][0]
    assert copy_of["portions"][2]["who"] == ["person 2"]
    assert list(nc.check(copy_of, draws=0).group.people) == ["person 1", "person 2"]


@pytest.mark.parametrize(
    ("change", "place", "message"),
    [
        (lambda data: data["person"].pop("name"), ("person", "name"), "each needs a name"),
        (
            lambda data: data["companions"][0].update(name="ada"),
            ("companions", 0, "name"),
            "the name of another person",
        ),
        (
            lambda data: data["portions"][2].update(who=["Bem"]),
            ("portions", 2, "who"),
            "'Bem' is not among the people",
        ),
        (
            lambda data: data["companions"][0].update(share="150"),
            ("companions", 0, "share"),
            "unit",
        ),
        (lambda data: data["companions"][0].pop("sex"), ("companions", 0, "sex"), "missing"),
    ],
)
def test_bad_people_are_told_with_their_place(change, place, message):
    data = changed()
    change(data)
    if place[-1] == "name":
        data["portions"] = [eat("almonds", "200 g"), eat("drink", "1 batch")]
    with pytest.raises(PlanError, match=message) as error:
        plan_from_data(data)
    assert [fault.location for fault in error.value.faults] == [place]


def test_who_eats_nothing_is_an_error():
    data = changed()
    data["portions"] = [{**eat("almonds", "200 g"), "who": ["Ada"]}]
    with pytest.raises(PlanError, match="'Ben' gets no portion") as error:
        plan_from_data(data)
    assert [fault.location for fault in error.value.faults] == [("companions", 0, "name")]


def test_one_person_is_named_on_the_command_line():
    from nutricheck.cli.options import of_person

    result = nc.check(PLAN, draws=0)
    assert of_person(result, " ben").plan.person.name == "Ben"
    assert of_person(result, None) is result
    with pytest.raises(NutricheckError, match="'Carl' is not among the people"):
        of_person(result, "Carl")
    with pytest.raises(NutricheckError, match="only one person eats"):
        of_person(result.group.people["Ben"], "Ben")


def test_many_plans_have_a_row_for_each_person(tmp_path):
    (tmp_path / "two.toml").write_text(plan_text(PLAN), "utf-8")
    found = checked_plans([tmp_path / "two.toml"], draws=0)
    assert [name.removeprefix(f"{tmp_path}/") for name in found] == [
        "two.toml (Ada)",
        "two.toml (Ben)",
    ]


def test_the_editor_says_whose_answer_it_shows():
    part = answer_part(Session(copy.deepcopy(PLAN), draws=0))
    assert part["about"].startswith("Ada's part of the pack that Ada and Ben eat from")
    assert [text.split(":")[0] for text in part["people"][:3]] == [
        "Ada",
        "Ben",
        "The pack of Ada and Ben",
    ]


def test_a_share_of_nobodys_pack_is_an_error():
    alone = changed(companions=[])
    alone["person"]["share"] = "80 %"
    alone["portions"] = [eat("almonds", "200 g")]
    with pytest.raises(PlanError, match="where several people eat from one pack") as error:
        plan_from_data(alone)
    assert [fault.location for fault in error.value.faults] == [("person", "share")]


def test_what_is_added_to_a_part_is_this_persons():
    """Ben eats 150 % of what is everybody's; 30 g more of almonds are 330 g, walnuts stay 60 g."""
    ben = nc.check(PLAN, draws=0).group.people["Ben"]
    items = pd.DataFrame(
        [{"item": "almonds", "is_new": False, "food_id": "", "trip_g": 360.0, "fresh_g": 0.0}]
    )
    portions = pd.DataFrame(
        [{"item": "almonds", "text": "30 g", "day": name} for name in ("walk", "rest")]
    )
    with_more = plan_with(ben.plan, SimpleNamespace(items=items, portions=portions))
    assert eaten(nc.check(with_more, draws=0))["almonds"] == pytest.approx(330)
