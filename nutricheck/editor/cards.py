"""What is shown while something is typed: a batch's card, two routes side by side, foods found."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from nutricheck.editor.view import path_text, state_words, water_words
from nutricheck.errors import Location, NutricheckError
from nutricheck.facts.components import BY_TAG
from nutricheck.memory import frozen
from nutricheck.plan.changes import at
from nutricheck.plan.models import THE_TRIP, Batch
from nutricheck.report.answer_words import chance_words
from nutricheck.report.words import amount, percent

if TYPE_CHECKING:
    from nutricheck.batches.routes import Comparison
    from nutricheck.drying import DriedBatch
    from nutricheck.editor.session import Session

__all__ = ["batch_card", "found_foods", "not_eaten", "not_packed", "raw_or_cooked"]

_MOST_FOUND = 8
_LEAST_LETTERS = 2
_COMPARED = ("VITC", "MG", "K", "FOLDFE", "THIA", "VITA_RAE")


# ---------------------------------------------------------------- a batch


def batch_card(session: Session, is_open: Location) -> dict[str, Any] | None:
    """The card of the batch that is open; None where it is not whole enough."""
    if len(is_open) != 2 or is_open[0] != "batch":
        return None
    batch = _dried(session, int(is_open[1]))
    if batch is None:
        return None
    kept = [
        {"name": BY_TAG[str(tag)].name, "text": str(text)}
        for tag, text in zip(batch.flags["component"], batch.flags["text"], strict=True)
    ]
    return {
        "fresh": _mass(batch.fresh_mass_g),
        "dried": _mass(batch.dried_mass_g),
        "yield": percent(batch.yield_frac),
        "water": percent(batch.water_frac),
        "source": batch.moisture_source,
        "back": amount(batch.rehydration_water_g_per_100g, 0),
        "route": batch.route,
        "costs": kept[:4],
        "more_costs": kept[4:],
        "cautions": [
            {"level": caution.level, "topic": caution.topic, "text": caution.text}
            for caution in batch.cautions
        ],
        "questions": list(batch.questions),
        "number": is_open[1],
    }


def _mass(grams: float) -> str:
    return f"{amount(grams / 1000, 2)} kg" if grams >= 1000 else f"{amount(grams, 0)} g"


def _batch_model(session: Session, number: int) -> Batch | None:
    """The batch as it is typed; None where it is not whole."""
    from pydantic import ValidationError

    from nutricheck.plan.counts import counts_as_masses

    entry = at(session.data, ("batch", number))
    if not isinstance(entry, Mapping):
        return None
    weighed, _ = counts_as_masses({"batch": [entry]}, session.table)
    try:
        return Batch.model_validate({"name": "batch", **weighed["batch"][0]})
    except ValidationError:
        return None


def _dried(session: Session, number: int) -> DriedBatch | None:
    from nutricheck.drying import dry_batch

    batch_model = _batch_model(session, number)
    if batch_model is None:
        return None
    result = session.result
    if result is not None:
        named = next((one for one in result.plan.batch if one.name == batch_model.name), None)
        if named is not None and frozen(named) == frozen(batch_model):
            return result.batches.get(batch_model.name.casefold())
    try:
        return session.memory.value(
            ("card", frozen(batch_model), session.draws),
            lambda: dry_batch(batch_model, session.table, draws=session.draws, seed=session.seed),
        )
    except NutricheckError:
        return None


# ---------------------------------------------------------------- raw, or cooked first


def raw_or_cooked(session: Session, number: int) -> dict[str, Any]:
    """Both usual ways of drying the batch's food, with what each keeps and a press to take it."""
    from nutricheck.batches.routes import compare_routes, parse_route, usual_routes

    food_text = at(session.data, ("batch", number, "ingredients", 0, "food"))
    if not isinstance(food_text, str):
        return {"problem": "First say which food it is.", "routes": []}
    try:
        food = session.table.resolve(food_text)
        routes = usual_routes(food)
        found: Comparison = session.memory.value(
            ("compare", food.id, session.draws),
            lambda: compare_routes(food.id, routes, session.table, draws=session.draws),
        )
    except NutricheckError as error:
        return {"problem": str(error), "routes": []}
    shares = found.table.set_index(["component", "route"])
    names = list(found.batches)
    rows = []
    for tag in _COMPARED:
        kept = [float(shares.at[(tag, name), "kept_likely"]) for name in names]
        ranges = [
            [float(shares.at[(tag, name), end]) for end in ("kept_low", "kept_high")]
            for name in names
        ]
        if any(math.isnan(one) for one in kept):
            continue
        rows.append(
            {
                "name": BY_TAG[tag].name,
                "kept": [
                    f"{percent(one)} ({percent(low)} to {percent(high)})"
                    for one, (low, high) in zip(kept, ranges, strict=True)
                ],
                "chance": _chance(found, tag),
            }
        )
    route_cards = []
    for words, name in zip(routes, names, strict=True):
        parsed = parse_route(words)
        changes = [
            [["batch", number, "preparation"], parsed["preparation"]],
            [["batch", number, "drying", "steps"], None],
        ]
        steps = _steps(parsed)
        if len(steps) == 1:
            changes += [
                [
                    ["batch", number, "drying", "temperature"],
                    steps[0]["temperature"].replace("deg", "°"),
                ],
                [["batch", number, "drying", "time"], steps[0]["time"]],
            ]
        batch = found.batches[name]
        route_cards.append(
            {
                "name": name,
                "changes": json.dumps(changes, ensure_ascii=False),
                "cautions": [
                    caution.topic for caution in batch.cautions if caution.level != "note"
                ],
            }
        )
    return {"problem": "", "food": food.description, "routes": route_cards, "rows": rows}


def _steps(parsed: Mapping[str, object]) -> list[dict[str, str]]:
    drying = parsed.get("drying")
    return list(drying.get("steps", [])) if isinstance(drying, Mapping) else []


def _chance(found: Comparison, tag: str) -> str:
    """How sure it is that the first keeps more."""
    from nutricheck.adequacy.chance import tenths

    rows = found.differences[found.differences["component"] == tag]
    if rows.empty:
        return "much the same"
    share = float(rows["chance"].iloc[0])
    if share >= 0.5:
        return f"the first keeps more: {chance_words(tenths(share))}"
    return f"the second keeps more: {chance_words(tenths(1 - share))}"


# ---------------------------------------------------------------- foods


def found_foods(session: Session, text: str) -> dict[str, Any]:
    """Foods that fit the words, the plain one first, and whether anything is close."""
    if len(text.strip()) < _LEAST_LETTERS:
        return {"foods": [], "is_close": True, "text": text}
    matches = session.table.matches(text, _MOST_FOUND)
    foods = session.table.foods(list(matches))
    return {
        "text": text,
        "is_close": any(fit != "another food" for fit in matches.values()),
        "foods": [
            {
                "id": food.id,
                "value": _value(session, food.id, food.description),
                "description": food.description,
                "state": state_words(food.description),
                "water": water_words(food.water_g),
                "fit": matches[food.id],
            }
            for food in foods
        ],
    }


def _value(session: Session, food_id: str, description: str) -> str:
    """What a plan says for the food: its description where that names it alone."""
    return description if session.table.resolve(description).id == food_id else food_id


# ---------------------------------------------------------------- what is not packed or eaten yet


def not_packed(session: Session) -> list[dict[str, Any]]:
    """Batches, labels and mixes that are in no bag nor mix, with a press that packs them."""
    data = session.data
    used = {
        str(part.get("item", "")).casefold()
        for section, inner in (("packed", ""), ("mix", "parts"))
        for entry in data.get(section) or ()
        if isinstance(entry, Mapping)
        for part in (entry.get(inner, []) if inner else [entry])
        if isinstance(part, Mapping)
    }
    place = len(data.get("packed") or ())
    offers = []
    for section in ("batch", "label", "mix"):
        for number, entry in enumerate(data.get(section) or ()):
            name = entry.get("name") if isinstance(entry, Mapping) else None
            if not isinstance(name, str) or name.casefold() in used:
                continue
            packed: dict[str, str] = {"item": name}
            words = name
            dried = _dried(session, number) if section == "batch" else None
            if dried is not None:
                packed["mass"] = _mass(dried.dried_mass_g)
                words = f"all of it, {packed['mass']}"
            offers.append(
                {
                    "name": name,
                    "words": words,
                    "changes": json.dumps([[["packed", place], packed]], ensure_ascii=False),
                    "open": f"packed.{place}",
                }
            )
    return offers


def not_eaten(session: Session) -> list[dict[str, Any]]:
    """What is packed and has no portion, with a press that spreads it over the trip."""
    data = session.data
    eaten = {
        str(entry.get("item", "")).casefold()
        for entry in data.get("portions") or ()
        if isinstance(entry, Mapping)
    }
    place = len(data.get("portions") or ())
    offers: dict[str, dict[str, Any]] = {}
    for entry in data.get("packed") or ():
        name = entry.get("item") if isinstance(entry, Mapping) else None
        if not isinstance(name, str) or name.casefold() in eaten or name in offers:
            continue
        spread = [[["portions", place], {"item": name, "over": THE_TRIP}]]
        offers[name] = {
            "name": name,
            "over": THE_TRIP,
            "changes": json.dumps(spread, ensure_ascii=False),
            "path": path_text(("portions", place)),
        }
    return list(offers.values())
