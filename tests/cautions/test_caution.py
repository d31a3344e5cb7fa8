"""The table of cautions and the one function that makes a caution of its rows."""

import ast
import string
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

import nutricheck
from nutricheck.errors import EvidenceError
from nutricheck.facts import evidence, ledger
from nutricheck.facts.caution import Caution, caution, grouped, ordered

ROWS = {row["id"]: row for row in evidence.rows("cautions")}
LEVELS = ("note", "warning", "danger")
PACKAGE = Path(nutricheck.__file__).parent


def braces(row: dict[str, str]) -> set[str]:
    """What the row's text and detail are filled with."""
    parts = string.Formatter().parse(row["text"] + row["detail"])
    return {name for _, name, _, _ in parts if name}


def trees() -> Iterator[tuple[str, ast.Module]]:
    """Every module of the package that makes cautions or limits, but the function's own."""
    for path in sorted(PACKAGE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        if ("caution(" in text or "Limit(" in text) and path.name != "caution.py":
            yield str(path.relative_to(PACKAGE)), ast.parse(text)


def calls(tree: ast.Module, name: str) -> list[ast.Call]:
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name
    ]


def test_rows_are_sorted_and_whole():
    ids = [row["id"] for row in evidence.rows("cautions")]
    assert ids == sorted(set(ids))
    for row in ROWS.values():
        assert all(row[key] for key in ("topic", "condition", "text", "authority", "reason")), row
        assert row["text"][0].isupper() or row["text"][0] in "123456789{", row["id"]
        assert row["text"][-1] in ".?}", row["id"]
        assert row["level"] in LEVELS
        assert row["raised"] in ("", *LEVELS[LEVELS.index(row["level"]) + 1 :]), row["id"]
        assert ("raised:" in row["condition"]) is bool(row["raised"]), row["id"]
        assert int(row["harm"]) in range(1, 5) and int(row["likelihood"]) in range(1, 4)
        assert row["verified"] in ledger.STATUSES


def test_a_danger_can_do_harm():
    """Nothing that is a nuisance at most is called a danger, nothing that can kill only a note."""
    for row in ROWS.values():
        if "danger" in (row["level"], row["raised"]):
            assert int(row["harm"]) >= 2, row["id"]
        if int(row["harm"]) == 4:
            assert {row["level"], row["raised"]} & {"warning", "danger"}, row["id"]


def test_every_caution_in_code_comes_from_a_row():
    for place, tree in trees():
        assert calls(tree, "Caution") == [], f"{place} makes a Caution past the table"
        for call in calls(tree, "caution"):
            first = call.args[0]
            if isinstance(first, ast.Constant):
                assert first.value in ROWS, f"{place}: no row {first.value!r}"
                given = {sentence.arg for sentence in call.keywords} - {
                    "raised",
                    "assumed",
                    "where",
                }
                if None not in given:
                    assert given == braces(ROWS[first.value]), f"{place}: {first.value}"
                if any(sentence.arg == "raised" for sentence in call.keywords):
                    assert ROWS[first.value]["raised"], f"{place}: {first.value} is never raised"


def test_every_id_that_a_name_holds_is_a_row():
    """``id_ = "one" if … else "other"`` before ``caution(id_, …)``."""
    for place, tree in trees():
        for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
            names = {
                call.args[0].id
                for call in calls(function, "caution")
                if isinstance(call.args[0], ast.Name)
            }
            held = [
                node.value
                for node in ast.walk(function)
                if isinstance(node, ast.Assign)
                and any(
                    isinstance(target, ast.Name) and target.id in names for target in node.targets
                )
            ]
            held += [
                call.args[0]
                for call in calls(function, "caution")
                if isinstance(call.args[0], ast.IfExp)
            ]
            for value in held:
                ends = [value.body, value.orelse] if isinstance(value, ast.IfExp) else [value]
                for end in ends:
                    if isinstance(end, ast.Constant):
                        assert end.value in ROWS, f"{place}: no row {end.value!r}"


def test_every_row_is_used():
    words = {
        node.value
        for _, tree in trees()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    words |= {row["caution"] for row in evidence.rows("pregnancy_foods")}
    assert [id_ for id_ in ROWS if id_ not in words] == []


def test_the_ledger_lists_every_caution_with_our_ratings_as_ours():
    found = ledger.figures("cautions")
    assert [figure.figure for figure in found] == ["harm", "likelihood"] * len(ROWS)
    assert {(figure.citation, figure.status) for figure in found} == {("our own rating", "ours")}
    listed = [source for source in ledger.sources() if source.table == "cautions"]
    assert sum(source.rows for source in listed) == len(ROWS)
    cited = {row["authority"] for row in ROWS.values()}
    assert {source.citation for source in listed} == {*cited, "our own rating"}


def test_a_caution_is_filled_in_and_raised():
    values = {"caffeine": "450 mg", "most": "400", "once": "200"}
    found = caution("caffeine", "walk", **values)
    assert (found.level, found.where, found.detail) == ("warning", "walk", "450 mg")
    assert "400 mg a day" in found.text and "200 mg at a time" in found.text
    assert caution("caffeine", "walk", raised=True, **values) == replace(found, level="danger")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("no such thing",), "no caution 'no such thing'"),
        (("caffeine", "walk"), "no value for"),
    ],
)
def test_a_caution_that_cannot_be_made_says_why(arguments, words):
    with pytest.raises(EvidenceError, match=words):
        caution(*arguments)


def test_a_caution_that_has_no_higher_level_cannot_be_raised():
    with pytest.raises(EvidenceError, match="no level"):
        caution("smoking", "person", raised=True)


def test_what_a_caution_rests_on_is_told_in_its_detail():
    found = caution("raw meat", "ham", assumed="taken as raw")
    assert found.detail == "taken as raw"
    wet = caution("absorber", "ham", assumed="the usual water", water="20 %")
    assert wet.detail == "20 % water; the usual water"


def test_order_is_by_level_then_by_harm_times_likelihood():
    def rated(level, harm, likelihood):
        name = f"{level} {harm} {likelihood}"
        return Caution(name, "topic", "text", "authority", "", level, "", harm, likelihood)

    wanted = [
        rated("danger", 4, 2),
        rated("danger", 2, 3),
        rated("warning", 4, 3),
        rated("note", 4, 1),
        rated("note", 2, 2),
        rated("note", 1, 1),
    ]
    assert list(ordered(reversed(wanted))) == wanted


def test_a_caution_is_grouped_with_all_its_places():
    batches = [caution("rancid", name, fat=fat) for name, fat in (("ham", "20"), ("nuts", "50"))]
    (found,) = grouped([*batches, batches[0]])
    assert found.where == "ham (20 g of fat in 100 g); nuts (50 g of fat in 100 g)"
