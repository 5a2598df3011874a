"""The ways to set a block, apart from its size: languages, setting, width and tracking of a face.

Every way knows the smallest size at which it is legal and what a reader dislikes about it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import field, replace
from functools import cached_property, lru_cache
from pathlib import Path
from typing import NamedTuple

from labelkit.common.errors import FaceError, FitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Quoted, Said, Term, Verbatim
from labelkit.common.recent import RecentResults
from labelkit.compose import costs
from labelkit.compose.element_words import Wording, Wordings, pick_name_part
from labelkit.compose.parts import Arrangement, BlockParagraph, Segment, join_segments
from labelkit.compose.template import render_field_text
from labelkit.model.runs import NEUTRAL
from labelkit.order.layout import Block, FaceSpec, Layout, PanelLayout
from labelkit.rules.floors import Floors
from labelkit.typeset.casing import convert_to_capitals
from labelkit.typeset.companions import (
    add_companions,
    find_writing_face,
    list_unwritten,
    own_face_of,
)
from labelkit.typeset.faces import Face, FaceRequest, load_face, load_face_file
from labelkit.typeset.french import set_french_spacing
from labelkit.typeset.personal_names import is_harmed_by_capitals

FALLBACKS = ("fira-sans", "noto-sans")
"""Families that stand in for a face that cannot write a text: Latin, Greek and Cyrillic."""
BOLD = 700
TIGHTER_EM = (0.0, -0.02)
"""How far letterspace may be taken back."""
LEAST_TRACKING_EM = -0.01
"""Less of it no longer looks like the face (common practice, no source)."""
BESIDE_GAP_MM = 1.2
"""Between an element and the ornaments at either side of it."""
GUEST_SAMPLE = "ÉÅĵp"
"""Stands for a guest's name while the panel is fitted: accents on capitals, a descender, and no
width to speak of."""


@lru_cache(maxsize=256)
def load_spec_face(spec: FaceSpec, width: int, small_caps: bool = False) -> Face:
    """The face a layout names, at one of its widths."""
    request = FaceRequest(
        spec.family, spec.weight, width, spec.italic, spec.figures, small_caps=small_caps
    )
    return load_face(request) if spec.file is None else load_face_file(spec.file, request)


def find_nearest_width(spec: FaceSpec, width: int) -> int:
    return min(spec.widths, key=lambda w: abs(w - width))


@dataclass(frozen=True, slots=True)
class ReplacedFace:
    """A face that could not write an element, and the one that stands in for it."""

    element: str
    face: str
    missing: str
    stand_in: str


class _ArrangedWords(NamedTuple):
    """The words of a block as paragraphs, and what is disliked about that."""

    paragraphs: tuple[BlockParagraph, ...]
    cost: float
    one_line: bool = False
    heads: int = 0


MOST_KNOWN = 512
"""Blocks of some forty panels."""
_Known = tuple[list[Arrangement], Mapping[str, ReplacedFace | None]]
_KNOWN_WAYS = RecentResults[_Known](MOST_KNOWN)
"""The ways to set a block, and the faces that stand in for the layout's own in them."""


@dataclass(frozen=True)
class Arrangements:
    """Finds the ways to set the blocks of one panel."""

    name: str
    layout: Layout
    plan: PanelLayout
    words: Wordings
    floors: Floors
    faces: dict[str, Face] = field(default_factory=dict)
    """Every face tried, by its PostScript name."""
    replaced: dict[str, ReplacedFace] = field(default_factory=dict)
    """What was set in another face than the layout's, by element."""
    fonts: tuple[Path, ...] = ()
    """The maker's own font files, for what the layout's faces cannot write."""
    capitals: bool = True
    """Whether names of people may be set in capitals."""

    def texts(self, block: Block) -> tuple[Wording, ...]:
        """The block's words in each language."""
        if block.element == "guest" and "guest" in self.words:
            return (Wording(NEUTRAL, GUEST_SAMPLE),)
        found = self.words.get(block.element, ())
        if block.part:
            return pick_name_part(found, block.part)
        if not block.text:
            return found
        made = (
            Wording(w.language, render_field_text(block.text, self.words, w.language))
            for w in found
        )
        return tuple(w for w in made if w.text)

    def settings(self, block: Block) -> tuple[str, ...]:
        """The settings of a block: of people's names only those that leave them their letters, all
        alike where each stands in a block of its own."""
        if block.element != "names":
            return block.settings
        names = [wording.text for wording in self.words.get("names", ())]
        if self.capitals and not any(map(is_harmed_by_capitals, names)):
            return block.settings
        return ("as-written",)

    def recall(self, block: Block) -> list[Arrangement]:
        """What ``of`` found, on whatever panel had the same block: measured once for all."""
        inputs = self.list_inputs(block)
        known = _KNOWN_WAYS.recall(inputs)
        if known is None:
            ways = self.of(block)
            replaced = {e: self.replaced.get(e) for e in (block.element, block.run_in)}
            known = _KNOWN_WAYS.keep(inputs, (ways, replaced))
        self.replaced.update({e: one for e, one in known[1].items() if one is not None})
        return known[0]

    def of(self, block: Block) -> list[Arrangement]:
        """Every way to set a block, the least disliked first. FitError where no face can write it.

        Of one setting and arrangement, ways differ by how little room they take.
        """
        spec = self._writing(block)
        found: list[Arrangement] = []
        for rank, setting in enumerate(self.settings(block)):
            for arranged in self._arrangements(block, spec, setting):
                found += self._spaced(block, spec, setting, arranged, rank * costs.SETTING)
        return sorted(found, key=lambda way: way.cost)

    def list_inputs(self, block: Block) -> tuple[Hashable, ...]:
        """All that the ways to set a block depend on."""
        faces = [self.layout.faces[block.face]]
        if block.run_in:
            faces.append(self.layout.faces[block.run_in_face or block.face])
        elements = (block.element, block.run_in, "separator")
        return (
            self.texts(block),
            block,
            self.words.get(block.run_in, ()),
            self.settings(block),
            self.beside_mm(block),
            *faces,
            *map(self.floors.of, elements),
            self.font_files,
        )

    def beside_mm(self, block: Block) -> float:
        """How much of a line the ornaments at either side of a block take, with their space."""
        if not block.beside:
            return 0.0
        return 2 * (self.beside_width_mm(block) + BESIDE_GAP_MM)

    def beside_width_mm(self, block: Block) -> float:
        """How wide the ornament at each side of a block is."""
        _, _, width, height = self.layout.ornaments[block.beside].view
        return block.beside_height_mm * width / height

    # -- arrangements ------------------------------------------------------------------------------

    def _arrangements(self, block: Block, spec: FaceSpec, setting: str) -> Iterator[_ArrangedWords]:
        """Languages on one line and one above the other; the lead run in, and on its own lines."""
        segments = [
            Segment(apply_setting(w.text, setting, w.language), block.element, w.language, spec)
            for w in self.texts(block)
        ]
        stacks = len(segments) > 1 and (block.stack or self._apart(block.element))
        typed = self._typed_lines(block, spec, setting)
        arranged: list[_ArrangedWords] = []
        if typed:
            arranged.append(_ArrangedWords(typed, 0.0, one_line=True))
        if not (stacks and self._apart(block.element)):
            cost = costs.RUN_ON if typed else 0.0
            arranged.append(
                _ArrangedWords((BlockParagraph(join_segments(segments, block.join)),), cost, stacks)
            )
        if stacks:
            arranged.append(
                _ArrangedWords(tuple(BlockParagraph((s,)) for s in segments), costs.STACKED)
            )
        lead = self._lead(block, setting)
        if not lead:
            yield from arranged
            return
        heading = BlockParagraph((*lead[:-1], replace(lead[-1], text=lead[-1].text.rstrip())))
        lines = tuple(
            BlockParagraph((segment,)) for segment in lead if segment.element != "separator"
        )
        for paragraphs, cost, one_line, _ in arranged:
            first, *others = paragraphs
            yield _ArrangedWords((replace(first, lead=lead), *others), cost, one_line)
            cost += costs.HEADING_APART
            yield _ArrangedWords((heading, *paragraphs), cost, one_line, 1)
            if len(lines) > 1:
                cost += costs.STACKED
                yield _ArrangedWords((*lines, *paragraphs), cost, one_line, len(lines))

    def _typed_lines(
        self, block: Block, spec: FaceSpec, setting: str
    ) -> tuple[BlockParagraph, ...]:
        """The block's words in the lines they were typed in; none of what is one text."""
        return tuple(
            BlockParagraph((Segment(apply_setting(line, setting, w.language), block.element,
                                    w.language, spec),))
            for w in self.texts(block)
            for line in w.lines
        )  # fmt: skip

    def _apart(self, element: str) -> bool:
        """Whether nothing, not even a mark between two languages, may stand beside the element."""
        floor = self.floors.of(element)
        return bool(floor.clear_n_widths or floor.clear_mm)

    def _lead(self, block: Block, setting: str) -> tuple[Segment, ...]:
        """The words that open a paragraph in a firmer face, a colon after them."""
        found = self.words.get(block.run_in, ()) if block.run_in else ()
        if not found:
            return ()
        spec = self.layout.faces[block.run_in_face or block.face]
        spec = self._able(block.run_in, spec, "".join(w.text for w in found))
        segments = [
            Segment(apply_setting(w.text, setting, w.language), block.run_in, w.language, spec)
            for w in found
        ]
        colon = set_french_spacing("x:")[1:] if found[-1].language.startswith("fr") else ":"
        return (*join_segments(segments, " / "), Segment(f"{colon} ", "separator", NEUTRAL, spec))

    def _spaced(
        self, block: Block, spec: FaceSpec, setting: str, arranged: _ArrangedWords, ranking: float
    ) -> Iterator[Arrangement]:
        """One arrangement in every width and letterspace."""
        paragraphs, arranging, one_line, heads = arranged
        small = setting == "small-capitals"
        letters = sum(len(paragraph.text) for paragraph in paragraphs)
        slow = costs.LONG_CAPITALS if setting == "capitals" and letters > costs.LONG_TEXT else 0.0
        for width in spec.widths:
            try:
                faces = tuple(self.segment_face(p.body[0], width, small) for p in paragraphs)
            except FaceError:
                if small and block.element in self.replaced:
                    continue  # the face that stands in has none of its own
                raise
            lead = tuple(self.segment_face(s, width, small) for s in paragraphs[0].lead)
            cost = arranging + ranking + slow + costs.NARROW * (100 - width) / 25
            for tracking, spacing in _list_trackings(block, setting):
                yield Arrangement(
                    block, paragraphs, faces, lead, width, setting, tracking, cost + spacing,
                    self.floors, one_line, heads,
                )  # fmt: skip

    # -- faces -------------------------------------------------------------------------------------

    def face(self, spec: FaceSpec, width: int, small_caps: bool = False) -> Face:
        """A face at a width, remembered for the drawing."""
        face = load_spec_face(spec, width, small_caps)
        self.faces[face.name] = face
        return face

    def segment_face(self, segment: Segment, width: int, small_caps: bool = False) -> Face:
        """The face of a segment at the width nearest to the block's, with companions if need be.

        FaceError for small capitals where it needs any: they have none.
        """
        near = find_nearest_width(segment.face, width)
        face = self.face(segment.face, near, small_caps)
        if not face.missing(segment.text):
            return face
        plain = load_spec_face(segment.face, near)
        if small_caps and plain.missing(segment.text):
            raise FaceError(Said("{name}: no small capitals for every letter", name=face.name))
        mixed = None if small_caps else add_companions(face, segment.text, self.font_files)
        if mixed is None:
            return face
        self.faces[mixed.name] = mixed
        return mixed

    def stand_ins(self, block: Block, width: int, guests: Iterable[str]) -> tuple[Face, ...]:
        """The faces that may write a guest's name where the layout's own cannot."""
        spec = self.layout.faces[block.face]
        own = self.face(spec, find_nearest_width(spec, width))
        plain = [load_spec_face(s, find_nearest_width(s, width)) for s in _list_fallbacks(spec)]
        bases = (own, *plain)
        mixed: dict[Face, None] = {}
        for name in guests:
            if all(face.missing(name) for face in bases):
                found = find_writing_face(bases, name, self.font_files)
                if found is not None:
                    mixed[found] = None
        return (*plain, *sorted(mixed, key=lambda face: bases.index(own_face_of(face))))

    @cached_property
    def font_files(self) -> tuple[Path, ...]:
        """The maker's own font files: those named for it, and those of the layout's faces."""
        own = (face.file for face in self.layout.faces.values() if face.file is not None)
        return tuple(dict.fromkeys((*self.fonts, *own)))

    def _writing(self, block: Block) -> FaceSpec:
        """The block's face, bold where the law asks for it, able to write the block's words."""
        spec = self.layout.faces[block.face]
        if self.floors.of(block.element).bold and spec.weight < BOLD:
            spec = replace(spec, weight=BOLD)
        texts = [
            apply_setting(w.text, s, w.language)
            for w in self.texts(block)
            for s in self.settings(block)
        ]
        return self._able(block.element, spec, "".join(texts) + (block.join if texts[1:] else ""))

    def _able(self, element: str, spec: FaceSpec, text: str) -> FaceSpec:
        """The face if it can write the text, else the first stand-in that can."""
        own = self.face(spec, spec.widths[0])
        missing = own.missing(text)
        if not missing:
            return spec
        stand_ins = list(_list_fallbacks(spec))
        faces = [own, *(self.face(one, one.widths[0]) for one in stand_ins)]
        found = find_writing_face(faces, text, self.font_files)
        if found is not None:
            self.replaced[element] = ReplacedFace(element, own.name, missing, found.name)
            return [spec, *stand_ins][faces.index(own_face_of(found))]
        raise FitError(
            self.name,
            Said(
                "{part}: no font here can write {letters} in {words}",
                part=Term("part", element),
                letters=FactList(map(Verbatim, list_unwritten(faces, text, self.font_files))),
                words=Quoted(text),
            ),
            NO_FONT,
        )


NO_FONT = (
    Said("install a font for it on this computer"),
    Said("name a font file with fonts under [label]"),
    Said("spell it in another script"),
)
"""What helps text that no font found here can write."""


def _list_fallbacks(spec: FaceSpec) -> Iterator[FaceSpec]:
    for family in FALLBACKS:
        widths = (100, 75) if min(spec.widths) < 100 else (100,)
        yield FaceSpec(family, spec.weight, False, widths)


def _list_trackings(block: Block, setting: str) -> Iterator[tuple[float, float]]:
    """The letterspace a setting likes, and less of it, each with its cost."""
    liked = block.tracking_em if setting == "as-written" else block.capitals_tracking_em
    least = min(liked, LEAST_TRACKING_EM)
    for closer in TIGHTER_EM:
        tracking = round(liked + closer, 4)
        if tracking >= least - 1e-9:
            yield tracking, -closer * 100 * costs.TRACKING


def apply_setting(text: str, setting: str, language: str) -> str:
    """``text`` as the setting has it; small capitals are the face's business."""
    return convert_to_capitals(text, language) if setting == "capitals" else text
