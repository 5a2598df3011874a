"""Which positions of which sheets the labels of a job take."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.impose.layout import PageLayout


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What a job leaves of its last sheet. Positions are counted from 1, in rows."""

    free: tuple[int, ...]
    """Unused, undamaged positions."""
    positions: int
    """Positions of a whole sheet."""

    @property
    def start(self) -> int | None:
        """What to give the next job as ``--start``; None when the sheet is used up."""
        return self.free[0] if self.free else None

    @property
    def skip(self) -> tuple[int, ...]:
        """What to give the next job as ``--skip``."""
        if not self.free:
            return ()
        free = set(self.free)
        return tuple(n for n in range(self.free[0], self.positions + 1) if n not in free)


def list_free_positions(layout: PageLayout, start: int, skip: Iterable[int]) -> list[int]:
    """Free positions of a part-used first sheet; InputError when there is no such position."""
    positions = len(layout.positions)
    damaged = set(skip)
    for option, position in (("--start", start), *(("--skip", one) for one in sorted(damaged))):
        if not 1 <= position <= positions:
            told = Said("a sheet has positions 1 to {positions}", positions=positions)
            raise InputError(option, "", position, told)
    free = [n for n in range(start, positions + 1) if n not in damaged]
    if not free:
        raise InputError("--skip", "", None, Said("leaves no position free; take a new sheet"))
    return free


def split_into_sheets(
    layout: PageLayout, count: int, start: int, skip: Iterable[int]
) -> Iterator[tuple[list[int], int]]:
    """For each sheet, its free positions and how many labels it takes."""
    free = list_free_positions(layout, start, skip)
    everything = list(range(1, len(layout.positions) + 1))
    while count > 0:
        room = sum(len(layout.positions[n - 1]) for n in free)
        taken = min(room, count)
        yield free, taken
        count -= taken
        free = everything


def count_pages(layout: PageLayout, count: int) -> int:
    """How many whole pages carry so many labels."""
    return -(-count // layout.labels_per_page)


def find_left_after(layout: PageLayout, free: list[int], labels: int) -> LeftOver:
    """What is left of a sheet with these free positions once it carries so many labels."""
    used = 0
    while labels > 0:
        labels -= len(layout.positions[free[used] - 1])
        used += 1
    return LeftOver(tuple(free[used:]), len(layout.positions))
