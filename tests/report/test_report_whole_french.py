"""Proofs and plans asked for in French have no English sentence in them."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from page_text import read_lines

from labelkit.job.prepare import prepare_job
from labelkit.job.proof import MAKER, draw_proof
from labelkit.plan.order_plan import make_plan
from labelkit.report.plan_calendar import format_plan_ics
from labelkit.report.plan_json import format_plan_json
from labelkit.report.plan_pdf import draw_plan_pdf
from labelkit.report.plan_text import format_plan_html, format_plan_text

SAMPLES = Path(__file__).resolve().parent.parent.parent / "samples"
ENGLISH = re.compile(
    r"\b(the|is|are|not|must|with|only|which|pieces?|list|missing|needs|without|least|print|by|"
    r"of|for|from|sheet|plain|clear|labels|required|measured|unverified|read|memory|weight)\b"
)
"""Words that no French line has. The samples' own words are taken out first."""
OWN = ("The Lighthouse Supper", "Victoria Day", "Hay & honey", "Oat, honey", "Apple blossom")
ON = dt.date(2027, 4, 1)
LABELS = ("lighthouse-supper", "mill-kermis")


def english_in(text: str, *own: str) -> list[str]:
    """Lines with an English word, what the makers wrote and codes in files left out."""
    for words in (*OWN, *own):
        text = text.replace(words, "")
    text = re.sub(r"(?s:<style>.*</style>)", "", text)
    text = re.sub(r"«[^»]*»|\S*[_.]\S*|<[^>]*>", "", text)
    return [line.strip() for line in text.splitlines() if ENGLISH.search(line)]


def read_texts(pdf: bytes) -> list[str]:
    """The text of each page, line by line."""
    return ["\n".join(lines) for lines in read_lines(pdf)]


@pytest.fixture(params=LABELS)
def label(request: pytest.FixtureRequest) -> Path:
    return SAMPLES / request.param / "label.toml"


def findings_in(pages: list[str]) -> str:
    """What a proof says of its preflight, from the title to the caution."""
    text = "\n".join(pages)
    start = text.index("Contrôle avant impression")
    return text[start : text.index("font foi", start)]


@pytest.mark.quick(1)
def test_a_proof_is_french_throughout(label: Path) -> None:
    pages = read_texts(draw_proof(prepare_job(label), "fr").parts[MAKER])
    assert english_in(findings_in(pages)) == []
    assert english_in("\n".join(pages[1:])) == []


def test_a_proof_of_a_label_with_many_faults_is_french(event: Callable[..., Path]) -> None:
    label = event(
        ('identity = { en = "Soap", fr = "Savon" }', 'identity = { en = "Oat", fr = "Oat" }'),
        ('languages = ["en", "fr"]', 'languages = ["en", "fr"]\nregions = ["CA-QC", "BE"]'),
        ('layout = "lantern"', 'layout = "lantern"\nstock = "a4-plain-clear"\ncolour = "#d0c0a0"'),
    )
    proof = draw_proof(prepare_job(label), "fr")
    assert proof.report.verdict == "fail"
    text = findings_in(read_texts(proof.parts[MAKER]))
    assert "Pour corriger" in text
    assert english_in(text) == []
    assert "(en anglais)" not in text


@pytest.mark.quick(1)
def test_a_plan_is_french_throughout(label: Path) -> None:
    plan = make_plan(prepare_job(label), ON)
    text = format_plan_text(plan, "fr")
    assert english_in(text) == []
    assert english_in(format_plan_html(plan, "fr")) == []
    assert english_in(format_plan_ics(plan, "fr"), "BEGIN", "END") == []
    pages = [page for page in ("workshop", "batch", "cost", "quote") if plan.can_be_quoted
             or page != "quote"]  # fmt: skip
    printed = "\n".join(read_texts(draw_plan_pdf(plan, "fr", pages)))
    assert english_in(printed, "Oat, honey and sea buckthorn", "Linden soap") == []
    assert "étiquettes du devant" in printed


def test_a_plan_that_must_not_be_poured_is_french_throughout(event: Callable[..., Path]) -> None:
    event(('lye_discount = "6 %"', 'lye_discount = "0 %"'), file="recipe.toml")
    plan = make_plan(prepare_job(event()), ON)
    assert english_in(format_plan_text(plan, "fr")) == []
    assert english_in(format_plan_html(plan, "fr")) == []
    printed = "\n".join(read_texts(draw_plan_pdf(plan, "fr", ("batch",))))
    assert english_in(printed, "Oat, honey and sea buckthorn") == []


def test_the_plans_object_has_french_sentences_and_the_same_codes(label: Path) -> None:
    plan = make_plan(prepare_job(label), ON)
    english, french = (json.loads(format_plan_json(plan, code)) for code in ("en", "fr"))
    assert english["notice"] != french["notice"]
    for one, other in zip(english["duties"], french["duties"], strict=True):
        assert one["rule"] == other["rule"] and one["due"] == other["due"]
        assert one["what"] != other["what"]
        assert english_in(other["what"]) == []
    mistakes = [value["weighing_check"]["mistakes"] for value in (english, french)]
    for one, other in zip(*mistakes, strict=True):
        assert one.pop("what") != other["what"]
        assert english_in(other.pop("what")) == []
    for value in (english, french):
        value.pop("notice")
        for duty in value["duties"]:
            duty.pop("what")
            duty.pop("citation")
    assert english == french
