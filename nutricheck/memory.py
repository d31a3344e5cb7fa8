"""Values kept by what they were made from, so that what did not change is not worked out again.

A check that is given a :class:`Memory` asks it first. The key of a value is all that the value
rests on, quantities with the words that they were written in; values are frozen, so that one may
stand in many results.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from typing import Any, ParamSpec, TypeVar, cast

import numpy as np
from pydantic import BaseModel

from nutricheck.units import Written

__all__ = ["Memory", "Same", "frozen"]

#: What so many checks did not use is let go; ours.
_MOST_CHECKS = 8

_Value = TypeVar("_Value")
_Arguments = ParamSpec("_Arguments")


class Same:
    """A key that is one object and no other, however alike."""

    __slots__ = ("_thing",)

    def __init__(self, thing: object) -> None:
        self._thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self._thing is other._thing

    def __hash__(self) -> int:
        return id(self._thing)


class Memory:
    """The values of the last checks: what so many of them did not use is let go."""

    def __init__(self) -> None:
        self._check = 0
        self._values: OrderedDict[Hashable, tuple[int, Any]] = OrderedDict()

    def begin_check(self) -> None:
        """Another check begins."""
        self._check += 1
        while self._values:
            used, _ = next(iter(self._values.values()))
            if used > self._check - _MOST_CHECKS:
                break
            self._values.popitem(last=False)

    def value(self, key: Hashable, make: Callable[[], _Value]) -> _Value:
        """The value of the key, made where it is not at hand. What raises is not kept."""
        _, value = self._values[key] if key in self._values else (0, make())
        self._values[key] = self._check, value
        self._values.move_to_end(key)
        return cast(_Value, value)

    def result_of(
        self,
        function: Callable[_Arguments, _Value],
        *args: _Arguments.args,
        **more: _Arguments.kwargs,
    ) -> _Value:
        """What the function returns for these arguments; they are the key."""
        return self.value(
            (function.__qualname__, frozen(args), frozen(more)), lambda: function(*args, **more)
        )

    def __len__(self) -> int:
        return len(self._values)


def frozen(value: object) -> Hashable:
    """The value as a key: models field by field, quantities with their words.

    Examples
    --------
    >>> from nutricheck.units import parse
    >>> frozen([1.5, parse("0.5 kg", "gram")])
    (1.5, (500.0, '0.5 kg'))
    """
    if isinstance(value, Written):
        return (float(value), value.text)
    if isinstance(value, BaseModel):
        return (type(value).__name__, *(frozen(part) for part in value.__dict__.values()))
    if isinstance(value, np.ndarray):
        return (value.shape, value.tobytes())
    if isinstance(value, Mapping):
        return tuple((key, frozen(part)) for key, part in value.items())
    if isinstance(value, list | tuple):
        return tuple(frozen(part) for part in value)
    return value  # type: ignore[return-value]
