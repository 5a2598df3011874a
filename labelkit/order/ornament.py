"""Ornaments as layout files say them: drawings, plants that grow, letters as pictures, and what
follows the trim or fills the ground."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from labelkit.common.messages import FactList, Said, make_number
from labelkit.model.outline import SHAPES
from labelkit.model.runs import ELEMENTS
from labelkit.order.reader import REQUIRED, Table

PLANT_KINDS = ("sprig", "garland", "stem", "posy", "blossom", "leaf")
FIGURE_KINDS = ("star", "snowflake", "sun", "moon", "lozenge", "ring", "flame", "ripple", "dot")
LEAF_FORMS = ("willow", "bay", "coin", "heart", "rosemary", "grain", "bud")
LETTER_FORMS = ("line", "arc", "upright", "interlaced")
SURROUND_KINDS = ("wreath", "vine", "beads", "scallops", "stitches", "dentils", "words")
ORIGINS = ("foot", "head", "corners", "head-corners", "diagonal")
ROLES = ("text", "accent")
"""The inks of a label: what the law reads, and names, ornament and frame."""
LEAST_SPACING_MM = 0.4
AREAS = ("around", "head", "foot", "left", "right", "all")


@dataclass(frozen=True, slots=True)
class Growth:
    """A plant, or another figure, by a few numbers; the order's seed makes it its own."""

    kind: str
    leaf: str = "willow"
    pairs: int = 6
    """Pairs of leaves on a stem."""
    opposite: bool = True
    """Leaves of a pair face each other; otherwise they alternate."""
    size: float = 0.22
    """Of the largest leaf, as a share of the stem."""
    spread: float = 0.8
    """Between leaf and stem, in radians."""
    bare: float = 0.1
    """Share of the stem below its first leaves."""
    bend: float = 0.0
    """How far a stem rises, or leans, as a share of its length."""
    berries: int = 0
    blossoms: int = 0
    petals: int = 5
    """Of a blossom; points of a star, rays of a sun."""
    arms: int = 5
    """Stems of a posy."""
    line: bool = False
    """Drawn as lines instead of areas."""
    seed: int = 0
    """Tells two plants of one layout apart."""


@dataclass(frozen=True, slots=True)
class Lettering:
    """Words drawn as outlines, where a line of type will not do."""

    element: str
    """Whose words."""
    face: str
    form: str = "line"
    capitals: bool = False
    tracking_em: float = 0.0
    rise: float = 0.22
    """Of an arc: its height as a share of its width."""
    band: bool = False
    """Cut out of a band of ink from edge to edge: letters of the paper's colour, without white."""
    lines: int = 2


@dataclass(frozen=True, slots=True)
class Surround:
    """What grows along the trim."""

    kind: str
    inset_mm: float
    """From the trim to its outer side."""
    depth_mm: float
    origin: str = "foot"
    """Where branches of a wreath begin."""
    reach: float = 1.0
    """How far they go, as a share of the way there is."""
    leaf: str = "willow"
    spacing_mm: float = 2.2
    """Between pairs of leaves, or beads; made a little less or more so that it comes out even."""
    berries: bool = False
    line: bool = False
    letters: str = ""
    """Of words along the trim: the lettering; its first words over the head, others at the foot."""
    keeps_clear: bool = True
    """Text stays inside it; otherwise it stops where text is."""
    colour: str | None = None
    shapes: tuple[str, ...] = SHAPES


@dataclass(frozen=True, slots=True)
class Pattern:
    """An ornament repeated over a part of the ground."""

    ornament: str
    width_mm: float
    """Of one motif."""
    pitch_mm: float
    """From motif to motif."""
    area: str = "around"
    depth_mm: float = 0.0
    """From the trim: of what is filled; text keeps off it."""
    turn: bool = False
    """Every second motif upside down."""
    colour: str | None = None
    shapes: tuple[str, ...] = SHAPES


TEXT_AIR_MM = 0.9
"""Between what grows along the trim and the text inside it."""


def read_growth(table: Table) -> Growth:
    """A plant or figure of the table ``[ornaments.NAME]`` with its key ``grow``."""
    kind = table.choice("grow", (*PLANT_KINDS, *FIGURE_KINDS))
    return Growth(
        kind=kind,
        leaf=table.choice("leaf", LEAF_FORMS, "willow"),
        pairs=table.integer("pairs", 6, least=1, most=24),
        opposite=table.flag("opposite", True),
        size=float(table.number("size", 0.22, least=0.05, most=1)),
        spread=float(table.number("spread", 0.8, least=0.2, most=2)),
        bare=float(table.number("bare", 0.1, least=0, most=0.8)),
        bend=float(table.number("bend", 0.0, least=-1, most=1)),
        berries=table.integer("berries", 0, least=0, most=12),
        blossoms=table.integer("blossoms", 0, least=0, most=1),
        petals=table.integer("petals", 5, least=3, most=32),
        arms=table.integer("arms", 5, least=1, most=9),
        line=table.flag("line", False),
        seed=table.integer("seed", 0, least=0, most=1_000_000),
    )


def read_lettering(table: Table, faces: Iterable[str]) -> Lettering:
    """Letters as a picture, of the table ``[ornaments.NAME]`` with its key ``letters``."""
    return Lettering(
        element=table.choice("letters", ELEMENTS),
        face=table.choice("face", faces),
        form=table.choice("form", LETTER_FORMS, "line"),
        capitals=table.flag("capitals", False),
        tracking_em=float(table.number("tracking", 0.0, least=-0.2, most=0.5)),
        rise=float(table.number("rise", 0.22, least=0.02, most=1)),
        band=table.flag("band", False),
        lines=table.integer("lines", 2, least=1, most=4),
    )


def read_surround(table: Table, letters: Iterable[str]) -> Surround:
    """What grows along the trim: a table of the list ``surrounds``."""
    kind = table.choice("kind", SURROUND_KINDS)
    surround = Surround(
        kind=kind,
        inset_mm=float(table.length_mm("inset")),
        depth_mm=float(table.length_mm("depth")),
        origin=table.choice("origin", ORIGINS, "foot"),
        reach=float(table.number("reach", 1.0, least=0.1, most=1)),
        leaf=table.choice("leaf", LEAF_FORMS, "willow"),
        spacing_mm=_read_spacing(table, "spacing", Decimal("2.2")),
        berries=table.flag("berries", False),
        line=table.flag("line", False),
        letters=table.choice("letters", letters) if kind == "words" else "",
        keeps_clear=table.flag("keeps_clear", True),
        colour=read_ink(table, "colour"),
        shapes=_read_shapes(table),
    )
    if not 0.1 <= surround.depth_mm <= 40:
        table.wrong("depth", table.raw("depth"), Said("expected 0.1 mm to 40 mm"))
    table.done()
    return surround


def read_pattern(table: Table, ornaments: Iterable[str]) -> Pattern:
    """An ornament repeated over the ground: a table of the list ``patterns``."""
    area = table.choice("area", AREAS, "around")
    pattern = Pattern(
        ornament=table.choice("ornament", ornaments),
        width_mm=_read_spacing(table, "width", None),
        pitch_mm=_read_spacing(table, "pitch", None),
        area=area,
        depth_mm=float(table.length_mm("depth", Decimal(0) if area == "all" else REQUIRED)),
        turn=table.flag("turn", False),
        colour=read_ink(table, "colour"),
        shapes=_read_shapes(table),
    )
    table.done()
    return pattern


def _read_spacing(table: Table, key: str, default: Decimal | None) -> float:
    """A length that is not so small that a label would take millions of things."""
    found = float(table.length_mm(key, REQUIRED if default is None else default))
    if not LEAST_SPACING_MM <= found <= 400:
        table.wrong(
            key,
            table.raw(key),
            Said("expected {least} mm to 400 mm", least=make_number(LEAST_SPACING_MM)),
        )
    return found


def read_ink(table: Table, key: str) -> str | None:
    """A colour, or one of the label's own two inks by what it is for; None where none is said."""
    expected = Said(
        'expected a colour such as "#3a2f25", or one of {listed}', listed=FactList(ROLES)
    )
    value: str | None = table.text(key, None, expected)
    if value is None or value in ROLES:
        return value
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", value):
        table.wrong(key, value, expected)
    return value.lower()


def _read_shapes(table: Table) -> tuple[str, ...]:
    shapes: tuple[str, ...] = table.texts("shapes", SHAPES)
    for shape in shapes:
        if shape not in SHAPES:
            table.wrong("shapes", shape, Said("expected some of {listed}", listed=FactList(SHAPES)))
    return shapes
