"""``labelkit stock``: label stock listed, drawn, or measured with a ruler."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from labelkit.cli.lengths import parse_length_option, parse_size_option
from labelkit.cli.targets import make_file_type
from labelkit.cli.voice import say
from labelkit.common.messages import Said

if TYPE_CHECKING:
    from labelkit.order.stock import Stock


@click.group(
    "stock",
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
        page = f"{stock.page_width_mm:g} mm wide"
    else:
        page = f"{stock.page_width_mm:g} x {stock.page_height_mm:g} mm"
    if not stock.ready_cut:
        return stock.name, page, "", "", "plain"
    return (
        stock.name,
        page,
        f"{stock.across} x {stock.down}",
        f"{stock.die_width_mm:.4g} x {stock.die_height_mm:.4g} mm",
        stock.shape,
    )


@command.command(
    "show",
    epilog="Example: labelkit stock show letter-3x10-66x25 --out stock.pdf",
)
@click.argument("name", metavar="NAME or FILE.toml")
@click.option(
    "--out", "target", type=make_file_type(".pdf"), metavar="FILE.pdf",
    help="Also draw it at its true size: print that on plain paper, lay it on a sheet of the"
    " stock and hold both against the light.",
)  # fmt: skip
def show(name: str, target: Path | None) -> None:
    """Show one stock: its measures, and a drawing of it at its true size."""
    from labelkit.common.files import make_folder, write_files
    from labelkit.order.stock import find_stock

    stock = find_stock(name, Path())
    for line in _list_measures(stock):
        click.echo(line)
    if target is not None:
        from labelkit.pdf.write.diagram import draw_diagram_pdf, make_stock_sheet

        data = draw_diagram_pdf((make_stock_sheet(stock),), stock.title)
        make_folder(target.parent)
        write_files({target: data})
        click.echo(target)


def _list_measures(stock: Stock) -> list[str]:
    from labelkit.order.stock import KINDS

    height = "endless" if stock.continuous else f"{stock.page_height_mm:g} mm"
    facts = [
        ("", stock.title),
        ("kind", KINDS[stock.kind]),
        ("page", f"{stock.page_width_mm:g} mm x {height}"),
    ]
    if stock.ready_cut:
        corner = f", corners {stock.corner_mm:g} mm" if stock.corner_mm else ""
        facts += [
            ("labels", f"{stock.across} across x {stock.down} down = {stock.count}"),
            (
                "label",
                f"{stock.die_width_mm:g} x {stock.die_height_mm:g} mm, {stock.shape}{corner}",
            ),
            (
                "first label",
                f"{stock.left_mm:g} mm from the left, {stock.top_mm:g} mm from the top",
            ),
            ("pitch", f"{stock.pitch_x_mm:g} mm across, {stock.pitch_y_mm:g} mm down"),
        ]
    if stock.kind == "roll":
        facts.append(("gap", f"{stock.feed_gap_mm:g} mm along the roll"))
    facts += [
        ("white edge", f"{stock.unprintable_mm:g} mm that printers do not reach"),
        ("material", stock.material + (f", {stock.colour}" if stock.colour else "")),
        ("note", stock.note),
    ]
    return [f"{key + ':':<13}{text}" if key else text for key, text in facts if text]


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
    "--page", type=parse_size_option, help='Width and height of the sheet, such as "8.5 x 11 in".'
)
@click.option("--across", type=click.IntRange(1, 200), help="Labels in a row.")
@click.option("--down", type=click.IntRange(1, 200), help="Labels in a column.")
@click.option(
    "--label", "die", type=parse_size_option, help='Size of one label, such as "44 x 28 mm".'
)
@click.option("--left", type=parse_length_option, help="Left edge of the sheet to the first label.")
@click.option("--top", type=parse_length_option, help="Upper edge of the sheet to the first label.")
@click.option(
    "--span-across",
    type=parse_length_option,
    help="Left edge of the first label to that of the last in its row.",
)
@click.option(
    "--span-down",
    type=parse_length_option,
    help="Top of the first label to that of the last in its column.",
)
@click.option(
    "--shape", type=click.Choice(["rectangle", "rounded", "square", "round", "oval"]),
    help="Shape of a label.",
)  # fmt: skip
@click.option("--corner", type=parse_length_option, help="Corner radius of a rounded label.")
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
def measure(target: Path, force: bool, **given: Any) -> None:
    """Write a stock file from the few distances a ruler can take off a sheet.

    What is not given as an option is asked. Lengths are millimetres unless they say otherwise
    ("0.5 in"). The long distances from the first to the last label matter most: measure them to a
    fifth of a millimetre, the step between two labels is worked out from them.
    """
    from labelkit.common.errors import InputError, format_path
    from labelkit.common.files import make_folder, write_files
    from labelkit.order.measured_stock import StockMeasures

    if target.suffix != ".toml":
        raise InputError(format_path(target), "", None, Said("expected a name that ends in .toml"))
    if target.exists() and not force:
        raise InputError(
            format_path(target), "", None, Said("is there already; add --force to replace it")
        )
    measures = StockMeasures(**_ask_measures(given))
    text = measures.toml()
    _check_measures(text, target.name)
    make_folder(target.parent)
    write_files({target: text.encode("utf-8")})
    say(Said("{target}: {title}", target=target, title=measures.title))
    say(
        Said("Read as {as_read}; lengths without a unit are millimetres.", as_read=measures.as_read)
    )
    if measures.label != measures.die:
        say(Said("The labels touch; their size was taken from the step between them."))
    say(Said("See it with: labelkit stock show {target} --out stock.pdf", target=target))


def _ask_measures(given: dict[str, Any]) -> dict[str, Any]:
    """The measures, those that are missing asked one by one."""

    def ask(key: str, question: str, kind: Any, default: Any = None) -> Any:
        value = given[key]
        return value if value is not None else click.prompt(question, type=kind, default=default)

    page = ask("page", 'Sheet, width x height ("8.5 x 11 in" or "210 x 297")', parse_size_option)
    across = ask("across", "Labels in a row", click.IntRange(1, 200))
    down = ask("down", "Labels in a column", click.IntRange(1, 200))
    die = ask("die", "One label, width x height", parse_size_option)
    shape = ask(
        "shape", "Shape", click.Choice(["rectangle", "rounded", "square", "round", "oval"]),
        "rectangle",
    )  # fmt: skip
    return {
        "page": page,
        "across": across,
        "down": down,
        "die": die,
        "shape": shape,
        "corner_mm": (
            ask("corner", "Corner radius", parse_length_option)
            if shape == "rounded"
            else Decimal(0)
        ),
        "left_mm": ask("left", "Left edge of the sheet to the first label", parse_length_option),
        "top_mm": ask("top", "Upper edge of the sheet to the first label", parse_length_option),
        "span_across_mm": ask(
            "span_across",
            "Left edge of the first label to that of the last in its row",
            parse_length_option,
        ) if across > 1 else None,
        "span_down_mm": ask(
            "span_down",
            "Top of the first label to that of the last in its column",
            parse_length_option,
        ) if down > 1 else None,
    }  # fmt: skip


def _check_measures(text: str, name: str) -> None:
    """Reads the file before it is written; InputError for measures that cannot be true."""
    import tempfile

    from labelkit.common.errors import InputError
    from labelkit.order.stock import read_stock

    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder) / name
        draft.write_text(text, encoding="utf-8")
        try:
            read_stock(draft)
        except InputError as error:
            expected = Said(
                "{expected} (lengths without a unit are millimetres)", expected=error.expected
            )
            raise InputError("measured", error.key, error.value, expected) from error
