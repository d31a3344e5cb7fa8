"""The default table: made once from its text, cached under the text's hash, refused if altered."""

import csv
import hashlib
import json
import os
import time
from pathlib import Path

import pytest

from nutricheck.errors import TableError
from nutricheck.facts.components import BY_TAG
from nutricheck.foods import embedded, open_table

TEXT = Path(embedded.__file__).parent / "default"


@pytest.fixture
def cache(tmp_path, monkeypatch):
    monkeypatch.setenv("NUTRICHECK_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


def test_text_has_the_hash_and_columns_of_its_data_package():
    resource = json.loads((TEXT / "datapackage.json").read_text("utf-8"))["resources"][0]
    raw = (TEXT / resource["path"]).read_bytes()
    assert resource["hash"] == "sha256:" + hashlib.sha256(raw).hexdigest()
    assert resource["bytes"] == len(raw)
    assert b"\r" not in raw
    header, *rows = csv.reader(raw.decode("utf-8").splitlines())
    assert header == [field["name"] for field in resource["schema"]["fields"]]
    assert len(rows) == 8789
    assert [row[0] for row in rows] == sorted({row[0] for row in rows})


def test_units_are_those_of_the_reported_components():
    units = open_table().units
    assert len(units) == 46
    for tag, unit in units.items():
        assert BY_TAG[tag].unit == unit, tag


def test_made_once_then_only_opened(cache):
    open_table().close()
    made = list(cache.iterdir())
    assert len(made) == 1
    stamp = made[0].stat().st_mtime_ns
    start = time.perf_counter()
    open_table().close()
    assert time.perf_counter() - start < 0.1
    assert made[0].stat().st_mtime_ns == stamp


def test_made_by_another_process_at_the_same_time(cache, monkeypatch):
    """Windows refuses to replace a file that another process has open."""
    move = os.replace

    def second(part, path):
        move(part, path)
        raise PermissionError(13, "Access is denied")

    monkeypatch.setattr(os, "replace", second)
    open_table().close()


def test_altered_cache_is_refused(cache):
    open_table().close()
    (made,) = cache.iterdir()
    stat = made.stat()
    with made.open("r+b") as file:
        file.seek(1_000_000)
        byte = file.read(1)
        file.seek(1_000_000)
        file.write(bytes([byte[0] ^ 1]))
    os.utime(made, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    with pytest.raises(TableError, match="altered or damaged"):
        open_table()


def test_altered_text_is_refused_and_nothing_is_written(cache, tmp_path, monkeypatch):
    folder = tmp_path / "default"
    folder.mkdir()
    for file in TEXT.iterdir():
        folder.joinpath(file.name).write_bytes(file.read_bytes())
    text = folder / "sr28_abbreviated.csv"
    text.write_bytes(text.read_bytes().replace(b"Butter, salted", b"Butter, Salted", 1))
    monkeypatch.setattr(embedded, "_TEXT", folder)
    with pytest.raises(TableError, match="default food table was altered"):
        open_table()
    assert not cache.exists()


def test_cache_folder_that_cannot_be_written(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("NUTRICHECK_CACHE", str(tmp_path / "file"))
    with pytest.raises(TableError, match="cannot be written"):
        open_table()
