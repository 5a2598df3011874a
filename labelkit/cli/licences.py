"""``labelkit licences``: the licences of the packages and fonts that labelkit uses."""

from __future__ import annotations

from textwrap import shorten
from typing import TYPE_CHECKING

import click

from labelkit.cli.voice import speak
from labelkit.common.json_text import format_json
from labelkit.common.messages import Said, count_things

if TYPE_CHECKING:
    from labelkit.report.licences import FontLicence, PackageLicence

_LICENCE_WIDTH = 76
_END_OF_SENTENCE = ". "


@click.command("licences", epilog="Example: labelkit licences --format json")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
    help="How to print the list; json has every licence in full.",
)  # fmt: skip
def command(form: str) -> None:
    """List the licences of the packages labelkit stands on and of the fonts it embeds.

    All is read from what is installed here. A font whose maker forbids embedding is refused.
    """
    from labelkit.report.licences import list_font_licences, list_package_licences

    packages, fonts = list_package_licences(), list_font_licences()
    click.echo(_format_json(packages, fonts) if form == "json" else _format_text(packages, fonts))


def _format_text(packages: tuple[PackageLicence, ...], fonts: tuple[FontLicence, ...]) -> str:
    rows = [
        *((p.name, p.version, _take_first_sentence(p.licence)) for p in packages),
        *((f.family, _format_file_count(f.files), _take_first_sentence(f.licence)) for f in fonts),
    ]
    names, seconds = (max(len(row[column]) for row in rows) for column in (0, 1))
    lines = [
        f"{name:{names}}  {second:{seconds}}  {shorten(licence, _LICENCE_WIDTH, placeholder=' …')}"
        for name, second, licence in rows
    ]
    split = len(packages)
    titles = speak(Said("Packages")), speak(Said("Fonts"))
    return "\n".join([titles[0], *lines[:split], "", titles[1], *lines[split:]])


def _take_first_sentence(licence: str) -> str:
    return licence.partition(_END_OF_SENTENCE)[0] or speak(Said("none stated"))


def _format_file_count(count: int) -> str:
    return speak(count_things(count, "{n} file", "{n} files"))


def _format_json(packages: tuple[PackageLicence, ...], fonts: tuple[FontLicence, ...]) -> str:
    return format_json({"packages": packages, "fonts": fonts})
