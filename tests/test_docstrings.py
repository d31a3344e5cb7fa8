"""Docstrings of the science: examples, units of what goes in and comes out, and the sources."""

from __future__ import annotations

import ast
import doctest
import importlib
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import data_builder
import nutricheck
from nutricheck.facts import evidence

MODULES = [
    found.name
    for package in (nutricheck, data_builder)
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    if not found.name.endswith("__main__")
]

#: Packages whose public functions are held to numpydoc's sections.
SCIENCE = ("drying", "needs", "intake", "adequacy", "stock")
_ROOT = Path(nutricheck.__file__).parent
#: A name that ends in a unit: ``mass_g``, ``rate_l_h``, ``ea_kj_mol``.
_UNIT = re.compile(
    r"_(g|kg|mg|ug|l|ml|kcal|kj_mol|h|c|w|m|cm|m_s|w_m2|w_kg|g_w_h|l_h|kpa|mmol|mmol_l|percent)$"
)
#: A type that holds amounts or shares.
_AMOUNT = re.compile(r"\b(float|np\.float\d\d|Array|Ends|Series)\b")
_ARRAY = re.compile(r"\b(NDArray|Array|Deviates|Draws)\b")
_SHAPE = re.compile(
    r"\bshaped?\b|×|\(\w+, draws\)|in the order of|of one length|per draw", re.IGNORECASE
)
_BRACKET = re.compile(r"\[[^\[\]\n]+\]")

#: Module → its functions that rest on a published equation, definition or judgement which stands in
#: the code, or in a table that another module reads.
BY_EQUATION = {
    "drying/balance.py": "drying_yield concentration_factor apparent_retention",
    "drying/end_point.py": "rehydration_water",
    "drying/flags.py": "makes_vitamin_d loss_flags",
    "drying/retention.py": "first_order_kept arrhenius_factor months_as_lost drying_kept",
    "drying/stages.py": "pack_kept kept_before kept_on_mean_day",
    "needs/clinic.py": "left_to_clinic",
    "needs/energy.py": "mifflin_st_jeor",
    "needs/energy_availability.py": "body_mass_index fat_free_mass energy_availability",
    "needs/heat.py": "wet_bulb wbgt_shade wbgt_sun alert_limit exposure_limit heat_cautions",
    "needs/load_carriage.py": "pandolf santee_downhill lcda_backpack limits",
    "needs/reference.py": "requirement_sd",
    "needs/sodium.py": "sweat_sodium whole_body_sodium sodium_minimum salt_doctor_reasons",
    "needs/sweat.py": "sweat_test_rate body_surface sweat_rate_shapiro sweat_rate_corrected "
    "sweat_rate_piecewise vapour_pressure required_evaporation evaporative_capacity heat_balance",
    "intake/edible.py": "edibility batch_readiness",
    "adequacy/chance.py": "chance_of_range chance_z lognormal_share percentile_share "
    "requirement_shape",
    "adequacy/coverage.py": "coverage_table upper_levels passes_safe_level energy_shares",
    "adequacy/probability.py": "adequacy_probability",
    "adequacy/salt.py": "salt_word salt_lines",
}


@pytest.mark.parametrize("name", MODULES)
def test_examples(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def functions(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """The functions that a module offers, and the methods of the classes that it offers."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, node
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for method in node.body:
                if isinstance(method, ast.FunctionDef) and not method.name.startswith("_"):
                    yield f"{node.name}.{method.name}", method


def section(docstring: str, title: str) -> str:
    """The text under a title of numpydoc, up to the next title; "" where there is none."""
    parts = re.split(r"^(\w[\w ]*)\n-+$", docstring, flags=re.MULTILINE)
    found = dict(zip(parts[1::2], parts[2::2], strict=True))
    return found.get(title, "")


def without_units(function: ast.FunctionDef) -> list[str]:
    """Arguments whose names end in a unit that the docstring does not give, and ``returns``."""
    docstring = ast.get_docstring(function) or ""
    parameters = re.split(r"^(?=\S)", section(docstring, "Parameters"), flags=re.MULTILINE)
    said = {
        name.strip()
        for entry in parameters
        if _BRACKET.search(entry.partition("\n")[2])
        for name in entry.partition("\n")[0].partition(" :")[0].split(",")
    }
    arguments = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
    lacking = [one.arg for one in arguments if _UNIT.search(one.arg) and one.arg not in said]
    returns = "" if function.returns is None else ast.unparse(function.returns)
    is_amount = bool(_UNIT.search(function.name) or _AMOUNT.search(returns))
    summary = docstring.partition("\nParameters\n")[0]
    if is_amount and not _BRACKET.search(summary + section(docstring, "Returns")):
        lacking.append("returns")
    return lacking


def without_shapes(function: ast.FunctionDef) -> bool:
    """Whether arrays go in or come out whose shape the docstring does not give."""
    arguments = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
    types = [one.annotation for one in arguments if one.annotation] + [function.returns]
    has_arrays = any(_ARRAY.search(ast.unparse(one)) for one in types if one is not None)
    return has_arrays and not _SHAPE.search(ast.get_docstring(function) or "")


def raised(function: ast.FunctionDef, tree: ast.Module) -> frozenset[str]:
    """Errors that a function raises, by the module's own helpers too.

    A KeyError is a row that our own table lacks: no caller is to expect it.
    """
    bodies = {
        node.name: node
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name.startswith("_")
    }
    reached, todo = set[str](), [function]
    found = set[str]()
    while todo:
        for node in ast.walk(todo.pop()):
            if isinstance(node, ast.Raise) and node.exc is not None:
                error = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
                found.add(ast.unparse(error))
            elif isinstance(node, ast.Name) and node.id in bodies.keys() - reached:
                reached.add(node.id)
                todo.append(bodies[node.id])
    return frozenset(found - {"KeyError"})


def published_figures() -> frozenset[str]:
    """Names in the table of constants that are not our own choice."""
    return frozenset(row["name"] for row in evidence.rows("constants") if row["status"] != "ours")


def reads_published(tree: ast.Module, figures: frozenset[str]) -> frozenset[str]:
    """Functions of a module that read a published table or figure, by the module's own helpers too.

    A constant that is our own choice asks for no source, nor does a caution's row, which names its
    authority where it is shown.
    """
    bodies = {node.name: node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}

    def is_reading(call: ast.Call) -> bool:
        name = ast.unparse(call.func)
        first = call.args[0].value if call.args and isinstance(call.args[0], ast.Constant) else ""
        return (name in ("value", "constant") and first in figures) or name == "evidence.rows"

    reading = {
        name
        for name, body in bodies.items()
        if any(isinstance(node, ast.Call) and is_reading(node) for node in ast.walk(body))
    }
    while True:
        more = {
            name
            for name, body in bodies.items()
            if name not in reading
            and any(
                isinstance(node, ast.Name) and node.id in reading and node.id.startswith("_")
                for node in ast.walk(body)
            )
        }
        if not more:
            return frozenset(reading)
        reading |= more


def public_functions() -> Iterator[tuple[str, ast.Module, ast.FunctionDef]]:
    """Module and name, the module, and each function that the science offers."""
    for package in SCIENCE:
        for path in sorted((_ROOT / package).glob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            for name, function in functions(tree):
                yield f"{package}/{path.name}:{name}", tree, function


def has_references(function: ast.FunctionDef) -> bool:
    return bool(section(ast.get_docstring(function) or "", "References").strip())


def test_docstrings_give_the_units_of_what_goes_in_and_comes_out():
    lacking = {place: names for place, _, it in public_functions() if (names := without_units(it))}
    assert lacking == {}


def test_docstrings_give_the_shapes_of_arrays():
    assert [place for place, _, function in public_functions() if without_shapes(function)] == []


def test_docstrings_name_the_errors():
    found = [
        (place, bool(section(ast.get_docstring(function) or "", "Raises")))
        for place, tree, function in public_functions()
        if raised(function, tree)
    ]
    assert len(found) > 20
    assert [place for place, is_said in found if not is_said] == []


def test_what_reads_published_figures_cites_them():
    figures = published_figures()
    assert len(figures) > 50
    found = [
        (place, has_references(function))
        for place, tree, function in public_functions()
        if function.name in reads_published(tree, figures)
    ]
    assert len(found) > 50
    assert [place for place, is_cited in found if not is_cited] == []


def test_equations_in_the_code_cite_their_source():
    """What rests on a published equation or definition that stands in the code and in no table."""
    cited = {place for place, _, function in public_functions() if has_references(function)}
    wanted = {f"{path}:{name}" for path, names in BY_EQUATION.items() for name in names.split()}
    assert wanted - cited == set()


def test_planted_docstrings_without_units_or_source_are_found():
    tree = ast.parse(
        "def heat(mass_g: float) -> float:\n"
        '    """Heat of a mass.\n\n    Parameters\n    ----------\n    mass_g : float\n'
        '        Of the food.\n    """\n'
        "    return _per_g() * mass_g\n"
        "def _per_g() -> float:\n"
        "    if not table:\n"
        "        raise TableError('empty')\n"
        "    return value('drink_ceiling_hour')\n"
    )
    (name, function), *_ = functions(tree)
    assert without_units(function) == ["mass_g", "returns"]
    assert name in reads_published(tree, frozenset({"drink_ceiling_hour"}))
    assert not has_references(function)
    assert raised(function, tree) == {"TableError"}
    (_, arrays), *_ = functions(ast.parse("def f(z: Array) -> Array:\n    'Twice. [-]'\n"))
    assert without_shapes(arrays) and without_units(arrays) == []
