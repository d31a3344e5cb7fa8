"""Broken plans through the command line: one clear message, exit status 1, nothing written."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from nutricheck.check_plan import check
from nutricheck.cli import main
from nutricheck.errors import PlanError
from nutricheck.facts import components
from nutricheck.plan.names import unknown_component
from tests import warm
from tests.plans import WOMAN, plan_of_text

PLAN = """\
[person]
sex = "female"
age = 34
mass = "61 kg"
height = "168 cm"

[[days]]
name = "survey walk"
count = 15
moving = "6 h"

[[batch]]
name = "lentils, cooked"
ingredients = [{ food = "Lentils, raw", mass = "2.6 kg" }]
preparation = { kind = "cooked", method = "boiled" }
dried_mass = "2.47 kg"

[[label]]
name = "tablet"
kind = "supplement"
serving = "1.4 g"
amounts = { MG = "250 mg" }

[[mix]]
name = "stew"
parts = [{ item = "lentils, cooked", mass = "900 g" }, { food = "Salt, table", mass = "20 g" }]

[[packed]]
item = "stew"
mass = "900 g"

[[packed]]
item = "tablet"
mass = "42 g"
piece = "1.4 g"

[[portions]]
item = "stew"
amount = "60 g"

[[portions]]
item = "tablet"
amount = "2 pieces"
days = ["survey walk"]
"""


def changed(old: str, new: str) -> bytes:
    assert PLAN.count(old) == 1, old
    return PLAN.replace(old, new).encode()


def added(text: str) -> bytes:
    return (PLAN + text).encode()


#: name → (content, what the message says: where, what was found, the likely fix)
BROKEN: dict[str, tuple[bytes, tuple[str, ...]]] = {
    "wrong unit": (
        changed('mass = "900 g"\n\n[[packed]]', 'mass = "9 km"\n\n[[packed]]'),
        (
            "packed[1] ('stew') mass",
            "'km' measures length and does not convert to g; nearest: g, kg",
            '"500 g"',
        ),
    ),
    "unit unknown": (
        changed('moving = "6 h"', 'moving = "6 hourz"'),
        ("days[1] ('survey walk') moving", "'hourz' is not a unit known", '"7 h"'),
    ),
    "no unit": (
        changed('height = "168 cm"', 'height = "168"'),
        ("person height", "has no unit", '"168 cm"'),
    ),
    "number for a quantity": (
        changed('height = "168 cm"', "height = 168"),
        ("person height", "found 168", '"168 cm"'),
    ),
    "thousands mark": (
        changed('"2.6 kg"', '"2,600 g"'),
        ("batch[1] ('lentils, cooked') ingredients[1] ('Lentils, raw') mass", "2.6 g or 2600 g"),
    ),
    "negative mass": (
        changed('"2.6 kg"', '"-2.6 kg"'),
        ("ingredients[1]", "'-2.6 kg' is negative", "0 to 200 kg"),
    ),
    "outside its range": (
        changed('height = "168 cm"', 'height = "168 m"'),
        ("person height", "outside 0.9 to 2.5 m", "Is the unit right?"),
    ),
    "unknown food": (
        changed('"Salt, table"', '"Moon dust, raw"'),
        ("mix[1] ('stew') parts[2] ('Moon dust, raw') food", "Moon dust"),
    ),
    "ambiguous food": (
        changed('"Lentils, raw"', '"beans"'),
        ("ingredients[1] ('beans') food", "beans"),
    ),
    "dried mass below dry matter": (
        changed('"2.47 kg"', '"0.6 kg"'),
        ("batch[1] ('lentils, cooked')", "600 g is too light", "dry matter"),
    ),
    "dried mass above fresh mass": (
        changed('"2.47 kg"', '"24.7 kg"'),
        ("batch[1] ('lentils, cooked')", "24700 g is more than", "Were the two masses swapped?"),
    ),
    "share for a percentage": (
        changed('dried_mass = "2.47 kg"', 'moisture = "0.06 %"'),
        ("moisture", "'0.06 %' is outside 0.5 to 100 %", "Is the unit right?"),
    ),
    "Fahrenheit for Celsius": (
        changed(
            'dried_mass = "2.47 kg"',
            'dried_mass = "2.47 kg"\ndrying = { temperature = "40 °F", time = "9 h" }',
        ),
        (
            "batch[1] ('lentils, cooked') drying",
            "hot air of 40 °F dries nothing; expected 68 °F",
            "68 °F or more",
        ),
    ),
    "two end points": (
        changed('dried_mass = "2.47 kg"', 'dried_mass = "2.47 kg"\nmoisture = "6 %"'),
        ("batch[1] ('lentils, cooked')", "dried_mass or moisture, not both"),
    ),
    "method that does not fit": (
        changed('method = "boiled"', 'method = "steam"'),
        ("preparation", 'kind "cooked" needs a method, such as "boiled"'),
    ),
    "duplicate name": (
        added('[[label]]\nname = "Lentils, Cooked"\nserving = "1 g"\namounts = { MG = "1 mg" }\n'),
        ("label[2] ('Lentils, Cooked') name", "the name of another batch, label or mix"),
    ),
    "item packed in two ways": (
        added('[[packed]]\nitem = "tablet"\nmass = "3 g"\npiece = "1 g"\n'),
        ("packed[3] ('tablet') item", "packed twice, and food, tsp, piece"),
    ),
    "packed item that nothing makes": (
        changed('item = "stew"\nmass', 'item = "stow"\nmass'),
        ("packed[1] ('stow') item", "did you mean 'stew'?", 'add food = "its description"'),
    ),
    "portion of an unpacked item": (
        changed('item = "tablet"\namount', 'item = "tabelt"\namount'),
        ("portions[2] ('tabelt') item", "not among the packed items", "did you mean 'tablet'?"),
    ),
    "missing day type": (
        changed('days = ["survey walk"]', 'days = ["rest day"]'),
        ("portions[2] ('tablet') days", "'rest day' is not among the kinds of day ('survey walk')"),
    ),
    "day types as text": (
        changed('days = ["survey walk"]', 'days = "survey walk"'),
        ("portions[2] ('tablet') days", "found 'survey walk'", 'such as ["survey walk"]'),
    ),
    "amount and over at once": (
        changed('amount = "60 g"', 'amount = "60 g"\nover = "15 days"'),
        ("portions[1] ('stew')", 'give either amount ("2 tsp") or over ("21 days")'),
    ),
    "spoons without their mass": (
        changed('amount = "60 g"', 'amount = "2 tsp"'),
        ("portions[1] ('stew') amount", "a third of a tablespoon", 'tsp = "3.1 g"'),
    ),
    "tablets without their mass": (
        changed('piece = "1.4 g"', "").replace(b'"2 pieces"', b'"2 tablets"'),
        ("portions[2] ('tablet') amount: '2 tablets' needs the mass of one", "piece = "),
    ),
    "half a cup of a thing of one's own": (
        changed('amount = "60 g"', 'amount = "1/2 cup"'),
        ("portions[1] ('stew') amount", "'1/2 cup' needs the mass of a level teaspoon"),
    ),
    "number for an amount": (
        changed('amount = "60 g"', "amount = 60"),
        ("portions[1] ('stew') amount: found 60", 'such as "60 g"'),
    ),
    "words for an amount": (
        changed('amount = "60 g"', 'amount = "a handful"'),
        ("portions[1] ('stew') amount", "is not a number and a unit", '"3 pieces"'),
    ),
    "food for an item of a mix": (
        changed('food = "Salt, table"', 'item = "Salt, table"'),
        ("mix[1] ('stew') parts[2] ('Salt, table') item", "write a food of the table under food"),
    ),
    "cups for a mass": (
        changed('mass = "2.6 kg"', 'mass = "10 cups"'),
        ("ingredients[1] ('Lentils, raw') mass", "a measure of volume; weigh it"),
    ),
    "a dryer's temperature in °F as °C": (
        changed(
            'dried_mass = "2.47 kg"',
            'dried_mass = "2.47 kg"\ndrying = { temperature = "135 °C", time = "9 h" }',
        ),
        ("batch[1] ('lentils, cooked') drying", "hot air of 135 °C is more", 'method = "oven"'),
    ),
    "an air temperature in °F as °C": (
        changed("count = 15", 'count = 15\nair_temperature = "90 °C"'),
        ("days[1] ('survey walk') air_temperature", "outside -60 to 57 °C. Is the unit right?"),
    ),
    "a pace out of bounds, told in its own unit": (
        changed("count = 15", 'count = 15\npace = "35 km/h"'),
        ("days[1] ('survey walk') pace", "'35 km/h' is outside 0 to 10.8 km/h"),
    ),
    "millilitres for a mass": (
        changed('mass = "2.6 kg"', 'mass = "40 ml"'),
        ("ingredients[1] ('Lentils, raw') mass", "a measure of volume; weigh it"),
    ),
    "portion of what is in a mix only": (
        changed('item = "tablet"\namount', 'item = "lentils, cooked"\namount'),
        (
            "'lentils, cooked' is not among the packed items ('stew', 'tablet')",
            "pack it, or correct the name",
        ),
    ),
    "portion with a thousands mark": (
        changed('amount = "60 g"', 'amount = "1,060 g"'),
        ("portions[1] ('stew') amount", "may mean 1.06 g or 1060 g"),
    ),
    "measure of a thing of one's own": (
        changed('amount = "60 g"', 'amount = "2 handfuls"'),
        ("portions[1] ('stew') amount", "'handfuls' can hold more or less; weigh"),
    ),
    "mix that contains itself": (
        changed('{ item = "lentils, cooked", mass', '{ item = "stew", mass'),
        ("mix[1] ('stew') parts", "contains itself"),
    ),
    "unknown tagname": (
        changed('{ MG = "250 mg" }', '{ MGG = "250 mg" }'),
        ("label[1] ('tablet') amounts MGG", "not among the short names", "'MG'"),
    ),
    "state of no component": (
        changed('{ MG = "250 mg" }', '{ MG = "250 mg" }\nstates = "element"'),
        ("label[1] ('tablet') states: found 'element'", "as in { MG = … }"),
    ),
    "component by its name": (
        changed('{ MG = "250 mg" }', '{ Magnesium = "250 mg" }'),
        ("amounts Magnesium: 'Magnesium' is not among the short names; did you mean 'MG'?",),
    ),
    "component misspelt": (
        changed('{ MG = "250 mg" }', '{ potasium = "250 mg" }'),
        ("amounts potasium: 'potasium' is not among the short names; did you mean 'K'?",),
    ),
    "component spelt the other way": (
        changed('{ MG = "250 mg" }', '{ fiber = "1 g" }'),
        ("amounts fiber: 'fiber' is not among the short names; did you mean 'FIBTG'?",),
    ),
    "component of no such name": (
        changed('{ MG = "250 mg" }', '{ "vitamin B8" = "1 mg" }'),
        (
            "amounts vitamin B8: 'vitamin B8' is not among the short names ('MG', 'K', ",
            "ENERC_KCAL",
        ),
    ),
    "amount of a component as a number": (
        changed('{ MG = "250 mg" }', "{ MG = 250 }"),
        ('amounts MG: found 250; expected a number and a unit, such as "250 mg"',),
    ),
    "another word for a field": (
        changed('mass = "61 kg"', 'weight = "61 kg"'),
        ("person weight: there is no such field here; did you mean mass?",),
    ),
    "text for a section": (
        changed('{ kind = "cooked", method = "boiled" }', '"cooked"'),
        ("preparation: found 'cooked'", "as in { kind = …, method = …, liquid = … }"),
    ),
    "more than the serving": (
        changed('{ MG = "250 mg" }', '{ MG = "250 g" }'),
        ("label[1] ('tablet')", "more than the whole serving of 1.4 g"),
    ),
    "fortified with what it does not list": (
        changed('{ MG = "250 mg" }', '{ MG = "250 mg" }\nfortified = ["CA"]'),
        ("label[1] ('tablet') fortified", "CA is not among the amounts"),
    ),
    "misspelt field": (
        changed('piece = "1.4 g"', 'peice = "1.4 g"'),
        ("packed[2] ('tablet') peice", "there is no such field here; did you mean piece?"),
    ),
    "missing field": (changed("count = 15\n", ""), ("days[1] ('survey walk') count", "is missing")),
    "missing section": (
        PLAN[PLAN.index("[[days]]") :].encode(),
        ("person", "is missing"),
    ),
    "section that should repeat": (
        changed("[[days]]", "[days]"),
        ("days", "expected a list (repeat the section as [[days]])"),
    ),
    "no days": (changed("count = 15", "count = 0"), ("days", "every count is 0")),
    "no days, in quotes": (changed("count = 15", 'count = "0"'), ("days", "every count is 0")),
    "no days, with a point": (changed("count = 15", "count = 0.0"), ("days", "every count is 0")),
    "no days on the shortest trip": (
        changed("count = 15", "count = 15\ncount_shortest = 0"),
        ("days", "the shortest trip has no days"),
    ),
    "half a day": (
        changed("count = 15", "count = 1.5"),
        ("days[1] ('survey walk') count", "found 1.5", "a whole number"),
    ),
    "shorter than the shortest": (
        changed("count = 15", "count = 15\ncount_shortest = 20"),
        ("days", "the shortest trip has 20 days, but the longest has 15"),
    ),
    "life stage that does not fit": (
        changed('sex = "female"', 'sex = "male"\nlife_stage = "lactation"'),
        ("person", "life_stage lactation needs the sex female"),
    ),
    "word that is no choice": (
        changed('sex = "female"', 'sex = "woman"'),
        ("person sex", "found 'woman'", "'female' or 'male'"),
    ),
    "date for a name": (
        changed('name = "survey walk"', "name = 2026-07-01"),
        ("days[1] name", "2026-07-01", "expected text"),
    ),
    "control character": (
        changed('name = "survey walk"', 'name = "survey\\u0007walk"'),
        ("days[1]", "name", "line break or a character that cannot be printed"),
    ),
    "true with a capital": (
        changed('sex = "female"', 'sex = "female"\nsmoker = True'),
        ("line 3 column 10", "in 'smoker = True'", "true and false in small letters"),
    ),
    "open quote": (
        changed('sex = "female"', 'sex = "female'),
        ("line 2 column 14", "cannot be read: ", "in 'sex = \"female'", "straight quotes"),
    ),
    "key twice": (
        changed('sex = "female"', 'sex = "female"\nsex = "male"'),
        ("line 3", "cannot be read: ", "Cannot overwrite a value"),
    ),
    "number of thousands of digits": (
        changed("age = 34", "age = " + "3" * 5000),
        ("a number with thousands of digits",),
    ),
    "brackets without end": (b"a = " + b"[" * 9000, ("brackets inside brackets",)),
    "empty file": (b"", ("the file is empty", "nutricheck new plan.toml")),
    "nothing but remarks": (b"# a plan\n", ("person: is missing", "portions: is missing")),
    "Latin-1": (
        PLAN.replace("survey walk", "Höhenweg").encode("latin-1"),
        ("line 8 holds a character", "not UTF-8 (byte 0xf6)", "Save the file as UTF-8"),
    ),
    "UTF-16": (PLAN.encode("utf-16"), ("is written in UTF-16", "save it as UTF-8")),
    "binary": (bytes(range(256)) * 40, ("is not text (byte 1 is zero)",)),
    "zip": (b"PK\x03\x04" + bytes(60), ("is a zip file or a workbook", ".xlsx")),
    "line of 10 MB": (b"a = '" + b"x" * 10_000_000 + b"'\n", ("is 10.0 MB", "at most 2 MB")),
    "line of 1 MB": (
        PLAN.encode() + b"# " + b"x" * 1_000_000 + b"\n",
        ("line 45: is 1,000,002 characters long", "Is this a plan?"),
    ),
}


def run(capsys, monkeypatch, *arguments: str | Path) -> tuple[object, str, str]:
    """Exit status, stdout and stderr of the command line."""
    monkeypatch.setattr(sys, "argv", ["nutricheck", *map(str, arguments)])
    with pytest.raises(SystemExit) as left:
        main()
    out, err = capsys.readouterr()
    return left.value.code, out, err


def assert_clear(status: object, out: str, err: str, path: Path, said: tuple[str, ...]) -> None:
    assert status == 1
    assert out == ""
    assert err.startswith(f"{path}: ")
    for words in said:
        assert words in err
    assert "Traceback" not in err
    assert len(err) < 4000
    assert max(map(len, err.splitlines())) < 600
    assert re.search(r"[\x00-\x09\x0b-\x1f]", err) is None


@pytest.mark.parametrize("name", BROKEN)
def test_check_tells_what_is_wrong_and_where(name, tmp_path, capsys, monkeypatch):
    content, said = BROKEN[name]
    path = tmp_path / "plan.toml"
    path.write_bytes(content)
    assert_clear(*run(capsys, monkeypatch, "check", path), path, said)
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("ending", ["toml", "xlsx"])
@pytest.mark.parametrize("name", ["wrong unit", "open quote", "binary", "missing section"])
def test_a_broken_plan_is_not_converted(name, ending, tmp_path, capsys, monkeypatch):
    content, said = BROKEN[name]
    path = tmp_path / "plan.toml"
    path.write_bytes(content)
    new = tmp_path / f"made.{ending}"
    assert_clear(*run(capsys, monkeypatch, "new", new, "--from", path), path, said)
    assert list(tmp_path.iterdir()) == [path]


def test_the_plan_they_are_made_from_is_whole(tmp_path, capsys, monkeypatch):
    path = tmp_path / "plan.toml"
    path.write_text(PLAN)
    monkeypatch.setattr(sys, "argv", ["nutricheck", "check", str(path), "--draws", "0"])
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code in (None, 0)


def test_all_faults_are_told_at_once(tmp_path, capsys, monkeypatch):
    path = tmp_path / "plan.toml"
    text = PLAN.replace('height = "168 cm"', "height = 168").replace('"Salt, table"', '"Moon dust"')
    path.write_text(text.replace('days = ["survey walk"]', 'days = ["rest day"]'))
    _, _, err = run(capsys, monkeypatch, "check", path)
    assert "3 things to put right" in err
    assert err.count("\n") == 4


def test_a_thousand_faults_are_counted_not_listed(tmp_path, capsys, monkeypatch):
    path = tmp_path / "plan.toml"
    path.write_text(PLAN + '[[portions]]\nitem = "nothing"\namount = "1 g"\n' * 1000)
    _, _, err = run(capsys, monkeypatch, "check", path)
    assert "1000 things to put right" in err
    assert "… and 970 more" in err
    assert len(err.splitlines()) < 40


def test_equal_quantities_are_equal_however_they_are_written():
    again = '[[packed]]\nitem = "{item}"\nmass = "10 g"\n{rest}\n'
    first = again.format(item="oats", rest='food = "08120"\ntsp = "3.1 g"\npiece = "20 g"')
    second = again.format(item="oats", rest='food = "08120"\ntsp = "0.00310 kg"\npiece = "20.0 g"')
    assert plan_of_text(PLAN + first + second).packed[-1].tsp_g == pytest.approx(3.1)
    with pytest.raises(PlanError, match="packed twice"):
        plan_of_text(PLAN + first + second.replace("0.00310", "0.0032"))


@pytest.mark.parametrize("ending", ["toml", "xlsx"])
def test_a_file_that_is_not_there(ending, tmp_path, capsys, monkeypatch):
    path = tmp_path / f"plan.{ending}"
    assert_clear(
        *run(capsys, monkeypatch, "check", path), path, ("There is no such file", "nutricheck new")
    )


@pytest.mark.parametrize("ending", ["toml", "xlsx"])
def test_a_folder_is_no_plan(ending, tmp_path, capsys, monkeypatch):
    path = tmp_path / f"plan.{ending}"
    path.mkdir()
    assert_clear(*run(capsys, monkeypatch, "check", path), path, ("is a folder",))


def test_in_a_process_of_its_own(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_bytes(BROKEN["wrong unit"][0])
    done = warm.run("nutricheck", "check", path)
    printed = done.stdout_text, done.stderr_text
    assert_clear(done.returncode, *printed, path, BROKEN["wrong unit"][1])


@pytest.mark.parametrize(
    ("name", "tag"),
    [
        ("Vitamin B1", "THIA"),
        ("vit B2", "RIBF"),
        ("B3", "NIA"),
        ("Vit. B5", "PANTAC"),
        ("VITB6", "VITB6A"),
        ("vitamin B-7", "BIOT"),
        ("VITB9", "FOL"),
        ("B-12", "VITB12"),
        ("vit c", "VITC"),
        ("Mg", "MG"),
        ("Iron (elemental)", "FE"),
        ("folic acid (B9)", "FOLAC"),
        ("nicotinamide", "NIA"),
        ("Dietary Fiber", "FIBTG"),
        ("carbs", "CHOCDF"),
    ],
)
def test_a_name_from_a_label_is_told_its_tagname(name, tag):
    assert unknown_component(name).endswith(f"; did you mean '{tag}'?")


def test_other_names_are_of_components():
    known = components.BY_TAG.keys() | components.LABEL_ONLY.keys()
    assert set(components.OTHER_NAMES.values()) <= known


@pytest.mark.parametrize(
    ("count", "copies", "said"),
    [
        (50, 1, None),
        (51, 1, "holds a mix in a mix, over 50 deep"),
        (12, 2, None),
        (14, 2, "over 5,000 parts"),
        (190, 2, "over 5,000 parts"),
    ],
)
def test_mixes_in_mixes_end_in_time(count, copies, said):
    """Each mix holds the next so many times: 2 to the power of 190 parts would never end."""
    mixes = [
        {"name": f"mix {i}", "parts": [{"item": f"mix {i + 1}", "mass": "10 g"}] * copies}
        for i in range(count - 1)
    ]
    mixes.append({"name": f"mix {count - 1}", "parts": [{"food": "20044", "mass": "10 g"}]})
    plan = {
        "person": WOMAN,
        "days": [{"name": "walk", "count": 1, "moving": "1 h"}],
        "mix": mixes,
        "packed": [{"item": "mix 0", "mass": "1 kg"}],
        "portions": [{"item": "mix 0", "amount": "100 g"}],
    }
    if said is None:
        assert check(plan, draws=0).items["mix 0"].per_100g.at["CHOCDF", "likely"] > 70
    else:
        with pytest.raises(PlanError, match=said):
            check(plan, draws=0)
