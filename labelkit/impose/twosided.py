"""Pieces with two sides: sheets printed on both sides in register.

Separate stickers for front and back need none of this; they are two sheets alike.
"""

from __future__ import annotations

from dataclasses import replace

from labelkit.impose.sheet import LabelPlace, Sheet, StraightLine

FLIPS = ("long", "short")
"""The edge of the page about which a duplex printer, or a hand, turns the sheet over."""


def mirror_for_back(sheet: Sheet, flip: str = "long") -> Sheet:
    """The other side of a sheet: every label behind its front, upright when the piece is turned.

    A piece is turned like a page, about its own upright axis. Crop and registration marks fall on
    those of the front; ruler, cut numbers and notes are on the front alone.
    """
    if flip not in FLIPS:
        raise ValueError(f"flip {flip!r}; expected one of {', '.join(FLIPS)}")
    width, height = sheet.page_width_mm, sheet.page_height_mm
    sideways = (flip == "long") == (height >= width)

    def over(x: float, y: float) -> tuple[float, float]:
        return (width - x, y) if sideways else (x, height - y)

    def place(front: LabelPlace) -> LabelPlace:
        x, y = over(front.x_mm, front.y_mm)
        # Turned about the page's upright axis, a label's left becomes right; about the level one
        # its top becomes its foot.
        if sideways:
            return replace(front, x_mm=x - front.width_mm, turns=-front.turns % 4)
        return replace(front, y_mm=y - front.height_mm, turns=(2 - front.turns) % 4)

    def line(mark: StraightLine) -> StraightLine:
        return StraightLine(*over(mark.x0, mark.y0), *over(mark.x1, mark.y1), mark.weight_pt)

    return Sheet(
        page_width_mm=width,
        page_height_mm=height,
        places=tuple(place(front) for front in sheet.places),
        marks=tuple(line(mark) for mark in sheet.marks),
        registration=tuple(
            replace(target, x_mm=x, y_mm=y)
            for target in sheet.registration
            for x, y in (over(target.x_mm, target.y_mm),)
        ),
    )
