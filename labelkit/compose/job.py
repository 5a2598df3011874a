"""One order's label: what is known of it, and its panels, composed when first asked for."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal
from functools import cached_property
from itertools import islice
from typing import Any

from labelkit import rules
from labelkit.common.errors import FaceError, FitError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Number, Said, Verbatim
from labelkit.compose import ComposedPanel, fit_guests
from labelkit.compose.drawing import FittedPanel
from labelkit.compose.element_words import Wording, Wordings, make_panel_wordings
from labelkit.compose.panel import resolve_inks
from labelkit.compose.remembered import Remembered, fit_panel_once
from labelkit.compose.suite import (
    ComposedPiece,
    Settings,
    add_piece_words,
    calm_layout,
    compose_piece,
    find_trim,
    has_settings,
    is_memorial,
    keep_settings,
    keep_width,
    list_shared_settings,
)
from labelkit.compose.suite_sizes import (
    SharedSizes,
    SizedFace,
    find_most_step,
    has_kept_sizes,
    keep_sizes,
    share_sizes,
)
from labelkit.formula.declaration import Declaration
from labelkit.model.runs import NEUTRAL, Panel, Run
from labelkit.order.fields import SURFACES
from labelkit.order.label import Event, LabelSpec, Trim
from labelkit.order.layout import (
    READABLE_MM,
    Layout,
    PanelLayout,
    complete_panel_layout,
    put_panel,
)
from labelkit.order.logo import Logo
from labelkit.order.order import Order
from labelkit.order.pieces import Piece
from labelkit.order.recipe import Recipe
from labelkit.order.stock import Stock
from labelkit.rules.facts import Facts, PackageFace
from labelkit.rules.label import measure_letters_mm
from labelkit.typeset.apostrophes import set_apostrophes
from labelkit.typeset.faces import Face

MOST_NAMED = 12
"""Guests named in one complaint, and lines named of one guest."""


_FLOORS = Remembered[rules.Floors](32)
"""Of label and pieces: an edit of the words leaves them as they are."""


@dataclass(frozen=True, slots=True)
class PrintRun:
    """What the labels of a panel are printed on and cut to, and how many there are."""

    stock: Stock
    trim: Trim
    count: int


@dataclass(frozen=True)
class Job:
    """Everything a command needs of one label; panels are composed when first asked for."""

    order: Order
    declaration: Declaration
    facts: Facts
    on: dt.date
    today: dt.date | None = None
    """Against which the day of the event is judged; None: it is not."""

    @property
    def spec(self) -> LabelSpec:
        return self.order.spec

    @property
    def recipe(self) -> Recipe:
        return self.order.recipe

    @property
    def layout(self) -> Layout:
        return self.order.layout

    @property
    def stock(self) -> Stock:
        return self.order.stock

    @property
    def logo(self) -> Logo | None:
        return self.order.logo

    def with_order(self, **changes: Any) -> Job:
        """The same job with parts of its order changed, such as ``spec`` or ``layout``."""
        return replace(self, order=replace(self.order, **changes))

    @property
    def regions(self) -> tuple[str, ...]:
        return self.spec.regions

    @cached_property
    def results(self) -> Mapping[str, ComposedPanel | FitError]:
        """Front, back, and a second surface where the list is on one, each by itself: composed, or
        why nothing legal fits its trim."""
        found: dict[str, ComposedPanel | FitError] = {}
        for name in self.panel_names:
            try:
                found[name] = self.panel_on(name, self.print_run(name).trim)
            except FitError as error:
                found[name] = error
        return found

    @property
    def fitting(self) -> tuple[ComposedPanel, ...]:
        """Those of the panels that can be composed."""
        return tuple(one for one in self.results.values() if isinstance(one, ComposedPanel))

    @property
    def unfit(self) -> tuple[FitError, ...]:
        """What is wrong with the others."""
        return tuple(one for one in self.results.values() if isinstance(one, FitError))

    @property
    def composed(self) -> tuple[ComposedPanel, ...]:
        """All of them; FitError where one cannot be composed."""
        for error in self.unfit:
            raise error
        return self.fitting

    @property
    def panel_names(self) -> tuple[str, ...]:
        on = self.spec.ingredients_on
        return ("front", "back", on) if on in SURFACES else ("front", "back")

    @property
    def printed_names(self) -> tuple[str, ...]:
        """All that sheets are made of: the label's panels, then the pieces that go with it."""
        return (*self.panel_names, *(piece.kind for piece in self.spec.pieces))

    def print_run(self, panel: str) -> PrintRun:
        """How a panel is printed: a second surface or a piece by what the spec says of it."""
        second, labels = self.spec.second, self.spec.event.labels
        piece = next((one for one in self.spec.pieces if one.kind == panel), None)
        if piece is not None:
            stock = self.order.piece_stocks.get(panel, self.stock)
            trim = Trim(piece.width_mm, piece.height_mm, folds=piece.folds)
            return PrintRun(stock, trim, piece.copies or labels)
        if second is None or panel not in SURFACES:
            return PrintRun(self.stock, self.spec.trim, labels)
        return PrintRun(self.order.second_stock or self.stock, second.trim, second.copies or labels)

    @cached_property
    def suite(self) -> Mapping[str, ComposedPiece | FitError]:
        """The pieces that go with the label, each by itself: composed, or why one has no room."""
        return self._compose_suite(self.settings)

    @property
    def fitting_pieces(self) -> tuple[ComposedPiece, ...]:
        """Those of the pieces that can be composed."""
        return tuple(one for one in self.suite.values() if isinstance(one, ComposedPiece))

    @property
    def fitting_sheets(self) -> tuple[ComposedPanel, ...]:
        """All that sheets are made of and that can be composed: label and pieces."""
        return (*self.fitting, *(one.whole for one in self.fitting_pieces))

    @cached_property
    def settings(self) -> Settings:
        """How words are cased that stand on both sides of the label, or on all pieces with it,
        solved together: as the front likes it where everything has room for that, else all alike
        in what takes least. With pieces, in which sizes small text stands as well."""
        shared = self._find_shared_elements()
        if not (self.spec.pieces or shared):
            return Settings()
        sides: list[FittedPanel] = []
        for name in ("front", "back"):
            with suppress(FitError):
                sides.append(self._panel_in(Settings(), name, self.spec.trim))
        every = list(list_shared_settings(self.layout, sides))
        if not self.spec.pieces:
            every = [Settings({e: one.cases[e] for e in shared if e in one.cases}) for one in every]
        chosen = next((one for one in every if self._has_room_for(one)), every[0])
        if not self.spec.pieces:
            return chosen
        sizes = share_sizes(self.layout, self._list_faces(chosen))
        return replace(chosen, sizes=sizes)

    def _find_shared_elements(self) -> frozenset[str]:
        """The elements that stand on both sides of the label."""
        front, back = (
            {block.element for block in plan.blocks} & set(words)
            for plan, words in map(self._design_side, ("front", "back"))
        )
        return frozenset(front & back)

    def _has_room_for(self, settings: Settings) -> bool:
        """Whether label and pieces can all be cased so."""
        try:
            for name in ("front", "back"):
                self._panel_in(settings, name, self.spec.trim)
        except FitError:
            return False
        made = self._compose_suite(settings).values()
        return not any(isinstance(one, FitError) for one in made)

    def _list_faces(self, settings: Settings) -> Iterator[SizedFace]:
        """The faces of label and pieces that can be composed."""
        for name in ("front", "back"):
            with suppress(FitError):
                yield SizedFace(name, 0, self._panel_in(settings, name, self.spec.trim))
        for made in self._compose_suite(settings).values():
            for strip, face in made.fitted.items() if isinstance(made, ComposedPiece) else ():
                layout = self.layout if strip.label else calm_layout(self.layout)
                step = find_most_step(layout, find_trim(strip), (self.layout, self.spec.trim))
                yield SizedFace(strip.label or "front", step, face)

    def _compose_suite(self, settings: Settings) -> Mapping[str, ComposedPiece | FitError]:
        """The pieces in some settings, composed once for their room, sizes and themselves."""
        found = next((made for known, made in self._suites if known == settings), None)
        if found is None:
            found = self._compose_pieces(settings)
            self._suites.append((settings, found))
        return found

    @cached_property
    def _suites(self) -> list[tuple[Settings, Mapping[str, ComposedPiece | FitError]]]:
        """By the settings that were tried."""
        return []

    def _compose_pieces(self, settings: Settings) -> Mapping[str, ComposedPiece | FitError]:
        found: dict[str, ComposedPiece | FitError] = {}
        for piece in self.spec.pieces:
            try:
                found[piece.kind] = self._compose_piece(piece, settings)
            except FitError as error:
                found[piece.kind] = error
        return found

    def _compose_piece(self, piece: Piece, settings: Settings) -> ComposedPiece:
        stock, floors = self.print_run(piece.kind).stock, self.floors_on(piece)
        sides = {side: self._design_side(side) for side in ("front", "back")}
        sides["front"] = sides["front"][0], self.words_on_piece(piece)

        def fit(
            side: str, plan: PanelLayout, words: Wordings, trim: Trim, bound: bool
        ) -> FittedPanel:
            held = floors if bound else rules.Floors()
            layout = keep_width(self.layout, settings.names_width)
            layout = layout if bound else calm_layout(layout)
            clear = stock.material == "clear"

            def fit_on(plan: PanelLayout) -> FittedPanel:
                return self._fit_panel(layout, side, plan, words, held, trim, stock, clear)

            return self._fit_alike(settings.sizes, layout, side, plan, trim, fit_on)

        return compose_piece(piece, self.layout, sides, settings, self.spec.trim, fit)

    def words_on_piece(self, piece: Piece) -> Wordings:
        """Everything that the face of a piece may say."""
        words = self.words_on("front")
        if piece.hides_label:
            return words
        memorial = is_memorial(self.spec.event, self.layout)
        return add_piece_words(words, piece, self.spec.languages, memorial)

    def _design_side(self, side: str) -> tuple[PanelLayout, Wordings]:
        if side not in self._sides:
            words = self.words_on(side)
            self._sides[side] = self.design_of(side, words), words
        return self._sides[side]

    @cached_property
    def _sides(self) -> dict[str, tuple[PanelLayout, Wordings]]:
        """Design and words of the label's sides, as they are asked for."""
        return {}

    @cached_property
    def floors(self) -> rules.Floors:
        """What binds the composer before anything is laid out."""
        return self._find_floors(self.facts)

    def floors_on(self, piece: Piece) -> rules.Floors:
        """What binds the composer on a piece: as on the label where that is under it."""
        if piece.kind not in self._floors_on:
            bound = piece.hides_label
            floors = self._find_floors(self.facts_on(piece)) if bound else rules.Floors()
            self._floors_on[piece.kind] = floors
        return self._floors_on[piece.kind]

    @cached_property
    def _floors_on(self) -> dict[str, rules.Floors]:
        """By kind of piece, as they are asked for."""
        return {}

    def facts_on(self, piece: Piece) -> Facts:
        """The facts as they are on a piece over the label: it may be on paper where the label is
        clear, and its own face counts where that is the larger one to be seen."""
        facts = replace(self.facts, clear_stock=self.facts.clear_on(piece.kind))
        front = piece.find_strip("front")
        if front is None:
            return facts
        width, height = (
            Decimal(str(round(side, 2))) for side in (front.box.width_mm, front.box.height_mm)
        )
        face = PackageFace(width, height)
        return replace(facts, face=max(facts.face, face, key=lambda one: one.area_cm2))

    def _find_floors(self, facts: Facts) -> rules.Floors:
        shown = frozenset(self._texts_on("front"))
        on_front = shown & {block.element for block in self.layout.panel("front").blocks}
        asked = facts, self.regions, self.on, on_front
        quick = hash((facts.face, facts.clear_stock, *asked[1:]))
        return _FLOORS.find_or_make(quick, asked, lambda: rules.find_floors(*asked))

    def words_on(self, name: str) -> Wordings:
        """Everything a panel may say; "Guest" stands for the guest's own name."""
        words = dict(self._texts_on(name))
        if self.spec.event.guest_names:
            words["guest"] = (Wording(NEUTRAL, "Guest"),)
        return words

    def _texts_on(self, name: str) -> Wordings:
        """What a panel says by the order alone."""
        if name not in self._texts:
            self._texts[name] = make_panel_wordings(self.spec, self.declaration, name)
        return self._texts[name]

    @cached_property
    def _texts(self) -> dict[str, Wordings]:
        """By panel, as they are asked for."""
        return {}

    def design_of(self, name: str, words: Wordings) -> PanelLayout:
        """The layout's design of a panel, with a place for all the words asked for."""
        side = self.spec.front if name == "front" else self.spec.back
        other = self.layout.panel("back" if name == "front" else "front")
        asked = (e for e in side.words if e in words)
        return complete_panel_layout(self.layout.panel(name), asked, other)

    @property
    def inks(self) -> tuple[str, str]:
        """The ink of what the law reads, and that of names, ornament and frame."""
        return resolve_inks(self.layout, self.spec.colour, self.spec.accent)

    @cached_property
    def seed(self) -> int:
        """What makes this order's plants its own: what it says, or else its names and day."""
        if self.spec.seed is not None:
            return self.spec.seed
        said = f"{sorted(self.spec.event.names.items())} {self.spec.event.date}"
        return int.from_bytes(hashlib.sha256(said.encode()).digest()[:4], "big")

    def panel_on(self, name: str, trim: Trim) -> ComposedPanel:
        """One panel composed on a trim; FitError if nothing legal fits it."""
        return self._panel_in(self.settings, name, trim).composed

    def _panel_in(self, settings: Settings, name: str, trim: Trim) -> FittedPanel:
        liked, words = self._design_side(name)
        clear, stock = self.facts.clear_on(name), self.print_run(name).stock
        own_trim = trim == self.spec.trim

        def fit_on(layout: Layout, plan: PanelLayout) -> FittedPanel:
            return self._fit_panel(layout, name, plan, words, self.floors, trim, stock, clear)

        layout = keep_width(self.layout, settings.names_width)
        bound = keep_settings(liked, settings)

        def fit(plan: PanelLayout) -> FittedPanel:
            if plan is bound and own_trim:  # the side that the settings were taken from has them
                free = fit_on(self.layout, liked)
                if has_settings(self.layout, liked, free, settings):
                    return free
            return fit_on(layout, plan)

        return self._fit_alike(settings.sizes if own_trim else {}, layout, name, bound, trim, fit)

    def _fit_alike(
        self,
        sizes: SharedSizes,
        layout: Layout,
        name: str,
        plan: PanelLayout,
        trim: Trim,
        fit: Callable[[PanelLayout], FittedPanel],
    ) -> FittedPanel:
        """A panel in the sizes that label and pieces share, where it has room for them."""
        free = fit(plan)
        if not sizes:
            return free
        step = find_most_step(layout, trim, (self.layout, self.spec.trim))
        alike = keep_sizes(layout, plan, sizes, SizedFace(name, step, free))
        if has_kept_sizes(alike, free):
            return free
        with suppress(FitError):
            return fit(alike)
        return free

    def _fit_panel(
        self,
        layout: Layout,
        name: str,
        plan: PanelLayout,
        words: Wordings,
        floors: rules.Floors,
        trim: Trim,
        stock: Stock,
        clear: bool,
    ) -> FittedPanel:
        """A panel by a design of its own; FitError if nothing legal fits it."""
        bare = not self.facts.white_under
        try:
            return fit_panel_once(
                name,
                put_panel(layout, name, plan),
                words,
                floors,
                trim,
                colour=self.spec.colour,
                background=self.spec.product.soap_colour if clear and bare else None,
                logo=self.logo,
                bleed_mm=self.spec.bleed_mm,
                guests=self._guests,
                fonts=self.spec.fonts,
                capitals=self.spec.capitals,
                accent=self.spec.accent,
                seed=self.seed,
                paper=stock.colour if bare and not clear else None,
            )
        except FaceError as error:  # a layout names its faces; say which one did
            raise FaceError(
                Said("{path}: {error}", path=format_path(self.layout.path), error=error)
            ) from error

    @cached_property
    def _guests(self) -> tuple[str, ...]:
        """Their names as they are set."""
        return tuple(map(set_apostrophes, self.spec.event.guest_names))

    @property
    def panels(self) -> tuple[Panel, ...]:
        return tuple(composed.panel for composed in self.composed)

    @property
    def faces(self) -> Mapping[str, Face]:
        return {name: face for composed in self.composed for name, face in composed.faces.items()}

    @cached_property
    def known(self) -> Facts:
        """The facts with whether a list that is elsewhere would fit the label, where that matters.

        That takes a panel more to compose.
        """
        if not rules.asks_for_room(self.facts, self.regions, self.on):
            return self.facts
        return replace(self.facts, list_on_back_mm=self._list_on_back_mm())

    def _list_on_back_mm(self) -> Decimal | None:
        """How tall the list's letters are on the back of the same trim; None where it does not fit,
        or only in letters too small to be read well, its own or others."""
        facts = replace(self.facts, ingredients_on="back")
        moved = replace(self, facts=facts)
        moved = moved.with_order(spec=replace(self.spec, ingredients_on="back"))
        try:
            back = moved.panel_on("back", self.spec.trim).panel
            now = next(panel for panel in self.panels if panel.name == "back")
        except FitError:
            return None
        small, small_now = (
            rules.list_too_small_rules(panel, facts, self.regions, self.on) for panel in (back, now)
        )
        height = measure_letters_mm(back, "ingredients")
        readable = height is not None and float(height) >= READABLE_MM
        return height if readable and small <= small_now else None

    def own_runs(self, composed: ComposedPanel, label: int) -> tuple[Run, ...]:
        """The runs only label number ``label`` carries: its guest's name, none on a spare."""
        names = self.spec.event.guest_names
        if composed.guest is None or label >= len(names):
            return ()
        return self.guest_runs[composed.panel.name][names[label]]

    @property
    def guest_runs(self) -> Mapping[str, Mapping[str, tuple[Run, ...]]]:
        """Every guest's runs by panel and name; one FitError for all that cannot be set."""
        runs, error = self.fitted_guests
        if error is not None:
            raise error
        return runs

    @cached_property
    def fitted_guests(
        self,
    ) -> tuple[Mapping[str, Mapping[str, tuple[Run, ...]]], FitError | None]:
        """The runs of the guests whose names can be set, by panel and name, and the complaint about
        the others."""
        names, errors = self.spec.event.guest_names, []
        runs: dict[str, Mapping[str, tuple[Run, ...]]] = {}
        for composed in self.fitting_sheets:
            if composed.guest is not None:
                runs[composed.panel.name], error = fit_guests(composed.guest, names)
                errors += [error] if error else []
        return runs, locate_on_guest_list(errors[0], self.spec.event) if errors else None


def locate_on_guest_list(error: FitError, event: Event) -> FitError:
    """The same complaint with the file and lines of the guests' names that it is about, if any."""
    if event.guest_list is None or not error.guests:
        return error
    lines = event.listed.lines_of(error.guests)
    named = [
        Said(
            "{lines}: guest {name} {problem}",
            lines=_describe_lines(lines[name]),
            name=Verbatim(name),
            problem=problem,
        )
        for name, problem in islice(error.guests.items(), MOST_NAMED)
    ]
    file, more = format_path(event.guest_list.name), len(error.guests) - len(named)
    told = Said("in {file}: {guests}", file=file, guests=FactList(named, ";"))
    if more:
        told = Said("{told}; and {more} more", told=told, more=Number(more))
    return replace(error, reason=told)


def _describe_lines(numbers: Sequence[int]) -> Said:
    if len(numbers) == 1:
        return Said("line {line}", line=Number(numbers[0]))
    shown = [*map(Number, numbers[:MOST_NAMED]), *["…"] * (len(numbers) > MOST_NAMED)]
    return Said("lines {lines}", lines=FactList(shown))
