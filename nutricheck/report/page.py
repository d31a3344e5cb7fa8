"""A result as one HTML file that opens from disk, without a network, on a phone too.

:func:`write_page` writes it, :func:`page_html` is its text, :func:`summary_html` the part of it
that a notebook shows. Every name of the plan is escaped by the templates; the page's own script
and style are the only ones that its content security policy lets run, and it may load nothing.
"""

from __future__ import annotations

import base64
import functools
import hashlib
import itertools
import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutricheck.advice.answer import answer
from nutricheck.atomic import write_whole
from nutricheck.errors import NutricheckError, shorten
from nutricheck.report.page_data import page_data, script_json
from nutricheck.report.page_view import page_view, summary_view
from nutricheck.report.parts import Line, Part, Styled, Table
from nutricheck.report.source_list import source_numbers
from nutricheck.rules.cautions import caution_rules_script
from nutricheck.rules.formulas import formulas_script
from nutricheck.symbols import with_symbols

if TYPE_CHECKING:
    import jinja2
    from markupsafe import Markup

    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.check_plan import Result

__all__ = ["page_html", "summary_html", "templates_of", "write_page"]

_TEMPLATES = Path(__file__).parent / "templates"
_SUFFIXES = (".html", ".htm")


def write_page(
    result: Result,
    path: str | Path,
    proposal: Proposal | None = None,
    reduction: Reduction | None = None,
) -> None:
    """Write the page, whole or not at all; with a proposal or a reduction, their section too.

    Raises
    ------
    NutricheckError
        If the name does not end in .html or .htm, or the place cannot be written.
    """
    if Path(path).suffix.lower() not in _SUFFIXES:
        raise NutricheckError(
            f"{shorten(str(path))} must end in .html: the report is a page for a browser"
        )
    write_whole(path, page_html(result, proposal, reduction))


def page_html(
    result: Result, proposal: Proposal | None = None, reduction: Reduction | None = None
) -> str:
    """The whole page as text; with a proposal or a reduction, their section too."""
    style = _file("summary.css") + _file("page.css") + _file("answer.css")
    script = (
        formulas_script()
        + caution_rules_script()
        + _file("twin.js")
        + _file("chance.js")
        + _file("answer.js")
        + _file("cautions.js")
        + _file("page.js")
    )
    cited = source_numbers(result)
    found = answer(result)
    return (
        templates_of(_TEMPLATES)
        .get_template("page.html")
        .render(
            page_view(result, found, cited, proposal, reduction),
            style=_safe(style),
            script=_safe(script),
            policy=_policy(style, script),
            data=_safe(script_json(page_data(result, cited, found))),
        )
    )


def summary_html(result: Result) -> str:
    """Verdict and hot-day nutrients as a piece of HTML, for a notebook."""
    view = summary_view(result, answer(result), source_numbers(result))
    template = templates_of(_TEMPLATES).get_template("notebook.html")
    return template.render(view, style=_safe(_file("summary.css")))


# ---------------------------------------------------------------- templates


_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)


@functools.cache
def _file(name: str) -> str:
    text = (_TEMPLATES / name).read_text(encoding="utf-8")
    # no indents and no comments: the page has a bound of size
    lines = [line.lstrip() for line in _COMMENT.sub("", text).splitlines()]
    return "".join(f"{line}\n" for line in lines if line and not line.startswith("//"))


@functools.cache
def templates_of(*folders: Path) -> jinja2.Environment:
    """The templates of folders, with what those of reports use; the first folder goes first."""
    import jinja2

    templates = jinja2.Environment(
        loader=jinja2.FileSystemLoader(folders),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        finalize=_shown,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    templates.filters |= {"blocks": _blocks}
    return templates


def _blocks(parts: Iterable[Part]) -> list[tuple[str, list[Part]]]:
    """Parts that stand as one element of the page: tables, lists of signs, of points, lines."""
    shown = [part for part in parts if not isinstance(part, Line) or part.text]
    return [(kind, list(block)) for kind, block in itertools.groupby(shown, _kind)]


def _kind(part: Part) -> str:
    if isinstance(part, Table):
        return "table"
    mark = part.mark if isinstance(part, Line) else ""
    return "signs" if isinstance(mark, Styled) else "points" if mark == "·" else "lines"


def _shown(value: Any) -> Any:
    """What a template puts in: units by their symbols; text that is marked as safe as it is."""
    return with_symbols(value) if type(value) is str else value


def _safe(text: str) -> Markup:
    """Text of our own files, and JSON made safe for a script, as it is."""
    import markupsafe

    return markupsafe.Markup(text)


def _policy(style: str, script: str) -> str:
    """Content security policy: this style and this script by their hash, and nothing else."""

    def named(text: str) -> str:
        return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'"

    return (
        f"default-src 'none'; style-src {named(style)}; script-src {named(script)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
