"""Which cautions a batch calls for."""

import inspect

import pytest

from nutricheck.drying import batch_cautions as batch
from nutricheck.drying import dry_batch
from nutricheck.facts import evidence
from nutricheck.foods import open_table
from nutricheck.plan.models import Batch

TABLE = open_table()


def topics(food, **rest):
    batch = Batch(name="batch", ingredients=[{"food": food, "mass": "1 kg"}], **rest)
    return {caution.topic for caution in dry_batch(batch, TABLE).cautions}


COOKED = {"kind": "cooked", "method": "braised"}
HOT = {"temperature": "68 °C", "time": "8 h"}


@pytest.mark.parametrize(
    ("food", "topic"),
    [
        ("23557", "meat dried raw"),
        ("05011", "poultry dried raw"),
        ("13325", "liver dried raw"),
        ("01123", "egg dried raw"),
        ("15015", "fish dried raw"),
        ("10060", "pork or game dried raw"),
    ],
)
def test_animal_foods_without_a_heat_step(food, topic):
    assert topic in topics(food, drying=HOT)
    assert "who should not eat it" in topics(food, drying=HOT)
    assert topic not in topics(food, preparation=COOKED, drying=HOT)


def test_cooked_record_needs_no_heat_step():
    assert "meat dried raw" not in topics("23558", drying=HOT)


def test_fish_that_forms_histamine_even_when_cooked():
    assert "histamine in fish" in topics("15046", preparation=COOKED, drying=HOT)


def test_long_hours():
    slow = {"temperature": "40 °C", "time": "30 h"}
    assert "long hours in warm air" in topics("23557", preparation=COOKED, drying=slow)
    assert "slow drying of moist plants" in topics("11529", drying=slow)
    assert not topics("11529", drying={"temperature": "60 °C", "time": "10 h"})


def test_long_hours_of_a_mix_go_by_its_animal_part():
    """Two hours between 4 and 60 °C, USDA FSIS; plants alone may lie a day."""
    parts = [{"food": food, "mass": "1 kg"} for food in ("01116", "09003")]  # yoghurt, apple
    for hours, is_told in ((2, False), (2.1, True)):
        drying = {"temperature": "45 °C", "time": f"{hours} h"}
        mix = Batch(name="leather", ingredients=parts, drying=drying)
        topics_told = {caution.topic for caution in dry_batch(mix, TABLE).cautions}
        assert ("long hours in warm air" in topics_told) == is_told
        assert "long hours in warm air" not in topics("09003", drying=drying)
    for hours, is_told in ((23.9, False), (24, True)):
        topics_told = topics("11529", drying={"temperature": "45 °C", "time": f"{hours} h"})
        assert ("slow drying of moist plants" in topics_told) == is_told


@pytest.mark.parametrize(
    ("food", "limit"),
    [("09003", "20 %"), ("23557", "20 %"), ("15015", "20 %"), ("11124", "10 %")],
)
def test_limit_of_water_in_words(food, limit):
    batch = Batch(name="x", ingredients=[{"food": food, "mass": "1 kg"}], moisture="40 %")
    text = {caution.topic: caution.text for caution in dry_batch(batch, TABLE).cautions}[
        "dried food that is still moist"
    ]
    assert f"more water than {limit}" in text


@pytest.mark.parametrize(
    ("food", "moisture", "is_wet"),
    [
        ("09003", 25, False),  # apple: 20 % and 5 points for the kitchen's way of measuring
        ("09003", 26, True),
        ("11124", 15, False),  # carrot: 10 % and 5 points
        ("11124", 16, True),
        ("15015", 25, False),  # cod
        ("15015", 26, True),
    ],
)
def test_water_that_a_class_keeps_with(food, moisture, is_wet):
    """US extension leaflets and water activity 0.85, as cautions.py says."""
    assert ("dried food that is still moist" in topics(food, moisture=f"{moisture} %")) == is_wet


def test_too_much_water_and_oxygen_absorbers():
    wet = topics("09003", moisture="30 %")
    assert "dried food that is still moist" in wet
    absorber = {"time": "3 months", "oxygen_absorber": True}

    def level(food, **rest):
        parts = [{"food": food, "mass": "1 kg"}]
        dried = dry_batch(Batch(name="x", ingredients=parts, storage=absorber, **rest), TABLE)
        return [caution.level for caution in dried.cautions if caution.id == "absorber"]

    assert level("11124", moisture="6 %") == level("11124", moisture="11 %") == []
    assert level("11124", moisture="13 %") == ["warning"]
    assert level("11124", moisture="16 %") == ["danger"]
    assert level("09003", moisture="20 %") == ["warning"]
    assert level("09003", moisture="26 %") == ["danger"]
    assert level("09003") == ["warning"]  # the usual water of dried fruit: no danger by a default


@pytest.mark.parametrize(
    ("food", "preparation", "celsius", "hours", "expected"),
    [
        ("11124", {"kind": "cooked", "method": "steamed"}, 57, 10, ""),  # carrots
        ("11457", {"kind": "blanched", "method": "water"}, 57, 7, ""),  # spinach
        ("11124", {"kind": "cooked", "method": "steamed"}, 45, 7, "warm hours plants"),
        ("11457", {"kind": "blanched", "method": "water"}, 45, 7, "warm hours plants"),
        ("11457", {"kind": "blanched", "method": "water"}, 45, 4, ""),
        ("11457", {}, 45, 7, ""),
        ("11457", {}, 45, 24, "slow plants"),
        ("20045", {"kind": "cooked", "method": "boiled"}, 45, 7, "warm hours staples"),  # rice
        ("20045", {"kind": "cooked", "method": "boiled"}, 50, 7, ""),
        ("23557", COOKED, 57, 3, "warm hours"),  # beef, of which 60 °C is asked
        ("23557", COOKED, 60, 8, ""),
    ],
)
def test_warm_hours_by_what_was_heated(food, preparation, celsius, hours, expected):
    """USDA FSIS: 4 to 60 °C, 2 h. UF/IFAS FS269: 48 °C; heated plants, 4 h."""
    drying = {"temperature": f"{celsius} °C", "time": f"{hours} h"}
    rest = {"preparation": preparation} if preparation else {}
    parts = [{"food": food, "mass": "1 kg"}]
    found = dry_batch(Batch(name="x", ingredients=parts, drying=drying, **rest), TABLE).cautions
    ids = {caution.id for caution in found if caution.id.startswith(("warm hours", "slow"))}
    assert ids == ({expected} if expected else set())


def test_a_danger_that_rests_on_a_default_says_so():
    def raw(**rest):
        parts = [{"food": "23557", "mass": "1 kg"}]
        dried = dry_batch(Batch(name="x", ingredients=parts, drying=HOT, **rest), TABLE)
        return next(caution for caution in dried.cautions if caution.id == "raw meat")

    assert raw().level == raw(preparation={"kind": "raw"}).level == "danger"
    assert "the plan does not say how it was prepared" in raw().detail
    assert "does not say" in raw(preparation={"salt": "10 g"}).detail
    assert raw(preparation={"kind": "raw"}).detail == ""


def test_ferments_pulses_sun_and_fat():
    assert "fermented food" in topics("11109", preparation={"kind": "fermented"})
    assert "pulses dried uncooked" in topics("16032")
    assert "pulses dried uncooked" not in topics(
        "16032", preparation={"kind": "cooked", "method": "boiled"}
    )
    assert "sun drying" in topics("11124", drying={"method": "sun"})
    assert "sun drying" not in topics("09003", drying={"method": "sun"})
    assert "fat that turns rancid" in topics("15046", preparation=COOKED)


def test_dangers_come_first_and_name_an_authority():
    batch = Batch(name="liver", ingredients=[{"food": "13325", "mass": "1 kg"}])
    found = dry_batch(batch, TABLE).cautions
    levels = [caution.level for caution in found]
    assert levels == sorted(levels, key=["danger", "warning", "note"].index)
    assert all(caution.authority and caution.where == "liver" for caution in found)
    assert not any("{" in caution.text for caution in found)


def test_no_caution_of_a_dried_food_rests_on_memory():
    code = inspect.getsource(batch)
    rows = [row for row in evidence.rows("cautions") if f'"{row["id"]}"' in code]
    assert len(rows) > 15
    assert {row["verified"] for row in rows} <= {"official", "page", "copy", "secondary"}
