"""Cautions that a person's life stage and conditions switch on; they change no number.

The authorities are named for what their documents are known to say, from memory, except where a
page that was read is named beside the text. What pregnancy must leave out is a danger only where
the plan holds it: needs/eaten.py and the cautions of its batches say so.
"""

from __future__ import annotations

from nutricheck.cautions.caution import Caution
from nutricheck.plan.models import Person

__all__ = ["person_cautions"]

_ASK = "ask the treating doctor before the trip"


def person_cautions(person: Person) -> tuple[Caution, ...]:
    """Cautions for this person, whatever is eaten, in a fixed order."""
    found: list[Caution] = []

    def add(topic: str, text: str, authority: str, level: str = "warning") -> None:
        found.append(Caution(topic, text, authority, "person", level))  # type: ignore[arg-type]

    if person.age_years < 18:
        add(
            "young person",
            "growth needs energy: plan no deficit, and watch that all is eaten. In heat a young "
            "person needs more rests, shade and drink offered before thirst, and someone at hand "
            f"who knows heat illness; {_ASK}",
            "American Academy of Pediatrics 2011 (climatic heat stress), from memory; the rest is "
            "our judgement",
        )
    if person.life_stage == "pregnancy":
        add(
            "pregnancy: vitamin A",
            "preformed vitamin A (retinol) above the upper level can harm the unborn child: no "
            "liver or liver powder, no fish liver oil, no supplement with retinol",
            "IOM 2001; EFSA 2024; Finnish food authority Evira (fish liver oil)",
        )
        add(
            "pregnancy: raw animal foods",
            "no meat, fish or egg that was dried raw or not heated through, no raw-milk products: "
            "listeria, toxoplasma and salmonella survive drying",
            "US FDA; WHO",
        )
        add(
            "pregnancy: heat and deficit",
            f"long effort in heat and an energy deficit are not advised in pregnancy; {_ASK}",
            # acog.org, news release of March 2020 on it: heat and weight loss to be avoided
            "ACOG Committee Opinion 804 (2020), as its news release sums it up",
        )
    if person.life_stage == "lactation":
        add(
            "breast-feeding",
            "milk takes about 0.7 L of water and 500 kcal a day; both are in the needs here. "
            "Iodine, choline and vitamin C needs are the highest of any life stage",
            "FAO/WHO/UNU 2004; IOM 2005",
            "note",
        )
    if "kidney" in person.conditions:
        add(
            "kidney disease: potassium and magnesium",
            "the potassium and magnesium targets here do not hold: impaired kidneys may not clear "
            "them. No potassium-based salt substitute, no magnesium supplement, no electrolyte "
            f"mix and no high-protein diet without advice; {_ASK}",
            "NASEM 2019 (potassium AI excludes impaired excretion); IOM 1997",
            "danger",
        )
    if "heart" in person.conditions:
        add(
            "heart disease",
            "fluid and sodium may be limited by treatment, and diuretics, ACE inhibitors and "
            "digoxin change what potassium and magnesium do; the drinking and salt figures here "
            f"may be wrong for you; {_ASK}",
            "NASEM 2019; MSD Manual Professional",
            "danger",
        )
    if "blood pressure" in person.conditions:
        add(
            "high blood pressure: sodium",
            "the salt added here for sweat is for hot active days alone; on rest days stay near "
            "the reference. Diuretics and ACE inhibitors change salt and potassium needs; "
            f"{_ASK}",
            "NASEM 2019 (sodium, 2300 mg chronic disease risk reduction intake)",
        )
    if "diabetes" in person.conditions:
        add(
            "diabetes",
            "hours of walking lower blood glucose, and an energy deficit with insulin or "
            "sulfonylureas can cause a hypo: carry fast sugar, plan doses before the trip; "
            f"dried fruit and powders are concentrated sugar; {_ASK}",
            "American Diabetes Association, Standards of Care",
        )
    if "liver" in person.conditions:
        add(
            "liver disease",
            "no retinol, niacin or iron supplements without advice, no liver powder; protein and "
            f"sodium may be limited by treatment; {_ASK}",
            "IOM 2001; IOM 1998",
            "danger",
        )
    if "iron overload" in person.conditions:
        add(
            "iron overload",
            "no iron or high-dose vitamin C supplements (vitamin C raises iron uptake), no liver "
            "or blood products, no raw shellfish",
            # doi 10.1016/j.jhep.2022.03.033, of which only the abstract was read
            "IOM 2000; IOM 2001; EASL guideline on haemochromatosis 2022",
            "danger",
        )
    if person.smoker:
        add(
            "smoking",
            "vitamin C need is 35 mg/day higher; beta-carotene supplements are advised against",
            "IOM 2000",
            "note",
        )
    return tuple(found)
