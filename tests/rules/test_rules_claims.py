"""What labels claim, held against the recipe and the law: three hundred phrases and their verdicts.

The phrases stand in claim_phrases.toml, each group with the law its verdict follows from.
"""

from __future__ import annotations

import re
import time
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from rule_labels import OAT_LIST, Draft, declared, facts

from labelkit.formula.declaration import Role
from labelkit.rules import Finding, claims, load_rules
from labelkit.rules.claims import NOT_READ, list_claim_kinds, load_claim_subjects, read_claims
from labelkit.rules.kinds.claims import ClaimVerdict, ForbiddenClaims
from labelkit.rules.word_match import fold_text

FILE = Path(__file__).with_name("claim_phrases.toml")
REGIONS = {"CA": "CA", "US": "US", "EU": "BE"}
CLAIM_ROWS = {r.id: r for r in load_rules(["CA", "US", "BE", "GB", "AU", "NZ"])
              if isinstance(r.check, ForbiddenClaims)}  # fmt: skip
VERDICTS = {
    "false": ClaimVerdict.FALSE,
    "evidence": ClaimVerdict.EVIDENCE,
    "drug": ClaimVerdict.DRUG,
    "elsewhere": ClaimVerdict.ELSEWHERE,
}
OLIVE = (("Sodium Olivate", "70"), ("Aqua", "15"), ("Glycerin", "9"))
LEFT = ("Olea Europaea Fruit Oil", "6", Role.BOTANICAL)
COCONUT = ("Sodium Cocoate", "20")
RECIPES: dict[str, tuple[tuple[Any, ...], ...]] = {
    "oat": OAT_LIST,
    "plain": (*OLIVE, LEFT),
    "lavender": (
        *OLIVE, COCONUT, LEFT, ("Lavandula Angustifolia Oil", "2", Role.BOTANICAL),
        ("Linalool", "0.4", Role.ALLERGEN),
    ),
    "milk": (
        *OLIVE, COCONUT, LEFT, ("Caprae Lac", "3"), ("Cera Alba", "1"),
        ("CI 77491", "0.1", Role.COLOUR),
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Phrase:
    text: str
    language: str
    element: str
    recipe: str
    verdicts: dict[str, str]
    source: str

    def found(self, region: str) -> list[Finding]:
        """What the claims' rows find in the phrase where it stands alone on a label."""
        known = facts(declaration=declared(RECIPES[self.recipe]))
        draft = Draft(known).put("back", self.element, self.text, self.language)
        return draft.found_by(CLAIM_ROWS, REGIONS[region])


def _phrases() -> Iterator[Phrase]:
    for group in tomllib.loads(FILE.read_text("utf-8"))["group"]:
        verdicts = {region: group.get(region, group["CA"]) for region in REGIONS}
        for language in ("en", "fr"):
            for text in group[language]:
                yield Phrase(
                    text, language, group["element"], group["recipe"], verdicts, group["source"]
                )


PHRASES = list(_phrases())


def verdict_of(finding: Finding) -> ClaimVerdict:
    check = CLAIM_ROWS[finding.rule].check
    assert isinstance(check, ForbiddenClaims)
    return check.verdict


@pytest.mark.parametrize("region", REGIONS)
@pytest.mark.parametrize("wanted", ["fine", *VERDICTS])
def test_every_phrase_comes_to_its_verdict(wanted: str, region: str) -> None:
    verdicts = {VERDICTS[wanted]} if wanted != "fine" else set()
    wrong = {}
    for phrase in PHRASES:
        if phrase.verdicts[region] == wanted:
            found = phrase.found(region)
            if {verdict_of(one) for one in found} != verdicts:
                wrong[phrase.text, phrase.source] = [str(one.message) for one in found]
    assert not wrong


def test_there_are_three_hundred_phrases_half_of_them_harmless() -> None:
    harmless = [p for p in PHRASES if p.verdicts["CA"] == "fine"]
    assert len(PHRASES) >= 300
    assert len(harmless) >= 150
    assert len(PHRASES) - len(harmless) >= 150
    for language in ("en", "fr"):
        assert len([p for p in PHRASES if p.language == language]) >= 100
    assert all(p.source.strip() for p in PHRASES)


def kinds_judged(region: str) -> set[str]:
    checks = (rule.check for rule in load_rules([region]))
    return {kind for check in checks if isinstance(check, ForbiddenClaims) for kind in check.claims}


@pytest.mark.parametrize("region", ["CA", "CA-QC", "US", "BE", "GB", "GB-NIR", "AU", "NZ"])
def test_a_region_judges_every_kind_of_claim_and_none_that_is_not_known(region: str) -> None:
    assert kinds_judged(region) == list_claim_kinds()


def test_what_only_the_law_words_is_not_read() -> None:
    for element in NOT_READ:
        assert read_claims("Kills germs; fragrance free", element) == ()


def test_the_words_of_a_claim_are_told_as_they_stand() -> None:
    """Whatever apostrophes, accents and capitals a compositor sets."""
    (claim,) = read_claims("Doux. SANS  PARFUM, à l’avoine"[:18])
    assert claim.words == "SANS  PARFUM"
    (claim,) = read_claims("72\u00a0% d’huile d’olive, dit-on")
    assert (claim.words, claim.percent) == ("72\u00a0% d’huile d’olive", "72")
    assert claim.thing is load_claim_subjects()["olive"]


def test_a_capital_makes_a_name_where_words_could_be_one() -> None:
    found = [[c.words for c in read_claims(text)] for text in (
        "A day with Olive", "Soap with olive", "SOAP WITH OLIVE", "A day with Olive oil",
    )]  # fmt: skip
    assert found == [[], ["olive"], ["OLIVE"], ["Olive oil"]]


def test_things_are_found_by_words_that_inci_names_hold_whole() -> None:
    """Lac is milk (EU glossary); lactates are salts of lactic acid."""
    from labelkit.rules.claim_truth import find_lines_with

    salts = declared((("Sodium Lactate", "2"), ("Sodium Olivate", "98"))).lines
    assert find_lines_with(load_claim_subjects()["milk"], salts) == ()
    assert find_lines_with(load_claim_subjects()["milk"], declared((("Caprae Lac", "2"),)).lines)


def test_no_pattern_has_a_word_that_is_a_thing() -> None:
    """A thing is one mark once it is found, so that no pattern would meet its letters again."""
    lexicon = claims._load_lexicon()
    patterns = [p for _, own in lexicon.kinds for p in own] + list(lexicon.outside)
    words = [p.text for p in patterns] + [w for own in lexicon.lists.values() for w in own]
    for text in words:
        bare = re.sub(r"\{[^{}]*\}|\(\?[^)]*\)|\*", " ", text)
        for part in re.split(r"[()|\[\]]|\.\.", bare):
            assert not claims._match_patterns(lexicon.naming, fold_text(part)), text


def test_the_kinds_are_of_six_families() -> None:
    families = {kind.family for kind, _ in claims._load_lexicon().kinds}
    assert families == {"absence", "share", "presence", "effect", "ethics", "endorsement"}


def test_a_private_character_of_the_label_is_no_mark() -> None:
    """Icon fonts use the same private characters (The Unicode Standard, 23.5)."""
    assert read_claims("100 % \ue100 \ue118 free, with \ue118") == ()


@pytest.mark.parametrize("text", ["no " + "," * 1990, "honey " + "a-" * 990, "honey, " * 280])
def test_odd_texts_are_read_in_no_time(text: str) -> None:
    started = time.process_time()
    read_claims(text)
    assert time.process_time() - started < 5


def test_a_text_that_a_pattern_matches_has_one_of_its_stems() -> None:
    """Patterns are only tried where a stem is met: none may be passed over for it."""
    lexicon = claims._load_lexicon()
    own = (*lexicon.outside, *(p for _, patterns in lexicon.kinds for p in patterns))
    first = (*lexicon.naming, *lexicon.without, *lexicon.harmless)
    met = 0
    for phrase in PHRASES:
        marked = claims._Marked.of(phrase.text)
        plain = marked.text
        marked.mark(lexicon.naming, lexicon.order)
        for patterns, text in ((first, plain), (own, marked.text)):
            for pattern in patterns:
                if claims._compile_pattern(pattern.text).search(text):
                    met += 1
                    assert any(stem in text for stem in pattern.stems), (pattern.text, text)
    assert met > len(PHRASES) / 2
