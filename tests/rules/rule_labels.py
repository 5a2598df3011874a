"""Labels for the rules' tests: drawn in a few words, every letter height given by hand.

The makers, people and places are invented.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from labelkit.common.regions import check_regions
from labelkit.formula.declaration import (
    AllergenShare,
    Basis,
    Declaration,
    DeclaredLine,
    Role,
    Style,
)
from labelkit.model.runs import NEUTRAL, Box, LetterHeights, Ornament, Panel, Run
from labelkit.rules import Facts, Finding, Level, PackageFace, Report, judge_panels
from labelkit.rules.judge import check_rule, list_rules_in_force
from labelkit.rules.label import Label
from labelkit.rules.tables import load_measuring_tolerance_mm

SOLD_ON = dt.date(2026, 11, 28)

_BASELINES_MM = {
    "names": 28.0, "identity": 22.0, "scent": 18.0, "claim": 14.0, "net-quantity": 2.0,
    "ingredients-heading": 36.0, "ingredients": 30.0, "directions": 24.0, "durability": 20.0,
    "list-elsewhere": 16.0, "dealer": 12.0, "origin": 9.0, "contact": 6.0, "lot": 2.0,
    "e-mark": 2.0,
}  # fmt: skip
_SECOND_COLUMN_MM = 31.0


@dataclass(frozen=True)
class Draft:
    """A label being made up: facts, and runs by panel."""

    facts: Facts
    runs: tuple[tuple[str, Run], ...] = ()
    width_mm: float = 60.0
    height_mm: float = 40.0
    background: str | None = None
    ornaments: tuple[Ornament, ...] = ()

    def put(
        self, panel: str, element: str, text: str, language: str = NEUTRAL, **how: Any
    ) -> Draft:
        """One more run; ``how`` takes capital, o, figure (mm), weight, colour, ink (a Box)."""
        return replace(self, runs=(*self.runs, (panel, _run(element, text, language, **how))))

    def without(self, element: str, language: str | None = None) -> Draft:
        """The label without an element, or without its words in one language."""
        kept = (
            (panel, run)
            for panel, run in self.runs
            if run.element != element or language not in (None, run.language)
        )
        return replace(self, runs=tuple(kept))

    def instead(self, element: str, text: str, language: str = NEUTRAL, **how: Any) -> Draft:
        """The element said otherwise, where it stood before."""
        panel = next(panel for panel, run in self.runs if run.element == element)
        return self.without(element).put(panel, element, text, language, **how)

    def set(self, element: str, **how: Any) -> Draft:
        """All runs of an element set otherwise."""
        return replace(
            self,
            runs=tuple(
                (panel, _run(element, run.text, run.language, **how))
                if run.element == element
                else (panel, run)
                for panel, run in self.runs
            ),
        )

    def know(self, **facts: Any) -> Draft:
        return replace(self, facts=replace(self.facts, **facts))

    def face(self, width_mm: str, height_mm: str) -> Draft:
        return self.know(face=PackageFace(Decimal(width_mm), Decimal(height_mm)))

    def declare(self, *lines: tuple[Any, ...], printed: str | None = None, **how: Any) -> Draft:
        """Another ingredient list, printed as declared unless told otherwise."""
        declaration = declared(lines, **how)
        text = printed if printed is not None else ", ".join(declaration.names)
        return self.know(declaration=declaration).instead("ingredients", text)

    def allergen(self, inci: str, percent: str) -> Draft:
        """A share of an allergen in the piece that is not printed in the list."""
        share = AllergenShare(inci, Decimal(percent))
        return self.know(declaration=replace(self.facts.declaration, allergens=(share,)))

    @property
    def panels(self) -> tuple[Panel, ...]:
        names = dict.fromkeys(panel for panel, _ in self.runs)
        return tuple(
            Panel(
                name,
                self.width_mm,
                self.height_mm,
                runs=tuple(run for panel, run in self.runs if panel == name),
                background=self.background,
                ornaments=self.ornaments if name == "front" else (),
            )
            for name in names
        )

    def judged(self, *regions: str, on: dt.date | None = None, strict: bool = False) -> Report:
        return judge_panels(self.panels, self.facts, regions, on, strict)

    def found_by(
        self,
        rules: Collection[str],
        *regions: str,
        on: dt.date | None = None,
        strict: bool = False,
    ) -> list[Finding]:
        """What these rows find, each judged by itself where it is in force."""
        day = on or self.facts.sold_on
        label = Label(self.panels, self.facts, day, load_measuring_tolerance_mm())
        return [
            finding
            for region, rule in list_rules_in_force(check_regions(regions), self.facts, day)
            if rule.id in rules
            for finding in check_rule(rule, region, label, strict)
        ]

    def found(
        self, rule: str, *regions: str, on: dt.date | None = None, strict: bool = False
    ) -> list[Finding]:
        """What one rule finds now; notes on what comes later are left out."""
        findings = self.judged(*regions, on=on, strict=strict).findings
        return [f for f in findings if f.rule == rule and not f.message.startswith("Passes now")]

    def level(
        self, rule: str, *regions: str, on: dt.date | None = None, strict: bool = False
    ) -> str:
        """The gravest level at which a rule finds something now; empty: nothing."""
        levels = [f.level for f in self.found(rule, *regions, on=on, strict=strict)]
        return min(levels, key=list(Level).index, default="")


def declared(
    lines: Iterable[tuple[Any, ...]],
    style: Style = Style.FORMED,
    basis: Basis = Basis.CURED,
    allergens: tuple[AllergenShare, ...] = (),
) -> Declaration:
    """A declaration from (name, percent) or (name, percent, role)."""
    made = []
    for name, percent, *rest in lines:
        share = Decimal(str(percent))
        role = rest[0] if rest else Role.INGREDIENT
        made.append(DeclaredLine(name, name, role, share, share, share, share))
    return Declaration(tuple(made), style, basis, Decimal(100), allergens)


def _run(
    element: str,
    text: str,
    language: str = NEUTRAL,
    *,
    capital: float = 3.6,
    o: float = 2.6,
    figure: float = 3.6,
    weight: int | None = None,
    colour: str = "#000000",
    ink: Box | None = None,
    n_width: float | None = None,
) -> Run:
    second = language not in (NEUTRAL, "en")
    x_mm = _SECOND_COLUMN_MM if second else 4.0
    baseline_mm = _BASELINES_MM.get(element, 33.0)
    box = ink or Box(x_mm, baseline_mm, x_mm + 24.0, baseline_mm + min(capital, 3.0))
    has_figure = any(c.isdecimal() for c in text)
    letters = LetterHeights(capital, o, figure if has_figure else None)
    if n_width is not None:
        letters = replace(letters, n_width_mm=n_width)
    return Run(
        text=text,
        element=element,
        language=language,
        face="Test-Regular",
        weight=weight or (700 if element in ("net-quantity", "identity") else 400),
        size_pt=10.0,
        x_mm=box.x0_mm,
        baseline_mm=box.y0_mm,
        advance_mm=box.width_mm,
        ink=box,
        letters=letters,
        colour=colour,
    )


# -- a label that passes, per region ---------------------------------------------------------------

OAT_LIST: tuple[tuple[Any, ...], ...] = (
    ("Sodium Olivate", "38.2"),
    ("Sodium Cocoate", "24.6"),
    ("Sodium Butyrospermum Parkii Butterate", "12.4"),
    ("Glycerin", "8.3"),
    ("Aqua", "7.9"),
    ("Olea Europaea Fruit Oil", "4.6", Role.BOTANICAL),
    ("Avena Sativa Kernel Flour", "1.6", Role.BOTANICAL),
    ("Mel", "0.9"),
    ("Linalool", "0.05", Role.ALLERGEN),
    ("Parfum", "0.45", Role.PARFUM),
)


def facts(**changed: Any) -> Facts:
    """An oat and honey soap of 40 g on a face of 24 cm²."""
    known: dict[str, Any] = {
        "face": PackageFace(Decimal(60), Decimal(40)),
        "net_weight_g": Decimal(40),
        "languages": ("en", "fr"),
        "declaration": declared(OAT_LIST),
        "sold_on": SOLD_ON,
        "identity": {"en": "Oat and honey soap", "fr": "Savon avoine et miel"},
        "dealer_name": "Fern Hollow Soaps",
        "dealer_address": ("8 Quay Lane", "Elmvale NB"),
        "contact": ("hello@fernhollow.example",),
        "lot": "L26-11-A",
    }
    return Facts(**{**known, **changed})


def canadian() -> Draft:
    """Bilingual, and nothing to find but duties and tolerances."""
    return (
        Draft(facts())
        .put("front", "names", "Iris & Noé")
        .put("front", "identity", "Oat and honey soap", "en")
        .put("front", "identity", "Savon avoine et miel", "fr")
        .put("front", "net-quantity", "40\u00a0g")
        .put("back", "ingredients-heading", "Ingredients", "en")
        .put("back", "ingredients-heading", "Ingrédients", "fr")
        .put("back", "ingredients", ", ".join(declared(OAT_LIST).names))
        .put("back", "dealer", "Fern Hollow Soaps, 8 Quay Lane, Elmvale NB")
        .put("back", "contact", "hello@fernhollow.example")
        .put("back", "lot", "L26-11-A")
    )


AMERICAN_LIST: tuple[tuple[Any, ...], ...] = (
    ("Sodium Olivate", "38.2"),
    ("Sodium Cocoate", "24.6"),
    ("Sodium Butyrospermum Parkii Butterate", "12.4"),
    ("Glycerin", "8.3"),
    ("Water", "7.9"),
    ("Olea Europaea (Olive) Fruit Oil", "4.6", Role.BOTANICAL),
    ("Avena Sativa (Oat) Kernel Flour", "1.6", Role.BOTANICAL),
    ("Honey", "0.9"),
    ("Fragrance", "0.45", Role.PARFUM),
)


def american() -> Draft:
    """English, a cosmetic, ounces and grams."""
    known = facts(
        languages=("en",),
        declaration=declared(AMERICAN_LIST),
        identity={"en": "Oat and honey soap"},
        dealer_address=("8 Quay Lane", "Elmvale VT 05001"),
    )
    return (
        Draft(known)
        .put("front", "names", "Iris & Noah")
        .put("front", "identity", "Oat and honey soap", "en")
        .put("front", "net-quantity", "Net Wt 1.41 oz (40\u00a0g)", "en")
        .put("back", "ingredients-heading", "Ingredients", "en")
        .put("back", "ingredients", ", ".join(known.declaration.names))
        .put("back", "dealer", "Fern Hollow Soaps, 8 Quay Lane, Elmvale VT 05001")
        .put("back", "contact", "hello@fernhollow.example")
        .put("back", "lot", "L26-11-A")
    )


def european(dealer: str = "Fern Hollow Soaps, rue du Lac 3, 5000 Namur, Belgique") -> Draft:
    """Dutch and French, for Belgium."""
    known = facts(
        languages=("nl", "fr"),
        declaration=declared(OAT_LIST, basis=Basis.POURED),
        identity={"nl": "Zeep", "fr": "Savon"},
        durability_months=36,
    )
    return (
        Draft(known)
        .put("front", "names", "Iris & Noé")
        .put("front", "identity", "Zeep", "nl")
        .put("front", "identity", "Savon", "fr")
        .put("front", "net-quantity", "40\u00a0g")
        .put("back", "ingredients-heading", "Ingredients")
        .put("back", "ingredients", ", ".join(known.declaration.names))
        .put("back", "dealer", dealer)
        .put("back", "contact", "hello@fernhollow.example")
        .put("back", "durability", "12M")
        .put("back", "lot", "L26-11-A")
    )


def british() -> Draft:
    """English, for Great Britain."""
    draft = european("Fern Hollow Soaps, 8 Quay Lane, Elmvale, Devon, UK").without("identity")
    return draft.know(languages=("en",)).put("front", "identity", "Oat and honey soap", "en")


def antipodean() -> Draft:
    """English, for Australia and New Zealand."""
    draft = european("Fern Hollow Soaps, 8 Quay Lane, Elmvale VIC 3000").without("identity")
    return draft.know(languages=("en",)).put("front", "identity", "Oat and honey soap", "en")


@dataclass(frozen=True)
class Case:
    """One label on one side of a rule. ``source`` names the law or usage the value comes from."""

    rule: str
    draft: Draft
    level: str
    """What the rule must find: "fail", "warn", "note", or "" for nothing."""
    source: str
    regions: tuple[str, ...] = ("CA",)
    on: dt.date | None = None
    strict: bool = False
    says: str = field(default="", compare=False)
    """What the case is about, for the test's name."""

    def found(self) -> str:
        """The gravest level at which its row, judged by itself, finds something."""
        found = self.draft.found_by({self.rule}, *self.regions, on=self.on, strict=self.strict)
        return min((f.level for f in found), key=list(Level).index, default="")

    def found_on_the_whole(self) -> str:
        """The same where all rows are judged."""
        return self.draft.level(self.rule, *self.regions, on=self.on, strict=self.strict)
