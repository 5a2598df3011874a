"""labelkit's own checks of how a maker can be reached: slips that no reader of a label can mend.

A law asks that there be an address and a way to reach somebody; that a digit of it is lost, no law
sees.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from labelkit.checks.craft import make_own_finding
from labelkit.common.messages import FactList, Quoted, Said
from labelkit.order.label import LabelSpec
from labelkit.order.maker import Maker
from labelkit.rules.findings import Finding

_POSTAL_CODE = re.compile(r"[ABCEGHJ-NPRSTVXY]\d[ABCEGHJ-NPRSTV-Z] ?\d[ABCEGHJ-NPRSTV-Z]\d")
"""Canada Post, addressing guidelines (from memory): D, F, I, O, Q and U are never used, nor W and Z
as the first letter."""
_AFTER_PROVINCE = re.compile(
    r"\b(?:AB|BC|MB|NB|NL|NS|NT|NU|ON|PE|QC|SK|YT)\)?,?\s+([A-Z0-9]{3}[ -]?[A-Z0-9]{3})\b"
)
_NUMBERING_PLAN = frozenset({"CA", "US"})
"""Countries whose telephone numbers have ten digits, and 1 before them at most (North American
Numbering Plan, from memory)."""
_DIGITS = 10
_LONG_DISTANCE = "1"
_FEWEST_DIGITS = 6
"""What has fewer digits is no telephone number (labelkit's own judgement)."""
_TELEPHONE = re.compile(r"\+?[\d\s().\u00a0/-]+")
_E_MAIL = re.compile(r"[^@\s,;:]+@[^@\s,;:]+\.[^\W\d_]{2,}")
_REACHES = re.compile(r"[@.\d/]")
"""What any way to reach somebody has, a handle or a street as well (labelkit's own judgement)."""
_LOST_AT = re.compile(r"[\w.+-]+[ ,;][\w-]+(?:\.[\w-]+)*\.[^\W\d_]{2,}")
"""A name and a domain with a blank or a comma between them."""
_ORIGIN = "origin"
_IN = r"(?:\b(?:in|from|en|au|aux|de|du)|,)\s+(?:the\s+|la\s+|les?\s+)?"
"""Before the country in words of origin, so that New Mexico is not Mexico (labelkit's own
judgement)."""


def check_maker(maker: Maker) -> Iterator[Finding]:
    """Names and contacts that reach nobody, and addresses that are not of their country."""
    yield from _check_name(maker)
    yield from _check_contacts(maker)
    yield from _check_reach(maker)
    yield from _check_postal_code(maker)


def _check_name(maker: Maker) -> Iterator[Finding]:
    if _E_MAIL.search(maker.name):
        yield make_own_finding(
            "CRAFT-DEALER-NAME",
            Said("{name} stands where the name of your business belongs", name=Quoted(maker.name)),
            element="dealer",
            remedy=Said(
                "Give maker.name as it is registered, and the address under maker.contact."
            ),
        )


def _check_reach(maker: Maker) -> Iterator[Finding]:
    """Contacts of which none looks like a telephone number, a mail or web address or a street."""
    if maker.contact and not any(_REACHES.search(contact) for contact in maker.contact):
        yield make_own_finding(
            "CRAFT-CONTACT",
            Said(
                "nobody is reached by {contacts}",
                contacts=FactList(map(Quoted, maker.contact), "or"),
            ),
            element="contact",
            remedy=Said("Give an e-mail address, a telephone number or a web page."),
        )


def _check_contacts(maker: Maker) -> Iterator[Finding]:
    for contact in maker.contact:
        digits = re.sub(r"\D", "", contact)
        if _TELEPHONE.fullmatch(contact) and len(digits) >= _FEWEST_DIGITS:
            if maker.country in _NUMBERING_PLAN and not _is_whole_contact(contact, digits):
                yield make_own_finding(
                    "CRAFT-TELEPHONE",
                    Said(
                        "The telephone number {number} has {count} digits, and one of this country"
                        " has 10",
                        number=Quoted(contact),
                        count=str(len(digits)),
                    ),
                    element="contact",
                    remedy=Said("Compare maker.contact with your number, the area code included."),
                )
        elif ("@" in contact and not _E_MAIL.search(contact)) or _LOST_AT.fullmatch(contact):
            yield make_own_finding(
                "CRAFT-E-MAIL",
                Said("{address} is no e-mail address as it stands", address=Quoted(contact)),
                element="contact",
                remedy=Said("Compare maker.contact with your address, its @, dots and commas."),
            )


def _is_whole_contact(contact: str, digits: str) -> bool:
    if contact.startswith("+") and not contact.startswith("+1"):
        return True  # of another country
    return len(digits.removeprefix(_LONG_DISTANCE)) == _DIGITS


def _check_postal_code(maker: Maker) -> Iterator[Finding]:
    """A Canadian code that cannot be one, or one in the address of another country."""
    address = " ".join(maker.address).upper().replace("\u00a0", " ")
    found = _AFTER_PROVINCE.search(address)
    if found is None:
        return
    code = found[1]
    if not _POSTAL_CODE.fullmatch(code.replace("-", " ")):
        yield make_own_finding(
            "CRAFT-POSTAL-CODE",
            Said("{code} is no Canadian postal code", code=Quoted(code)),
            element="dealer",
            remedy=Said(
                "Write letter, digit, letter, then digit, letter, digit; it never has the letters"
                " O and I, but the digits 0 and 1."
            ),
        )
    elif maker.country and maker.country != "CA":
        yield make_own_finding(
            "CRAFT-COUNTRY",
            Said(
                "Maker.country is {country}, and the address has the Canadian postal code {code}",
                country=Quoted(maker.country),
                code=Quoted(code),
            ),
            element="dealer",
            remedy=Said("Say in maker.country where the soap is made, and correct what is wrong."),
        )


def check_origin(spec: LabelSpec) -> Iterator[Finding]:
    """Words of origin that name a country where maker.toml says another."""
    made_in = spec.maker.country[:2]
    for side, words in (("front", spec.front.words), ("back", spec.back.words)):
        for language, text in words.get(_ORIGIN, {}).items():
            named = _find_named_country(text, language or spec.languages[0]) if made_in else ""
            if named and named != made_in:
                yield make_own_finding(
                    "CRAFT-ORIGIN",
                    Said(
                        "{words} names another country than maker.country, which is {country}",
                        words=Quoted(text),
                        country=Quoted(spec.maker.country),
                    ),
                    panel=side,
                    element=_ORIGIN,
                    remedy=Said(
                        "Correct the words, or say in maker.country where the soap is made."
                    ),
                )


def _find_named_country(text: str, language: str) -> str:
    """The code of the last country that a text says something is from; "" for none."""
    from babel import Locale, UnknownLocaleError

    try:
        countries = Locale.parse(language, sep="-").territories
    except (UnknownLocaleError, ValueError):
        return ""
    said = unicodedata.normalize("NFC", text).casefold()
    found = [
        (match.end(), code)
        for code, name in countries.items()
        if len(code) == 2 and name.casefold() in said
        if (match := re.search(_IN + re.escape(name.casefold()) + r"\b", said))
    ]
    return max(found, default=(0, ""))[1]
