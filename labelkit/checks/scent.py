"""labelkit's own checks of the scent: what a label says of it against what the recipe holds.

A label says a scent in words of its own and in its languages, so the two agree where they share a
word that says which scent it is; a word is the same in every language that the materials table has
it in. Where that is not enough, ``label_scent`` in the recipe says what labels call a scent.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import lru_cache

from labelkit.checks.craft import make_own_finding, quote_names
from labelkit.common.errors import format_path
from labelkit.common.messages import Quoted, Said
from labelkit.formula.close_names import pick_telling_words, split_into_words
from labelkit.formula.materials import Material, load_materials, merge_own_materials
from labelkit.order.label import LabelSpec
from labelkit.order.reader import Words
from labelkit.order.recipe import MaterialKind, Recipe
from labelkit.rules.findings import Finding, Level

_UNSCENTED = re.compile(
    r"\b(unscented|(fragrance|perfume|scent)s?[ -]free|free (of|from) (any |all )?(fragrance"
    r"|perfume|scent)s?|(no|without)( any| added)? (fragrance|perfume|scent)s?"
    r"|sans (aucune? )?(parfum|fragrance|senteur)|non[ -]parfum\w+|inodore"
    r"|parfumfrei\w*|unparfumiert\w*|duft(stoff)?frei\w*|ohne (parfum|duft\w*)"
    r"|ongeparfumeerd\w*|parfumvrije?|geurvrije?|zonder (parfum|geur\w*)"
    r"|sin (perfume|fragancia)s?|sem (perfume|fragrancia)s?"
    r"|senza (profum\w+|fragranz\w+)|non profumat\w+"
    r"|hajusteet\w+|hajustamat\w+|oparfymera\w+|parfymfri\w*|utan parfym"
    r"|uparfumere\w+|parfumefri\w*|bezzapachow\w+)\b"
    r"(?! (de synthese|synth|sint|artific))"
)
"""Without letter case and accents (from memory). "Sans parfum de synthèse" says less."""
_NO_SCENT = frozenset(
    {
        "fragrance", "perfume", "parfum", "perfumed", "scent", "scented", "senteur", "aroma",
        "duft", "soap", "savon", "blend", "melange", "och", "und", "con", "met", "mit", "med",
        "avec", "ja", "en", "og", "y", "e", "i", "in", "for", "pour",
    }
)  # fmt: skip
"""Words that scents of all sorts share."""


def check_scent(spec: LabelSpec, recipe: Recipe) -> Iterator[Finding]:
    """What a label says of its scent and the recipe does not bear out."""
    holds = tuple(_list_scents(recipe))
    if holds:
        yield from _check_denied_scent(spec, holds)
    stray = tuple(dict.fromkeys(_list_stray_scents(_list_said_scents(spec), recipe)))
    if not stray:
        return
    if holds:
        message = Said(
            "The label says the scent {label}, but the recipe's is {recipe}",
            label=quote_names(map(Quoted, stray)),
            recipe=quote_names(map(Quoted, holds)),
        )
    else:
        message = Said(
            "The label says the scent {label}, but the recipe has no [[scent]]",
            label=quote_names(map(Quoted, stray)),
        )
    yield make_own_finding(
        "CRAFT-SCENT",
        message,
        element="scent",
        remedy=Said(
            "Make product.scent and the [[scent]] of {recipe} agree; where both are the same scent,"
            " put the label's words as label_scent into that [[scent]].",
            recipe=format_path(recipe.path.name),
        ),
    )


def _check_denied_scent(spec: LabelSpec, holds: Iterable[str]) -> Iterator[Finding]:
    """Words of a label that deny a scent which the recipe has."""
    for key, text in _list_scent_texts(spec):
        if _UNSCENTED.search(_fold_text(text)):
            yield make_own_finding(
                "CRAFT-UNSCENTED",
                Said(
                    "The label says {words}, but the recipe holds {recipe}",
                    words=Quoted(text),
                    recipe=quote_names(map(Quoted, holds)),
                ),
                level=Level.FAIL,
                element="scent",
                remedy=Said(
                    "Change the words in {key}, or leave the scent out of the recipe: an essential"
                    " oil is a scent as well.",
                    key=key,
                ),
            )


def _list_scents(recipe: Recipe) -> Iterator[str]:
    """What the recipe calls everything in it that is there for its scent."""
    yield from (scent.name for scent in recipe.scents)
    table = merge_own_materials(recipe)
    for line in recipe.additives:
        material = table.find(line.material)
        if material is not None and material.kind is MaterialKind.ESSENTIAL_OIL:
            yield line.material


def _list_stray_scents(said: Iterable[tuple[str, str]], recipe: Recipe) -> Iterator[str]:
    """The label's names of the scent that the recipe does not bear out."""
    own = _add_translations(_list_scent_words(recipe))
    held = own | _add_translations(
        _pick_telling_words(name) for name in _list_material_names(recipe)
    )
    borne = own if own else held
    left, agrees = [], False
    for code, text in said:
        declared = tuple(_list_declared_scents(recipe, code))
        if _UNSCENTED.search(_fold_text(text)) or not _pick_telling_words(text):
            continue
        if not declared:
            left.append(text)
            agrees = agrees or bool(_pick_telling_words(text) & borne)
        elif any(split_into_words(text) == split_into_words(other) for other in declared):
            agrees = True
        else:
            yield text
    # What one language says rightly the others are taken to say as well, but for an oil by name.
    for text in left:
        if not agrees or _has_undeclared_oil(text, held):
            yield text


def _list_declared_scents(recipe: Recipe, code: str) -> Iterator[str]:
    """What the recipe says that labels call its scents in a language."""
    for scent in recipe.scents:
        yield from (text for tag, text in scent.label_scent.items() if not (tag and code != tag))


def _has_undeclared_oil(text: str, held: frozenset[str]) -> bool:
    """Whether a text names an essential oil of which the recipe says nothing."""
    words = _pick_telling_words(text)
    return any(
        any(name and name <= words for name in names) and not any(name <= held for name in names)
        for names in _list_oil_names()
    )


@lru_cache(maxsize=1)
def _list_oil_names() -> tuple[tuple[frozenset[str], ...], ...]:
    """The telling words of every name of each essential oil."""
    return tuple(
        tuple(map(_pick_telling_words, _list_names(row)))
        for row in load_materials()
        if row.kind is MaterialKind.ESSENTIAL_OIL
    )


def _list_scent_words(recipe: Recipe) -> Iterator[frozenset[str]]:
    """The telling words of every scent, in each name it has."""
    table = merge_own_materials(recipe)
    for scent in recipe.scents:
        yield _pick_telling_words(scent.name)
        yield from map(_pick_telling_words, scent.label_scent.values())
    for name in (*(scent.essential_oil for scent in recipe.scents), *_list_scents(recipe)):
        if name and (oil := table.find(name)):
            yield from map(_pick_telling_words, _list_names(oil))


def _list_material_names(recipe: Recipe) -> Iterator[str]:
    """The names of everything weighed that is no scent: honey may be smelt as well."""
    table = merge_own_materials(recipe)
    for line in (*recipe.oils, *recipe.additives, *recipe.colours):
        yield line.material
        if material := table.find(line.material):
            yield from _list_names(material)


def _add_translations(said: Iterable[frozenset[str]]) -> frozenset[str]:
    """Words, and the same things in every language of the materials table."""
    return _find_translations(frozenset[str]().union(*said))


@lru_cache(maxsize=64)
def _find_translations(found: frozenset[str]) -> frozenset[str]:
    names = [[_pick_telling_words(name) for name in _list_names(row)] for row in load_materials()]
    same = (row for row in names if any(name and name <= found for name in row))
    return found.union(*(name for row in same for name in row))


def _list_names(material: Material) -> tuple[str, ...]:
    return (*material.names.values(), *material.aliases)


@lru_cache(maxsize=4096)
def _pick_telling_words(text: str) -> frozenset[str]:
    """The words of a text that say which scent it is, each without the ending of a plural."""
    found = {
        word for word in pick_telling_words(text) or split_into_words(text) if word not in _NO_SCENT
    }
    return frozenset(word.removesuffix("s") if len(word) > 3 else word for word in found)


def _list_said_scents(spec: LabelSpec) -> Iterator[tuple[str, str]]:
    """What the label calls its scent, with the language."""
    for words_ in (spec.product.scent, *_list_side_words(spec, "scent")):
        yield from words_.items()


def _list_side_words(spec: LabelSpec, element: str) -> Iterator[Words]:
    return (side.words[element] for side in (spec.front, spec.back) if element in side.words)


def _list_scent_texts(spec: LabelSpec) -> Iterator[tuple[str, str]]:
    """Every text of a label that may speak of its scent, with the key it stands under."""
    tables = [("product.identity", spec.product.identity), ("product.scent", spec.product.scent)]
    for name, side in (("front", spec.front), ("back", spec.back)):
        tables += [(f"{name}.{e.replace('-', '_')}", words_) for e, words_ in side.words.items()]
    for key, words_ in tables:
        for code, text in words_.items():
            yield f"{key}.{code}" if code else key, text


def _fold_text(text: str) -> str:
    """A text without letter case and accents, with one sort of space and hyphen."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(c for c in letters if not unicodedata.combining(c))
    return " ".join(re.sub("[\u2010\u2011]", "-", bare).split())
