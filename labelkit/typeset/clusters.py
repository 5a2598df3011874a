"""Text in several scripts as pieces, in the order they are seen: own text, and shaped clusters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.typeset.companions import Companion, MixedFace, own_face_of
from labelkit.typeset.faces import Face
from labelkit.typeset.items import OWN, Item, list_scripts, list_seen_items

Bounds = tuple[float, float, float, float]

SLIVER_EM = 0.01
"""How far the characters of a cluster stand apart."""

JOINED = frozenset(
    {"Arab", "Syrc", "Mong", "Nkoo", "Deva", "Beng", "Guru", "Tibt", "Mand", "Phag", "Rohg"}
)
"""Scripts whose letters join along the line: space between them would tear words."""


@dataclass(frozen=True, slots=True)
class Cluster:
    """Characters that are written by glyphs of their own, and cannot be parted.

    Lengths are in ems of the line it stands on; those of its glyphs in ems of its font.
    """

    start: int
    end: int
    font: Companion
    scale: float
    """The size of its font against that of the line."""
    glyphs: tuple[tuple[int, float, float], ...]
    """Number of each glyph and where it stands, from the cluster's own origin."""
    width: float
    """Of the font, in its ems."""
    ink: Bounds | None
    """Left, bottom, right and top, from where it begins."""
    right_to_left: bool = False
    joined: bool = False

    @property
    def advance(self) -> float:
        return self.width * self.scale


@dataclass(frozen=True, slots=True)
class OwnText:
    """Characters that the layout's own face writes, from left to right."""

    start: int
    end: int


Piece = Cluster | OwnText


@lru_cache(maxsize=4096)
def split_into_pieces(face: MixedFace, text: str) -> tuple[Piece, ...]:
    """A text from left to right as it is seen."""
    pieces: list[Piece] = []
    for item in list_seen_items(text, list_scripts(text, face.own_writes)):
        if item.script == OWN and not item.right_to_left:
            pieces.append(OwnText(item.start, item.end))
        else:
            pieces += _shape_item(face, text, item)
    return tuple(pieces)


@lru_cache(maxsize=256)
def _make_own_companion(face: Face) -> Companion:
    """The face as a companion of itself: for its brackets and spaces between other letters."""
    return Companion(face.name, face.path, 0, (), face.weight, True)


def _shape_item(face: MixedFace, text: str, item: Item) -> Iterator[Cluster]:
    """The clusters of an item from left to right, shaped by HarfBuzz."""
    import uharfbuzz as hb

    found = face.companion(item.script) if item.script != OWN else None
    font, scale = found or (_make_own_companion(own_face_of(face)), 1.0)
    buffer = hb.Buffer()
    # With what stands around it, so that letters at its ends take the form they have there.
    buffer.add_codepoints(list(map(ord, text)), item.start, item.end - item.start)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if item.right_to_left else "ltr"
    if item.script not in (OWN, "Zyyy"):
        buffer.script = item.script
    hb.shape(font.font, buffer)
    infos, positions = buffer.glyph_infos, buffer.glyph_positions
    starts = sorted({info.cluster for info in infos})
    ends = dict(zip(starts, [*starts[1:], item.end], strict=True))
    glyphs: list[tuple[int, Any]] = []
    for number, (info, at) in enumerate(zip(infos, positions, strict=True)):
        glyphs.append((info.codepoint, at))
        last = number + 1 == len(infos) or infos[number + 1].cluster != info.cluster
        if last:
            made = _make_cluster(font, scale, glyphs, (info.cluster, ends[info.cluster]), item)
            yield from _split_cluster(made) if item.right_to_left else (made,)
            glyphs = []


def _split_cluster(cluster: Cluster) -> Iterator[Cluster]:
    """A cluster from right to left as one cluster to a character, each left of the one before.

    Readers that turn words around turn the characters of one code around with them, and pass over
    what prints nothing: a ligature of several characters is printed over itself for each.
    """
    count = cluster.end - cluster.start
    if count == 1:
        yield cluster
        return
    each = len(cluster.glyphs) == count  # of a run to the left the last glyph is written first
    sliver = min(SLIVER_EM, cluster.width / (2 * count))
    for number in range(count - 1, -1, -1):
        left = sliver * (count - 1 - number)
        glyphs = (cluster.glyphs[count - 1 - number],) if each else cluster.glyphs
        yield replace(
            cluster,
            start=cluster.start + number,
            end=cluster.start + number + 1,
            glyphs=tuple((glyph, round(x - left, 5), y) for glyph, x, y in glyphs),
            width=sliver if number else cluster.width - left,
            ink=cluster.ink and _move_bounds(cluster.ink, -left * cluster.scale),
        )


def _move_bounds(ink: Bounds, x: float) -> Bounds:
    return ink[0] + x, ink[1], ink[2] + x, ink[3]


def _make_cluster(
    font: Companion,
    scale: float,
    glyphs: list[tuple[int, Any]],
    span: tuple[int, int],
    item: Item,
) -> Cluster:
    units = font.units_per_em
    x = 0.0
    placed: list[tuple[int, float, float]] = []
    boxes: list[Bounds] = []
    for glyph, at in glyphs:
        left, up = (x + at.x_offset) / units, at.y_offset / units
        placed.append((glyph, round(left, 5), round(up, 5)))
        bounds = font.bounds_em(glyph)
        if bounds is not None:
            x0, y0, x1, y1 = bounds
            boxes.append((left + x0, up + y0, left + x1, up + y1))
        x += at.x_advance
    ink = None
    if boxes:
        sides = (min(b[0] for b in boxes), min(b[1] for b in boxes),
                 max(b[2] for b in boxes), max(b[3] for b in boxes))  # fmt: skip
        ink = (sides[0] * scale, sides[1] * scale, sides[2] * scale, sides[3] * scale)
    return Cluster(
        *span, font, scale, tuple(placed), x / units, ink, item.right_to_left, item.script in JOINED
    )
