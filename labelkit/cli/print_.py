"""``labelkit print``: a finished sheet to a printer, at its true size."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.cli.targets import find_maker_folder, make_file_type
from labelkit.cli.voice import say, say_all
from labelkit.common.messages import Said


@click.command(
    "print",
    epilog='Example: labelkit print sheets/front.pdf --printer "back room"',
)
@click.argument("pdf", type=click.Path(path_type=Path), metavar="FILE.pdf")
@click.option(
    "--printer", metavar="NAME",
    help="Correct the pages for this printer, measured with labelkit calibrate.",
)  # fmt: skip
@click.option(
    "--maker", type=click.Path(path_type=Path), default=Path("maker.toml"), show_default=True,
    metavar="FILE", help="The maker's file; printers.toml is kept beside it.",
)  # fmt: skip
@click.option("--queue", default="", metavar="NAME", help="Print queue, if not the default one.")
@click.option(
    "--copies", type=click.IntRange(1, 999), default=1, show_default=True, metavar="N",
    help="How often each page is printed.",
)  # fmt: skip
@click.option(
    "--two-sided", type=click.Choice(["long", "short"]), default=None,
    help="Print on both sides, turned on this edge of the page.",
)  # fmt: skip
@click.option(
    "--out", "target", type=make_file_type(".pdf"), metavar="FILE.pdf",
    help="Print nothing; write the corrected pages here, to be printed by hand.",
)  # fmt: skip
def command(
    pdf: Path, printer: str | None, maker: Path, queue: str, copies: int,
    two_sided: str | None, target: Path | None,
) -> None:  # fmt: skip
    """Print a sheet at 100 %, never fitted to the page.

    With --printer the pages are first corrected for what that printer was measured to do. Sheets
    made with `labelkit sheet --printer` are corrected already: for the same printer they are
    printed as they are, for another one refused. Where this computer has no print queue, the way
    to print true by hand is shown instead.
    """
    from labelkit.common.paper import PAPER_NAMES
    from labelkit.order.printer import find_printer, path_of_printers
    from labelkit.pdf.write import printing

    data = printing.read_pdf(pdf)
    page = printing.read_page_size(data, str(pdf))
    changed = False
    if printer is not None:
        known = path_of_printers(maker)
        profile = find_printer(printer, known)
        corrected = printing.correct_pdf(data, str(pdf), profile, known)
        changed = corrected is not data
        if changed and profile.measured_elsewhere(page.width_mm, page.height_mm):
            paper = PAPER_NAMES[profile.page]
            say(
                Said(
                    "{pdf}: {printer} was measured on {paper}, and these pages are {name}; a"
                    " printer takes in other paper at another place: measure it on this one",
                    pdf=pdf,
                    printer=printer,
                    paper=paper,
                    name=page.name,
                ),
                err=True,
            )
        if not changed:
            say(
                Said(
                    "{pdf}: nothing to correct for {printer}; it is printed as it is.",
                    pdf=pdf,
                    printer=printer,
                )
            )
        data = corrected
    if target is not None:
        _write_pdf(target, data, find_maker_folder(maker, target))
    elif printing.has_print_queue():
        lp = printing.make_queue_command(page, queue, copies, two_sided or "")
        click.echo(printing.send_to_queue(data, pdf.name, lp))
        return
    else:
        say(Said("There is no print queue on this computer. Print it by hand:"))
        if changed:
            say(Said("0. Write the corrected pages with --out and print those."))
    for line in printing.describe_manual_printing(page, two_sided or ""):
        say(line)


def _write_pdf(target: Path, data: bytes, workshop: Path | None) -> None:
    from labelkit.common.journal import Work, write_outputs

    told = write_outputs({target: data}, Work("print", workshop))
    click.echo(target)
    say_all(told, err=True)
