"""Ready-cut labels on a roll, which are counted from its beginning."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.impose.layout import TrimSize, lay_out_page
from labelkit.impose.positions import count_pages
from labelkit.order.stock import Stock


@dataclass(frozen=True, slots=True)
class RollSpan:
    """The labels of a roll that one file takes, counted from 1."""

    name: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class RollUse:
    """What a job takes off a roll: one file after the other, each beginning with a new row."""

    spans: tuple[RollSpan, ...]
    labels: int
    """On a full roll; 0 where its file does not say."""
    rolls: int
    """How many are begun, the part-used one included."""

    @property
    def next_start(self) -> int:
        """The first label that is left, on the roll that is then in the printer."""
        last = self.spans[-1].last
        return last % self.labels + 1 if self.labels else last + 1

    @property
    def left(self) -> int:
        """Labels on that roll; 0 where the last one is used up, or nothing is known of it."""
        return -self.spans[-1].last % self.labels if self.labels else 0


def count_roll(
    stock: Stock, wanted: Mapping[str, tuple[TrimSize, int]], start: int, bleed_mm: float = 0.0
) -> RollUse:
    """Which labels of a roll the files of a job take, given each one's trim and count of labels.

    InputError for a start that the roll does not have, FitError as for sheets.
    """
    if stock.roll_labels and not 1 <= start <= stock.roll_labels:
        raise InputError(
            "--start", "", start, Said("a full roll has {labels} labels", labels=stock.roll_labels)
        )
    spans, free = [], start + -(start - 1) % stock.across
    for name, (trim, count) in wanted.items():
        taken = count_pages(lay_out_page(stock, trim, bleed_mm), count) * stock.across
        spans.append(RollSpan(name, free, free + taken - 1))
        free += taken
    rolls = -(-(free - 1) // stock.roll_labels) if stock.roll_labels else 1
    return RollUse(tuple(spans), stock.roll_labels, rolls)


def list_changes_of_roll(use: RollUse) -> Iterable[tuple[RollSpan, int]]:
    """Where a new roll has to be put in: the file, and the last of its labels on the old one."""
    for end in range(use.labels, use.spans[-1].last, use.labels or 1):
        for span in use.spans:
            if span.first <= end + 1 <= span.last:
                yield span, end - span.first + 1
