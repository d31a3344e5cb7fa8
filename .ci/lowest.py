"""Prints pip constraints that hold every requirement of pyproject.toml at its lower bound.

python .ci/lowest.py > lowest.txt && PIP_CONSTRAINT=lowest.txt pip install ".[test]"
"""

import tomllib
from pathlib import Path

from packaging.requirements import Requirement

PROJECT = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text("utf-8"))


def requirements() -> list[Requirement]:
    """All of them that hold on this Python, but for the package itself."""
    named = [
        *PROJECT["build-system"]["requires"],
        *PROJECT["project"]["dependencies"],
        *(text for extra in PROJECT["project"]["optional-dependencies"].values() for text in extra),
    ]
    found = [Requirement(text) for text in named]
    own = PROJECT["project"]["name"]
    return [one for one in found if one.name != own and (not one.marker or one.marker.evaluate())]


for requirement in requirements():
    (lowest,) = (part.version for part in requirement.specifier if part.operator == ">=")
    print(f"{requirement.name}=={lowest}")
