"""``labelkit stock``: label stock listed, drawn, or measured with a ruler."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from labelkit.cli.lengths import parse_length_option, parse_size_option
from labelkit.cli.targets import make_file_type
from labelkit.cli.usage import CommandGroup
from labelkit.cli.voice import get_language, say, say_all, speak
from labelkit.common.messages import FactList, Said, Term, make_number

if TYPE_CHECKING:
    from labelkit.order.stock import Stock

SHAPES = ("rectangle", "rounded", "square", "round", "oval")
MATERIALS = ("paper", "film", "clear", "card", "kraft", "fabric")


@click.group(
    "stock",
    cls=CommandGroup,
    invoke_without_command=True,
    epilog="Example: labelkit stock",
)
@click.pass_context
def command(context: click.Context) -> None:
    """List label stock by its geometry: name, page, labels on a page, their size and shape.

    A name from the list goes into label.toml or maker.toml as `stock = "..."`. Sheets that are not
    in the list are measured with `labelkit stock measure`. Stock is named by what a ruler shows,
    never by a maker's product code: compare the figures with yours.
    """
    if context.invoked_subcommand is None:
        from labelkit.order.stock import list_stocks

        rows = [_build_row(stock) for stock in list_stocks()]
        widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
        for row in rows:
            cells = [cell.ljust(width) for cell, width in zip(row, widths, strict=False)]
            click.echo("  ".join([*cells, row[-1]]).rstrip())


def _build_row(stock: Stock) -> tuple[str, str, str, str, str]:
    if stock.continuous:
        page = speak(Said("{mm} mm wide", mm=make_number(stock.page_width_mm)))
    else:
        page = f"{stock.page_width_mm:g} x {stock.page_height_mm:g} mm"
    if not stock.ready_cut:
        return stock.name, page, "", "", speak(Said("plain"))
    return (
        stock.name,
        page,
        f"{stock.across} x {stock.down}",
        f"{stock.die_width_mm:.4g} x {stock.die_height_mm:.4g} mm",
        speak(Term("shape", stock.shape)),
    )


@command.command(
    "show",
    epilog="Example: labelkit stock show letter-3x10-66x25 --out stock.pdf",
)
@click.argument("name", metavar="NAME|FILE.toml")
@click.option(
    "--out", "target", type=make_file_type(".pdf"), metavar="FILE.pdf",
    help="Also draw it at its true size: print that on plain paper, lay it on a sheet of the"
    " stock and hold both against the light.",
)  # fmt: skip
def show(name: str, target: Path | None) -> None:
    """Show one stock: its measures, and a drawing of it at its true size."""
    from labelkit.common.journal import Work, find_workshop, write_outputs
    from labelkit.order.stock import find_stock

    stock = find_stock(name, Path())
    for line in _list_measures(stock):
        click.echo(line)
    if target is not None:
        from labelkit.pdf.write.diagram import draw_diagram_pdf, make_stock_sheet

        title = speak(Term("stock", stock.title))
        data = draw_diagram_pdf((make_stock_sheet(stock),), title, get_language())
        told = write_outputs({target: data}, Work("stock show", find_workshop(target.parent)))
        click.echo(target)
        say_all(told, err=True)


def _list_measures(stock: Stock) -> list[str]:
    from labelkit.order.stock import KINDS

    width, height = make_number(stock.page_width_mm), make_number(stock.page_height_mm)
    facts: list[tuple[Said, str]] = [
        (Said("kind"), KINDS[stock.kind]),
        (
            Said("page"),
            Said(
                "{width} mm x endless" if stock.continuous else "{width} mm x {height} mm",
                width=width,
                height=height,
            ),
        ),
    ]
    if stock.ready_cut:
        facts += [
            (
                Said("labels"),
                Said(
                    "{across} across x {down} down = {count}",
                    across=stock.across,
                    down=stock.down,
                    count=stock.count,
                ),
            ),
            (Said("label"), _describe_die(stock)),
            (
                Said("first label"),
                Said(
                    "{left} mm from the left, {top} mm from the top",
                    left=make_number(stock.left_mm),
                    top=make_number(stock.top_mm),
                ),
            ),
            (
                Said("pitch"),
                Said(
                    "{across} mm across, {down} mm down",
                    across=make_number(stock.pitch_x_mm),
                    down=make_number(stock.pitch_y_mm),
                ),
            ),
        ]
    if stock.kind == "roll":
        facts.append(
            (Said("gap"), Said("{mm} mm along the roll", mm=make_number(stock.feed_gap_mm)))
        )
    edge = make_number(stock.unprintable_mm)
    colours = [stock.colour] if stock.colour else []
    facts += [
        (Said("white edge"), Said("{mm} mm that printers do not reach", mm=edge)),
        (Said("material"), FactList([Term("stock material", stock.material), *colours])),
        (Said("note"), Term("stock note", stock.note)),
    ]
    listed = [f"{f'{speak(key)}:':<13}{speak(text)}" for key, text in facts if text]
    return [speak(Term("stock", stock.title)), *listed]


def _describe_die(stock: Stock) -> Said:
    return Said(
        "{width} x {height} mm, {shape}, corners {corner} mm"
        if stock.corner_mm
        else "{width} x {height} mm, {shape}",
        width=make_number(stock.die_width_mm),
        height=make_number(stock.die_height_mm),
        shape=Term("shape", stock.shape),
        corner=make_number(stock.corner_mm),
    )


@command.command(
    "measure",
    epilog='Example: labelkit stock measure --out my-sheet.toml --page "210 x 297" --across 3'
    ' --down 7 --label "63.5 x 38.1" --left 7.2 --top 15.1 --span-across 132 --span-down 228.6'
    " --shape rounded --corner 2",
)
@click.option(
    "--out", "target", type=click.Path(path_type=Path), required=True, metavar="FILE.toml",
    help="The stock file to write, to be named in label.toml as stock = \"FILE.toml\".",
)  # fmt: skip
@click.option(
    "--kind", type=click.Choice(["sheet", "roll"]),
    help="What it is; known by --page or --width where one of them is given.",
)  # fmt: skip
@click.option(
    "--page",
    type=parse_size_option,
    metavar="SIZE",
    help='Width and height of the sheet, such as "8.5 x 11 in".',
)
@click.option(
    "--width",
    type=parse_length_option,
    metavar="LENGTH",
    help='Width of the roll with its liner, such as "2 3/8 in".',
)
@click.option("--across", type=click.IntRange(1, 200), metavar="N", help="Labels in a row.")
@click.option("--down", type=click.IntRange(1, 200), metavar="N", help="Labels in a column.")
@click.option(
    "--label",
    "die",
    type=parse_size_option,
    metavar="SIZE",
    help='Size of one label, such as "44 x 28 mm".',
)
@click.option(
    "--left",
    type=parse_length_option,
    metavar="LENGTH",
    help="Left edge of the sheet to the first label.",
)
@click.option(
    "--top",
    type=parse_length_option,
    metavar="LENGTH",
    help="Upper edge of the sheet to the first label.",
)
@click.option(
    "--span-across",
    type=parse_length_option,
    metavar="LENGTH",
    help="Left edge of the first label to that of the last in its row.",
)
@click.option(
    "--span-down",
    type=parse_length_option,
    metavar="LENGTH",
    help="Top of the first label to that of the last in its column.",
)
@click.option(
    "--gap", type=parse_length_option, metavar="LENGTH", help="Between two labels along the roll."
)
@click.option(
    "--labels", type=click.IntRange(0, 100_000), metavar="N",
    help="Labels on a full roll, to count what is left of it; 0: not known.",
)  # fmt: skip
@click.option("--shape", type=click.Choice(SHAPES), help="Shape of a label.")
@click.option(
    "--corner", type=parse_length_option, metavar="LENGTH", help="Corner radius of a rounded label."
)
@click.option(
    "--material", type=click.Choice(MATERIALS),
    help="What it is made of; paper where nothing else is asked either.",
)  # fmt: skip
@click.option(
    "--colour", metavar="CODE", help="Colour of the stock as #rrggbb, where it is not white."
)
@click.option("--force", is_flag=True, help="Write over a file that it wrote before.")
def measure(target: Path, force: bool, **given: Any) -> None:
    """Write a stock file from the few distances a ruler can take off a sheet or a roll.

    What is not given as an option is asked; where an answer cannot be true, only what it may lie
    with is asked again. Lengths are millimetres unless they say otherwise ("0.5 in", "7/16 in").
    The long distances from the first to the last label matter most: measure them to a fifth of a
    millimetre, the step between two labels is worked out from them.
    """
    from labelkit.cli.stock_questions import ask_stock_measures
    from labelkit.common.errors import InputError, format_path
    from labelkit.common.journal import Work, find_workshop, write_outputs

    if target.suffix != ".toml":
        raise InputError(format_path(target), "", None, Said("expected a name that ends in .toml"))
    if target.exists() and not force:
        raise InputError(
            format_path(target), "", None, Said("is there already; add --force to replace it")
        )
    measures = ask_stock_measures(given, target.name)
    work = Work("stock measure", find_workshop(target.parent))
    told = write_outputs({target: measures.toml().encode("utf-8")}, work)
    say(Said("{target}: {title}", target=target, title=measures.title))
    say_all(told, err=True)
    say(
        Said("Read as {as_read}; lengths without a unit are millimetres.", as_read=measures.as_read)
    )
    if measures.label != measures.die:
        say(Said("The labels touch; their size was taken from the step between them."))
    say(Said("See it with: labelkit stock show {target} --out stock.pdf", target=target))
