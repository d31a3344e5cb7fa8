"""Labels against law, official conversion pages and atomic weights."""

import re

import pytest

from nutricheck.facts import evidence
from nutricheck.labels.amounts import label_composition
from nutricheck.labels.compounds import atomic_weight, find, molar_mass, share
from nutricheck.plan.models import Label


def per_serving(tag, amounts, **changes):
    """Low, likely and high of a component in a serving of 100 g."""
    label = Label(
        **{"name": "x", "kind": "supplement", "serving": "100 g", "amounts": amounts, **changes}
    )
    return tuple(label_composition(label).composition.loc[tag])


# 21 CFR 101.9(c) as of 1 January 2011, in force to 2016; copy of the table with units at
# http://www.dsld.nlm.nih.gov/dsld/dailyvalue.jsp (NIH), last row by row here.
US_BEFORE_2016 = {
    **{"FAT": (65, "g"), "FASAT": (20, "g"), "CHOLE": (300, "mg"), "NA": (2400, "mg")},
    **{"K": (3500, "mg"), "CHOCDF": (300, "g"), "FIBTG": (25, "g"), "PROCNT": (50, "g")},
    **{"VITC": (60, "mg"), "CA": (1000, "mg"), "FE": (18, "mg"), "VITK1": (80, "ug")},
    **{"THIA": (1.5, "mg"), "RIBF": (1.7, "mg"), "NIA": (20, "mg"), "VITB6A": (2.0, "mg")},
    **{"VITB12": (6.0, "ug"), "BIOT": (300, "ug"), "PANTAC": (10, "mg"), "P": (1000, "mg")},
    **{"ID": (150, "ug"), "MG": (400, "mg"), "ZN": (15, "mg"), "SE": (70, "ug")},
    **{"CU": (2.0, "mg"), "MN": (2.0, "mg"), "CR": (120, "ug"), "MO": (75, "ug")},
    **{"CLD": (3400, "mg"), "FOL": (400, "ug"), "VITD": (10, "ug"), "VITA_IU": (5000, "IU")},
}
# Regulation (EU) 1169/2011, Annex XIII, OJ L 304 p. 61; read in the Spanish and Portuguese text.
EU_NRV = {
    **{"VITA_RAE": (800, "ug"), "VITD": (5, "ug"), "VITK1": (75, "ug"), "VITC": (80, "mg")},
    **{"THIA": (1.1, "mg"), "RIBF": (1.4, "mg"), "NIA": (16, "mg"), "VITB6A": (1.4, "mg")},
    **{"FOL": (200, "ug"), "VITB12": (2.5, "ug"), "BIOT": (50, "ug"), "PANTAC": (6, "mg")},
    **{"K": (2000, "mg"), "CLD": (800, "mg"), "CA": (800, "mg"), "P": (700, "mg")},
    **{"MG": (375, "mg"), "FE": (14, "mg"), "ZN": (10, "mg"), "CU": (1, "mg"), "MN": (2, "mg")},
    **{"FD": (3500, "ug"), "SE": (55, "ug"), "CR": (40, "ug"), "MO": (50, "ug")},
    **{"ID": (150, "ug"), "FAT": (70, "g"), "FASAT": (20, "g"), "CHOCDF": (260, "g")},
    **{"SUGAR": (90, "g"), "PROCNT": (50, "g"), "ENERC_KCAL": (2000, "kcal")},
}
# FDA, Vitamins and Minerals Chart, October 2021 (copy at studylib.net/doc/27411357), and 21 CFR
# 101.9(c) as of 2016 for the rest.
US_2016 = {
    **{"BIOT": (30, "ug"), "CHOLN": (550, "mg"), "PANTAC": (5, "mg"), "RIBF": (1.3, "mg")},
    **{"NIA": (16, "mg"), "FOLDFE": (400, "ug"), "VITA_RAE": (900, "ug"), "VITC": (90, "mg")},
    **{"CA": (1300, "mg"), "FE": (18, "mg"), "VITD": (20, "ug"), "TOCPHA": (15, "mg")},
    **{"VITK1": (120, "ug"), "THIA": (1.2, "mg"), "VITB6A": (1.7, "mg"), "VITB12": (2.4, "ug")},
    **{"P": (1250, "mg"), "ID": (150, "ug"), "MG": (420, "mg"), "ZN": (11, "mg")},
    **{"SE": (55, "ug"), "CU": (0.9, "mg"), "MN": (2.3, "mg"), "CR": (35, "ug")},
    **{"MO": (45, "ug"), "CLD": (2300, "mg"), "K": (4700, "mg"), "NA": (2300, "mg")},
    **{"FAT": (78, "g"), "FASAT": (20, "g"), "CHOLE": (300, "mg"), "CHOCDF": (275, "g")},
    **{"FIBTG": (28, "g"), "PROCNT": (50, "g")},
}
# Forms that leave no question open, under the name the label uses.
FORMS = {"VITA": "retinol", "TOCPHA": "natural", "FOL": "folic acid", "FOLDFE": "folic acid"}


@pytest.mark.parametrize(
    ("scheme", "values"),
    [("US before 2016", US_BEFORE_2016), ("US 2016", US_2016), ("EU NRV", EU_NRV)],
)
def test_half_of_each_daily_value(scheme, values):
    for tag, (amount, _) in values.items():
        name = "VITA" if tag in ("VITA_RAE", "VITA_IU") else tag
        forms = {name: FORMS[name]} if name in FORMS else {}
        # A serving of 1000 g, so that per 100 g is a tenth.
        read = per_serving(tag, {name: "50 %DV"}, scheme=scheme, serving="1000 g", forms=forms)
        assert read == pytest.approx([amount / 20] * 3), tag


# NIH, Dietary Supplement Ingredient Database, https://dsid.od.nih.gov/Conversions.php, and IOM
# 2011, p. 1106. Supplemental beta-carotene: 0.3 there; an older NIH page prints 0.15.
@pytest.mark.parametrize(
    ("tag", "amounts", "changes", "expected"),
    [
        ("VITA_RAE", {"VITA": "1000 IU"}, {"forms": {"VITA": "retinol"}}, 300),
        ("RETOL", {"VITA": "1000 IU"}, {"forms": {"VITA": "retinyl palmitate"}}, 300),
        ("VITA_RAE", {"VITA": "1000 IU"}, {"forms": {"VITA": "beta-carotene"}}, 300),
        ("CARTB", {"VITA": "1000 IU"}, {"forms": {"VITA": "beta-carotene"}}, 600),
        ("RETOL", {"VITA": "1000 IU"}, {"forms": {"VITA": "beta-carotene"}}, 0),
        ("VITA_RAE", {"VITA": "1000 IU"}, {"forms": {"VITA": "beta-carotene"}, "kind": "food"}, 50),
        ("VITD", {"VITD": "1000 IU"}, {}, 25),
        ("VITD_IU", {"VITD": "10 ug"}, {}, 400),
        ("TOCPHA", {"VITE": "100 IU"}, {"forms": {"VITE": "d-alpha-tocopherol"}}, 67),
        ("TOCPHA", {"VITE": "100 IU"}, {"forms": {"VITE": "dl-alpha-tocopherol"}}, 45),
        ("FOLDFE", {"FOL": "400 ug"}, {"forms": {"FOL": "folic acid"}}, 680),
        ("FOLAC", {"FOLDFE": "680 ug"}, {"forms": {"FOLDFE": "folic acid"}}, 400),
        ("FOLDFE", {"FOL": "100 ug"}, {"kind": "food"}, 100),
        ("NIAEQ", {"NIA": "16 mg"}, {"forms": {"NIA": "nicotinamide"}}, 16),
        ("NA", {"NACL": "1 g"}, {"kind": "food"}, 400),  # EU 1169/2011: salt = sodium × 2.5
        ("ENERC_KCAL", {"ENERC_KJ": "418.4 kJ"}, {"kind": "food"}, 100),
    ],
)
def test_conversions(tag, amounts, changes, expected):
    assert per_serving(tag, amounts, **changes) == pytest.approx([expected] * 3)


# CIAAW, Standard atomic weights 2021, https://www.ciaaw.org/atomic-weights.htm: the full value.
@pytest.mark.parametrize(
    ("tag", "weight"),
    [
        ("NA", 22.98976928),
        ("P", 30.973761998),
        ("K", 39.0983),
        ("CA", 40.078),
        ("CR", 51.9961),
        ("MN", 54.938043),
        ("FE", 55.845),
        ("CU", 63.546),
        ("ZN", 65.38),
        ("SE", 78.971),
        ("MO", 95.95),
        ("ID", 126.90447),
        ("MG", 24.3055),  # interval 24.304 to 24.307
        ("CLD", 35.4515),  # interval 35.446 to 35.457
    ],
)
def test_atomic_weights(tag, weight):
    assert atomic_weight(tag) == pytest.approx(weight, rel=5e-5)


# Formula weights as tabled by the Marine Biological Laboratory, Compendium of Physiological
# Solutions, appendix 1 (older weights, hence 2e-4), and two of the Ph. Eur. as sold.
@pytest.mark.parametrize(
    ("formula", "mass"),
    [
        ("NaCl", 58.44),
        ("KCl", 74.56),
        ("MgCl2·6H2O", 203.31),
        ("MgCl2", 95.22),
        ("MgSO4·7H2O", 246.50),
        ("MgSO4", 120.39),
        ("NaHCO3", 84.01),
        ("CaCl2·2H2O", 147.02),
    ],
)
def test_molar_masses(formula, mass):
    assert molar_mass(formula) == pytest.approx(mass, rel=3e-4)


# By hand from the weights: Mg 24.305, C 12.011, H 1.0080, N 14.007, O 15.999.
@pytest.mark.parametrize(
    ("compound", "tag", "percent"),
    [
        ("magnesium bisglycinate (anhydrous)", "MG", 14.10),
        ("magnesium bisglycinate dihydrate", "MG", 11.66),
        ("magnesium oxide", "MG", 60.30),
        ("trimagnesium dicitrate (anhydrous)", "MG", 16.16),
        ("potassium citrate monohydrate", "K", 36.16),
        ("calcium carbonate", "CA", 40.04),
        ("zinc gluconate (anhydrous)", "ZN", 14.35),
        ("ferrous sulfate heptahydrate", "FE", 20.09),
        ("sodium chloride", "NA", 39.34),
        ("sodium ascorbate", "VITC", 88.90),
        ("sodium ascorbate", "NA", 11.60),
    ],
)
def test_shares(compound, tag, percent):
    assert 100 * share(find(compound)[0], tag) == pytest.approx(percent, abs=0.006)


def test_milliequivalents():
    """By hand: 1 mEq is 22.990 mg Na, 39.098 mg K, 20.039 mg Ca, 12.153 mg Mg, 35.45 mg Cl."""
    expected = {"NA": 22.990, "K": 39.098, "CA": 20.039, "MG": 12.1525, "CLD": 35.45}
    for tag, mg in expected.items():
        assert per_serving(tag, {tag: "1 mEq"}, kind="drink mix") == pytest.approx([mg] * 3)


# PubChem identifiers (CAS number, molar mass), as the open data set chemicals 1.5.2 holds them.
PUBCHEM = [
    ("magnesium hydrogen citrate (1:1, anhydrous)", "7779-25-1", 214.4126),
    ("magnesium oxide", "1309-48-4", 40.3044),
    ("magnesium hydroxide", "1317-43-7", 58.3197),
    ("magnesium carbonate (anhydrous)", "546-93-0", 84.3139),
    ("magnesium chloride (anhydrous)", "7786-30-3", 95.2110),
    ("magnesium sulfate heptahydrate", "10034-99-8", 246.4746),
    ("potassium chloride", "7447-40-7", 74.5513),
    ("potassium citrate monohydrate", "6100-05-6", 324.4099),
    ("potassium citrate (anhydrous)", "866-84-2", 306.3946),
    ("potassium bicarbonate", "298-14-6", 100.1151),
    ("potassium gluconate (anhydrous)", "299-27-4", 234.2456),
    ("potassium iodide", "7681-11-0", 166.0028),
    ("sodium chloride", "7647-14-5", 58.4428),
    ("trisodium citrate dihydrate", "6132-04-3", 294.0996),
    ("trisodium citrate (anhydrous)", "68-04-2", 258.0690),
    ("sodium bicarbonate", "144-55-8", 84.0066),
    ("calcium carbonate", "471-34-1", 100.0869),
    ("calcium citrate tetrahydrate", "5785-44-4", 570.4945),
    ("calcium citrate (anhydrous)", "813-94-5", 498.4334),
    ("calcium phosphate, dibasic (anhydrous)", "7757-93-9", 136.0573),
    ("calcium phosphate, dibasic dihydrate", "7789-77-7", 172.0879),
    ("calcium ascorbate (anhydrous)", "96653-51-9", 390.3104),
    ("sodium ascorbate", "6381-77-7", 198.1059),
    ("zinc citrate (anhydrous)", "546-46-3", 574.3394),
    ("zinc sulfate monohydrate", "7446-19-7", 179.4579),
    ("zinc sulfate heptahydrate", "7446-20-0", 287.5496),
    ("zinc oxide", "1314-13-2", 81.3794),
    ("ferrous sulfate heptahydrate", "7782-63-0", 278.0146),
    ("ferrous sulfate monohydrate (dried)", "13463-43-9", 169.9229),
    ("ferrous sulfate (anhydrous)", "7720-78-7", 151.9076),
    ("ferrous fumarate", "141-01-5", 169.9013),
    ("ferrous gluconate dihydrate", "22830-45-1", 482.1702),
    ("copper bisglycinate (anhydrous)", "13479-54-4", 211.6633),
    ("copper gluconate", "527-09-3", 453.8407),
    ("manganese gluconate (anhydrous)", "6485-39-8", 445.2327),
    ("selenomethionine", "2578-28-1", 196.1063),
    ("sodium selenite", "10102-18-8", 172.9377),
    ("sodium molybdate dihydrate", "10102-40-6", 241.9677),
    ("ascorbic acid", "50-81-7", 176.1241),
]


@pytest.mark.parametrize(("name", "cas", "mass"), PUBCHEM)
def test_formulas_have_the_molar_mass_of_pubchem(name, cas, mass):
    (compound,) = find(name)
    assert compound.molar_mass == pytest.approx(mass, rel=1e-4)
    (row,) = (row for row in evidence.rows("supplement_forms") if row["compound"] == name)
    assert cas in row["read"] and row["status"] == "secondary"


# Acids by PubChem (same data set), and the charge of the metals in salts that are sold.
ACIDS = {"glycine": "C2H5NO2", "citric acid": "C6H8O7", "malic acid": "C4H6O5"}
ACIDS |= {"lactic acid": "C3H6O3", "gluconic acid": "C6H12O7", "taurine": "C2H7NO3S"}
ACIDS |= {"picolinic acid": "C6H5NO2"}
CHARGES = {"Mg": 2, "Zn": 2, "Fe": 2, "Cr": 3}


def test_other_salts_are_their_acid_less_a_proton_for_each_charge():
    water, hydrogen = molar_mass("H2O"), molar_mass("H")
    rows = [
        row
        for row in evidence.rows("supplement_forms")
        if row["read"].partition(" by PubChem")[0] in ACIDS
    ]
    assert len(rows) > 12
    for row in rows:
        acid = ACIDS[row["read"].partition(" by PubChem")[0]]
        salt, _, waters = row["formula"].partition("·")
        metal, metals, anions = re.match(r"([A-Z][a-z])(\d*)(?:\(.*\)(\d)|C\w+)$", salt).groups()
        charge = CHARGES[metal] * int(metals or 1)
        expected = (
            int(metals or 1) * molar_mass(metal)
            + int(anions or 1) * molar_mass(acid)
            - charge * hydrogen
            + int(waters.removesuffix("H2O") or 1) * water * bool(waters)
        )
        assert molar_mass(row["formula"]) == pytest.approx(expected), row["compound"]


def test_a_millimole():
    """By hand, IUPAC 2021: 1 mmol is 24.305 mg of magnesium or 40.078 mg of calcium."""
    for tag, mg in (("MG", 24.305), ("CA", 40.078), ("NA", 22.990)):
        assert per_serving(tag, {tag: "1 mmol"}, kind="drink mix") == pytest.approx([mg] * 3)
