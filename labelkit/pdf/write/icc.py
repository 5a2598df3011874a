"""An ICC profile of black ink on white paper, made here, for the output intent of a press file.

ICC.1:2001-04 (version 2.4), which every reader of PDF 1.6 knows. Nothing of a known press is in it:
a printing works that names its own profile has that instead.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from functools import lru_cache

TITLE = "Black ink on white paper"
_D50 = (0.9642, 1.0, 0.8249)
"""ICC.1:2001-04, 6.4.1: the illuminant of the profile connection space."""
_STEPS = 256
_GAIN = 0.16
"""How much larger dots of half the area print (ISO 12647-2:2013, curve A, from memory)."""
_BLACK = 0.019
"""Luminance of solid black, L* 15 or so (offset on coated paper, from memory)."""


@lru_cache(maxsize=1)
def make_grey_profile() -> bytes:
    """The bytes of the profile; the same ones always, its date being that of the standard."""
    tags = (
        (b"desc", _make_description(TITLE)),
        (b"cprt", b"text\0\0\0\0" + b"No copyright: made by labelkit and free to use\0"),
        (b"wtpt", _make_xyz(_D50)),
        (b"kTRC", _make_curve([_find_luminance(step / (_STEPS - 1)) for step in range(_STEPS)])),
    )
    table, body = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for signature, data in tags:
        padded = data + b"\0" * (-len(data) % 4)
        table += signature + struct.pack(">II", start + len(body), len(data))
        body += padded
    size = start + len(body)
    head = struct.pack(
        ">I4sI4s4s4s6H4s4sI4s4sQI3i4s44x",
        size, b"\0" * 4, 0x02400000, b"prtr", b"GRAY", b"XYZ ",
        2001, 4, 1, 0, 0, 0, b"acsp", b"\0" * 4, 0, b"\0" * 4, b"\0" * 4, 0, 0,
        *map(_fix, _D50), b"\0" * 4,
    )  # fmt: skip
    return head + struct.pack(">I", len(tags)) + table + body


def _find_luminance(light: float) -> float:
    """Of white paper's, what is left where so much of it (0 to 1) is meant to be left bare."""
    covered = 1 - light
    dots = covered + 4 * _GAIN * covered * (1 - covered)
    return 1 - dots * (1 - _BLACK)


def _fix(value: float) -> int:
    """A number as s15Fixed16."""
    return round(value * 65536)


def _make_xyz(values: Sequence[float]) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(">3i", *map(_fix, values))


def _make_curve(values: Sequence[float]) -> bytes:
    numbers = [round(min(max(v, 0.0), 1.0) * 65535) for v in values]
    return b"curv\0\0\0\0" + struct.pack(f">I{len(numbers)}H", len(numbers), *numbers)


def _make_description(text: str) -> bytes:
    """A textDescriptionType without Unicode and without the script of old systems."""
    ascii_ = text.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(ascii_)) + ascii_ + b"\0" * (4 + 4 + 2 + 1 + 67)
