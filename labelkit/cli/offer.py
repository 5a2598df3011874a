"""``labelkit offer``: the page of what a maker offers, checked before it is sent."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.targets import make_file_type
from labelkit.cli.voice import say, say_all
from labelkit.common.errors import ExitCode
from labelkit.common.messages import Said, Verbatim

COMMAND = "offer"
PNG_DPI = 200
_TAGGED = 3
"""Letters of a language tag such as "fr" or "fil"; longer names hold an equals sign as it is."""


@click.command(
    COMMAND,
    epilog="Example: labelkit offer samples/lighthouse-supper/offer.toml --out offer.pdf"
    ' --names "Ada & Bo" --names "fr=Ada et Bo"',
)
@click.argument("offer", type=click.Path(path_type=Path), metavar="OFFER.toml")
@click.option(
    "--out", "target", type=make_file_type(".pdf", ".png", ".html", ".htm"), metavar="FILE",
    help="Write the page: a PDF or HTML has every language, a PNG one file for each.",
)  # fmt: skip
@click.option(
    "--names", multiple=True, metavar="TEXT",
    help='The customer\'s names, shown in the designs; again as "fr=..." for one language.',
)  # fmt: skip
@click.option(
    "--language", metavar="CODE", help="One language of the page (en, fr) instead of the offer's."
)
@click.option(
    "--on", type=parse_day_option, metavar=AS_WRITTEN, help="As of this day; today unless given."
)
def command(
    offer: Path,
    target: Path | None,
    names: tuple[str, ...],
    language: str | None,
    on: dt.date | None,
) -> int:
    """Make the page of what you offer: soaps, designs, sizes, wraps, and prices by number.

    What each choice truly costs is printed for you, and never stands on the page. Before anything
    is written you are told of a price below the true cost, a design that is not legal on a size,
    and a lead time that leaves no room for the cure.

    Exit code 1: a design is not legal on a size, a recipe must not be poured, or the lead time
    cannot be kept; no page is written then. `labelkit new DIR --from OFFER.toml` starts an order.
    """
    from labelkit.job.offer import describe_costs, describe_trial, try_offer
    from labelkit.order.offer import read_offer
    from labelkit.report.offer_page import choose_offer_languages, word_offer

    read = read_offer(offer)
    said = parse_names(names, "--names")
    trial = try_offer(read, on or dt.date.today(), said)
    pages = [
        word_offer(read, trial.first, trial.designs, tag, invented=said is None)
        for tag in choose_offer_languages(read, language)
    ]
    say_all(describe_costs(trial))
    say_all(describe_trial(trial), err=True)
    if not trial.can_be_sent:
        if target is not None:
            say(Said("no page is written of what cannot be kept"), err=True)
        return ExitCode.FINDINGS
    if target is None:
        return ExitCode.OK
    from labelkit.common.journal import Work, write_outputs
    from labelkit.report.offer_page import draw_offer_pdf, format_offer_html

    files: dict[Path, bytes] = {}
    if target.suffix.lower() in (".html", ".htm"):
        files[target] = format_offer_html(pages).encode()
    elif target.suffix.lower() == ".png":
        from labelkit.job.proof import render_png_pages

        for page in pages:
            drawn = draw_offer_pdf([page], trial.first.job.regions)
            stem = f"{target.stem}-{page.phrases.language}"
            files |= render_png_pages(drawn, target.parent, stem, PNG_DPI)
    else:
        files[target] = draw_offer_pdf(pages, trial.first.job.regions)
    replaced = write_outputs(files, Work(COMMAND, read.maker.parent))
    for path in files:
        click.echo(path)
    say_all(replaced, err=True)
    return ExitCode.OK


def parse_names(given: Iterable[str], option: str) -> dict[str, str] | None:
    """Words by language out of "Ada & Bo" and "fr=Ada et Bo"; None where none are given."""
    words: dict[str, str] = {}
    for text in given:
        tag, equals, rest = text.partition("=")
        tagged = bool(equals) and tag.isalpha() and tag.islower() and len(tag) <= _TAGGED
        language, said = (tag, rest) if tagged else ("", text)
        if not said.strip() or any(not letter.isprintable() for letter in said):
            told = Said("{option}: expected a name on one line", option=option)
            raise click.UsageError(told)
        if language in words:
            told = Said("{option}: {text} is a second one", option=option, text=Verbatim(text))
            raise click.UsageError(told)
        words[language] = said.strip()
    return words or None
