"""The ingredient list: where it is, what is in it, in which order and under which names."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, FactList, Number, Said, Term
from labelkit.common.text_match import fold_as_read
from labelkit.formula.allergens import find_allergen
from labelkit.formula.declaration import DeclaredLine, Role
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import NOTHING, PRESENT, CheckKind
from labelkit.rules.label import Label, format_number, name_panel
from labelkit.rules.printed_list import (
    PrintedList,
    PrintedName,
    list_name_keys,
    make_name_key,
)
from labelkit.rules.region_tables import find_start_day
from labelkit.rules.rule import Problem, Rule
from labelkit.rules.schedule import find_schedule_entries, format_schedule_name

BY_CUSTOM = "“{words}” is met in trade, but no text read here provides for it"
NOT_THE_NAME = "“{words}” is not the name to print here"
NEED_NOT = "“{words}” is named although it need not be on {day}"
NOT_DECLARED = "“{words}” is printed in the list but not declared"


@dataclass(frozen=True)
class ListKind(CheckKind):
    """Looks at every printed list by itself."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for printed in label.printed_lists:
            for problem in self.in_list(printed, label):
                yield replace(problem, panel=printed.panel.name)

    def in_list(self, printed: PrintedList, label: Label) -> Iterator[Problem]:
        """Most kinds look at each name by itself."""
        for name in printed.names:
            yield from self.in_name(name, label)

    def in_name(self, name: PrintedName, label: Label) -> Iterator[Problem]:
        raise NotImplementedError


@dataclass(frozen=True)
class ListPlace(CheckKind):
    """The list is on a panel or second surface that may carry it."""

    places: tuple[str, ...]
    on_condition: dict[str, str] = field(default_factory=dict)
    """Places that may carry it only if something is so, which a label cannot show."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        place = label.facts.ingredients_on
        where = name_panel(place)
        if place not in self.places and place not in self.on_condition:
            allowed = FactList(name_panel(name) for name in [*self.places, *self.on_condition])
            message = Said("The ingredient list may not be moved to a {place}", place=where)
            yield Problem(message, where, allowed, panel=place)
        elif place != "website" and not label.texts("ingredients", place):
            message = Said("The ingredient list is missing on the {place}", place=where)
            yield Problem(message, NOTHING, PRESENT, panel=place)
        elif place in self.on_condition:
            yield Problem(
                Said(
                    "The ingredient list may be on a {place} only if {condition}",
                    place=where,
                    condition=Said(self.on_condition[place]),
                ),
                where,
                panel=place,
                at_most=Level.NOTE,
            )


@dataclass(frozen=True)
class ListRoom(CheckKind):
    """The list leaves the label only where it does not fit it."""

    places: tuple[str, ...]
    """Places that may carry it only where the package is too small."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        place, height_mm = label.facts.ingredients_on, label.facts.list_on_back_mm
        if height_mm is not None and place in self.places:
            yield Problem(
                Said(
                    "The ingredient list fits the back of this label in letters {height} mm tall,"
                    " but is on a {place}",
                    height=format_number(round(height_mm, 2)),
                    place=name_panel(place),
                ),
                name_panel(place),
                name_panel("back"),
                panel=place,
            )


class ColourPlaces(StrEnum):
    """Where colours may stand beside the place their weight gives them."""

    AFTER_ORDERED = "after-ordered"
    """Anywhere after the last ingredient that must stand by weight."""
    LAST = "last"
    """After all others."""
    LAST_OR_ALL_BY_WEIGHT = "last-or-all-by-weight"
    """After all others, unless the whole list goes by weight."""


@dataclass(frozen=True)
class ListOrder(ListKind):
    """Descending weight, but for a group of small shares and for colours."""

    free_percent: Decimal
    """Shares below this may follow the others in any order."""
    limit_is_free: bool
    """Whether a share of exactly that much belongs to the free group."""
    colours: ColourPlaces
    parfum_anywhere: bool = False
    """Parfum and aroma are another rule's matter."""

    def in_list(self, printed: PrintedList, label: Label) -> Iterator[Problem]:
        lines = [
            line
            for line in printed.lines
            if not (self.parfum_anywhere and line.role in (Role.PARFUM, Role.AROMA))
        ]
        for wrong, before in self._misplaced(lines):
            yield Problem(
                Said(
                    "{late} ({late_share} %) stands too late: after {early} ({early_share} %)",
                    late=wrong.name,
                    late_share=_format_percent(wrong),
                    early=before.name,
                    early_share=_format_percent(before),
                ),
                FactList((before.name, wrong.name)),
                Said("{late} before {early}", late=wrong.name, early=before.name),
                Said("by weight"),
            )

    def _is_free(self, line: DeclaredLine) -> bool:
        if line.percent == self.free_percent:
            return self.limit_is_free
        return line.percent < self.free_percent

    def _misplaced(
        self, lines: Sequence[DeclaredLine]
    ) -> Iterator[tuple[DeclaredLine, DeclaredLine]]:
        """Pairs (should stand earlier, stands before it): one for each name out of place."""
        others = [line for line in lines if line.role is not Role.COLOUR]
        for index, line in enumerate(others):
            if not self._is_free(line):
                smaller = [
                    b for b in others[:index] if self._is_free(b) or b.percent < line.percent
                ]
                if smaller:
                    yield line, smaller[0]
        for index, line in enumerate(lines):
            if line.role is Role.COLOUR:
                after = self._too_late_after(line, lines[index + 1 :], lines)
                if after is not None:
                    yield after, line

    def _too_late_after(
        self, colour: DeclaredLine, following: Sequence[DeclaredLine], lines: Sequence[DeclaredLine]
    ) -> DeclaredLine | None:
        """The name that stands after a colour although it must not, if the colour is misplaced."""
        others = [line for line in following if line.role is not Role.COLOUR]
        must_precede = (
            [line for line in others if not self._is_free(line)]
            if self.colours is ColourPlaces.AFTER_ORDERED
            else others
        )
        if not must_precede:
            return None
        if self.colours is ColourPlaces.LAST_OR_ALL_BY_WEIGHT:
            by_weight = all(a.percent >= b.percent for a, b in pairwise(lines))
        elif self._is_free(colour):
            by_weight = all(self._is_free(line) for line in others)
        else:
            earlier = lines[: lines.index(colour)]
            by_weight = all(line.percent <= colour.percent for line in others) and all(
                line.percent >= colour.percent for line in earlier if line.role is not Role.COLOUR
            )
        if by_weight:
            return None
        return max(must_precede, key=lambda line: line.percent)


@dataclass(frozen=True)
class ListLast(ListKind):
    """A role's name stands after all names of other roles."""

    roles: tuple[Role, ...]

    def in_list(self, printed: PrintedList, label: Label) -> Iterator[Problem]:
        for index, line in enumerate(printed.lines):
            if line.role not in self.roles:
                continue
            if after := [b for b in printed.lines[index + 1 :] if b.role not in self.roles]:
                yield Problem(
                    Said(
                        "{name} must stand last in the list; {other} follows it",
                        name=line.name,
                        other=after[0].name,
                    ),
                    FactList((line.name, after[0].name)),
                    Said("{name} last", name=line.name),
                )


@dataclass(frozen=True)
class ListNames(ListKind):
    """The printed list has every declared name, and no other."""

    def in_list(self, printed: PrintedList, label: Label) -> Iterator[Problem]:
        allergens = {make_name_key(share.inci) for share in label.facts.declaration.allergens}
        for name in printed.names:
            if name.line is not None:
                continue
            early = make_name_key(name.text) in allergens
            yield Problem(
                Said(NEED_NOT, words=name.text, day=Day(label.on))
                if early
                else Said(NOT_DECLARED, words=name.text),
                name.text,
                "",
                at_most=Level.NOTE if early else Level.FAIL,
            )
        for line in label.facts.declaration.lines:
            if line not in printed.lines:
                yield Problem(
                    Said(
                        "{name} ({share} %) is missing in the printed list",
                        name=line.name,
                        share=_format_percent(line),
                    ),
                    "",
                    line.name,
                )


@dataclass(frozen=True)
class ListTerm(ListKind):
    """Ingredients of a role are printed under one of the names allowed for it."""

    roles: tuple[Role, ...]
    allowed: tuple[str, ...]
    """Names, or patterns where they begin with "^"."""
    by_custom: tuple[str, ...] = ()
    """Names met in trade that no text provides for; they are noted."""

    def in_name(self, name: PrintedName, label: Label) -> Iterator[Problem]:
        if name.line is None or name.line.role not in self.roles:
            return
        if _fits_any_name(name.text, self.allowed):
            return
        by_custom = _fits_any_name(name.text, self.by_custom)
        wanted = FactList((w for w in self.allowed if not w.startswith("^")), "or")
        yield Problem(
            Said(BY_CUSTOM if by_custom else NOT_THE_NAME, words=name.text),
            name.text,
            wanted,
            at_most=Level.NOTE if by_custom else Level.FAIL,
        )


@dataclass(frozen=True)
class ListNeverNames(ListKind):
    """None of these names, printed by itself, is in the list."""

    names: tuple[str, ...] = ()
    since_by_name: dict[str, dt.date] = field(default_factory=dict)
    """Those that are banned, each since a day."""
    instead: str = ""

    def in_name(self, name: PrintedName, label: Label) -> Iterator[Problem]:
        banned = (name for name, since in self.since_by_name.items() if since <= label.on)
        names = (*self.names, *banned)
        if _fits_any_name(name.text, names):
            yield Problem(
                Said("“{words}” does not belong in this list", words=name.text),
                name.text,
                Said(self.instead),
            )


@dataclass(frozen=True)
class ListCommonNames(ListKind):
    """A plant's Latin name is followed by its common name in parentheses."""

    roles: tuple[Role, ...]

    def in_name(self, name: PrintedName, label: Label) -> Iterator[Problem]:
        line = name.line
        if line is None or line.role not in self.roles or "(" in name.text:
            return
        latin = fold_as_read(line.inci).split()[:2]
        if fold_as_read(name.text).split()[:2] == latin:
            yield Problem(
                Said("“{words}” has no common name beside the Latin one", words=name.text),
                name.text,
                Said("Latin (Common) part"),
            )


@dataclass(frozen=True)
class ListBasis(CheckKind):
    """The declaration names what this region's definition of an ingredient asks for."""

    style: str = ""
    basis: str = ""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        declaration = label.facts.declaration
        for wanted, found in ((self.style, declaration.style), (self.basis, declaration.basis)):
            if wanted and found != wanted:
                made, asked = Term("basis", str(found)), Term("basis", wanted)
                message = "The list is made out by the materials as {made}, not as {asked}"
                yield Problem(Said(message, made=made, asked=asked), made, asked)


@dataclass(frozen=True)
class ListSchedule(ListKind):
    """Ingredients with a trivial name are printed in exactly one of the forms provided."""

    forms: tuple[tuple[str, ...], ...]
    """Each a sequence of "technical", "inci", "french", joined by a slash."""
    dual_by_custom: bool = False
    """"Water (Aqua)" and the like, which no text provides for, are only noted."""

    def in_name(self, name: PrintedName, label: Label) -> Iterator[Problem]:
        entries = find_schedule_entries(name.text)
        wanted = list(
            dict.fromkeys(format_schedule_name(e, f) for f in self.forms for e in entries)
        )
        if not wanted or make_name_key(name.text) in map(make_name_key, wanted):
            return
        dual = [f"{e.english} ({e.technical})" for e in entries]
        dual += [f"{e.technical} ({e.english})" for e in entries]
        by_custom = self.dual_by_custom and make_name_key(name.text) in map(make_name_key, dual)
        forms = FactList(wanted, "or")
        yield Problem(
            Said(BY_CUSTOM, words=name.text)
            if by_custom
            else Said("“{words}” must be printed as {forms}", words=name.text, forms=forms),
            name.text,
            forms,
            at_most=Level.NOTE if by_custom else Level.FAIL,
        )


@dataclass(frozen=True)
class ListAllergens(CheckKind):
    """Fragrance allergens above the threshold are named in the list."""

    list: str
    """Which names of the allergen table: "24", "80" or "81"."""
    rinse_off_percent: Decimal
    leave_on_percent: Decimal
    besides: str = ""
    """A list whose names are another rule's matter."""
    existing_from: dt.date | None = None
    """From when products first sold before the row's own day name them too; None: as new ones."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        facts = label.facts
        limit = self.rinse_off_percent if facts.rinse_off else self.leave_on_percent
        first_sold_on = facts.first_sold_on or label.on
        start = find_start_day(rule.since, self.existing_from, first_sold_on)
        if start is not None and label.on < start:
            return
        for printed in label.printed_lists:
            keys = {key for name in printed.names for key in list_name_keys(name.text)}
            for share in facts.declaration.allergens:
                known = find_allergen(share.inci)
                if known is None or self.list not in known.lists or self.besides in known.lists:
                    continue
                if share.percent > limit and not keys & {
                    make_name_key(share.inci),
                    make_name_key(known.name),
                }:
                    over = _format_just_over(share.percent, limit)
                    yield Problem(
                        Said(
                            "{name} makes up {share} % of the piece and is not in the list;"
                            " it must be named above {limit} %",
                            name=known.name,
                            share=over,
                            limit=format_number(limit),
                        ),
                        over,
                        format_number(limit),
                        "%",
                        panel=printed.panel.name,
                        unverified=known.provenance == "memory",
                    )

    @property
    def later_days(self) -> tuple[dt.date, ...]:
        return (self.existing_from,) if self.existing_from else ()


def _format_just_over(percent: Decimal, limit: Decimal) -> Number:
    """A share to four decimals, or to as many as show that it is over the limit."""
    for places in range(4, 12):
        rounded = percent.quantize(Decimal(1).scaleb(-places))
        if rounded > limit:
            return format_number(rounded)
    return format_number(percent)


@lru_cache(maxsize=4096)
def _fits_any_name(text: str, names: tuple[str, ...]) -> bool:
    return any(
        re.search(name, text, re.IGNORECASE) is not None
        if name.startswith("^")
        else make_name_key(name) == make_name_key(text)
        for name in names
    )


def _format_percent(line: DeclaredLine) -> Number:
    return format_number(round(line.percent, 3))
