"""``labelkit schema``: what may stand in the files, for an editor or for a reader."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.cli.voice import get_language, say_all
from labelkit.common.errors import ExitCode
from labelkit.common.json_text import format_json
from labelkit.common.messages import FactList, Said, Verbatim


@click.command("schema", epilog="Example: labelkit schema --out schemas")
@click.argument("file", metavar="[FILE]", required=False)
@click.option(
    "--out", "folder", type=click.Path(path_type=Path), metavar="DIR",
    help="Write the schema of every file into this folder, as label.schema.json and so on.",
)  # fmt: skip
@click.option(
    "--reference", is_flag=True, help="Print every key with its meaning and an example (Markdown)."
)
def command(file: str | None, folder: Path | None, reference: bool) -> int:
    """Print the JSON Schema of label.toml, maker.toml, recipe.toml, prices.toml, shelf.toml,
    pours.toml, offer.toml, stock.toml, layout.toml, printers.toml or part-used.toml.

    An editor that knows TOML and JSON Schema completes and checks a file with it while you type:
    write `#:schema label.schema.json` on its first line, or as your editor has it.
    """
    from labelkit.order.schema import FILES, build_schema

    names = {_short_name(name): build_schema(name) for name in FILES}
    if sum(map(bool, (file, folder, reference))) != 1:
        raise click.UsageError(
            Said("expected one of {listed}, or --out, or --reference", listed=FactList(names))
        )
    if reference:
        from labelkit.report.reference_page import format_reference_page

        click.echo(format_reference_page(get_language()), nl=False)
    elif folder is not None:
        from labelkit.common.journal import Work, find_workshop, write_outputs

        paths = {
            folder / f"{name.removesuffix('.toml')}.schema.json": _format_json(schema).encode()
            for name, schema in names.items()
        }
        told = write_outputs(paths, Work("schema", find_workshop(folder)))
        for path in paths:
            click.echo(path)
        say_all(told, err=True)
    elif file in names:
        click.echo(_format_json(names[file]), nl=False)
    else:
        raise click.UsageError(
            Said(
                "no file is called {file}; expected one of {listed}",
                file=Verbatim(file or ""),
                listed=FactList(names),
            )
        )
    return ExitCode.OK


def _short_name(name: str) -> str:
    """What an editor's schema of it is called: of "a stock file" stock.toml."""
    return name if name.endswith(".toml") else f"{name.split()[1]}.toml"


def _format_json(schema: object) -> str:
    return format_json(schema) + "\n"
