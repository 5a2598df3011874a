"""Runs measured on their face's outlines; a guest's own name; the mark of a draft."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, FactList, Number, Said, Verbatim, round_to_tenths
from labelkit.compose.arrangements import GUEST_SAMPLE, NO_FONT
from labelkit.compose.guests import GuestRuns
from labelkit.model.runs import NEUTRAL, Box, Panel, Run
from labelkit.typeset.apostrophes import set_apostrophes
from labelkit.typeset.companions import MixedFace, list_unwritten
from labelkit.typeset.faces import Face, FaceRequest, load_face
from labelkit.typeset.shape import shape_text

DRAFT_COLOUR = "#c8102e"
MOST_NAMED = 12
"""Guests named in one complaint."""
TOO_WIDE = "needs {least} mm and has {room} mm"
NO_LETTERS = "has what no font here can write: {letters}"
ROOMIER = (Said("shorten the name"), Said("a wider trim"), Said("a layout with a narrower face"))
"""What helps a name that is too wide."""


@dataclass(frozen=True, slots=True)
class GuestPlace:
    """The line that is kept for a guest's own name."""

    face: Face
    baseline_mm: float
    left_mm: float
    right_mm: float
    align: str
    most_pt: float
    least_pt: float
    tracking_em: float
    colour: str
    stand_ins: tuple[Face, ...] = ()
    """Faces for names that ``face`` cannot write."""


def make_run(
    text: str,
    element: str,
    language: str,
    face: Face,
    size_pt: float,
    x_mm: float,
    baseline_mm: float,
    tracking_em: float = 0.0,
    colour: str = "#000000",
) -> Run:
    """A run with its advance, ink and letter heights measured on the face's outlines."""
    shaped = shape_text(face, text)
    advance = shaped.advance_mm(size_pt, tracking_em)
    blank = Box(x_mm, baseline_mm, x_mm + advance, baseline_mm)
    return Run(
        text=text,
        element=element,
        language=language,
        face=face.name,
        weight=face.weight,
        size_pt=size_pt,
        x_mm=x_mm,
        baseline_mm=baseline_mm,
        advance_mm=advance,
        ink=shaped.ink_mm(size_pt, x_mm, baseline_mm, tracking_em) or blank,
        letters=face.letters(size_pt, text),
        colour=colour,
        tracking_em=tracking_em,
    )


def shift_run(run: Run, dx_mm: float, dy_mm: float = 0.0) -> Run:
    """The same run moved on its panel."""
    if not (dx_mm or dy_mm):
        return run
    return replace(
        run,
        x_mm=run.x_mm + dx_mm,
        baseline_mm=run.baseline_mm + dy_mm,
        ink=run.ink.shifted(dx_mm, dy_mm),
    )


def find_aligned_shift(
    align: str, first_mm: float, last_mm: float, left: float, right: float
) -> float:
    """How far ink from ``first_mm`` to ``last_mm`` moves to stand as asked between two sides.

    The ink is ranged or centred, not the advance: that is what the eye lines up.
    """
    if align == "right":
        return right - last_mm
    if align == "centre":
        return (left + right - first_mm - last_mm) / 2
    return left - first_mm


def make_guest_runs(place: GuestPlace, name: str) -> tuple[Run, ...]:
    """A guest's own name, fitted on its line without moving anything else.

    A stand-in writes it where the layout's own face cannot. Raises FitError when it does not fit
    at the smallest size, or when no face can write it.
    """
    problem, run = _fit_guest_name(place, name)
    if run is None:
        told = Said("guest {name} {problem}", name=Verbatim(name), problem=problem)
        raise FitError("front", told, _list_ways_out({name: problem}))
    return (run,)


def fit_all_guests(place: GuestPlace, names: Iterable[str]) -> Mapping[str, tuple[Run, ...]]:
    """Every guest's runs by name; one FitError that names all guests whose names cannot be set."""
    runs, error = fit_guests(place, names)
    if error is not None:
        raise error
    return runs


def fit_guests(
    place: GuestPlace, names: Iterable[str]
) -> tuple[Mapping[str, tuple[Run, ...]], FitError | None]:
    """The runs of every guest whose name can be set, by name, and a complaint about the others."""
    runs = GuestRuns()
    problems: dict[str, Said] = {}
    for name in dict.fromkeys(names):
        problem, run = _fit_guest_name(place, name)
        if run is None:
            problems[name] = problem
        else:
            runs.add(name, run)
    if not problems:
        return runs, None
    return runs, FitError(
        "front", _describe_unfitting(problems), _list_ways_out(problems), problems
    )


def find_widest_guests(place: GuestPlace, names: Iterable[str], most: int) -> tuple[str, ...]:
    """The names that need most room on their line, the widest first; at most so many.

    Names that no face can write are left out: no room helps them.
    """
    width_mm: dict[str, float] = {}
    for name in names:
        written = set_apostrophes(name)
        face = _choose_guest_face(place, written)
        if face is not None:
            width_mm[name] = _make_guest_run(place, face, written, place.most_pt).ink.width_mm
    return tuple(sorted(width_mm, key=lambda name: (-width_mm[name], name))[:most])


def _list_ways_out(problems: Mapping[str, Said]) -> tuple[Said, ...]:
    """What helps names with these problems, and nothing beside it."""
    found = {problem.template for problem in problems.values()}
    ways = [*ROOMIER] if TOO_WIDE in found else []
    if NO_LETTERS in found:
        ways += [
            *NO_FONT[:2],
            Said("the name in other letters"),
            Said("a spare label, with the name written by hand"),
            Said(
                "--leave-out-unwritten with labelkit proof and labelkit sheet, for all the others"
            ),
        ]
    return tuple(ways)


def _describe_unfitting(problems: Mapping[str, Said]) -> Said:
    """What is wrong with some guests' names, in one line."""
    failing = [
        Said("{name} {problem}", name=Verbatim(name), problem=problem)
        for name, problem in problems.items()
    ]
    named = FactList(failing[:MOST_NAMED], ";")
    count, more = Number(len(failing)), Number(len(failing) - MOST_NAMED)
    if len(failing) == 1:
        return Said("guest {guests}", guests=named)
    if len(failing) <= MOST_NAMED:
        return Said("{count} guests: {guests}", count=count, guests=named)
    return Said("{count} guests: {guests}; and {more} more", count=count, guests=named, more=more)


def _fit_guest_name(place: GuestPlace, name: str) -> tuple[Said, Run | None]:
    """What is wrong with a name, or its run in its place."""
    name = set_apostrophes(name)
    face = _choose_guest_face(place, name)
    if face is None:
        lacking = list_unwritten((place.face, *place.stand_ins), name)
        return Said(NO_LETTERS, letters=FactList(map(Verbatim, lacking))), None
    room = place.right_mm - place.left_mm
    most = place.most_pt * _find_low_scale(place, face, name)
    run = _make_guest_run(place, face, name, most)
    if run.ink.width_mm > room:
        size = most * room / run.ink.width_mm * (1 - 1e-9)
        if size < place.least_pt:
            narrowest = run.ink.width_mm * place.least_pt / most
            least, has = (
                round_to_tenths(narrowest, ROUND_CEILING),
                round_to_tenths(room, ROUND_FLOOR),
            )
            return Said(TOO_WIDE, least=least, room=has), None
        run = _make_guest_run(place, face, name, size)
    move = find_aligned_shift(
        place.align, run.ink.x0_mm, run.ink.x1_mm, place.left_mm, place.right_mm
    )
    return NOTHING, shift_run(run, move)


def _find_low_scale(place: GuestPlace, face: Face, name: str) -> float:
    """How much smaller a name with letters of another script is set, to stay on its line.

    Stacks and long tails take more height than the Latin letters that the line was made for.
    """
    ink = shape_text(face, name).ink_em if isinstance(face, MixedFace) else None
    line = place.face.ink_em(GUEST_SAMPLE)
    if ink is None or line is None:
        return 1.0
    rooms = [(ink.y1_em, line[1]), (-ink.y0_em, -line[0])]
    share = min((room / needed for needed, room in rooms if needed > room > 0), default=1.0)
    return max(share, place.least_pt / place.most_pt)


def _choose_guest_face(place: GuestPlace, name: str) -> Face | None:
    """The layout's own face, or the first of its stand-ins, that has every letter of a name."""
    return next((f for f in (place.face, *place.stand_ins) if not f.missing(name)), None)


def _make_guest_run(place: GuestPlace, face: Face, name: str, size_pt: float) -> Run:
    return make_run(
        name, "guest", NEUTRAL, face, size_pt, 0.0, place.baseline_mm,
        place.tracking_em, place.colour,
    )  # fmt: skip


def make_draft_mark(panel: Panel, languages: Sequence[str]) -> tuple[Run, Face]:
    """A run across the panel that nobody can take for a finished label, and its face."""
    face = load_face(FaceRequest("fira-sans", 700))
    text = "DRAFT · ÉBAUCHE" if "fr" in languages else "DRAFT"
    at_1pt = make_run(text, "draft-mark", NEUTRAL, face, 1.0, 0.0, 0.0)
    size = min(0.86 * panel.width_mm / at_1pt.ink.width_mm, 0.5 * panel.height_mm)
    run = make_run(text, "draft-mark", NEUTRAL, face, size, 0.0, 0.0, 0.0, DRAFT_COLOUR)
    across = (panel.width_mm - run.ink.x0_mm - run.ink.x1_mm) / 2
    up = (panel.height_mm - run.ink.y0_mm - run.ink.y1_mm) / 2
    return shift_run(run, across, up), face
