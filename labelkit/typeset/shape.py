"""Shaping: the advance of every character with kerning folded in, and where the ink lies."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, cached_property, lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.model.runs import Box
from labelkit.typeset.apostrophes import APOSTROPHE
from labelkit.typeset.clusters import Cluster, OwnText, Piece, split_into_pieces
from labelkit.typeset.companions import MixedFace, own_face_of
from labelkit.typeset.faces import DRAWN_AS, NARROW_SPACE_EM, NARROW_SPACES, Face

WORD_SPACES = " \u00a0"
LEAST_WORD_SPACE_EM = 0.22
"""Some families space words for large text; as small as a label's, words would run together.
Common practice: small sizes are spaced wider, about a quarter of an em; no single source."""

# One glyph per character: whatever draws the text knows the face's character map and nothing else.
_FEATURES = {
    "kern": True, "mark": True, "mkmk": True,
    "liga": False, "clig": False, "dlig": False, "calt": False, "ccmp": False, "locl": False,
    "rlig": False, "rclt": False, "rvrn": False, "frac": False,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ink:
    """Extent of visible outlines in ems, from the line's start and its baseline."""

    x0_em: float
    y0_em: float
    x1_em: float
    y1_em: float


@dataclass(frozen=True)
class ShapedLine:
    """A line of text in one face, in ems (nothing here depends on size or tracking)."""

    text: str
    advances_em: tuple[float, ...]
    """One per character, kerning folded in."""
    rises_em: tuple[float, ...]
    """How far each character is lifted off the baseline: combining accents, otherwise zero."""
    inks: tuple[Ink | None, ...]
    """Each character's own ink, from where its advance begins."""

    @cached_property
    def width_em(self) -> float:
        """The sum of the advances."""
        return sum(self.advances_em)

    @cached_property
    def ink_em(self) -> Ink | None:
        """Extent of the whole line's ink, untracked; None where nothing is visible."""
        return self.tracked_ink_em(0.0)

    def tracked_ink_em(self, tracking_em: float) -> Ink | None:
        """Extent of the line's ink with ``tracking_em`` added after every character."""
        x, x0, y0, x1, y1 = 0.0, _FAR, _FAR, -_FAR, -_FAR
        for advance, ink in zip(self.advances_em, self.inks, strict=True):
            if ink is not None:
                # Comparisons: min and max take twice as long, and every guest's name comes by.
                x0 = x + ink.x0_em if x + ink.x0_em < x0 else x0
                x1 = x + ink.x1_em if x + ink.x1_em > x1 else x1
                y0 = ink.y0_em if ink.y0_em < y0 else y0
                y1 = ink.y1_em if ink.y1_em > y1 else y1
            x += advance + tracking_em
        return Ink(x0, y0, x1, y1) if x1 > x0 else None

    def advance_mm(self, size_pt: float, tracking_em: float = 0.0) -> float:
        """How far the line takes the pen at a size, tracking after every character."""
        return (self.width_em + tracking_em * self.tracked) * size_pt / PT_PER_MM

    @property
    def tracked(self) -> int:
        """After how many characters tracking is added."""
        return len(self.text)

    @property
    def seen(self) -> Iterable[tuple[float, Ink | None]]:
        """Advance and ink of all that is written, from left to right as it is seen."""
        return zip(self.advances_em, self.inks, strict=True)

    def ink_mm(
        self, size_pt: float, x_mm: float = 0.0, baseline_mm: float = 0.0, tracking_em: float = 0.0
    ) -> Box | None:
        """The box of the line's ink when it starts at ``x_mm`` on ``baseline_mm``."""
        ink = self.tracked_ink_em(tracking_em) if tracking_em else self.ink_em
        if ink is None:
            return None
        scale = size_pt / PT_PER_MM
        return Box(
            x_mm + ink.x0_em * scale,
            baseline_mm + ink.y0_em * scale,
            x_mm + ink.x1_em * scale,
            baseline_mm + ink.y1_em * scale,
        )


@dataclass(frozen=True)
class MixedShapedLine(ShapedLine):
    """A line in several scripts: characters are in the order they are read, pieces as seen."""

    face: MixedFace
    pieces: tuple[Piece, ...]

    @property
    def tracked(self) -> int:
        return sum(count for _, _, count in self._steps())

    @property
    def seen(self) -> Iterable[tuple[float, Ink | None]]:
        return [(advance, ink) for advance, ink, _ in self._steps()]

    def tracked_ink_em(self, tracking_em: float) -> Ink | None:
        x, boxes = 0.0, list[Ink]()
        for advance, ink, count in self._steps():
            if ink is not None:
                boxes.append(Ink(x + ink.x0_em, ink.y0_em, x + ink.x1_em, ink.y1_em))
            x += advance + tracking_em * count
        if not boxes:
            return None
        return Ink(
            min(b.x0_em for b in boxes), min(b.y0_em for b in boxes),
            max(b.x1_em for b in boxes), max(b.y1_em for b in boxes),
        )  # fmt: skip

    def placed(self, tracking_em: float) -> Iterator[tuple[Piece, float]]:
        """Every piece and where it begins, in the order they are read."""
        x, places = 0.0, list[tuple[Piece, float]]()
        for piece in self.pieces:
            places.append((piece, x))
            x += sum(a + tracking_em * count for a, _, count in self._steps_of(piece))
        return iter(sorted(places, key=lambda place: place[0].start))

    def _steps(self) -> Iterator[tuple[float, Ink | None, int]]:
        for piece in self.pieces:
            yield from self._steps_of(piece)

    def _steps_of(self, piece: Piece) -> Iterator[tuple[float, Ink | None, int]]:
        """Advance, ink and tracked characters of each letter of a piece."""
        if isinstance(piece, Cluster):
            yield piece.advance, _find_cluster_ink(piece), count_tracked_characters(piece)
            return
        for index in range(piece.start, piece.end):
            yield self.advances_em[index], self.inks[index], 1


def count_tracked_characters(cluster: Cluster) -> int:
    """After how many characters of a cluster tracking is added: none where letters join."""
    return 0 if cluster.joined else cluster.end - cluster.start


def _find_cluster_ink(cluster: Cluster) -> Ink | None:
    return Ink(*cluster.ink) if cluster.ink else None


def shape_mixed(face: MixedFace, text: str) -> MixedShapedLine:
    """Advances and ink of a text of several scripts; a cluster's stand at its first character."""
    own = own_face_of(face)
    advances, rises = [0.0] * len(text), [0.0] * len(text)
    inks: list[Ink | None] = [None] * len(text)
    pieces = split_into_pieces(face, text)
    for piece in pieces:
        if isinstance(piece, OwnText):
            span = slice(piece.start, piece.end)
            shaped = shape_text(own, text[span])
            advances[span], rises[span] = shaped.advances_em, shaped.rises_em
            inks[span] = shaped.inks
        else:
            advances[piece.start] = piece.advance
            inks[piece.start] = _find_cluster_ink(piece)
    return MixedShapedLine(text, tuple(advances), tuple(rises), tuple(inks), face, pieces)


APOSTROPHE_GAP = 0.4
"""Share of a word space that a gap beside an apostrophe may have (common practice, no source)."""
_FAR = 1e9
_DRAWN = str.maketrans(DRAWN_AS)


@lru_cache(maxsize=65536)
def _measure_ink(face: Face, character: str) -> Ink | None:
    """A character's own ink: one object for all lines it is on."""
    bounds = face.bounds_em(character)
    return Ink(*bounds) if bounds else None


def _lift_ink(face: Face, character: str, rise_em: float) -> Ink | None:
    ink = _measure_ink(face, character)
    return ink and Ink(ink.x0_em, ink.y0_em + rise_em, ink.x1_em, ink.y1_em + rise_em)


@lru_cache(maxsize=4096)
def shape_text(face: Face, text: str) -> ShapedLine:
    """Advances and ink of ``text`` in ``face``.

    Kerning and mark positions are the font's own; ligatures and contextual forms stay off. Where
    shaping would still take other glyphs than the character map's, those of the map stay, with
    their plain advances. Text should be in Unicode normal form C.
    """
    if not text:
        return ShapedLine("", (), (), ())
    if isinstance(face, MixedFace):
        return shape_mixed(face, text)
    drawn = text.translate(_DRAWN)
    placed = _place_characters(face, drawn)
    advances: list[float] = []
    rises: list[float] = []
    inks: list[Ink | None] = []
    for character, place in zip(text, placed, strict=True):
        advance, shift, rise = place or (face.advance_em(character), 0.0, 0.0)
        if character in NARROW_SPACES:
            advance, shift, rise = NARROW_SPACE_EM, 0.0, 0.0
        elif character in WORD_SPACES:
            advance = max(advance, LEAST_WORD_SPACE_EM)
        if shift and advances:
            # An accent set back over its letter: the letter's advance takes it there, its own back.
            advances[-1] += shift
            advance -= shift
        advances.append(advance)
        rises.append(rise)
        inks.append(_lift_ink(face, character, rise) if rise else _measure_ink(face, character))
    if APOSTROPHE in text:
        space = max(face.advance_em(" "), LEAST_WORD_SPACE_EM)
        _close_apostrophes(text, advances, inks, APOSTROPHE_GAP * space)
    return ShapedLine(text, tuple(advances), tuple(rises), tuple(inks))


def _close_apostrophes(
    text: str, advances: list[float], inks: Sequence[Ink | None], most_em: float
) -> None:
    """Takes from the gaps beside an apostrophe what is more than ``most_em`` between two inks.

    Script faces seldom kern it with capitals, and "D’Amour" would fall into two words.
    """
    for index in range(len(text) - 1):
        before, after = inks[index], inks[index + 1]
        if APOSTROPHE in text[index : index + 2] and before and after:
            gap = advances[index] + after.x0_em - before.x1_em
            advances[index] -= max(0.0, gap - most_em)


def _place_characters(face: Face, drawn: str) -> list[tuple[float, float, float] | None]:
    """Advance, shift and rise of each character in ems; None where shaping changed its glyph."""
    import uharfbuzz as hb

    font, glyph_of = _load_harfbuzz_font(face)
    buffer = hb.Buffer()
    buffer.add_str(drawn)
    buffer.guess_segment_properties()
    buffer.direction = "ltr"
    buffer.cluster_level = hb.BufferClusterLevel.CHARACTERS
    hb.shape(font, buffer, _FEATURES)
    units = face.units_per_em
    placed: list[tuple[float, float, float] | None] = [None] * len(drawn)
    seen: list[int] = [0] * len(drawn)
    for info, at in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        cluster = info.cluster
        seen[cluster] += 1
        if glyph_of(drawn[cluster]) == info.codepoint:
            right, up, advance, _ = at.position
            placed[cluster] = (advance / units, right / units, up / units)
    return [place if count == 1 else None for place, count in zip(placed, seen, strict=True)]


@lru_cache(maxsize=256)
def _load_harfbuzz_font(face: Face) -> tuple[Any, Callable[[str], int | None]]:
    """HarfBuzz's font of a face, and the glyph its character map has for a character."""
    font = face.shaper

    @cache
    def glyph_of(character: str) -> int | None:
        glyph: int | None = font.get_nominal_glyph(ord(character))
        return glyph

    return font, glyph_of
