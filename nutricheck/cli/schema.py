"""``nutricheck schema``: the JSON Schema of a plan."""

from __future__ import annotations

import sys

__all__ = ["schema"]


def schema() -> None:
    """Print the JSON Schema of a plan, for text editors.

    \b
    Example: nutricheck schema > plan.schema.json
    """
    from nutricheck.plan.schema import json_schema_text

    sys.stdout.write(json_schema_text())
