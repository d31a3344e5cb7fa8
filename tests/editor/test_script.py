"""The page's script is small, and its types hold."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

import nutricheck.editor

SCRIPT = Path(nutricheck.editor.__file__).parent / "templates" / "editor.js"


@pytest.mark.tsc
def test_the_types_of_the_script_hold():
    options = ["--allowJs", "--checkJs", "--noEmit", "--strict", "--target", "es2022"]
    libraries = ["--lib", "es2022,dom,dom.iterable"]
    command = ["node", os.environ["NUTRICHECK_TSC"], *options, *libraries, str(SCRIPT)]
    checked = subprocess.run(command, capture_output=True, text=True, check=False)
    assert checked.stdout == ""
    assert checked.returncode == 0


def test_the_script_is_small_and_asks_nobody_else():
    text = SCRIPT.read_text("utf-8")
    assert text.startswith("// @ts-check")
    assert len(text.splitlines()) < 600
    assert "http" not in text.replace("http-equiv", "")
    assert "eval(" not in text
