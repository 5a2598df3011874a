"""``labelkit layouts``: the designs there are, an order in each of them, and one of your own."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.cli.targets import make_file_type
from labelkit.cli.usage import CommandGroup
from labelkit.cli.voice import say, speak
from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import Said, Term

OWN = """# My own design: what differs from {title}; all else stays as it is there.
# In label.toml: layout = "{file}"
labelkit = 1
extends = "{base}"
title = "{own}"

# Another face for the names:
# [faces.names]
# family = "cormorant-garamond"
# weight = 600
# italic = true

# Another size for them, from least to most:
# [front.sizes]
# names = ["9 pt", "16 pt"]

# One block changed, or left out (leave_out = true). There are: {shown}.
# [[front.changes]]
# element = "names"
# settings = ["capitals"]
# capitals_tracking = 0.1

# A plant that grows from a few words; every order gets its own:
# [ornaments.garland]
# grow = "garland"        # sprig, garland, stem, posy, blossom, leaf
# leaf = "bay"            # willow, bay, coin, heart, rosemary, grain, bud
# pairs = 6
# berries = 2
{drawings}
# A drawing of your own, beside this file; strokes are made outlines:
# [ornaments.mine]
# file = "sprig.svg"

# A wreath, vine, beads, scallops, stitches or dentils along the trim:
# [[front.surrounds]]
# kind = "wreath"
# inset = "1 mm"
# depth = "2.6 mm"
"""


@click.group(
    "layouts", cls=CommandGroup, invoke_without_command=True, epilog="Example: labelkit layouts"
)
@click.pass_context
def command(context: click.Context) -> None:
    """List the designs: name, and what it looks like and is for.

    `labelkit layouts show label.toml --out layouts.pdf` sets your own words in every one of them.
    """
    if context.invoked_subcommand is None:
        from labelkit.job.layout_sheet import list_layouts

        layouts = list_layouts()
        width = max(len(layout.name) for layout in layouts)
        for layout in layouts:
            click.echo(f"{layout.name.ljust(width)}  {speak(Term('', layout.about))}")


@command.command(
    "show", epilog="Example: labelkit layouts show samples/lighthouse-supper/label.toml"
    " --out layouts.pdf",
)  # fmt: skip
@click.argument("label", type=click.Path(path_type=Path), metavar="LABEL.toml")
@click.option(
    "--out", "target", type=make_file_type(".pdf", ".png"), metavar="FILE", required=True,
    help="A PDF at true size, or a PNG.",
)  # fmt: skip
@click.option("--quick", is_flag=True, help="Without the smallest legal trim of each.")
def show(label: Path, target: Path, quick: bool) -> None:
    """Set an order in every design: one sheet, and under each whether it is legal on this trim."""
    from labelkit.common.files import make_folder, write_files
    from labelkit.job.layout_sheet import list_layouts, try_layouts
    from labelkit.job.prepare import prepare_job
    from labelkit.report.layout_sheet import draw_layout_sheet

    job = prepare_job(label)
    layouts = list_layouts(label.parent)
    width = max(len(layout.name) for layout in layouts)
    trials = []
    for trial in try_layouts(job, layouts, smallest=not quick):
        trials.append(trial)
        said = "; ".join(map(speak, filter(None, (trial.verdict, trial.smallest_text))))
        click.echo(f"{trial.job.layout.name.ljust(width)}  {said}")
    title = job.spec.event.names.get("") or next(iter(job.spec.event.names.values()))
    make_folder(target.parent)
    write_files({target: _as_asked(draw_layout_sheet(trials, title, speak), target)})
    click.echo(str(target))


@command.command(
    "specimen", epilog="Example: labelkit layouts specimen mine.toml --out specimen.pdf"
)
@click.argument("label", type=click.Path(path_type=Path), metavar="LABEL.toml")
@click.option(
    "--out", "target", type=make_file_type(".pdf", ".png"), metavar="FILE", required=True,
    help="A PDF at true size, or a PNG.",
)  # fmt: skip
def specimen(label: Path, target: Path) -> None:
    """Show an order's own design at every shape it claims and some usual sizes."""
    from labelkit.common.files import make_folder, write_files
    from labelkit.job.layout_sheet import try_specimen
    from labelkit.job.prepare import prepare_job
    from labelkit.report.layout_sheet import draw_specimen

    job = prepare_job(label)
    trials = list(try_specimen(job))
    for trial in trials:
        say(Said("{trim}: {verdict}", trim=trial.trim_text, verdict=trial.verdict))
    make_folder(target.parent)
    write_files({target: _as_asked(draw_specimen(trials, job.layout.title, speak), target)})
    click.echo(str(target))


@command.command(
    "new", epilog="Example: labelkit layouts new autumn-wedding/mine.toml --from hedgerow"
)
@click.argument("file", type=make_file_type(".toml"), metavar="FILE.toml")
@click.option("--from", "base", required=True, metavar="NAME", help="The design to begin with.")
def new(file: Path, base: str) -> None:
    """Begin a design of your own: a file that says only how it differs from another."""
    from labelkit.common import resources
    from labelkit.common.files import make_folder, write_files
    from labelkit.order.layout import find_layout, read_layout

    target = file if file.suffix else file.with_suffix(".toml")
    if target.exists():
        taken = format_path(target)
        raise InputError(taken, "", None, Said("is already there; choose another name"))
    start = read_layout(find_layout(base, target.parent, resources.find_layouts_folder()))
    shown = ", ".join(dict.fromkeys(b.element for b in start.panel("front").blocks if b.element))
    drawn = ", ".join(start.ornaments)
    text = OWN.format(
        title=start.title,
        file=target.name,
        base=base,
        own=target.stem.replace("-", " ").capitalize(),
        shown=shown,
        drawings=f"# Drawings of {start.title} that you may give anew: {drawn}.\n" if drawn else "",
    )
    make_folder(target.parent)
    write_files({target: text.encode("utf-8")})
    click.echo(target)
    say(Said('Next: say layout = "{name}" in the label.toml beside it', name=target.name))


def _as_asked(data: bytes, target: Path) -> bytes:
    """The page as PDF, or as the picture that a name's ending asks for."""
    if target.suffix.lower() != ".png":
        return data
    from labelkit.job.proof import render_png_pages

    return next(iter(render_png_pages(data, target.parent, target.stem, 200).values()))
