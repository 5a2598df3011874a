"""The calibration page: what it prints, and what its measurements say of the printer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said, make_number
from labelkit.common.paper import PAPERS_MM
from labelkit.impose import MarginNote, RegistrationMark, Sheet, StraightLine
from labelkit.order.fields import PRINTERS, load_range
from labelkit.order.printer import PrinterProfile

INSET_MM = 20.0
"""From the left and the lower edge of the page to the nearest targets."""
ACROSS_MM = {"letter": 170.0, "a4": 170.0}
UP_MM = {"letter": 230.0, "a4": 250.0}
"""Distances of the targets from each other: round figures, as long as the page allows."""
EDGE_STEPS_MM = range(1, 16)

MOST_SCALING = 0.01
"""A real printer is true to 1 % at 100 %; "fit to page" takes 3 % and more (common practice, no
source)."""
MOST_OFF_MM = 10.0
"""A real printer puts a page a few millimetres off at most (common practice, no source)."""

BESIDE = "maker.toml"
"""The maker's file where the command is given: it need not be named."""


@dataclass(frozen=True, slots=True)
class CalibrationMeasures:
    """What a ruler says of a printed calibration page, in millimetres."""

    across_mm: float
    """From the cross at the lower left to the one at the lower right."""
    up_mm: float
    """From the cross at the lower left to the one at the upper left."""
    left_mm: float
    """From the left edge of the paper to the cross at the lower left."""
    foot_mm: float
    """From the lower edge of the paper to the same cross."""
    edge_mm: float | None = None
    """The smallest figure of the edge steps that is whole on all four sides."""


def make_profile(name: str, page: str, measured: CalibrationMeasures) -> PrinterProfile:
    """The printer that prints the calibration page as measured; InputError if none plausibly can.

    With targets at x0 and x1, printed at ``scale * x + offset``: the distance between them gives
    the scale, the first one's distance from the edge then the offset.
    """
    scale_x = _compute_scale("across", measured.across_mm, ACROSS_MM[page])
    scale_y = _compute_scale("up", measured.up_mm, UP_MM[page])
    edge = measured.edge_mm
    most = load_range(PRINTERS, "printers", "unprintable_mm").most
    if edge is not None and not 0 <= edge <= most:
        raise InputError(
            "edge", "", f"{edge:g} mm", Said("expected 0 mm to {most} mm", most=Number(most))
        )
    return PrinterProfile(
        name=name,
        offset_x_mm=_compute_offset("left", measured.left_mm, scale_x),
        offset_y_mm=_compute_offset("foot", measured.foot_mm, scale_y),
        scale_x=scale_x,
        scale_y=scale_y,
        unprintable_mm=edge,
        page=page,
    )


def _compute_scale(what: str, measured_mm: float, true_mm: float) -> float:
    scale = round(measured_mm / true_mm, 6)
    if abs(scale - 1) > MOST_SCALING:
        told = Said(
            "{off} % longer than the {true} mm of the page, and a printer at 100 % is within {most}"
            " %; {cure}"
            if scale > 1
            else "{off} % shorter than the {true} mm of the page, and a printer at 100 % is within"
            " {most} %; {cure}",
            off=Number(Decimal(abs(scale - 1) * 100), 1),
            true=make_number(true_mm),
            most=make_number(MOST_SCALING * 100),
            cure=Said(
                'check that it was printed at 100 % with "fit to page" off, that --page names this'
                " page, and the ruler"
            ),
        )
        raise InputError(what, "", f"{measured_mm:g} mm", told)
    return scale


def _compute_offset(what: str, measured_mm: float, scale: float) -> float:
    offset = round(measured_mm - scale * INSET_MM, 6)
    if abs(offset) > MOST_OFF_MM:
        raise InputError(
            what,
            "",
            f"{measured_mm:g} mm",
            Said(
                "should be near {true} mm, at most {most} mm off; check that the "
                "paper lay straight in the tray, that the ruler's zero was on its edge, and "
                "print it again",
                true=make_number(INSET_MM),
                most=make_number(MOST_OFF_MM),
            ),
        )
    return offset


# -- the page --------------------------------------------------------------------------------------


def make_calibration_sheet(
    page: str, maker: str = BESIDE, speak: Callable[[str], str] = str
) -> Sheet:
    """The calibration page of "letter" or "a4" as geometry, in the language that ``speak`` has."""
    width, height = PAPERS_MM[page]
    across, up = ACROSS_MM[page], UP_MM[page]
    left, foot = INSET_MM, INSET_MM
    right, head = left + across, foot + up
    targets = tuple(RegistrationMark(x, y, 3.0, 6.0) for y in (foot, head) for x in (left, right))
    return Sheet(
        page_width_mm=width,
        page_height_mm=height,
        places=(),
        marks=(
            *_make_scale_across(left, foot, across),
            *_make_scale_up(left, foot, up),
            *_make_edge_steps(width, height),
        ),
        registration=targets,
        notes=(*_make_instructions(page, maker, speak), *_make_edge_figures(width, height)),
    )


def _make_scale_across(x_mm: float, y_mm: float, length_mm: float) -> Iterator[StraightLine]:
    yield StraightLine(x_mm, y_mm, x_mm + length_mm, y_mm)
    for tick in range(10, int(length_mm), 10):
        yield StraightLine(x_mm + tick, y_mm, x_mm + tick, y_mm + 2)


def _make_scale_up(x_mm: float, y_mm: float, length_mm: float) -> Iterator[StraightLine]:
    yield StraightLine(x_mm, y_mm, x_mm, y_mm + length_mm)
    for tick in range(10, int(length_mm), 10):
        yield StraightLine(x_mm, y_mm + tick, x_mm + 2, y_mm + tick)


def _make_edge_steps(width_mm: float, height_mm: float) -> Iterator[StraightLine]:
    """Steps parallel to every edge, each a millimetre further in than the one before it."""
    for step in EDGE_STEPS_MM:
        along, inset, length = _step_start_mm(step), float(step), 4.0
        x, y = width_mm / 2 + along, height_mm / 2 + along
        yield StraightLine(x, inset, x + length, inset)
        yield StraightLine(x, height_mm - inset, x + length, height_mm - inset)
        yield StraightLine(inset, y, inset, y + length)
        yield StraightLine(width_mm - inset, y, width_mm - inset, y + length)


def _step_start_mm(step: int) -> float:
    return (step - 1 - len(EDGE_STEPS_MM) / 2) * 4.0


def _make_edge_figures(width_mm: float, height_mm: float) -> Iterator[MarginNote]:
    for step in EDGE_STEPS_MM:
        along, text = _step_start_mm(step) + 1.0, str(step)
        x, y = width_mm / 2 + along, height_mm / 2 + along
        yield MarginNote(x, step + 0.7, text)
        yield MarginNote(x, height_mm - step - 2.1, text)
        yield MarginNote(step + 0.7, y, text)
        yield MarginNote(width_mm - step - 3.2, y, text)


def _make_instructions(page: str, maker: str, speak: Callable[[str], str]) -> Iterator[MarginNote]:
    across, up, inset = map(make_number, (ACROSS_MM[page], UP_MM[page], INSET_MM))
    asked = (
        ("across", Said("from cross to cross along the foot; {mm} mm if all is well", mm=across)),
        ("up", Said("from cross to cross along the left; {mm} mm", mm=up)),
        (
            "left",
            Said(
                "from the left edge of the paper to the cross at the lower left; {mm} mm", mm=inset
            ),
        ),
        ("foot", Said("from the lower edge of the paper to the same cross; {mm} mm", mm=inset)),
        ("edge", Said("the smallest figure whose step is there on all four edges")),
    )
    x, y = INSET_MM + 15, PAPERS_MM[page][1] * 0.7
    lines = (
        (0, 6.0, Said("labelkit calibration page")),
        (9, 4.0, Said("Print at 100 %, never fitted to the page, on the stock you will use.")),
        (15, 4.0, Said("Then measure with a steel ruler, to a fifth of a millimetre:")),
        (62, 4.0, Said("Then tell labelkit:")),
    )
    for down, size, said in lines:
        yield MarginNote(x, y - down, speak(said), size)
    for number, (key, meaning) in enumerate(asked):
        yield MarginNote(x, y - 25 - 6 * number, key, 4.0)
        yield MarginNote(x + 15, y - 25 - 6 * number, speak(meaning), 4.0)
    yield MarginNote(x, y - 69, f'labelkit calibrate --page {page} --printer "back room"', 4.0)
    if maker != BESIDE:  # on a line of its own: a path may be long
        yield MarginNote(x + 5, y - 75, f'--maker "{maker}"', 4.0)


def draw_calibration_pdf(
    page: str, maker: str = BESIDE, language: str = "en", speak: Callable[[str], str] = str
) -> bytes:
    """The calibration page as a PDF, with the command for this maker's file printed on it.

    ``speak`` says its sentences in ``language``.
    """
    from labelkit.pdf.write.diagram import draw_diagram_pdf

    sheet = make_calibration_sheet(page, maker, speak)
    return draw_diagram_pdf((sheet,), speak(Said("Calibration page")), language)
