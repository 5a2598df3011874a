"""What each substance is called where: INCI name, technical name, English colour name."""

from __future__ import annotations

import re

from labelkit.common.frozen import dataclass
from labelkit.formula.declaration import Role
from labelkit.formula.expand import FRAGRANCE_INCI, Expanded
from labelkit.formula.materials import Material
from labelkit.formula.policy import BotanicalForm, ColourForm, Policy, ScheduleForm
from labelkit.formula.schedule import ScheduleName, find_schedule_name
from labelkit.order.recipe import MaterialKind


@dataclass(frozen=True, slots=True)
class KnownName:
    """What is known of an INCI name: its role, and other names for it."""

    role: Role = Role.INGREDIENT
    eu: str = ""
    us: str = ""


class PrintedNames:
    """The names of one recipe's substances, as one policy prints them."""

    def __init__(self, expanded: Expanded, policy: Policy) -> None:
        self._policy = policy
        self._known = {
            s.inci: _find_known_name(s.material) for s in expanded.substances if not s.named
        }
        self._known[FRAGRANCE_INCI] = KnownName(Role.PARFUM)

    def role(self, inci: str) -> Role:
        return self._of(inci).role

    def lacks_us_name(self, inci: str) -> bool:
        """A colour printed by its number where an English name is asked for."""
        known = self._of(inci)
        english = self._policy.colour is not ColourForm.INDEX
        return known.role is Role.COLOUR and english and not known.us

    def printed(self, inci: str) -> str:
        """The name as the policy's regions print it."""
        known = self._of(inci)
        if known.role is Role.PARFUM:
            return self._policy.parfum.value
        if known.role is Role.COLOUR:
            return _format_colour_name(inci, known.us, self._policy.colour)
        scheduled = find_schedule_name(inci)
        if scheduled is not None:
            return _format_schedule_name(scheduled, self._policy.schedule)
        if self._policy.botanical is BotanicalForm.LATIN:
            return known.eu or strip_common_name(inci)
        return known.us or inci

    def _of(self, inci: str) -> KnownName:
        return self._known.get(inci, KnownName())


_COLOUR_INDEX = re.compile(r"CI \d{5}")


def _find_known_name(material: Material) -> KnownName:
    """Its role and other names.

    What merely colours, as a clay does, is no colour to the law: without a colour index number or a
    name among the colour additives it keeps its place by weight.
    """
    if material.kind is MaterialKind.COLOUR and (_COLOUR_INDEX.match(material.inci) or material.us):
        return KnownName(Role.COLOUR, material.eu, material.us)
    return KnownName(
        Role.BOTANICAL if material.plant else Role.INGREDIENT, material.eu, material.us
    )


def strip_common_name(inci: str) -> str:
    """``Olea Europaea (Olive) Fruit Oil`` as in the EU: ``Olea Europaea Fruit Oil``."""
    return " ".join(re.sub(r"\([^()]*\)", " ", inci).split()) if _is_binomial_name(inci) else inci


def _is_binomial_name(inci: str) -> bool:
    """A plant's name: two Latin words before the bracket."""
    return re.match(r"[A-Z][a-z]+ [A-Z][a-z]+( [A-Z][a-z]+)? \([^()]+\) ", inci + " ") is not None


def _format_schedule_name(name: ScheduleName, form: ScheduleForm) -> str:
    return {
        ScheduleForm.TECHNICAL: name.technical,
        ScheduleForm.ENGLISH: name.english,
        ScheduleForm.ENGLISH_FRENCH: f"{name.english}/{name.french}",
        ScheduleForm.TECHNICAL_ENGLISH_FRENCH: f"{name.technical}/{name.english}/{name.french}",
        ScheduleForm.ENGLISH_TECHNICAL: f"{name.english} ({name.technical})",
    }[form]


def _format_colour_name(inci: str, us: str, form: ColourForm) -> str:
    if form is ColourForm.INDEX or not us:
        return inci
    return us if form is ColourForm.ENGLISH else f"{us} ({inci})"
