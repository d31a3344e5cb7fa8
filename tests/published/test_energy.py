"""Energy equations against published tables, worked examples and hand-worked values."""

import pytest

from nutricheck.needs.energy import (
    eer_2023,
    mifflin_st_jeor,
    schofield,
)
from nutricheck.needs.load_carriage import (
    lcda_backpack,
    pandolf,
    santee_downhill,
)

ACTIVITY = ("inactive", "low active", "active", "very active")

# IOM, Dietary Reference Intakes for Energy …, 2005, doi 10.17226/10490: EER of people of 30 years
# by height and, at a BMI of 18.5 and of 24.99, weight; kcal/day by activity. Copy:
# https://accessphysiotherapy.mhmedical.com/content.aspx?bookid=3100&sectionid=259274540
IOM_2005 = [
    (1.50, 41.6, (1848, 2009, 2215, 2554), (1625, 1803, 2025, 2291)),
    (1.50, 56.2, (2080, 2267, 2506, 2898), (1762, 1956, 2198, 2489)),
    (1.65, 50.4, (2068, 2254, 2490, 2880), (1816, 2016, 2267, 2567)),
    (1.65, 68.0, (2349, 2566, 2842, 3296), (1982, 2202, 2477, 2807)),
    (1.80, 59.9, (2301, 2513, 2782, 3225), (2015, 2239, 2519, 2855)),
    (1.80, 81.0, (2635, 2884, 3200, 3720), (2211, 2459, 2769, 3141)),
]


@pytest.mark.parametrize(("height_m", "mass_kg", "men", "women"), IOM_2005)
def test_eer_2023_is_near_the_iom_2005_table(height_m, mass_kg, men, women):
    """All 48 values: other people and other equations, so within an eighth."""
    for sex, printed in (("male", men), ("female", women)):
        ours = [eer_2023(sex, 30, 100 * height_m, mass_kg, activity) for activity in ACTIVITY]
        assert ours == pytest.approx(printed, rel=0.125)


def test_fao_worked_example():
    """FAO/WHO/UNU 2004, section 5.4, https://www.fao.org/4/y5686e/y5686e08.htm: women of 20 to 30
    years, 55 kg: BMR 5.45 MJ (1302 kcal); at PAL 1.85, 10.08 MJ (2410 kcal)."""
    basal = schofield("female", 25, 55)
    assert basal == pytest.approx(1302, abs=0.5)
    assert basal * 4.184 / 1000 == pytest.approx(5.45, abs=0.005)
    assert basal * 1.85 == pytest.approx(2410, abs=5)  # printed to 10 kcal


# By hand from Mifflin et al., Am J Clin Nutr 1990;51:241-247, simplified form.
@pytest.mark.parametrize(
    ("sex", "mass", "height", "age", "kcal"),
    [
        ("female", 70, 168, 35, 1414.00),
        ("male", 80, 180, 40, 1730.00),
        ("female", 58, 160, 55, 1144.00),
        ("male", 70, 175, 30, 1648.75),
    ],
)
def test_mifflin_st_jeor(sex, mass, height, age, kcal):
    assert mifflin_st_jeor(sex, age, height, mass) == pytest.approx(kcal)


# By hand from the adult equations of NASEM 2023, doi 10.17226/26818.
@pytest.mark.parametrize(
    ("sex", "age", "height", "mass", "kcal"),
    [
        ("female", 35, 168, 70, (2120.21, 2289.02, 2427.42, 2669.44)),
        ("male", 40, 180, 80, (2617.87, 2837.47, 3018.02, 3387.52)),
        ("male", 30, 170, 70, (2520.17, 2713.37, 2902.02, 3148.62)),
        ("female", 30, 170, 70, (2166.70, 2337.27, 2475.55, 2722.63)),
    ],
)
def test_nasem_2023_adults(sex, age, height, mass, kcal):
    ours = [eer_2023(sex, age, height, mass, activity) for activity in ACTIVITY]
    assert ours == pytest.approx(kcal, abs=0.005)


# NASEM 2023, EER of boys and girls at the US median height and weight of each age (NHANES 2015 to
# 2018), copy of the report's table: https://www.medilib.ir/uptodate/show/102339 . The heights and
# weights are not printed there; what must hold for any of them: see the test.
NASEM_2023_YOUNG = {
    "male": {9: (1803, 2224), 10: (1959, 2460), 12: (2234, 2843), 14: (2623, 3407)},
    "female": {9: (1606, 2083), 10: (1737, 2253), 12: (2009, 2607), 14: (2139, 2784)},
}


@pytest.mark.parametrize("sex", ["male", "female"])
def test_nasem_2023_young_people(sex):
    """Solve the inactive and very active equations for the height and mass that give the printed
    pair, then the other two printed categories must come out of the same height and mass."""
    others = {
        ("male", 9): (1898, 2047),
        ("male", 10): (2082, 2252),
        ("male", 12): (2356, 2579),
        ("male", 14): (2771, 3061),
        ("female", 9): (1767, 1855),
        ("female", 10): (1909, 2013),
        ("female", 12): (2203, 2340),
        ("female", 14): (2346, 2503),
    }
    for age, (inactive, very_active) in NASEM_2023_YOUNG[sex].items():
        height, mass = solve(sex, age, inactive, very_active)
        for activity, printed in zip(("low active", "active"), others[sex, age], strict=True):
            assert eer_2023(sex, age, height, mass, activity) == pytest.approx(printed, abs=1.5)
        assert 125 < height < 175 and 25 < mass < 65, "a plausible young person"


def solve(sex, age, inactive, very_active):
    """Height [cm] and mass [kg] at which two linear equations give the two values."""
    origin = [eer_2023(sex, age, 0, 0, a) for a in ("inactive", "very active")]
    per_cm = [eer_2023(sex, age, 1, 0, a) for a in ("inactive", "very active")]
    per_kg = [eer_2023(sex, age, 0, 1, a) for a in ("inactive", "very active")]
    a, b = (x - o for x, o in zip(per_cm, origin, strict=True))
    c, d = (x - o for x, o in zip(per_kg, origin, strict=True))
    e, f = inactive - origin[0], very_active - origin[1]
    determinant = a * d - b * c
    return (e * d - f * c) / determinant, (a * f - b * e) / determinant


# By hand from Pandolf, Givoni, Goldman, J Appl Physiol 1977;43:577-581.
@pytest.mark.parametrize(
    ("mass", "load", "speed", "grade", "terrain", "watts"),
    [
        (70, 14, 1.11, 0, 1.2, 298.01),
        (70, 14, 1.25, 0, 1.1, 328.28),
        (70, 25, 1.20, 0, 1.2, 375.47),  # a public training document prints "about 375 W"
        (70, 0, 1.34, 0, 1.0, 293.54),
        (80, 20, 1.34, 5, 1.0, 636.34),
        (70, 14, 0.90, 10, 1.2, 551.71),
        (80, 30, 0, 0, 1.0, 150.94),  # standing
    ],
)
def test_pandolf(mass, load, speed, grade, terrain, watts):
    assert pandolf(mass, load, speed, grade, terrain) == pytest.approx(watts, abs=0.005)


# By hand from the signed form of Santee et al. 2001/2003; the conditions of the last four are
# those of the field test (80.2 kg, 1.34 m/s, grades −4 to −12 %), J Human-Environ System 6:69-76.
@pytest.mark.parametrize(
    ("mass", "load", "speed", "grade", "terrain", "watts"),
    [
        (70, 14, 1.11, -5, 1.2, 234.97),
        (70, 14, 1.25, -10, 1.1, 249.37),
        (80.2, 0, 1.34, -4, 1.1, 306.39),
        (80.2, 0, 1.34, -8.6, 1.1, 274.47),
        (80.2, 13.6, 1.34, -8.6, 1.1, 310.33),
        (80.2, 27.2, 1.34, -12, 1.1, 368.59),
    ],
)
def test_santee_downhill(mass, load, speed, grade, terrain, watts):
    ours = santee_downhill(mass, load, speed, grade, terrain)
    assert ours == pytest.approx(watts, abs=0.005)
    assert ours < pandolf(mass, load, speed, 0, terrain), "gentle descents cost less than level"


# By hand from Looney et al., Med Sci Sports Exerc 2019;51:1954-1960 (base 1.1): walking without a
# load, on a grade and on the level.
@pytest.mark.parametrize(
    ("speed", "grade", "on_grade", "level"),
    [
        (1.11, 5, 5.3433, 3.8334),
        (1.11, -5, 2.9915, 3.8334),
        (1.34, 10, 8.6393, 4.4140),
        (1.34, -10, 3.0738, 4.4140),
    ],
)
def test_lcda_grade(speed, grade, on_grade, level):
    ours = lcda_backpack(0, speed, grade, 1.0, 0) - lcda_backpack(0, speed, 0, 1.0, 0)
    assert ours == pytest.approx(on_grade - level, abs=1e-4)


def test_lcda_is_cheapest_on_a_gentle_descent():
    """By hand: the minimum at 1.34 m/s is at −10.7 %, 1.3447 W/kg below the level."""
    grades = [-20 + 0.1 * step for step in range(200)]
    cost = {grade: lcda_backpack(0, 1.34, grade, 1.0, 0) for grade in grades}
    best = min(grades, key=lambda grade: cost[grade])
    assert best == pytest.approx(-10.7, abs=0.051)
    assert cost[best] - lcda_backpack(0, 1.34, 0, 1.0, 0) == pytest.approx(-1.3447, abs=1e-4)


# By hand from Looney et al., Med Sci Sports Exerc 2022, PMC8919998; resting 0.97820 W/kg.
@pytest.mark.parametrize(
    ("share", "speed", "grade", "watts_per_kg"),
    [
        (0, 1.34, 0, 4.1480),
        (0.2, 1.11, 0, 4.0162),
        (0.2, 1.11, 5, 5.8577),
        (0.2, 1.11, -5, 2.9894),
        (0.4, 1.34, 0, 5.9349),
    ],
)
def test_lcda_backpack(share, speed, grade, watts_per_kg):
    ours = lcda_backpack(share, speed, grade, 1.0, 0.97820)
    assert ours == pytest.approx(watts_per_kg, abs=5e-5)
