"""Zips that cannot be trusted, and other things that are no dataset."""

import os
import struct
import zipfile

import pytest

from data_builder.source_files import SourceFiles
from nutricheck.errors import SourceError


def zipped(path, members, method=zipfile.ZIP_DEFLATED):
    with zipfile.ZipFile(path, "w", method) as file:
        for name, content in members.items():
            file.writestr(name, content)
    return path


@pytest.mark.parametrize(
    "name",
    ["../../etc/evil.txt", "/etc/evil.txt", "a/../../evil.txt", "..\\evil.txt", "C:\\evil.txt"],
)
def test_paths_that_leave_the_folder(tmp_path, name):
    path = zipped(tmp_path / "sr28.zip", {"NUT_DATA.txt": "x", name: "evil"})
    with pytest.raises(SourceError, match="leaves its folder"):
        SourceFiles(path)


def test_bomb(tmp_path):
    path = zipped(tmp_path / "sr28.zip", {"NUT_DATA.txt": bytes(50 << 20)})
    assert path.stat().st_size < 100_000
    with pytest.raises(SourceError, match="unpacks from"):
        SourceFiles(path)


def test_bomb_that_lies_about_its_size(tmp_path):
    """The directory says 1000 bytes; no more than that is ever unpacked."""
    path = zipped(tmp_path / "sr28.zip", {"NUT_DATA.txt": bytes(50 << 20)})
    raw = path.read_bytes()
    path.write_bytes(raw.replace(struct.pack("<L", 50 << 20), struct.pack("<L", 1000)))
    with pytest.raises(SourceError, match="cannot be read"):
        SourceFiles(path).read("NUT_DATA.txt")


@pytest.mark.parametrize("content", [b"", b"no zip", b"PK\x03\x04" + bytes(100)])
def test_no_zip(tmp_path, content):
    path = tmp_path / "sr28.zip"
    path.write_bytes(content)
    with pytest.raises(SourceError, match=r"sr28\.zip: not a readable zip"):
        SourceFiles(path)


def test_zip_cut_short_or_altered(tmp_path):
    path = zipped(tmp_path / "sr28.zip", {"NUT_DATA.txt": os.urandom(5000).hex()})
    whole = path.read_bytes()
    path.write_bytes(whole[:3000])
    with pytest.raises(SourceError, match="cut short"):
        SourceFiles(path)
    path.write_bytes(whole[:3000] + bytes([whole[3000] ^ 1]) + whole[3001:])
    with pytest.raises(SourceError, match="cannot be read"):
        SourceFiles(path).read("NUT_DATA.txt")


def test_encrypted_zip(tmp_path):
    path = zipped(tmp_path / "sr28.zip", {"NUT_DATA.txt": "secret"}, zipfile.ZIP_STORED)
    raw = bytearray(path.read_bytes())
    raw[6] |= 1  # general purpose flag, local header
    raw[raw.index(b"PK\x01\x02") + 8] |= 1  # and in the directory
    path.write_bytes(raw)
    with pytest.raises(SourceError, match="cannot be read"):
        SourceFiles(path).read("NUT_DATA.txt")


def test_missing_path(tmp_path):
    with pytest.raises(SourceError, match="no such file or folder"):
        SourceFiles(tmp_path / "nothing")


def test_same_name_twice_in_a_folder(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    for folder in "ab":
        (tmp_path / folder / "NUT_DATA.txt").write_text(folder)
    with pytest.raises(SourceError, match=r"NUT_DATA\.txt twice"):
        SourceFiles(tmp_path).read("NUT_DATA.txt")


def test_file_that_would_fill_the_memory(tmp_path):
    with (tmp_path / "NUT_DATA.txt").open("wb") as file:
        file.truncate(10 << 30)  # sparse: takes no room
    with pytest.raises(SourceError, match=r"NUT_DATA\.txt: 10,737,418,240 bytes, expected less"):
        SourceFiles(tmp_path).read("NUT_DATA.txt")


def test_zip_with_a_file_of_no_name(tmp_path):
    """Found by guided fuzzing: zipfile itself fails on it when asked whether it is a folder."""
    path = zipped(tmp_path / "sr28.zip", {"NUT_DATA.txt": "x\n", "e": "evil"}, zipfile.ZIP_STORED)
    raw = path.read_bytes()
    path.write_bytes(raw.replace(b"eevil", b"\0evil").replace(b"ePK\x05\x06", b"\0PK\x05\x06"))
    with zipfile.ZipFile(path) as archive:
        assert archive.namelist() == ["NUT_DATA.txt", ""]
    assert SourceFiles(path).read("NUT_DATA.txt") == b"x\n"


def test_zip_with_a_name_that_is_no_text(tmp_path):
    path = zipped(tmp_path / "sr28.zip", {"NUT_DATA.txt": "x", "ä": ""})
    path.write_bytes(path.read_bytes().replace("ä".encode(), b"\xa9\xb7"))
    with pytest.raises(SourceError, match="not a readable zip"):
        SourceFiles(path)
