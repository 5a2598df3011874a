"""What must hold of any composed panel, whatever is on it; used by several tests."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import ComposedPanel
from labelkit.compose.element_words import Wordings
from labelkit.model.outline import Outline
from labelkit.model.runs import Box, Panel, Run, list_element_texts
from labelkit.rules.floors import Floors, LetterMeasure
from labelkit.typeset.shape import shape_text

TOLERANCE_MM = 0.02
LETTERS_MAY_OVERLAP_MM = 0.2
"""An italic letter leans over the one after it."""


def check_words(composed: ComposedPanel, words: Wordings) -> None:
    """Every word is there once and in order, but for what was left out and is said to be."""
    shown = {run.element for run in composed.panel.runs}
    for element in shown & set(words):
        texts = {t.language: t.text for t in list_element_texts(composed.panel, element)}
        wanted = {w.language: w.text.strip() for w in words[element]}
        if element == "dealer":  # a comma between two of its lines falls away
            ends = [run.text.rstrip() for run in composed.panel.runs if run.element == element]
            assert not any(text.endswith(",") for text in ends)
            texts, wanted = (
                {language: text.replace(", ", " ") for language, text in found.items()}
                for found in (texts, wanted)
            )
        folded = {language: text.casefold() for language, text in texts.items()}
        assert folded == {language: text.casefold() for language, text in wanted.items()}
    assert not shown & set(composed.fit.left_out)


def check_inside(panel: Panel) -> None:
    """No ink is nearer to the trim than the margin, all round the shape."""
    outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    for run in panel.runs:
        if run.text.strip():
            assert outline.contains(run.ink, panel.safe_mm - TOLERANCE_MM), run.text


def check_floors(panel: Panel, floors: Floors) -> int:
    """Every legal height is held; how many were measured."""
    checked = 0
    for run in panel.runs:
        for floor in floors.of(run.element).heights:
            height = _measured(run, floor.measure)
            if floor.legal and height is not None and run.text.strip():
                assert Decimal(str(round(height, 6))) >= floor.least_mm, run
                checked += 1
    return checked


def check_apart(composed: ComposedPanel) -> None:
    """No letter touches one of another line."""
    runs = [run for run in composed.panel.runs if run.text.strip()]
    for i, run in enumerate(runs):
        for other in runs[i + 1 :]:
            if run.baseline_mm != other.baseline_mm and run.ink.meets(other.ink):
                theirs = letter_boxes(composed, other)
                for box in letter_boxes(composed, run):
                    assert not any(box.meets(b) for b in theirs), (run.text, other.text)


def check_reading_order(panel: Panel) -> None:
    """Runs come from head to foot and, on a line, from left to right without meeting.

    Whoever copies text out of the PDF gets it in this order.
    """
    for before, after in pairwise(panel.runs):
        same_line = abs(before.baseline_mm - after.baseline_mm) < 1e-6
        assert same_line or after.baseline_mm < before.baseline_mm, (before.text, after.text)
        if same_line:
            assert after.x_mm >= before.x_mm, (before.text, after.text)
            if before.text.strip() and after.text.strip():
                assert after.ink.x0_mm >= before.ink.x1_mm - LETTERS_MAY_OVERLAP_MM, after.text


def check_equals(composed: ComposedPanel) -> None:
    """The languages of an element are set in one face, size, weight and colour."""
    for element in {run.element for run in composed.panel.runs}:
        runs = [r for r in composed.panel.runs if r.element == element and r.text.strip()]
        if element != "separator":
            runs = [
                run for run in runs if run.text.strip() != "&"
            ] or runs  # a sign of its own size
            assert len({(r.face, r.size_pt, r.weight, r.colour) for r in runs}) == 1, element


def letter_boxes(composed: ComposedPanel, run: Run) -> list[Box]:
    """Where the ink of every letter of a run lies."""
    boxes: list[Box] = []
    x, em_mm = run.x_mm, run.size_pt / PT_PER_MM
    shaped = shape_text(composed.faces[run.face], run.text)
    for advance, ink in zip(shaped.advances_em, shaped.inks, strict=True):
        if ink is not None:
            left, foot = x + ink.x0_em * em_mm, run.baseline_mm + ink.y0_em * em_mm
            right, top = x + ink.x1_em * em_mm, run.baseline_mm + ink.y1_em * em_mm
            boxes.append(Box(left, foot, right, top))
        x += (advance + run.tracking_em) * em_mm
    return boxes


def _measured(run: Run, measure: LetterMeasure) -> float | None:
    if measure is LetterMeasure.FIGURE:
        return run.letters.figure_mm
    capitals = run.text == run.text.upper() and run.text != run.text.lower()
    return run.letters.capital_mm if capitals else run.letters.small_o_mm
