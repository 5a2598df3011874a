"""The questions of ``labelkit stock measure``, and those that are asked again."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

import click

from labelkit.cli.lengths import ask_value, parse_length_option, parse_size_option
from labelkit.cli.stock import MATERIALS, SHAPES
from labelkit.cli.voice import complain
from labelkit.common.errors import InputError
from labelkit.common.messages import Said
from labelkit.order.measured_stock import StockMeasures
from labelkit.order.stock import KRAFT, read_stock

_OPTIONS = {"die": "label", "span_across": "span-across", "span_down": "span-down"}
"""What an answer is called on the command line, where that is not its own name."""
_ASK_AGAIN = {
    "page": ("page",),
    "width": ("width",),
    "die": ("die", "shape"),
    "pitch": ("die", "span_across", "span_down"),
    "corner": ("corner", "die"),
    "left": ("page", "width", "across", "die", "left", "span_across"),
    "top": ("page", "down", "die", "top", "span_down"),
    "unprintable": ("page", "width"),
    "feed_gap": ("gap",),
    "colour": ("colour",),
}
"""By the key of the stock file that cannot be true: the answers it may lie with."""


def ask_stock_measures(given: Mapping[str, Any], name: str) -> StockMeasures:
    """The measures, those that are missing asked one by one.

    Where they cannot be true what may be wrong is asked again, with the answers given as the ones
    that Enter keeps; InputError where nothing was asked, and nobody is there to ask.
    """
    answers = _Answers(dict(given))
    while True:
        measures = _ask_measures(answers)
        try:
            _check_measures(measures.toml(), name)
        except InputError as error:
            if not answers.asked:
                raise
            complain(error.told)
            answers.forget(_ASK_AGAIN.get(error.key, tuple(answers.texts)))
        else:
            return measures


@dataclass
class _Answers:
    """What is known, from options or from answers."""

    known: dict[str, Any]
    texts: dict[str, str] = field(default_factory=dict)
    """Answers as they were typed."""
    asked: bool = False

    def ask(self, key: str, question: Said, kind: Any, default: Any = None) -> Any:
        if self.known.get(key) is None:
            typed = ""

            def read(text: str) -> Any:
                nonlocal typed
                typed = text
                return kind(text)

            self.asked = True
            option = _OPTIONS.get(key, key)
            wanted = read if callable(kind) and not isinstance(kind, click.ParamType) else kind
            self.known[key] = ask_value(question, option, wanted, self.texts.get(key, default))
            self.texts[key] = typed or str(self.known[key])
        return self.known[key]

    def forget(self, keys: tuple[str, ...]) -> None:
        for key in keys:
            if key in self.known:
                self.known[key] = None


def _ask_measures(answers: _Answers) -> StockMeasures:
    ask, known = answers.ask, answers.known
    if known["kind"] is None and known["page"] is not None:
        known["kind"] = "sheet"
    elif known["kind"] is None and known["width"] is not None:
        known["kind"] = "roll"
    kinds = click.Choice(["sheet", "roll"])
    kind = ask("kind", Said("A sheet or a roll of labels"), kinds, "sheet")
    measures = _ask_roll(answers) if kind == "roll" else _ask_sheet(answers)
    material = known["material"] or "paper"
    if answers.asked:
        # Whether film is clear is asked by itself: of printed film few would think to say so.
        choice = click.Choice([name for name in MATERIALS if name != "clear"])
        material = ask("material", Said("What it is made of"), choice, "paper")
        see_through = Said("Can you see through it (y or n)")
        if (
            material == "film"
            and "material" in answers.texts
            and ask("clear", see_through, _read_yes)
        ):
            material = "clear"
        if material == "kraft":
            ask("colour", Said("Its colour as #rrggbb"), str, KRAFT)
    return StockMeasures(**measures, material=material, colour=known["colour"] or "")


def _read_yes(text: str) -> bool:
    if text.strip().lower() not in ("y", "yes", "o", "oui", "n", "no", "non"):
        raise click.BadParameter(Said("yes or no"))
    return text.strip().lower() in ("y", "yes", "o", "oui")


def _ask_sheet(answers: _Answers) -> dict[str, Any]:
    ask = answers.ask
    page = ask(
        "page", Said('Sheet, width x height ("8.5 x 11 in" or "210 x 297")'), parse_size_option
    )
    across = ask("across", Said("Labels in a row"), click.IntRange(1, 200))
    down = ask("down", Said("Labels in a column"), click.IntRange(1, 200))
    label = _ask_label(answers)
    left = ask("left", Said("Left edge of the sheet to the first label"), parse_length_option)
    top = ask("top", Said("Upper edge of the sheet to the first label"), parse_length_option)
    span_down = Said("Top of the first label to that of the last in its column")
    return {
        "page": page,
        "across": across,
        "down": down,
        **label,
        "left_mm": left,
        "top_mm": top,
        "span_across_mm": _ask_span_across(answers, across),
        "span_down_mm": ask("span_down", span_down, parse_length_option) if down > 1 else None,
    }


def _ask_roll(answers: _Answers) -> dict[str, Any]:
    ask = answers.ask
    width = ask("width", Said("Width of the roll with its liner"), parse_length_option)
    across = ask("across", Said("Labels in a row"), click.IntRange(1, 200), "1")
    label = _ask_label(answers)
    gap = ask("gap", Said("Gap between two labels along the roll"), parse_length_option, "3 mm")
    number = click.IntRange(0, 100_000)
    labels = ask("labels", Said("Labels on a full roll (0: not known)"), number, "0")
    return {
        "page": (width, label["die"][1]),
        "across": across,
        "down": 1,
        **label,
        "left_mm": answers.known["left"],
        "top_mm": None,
        "span_across_mm": _ask_span_across(answers, across),
        "feed_gap_mm": gap,
        "roll_labels": labels,
    }


def _ask_label(answers: _Answers) -> dict[str, Any]:
    ask = answers.ask
    die = ask("die", Said("One label, width x height"), parse_size_option)
    shape = ask("shape", Said("Shape"), click.Choice(SHAPES), "rectangle")
    rounded = shape == "rounded"
    corner = ask("corner", Said("Corner radius"), parse_length_option) if rounded else Decimal(0)
    return {"die": die, "shape": shape, "corner_mm": corner}


def _ask_span_across(answers: _Answers, across: int) -> Decimal | None:
    question = Said("Left edge of the first label to that of the last in its row")
    return answers.ask("span_across", question, parse_length_option) if across > 1 else None


def _check_measures(text: str, name: str) -> None:
    """Reads the file before it is written; InputError for measures that cannot be true."""
    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder) / name
        draft.write_text(text, encoding="utf-8")
        try:
            read_stock(draft)
        except InputError as error:
            expected = Said(
                "{expected} (lengths without a unit are millimetres)", expected=error.expected
            )
            raise InputError("measured", error.key, error.value, expected) from error
