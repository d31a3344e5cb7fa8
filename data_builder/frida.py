"""Chromium and molybdenum of some foods from DTU's Frida, for a table to lay under the default one.

Its licence was not read at the publisher, so nothing of it ships: who has the file builds the
table. Foods were matched by hand to SR28's (``frida_pairs.csv``) of the same species, part and
state, and stand under SR28's ids; amounts go by dry matter. A 0 may be a trace or below a limit:
left out.
"""

from __future__ import annotations

import hashlib
import math
from pathlib import Path

import numpy as np

from nutricheck.errors import SourceError
from nutricheck.facts.constants import value
from nutricheck.foods import open_table
from nutricheck.foods.store import BORROWED, Basis, ComponentRow, FoodRow, TableSource

from .components import known_components
from .dataset import Amounts, Dataset
from .estimates_fit import cofid_pairs, is_alike
from .sources import sources
from .trace_elements import check_sha256, read_foreign

__all__ = ["read_frida"]

_NUMBERS = {"CR": "310", "MO": "316"}
_SPREADS = {"CR": "borrowed_chromium_spread", "MO": "borrowed_molybdenum_spread"}


def read_frida(path: Path) -> Dataset:
    """Frida's chromium and molybdenum for foods of SR28.

    Raises
    ------
    SourceError
        If the file is not the one that the foods were matched for.
    """
    entry = sources()["frida-2019"]
    check_sha256(path, entry["csv_sha256"])
    frida, pairs = read_foreign(path), cofid_pairs("frida_pairs")
    table = open_table()
    ids = sorted(pairs)
    ours = table.composition(ids, ["WATER", "PROCNT", "FAT"])
    foods: list[FoodRow] = []
    rows: list[tuple[int, int, float, Basis]] = []
    for food_id in ids:
        record, other = table.food(food_id), frida[pairs[food_id]]
        alike = {str(tag): float(amount) for tag, amount in ours.loc[food_id].items()}
        if not is_alike(alike, other):
            raise SourceError(f"frida_pairs.csv: {record} and {other.name} are not alike")
        ratio = (100 - alike["WATER"]) / other.dry_g
        origin = f"{other.name} ({other.food_id}) of Frida, version 4, 2019"
        for place, (tag, spread) in enumerate(_SPREADS.items()):
            if amount := other.amounts.get(tag, 0.0):
                basis = Basis(
                    flag=BORROWED, log_sd=round(math.log(value(spread)), 3), origin=origin
                )
                rows.append((len(foods), place, float(f"{amount * ratio:.3g}"), basis))
        foods.append(FoodRow(food_id, record.description, record.group_code))
    bases = list(dict.fromkeys(basis for *_, basis in rows))
    place_of = {basis: place for place, basis in enumerate(bases)}
    food, component, amounts, basis_of_row = zip(*rows, strict=True)
    components = [known_components()[number] for number in _NUMBERS.values()]
    return Dataset(
        source=TableSource(
            title=entry["title"],
            release="2019, chromium and molybdenum",
            licence=entry["licence"],
            url=entry["page"],
            sha256=hashlib.sha256(path.read_bytes()).hexdigest(),
            built_from=path.name,
        ),
        groups={},
        components=[ComponentRow(r["tag"], r["number"], r["name"], r["unit"]) for r in components],
        foods=foods,
        amounts=Amounts(
            np.array(food, dtype=np.int32),
            np.array(component, dtype=np.int32),
            np.array(amounts),
            None,
            np.array([place_of[basis] for basis in basis_of_row]),
        ),
        measures=[],
        bases=bases,
        inputs={path.name: entry["csv_sha256"]},
    )
