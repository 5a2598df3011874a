"""The sample event and guests for tests of whole sheets."""

from __future__ import annotations

from pathlib import Path

SAMPLE = Path(__file__).resolve().parents[1] / "samples" / "lighthouse-supper"
GUESTS = (
    "Zoë Babin", "Jean-François d’Entremont", "Agnès Ó Súilleabháin", "Łucja Wróblewska",
    "Noé (Max) Hébert", "Ève\u00a0Savoie", "Émile Thériault\\Roy",
)  # fmt: skip
"""Names with letters a PDF string has to escape, or a font another code for."""
