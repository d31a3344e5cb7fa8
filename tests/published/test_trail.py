"""Worked examples of the trail: figures by hand from the publications named at each."""

from __future__ import annotations

import numpy as np
import pytest

from nutricheck.drying.retention import POWDER, storage_kept
from nutricheck.drying.stages import PackStage, eaten_evenly, kept_before, pack_kept
from nutricheck.facts.components import tags
from nutricheck.plan.models import Storage

AT = {tag: place for place, tag in enumerate(tags())}


def stage(**fields):
    return Storage.model_validate(fields)


COLD = stage(time="3 months", temperature="6 °C", oxygen_absorber=True)
WARM = stage(time=f"{24 / (365.25 / 12)} months", temperature="31 °C")


def test_stages_multiply_end_by_end():
    """Barrett 1980 and Baez 2012 (vitamin C), Bechoff 2010 (carotene): three months in the cold
    with an absorber, then 24 days at 31 °C, by hand."""
    kept = kept_before((COLD, WARM))
    vitamin_c = [side[AT["VITC"]] for side in (kept.low, kept.likely, kept.high)]
    assert vitamin_c == pytest.approx([0.112, 0.574, 0.897], abs=0.001)
    carotene = [side[AT["CARTB"]] for side in (kept.low, kept.likely, kept.high)]
    assert carotene == pytest.approx([0.325, 0.622, 0.885], abs=0.001)


def test_stages_commute_and_halves_make_a_whole():
    one, other = kept_before((COLD, WARM)), kept_before((WARM, COLD))
    half = stage(time="1.5 months", temperature="6 °C", oxygen_absorber=True)
    halves = kept_before((half, half, WARM))
    for side in ("low", "likely", "high"):
        assert getattr(one, side) == pytest.approx(getattr(other, side))
        assert getattr(one, side) == pytest.approx(getattr(halves, side))


def test_the_mean_day_of_21_days_at_33_degrees():
    """k 0.6185 per month: 0.653 at the end, (1 − e^−kT)/(kT) = 0.814 on the mean day."""
    at_end = np.exp(-0.6185 * 21 / (365.25 / 12))
    assert at_end == pytest.approx(0.653, abs=0.001)
    assert eaten_evenly(np.array(at_end)) == pytest.approx(0.814, abs=0.001)
    pack = pack_kept(PackStage(21, (33.0, 33.0, 33.0))).likely[AT["VITC"]]
    assert eaten_evenly(pack) == pytest.approx(0.814, abs=0.003)


@pytest.mark.parametrize(("celsius", "lost"), [(33, 19), (24, 11)])
def test_what_21_days_in_the_pack_cost(celsius, lost):
    """Per cent of vitamin C that the mean day lacks, by the rates above."""
    kept = eaten_evenly(pack_kept(PackStage(21, (celsius,) * 3)).likely[AT["VITC"]])
    assert 100 * (1 - kept) == pytest.approx(lost, abs=0.6)


def test_ration_powders_keep_thirty_times_longer_than_dried_leaves():
    """IOM, ration storage studies: 50 % of vitamin C left after 24 months at 38 °C, no loss in 60
    months at 4 °C, 88 % of thiamin after 24 months at 38 °C."""
    hot = storage_kept(stage(time="24 months", temperature="38 °C"), POWDER)
    assert hot.likely[AT["VITC"]] == pytest.approx(0.50, abs=0.02)
    assert hot.likely[AT["THIA"]] == pytest.approx(0.88, abs=0.02)
    cool = storage_kept(stage(time="60 months", temperature="4 °C"), POWDER)
    assert cool.high[AT["VITC"]] > 0.9
    leaves = storage_kept(stage(time="1 month", temperature="38 °C"))
    powder = storage_kept(stage(time="1 month", temperature="38 °C"), POWDER)
    ratio = np.log(leaves.likely[AT["VITC"]]) / np.log(powder.likely[AT["VITC"]])
    assert ratio == pytest.approx(30, rel=0.1)


def test_vitamin_k_in_orbit():
    """Zwart et al., J Food Sci 2009: 15 to 20 % less after 353 to 880 days."""
    for days, kept in ((353, 0.80), (880, 0.85)):
        own = storage_kept(stage(time=f"{days / (365.25 / 12)} months", temperature="20 °C"))
        assert own.low[AT["VITK1"]] - 0.01 <= kept <= own.high[AT["VITK1"]] + 0.01


@pytest.mark.parametrize(("celsius", "expected"), [("20 °C", 0.5), ("29.5 °C", 0.7)])
def test_an_absorber_does_little_that_is_known_in_warmth(celsius, expected):
    """Food Chem 82:387-395, 2003: 0.68 times the rate at 25 °C; Utah State University 5494: no
    help at 29.5 °C."""
    rates = [
        -np.log(storage_kept(stage(time="1 month", temperature=celsius, **own)).likely[AT["VITC"]])
        for own in ({"oxygen_absorber": True}, {})
    ]
    assert rates[0] / rates[1] == pytest.approx(expected)
