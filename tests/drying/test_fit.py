"""Evidence worked into ranges: the fit itself, the shipped tables, and the check on records."""

import csv
import os
import tomllib
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from data_builder.copied import without_copies
from data_builder.drying_fit import (
    Evidence,
    Records,
    _likelihood,
    composition_spread,
    fit_range,
    fitted_ranges,
    pair_evidence,
    read_pairs,
    records,
    study_evidence,
    with_records,
)
from data_builder.verify_drying import _menus, interval_scores, report_text, verify_drying
from nutricheck.errors import SourceError
from nutricheck.facts import evidence

PUBLISHED = Path(__file__).parents[1] / "published"


def trial(kept, *, key="made up", class_group="fruit", route_group="hot", log_sd=0.1):
    return Evidence(
        key,
        "VITC",
        class_group,
        "plant",
        route_group,
        False,
        kept,
        log_sd,
        1.0,
        frozenset(),
        _likelihood(kept, log_sd, False),
    )


def fit(found, class_group="fruit"):
    return fit_range(found, "VITC", class_group, "hot", False)


def test_agreeing_trials_give_a_narrow_range_about_them():
    low, likely, high, _ = fit([trial(0.5, key=f"trial {i}") for i in range(12)])
    assert likely == pytest.approx(0.5, abs=0.05)
    assert high - low < 0.35


def test_contradicting_trials_give_a_range_that_holds_both():
    found = [trial(kept, key=f"{kept}{i}") for kept in (0.1, 0.8) for i in range(4)]
    low, _, high, _ = fit(found)
    assert low < 0.12
    assert high > 0.75


def test_trials_of_another_group_count_less():
    same, other = [trial(0.2)] * 3, [trial(0.9, class_group="leaf")] * 3
    assert fit(same + other)[1] < 0.55 < fit(same + other, "leaf")[1]


def test_a_record_above_all_does_not_keep_more_than_all():
    _, likely, high, _ = fit([trial(1.8, log_sd=0.5)] * 8)
    assert 0.7 < likely < high <= 1


def test_all_lost_pulls_the_low_end_down():
    assert fit([trial(0.0)] * 6)[0] < 0.01


def test_evidence_is_named():
    assert fit([trial(0.5, key="a"), trial(0.4, key="b")])[3] == "a b"


def test_study_keys_have_citations():
    from nutricheck.drying.route_words import citations

    for row in evidence.rows("drying_ranges"):
        assert all(citations(row["evidence"])) or not row["evidence"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("fresh_id,dried_id,preparation,method\n", "holds no pairs"),
        ("fresh_id,dried_id,preparation,method\n1,2,raw,toaster\n", ":2: method 'toaster'"),
        ("fresh_id,dried_id,preparation,method\n1,,raw,sun\n", ":2: no dried_id"),
        ("fresh_id,dried_id,preparation,method\n1,2,pickled,sun\n", ":2: preparation 'pickled'"),
    ],
)
def test_pairs_of_ones_own_are_checked(tmp_path, text, said):
    path = tmp_path / "pairs.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SourceError, match=said):
        read_pairs(path)


def no_records():
    none = pd.DataFrame(columns=["WATER", "K"], dtype=float)
    return Records({}, none, none, none, none.astype(bool))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("food_id,description\n", "no column food_id"),
        ("food_id,description,group_code,K\na,Leek,1100,1\n", "no column WATER"),
        ("food_id,description,group_code,WATER\na,Leek,1100,\n", ":2: no WATER"),
        ("food_id,description,group_code,WATER\na,Leek\n", ":2: no group_code"),
        ("food_id,description,group_code,WATER\na,Leek,1100,9\na,Leek,1100,9\n", ":3: food_id 'a'"),
        ("food_id,description,group_code,WATER,K\na,Leek,1100,9,(5)\n", r":2: .*'\(5\)'"),
        ("food_id,description,group_code,WATER,K\na,Leek,1100,9,-5\n", ":2: an amount below zero"),
    ],
)
def test_records_of_other_tables_are_checked(tmp_path, text, said):
    path = tmp_path / "records.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SourceError, match=said):
        with_records(no_records(), path)


def test_an_empty_cell_of_another_table_is_unknown(tmp_path):
    path = tmp_path / "records.csv"
    path.write_text(
        "food_id,description,group_code,analysed,WATER,K\na,Leek,1100,yes,90,\nb,Leek,1100,,90,0\n",
        encoding="utf-8",
    )
    both = with_records(no_records(), path)
    assert both.foods["a"].description == "Leek"
    assert np.isnan(both.value.at["a", "K"])
    assert both.value.at["b", "K"] == 0
    assert both.is_analysed.loc["a"].to_dict() == {"WATER": True, "K": False}
    assert not both.is_analysed.loc["b"].any()


@pytest.mark.parametrize("name", ["dried_foods", "dried_pairs"])
def test_records_of_other_tables_say_where_they_come_from(name):
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        head = next(csv.reader(lines))
    assert list(tomllib.loads((PUBLISHED / f"{name}.toml").read_text())["columns"]) == head


# ---------------------------------------------------------------- on the official release


@pytest.fixture(scope="module")
def sr28():
    from data_builder.sr28 import read_full

    return records(read_full(Path(os.environ["NUTRICHECK_SR28_ZIP"])))


@pytest.mark.sr28
def test_shipped_tables_are_what_the_evidence_gives(sr28):
    spread = composition_spread(sr28)
    assert spread == list(evidence.rows("composition_spread"))
    by_component = {(row["component"], row["kingdom"]): float(row["log_sd"]) for row in spread}
    pairs, copied = without_copies(sr28, read_pairs())
    assert set(copied) == {("11677", "11640")}, "shallots: the fresh record times one factor"
    found = study_evidence() + pair_evidence(sr28, pairs, by_component)
    assert fitted_ranges(found) == list(evidence.rows("drying_ranges"))


@pytest.mark.sr28
def test_related_records_are_raw_records_of_the_release(sr28):
    for row in evidence.rows("related_records"):
        assert sr28.foods[row["food_id"]].description == row["description"]
        assert "cooked" not in row["description"]


def test_no_pair_is_in_both_sets():
    in_package = {(pair.fresh_id, pair.dried_id) for pair in read_pairs()}
    held_out = {(pair.fresh_id, pair.dried_id) for pair in read_pairs(name="drying_pairs_held_out")}
    assert not in_package & held_out
    assert not {dried for _, dried in in_package} & {dried for _, dried in held_out}


@pytest.fixture(scope="module")
def own_pairs(sr28):
    pairs = read_pairs() + read_pairs(name="drying_pairs_held_out")
    return verify_drying(sr28, pairs, read_pairs(), draws=1000)


#: Groups that miss the aim, each with the floor that it keeps and why no loss explains the misses.
NOT_BY_LOSSES = {
    "vitamin C": 66,  # 9 of the 51 records hold more than the fresh ones
    "vitamin E": 70,  # 29 of the 40 records are imputed, three print nought
}


@pytest.mark.sr28
def test_published_dried_records_lie_in_our_ranges(own_pairs):
    """USDA SR28: dried records predicted from fresh ones. Nine in ten lie inside, within two
    standard errors; menus of twelve lie outside no oftener than those of a right model."""
    result = own_pairs.result()
    assert own_pairs.values["is_inside"].mean() > 0.85
    aimed = result.drop([*NOT_BY_LOSSES])
    assert aimed["inside"].between(aimed["aim_low"], aimed["aim_high"]).all()
    for group, floor in NOT_BY_LOSSES.items():
        assert floor <= result.loc[group, "inside"] < result.loc[group, "aim_low"], group
    sums = result.dropna().drop("vitamin C")
    assert (sums["below"] <= sums["right_below"]).all()
    assert (sums["above"] <= sums["right_above"]).all()
    assert sums.loc["minerals", ["below", "above"]].between(2, 9).all()
    summary = own_pairs.summary("group")
    for group in ("minerals", "protein", "fibre"):
        assert summary.loc[group, "error"] <= summary.loc[group, "kin"]
    # A range of 0 to 100 % that always covers would be a failure, and so would one that is wider
    # than its records need.
    assert (summary["kept"] < 95).all()
    wide = ["minerals", "fat", "B vitamins", "carotenoids", "vitamin K"]
    assert summary.loc[wide, "best_width"].between(0.85, 1.25).all()
    assert summary.loc["B vitamins", "kept"] < 55
    # Samples that are alike leave the method's own error.
    assert summary.loc["protein", "alike_error"] < 10
    lines = report_text("title", own_pairs, with_misses=True).splitlines()
    assert max(map(len, lines)) <= 100


@pytest.mark.sr28
def test_what_vitamin_c_misses_is_more_than_the_fresh_food_holds(own_pairs):
    """USDA SR28: of the dried records that hold no more than the fresh ones, nine in ten lie
    inside, within two standard errors."""
    values = own_pairs.values
    vitamin_c = values[values["component"] == "VITC"]
    possible = vitamin_c[vitamin_c["kept_apparent"] <= 1]
    assert len(vitamin_c) - len(possible) == 9
    assert possible["is_inside"].mean() >= 0.9 - 2 * np.sqrt(0.09 / len(possible))


def test_menus_of_a_right_model_are_as_often_outside_as_asked():
    """One component of independent foods, 4,000 draws: with menus that share no food a twentieth
    lies to either side; with those of one and the same twelve none or all does."""
    random = np.random.default_rng(1)
    drawn = random.lognormal(size=(12, 4000))
    values = pd.DataFrame({"group": "minerals", "component": "K", "published": np.median(drawn, 1)})
    menus, right = _menus(values, drawn, seed=0)
    assert len(menus) == 200
    assert right.loc["minerals", "right_meets"] == 0
    many = random.lognormal(size=(2400, 1000))
    values = pd.DataFrame({"group": "minerals", "component": "K", "published": np.median(many, 1)})
    _, right = _menus(values, many, seed=0)
    assert right.loc["minerals", ["right_below", "right_above"]].between(5, 11).all()
    assert right.loc["minerals", "right_meets"] > 60


@pytest.mark.sr28
@pytest.mark.parametrize("family", ["VITC", "CARTB"])
def test_home_like_trials_are_foretold_by_the_others(sr28, family):
    """The rows of drying_studies in warm air, sun and shade, without laboratory dryers and contents
    whose basis is not stated; each is foretold without any row of its own source."""
    spread = {
        (row["component"], row["kingdom"]): float(row["log_sd"])
        for row in evidence.rows("composition_spread")
    }
    rows = {row["key"]: row for row in evidence.rows("drying_studies")}
    found = study_evidence()
    records_too = pair_evidence(sr28, without_copies(sr28, read_pairs())[0], spread)
    ratios, inside = [], []
    for one in found:
        is_home_like = one.route_group in {"hot", "sun", "shade"} and not rows[one.key]["setting"]
        if one.family != family or not is_home_like:
            continue
        source = rows[one.key]["citation"]
        others = [other for other in found if rows[other.key]["citation"] != source]
        low, likely, high, _ = fit_range(
            others + records_too, family, one.class_group, one.route_group, one.is_heated
        )
        ratios.append(one.kept / likely)
        inside.append(low <= one.kept <= high)
    assert len(ratios) >= 16
    assert 0.7 <= np.median(ratios) <= 1.3
    assert np.mean(inside) >= 0.9 - 2 * np.sqrt(0.09 / len(inside))


@pytest.mark.sr28
def test_dried_records_of_other_tables_lie_in_our_ranges(sr28):
    """Japan 2020 and India 2017, a blind test; floors a few points below what was found then."""
    pairs = read_pairs(PUBLISHED / "dried_pairs.csv")
    both = with_records(sr28, PUBLISHED / "dried_foods.csv")
    verification = verify_drying(both, pairs, read_pairs(), draws=1000)
    values = verification.values
    assert len(pairs) == 50
    assert len(values) == 1070  # okara is the fresh record times one factor
    assert values["is_inside"].mean() >= 0.83
    summary = verification.summary("group")
    for group, inside in {
        "minerals": 80,
        "protein": 90,
        "fat": 85,
        "fibre": 85,
        "vitamin C": 85,
        "B vitamins": 80,
        "folate": 73,
        "carotenoids": 88,
        "vitamin E": 87,
        "vitamin K": 85,
    }.items():
        assert summary.loc[group, "inside"] >= inside, group
    assert summary.loc["protein", "error"] < 15
    for group in ("minerals", "protein", "fibre"):
        assert summary.loc[group, "error"] <= summary.loc[group, "kin"]
    # Where nothing else is known to have befallen the dried food, ours hold as with SR28.
    plain = verify_drying(both, [pair for pair in pairs if not pair.note], read_pairs(), draws=1000)
    assert plain.values["is_inside"].mean() >= 0.88
    result = plain.result().drop("vitamin D")  # light makes it in mushrooms
    assert result["inside"].between(result["aim_low"], result["aim_high"]).all()
    sums = result.dropna().drop("vitamin C")
    assert (sums["below"] <= sums["right_below"]).all()
    assert (sums["above"] <= sums["right_above"]).all()


def test_a_range_is_scored_by_its_width_and_by_its_misses():
    """Gneiting and Raftery 2007, equation 43, by hand, of a range of 1 to e² about e."""
    inside = interval_scores(np.e, 1.0, np.e, np.e**2, 0.01)
    assert inside["score_1.0"] == pytest.approx(2)
    assert inside["score_0.5"] == pytest.approx(1)
    above = interval_scores(np.e**2.5, 1.0, np.e, np.e**2, 0.01)
    assert above["score_1.0"] == pytest.approx(2 + 20 * 0.5)
    assert above["score_1.5"] == pytest.approx(3)
    assert above["score_2.0"] == pytest.approx(4)


@pytest.mark.sr28
def test_a_pair_is_predicted_without_its_own_evidence(sr28):
    in_package = read_pairs()
    one = [pair for pair in in_package if pair.dried_id == "02003"]
    others = [pair for pair in in_package if pair.dried_id != "02003"]
    with_own, without = (
        verify_drying(sr28, one, pairs, draws=500) for pairs in (in_package, others)
    )
    assert np.array_equal(with_own.values["low"], without.values["low"])
