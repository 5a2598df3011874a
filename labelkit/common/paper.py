"""The two common sheets of paper, and where in the world each is the usual one."""

from __future__ import annotations

PAPERS_MM = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
"""ANSI/ASME Y14.1 size A (8.5 x 11 in) and ISO 216 A4."""
PAPER_NAMES = {"letter": "Letter", "a4": "A4"}
LETTER_COUNTRIES = frozenset(
    {
        "BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE",
    }
)  # fmt: skip
"""Unicode CLDR, supplemental data, paperSize "US-Letter" (from memory); elsewhere it is A4."""
SAME_PAGE_MM = 1.0
"""Sheets that differ by less go through a printer as the same."""


def find_paper(width_mm: float, height_mm: float) -> str:
    """The common paper of a page, lying or standing, as PAPERS_MM calls it; "" for another size."""
    page = sorted((width_mm, height_mm))
    for name, size in PAPERS_MM.items():
        if all(abs(a - b) < SAME_PAGE_MM for a, b in zip(page, sorted(size), strict=True)):
            return name
    return ""


def find_usual_paper(country: str) -> str:
    """The common paper of a country or region, by its code."""
    return "letter" if country.split("-")[0] in LETTER_COUNTRIES else "a4"
