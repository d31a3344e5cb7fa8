"""Sheet of composition per 100 g: every batch, label, food and mix in a column of its own.

Below the components stand the shares of each mix and the grams a day of each leaf, mixes taken
apart, so that a day's intake is one sum of products: grams × composition.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from nutricheck.drying.contents import contents_of
from nutricheck.facts import evidence
from nutricheck.facts.components import BY_TAG
from nutricheck.intake.leaves import Leaf, Leaves
from nutricheck.intake.menu import TAGS, Intake, niacin_equivalents
from nutricheck.report.workbook.batches import Batches
from nutricheck.report.workbook.cells import Formula, Sheet, amount_format, area, letter, number
from nutricheck.report.workbook.days import Days
from nutricheck.report.workbook.portions import Mixes, Portions
from nutricheck.rules.expression import formula, numbers
from nutricheck.rules.formulas import EPA_AND_DHA, KNOWN_SUM, NIACIN_EQUIVALENTS

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["Composition", "composition_sheet", "leaf_of", "leaves_of"]

Array = npt.NDArray[np.float64]

_HEAD, _FIRST = 4, 6
_LEAVES = 3  # column of the first leaf
#: Name of the cell with the length of the trip over that of the plan.
PACK_SHARE = "pack_days_share"
_AT = {tag: place for place, tag in enumerate(TAGS)}
_STORED, _CARRIED = "left by storage", "left by the planned days in the pack, on the mean day"
_AS_ANOTHER = "as of its form that has trials"
_KINDS = {
    "batch": "dried batch",
    "label": "by its label",
    "food": "food",
    "mix": "mix",
    "ferment": "made on the way",
}


def leaves_of(result: Result) -> Leaves:
    """What the packed items are made of, as the check took it."""
    return Leaves(result.plan, result.table, result.pack)


def leaf_of(leaves: Leaves, item: str) -> Leaf:
    """The leaf or the mix that a packed item is."""
    packed = next(entry for entry in leaves.plan.packed if entry.item.casefold() == item)
    return leaves.of_packed(packed)


def _all_leaves(result: Result, leaves: Leaves) -> list[Leaf]:
    """Batches, labels, then foods as anything is made of them."""
    used = [leaves.of_packed(packed) for packed in result.plan.packed]
    used += [leaves.of_part(mix, part) for mix in result.plan.mix for part in mix.parts]
    found = [Leaf("batch", key) for key in result.batches]
    found += [leaf for leaf in used if leaf.kind == "batch"]
    found += [Leaf("label", key) for key in result.labels]
    found += [leaf for leaf in used if leaf.kind == "label"]
    found += [leaf for leaf in used if leaf.kind in ("food", "ferment")]
    return list(dict.fromkeys(found))


def _shown_tags(result: Result, likely: Array) -> list[str]:
    """Components that something has a value of, or that have a reference or upper level."""
    known = {TAGS[place] for place in np.flatnonzero(~np.isnan(likely).all(axis=0))}
    known |= set(result.targets["component"])
    return [tag for tag in TAGS if tag in known]


@dataclass(frozen=True)
class Composition:
    """The sheet, with what intake and supply are made of.

    ``leaves`` are those that are not mixes, in their columns' order; ``grams`` their grams a
    day (days × leaves) of what can be eaten, ``packed_grams`` those of all portions, and ``likely``
    their composition (leaves × TAGS), ``as_made`` that before what storage and the pack take, of
    which the share ``kept`` is left, and on the first day in the pack ``kept_before``.
    ``packed_rows`` are ``gram_rows`` where all can be eaten; ``label_rows`` those of the labels'
    own amounts, ``left_rows`` those of the shares kept, before and in the pack, by tag.
    """

    sheet: Sheet
    tags: list[str]
    columns: dict[Leaf, int]
    leaves: list[Leaf]
    likely: Array
    as_made: Array
    kept: Array
    kept_before: Array
    grams: Array
    packed_grams: Array
    shares: dict[str, Array]
    rows: dict[str, int]
    gram_rows: list[int]
    packed_rows: list[int]
    soak_row: int
    pack_row: int
    total_column: int
    partly: list[Leaf]
    partly_first: int
    left_rows: dict[tuple[str, str], int]
    label_rows: dict[str, int] = field(default_factory=dict)

    @property
    def labels_first(self) -> int:
        """Row of the first of the labels' own amounts."""
        return self.pack_row + 3 + len(self.left_rows)

    def at(self, key: Leaf, tag: str) -> str:
        """Address of a leaf's content; also of tags without a row, as an empty text."""
        return self.sheet.at(self.rows[tag], self.columns[key]) if tag in self.rows else '""'

    def grams_at(self, row: int, key: Leaf) -> str:
        """Address of a leaf's grams in a row of a day."""
        return self.sheet.at(row, self.columns[key])

    def leaf_area(self, row: int) -> str:
        """Address of a row over all leaves."""
        return self.sheet.area(row, _LEAVES, row, _LEAVES + len(self.leaves) - 1)

    def partly_area(self, row: int) -> str:
        """Address of a row over what is not known in partly known batches."""
        last = self.partly_first + len(self.partly) - 1
        return self.sheet.area(row, self.partly_first, row, last)

    def total_at(self, day: int) -> str:
        """Address of a day's food mass."""
        return self.sheet.at(self.gram_rows[day], self.total_column)

    def content(self, key: Leaf) -> Array:
        """Likely composition of a leaf, mixes included, in the order of TAGS."""
        if key[0] != "mix":
            return np.asarray(self.likely[self.columns[key] - _LEAVES])
        return _sum_of_known(self.likely, self.shares[key[1]])


def composition_sheet(
    result: Result,
    days: Days,
    batches: Batches,
    mixes: Mixes,
    portions: Portions,
) -> Composition:
    """Composition per 100 g of everything, and how much of it a day holds."""
    made_of = leaves_of(result)
    leaves = _all_leaves(result, made_of)
    as_made = _leaf_values(result, leaves)
    kept = _kept(made_of, leaves, as_made)
    at_start = Leaves(result.plan, result.table, replace(result.pack, days=0.0))
    kept_before = _kept(at_start, leaves, as_made)
    likely = as_made * kept
    shares = _flat_shares(mixes, leaves)
    item_leaves = {item: leaf_of(made_of, item) for item in result.items}
    keys = [*leaves, *(Leaf("mix", name) for name in mixes.parts)]
    tags = _shown_tags(result, likely)
    partly = [
        key
        for key in leaves
        if key.kind == "ferment" or any((key[1], tag) in batches.known for tag in TAGS)
    ]
    partly_first = _LEAVES + len(keys)
    shares_first = _FIRST + len(tags) + 2
    grams_first = shares_first + len(mixes.parts)
    gram_rows = list(range(grams_first, grams_first + len(days.names)))
    packed_rows = gram_rows
    if result.portioned is not result.intake:
        packed_rows = [row + len(days.names) for row in gram_rows]
    lost = [
        (tag, by)
        for tag in tags
        for by, shares in ((_STORED, kept_before), (_CARRIED, kept / kept_before))
        if (shares[:, _AT[tag]] < 1).any()
    ]
    composition = Composition(
        sheet=Sheet("Per 100 g", heading_row=_HEAD, frozen_columns=2, is_ruled=True),
        tags=tags,
        columns={key: place for place, key in enumerate(keys, start=_LEAVES)},
        leaves=leaves,
        likely=likely,
        as_made=as_made,
        kept=kept,
        kept_before=kept_before,
        grams=_leaf_grams(result.intake, leaves, shares, item_leaves),
        packed_grams=_leaf_grams(result.portioned, leaves, shares, item_leaves),
        shares=shares,
        rows={tag: row for row, tag in enumerate(tags, start=_FIRST)},
        gram_rows=gram_rows,
        packed_rows=packed_rows,
        soak_row=packed_rows[-1] + 1,
        pack_row=packed_rows[-1] + 2,
        total_column=partly_first + len(partly),
        partly=partly,
        partly_first=partly_first,
        left_rows={
            share_kept: row for row, share_kept in enumerate(lost, start=packed_rows[-1] + 4)
        },
    )
    share_rows = {name: row for row, name in enumerate(mixes.parts, start=shares_first)}
    _put_heads(composition, result)
    _put_leaves(composition, result, batches)
    _put_mixes(composition, mixes, share_rows)
    _put_partly(composition, batches, result)
    _put_below(composition, result, days, mixes, portions, item_leaves, share_rows, batches)
    _put_pack(composition, days)
    _put_left(composition)
    return composition


# ---------------------------------------------------------------- the values


def _kept(made_of: Leaves, leaves: Sequence[Leaf], as_made: Array) -> Array:
    """Share of each leaf's contents that storage and the pack leave (leaves × TAGS)."""
    kept = [
        made_of.kept(leaf, contents).likely for leaf, contents in zip(leaves, as_made, strict=True)
    ]
    return np.array(kept).reshape(-1, len(TAGS))


def _leaf_values(result: Result, leaves: Sequence[Leaf]) -> Array:
    """Likely composition of the leaves (leaves × TAGS) as made, sums among it."""
    tags = list(TAGS)
    found: dict[tuple[str, str], Array] = {}
    for key, batch in result.batches.items():
        found["batch", key] = batch.composition["likely"].reindex(tags).to_numpy(dtype=float)
    for key, label in result.labels.items():
        found["label", key] = label.composition["likely"].reindex(tags).to_numpy(dtype=float)
    for key in result.ferments:
        found["ferment", key] = result.items[key].per_100g["likely"].to_numpy(dtype=float)
    if foods := list(dict.fromkeys(leaf.key for leaf in leaves if leaf.kind == "food")):
        contents = contents_of(result.table.foods(foods), result.table)
        for food_id, row in zip(foods, contents.filled(result.unknown_scale), strict=True):
            found["food", food_id] = row
    values = np.array([found[leaf.kind, leaf.key] for leaf in leaves]).reshape(-1, len(tags))
    niacin, tryptophan, protein = (values[:, _AT[tag]] for tag in ("NIA", "TRP", "PROCNT"))
    equivalents = niacin_equivalents(niacin, tryptophan, protein)
    stated = values[:, _AT["NIAEQ"]]
    values[:, _AT["NIAEQ"]] = np.where(np.isnan(stated), equivalents, stated)
    both, stated = values[:, _AT["F20D5"]] + values[:, _AT["F22D6"]], values[:, _AT["EPA_DHA"]]
    values[:, _AT["EPA_DHA"]] = np.where(np.isnan(stated), 1000 * both, stated)
    return values


def _flat_shares(mixes: Mixes, leaves: Sequence[Leaf]) -> dict[str, Array]:
    """Share of each leaf in each mix, mixes in mixes taken apart."""
    place: dict[Leaf, int] = {key: at for at, key in enumerate(leaves)}
    done: dict[str, Array] = {}

    def flat(name: str) -> Array:
        if name not in done:
            leaf_shares = np.zeros(len(leaves))
            for key, _, share in mixes.parts[name]:
                if key[0] == "mix":
                    leaf_shares += share * flat(key[1])
                else:
                    leaf_shares[place[key]] += share
            done[name] = leaf_shares
        return done[name]

    return {name: flat(name) for name in mixes.parts}


def _leaf_grams(
    intake: Intake,
    leaves: Sequence[Leaf],
    shares: Mapping[str, Array],
    item_leaves: Mapping[str, Leaf],
) -> Array:
    """Grams of each leaf on each kind of day (days × leaves), mixes taken apart."""
    daily = intake.grams.to_numpy(dtype=float)
    grams = np.zeros((len(daily), len(leaves)))
    at: dict[Leaf, int] = {leaf: place for place, leaf in enumerate(leaves)}
    for place, key in enumerate(item_leaves.values()):
        if key[0] == "mix":
            grams += daily[:, [place]] * shares[key[1]]
        else:
            grams[:, at[key]] += daily[:, place]
    return grams


def _sum_of_known(likely: Array, weights: Array) -> Array:
    """Weighted sum of what is known, per component; NaN where nothing with a weight is."""
    return np.asarray(numbers(KNOWN_SUM, {"weights": weights, "values": likely}))


# ---------------------------------------------------------------- the cells


def _put_heads(composition: Composition, result: Result) -> None:
    sheet = composition.sheet
    names = {
        **{("batch", key): batch.name for key, batch in result.batches.items()},
        **{("label", key): label.name for key, label in result.labels.items()},
        **{("mix", mix.name.casefold()): mix.name for mix in result.plan.mix},
        **{("ferment", key): ferment.name for key, ferment in result.ferments.items()},
    }
    sheet.widths.update({1: 24, 2: 7})
    sheet.put_row(_HEAD, 1, ("Nutrient", "Unit"), "head")
    sheet.put_row(_HEAD + 1, 1, ("what it is", None), "faint")
    for key, column in composition.columns.items():
        name = names.get(key[:2]) or result.table.food(key[1]).description
        if key.owner:
            name = f"{name}, of {key.owner}"
        kind = _KINDS[key[0]] + (f" {key[1]}" if key[0] == "food" else "")
        sheet.put(_HEAD, column, name, "head")
        sheet.put(_HEAD + 1, column, kind, "faint")
        sheet.widths[column] = 13
        sheet.notes[_HEAD, column] = _source_words(key, result)
    for column, key in enumerate(composition.partly, start=composition.partly_first):
        sheet.put(_HEAD, column, f"Not known in {names[key[:2]]}", "head")
        sheet.put(_HEAD + 1, column, "share of its mass", "faint")
        sheet.widths[column] = 13
        sheet.notes[_HEAD, column] = (
            "Share of the fresh mass whose value is not known while the rest counts."
        )
    sheet.heights[_HEAD] = 62
    sheet.put_title(
        "Per 100 g",
        "Composition of 100 g as eaten on the mean day in the pack. An empty cell is not "
        "known: it is not zero, and the sheets count how much is not known. If you know a "
        "value, type it in. Below: what a day holds, mixes taken apart.",
        12,
    )


def _source_words(key: Leaf, result: Result) -> str:
    source = result.table.source
    pack = result.pack
    low, likely, high = pack.temperature_c
    after = (
        f" Times what {pack.days:.0f} days in the pack at {likely:.0f} °C ({low:.0f} to "
        f"{high:.0f}) leave on the mean day."
    )
    words = {
        "batch": "From the sheet Batch steps: food table, preparation, drying and storage.",
        "label": "From the label as stated in the plan, per 100 g.",
        "food": f"{source.title}, {source.release}: food {key[1]}.",
        "mix": "Mean of its parts by their shares (rows below); what no part knows stays empty.",
        "ferment": "Its parts (sheet Mixes) as fermenting on the way leaves them.",
    }[key[0]]
    return words if key[0] in ("mix", "ferment") else words + after


def _left_text(composition: Composition, place: int, tag: str) -> str:
    """The factor of what storage and the days in the pack leave; "" where all is left.

    The days err as an exponent: the mean of what is eaten evenly is near it.
    """
    if not composition.kept[place, _AT[tag]] < 1:
        return ""
    column = letter(_LEAVES + place)
    return "".join(
        f"*{column}{composition.left_rows[tag, by]}{power}"
        for by, power in ((_STORED, ""), (_CARRIED, f"^{PACK_SHARE}"))
        if (tag, by) in composition.left_rows
    )


def _put_left(composition: Composition) -> None:
    """What storage, and the planned days in the pack, leave of each leaf, with its source."""
    if not composition.left_rows:
        return
    sheet = composition.sheet
    title = "Left by storage and the days in the pack; the rules stand in drying/METHOD.md"
    sheet.put_section(min(composition.left_rows.values()) - 1, title, composition.total_column)
    sources = {row["component"]: row["source"] for row in evidence.rows("storage_rates")}
    for (tag, by), row in composition.left_rows.items():
        sheet.put_row(row, 1, (f"{BY_TAG[tag].name}: {by}", "-"), "text")
        kept, before = composition.kept[:, _AT[tag]], composition.kept_before[:, _AT[tag]]
        shares = before if by == _STORED else kept / before
        for place in np.flatnonzero(kept < 1):
            sheet.put(row, _LEAVES + int(place), float(shares[place]), "figure|0.000")
        sheet.put(row, composition.total_column, sources.get(tag, _AS_ANOTHER), "faint")


def _put_pack(composition: Composition, days: Days) -> None:
    """The length of the trip over that of the plan, by which the pack takes from vitamins."""
    text = f"SUM({days.counts_area('longest')})/{days.length('longest')}"
    composition.sheet.put_row(
        composition.pack_row, 1, ("days in the pack, of those planned ≈", "-"), "text"
    )
    composition.sheet.put(composition.pack_row, _LEAVES, Formula(text, 1.0), "calculated|0.00")
    composition.sheet.name_area(
        PACK_SHARE, (composition.pack_row, _LEAVES), (composition.pack_row, _LEAVES)
    )
    composition.sheet.notes[composition.pack_row, 1] = (
        "Fewer days in the pack keep more of the vitamins. The temperature stays that of the plan."
    )


def _put_leaves(composition: Composition, result: Result, batches: Batches) -> None:
    sheet = composition.sheet
    stated: dict[tuple[str, ...], set[str]] = {
        ("label", key): set(label.composition.index[label.composition["likely"].notna()])
        for key, label in result.labels.items()
    }
    for tag, row in composition.rows.items():
        component = BY_TAG[tag]
        shown = _shown(component.decimals)
        cells = sheet.cells.setdefault(row, {})
        cells[1], cells[2] = (component.name, "text"), (component.unit, "faint")
        for place, key in enumerate(composition.leaves):
            value, column = float(composition.likely[place, _AT[tag]]), _LEAVES + place
            left = _left_text(composition, place, tag)
            if tag == "NIAEQ" and "NIAEQ" not in stated.get(key[:2], ()):
                cells[column] = (
                    _niacin_equivalents(composition, column, value),
                    f"calculated|{shown}",
                )
            elif tag == "EPA_DHA" and "EPA_DHA" not in stated.get(key[:2], ()):
                cells[column] = (_long_chain(composition, column, value), f"calculated|{shown}")
            elif (key[1], tag) in batches.composition and key[0] == "batch":
                text = batches.composition[key[1], tag]
                if left:
                    text = f'IF({text}="","",{text}{left})'
                cells[column] = (Formula(text, value), f"calculated|{shown}")
            elif left and not math.isnan(value):
                amount = float(composition.as_made[place, _AT[tag]])
                text = f"{amount:.12g}"
                if key.kind == "label":
                    text = _put_label_amount(composition, column, tag, amount)
                cells[column] = (Formula(f"{text}{left}", value), f"calculated|{shown}")
            elif key.kind == "label":
                cells[column] = (number(value), f"input|{shown}")
            else:
                cells[column] = (number(value), f"figure|{shown}")


def _put_label_amount(composition: Composition, column: int, tag: str, amount: float) -> str:
    """A label's own amount, as an input below the table; its cell. The pack takes from it."""
    component = BY_TAG[tag]
    if not composition.label_rows:
        title = "By the label, before the days in the pack"
        composition.sheet.put_section(composition.labels_first - 1, title, 2)
    row = composition.label_rows.setdefault(
        tag, composition.labels_first + len(composition.label_rows)
    )
    composition.sheet.put_row(row, 1, (component.name, component.unit), "text")
    composition.sheet.put(row, column, amount, f"input|{_shown(component.decimals)}")
    return f"{letter(column)}{row}"


def _shown(decimals: int) -> str:
    """A decimal more than in a day's sum: what is small in 100 g adds up."""
    return amount_format(min(decimals + 1, 3))


def _niacin_equivalents(composition: Composition, column: int, value: float) -> Formula:
    """Niacin + tryptophan / 60, the tryptophan from protein where it is not known."""
    named = ("tryptophan_of_protein", "tryptophan_per_niacin")
    cells = {name: name for name in named} | {
        name: f"{letter(column)}{composition.rows[tag]}" if tag in composition.rows else '""'
        for name, tag in (("niacin", "NIA"), ("protein", "PROCNT"), ("tryptophan", "TRP"))
    }
    niacin, protein, tryptophan = (cells[name] for name in ("niacin", "protein", "tryptophan"))
    unknown = f'OR({niacin}="",AND({tryptophan}="",{protein}=""))'
    return Formula(f'IF({unknown},"",{formula(NIACIN_EQUIVALENTS, cells)})', value)


def _long_chain(composition: Composition, column: int, value: float) -> Formula:
    """EPA and DHA in g, together in mg."""
    epa, dha = (
        f"{letter(column)}{composition.rows[tag]}" if tag in composition.rows else '""'
        for tag in ("F20D5", "F22D6")
    )
    text = formula(EPA_AND_DHA, {"epa": epa, "dha": dha})
    return Formula(f'IF(OR({epa}="",{dha}=""),"",{text})', value)


def _put_mixes(composition: Composition, mixes: Mixes, share_rows: Mapping[str, int]) -> None:
    sheet, last = composition.sheet, _LEAVES + len(composition.leaves) - 1
    for name in mixes.parts:
        column = composition.columns[Leaf("mix", name)]
        shares = area(share_rows[name], _LEAVES, share_rows[name], last)
        content = composition.content(Leaf("mix", name))
        for tag, row in composition.rows.items():
            contents = f"${letter(_LEAVES)}{row}:${letter(last)}{row}"
            text = formula(KNOWN_SUM, {"weights": shares, "values": contents})
            shown = _shown(BY_TAG[tag].decimals)
            sheet.put(row, column, Formula(text, float(content[_AT[tag]])), f"calculated|{shown}")


def _put_partly(composition: Composition, batches: Batches, result: Result) -> None:
    """What is not known in batches of several ingredients while the others' values count."""
    for column, key in enumerate(composition.partly, start=composition.partly_first):
        content_column, place = letter(composition.columns[key]), composition.columns[key] - _LEAVES
        for tag, row in composition.rows.items():
            text, share = _known_share(batches, key[1], tag)
            if key.kind == "ferment":
                share = float(result.items[key.key].per_100g.at[tag, "accounted_share"])
                text = f"{share:.12g}"
            value = composition.likely[place, _AT[tag]]
            unknown = 0.0 if math.isnan(value) else 1 - share
            cell = Formula(f'IF({content_column}{row}="",0,1-{text})', unknown)
            composition.sheet.put(row, column, cell, "calculated|0.0 %")


def _known_share(batches: Batches, batch: str, tag: str) -> tuple[str, float]:
    """Known share of a batch's fresh mass, as formula and value."""
    if tag == "NIAEQ":
        niacin, protein = (
            batches.known.get((batch, part), ("1", 1.0)) for part in ("NIA", "PROCNT")
        )
        return f"MIN({niacin[0]},{protein[0]})", min(niacin[1], protein[1])
    if tag == "EPA_DHA":
        epa, dha = (batches.known.get((batch, part), ("1", 1.0)) for part in ("F20D5", "F22D6"))
        return f"MIN({epa[0]},{dha[0]})", min(epa[1], dha[1])
    return batches.known.get((batch, tag), ("1", 1.0))


def _put_below(
    composition: Composition,
    result: Result,
    days: Days,
    mixes: Mixes,
    portions: Portions,
    item_leaves: Mapping[str, Leaf],
    share_rows: Mapping[str, int],
    batches: Batches,
) -> None:
    """Shares of the mixes, grams a day, and water to soak, under the components."""
    sheet = composition.sheet
    row = _FIRST + len(composition.tags) + 1
    sheet.put_section(row, "What a day holds", composition.total_column)
    sheet.put(row, composition.total_column, "all, g", "section")
    sheet.widths[composition.total_column] = 11
    terms = _share_terms(composition, mixes, share_rows)
    for name, share_row in share_rows.items():
        title = next(mix.name for mix in result.plan.mix if mix.name.casefold() == name)
        sheet.put_row(share_row, 1, (f"share in {title}", None), "text")
        for place in range(len(composition.leaves)):
            if composition.shares[name][place]:
                value = Formula(terms[name, place], float(composition.shares[name][place]))
                sheet.put(share_row, _LEAVES + place, value, "calculated|0.0 %")
    eaten = {item: key for item, key in item_leaves.items() if result.is_eaten(item)}
    for day in range(len(days.names)):
        _put_day(composition, days, day, portions, eaten, share_rows, is_packed=False)
        if composition.packed_rows != composition.gram_rows:
            _put_day(composition, days, day, portions, item_leaves, share_rows, is_packed=True)
    sheet.put_row(composition.soak_row, 1, ("water to soak 100 g", "g"), "text")
    last = _LEAVES + len(composition.leaves) - 1
    soaks = np.zeros(len(composition.leaves))
    for place, key in enumerate(composition.leaves):
        if key[0] == "batch":
            soaks[place] = result.batches[key[1]].rehydration_water_g_per_100g
            value = Formula(batches.soaking[key[1]], float(soaks[place]))
            sheet.put(composition.soak_row, _LEAVES + place, value, "calculated|#,##0")
        elif key.kind == "ferment":
            soaks[place] = result.items[key.key].rehydration_water_g_per_100g
            sheet.put(composition.soak_row, _LEAVES + place, float(soaks[place]), "figure|#,##0")
    soak = area(composition.soak_row, _LEAVES, composition.soak_row, last)
    for name, share_row in share_rows.items():
        shares = area(share_row, _LEAVES, share_row, last)
        value = Formula(f"SUMPRODUCT({shares},{soak})", float(composition.shares[name] @ soaks))
        sheet.put(
            composition.soak_row, composition.columns[Leaf("mix", name)], value, "calculated|#,##0"
        )


def _share_terms(
    composition: Composition, mixes: Mixes, share_rows: Mapping[str, int]
) -> dict[tuple[str, int], str]:
    """(mix, leaf) → the sum that gives the leaf's share."""
    place = {key: at for at, key in enumerate(composition.leaves)}
    terms: dict[tuple[str, int], str] = {}
    for name, parts in mixes.parts.items():
        for key, address, _ in parts:
            if key[0] != "mix":
                share_at = (name, place[key])
                terms[share_at] = f"{terms[share_at]}+{address}" if share_at in terms else address
                continue
            for leaf in np.flatnonzero(composition.shares[key[1]]):
                inner = f"{address}*{letter(_LEAVES + int(leaf))}{share_rows[key[1]]}"
                share_at = (name, int(leaf))
                terms[share_at] = f"{terms[share_at]}+{inner}" if share_at in terms else inner
    return terms


def _put_day(
    composition: Composition,
    days: Days,
    day: int,
    portions: Portions,
    item_leaves: Mapping[str, Leaf],
    share_rows: Mapping[str, int],
    *,
    is_packed: bool,
) -> None:
    """Grams of each leaf on one kind of day; mixes as they are eaten, not counted twice.

    ``is_packed``: with what does not count as eaten, for the upper levels.
    """
    sheet = composition.sheet
    row = (composition.packed_rows if is_packed else composition.gram_rows)[day]
    grams_of = (composition.packed_grams if is_packed else composition.grams)[day]
    words = "g with what is not eaten, " if is_packed else "g on "
    title = Formula(f'"{words}"&{days.name_at(day)}', f"{words}{days.names[day]}")
    sheet.put(row, 1, title, "text")
    sheet.put(row, 2, "g", "faint")
    eaten: dict[Leaf, list[str]] = {}
    for item, key in item_leaves.items():
        eaten.setdefault(key, []).append(portions.grams[item, day])
    for place, key in enumerate(composition.leaves):
        column = _LEAVES + place
        terms = list(eaten.get(key, ()))
        for name, share_row in share_rows.items():
            if composition.shares[name][place] and Leaf("mix", name) in eaten:
                terms += [
                    f"{grams}*{letter(column)}{share_row}" for grams in eaten[Leaf("mix", name)]
                ]
        value = Formula("+".join(terms) or "0", float(grams_of[place]))
        sheet.put(row, column, value, "calculated|#,##0.0")
    last = _LEAVES + len(composition.leaves) - 1
    for column, key in enumerate(composition.partly, start=composition.partly_first):
        source = composition.columns[key] - _LEAVES
        value = Formula(f"{letter(_LEAVES + source)}{row}", float(grams_of[source]))
        sheet.put(row, column, value, "calculated|#,##0.0")
    total = Formula(f"SUM({letter(_LEAVES)}{row}:{letter(last)}{row})", float(grams_of.sum()))
    sheet.put(row, composition.total_column, total, "mean|#,##0.0")
