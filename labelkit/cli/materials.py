"""``labelkit materials``: what a recipe may name, by kind, with INCI names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import click

from labelkit.cli.voice import speak
from labelkit.common.json_text import format_json, pick_fields
from labelkit.common.messages import Fact, FactList, Number, Said, Term, Verbatim

if TYPE_CHECKING:
    from labelkit.formula.materials import Material

_MOST_NOTED = 8
_SOURCE = "material source"
"""The kind of name that catalogues know the sources of materials' figures as."""
_HEADINGS = {
    "triglyceride": Said("Fats and oils"),
    "free acid": Said("Fatty acids and rosin"),
    "wax ester": Said("Waxes"),
    "hydroxy acid": Said("Acids that make salts"),
    "inert": Said("Additives"),
    "colour": Said("Colours"),
    "botanical": Said("Plants"),
    "essential oil": Said("Essential oils, for a [[scent]]"),
    "compound": Said("Mixtures and solutions"),
}
"""By the kind a [[material]] is described with."""


@click.command("materials", epilog="Example: labelkit materials clay")
@click.argument("word", required=False, default="")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text",
    help="How to print the list.",
)  # fmt: skip
def command(word: str, form: str) -> None:
    """List the materials a recipe may name; with WORD, those it may stand for or that have it in a
    name.

    Each has its id, what else it is called, its INCI name, and for what reacts with lye the
    published range of its saponification value in mg KOH per g. Anything else is described in a
    [[material]] of the recipe, with id, kind and inci from the supplier's data sheet.
    """
    from labelkit.formula import load_materials

    rows = tuple(_find_materials(word) if word.strip() else load_materials())
    if not rows:
        raise click.UsageError(
            Said("{word} {near}", word=Verbatim(word), near=load_materials().near(word))
        )
    if form == "json":
        click.echo(format_json([_build_row(row) for row in rows]))
    else:
        click.echo("\n".join(_format_text(rows)))


def _find_materials(word: str) -> Iterator[Material]:
    """The material of that name, or those that hold it as a word, by name, INCI name or family."""
    from labelkit.formula import load_materials

    if known := load_materials().find(word):
        yield known
        return
    found = {row.id for row in (*load_materials().alike(word), *load_materials().with_words(word))}
    yield from (row for row in load_materials() if row.id in found)


def _join_names(row: Material) -> str:
    return "; ".join(dict.fromkeys([*row.names.values(), *row.aliases]))


def _format_range(row: Material) -> str:
    low, high = row.published.ends
    return f"{low}-{high}" if high else ""


def _build_row(row: Material) -> dict[str, Any]:
    return {
        **pick_fields(row, "id kind names"),
        "also": row.aliases,
        "inci": row.inci,
        "inci_to_be_checked": row.inci_doubtful,
        "mg_koh_per_g": row.published.ends if row.published.high else None,
    }


def _format_text(rows: Sequence[Material]) -> Iterator[str]:
    cells = [
        (row.kind.value, (row.id, _format_range(row), _format_inci(row), _join_names(row)))
        for row in rows
    ]
    widths = [max(len(shown[column]) for _, shown in cells) for column in range(3)]
    for kind, heading in _HEADINGS.items():
        found = [shown for of, shown in cells if of == kind]
        if found:
            yield speak(Said('{heading} (kind = "{kind}")', heading=heading, kind=kind))
            for *padded, names in found:
                columns = (text.ljust(w) for text, w in zip(padded, widths, strict=True))
                yield "  ".join(["", *columns, names])
            yield ""
    for row in rows if len(rows) <= _MOST_NOTED else ():
        notes = (Said("{id}: {note}", id=row.id, note=note) for note in _list_notes(row))
        yield from map(speak, notes)
    yield speak(Said("id, published saponification value (mg KOH per g), INCI name, names in use"))
    if any(row.inci_doubtful for row in rows):
        yield speak(Said("{mark} compare the INCI name with the supplier's data sheet", mark="(?)"))


def _list_notes(row: Material) -> Iterator[Fact]:
    """What is said of a material besides, and what to ask of its supplier."""
    if row.note:
        yield Term("material note", row.note)
    if row.water.high or row.fat.high:
        yield Said(
            "{low}-{high} % water, {least}-{most} % fat ({fat}); {source}"
            if row.fat.high
            else "{low}-{high} % water; {source}",
            low=Number(row.water.low),
            high=Number(row.water.high),
            least=Number(row.fat.low),
            most=Number(row.fat.high),
            fat=Term("material", row.fat_material),
            source=Term(_SOURCE, row.source) if row.source else Said("from memory"),
        )
    if row.usual_allergens:
        yield Said(
            "ask the supplier for its allergen statement, and in it for the share of {names}",
            names=FactList(row.usual_allergens),
        )


def _format_inci(row: Material) -> str:
    return f"{row.inci} (?)" if row.inci_doubtful else row.inci
