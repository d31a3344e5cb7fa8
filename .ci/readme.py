"""Prints what the README tells to run, so that CI runs that and nothing else.

    python3 .ci/readme.py 1      the first block of commands under "Set up"; 2, 3: the next ones
    python3 .ci/readme.py use    the commands of the table under "Use", one on each line

Ends with an error where the README has no such commands any more.
"""

import re
import sys
from pathlib import Path

README = Path(__file__).parents[1] / "README.md"


def section(title: str) -> str:
    """The README's text from this heading to the next."""
    (text,) = re.findall(rf"^## {title}\n(.*?)(?=^## )", README.read_text("utf-8"), re.M | re.S)
    return text


def set_up() -> list[str]:
    """The blocks of commands: the check of the sample plan, the tests, the way to the commands."""
    check, tests, path = re.findall(r"^```sh\n(.+?)\n```", section("Set up"), re.M | re.S)
    assert check.endswith("check samples/july_survey.toml"), check
    assert tests.endswith("-m pytest"), tests
    assert "activate" in path, path
    return [check, tests, path]


def use() -> list[str]:
    """The commands in the table."""
    rows = re.findall(r"^\| (?!you want to|---)[^|]+ \| (.+) \|$", section("Use"), re.M)
    commands = [text for row in rows for text in re.findall(r"`(nutricheck .+?)`", row)]
    assert len(commands) >= len(rows) >= 10, f"{len(commands)} commands in {len(rows)} rows"
    return commands


if __name__ == "__main__":
    wanted = sys.argv[1]
    print("\n".join(use()) if wanted == "use" else set_up()[int(wanted) - 1])
