"""Reference intakes against the printed tables, each life stage from 9 years on.

The tables were typed from these pages, not from our own data files:

ELEMENTS   NASEM 2019, appendix J, table 3, https://www.ncbi.nlm.nih.gov/books/NBK545442/
VITAMINS   IOM 2011, summary table of RDA and AI, vitamins, copy at
           https://docslib.org/doc/459083
EAR        IOM/NASEM table of EARs, copy at https://studylib.net/doc/8360693
UPPER_14   IOM table of ULs to 18 years, copy in a paediatric nutrition handbook (ed. 9, D-2)
UPPER_19   IOM 1998, table of ULs (B vitamins, Mg, P, F), https://iahf.com/upper_limits.html, and
           the adult row of the Merck Manual Professional's vitamin table
"""

import pytest

from nutricheck.needs.reference import reference_intakes
from nutricheck.plan.models import Person

STAGES = {
    **{
        f"{sex} {age}": {"sex": sex, "age": age}
        for sex in ("male", "female")
        for age in (9, 13, 14, 18, 19, 30, 31, 50, 51, 70, 71, 95)
    },
    **{
        f"{stage} {age}": {"sex": "female", "age": age, "life_stage": stage}
        for stage in ("pregnancy", "lactation")
        for age in (14, 18, 19, 30, 31, 50)
    },
}


def references(stage):
    person = Person(**STAGES[stage], mass="60 kg", height="165 cm")
    return reference_intakes(person, "DRI", (2400.0, 2500.0, 2600.0))


def values(stage, *kinds, basis=None):
    return {
        item.component: item.likely
        for item in references(stage)
        if item.kind in kinds and (basis is None or item.basis == basis)
    }


def table(columns, text):
    """``stage: numbers`` lines → [(stage, {column: number})]."""
    rows = []
    for line in text.strip().splitlines():
        stages, numbers = line.split(":")
        cells = dict(zip(columns.split(), map(float, numbers.split()), strict=True))
        sex, _, ages = stages.strip().partition(" ")
        rows += [(f"{sex} {age}", cells) for age in ages.split()]
    return rows


ELEMENTS = table(
    "CA CR CU FD ID FE MG MN MO P SE ZN K NA CLD",  # copper in ug, fluoride in mg, chloride in g
    """
    male 9 13:       1300 25  700 2 120  8 240 1.9 34 1250 40  8 2500 1200 2.3
    male 14 18:      1300 35  890 3 150 11 410 2.2 43 1250 55 11 3000 1500 2.3
    male 19 30:      1000 35  900 4 150  8 400 2.3 45  700 55 11 3400 1500 2.3
    male 31 50:      1000 35  900 4 150  8 420 2.3 45  700 55 11 3400 1500 2.3
    male 51 70:      1000 30  900 4 150  8 420 2.3 45  700 55 11 3400 1500 2.0
    male 71 95:      1200 30  900 4 150  8 420 2.3 45  700 55 11 3400 1500 1.8
    female 9 13:     1300 21  700 2 120  8 240 1.6 34 1250 40  8 2300 1200 2.3
    female 14 18:    1300 24  890 3 150 15 360 1.6 43 1250 55  9 2300 1500 2.3
    female 19 30:    1000 25  900 3 150 18 310 1.8 45  700 55  8 2600 1500 2.3
    female 31 50:    1000 25  900 3 150 18 320 1.8 45  700 55  8 2600 1500 2.3
    female 51 70:    1200 20  900 3 150  8 320 1.8 45  700 55  8 2600 1500 2.0
    female 71 95:    1200 20  900 3 150  8 320 1.8 45  700 55  8 2600 1500 1.8
    pregnancy 14 18: 1300 29 1000 3 220 27 400 2.0 50 1250 60 12 2600 1500 2.3
    pregnancy 19 30: 1000 30 1000 3 220 27 350 2.0 50  700 60 11 2900 1500 2.3
    pregnancy 31 50: 1000 30 1000 3 220 27 360 2.0 50  700 60 11 2900 1500 2.3
    lactation 14 18: 1300 44 1300 3 290 10 360 2.6 50 1250 70 13 2500 1500 2.3
    lactation 19 30: 1000 45 1300 3 290  9 310 2.6 50  700 70 12 2800 1500 2.3
    lactation 31 50: 1000 45 1300 3 290  9 320 2.6 50  700 70 12 2800 1500 2.3
    """,
)
VITAMINS = table(
    "VITA_RAE VITC VITD TOCPHA VITK1 THIA RIBF NIAEQ VITB6A FOLDFE VITB12 PANTAC BIOT CHOLN",
    """
    male 9 13:        600  45 15 11  60 0.9 0.9 12 1.0 300 1.8 4 20 375
    male 14 18:       900  75 15 15  75 1.2 1.3 16 1.3 400 2.4 5 25 550
    male 19 30 31 50: 900  90 15 15 120 1.2 1.3 16 1.3 400 2.4 5 30 550
    male 51 70:       900  90 15 15 120 1.2 1.3 16 1.7 400 2.4 5 30 550
    male 71 95:       900  90 20 15 120 1.2 1.3 16 1.7 400 2.4 5 30 550
    female 9 13:      600  45 15 11  60 0.9 0.9 12 1.0 300 1.8 4 20 375
    female 14 18:     700  65 15 15  75 1.0 1.0 14 1.2 400 2.4 5 25 400
    female 19 30 31 50: 700 75 15 15 90 1.1 1.1 14 1.3 400 2.4 5 30 425
    female 51 70:     700  75 15 15  90 1.1 1.1 14 1.5 400 2.4 5 30 425
    female 71 95:     700  75 20 15  90 1.1 1.1 14 1.5 400 2.4 5 30 425
    pregnancy 14 18:  750  80 15 15  75 1.4 1.4 18 1.9 600 2.6 6 30 450
    pregnancy 19 30 31 50: 770 85 15 15 90 1.4 1.4 18 1.9 600 2.6 6 30 450
    lactation 14 18: 1200 115 15 19  75 1.4 1.6 17 2.0 500 2.8 7 35 550
    lactation 19 30 31 50: 1300 120 15 19 90 1.4 1.6 17 2.0 500 2.8 7 35 550
    """,
)
EAR = table(
    "CA CHOCDF PROCNT VITA_RAE VITC VITD TOCPHA THIA RIBF NIAEQ VITB6A FOLDFE VITB12 CU ID FE MG "
    "MO P SE ZN",
    """
    male 9 13: 1100 100 .76 445 39 10 9 .7 .8 9 .8 250 1.5 540 73 5.9 200 26 1055 35 7.0
    male 14 18: 1100 100 .73 630 63 10 12 1.0 1.1 12 1.1 330 2.0 685 95 7.7 340 33 1055 45 8.5
    male 19 30: 800 100 .66 625 75 10 12 1.0 1.1 12 1.1 320 2.0 700 95 6 330 34 580 45 9.4
    male 31 50: 800 100 .66 625 75 10 12 1.0 1.1 12 1.1 320 2.0 700 95 6 350 34 580 45 9.4
    male 51 70: 800 100 .66 625 75 10 12 1.0 1.1 12 1.4 320 2.0 700 95 6 350 34 580 45 9.4
    male 71 95: 1000 100 .66 625 75 10 12 1.0 1.1 12 1.4 320 2.0 700 95 6 350 34 580 45 9.4
    female 9 13: 1100 100 .76 420 39 10 9 .7 .8 9 .8 250 1.5 540 73 5.7 200 26 1055 35 7.0
    female 14 18: 1100 100 .71 485 56 10 12 .9 .9 11 1.0 330 2.0 685 95 7.9 300 33 1055 45 7.3
    female 19 30: 800 100 .66 500 60 10 12 .9 .9 11 1.1 320 2.0 700 95 8.1 255 34 580 45 6.8
    female 31 50: 800 100 .66 500 60 10 12 .9 .9 11 1.1 320 2.0 700 95 8.1 265 34 580 45 6.8
    female 51 70: 1000 100 .66 500 60 10 12 .9 .9 11 1.3 320 2.0 700 95 5 265 34 580 45 6.8
    female 71 95: 1000 100 .66 500 60 10 12 .9 .9 11 1.3 320 2.0 700 95 5 265 34 580 45 6.8
    pregnancy 14 18: 1000 135 .88 530 66 10 12 1.2 1.2 14 1.6 520 2.2 785 160 23 335 40 1055 49 10.5
    pregnancy 19 30: 800 135 .88 550 70 10 12 1.2 1.2 14 1.6 520 2.2 800 160 22 290 40 580 49 9.5
    pregnancy 31 50: 800 135 .88 550 70 10 12 1.2 1.2 14 1.6 520 2.2 800 160 22 300 40 580 49 9.5
    lactation 14 18: 1000 160 1.05 885 96 10 16 1.2 1.3 13 1.7 450 2.4 985 209 7 300 35 1055 59 10.9
    lactation 19 30: 800 160 1.05 900 100 10 16 1.2 1.3 13 1.7 450 2.4 1000 209 6.5 255 36 580 59 10.4
    lactation 31 50: 800 160 1.05 900 100 10 16 1.2 1.3 13 1.7 450 2.4 1000 209 6.5 265 36 580 59 10.4
    """,  # noqa: E501
)
UPPER = table(
    "VITA_RAE VITC VITD TOCPHA NIA VITB6A FOLAC CHOLN CA CU FD ID FE MG MN MO P SE ZN CLD",
    """
    male 9 13: 1700 1200 100 600 20 60 600 2.0 3000 5000 10 600 40 350 6 1100 4 280 23 3.4
    female 9 13: 1700 1200 100 600 20 60 600 2.0 3000 5000 10 600 40 350 6 1100 4 280 23 3.4
    male 14 18: 2800 1800 100 800 30 80 800 3.0 3000 8000 10 900 45 350 9 1700 4 400 34 3.6
    female 14 18: 2800 1800 100 800 30 80 800 3.0 3000 8000 10 900 45 350 9 1700 4 400 34 3.6
    pregnancy 14 18: 2800 1800 100 800 30 80 800 3.0 3000 8000 10 900 45 350 9 1700 3.5 400 34 3.6
    lactation 14 18: 2800 1800 100 800 30 80 800 3.0 3000 8000 10 900 45 350 9 1700 4 400 34 3.6
    """,
)
UPPER_ADULT = table(
    "VITA_RAE VITC VITD TOCPHA NIA VITB6A FOLAC CHOLN FD MG P",
    """
    male 19 30 50 70: 3000 2000 100 1000 35 100 1000 3.5 10 350 4
    female 19 30 50 70: 3000 2000 100 1000 35 100 1000 3.5 10 350 4
    male 71: 3000 2000 100 1000 35 100 1000 3.5 10 350 3
    pregnancy 19 50: 3000 2000 100 1000 35 100 1000 3.5 10 350 3.5
    lactation 19 50: 3000 2000 100 1000 35 100 1000 3.5 10 350 4
    """,
)
# Printed unit → ours.
TO_OURS = {"CU": 1e-3, "FD": 1e3}
IN_GRAMS = {"CLD": 1e3, "P": 1e3, "CHOLN": 1e3}


def compared(found, printed, scale):
    return {tag: (found.get(tag), value * scale.get(tag, 1.0)) for tag, value in printed.items()}


def assert_same(pairs):
    wrong = {tag: pair for tag, pair in pairs.items() if pair[0] != pytest.approx(pair[1])}
    assert not wrong, f"ours against printed: {wrong}"


@pytest.mark.parametrize(("stage", "printed"), ELEMENTS, ids=lambda x: x if type(x) is str else "")
def test_elements(stage, printed):
    scale = TO_OURS | {"CLD": 1e3}
    assert_same(compared(values(stage, "RDA", "AI"), printed, scale))


@pytest.mark.parametrize(("stage", "printed"), VITAMINS, ids=lambda x: x if type(x) is str else "")
def test_vitamins(stage, printed):
    assert_same(compared(values(stage, "RDA", "AI"), printed, {}))


@pytest.mark.parametrize(("stage", "printed"), EAR, ids=lambda x: x if type(x) is str else "")
def test_average_requirements(stage, printed):
    scale = {"CU": 1e-3, "PROCNT": 60.0}  # protein is printed per kg; the person has 60 kg
    assert_same(compared(values(stage, "EAR"), printed, scale))


@pytest.mark.parametrize(
    ("stage", "printed"), UPPER + UPPER_ADULT, ids=lambda x: x if type(x) is str else ""
)
def test_upper_levels(stage, printed):
    assert_same(compared(values(stage, "UL", "UL of ordinary life"), printed, TO_OURS | IN_GRAMS))


@pytest.mark.parametrize(
    ("stage", "sodium"),
    [("male 9", 1800), ("female 13", 1800), ("male 14", 2300), ("female 71", 2300)],
)
def test_chronic_disease_risk_reduction_intake(stage, sodium):
    """NASEM 2019, sodium and potassium: 1800 mg at 9 to 13 years, 2300 mg from 14."""
    assert values(stage, "CDRR") == {"NA": sodium}


def test_macronutrient_ranges():
    """IOM 2005, adults: fat 20 to 35, carbohydrate 45 to 65, protein 10 to 35 % of energy."""
    low, high = (values("female 31", f"AMDR {end}") for end in ("low", "high"))
    assert (low["FAT"], high["FAT"]) == (20, 35)
    assert (low["CHOCDF"], high["CHOCDF"]) == (45, 65)
    assert (low["PROCNT"], high["PROCNT"]) == (10, 35)
    assert values("male 14", "AMDR low")["FAT"] == 25


@pytest.mark.parametrize(
    ("trimester", "ear", "rda"), [(None, 0.88, 1.1), (1, 0.66, 0.8), (2, 0.88, 1.1), (3, 0.88, 1.1)]
)
def test_protein_of_pregnancy_by_trimester(trimester, ear, rda):
    """Nutrients 2021;13:795, https://doi.org/10.3390/nu13030795: 0.66 g/kg in the first trimester,
    as without pregnancy; from the second on 0.88, and 1.1 recommended (IOM 2005)."""
    woman = Person(
        sex="female",
        age=30,
        mass="60 kg",
        height="165 cm",
        life_stage="pregnancy",
        trimester=trimester,
    )
    protein = {
        item.kind: item.likely / 60
        for item in reference_intakes(woman, "DRI", (2000.0, 2300.0, 2600.0))
        if item.component == "PROCNT"
    }
    assert (protein["EAR"], protein["RDA"]) == pytest.approx((ear, rda))
