"""``labelkit new``: a folder for an event, with files to fill in."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.cli.voice import say
from labelkit.common.errors import ExitCode, InputError, format_path
from labelkit.common.messages import Said

if TYPE_CHECKING:
    from labelkit.job.new_order import Workshop

MAKER = "maker.toml"


@click.command("new", epilog="Example: labelkit new autumn-wedding --region CA --region US")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
@click.option(
    "--region", "regions", multiple=True, metavar="CODE",
    help="Start with the languages and lines of this region (CA, US, BE ...); may be given again."
    " Unless given, as maker.toml says where there is one, else Canada.",
)  # fmt: skip
@click.option(
    "--maker", type=click.Path(path_type=Path), metavar="FILE",
    help="Your workshop's maker.toml, where it is not in the folder above.",
)  # fmt: skip
def command(folder: Path, regions: tuple[str, ...], maker: Path | None) -> int:
    """Start a folder for an event: label.toml and recipe.toml, with comments; and maker.toml once.

    The workshop's maker.toml stands in the folder above, where all events find it: the first event
    makes it, and label.toml names it (or the one of --maker). So a recall finds every event in one
    record.

    Put your own in place of every text that begins with <<<: until then every command refuses the
    files and names what is left. Filled in, the label passes its preflight; where it is for several
    regions whose laws pull apart, the preflight says where and what helps. Files that are already
    there are never touched.
    """
    from labelkit.common.journal import Work, find_workshop, write_outputs
    from labelkit.job.new_order import NAMES, make_starter_files, name_maker_above

    for name in NAMES:
        if (folder / name).exists():
            taken = format_path(folder / name)
            raise InputError(taken, "", None, Said("is already there; choose a new folder"))
    used = maker or _find_maker_above(folder)
    beside = None if used else _find_maker_beside(folder)
    made = make_starter_files(regions, _read_workshop(used, folder) if used else None)
    places = {name: folder / name for name in made}
    if MAKER in made:
        places[MAKER] = Path(os.path.normpath(folder / ".." / MAKER))
        made = name_maker_above(made)
    contents = {places[name]: text.encode("utf-8") for name, text in made.items()}
    write_outputs(contents, Work("new", used.parent if used else find_workshop(folder)))
    for path in contents:
        click.echo(path)
    if used is not None:
        say(
            Said(
                "label.toml names {used}, your workshop's: a recall finds all its events there",
                used=used,
            )
        )
    elif beside is not None:
        say(_describe_other_maker(beside, folder, places[MAKER]))
    say(
        Said(
            "Next: open them in a text editor and put your own in place of every text that "
            "begins with <<< (dates and numbers without the quotes). Then run the preflight, "
            "which names all that is left: labelkit preflight {label}",
            label=folder / "label.toml",
        )
    )
    return ExitCode.OK


def _find_maker_above(folder: Path) -> Path | None:
    """The maker's file in the folder above, as seen from where the command runs."""
    path = Path(os.path.normpath(folder / ".." / MAKER))
    return path if path.is_file() else None


def _find_maker_beside(folder: Path) -> Path | None:
    """The maker's file of another event in the folder above."""
    above = Path(os.path.normpath(folder / ".."))
    return next((path for path in sorted(above.glob(f"*/{MAKER}"))), None)


def _read_workshop(path: Path, folder: Path) -> Workshop:
    """What the starter asks of a maker's file; InputError where it cannot be read."""
    from labelkit.job.new_order import Workshop
    from labelkit.order.maker import read_country_and_regions

    return Workshop(_path_from_folder(folder, path), *read_country_and_regions(path))


def _path_from_folder(folder: Path, path: Path) -> str:
    # Unlike Path.resolve, realpath takes links that lead round in a circle for what they are.
    return Path(os.path.relpath(os.path.realpath(path), os.path.realpath(folder))).as_posix()


def _describe_other_maker(other: Path, folder: Path, made: Path) -> Said:
    return Said(
        "{other} is there already. If it is your own, a recall has one record only if both events"
        ' name one file: write maker = "{named}" in {label} and remove {maker}',
        other=other,
        named=_path_from_folder(folder, other),
        label=folder / "label.toml",
        maker=made,
    )
