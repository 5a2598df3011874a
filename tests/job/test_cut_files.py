"""Cuts for a machine, read back by libraries that share nothing with labelkit.

ezdxf reads the DXF, svgelements the SVG. Both are held against the trim by its own geometry: a
circle, an ellipse, a rectangle with quarter circles for corners, an arch.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from pathlib import Path

import ezdxf
import pdfplumber
import pikepdf
import pytest
import svgelements

from labelkit.impose import impose_labels
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import MadeSheets, Wish, make_sheets_of_file
from labelkit.order.printer import PrinterProfile, format_printers

Event = Callable[..., Path]
Point = tuple[float, float]
Outlines = dict[str, list[list[Point]]]
"""Points along every line, by layer: millimetres from the sheet's lower left corner."""

CUTTER = Wish(for_cutter=True)
TRUE_MM = 0.02
"""What is promised."""
MM = 72 / 25.4
SHAPES = {
    "rounded": (60.0, 40.0),
    "round": (50.0, 50.0),
    "oval": (60.0, 44.0),
    "arch": (44.0, 60.0),
}
CORNER_MM = 3.0


def order(event: Event, shape: str, *keys: str, guests: int = 3) -> Path:
    width, height = SHAPES[shape]
    corner = f'corner = "{CORNER_MM} mm"\n' if shape == "rounded" else ""
    return event(
        ('trim = "44 x 28 mm"', f'trim = "{width:g} x {height:g} mm"'),
        ('shape = "rounded"', f'shape = "{shape}"'),
        ('corner = "2 mm"\n', corner),
        ('layout = "lantern"', "\n".join(['layout = "lantern"', *keys])),
        ("guests = 60\n", f"guests = {guests}\n"),
    )


def make(label: Path, folder: Path, wish: Wish = CUTTER) -> MadeSheets:
    made = make_sheets_of_file(label, folder, wish)
    assert made.report.verdict == "pass"
    return made


def read_dxf(path: Path) -> Outlines:
    found: Outlines = {}
    for line in ezdxf.readfile(path).modelspace():
        points = [(v.dxf.location.x, v.dxf.location.y) for v in line.vertices]
        assert line.dxftype() == "POLYLINE"
        found.setdefault(line.dxf.layer, []).append(
            [*points, points[0]] if line.is_closed else points
        )
    return found


def read_svg(path: Path) -> Outlines:
    """svgelements gives lengths in pixels of CSS, 96 to the inch, from the upper left corner."""
    drawing = svgelements.SVG.parse(str(path))
    px, height = 96 / 25.4, drawing.height
    found: Outlines = {}
    for group in drawing:
        name = group.values["id"].upper().replace("-", "_")
        for shape in (one for one in group if isinstance(one, svgelements.Path)):
            steps = [
                segment.point(step / 20)
                for segment in shape
                if not isinstance(segment, svgelements.Move)
                for step in range(21)
            ]
            found.setdefault(name, []).append([(p.x / px, (height - p.y) / px) for p in steps])
    return found


READERS = {"svg": read_svg, "dxf": read_dxf}


def stray_mm(shape: str, x: float, y: float, grown: float = 0.0) -> float:
    """How far a point is from the outline of a label whose lower left corner is at 0, 0, or from
    its parallel ``grown`` outside."""
    width, height = SHAPES[shape]
    x, y = x - width / 2, y - height / 2
    if shape == "round":
        return abs(math.hypot(x, y) - width / 2 - grown)
    if shape == "oval":  # its own parallel is none: only the ellipse itself, by the nearest point
        a, b = width / 2, height / 2
        nearest = min(
            math.hypot(x - a * math.cos(t), y - b * math.sin(t))
            for t in (math.atan2(y / b, x / a) + step / 5000 for step in range(-250, 251))
        )
        return abs(nearest - grown)
    if shape == "arch":
        radius, spring = width / 2, height / 2 - width / 2
        if y >= spring:
            return abs(math.hypot(x, y - spring) - radius - grown)
        return min(abs(abs(x) - radius - grown), abs(y + height / 2 + grown))
    inner_x, inner_y = width / 2 - CORNER_MM, height / 2 - CORNER_MM
    dx, dy = max(abs(x) - inner_x, 0.0), max(abs(y) - inner_y, 0.0)
    return abs(math.hypot(dx, dy) - CORNER_MM - grown)


def chords(points: list[Point]) -> Iterator[Point]:
    """The corners of a line and the middles between them, where a chord strays the most."""
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        yield x0, y0
        yield (x0 + x1) / 2, (y0 + y1) / 2


def extent(points: list[Point]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize("end", READERS)
@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.quick(1)
def test_every_label_is_cut_along_its_trim(
    shape: str, end: str, event: Event, tmp_path: Path
) -> None:
    """A rounded label that is turned on the sheet keeps its size: its corners lie in it turned."""
    label = order(event, shape, 'gutter = "2 mm"')
    make(label, tmp_path / "out")
    job = prepare_job(label)
    sheet = impose_labels(job.stock, job.spec.trim, job.spec.event.labels)[0]
    found = READERS[end](tmp_path / "out" / f"cut-guide.{end}")["DIE_LINE"]
    assert len(found) == len(sheet.places)
    for points, place in zip(found, sheet.places, strict=True):
        for x, y in chords(points):
            on_label = {
                0: (x - place.x_mm, y - place.y_mm),
                1: (y - place.y_mm, place.x_mm + place.width_mm - x),
            }[place.turns]
            assert stray_mm(shape, *on_label) <= TRUE_MM
        assert extent(points) == pytest.approx(
            (place.x_mm, place.y_mm, place.x_mm + place.width_mm, place.y_mm + place.height_mm),
            abs=TRUE_MM,
        )


@pytest.mark.parametrize("end", READERS)
@pytest.mark.quick(1)
def test_cuts_stand_on_the_targets_of_the_printed_sheet(
    end: str, event: Event, tmp_path: Path
) -> None:
    """Also where the sheet is corrected for a printer that is 0.4 mm off: the machine finds the
    marks where they come out, so they are given where they belong."""
    label = order(event, "round")
    printer = PrinterProfile("b", offset_x_mm=0.4)
    (label.parent / "printers.toml").write_text(format_printers([printer]), encoding="utf-8")
    made = make(label, tmp_path / "out", Wish(for_cutter=True, printer="b"))
    with pdfplumber.open(made.files[0]) as pdf:
        (page,) = pdf.pages[:1]
        crosses = {
            (round((line["x0"] + line["x1"]) / 2 / MM + 0.4, 2),
             round((line["y0"] + line["y1"]) / 2 / MM, 2))
            for line in page.lines
            if abs(max(line["width"], line["height"]) / MM - 5.0) < 0.01
        }  # fmt: skip
    marks = READERS[end](tmp_path / "out" / f"cut-guide.{end}")["REGISTRATION"]
    middles = {
        (round((x0 + x1) / 2, 2), round((y0 + y1) / 2, 2)) for x0, y0, x1, y1 in map(extent, marks)
    }
    assert len(crosses) >= 3
    for x, y in crosses:
        assert any(math.hypot(x - mx, y - my) <= TRUE_MM for mx, my in middles)
    assert len(middles) == len(crosses)


@pytest.mark.parametrize("shape", ["round", "oval", "arch"])
def test_a_blade_has_room_between_curved_labels(shape: str, event: Event) -> None:
    """Two millimetres where nothing else is asked for (common practice, no source: 2 to 3)."""
    for keys, least in (((), 2.0), (('gutter = "3 mm"',), 3.0), (('bleed = "2 mm"',), 4.0)):
        job = prepare_job(order(event, shape, *keys))
        sheet = impose_labels(job.stock, job.spec.trim, 60, bleed_mm=job.spec.bleed_mm)[0]
        assert nearest_mm([place.box for place in sheet.places]) == pytest.approx(least)
        event((keys[0], "") if keys else ("", ""), *restore(shape))


def restore(shape: str) -> list[tuple[str, str]]:
    """The changes of ``order`` taken back, to make them anew in the same file."""
    width, height = SHAPES[shape]
    return [
        (f'trim = "{width:g} x {height:g} mm"', 'trim = "44 x 28 mm"'),
        (f'shape = "{shape}"', 'shape = "rounded"\ncorner = "2 mm"'),
        ("guests = 3\n", "guests = 60\n"),
    ]


def nearest_mm(boxes: list[object]) -> float:
    """The least gap between two boxes of one row or one column."""
    gaps = []
    for one, other in itertools.permutations(boxes, 2):
        across, up = other.x0_mm - one.x1_mm, other.y0_mm - one.y1_mm  # type: ignore[attr-defined]
        gaps += [max(across, up)] if max(across, up) > -1e-6 else []
    return min(gaps)


@pytest.mark.usefixtures("ink_on_trust")
def test_straight_labels_share_a_cut_unless_a_gutter_is_asked_for(
    event: Event, tmp_path: Path
) -> None:
    label = order(event, "rounded")
    made = make(label, tmp_path / "out")
    assert any("a machine cuts most lines twice" in str(line) for line in made.summary)
    job = prepare_job(label)
    sheet = impose_labels(job.stock, job.spec.trim, 60)[0]
    assert nearest_mm([place.box for place in sheet.places]) == pytest.approx(0.0)


@pytest.mark.parametrize("end", READERS)
@pytest.mark.parametrize(
    ("cut", "layers"),
    [("through", {"DIE_LINE": 0.0}), ("kiss", {"KISS_CUT": 0.0}),
     ("both", {"KISS_CUT": 0.0, "DIE_LINE": 1.0})],
)  # fmt: skip
@pytest.mark.quick(2)
def test_kiss_cuts_and_through_cuts_are_layers_apart(
    cut: str, layers: dict[str, float], end: str, event: Event, tmp_path: Path
) -> None:
    """With a gutter of 3 mm the backing is cut 1 mm outside the label: half the rest is the other
    label's, and 1 mm is left between the two."""
    label = order(event, "round", f'cut = "{cut}"', 'gutter = "3 mm"')
    make(label, tmp_path / "out")
    found = READERS[end](tmp_path / "out" / f"cut-guide.{end}")
    assert set(found) == {*layers, "REGISTRATION"}
    job = prepare_job(label)
    (place, *_) = impose_labels(job.stock, job.spec.trim, job.spec.event.labels)[0].places
    for layer, grown in layers.items():
        for x, y in chords(found[layer][0]):
            assert stray_mm("round", x - place.x_mm, y - place.y_mm, grown) <= TRUE_MM


def test_the_guide_and_the_press_file_have_the_cuts_in_layers_of_their_own(
    event: Event, tmp_path: Path
) -> None:
    """Marked as ISO 19593-1 has it (from memory)."""
    label = order(event, "round", 'cut = "both"')
    make(label, tmp_path / "out")
    works = make(label, tmp_path / "works", Wish(for_press=True)).files[0]
    for path in (tmp_path / "out" / "cut-guide.pdf", works):
        with pikepdf.open(path) as pdf:
            groups = {str(one.Name): one for one in pdf.Root.OCProperties.OCGs}
            kinds = {name: str(one.GTS_Metadata.GTS_ProcStepsType) for name, one in groups.items()}
            assert kinds == {"Die line": "/Cutting", "Kiss cut": "/PartialCutting"}
            content = pikepdf.parse_content_stream(pdf.pages[0])
            marked = [str(operands[1]) for operands, operator in content
                      if str(operator) == "BDC" and operands[0] == "/OC"]  # fmt: skip
            named = pdf.pages[0].Resources.Properties
            assert {str(named[name].Name) for name in marked} == set(groups)


@pytest.mark.long
def test_sheets_whose_labels_lie_otherwise_have_files_of_their_own(
    event: Event, tmp_path: Path
) -> None:
    label = order(event, "round", guests=60)
    made = make(label, tmp_path / "out")
    job = prepare_job(label)
    sheets = impose_labels(job.stock, job.spec.trim, job.spec.event.labels)
    kinds = list(dict.fromkeys(len(sheet.places) for sheet in sheets))
    assert len(kinds) == 2
    for end, read in READERS.items():
        names = [f"cut-guide.{end}", f"cut-guide-2.{end}"]
        assert [path.name for path in made.files if path.suffix == f".{end}"] == names
        for name, count in zip(names, kinds, strict=True):
            assert len(read(tmp_path / "out" / name)["DIE_LINE"]) == count


def test_a_folded_tag_is_cut_with_its_holes_and_creased(event: Event, tmp_path: Path) -> None:
    """Both leaves have a hole; the fold stands in the middle of the flat piece."""
    label = event(
        ("[plan.quote]", '[[piece]]\nkind = "hang-tag"\nfolded = true\n[plan.quote]'),
        ("guests = 60\n", "guests = 3\n"),
    )
    made = make_sheets_of_file(label, tmp_path / "out", CUTTER)
    assert made.report.verdict == "pass"
    job = prepare_job(label)
    (piece,) = job.spec.pieces
    assert piece.hole_mm and len(piece.holes) == 2
    for end, read in READERS.items():
        found = read(tmp_path / "out" / f"cut-guide-hang-tag.{end}")
        first = found["FOLD_LINE"][0]
        assert max(extent(first)[2] - extent(first)[0], extent(first)[3] - extent(first)[1]) == (
            pytest.approx(piece.height_mm if piece.folds[0].upright else piece.width_mm)
        )
        rings = [
            extent(line) for line in found["DIE_LINE"]
            if extent(line)[2] - extent(line)[0] == pytest.approx(piece.hole_mm, abs=TRUE_MM)
        ]  # fmt: skip
        if end == "dxf":  # svgelements gives the contours of a path as one
            assert len(rings) == 2 * len(found["FOLD_LINE"])


@pytest.mark.usefixtures("ink_on_trust")
def test_an_earlier_run_s_cuts_are_cleared_away(event: Event, tmp_path: Path) -> None:
    label = order(event, "round")
    make(label, tmp_path / "out")
    make(label, tmp_path / "out", Wish())
    assert not [*(tmp_path / "out").glob("*.dxf"), *(tmp_path / "out").glob("*.svg")]


@pytest.mark.usefixtures("ink_on_trust")
def test_same_order_gives_the_same_bytes(event: Event, tmp_path: Path) -> None:
    label = order(event, "oval")
    for folder in ("one", "other"):
        make(label, tmp_path / folder)
    for end in READERS:
        one, other = (tmp_path / folder / f"cut-guide.{end}" for folder in ("one", "other"))
        assert one.read_bytes() == other.read_bytes()


@pytest.mark.usefixtures("ink_on_trust")
def test_the_dxf_is_sound_to_the_last_group(event: Event, tmp_path: Path) -> None:
    make(order(event, "arch"), tmp_path / "out")
    drawing = ezdxf.readfile(tmp_path / "out" / "cut-guide.dxf")
    assert drawing.dxfversion == "AC1009"
    audit = drawing.audit()
    assert not audit.errors
