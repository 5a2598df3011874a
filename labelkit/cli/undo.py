"""``labelkit undo``: the files of the last command as they were before it."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.common.errors import ExitCode


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
            click.echo(f"labelkit has written nothing for {maker} yet, or its journal is gone")
        for entry in entries:
            files = ", ".join(file.path for file in entry.files) or "no file"
            order = f", order {entry.order_code}" if entry.order_code else ""
            click.echo(f"{entry.number:>4}  {entry.at}  {entry.command}{order}: {files}")
        return ExitCode.OK
    done = take_back(workshop)
    click.echo(f"Took back labelkit {done.entry.command} of {done.entry.at}:")
    for path in done.restored:
        click.echo(f"{path}: as it was before")
    for path in done.removed:
        click.echo(f"{path}: removed; it was not there before")
    click.echo("labelkit undo again brings back what this took away")
    return ExitCode.OK
