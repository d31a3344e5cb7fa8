"""Heat limits, the WBGT, and sweat at rest and of the young, against what is published."""

import pytest

from nutricheck.needs.energy import energy_need
from nutricheck.needs.heat import (
    alert_limit,
    exposure_limit,
    wbgt_shade,
    wbgt_sun,
    wet_bulb,
)
from nutricheck.needs.sweat import (
    body_surface,
    evaporative_capacity,
    required_evaporation,
    resting_sweat_rate,
    sweat_need,
    sweat_rate_corrected,
    sweat_rate_piecewise,
    vapour_pressure,
)
from nutricheck.needs.water import water_need
from nutricheck.plan.models import DayType, Person


# NIOSH 2016-106, section 8.1, the equations of the alert and the exposure limit, at the document's
# classes of work: rest 115 W, light 180, moderate 300, heavy 415. ISO 7243:2017, table A.1, prints
# for the same classes 32 and 33, 29 and 30, 26 and 28, 23 and 26 °C (from memory).
@pytest.mark.parametrize(
    ("watts", "alert", "exposure", "iso"),
    [
        (115, 30.8, 33.0, (32, 33)),
        (180, 28.1, 30.8, (29, 30)),
        (300, 25.0, 28.2, (26, 28)),
        (415, 23.0, 26.6, (23, 26)),
    ],
)
def test_limits_of_niosh_and_iso(watts, alert, exposure, iso):
    assert alert_limit(watts) == pytest.approx(alert, abs=0.06)
    assert exposure_limit(watts) == pytest.approx(exposure, abs=0.06)
    assert (alert_limit(watts), exposure_limit(watts)) == pytest.approx(iso, abs=1.3)


def test_wet_bulb_of_stull():
    """R. Stull 2011, the paper's example: 20 °C and 50 % give 13.7 °C."""
    assert wet_bulb(20, 50) == pytest.approx(13.7, abs=0.05)


# By hand from Stull 2011, ISO 7243's weights and the Bureau of Meteorology's simple WBGT.
@pytest.mark.parametrize(
    ("celsius", "humidity", "shade", "sun"),
    [
        (30, 30, 21.9, 25.9),
        (30, 60, 25.8, 30.9),
        (35, 20, 24.0, 28.2),
        (35, 40, 27.7, 32.6),
        (35, 60, 30.4, 37.0),
        (40, 10, 25.0, 29.5),
        (40, 20, 27.9, 32.4),
        (40, 30, 30.1, 35.3),
        (45, 10, 28.5, 33.2),
    ],
)
def test_wbgt_from_air_and_humidity(celsius, humidity, shade, sun):
    assert wbgt_shade(celsius, humidity) == pytest.approx(shade, abs=0.06)
    assert wbgt_sun(celsius, humidity) == pytest.approx(sun, abs=0.15)


# R. D. Meade et al., Environ Health Perspect 2024;132:027003, table 5,
# https://pmc.ncbi.nlm.nih.gov/articles/PMC10852046/table/t5: 16 older adults at rest for 8 h, 45 %
# humidity (from memory); all water lost, g/(m² h), mean and standard deviation.
@pytest.mark.parametrize(
    ("celsius", "mean", "sd"), [(22, 20, 30), (26, 26, 15), (31, 31, 15), (36, 80, 24)]
)
def test_sweat_at_rest_by_air_temperature(celsius, mean, sd):
    """1.0 met is 58 W/m². The 23 g/(m² h) of ordinary air, which is no sweat, is added again."""
    required = required_evaporation(58, 0, celsius, 0)
    capacity = evaporative_capacity(vapour_pressure(celsius, 45))
    assert 23 + resting_sweat_rate(required, capacity) == pytest.approx(mean, abs=sd / 2)


def test_water_of_resting_men_in_the_desert():
    """IOM 2005, Dietary Reference Intakes for Water, p. 129 and 130: 3.8 (US Army 1959) to 4.5 L a
    day (Brown 1947) for soldiers resting in the shade at a daily mean of 30 °C; the hot hours are 4
    to 5 °C warmer (ours). At some 40 °C ordinary weather's need doubles or triples (p. 155)."""
    soldier = Person(sex="male", age=25, mass="72 kg", height="175 cm")

    def litres(celsius):
        day = DayType(name="r", count=1, air_temperature=f"{celsius} °C", humidity="20 %")
        need = water_need(soldier, day, sweat_need(soldier, day, energy_need(soldier, day)))
        return need.low_l, need.likely_l, need.high_l

    low, likely, high = litres(34.5)
    assert low < 4.5 and likely == pytest.approx((3.8 + 4.5) / 2, rel=0.11) and high > 4.5
    assert 1.4 < litres(40)[1] / 3.7 < 3.0
    assert litres(40)[2] / 3.7 > 2.0


# Falk et al. 1992, as IOM 2005, p. 156, prints it: boys at 42 °C and 20 %, moderate exercise: 294
# (before puberty), 342 and 396 mL/(m² h). Arlegui et al. 2021, doi 10.1007/s00421-021-04811-4: 13
# children of 8 years at 30 °C and 40 %, off and on exercise, 126 ± 47 g/(m² h).
@pytest.mark.parametrize(
    ("celsius", "humidity", "work_w_m2", "published"),
    [(42, 20, 180, (294, 396)), (30, 40, 130, (79, 173))],
)
def test_the_equations_of_adults_hold_for_boys_within_their_range(
    celsius, humidity, work_w_m2, published
):
    """The heat of the work is not printed: half of a boy's best is some 180 W/m², off and on some
    130 (from memory)."""
    required = max(required_evaporation(work_w_m2, 0, celsius, 0), 0)
    capacity = evaporative_capacity(vapour_pressure(celsius, humidity))
    ours = (sweat_rate_corrected(required, capacity) + sweat_rate_piecewise(required, capacity)) / 2
    of_a_boy = 0.25 * 1000 / body_surface(40, 150)
    assert published[0] - 100 < ours < published[1] + of_a_boy
