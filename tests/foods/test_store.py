"""The table's file: written whole or not at all, and refused when a byte of it was altered."""

import os
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from nutricheck.errors import TableError
from nutricheck.foods import open_table
from nutricheck.foods.store import ComponentRow, FoodRow, TableSource, new_store

SOURCE = TableSource("made up", "1", "CC0 1.0", "https://example.org", "0" * 64, "by hand")


def write(path: Path, water: float = 88.0) -> Path:
    with new_store(path) as store:
        store.source(SOURCE)
        store.groups({"1": "Roots"})
        store.components([ComponentRow("WATER", "255", "Water", "g", 2)])
        store.foods([FoodRow("00001", "Carrots, raw", "1"), FoodRow("00002", "Beets, raw", "1")])
        store.amounts([0], [0], [water], [None], [None])
    return path


@pytest.fixture
def path(tmp_path):
    return write(tmp_path / "table.sqlite")


def test_round_trip(path):
    table = open_table(path)
    assert table.food("00001").water_g == 88.0
    assert table.amounts("00002") == {}
    assert table.source == SOURCE
    assert table.search("beet")[0].id == "00002"
    assert open_table(path.parent).food("00001") == table.food("00001")


def test_path_with_spaces_and_other_letters(tmp_path):
    path = write(tmp_path / "Tafel für später?#%20" / "table.sqlite")
    assert open_table(path).food("00001").description == "Carrots, raw"


def test_every_altered_byte_is_refused(path):
    whole = path.read_bytes()
    places = {*range(0, 110), *range(110, len(whole), 997), len(whole) - 1}
    for place in places:
        altered = bytearray(whole)
        altered[place] ^= 1
        path.write_bytes(altered)
        with pytest.raises(TableError, match=r"table\.sqlite"):
            open_table(path)
    path.write_bytes(whole)
    assert open_table(path).food("00001").water_g == 88.0


@pytest.mark.parametrize("content", [b"", b"x", b"SQLite format 3\x00" + bytes(84), bytes(5000)])
def test_other_files_are_refused(tmp_path, content):
    path = tmp_path / "other.sqlite"
    path.write_bytes(content)
    with pytest.raises(TableError, match=r"other\.sqlite"):
        open_table(path)


def test_cut_short_or_lengthened_file_is_refused(path):
    whole = path.read_bytes()
    for content in (whole[:-1], whole[: len(whole) // 2], whole + b"\x00"):
        path.write_bytes(content)
        with pytest.raises(TableError, match="altered or damaged"):
            open_table(path)


def test_other_sqlite_file_is_refused(tmp_path):
    path = tmp_path / "other.sqlite"
    sqlite3.connect(path).execute("CREATE TABLE food (x)").connection.close()
    with pytest.raises(TableError, match="not a nutricheck food table"):
        open_table(path)


@pytest.mark.parametrize("name", ["missing.sqlite", "folder"])
def test_missing_file_and_empty_folder(tmp_path, name):
    (tmp_path / "folder").mkdir()
    with pytest.raises(TableError, match="cannot be read"):
        open_table(tmp_path / name)


def test_failed_write_leaves_the_old_table_and_nothing_else(path):
    old = path.read_bytes()
    with pytest.raises(RuntimeError), new_store(path) as store:
        store.groups({"1": "Roots"})
        raise RuntimeError("the source broke off")
    assert path.read_bytes() == old
    assert list(path.parent.iterdir()) == [path]


def test_write_into_a_file_is_one_clear_error(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(TableError, match="cannot be written"):
        write(tmp_path / "file" / "table.sqlite")


@pytest.mark.skipif(os.name != "posix", reason="no limits on file size here")
def test_full_disk_is_one_clear_error(tmp_path):
    """A limit on file size stands for the full disk: SQLite meets it as a failed write."""
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (60000, 60000)); "
        "import signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
        "from pathlib import Path; from tests.foods.test_store import write; "
        "from nutricheck.errors import TableError\n"
        "try: write(Path(sys.argv[1]))\n"
        "except TableError as error: print(error)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "table.sqlite")],
        capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert "cannot be written" in done.stdout
    assert list(tmp_path.iterdir()) == []


def test_two_writers_at_once_leave_one_whole_table(tmp_path):
    path = tmp_path / "table.sqlite"
    waters = [float(water) for water in range(1, 13)]
    writers = [threading.Thread(target=write, args=(path, water)) for water in waters]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert open_table(path).food("00001").water_g in waters
    assert list(tmp_path.iterdir()) == [path]


def test_large_table_is_checked_once_after_each_change(path, tmp_path, monkeypatch):
    from nutricheck.foods import store

    monkeypatch.setenv("NUTRICHECK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(store, "_ALWAYS_CHECKED_BYTES", 1000)
    read = []
    crc = store._crc
    monkeypatch.setattr(store, "_crc", lambda file: read.append(file) or crc(file))
    for _ in range(3):
        open_table(path).close()
    assert len(read) == 1
    state = path.stat()
    with path.open("r+b") as file:
        file.seek(-100, os.SEEK_END)
        file.write(b"altered")
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
    for _ in range(2):
        with pytest.raises(TableError, match="altered or damaged"):
            open_table(path)
    assert len(read) == 3


def test_table_can_be_pickled_for_other_processes(path):
    import pickle

    assert pickle.loads(pickle.dumps(open_table(path))).food("00002").description == "Beets, raw"
