"""What was just written is rendered and held against a fresh drawing of each form of label."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

import pikepdf
import pytest
from sample_copies import copy_sample
from sheet_events import GUESTS, SAMPLE

from labelkit.compose import make_run
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.job import sheets
from labelkit.job.ink import FormsWritten, look_at_ink
from labelkit.job.sheets import PressError, make_sheets_of_file
from labelkit.model.runs import Panel
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.typeset.faces import FaceRequest, load_face


def draw_and_add(operators: bytes) -> Callable[..., None]:
    """The drawer of pages, but for a fault: something more is drawn, outside of all marks."""

    def draw(stream: IO[bytes], *args: Any) -> None:
        draw_pages(stream, *args)
        stream.seek(0)
        with pikepdf.open(io.BytesIO(stream.read())) as pdf:
            for page in pdf.pages:
                page.contents_add(pikepdf.Stream(pdf, b"q " + operators + b" Q"))
            altered = io.BytesIO()
            pdf.save(altered)
        stream.seek(0)
        stream.truncate()
        stream.write(altered.getvalue())

    return draw


def test_ink_that_no_reader_of_text_would_see_is_a_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A line through the first label; the text is read back as it was composed."""
    label = copy_sample(SAMPLE, tmp_path / "event") / "label.toml"
    line = b"0 G 1 w 60 720 m 170 720 l S"
    monkeypatch.setattr(sheets, "draw_pages", draw_and_add(line))
    with pytest.raises(PressError, match="has ink over or beside it that should not be there"):
        make_sheets_of_file(label, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_ink_beside_the_labels_is_none_of_theirs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    label = copy_sample(SAMPLE, tmp_path / "event") / "label.toml"
    monkeypatch.setattr(sheets, "draw_pages", draw_and_add(b"0 g 2 2 6 6 re f"))
    assert make_sheets_of_file(label, tmp_path / "out").files


def test_of_many_labels_each_form_is_rendered_once(
    personal: Callable[..., Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Front and back of twenty guests and two spares without a name: on the front a label with a
    name and one without, on the back one for all."""
    names = (*GUESTS, *(f"Guest {chr(65 + n)}" for n in range(20 - len(GUESTS))))
    rendered: list[int] = []
    whole = sheets.look_at_ink

    def count(stream: IO[bytes], labels: Any, printer: Any) -> Any:
        rendered.append(len(labels))
        return whole(stream, labels, printer)

    monkeypatch.setattr(sheets, "look_at_ink", count)
    make_sheets_of_file(personal("forms", names, "2"), tmp_path)
    assert rendered == [2, 1]


def test_a_form_is_known_by_its_panel_and_how_it_lies() -> None:
    forms, side = FormsWritten(), SheetSide(Panel("front", 40, 30), {}, lambda _: ())
    upright, turned = LabelPlace(0, 0, 0, 40, 30), LabelPlace(1, 40, 0, 30, 40, 1)
    sheet = Sheet(100, 100, (upright, upright, turned, turned))
    forms.note(0, Page(0, sheet), side)
    forms.note(1, Page(0, sheet), side)
    assert [label.place for label in forms.labels] == [upright, turned]


def test_letters_that_toner_closes_are_told() -> None:
    """Heavy letters of 2.5 pt, whose gaps a dot of 400 dpi on every side closes; not those of 6."""
    face = load_face(FaceRequest("fira-sans", 700))

    def look(size_pt: float) -> tuple[str, ...]:
        run = make_run("Sodium Olivate 89", "ingredients", "zxx", face, size_pt, 5.0, 10.0)
        side = SheetSide(Panel("back", 60, 20, runs=(run,)), {face.name: face}, lambda _: ())
        sheet, stream = Sheet(80, 40, (LabelPlace(0, 5, 5, 60, 20),)), io.BytesIO()
        draw_pages(stream, (side,), (Page(0, sheet),), DocumentInfo("", "en"))
        forms = FormsWritten()
        forms.note(0, Page(0, sheet), side)
        found = look_at_ink(stream, forms.labels, None)
        assert found.fault is None
        return found.filling

    assert look(2.5) == ("ingredients",)
    assert look(6) == ()
