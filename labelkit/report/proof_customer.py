"""The customer's part of a proof: what she checks and signs, and nothing of the workshop."""

from __future__ import annotations

import io
from collections.abc import Sequence

from labelkit.compose.job import Job
from labelkit.pdf.write.page import INK, MARGIN_MM, QUIET, measure_width_mm
from labelkit.report.captions import Captions
from labelkit.report.proof_sheet import (
    CAPTION_MM,
    CAPTION_PT,
    MOST_ENLARGED,
    NAMES_PT,
    Numbered,
    format_mm,
)
from labelkit.report.proof_suite import SuitePages
from labelkit.typeset.apostrophes import set_apostrophes

GAP_MM = 16.0
"""Between panels side by side."""
BELOW_MM = 18.0
"""What panels at actual size take beside their own height: a dimension line, a caption, space."""
CAPTIONED_MM = 12.0
"""What an enlarged panel takes: a caption, space."""
SIGNATURE_MM = 42.0
"""Above the margin of the first page: the code, and where she signs."""
CODE_PT = 17.0
GUEST_COLUMNS = 3
GUEST_GAP_MM = 4.0
NAME_PT = 9.5


class CustomerProof(SuitePages):
    """The pages that the customer keeps and signs."""

    def __init__(
        self,
        stream: io.BytesIO,
        job: Job,
        words: Captions,
        code: str,
        unwritten: Sequence[str] = (),
    ) -> None:
        """``code`` is the order's; ``unwritten`` are guests whose labels have no name."""
        label, pieces = job.composed, job.fitting_pieces
        every = (*label, *(one.whole for one in pieces))
        super().__init__(stream, job, words, words.proof, every, code)
        self.panels = self.panels[: len(label)]
        self.pieces = tuple(enumerate(pieces, start=len(label)))
        self.unwritten = unwritten

    @property
    def low(self) -> float:
        return MARGIN_MM + (SIGNATURE_MM if self.page == 1 else 0.0)

    def draw(self) -> None:
        """All pages, and the end of the file."""
        self._heading(self.words.proof, NAMES_PT)
        self._signature()
        self.draw_looks(self.low)
        self._actual_size()
        self._shown_guests()
        self._enlarged()
        if self.page == 1:
            self.new_page()
        self.draw_pieces(self.pieces)
        self._guests()
        if self.y < self.top:
            self.new_page()
        self.save()

    def _actual_size(self) -> None:
        """All panels as they print, beside each other as far as the page reaches."""
        rows: list[list[Numbered]] = [[]]
        room = self.right - MARGIN_MM
        for index, composed in self.panels:
            row = [*rows[-1], (index, composed)]
            if rows[-1] and _sum_row_width(row) > room:
                rows.append([(index, composed)])
            else:
                rows[-1] = row
        for row in rows:
            self.room(max(composed.panel.height_mm for _, composed in row) + BELOW_MM)
            height = max(composed.panel.height_mm for _, composed in row)
            x = self._middle - _sum_row_width(row) / 2
            for index, composed in row:
                panel = composed.panel
                foot = self.y - height + (height - panel.height_mm) / 2
                self._place(index, composed, x, foot, 1.0, self._shown.first)
                self._across(x, foot - 3.0, panel.width_mm, panel.width_mm)
                title = f"{self.words.panel(panel.name)}, {self.words.actual_size}"
                centre = x + panel.width_mm / 2
                self.text(title, centre, foot - 10.2, self.plain, CAPTION_PT, QUIET, "centre")
                x += panel.width_mm + GAP_MM
            self.y -= height + BELOW_MM

    def _shown_guests(self) -> None:
        """Whose names stand on the labels of this page."""
        shown, words = self._shown, self.words
        count = len(self.job.spec.event.guest_names)
        if not shown.tightest or count == 1:
            return
        told = words.same_guest if shown.first == shown.tightest else words.shown_guests
        text = set_apostrophes(told.format(first=shown.first, tightest=shown.tightest, count=count))
        for line in self.lines(text, MARGIN_MM, CAPTION_PT):
            self.text(line, self._middle, self.y, self.plain, CAPTION_PT, QUIET, "centre")
            self.y -= CAPTION_MM
        self.y -= CAPTION_MM

    # -- enlarged

    def _scale(self, room_mm: float, panels: Sequence[Numbered]) -> float:
        return max(scale for scale, _ in self._arrangements(room_mm, panels))

    def _arrangements(
        self, room_mm: float, panels: Sequence[Numbered]
    ) -> list[tuple[float, list[Sequence[Numbered]]]]:
        """Rows of one panel, of two and so on, with how many times they can be enlarged."""
        found: list[tuple[float, list[Sequence[Numbered]]]] = []
        for columns in range(len(panels), 0, -1):
            rows = [panels[n : n + columns] for n in range(0, len(panels), columns)]
            wide = max(sum(c.panel.width_mm for _, c in row) for row in rows)
            high = sum(max(c.panel.height_mm for _, c in row) for row in rows)
            across = (self.right - MARGIN_MM - GAP_MM * (columns - 1)) / wide
            free = max(room_mm - CAPTIONED_MM * len(rows), 1.0)
            found.append((min(MOST_ENLARGED, across, free / high), rows))
        return found

    def _enlarge(self, panels: Sequence[Numbered], scale: float) -> None:
        """As arranged for the largest, in the middle of what is left of the first page."""
        room = self.y - self.low
        _, rows = max(self._arrangements(room, panels), key=lambda found: found[0])
        high = sum(max(c.panel.height_mm for _, c in row) * scale + CAPTIONED_MM for row in rows)
        if self.page == 1:
            self.y -= (room - high) / 2
        for row in rows:
            self._enlarged_row(row, scale)

    def _enlarged_row(self, row: Sequence[Numbered], scale: float) -> None:
        times = self.words.times.format(times=format_mm(scale, self.words.locale))
        wide = sum(c.panel.width_mm * scale for _, c in row) + GAP_MM * (len(row) - 1)
        high = max(composed.panel.height_mm for _, composed in row) * scale
        x = self._middle - wide / 2
        for index, composed in row:
            width = composed.panel.width_mm * scale
            foot = self.y - high + (high - composed.panel.height_mm * scale) / 2
            self._place(index, composed, x, foot, scale, self._shown.tightest)
            caption = f"{self.words.panel(composed.panel.name)}, {times}"
            middle = x + width / 2
            self.text(caption, middle, foot - 4.6, self.plain, CAPTION_PT, QUIET, "centre")
            x += width + GAP_MM
        self.y -= high + CAPTIONED_MM

    # -- what is signed

    def _signature(self) -> None:
        """What the code is for, and where she signs: always at the foot of the first page."""
        words, y = self.words, MARGIN_MM + 5.0
        self.text(words.please_check, self._middle, y + 32, self.plain, 9, INK, "centre")
        self.text(self.code, self._middle, y + 22, self.plain, CODE_PT, INK, "centre")
        told = words.approve_by_code.format(code=self.code)
        self.text(told, self._middle, y + 16, self.plain, CAPTION_PT, QUIET, "centre")
        labels = (words.approved_by, words.signature, words.signed_on)
        self.lines_to_sign(labels, y, CAPTION_PT, 0.4)

    def _guests(self) -> None:
        """Every guest's name as it will be printed, in the order of the labels."""
        names = self.job.spec.event.guest_names
        if self.unwritten:
            self._title(f"{self.words.unwritten_names} ({len(self.unwritten)})")
            self._prose(" · ".join(map(set_apostrophes, self.unwritten)), INK)
            self.down(6)
        if not names:
            return
        self._title(f"{self.words.guest_names} ({len(names)})")
        numbered = [f"{number}  {set_apostrophes(name)}" for number, name in enumerate(names, 1)]
        widest = (
            max(measure_width_mm(text, self.plain, NAME_PT) for text in numbered) + GUEST_GAP_MM
        )
        columns = min(GUEST_COLUMNS, max(1, int((self.right - MARGIN_MM + GUEST_GAP_MM) / widest)))
        step = (self.right - MARGIN_MM) / columns
        for first in range(0, len(names), columns):
            self.room(6)
            for column, text in enumerate(numbered[first : first + columns]):
                x = MARGIN_MM + column * step
                self.text(text, x, self.y, self.plain, NAME_PT, INK)
            self.down(5.0)


def _sum_row_width(row: Sequence[Numbered]) -> float:
    return sum(c.panel.width_mm for _, c in row) + GAP_MM * (len(row) - 1)
