"""``labelkit open``: an order in a window of the maker's own browser."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.cli.voice import say
from labelkit.common.errors import ExitCode, format_path
from labelkit.common.messages import Said


@click.command("open", epilog="Example: labelkit open samples/lighthouse-supper")
@click.argument("folder", type=click.Path(path_type=Path), metavar="[FOLDER]", default=Path())
@click.option(
    "--shortcut", is_flag=True,
    help="Write what a double click opens this folder with, into it, and start nothing.",
)  # fmt: skip
@click.option(
    "--no-browser", is_flag=True, help="Only print the address; open it in a browser yourself."
)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, metavar="NUMBER",
    help="Listen on this port instead of one that is free.",
)  # fmt: skip
@click.option("--stay", is_flag=True, help="Go on when the last tab is closed, until Ctrl-C.")
def command(folder: Path, shortcut: bool, no_browser: bool, port: int, stay: bool) -> int:
    """Open an order in a window: its words, its recipe, its label as it will print.

    FOLDER is an event's folder, or one that holds events, or a label.toml; this folder unless
    given. The page is served to this computer alone and asks nothing of any other. Your files stay
    what they are: the page writes into them one value at a time, and you may go on editing them by
    hand. Closing the last tab ends it.
    """
    from labelkit.desk.serve import serve_desk
    from labelkit.desk.shortcut import write_shortcut
    from labelkit.desk.workplace import Workplace

    place = Workplace.at(folder)
    if shortcut:
        written = write_shortcut(place.folder)
        say(Said("{file}: a double click opens the desk", file=format_path(written)))
        return ExitCode.OK

    def tell(address: str) -> None:
        say(Said("The desk is at {address} (closing its last tab ends it)", address=address))
        if not no_browser:
            click.launch(address)

    serve_desk(place, port, tell, stay)
    return ExitCode.OK
