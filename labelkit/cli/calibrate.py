"""``labelkit calibrate``: what a printer does to a page, measured and remembered."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import click

from labelkit.cli.lengths import ask_value, parse_length_option
from labelkit.cli.targets import find_maker_folder, make_file_type
from labelkit.cli.voice import get_language, say, say_all, speak
from labelkit.common.messages import Said, make_number

COMMAND = "calibrate"


@click.command(
    COMMAND,
    epilog="Example: labelkit calibrate --page letter --out calibration.pdf, then"
    ' labelkit calibrate --page letter --printer "back room" --maker maker.toml',
)
@click.option(
    "--page",
    type=click.Choice(["letter", "a4"], case_sensitive=False),
    required=True,
    help="The paper in the printer.",
)
@click.option(
    "--out", "target", type=make_file_type(".pdf"), metavar="FILE.pdf",
    help="Write the calibration page, to be printed at 100 % and measured.",
)  # fmt: skip
@click.option(
    "--printer", metavar="NAME",
    help="Remember what you measured on the printed page under this name.",
)  # fmt: skip
@click.option(
    "--maker", type=click.Path(path_type=Path), default=Path("maker.toml"), show_default=True,
    metavar="FILE", help="The maker's file; printers.toml is kept beside it.",
)  # fmt: skip
@click.option(
    "--across",
    type=parse_length_option,
    metavar="LENGTH",
    help="Measured from cross to cross along the foot.",
)
@click.option(
    "--up",
    type=parse_length_option,
    metavar="LENGTH",
    help="Measured from cross to cross along the left.",
)
@click.option(
    "--left",
    type=parse_length_option,
    metavar="LENGTH",
    help="Measured from the left edge of the paper to the cross.",
)
@click.option(
    "--foot",
    type=parse_length_option,
    metavar="LENGTH",
    help="Measured from the lower edge of the paper to the cross.",
)
@click.option(
    "--edge",
    type=parse_length_option,
    metavar="LENGTH",
    help="Smallest step that printed on all four edges.",
)
def command(page: str, target: Path | None, printer: str | None, maker: Path, **given: Any) -> None:
    """Measure a printer's offset and scale once, and print true ever after.

    First write the page with --out and print it at 100 %. Then take four distances off it with a
    ruler and give them with --printer; what is not given as an option is asked. `labelkit print
    --printer NAME` corrects every page for what was measured.
    """
    if target is None and printer is None:
        raise click.UsageError(
            Said("give --out to write the page, or --printer to record a measurement")
        )
    if target is not None:
        from labelkit.common.journal import Work, write_outputs
        from labelkit.pdf.write.calibration import draw_calibration_pdf

        data = draw_calibration_pdf(page, str(maker), get_language(), speak)
        told = write_outputs({target: data}, Work(COMMAND, find_maker_folder(maker, target)))
        say(
            Said(
                "{target}: print it at 100 % (actual size), then measure it with a ruler.",
                target=target,
            )
        )
        say_all(told, err=True)
    if printer is not None:
        _record_printer(page, printer, maker, given)


def _record_printer(page: str, printer: str, maker: Path, given: dict[str, Decimal | None]) -> None:
    from labelkit.common.files import make_folder
    from labelkit.common.journal import Work, journal_files, lock_journal
    from labelkit.order.printer import (
        check_printer_name,
        path_of_printers,
        read_printers,
        write_printer_into,
    )
    from labelkit.pdf.write.calibration import (
        ACROSS_MM,
        INSET_MM,
        UP_MM,
        CalibrationMeasures,
        make_profile,
    )

    check_printer_name(printer)
    path = path_of_printers(maker)
    read_printers(path)  # a file that cannot be read is told before anything is asked
    asked = {
        "across": Said(
            "Cross to cross along the foot, near {mm} mm", mm=make_number(ACROSS_MM[page])
        ),
        "up": Said("Cross to cross along the left, near {mm} mm", mm=make_number(UP_MM[page])),
        "left": Said("Left edge of the paper to the cross, near {mm} mm", mm=make_number(INSET_MM)),
        "foot": Said(
            "Lower edge of the paper to the cross, near {mm} mm", mm=make_number(INSET_MM)
        ),
        "edge": Said("Smallest step that is there on all four edges"),
    }
    values: dict[str, float] = {}
    for key, question in asked.items():
        value = given[key]
        answer = value if value is not None else ask_value(question, key, parse_length_option)
        values[f"{key}_mm"] = float(answer)
    profile = make_profile(printer, page, CalibrationMeasures(**values))
    make_folder(path.parent)
    work = Work(COMMAND, path.parent, details={"printer": printer})
    with journal_files(work) as staged, lock_journal(staged.journal, COMMAND):
        text = write_printer_into(path, profile)
        staged.update(path).write(text.encode("utf-8"))
        staged.commit()
    say(
        Said(
            "{path}: {printer} prints {scale_x:+.2f} % across and {scale_y:+.2f} % up, "
            "{offset_x_mm:+.2f} mm to the right and {offset_y_mm:+.2f} mm above its place",
            path=path,
            printer=printer,
            scale_x=(profile.scale_x - 1) * 100,
            scale_y=(profile.scale_y - 1) * 100,
            offset_x_mm=profile.offset_x_mm,
            offset_y_mm=profile.offset_y_mm,
        )
    )
    say(
        Said(
            'Corrected from now on by: labelkit print --printer "{printer}" FILE.pdf',
            printer=printer,
        )
    )
    say(
        Said(
            'or on every sheet, with this in maker.toml under [defaults]: printer = "{printer}"',
            printer=printer,
        )
    )
