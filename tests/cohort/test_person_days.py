"""Cohorts: person-days against a plain loop, against ``check``, in pieces, and in bad shape."""

from __future__ import annotations

import io
import math
import sys
from random import Random

import numpy as np
import pandas as pd
import pytest

from nutricheck.adequacy import chance, coverage
from nutricheck.check_plan import check
from nutricheck.cohort import check_many
from nutricheck.cohort import person_days as cohort
from nutricheck.errors import NutricheckError, UnknownFoodError
from nutricheck.facts import components
from nutricheck.foods import open_table
from nutricheck.needs.reference import reference_intakes
from nutricheck.plan.models import Person
from nutricheck.versions import FORMAT
from tests import warm
from tests.cohort.random_days import random_days
from tests.plans import WOMAN
from tests.report.random_changes import steps

SAMPLES = "samples/diaries.csv"
TEXT = {"person": str, "day": str, "food_id": str}


@pytest.fixture(scope="module")
def table():
    return open_table()


@pytest.fixture(scope="module")
def diaries() -> pd.DataFrame:
    return pd.read_csv(SAMPLES, dtype=TEXT)


def made_up(person_days: int, seed: int = 1) -> pd.DataFrame:
    """Random days: one to nine foods, people of both sexes and three life stages, some unknown."""
    random = np.random.default_rng(seed)
    food_ids = open_table().all_foods().index.to_numpy()
    foods = random.integers(1, 10, person_days)
    of_day = np.repeat(np.arange(person_days), foods)
    person = of_day // 3
    return pd.DataFrame(
        {
            "person": person,
            "day": of_day % 3,
            "food_id": random.choice(food_ids, len(of_day)),
            "grams": random.gamma(2, 60, len(of_day)).round(1),
            "sex": np.array(["female", "male", None], dtype=object)[[0, 1, 0, 2]][person % 4],
            "age": 19 + (person * 7) % 60,
            "life_stage": np.array(["general", "general", "lactation", None], dtype=object)[
                person % 4
            ],
            "mass_kg": np.where(person % 5 == 0, np.nan, 50.0 + person % 40),
        }
    )


def by_hand(intakes: pd.DataFrame, table) -> pd.DataFrame:
    """Intake and known share the slow way: join, multiply, sum."""
    tags = [tag for tag in components.tags() if tag in table.units]
    values = table.composition(list(intakes["food_id"]), tags).reset_index(drop=True)
    grams = intakes["grams"].to_numpy()[:, None]
    keys = [intakes["person"].to_numpy(), intakes["day"].to_numpy()]
    eaten = (values * grams / 100).groupby(keys).sum(min_count=1)
    known = (values.notna() * grams).groupby(keys).sum()
    whole = intakes.groupby(keys)["grams"].sum()
    stacked = pd.DataFrame(
        {"intake": eaten.stack(), "known_share": known.div(whole, axis=0).stack()}
    )
    return stacked.rename_axis(["person", "day", "component"])


def indexed(found: pd.DataFrame) -> pd.DataFrame:
    words = {"component": str, "status": str, "unit": str}
    return found.astype(words).set_index(["person", "day", "component"]).sort_index()


def test_intake_and_known_share_are_those_of_a_plain_join(table):
    intakes = made_up(300)
    found = indexed(cohort.coverage_of_days(intakes, table))
    expected = by_hand(intakes, table)
    found = found.loc[expected.index]
    is_known = expected["known_share"] > 1 - 1e-9
    np.testing.assert_allclose(found["intake"][is_known], expected["intake"][is_known], rtol=1e-12)
    np.testing.assert_allclose(found["known_share"], expected["known_share"], atol=1e-6)
    # what is unknown is drawn from foods of its kind, and adds to what is known
    open_ = found["intake"][~is_known] - expected["intake"][~is_known].fillna(0)
    assert open_.min() > -1e-3 and (open_ > 0).sum() > 1000
    assert 0 < found["intake"].isna().sum() < expected["intake"].isna().sum()


def test_a_day_of_table_foods_is_judged_as_check_judges_it(table):
    foods = {"11457": 150, "12061": 80, "04589": 20, "20038": 90, "01091": 30, "11529": 200}
    plan = {
        "person": dict(WOMAN),
        "days": [{"name": "rest", "count": 1}],
        "packed": [
            {"item": key, "food": key, "mass": f"{grams} g"} for key, grams in foods.items()
        ],
        "portions": [{"item": key, "amount": f"{grams} g"} for key, grams in foods.items()],
    }
    for reference in ("DRI", "EFSA"):
        rows = check(plan, table=table, reference=reference, draws=0).coverage
        expected = rows[rows["day"] == "rest"].set_index("component")
        day = pd.DataFrame({"person_day": "a", "food_id": foods.keys(), "grams": foods.values()})
        day = day.assign(sex="female", age=34, mass_kg=61)
        found = cohort.coverage_of_days(day, table, reference).set_index("component")
        expected = expected.loc[found.index]
        is_known = expected["known_share"] == 1
        np.testing.assert_allclose(
            found["intake"][is_known],
            expected["likely"][is_known],
            rtol=1e-3,  # a check counts a day in the pack
        )
        # what is drawn: without draws within a tenth of their range from their median
        ranges = check(plan, table=table, reference=reference, draws=300).coverage
        ranges = ranges[ranges["day"] == "rest"].set_index("component").loc[found.index]
        off = (found["intake"] - expected["likely"]).abs()
        assert (~is_known).sum() >= 10
        assert (off <= 0.1 * (ranges["high"] - ranges["low"]) + 1e-9)[~is_known].all()
        np.testing.assert_allclose(found["known_share"], expected["known_share"], atol=1e-6)
        judged = found["reference"].notna()
        assert judged.sum() >= 20
        np.testing.assert_allclose(
            found["reference"][judged], expected["reference"][judged], rtol=1e-12
        )
        ratio = found["intake"] / found["reference"]
        np.testing.assert_allclose(found["ratio"][judged], ratio[judged], rtol=1e-12)
        # the words are those of a check with draws, or the next ones
        assert ranges.at["VITA_RAE", "status"] == coverage.ABOVE
        words = list(zip(found["status"][judged], ranges["status"][judged], strict=True))
        assert not [both for both in words if steps(*both) > 1]
        assert sum(word == other for word, other in words) >= 0.85 * len(words)
        # what the cohort has no reference for depends on the day's energy (EFSA's fatty acids too)
        energy = expected["reference"].notna() & ~judged
        assert set(energy[energy].index) <= {
            *("ENERC_KCAL", "NIAEQ", "THIA", "FASAT"),
            *("F18D2CN6", "F18D3CN3"),
        }


def test_the_words_of_random_days_are_those_of_checks():
    """Never two away; of more days, which the program takes, 95 in 100 are equal."""
    tally = random_days(6, Random(3))
    assert tally.compared["words"] > 100
    assert tally.share("words") >= 0.9, tally.apart["words"]
    assert not tally.far("words")


def test_unknown_is_never_zero(table):
    # fluoride is drawn from no kind of food: where it is unknown, it stays so
    values = table.composition(list(table.all_foods().index), ["MG", "FD"])
    unknown = values.index[values["FD"].isna() & values["MG"].notna()][0]
    known = values.index[values["FD"] > 0][0]

    def day(**grams: float) -> pd.DataFrame:
        ids = {"unknown": unknown, "known": known}
        rows = pd.DataFrame({"food_id": [ids[key] for key in grams], "grams": grams.values()})
        rows = rows.assign(person_day=1, sex="male", age=40)
        return cohort.coverage_of_days(rows, table).set_index("component").loc["FD"]

    nothing = day(unknown=100.0)
    assert np.isnan(nothing["intake"]) and np.isnan(nothing["ratio"])
    assert (nothing["known_share"], nothing["status"]) == (0, chance.NOT_KNOWN)
    part = day(unknown=50.0, known=1.0)
    assert part["intake"] == pytest.approx(values.at[known, "FD"] / 100)
    assert part["known_share"] == pytest.approx(1 / 51)
    assert part["status"] == chance.NOT_KNOWN
    enough = day(unknown=10.0, known=90.0)
    assert enough["known_share"] == np.float32(0.9)
    assert enough["status"] == (chance.ENOUGH if enough["ratio"] >= 1 else chance.BELOW_ADVISED)


def test_a_day_without_food_is_known_to_hold_nothing(table):
    rows = pd.DataFrame(
        {"person_day": 1, "food_id": ["11457"], "grams": [0.0], "sex": "male", "age": 40}
    )
    found = cohort.coverage_of_days(rows, table).set_index("component")
    assert found.loc["MG", ["intake", "known_share", "status"]].tolist() == [0, 1, "short"]


def test_any_order_of_rows_gives_the_same(table):
    intakes = made_up(60)
    mixed = intakes.sample(frac=1, random_state=3)
    found = cohort.coverage_of_days(mixed, table)
    expected = indexed(cohort.coverage_of_days(intakes, table))
    pd.testing.assert_frame_equal(indexed(found), expected, rtol=1e-6)
    np.testing.assert_allclose(indexed(found)["intake"], expected["intake"], rtol=2e-6)
    assert list(found["person"].drop_duplicates()) == list(mixed["person"].drop_duplicates())


def test_text_categories_and_numbers_mean_the_same(table, diaries):
    expected = cohort.coverage_of_days(diaries, table)
    as_category = cohort.coverage_of_days(
        diaries.astype(dict.fromkeys(["person", "food_id", "sex"], "category")), table
    )
    # a spreadsheet takes 01116 for the number 1116
    as_number = cohort.coverage_of_days(diaries.astype({"food_id": int}), table)
    for found in (as_category, as_number):
        pd.testing.assert_frame_equal(found.astype({"person": "str"}), expected)


@pytest.mark.parametrize(
    ("mass_kg", "expected", "source"),
    [
        (np.nan, 46.0, "IOM 2005 summary table: 46 g/day for a woman"),
        (70.0, 56.0, "IOM 2005: 0.80 g per kg"),
    ],
)
def test_protein_by_body_mass_where_it_is_known(table, diaries, mass_kg, expected, source):
    rows = diaries[diaries["person"] == "botanist"].assign(mass_kg=mass_kg)
    found = cohort.coverage_of_days(rows, table).set_index("component")
    assert found.loc["PROCNT", "reference"].to_list() == pytest.approx([expected] * 2), source


def test_a_smoker_needs_35_mg_more_vitamin_c(table, diaries):
    """IOM 2000, vitamins C and E, selenium and carotenoids."""
    references = [
        cohort.coverage_of_days(diaries.assign(smoker=smokes), table)
        .set_index("component")
        .loc["VITC", "reference"]
        .to_numpy()
        for smokes in (False, True)
    ]
    assert (references[1] - references[0] == 35).all()


def test_zinc_of_efsa_is_judged_at_the_middle_of_its_phytate_levels(table):
    """EFSA 2014 (zinc): 7.5 mg at 300 mg phytate, 12.7 mg at 1200 mg, for women."""
    zinc = table.composition(["23566"], ["ZN"]).iloc[0, 0] / 100
    rows = pd.DataFrame({"person": ["a", "b", "c"], "food_id": "23566", "sex": "female", "age": 40})
    rows["grams"] = np.array([7.4, 10.0, 12.8]) / zinc
    found = cohort.coverage_of_days(rows, table, "EFSA")
    of_zinc = found[found["component"] == "ZN"]
    assert of_zinc["reference"].to_list() == [9.3] * 3
    # another piece of this beef may hold the 25 mg of the upper level
    assert of_zinc["status"].to_list() == [chance.EVEN, chance.EVEN, chance.MAYBE_TOO_MUCH]


def test_people_of_unknown_sex_or_age_get_intake_without_reference(table, diaries):
    for unknown in ({"sex": None}, {"age": np.nan}):
        found = cohort.coverage_of_days(diaries.assign(**unknown), table)
        assert found["reference"].isna().all()
        assert set(found["status"]) == {""}
    bare = cohort.coverage_of_days(diaries[["person", "day", "food_id", "grams"]], table)
    pd.testing.assert_series_equal(
        bare["intake"], cohort.coverage_of_days(diaries, table)["intake"]
    )


def test_people_too_young_for_the_set_get_no_reference(table, diaries):
    """No person here is under 9 years, where both sets hold values."""
    for reference, own_age, expected in (("EFSA", 6, 0), ("EFSA", 9, 30), ("DRI", 4, 0)):
        rows = diaries.assign(age=own_age, sex="male", life_stage="general")
        found = cohort.coverage_of_days(rows, table, reference)
        has_reference = found.groupby(["person", "day"])["reference"].count()
        assert (has_reference > 0).all() == (expected > 0)


def test_an_unknown_set_of_references(table, diaries):
    with pytest.raises(NutricheckError, match="no reference set 'WHO'; expected one of DRI, EFSA"):
        cohort.coverage_of_days(diaries, table, "WHO")


def test_the_reference_is_the_published_one_and_has_a_source(table, diaries):
    """IOM 1997: 320 mg of magnesium for women of 31 to 50 years."""
    women = diaries.assign(sex="female", age=34, life_stage="general")
    found = cohort.coverage_of_days(women, table)
    of_magnesium = found.loc[found["component"] == "MG", "reference"]
    assert set(of_magnesium) == {320.0}
    woman = Person(sex="female", age=34, mass="60 kg", height="165 cm")
    published = reference_intakes(woman, "DRI", (math.nan,) * 3)
    assert all(len(item.source) > 5 for item in published)


BAD = {
    "no grams": (lambda d: d.drop(columns="grams"), "no column grams; found person, day"),
    "no key": (lambda d: d[["food_id", "grams"]], "no column person and day, or person_day"),
    "negative": (lambda d: d.assign(grams=-1.0), "row 1: grams is -1"),
    "not a number": (lambda d: d.assign(grams="a bowl"), "row 1: grams is 'a bowl'"),
    "infinite": (lambda d: d.assign(grams=np.inf), "row 1: grams is inf"),
    "unknown food": (
        lambda d: d.assign(food_id="99999"),
        "row 1: the food table has no id '99999'",
    ),
    "no person": (lambda d: d.assign(person=None), "row 1: person is empty"),
    "two sexes": (
        lambda d: d.assign(sex=["female", "male"] * (len(d) // 2)),
        "row 2: sex is 'male', and 'female' in another row of the same person-day",
    ),
    "sex": (lambda d: d.assign(sex="woman"), "row 1: sex of a person is 'woman'"),
    "age": (lambda d: d.assign(age=250), "age of a person is 250"),
    "life stage": (lambda d: d.assign(life_stage="pregnant"), "life_stage of a person is"),
    "mass": (lambda d: d.assign(mass_kg=6.1), "mass of a person is '6.1 kg'"),
    "mass in words": (lambda d: d.assign(mass_kg="61 kg"), "row 1: mass_kg is '61 kg'"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_used_is_one_clear_error(table, diaries, name):
    change, message = BAD[name]
    with pytest.raises(NutricheckError, match=message):
        cohort.coverage_of_days(change(diaries.copy()), table)


def test_unknown_foods_are_counted_not_listed(table, diaries):
    many = diaries.assign(food_id=[f"x{i}" for i in range(len(diaries))])
    with pytest.raises(UnknownFoodError, match=r"'x0', 'x1', 'x2', 'x3', 'x4' and \d+ more"):
        cohort.coverage_of_days(many, table)


# ---------------------------------------------------------------- files


def read(path) -> pd.DataFrame:
    if path.suffix == ".parquet":
        found = pd.read_parquet(path)
    else:
        found = pd.read_csv(
            path, dtype=TEXT, keep_default_na=False, na_values=dict.fromkeys(FIGURES, "")
        )
    assert set(found.pop("format")) == {FORMAT}
    return found


FIGURES = ("intake", "known_share", "reference", "ratio")


@pytest.fixture(params=[".csv", pytest.param(".parquet", marks=pytest.mark.parquet)])
def ending(request) -> str:
    return request.param


def saved(intakes: pd.DataFrame, path):
    if path.suffix == ".parquet":
        intakes.to_parquet(path, index=False)
    else:
        intakes.to_csv(path, index=False)
    return path


@pytest.mark.parametrize("at_once", [1, 7, 100_000])
def test_pieces_of_any_size_give_the_same_table(tmp_path, ending, at_once, monkeypatch):
    monkeypatch.setattr(check_many, "_ROWS_READ", 50)
    intakes = made_up(90)
    path = saved(intakes, tmp_path / f"intakes{ending}")
    out = tmp_path / f"out{ending}"
    done = check_many.check_intakes([path], out, at_once=at_once)
    expected = cohort.coverage_of_days(intakes)
    assert (done.person_days, done.rows) == (90, len(expected))
    found = read(out).astype({"person": int, "day": int})
    pd.testing.assert_frame_equal(indexed(found), indexed(expected), check_dtype=False)


def test_several_files_are_one_table(tmp_path, ending):
    intakes = made_up(60)
    half = intakes["person"] < 10
    paths = [
        saved(intakes[half], tmp_path / f"a{ending}"),
        saved(intakes[~half], tmp_path / f"b{ending}"),
    ]
    check_many.check_intakes(paths, tmp_path / f"two{ending}")
    whole = saved(intakes, tmp_path / f"whole{ending}")
    check_many.check_intakes([whole], tmp_path / f"one{ending}")
    pd.testing.assert_frame_equal(read(tmp_path / f"two{ending}"), read(tmp_path / f"one{ending}"))


@pytest.mark.parquet
def test_unknown_is_null_in_parquet(tmp_path):
    from pyarrow import parquet

    check_many.check_intakes([SAMPLES], tmp_path / "out.parquet")
    found = parquet.read_table(tmp_path / "out.parquet")
    assert found["reference"].null_count > 0
    assert "nan" not in found["intake"].to_pylist()


def test_a_person_day_in_two_places_is_refused(tmp_path, ending, diaries, monkeypatch):
    monkeypatch.setattr(check_many, "_ROWS_READ", 5)
    path = saved(pd.concat([diaries, diaries.head(1)]), tmp_path / f"twice{ending}")
    with pytest.raises(NutricheckError, match=r"twice.*: rows .* comes back in .*sort the rows"):
        check_many.check_intakes([path], tmp_path / f"out{ending}", at_once=1)
    with pytest.raises(NutricheckError, match=r"comes back in"):
        check_many.check_intakes([SAMPLES, SAMPLES], tmp_path / f"out{ending}")
    assert [path.name for path in tmp_path.iterdir()] == [path.name]


def test_files_that_name_days_in_two_ways_are_refused(tmp_path, diaries):
    other = diaries.rename(columns={"person": "person_day"}).drop(columns="day")
    other = saved(other, tmp_path / "other.csv")
    with pytest.raises(NutricheckError, match=r"person_day \(text\) name a person-day here"):
        check_many.check_intakes([SAMPLES, other], tmp_path / "out.csv")


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "is empty"),
        (b"person,day,food_id,grams\n", "holds no rows"),
        (b"a,b\n1,2\n", "no column food_id; grams"),
        (b'person,day,food_id,grams\n"a,1,11457,3\n', "cannot be read as CSV"),
        (b"person,day,food_id,grams\na,1,11457,3\na,1,11457,3,4\n", "cannot be read as CSV"),
        (b"person,day,food_id,grams\n\xff,1,11457,3\n", "0xff, which is not UTF-8"),
        (b"person,day,food_id,grams\na,1,11457,\n", "row 1: grams is nan"),
        (b"person,day,food_id,grams\na,1,11457,2\na,1,,2\n", "row 2: the food table has no id"),
        (b"person,day,food_id,grams\n" + b"a,1,11457,1\n" * 10_001, "more than 10,000 rows"),
        (b"\x00" * 100, "holds no rows"),
        (b"\x00,\x00\n\x00,\x00\n", "no column"),
        (b"person,day,food_id,grams\na,1,11457,3,4\na,2,11457,3,4\n", "cannot be read as CSV"),
        (b'person,day,food_id,grams\n"' + b"a" * 3_000_000, "a line of more than 1,000,000 bytes"),
        (b"person,grams,grams\na,1,2\n", "the column grams appears twice"),
    ],
)
def test_a_bad_file_is_one_clear_error_and_leaves_the_old_result(tmp_path, content, message):
    path, out = tmp_path / "in.csv", tmp_path / "out.csv"
    path.write_bytes(content)
    out.write_text("old")
    with pytest.raises(NutricheckError, match=message) as caught:
        check_many.check_intakes([path], out)
    assert str(path) in str(caught.value)
    assert out.read_text() == "old"
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parquet
def test_a_bad_parquet_file_is_one_clear_error(tmp_path, diaries):
    path = saved(diaries, tmp_path / "in.parquet")
    raw = path.read_bytes()
    for content in (b"", b"person,day", raw[:-20], raw[: len(raw) // 2], raw[:-8] + b"\xff" * 8):
        path.write_bytes(content)
        with pytest.raises(NutricheckError, match="cannot be read as Parquet"):
            check_many.check_intakes([path], tmp_path / "out.csv")


@pytest.mark.parquet
def test_parquet_columns_of_lists_are_refused(tmp_path, diaries):
    path = saved(diaries.assign(person=[["a"]] * len(diaries)), tmp_path / "in.parquet")
    with pytest.raises(NutricheckError, match=r"the column person .*list.* cannot be used"):
        check_many.check_intakes([path], tmp_path / "out.csv")


def test_byte_order_mark_line_ends_and_odd_names(tmp_path, diaries):
    text = diaries.to_csv(index=False)
    odd = tmp_path / "mes données été"
    odd.mkdir()
    path = odd / "journal de Zoë.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    out = odd / "résultat.csv"
    check_many.check_intakes([path], out)
    check_many.check_intakes([SAMPLES], tmp_path / "plain.csv")
    assert out.read_bytes() == (tmp_path / "plain.csv").read_bytes()


def test_without_pyarrow_the_message_says_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", None)
    with pytest.raises(NutricheckError, match=r'pip install "\.\[parquet\]"'):
        check_many.check_intakes([SAMPLES], tmp_path / "out.parquet")
    with pytest.raises(NutricheckError, match="pyarrow"):
        check_many.check_intakes([tmp_path / "in.parquet"], tmp_path / "out.csv")
    assert not list(tmp_path.iterdir())


def test_plans_are_checked_one_below_the_other(tmp_path):
    paths = ["samples/july_survey.toml", "samples/light_pack.toml"]
    found = check_many.coverage_of_plans(check_many.checked_plans(paths, draws=50))
    assert list(found["plan"].drop_duplicates()) == paths
    alone = check(paths[1], draws=50).coverage
    second = found[found["plan"] == paths[1]].drop(columns="plan").reset_index(drop=True)
    pd.testing.assert_frame_equal(second, alone)
    text = io.StringIO()
    check_many.write_table(found, text)
    assert len(text.getvalue().splitlines()) == len(found) + 1


def test_the_faults_of_all_plans_are_told(tmp_path):
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text("person = 3\n")
    with pytest.raises(NutricheckError) as caught:
        check_many.checked_plans([tmp_path / "one.toml", tmp_path / "two.toml"])
    assert "one.toml" in str(caught.value) and "two.toml" in str(caught.value)


def test_command(tmp_path):
    def run(*arguments: object) -> warm.Done:
        return warm.run("nutricheck", "check-many", *arguments)

    shown = run(SAMPLES)
    assert shown.returncode == 0 and shown.stderr == b"4 person-days, 236 rows\n"
    assert len(shown.stdout.splitlines()) == 237
    plans = run("samples/july_survey.toml", "--draws", "0", "--out", str(tmp_path / "plans.csv"))
    assert plans.returncode == 0 and plans.stderr.startswith(b"1 plans, ")
    assert (tmp_path / "plans.csv").read_text().startswith("plan,day,component")
    both = run(SAMPLES, "samples/july_survey.toml")
    assert both.returncode == 2 and "not both at once" in both.stderr_text
    (tmp_path / "stranger.csv").write_text("person,day,food_id,grams\nstranger,1,20038,90\n")
    stranger = run(SAMPLES, tmp_path / "stranger.csv", "--reference", "EFSA")
    assert "without reference intakes: 1 (sex or age unknown" in stranger.stderr_text
    bad = run(SAMPLES, "--out", str(tmp_path / "table.ods"))
    assert bad.returncode == 1
    assert "expected a name that ends in .csv or .parquet" in bad.stderr_text


@pytest.mark.dask
def test_the_same_function_runs_under_dask():
    """On a local cluster of two processes; partitions hold whole persons."""
    import distributed
    from dask import dataframe as dask_frame

    intakes = made_up(400)
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=":0", local_directory=None
        ) as cluster,
        distributed.Client(cluster),
    ):
        parts = dask_frame.from_pandas(intakes.set_index("person", drop=False), npartitions=5)
        meta = cohort.coverage_of_days(intakes.head(0))
        found = parts.map_partitions(cohort.coverage_of_days, meta=meta).compute()
    assert parts.npartitions == 5
    pd.testing.assert_frame_equal(indexed(found), indexed(cohort.coverage_of_days(intakes)))


def test_tables_laid_over_each_other(table, diaries):
    found = cohort.coverage_of_days(diaries, ["default", "default"])
    pd.testing.assert_frame_equal(found, cohort.coverage_of_days(diaries, table))


@pytest.mark.parametrize(
    ("salt_g", "mass_kg", "word"),
    [
        (3, 80, "too little sodium"),  # 1,163 mg of the 1,500 of the AI, NASEM 2019
        (5, 80, "sodium is right"),
        (8, 80, "more than useful"),  # 3,101 mg, above the CDRR of 2,300
        (28, 80, "more than useful"),
        (33, 80, "far too much"),  # 12,790 mg
        (28, 50, "far too much"),  # 10,852 mg; 12,000 · 50 / 70 = 8,571
    ],
)
def test_sodium_has_its_own_words_by_the_lines_of_a_day_without_sweat(salt_g, mass_kg, word):
    """SR28 02047: 38,758 mg sodium in 100 g of salt."""
    rows = pd.DataFrame(
        {"person": "a", "day": 1, "food_id": ["02047"], "grams": [float(salt_g)],
         "sex": "male", "age": 40, "mass_kg": float(mass_kg)}
    )  # fmt: skip
    found = cohort.coverage_of_days(rows).set_index("component")
    assert found.at["NA", "status"] == word
    assert "CLD" not in found.index or found.at["CLD", "status"] == ""
