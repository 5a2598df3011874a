"""``labelkit new``: a folder for an event, with files to fill in."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.voice import say, say_all
from labelkit.common.errors import ExitCode, InputError, format_path
from labelkit.common.messages import FactList, Said

if TYPE_CHECKING:
    from labelkit.job.new_order import Workshop
    from labelkit.job.offer_order import Choice
    from labelkit.order.offer import Chosen, Offer

MAKER = "maker.toml"


CHOICES = ("soap", "size", "layout", "wrap", "extras", "names", "date", "guests", "display")
"""Options that say what was chosen of an offer."""


@click.command(
    "new",
    epilog="Example: labelkit new autumn-wedding --region CA --region US",
)
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
@click.option(
    "--from", "offer", type=click.Path(path_type=Path), metavar="OFFER.toml",
    help="Start from what a customer chose of your offer; these options say what:",
)  # fmt: skip
@click.option("--soap", metavar="ID", help="The soap; the offer's first unless given.")
@click.option("--size", metavar="ID", help="The size; the offer's first unless given.")
@click.option("--layout", metavar="NAME", help="The design; the offer's first unless given.")
@click.option("--wrap", metavar="ID", help="The wrap; the workshop's own unless given.")
@click.option("--extra", "extras", metavar="ID", multiple=True, help="Something more.")
@click.option("--names", metavar="TEXT", multiple=True,
    help='The names on the label; again as "fr=..." for one language.',
)  # fmt: skip
@click.option("--date", type=parse_day_option, metavar=AS_WRITTEN, help="The day of the event.")
@click.option("--guests", type=click.IntRange(1, 100_000), metavar="N", help="How many pieces.")
@click.option("--display", is_flag=True,
    help="Pieces to show on your table and in photographs, for no customer.",
)  # fmt: skip
@click.option("--on", type=parse_day_option, metavar=AS_WRITTEN,
    help="As of this day; today unless given.",
)  # fmt: skip
def command(
    folder: Path, regions: tuple[str, ...], maker: Path | None, offer: Path | None,
    on: dt.date | None, **chosen: Any,
) -> int:  # fmt: skip
    """Start a folder for an event: label.toml and recipe.toml, with comments; and maker.toml once.

    The workshop's maker.toml stands in the folder above, where all events find it: the first event
    makes it, and label.toml names it (or the one of --maker). So a recall finds every event in one
    record.

    Put your own in place of every text that begins with <<<: until then every command refuses the
    files and names what is left. Filled in, the label passes its preflight; where it is for several
    regions whose laws pull apart, the preflight says where and what helps. Files that are already
    there are never touched.

    With --from the label says what was chosen, at the price offered, and the recipe is copied
    beside it. Before you send a quote you are told of a price below the true cost, of fewer pieces
    than the smallest order, and of a day that the cure cannot meet (exit code 1).
    """
    from labelkit.common.journal import Work, find_workshop, write_outputs
    from labelkit.job.new_order import NAMES, make_starter_files, name_maker_above

    if offer is None:
        for option in CHOICES:
            if chosen[option]:
                raise click.UsageError(Said("these options are for --from OFFER.toml"))
    elif regions or maker:
        raise click.UsageError(Said("with --from the offer says the maker, and the maker regions"))
    for name in NAMES:
        if (folder / name).exists():
            taken = format_path(folder / name)
            raise InputError(taken, "", None, Said("is already there; choose a new folder"))
    if offer is not None:
        return _start_from_offer(folder, offer, chosen, on or dt.date.today())
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
    _say_what_is_next(folder)
    return ExitCode.OK


def _say_what_is_next(folder: Path) -> None:
    say(
        Said(
            "Next: open them in a text editor and put your own in place of every text that "
            "begins with <<< (dates and numbers without the quotes). Then run the preflight, "
            "which names all that is left: labelkit preflight {label}",
            label=folder / "label.toml",
        )
    )


def _start_from_offer(folder: Path, path: Path, chosen: Mapping[str, Any], on: dt.date) -> int:
    """The files of an order as it was chosen; then what is to be known before its quote is sent."""
    from labelkit.common.journal import Work, write_outputs
    from labelkit.job.offer import describe_order
    from labelkit.job.offer_order import write_order_text
    from labelkit.order.offer import read_offer
    from labelkit.order.reader import read_bytes

    offer = read_offer(path)
    choice = _read_choice(offer, chosen)
    told, can_be_kept = describe_order(offer, choice, on)
    maker = _path_from_folder(folder, offer.maker)
    text = write_order_text(offer, choice, maker, "recipe.toml")
    files = {
        folder / "label.toml": text.encode("utf-8"),
        folder / "recipe.toml": read_bytes(choice.soap.recipe),
    }
    write_outputs(files, Work("new", offer.maker.parent))
    for file in files:
        click.echo(file)
    say_all(told, err=True)
    _say_what_is_next(folder)
    return ExitCode.OK if can_be_kept else ExitCode.FINDINGS


def _read_choice(offer: Offer, chosen: Mapping[str, Any]) -> Choice:
    """What the options say was chosen; InputError for what is not offered."""
    from labelkit.cli.offer import parse_names
    from labelkit.job.offer_order import choose_first

    first = choose_first(offer)
    layout = chosen["layout"] or first.layout
    if layout not in offer.layouts:
        raise _make_not_offered("--layout", layout, offer.layouts)
    wrap, extras = chosen["wrap"], chosen["extras"]
    return replace(
        first,
        soap=_pick("--soap", chosen["soap"] or first.soap.id, offer.soaps),
        size=_pick("--size", chosen["size"] or first.size.id, offer.sizes),
        layout=layout,
        wrap=_pick("--wrap", wrap, offer.wraps) if wrap else None,
        extras=tuple(_pick("--extra", name, offer.extras) for name in dict.fromkeys(extras)),
        pieces=chosen["guests"],
        date=chosen["date"],
        names=parse_names(chosen["names"], "--names"),
        display=chosen["display"],
    )


def _pick(option: str, name: str, among: tuple[Chosen, ...]) -> Chosen:
    from labelkit.order.offer import find_chosen

    found = find_chosen(among, name)
    if found is None:
        raise _make_not_offered(option, name, [one.id for one in among])
    return found


def _make_not_offered(option: str, name: str, offered: Iterable[str]) -> InputError:
    told = Said("is not offered; expected one of {listed}", listed=FactList(offered))
    return InputError(option, "", name, told)


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
