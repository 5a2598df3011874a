"""``labelkit new``: a folder for an event, with files to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.errors import ExitCode, InputError, shown_path


@click.command("new", epilog="Example: labelkit new autumn-wedding")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
def command(folder: Path) -> int:
    """Start a folder for an event: label.toml, recipe.toml and maker.toml, with comments.

    Fill in every line marked <<< and the label passes its preflight. Files that are already there
    are never touched.
    """
    from importlib.resources import files

    from labelkit.files import make_folder, write_all

    starter = files("labelkit") / "starter"
    contents = {
        folder / name: (starter / name).read_bytes()
        for name in ("label.toml", "recipe.toml", "maker.toml")
    }
    for path in contents:
        if path.exists():
            raise InputError(shown_path(path), "", None, "is already there; choose a new folder")
    make_folder(folder)
    write_all(contents)
    for path in contents:
        click.echo(f"{path}")
    click.echo(f"Fill in the lines marked <<<, then: labelkit preflight {folder / 'label.toml'}")
    return ExitCode.OK
