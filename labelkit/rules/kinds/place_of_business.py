"""Where the firm is to be found: a street, not a box, and not on the bottom of the package."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import CheckKind
from labelkit.rules.label import Label, name_element, name_panel, quote_words
from labelkit.rules.rule import Problem, Rule

_BOX = (
    r"\b(?:p\.?\s?o\.?|g\.?p\.?o\.?|post(?:al)?|c\.?\s?p\.?|case postale)"
    r"\s?(?:box\b|(?=\d))\.?\s*\d*"
    r"|\b(?:bo[iî]te postale|b\.?\s?p\.?(?=\s?\d)|postfach|postbus|postboks|apartado"
    r"|casella postale)\s*\d*"
)
"""A post-office box: "PO Box 12", "C.P. 12", "Postfach 12" (other languages: from memory)."""
_STREET = (
    r"(?<![\w-])\d+[a-z]?(?:[-/]\d+[a-z]?)?,?\s+(?:[^\W\d]|\d+(?:st|nd|rd|th)\b)",  # 8 Quay Lane
    r"[^\W\d]{2,}\.?\s+\d+[a-z]?(?=\s*(?:[,;·|\n]|$))",  # rue du Lac 3
)


@dataclass(frozen=True)
class StreetAddress(CheckKind):
    """The address has a street line, or is at least not a post-office box alone."""

    postcodes: tuple[str, ...] = ()
    """Patterns of figures that are no house number."""
    box_only: bool = False
    """Whether only an address that is a post-office box and nothing else is found."""
    unless_listed: bool = False
    """Whether a directory that lists the street stands in for it."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        found = label.texts(rule.element, rule.panel)
        whole = ", ".join(text.text for _, text in found)
        # A firm's name may have a figure of its own.
        address = whole.replace(label.facts.dealer_name or "\0", " ")
        boxed = re.search(_BOX, address, re.IGNORECASE)
        if not found or has_street(address, self.postcodes) or (self.box_only and not boxed):
            return
        if self.unless_listed and label.facts.street_listed:
            return
        yield Problem(
            Said("{words} is a post-office box, not a street address", words=quote_words(whole))
            if boxed
            else Said("{words} names no street", words=quote_words(whole)),
            quote_words(whole),
            Said("a street address"),
            panel=found[0][0].name,
        )


@lru_cache(maxsize=256)
def has_street(address: str, postcodes: tuple[str, ...] = ()) -> bool:
    """Whether an address has a house number with a street; boxes and postcodes are left out."""
    for pattern in postcodes:
        address = re.sub(pattern, " ", address)
    bare = re.sub(_BOX, " ", address, flags=re.IGNORECASE)
    return any(re.search(pattern, bare, re.IGNORECASE) for pattern in _STREET)


@dataclass(frozen=True)
class NotOnBottom(CheckKind):
    """The element stands somewhere else than on the side that the package lies on."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        facts = label.facts
        places = {panel.name for panel, _ in label.texts(rule.element)}
        if places != {"back"} or facts.back_is_bottom is False or facts.label_is_tag:
            return
        what = name_element(rule.element)
        if facts.back_is_bottom:
            yield Problem(
                Said("{what:cap} stands only on the back, which is the bottom", what=what),
                name_panel("back"),
                name_panel("front"),
                panel="back",
            )
        else:
            yield Problem(
                Said(
                    "{what:cap} stands only on the back, and whether the piece lies on that side"
                    " is not said",
                    what=what,
                ),
                panel="back",
                at_most=Level.NOTE,
                remedy=Said(
                    "Say product.back_is_bottom in label.toml: false where the back label is on a"
                    " side or hangs free, true where the piece lies on it; then the front names"
                    " the dealer."
                ),
            )
