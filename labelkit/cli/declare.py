"""``labelkit declare``: the ingredient list of a recipe, and the table behind it."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from pathlib import Path
from textwrap import fill
from typing import Any

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.voice import get_language, speak
from labelkit.common.errors import ExitCode
from labelkit.common.json_text import format_json, pick_fields
from labelkit.common.messages import NOTHING, Day, Fact, FactList, Number, Said, Term
from labelkit.common.quantity import is_avoirdupois
from labelkit.common.regions import check_regions
from labelkit.common.scales import Scale, ScaleUnit, find_other_scale, format_on_scale
from labelkit.formula import (
    LYE_CAUTIONS,
    Batch,
    Policy,
    compute_batch,
    declare_ingredients,
)
from labelkit.formula.batch import LyeWeighed, ValueUsed
from labelkit.formula.declaration import (
    Basis,
    Declaration,
    DeclaredLine,
    Style,
    TableRow,
    Uncertainty,
)
from labelkit.formula.stocking import stock_recipe
from labelkit.formula.weighing_mistakes import WeighingCheck, check_weighing, lye_to_weigh_g
from labelkit.order.maker import read_country_and_regions
from labelkit.order.mistakes import tell_mistakes_together
from labelkit.order.recipe import Lye, Recipe, read_recipe
from labelkit.order.shelf import path_of_shelf, read_shelf
from labelkit.report.weighing_json import weighing_to_values
from labelkit.rules.policies import make_policy

_PLACES = 4
_MILLI = Decimal("0.001")
_WIDTH = 100
NO_BREAK = "\u00a0"


@click.command("declare")
@click.argument("recipe", type=click.Path(path_type=Path), metavar="RECIPE.toml")
@click.option(
    "--region", "regions", multiple=True, metavar="CODE",
    help="Region code; those of maker.toml beside the recipe, or CA, unless given. Repeat it.",
)  # fmt: skip
@click.option("--style", type=click.Choice(["formed", "added"]), help="Which substances are named.")
@click.option("--basis", type=click.Choice(["cured", "poured"]), help="Percent of which mass.")
@click.option(
    "--on", type=parse_day_option, metavar=AS_WRITTEN, help="Day of sale; today unless given."
)
@click.option(
    "--format", "form", type=click.Choice(["text", "json", "csv"]), default="text",
    help="How to print the list.",
)  # fmt: skip
@click.pass_context
def command(
    context: click.Context,
    recipe: Path,
    regions: tuple[str, ...],
    style: str | None,
    basis: str | None,
    on: dt.date | None,
    form: str,
) -> None:
    """Print the ingredient list of a recipe and the table behind it.

    The list is worked out by the chemistry of the batch: what the oils became, what water is left,
    what is free. Every region has its own style and basis; --style and --basis choose others.

    JSON holds `declaration` (the names in order) and `table`; its figures are numbers, grams and
    percents rounded to four decimals. With the batch come the common mistakes at the scale, and
    which of them would leave lye over. Exit code 1: there is, or could be, alkali left over, or
    another reason why the batch must not be sold; then no mass is printed to pour by.

    Example: labelkit declare recipe.toml --region CA --region US
    """
    sold_on = on or dt.date.today()
    with tell_mistakes_together():
        read = read_recipe(recipe)
        maker = _find_maker(recipe)
        shelf = read_shelf(path_of_shelf(maker)) if maker is not None else None
    read = stock_recipe(read, shelf)
    chosen, said_by = _choose_regions(regions, recipe)
    policy = make_policy(chosen, sold_on)
    policy = policy.made(Style(style) if style else None, Basis(basis) if basis else None)
    made = declare_ingredients(read, policy)
    if form == "text":
        heading = Said(
            "{recipe}, for {regions}{said_by} on {day}",
            recipe=read.name,
            regions=FactList(chosen),
            said_by=said_by,
            day=Day(sold_on),
        )
        lines = _describe_declaration(read, policy, heading, made)
        click.echo("\n".join(lines))
    else:
        click.echo(
            {"json": _format_json, "csv": _format_csv}[form](read, policy, sold_on, made), nl=False
        )
    context.exit(ExitCode.FINDINGS if _has_failing_doubt(made) else ExitCode.OK)


def _choose_regions(given: tuple[str, ...], recipe: Path) -> tuple[tuple[str, ...], Said]:
    """The regions a list is made for, and who said so."""
    if given:
        return check_regions(given), NOTHING
    maker = _find_maker(recipe)
    if maker is not None:
        _, regions = read_country_and_regions(maker)
        if regions:
            return regions, Said(", as maker.toml says,")
    return ("CA",), Said(", no region being given,")


def _find_maker(recipe: Path) -> Path | None:
    """The workshop's file, beside the recipe or in the folder above."""
    places = (recipe.with_name("maker.toml"), recipe.parent / ".." / "maker.toml")
    return next((path for path in places if path.is_file()), None)


def _has_failing_doubt(made: Declaration) -> bool:
    return any(doubt.level == "fail" for doubt in made.doubts)


# -- JSON and CSV ----------------------------------------------------------------------------------


def _format_json(recipe: Recipe, policy: Policy, day: dt.date, made: Declaration) -> str:
    return format_json(_build_document(recipe, policy, day, made), _PLACES) + "\n"


def _build_document(
    recipe: Recipe, policy: Policy, day: dt.date, made: Declaration
) -> dict[str, Any]:
    return {
        "recipe": recipe.name,
        "regions": policy.regions,
        "on": day,
        "style": made.style,
        "why": policy.why,
        **pick_fields(made, "basis total_g unfit"),
        "declaration": made.names,
        "table": [_build_row(row, made) for row in made.table],
        "lines": [
            {
                **pick_fields(line, "name inci role"),
                "grams": line.mass_g,
                **pick_fields(line, "percent low_percent high_percent sources became reason"),
            }
            for line in made.lines
        ],
        "allergens": [
            {
                "name": share.inci,
                "percent_of_cured": share.percent,
                "sources": share.sources,
            }
            for share in made.allergens
        ],
        "batch": _build_batch(recipe, compute_batch(recipe), made),
        "doubts": [
            pick_fields(doubt, "kind level message measured required remedy")
            for doubt in made.doubts
        ],
        "weighing_check": weighing_to_values(_build_weighing_check(recipe, made)),
        "cautions": LYE_CAUTIONS,
    }


def _mass_to_pour(mass_g: Decimal, made: Declaration) -> Decimal | None:
    """A mass that one would weigh by; None where the recipe must not be poured."""
    return None if made.unfit else mass_g


def _build_row(row: TableRow, made: Declaration) -> dict[str, Any]:
    return {
        "material": row.material,
        "grams_in": _mass_to_pour(row.grams_in, made),
        **pick_fields(row, "became name"),
        "grams_in_bar": row.grams,
        **pick_fields(row, "percent reason"),
    }


def _build_batch(recipe: Recipe, batch: Batch, made: Declaration) -> dict[str, Any]:
    superfat = made.superfat
    return {
        "lye": [
            {
                "alkali": lye.alkali,
                "to_weigh_g": _mass_to_pour(lye_to_weigh_g(recipe, lye), made),
                "weighed_g": _mass_to_pour(lye.weighed_g, made),
                "pure_g": _mass_to_pour(lye.pure_g, made),
            }
            for lye in batch.lyes
        ],
        "water_g": _mass_to_pour(batch.water_g, made),
        **pick_fields(batch, "oils_g poured_g cured_g"),
        "cure_loss_percent": batch.loss.percent,
        "superfat_percent": batch.superfat_percent,
        "superfat_low_percent": superfat.low_percent if superfat else None,
        "superfat_high_percent": superfat.high_percent if superfat else None,
        "saponification_values": [
            {
                "material": used.material,
                "mg_koh_per_g": used.value,
                **pick_fields(used, "low high source published"),
            }
            for used in batch.values
        ],
        "lye_concentration_percent": batch.lye_concentration_percent,
        "water_to_lye": batch.water_to_lye,
        "water_share_of_oils_percent": batch.water_share_of_oils_percent,
    }


def _build_weighing_check(recipe: Recipe, made: Declaration) -> WeighingCheck:
    assert made.superfat is not None, "a list that was worked out knows its superfat"
    return check_weighing(recipe, made.superfat)


def _format_csv(recipe: Recipe, policy: Policy, day: dt.date, made: Declaration) -> str:  # noqa: ARG001
    rows = json.loads(format_json([_build_row(row, made) for row in made.table], _PLACES))
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


# -- text ------------------------------------------------------------------------------------------


def _describe_declaration(
    recipe: Recipe, policy: Policy, heading: Said, made: Declaration
) -> Iterator[str]:
    """The lines of the text, in the maker's language."""
    yield speak(heading)
    if made.unfit:
        yield ""
        yield speak(Said("DO NOT POUR this recipe as it stands; no mass is given to weigh by."))
    yield from _describe_doubts(d for d in made.doubts if d.level == "fail")
    yield ""
    yield fill(", ".join(made.names), _WIDTH)
    yield ""
    yield from _align_columns(_list_table_cells(made))
    yield speak(
        Said(
            "Names {style}; percent of the cured bar, {mass} g."
            if made.basis is Basis.CURED
            else "Names {style}; percent of the mass as poured, {mass} g.",
            style=_STYLES[made.style],
            mass=Number(made.total_g, 3),
        )
    )
    yield from _describe_style(policy)
    if made.allergens:
        yield speak(Said("Allergens are within the parfum, and judged on the cured bar."))
    yield ""
    yield from _describe_batch(recipe, compute_batch(recipe), made)
    yield from _describe_doubts(d for d in made.doubts if d.level != "fail")


_STYLES = {Style.FORMED: Said("as formed"), Style.ADDED: Said("as added")}


def _describe_style(policy: Policy) -> Iterator[str]:
    """What speaks for the style, and whether the other one is accepted too."""
    other = Style.ADDED if policy.style is Style.FORMED else Style.FORMED
    if policy.why:
        told = Said(
            "{style:cap} for {regions}: {why}; --style {other} is accepted too."
            if other in policy.accepted
            else "{style:cap} for {regions}: {why}.",
            style=_STYLES[policy.style],
            regions=FactList(policy.regions),
            why=FactList(map(Said, policy.why.split("; ")), ";"),
            other=other.name.lower(),
        )
        yield fill(speak(told), _WIDTH)


_LEVELS = {"fail": Said("fail"), "warn": Said("warn"), "note": Said("note")}


def _describe_doubts(doubts: Iterable[Uncertainty]) -> Iterator[str]:
    for doubt in doubts:
        yield ""
        level = _LEVELS[doubt.level]
        yield fill(speak(Said("{level}: {message}.", level=level, message=doubt.message)), _WIDTH)
        if doubt.remedy:
            yield fill(f"  {speak(doubt.remedy)}.", _WIDTH, subsequent_indent="  ")


def _list_table_cells(made: Declaration) -> Iterator[tuple[str, ...]]:
    ranges = {line.name: _format_range(line) for line in made.lines}
    yield tuple(map(speak, _COLUMNS))
    previous = ""
    for row in made.table:
        again = bool(row.name) and row.name == previous
        previous = row.name
        yield (
            "" if again else row.name or speak(Said("(not declared)")),
            speak(_name_material(row.material)),
            "-" if made.unfit else f"{row.grams_in:.3f}",
            speak(row.became),
            f"{row.grams:.3f}",
            f"{row.percent:.3f}",
            "" if again else ranges.get(row.name, ""),
            "" if again else speak(row.reason),
        )


_COLUMNS = (
    Said("name"), Said("material"), Said("g in"), Said("became"), Said("g in bar"), "%",
    Said("range of name"), Said("why"),
)  # fmt: skip


def _name_material(name: str) -> str:
    return name if isinstance(name, Said) else Term("material", name)


def _format_range(line: DeclaredLine) -> str:
    places = 2 if line.percent >= Decimal("0.1") else 4
    return f"{line.low_percent:.{places}f}-{line.high_percent:.{places}f}"


_RIGHT = {2, 4, 5, 6}
"""Columns of figures."""


def _align_columns(cells: Iterable[tuple[str, ...]]) -> Iterator[str]:
    rows = list(cells)
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    for number, row in enumerate(rows):
        yield _align_row(row, widths)
        if number == 0:
            yield _align_row(["-" * width for width in widths], widths)


def _align_row(row: Sequence[str], widths: Sequence[int]) -> str:
    padded = (
        cell.rjust(width) if i in _RIGHT else cell.ljust(width)
        for i, (cell, width) in enumerate(zip(row, widths, strict=True))
    )
    return "  ".join(padded).rstrip()


def _describe_batch(recipe: Recipe, batch: Batch, made: Declaration) -> Iterator[str]:
    water: Fact = Fact("-")
    if made.unfit:
        yield speak(Said("DO NOT POUR."))
    else:
        for spec, lye in zip(recipe.lyes, batch.lyes, strict=True):
            yield speak(_describe_lye(recipe, spec, lye))
        water = _describe_on_scale(recipe, batch.water_g)
    yield speak(
        Said(
            "Water: {water} (lye concentration {concentration} %, water to lye {ratio}, {share} %"
            " of the oils)",
            water=water,
            concentration=Number(batch.lye_concentration_percent, 1),
            ratio=Number(batch.water_to_lye, 2),
            share=Number(batch.water_share_of_oils_percent, 1),
        )
    )
    superfat = made.superfat
    yield speak(
        Said(
            "Superfat: {share} % ({low} to {high} %) of the lye the oils could take"
            if superfat
            else "Superfat: {share} % of the lye the oils could take",
            share=Number(batch.superfat_percent, 2),
            low=Number(superfat.low_percent, 1) if superfat else "",
            high=Number(superfat.high_percent, 1) if superfat else "",
        )
    )
    yield speak(
        Said(
            "Poured {poured} g, cured {cured} g (cure loss {loss} ± {spread} %, {source})",
            poured=Number(batch.poured_g, 1),
            cured=Number(batch.cured_g, 1),
            loss=Number(batch.loss.percent, 1),
            spread=Number(batch.loss.spread_percent, 1),
            source=_LOSS_WORDS[batch.loss.source],
        )
    )
    yield ""
    yield from _describe_weighing_check(_build_weighing_check(recipe, made), bool(made.unfit))
    yield speak(Said("Saponification values counted with, mg KOH per g:"))
    yield from (speak(_describe_value_used(used)) for used in batch.values)
    yield ""
    for caution in LYE_CAUTIONS:
        yield fill(speak(caution), _WIDTH)


def _describe_weighing_check(found: WeighingCheck, unfit: bool) -> Iterator[str]:
    """The figure to check at the scale, and what common mistakes would make of the batch."""
    if found.scale is not None:
        told = Said("{told}. {why}.", told=found.scale.told, why=found.scale.why)
        yield fill(speak(told), _WIDTH)
        yield ""
    if unfit:
        return
    for title, mistakes in (
        (Said("CAUSTIC, should it happen:"), found.caustic),
        (Said("Not caustic, should it happen:"), found.harmless),
    ):
        if mistakes:
            yield speak(title)
            for mistake in mistakes:
                yield fill(f"  {speak(mistake.told)}", _WIDTH, subsequent_indent="    ")
    yield ""


def _describe_lye(recipe: Recipe, spec: Lye, lye: LyeWeighed) -> Said:
    """What to weigh, in figures of the maker's scale; what was given stays as it is."""
    pure = Number(lye.pure_g, 1)
    of_it = Said("{pure} g pure", pure=pure)
    if lye.water_g:
        of_it = Said(
            "{pure} g pure, {water} g of it water", pure=pure, water=Number(lye.water_g, 1)
        )
    if recipe.superfat is None:
        given: Fact = Said("{n} g", n=_round_figure(lye.weighed_g))
        return Said(
            "{alkali}: {mass} as given ({of_it})",
            alkali=lye.alkali,
            mass=Fact(spec.typed) if is_avoirdupois(spec.typed) else given,
            of_it=of_it,
        )
    return Said(
        "{alkali}: {mass} to weigh, rounded down to the scale's {division} ({counted} g"
        " counted, {of_it})",
        alkali=lye.alkali,
        mass=_describe_on_scale(recipe, lye_to_weigh_g(recipe, lye), ROUND_FLOOR),
        division=_describe_mass(recipe.scale_g, recipe.scale),
        counted=Number(lye.weighed_g, 2),
        of_it=of_it,
    )


def _describe_on_scale(recipe: Recipe, mass_g: Decimal, rounding: str = ROUND_HALF_UP) -> Fact:
    """A mass as the maker's scale shows it, and in grams where that shows ounces."""
    scale = recipe.scale
    shown = _describe_mass(mass_g, scale, rounding)
    if not scale.is_avoirdupois:
        return shown
    grams = find_other_scale(scale, ScaleUnit.GRAMS)
    return Said("{shown} ({grams})", shown=shown, grams=_describe_mass(mass_g, grams, rounding))


def _describe_mass(mass_g: Decimal, scale: Scale, rounding: str = ROUND_HALF_UP) -> Fact:
    from labelkit.report.phrasebook import choose_locale

    shown = format_on_scale(mass_g, scale, choose_locale(get_language()), rounding)
    return Fact(shown.replace(NO_BREAK, " "))


def _round_figure(value: Decimal) -> Number:
    """A figure to the milligram at most (an ounce is no round number)."""
    return Number(value.quantize(_MILLI, ROUND_FLOOR))


def _describe_value_used(used: ValueUsed) -> Said:
    ends = used.published
    published = NOTHING
    if ends and ends != (used.low, used.high):
        published = Said("; published {low} to {high}", low=Number(ends[0]), high=Number(ends[1]))
    return Said(
        "  {material}: {value} ({low} to {high}, {source}{published})",
        material=Term("material", used.material),
        value=_round_figure(used.value),
        low=Number(used.low, 1),
        high=Number(used.high, 1),
        source=used.source,
        published=published,
    )


_LOSS_WORDS = {
    "bars": Said("from weighed bars"),
    "expected": Said("as the recipe expects"),
    "default": Said("assumed"),
}
