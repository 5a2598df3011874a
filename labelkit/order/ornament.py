"""Ornaments as layout files say them: drawings, plants that grow, letters as pictures, and what
follows the trim or fills the ground."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.model.outline import SHAPES
from labelkit.order.reader import REQUIRED, Table

ROLES = ("text", "accent")
"""The inks of a label: what the law reads, and names, ornament and frame."""


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


TEXT_AIR_MM, LINE_AIR_MM = 0.9, 0.75
"""Between what grows along the trim, or a line that follows it, and the text inside."""


def read_growth(table: Table) -> Growth:
    """A plant or figure of the table ``[ornaments.NAME]`` with its key ``grow``."""
    kind = table.choice("grow")
    return Growth(
        kind=kind,
        leaf=table.choice("leaf", "willow"),
        pairs=table.integer("pairs", 6),
        opposite=table.flag("opposite", True),
        size=float(table.number("size", 0.22)),
        spread=float(table.number("spread", 0.8)),
        bare=float(table.number("bare", 0.1)),
        bend=float(table.number("bend", 0.0)),
        berries=table.integer("berries", 0),
        blossoms=table.integer("blossoms", 0),
        petals=table.integer("petals", 5),
        arms=table.integer("arms", 5),
        line=table.flag("line", False),
        seed=table.integer("seed", 0),
    )


def read_lettering(table: Table, faces: Iterable[str]) -> Lettering:
    """Letters as a picture, of the table ``[ornaments.NAME]`` with its key ``letters``."""
    return Lettering(
        element=table.choice("letters"),
        face=table.choice("face", among=faces),
        form=table.choice("form", "line"),
        capitals=table.flag("capitals", False),
        tracking_em=float(table.number("tracking", 0.0)),
        rise=float(table.number("rise", 0.22)),
        band=table.flag("band", False),
        lines=table.integer("lines", 2),
    )


def read_surround(table: Table, letters: Iterable[str]) -> Surround:
    """What grows along the trim: a table of the list ``surrounds``."""
    kind = table.choice("kind")
    return Surround(
        kind=kind,
        inset_mm=float(table.length_mm("inset")),
        depth_mm=float(table.length_mm("depth")),
        origin=table.choice("origin", "foot"),
        reach=float(table.number("reach", 1.0)),
        leaf=table.choice("leaf", "willow"),
        spacing_mm=float(table.length_mm("spacing", Decimal("2.2"))),
        berries=table.flag("berries", False),
        line=table.flag("line", False),
        letters=table.choice("letters", among=letters) if kind == "words" else "",
        keeps_clear=table.flag("keeps_clear", True),
        colour=table.ink("colour"),
        shapes=table.texts("shapes", SHAPES),
    )


def read_pattern(table: Table, ornaments: Iterable[str]) -> Pattern:
    """An ornament repeated over the ground: a table of the list ``patterns``."""
    area = table.choice("area", "around")
    return Pattern(
        ornament=table.choice("ornament", among=ornaments),
        width_mm=float(table.length_mm("width")),
        pitch_mm=float(table.length_mm("pitch")),
        area=area,
        depth_mm=float(table.length_mm("depth", Decimal(0) if area == "all" else REQUIRED)),
        turn=table.flag("turn", False),
        colour=table.ink("colour"),
        shapes=table.texts("shapes", SHAPES),
    )
