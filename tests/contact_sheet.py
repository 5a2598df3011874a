"""Draws every layout in several languages and shapes, to be looked at.

Run ``python tests/contact_sheet.py OUT_DIR [LAYOUT ...]`` for one large picture per layout;
``python tests/contact_sheet.py --kept`` draws those kept in samples/ anew.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from labelkit.common.errors import FitError
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.model.outline import Outline
from labelkit.order.inks import load_inks
from labelkit.order.layout import read_layout
from labelkit.pdf.write.draw import (
    DocumentInfo,
    PdfFonts,
    define_panel,
    fill_operator,
    format_pdf_number,
    make_canvas,
    path_operators,
    stroke_operator,
)

ROOT = Path(__file__).resolve().parents[1]
LAYOUTS = sorted(path.stem for path in (ROOT / "layouts").glob("*.toml"))
TRIMS = {
    "rectangle": "44 x 28 mm",
    "rounded": "50 x 32 mm",
    "square": "40 x 40 mm",
    "round": "47 x 47 mm",
    "oval": "60 x 42 mm",
    "arch": "38 x 52 mm",
}
GROUND = "#ece5da"


@dataclass(frozen=True)
class Event:
    """The words of one invented event."""

    languages: str
    region: str
    names: str
    place: str
    identity: str
    scent: str
    maker: str
    durability: str = ""


EVENTS = {
    "en": Event(
        '["en"]', "AU", '"Ada & Olive"', '"Quince Cottage"', '{ en = "Soap" }',
        '{ en = "Oat, honey & lavender" }',
        'name = "Tansy Row Soapery"\naddress = ["12 Tansy Row", "Lower Mallow VIC 3999"]\n'
        'contact = ["hello@tansyrow.example"]',
    ),
    "en+fr": Event(
        '["en", "fr"]', "CA",
        '{ en = "The Lighthouse Supper", fr = "Le Souper du phare" }', '"Anse-aux-Brumes"',
        '{ en = "Soap", fr = "Savon" }',
        '{ en = "Oat, honey & sea buckthorn", fr = "Avoine, miel et argousier" }',
        'name = "Savonnerie Estran"\naddress = ["9, ch. du Phare", "Anse-aux-Brumes NB  E0X 0Z9"]\n'
        'contact = ["bonjour@estran.example"]',
    ),
    "nl+fr": Event(
        '["nl", "fr"]', "BE", '"Noor & Matthéo"', '"Molenwiek"',
        '{ nl = "Zeep", fr = "Savon" }',
        '{ nl = "Haver en honing", fr = "Avoine et miel" }',
        'name = "Zeepziederij De Meeuw"\naddress = ["Kreekdijk 4", "9999 Molenwiek, België"]\n'
        'contact = ["dag@demeeuw.example"]', "12M",
    ),
    "fi+sv": Event(
        '["fi", "sv"]', "FI", '{ fi = "Aino ja Väinö", sv = "Aino och Väinö" }', '"Tyrnisaari"',
        '{ fi = "Saippua", sv = "Tvål" }',
        '{ fi = "Kaura ja tyrni", sv = "Havre och havtorn" }',
        'name = "Saaristosaippua"\naddress = ["Laiturikuja 2", "99999 Tyrnisaari, Suomi"]\n'
        'contact = ["hei@saaristo.example"]', "05/2029",
    ),
}  # fmt: skip


def label_text(layout: str, event: Event, shape: str, guests: int) -> str:
    """A label spec that names the files written by ``event_job``."""
    return f"""
labelkit = 1
[event]
names = {event.names}
date = 2027-06-19
place = {event.place}
guests = {guests}
[product]
identity = {event.identity}
scent = {event.scent}
net_weight = "40 g"
package_face = "60 x 52 mm"
recipe = "recipe.toml"
lot = "LS-2704"
[label]
languages = {event.languages}
regions = ["{event.region}"]
trim = "{TRIMS[shape]}"
shape = "{shape}"
layout = "{layout}"
stock = "{"letter-plain" if event.region == "CA" else "a4-plain"}"
{"[back]" if event.durability else ""}
{f'durability = "{event.durability}"' if event.durability else ""}
"""


def event_job(layout: str, language: str, shape: str, folder: Path, guests: int = 40) -> Job:
    """The job of a layout for one of the invented events, its files written to ``folder``."""
    event = EVENTS[language]
    label = folder / "label.toml"
    label.write_text(label_text(layout, event, shape, guests), encoding="utf-8")
    maker = f"labelkit = 1\n[maker]\n{event.maker}\n"
    (folder / "maker.toml").write_text(maker, encoding="utf-8")
    recipe = ROOT / "samples" / "lighthouse-supper" / "recipe.toml"
    own = f"[[scent]]\nlabel_scent = {event.scent}\n"
    text = recipe.read_text(encoding="utf-8").replace("[[scent]]\n", own)
    (folder / "recipe.toml").write_text(text, encoding="utf-8")
    return prepare_job(label)


# -- pictures --------------------------------------------------------------------------------------


Cell = tuple[float, float, ComposedPanel]
"""Lower left corner of a trim on the page, in millimetres, and what stands there."""


def page_of(cells: Sequence[Cell], page_mm: tuple[float, float], ground: str = GROUND) -> bytes:
    """A PDF page of labels on a tinted ground."""
    stream = io.BytesIO()
    canvas = make_canvas(stream, page_mm, DocumentInfo("Contact sheet", "en"))
    faces = {name: face for _, _, composed in cells for name, face in composed.faces.items()}
    fonts = PdfFonts(canvas, faces)
    width, height = (side * PT_PER_MM for side in page_mm)
    canvas._code += [
        fill_operator(ground),
        f"0 0 {format_pdf_number(width)} {format_pdf_number(height)} re f",
    ]
    for index, (_, _, composed) in enumerate(cells):
        define_panel(canvas, f"panel{index}", composed.panel, fonts, 0.0)
    for index, (x, y, composed) in enumerate(cells):
        panel = composed.panel
        outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
        path = path_operators(outline.path())
        canvas._code.append(
            f"q 1 0 0 1 {format_pdf_number(x * PT_PER_MM)} {format_pdf_number(y * PT_PER_MM)} cm"
        )
        canvas._code += ["q 0.96 0.94 0.9 rg 0.85 0.8 0.73 RG 0.4 w", "0.6 -0.9 m", "Q"]
        canvas._code += ["q 1 g", *path, "f Q", "q", *path, "W n"]
        canvas.doForm(f"panel{index}")
        canvas._code += ["Q", f"q {stroke_operator('#cfc4b4')} 0.25 w", *path, "S Q", "Q"]
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def picture(data: bytes, target: Path, dpi: float, colours: int | None = None) -> None:
    """The first page of a PDF as a PNG, reduced to a palette where ``colours`` says so."""
    import pypdfium2

    page = pypdfium2.PdfDocument(data)[0]
    image = page.render(scale=dpi / 72).to_pil().convert("RGB")
    if colours:
        image = image.quantize(colours, dither=0)
    image.save(target, "PNG", optimize=True)


def layout_sheet(layout: str, shapes: Iterable[str] = TRIMS) -> tuple[bytes, list[str]]:
    """Every language and shape of a layout on one page, and what does not fit or pass."""
    cells: list[Cell] = []
    problems: list[str] = []
    gap, y, right = 4.0, 4.0, 0.0
    for language in reversed(EVENTS):
        x, tallest = gap, 0.0
        for shape in shapes:
            with tempfile.TemporaryDirectory() as folder:
                job = event_job(layout, language, shape, Path(folder))
                where = f"{layout} {language} {shape}"
                trim = job.spec.trim
                try:
                    panels = job.composed
                except FitError as error:
                    problems.append(f"{where}: {error}")
                    panels = ()
                report = preflight_job(job)
            problems += [
                f"{where}: {f.rule} {f.message}" for f in report.findings if f.level != "note"
            ]
            for composed in panels:
                cells.append((x, y, composed))
                x += trim.width_mm + gap
            tallest = max(tallest, trim.height_mm)
        right, y = max(right, x), y + tallest + gap
    return page_of(cells, (right, y)), problems


def small_sheet(target: Path) -> None:
    """Every layout once: front and back, the languages and shapes shared out among them."""
    shapes, languages = list(TRIMS), list(EVENTS)
    cells: list[Cell] = []
    columns, cell_w, cell_h = 4, 132.0, 56.0
    rows = -(-len(LAYOUTS) * 2 // columns)
    pairs = [(layout, turn) for layout in LAYOUTS for turn in range(2)]
    for index, (layout, turn) in enumerate(pairs):
        number_ = LAYOUTS.index(layout)
        shape = shapes[(number_ + 3 * turn) % len(shapes)]
        language = languages[(number_ + 2 * turn) % len(languages)]
        with tempfile.TemporaryDirectory() as folder:
            job = event_job(layout, language, shape, Path(folder))
            inks = [load_inks()[name].value for name in job.layout.inks[:1]]
            job = job.with_order(spec=replace(job.spec, accent=next(iter(inks), None)))
            panels = job.composed
        column, row = index % columns, index // columns
        width = sum(c.panel.width_mm for c in panels) + 4.0
        x = column * cell_w + (cell_w - width) / 2
        for composed in panels:
            y = (rows - 1 - row) * cell_h + (cell_h - composed.panel.height_mm) / 2
            cells.append((x, y, composed))
            x += composed.panel.width_mm + 4.0
    data = page_of(cells, (columns * cell_w, rows * cell_h))
    picture(data, target, 96, colours=64)


def favour_sheet(target: Path) -> None:
    """Every layout on the commonest favour label, with the words and a guest of that sample."""
    order = prepare_job(ROOT / "samples" / "millpond-wedding" / "label.toml")
    columns, gap = 4, 2.5
    cell_w, cell_h = 2 * (order.spec.trim.width_mm + gap) + gap, order.spec.trim.height_mm + gap
    rows = -(-len(LAYOUTS) // columns)
    cells: list[Cell] = []
    for number, name in enumerate(LAYOUTS):
        job = order.with_order(layout=read_layout(ROOT / "layouts" / f"{name}.toml"))
        ink = load_inks()[job.layout.inks[0]].value
        job = job.with_order(spec=replace(job.spec, accent=ink))
        x = number % columns * cell_w + gap
        y = (rows - 1 - number // columns) * cell_h + gap
        for composed in job.composed:
            runs = (*composed.panel.runs, *job.own_runs(composed, number))
            shown = replace(composed, panel=replace(composed.panel, runs=runs))
            cells.append((x, y, shown))
            x += composed.panel.width_mm + gap
    picture(page_of(cells, (columns * cell_w, rows * cell_h + gap)), target, 120, colours=128)


def main(arguments: list[str]) -> None:
    if arguments and arguments[0] == "--kept":
        small_sheet(ROOT / "samples" / "contact-sheet.png")
        favour_sheet(ROOT / "samples" / "favour-sheet.png")
        return
    folder = Path(arguments[0])
    folder.mkdir(parents=True, exist_ok=True)
    for layout in arguments[1:] or LAYOUTS:
        data, problems = layout_sheet(layout)
        (folder / f"{layout}.pdf").write_bytes(data)
        picture(data, folder / f"{layout}.png", 150)
        print(f"{layout}: {len(problems)} problems")
        for problem in problems:
            print(f"  {problem}")


if __name__ == "__main__":
    main(sys.argv[1:])
