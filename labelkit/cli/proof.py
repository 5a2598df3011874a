"""``labelkit proof``: what the customer signs."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.cli.targets import file_ending
from labelkit.errors import ExitCode


@click.command(
    "proof",
    epilog="Example: labelkit proof samples/lighthouse-supper/label.toml --out proof.pdf",
)
@click.argument("label", type=click.Path(path_type=Path), metavar="LABEL.toml")
@click.option(
    "--out", "target", type=file_ending(".pdf", ".png"), required=True, metavar="FILE.pdf",
    help="The proof to write; FILE.png writes each page as a picture instead, FILE-1.png and so"
    " on.",
)  # fmt: skip
@click.option(
    "--png", "png_folder", type=click.Path(path_type=Path), metavar="DIR",
    help="Also write each page as a picture at 600 dpi into this folder.",
)  # fmt: skip
@click.option(
    "--language", metavar="CODE",
    help="Language of the captions (en, fr) instead of plan.language, or the label's first.",
)  # fmt: skip
def command(label: Path, target: Path, png_folder: Path | None, language: str | None) -> int:
    """Make the proof of a label for the customer to sign.

    Every panel at actual size and enlarged, the printed letter heights beside their legal minimum,
    the order of the ingredients with their masses, the findings of the preflight, and a place to
    sign. A proof is made even when the preflight fails: it says so, and the exit code is 1.
    """
    from labelkit.files import make_folder, write_all
    from labelkit.job import prepare
    from labelkit.proof import make_proof, png_pages

    proof = make_proof(prepare(label), language)
    files: dict[Path, bytes] = {}
    if target.suffix.lower() == ".png":
        png_folder = png_folder or target.parent
    else:
        files[target] = proof.data
        make_folder(target.parent)
    if png_folder is not None:
        make_folder(png_folder)
        files |= png_pages(proof.data, png_folder, target.stem)
    write_all(files)
    for path in files:
        click.echo(f"{path}")
    for line in (*proof.notes, *proof.fallbacks):
        click.echo(line, err=True)
    click.echo(f"Preflight: {proof.report.verdict}")
    return ExitCode.OK if proof.report.verdict == "pass" else ExitCode.FINDINGS
