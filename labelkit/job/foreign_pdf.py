"""Preflight of a PDF whose order is not known: made in a word processor, or by a printing works.

What shows is judged, and nothing else: the letters by their ink, their colours by what is rendered.
What only an order could tell is said to be unknown, and which text is what, the maker says.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from pathlib import Path

from labelkit import rules
from labelkit.checks.craft import (
    CONTRAST_SOURCE,
    LEAST_CONTRAST,
    LEAST_GUEST_MM,
    UNREADABLE,
    make_own_finding,
)
from labelkit.common.confined import run_confined
from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Number, Quoted, Said, Term, count_things
from labelkit.common.quantity import QuantityError, parse_mass_g
from labelkit.common.text_match import fold_as_read
from labelkit.formula.declaration import Basis, Declaration, Style
from labelkit.model.runs import ELEMENTS, NEUTRAL, Box, LetterHeights, Panel, Run
from labelkit.order.reader import read_bytes, suggest_nearest
from labelkit.pdf.read import MAX_PDF_BYTES, read_page_settings
from labelkit.pdf.shown_text import (
    FIGURE_SIZE,
    INKED,
    ShownFigure,
    ShownPage,
    ShownText,
    read_shown_page,
)
from labelkit.rules.facts import Facts, PackageFace
from labelkit.rules.findings import Finding, Level, Report
from labelkit.rules.kinds.setting import contrast_ratio
from labelkit.typeset.faces import FaceRequest, load_face

MOST_LISTED = 12
MOST_PAGES = 20
OTHER_INK = 0.02
"""A larger share of the ink beside all text is told: it may be letters that are not read here."""
UNLIKE = 0.2
"""By so much of its area a figure must be more like another to be told as that (labelkit's own
judgement, tried on the bundled faces)."""
NO_WEIGHT = Decimal(0)
_SAY_WHICH = Said('Say which text is what: --is "40 g=net-quantity" --is "SAVON=identity:fr"')


@dataclass(frozen=True, slots=True)
class NamedText:
    """What the maker says a text is."""

    text: str
    element: str
    language: str = NEUTRAL


def parse_named_text(text: str) -> NamedText:
    """``"40 g=net-quantity"`` or ``"SAVON=identity:fr"``; InputError for what is neither."""
    words, _, element = text.rpartition("=")
    element, _, language = element.strip().partition(":")
    if not words.strip() or element not in ELEMENTS:
        near = suggest_nearest(element, tuple(ELEMENTS))
        raise InputError(
            "--is",
            "",
            text,
            Said('{near}expected a text and an element: "40 g=net-quantity"', near=near),
        )
    return NamedText(words.strip(), element, language or NEUTRAL)


def examine_foreign_pdfs(
    pdfs: Iterable[Path],
    regions: Sequence[str],
    face: tuple[Decimal, Decimal],
    named: Sequence[NamedText],
    on: dt.date,
    strict: bool = False,
) -> Report:
    """What shows in the PDFs against what the regions ask of letters that show.

    ``face`` is that of the package in millimetres. InputError for a PDF that cannot be used, and
    for a text that nothing shows.
    """
    asked = rules.check_regions(regions)
    pages = [page for pdf in pdfs for page in _read_pages(pdf)]
    texts = [text for page in pages for text in page.texts]
    found = {name: _find_text(name, texts) for name in named}
    facts = _make_facts(face, named, on)
    report = rules.judge_shown_panels(
        [_make_panel(name, text) for name, text in found.items()], facts, asked, on, strict
    )
    own = (
        *(finding for text in texts for finding in _check_text(text)),
        *(finding for page in pages for finding in _check_other_ink(page)),
        *_tell_what_is_unknown(texts, found, asked, facts, on),
    )
    return report.with_findings(own)


def _read_pages(pdf: Path) -> tuple[ShownPage, ...]:
    data, name = read_bytes(pdf, Said("a PDF"), MAX_PDF_BYTES), format_path(pdf)
    return tuple(
        run_confined(name, read_shown_page, data, index, setting.unit)
        for index, setting in enumerate(read_page_settings(data, name)[:MOST_PAGES])
    )


def _find_text(name: NamedText, texts: Sequence[ShownText]) -> ShownText:
    wanted = fold_as_read(name.text)
    for text in texts:
        if wanted in fold_as_read(text.text):
            return text
    raise InputError(
        "--is",
        "",
        name.text,
        Said(
            "no text that shows reads so; these show: {texts}",
            texts=FactList(Quoted(text.text) for text in texts[:MOST_LISTED]),
        ),
    )


def _make_facts(face: tuple[Decimal, Decimal], named: Iterable[NamedText], on: dt.date) -> Facts:
    """What is known of the product: its face, and the weight where a text says it."""
    weight = NO_WEIGHT
    for name in named:
        if name.element == "net-quantity":
            try:
                weight = parse_mass_g(name.text)
            except QuantityError:
                continue
    nothing = Declaration((), next(iter(Style)), next(iter(Basis)), Decimal(0))
    return Facts(PackageFace(*face), weight, (), nothing, on)


def _make_panel(name: NamedText, text: ShownText) -> Panel:
    """A panel that carries one text, as it shows, on its own ground."""
    run = Run(
        text=text.text,
        element=name.element,
        language=name.language,
        face="PDF",
        weight=400,
        size_pt=0.0,
        x_mm=text.ink.x0_mm,
        baseline_mm=text.ink.y0_mm,
        advance_mm=text.ink.width_mm,
        ink=text.ink,
        letters=LetterHeights(
            text.capital_mm or text.figure_mm, text.small_o_mm, text.figure_mm, None
        ),
        colour=text.colour,
    )
    box: Box = text.ink
    return Panel("front", box.x1_mm, box.y1_mm, runs=(run,), background=text.ground)


def _check_text(text: ShownText) -> Iterator[Finding]:
    """What can be said of a text whatever it is."""
    ratio = contrast_ratio(text.colour, text.ground)
    if ratio < LEAST_CONTRAST:
        yield make_own_finding(
            "CRAFT-CONTRAST",
            Said(
                "{words} in {ink} on {ground} is hard to read",
                words=Quoted(text.text),
                ink=text.colour,
                ground=text.ground,
            ),
            level=Level.FAIL if ratio < UNREADABLE else Level.WARN,
            measured=Number(ratio, 2),
            required=Number(LEAST_CONTRAST),
            unit=": 1",
            citation=CONTRAST_SOURCE,
            remedy=Said("Use a darker ink."),
        )
    heights = [mm for mm in (text.capital_mm, text.small_o_mm, text.figure_mm) if mm is not None]
    if heights and Decimal(min(heights)) < LEAST_GUEST_MM:
        yield make_own_finding(
            "CRAFT-SMALL",
            Said(
                "letters of {words} are smaller than any law read here allows",
                words=Quoted(text.text),
            ),
            measured=Number(Decimal(min(heights)), 2),
            required=Number(LEAST_GUEST_MM),
            unit="mm",
            remedy=Said("Set it larger."),
        )
    for figure in text.figures:
        other = find_unlike_figure(figure)
        if other:
            yield make_own_finding(
                "LABELKIT-GLYPH",
                Said(
                    "a figure of {words} that the file reads as {read} looks like {other}",
                    words=Quoted(text.text),
                    read=figure.reads,
                    other=other,
                ),
                level=Level.FAIL,
                remedy=Said("Look at it, and have the file made anew."),
            )
            return


def find_unlike_figure(figure: ShownFigure) -> str:
    """Which other figure a shown one looks like; "" where it looks most like what it reads as."""
    alike = {
        reads: max(_compare_shapes(figure.shape, shape) for shape in shapes)
        for reads, shapes in _load_figure_shapes().items()
    }
    best = max(alike, key=lambda reads: alike[reads])
    return best if alike[best] - alike[figure.reads] > UNLIKE else ""


def _compare_shapes(one: bytes, other: bytes) -> float:
    """The share of ink that two shapes have in common."""
    both = sum(a & b for a, b in zip(one, other, strict=True))
    either = sum(a | b for a, b in zip(one, other, strict=True))
    return both / either if either else 0.0


@lru_cache(maxsize=1)
def _load_figure_shapes() -> dict[str, list[bytes]]:
    """The figures of a few unlike faces, as figures that show are brought to."""
    from PIL import Image, ImageDraw, ImageFont

    shapes: dict[str, list[bytes]] = {}
    for family in ("fira-sans", "cormorant-garamond", "fira-sans-condensed"):
        font = ImageFont.truetype(str(load_face(FaceRequest(family)).path), 120)
        for figure in "0123456789":
            image = Image.new("L", (200, 200), 0)
            ImageDraw.Draw(image).text((40, 20), figure, font=font, fill=255)
            cut = image.crop(image.getbbox()).resize(FIGURE_SIZE)
            shapes.setdefault(figure, []).append(cut.point(INKED).tobytes())
    return shapes


def _check_other_ink(page: ShownPage) -> Iterator[Finding]:
    if page.other_ink > OTHER_INK:
        yield make_own_finding(
            "LABELKIT-NO-TEXT",
            Said(
                "{share} % of the ink is no text that the file tells: drawings, pictures, or"
                " letters made outlines, which are not read here",
                share=Number(Decimal(page.other_ink) * 100, 0),
            ),
            level=Level.NOTE,
            remedy=Said("Look at it yourself."),
        )


def _tell_what_is_unknown(
    texts: Sequence[ShownText],
    found: dict[NamedText, ShownText],
    regions: Sequence[str],
    facts: Facts,
    on: dt.date,
) -> Iterator[Finding]:
    yield make_own_finding(
        "LABELKIT-UNKNOWN",
        Said(
            "not judged, for there is no order: whether the list is that of the recipe, the weight"
            " that of the piece, the words right, and everything where it must stand"
        ),
        level=Level.NOTE,
        remedy=Said("Make an order of it (labelkit new), and give its label.toml."),
    )
    named = {id(text) for text in found.values()}
    others = [Quoted(text.text) for text in texts if id(text) not in named]
    if others:
        yield make_own_finding(
            "LABELKIT-UNNAMED",
            Said(
                "{count} of which it is not known what they are: {texts}",
                count=count_things(len(others), "{n} text", "{n} texts"),
                texts=FactList(others[:MOST_LISTED]),
            ),
            level=Level.NOTE,
            remedy=_SAY_WHICH,
        )
    given = {name.element for name in found}
    missing = [e for e in rules.list_required_elements(facts, regions, on) if e not in given]
    if missing:
        yield make_own_finding(
            "LABELKIT-UNNAMED",
            Said(
                "asked for, and no text was said to be it: {elements}",
                elements=FactList(Term("part", element) for element in missing),
            ),
            level=Level.WARN,
            remedy=_SAY_WHICH,
        )
