"""``labelkit new``: a folder for an event, with files to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.errors import ExitCode, InputError, shown_path


@click.command("new", epilog="Example: labelkit new autumn-wedding --region CA --region US")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
@click.option(
    "--region", "regions", multiple=True, metavar="CODE",
    help="Start with the languages and lines of this region (CA, US, BE ...); may be given again."
    " Canada unless given.",
)  # fmt: skip
def command(folder: Path, regions: tuple[str, ...]) -> int:
    """Start a folder for an event: label.toml, recipe.toml and maker.toml, with comments.

    Fill in every line marked <<< and the label passes its preflight; where it is for several
    regions whose laws pull apart, the preflight says where and what helps. Files that are already
    there are never touched.
    """
    from labelkit.files import make_folder, write_all
    from labelkit.starting import starter_files

    made = starter_files(regions)
    contents = {folder / name: text.encode("utf-8") for name, text in made.items()}
    for path in contents:
        if path.exists():
            raise InputError(shown_path(path), "", None, "is already there; choose a new folder")
    make_folder(folder)
    write_all(contents)
    for path in contents:
        click.echo(f"{path}")
    click.echo(f"Fill in the lines marked <<<, then: labelkit preflight {folder / 'label.toml'}")
    return ExitCode.OK
