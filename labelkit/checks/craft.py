"""labelkit's own checks of how a label will print and look.

No law asks for them, and they advise; only a label whose words nobody could read fails.

They judge what was composed, where the rules judge what any label shows.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from itertools import islice

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Number, Quoted, Said, Term
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import ComposedPanel
from labelkit.compose.picture_tones import measure_tones
from labelkit.impose.warn import HARMLESS_MM
from labelkit.model.outline import Outline
from labelkit.model.runs import ELEMENTS, Box, Panel, Picture, Run, group_element_texts
from labelkit.order.inks import WHITE
from labelkit.order.layout import READABLE_MM, Layout
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Finding, Level
from labelkit.rules.kinds.setting import join_ink, measure_contrast, mix_colours
from labelkit.rules.label import has_letter, is_all_capitals, measure_texts_mm
from labelkit.typeset.companions import Companion, MixedFace
from labelkit.typeset.derive import has_damaged_kerning
from labelkit.typeset.faces import Face
from labelkit.typeset.shape import shape_text

MM_PER_INCH = 25.4
PRINTER_DPI = 300
DOT_MM = MM_PER_INCH / PRINTER_DPI
LEAST_DOTS = 1.0
"""A stroke under one dot may drop out (arithmetic)."""
LEAST_DOTS_CLEAR = 1.5
"""On clear stock nothing helps a broken stroke: half a dot more (labelkit's own judgement)."""
LEAST_CONTRAST = Decimal("4.5")
LEAST_ART_CONTRAST = Decimal(3)
ART_CONTRAST_SOURCE = "WCAG 2.2, success criterion 1.4.11 (non-text contrast; from memory)"
CONTRAST_SOURCE = "WCAG 2.2, success criterion 1.4.3 (relative luminance, contrast ratio)"
UNREADABLE = Decimal("1.5")
"""Ink this close to its ground is not there for a reader (labelkit's own judgement)."""
LEAST_GUEST_MM = Decimal("0.8")
"""The smallest letters that any law read here allows (CPLR s. 16), as for the ingredient list."""
_READABLE_MM = Decimal(repr(READABLE_MM))
_READABLE_SOURCE = Said(
    "Regulation (EU) No 1169/2011, Art. 13(3), for food in packages under 80 cm²; borrowed as"
    " advice"
)
WIDE_GAP = 0.85
"""Share of a word space from which a gap inside a word reads as one (labelkit's own judgement)."""
OVERLAP_MM = 0.05
"""Letters whose boxes share this much both ways are taken to touch."""
MOST_GUESTS = 2000
"""Guests' names that are looked at for where their letters stand: a check, not a proof."""
MOST_NAMED = 6
CLEAR_STEP_MM = 0.001
"""How finely the distance from the trim is told."""
OWN_CHECK = Said("labelkit's own check")
"""Provenance of a finding that comes from no law."""
LEAST_PHOTO_MM = 20
"""A photograph is seen as one from the size of a stamp upwards (labelkit's own judgement)."""
_FLAT_LOGO = Said(
    "Use a drawing in one or two flat, dark colours (SVG, or PNG), and look at the proof."
)
_CUT_SOURCE = Said("common practice, no source")
_HEIGHT_SOURCE = Said("labelkit's advice; no law gives this figure")


@dataclass(frozen=True)
class CheckedLabel:
    """A composed label, with what the checks need to know of it."""

    composed: Sequence[ComposedPanel]
    layout: Layout
    facts: Facts
    has_logo: bool
    guest_runs: Mapping[str, Mapping[str, tuple[Run, ...]]]
    """Every guest's runs by panel and name."""


def check_craft(craft: CheckedLabel) -> tuple[Finding, ...]:
    """Everything the checks have to say, in a fixed order."""
    found = [*_check_shape(craft), *_check_kerning(craft), *_check_other_fonts(craft)]
    for composed in craft.composed:
        panel = composed.panel
        found += _check_tightness(composed)
        found += _check_left_out(composed)
        found += _check_replaced_faces(composed)
        guests = craft.guest_runs.get(panel.name, {})
        own = next(iter(guests.values()), ())  # every guest's are in the same inks
        found += check_contrast(panel, craft.facts, own)
        found += check_art_contrast(panel, craft.facts)
        named = [run for name in islice(guests, MOST_GUESTS) for run in guests[name]]
        found += _check_near_trim(panel, named)
        found += _check_gaps(composed, named)
        found += _check_overlaps(composed, named)
        found += _check_strokes(composed, craft.facts, named)
        found += _check_pictures(panel, craft.facts)
    found += _check_white_ink(craft)
    found += _check_soap_colour(craft)
    found += _check_logo(craft)
    found += _check_guests(craft)
    return tuple(found)


# -- what the layout makes of the label ------------------------------------------------------------


def _check_shape(craft: CheckedLabel) -> Iterator[Finding]:
    shapes = {composed.panel.shape for composed in craft.composed[:1]}
    for other in shapes - {*craft.layout.shapes}:
        yield make_own_finding(
            "CRAFT-SHAPE",
            Said(
                "The layout {layout} was not drawn for the shape {shape}",
                layout=craft.layout.title,
                shape=Term("shape", other),
            ),
            remedy=Said(
                "Look at the proof, or choose one of these shapes: {shapes}.",
                shapes=FactList(Term("shape", name) for name in craft.layout.shapes),
            ),
        )


def _check_kerning(craft: CheckedLabel) -> Iterator[Finding]:
    """A maker's own fonts whose kerning is damaged: what is left of it is used."""
    faces = {name: face for composed in craft.composed for name, face in composed.faces.items()}
    damaged = sorted(name for name, face in faces.items() if has_damaged_kerning(face.path))
    if damaged:
        yield make_own_finding(
            "CRAFT-KERNING",
            Said(
                "Kerning is damaged in {faces}; letters may stand too close or too far apart",
                faces=quote_names(damaged),
            ),
            remedy=Said("Copy the font file again from where it came, and look at the proof."),
        )


def _check_tightness(composed: ComposedPanel) -> Iterator[Finding]:
    """A panel set tighter than its layout likes: on which step, and what that costs a reader."""
    fit, panel = composed.fit, composed.panel
    if not fit.step:
        return
    heights = measure_elements_mm(panel)
    least = min(heights.values(), default=_READABLE_MM)
    small = [name for name, height in heights.items() if height < _READABLE_MM]
    yield make_own_finding(
        "CRAFT-TIGHTER",
        Said(
            "Set {step} of {steps} steps tighter than the layout likes: {cost}",
            step=Number(fit.step),
            steps=Number(fit.steps),
            cost=_describe_reader_cost(small, least),
        ),
        panel=panel.name,
        level=Level.WARN if small else Level.NOTE,
        measured=Number(least, 2),
        required=Number(_READABLE_MM),
        unit="mm",
        citation=_READABLE_SOURCE,
        remedy=Said(
            "Print one at its true size and read it at arm's length. A larger trim, or the list on"
            " a tag where the region allows it, lets it stand larger."
        ),
    )


def measure_elements_mm(panel: Panel) -> dict[str, Decimal]:
    """How tall the letters of each element of a panel print."""
    texts = group_element_texts(panel)
    elements = dict.fromkeys(run.element for run in panel.runs if has_letter(run.text))
    elements.pop("ingredients-heading", None)  # as tall as its list, and told with it
    return {name: height for name in elements if (height := measure_texts_mm(texts[name]))}


def _describe_reader_cost(small: Sequence[str], least_mm: Decimal) -> Said:
    height = Number(least_mm, 2)
    if not small:
        return Said("letters of {height} mm, which most people still read", height=height)
    names = quote_names(Term("part", name) for name in small)
    if least_mm < LEAST_GUEST_MM:
        return Said(
            "{names} at {height} mm: no law gives a figure, and few can read it without a glass",
            names=names,
            height=height,
        )
    return Said(
        "{names} at {height} mm: legal, hard to read without a glass", names=names, height=height
    )


def _check_left_out(composed: ComposedPanel) -> Iterator[Finding]:
    for name in composed.fit.left_out:
        yield make_own_finding(
            "CRAFT-LEFT-OUT",
            Said(
                "There was no room for the {name}, however tightly the rest was set",
                name=Term("part", name),
            ),
            panel=composed.panel.name,
            element=name if name in ELEMENTS else "",
            remedy=Said(
                "Use a larger trim, or leave out something else ({key}).",
                key=f"{composed.panel.name}.leave_out",
            )
            if composed.panel.name in ("front", "back")
            else Said("Use a larger trim, or leave out something else."),
        )


def _check_replaced_faces(composed: ComposedPanel) -> Iterator[Finding]:
    for one in composed.fit.replaced:
        yield make_own_finding(
            "CRAFT-FACE",
            Said(
                "{face} cannot write {letters}; {stand_in} stands in for it",
                face=one.face,
                letters=Quoted(one.missing),
                stand_in=one.stand_in,
            ),
            panel=composed.panel.name,
            element=one.element,
            level=Level.NOTE,
            remedy=Said("Look at the proof, or choose a layout whose face has the letters."),
        )


def _check_guests(craft: CheckedLabel) -> Iterator[Finding]:
    """Guests whose names are written in another face than the rest, or hard to read."""
    for composed in craft.composed:
        if composed.guest is None:
            continue
        runs = craft.guest_runs.get(composed.panel.name, {})
        own = composed.guest.face.name
        stood_in: list[str] = []
        heights_mm: dict[str, float] = {}
        for name, (run,) in runs.items():
            if run.face != own and not isinstance(composed.faces.get(run.face), MixedFace):
                stood_in.append(name)
            height_mm = _measure_printed_mm(run)
            if height_mm is not None and height_mm < LEAST_GUEST_MM:
                heights_mm[name] = height_mm
        if stood_in:
            yield make_own_finding(
                "CRAFT-GUEST-FACE",
                Said(
                    "{face} lacks letters of {names}; another face stands in",
                    face=own,
                    names=quote_names(stood_in),
                ),
                panel=composed.panel.name,
                element="guest",
                level=Level.NOTE,
                remedy=LOOK_AT_THEM,
            )
        if heights_mm:
            yield _make_small_guest_finding(composed.panel.name, heights_mm)


def _check_other_fonts(craft: CheckedLabel) -> Iterator[Finding]:
    """Which font files write what the layout's own faces cannot."""
    for composed in craft.composed:
        if not any(isinstance(face, MixedFace) for face in composed.faces.values()):
            continue
        guests = craft.guest_runs.get(composed.panel.name, {})
        texts: dict[Companion, dict[str, None]] = {}
        guest_runs = (run for runs in guests.values() for run in runs)
        for run in (*composed.panel.runs, *guest_runs):
            face = composed.faces.get(run.face)
            if isinstance(face, MixedFace):
                for _, companion, _ in face.companions:
                    texts.setdefault(companion, {})[run.text.strip()] = None
        for companion, written in texts.items():
            yield make_own_finding(
                "CRAFT-FONT",
                Said(
                    "{names}: written with {font}, of the file {file}",
                    names=quote_names(map(Quoted, written)),
                    font=companion.postscript,
                    file=companion.path.name,
                ),
                panel=composed.panel.name,
                level=Level.NOTE,
                remedy=LOOK_AT_THEM if companion.package else KEEP_THE_FILE,
            )


LOOK_AT_THEM = Said("Look at those labels before they are printed.")
KEEP_THE_FILE = Said(
    "Look at those labels before they are printed. To print the same on another computer, keep"
    " that file beside label.toml and name it with fonts under [label]."
)


def _measure_printed_mm(run: Run) -> float | None:
    """How tall a run prints, as the rules measure it: by its capitals where it has no others."""
    letters = run.letters
    return letters.capital_mm if is_all_capitals(run.text) else letters.small_o_mm


def _make_small_guest_finding(panel: str, heights_mm: Mapping[str, float]) -> Finding:
    smallest_first = sorted(heights_mm, key=lambda name: heights_mm[name])
    least_mm = heights_mm[smallest_first[0]]
    return make_own_finding(
        "CRAFT-GUEST-SMALL",
        Said(
            "Guests' names so long that they print too small to be read: {names}",
            names=quote_names(smallest_first),
        ),
        panel=panel,
        element="guest",
        measured=Number(Decimal(repr(least_mm)), 2),
        required=Number(LEAST_GUEST_MM),
        unit="mm",
        citation=_HEIGHT_SOURCE,
        remedy=Said("Shorten the names, or use a wider trim or a layout with a narrower face."),
    )


# -- letters ---------------------------------------------------------------------------------------


def _check_near_trim(panel: Panel, guests: Sequence[Run]) -> Iterator[Finding]:
    """Words so near the trim that a cut a little astray takes them."""
    outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    every = (*panel.runs, *guests)
    clear_mm = max(HARMLESS_MM, panel.safe_mm - OVERLAP_MM)
    if not every or outline.contains(join_ink(every), clear_mm):  # as on most labels
        return
    near = [
        run
        for run in every
        if run.text.strip()
        and run.element not in ("separator", "draft-mark")
        and not outline.contains(run.ink, HARMLESS_MM)
    ]
    if near:
        yield make_own_finding(
            "CRAFT-MARGIN",
            Said(
                "So near the trim that the cut may take it: {names}",
                names=quote_names(
                    Term("part", name) for name in dict.fromkeys(r.element for r in near)
                ),
            ),
            panel=panel.name,
            measured=Number(
                Decimal(repr(min(_measure_clear_mm(outline, run.ink) for run in near))), 2
            ),
            required=Number(Decimal(repr(HARMLESS_MM))),
            unit="mm",
            citation=_CUT_SOURCE,
            remedy=Said("Give that panel of the layout a larger margin."),
        )

    beyond = [
        run.text
        for run in guests
        if run not in near and not outline.contains(run.ink, panel.safe_mm - OVERLAP_MM)
    ]
    if beyond:
        yield make_own_finding(
            "CRAFT-GUEST-MARGIN",
            Said(
                "Guests' names that reach into the margin the layout keeps free: {names}",
                names=quote_names(map(Quoted, beyond)),
            ),
            panel=panel.name,
            element="guest",
            level=Level.NOTE,
            remedy=LOOK_AT_THEM,
        )


def _check_gaps(composed: ComposedPanel, guests: Sequence[Run]) -> Iterator[Finding]:
    """Names that seem to be two words: beside an apostrophe, or a capital of a script face."""
    names = [*(run for run in composed.panel.runs if run.element == "names"), *guests]
    faces = composed.faces
    wide = [
        run.text.strip()
        for run in names
        if _has_wide_gap(faces[run.face], run.text, run.tracking_em)
    ]
    if wide:
        yield make_own_finding(
            "CRAFT-GAP",
            Said(
                "A gap inside a word that is as wide as one between words: {names}",
                names=quote_names(map(Quoted, dict.fromkeys(wide))),
            ),
            panel=composed.panel.name,
            level=Level.NOTE,
            remedy=LOOK_AT_THEM,
        )


@lru_cache(maxsize=4096)
def _has_wide_gap(face: Face, text: str, tracking_em: float) -> bool:
    """Whether the ink of two letters of a word stands nearly a word space apart."""
    space_em = face.advance_em(" ") + tracking_em
    x, right = 0.0, math.inf
    for advance, ink in shape_text(face, text).seen:
        if ink is None:
            right = math.inf  # a space: what follows is another word
        elif x + ink.x0_em - right > WIDE_GAP * space_em:
            return True
        else:
            right = max(right, x + ink.x1_em) if right < math.inf else x + ink.x1_em
        x += advance + tracking_em
    return False


def _measure_clear_mm(outline: Outline, box: Box) -> float:
    """How far a box keeps from the trim; 0 where it meets or crosses it."""
    low, high = 0.0, HARMLESS_MM
    while high - low > CLEAR_STEP_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if outline.contains(box, middle) else (low, middle)
    return low


def _check_overlaps(composed: ComposedPanel, guests: Sequence[Run]) -> Iterator[Finding]:
    """Letters of one line that run into those of another."""
    panel, faces = composed.panel, composed.faces
    touching = {
        _quote_pair(run, other)
        for number, run in enumerate(panel.runs)
        for other in panel.runs[number + 1 :]
        if _has_shared_ink(run, other, faces)
    }
    touching |= {
        _quote_pair(run, other)
        for run in guests
        for other in panel.runs
        if _has_shared_ink(run, other, faces)
    }
    if touching:
        yield make_own_finding(
            "CRAFT-OVERLAP",
            Said("Letters touch: {pairs}", pairs=quote_names(sorted(touching))),
            panel=panel.name,
            remedy=Said("Use a larger trim, fewer words, or a layout with more leading."),
        )


def _quote_pair(run: Run, other: Run) -> FactList:
    return FactList((Quoted(run.text), Quoted(other.text)), "and")


def _has_shared_ink(run: Run, other: Run, faces: Mapping[str, Face]) -> bool:
    """Whether two runs on different lines share ink, by the boxes of their letters."""
    if run.baseline_mm == other.baseline_mm or not run.ink.meets(other.ink):
        return False
    if {run.element, other.element} & {"separator", "draft-mark"}:
        return False
    theirs = [box.inset(OVERLAP_MM / 2) for box in _list_letter_boxes(other, faces)]
    mine = [box.inset(OVERLAP_MM / 2) for box in _list_letter_boxes(run, faces)]
    return any(a.meets(b) for a in mine for b in theirs)


def _list_letter_boxes(run: Run, faces: Mapping[str, Face]) -> Iterator[Box]:
    shaped = shape_text(faces[run.face], run.text)
    scale, x = run.size_pt / PT_PER_MM, run.x_mm
    for advance, ink in shaped.seen:
        if ink is not None:
            yield Box(
                x + ink.x0_em * scale,
                run.baseline_mm + ink.y0_em * scale,
                x + ink.x1_em * scale,
                run.baseline_mm + ink.y1_em * scale,
            )
        x += (advance + run.tracking_em) * scale


# -- ink -------------------------------------------------------------------------------------------


def check_contrast(panel: Panel, facts: Facts, own: Iterable[Run] = ()) -> Iterator[Finding]:
    """Text hard to tell from its ground; ``own`` are the runs of one label's guest."""
    clear = facts.clear_on(panel.name)
    weak: dict[str, list[str]] = {}
    for run in (*panel.runs, *own):
        if run.text.strip() and run.element not in ("separator", "draft-mark"):
            weak.setdefault(run.colour, []).append(run.element)
    for ink, elements in weak.items():
        ratio, ground = measure_contrast(ink, panel, facts)
        if ratio < LEAST_CONTRAST:
            yield make_own_finding(
                "CRAFT-CONTRAST",
                Said(
                    "{names} in {ink} on {ground} is hard to read",
                    names=quote_names(Term("part", name) for name in dict.fromkeys(elements)),
                    ink=ink,
                    ground=ground,
                ),
                panel=panel.name,
                level=Level.FAIL if ratio < UNREADABLE else Level.WARN,
                measured=Number(ratio, 2),
                required=Number(LEAST_CONTRAST),
                unit=": 1",
                citation=CONTRAST_SOURCE,
                remedy=Said(
                    "Use a darker ink (label.colour) or paper: no printer here lays white."
                    if clear
                    else "Use a darker ink (label.colour)."
                ),
            )


def check_art_contrast(panel: Panel, facts: Facts) -> Iterator[Finding]:
    """Ornament, frame, and letters that are drawn, hard to tell from their ground."""
    for ink in dict.fromkeys(one.colour for one in panel.ornaments):
        ratio, ground = measure_contrast(ink, panel, facts)
        if mix_colours(ink, panel.stock_colour or "#ffffff") == panel.background:
            continue  # the ground itself
        if ratio < LEAST_ART_CONTRAST:
            yield make_own_finding(
                "CRAFT-ACCENT",
                Said(
                    "Ornament in {ink} on {ground} is hard to see",
                    ink=ink,
                    ground=ground,
                ),
                panel=panel.name,
                level=Level.FAIL if ratio < UNREADABLE else Level.WARN,
                measured=Number(ratio, 2),
                required=Number(LEAST_ART_CONTRAST),
                unit=": 1",
                citation=ART_CONTRAST_SOURCE,
                remedy=Said("Use a darker ink for names and ornament (label.accent)."),
            )


def _check_white_ink(craft: CheckedLabel) -> Iterator[Finding]:
    """Names and ornament in white, which no printer of a workshop lays."""
    for composed in craft.composed:
        panel = composed.panel
        if has_white_ink(panel, craft.layout):
            yield make_own_finding(
                "CRAFT-WHITE",
                Said("White ink: a printing works lays it from a plate, printers here lay none"),
                panel=panel.name,
                remedy=Said(
                    "Have it printed (labelkit sheet --for-press); the proof shows it as the works"
                    " will lay it."
                ),
            )


def has_white_ink(panel: Panel, layout: Layout) -> bool:
    """Whether a panel is printed in white, and not left bare in a ground that is printed."""
    if layout.panel(panel.name).background is not None:
        return False
    return WHITE in {run.colour for run in panel.runs} | {one.colour for one in panel.ornaments}


def _check_soap_colour(craft: CheckedLabel) -> Iterator[Finding]:
    if craft.facts.clear_stock and craft.facts.soap_colour is None:
        yield make_own_finding(
            "CRAFT-SOAP-COLOUR",
            Said("The stock is clear and the colour of the soap behind it is not known"),
            remedy=Said(
                'Say product.soap_colour, such as "#e9c98f": contrast is judged against it.'
            ),
        )


def _check_strokes(
    composed: ComposedPanel, facts: Facts, guests: Sequence[Run]
) -> Iterator[Finding]:
    """Strokes that would break at 300 dots an inch, those of the smallest guest's name as well."""
    panel = composed.panel
    least_mm = DOT_MM * (LEAST_DOTS_CLEAR if facts.clear_on(panel.name) else LEAST_DOTS)
    thin: dict[str, float] = {}
    smallest = min(guests, key=lambda run: run.size_pt, default=None)
    for run in (*panel.runs, *([smallest] if smallest else [])):
        thinnest_em = composed.faces[run.face].thinnest_em
        if thinnest_em is not None and run.text.strip() and run.element != "separator":
            _note_thin_stroke(thin, run.element, thinnest_em * run.size_pt / PT_PER_MM, least_mm)
    strokes = [art.stroke_mm for art in panel.ornaments if art.stroke_mm is not None]
    _note_thin_stroke(thin, "ornament", min(strokes, default=math.inf), least_mm)
    if thin:
        thinnest_mm = min(thin.values())
        yield make_own_finding(
            "CRAFT-STROKE",
            Said(
                "The thinnest strokes of {names} may break at {dpi} dpi",
                names=quote_names(Term("part", name) for name in thin),
                dpi=Number(PRINTER_DPI),
            ),
            panel=panel.name,
            measured=Number(Decimal(repr(thinnest_mm)), 3),
            required=Number(Decimal(repr(least_mm)), 3),
            unit="mm",
            remedy=Said("Print at 600 dpi or more, or choose a layout with a sturdier face."),
        )


def _note_thin_stroke(thin: dict[str, float], name: str, stroke_mm: float, least_mm: float) -> None:
    if stroke_mm < least_mm:
        thin[name] = min(stroke_mm, thin.get(name, stroke_mm))


# -- the logo --------------------------------------------------------------------------------------


def _check_logo(craft: CheckedLabel) -> Iterator[Finding]:
    if not craft.has_logo:
        return
    blocks = [block for panel in craft.layout.panels.values() for block in panel.blocks]
    if not any(block.picture for block in blocks):
        yield make_own_finding(
            "CRAFT-LOGO-PLACE",
            Said("The layout {layout} has no place for a logo", layout=craft.layout.title),
            remedy=Said('Copy the layout and give it a block with picture = "logo".'),
        )


def _check_pictures(panel: Panel, facts: Facts) -> Iterator[Finding]:
    for picture in panel.pictures:
        if (dpi := picture.dots_per_inch) < PRINTER_DPI:
            pixels = round(picture.box.width_mm / MM_PER_INCH * PRINTER_DPI)
            yield make_own_finding(
                "CRAFT-LOGO-RESOLUTION",
                Said(
                    "The logo is {width} mm wide and would print coarse",
                    width=Number(Decimal(repr(picture.box.width_mm)), 1),
                ),
                panel=panel.name,
                measured=Number(Decimal(repr(dpi)), 0),
                required=Number(PRINTER_DPI),
                unit=Said("dpi"),
                remedy=Said(
                    "Use a picture at least {pixels} pixels wide, or an SVG drawing.",
                    pixels=Number(pixels),
                ),
            )
        yield from _check_tones(panel, picture)
        if facts.clear_on(panel.name):
            yield make_own_finding(
                "CRAFT-LOGO-CLEAR",
                Said("White and pale parts of the logo are see-through on clear stock"),
                panel=panel.name,
                level=Level.NOTE,
                remedy=Said("Use a drawing in one dark ink."),
            )


def _check_tones(panel: Panel, picture: Picture) -> Iterator[Finding]:
    """A picture of which a small label shows a block, or a photograph without its detail."""
    box = picture.box
    tones = measure_tones(picture.data, box.width_mm)
    width = Number(Decimal(repr(box.width_mm)), 1)
    if tones.contrast < UNREADABLE:
        yield make_own_finding(
            "CRAFT-LOGO-BLOCK",
            Said("At {width} mm wide the logo prints as one block of nearly one tone", width=width),
            panel=panel.name,
            measured=Number(tones.contrast, 2),
            required=Number(UNREADABLE),
            unit=": 1",
            citation=CONTRAST_SOURCE,
            remedy=_FLAT_LOGO,
        )
    elif tones.continuous:
        small = min(box.width_mm, box.height_mm) < LEAST_PHOTO_MM
        yield make_own_finding(
            "CRAFT-LOGO-PHOTO",
            Said(
                "The logo is a photograph or the like, of tones that run into each other; at"
                " {width} mm wide its detail is lost",
                width=width,
            )
            if small
            else Said("The logo is a photograph or the like, of tones that run into each other"),
            panel=panel.name,
            level=Level.WARN if small else Level.NOTE,
            remedy=_FLAT_LOGO,
        )


# -- findings --------------------------------------------------------------------------------------


def quote_names(names: Iterable[str]) -> str:
    """A few names, and how many more there are."""
    every = list(names)
    shown = FactList(every[:MOST_NAMED])
    more = len(every) - MOST_NAMED
    return Said("{names} and {more} more", names=shown, more=Number(more)) if more > 0 else shown


def make_own_finding(
    rule: str,
    message: str,
    *,
    panel: str = "",
    element: str = "",
    level: Level = Level.WARN,
    measured: str = "",
    required: str = "",
    unit: str = "",
    citation: str = "",
    remedy: str = "",
) -> Finding:
    return Finding(
        rule=rule,
        region="",
        panel=panel,
        element=element,
        level=level,
        message=Said("{message}.", message=message),
        measured=measured,
        required=required,
        unit=unit,
        citation=citation,
        provenance=OWN_CHECK,
        remedy=remedy,
    )
