"""``labelkit trace``: where a lot of material went."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from labelkit.errors import ExitCode

if TYPE_CHECKING:
    from labelkit.plan.trace import Record


@click.command("trace", epilog="Example: labelkit trace OL-0311 --maker workshop/maker.toml")
@click.argument("lot", metavar="LOT")
@click.option(
    "--maker", type=click.Path(path_type=Path), default=Path("maker.toml"), show_default=True,
    metavar="FILE", help="The maker's file, beside which the record is kept.",
)  # fmt: skip
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
    help="How to print what was found.",
)  # fmt: skip
def command(lot: str, maker: Path, form: str) -> int:
    """Find every event that used a supplier's lot, or a batch by its own lot code.

    `labelkit plan LABEL.toml --record` keeps the record: the batch, its materials with their lots,
    and the event its labels went to.
    """
    from labelkit.plan import trace

    path = trace.trace_file(maker)
    found = trace.find(path, lot)
    if form == "json":
        value = {"lot": lot.strip(), "events": [_value(entry, lot) for entry in found]}
        click.echo(json.dumps(value, ensure_ascii=False, indent=2))
        return ExitCode.OK
    if not found:
        near = trace.near(path, lot)
        hint = f" Did you mean {', '.join(near)}?" if near else ""
        click.echo(f"No event used lot {lot.strip()}.{hint}")
    for entry in found:
        for line in _lines(entry, lot):
            click.echo(line)
    return ExitCode.OK


def _lines(entry: Record, lot: str) -> Iterator[str]:
    place = f", {entry.place}" if entry.place else ""
    yield f"{entry.date}  {entry.names}{place}"
    yield (
        f"    batch {entry.lot}, poured {entry.poured}: {entry.recipe};"
        f" {entry.labels} labels ({entry.label})"
    )
    for material in entry.materials:
        if _same(material.lot, lot):
            yield f"    {material.mass_g} g of {material.name}, lot {material.lot}"


def _value(entry: Record, lot: str) -> dict[str, Any]:
    return {
        "event": entry.names,
        "date": entry.date.isoformat(),
        "place": entry.place,
        "label": entry.label,
        "labels": entry.labels,
        "batch": entry.lot,
        "recipe": entry.recipe,
        "poured": entry.poured.isoformat(),
        "materials": [
            {"material": m.name, "lot": m.lot, "grams": float(m.mass_g), "asked": _same(m.lot, lot)}
            for m in entry.materials
        ],
    }


def _same(one: str, other: str) -> bool:
    return one.casefold() == other.strip().casefold()
