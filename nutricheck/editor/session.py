"""One plan while it is made: its data as typed, its answer, and the way back.

The data is that of the plan's text form. Each change makes new data that shares what did not change
with the old one; the answer is the check's own, with draws, of all that is whole. What batches,
items and days rest on is kept, so that what did not change is not worked out again.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutricheck.advice.answer import Answer, answer
from nutricheck.check_plan import Result, check
from nutricheck.defaults import DRAWS, SEED
from nutricheck.editor.effect import effect_words
from nutricheck.editor.form import kind_at
from nutricheck.editor.partial import Partial, answered
from nutricheck.errors import Change, Location, NutricheckError
from nutricheck.memory import Memory
from nutricheck.plan.changes import at, changed
from nutricheck.plan.form import YES_NO

if TYPE_CHECKING:
    from nutricheck.editor.files import Draft, OpenedFile
    from nutricheck.foods import FoodTable

__all__ = ["Session", "Stale", "typed"]

_MOST_STEPS_BACK = 200
_LONGEST_TEXT = 4_000


class Stale(NutricheckError):
    """A change was meant for the plan as it was before another window changed it."""


@dataclass(frozen=True)
class _Step:
    """What undoing goes back to: the data before, and the one place that was changed, if one."""

    data: dict[str, Any]
    place: Location | None


class Session:
    """A plan in the making.

    Parameters
    ----------
    data : mapping
        The plan so far, shaped like its text form; faults and gaps are welcome.
    table : FoodTable, optional
        Left out: the embedded one.
    path : Path, optional
        The file that was opened and that saving writes.
    """

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        table: FoodTable | None = None,
        path: Path | None = None,
        *,
        draws: int = DRAWS,
        seed: int = SEED,
    ) -> None:
        from nutricheck.foods import open_table

        self.table = open_table(table)
        self.path = path
        self.draws, self.seed = draws, seed
        self.data: dict[str, Any] = dict(data or {})
        self.saved: dict[str, Any] = self.data
        self.revision = 0
        self.effect = ""
        self.lock = threading.RLock()
        self.file: OpenedFile | None = None
        self.draft: Draft | None = None
        self.is_open_elsewhere = False
        self._older: tuple[dict[str, Any], str] | None = None
        self._memory = Memory()
        self._back: deque[_Step] = deque(maxlen=_MOST_STEPS_BACK)
        self._forth: list[_Step] = []
        self._partial, self._answer = self._work(self.data)

    # ------------------------------------------------------------ what there is

    @property
    def partial(self) -> Partial:
        """The result of what is whole, and what it leaves out."""
        return self._partial

    @property
    def result(self) -> Result | None:
        """The check's result, where there is one."""
        return self._partial.result

    @property
    def memory(self) -> Memory:
        """What did not change."""
        return self._memory

    @property
    def answer(self) -> Answer | None:
        """The answer without what to do."""
        return self._answer

    @property
    def is_saved(self) -> bool:
        """Whether the file holds what is here."""
        return self.data == self.saved

    @property
    def can_undo(self) -> bool:
        """Whether there is a step back."""
        return bool(self._back)

    @property
    def can_redo(self) -> bool:
        """Whether there is a step forth."""
        return bool(self._forth)

    # ------------------------------------------------------------ what changes it

    def change(self, changes: Sequence[Change], revision: int | None = None) -> None:
        """Make the changes, in one step; typing on in one field stays the same step.

        Raises
        ------
        Stale
            If ``revision`` is not that of the plan as it is.
        NutricheckError
            If a place is none that a plan can have.
        """
        with self.lock:
            if revision is not None and revision != self.revision:
                raise Stale("You changed the plan in another window meanwhile")
            for location, _ in changes:
                if kind_at(location) is None:
                    raise NutricheckError("A plan has no such place.")
            typed_changes = [(place, typed(place, value)) for place, value in changes]
            renamed = [
                change
                for place, value in typed_changes
                for change in _renamed(self.data, place, value)
            ]
            new = changed(self.data, [*typed_changes, *renamed])
            if new == self.data:
                return
            place = changes[0][0] if len(changes) == 1 else None
            worked = self._work(new)
            goes_on = bool(self._back) and place is not None and self._back[-1].place == place
            if not goes_on or self._forth:
                self._back.append(_Step(self.data, place))
            self._forth.clear()
            self._set(new, worked)

    def replace(self, data: Mapping[str, Any]) -> None:
        """Put another plan in its place; a step that can be undone."""
        with self.lock:
            worked = self._work(data)
            self._back.append(_Step(self.data, None))
            self._forth.clear()
            self._set(dict(data), worked)

    def undo(self) -> None:
        """Go a step back."""
        self._go(self._back, self._forth)

    def redo(self) -> None:
        """Go a step forth again."""
        self._go(self._forth, self._back)

    def _go(self, source: deque[_Step] | list[_Step], target: deque[_Step] | list[_Step]) -> None:
        with self.lock:
            if source:
                step = source.pop()
                target.append(_Step(self.data, None))
                self._set(step.data, self._work(step.data))

    def _set(self, data: dict[str, Any], worked: tuple[Partial, Answer | None]) -> None:
        before = self._said
        self.data = data
        self.revision += 1
        self._partial, self._answer = worked
        self.effect = effect_words(before, self._said)

    def _work(self, data: Mapping[str, Any]) -> tuple[Partial, Answer | None]:
        """The answer for the data; where that fails, nothing has changed yet."""
        found = answered(data, self._check)
        result = found.result
        return found, None if result is None else answer(result, with_actions=False)

    @property
    def _said(self) -> tuple[Result, Answer] | None:
        result, found = self._partial.result, self._answer
        return None if result is None or found is None else (result, found)

    def _check(self, data: Mapping[str, Any]) -> Result:
        return check(data, table=self.table, draws=self.draws, seed=self.seed, memory=self._memory)

    # ------------------------------------------------------------ file and draft

    @classmethod
    def opened(
        cls, path: Path | None, table: FoodTable | None = None, *, draws: int = DRAWS
    ) -> Session:
        """The plan of a file, or a new one. Raises as :meth:`OpenedFile.read` does."""
        from nutricheck.editor.files import Draft, OpenedFile

        if path is None:
            session = cls({}, table, draws=draws)
        else:
            file, data = OpenedFile.read(path)
            session = cls(data, table, file.path, draws=draws)
            session.file = file
        session.draft = Draft.of(session.path)
        session._older = session.draft.read()
        if session._older is not None and session._older[0] == session.data:
            session._older = None
        return session

    def text(self) -> str | None:
        """The opened text, whose comments are kept; None where there is none."""
        if self.file is None or self.file.is_workbook or not self.file.path.exists():
            return None
        return self.file.path.read_text(encoding="utf-8-sig")

    def save(self, *, is_over: bool = False) -> str:
        """Write the opened file; what to say of it, "" where there is no file to write.

        Raises as :meth:`OpenedFile.write` does.
        """
        with self.lock:
            if self.file is None:
                return ""
            self.file.write(self.data, is_over=is_over)
            self.saved = self.data
            if self.draft is not None:
                self.draft.drop()
            return f"Saved to {self.file.path.name}."

    def reread(self) -> None:
        """Take what the file holds now; a step that can be undone."""
        from nutricheck.editor.files import OpenedFile

        with self.lock:
            if self.file is not None:
                self.file, data = OpenedFile.read(self.file.path)
                self.replace(data)
                self.saved = self.data

    def keep_draft(self) -> None:
        """Write what is not saved where only this user can read it."""
        if self.draft is None:
            return
        with self.lock:
            self._older = None
            if self.is_saved:
                self.draft.drop()
            else:
                self.draft.write(self.data, self.path)

    def offered_draft(self) -> str:
        """When the draft of an earlier time was written; "" where there is none."""
        return self._older[1] if self._older is not None else ""

    def take_draft(self) -> None:
        """Go on with the draft of an earlier time."""
        if self._older is not None:
            data, self._older = self._older[0], None
            self.replace(data)

    def drop_draft(self) -> None:
        """Forget the draft of an earlier time."""
        self._older = None
        if self.draft is not None:
            self.draft.drop()

    def close(self) -> None:
        """The end: what is not saved stays as a draft."""
        if not self.is_saved:
            self.keep_draft()


def typed(location: Location, value: object) -> object:
    """What was typed, as the plan holds it: whole numbers and yes or no where the field is one.

    Examples
    --------
    >>> typed(("person", "age"), "34"), typed(("person", "smoker"), "yes")
    (34, True)
    >>> typed(("trip", "title"), "  ") is None
    True
    """
    if isinstance(value, str):
        if len(value) > _LONGEST_TEXT:
            raise NutricheckError("This text is too long for any field.")
        value = value.strip() or None
    node = kind_at(location)
    if value is None or node is None or node.field is None or not isinstance(value, str):
        return value
    if node.field.kind == "number" and value.isdecimal() and len(value) < 10:
        return int(value)
    is_yes_no = node.field.kind == "yes/no" or node.field.choices == YES_NO
    if is_yes_no and value in YES_NO:
        return value == "yes"
    return value


#: Lists whose entries are named elsewhere: section and key of the name, and where it stands.
_NAMED_AT: dict[tuple[str, str], tuple[tuple[str, str, str], ...]] = {
    **{
        (section, "name"): (("mix", "parts", "item"), ("packed", "", "item"))
        for section in ("batch", "label", "mix")
    },
    ("packed", "item"): (("portions", "", "item"), ("ferment", "parts", "item")),
    ("ferment", "name"): (("portions", "", "item"),),
    ("days", "name"): (("portions", "days", ""), ("found", "days", ""), ("order", "", "day")),
    ("legs", "name"): (("packed", "", "leg"), ("found", "", "leg")),
    **{
        (section, "name"): (("portions", "who", ""), ("clinic", "", "who"))
        for section in ("person", "companions")
    },
}


def _renamed(data: Mapping[str, Any], place: Location, value: object) -> Iterator[Change]:
    """Where an entry gets another name, the same change in all that name it."""
    old = at(data, place)
    if len(place) not in (2, 3) or not isinstance(old, str) or not isinstance(value, str):
        return
    for section, inner, key in _NAMED_AT.get((str(place[0]), str(place[-1])), ()):
        for i, entry in enumerate(data.get(section) or ()):
            here: Location = (section, i, inner) if inner else (section, i)
            parts = entry.get(inner) if inner else [entry]
            for j, part in enumerate(parts if isinstance(parts, list) else ()):
                entry_place = (*here, j) if inner else here
                named = part.get(key) if key else part
                if not isinstance(named, str) or named.casefold() != old.casefold():
                    continue
                is_item = (section, key) == ("packed", "item")
                if is_item and entry.get("food") is not None:
                    continue
                yield ((*entry_place, key) if key else entry_place), value
                # the item in the pack is eaten under the same name
                if is_item:
                    yield from _renamed(data, (section, i, "item"), value)
