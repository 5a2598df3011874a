"""Scents whose names say that they are essential oils, and statements of oils that lack something.

Some oils are allergens by name, beside what they hold. Only ``essential_oil`` tells that one of
them is there, so a name that sounds like it is asked about. Others are made for so great a part of
one allergen that a statement without it is likelier incomplete than true.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from labelkit.common.messages import FactList, Quoted, Said, Term
from labelkit.formula.allergens import find_allergen
from labelkit.formula.close_names import pick_telling_words, split_into_words
from labelkit.formula.declaration import Uncertainty
from labelkit.formula.materials import Material, load_materials
from labelkit.formula.policy import Policy
from labelkit.order.recipe import MaterialKind, Recipe, Scent

_SAYS_SO = re.compile(r"(?i:\bessential oils?\b|\bhuiles? essentielles?\b)|\bEO\b|\bHE (?=d[e’'])")
_FRAGRANCE = re.compile(r"(?i)\b(fragrance|perfume|parfum)\b")
_OIL = frozenset({"oil", "oils", "huile", "huiles", "essence", "essences"})


def find_scent_uncertainties(recipe: Recipe, policy: Policy) -> Iterator[Uncertainty]:
    """One question for each scent that sounds like an essential oil the regions want named."""
    listed = policy.allergens | {name for name, _ in policy.coming_allergens}
    if not any(oil.allergen in listed for oil in _list_essential_oils()):
        return
    for scent in recipe.scents:
        oils = find_likely_oils(scent.name)
        if scent.essential_oil or oils is None or _is_oil_stated(scent):
            continue
        due = tuple(oil for oil in oils if oil.allergen in listed)
        if due or not oils:
            yield _make_question(scent, due)


def find_statement_uncertainties(recipe: Recipe, policy: Policy) -> Iterator[Uncertainty]:
    """One question for each essential oil whose statement lacks what its oil is known for."""
    for scent in recipe.scents:
        stated = {known.name for name in scent.allergens or () if (known := find_allergen(name))}
        oil = _find_single_oil(scent) if scent.allergens else None
        missing = [
            name
            for name in (oil.usual_allergens if oil else ())
            if name in policy.allergens and name not in stated
        ]
        if oil and missing:
            yield Uncertainty(
                "unknown-share",
                "warn",
                Said(
                    "a statement for {oil} normally names {allergens}; that of {name} does not",
                    oil=Term("material", oil.name()),
                    allergens=FactList(missing, "and"),
                    name=Quoted(scent.name),
                ),
                Said(
                    "look at the supplier's allergen statement again; where it truly says that"
                    " there is none, write {example}",
                    example=f'{missing[0]} = "0 %"',
                ),
            )


def _find_single_oil(scent: Scent) -> Material | None:
    """The one essential oil a scent is, as the recipe says or its name; None: none, or several."""
    if scent.essential_oil:
        return load_materials().find(scent.essential_oil)
    oils = find_likely_oils(scent.name) or ()
    return oils[0] if len(oils) == 1 else None


def is_essential_oil_name(name: str) -> bool:
    """Whether a name says in so many words that it is an essential oil."""
    return _SAYS_SO.search(name) is not None


def find_likely_oils(name: str) -> tuple[Material, ...] | None:
    """The known essential oils a scent's name speaks of; None when it speaks of none at all.

    An empty tuple: it says that it is one, and not one that is known.
    """
    said, theirs = _SAYS_SO.search(name), split_into_words(name)
    if not said and (_FRAGRANCE.search(name) or not theirs & _OIL):
        return None
    known = _list_essential_oils()
    named = [
        row
        for row in known
        if any(pick_telling_words(other) <= theirs for other in _list_oil_names(row))
    ]
    vague = theirs - {word for row in named for word in row.families}
    oils = tuple(row for row in known if row in named or vague & {*row.families})
    return oils if oils or said else None


def _list_essential_oils() -> list[Material]:
    return [row for row in load_materials() if row.kind is MaterialKind.ESSENTIAL_OIL]


def _list_oil_names(row: Material) -> tuple[str, ...]:
    return (*row.names.values(), *row.aliases)


def _is_oil_stated(scent: Scent) -> bool:
    """Whether the supplier's statement names an oil or extract itself."""
    found = (find_allergen(name) for name in scent.allergens or ())
    return any(known is not None and known.mixture for known in found)


def _make_question(scent: Scent, oils: tuple[Material, ...]) -> Uncertainty:
    message = Said(
        "{name} sounds like an essential oil: some are allergens by their own name, and only"
        " essential_oil in its [[scent]] tells which it is",
        name=Quoted(scent.name),
    )
    if not oils:
        return Uncertainty(
            "unknown-share",
            "warn",
            message,
            Said(
                "if labelkit materials lists it, add essential_oil with its id; if not, ask the"
                " supplier whether the oil itself is on the allergen list"
            ),
        )
    return Uncertainty(
        "unknown-share",
        "warn",
        message,
        Said(
            "if it is, add {keys} to its [[scent]] to have {allergens} counted; a blend needs a"
            " [[scent]] for each oil, a fragrance compound the word fragrance in its name",
            keys=FactList([f'essential_oil = "{oil.id}"' for oil in oils], "or"),
            allergens=FactList([oil.allergen for oil in oils], "or"),
        ),
    )
