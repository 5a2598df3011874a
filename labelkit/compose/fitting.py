"""What the copyfitter chose, in words for the proof."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from labelkit.common.frozen import dataclass
from labelkit.compose.arrangements import ReplacedFace
from labelkit.compose.parts import SetBlock


@dataclass(frozen=True, slots=True)
class ElementFit:
    """How one element was set."""

    element: str
    size_pt: float
    setting: str = "as-written"
    width: int = 100
    tracking_em: float = 0.0
    """Taken off (below zero) or added to what the layout likes."""
    lines: int = 1
    least: bool = False
    """As small as the law lets it be."""
    size_class: str = ""

    @classmethod
    def of(cls, made: SetBlock) -> ElementFit:
        way, block = made.way, made.block
        capitals = way.setting != "as-written"
        liked = block.capitals_tracking_em if capitals else block.tracking_em
        return cls(
            element=block.element,
            size_pt=made.size_pt,
            setting=way.setting,
            width=way.width,
            tracking_em=round(way.tracking_em - liked, 4),
            lines=made.lines,
            size_class=block.size,
            least=0 < made.size_pt - way.least_pt + 1e-9 < LEAST_WITHIN_PT,
        )


LEAST_WITHIN_PT = 0.02


@dataclass(frozen=True, slots=True)
class PanelFit:
    """How a whole panel was fitted."""

    elements: tuple[ElementFit, ...]
    gaps: float
    """The spaces between rows, as a share of what the layout likes."""
    left_out: tuple[str, ...] = ()
    """Elements and ornaments that the layout calls optional and there was no room for."""
    replaced: tuple[ReplacedFace, ...] = ()
    step: int = 0
    """How many steps tighter than what the layout likes; zero: none."""
    steps: int = 0
    """How many there are."""
    torn: bool = False
    """Whether a line of the address ends inside one of its parts."""

    @property
    def names_pt(self) -> float:
        """The size of the names; infinite where there are none."""
        return min((e.size_pt for e in self.elements if e.element == "names"), default=math.inf)


@dataclass(frozen=True, slots=True)
class FitWords:
    """The words of ``describe_fit`` in one language."""

    capitals: str = "in capitals"
    small_capitals: str = "in small capitals"
    narrow: str = "{width} % wide"
    closer: str = "set closer by {amount} em"
    least: str = "the legal least"
    gaps: str = "gaps at {share} %"
    left_out: str = "no room for {names}"


def describe_fit(
    fit: PanelFit,
    words: FitWords | None = None,
    named: Callable[[str], str] = str,
    number: Callable[[float], str] = "{:.2f}".format,
) -> str:
    """The fit in one line, alike elements together: ``"names 12.40 pt; date, scent 5.60 pt"``."""
    words = words or FitWords()
    groups: dict[str, list[str]] = {}
    for element in fit.elements:
        groups.setdefault(_describe_element(element, words, number), []).append(
            named(element.element)
        )
    parts = [f"{', '.join(dict.fromkeys(names))} {how}" for how, names in groups.items()]
    parts.append(words.gaps.format(share=round(fit.gaps * 100)))
    if fit.left_out:
        parts.append(words.left_out.format(names=_join_names(map(named, fit.left_out))))
    return "; ".join(parts)


def _describe_element(element: ElementFit, words: FitWords, number: Callable[[float], str]) -> str:
    parts = [f"{number(element.size_pt)} pt"]
    if element.setting == "capitals":
        parts.append(words.capitals)
    if element.setting == "small-capitals":
        parts.append(words.small_capitals)
    if element.width != 100:
        parts.append(words.narrow.format(width=element.width))
    if element.tracking_em < 0:
        parts.append(words.closer.format(amount=number(-element.tracking_em)))
    if element.least:
        parts.append(words.least)
    return ", ".join(parts)


def _join_names(names: Iterable[str]) -> str:
    return ", ".join(names)
