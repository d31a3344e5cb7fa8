"""Plans made up by hypothesis: every section and field, with odd but allowed text."""

from __future__ import annotations

from typing import Annotated, Any, get_args

from hypothesis import strategies as st
from pydantic import ValidationError

from nutricheck.facts import components
from nutricheck.plan import models
from nutricheck.plan.conditions import Condition
from nutricheck.units import WRITTEN_UNITS, convert, number_text

#: Names that a spreadsheet would take for something else.
ODD_NAMES = (
    "=1+1",
    "+cmd|' /C calc'!A0",
    "-2 oats",
    "@SUM(A1)",
    "#REF!",
    "TRUE",
    "1e5",
    "007",
    "3-4",
    "2026-07-01",
    "12:30",
    "5 %",
    "'quoted",
    '"quoted"',
    "_x0041_",
    "_x005F_x0041_",
    "a;b,c\\d",
    "<b>&amp;",
    "note to self",
    "unit",
    "entry",
    "Ünïcödé 豆 🫘",
    "tab\N{NO-BREAK SPACE}less",
    "]]>",
    "{ x = 1 }",
    "# remark",
)
_CHARACTERS = st.characters(
    blacklist_categories=("Cs", "Cc"), blacklist_characters="\ufffe\uffff\x7f"
)


def names(longest: int = 40) -> st.SearchStrategy[str]:
    """One line of text with something in it."""
    words = st.text(_CHARACTERS, min_size=1, max_size=longest).map(str.strip)
    return st.one_of(words.filter(bool), st.sampled_from(ODD_NAMES))


def quantity(kind: Any) -> st.SearchStrategy[str]:
    """Text with a unit, inside the range of an annotated float of the models."""
    span = next(m for m in get_args(kind)[1:] if isinstance(m, models.Quantity))

    @st.composite
    def written(draw: st.DrawFn) -> str:
        unit = draw(st.sampled_from(WRITTEN_UNITS[span.unit]))
        one, zero = convert(1, unit, span.unit), convert(0, unit, span.unit)
        low, high = (
            (limit - zero) / (one - zero)
            for limit in (span.low + 1e-9 * span.high, span.high * (1 - 1e-9))
        )
        number = draw(
            st.floats(low, high, allow_subnormal=False).map(lambda x: float(f"{x:.6g}"))
            | st.floats(low, high, allow_subnormal=False)
        )
        number = min(max(number, low), high)
        text = number_text(number)
        if draw(st.booleans()) and "e" not in text and len(text.partition(".")[2]) != 3:
            text = text.replace(".", ",")
        return f"{text}{draw(st.sampled_from((' ', '', '  ')))}{unit}"

    return written()


def section(**fields: tuple[bool, st.SearchStrategy[Any]]) -> st.SearchStrategy[dict[str, Any]]:
    """A table of the text form; ``fields`` are (is needed, values)."""
    return st.fixed_dictionaries(
        {key: values for key, (needed, values) in fields.items() if needed},
        optional={key: values for key, (needed, values) in fields.items() if not needed},
    )


def choice(model: Any, field: str) -> st.SearchStrategy[Any]:
    kind = model.model_fields[field].annotation
    literals = [arg for part in (kind, *get_args(kind)) for arg in get_args(part)]
    return st.sampled_from([arg for arg in literals or get_args(kind) if isinstance(arg, str)])


PREPARATION = st.one_of(
    st.fixed_dictionaries(
        {"kind": st.just("blanched"), "method": st.sampled_from(("water", "steam"))}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("cooked"), "method": st.sampled_from(("boiled", "fried", "microwaved"))},
        optional={
            "liquid": st.sampled_from(("kept", "drained")),
            "salt": quantity(models.MassG),
            "sulphited": st.booleans(),
        },
    ),
    st.fixed_dictionaries({}, optional={"sugars_used": quantity(models.Percent)}),
)
# Colder heated dryers are refused.
WARM_C = Annotated[float, models.Quantity("degC", 20, 100, "57 °C")]
DRYING = st.one_of(
    section(
        method=(False, choice(models.Drying, "method")),
        temperature=(False, quantity(WARM_C)),
        time=(False, quantity(models.Hours)),
    ),
    section(
        steps=(
            True,
            st.lists(
                section(
                    temperature=(True, quantity(WARM_C)),
                    time=(True, quantity(models.Hours)),
                ),
                min_size=1,
                max_size=3,
            ),
        ),
    ),
)
TAGS = st.sampled_from([*components.BY_TAG, *components.LABEL_ONLY])
AMOUNTS = st.one_of(
    quantity(models.MassG),
    st.sampled_from(("50 %DV", "50%DV", "1000 IU", "<5 mg", "7.0 g", "2,50 mg", "30 kcal")),
)


EATEN = st.sampled_from(get_args(models.Eaten))


@st.composite
def labels(draw: st.DrawFn, name: str) -> dict[str, Any]:
    tags = draw(st.lists(TAGS, min_size=1, max_size=4, unique=True))
    some = st.lists(st.sampled_from(tags), unique=True)
    entry: dict[str, Any] = {
        "name": name,
        "serving": draw(quantity(models.SmallMassG)),
        "scheme": draw(choice(models.Label, "scheme")),
        "amounts": {tag: draw(AMOUNTS) for tag in tags},
    }
    for key, values in (
        ("compounds", names()),
        ("states", st.sampled_from(("element", "compound", "unclear"))),
        ("forms", names()),
    ):
        if given := draw(some):
            entry[key] = {tag: draw(values) for tag in given}
    if given := draw(some):
        entry["fortified"] = given
    return entry | draw(
        section(
            kind=(False, choice(models.Label, "kind")),
            moisture=(False, quantity(models.Percent)),
            eaten=(False, EATEN),
        )
    )


@st.composite
def batches(draw: st.DrawFn, name: str) -> dict[str, Any]:
    ingredients = st.lists(
        section(
            food=(True, names()),
            mass=(True, quantity(models.MassG)),
            retention_code=(False, st.from_regex(r"[0-9]{4}", fullmatch=True)),
            bought=(False, st.sampled_from(get_args(models.Bought))),
        ),
        min_size=1,
        max_size=3,
    )
    end = draw(
        st.sampled_from(
            ({}, {"dried_mass": quantity(models.MassG)}, {"moisture": quantity(models.Moisture)})
        )
    )
    optional = section(
        preparation=(False, PREPARATION),
        drying=(False, DRYING),
        ground=(False, st.booleans()),
        eaten=(False, EATEN),
        storage=(
            False,
            section(
                time=(True, quantity(models.Months)),
                temperature=(False, quantity(models.TemperatureC)),
                dark=(False, st.booleans()),
                oxygen_absorber=(False, st.booleans()),
            ),
        ),
    )
    return {
        "name": name,
        "ingredients": draw(ingredients),
        **{key: draw(value) for key, value in end.items()},
        **draw(optional),
    }


DAY = {
    "moving": quantity(models.DayHours),
    "pace": quantity(models.PaceMs),
    "pack": quantity(models.PackKg),
    "climb": quantity(models.Metres),
    "descent": quantity(models.Metres),
    "surface": choice(models.DayType, "surface"),
    "air_temperature": quantity(models.AirTemperatureC),
    "humidity": quantity(models.Percent),
    "sweat_rate": quantity(models.SweatLh),
    "sweat_time": quantity(models.DayHours),
    "drink": quantity(models.Litres),
    "energy": quantity(models.EnergyKcal),
    "sweat_test": st.fixed_dictionaries(
        {
            "mass_before": quantity(models.BodyMassKg),
            "mass_after": quantity(models.BodyMassKg),
            "drunk": quantity(models.Litres),
            "hours": quantity(models.TestHours),
        },
        optional={"urine": quantity(models.Litres)},
    ),
}
FIGURES = (
    {"component": "NA", "aim": "1800 mg", "limit": "2,3 g"},
    {"component": "fluid", "limit": "1.5 L"},
    {"component": "K", "aim": "60 mmol"},
)
NOTES = st.text(
    st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters="\ufffe\uffff")
    | st.sampled_from("\n\t"),
    max_size=200,
)


def _walkable(day: dict[str, Any]) -> dict[str, Any]:
    """The day, without climbs for which its way is too short, and hours of sweat without a rate."""
    try:
        models.DayType.model_validate(day)
    except ValidationError:
        unfit = {"climb", "descent", "sweat_time"}
        return {key: value for key, value in day.items() if key not in unfit}
    return day


def _in_two_parts(days: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """An order: the first day of each kind, then, kinds reversed, the others."""
    first = [{"day": day["name"], "count": 1, "count_shortest": 1} for day in days]
    rest = [
        {
            "day": day["name"],
            "count": day["count"] - 1,
            "count_shortest": day.get("count_shortest", day["count"]) - 1,
        }
        for day in reversed(days)
    ]
    return [*first, *rest]


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    """A plan's data, shaped like the text form, without faults."""
    everything = draw(
        st.lists(names(), min_size=5, max_size=14, unique_by=lambda name: name.casefold())
    )
    cuts = sorted(draw(st.lists(st.integers(1, len(everything) - 1), min_size=3, max_size=3)))
    day_names, batch_names, label_names, mix_names = (
        everything[start:end]
        for start, end in zip([0, *cuts], [*cuts, len(everything)], strict=True)
    )
    days = [
        _walkable(
            {
                "name": name,
                "count": draw(st.integers(1, 40)),
                **draw(st.fixed_dictionaries({}, optional=DAY)),
            }
        )
        for name in day_names
    ]
    days[0]["count_shortest"] = draw(st.integers(1, days[0]["count"]))
    item_names = [*batch_names, *label_names]
    mixes = []
    for name in mix_names:
        source = (
            st.fixed_dictionaries({"item": st.sampled_from(item_names)})
            if item_names
            else st.fixed_dictionaries({"food": names()})
        )
        part = st.tuples(source, quantity(models.MassG)).map(lambda two: {**two[0], "mass": two[1]})
        mixes.append({"name": name, "parts": draw(st.lists(part, min_size=1, max_size=3))})
        item_names.append(name)
    packed = [
        {
            "item": name,
            "mass": draw(quantity(models.MassG)),
            "piece": "1.5 g",
            "tsp": draw(quantity(models.SmallMassG)),
            **draw(
                section(
                    container=(False, names()),
                    container_mass=(False, quantity(models.MassG)),
                    eaten=(False, EATEN),
                )
            ),
        }
        for name in item_names
    ] or [{"item": "oats", "food": draw(names()), "mass": "1 kg", "piece": "1.5 g"}]
    amounts = st.one_of(
        quantity(models.MassG),
        st.sampled_from(("2 tsp", "1,5 tbsp", "3 pieces", "3pcs", "0.50 g", "1e2 g")),
    )
    portions = draw(
        st.lists(
            st.tuples(
                st.sampled_from([entry["item"] for entry in packed]),
                st.one_of(
                    amounts.map(lambda text: {"amount": text}),
                    quantity(models.DaysOfPortion).map(lambda text: {"over": text}),
                ),
                st.lists(st.sampled_from(day_names), unique=True),
                section(soak=(False, quantity(models.Hours))),
            ).map(lambda x: {"item": x[0], **x[1], **({"days": x[2]} if x[2] else {}), **x[3]}),
            min_size=1,
            max_size=5,
        )
    )
    plan: dict[str, Any] = {
        "trip": draw(
            section(
                title=(False, names()),
                reference=(False, choice(models.Trip, "reference")),
                cooking=(False, st.sampled_from(get_args(models.Cooking))),
                notes=(False, NOTES),
            )
        ),
        "person": draw(
            section(
                sex=(True, st.just("female")),
                age=(True, st.integers(9, 110)),
                mass=(True, quantity(models.BodyMassKg)),
                height=(True, quantity(models.HeightCm)),
                life_stage=(False, choice(models.Person, "life_stage")),
                smoker=(False, st.booleans()),
                acclimatised=(False, st.booleans()),
                eats=(False, st.sampled_from(["everything", "vegetarian", "vegan"])),
                does_not_eat=(False, st.lists(names(), max_size=3)),
                postmenopausal=(False, st.booleans()),
                conditions=(
                    False,
                    st.lists(st.sampled_from(get_args(Condition))),
                ),
                sweat_sodium=(
                    False,
                    section(
                        concentration=(True, quantity(models.SweatMmolL)),
                        site=(True, choice(models.SweatSodium, "site")),
                        heat_day=(False, st.integers(1, 100)),
                    ),
                ),
            )
        ),
        "days": days,
        "order": draw(st.sampled_from(([], _in_two_parts(days)))),
        "batch": [draw(batches(name)) for name in batch_names],
        "label": [draw(labels(name)) for name in label_names],
        "mix": mixes,
        "packed": packed,
        "portions": portions,
        "additions": draw(
            section(
                at_home=(False, st.lists(names(), max_size=4)),
                leave_out=(False, st.lists(names(), max_size=3)),
                most_new_items=(False, st.integers(0, 50)),
                daily_ceiling=(False, quantity(models.MassG)),
                drying=(False, DRYING),
                preparation=(False, PREPARATION),
            )
        ),
    }
    figures = draw(st.lists(st.sampled_from(FIGURES), unique_by=lambda f: f["component"]))
    plan["clinic"] = [
        {
            **figure,
            "set_by": draw(names()),
            "set_on": draw(st.sampled_from(("12 May 2026", "2026-05-12", "spring"))),
        }
        for figure in figures
    ]
    return {key: value for key, value in plan.items() if value}
