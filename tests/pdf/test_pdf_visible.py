"""What does not print is not taken for read. Section numbers are those of ISO 32000-1."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    StreamObject,
)
from reportlab.pdfgen.canvas import Canvas

from labelkit.compose import make_run
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.job.examine import examine_label
from labelkit.job.ink import keep_seen_runs, make_label_on_page
from labelkit.job.sheets import make_sheets_of_file
from labelkit.model.runs import NEUTRAL, Box, Ornament, Panel, Run
from labelkit.pdf.ink import look_at_page
from labelkit.pdf.read import Matrix, read_page_settings, read_panel_bytes
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.typeset.faces import FaceRequest, load_face

FACE = load_face(FaceRequest("fira-sans"))
COMMON = (
    make_run("Savon", "identity", "fr", FACE, 8.0, 3.0, 9.0),
    make_run("40 g", "net-quantity", NEUTRAL, FACE, 8.0, 25.0, 9.0),
)
PANEL = Panel("front", 44, 28, runs=COMMON)
SHEET = Sheet(100, 120, (LabelPlace(0, 5, 80, 44, 28), LabelPlace(1, 55, 40, 28, 44, 1)))
SAID = ["Savon", "40 g"]
MM = 72 / 25.4

Change = Callable[[PdfWriter, Any, Any], None]
"""What is done to the page and to the form that both labels draw."""


def own_runs(label: int) -> tuple[Run, ...]:
    return (make_run(f"Guest {label}", "guest", NEUTRAL, FACE, 9.0, 4.0, 20.0),)


def drawn(panel: Panel = PANEL, printer: Matrix | None = None) -> bytes:
    stream = io.BytesIO()
    side = SheetSide(panel, {FACE.name: FACE}, own_runs)
    draw_pages(stream, (side,), (Page(0, SHEET),), DocumentInfo("T", "fr"), printer)
    return stream.getvalue()


def changed(change: Change, panel: Panel = PANEL, printer: Matrix | None = None) -> bytes:
    writer = PdfWriter(clone_from=io.BytesIO(drawn(panel, printer)))
    page = writer.pages[0]
    form = page["/Resources"]["/XObject"]["/FormXob.label0"].get_object()  # type: ignore[index]
    change(writer, page, form)
    stream = io.BytesIO()
    writer.write(stream)
    return stream.getvalue()


def shown_panels(data: bytes) -> list[Panel]:
    """Each label with the text that shows on it."""
    printer = read_page_settings(data, "t.pdf")[0].printer
    found = read_panel_bytes(data, "t.pdf").panels
    labels = [make_label_on_page(place, printer) for place in found]
    look = look_at_page(data, 0, 1.0, (), labels, ())
    return [keep_seen_runs(place, seen).panel for place, seen in zip(found, look.seen, strict=True)]


def texts(data: bytes) -> list[list[str]]:
    """What shows of each label's text."""
    return [[run.text for run in panel.runs] for panel in shown_panels(data)]


def in_form(old: bytes, new: bytes) -> Change:
    """The first ``old`` of the labels' form is written ``new``."""

    def change(_: PdfWriter, __: Any, form: Any) -> None:
        data = form.get_data()
        assert old in data
        form.set_data(data.replace(old, new, 1))

    return change


def shown(before: bytes, after: bytes = b"ET") -> Change:
    """The form's first run begins with ``before`` instead of BT and ends with ``after``."""

    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        in_form(b"BT", before)(writer, page, form)
        in_form(b"ET", after)(writer, page, form)

    return change


def on_page(old: bytes, new: bytes) -> Change:
    def change(writer: PdfWriter, page: Any, _: Any) -> None:
        data = page.get_contents().get_data()
        assert old in data
        stream = DecodedStreamObject()
        stream.set_data(data.replace(old, new, 1))
        page[NameObject("/Contents")] = writer._add_object(stream)

    return change


def appended(operators: str) -> Change:
    def change(writer: PdfWriter, page: Any, _: Any) -> None:
        stream = DecodedStreamObject()
        stream.set_data(page.get_contents().get_data() + b"\n" + operators.encode("ascii"))
        page[NameObject("/Contents")] = writer._add_object(stream)

    return change


def rectangle(x0: float, y0: float, x1: float, y1: float) -> str:
    """An upright rectangle given in millimetres."""
    return f"{x0 * MM:.3f} {y0 * MM:.3f} {(x1 - x0) * MM:.3f} {(y1 - y0) * MM:.3f} re"


def state(**values: float) -> Change:
    """A graphics state parameter dictionary for the form's first run (8.4.5)."""

    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        parameters = DictionaryObject(
            {NameObject(f"/{k}"): FloatObject(v) for k, v in values.items()}
        )
        states = DictionaryObject({NameObject("/GS1"): parameters})
        form["/Resources"][NameObject("/ExtGState")] = states
        shown(b"q /GS1 gs BT", b"ET Q")(writer, page, form)

    return change


def test_as_drawn_everything_is_read() -> None:
    assert texts(drawn()) == [[*SAID, "Guest 0"], [*SAID, "Guest 1"]]


@pytest.mark.parametrize(
    "change",
    [
        shown(b"BT 3 Tr", b"ET 0 Tr"),
        shown(b"q BT 7 Tr", b"ET Q"),
        state(ca=0),
        shown(b"q 0 0 5 5 re W n BT", b"ET Q"),
        shown(b"q 0 0 m 5 0 l 5 5 l h W* n BT", b"ET Q"),
        shown(b"1 g BT", b"ET 0 g"),
        shown(b"0 0 0 0 k BT", b"ET 0 g"),
    ],
    ids=["mode 3", "mode 7", "opacity 0", "clipped", "clipped by a path", "white", "no ink"],
)
def test_invisible_text_is_not_read(change: Change) -> None:
    """9.3.6 for the modes, 11.6.4.4 for the opacity, 8.5.4 for clipping."""
    assert texts(changed(change)) == [["40 g", "Guest 0"], ["40 g", "Guest 1"]]


@pytest.mark.parametrize(
    "change",
    [
        in_form(b"BT", b"BT 1 Tr"),
        in_form(b"BT", b"BT 2 Tr"),
        in_form(b"BT", b"0 0 125 80 re W n BT"),
        in_form(b"BT", b"0 0 125 80 re S BT"),
        in_form(b"BT", b"1 g 0 0 125 80 re f 0 g BT"),
        in_form(b"BT", b"0 0 5 5 re n BT"),
        state(ca=1, CA=0),
        appended(f"1 g {rectangle(5, 20, 49, 28)} f"),
        appended(f"1 g {rectangle(5, 80, 49, 108)} n"),
    ],
)  # fmt: skip
def test_visible_text_is_read(change: Change) -> None:
    assert texts(changed(change)) == [[*SAID, "Guest 0"], [*SAID, "Guest 1"]]


def test_half_transparent_text_is_as_pale_as_it_prints() -> None:
    """11.3.3: black at an opacity of 0.25 on white is 0.75 grey."""
    run = read_panel_bytes(changed(state(ca=0.25)), "t.pdf").panels[1].panel.runs[0]
    assert run.colour == "#bfbfbf"


def test_white_text_on_a_ground_is_read() -> None:
    ground = Ornament("M0 0L44 0L44 28L0 28Z", Box(0, 0, 44, 28), "#203040")
    run = make_run("Savon", "identity", "fr", FACE, 8.0, 3.0, 9.0, 0, "#ffffff")
    panel = Panel("front", 44, 28, runs=(run, COMMON[1]), ornaments=(ground,))
    assert texts(drawn(panel)) == [[*SAID, "Guest 0"], [*SAID, "Guest 1"]]
    white = Panel("front", 44, 28, runs=(run, COMMON[1]))
    assert texts(drawn(white))[0] == ["40 g", "Guest 0"]
    # Once the ground is on the page, under the first label alone.
    before = f"q 0.1 0.2 0.3 rg {rectangle(5, 80, 49, 108)} f Q\n/LkPanel"
    found = texts(changed(on_page(b"/LkPanel", before.encode("ascii")), white))
    assert found == [[*SAID, "Guest 0"], ["40 g", "Guest 1"]]


# -- layers and masks ------------------------------------------------------------------------------


def name(text: str) -> NameObject:
    return NameObject(f"/{text}")


def layered(
    prints: dict[str, object], membership: Callable[[list[Any]], Any] | None = None
) -> Change:
    """The form's first run is in a layer (8.11). The file has two; ``prints`` is the default
    configuration, where "first" and "second" stand for them, and ``membership`` what the run
    belongs to instead of the first."""

    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        groups = [
            writer._add_object(DictionaryObject({name("Type"): name("OCG")})) for _ in range(2)
        ]
        named = dict(zip(("first", "second"), groups, strict=True))
        config = DictionaryObject()
        for key, value in prints.items():
            listed = [named.get(v, v) for v in value] if isinstance(value, list) else value
            config[name(key)] = ArrayObject(listed) if isinstance(listed, list) else listed
        writer.root_object[name("OCProperties")] = DictionaryObject(
            {name("OCGs"): ArrayObject(groups), name("D"): config}
        )
        of = membership(groups) if membership else groups[0]
        form["/Resources"][name("Properties")] = DictionaryObject({name("L"): of})
        shown(b"/OC /L BDC BT", b"ET EMC")(writer, page, form)

    return change


ON, OFF = NameObject("/ON"), NameObject("/OFF")


def members(policy: str) -> Callable[[list[Any]], Any]:
    return lambda groups: DictionaryObject(
        {name("Type"): name("OCMD"), name("OCGs"): ArrayObject(groups), name("P"): name(policy)}
    )


def expression(*parts: Any) -> Callable[[list[Any]], Any]:
    """A visibility expression (8.11.2.2); numbers stand for the groups."""

    def made(groups: list[Any], of: Any = parts) -> ArrayObject:
        return ArrayObject(
            [
                made(groups, one) if isinstance(one, tuple)
                else groups[one] if isinstance(one, int) else name(one)
                for one in of
            ]
        )  # fmt: skip

    return lambda groups: DictionaryObject({name("Type"): name("OCMD"), name("VE"): made(groups)})


@pytest.mark.parametrize(
    ("change", "prints"),
    [
        (layered({}), True),
        (layered({"OFF": ["second"]}), True),
        (layered({"OFF": ["first"]}), False),
        (layered({"BaseState": OFF}), False),
        (layered({"BaseState": OFF, "ON": ["first"]}), True),
        (layered({"OFF": ["first"]}, members("AnyOn")), True),
        (layered({"OFF": ["first", "second"]}, members("AnyOn")), False),
        (layered({"OFF": ["first"]}, members("AllOn")), False),
        (layered({"OFF": ["first"]}, members("AnyOff")), True),
        (layered({"OFF": ["first"]}, members("AllOff")), False),
        (layered({"OFF": ["first"]}, expression("Not", 0)), True),
        (layered({"OFF": ["first"]}, expression("And", 1, ("Not", 0))), True),
        (layered({"OFF": ["first"]}, expression("Or", 0, ("Not", 1))), False),
    ],
)
def test_a_layer_that_is_switched_off_is_not_read(change: Change, prints: bool) -> None:
    """8.11.4.3 for the configuration, 8.11.2.2 for what belongs to several groups."""
    first = SAID if prints else ["40 g"]
    assert texts(changed(change)) == [[*first, "Guest 0"], [*first, "Guest 1"]]


def test_a_layer_that_is_shown_and_does_not_print_is_not_read() -> None:
    """8.11.4.4: a group's own word on printing."""

    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        layered({})(writer, page, form)
        properties = writer.root_object["/OCProperties"]
        for group in properties["/OCGs"]:  # type: ignore[index]
            group.get_object()[name("Usage")] = DictionaryObject(
                {name("Print"): DictionaryObject({name("PrintState"): OFF})}
            )
        properties["/D"][name("AS")] = ArrayObject(  # type: ignore[index]
            [
                DictionaryObject(
                    {
                        name("Event"): name("Print"),
                        name("Category"): ArrayObject([name("Print")]),
                        name("OCGs"): properties["/OCGs"],  # type: ignore[index]
                    }
                )
            ]
        )

    assert texts(changed(change))[0][0] == "40 g"


def test_a_form_in_a_layer_that_is_off_is_not_read() -> None:
    """8.11.3.3: a form may belong to a layer as a whole."""

    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        layered({"OFF": ["first"]})(writer, page, form)
        form[name("OC")] = writer.root_object["/OCProperties"]["/OCGs"][0]  # type: ignore[index]

    first = texts(changed(change))[0]
    assert first == ["Guest 0"]


def test_a_cover_in_a_layer_that_is_off_covers_nothing() -> None:
    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        layered({"OFF": ["first"]}, lambda groups: groups[1])(writer, page, form)
        off = writer.root_object["/OCProperties"]["/OCGs"][0]  # type: ignore[index]
        page["/Resources"][name("Properties")] = DictionaryObject({name("Off"): off})
        appended(f"/OC /Off BDC 1 g {rectangle(5, 80, 49, 108)} f EMC")(writer, page, form)

    assert texts(changed(change))[0] == [*SAID, "Guest 0"]


@pytest.mark.parametrize("mask", [None, "None"])
def test_text_drawn_through_a_soft_mask_is_not_taken_to_print(mask: str | None) -> None:
    """11.6.5.2: a mask of no luminosity lets nothing through; "None" is no mask."""

    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        state(ca=1)(writer, page, form)
        group = StreamObject()
        group.update({name("Type"): name("XObject"), name("Subtype"): name("Form")})
        group[name("BBox")] = ArrayObject([FloatObject(v) for v in (0, 0, 200, 200)])
        luminosity = DictionaryObject(
            {name("S"): name("Luminosity"), name("G"): writer._add_object(group)}
        )
        form["/Resources"]["/ExtGState"]["/GS1"][name("SMask")] = name(mask) if mask else luminosity

    first = SAID if mask else ["40 g"]
    assert texts(changed(change)) == [[*first, "Guest 0"], [*first, "Guest 1"]]


# -- the page --------------------------------------------------------------------------------------


@pytest.mark.parametrize("box", ["/MediaBox", "/CropBox"])
@pytest.mark.parametrize("printer", [None, Matrix(1.004, 0, 0, 0.997, -2.0, 3.0)])
def test_what_is_off_the_page_is_not_read(box: str, printer: Matrix | None) -> None:
    """14.11.2: what lies outside the crop box is not shown. The first label's left part is cut
    off: "Savon" and most of "Guest 0", but not "40 g" nor the other label."""

    def change(_: PdfWriter, page: Any, __: Any) -> None:
        corners = (5 + 18.0, 0.0, 100.0, 120.0)
        page[NameObject(box)] = ArrayObject([FloatObject(v * MM) for v in corners])

    first, second = texts(changed(change, printer=printer))
    assert first[0] == "40 g"
    assert first[-1] in ("40 g", "0")
    assert second == [*SAID, "Guest 1"]


def test_a_page_inherits_its_size() -> None:
    """7.7.3.4: the boxes may stand in the page tree."""

    def change(_: PdfWriter, page: Any, __: Any) -> None:
        del page["/MediaBox"]
        corners = (0.0, 0.0, 100.0, 60.0)
        box = ArrayObject([FloatObject(v * MM) for v in corners])
        page["/Parent"].get_object()[NameObject("/MediaBox")] = box

    first, second = texts(changed(change))
    assert first == []
    assert second[0] == "Savon"


# -- painted over ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "cover",
    [
        f"1 g {rectangle(7, 86, 28, 94)} f",
        f"0.5 g {rectangle(7, 86, 28, 94)} f*",
        "20 244 m 80 244 l 80 268 l 20 268 l h B",
    ],
)
def test_text_under_a_rectangle_is_not_read(cover: str) -> None:
    assert texts(changed(appended(cover))) == [["40 g", "Guest 0"], [*SAID, "Guest 1"]]


def test_text_under_a_picture_is_not_read() -> None:
    def change(writer: PdfWriter, page: Any, form: Any) -> None:
        image = StreamObject()
        image.update({
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Image"),
            NameObject("/Width"): NumberObject(1),
            NameObject("/Height"): NumberObject(1),
            NameObject("/BitsPerComponent"): NumberObject(8),
            NameObject("/ColorSpace"): NameObject("/DeviceGray"),
        })  # fmt: skip
        image.set_data(b"\x40")
        page["/Resources"]["/XObject"][NameObject("/Im1")] = writer._add_object(image)
        appended(f"q {21 * MM} 0 0 {8 * MM} {7 * MM} {86 * MM} cm /Im1 Do Q")(writer, page, form)

    assert texts(changed(change)) == [["40 g", "Guest 0"], [*SAID, "Guest 1"]]


def test_a_rectangle_in_the_form_covers_what_was_drawn_before_it() -> None:
    """Of both labels, and the turned one as well."""

    def change(_: PdfWriter, __: Any, form: Any) -> None:
        cover = f"\n1 g {rectangle(2, 6, 23, 14)} f"
        form.set_data(form.get_data() + cover.encode("ascii"))

    assert texts(changed(change)) == [["40 g", "Guest 0"], ["40 g", "Guest 1"]]


# -- a page that reportlab drew --------------------------------------------------------------------


def test_a_page_drawn_by_reportlab() -> None:
    """Its own operators for modes, opacity and clipping, in labelkit's marks."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(200, 200), pageCompression=0)
    code = canvas._code
    code.append("/LkPanel<</Panel/front/Shape/rectangle/W 150/H 100>>BDC q 1 0 0 1 10 10 cm")
    code.append("/LkPlace<</N 0>>BDC")
    for element, mode, alpha, x, y in (
        ("identity", 0, 1, 10, 50), ("brand", 3, 1, 10, 70), ("scent", 0, 0, 10, 35),
        ("place", 0, 1, 400, 50),
    ):  # fmt: skip
        code.append(f"/LkRun<</E/{element}>>BDC")
        canvas.saveState()
        canvas.setFillAlpha(alpha)
        canvas.drawString(x, y, element, mode=mode)
        canvas.restoreState()
        code.append("EMC")
    canvas.saveState()
    path = canvas.beginPath()
    path.circle(140, 90, 5)
    canvas.clipPath(path, stroke=0, fill=0)
    code.append("/LkRun<</E/names>>BDC")
    canvas.drawString(10, 20, "names")
    code.append("EMC")
    canvas.restoreState()
    code.append("EMC Q EMC")
    canvas.save()
    (panel,) = shown_panels(stream.getvalue())
    assert [run.element for run in panel.runs] == ["identity"]


# -- what the preflight says -----------------------------------------------------------------------


def test_the_preflight_misses_an_element_that_is_there_but_does_not_print(
    event: Callable[..., Path], tmp_path: Path
) -> None:
    label = event(("guests = 60\n", "guests = 1\n"))
    made = make_sheets_of_file(label, tmp_path / "sheets")
    writer = PdfWriter(clone_from=made.files[0])
    forms = writer.pages[0]["/Resources"]["/XObject"]  # type: ignore[index]
    form = forms["/FormXob.label0"].get_object()
    before, mark, after = form.get_data().partition(b"/LkRun<</E/net-quantity")
    assert mark
    after = after.replace(b"BT", b"BT 3 Tr", 1).replace(b"ET", b"ET 0 Tr", 1)
    form.set_data(before + mark + after)
    target = tmp_path / "front.pdf"
    writer.write(target)
    assert "40" in PdfReader(target).pages[0].extract_text()  # it is still there to be copied
    report = examine_label(label, pdfs=(target,)).report
    assert report.verdict == "fail"
    failing = {
        f.rule: f for f in report.findings if f.level == "fail" and f.element == "net-quantity"
    }
    assert "LABELKIT-AS-SPEC" in failing
    assert any(rule.startswith("CA-") for rule in failing)
