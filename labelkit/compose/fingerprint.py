"""What a customer approves, and the short code that stands for it.

The code is made of what she can see: the words of every panel by element and language, the guests'
names and how many guests there are, the design (a layout's values and a logo's bytes), trim and
shape, ink, the colour behind clear stock, a second surface, and the pieces that go with it. What
she cannot see leaves it as it is: comments and names of files, the recipe's lots and masses, the
plan and its prices, the stock, spares, bleed, and the order of the guests' names. The label's own
lot code stands on the label, and so belongs to it.

No font and no page goes into it, and no float: it is the same on every machine.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import MISSING, Field, fields, is_dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from labelkit.common.errors import UnreadableTextError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.compose.element_words import Wordings
from labelkit.order.label import Trim
from labelkit.order.layout import Layout, PanelLayout
from labelkit.order.pieces import Piece
from labelkit.typeset.apostrophes import set_apostrophes

if TYPE_CHECKING:
    from labelkit.compose.job import Job

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Crockford's base 32: without I, L, O and U; the first three are read as 1, 1 and 0."""
LETTERS = 8
"""Of a code, the last of them its check letter."""
_TAKEN_FOR = str.maketrans("OIL", "011")
_STEP = 10_000
"""Numbers of a layout are told apart to a ten-thousandth."""

Part = tuple[str, str, str]
"""Panel, what of it, and language; either of the outer two may be empty."""
WHOLE_ORDER = ""
"""The panel of what belongs to none."""
DESIGN, LOGO = "design", "logo"
"""Parts that are kept as digests."""
ASPECTS = ("languages", "capitals", "trim", "ink", "ground", DESIGN, LOGO)
"""Everything that can be a part beside the elements of a label."""


@dataclass(frozen=True)
class ApprovedContent:
    """What a customer approves."""

    parts: Mapping[Part, str]
    names: tuple[str, ...]
    """The guests' own, sorted; as often as there are guests called so."""
    guests: int
    layout: str = ""
    """Name of the layout, for messages alone."""

    @property
    def code(self) -> str:
        """Two groups of four letters such as "7K3M-Q9XA"."""
        parts = sorted([*part, text] for part, text in self.parts.items())
        value = {"parts": parts, "names": self.names, "guests": self.guests}
        return spell_code(int(_digest_value(value), 16))


def collect_content(job: Job) -> ApprovedContent:
    """What the customer of a job approves."""
    event = job.spec.event
    return ApprovedContent(
        dict(_list_parts(job)),
        tuple(sorted(map(format_guest_name, event.guest_names))),
        event.guests,
        job.layout.name,
    )


def format_guest_name(name: str) -> str:
    """A guest's name as it is printed."""
    return _normalise_text(set_apostrophes(name))


def make_job_code(job: Job) -> str:
    """The code of a job as it stands."""
    return collect_content(job).code


def format_pdf_keyword(code: str) -> str:
    """How a PDF's description of itself names the order."""
    return f"order {code}"


# -- the code --------------------------------------------------------------------------------------


def spell_code(number: int) -> str:
    """The code of a number's first 35 bits, of 256."""
    number >>= 256 - 5 * (LETTERS - 1)
    letters = "".join(ALPHABET[number >> 5 * n & 31] for n in range(LETTERS - 1))
    return group_letters(letters + compute_check_letter(letters))


def compute_check_letter(letters: str) -> str:
    """The letter that makes a code whole.

    A sum in which every place has an odd weight: no other letter in any one place gives the same
    modulo 32 (arithmetic), nor do two neighbours that change places, but for pairs 16 apart.
    """
    total = sum((2 * n + 1) * ALPHABET.index(letter) for n, letter in enumerate(letters))
    return ALPHABET[total % len(ALPHABET)]


def group_letters(letters: str) -> str:
    half = LETTERS // 2
    return f"{letters[:half]}-{letters[half:]}"


def parse_code(text: str) -> str:
    """A code as a person writes it down: in any letter case, with blanks or strokes or none.

    UnreadableTextError for what cannot be one; a code with one letter misheard never is.
    """
    letters = re.sub(r"[\s\-\u2010-\u2014.]", "", text).upper().translate(_TAKEN_FOR)
    if len(letters) != LETTERS or not set(letters) <= set(ALPHABET):
        told = Said("expected a code of eight letters and figures such as 7K3M-Q9XA")
        raise UnreadableTextError(told)
    if compute_check_letter(letters[:-1]) != letters[-1]:
        told = Said("is no order's code: a letter was misheard or mistyped; read it again")
        raise UnreadableTextError(told)
    return group_letters(letters)


# -- what is seen ----------------------------------------------------------------------------------


def _list_parts(job: Job) -> Iterator[tuple[Part, str]]:
    yield (WHOLE_ORDER, "languages", ""), ", ".join(job.spec.languages)
    if not job.spec.capitals:
        yield (WHOLE_ORDER, "capitals", ""), "as typed"
    for name in job.panel_names:
        trim = job.print_run(name).trim
        words = job.words_on(name)
        design = _keep_design_of_trim(job.design_of(name, words), trim)
        yield (name, "trim", ""), _format_trim(trim)
        yield (name, "ink", ""), ", ".join(dict.fromkeys(job.inks))
        if job.facts.clear_on(name) and job.spec.product.soap_colour:
            yield (name, "ground", ""), job.spec.product.soap_colour
        yield (name, DESIGN, ""), _digest_design(job.layout, design, job.spec.seed)
        if job.logo is not None and any(block.picture for block in design.blocks):
            yield (name, LOGO, ""), job.logo.digest[:16]
        for element in _list_placed_elements(design, words, job.layout):
            if element != "guest":
                for wording in words[element]:
                    yield (name, element, wording.language), _normalise_text(wording.text)
    for piece in job.spec.pieces:
        yield from _list_piece_parts(job, piece)


def _list_piece_parts(job: Job, piece: Piece) -> Iterator[tuple[Part, str]]:
    """What of a piece is its own: its size and make, and what it says of itself."""
    name = piece.kind
    make = [_format_trim(job.print_run(name).trim)]
    make += [f"fold at {_format_mm(fold.at_mm)} mm" for fold in piece.folds]
    make += ["over the label"] if piece.hides_label else []
    yield (name, "trim", ""), ", ".join(make)
    words = job.words_on_piece(piece)
    said = {element for strip in piece.strips for element in strip.says} & words.keys()
    for element in sorted(said - {"guest"}):
        for wording in words[element]:
            yield (name, element, wording.language), _normalise_text(wording.text)


def _keep_design_of_trim(plan: PanelLayout, trim: Trim) -> PanelLayout:
    """What of a panel's design is for labels of a shape and size."""
    shape, shorter_mm = trim.shape, min(trim.width_mm, trim.height_mm)
    return replace(
        plan,
        blocks=tuple(block for block in plan.blocks if block.is_for(shape, shorter_mm)),
        art=tuple(art for art in plan.art if shape in art.shapes),
        borders=tuple(line for line in plan.borders if shape in line.shapes),
        surrounds=tuple(one for one in plan.surrounds if shape in one.shapes),
        patterns=tuple(one for one in plan.patterns if shape in one.shapes),
    )


def _list_placed_elements(plan: PanelLayout, words: Wordings, layout: Layout) -> list[str]:
    """The elements that have words and a place: a block of their own, another's text, or a
    drawing."""
    drawn = {layout.ornaments[name].lettering for name in list_drawings(plan)}
    named = list_named_elements(plan) | {one.element for one in drawn if one}
    return sorted(named & words.keys())


def list_named_elements(plan: PanelLayout) -> set[str]:
    """The elements of a panel's blocks: their own, and those that another's text names."""
    texts = [name for block in plan.blocks for name in re.findall(r"[a-z_]+", block.text)]
    own = {name for block in plan.blocks for name in (block.element, block.run_in)}
    return own | {name.replace("_", "-") for name in texts}


def list_drawings(plan: PanelLayout) -> set[str]:
    """The names of the ornaments that a panel's design uses."""
    found = {block.ornament for block in plan.blocks} | {art.ornament for art in plan.art}
    found |= {block.beside for block in plan.blocks} | {one.letters for one in plan.surrounds}
    return (found | {one.ornament for one in plan.patterns}) - {""}


def _digest_design(layout: Layout, plan: PanelLayout, seed: int | None) -> str:
    """A digest of a panel's design, with the faces and drawings it uses."""
    blocks = plan.blocks
    faces = {name for block in blocks for name in (block.face, block.run_in_face)}
    drawings = list_drawings(plan)
    lettered = (layout.ornaments[name].lettering for name in drawings)
    faces |= {one.face for one in lettered if one}
    sizes = {block.size for block in blocks}
    value = {
        "drawn_for": layout.drawn_for_mm,
        "faces": {name: face for name, face in layout.faces.items() if name in faces},
        "ornaments": {name: o for name, o in layout.ornaments.items() if name in drawings},
        "panel": replace(plan, sizes={n: s for n, s in plan.sizes.items() if n in sizes}),
        **({} if seed is None else {"seed": seed}),
    }
    return _digest_value(value)[:16]


def _format_trim(trim: Trim) -> str:
    """A trim in words, in figures that no platform writes otherwise."""
    size = f"{_format_mm(trim.width_mm)} x {_format_mm(trim.height_mm)} mm, {trim.shape}"
    return f"{size}, corners of {_format_mm(trim.corner_mm)} mm" if trim.corner_mm else size


def _format_mm(length_mm: float) -> str:
    exact = Decimal(round(length_mm * _STEP)) / _STEP
    return f"{exact.normalize():f}"


def _normalise_text(text: str) -> str:
    """A text with every kind of space as one: which of them a locale sets is nobody's change."""
    return unicodedata.normalize("NFC", " ".join(text.split()))


# -- canonical form --------------------------------------------------------------------------------


def _digest_value(value: object) -> str:
    """SHA-256 of a value as JSON in one form: sorted keys, whole numbers and texts."""
    text = json.dumps(
        _make_canonical(value), ensure_ascii=True, sort_keys=True, separators=(",", ":")
    )
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _make_canonical(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: _make_canonical(getattr(value, f.name)) for f in _list_set_fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _make_canonical(one) for key, one in value.items()}
    if isinstance(value, str | bool | int) or value is None:
        return value
    if isinstance(value, float):
        return round(value * _STEP)
    if isinstance(value, Path):
        return value.name
    if isinstance(value, Iterable):
        return [_make_canonical(one) for one in value]
    raise TypeError(f"{type(value).__name__} has no canonical form")


def _list_set_fields(value: Any) -> Iterator[Field[Any]]:
    """The fields that are not as they are by default: a field that a later version adds changes no
    code. For which shapes and sizes something is has been seen to before."""
    for field in fields(value):
        default = field.default
        if field.name not in ("shapes", "sides_mm") and (
            default is MISSING or getattr(value, field.name) != default
        ):
            yield field
