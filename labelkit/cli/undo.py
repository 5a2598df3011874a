"""``labelkit undo``: the files of the last command as they were before it."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.cli.voice import say
from labelkit.common.errors import ExitCode
from labelkit.common.messages import Said


@click.command("undo", epilog="Example: labelkit undo --maker workshop/maker.toml")
@click.option(
    "--maker", type=click.Path(path_type=Path), default=Path("maker.toml"), show_default=True,
    metavar="FILE", help="The maker's file, beside which the journal is kept.",
)  # fmt: skip
@click.option("--list", "everything", is_flag=True, help="Only list what was written, and when.")
def command(maker: Path, everything: bool) -> int:
    """Bring back the files that the last command replaced, and remove those it made.

    Sheets, proofs, plans, part-used sheets, what is known of approval and printing, and measured
    printers are as they were before it. Run again it takes itself back. A file that was changed
    since is left as it is, and so are the others then. What `labelkit plan --record` kept stays:
    `labelkit trace LOT --withdraw` marks it as wrong.
    """
    from labelkit.common.journal import Journal, take_back

    workshop = maker if maker.is_dir() else maker.parent
    if everything:
        entries = Journal(workshop).read_entries()
        if not entries:
            say(
                Said(
                    "labelkit has written nothing for {maker} yet, or its journal is gone",
                    maker=maker,
                )
            )
        for entry in entries:
            files = ", ".join(file.path for file in entry.files) or "–"
            line = (f"{entry.number:>4}", entry.at, entry.command, entry.order_code, files)
            click.echo("  ".join(part for part in line if part))
        return ExitCode.OK
    done = take_back(workshop)
    say(Said("Took back labelkit {command} of {at}:", command=done.entry.command, at=done.entry.at))
    for path in done.restored:
        say(Said("{path}: as it was before", path=path))
    for path in done.removed:
        say(Said("{path}: removed; it was not there before", path=path))
    say(Said("labelkit undo again brings back what this took away"))
    return ExitCode.OK
