"""Holds a claim against what is in the piece, as the ingredient list declares it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from functools import lru_cache

from labelkit.formula.declaration import Declaration, DeclaredLine, Role
from labelkit.formula.materials import materials
from labelkit.formula.names import without_common_name
from labelkit.order.recipe import Kind
from labelkit.rules.claims import Claim, Test, Thing, share_tolerance
from labelkit.rules.word_match import folded, has_words


class Truth(Enum):
    """What the recipe says of a claim."""

    TRUE = "true"
    FALSE = "false"
    OPEN = "open"
    """It cannot tell: the claim needs evidence."""


@dataclass(frozen=True)
class Held:
    """How a claim stands, and what shows it."""

    truth: Truth
    lines: tuple[str, ...] = ()
    """Names of the list that speak against it."""
    percent: Decimal | None = None
    """The true share, of the fats for a fat."""


_FATS = frozenset({Kind.TRIGLYCERIDE, Kind.FREE_ACID, Kind.WAX})
_SALTS = ("sodium ", "potassium ")


def hold(claim: Claim, declaration: Declaration) -> Held:
    """How a claim stands against a list."""
    if claim.thing is None or claim.test is None:
        return Held(Truth.OPEN)
    if claim.test is Test.ABSENT:
        return _absent(claim.thing, declaration)
    if claim.test is Test.PRESENT:
        return Held(Truth.TRUE if lines_with(claim.thing, declaration.lines) else Truth.FALSE)
    return _share(claim, declaration)


def lines_with(thing: Thing, lines: Iterable[DeclaredLine]) -> tuple[DeclaredLine, ...]:
    """The lines of a list that show a thing."""
    return tuple(line for line in lines if _shows(line, thing))


def _shows(line: DeclaredLine, thing: Thing) -> bool:
    if str(line.role) in thing.roles or str(_kind_of(line)) in thing.kinds:
        return True
    return _named(line, thing.inci) and not _named(line, thing.unless)


def _named(line: DeclaredLine, parts: Iterable[str]) -> bool:
    name = f"{line.name} / {line.inci}"
    return any(has_words(name, part) for part in parts)


def _absent(thing: Thing, declaration: Declaration) -> Held:
    if thing.never:
        return Held(Truth.FALSE)
    found = lines_with(thing, declaration.lines)
    if found:
        return Held(Truth.FALSE, _names(found))
    if "allergen" in thing.roles and declaration.allergens:
        return Held(Truth.FALSE, tuple(share.inci for share in declaration.allergens))
    doubtful = any(
        str(line.role) in thing.doubt_roles or _named(line, thing.doubt)
        for line in declaration.lines
    )
    return Held(Truth.OPEN if thing.open or doubtful else Truth.TRUE)


def _share(claim: Claim, declaration: Declaration) -> Held:
    """Whether a fat is so much of the fats; all of them where no number is given."""
    assert claim.thing is not None
    fats = [line for line in declaration.lines if _is_fat(line)]
    own = lines_with(claim.thing, fats)
    whole = sum((line.percent for line in fats), Decimal(0))
    if not whole:
        return Held(Truth.OPEN)
    percent = sum((line.percent for line in own), Decimal(0)) / whole * 100
    claimed = Decimal((claim.percent or "100").replace(",", "."))
    others = _names(line for line in fats if line not in own)
    if claimed >= 100:
        return Held(Truth.FALSE if others else Truth.TRUE, others, percent)
    points, part = share_tolerance()
    is_near = abs(claimed - percent) <= points + claimed * part / 100
    return Held(Truth.TRUE if is_near else Truth.FALSE, (), percent)


def _names(lines: Iterable[DeclaredLine]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(line.name for line in lines))


def _is_fat(line: DeclaredLine) -> bool:
    """A fat, what is left of one, or the soap it became."""
    kind = _kind_of(line)
    if kind is not None:
        return kind in _FATS
    name = folded(line.inci)
    return line.role is not Role.COLOUR and name.startswith(_SALTS) and name.endswith("ate")


def _kind_of(line: DeclaredLine) -> Kind | None:
    """What kind of material a line is of; None: not known."""
    kinds = _kinds()
    return kinds.get(folded(line.inci)) or kinds.get(folded(line.name))


@lru_cache(maxsize=1)
def _kinds() -> Mapping[str, Kind]:
    """The kind of material behind every INCI name of the materials table, and of its soaps."""
    found: dict[str, Kind] = {}
    for row in materials():
        names = (row.inci, without_common_name(row.inci), row.eu, row.us, row.sodium, row.potassium)
        for name in filter(None, names):
            found.setdefault(folded(name), row.kind)
    return found
