"""Labels: readings, ranges with questions, what counts as added, faults."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricheck.errors import PlanError, UnitError
from nutricheck.labels.amounts import label_composition
from nutricheck.labels.compounds import find, molar_mass
from nutricheck.plan.models import Label


def read(amounts, reference="DRI", **changes):
    """A supplement of 100 g a serving, so that per 100 g is per serving."""
    base = {"name": "x", "kind": "supplement", "serving": "100 g", "amounts": amounts}
    return label_composition(Label(**{**base, **changes}), reference)


def span(food, tag):
    return tuple(food.composition.loc[tag])


def test_amounts_become_per_100_g():
    food = read({"MG": "56 mg", "CHOCDF": "7 g"}, serving="10 g", kind="drink mix")
    assert span(food, "MG") == pytest.approx((560,) * 3)
    assert span(food, "CHOCDF") == pytest.approx((70,) * 3)
    assert food.composition.loc["ZN"].isna().all(), "what the label does not say is unknown"


@pytest.mark.parametrize(
    ("text", "milligrams"),
    [
        ("1.5 g", 1500),
        ("1,5 g", 1500),
        ("150 mg", 150),
        ("150 mcg", 0.15),
        ("150 ug", 0.15),
        ("150 µg", 0.15),  # micro sign
        ("150 μg", 0.15),  # Greek letter
        ("150 MG", 150),
    ],
)
def test_masses_in_words(text, milligrams):
    assert span(read({"K": text}), "K") == pytest.approx((milligrams,) * 3)


@pytest.mark.parametrize("text", ["<1 g", "< 1 g", "less than 1 g", "Less than 1 g"])
def test_less_than_is_a_range(text):
    assert span(read({"FAT": text}, kind="food"), "FAT") == pytest.approx((0, 0.5, 1))


@pytest.mark.parametrize("order", [1, -1])
def test_what_stands_under_its_own_name_wins(order):
    rows = [("NACL", "1 g"), ("NA", "300 mg"), ("ENERC_KJ", "418 kJ"), ("ENERC_KCAL", "120 kcal")]
    food = read(dict(rows[::order]), kind="food")
    assert span(food, "NA") == (300,) * 3 and span(food, "ENERC_KCAL") == (120,) * 3
    # Regulation (EU) 1169/2011, Annex I: salt is 2.5 times its sodium, so that 1 g holds 400 mg.
    assert any("300 mg, as stated, or 400 mg" in question for question in food.questions)
    rounded = read({"NACL": "0.7 g", "NA": "290 mg"}, kind="food")
    assert not rounded.questions


def test_compound_by_molar_mass():
    food = read(
        {"MG": "700 mg"},
        serving="0.8 g",
        compounds={"MG": "magnesium bisglycinate (anhydrous)"},
        states={"MG": "compound"},
    )
    # By hand: 24.305 / 172.42 of 700 mg, in 0.8 g.
    assert span(food, "MG") == pytest.approx((98.67 * 125,) * 3, rel=1e-3)
    assert food.questions == ()
    assert food.added == {"MG"}


def test_element_or_compound_unclear_gives_both_and_asks():
    food = read({"MG": "500 mg"}, serving="0.9 g", compounds={"MG": "magnesium oxide"})
    low, likely, high = (value * 0.9 / 100 for value in span(food, "MG"))
    assert (low, high) == pytest.approx((301.5, 500), abs=0.1)
    assert likely == pytest.approx((low + high) / 2)
    assert len(food.questions) == 1 and "itself or the magnesium oxide" in food.questions[0]


def test_element_that_cannot_fit_the_serving_is_asked():
    food = read(
        {"MG": "400 mg"},
        serving="1.2 g",
        compounds={"MG": "magnesium bisglycinate"},
        states={"MG": "element"},
    )
    # By hand: 400 / 0.141 = 2.8 g of compound in a serving of 1.2 g.
    assert "2.8 g" in food.questions[0] and "blended" in food.questions[0]
    assert 'states = { MG = "compound" }' in food.questions[0]
    assert span(food, "MG")[1] * 1.2 / 100 == pytest.approx(400)


def test_open_hydration_is_a_range():
    food = read(
        {"MG": "1000 mg"}, compounds={"MG": "magnesium bisglycinate"}, states={"MG": "compound"}
    )
    assert span(food, "MG")[0] == pytest.approx(116.6, abs=0.1)
    assert span(food, "MG")[2] == pytest.approx(141.0, abs=0.1)
    assert "dihydrate" in food.questions[0]


def test_unknown_compound_gives_a_wide_range_and_asks():
    food = read({"ZN": "30 mg"}, compounds={"ZN": "zinc unobtainate"})
    assert span(food, "ZN")[0] < span(food, "ZN")[1] < span(food, "ZN")[2] == 30
    assert "unobtainate" in food.questions[0]


def test_unknown_compound_with_the_elements_mass_is_as_stated():
    food = read({"ZN": "30 mg"}, compounds={"ZN": "zinc unobtainate"}, states={"ZN": "element"})
    assert span(food, "ZN") == (30, 30, 30) and food.questions == ()


@pytest.mark.parametrize("state", ["compound", "unclear"])
def test_compound_that_is_not_named_is_asked_for(state):
    food = read({"K": "1000 mg"}, states={"K": state})
    assert span(food, "K")[0] < span(food, "K")[1] < span(food, "K")[2] == 1000
    (question,) = food.questions
    assert "not named" in question and 'compounds = { K = "its name" }' in question


def test_element_without_a_compound_asks_nothing():
    food = read({"K": "1000 mg"}, states={"K": "element"})
    assert span(food, "K") == (1000, 1000, 1000) and food.questions == ()


def test_compound_brings_others_along():
    food = read(
        {"VITC": "1000 mg"}, compounds={"VITC": "sodium ascorbate"}, states={"VITC": "compound"}
    )
    assert span(food, "VITC")[1] == pytest.approx(889.0, abs=0.1)
    assert span(food, "NA")[1] == pytest.approx(116.0, abs=0.1)
    assert food.added == {"VITC", "NA"}
    salt = read({"NA": "1 g"}, compounds={"NA": "salt"}, states={"NA": "compound"})
    assert span(salt, "CLD")[1] == pytest.approx(606.6, abs=0.1)


def test_compound_without_the_element_is_a_fault():
    with pytest.raises(PlanError, match="holds no zinc"):
        read({"ZN": "30 mg"}, compounds={"ZN": "magnesium oxide"})


def test_percent_without_a_scheme_covers_all_and_asks_once():
    food = read({"MG": "50 %DV", "FE": "20 %", "ZN": "20 %"})
    assert span(food, "MG") == pytest.approx((187.5, 198.75, 210))
    (question,) = food.questions
    assert "Which daily values" in question


def test_percent_is_the_element_whatever_the_compound():
    food = read({"MG": "50 %DV"}, scheme="US 2016", compounds={"MG": "magnesium citrate"})
    assert span(food, "MG") == pytest.approx((210,) * 3) and food.questions == ()


def test_vitamin_a_of_unknown_form_leaves_the_retinol_open():
    food = read({"VITA": "3000 ug"})
    assert span(food, "RETOL") == pytest.approx((0, 1500, 3000))
    assert "retinol" in food.questions[0]
    known = read({"VITA": "3000 ug"}, forms={"VITA": "retinyl acetate"})
    assert span(known, "RETOL") == pytest.approx((3000,) * 3) and known.questions == ()


@pytest.mark.parametrize(
    ("kind", "rae"), [("supplement", (800, 800, 2400)), ("drink mix", (400, 800, 800))]
)
def test_added_vitamin_a_in_retinol_equivalents_is_likely_what_the_label_counts(kind, rae):
    """EU labels count RE: 800 are 800 ug retinol or 4800 ug carotene, which are 2400 ug RAE in a
    supplement (2 ug to 1) and 400 in food (12 to 1; IOM 2011)."""
    label = {"kind": kind, "fortified": ["VITA"] if kind == "drink mix" else []}
    for changes in (
        {"amounts": {"VITA": "100 %NRV"}, "scheme": "EU NRV"},
        {"amounts": {"VITA": "800 ug RE"}},
    ):
        food = read(**label, **changes)
        assert span(food, "VITA_RAE") == pytest.approx(rae)
        assert span(food, "RETOL") == pytest.approx((0, 400, 800))
        assert any("6 ug beta-carotene" in note for note in food.notes)
    carotene = read({"VITA": "800 ug RE"}, **label, forms={"VITA": "beta-carotene"})
    assert span(carotene, "VITA_RAE") == pytest.approx((rae[2] if rae[2] > 800 else rae[0],) * 3)


def test_vitamin_e_of_unknown_form_is_a_range():
    food = read({"VITE": "100 IU"})
    assert span(food, "TOCPHA") == pytest.approx((45, 56, 67))
    assert "natural" in food.questions[0]


def test_folate_of_a_supplement_is_asked_and_of_a_food_is_food_folate():
    pill = read({"FOL": "400 ug"})
    assert span(pill, "FOLAC") == pytest.approx((0, 200, 400))
    assert span(pill, "FOLDFE") == pytest.approx((400, 540, 680))
    assert "folic acid" in pill.questions[0]
    food = read({"FOL": "40 ug"}, kind="food")
    assert span(food, "FOLDFE") == pytest.approx((40,) * 3) and food.questions == ()
    methyl = read({"FOL": "400 ug"}, forms={"FOL": "L-5-methylfolate"})
    assert span(methyl, "FOLAC") == pytest.approx((0,) * 3)


def test_efsa_counts_methylfolate_with_folic_acid():
    """EFSA Journal 2023;21(11):8353, abstract: the level is of folic acid and 5-MTHF together."""
    for form in ({"FOL": "L-5-methylfolate"}, {"FOL": "folic acid"}, {}):
        pill = read({"FOL": "400 ug"}, "EFSA", forms=form)
        assert span(pill, "FOLAC") == pytest.approx((400,) * 3)
        assert "FOLAC" in pill.added


def test_nicotinic_acid_is_asked_where_it_matters():
    assert any("nicotinic" in q for q in read({"NIA": "20 mg"}).questions)
    assert read({"NIA": "5 mg"}).questions == ()
    assert any(
        "10 mg/day" in n for n in read({"NIA": "20 mg"}, forms={"NIA": "nicotinic acid"}).notes
    )


def test_notes_are_told_of_percents_too():
    food = read({"NIA": "100 %DV"}, scheme="US 2016", forms={"NIA": "nicotinic acid"})
    assert any(note.startswith("16 mg nicotinic acid") for note in food.notes)


@pytest.mark.parametrize(
    ("changes", "added"),
    [
        ({"kind": "supplement"}, {"MG", "FOL", "FOLDFE", "FOLAC"}),
        ({"kind": "food"}, set()),
        ({"kind": "food", "fortified": ("MG",)}, {"MG"}),
        ({"kind": "drink mix", "fortified": ("FOL",)}, {"FOL", "FOLDFE", "FOLAC"}),
    ],
)
def test_what_counts_as_added(changes, added):
    food = read({"MG": "50 mg", "FOL": "100 ug"}, forms={"FOL": "folic acid"}, **changes)
    assert food.added == added


def test_energy_that_does_not_fit_is_asked():
    amounts = {"PROCNT": "10 g", "FAT": "10 g", "CHOCDF": "50 g"}  # 330 kcal
    assert read({**amounts, "ENERC_KCAL": "335 kcal"}, kind="food").questions == ()
    assert read({**amounts, "ENERC_KJ": "1400 kJ"}, kind="food").questions == ()
    asked = read({**amounts, "ENERC_KCAL": "530 kcal"}, kind="food").questions
    assert len(asked) == 1 and "mistyped" in asked[0]


def test_fibre_may_stand_inside_or_beside_carbohydrate():
    """US: 60 g carbohydrate of which 20 g fibre; EU: 40 g carbohydrate beside 20 g fibre."""
    fibre = {"PROCNT": "10 g", "FAT": "5 g", "FIBTG": "20 g"}
    for carbohydrate, energy in (("60 g", "245 kcal"), ("40 g", "285 kcal")):
        amounts = {**fibre, "CHOCDF": carbohydrate, "ENERC_KCAL": energy}
        assert read(amounts, kind="food").questions == ()


def test_water_of_the_label():
    food = read({"CHOCDF": "30 g"}, kind="food", moisture="12 %", serving="50 g")
    assert span(food, "WATER") == pytest.approx((12,) * 3)
    with pytest.raises(PlanError, match="add up to"):
        read({"CHOCDF": "48 g"}, kind="food", moisture="12 %", serving="50 g")


@pytest.mark.parametrize(
    ("amounts", "changes", "words"),
    [
        ({"MG": "400 miles"}, {}, "miles"),
        ({"MG": "400"}, {}, "expected g, mg or ug"),
        ({"MG": "-4 mg"}, {}, "negative"),
        ({"MG": "<-4 mg"}, {}, "negative"),
        ({"MG": "many"}, {}, "not a number"),
        ({"MG": "300 IU"}, {}, "magnesium"),
        ({"ZN": "3 mmol"}, {}, "mmol is read for"),
        ({"ENERC_KCAL": "300 mg"}, {}, "kcal or kJ"),
        ({"CAFFN": "50 %DV"}, {"scheme": "US 2016"}, "no daily value"),
        ({"XYZ": "3 mg"}, {}, "short name"),
        ({"MG": "500 mg"}, {"serving": "0.3 g"}, "more than the whole serving"),
        (
            {"K": "1000 mg"},
            {
                "serving": "0.5 g",
                "compounds": {"K": "potassium chloride"},
                "states": {"K": "compound"},
            },
            "1,000 mg of potassium chloride is more than the whole serving of 0.5 g",
        ),
        (
            {"PROCNT": "30 g", "FAT": "20 g", "CHOCDF": "60 g"},
            {"serving": "30 g", "kind": "food"},
            "add up to 110 g",
        ),
    ],
)
def test_what_cannot_be_is_one_clear_error(amounts, changes, words):
    with pytest.raises(PlanError, match=words):
        read(amounts, **changes)


def test_all_faults_of_a_label_come_at_once():
    with pytest.raises(PlanError) as caught:
        read({"MG": "many", "ZN": "3 yards", "K": "100 mg"})
    assert {fault.place for fault in caught.value.faults} == {"amounts.MG", "amounts.ZN"}


@pytest.mark.parametrize("formula", ["", "Xx2", "Mg(OH", "Mg)OH", "mgO", "Mg OH)2", "()", "2"])
def test_bad_formulas_are_one_clear_error(formula):
    with pytest.raises(UnitError):
        molar_mass(formula)


def test_names_of_compounds():
    assert [c.name for c in find("Zinc  Gluconate (Anhydrous)")] == ["zinc gluconate (anhydrous)"]
    assert {c.formula for c in find("iron bisglycinate chelate")} == {"Fe(C2H4NO2)2"}
    assert find("epsom salt")[0].formula == "MgSO4·7H2O"
    assert find("nonsense") == () and find("") == ()


@given(st.floats(0.001, 99), st.sampled_from(["MG", "K", "ZN", "VITC", "FIBTG"]))
def test_scaling_the_serving_keeps_the_composition(grams, tag):
    text = f"{grams:.4f} g"
    one = read({tag: text}, kind="food")
    ten = read({tag: f"{grams / 10:.5f} g"}, kind="food", serving="10 g")
    assert span(one, tag)[1] == pytest.approx(span(ten, tag)[1], rel=1e-2)


def counted_vitamin_e(amount, form, **changes):
    """Low, likely and high of what an upper level for added vitamin E counts. [mg]"""
    food = read({"VITE": amount}, forms={"VITE": form} if form else {}, **changes)
    assert "TOCPHA" in food.added
    beyond = food.inactive.get("TOCPHA", (0, 0, 0))
    return pytest.approx([sum(pair) for pair in zip(span(food, "TOCPHA"), beyond, strict=True)])


def test_upper_levels_count_all_of_synthetic_vitamin_e():
    """IOM 2000: 1000 mg of any form are 1500 IU of the natural (0.67 mg/IU) and 1100 IU of the
    synthetic (0.9 mg/IU, of which 0.45 mg are active)."""
    synthetic, natural = (
        read({"VITE": "1200 IU"}, forms={"VITE": form}) for form in ("dl-alpha-tocopherol", "d-")
    )
    assert span(synthetic, "TOCPHA")[1] == pytest.approx(540)
    assert any("all of synthetic vitamin E" in note for note in synthetic.notes)
    assert not natural.notes
    assert counted_vitamin_e("1200 IU", "dl-alpha-tocopherol") == [1080] * 3
    assert counted_vitamin_e("1200 IU", "d-") == [804] * 3
    assert counted_vitamin_e("1200 IU", "") == [804, 942, 1080]
    # US labels state what is active; elsewhere the milligrams may be those of the whole
    assert counted_vitamin_e("15 mg", "all-rac-", scheme="US 2016") == [30] * 3
    assert counted_vitamin_e("100 %DV", "all-rac-", scheme="US 2016") == [30] * 3
    assert counted_vitamin_e("15 mg", "all-rac-", scheme="EU NRV") == [15, 22.5, 30]
    assert counted_vitamin_e("15 mg", "", scheme="US 2016") == [15, 22.5, 30]


def test_vitamin_e_of_a_food_label_is_not_taken_for_synthetic():
    food = read({"VITE": "15 mg"}, kind="food")
    assert span(food, "TOCPHA") == (15, 15, 15)
    assert not food.added and not food.inactive


def test_beta_carotene_alone_is_vitamin_a_as_well():
    """2 ug of a supplement's beta-carotene, 12 of a food's, are 1 ug RAE: IOM 2001, IOM 2011."""
    for kind, rae in (("supplement", 7500.0), ("food", 1250.0)):
        food = read({"CARTB": "15 mg"}, kind=kind, serving="100 g")
        assert span(food, "VITA_RAE") == pytest.approx((rae,) * 3)
    both = read({"CARTB": "3 mg", "VITA_RAE": "400 ug"}, serving="100 g")
    assert span(both, "VITA_RAE")[2] < 1000
