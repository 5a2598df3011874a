"""What goes with a label in the same design: a wrap band, a tag, cards, a lid.

A kind of piece is a row of pieces.toml: its size from the soap, its strips and folds, what each
says. An order lists those it wants as [[piece]]; here they get their measures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any, NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said, Term
from labelkit.common.own_tables import read_own_table
from labelkit.common.quantity import parse_length_mm
from labelkit.model.runs import Box
from labelkit.order.reader import Table, Words
from labelkit.order.remembered import remember_table

STEP_MM = 0.5
"""To which a thickness that is worked out is rounded up: what a cutter's stop can be set to."""
HOLE_IN_MM = 3.0
"""From the edge of a tag to that of its hole: common practice, no source."""


class Fold(NamedTuple):
    """A straight fold through a flat piece, from edge to edge."""

    upright: bool
    at_mm: float
    """From the left, or from the foot."""


@dataclass(frozen=True, slots=True)
class Strip:
    """One face of a piece as it lies on the flat sheet."""

    box: Box
    label: str = ""
    """The side of the label that it carries, "front" or "back"; "" for none."""
    says: tuple[str, ...] = ()
    """The elements that stand on it otherwise."""
    plain: bool = False
    """Nothing at all stands on it."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece that an order wants, flat as it is printed."""

    kind: str
    """Its row's; also the name of its panel."""
    width_mm: float
    height_mm: float
    strips: tuple[Strip, ...]
    folds: tuple[Fold, ...] = ()
    hole_mm: float = 0.0
    hides_label: bool = False
    """It lies over the label, and so carries what the label says."""
    stock: str = ""
    """"": the labels' own."""
    copies: int | None = None
    """None: as many as there are labels."""
    text: Words | None = None
    """What it says beside names, day and place; None: the usual."""

    def find_strip(self, label: str) -> Strip | None:
        """The strip that carries a side of the label."""
        return next((strip for strip in self.strips if strip.label == label), None)

    @property
    def holes(self) -> tuple[tuple[float, float], ...]:
        """The middles of its holes: at the head, of a folded one on both leaves by the fold."""
        if not self.hole_mm:
            return ()
        inset = HOLE_IN_MM + self.hole_mm / 2
        y = self.height_mm - inset
        upright = [fold.at_mm for fold in self.folds if fold.upright]
        if not upright:
            return ((self.width_mm / 2, y),)
        return tuple((at + side * inset, y) for at in upright for side in (-1, 1))


@dataclass(frozen=True, slots=True)
class Soap:
    """What pieces are measured by: the wrapped soap, and the label on it. Millimetres."""

    width_mm: float
    height_mm: float
    thick_mm: float
    label_mm: float
    """How high the label is."""


@cache
def load_piece_table() -> Mapping[str, Any]:
    """The rows and words of pieces.toml."""
    return read_own_table("order/pieces")


def list_piece_kinds() -> tuple[str, ...]:
    """The kinds of piece there are, in the table's order."""
    return tuple(dict.fromkeys(row["kind"] for row in load_piece_table()["row"]))


def find_usual_text(kind: str, memorial: bool) -> Words:
    """What a kind of piece says by language, where the order does not say it."""
    words = load_piece_table()["remembrance" if memorial else "words"]
    return dict(words.get(kind, {}))


def measure_thickness_mm(net_weight_g: Decimal, density_g_ml: Decimal, cut_mm2: Decimal) -> float:
    """How thick a piece of soap is: its mass over its density and the area of its cut face."""
    millimetres = float(net_weight_g * 1000 / density_g_ml / cut_mm2)
    return math.ceil(millimetres / STEP_MM - 1e-9) * STEP_MM


@remember_table
def read_piece(table: Table, soap: Soap, stock: str) -> Piece:
    """One [[piece]] of a label spec, with the measures that its row has for the soap."""
    kind: str = table.choice("kind", among=list_piece_kinds())
    size, thick = table.size_mm("size", None), table.length_mm("thick", None)
    hole, copies = table.length_mm("hole", None), table.integer("copies", None)
    text: Words | None = table.words("text", None)
    row = _choose_row(table, kind)
    if thick is not None:
        soap = replace(soap, thick_mm=float(thick))
    room = _measure(row.get("room", "0 mm"), soap)
    if size is None:
        width, height = (_measure(side, soap) + room for side in row["size"])
    else:
        width, height = map(float, size)
    hides = _read_hides(table, row)
    strips, folds = _lay_strips(row, (width, height), soap, room, hides)
    around = [strip.box for strip in strips]
    piece = Piece(
        kind=kind,
        width_mm=max(box.x1_mm for box in around),
        height_mm=max(box.y1_mm for box in around),
        strips=strips,
        folds=folds,
        hole_mm=_find_hole_mm(table, row, hole),
        hides_label=hides,
        stock=stock,
        copies=copies,
        text=text,
    )
    if text is not None and not any("thanks" in strip.says for strip in strips):
        told = Said("expected only of a tag or a card with words of its own")
        table.wrong("text", None, told)
    table.done()
    return piece


def is_named(piece: Piece) -> bool:
    """Whether each of a kind carries the name of a guest."""
    return any("guest" in strip.says for strip in piece.strips)


def _choose_row(table: Table, kind: str) -> Mapping[str, Any]:
    every: list[Mapping[str, Any]] = load_piece_table()["row"]
    rows = [row for row in every if row["kind"] == kind]
    folded = table.flag("folded", rows[0].get("folded", False))
    row = next((row for row in rows if row.get("folded", False) == folded), None)
    if row is None:
        told = Said("a {kind} is made in one way alone; leave it out", kind=Term("panel", kind))
        table.wrong("folded", folded, told)
    return row


def _read_hides(table: Table, row: Mapping[str, Any]) -> bool:
    hides: bool = table.flag("hides_label", row.get("hides", False))
    if hides and not row.get("hides", False):
        told = Said("expected only of a band or a lid, which lie over the label")
        table.wrong("hides_label", hides, told)
    return hides


def _find_hole_mm(table: Table, row: Mapping[str, Any], given: Decimal | None) -> float:
    usual = parse_length_mm(row.get("hole", "0 mm"))
    if given and not usual:
        table.wrong("hole", table.raw("hole"), Said("expected only of a tag"))
    return float(usual if given is None else given)


def _measure(written: str, soap: Soap) -> float:
    """A length, a measure of the soap, or a share of one, in millimetres."""
    measures = {
        "width": soap.width_mm,
        "height": soap.height_mm,
        "longer": max(soap.width_mm, soap.height_mm),
        "thick": soap.thick_mm,
        "label": soap.label_mm,
    }
    share, _, name = written.rpartition(" ")
    if name in measures:
        return round(float(share or 1) * measures[name], 2)
    return float(parse_length_mm(written))


def _lay_strips(
    row: Mapping[str, Any], face: tuple[float, float], soap: Soap, room: float, hides: bool
) -> tuple[tuple[Strip, ...], tuple[Fold, ...]]:
    """The strips side by side on the flat sheet, and the folds between them."""
    across = row["run"] == "across"
    own, other = face if across else face[::-1]
    lengths = [
        _measure(strip["long"], soap) + (room if strip["long"] == "thick" else 0.0)
        if "long" in strip
        else own
        for strip in row["strips"]
    ]
    whole, at = sum(lengths), 0.0
    strips: list[Strip] = []
    folds: list[Fold] = []
    for written, length in zip(row["strips"], lengths, strict=True):
        if across:
            box = Box(at, 0.0, at + length, other)
        else:
            box = Box(0.0, whole - at - length, other, whole - at)
        if at:
            folds.append(Fold(across, at if across else whole - at))
        label = written.get("label", "") if hides else ""
        says = () if label else tuple(written.get("says", ()))
        strips.append(Strip(box, label, says, written.get("plain", False)))
        at += length
    return tuple(strips), tuple(folds)
