"""The package's data files are refused where a byte of them was altered."""

import shutil
from pathlib import Path

import pytest

from nutricheck.errors import EvidenceError
from nutricheck.facts import evidence
from nutricheck.facts.checksums import LIST, checked_bytes

TABLES = Path(evidence.__file__).parent
TEXTS = TABLES.parents[1] / "foods" / "default"


def test_each_data_file_is_listed_as_it_is():
    for folder, endings in ((TABLES, (".csv", ".toml")), (TEXTS, (".json",))):
        lines = (folder / LIST).read_text("utf-8").splitlines()
        files = sorted(path.name for path in folder.iterdir() if path.suffix in endings)
        assert [line.split("  ")[1] for line in lines] == files, "nutricheck-data checksums"
        for name in files:
            checked_bytes(folder / name)


def test_an_altered_table_is_refused(tmp_path):
    for name in ("units.csv", "units.toml", LIST):
        shutil.copy(TABLES / name, tmp_path)
    table = tmp_path / "units.csv"
    assert checked_bytes(table) == (TABLES / "units.csv").read_bytes()
    table.write_bytes(table.read_bytes().replace(b"1", b"7", 1))
    with pytest.raises(EvidenceError, match="was altered"):
        checked_bytes(table)
    bare = tmp_path / "bare"
    bare.mkdir()
    shutil.copy(TABLES / "units.toml", bare)
    with pytest.raises(EvidenceError, match="is the package whole"):
        checked_bytes(bare / "units.toml")
