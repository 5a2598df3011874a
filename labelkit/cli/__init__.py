"""The ``labelkit`` command: which commands there are, and how every one of them ends.

Commands are imported only when called, so that ``labelkit --help`` answers at once.
"""

from __future__ import annotations

import atexit
import gc
import importlib
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

import click

from labelkit import __version__
from labelkit.cli.help_page import HelpContext, set_help_page
from labelkit.cli.streams import use_harmless_streams
from labelkit.cli.usage import CommandGroup, describe_usage_error
from labelkit.cli.voice import complain, set_arguments
from labelkit.common.errors import ExitCode, LabelkitError, describe_os_error
from labelkit.common.messages import FactList, Said
from labelkit.common.written import watch_writing

COMMANDS: dict[str, tuple[str, str]] = {
    "open": ("labelkit.cli.open", "Open an order in a window: write, see, check, print."),
    "new": ("labelkit.cli.new", "Start a folder for an event, with files to fill in."),
    "offer": ("labelkit.cli.offer", "Make the page of what you offer, and check its prices."),
    "sheet": ("labelkit.cli.sheet", "Make the printable sheets of front and back labels."),
    "preflight": ("labelkit.cli.preflight", "Check a label against the rules of its regions."),
    "proof": (
        "labelkit.cli.proof",
        "Make the proof a customer signs, or record that she did.",
    ),
    "declare": ("labelkit.cli.declare", "Print the ingredient list and the table behind it."),
    "materials": ("labelkit.cli.materials", "List the materials a recipe may name."),
    "plan": ("labelkit.cli.plan", "Work out pieces, batch, dates, supplies and cost."),
    "fit": ("labelkit.cli.fit", "Find the smallest legal label of a layout."),
    "layouts": ("labelkit.cli.layouts", "List the designs, or set your words in every one."),
    "rules": ("labelkit.cli.rules", "List the rules, or explain one."),
    "stock": ("labelkit.cli.stock", "List, draw or measure label stock."),
    "calibrate": ("labelkit.cli.calibrate", "Measure a printer's offset and scale."),
    "print": ("labelkit.cli.print_", "Send a sheet to a printer at its true size."),
    "trace": ("labelkit.cli.trace", "Find every event that used a lot of material."),
    "undo": ("labelkit.cli.undo", "Bring back the files that the last command replaced."),
    "schema": ("labelkit.cli.schema", "Tell an editor, or you, every key of the files."),
    "licences": ("labelkit.cli.licences", "List the licences of packages and fonts."),
}
"""Name: where its ``command`` is, and its line in the list."""


STOPPED = 128
"""What shells add to the number of the signal that ended a program."""
SELDOM = 200_000
"""So many new objects until Python looks for rings of garbage: most commands make few more, nearly
all of which stay, and looking through them took a tenth of the time."""


class LazyGroup(CommandGroup):
    """A group that imports a command only to run it or to print its own help."""

    context_class = HelpContext

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(COMMANDS[cmd_name][0]).command
        return set_help_page(command)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="labelkit")
def cli() -> None:
    """Lay out, check and print compliant bilingual labels for event favours.

    Start with `labelkit open`, and an event lies before you in a window. Or with `labelkit new
    my-event`: fill in the blanks, then run `labelkit preflight`, `labelkit proof` and `labelkit
    sheet` on its label.toml.

    Exit codes: 0 done, 1 the label is not fit to print, 2 the input could not be used, 3 a fault of
    labelkit itself, and nothing was written.
    """


def main(arguments: list[str] | None = None) -> None:
    """Runs the command line; every error a maker may meet ends as a line on stderr a mistake."""
    set_arguments(sys.argv[1:] if arguments is None else arguments)
    gc.set_threshold(SELDOM)
    atexit.register(gc.freeze)  # what an ending process holds is not searched for rings once more
    with use_harmless_streams() as output, end_on_signals() as ended, watch_writing() as written:
        code = _run(arguments, ended, written)
        with suppress(OSError):
            sys.stdout.flush()
        if output is not None and output.closed_early and written:
            names = FactList(_name_written(written))
            told = Said("nobody read all that was said; written and kept: {names}", names=names)
            _print_complaint(told)
    sys.exit(code)


def _run(arguments: list[str] | None, ended: list[int], written: list[Path]) -> int:
    """The exit code of a command, after its complaints."""
    try:
        code = cli.main(args=arguments, prog_name="labelkit", standalone_mode=False)
        return code if isinstance(code, int) else ExitCode.OK
    except LabelkitError as error:
        for line in error.lines:
            _print_complaint(line)
        return error.exit_code
    except click.exceptions.Abort:
        names = _name_written(written)
        _print_complaint(
            Said("stopped; written and kept: {names}", names=FactList(names))
            if names
            else Said("stopped; nothing was changed")
        )
        return STOPPED + (ended[-1] if ended else signal.SIGINT)
    except click.ClickException as error:
        _print_complaint(describe_usage_error(error))
        return ExitCode.UNUSABLE
    except click.exceptions.Exit as done:
        return done.exit_code
    except OSError as error:
        told = Said(
            "{file}: {reason}" if error.filename else "{reason}",
            file=error.filename,
            reason=describe_os_error(error),
        )
        _print_complaint(told)
        return ExitCode.UNUSABLE


def _name_written(written: list[Path]) -> tuple[str, ...]:
    """What stays as a command wrote it, each file once."""
    return tuple(dict.fromkeys(path.name for path in written))


@contextmanager
def end_on_signals() -> Iterator[list[int]]:
    """Lets a polite end and the end of a terminal clean up as Ctrl-C does; yields which came."""
    ended: list[int] = []

    def stop(number: int, _frame: FrameType | None) -> None:
        ended.append(number)
        raise KeyboardInterrupt

    before = {}
    with suppress(ValueError):  # only the main thread may say what answers a signal
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is not None and signal.getsignal(number) == signal.SIG_DFL:
                before[number] = signal.signal(number, stop)
    try:
        yield ended
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _print_complaint(told: Said) -> None:
    with suppress(OSError):  # nobody listens, but the exit code still tells
        complain(told)
