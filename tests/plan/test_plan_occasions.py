"""A memorial, of which nothing speaks of guests; and display pieces, which are for no customer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from command import labelkit
from page_text import read_text

from labelkit.job.prepare import prepare_job
from labelkit.job.proof import choose_captions
from labelkit.report.recall_letter import make_recall_letter

Event = Callable[..., Path]
ON = "2027-01-10"
KIND = 'date = 2027-06-19\nkind = "{}"'
JOYFUL = ("guest", "favour", "gift", "thank", "invité", "cadeau", "merci", "remerci", "célébr")


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.quick(1)
def test_a_memorial_has_no_guests_favours_or_thanks(
    event: Event, tmp_path: Path, language: str
) -> None:
    label = event(
        ("date = 2027-06-19", KIND.format("memorial")),
        ("The Lighthouse Supper", "Mina Bell"),
        ("Le Souper du phare", "Mina Bell"),
    )
    plan = tmp_path / "plan.pdf"
    done = labelkit("plan", label, "--on", ON, "--out", plan, "--language", language)
    assert done.returncode == 0, done.stderr
    proof = tmp_path / "proof.pdf"
    labelkit("proof", label, "--out", proof, "--language", language)
    for text in (read_text(plan), read_text(proof), done.stderr):
        assert [word for word in JOYFUL if word in text.casefold()] == []
    people = {"en": "60 people", "fr": "60 personnes"}[language]
    assert people in read_text(plan).replace("\u00a0", " ")
    assert people in read_text(proof).replace("\u00a0", " ")


def test_the_recall_letter_of_a_memorial_says_none_either(event: Event) -> None:
    label = event(("date = 2027-06-19", KIND.format("memorial")))
    job = prepare_job(label)
    from labelkit.plan.order_plan import make_plan

    record = make_plan(job, job.spec.event.date).record()
    for languages in (("en", "fr"), ("fr", "en")):
        from dataclasses import replace

        letter = make_recall_letter(replace(job.spec, languages=languages), record, record.date)
        text = " ".join(letter.paragraphs).casefold()
        assert [word for word in JOYFUL if word in text] == []


def test_a_celebration_is_as_it_was(event: Event) -> None:
    captions = choose_captions(prepare_job(event()), "en")
    assert captions.count("guests", 60) == "60 guests"


def test_display_pieces_are_counted_labelled_and_for_no_customer(
    event: Event, tmp_path: Path
) -> None:
    label = event(("date = 2027-06-19", KIND.format("display")))
    assert labelkit("preflight", label).returncode == 0  # labelled as lawfully as any
    plan = tmp_path / "plan.pdf"
    done = labelkit("plan", label, "--on", ON, "--out", plan)
    assert done.returncode == 0, done.stderr
    text = read_text(plan)
    assert "66 labelled pieces (60 pieces to show + 6 spares)" in text
    assert "Display pieces: nobody is asked a price." in text
    assert "Quote" not in text
    refused = labelkit("plan", label, "--on", ON, "--page", "quote", "--out", plan)
    assert refused.returncode == 2
    assert "display pieces are for no customer" in refused.stderr


def test_no_fixed_day_no_warning_of_an_untried_pair(event: Event) -> None:
    label = event()
    labelkit("plan", label, "--on", "2027-04-27", "--record", "--poured", "2027-04-27")
    event(
        ('lot = "LS-2704"', 'lot = "LS-2705"'),
        ("date = 2027-06-19", KIND.format("display")),
        ("deliver_on = 2027-06-11", "deliver_on = 2027-06-18"),
    )
    event(('name = "Hay & honey"', 'name = "Meadow rain"'), file="recipe.toml")
    assert "Not recorded as poured" not in labelkit("plan", label, "--on", "2027-04-28").stdout


@pytest.mark.parametrize(
    "line",
    ['ordered_by = "Mina Bell"', 'telephone = "506 555 0119"', 'guest_list = "guests.csv"'],
)
def test_a_customer_is_refused(event: Event, line: str) -> None:
    label = event(("date = 2027-06-19", f"{KIND.format('display')}\n{line}"))
    (label.parent / "guests.csv").write_text("Ana\nBo\n", "utf-8")
    done = labelkit("plan", label, "--on", ON)
    assert done.returncode == 2
    assert "display pieces are for no customer" in done.stderr


def test_a_customers_address_is_refused(event: Event) -> None:
    label = event(("date = 2027-06-19", KIND.format("display")))
    text = label.read_text("utf-8") + '\n[plan.customer]\nname = "Odile Brun"\n'
    label.write_text(text, "utf-8")
    done = labelkit("plan", label, "--on", ON)
    assert done.returncode == 2
    assert "expected no [plan.customer]" in done.stderr
