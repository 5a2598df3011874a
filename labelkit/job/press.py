"""What a printing works is handed of an order: which plates there are, and what became black."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from labelkit.checks.bleed import PRESS_BLEED_MM, meets_trim
from labelkit.checks.craft import has_white_ink
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Quoted, Said, Term, make_number
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.job.cutting import list_cuts
from labelkit.model.outline import Outline
from labelkit.model.runs import Ornament, Panel, Picture, Run
from labelkit.order.drawn_shapes import unite_drawings
from labelkit.order.inks import WHITE, Ink, load_inks
from labelkit.order.label import LabelSpec
from labelkit.order.logo import Drawing
from labelkit.pdf.write.cut_files import move_path
from labelkit.pdf.write.inks import Inks, Plate, convert_to_lab
from labelkit.pdf.write.press import (
    DIE_LINE,
    FOLD_LINE,
    KISS_LINE,
    Layer,
    OutputIntent,
    PressFile,
    make_grey_intent,
)
from labelkit.pdf.write.svg import trace_run
from labelkit.typeset.faces import Face

BLACK = "#000000"
REQUIRED = frozenset({
    "identity", "net-quantity", "ingredients-heading", "ingredients", "dealer", "contact", "lot",
    "origin", "directions", "list-elsewhere", "durability", "e-mark",
})  # fmt: skip
"""Elements that a law reads: black ink alone, so that no plate out of register blurs them."""
SAME_INK = 10.0
"""Colours no further apart than this (CIE 1976, under which few tell two prints apart side by side
in a hurry; labelkit's own judgement) are one ink."""
DARK_ENOUGH = 60.0
"""L* of letters that black may stand in for; lighter ones stand on a dark ground."""
CUT_PLATES = {
    DIE_LINE: Plate(DIE_LINE.name, (60.32, 98.24, -60.84)),
    KISS_LINE: Plate(KISS_LINE.name, (90.67, -50.67, -14.96)),
    FOLD_LINE: Plate(FOLD_LINE.name, (87.82, -79.29, 80.99)),
}
"""They look like no ink of a label: the magenta, cyan and green of screens."""
WHITE_PLATE = Plate("White", (97.0, 0.0, 0.0))
"""White ink is a little darker than the white of a screen, so that it can be told from nothing."""
UNDER = "white under"
"""By what the plate of white beneath what is printed is known among colours."""
CHOKE_MM = 0.1
"""By how much white under an ink is drawn in, so that none shows beside it where the two plates do
not lie quite on each other (common practice, no source)."""
CUT_COLOURS = {DIE_LINE: "cut through", KISS_LINE: "cut to the backing", FOLD_LINE: "folded"}
"""By what those plates are known among colours."""


@dataclass(frozen=True)
class PressPlan:
    """How an order goes to a printing works."""

    inks: Inks
    """A plate for every colour that is not black."""
    text_colour: str
    """Of letters and art that become black; #000000 where none does."""
    to_black: frozenset[str]
    """Colours of a logo that the order has no ink for."""
    to_ink: Mapping[str, str]
    """Colours of a logo as the ink of the order that is nearest to them."""
    told: tuple[Said, ...]
    on_white: str = ""
    """The ink that white is laid under; empty: none, or all of them."""


def plan_press(job: Job) -> PressPlan:
    """The plates of an order, and what the maker is told of its colours."""
    text, accent = job.inks
    own = {colour for colour in _list_colours(job) if not _is_grey(colour)}
    if any(has_white_ink(one.panel, job.layout) for one in job.fitting_sheets):
        own.add(WHITE)
    drawn = {one.colour for one in job.logo.drawings} if job.logo else set[str | None]()
    of_logo = {colour for colour in own & drawn if colour not in (text, accent)}
    inks = (accent, *job.spec.inks)
    to_ink = {colour: ink for colour in sorted(of_logo) if (ink := _find_near(colour, inks))}
    used = (own - of_logo - {text}) | {*to_ink.values()} | ({accent} & own)
    plates: dict[str, Plate] = {}
    under_accent = job.spec.white_under_accent and accent in used - {WHITE}
    if job.spec.white_under or under_accent:
        plates[UNDER] = WHITE_PLATE
    for colour in sorted(used, key=lambda one: (one != accent, one)):
        plates[colour] = _make_plate(colour)
    to_black = frozenset(of_logo - to_ink.keys())
    for layer in _list_cut_layers(job):
        plates[CUT_COLOURS[layer]] = CUT_PLATES[layer]
    told = [*_describe_plates(plates), *_describe_lost(job, text, accent, to_black)]
    told += _describe_white(job.spec, under_accent)
    return PressPlan(
        Inks(plates=plates),
        text if text != accent else BLACK,
        to_black,
        to_ink,
        tuple(told),
        accent if under_accent else "",
    )


def make_press_file(job: Job) -> PressFile:
    """What the files of an order say of how they are printed; made, they say, on its day."""
    works = job.order.works_profile
    if works is None:
        return PressFile(make_grey_intent(), job.spec.event.date)
    about = works.condition or works.file
    intent = OutputIntent(works.data, works.components, works.condition, about)
    return PressFile(intent, job.spec.event.date)


def list_press_refusals(job: Job) -> Iterator[Said]:
    """Why an order cannot go to a printing works as it stands."""
    bleed = job.spec.bleed_mm
    bare = [one.panel.name for one in job.fitting_sheets if meets_trim(one.panel)]
    if bare and bleed < PRESS_BLEED_MM:
        yield Said(
            "{panels}: art meets the cut, and a printing works wants it {least} mm or more over it;"
            ' say bleed = "3 mm" under [label]',
            panels=FactList((Term("panel", name) for name in bare), "and"),
            least=make_number(PRESS_BLEED_MM),
        )
    text, _ = job.inks
    if _is_light(text) and (not _is_grey(text) or text == WHITE):
        yield Said(
            "required words are printed in black alone at a printing works, and those of this label"
            " are light ({colour}); choose a dark ink for them, or black (label.colour)",
            colour=Quoted(text),
        )


def list_home_refusals(job: Job) -> Iterator[Said]:
    """Why an order cannot be printed in a workshop."""
    white = [one.panel.name for one in job.fitting_sheets if has_white_ink(one.panel, job.layout)]
    if white:
        yield Said(
            "{panels}: white ink is laid by a printing works alone (--for-press); choose another"
            " ink for sheets printed here (label.accent)",
            panels=FactList((Term("panel", name) for name in white), "and"),
        )


def make_white_under(panel: Panel, bleed_mm: float) -> tuple[Ornament, ...]:
    """White over the whole label and its bleed."""
    outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    box = panel.trim.inset(-bleed_mm)
    return (Ornament(outline.path(bleed_mm), box, UNDER),)


def make_white_under_accent(made: ComposedPanel, accent: str) -> tuple[Ornament, ...]:
    """White under all of a panel that is in the accent ink."""
    return (
        *(replace(one, colour=UNDER) for one in made.panel.ornaments if one.colour == accent),
        *make_white_under_runs(made.panel.runs, made.faces, accent),
    )


def make_white_under_runs(
    runs: Iterable[Run], faces: Mapping[str, Face], accent: str
) -> tuple[Ornament, ...]:
    """White under those of some runs that are in the accent ink."""
    inked = ((run, trace_run(run, faces[run.face])) for run in runs if run.colour == accent)
    return tuple(
        Ornament(_unite_strokes(path), run.ink, UNDER, even_odd=True) for run, path in inked if path
    )


def _unite_strokes(path: str) -> str:
    """Letters whose strokes lie over each other, as one area: it has no edges inside."""
    fine = 1000  # Skia rounds to about a quarter of a unit
    large = move_path(path, (fine, 0, 0, fine, 0, 0))
    return move_path(unite_drawings([Drawing(large)]), (1 / fine, 0, 0, 1 / fine, 0, 0))


def prepare_panel(composed: ComposedPanel, plan: PressPlan) -> ComposedPanel:
    """A panel in the inks that the works has."""
    panel = composed.panel
    made = replace(
        panel,
        runs=tuple(prepare_runs(panel.runs, plan)),
        ornaments=tuple(_prepare_ornament(one, plan) for one in panel.ornaments),
        pictures=tuple(map(_flatten_picture, panel.pictures)),
    )
    return replace(composed, panel=made)


def prepare_runs(runs: Iterable[Run], plan: PressPlan) -> Iterator[Run]:
    """Runs in the inks that the works has: what a law reads in black ink alone."""
    for run in runs:
        required = run.element in REQUIRED and not _is_light(run.colour)
        black = required or (run.colour not in plan.inks.plates and not _is_grey(run.colour))
        yield replace(run, colour=BLACK) if black else run


def _prepare_ornament(ornament: Ornament, plan: PressPlan) -> Ornament:
    colour = plan.to_ink.get(ornament.colour, ornament.colour)
    if colour in plan.to_black or colour == plan.text_colour:
        colour = BLACK
    return replace(ornament, colour=colour)


def _flatten_picture(picture: Picture) -> Picture:
    """A picture in greys, what it lets through as white as paper: nothing of it is transparent."""
    from PIL import Image

    with Image.open(io.BytesIO(picture.data)) as image:
        if image.mode == "L":
            return picture
        flat = Image.new("RGBA", image.size, "white")
        flat.alpha_composite(image.convert("RGBA"))
        stream = io.BytesIO()
        flat.convert("L").save(stream, "PNG", compress_level=1)
    return replace(picture, data=stream.getvalue())


def _list_cut_layers(job: Job) -> Iterator[Layer]:
    yield from dict.fromkeys(layer for name in job.printed_names for layer in list_cuts(job, name))


def _list_colours(job: Job) -> Iterator[str]:
    for composed in job.fitting_sheets:
        panel = composed.panel
        yield from (one.colour for one in panel.ornaments)
        yield from (run.colour for run in panel.runs)
        if composed.guest is not None:
            yield composed.guest.colour


def _is_light(colour: str) -> bool:
    return convert_to_lab(colour)[0] > DARK_ENOUGH


def _is_grey(colour: str) -> bool:
    return colour[1:3] == colour[3:5] == colour[5:7]


def _find_near(colour: str, inks: Iterable[str]) -> str:
    """The ink of some that looks most like a colour; "" where none looks much like it."""
    found = [(_measure_difference(colour, ink), ink) for ink in inks]
    distance, ink = min(found, default=(SAME_INK + 1, ""))
    return ink if distance <= SAME_INK else ""


def _measure_difference(one: str, other: str) -> float:
    """CIE 1976: the distance in L*a*b*."""
    pairs = zip(convert_to_lab(one), convert_to_lab(other), strict=True)
    return float(sum((a - b) ** 2 for a, b in pairs) ** 0.5)


def _make_plate(colour: str) -> Plate:
    """The plate of an ink, called as the order calls it; of foil by what it is."""
    if colour == WHITE:
        return WHITE_PLATE
    known = next((ink for ink in load_inks().values() if ink.value == colour), None)
    return Plate(_name_plate(known, colour), convert_to_lab(colour))


def _name_plate(ink: Ink | None, colour: str) -> str:
    if ink is None:
        return f"Ink {colour[1:]}"
    return f"Foil {ink.metal}" if ink.metal else ink.name.capitalize()


# -- what the maker is told ------------------------------------------------------------------------


def _describe_plates(plates: Mapping[str, Plate]) -> Iterator[Said]:
    names = [Quoted(plate.name) for plate in plates.values()]
    yield Said(
        "For a printing works (PDF/X-4): black and these plates: {plates}. They say how their ink"
        " looks; agree with the works on which ink each is. Nothing is trapped.",
        plates=FactList(names, "and"),
    )
    if any(plate.name.startswith("Foil ") for plate in plates.values()):
        yield Said("Foil is laid by a finisher: the plate says where, its colour shows no metal.")


def _describe_white(spec: LabelSpec, under_accent: bool) -> Iterator[Said]:
    if spec.white_under:
        yield Said("White lies under the whole label, and everything else prints over it.")
    elif under_accent:
        yield Said(
            "White lies under names, ornament and frame, drawn in by {choke} mm, and everything"
            " else prints over it.",
            choke=make_number(CHOKE_MM),
        )
    elif spec.white_under_accent:
        yield Said("No white is laid: names, ornament and frame are in black, or white themselves.")


def _describe_lost(job: Job, text: str, accent: str, to_black: frozenset[str]) -> Iterator[Said]:
    """Which colours of the order became black."""
    if text != accent and not _is_grey(text):
        yield Said("Words and art in {colour} become black.", colour=Quoted(text))
    elif text != BLACK and not _is_light(text):
        yield Said("Words that the law asks for become black.")
    if to_black:
        yield Said(
            "The logo's {colours} became black: the order has no such ink.",
            colours=FactList(map(Quoted, sorted(to_black)), "and"),
        )
    if job.logo is not None and job.logo.picture and _has_colour(job.logo.picture):
        yield Said("The logo is a picture in colours: it becomes shades of black.")


def _has_colour(data: bytes) -> bool:
    from PIL import Image, ImageChops

    with Image.open(io.BytesIO(data)) as image:
        colours = image.convert("RGB")
        return any(
            ImageChops.difference(colours.getchannel(a), colours.getchannel(b)).getbbox()
            for a, b in ("RG", "GB")
        )
