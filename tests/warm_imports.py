"""Imports all that commands use; for the fork server of ``tests.warm``."""

from importlib import import_module
from pkgutil import walk_packages

LATE = ["jinja2", "openpyxl", "pint", "rapidfuzz", "highspy", "scipy.sparse", "scipy.stats"]

for package in ("nutricheck", "data_builder"):
    for module in walk_packages(import_module(package).__path__, f"{package}."):
        if not module.name.endswith(".__main__"):
            import_module(module.name)
for name in LATE:
    import_module(name)
