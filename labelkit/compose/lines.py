"""How many lines a block takes in its room, how wide each may be, and how they are broken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from labelkit.common.quantity import PT_PER_MM
from labelkit.compose.parts import Arrangement, SetBlock
from labelkit.compose.room import LineWidths, Room
from labelkit.typeset.breaking import ROUNDING_EM, BrokenParagraph, break_paragraph, count_lines
from labelkit.typeset.breakpoints import TextKind
from labelkit.typeset.faces import Face

ROUNDING_PT = 1e-6


def measure_line_widths(
    way: Arrangement, size_pt: float, counts: Sequence[int], room: Room
) -> LineWidths:
    """The widths of the lines of the paragraph that follows those of ``counts`` lines.

    What opens a paragraph is taken from its first line.
    """
    scale = size_pt / PT_PER_MM
    lead = 0.0 if counts else way.lead_em * scale
    leading = way.block.leading * scale
    width = room.line_widths(sum(counts) * leading, leading, way.ink_em * scale)
    if not lead:
        return width
    return lambda line: width(line) if line else width(0) - lead


def count_block_lines(
    way: Arrangement, size_pt: float, room: Room, hyphenate: bool = False
) -> tuple[int, ...] | None:
    """How many lines each paragraph takes at least; None where the block cannot be set."""
    scale = size_pt / PT_PER_MM
    leading, ink = way.block.leading * scale, way.ink_em * scale
    lead = way.lead_em * scale
    counts: tuple[int, ...] = ()
    for number, whole_em in enumerate(way.wholes_em):
        top, width = sum(counts) * leading, (whole_em - ROUNDING_EM) * scale + lead
        if width <= room.widest_mm and width <= room.width(top, top + ink):
            counts += (1,)
        else:
            count = _count_paragraph_lines(way, number, size_pt, room, counts, hyphenate)
            if count is None:
                return None
            counts += (count,)
        lead = 0.0
    return counts


def fits_lead_on_line(way: Arrangement, size_pt: float, room: Room) -> bool:
    """Whether a lead stands on one line with the first name of its list."""
    scale = size_pt / PT_PER_MM
    return way.opening_em * scale <= room.width(0.0, way.ink_em * scale)


def find_largest_pt(way: Arrangement, most_pt: float, room: Room, hyphenate: bool) -> float:
    """A size above which the block, no larger than ``most_pt``, cannot be set for its width."""
    if way.most_lines == 1:
        needed = [whole_em - ROUNDING_EM for whole_em in way.wholes_em]
        needed[0] += way.lead_em
    else:
        needed = [way.reach(n, hyphenate).longest_em for n in range(len(way.paragraphs))]
    lines = way.most_lines * len(way.paragraphs)
    depth_em = (lines - 1) * way.block.leading + way.ink_em
    width_mm = room.most_mm(depth_em * most_pt / PT_PER_MM)
    return width_mm * PT_PER_MM / max(needed) + ROUNDING_PT


def _count_paragraph_lines(
    way: Arrangement,
    number: int,
    size_pt: float,
    room: Room,
    counts: Sequence[int],
    hyphenate: bool,
) -> int | None:
    """How many lines a paragraph takes that does not fit on one."""
    if way.most_lines == 1 or number < way.heads:
        return None
    led = not counts and way.lead_em > 0
    straight = room.straight and not led
    widths = room.widest_mm if straight else measure_line_widths(way, size_pt, counts, room)
    widest_em = room.widest_mm * PT_PER_MM / size_pt + ROUNDING_EM
    for broken_up in (False, True) if hyphenate else (False,):
        reach = way.reach(number, broken_up)
        if reach.longest_em <= widest_em:
            count = count_lines(reach, size_pt, widths, way.most_lines)
            if count is not None:
                return count
    return None


def measure_line_strips(made: SetBlock) -> list[tuple[float, float, float]] | None:
    """The lines of a block: between two distances below its top, a width in millimetres.

    None where a paragraph of it takes several lines.
    """
    if max(made.counts) > 1:
        return None
    way, scale = made.way, made.size_pt / PT_PER_MM
    leads = (way.lead_em, *[0.0] * (len(made.counts) - 1))
    return [
        (top := number * made.leading_mm, top + way.ink_em * scale, (whole_em + lead_em) * scale)
        for number, (whole_em, lead_em) in enumerate(zip(way.wholes_em, leads, strict=True))
    ]


def break_block_paragraph(
    made: SetBlock, number: int, room: Room, justified: bool = False
) -> Iterator[BrokenParagraph]:
    """The best ways to break one paragraph of a block, in at most the lines counted for it."""
    way = made.way
    paragraph = way.paragraphs[number]
    return break_paragraph(
        paragraph.text,
        way.faces[number],
        made.size_pt,
        measure_line_widths(way, made.size_pt, made.counts[:number], room),
        tracking_em=way.tracking_em,
        kind=way.kind,
        heading=way.heading,
        justified=justified,
        most=made.counts[number],
        language=paragraph.body[0].language if made.hyphenated else "",
    )


def rate_paragraph_breaks(made: SetBlock, number: int, room: Room) -> float:
    """What line breaking dislikes about a paragraph in as many lines as were counted for it."""
    way = made.way
    if not room.straight or way.lead_em:
        return _find_last_cost(break_block_paragraph(made, number, room))
    paragraph = way.paragraphs[number]
    return _rate_straight_breaks(
        paragraph.text,
        way.faces[number],
        made.size_pt,
        room.widest_mm,
        way.tracking_em,
        way.kind,
        way.heading,
        made.counts[number],
        paragraph.body[0].language if made.hyphenated else "",
    )


@lru_cache(maxsize=4096)
def _rate_straight_breaks(
    text: str,
    face: Face,
    size_pt: float,
    width_mm: float,
    tracking_em: float,
    kind: TextKind,
    heading: bool,
    most: int,
    language: str,
) -> float:
    """The same between straight sides: one text is tried in many designs."""
    broken = break_paragraph(
        text, face, size_pt, width_mm,
        tracking_em=tracking_em, kind=kind, heading=heading, most=most, language=language,
    )  # fmt: skip
    return _find_last_cost(broken)


def _find_last_cost(broken: Iterable[BrokenParagraph]) -> float:
    *_, cost = (0.0, *(found.cost for found in broken))
    return cost


def tears_address(text: str, ends: Iterable[int]) -> bool:
    """Whether some line of an address ends neither between two of its parts nor before a postal
    code, which two spaces part from its place."""
    return any(not text.startswith((", ", "  "), end) for end in ends)
