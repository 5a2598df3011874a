"""The guests' own names, each set once and kept small: an event may have a hundred thousand."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterator, Mapping

from labelkit.model.runs import Box, LetterHeights, Run

_NUMBERS = 8
"""Kept of each name: size, place, advance, the four sides of its ink, its smallest figure."""


class GuestRuns(Mapping[str, tuple[Run, ...]]):
    """The runs of every guest by name, one to a name, all alike but for the text.

    Of each run only the numbers that are its own are kept, a tenth of its size; it is put together
    again whenever it is asked for.
    """

    def __init__(self) -> None:
        self._faces: dict[str, int] = {}
        self._like: list[Run] = []
        self._places: dict[str, int] = {}
        self._written: dict[str, str] = {}
        """The text of names that are set otherwise than they were given."""
        self._face_of = array("B")
        self._numbers = array("d")

    def add(self, name: str, run: Run) -> None:
        """Keeps the run of a name."""
        if run.face not in self._faces:
            self._faces[run.face] = len(self._like)
            self._like.append(run)
        if run.text != name:
            self._written[name] = run.text
        ink = run.ink
        self._places[name] = len(self._face_of)
        self._face_of.append(self._faces[run.face])
        figure = run.letters.figure_mm
        self._numbers.extend(
            (
                run.size_pt, run.x_mm, run.advance_mm, ink.x0_mm, ink.y0_mm, ink.x1_mm, ink.y1_mm,
                math.nan if figure is None else figure,
            )
        )  # fmt: skip

    def __getitem__(self, name: str) -> tuple[Run, ...]:
        place = self._places[name]
        like = self._like[self._face_of[place]]
        size, x, advance, x0, y0, x1, y1, figure = self._numbers[
            place * _NUMBERS : (place + 1) * _NUMBERS
        ]
        scale, letters = size / like.size_pt, like.letters
        run = Run(
            self._written.get(name, name), like.element, like.language, like.face, like.weight,
            size, x, like.baseline_mm, advance, Box(x0, y0, x1, y1),
            LetterHeights(
                letters.capital_mm and letters.capital_mm * scale,
                letters.small_o_mm and letters.small_o_mm * scale,
                None if math.isnan(figure) else figure,
                letters.n_width_mm and letters.n_width_mm * scale,
            ),
            like.colour, like.tracking_em,
        )  # fmt: skip
        return (run,)

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)
