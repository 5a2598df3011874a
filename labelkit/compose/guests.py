"""The guests' own names, each set once and kept small: an event may have a hundred thousand."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Mapping
from dataclasses import replace

from labelkit.runs import Box, Run
from labelkit.typeset.faces import Face

_NUMBERS = 7
"""Kept of each name: size, place, advance and the four sides of its ink."""


class GuestRuns(Mapping[str, tuple[Run, ...]]):
    """The runs of every guest by name, one to a name, all alike but for the text.

    Of each run only the numbers that are its own are kept, a tenth of its size; it is put together
    again whenever it is asked for.
    """

    def __init__(self) -> None:
        self._faces: dict[str, int] = {}
        self._like: list[tuple[Face, Run]] = []
        self._places: dict[str, int] = {}
        self._face_of = array("B")
        self._numbers = array("d")

    def add(self, name: str, face: Face, run: Run) -> None:
        """Keeps the run of a name, set in ``face``."""
        if face.name not in self._faces:
            self._faces[face.name] = len(self._like)
            self._like.append((face, run))
        ink = run.ink
        self._places[name] = len(self._face_of)
        self._face_of.append(self._faces[face.name])
        self._numbers.extend(
            (run.size_pt, run.x_mm, run.advance_mm, ink.x0_mm, ink.y0_mm, ink.x1_mm, ink.y1_mm)
        )

    def __getitem__(self, name: str) -> tuple[Run, ...]:
        place = self._places[name]
        face, like = self._like[self._face_of[place]]
        size, x, advance, *ink = self._numbers[place * _NUMBERS : (place + 1) * _NUMBERS]
        run = replace(
            like,
            text=name,
            size_pt=size,
            x_mm=x,
            advance_mm=advance,
            ink=Box(*ink),
            letters=face.letters(size, name),
        )
        return (run,)

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)
