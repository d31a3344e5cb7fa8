"""The plan's file and its draft: read, written whole, never over what somebody else wrote.

A TOML text keeps its comments and its order: only what changed in the plan changes in it. A
workbook that holds more than a plan's sheets is not written over; it is handed out as a copy.
"""

from __future__ import annotations

import hashlib
import json
import os
import tomllib
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from difflib import SequenceMatcher
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutricheck.atomic import write_whole
from nutricheck.editor.places import private_folder, state_folder, write_private
from nutricheck.errors import NutricheckError, PlanError
from nutricheck.plan.read import data_in_text, data_of
from nutricheck.plan.shape import shaped

if TYPE_CHECKING:
    from tomlkit.container import Container
    from tomlkit.items import Item

__all__ = [
    "ChangedElsewhere",
    "Draft",
    "OpenedFile",
    "SavedAsCopy",
    "merged_toml",
    "plan_file_bytes",
    "read_upload",
]

_WORKBOOKS = (".xlsx", ".xlsm")
#: Parts of a workbook that a fill-in workbook of ours does not have.
_FOREIGN = (
    "xl/charts/",
    "xl/drawings/",
    "xl/comments",
    "xl/threadedComments",
    "xl/pivot",
    "xl/vbaProject",
)


class ChangedElsewhere(NutricheckError):
    """The file was changed since it was opened or saved here."""


class SavedAsCopy(NutricheckError):
    """The workbook holds more than a plan; it is not written over."""


def _stamp(path: Path) -> str:
    """What the file holds, in short; "" where there is none."""
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.exists() else ""


@dataclass
class OpenedFile:
    """The file that was opened, with what it held then; the only file that saving writes."""

    path: Path
    stamp: str

    @classmethod
    def read(cls, path: Path) -> tuple[OpenedFile, dict[str, Any]]:
        """The file and the plan in it; a file that is not there yet is an empty plan.

        Raises
        ------
        PlanError
            If it is neither readable text nor a workbook of a plan.
        """
        path = Path(os.path.realpath(path))
        if path.suffix.lower() not in (".toml", *_WORKBOOKS):
            raise NutricheckError(f"{path.name}: the name must end in .toml or .xlsx")
        if not path.exists():
            return cls(path, ""), {}
        stamp = _stamp(path)
        return cls(path, stamp), shaped(plain(data_of(path)), str(path))

    @property
    def is_workbook(self) -> bool:
        """Whether it is a workbook."""
        return self.path.suffix.lower() in _WORKBOOKS

    def is_changed_elsewhere(self) -> bool:
        """Whether somebody else wrote it meanwhile."""
        return _stamp(self.path) != self.stamp

    def write(self, data: Mapping[str, Any], *, is_over: bool = False) -> None:
        """Write the plan to the file, whole or not at all; who may read it stays as it was.

        Raises
        ------
        ChangedElsewhere
            If the file is another than when it was read, and it was not said to write over it.
        SavedAsCopy
            If it is a workbook with sheets, charts or notes of its own.
        """
        if not is_over and self.is_changed_elsewhere():
            raise ChangedElsewhere(
                f"Another program changed {self.path.name} since you opened it here"
            )
        if self.is_workbook and self.path.exists() and has_more_than_a_plan(self.path):
            raise SavedAsCopy(
                f"{self.path.name} holds sheets, charts or notes that a plan cannot keep. It "
                "stays as it is; save the plan as a copy"
            )
        before = None
        if not self.is_workbook and self.path.exists():
            before = self.path.read_text(encoding="utf-8-sig")
        write_whole(self.path, plan_file_bytes(data, self.path.suffix.lower(), before))
        self.stamp = _stamp(self.path)


def has_more_than_a_plan(path: Path) -> bool:
    """Whether a workbook holds sheets, charts, notes or macros that are no plan's."""
    import openpyxl

    from nutricheck.plan.fill_in import OTHER_SHEETS
    from nutricheck.plan.form import SHEETS

    with zipfile.ZipFile(path) as archive:
        if any(name.startswith(_FOREIGN) for name in archive.namelist()):
            return True
    book = openpyxl.load_workbook(path, read_only=True)
    return not set(book.sheetnames) <= {*(sheet.name for sheet in SHEETS), *OTHER_SHEETS}


def plan_file_bytes(data: Mapping[str, Any], ending: str, before: str | None = None) -> bytes:
    """The plan as a file of that ending; ``before`` is the text whose comments are kept."""
    if ending in _WORKBOOKS:
        from nutricheck.plan.fill_in import plan_workbook

        return plan_workbook(dict(data))
    if before is not None and before.strip():
        text = merged_toml(before, data)
        if text is not None:
            return text.encode()
    from nutricheck.plan.write import plan_text

    return plan_text(data).encode()


def read_upload(name: str, content: bytes) -> dict[str, Any]:
    """The plan in a file that was sent in, or in pasted text.

    Raises
    ------
    PlanError
        If it cannot be read.
    """
    if content.startswith(b"PK\x03\x04"):
        import tempfile

        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "plan.xlsx"
            path.write_bytes(content)
            try:
                return shaped(plain(data_of(path)), name)
            except PlanError as error:
                raise PlanError(name, list(error.faults)) from None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NutricheckError(f"{name} is neither a text (UTF-8) nor a workbook") from None
    return shaped(plain(data_in_text(text, name)), name)


def plain(value: Any) -> Any:
    """TOML's dates as the text that a plan keeps them as."""
    if isinstance(value, Mapping):
        return {str(key): plain(content) for key, content in value.items()}
    if isinstance(value, list | tuple):
        return [plain(entry) for entry in value]
    return value.isoformat() if isinstance(value, date) else value


# ---------------------------------------------------------------- TOML that keeps its comments


def merged_toml(before: str, data: Mapping[str, Any]) -> str | None:
    """The text with the plan's changes in it, its comments kept; None where that cannot be done."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(before)
        _merge(document, data)
        text = tomlkit.dumps(document)
        return text if plain(tomllib.loads(text)) == plain(data) else None
    except (TOMLKitError, tomllib.TOMLDecodeError, ValueError, KeyError, IndexError, TypeError):
        return None


def _merge(into: Container | Any, data: Mapping[str, Any]) -> None:
    """Make a table of the document hold the data, touching only what is different."""
    for key in [key for key in into if key not in data]:
        del into[key]
    for key, value in data.items():
        if key not in into:
            into[key] = _item(value, is_top=_is_document(into))
        elif plain(_unwrapped(into[key])) != plain(value):
            _replace(into, key, value)


def _is_document(table: Any) -> bool:
    import tomlkit

    return isinstance(table, tomlkit.TOMLDocument)


def _replace(into: Any, key: str, value: Any) -> None:
    from tomlkit.items import AoT, Array

    old = into[key]
    if isinstance(value, Mapping) and isinstance(old, Mapping):
        _merge(old, value)
    elif isinstance(value, list) and (
        isinstance(old, Array) or (isinstance(old, AoT) and _are_tables(value))
    ):
        _merge_entries(old, value)
    else:
        into[key] = _item(value, is_top=_is_document(into))


def _merge_entries(old: Any, new: list[Any]) -> None:
    """Entries that stay keep their comments; what lies between is changed, added or taken out."""
    keys = [json.dumps(plain(_unwrapped(one)), sort_keys=True) for one in old]
    wanted = [json.dumps(plain(one), sort_keys=True) for one in new]
    moves = SequenceMatcher(None, keys, wanted, autojunk=False).get_opcodes()
    for what, a, b, c, d in reversed(moves):
        if what == "equal":
            continue
        both = min(b - a, d - c)
        for number in range(b - 1, a + both - 1, -1):
            del old[number]
        for number in range(c + both, d):
            old.insert(a + number - c, _item(new[number], is_entry=_is_tables(old)))
        for number in range(both):
            entry, value = old[a + number], new[c + number]
            if isinstance(entry, Mapping) and isinstance(value, Mapping):
                _merge(entry, value)
            elif plain(_unwrapped(entry)) != plain(value):
                old[a + number] = value


def _is_tables(entries: Any) -> bool:
    from tomlkit.items import AoT

    return isinstance(entries, AoT)


def _are_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, Mapping) for one in value)


def _unwrapped(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item


def _item(value: Any, *, is_top: bool = False, is_entry: bool = False) -> Item | Any:
    """A new item: a section of its own at the top, else in line."""
    import tomlkit

    if isinstance(value, Mapping):
        table: Any = tomlkit.table() if is_top or is_entry else tomlkit.inline_table()
        for key, content in value.items():
            table[key] = _item(content)
        return table
    if isinstance(value, list) and is_top and _are_tables(value) and value:
        tables = tomlkit.aot()
        for content in value:
            tables.append(_item(content, is_entry=True))
        return tables
    if isinstance(value, list):
        array = tomlkit.array()
        for content in value:
            array.append(_item(content))
        return array
    return tomlkit.item(value)


# ---------------------------------------------------------------- drafts


@dataclass(frozen=True)
class Draft:
    """What was not saved, in the user's state folder, for this user's eyes alone."""

    path: Path

    @classmethod
    def of(cls, plan: Path | None) -> Draft:
        """The draft of a plan's file, or of a plan without one."""
        name = hashlib.sha256(os.fsencode(plan)).hexdigest()[:20] if plan else "new"
        return cls(private_folder(state_folder() / "drafts") / f"{name}.json")

    def read(self) -> tuple[dict[str, Any], str] | None:
        """The plan of the draft and when it was written; None where there is none to be read."""
        try:
            held = json.loads(self.path.read_text(encoding="utf-8"))
            return shaped(dict(held["plan"]), "draft"), str(held["written"])
        except (OSError, ValueError, KeyError, TypeError, PlanError):
            return None

    def write(self, data: Mapping[str, Any], plan: Path | None) -> None:
        """Keep the plan."""
        held = {
            "file": str(plan or ""),
            "written": datetime.now().strftime("%Y-%m-%d %H:%M"),
            "plan": data,
        }
        write_private(self.path, json.dumps(held, ensure_ascii=False))

    def drop(self) -> None:
        """Forget it."""
        self.path.unlink(missing_ok=True)
