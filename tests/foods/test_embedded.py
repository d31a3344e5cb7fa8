"""The default table: made once from its text, cached under the text's hash, refused if altered."""

import csv
import gzip
import hashlib
import json
import os
import time
from contextlib import closing
from pathlib import Path

import pytest

from nutricheck.errors import TableError
from nutricheck.facts.components import BY_TAG
from nutricheck.foods import embedded, open_table
from tests.foods.test_store import write

TEXT = Path(embedded.__file__).parent / "default"


@pytest.fixture
def cache(tmp_path, monkeypatch):
    monkeypatch.setenv("NUTRICHECK_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


def test_texts_have_the_hashes_and_columns_of_their_data_package():
    package = json.loads((TEXT / "datapackage.json").read_text("utf-8"))
    foods = [row[0] for row in list(embedded.default_rows("foods"))[1:]]
    assert len(foods) == 8789 and foods == sorted(set(foods))
    assert {resource["path"] for resource in package["resources"]} == {
        path.name for path in TEXT.glob("*.gz")
    }
    for resource in package["resources"]:
        raw = gzip.decompress((TEXT / resource["path"]).read_bytes())
        assert resource["unpacked_hash"] == "sha256:" + hashlib.sha256(raw).hexdigest()
        assert resource["unpacked_bytes"] == len(raw)
        assert b"\r" not in raw
        header, *rows = csv.reader(raw.decode("utf-8").splitlines())
        schema = resource["schema"]
        if isinstance(schema, str):
            schema = json.loads((TEXT / schema).read_text("utf-8"))
            assert [row[0] for row in rows] == foods
        assert header == [field["name"] for field in schema["fields"]]


def test_units_are_those_of_the_reported_components():
    units = open_table().units
    assert len(units) == 153  # SR28's 150, and chloride, iodine and biotin, which are estimated
    assert {tag: BY_TAG[tag].unit for tag in units if tag in BY_TAG} == {
        tag: unit for tag, unit in units.items() if tag in BY_TAG
    }


def test_the_data_ship_small():
    """What the repository and the wheel hold of the table, as measured when it was made: 1.8 MB."""
    assert sum(path.stat().st_size for path in TEXT.iterdir()) < 2_000_000


def test_made_once_then_only_opened(cache):
    open_table().close()
    tables = list(cache.glob("*.sqlite"))
    assert len(tables) == 1
    stamp = tables[0].stat().st_mtime_ns
    start = time.process_time()
    open_table().close()
    assert time.process_time() - start < 0.1
    assert tables[0].stat().st_mtime_ns == stamp


def test_made_by_another_process_at_the_same_time(cache, monkeypatch):
    """Windows refuses to replace a file that another process has open."""
    move = os.replace

    def second(part, path):
        move(part, path)
        raise PermissionError(13, "Access is denied")

    monkeypatch.setattr(os, "replace", second)
    open_table().close()


def test_a_damaged_or_strange_cached_table_is_made_anew(cache, tmp_path, monkeypatch):
    open_table().close()
    (path,) = cache.glob("*.sqlite")
    whole = path.read_bytes()

    def one_byte_off():
        stat = path.stat()
        path.write_bytes(whole[:1_000_000] + bytes([whole[1_000_000] ^ 1]) + whole[1_000_001:])
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))

    for damage in (
        one_byte_off,
        lambda: path.write_bytes(b""),
        lambda: path.write_bytes(whole[:500_000]),
        lambda: path.write_text("a text\n"),
        lambda: path.write_bytes(write(tmp_path / "other.sqlite").read_bytes()),
    ):
        damage()
        with closing(open_table()) as table:
            assert table.food("11124").description == "Carrots, raw"
            assert table.amounts("11124")["K"] == 320
        assert path.read_bytes() == whole
        # made from its text the first time; how damage is seen does not rest on how it is made
        monkeypatch.setattr(embedded, "_make", lambda path: path.write_bytes(whole))


def test_altered_text_is_refused_and_nothing_is_written(cache, tmp_path, monkeypatch):
    folder = tmp_path / "default"
    folder.mkdir()
    for file in TEXT.iterdir():
        folder.joinpath(file.name).write_bytes(file.read_bytes())
    text = folder / "foods.csv.gz"
    raw = gzip.decompress(text.read_bytes())
    text.write_bytes(gzip.compress(raw.replace(b"Butter, salted", b"Butter, Salted", 1)))
    monkeypatch.setattr(embedded, "_TEXT", folder)
    with pytest.raises(TableError, match="default food table was altered"):
        open_table()
    text.write_bytes(text.read_bytes()[:1000])
    with pytest.raises(TableError, match="default food table was altered"):
        open_table()
    assert not cache.exists()


def test_cache_folder_that_cannot_be_written(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("NUTRICHECK_CACHE", str(tmp_path / "file"))
    with pytest.raises(TableError, match="cannot be written"):
        open_table()
