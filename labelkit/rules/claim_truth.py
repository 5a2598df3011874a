"""Holds a claim against what is in the piece, as the ingredient list declares it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from enum import Enum
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.formula.declaration import Declaration, DeclaredLine, Role
from labelkit.formula.materials import load_materials
from labelkit.formula.names import strip_common_name
from labelkit.order.recipe import MaterialKind
from labelkit.rules.claims import Claim, ClaimSubject, TruthTest, load_share_tolerance
from labelkit.rules.word_match import fold_text, has_words


class Truth(Enum):
    """What the recipe says of a claim."""

    TRUE = "true"
    FALSE = "false"
    OPEN = "open"
    """It cannot tell: the claim needs evidence."""


@dataclass(frozen=True)
class ClaimStanding:
    """How a claim stands, and what shows it."""

    truth: Truth
    lines: tuple[str, ...] = ()
    """Names of the list that speak against it."""
    percent: Decimal | None = None
    """The true share, of the fats for a fat."""


_FATS = frozenset({MaterialKind.TRIGLYCERIDE, MaterialKind.FREE_ACID, MaterialKind.WAX})
_SALTS = ("sodium ", "potassium ")


def judge_claim(claim: Claim, declaration: Declaration) -> ClaimStanding:
    """How a claim stands against a list."""
    if claim.thing is None or claim.test is None:
        return ClaimStanding(Truth.OPEN)
    if claim.test is TruthTest.ABSENT:
        return _judge_absence(claim.thing, declaration)
    if claim.test is TruthTest.PRESENT:
        return ClaimStanding(
            Truth.TRUE if find_lines_with(claim.thing, declaration.lines) else Truth.FALSE
        )
    return _judge_share(claim, declaration)


def find_lines_with(thing: ClaimSubject, lines: Iterable[DeclaredLine]) -> tuple[DeclaredLine, ...]:
    """The lines of a list that show a thing."""
    return tuple(line for line in lines if _is_shown_by(line, thing))


def _is_shown_by(line: DeclaredLine, thing: ClaimSubject) -> bool:
    if str(line.role) in thing.roles or str(_find_material_kind(line)) in thing.kinds:
        return True
    return _has_any_name(line, thing.inci) and not _has_any_name(line, thing.unless)


def _has_any_name(line: DeclaredLine, parts: Iterable[str]) -> bool:
    name = f"{line.name} / {line.inci}"
    return any(has_words(name, part) for part in parts)


def _judge_absence(thing: ClaimSubject, declaration: Declaration) -> ClaimStanding:
    if thing.never:
        return ClaimStanding(Truth.FALSE)
    found = find_lines_with(thing, declaration.lines)
    if found:
        return ClaimStanding(Truth.FALSE, _list_names(found))
    if "allergen" in thing.roles and declaration.allergens:
        return ClaimStanding(Truth.FALSE, tuple(share.inci for share in declaration.allergens))
    doubtful = any(
        str(line.role) in thing.doubt_roles or _has_any_name(line, thing.doubt)
        for line in declaration.lines
    )
    return ClaimStanding(Truth.OPEN if thing.open or doubtful else Truth.TRUE)


def _judge_share(claim: Claim, declaration: Declaration) -> ClaimStanding:
    """Whether a fat is so much of the fats; all of them where no number is given."""
    assert claim.thing is not None
    fats = [line for line in declaration.lines if _is_fat(line)]
    own = find_lines_with(claim.thing, fats)
    whole = sum((line.percent for line in fats), Decimal(0))
    if not whole:
        return ClaimStanding(Truth.OPEN)
    percent = sum((line.percent for line in own), Decimal(0)) / whole * 100
    claimed = Decimal((claim.percent or "100").replace(",", "."))
    others = _list_names(line for line in fats if line not in own)
    if claimed >= 100:
        return ClaimStanding(Truth.FALSE if others else Truth.TRUE, others, percent)
    points, part = load_share_tolerance()
    is_near = abs(claimed - percent) <= points + claimed * part / 100
    return ClaimStanding(Truth.TRUE if is_near else Truth.FALSE, (), percent)


def _list_names(lines: Iterable[DeclaredLine]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(line.name for line in lines))


def _is_fat(line: DeclaredLine) -> bool:
    """A fat, what is left of one, or the soap it became."""
    kind = _find_material_kind(line)
    if kind is not None:
        return kind in _FATS
    name = fold_text(line.inci)
    return line.role is not Role.COLOUR and name.startswith(_SALTS) and name.endswith("ate")


def _find_material_kind(line: DeclaredLine) -> MaterialKind | None:
    """What kind of material a line is of; None: not known."""
    kinds = _index_material_kinds()
    return kinds.get(fold_text(line.inci)) or kinds.get(fold_text(line.name))


@lru_cache(maxsize=1)
def _index_material_kinds() -> Mapping[str, MaterialKind]:
    """The kind of material behind every INCI name of the materials table, and of its soaps."""
    found: dict[str, MaterialKind] = {}
    for row in load_materials():
        names = (row.inci, strip_common_name(row.inci), row.eu, row.us, row.sodium, row.potassium)
        for name in filter(None, names):
            found.setdefault(fold_text(name), row.kind)
    return found
