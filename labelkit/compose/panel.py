"""One panel: the copyfitter's picks put in their places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from labelkit.compose import costs
from labelkit.compose.art import border, fixed_art, ornament_box, placed_ornament, rule
from labelkit.compose.choices import Choices
from labelkit.compose.parts import Row, SetBlock, SetLine, ascent_of, height_of
from labelkit.compose.runs import GuestPlace, aligned_shift, draft_mark, make_run, shifted
from labelkit.errors import FitError
from labelkit.fields import Wordings
from labelkit.rules.floors import Floors
from labelkit.runs import Ornament, Panel, Run
from labelkit.spec.label import Trim
from labelkit.spec.layout import ZONES, Block, Layout, PanelLayout
from labelkit.typeset.faces import Face
from labelkit.typeset.fit import fit
from labelkit.typeset.outline import Outline

FOOT_EXTRA_MM = 0.3
"""Margins look even when the foot is a little wider than the head (book practice, no source)."""
OPTICAL_CENTRE = 0.46
"""Share of the free height above a block that is meant to look centred (likewise)."""
GAP_SCALES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4)
GUEST_SMALLEST = 0.7
"""A long guest's name may be set this much smaller than the layout's least size."""
MOST_ROUNDS = 8
WAYS_OUT = (
    "a larger trim",
    "fewer optional words (leave_out)",
    "a layout with a narrower face",
    "the ingredient list on a tag or card (ingredients_on), where the region allows it",
)

Picked = Mapping[int, tuple[SetBlock, ...]]
"""What was picked for each row, by the row's index."""


@dataclass(frozen=True)
class Composed:
    """A panel, the faces its runs name, and where a guest's own name goes."""

    panel: Panel
    faces: Mapping[str, Face]
    guest: GuestPlace | None = None

    def with_draft_mark(self, languages: Sequence[str]) -> Composed:
        """The same panel with a mark across it."""
        run, face = draft_mark(self.panel, languages)
        panel = replace(self.panel, runs=(*self.panel.runs, run))
        return replace(self, panel=panel, faces={**self.faces, face.name: face})


def compose(
    name: str,
    layout: Layout,
    words: Wordings,
    floors: Floors,
    trim: Trim,
    colour: str | None = None,
    background: str | None = None,
) -> Composed:
    """The placed runs of panel ``name``; FitError with the ways out when nothing legal fits."""
    plan = layout.panel(name)
    choices = Choices(layout, plan, words, floors)
    outline = Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)
    composer = _Composer(name, plan, choices, outline, colour or layout.colour)
    composed = composer.composed()
    return replace(composed, panel=replace(composed.panel, background=background))


@dataclass(frozen=True)
class _Composer:
    name: str
    plan: PanelLayout
    choices: Choices
    outline: Outline
    colour: str

    def composed(self) -> Composed:
        """Fits, places, and fits again where the shape leaves a row less room than was thought."""
        rows = self.choices.rows()
        widths = {row.index: self._widest() for row in rows}
        for _ in range(MOST_ROUNDS):
            picked, tightness = self._pick(rows, widths)
            tops = self._tops(rows, picked, tightness)
            seen = {i: self._room(tops[i] - height_of(picked[i]), tops[i]) for i in picked}
            if all(widths[i] <= seen[i] + 1e-6 for i in widths):
                return self._placed(rows, picked, tops, tightness)
            widths = {i: min(widths[i], seen[i]) for i in widths}
        raise self._no_shape()

    # -- fitting -----------------------------------------------------------------------------------

    def _available(self) -> float:
        return self.outline.height_mm - 2 * self.plan.margin_mm - FOOT_EXTRA_MM

    def _widest(self) -> float:
        return self.outline.width_mm - 2 * self.plan.margin_mm

    def _room(self, bottom: float, top: float) -> float:
        """Usable width of a row between two heights of the panel."""
        left, right = self._sides(bottom, top)
        return right - left

    def _sides(self, bottom: float, top: float) -> tuple[float, float]:
        middle = self.outline.width_mm / 2
        return self.outline.width_at(bottom, top, self.plan.margin_mm) or (middle, middle)

    def _pick(self, rows: list[Row], widths: Mapping[int, float]) -> tuple[Picked, float]:
        """The least disliked picks over all tightnesses of the gaps, and that tightness."""
        classes = self.choices.classes(rows)
        groups = [self.choices.of_class(members, widths) for members in classes]
        for members, group in zip(classes, groups, strict=True):
            if not group:
                raise self._too_wide(members)
        best: tuple[float, Picked, float] | None = None
        least_short = float("inf")
        for tightness in GAP_SCALES:
            gaps = sum(self._gap(row, tightness) for row in rows[1:])
            fitted = fit(groups, self._available() - gaps)
            least_short = min(least_short, fitted.shortage_mm)
            cost = fitted.cost + costs.TIGHT * (1 - tightness) ** 2
            if fitted.picks is not None and (best is None or cost < best[0]):
                merged = {i: s for choice in fitted.picks for i, s in choice.payload.items()}
                best = (cost, merged, tightness)
        if best is None:
            raise self._too_tall(least_short)
        return best[1], best[2]

    def _gap(self, row: Row, tightness: float) -> float:
        """The space before a row that is not the first."""
        return row.lead.above * self.plan.unit_mm * tightness

    # -- placing -----------------------------------------------------------------------------------

    def _tops(self, rows: list[Row], picked: Picked, tightness: float) -> dict[int, float]:
        """Top edge of every row, in millimetres from the foot of the trim."""
        zones = {zone: [r for r in rows if r.lead.zone == zone] for zone in ZONES}
        heights = {zone: self._stack(zones[zone], picked, tightness) for zone in ZONES}
        head = self.outline.height_mm - self.plan.margin_mm
        foot = self.plan.margin_mm + FOOT_EXTRA_MM + heights["foot"]
        free = head - heights["head"] - foot - heights["middle"]
        starts = {
            "head": head,
            "middle": head - heights["head"] - free * OPTICAL_CENTRE,
            "foot": foot,
        }
        tops: dict[int, float] = {}
        for zone, members in zones.items():
            y = starts[zone]
            for number, row in enumerate(members):
                y -= self._gap(row, tightness) if number else 0.0
                tops[row.index] = y
                y -= height_of(picked[row.index])
        return tops

    def _stack(self, rows: list[Row], picked: Picked, tightness: float) -> float:
        """Height of the rows of one zone with the gaps between them."""
        heights = sum(height_of(picked[row.index]) for row in rows)
        return heights + sum(self._gap(row, tightness) for row in rows[1:])

    def _placed(
        self, rows: list[Row], picked: Picked, tops: Mapping[int, float], tightness: float
    ) -> Composed:
        runs: list[Run] = []
        art: list[Ornament] = self._behind()
        guest: GuestPlace | None = None
        for row in rows:
            sets, top = picked[row.index], tops[row.index]
            left, right = self._sides(top - height_of(sets), top)
            if not row.lead.element:
                art.append(self._drawing(row.lead, sets[0], top, left, right))
                continue
            first = top - ascent_of(sets)
            for made in sets:
                baseline = first - made.drop_mm
                if made.block.element == "guest":
                    guest = self._guest(made, baseline, left, right)
                else:
                    runs += self._runs(made, baseline, left, right)
        panel = Panel(
            name=self.name,
            width_mm=self.outline.width_mm,
            height_mm=self.outline.height_mm,
            shape=self.outline.shape,
            corner_mm=self.outline.corner_mm,
            runs=tuple(runs),
            ornaments=tuple(art),
            safe_mm=self.plan.margin_mm,
            note=_note(rows, picked, tightness),
        )
        used = {run.face for run in runs} | ({guest.face.name} if guest else set())
        return Composed(panel, {n: f for n, f in self.choices.faces.items() if n in used}, guest)

    def _behind(self) -> list[Ornament]:
        ornaments = self.choices.layout.ornaments
        return [
            *(border(line, self.outline, self.colour) for line in self.plan.borders),
            *(
                fixed_art(art, ornaments[art.ornament], self.outline, art.colour or self.colour)
                for art in self.plan.art
            ),
        ]

    def _drawing(
        self, block: Block, made: SetBlock, top: float, left: float, right: float
    ) -> Ornament:
        colour = block.colour or self.colour
        if block.rule:
            return rule(block, top, left, right, colour)
        spec = self.choices.layout.ornaments[block.ornament]
        box = ornament_box(spec, made.height_mm, top, block.align, left, right)
        return placed_ornament(spec, box, colour)

    def _runs(self, made: SetBlock, baseline: float, left: float, right: float) -> list[Run]:
        return [
            run
            for number, line in enumerate(made.lines)
            for run in self._line(made, line, baseline - number * made.leading_mm, left, right)
        ]

    def _line(
        self, made: SetBlock, line: SetLine, y: float, left: float, right: float
    ) -> list[Run]:
        runs: list[Run] = []
        x = 0.0
        for segment in line.segments:
            face = self.choices.segment_face(segment, made.width, made.small_caps)
            runs.append(
                make_run(
                    segment.text, segment.element, segment.language, face, made.size_pt, x, y,
                    made.block.tracking_em, made.block.colour or self.colour,
                )
            )  # fmt: skip
            x += runs[-1].advance_mm
        ink = [run.ink for run in runs if run.text.strip()]
        first, last = min(box.x0_mm for box in ink), max(box.x1_mm for box in ink)
        move = aligned_shift(made.block.align, first, last, left, right)
        return [shifted(run, move) for run in runs]

    def _guest(self, made: SetBlock, baseline: float, left: float, right: float) -> GuestPlace:
        return GuestPlace(
            face=self.choices.face(made.block.face, made.width),
            baseline_mm=baseline,
            left_mm=left,
            right_mm=right,
            align=made.block.align,
            most_pt=made.size_pt,
            least_pt=self.plan.sizes[made.block.size].least_pt * GUEST_SMALLEST,
            tracking_em=made.block.tracking_em,
            colour=made.block.colour or self.colour,
        )

    # -- refusals ----------------------------------------------------------------------------------

    def _too_wide(self, rows: list[Row]) -> FitError:
        names = ", ".join(row.name for row in rows)
        reason = f"{names}: no legal size fits lines {self._widest():.1f} mm wide"
        return FitError(self.name, reason, WAYS_OUT)

    def _too_tall(self, short_mm: float) -> FitError:
        reason = (
            f"at the smallest legal sizes the text is {short_mm:.1f} mm too tall"
            f" for the {self._available():.1f} mm there are"
        )
        return FitError(self.name, reason, WAYS_OUT)

    def _no_shape(self) -> FitError:
        return FitError(self.name, f"the text does not settle in the {self.outline.shape} shape")


def _note(rows: list[Row], picked: Picked, tightness: float) -> str:
    """One line on what the fitter chose, for the proof."""
    parts: list[str] = []
    for made in (made for row in rows for made in picked[row.index] if made.block.element):
        how = f"{made.block.element} {made.size_pt:.2f} pt"
        how += " in capitals" if made.setting == "capitals" else ""
        how += " in small capitals" if made.small_caps else ""
        how += f" at {made.width} % width" if made.width != 100 else ""
        parts.append(how)
    return f"{'; '.join(parts)}; gaps at {tightness:.0%}"
