"""The examples in the docstrings give what they say."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import data_builder
import nutricheck

MODULES = [
    found.name
    for package in (nutricheck, data_builder)
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    if not found.name.endswith("__main__")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0
