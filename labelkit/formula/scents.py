"""Scents whose names say that they are essential oils, and statements of oils that lack something.

Some oils are allergens by name, beside what they hold. Only ``essential_oil`` tells that one of
them is there, so a name that sounds like it is asked about. Others are made for so great a part of
one allergen that a statement without it is likelier incomplete than true.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from labelkit.common.messages import Listed, Quoted, Said, Term
from labelkit.formula.allergens import find_allergen
from labelkit.formula.close_names import telling, words
from labelkit.formula.declaration import Doubt
from labelkit.formula.materials import Material, materials
from labelkit.formula.policy import Policy
from labelkit.order.recipe import Kind, Recipe, Scent

_SAYS_SO = re.compile(r"(?i:\bessential oils?\b|\bhuiles? essentielles?\b)|\bEO\b|\bHE (?=d[e’'])")
_FRAGRANCE = re.compile(r"(?i)\b(fragrance|perfume|parfum)\b")
_OIL = frozenset({"oil", "oils", "huile", "huiles", "essence", "essences"})


def scent_doubts(recipe: Recipe, policy: Policy) -> Iterator[Doubt]:
    """One question for each scent that sounds like an essential oil the regions want named."""
    listed = policy.allergens | {name for name, _ in policy.coming_allergens}
    if not any(oil.allergen in listed for oil in _essential_oils()):
        return
    for scent in recipe.scents:
        oils = likely_oils(scent.name)
        if scent.essential_oil or oils is None or _states_an_oil(scent):
            continue
        due = tuple(oil for oil in oils if oil.allergen in listed)
        if due or not oils:
            yield _question(scent, due)


def statement_doubts(recipe: Recipe, policy: Policy) -> Iterator[Doubt]:
    """One question for each essential oil whose statement lacks what its oil is known for."""
    for scent in recipe.scents:
        stated = {known.name for name in scent.allergens or () if (known := find_allergen(name))}
        oil = _the_oil(scent) if scent.allergens else None
        missing = [
            name
            for name in (oil.usual_allergens if oil else ())
            if name in policy.allergens and name not in stated
        ]
        if oil and missing:
            yield Doubt(
                "unknown-share",
                "warn",
                Said(
                    "a statement for {oil} normally names {allergens}; that of {name} does not",
                    oil=Term("material", oil.name()),
                    allergens=Listed(missing, "and"),
                    name=Quoted(scent.name),
                ),
                Said(
                    "look at the supplier's allergen statement again; where it truly says that"
                    " there is none, write {example}",
                    example=f'{missing[0]} = "0 %"',
                ),
            )


def _the_oil(scent: Scent) -> Material | None:
    """The one essential oil a scent is, as the recipe says or its name; None: none, or several."""
    if scent.essential_oil:
        return materials().find(scent.essential_oil)
    oils = likely_oils(scent.name) or ()
    return oils[0] if len(oils) == 1 else None


def names_essential_oil(name: str) -> bool:
    """Whether a name says in so many words that it is an essential oil."""
    return _SAYS_SO.search(name) is not None


def likely_oils(name: str) -> tuple[Material, ...] | None:
    """The known essential oils a scent's name speaks of; None when it speaks of none at all.

    An empty tuple: it says that it is one, and not one that is known.
    """
    said, theirs = _SAYS_SO.search(name), words(name)
    if not said and (_FRAGRANCE.search(name) or not theirs & _OIL):
        return None
    known = _essential_oils()
    named = [row for row in known if any(telling(other) <= theirs for other in _names(row))]
    vague = theirs - {word for row in named for word in row.families}
    oils = tuple(row for row in known if row in named or vague & {*row.families})
    return oils if oils or said else None


def _essential_oils() -> list[Material]:
    return [row for row in materials() if row.kind is Kind.ESSENTIAL_OIL]


def _names(row: Material) -> tuple[str, ...]:
    return (*row.names.values(), *row.aliases)


def _states_an_oil(scent: Scent) -> bool:
    """Whether the supplier's statement names an oil or extract itself."""
    found = (find_allergen(name) for name in scent.allergens or ())
    return any(known is not None and known.mixture for known in found)


def _question(scent: Scent, oils: tuple[Material, ...]) -> Doubt:
    message = Said(
        "{name} sounds like an essential oil: some are allergens by their own name, and only"
        " essential_oil in its [[scent]] tells which it is",
        name=Quoted(scent.name),
    )
    if not oils:
        return Doubt(
            "unknown-share",
            "warn",
            message,
            Said(
                "if labelkit materials lists it, add essential_oil with its id; if not, ask the"
                " supplier whether the oil itself is on the allergen list"
            ),
        )
    return Doubt(
        "unknown-share",
        "warn",
        message,
        Said(
            "if it is, add {keys} to its [[scent]] to have {allergens} counted; a blend needs a"
            " [[scent]] for each oil, a fragrance compound the word fragrance in its name",
            keys=Listed([f'essential_oil = "{oil.id}"' for oil in oils], "or"),
            allergens=Listed([oil.allergen for oil in oils], "or"),
        ),
    )
