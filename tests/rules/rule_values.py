"""Numbers of the tables as their sources print them or as they work out from the law's own words.

Each value names its source. Golden values that are judged on a label stand with the cases.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import astuple, dataclass
from decimal import Decimal
from typing import Any

from rule_labels import american, antipodean, british, canadian, european, facts

from labelkit.formula.declaration import Role
from labelkit.rules import (
    Facts,
    LetterMeasure,
    find_floors,
    list_duties,
    list_region_titles,
    load_rules,
)
from labelkit.rules.duties import find_tolerance_g
from labelkit.rules.provisions import load_provisions
from labelkit.rules.surfaces import list_surface_rows
from labelkit.rules.tables import list_stale_rules

D = Decimal


@dataclass(frozen=True)
class Value:
    """One thing the rules tell, and what the source says it is."""

    name: str
    told: Callable[[], Any]
    expected: Any
    source: str

    def holds(self) -> bool:
        return bool(self.told() == self.expected)


def floor_mm(
    region: str, element: str, measure: LetterMeasure, known: Facts, *front: str
) -> Decimal:
    """The largest legal floor of an element for one way of measuring."""
    heights = find_floors(known, [region], on_front=front).of(element).heights
    return max(h.least_mm for h in heights if h.measure is measure and h.legal)


def bands(rule_id: str) -> list[tuple[Any, ...]]:
    """A table of a law, line by line: up to (or below) a size, and what holds there."""
    rule = next(rule for rule in load_rules(list(list_region_titles())) if rule.id == rule_id)
    return [astuple(band) for band in rule.check.bands]  # type: ignore[attr-defined]


def number(rule_id: str, name: str) -> Any:
    """A number of a row."""
    rule = next(rule for rule in load_rules(list(list_region_titles())) if rule.id == rule_id)
    return getattr(rule.check, name)


def is_stale(rule_id: str, on: dt.date) -> bool:
    return rule_id in {rule.id for rule in list_stale_rules(on)}


def first_due(region: str, known: Facts) -> dt.date | None:
    return list_duties(known, [region])[0].due


def shown_conflicts(draft: Any, *regions: str) -> set[str]:
    findings = draft.judged(*regions).findings
    return {f.rule for f in findings if f.rule.startswith("CONFLICT-")}


def parfum_of(percent: str) -> Any:
    """A list for Canada and Great Britain whose parfum stands last after a smaller share."""
    return british().declare(
        ("A", 90), ("Mel", "0.5"), ("Parfum", percent, Role.PARFUM), printed="A, Mel, Parfum"
    )


# CPLR Schedule I Part III: up to 50 g 9 %; 100 g 4.5 g; 200 g 4.5 %; 300 g 9 g; 500 g 3 %;
# 1 kg 15 g; 10 kg 1.5 %; 15 kg 150 g; above 1 %.
CANADA = [
    ("49.5", "4.455"), ("99.5", "4.5"), ("199.5", "8.9775"), ("200.5", "9"), ("299.5", "9"),
    ("499.5", "14.985"), ("999.5", "15"), ("9999.5", "149.9925"), ("14999.5", "150"),
    ("20", "1.8"), ("28", "2.52"), ("30", "2.7"), ("35", "3.15"), ("40", "3.6"), ("45", "4.05"),
    ("50", "4.5"), ("50.1", "4.5"), ("75", "4.5"), ("100", "4.5"), ("101", "4.545"),
    ("120", "5.4"), ("200", "9"), ("250", "9"), ("300", "9"), ("301", "9.03"), ("500", "15"),
    ("501", "15"), ("1000", "15"), ("1001", "15.015"), ("10000", "150"), ("10001", "150"),
    ("15000", "150"), ("15001", "150.01"), ("16000", "160"),
]  # fmt: skip

# 76/211/EEC Annex I 2.4, percentages rounded up to 0.1 g (rounding from memory).
EUROPE = [
    ("5", "0.5"), ("28", "2.6"), ("30", "2.7"), ("35", "3.2"), ("38", "3.5"), ("40", "3.6"),
    ("45", "4.1"), ("50", "4.5"), ("50.1", "4.5"), ("100", "4.5"), ("101", "4.6"),
    ("150", "6.8"), ("200", "9"), ("201", "9"), ("300", "9"), ("301", "9.1"), ("400", "12"),
    ("500", "15"), ("501", "15"), ("1000", "15"), ("1001", "15.1"), ("2000", "30"),
]  # fmt: skip

# 76/211/EEC Annex I 2.4: 5 to 50 g 9 %; to 100 g 4.5 g; to 200 g 4.5 %; to 300 g 9 g; to 500 g
# 3 %; to 1 000 g 15 g; above 1.5 %. (upto_g, percent, grams)
EUROPEAN_BANDS = [
    (D(50), D(9), None), (D(100), None, D("4.5")), (D(200), D("4.5"), None), (D(300), None, D(9)),
    (D(500), D(3), None), (D(1000), None, D(15)), (None, D("1.5"), None),
]  # fmt: skip

QUOTED = [
    Value(
        f"words kept of 21 CFR {section}",
        lambda section=section: next(  # type: ignore[misc]
            one.words for one in load_provisions() if one.section == section
        ),
        len(words.split()),
        "the sentence itself, annual edition of 2015",
    )
    for section, words in [
        ("701.11(c)", "reasonably related to the most prominent printed matter"),
        ("701.13(d)", "a decimal fraction shall not be carried out to more than two places"),
        ("701.13(j)(2)", "the term net weight shall be used"),
        ("701.13(n)", "these and none other"),
        ("701.20(a)(2)", "labeled sold and represented only as soap"),
    ]
]

VALUES = [
    *QUOTED,
    Value(
        "European tolerances",
        lambda: bands("EU-QUANTITY-TOLERANCE"),
        EUROPEAN_BANDS,
        "76/211/EEC Annex I 2.4",
    ),
    Value(
        "British tolerances",
        lambda: bands("GB-QUANTITY-TOLERANCE"),
        EUROPEAN_BANDS,
        "as 76/211/EEC, from memory",
    ),
    # Tukes, labelling of cosmetics: a product that keeps over 30 months needs no date. Great
    # Britain kept the article (from memory).
    *(
        Value(
            f"months over which {rule} lets a period stand for a date",
            lambda r=rule: number(r, "over_months"),
            30,
            "Reg. Art. 19(1)(c); Tukes",
        )
        for rule in ("EU-DURABILITY-PERIOD", "GB-DURABILITY-PERIOD")
    ),
    # CPLR s. 28(2): "less than seven identical products".
    *(
        Value(
            f"a box of {pieces} identical pieces in Canada",
            lambda n=pieces: (
                "CPLR s. 28(2)" in {r.citation for r in list_surface_rows("gift-box", ["CA"], n)}
            ),
            let_off,
            "CPLR s. 28(2)",
        )
        for pieces, let_off in [(6, True), (7, False)]
    ),
    # 21 CFR 701.13(h)(1): not more than three times as high as wide.
    Value(
        "letters so many times as high as wide",
        lambda: number("US-QUANTITY-LETTER-SHAPE", "most"),
        3,
        "21 CFR 701.13(h)(1)",
    ),
    # 21 CFR 701.13(i): 5, 25, 100, 400 square inches: 1/16, 1/8, 3/16, 1/4, 1/2 inch.
    Value(
        "United States heights of the net weight",
        lambda: bands("US-QUANTITY-HEIGHT"),
        [
            (D(1) / 16, D(5), None),
            (D(1) / 8, D(25), None),
            (D(3) / 16, D(100), None),
            (D(1) / 4, D(400), None),
            (D(1) / 2, None, None),
        ],
        "21 CFR 701.13(i); 16 CFR 500.21(b)",
    ),
    # 21 CFR 701.3(b), (p): 1/16 inch, 1/32 where the surface is below 12 square inches.
    *(
        Value(
            f"heights of the list by {rule}",
            lambda r=rule: bands(r),
            [(D(1) / 32, None, D(12)), (D(1) / 16, None, None)],
            "21 CFR 701.3(b), (p)",
        )
        for rule in ("US-LIST-HEIGHT", "US-LIST-HEIGHT-SMALL-LETTERS")
    ),
    # The days by which these open points are to be read again: labelkit's own choice.
    *(
        Value(
            f"{rule} on {day}",
            lambda r=rule, d=day: is_stale(r, d),
            stale,
            "labelkit's own choice",
        )
        for rule in ("GB-ALLERGENS", "GB-LIST-BANNED", "NZ-ALLERGENS", "US-DUTY-ALLERGENS")
        for day, stale in [(dt.date(2027, 5, 31), False), (dt.date(2027, 6, 1), True)]
    ),
    *(
        Value(
            f"tolerance in {region} of {grams} g",
            lambda r=region, g=grams: find_tolerance_g(r, D(g)),
            D(tolerance),
            source,
        )
        for region, table, source in [
            ("CA", CANADA, "CPLR Schedule I Part III"),
            ("BE", EUROPE, "76/211/EEC Annex I 2.4"),
            ("GB", EUROPE, "as 76/211/EEC, from memory"),
        ]
        for grams, tolerance in table
    ),
    # CR s. 15.3(1): a period of 10 days beginning on the day of first sale.
    Value(
        "notification of a first sale on 2026-12-01",
        lambda: first_due("CA", facts(first_sold_on=dt.date(2026, 12, 1))),
        dt.date(2026, 12, 10),
        "CR s. 15.3(1)",
    ),
    Value(
        "Canadian figures on 24 cm2",
        lambda: floor_mm("CA", "net-quantity", LetterMeasure.FIGURE, canadian().facts),
        D("1.6"),
        "CPLR s. 14(2)(a)",
    ),
    Value(
        "United States lettering on 3.72 square inches",
        lambda: floor_mm("US", "net-quantity", LetterMeasure.CAPITAL_OR_SMALL_O, american().facts),
        D("1.5875"),
        "21 CFR 701.13(i)(1): 1/16 inch",
    ),
    Value(
        "European figures at 40 g",
        lambda: floor_mm("FI", "net-quantity", LetterMeasure.FIGURE, european().facts),
        D(2),
        "76/211/EEC Annex I 3.1",
    ),
    Value(
        "Australian figures on 60 mm",
        lambda: floor_mm("AU", "net-quantity", LetterMeasure.FIGURE, antipodean().facts),
        D(2),
        "NMI guide: up to 120 mm",
    ),
    # CR s. 21.4(3) against Reg. Art. 19(1)(g): only above 1 % can the two not be reconciled.
    *(
        Value(
            f"parfum of {percent} % for Canada and Great Britain",
            lambda p=percent: "CONFLICT-PARFUM-ORDER" in shown_conflicts(parfum_of(p), "CA", "GB"),
            conflict,
            "CR s. 21.4(3); Reg. Art. 19(1)(g)",
        )
        for percent, conflict in [("1", False), ("1.01", True), ("0.9", False), ("1.9", True)]
    ),
]
