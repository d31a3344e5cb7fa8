"""nutricheck: does the dried food I packed cover my needs on hot active days?

``nutricheck.check(plan)`` is the whole job; see :mod:`nutricheck.check_plan` for what it returns.
Names are imported on first use, so that ``import nutricheck`` stays quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from nutricheck.versions import __version__

if TYPE_CHECKING:
    from nutricheck.check_plan import Result, check
    from nutricheck.errors import NutricheckError
    from nutricheck.foods import open_table
    from nutricheck.plan.models import Plan
    from nutricheck.plan.read import read_plan

__all__ = [
    "NutricheckError",
    "Plan",
    "Result",
    "__version__",
    "check",
    "open_table",
    "read_plan",
]

_HOMES = {
    "NutricheckError": "nutricheck.errors",
    "Plan": "nutricheck.plan.models",
    "Result": "nutricheck.check_plan",
    "check": "nutricheck.check_plan",
    "open_table": "nutricheck.foods",
    "read_plan": "nutricheck.plan.read",
}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        home = import_module(_HOMES[name])
        if name in ("Result", "check"):
            home.Result.notebook_view = staticmethod(_summary)
        return getattr(home, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def _summary(result: Result) -> str:
    """The page's summary; the check itself knows no report."""
    from nutricheck.report.page import summary_html

    return summary_html(result)


def __dir__() -> list[str]:
    return sorted(__all__)
