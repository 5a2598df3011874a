"""The files that start an event, as they are or suited to the regions it is for."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from importlib.resources import files

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.paper import find_usual_paper
from labelkit.common.regions import country_with_article, find_country_name
from labelkit.order.blanks import BLANK
from labelkit.order.further_keys import add_further_keys
from labelkit.rules import check_regions, list_required_languages, list_set_phrases, load_rules
from labelkit.rules.kinds.marks import Durability
from labelkit.rules.tables import is_abroad

HOME = ("CA",)
"""What the starter is written for."""
NAMES = ("label.toml", "recipe.toml", "maker.toml")
TOWNS = {"CA": "Town NB  A0A 0A0", "CA-QC": "Town QC  A0A 0A0", "US": "Town VT 00000",
         "US-PR": "Town PR 00000"}  # fmt: skip
"""How the last line of an address looks where it needs no country."""
ROOMY_TRIM = '"56 x 40 mm"'
ROOMY_FACE = f'"{BLANK} width x height, such as 65 x 48 mm"'
"""Two laws on one label ask for more words than the trim of the starter holds."""
KEEPS = f'"{BLANK} how many months a piece keeps, by your safety report, such as 24"'
KEPT_TO = "03/2029"
"""The last month within two years of a pour in the spring before the example's event."""


@dataclass(frozen=True, slots=True)
class Workshop:
    """A maker's file that is there already."""

    name: str
    """Its path as label.toml is to say it."""
    country: str
    regions: tuple[str, ...]
    """Empty where it does not say them, as the country."""


def make_starter_files(
    regions: Iterable[str] = (), workshop: Workshop | None = None
) -> Mapping[str, str]:
    """The text of each starter file by name; without regions as it was written, for Canada.

    With a workshop its own file is named, and none is made. InputError for a region that is not
    known, or whose languages depend on the state.
    """
    starter = files("labelkit.order") / "starter"
    made = {name: (starter / name).read_text("utf-8") for name in NAMES}
    asked = check_regions(regions)
    if workshop is not None:
        del made["maker.toml"]
        made["label.toml"] = _adapt_label_to_workshop(workshop, made["label.toml"], asked)
    elif asked:
        made["maker.toml"] = _adapt_maker(made["maker.toml"], asked)
        made["label.toml"] = _adapt_label(made["label.toml"], asked, _country_of_region(asked[0]))
    return {name: add_further_keys(name, text) for name, text in made.items()}


def name_maker_above(made: Mapping[str, str]) -> dict[str, str]:
    """The same files for a maker's file that stands in the folder above the label's."""
    return {**made, "label.toml": set_key(made["label.toml"], "maker", '"../maker.toml"')}


def _adapt_label_to_workshop(workshop: Workshop, text: str, asked: tuple[str, ...]) -> str:
    """The label's text for a workshop that has its file already."""
    regions = asked or workshop.regions or HOME
    text = _adapt_label(text, regions, workshop.country or _country_of_region(regions[0]))
    if asked and asked != workshop.regions:
        instead = f"regions = {format_array(regions)}  # instead of those of maker.toml"
        text = uncomment_key(text, "regions", instead)
    return set_key(text, "maker", json.dumps(workshop.name, ensure_ascii=False))


def _list_languages(asked: Sequence[str]) -> tuple[str, ...]:
    """The languages that the regions' labels must be in, each once."""
    found: dict[str, None] = {}
    for code, ways in list_required_languages(asked).items():
        if not ways:
            told = Said("has no language of its own; expected one of its states, such as BE")
            raise InputError("--region", "", code, told)
        # The set of languages that adds least to what the other regions want.
        best = min(ways, key=lambda way: len({*way} - {*found}))
        found.update(dict.fromkeys(best))
    return tuple(found)


def _country_of_region(region: str) -> str:
    """Where soap for a region is likely made: the country the region is, or is part of."""
    return region if region.startswith("GB-") else region.split("-")[0]


def _adapt_maker(text: str, asked: Sequence[str]) -> str:
    first = asked[0]
    country = _country_of_region(first)
    town = TOWNS.get(first, f"0000 Town, {find_country_name(country)}")
    stock = f"{find_usual_paper(first)}-plain"
    text = set_key(text, "address", f'["{BLANK} 1 Street", "{BLANK} {town}"]')
    made_in = f"{BLANK} where the soap is made, an ISO 3166 code such as {country}"
    text = set_key(text, "country", f'"{made_in}"')
    text = set_key(text, "stock", f'"{stock}"')
    return set_key(text, "regions", format_array(asked))


def _adapt_label(text: str, asked: Sequence[str], country: str) -> str:
    languages = _list_languages(asked)
    soap = {tag: phrase.text for tag in languages if (phrase := list_set_phrases(tag).get("soap"))}
    text = set_key(text, "languages", format_array(languages))
    text = set_key(text, "identity", format_inline_table(soap))
    for key, what in (("names", "The names"), ("scent", "Scent")):
        text = set_key(text, key, format_inline_table(_make_blanks(what, languages)))
    if len(asked) > 1:
        text = set_key(set_key(text, "trim", ROOMY_TRIM), "package_face", ROOMY_FACE)
    back = []
    checks = [rule.check for rule in load_rules(asked)]
    if dated := [check.date_upto_months for check in checks if isinstance(check, Durability)]:
        text = uncomment_key(text, "durability_months", f"durability_months = {KEEPS}")
        past = f'# Only where it keeps over {max(dated)} months: a period after opening, "12M".'
        back += [f"durability = {_format_durability_date(languages)}", past]
        text = uncomment_key(text, "durability", "")
    if any(is_abroad(country, code) for code in asked):
        made = _make_blanks(f"Made in {country_with_article(country)}", languages)
        back.append(f"origin = {format_inline_table(made)}")
        text = uncomment_key(text, "origin", "")
    if back:
        text = text.replace("# [back]\n", "\n".join(["[back]", *back, ""]), 1)
    return text


def _format_durability_date(languages: Sequence[str]) -> str:
    """The date of durability: bare where its words are known in every language of the label."""
    known = {tag: list_set_phrases(tag).get("best-before") for tag in languages}
    if all(known.values()):
        return f'"{BLANK} the month to whose end it keeps, such as {KEPT_TO}"'
    asked = _make_blanks(f"Best used before the end of {KEPT_TO}", languages)
    words = {
        tag: f"{BLANK} {p.text[:1].upper()}{p.text[1:]} {KEPT_TO}" for tag, p in known.items() if p
    }
    return format_inline_table(asked | words)


def _make_blanks(what: str, languages: Sequence[str]) -> dict[str, str]:
    """What to write, in English, once for each language."""
    from babel import Locale

    named = Locale("en").languages
    return {
        tag: f"{BLANK} {what}" if tag == "en" else f"{BLANK} {what}, in {named[tag]}"
        for tag in languages
    }


def format_inline_table(words: Mapping[str, str]) -> str:
    """Words by language, as an inline table of TOML."""
    return "{ " + ", ".join(f"{tag} = {quote_text(text)}" for tag, text in words.items()) + " }"


def quote_text(text: str) -> str:
    """A text as TOML writes it, in quotes."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def format_array(items: Iterable[str]) -> str:
    return "[" + ", ".join(f'"{item}"' for item in items) + "]"


def uncomment_key(text: str, key: str, line: str) -> str:
    """The text with a line in place of the one that shows a key as a comment; none for an empty."""
    before, after = re.split(rf"^# {key} = .*\n", text, maxsplit=1, flags=re.MULTILINE)
    return f"{before}{line}\n{after}" if line else before + after


def set_key(text: str, key: str, value: str) -> str:
    """The text with another value for the first line that sets a key; its comment stays."""
    found = re.search(rf"^{key} = [^#\n]*?(?P<comment>\s+#.*)?$", text, re.MULTILINE)
    if found is None:
        raise ValueError(f"the starter sets no {key}")
    return f"{text[: found.start()]}{key} = {value}{found['comment'] or ''}{text[found.end() :]}"
