"""The ICC profile of a printing works' press, which goes into the files that are made for it."""

from __future__ import annotations

from dataclasses import field
from pathlib import Path

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.order.reader import read_bytes

MAX_PROFILE_BYTES = 10_000_000
_CHANNELS = {b"GRAY": 1, b"CMYK": 4}
"""Colour spaces of presses, as profiles name them, and their inks."""


@dataclass(frozen=True, slots=True)
class WorksProfile:
    """A profile that was read."""

    data: bytes = field(repr=False)
    components: int
    """1 of black ink, 4 of process inks."""
    condition: str
    """What the registry of characterisations calls the printing condition; empty: not said."""
    file: str
    """The name of its file."""


def read_works_profile(path: Path, condition: str) -> WorksProfile:
    """The profile of a file; InputError for one that is of no press.

    Only its head is looked at (ICC.1:2010, 7.2): whose device it is of, and in which colours.
    """
    data = read_bytes(path, Said("an ICC profile"), MAX_PROFILE_BYTES)
    if len(data) < 132 or data[36:40] != b"acsp" or int.from_bytes(data[:4], "big") != len(data):
        raise InputError(format_path(path), "", None, Said("is no ICC profile, or cut short"))
    if data[12:16] != b"prtr" or data[16:20] not in _CHANNELS:
        told = Said("is not of a press; expected the profile of an output device in CMYK or grey")
        raise InputError(format_path(path), "", None, told)
    return WorksProfile(data, _CHANNELS[data[16:20]], condition, path.name)
