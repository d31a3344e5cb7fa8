"""Damage to bytes, steered by a random generator: what editors, disks and pranksters do to files.

Half the damage is blind (bits, cuts, copies, splices with another seed), half knows words: numbers
become extreme ones, quoted texts become odd ones, lines and fields change places.
"""

from __future__ import annotations

import io
import random
import re
import zipfile

__all__ = ["damaged", "damaged_zip", "other_values"]

NUMBERS = [
    b"0",
    b"-1",
    b"-0.0",
    b"1e-320",
    b"1e308",
    b"1e400",
    b"-1e400",
    b"nan",
    b"inf",
    b"0x10",
    b"1_000",
    b"1,5",
    b"1,000",
    b"99999999999999999999999",
    b"0.1e-999",
    b"007",
    b"\xd9\xa3",
    b"+5",
    b"1.",
    b".5",
]
WORDS = [
    b"",
    b" ",
    b"\x00",
    b"\x1b[31m",
    b"\xff\xfe",
    b"\xe2\x80\xae",
    b"\xf0\x9f\x8d\x85",
    b"=1+1",
    b"'",
    b'"',
    b"%s%n",
    b"../../etc/passwd",
    b"NaN",
    b"None",
    b"true",
    b"5 g",
    b"-5 g",
    b"1e400 kg",
    b"5 parsec",
    b"50 %DV",
    b"<0.1 mg",
    b"1 %",
    b"0 h",
    b"400 \xc2\xb0C",
    b"mg" * 40,
    b"A" * 5000,
    b"\xcc\x81" * 60,
    b"2026-07-06",
    b"07:30:00",
    b"[]",
    b"{}",
    b"[[[[",
    b"((((((((((",
    b"MG",
    b"Spinach, raw",
    b"raw",
]
PLAUSIBLE = [
    *(str(number).encode() for number in (0, 1, 2, 3, 5, 8, 12, 20, 35, 60, 90, 100, 250, 900)),
    *(b"0.0001", b"0.01", b"0.5", b"1.5", b"33.3", b"99.9", b"1500", b"4000", b"20000", b"199999"),
]
_NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
_QUOTED = re.compile(rb'"[^"\n]*"|~[^~\n]*~|>[^<>]+<')


def damaged(raw: bytes, chance: random.Random, other: bytes = b"") -> bytes:
    """The bytes after one to four pieces of damage; ``other`` is a file to splice from."""
    for _ in range(chance.choice((1, 1, 1, 2, 2, 4))):
        raw = chance.choice(_WAYS)(raw, chance, other)
    return raw


def other_values(raw: bytes, chance: random.Random, _: bytes = b"") -> bytes:
    """The text with one to three of its numbers changed for ones that a person might write."""
    for _ in range(chance.randint(1, 3)):
        match = chance.choice(list(_NUMBER.finditer(raw)))
        raw = raw[: match.start()] + chance.choice(PLAUSIBLE) + raw[match.end() :]
    return raw


def damaged_zip(raw: bytes, chance: random.Random, other: bytes = b"") -> bytes:
    """A zip damaged as bytes, or with one of its files damaged, left out or doubled."""
    if chance.random() < 0.2:
        return damaged(raw, chance, other)
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = chance.choice(list(parts))
    way = chance.random()
    if way < 0.1:
        del parts[name]
    elif way < 0.2:
        parts[chance.choice(list(parts))] = parts[name]
    else:
        parts[name] = damaged(parts[name], chance, parts[chance.choice(list(parts))])
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, content in parts.items():
            archive.writestr(part, content)
    return out.getvalue()


def _flip(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    if not raw:
        return raw
    at = chance.randrange(len(raw))
    return raw[:at] + bytes([raw[at] ^ (1 << chance.randrange(8))]) + raw[at + 1 :]


def _cut(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    at = chance.randrange(len(raw) + 1)
    return raw[:at] + raw[at + chance.choice((1, 2, 8, 60, 400)) :]


def _end(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    return raw[: chance.randrange(len(raw) + 1)]


def _copy(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    at, to = sorted(chance.randrange(len(raw) + 1) for _ in "ab")
    piece = raw[at : min(to, at + 2000)]
    return raw[:to] + piece * chance.choice((1, 1, 2, 40)) + raw[to:]


def _splice(raw: bytes, chance: random.Random, other: bytes) -> bytes:
    at = chance.randrange(len(raw) + 1)
    start = chance.randrange(len(other) + 1)
    return raw[:at] + other[start : start + chance.choice((5, 50, 500))] + raw[at:]


def _insert(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    at = chance.randrange(len(raw) + 1)
    return raw[:at] + chance.choice(NUMBERS + WORDS) + raw[at:]


def _number(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    found = list(_NUMBER.finditer(raw))
    if not found:
        return raw
    match = chance.choice(found)
    return raw[: match.start()] + chance.choice(NUMBERS) + raw[match.end() :]


def _text(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    found = list(_QUOTED.finditer(raw))
    if not found:
        return raw
    match = chance.choice(found)
    inside = chance.choice(NUMBERS + WORDS)
    return raw[: match.start() + 1] + inside + raw[match.end() - 1 :]


def _lines(raw: bytes, chance: random.Random, _: bytes) -> bytes:
    lines = raw.split(b"\n")
    here, there = chance.randrange(len(lines)), chance.randrange(len(lines))
    way = chance.randrange(4)
    if way == 0:
        lines[here], lines[there] = lines[there], lines[here]
    elif way == 1:
        lines.insert(here, lines[there])
    elif way == 2:
        del lines[here]
    else:
        lines[here] = lines[here] * 2
    return b"\n".join(lines)


_WAYS = (_flip, _cut, _end, _copy, _splice, _insert, _number, _number, _text, _text, _lines, _lines)
