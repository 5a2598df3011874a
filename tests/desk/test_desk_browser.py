"""The desk in a real browser: Debian's chromium, driven by Playwright (the extra "browser").

They run with ``pytest -m browser``; without either they are skipped, and say so. True size: a
millimetre on the screen is as many device pixels as the bank card showed (ISO/IEC 7810 ID-1: 85.60
x 53.98 mm).
"""

from __future__ import annotations

import datetime as dt
import os
import re
import shutil
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sample_copies import copy_sample
from served import ROOT, Serve, Served, leave_out_weight

LEFT_OUT = "the desk was not tried in a browser: it takes chromium and pip install '.[browser]'"
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
try:
    from playwright import sync_api as playwright
except ImportError:
    playwright = None
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(playwright is None or not Path(CHROMIUM).exists(), reason=LEFT_OUT),
]

AXE = os.environ.get("LABELKIT_AXE", "")
"""axe-core's axe.min.js, which .ci/run installs with npm."""
ROOMS = ("order", "soap", "look", "size", "workshop", "ready", "proof", "print", "plan", "after")
Page = Any
Open = Callable[..., Page]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def visit(chromium: Any) -> Iterator[Open]:
    """Opens a room; fails for anything the page complains of or asks elsewhere."""
    contexts, wrong = [], []

    def start(served: Served, room: str = "order", **options: Any) -> Page:
        context = chromium.new_context(**{"locale": "en-GB", **options})
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda said: _note_complaint(said, wrong))
        page.on("request", lambda asked: _note_elsewhere(asked.url, served, wrong))
        page.goto(f"{served.address}#~/{room}" if room else served.address)
        if room:
            page.wait_for_selector("#label .dot", timeout=60_000)
        return page

    yield start
    for context in contexts:
        context.close()
    assert wrong == []


def _note_complaint(said: Any, wrong: list[str]) -> None:
    """What the page complains of; an answer that refuses what she typed (422) is no fault."""
    if said.type == "error" and "status of 422" not in said.text:
        wrong.append(said.text)


def _note_elsewhere(url: str, served: Served, wrong: list[str]) -> None:
    if not url.startswith((served.origin, "data:", "blob:")):
        wrong.append(f"asked elsewhere: {url}")


def said(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"))


def field(page: Page, key: str) -> Any:
    """The input of a key such as "label:event.date"."""
    return page.locator(f'[id="{key}"]')


def wait_for_file(page: Page, path: Path, wanted: Callable[[dict[str, Any]], bool]) -> None:
    for _ in range(200):
        if wanted(said(path)):
            return
        page.wait_for_timeout(50)
    raise AssertionError(path.read_text("utf-8"))


def outlines(page: Page, element: str) -> list[str]:
    """What is drawn of an element: which glyphs, and where."""
    found: list[str] = page.eval_on_selector_all(
        f'#label [data-element="{element}"]', "all => all.map((one) => one.innerHTML)"
    )
    return found


def wait_for_other_outlines(page: Page, before: list[str]) -> None:
    """Until the names are drawn otherwise than ``before``."""
    page.wait_for_function(
        "before => JSON.stringify([...document.querySelectorAll('#label [data-element=names]')]"
        ".map((one) => one.innerHTML)) !== JSON.stringify(before)", arg=before,
    )  # fmt: skip


# -- typing ----------------------------------------------------------------------------------------


def test_the_label_follows_what_she_types(serve: Serve, event: Path, visit: Open) -> None:
    page = visit(serve(event))
    before = outlines(page, "names")
    field(page, "label:event.names.en").fill("The Harbour Supper")
    wait_for_other_outlines(page, before)
    wait_for_file(
        page, event / "label.toml", lambda now: now["event"]["names"]["en"] == "The Harbour Supper"
    )
    page.get_by_role("button", name="Undo").click()
    wait_for_file(
        page,
        event / "label.toml",
        lambda now: now["event"]["names"]["en"] == "The Lighthouse Supper",
    )
    assert (event / "label.toml").read_bytes() == (
        ROOT / "samples/lighthouse-supper/label.toml"
    ).read_bytes()


def test_the_label_is_there_before_what_is_found_and_keeps_its_marks(
    serve: Serve, event: Path, visit: Open
) -> None:
    """What is missing and what was found do not blink while she types."""
    label = event / "label.toml"
    leave_out_weight(label)
    page = visit(serve(event), "order")
    marks = page.locator("#label .found").count()
    before = outlines(page, "names")
    held: list[Any] = []
    page.route("**/do/show/**", lambda route: held.append(route))
    field(page, "label:event.names.en").fill("Ada & Bo")
    wait_for_other_outlines(page, before)
    while not held:  # it is asked for after the label
        page.wait_for_timeout(50)
    assert marks
    assert page.locator("#label .found").count() == marks
    assert page.locator("#label .lacks").count() == 1
    for route in held:
        route.continue_()
    page.unroute("**/do/show/**")
    wait_for_file(page, label, lambda now: now["event"]["names"]["en"] == "Ada & Bo")


def test_the_ingredient_list_follows_the_recipe_beside_it(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "soap")
    rows = page.locator("[data-live=list] tbody tr")
    before = rows.count()
    page.get_by_role("button", name="+ one more: Oils, fats and waxes").click()
    page.wait_for_selector("[data-live=list] .caution")  # a blank: examples stand in for it
    materials = page.locator('[id^="recipe:oil."][id$=".material"]')
    masses = page.locator('[id^="recipe:oil."][id$=".mass"]')
    materials.last.fill("rice bran oil")
    masses.last.fill("120 g")
    page.wait_for_selector("[data-live=list] .caution", state="detached")
    assert rows.count() > before
    assert "rice bran oil" in page.locator("[data-live=list]").inner_text()


def test_the_plan_follows_the_price_beside_it(serve: Serve, event: Path, visit: Open) -> None:
    page = visit(serve(event), "plan")
    page.wait_for_selector("[data-live=plan] table")
    field(page, "label:plan.quote.price").fill("987.65")
    page.wait_for_function(
        "() => document.querySelector('[data-live=plan]').innerText.includes('987.65')"
    )


def test_the_workshops_regions_are_ticked_until_the_order_says_its_own(
    serve: Serve, tmp_path: Path, visit: Open
) -> None:
    page = visit(serve(tmp_path), "")
    page.wait_for_selector("#new-title")
    page.keyboard.type("Ada & Bo")
    page.keyboard.press("Enter")
    page.wait_for_selector("#label .dot", timeout=60_000)
    sold = page.get_by_role("group", name="Sold in")
    assert sold.get_by_role("checkbox", name="Canada", exact=True).is_checked()
    sold.get_by_role("checkbox", name="United States", exact=True).check()
    wait_for_file(
        page,
        tmp_path / "ada-bo" / "label.toml",
        lambda now: now["label"].get("regions") == ["CA", "US"],
    )


def test_the_colour_of_the_names_is_chosen_by_its_name(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "look")
    colours = page.get_by_role("group", name="Colour of names, ornament and frame")
    colours.get_by_role("radio", name="moss").check()
    label = event / "label.toml"
    wait_for_file(page, label, lambda now: now["label"].get("accent") == "moss")
    field(page, "label:label.accent").fill("#27496d")
    wait_for_file(page, label, lambda now: now["label"].get("accent") == "#27496d")
    assert colours.get_by_role("radio", checked=True).count() == 0
    colours.get_by_role("radio", name="as the design has it").check()
    wait_for_file(page, label, lambda now: "accent" not in now["label"])
    assert field(page, "label:label.accent").input_value() == ""


def test_several_tables_in_one_fold_say_which_is_which(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "workshop")
    page.get_by_text("Wrapping, ribbon and boxes").click()
    fold = page.locator("details.group[open]", has_text="Wrapping, ribbon and boxes")
    assert fold.get_by_role("heading", level=3).all_inner_texts() == [
        "Paper or cloth round a piece", "Ribbon or twine", "Boxes they travel in",
        "Label sheets in hand",
    ]  # fmt: skip


def test_a_day_that_is_in_no_calendar_leaves_the_day_alone(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), locale="en-US")
    label = event / "label.toml"
    before = label.read_bytes()
    field(page, "label:event.date").focus()
    page.keyboard.type("02312027")
    page.keyboard.press("Tab")
    page.get_by_text("There is no such day in the calendar.").wait_for()
    wait_for_file(page, label, lambda now: str(now["event"]["date"]) == "2027-06-19")
    page.wait_for_timeout(1500)
    assert label.read_bytes() == before
    field(page, "label:event.date").fill("2027-07-03")
    page.get_by_text("There is no such day in the calendar.").wait_for(state="detached")
    wait_for_file(page, label, lambda now: str(now["event"]["date"]) == "2027-07-03")


def test_what_is_refused_stays_to_be_read(serve: Serve, event: Path, visit: Open) -> None:
    page = visit(serve(event), "proof")
    page.get_by_text("This order's code as it stands").wait_for()
    for text in ("I approve ABCD-2345", "All is lovely"):
        page.get_by_label("Paste her mail").fill(text)
        page.get_by_role("button", name="Record the approval").click()
        alert = page.locator("#room .stop")
        alert.wait_for()
        assert alert.count() == 1


def test_a_weight_that_cannot_be_read_is_told_and_not_left_out(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "after")
    page.get_by_label("Pieces you weighed").fill("41.2\n40,8 g\nheavy\n39.9")
    page.get_by_role("button", name="Judge them").click()
    assert page.get_by_text("This is no weight in grams: heavy").is_visible()
    page.get_by_label("Pieces you weighed").fill("41.2\n40,8 g\n39.9")
    page.get_by_role("button", name="Judge them").click()
    page.get_by_text("Weighed: 3 pieces").wait_for()
    assert page.get_by_text("No supplier's lot yet").count() == 0  # nothing to do with the weights


def test_a_mistake_keeps_the_label_and_is_told_under_its_field(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "size")
    trim = field(page, "label:label.trim")
    trim.fill("44 mm")
    told = page.locator('.field[data-id="label:label.trim"] .wrongs')
    told.wait_for()
    assert "44 x 28 mm" in told.inner_text()
    assert page.locator("#label svg[data-panel=front]").count() == 1
    assert said(event / "label.toml")["label"]["trim"] == "44 x 28 mm"
    assert page.locator("#label .state .dot.fail").count() == 1
    trim.fill("48 x 30 mm")
    told.wait_for(state="detached")
    wait_for_file(page, event / "label.toml", lambda now: now["label"]["trim"] == "48 x 30 mm")


def test_a_number_is_offered_with_its_unit(serve: Serve, event: Path, visit: Open) -> None:
    page = visit(serve(event), "soap")
    weight = field(page, "label:product.net_weight")
    weight.fill("38")
    offer = page.get_by_role("button", name="38 g?")
    offer.wait_for()
    assert said(event / "label.toml")["product"]["net_weight"] == "40 g"  # nothing is guessed
    weight.focus()
    page.keyboard.press("Tab")
    page.wait_for_timeout(900)  # what is told anew at a pause leaves the focus where it is
    assert page.evaluate("document.activeElement.textContent") == "38 g?"
    page.keyboard.press("Enter")
    wait_for_file(page, event / "label.toml", lambda now: now["product"]["net_weight"] == "38 g")
    assert weight.input_value() == "38 g"
    offer.wait_for(state="detached")


def test_lye_and_water_follow_the_recipe(serve: Serve, event: Path, visit: Open) -> None:
    page = visit(serve(event), "soap")
    shown = page.locator("[data-live=weighing]")
    shown.locator("table").wait_for()
    before = shown.inner_text()
    assert re.search(r"Sodium hydroxide \(lye\)\s+\d+\sg", before)
    assert re.search(r"Water\s+\d+\sg", before)
    field(page, "recipe:oil.1.mass").fill("700")  # no mass yet: nothing to weigh by is shown
    shown.get_by_text("1 value to be put right").wait_for()
    assert shown.locator("table").count() == 0
    field(page, "recipe:oil.1.mass").fill("700 g")
    shown.locator("table").wait_for()
    page.wait_for_function(
        "before => !document.querySelector('[data-live=weighing] .pale')"
        " && document.querySelector('[data-live=weighing]').innerText !== before", arg=before,
    )  # fmt: skip


def test_what_was_undone_is_done_again(serve: Serve, event: Path, visit: Open) -> None:
    page, label = visit(serve(event)), event / "label.toml"
    again = page.get_by_role("button", name="Redo")
    assert again.is_disabled()
    place = field(page, "label:event.place.en")
    place.fill("Cap-aux-Os")
    wait_for_file(page, label, lambda now: now["event"]["place"] != "Anse-aux-Brumes")
    written = label.read_bytes()
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("Taken back: Place (Order)").wait_for()
    assert said(label)["event"]["place"] == "Anse-aux-Brumes"
    again.focus()
    page.keyboard.press("Enter")
    page.get_by_text("Brought back: Place (Order)").wait_for()
    assert label.read_bytes() == written
    assert place.input_value() == "Cap-aux-Os"


def test_the_day_of_the_pour_is_asked_for_and_how_it_went_is_noted(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "after")
    page.get_by_text("To be noted once it is recorded as poured.").wait_for()
    page.get_by_role("button", name="Record the batch").click()
    page.get_by_text("Which day was it poured?").wait_for()
    assert page.evaluate("document.activeElement.id") == "poured"
    assert not (event / "trace.sqlite").exists()
    field(page, "poured").fill(dt.date.today().isoformat())
    page.get_by_role("button", name="Record the batch").click()
    page.get_by_label("Pieces lost so far").fill("3")
    page.get_by_role("checkbox", name="faded").check()
    page.get_by_role("button", name="Note it").click()
    page.get_by_text("Noted for lot LS-2704.").wait_for()
    (noted,) = said(event / "pours.toml")["pour"]
    assert (noted["lost"], noted["notes"]) == (3, ["faded"])


def test_what_does_not_fit_is_shown_with_her_trim_and_real_ways_out(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "size")
    field(page, "label:label.trim").fill("30 x 18 mm")
    page.locator("#label .problem").first.wait_for()
    assert page.locator("#label svg .hers").count() >= 1
    wait_for_file(page, event / "label.toml", lambda now: now["label"]["trim"] == "30 x 18 mm")
    page.get_by_role("link", name="Ready?").first.click()
    page.get_by_role("button", name="Try ways out").click()
    ways = page.locator("#room .cards .card")
    ways.first.wait_for(timeout=120_000)
    ways.first.click()
    page.wait_for_function("() => document.querySelectorAll('#label .problem').length === 0")


def test_a_finding_stands_at_its_words_and_at_its_field(
    serve: Serve, event: Path, visit: Open
) -> None:
    text = (event / "label.toml").read_text("utf-8")
    changed = text.replace("Oat, honey & sea buckthorn", "Unscented")
    (event / "label.toml").write_text(changed, "utf-8")
    page = visit(serve(event), "soap")
    assert page.locator("#label svg .found").count() >= 1
    assert page.locator('.field[data-id="label:product.scent"] .finds').inner_text()


def test_another_programs_edit_appears_and_a_conflict_is_asked_about(
    serve: Serve, event: Path, visit: Open
) -> None:
    page, label = visit(serve(event)), event / "label.toml"
    label.write_text(label.read_text("utf-8").replace("Anse-aux-Brumes", "Cap-aux-Os"), "utf-8")
    page.wait_for_function(
        "() => document.getElementById('label:event.place.en').value === 'Cap-aux-Os'",
        timeout=15_000,
    )


def test_guests_are_pasted(serve: Serve, event: Path, visit: Open) -> None:
    page = visit(serve(event))
    page.get_by_text("A name on every label?").click()
    page.locator("#paste").fill("1. Ada Lind\n2. Bo Karlsen\n• Cléo Roy")
    page.get_by_role("button", name="Use these names").click()
    wait_for_file(
        page, event / "label.toml", lambda now: now["event"].get("guest_list") == "guests.csv"
    )
    assert "guests" not in said(event / "label.toml")["event"]
    page.locator("#label [data-element=guest]").first.wait_for()


def test_designs_follow_words_that_are_typed_beside_them(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), "look")
    drawn = '[data-layout="banner"] [data-element="thanks"]'
    page.locator('[data-layout="vesper"] svg').wait_for()
    before = page.eval_on_selector('[data-layout="banner"] .view', "one => one.innerHTML")
    card = page.locator('[data-layout="banner"]')
    field(page, "label:front.thanks.en").fill("With all our love")
    page.wait_for_function(
        "before => document.querySelector('[data-layout=banner] .view').innerHTML !== before",
        arg=before,
    )
    assert page.locator(drawn).count() >= 1
    card.click()  # the card stands where it stood, and is pressed
    assert card.get_attribute("aria-pressed") == "true"
    wait_for_file(page, event / "label.toml", lambda now: now["label"]["layout"] == "banner")


def test_a_suite_is_put_together_and_seen(serve: Serve, event: Path, visit: Open) -> None:
    label = event / "label.toml"

    def kinds(now: dict[str, Any]) -> list[str]:
        return [one["kind"] for one in now.get("piece", [])]

    page = visit(serve(event), "look")
    more = page.get_by_role("button", name="+ one more: What goes with the label")
    more.click()
    wait_for_file(page, label, lambda now: kinds(now) == ["band"])
    page.locator(".suite svg[aria-label=band]").wait_for()
    page.locator('[name="label:piece.0.kind"][value=hang-tag]').check()
    wait_for_file(page, label, lambda now: kinds(now) == ["hang-tag"])
    page.locator(".suite svg[aria-label=hang-tag]").wait_for()
    more.click()  # each kind stands once: the first that is left
    wait_for_file(page, label, lambda now: kinds(now) == ["hang-tag", "band"])
    field(page, "label:piece.1.copies").fill("6")
    wait_for_file(page, label, lambda now: now["piece"][1].get("copies") == 6)
    page.get_by_role("button", name="take away: What goes with the label 1").click()
    wait_for_file(page, label, lambda now: now["piece"] == [{"kind": "band", "copies": 6}])
    page.locator(".suite svg[aria-label=hang-tag]").wait_for(state="detached")


# -- size ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ratio", [1, 1.5, 2])
def test_a_millimetre_is_a_millimetre(serve: Serve, event: Path, visit: Open, ratio: float) -> None:
    """Ten device pixels in a millimetre: within 0.6 device pixels on the whole label."""
    served = serve(event)
    served.post("do/settings", {"pixelsPerMm": 10})
    page = visit(served, viewport={"width": 1500, "height": 900}, device_scale_factor=ratio)
    page.get_by_role("button", name="True size").click()
    width = page.locator("#label svg[data-panel=front]").evaluate(
        "one => one.getBoundingClientRect().width * devicePixelRatio"
    )
    assert width == pytest.approx(44 * 10, abs=0.6)


def test_the_card_measures_the_screen(serve: Serve, event: Path, visit: Open) -> None:
    served = serve(event)
    page = visit(served)
    page.get_by_role("button", name="Measure this screen").click()
    page.locator("#card").fill("428")
    page.get_by_role("button", name="It is as large as my card").click()
    page.wait_for_function("() => !document.getElementById('dialog').open")
    settings = served.ask("GET", served.address.removeprefix(served.origin) + "ask/desk")[2]
    per_mm = re.search(rb'"pixelsPerMm":([\d.]+)', settings)
    assert per_mm is not None and float(per_mm[1]) == pytest.approx(428 / 85.60)


def test_the_corner_can_be_moved_by_keys_and_stops_where_nothing_fits(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event))
    page.locator("#label .grip").focus()
    page.keyboard.press("ArrowRight")
    wait_for_file(page, event / "label.toml", lambda now: now["label"]["trim"] != "44 x 28 mm")
    assert said(event / "label.toml")["label"]["trim"] == "45 x 28 mm"


# -- the same label --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sample", ["lighthouse-supper", "millpond-wedding", "orchard-wedding", "mill-kermis"]
)
def test_the_page_shows_what_the_pdf_prints(chromium: Any, tmp_path: Path, sample: str) -> None:
    """At 508 dpi (20 pixels in a millimetre) at most 0.5 % of the pixels differ by more than half.

    The PDF is rendered by PDFium, the SVG by Chromium: neither is ours. PDFium sets small letters
    on whole pixels, so its picture is taken four times as fine and brought down.
    """
    import io

    import pypdfium2
    from PIL import Image, ImageChops

    import labelkit

    copied = copy_sample(ROOT / "samples", tmp_path / "samples")  # some use another's recipe
    order = labelkit.read_order(copied / sample / "label.toml")
    checked = labelkit.check(order)
    labelkit.make_sheets(order, tmp_path, labelkit.Wish(one_per_page=True))
    bleed = round(order.spec.bleed_mm * 20)
    for panel in checked.panels:
        assert panel.panel is not None
        width, height = round(panel.panel.width_mm * 20), round(panel.panel.height_mm * 20)
        page = pypdfium2.PdfDocument(tmp_path / f"{panel.name}.pdf")[0]
        whole = (width + 2 * bleed, height + 2 * bleed)
        # A hair less than whole, or the page would be stretched over one pixel more.
        fine = page.render(scale=(4 * whole[0] - 0.01) / page.get_width()).to_pil()
        printed = fine.convert("L").resize(whole, Image.Resampling.BOX)
        printed = printed.crop((bleed, bleed, bleed + width, bleed + height))
        shown = chromium.new_page(viewport={"width": width, "height": height})
        svg = panel.draw_svg("x-").replace(
            "<svg ", f'<svg width="{width}" height="{height}" style="display:block" ', 1
        )
        shown.set_content(f'<body style="margin:0;background:#fff">{svg}')
        seen = Image.open(io.BytesIO(shown.screenshot())).convert("L")
        shown.close()
        differing = ImageChops.difference(printed, seen).point(lambda value: 255 * (value > 127))
        share = differing.histogram()[255] / (width * height)
        assert share <= 0.005, (panel.name, share)
        assert sum(seen.histogram()[:64]) > 0.01 * width * height  # something is drawn


RUNNING_OVER = """() => document.documentElement.scrollWidth <= innerWidth ? []
    : [...document.querySelectorAll('#room *, #label *, #head *')]
        .filter((one) => !one.closest('.scroll'))
        .filter((one) => one.getBoundingClientRect().right > innerWidth + 0.5)
        .map((one) => one.outerHTML.slice(0, 90))"""


# -- for everybody ---------------------------------------------------------------------------------


@pytest.mark.parametrize("language", ["en-GB", "fr-CA"])
@pytest.mark.parametrize("width", [360, 1440])
def test_every_room_opens_and_nothing_runs_over(
    serve: Serve, event: Path, visit: Open, language: str, width: int
) -> None:
    page = visit(serve(event), locale=language, viewport={"width": width, "height": 900})
    for room in ROOMS:
        page.goto(re.sub("#.*", "", page.url) + f"#~/{room}")
        page.wait_for_function(
            "room => document.querySelector('#rooms [aria-current]')?.href.endsWith(room)", arg=room
        )
        page.wait_for_timeout(300)
        assert page.evaluate(RUNNING_OVER) == [], room
        assert page.evaluate("document.documentElement.lang") == language[:2]
        if AXE:
            assert find_violations(page) == [], room


def test_at_twice_the_size_the_label_leaves_the_window_to_the_fields(
    serve: Serve, event: Path, visit: Open
) -> None:
    """WCAG 2.2, 2.4.11: what has the focus is not hidden. 200 % of 1280 x 860 pixels."""
    page = visit(serve(event), "size", viewport={"width": 640, "height": 430})
    page.get_by_label("Ends cut off").focus()
    page.wait_for_timeout(300)
    box = page.get_by_label("Ends cut off").bounding_box()
    top = page.evaluate(
        "({x, y}) => document.elementFromPoint(x, y)?.id",
        {"x": box["x"] + 20, "y": box["y"] + box["height"] / 2},
    )
    assert top == "maker:plan.mould.ends"
    assert page.locator("#label").evaluate("one => getComputedStyle(one).position") == "static"


def find_violations(page: Page) -> list[str]:
    """What axe-core finds against WCAG 2.2, levels A and AA."""
    page.evaluate(Path(AXE).read_text("utf-8"))
    rules = "['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']"
    found = page.evaluate(f"axe.run(document, {{ runOnly: {rules} }})")
    return [
        f"{one['id']}: {node['html'][:120]}" for one in found["violations"] for node in one["nodes"]
    ]


def tab_to(page: Page, wanted: str) -> None:
    """Presses Tab until what has the focus is called so."""
    name = (
        "() => { const at = document.activeElement; if (!at) return '';"
        " return [at.getAttribute('aria-label'), ...[...(at.labels || [])].map((one) =>"
        " one.textContent), at.closest('fieldset')?.querySelector('legend')?.textContent,"
        " ['BUTTON', 'A', 'SUMMARY'].includes(at.tagName) ? at.textContent : '']"
        ".filter(Boolean).join(' | '); }"
    )
    seen = []
    for _ in range(400):
        page.keyboard.press("Tab")
        here = page.evaluate(name)
        seen.append(here)
        if wanted in here:
            return
    raise AssertionError(f"no {wanted}: {dict.fromkeys(seen)}")


def type_into(page: Page, wanted: str, text: str) -> None:
    tab_to(page, wanted)
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type(text)


def go_on(page: Page, room: str) -> None:
    """Follows the way on at the end of a room."""
    tab_to(page, f"On to: {room}")
    page.keyboard.press("Enter")
    page.wait_for_function("name => document.querySelector('h1').textContent === name", arg=room)


def test_a_first_order_from_an_empty_folder_to_both_pdfs_by_keyboard(
    serve: Serve, tmp_path: Path, visit: Open
) -> None:
    page = visit(serve(tmp_path), "", locale="en-US")
    page.wait_for_selector("#new-title")
    page.keyboard.type("Ada & Bo")
    page.keyboard.press("Enter")
    page.wait_for_selector("#label .dot", timeout=60_000)
    folder = tmp_path / "ada-bo"
    type_into(page, "Day of the event", "06192027")
    type_into(page, "Place, English", "Anse-aux-Brumes")
    type_into(page, "Place, French", "Anse-aux-Brumes")
    type_into(page, "Guests", "24")
    go_on(page, "Soap")
    type_into(page, "Scent, as the label says it, English", "Lavender")
    type_into(page, "Scent, as the label says it, French", "Lavande")
    type_into(page, "Net weight of a piece", "40 g")
    type_into(page, "Lot", "A-0001")
    type_into(page, "Name", "Lavender")
    type_into(page, "Material", "olive oil")
    type_into(page, "Mass", "600 g")
    tab_to(page, "Alkali")
    page.keyboard.press("Space")
    type_into(page, "Purity", "98 %")
    type_into(page, "Superfat, as less lye", "5 %")
    type_into(page, "Lye in its water", "33 %")
    type_into(page, "Name", "Lavender")
    type_into(page, "Mass", "12 g")
    type_into(page, "Most allowed in soap", "4 %")
    type_into(page, "Allergens: name", "Linalool")
    type_into(page, "Allergens: share", "3 %")
    type_into(page, "Weeks", "6")
    type_into(page, "Scale", "1 g")
    go_on(page, "Look")
    go_on(page, "Size and paper")
    type_into(page, "Side that faces the guest", "60 x 45 mm")
    go_on(page, "Workshop")
    type_into(page, "Business name", "Savonnerie Estran")
    type_into(page, "Address", "9, ch. du Phare\nAnse-aux-Brumes NB  E0X 0Z9")
    type_into(page, "How to reach you", "bonjour@estran.example")
    type_into(page, "Country where it is made", "Canada")
    go_on(page, "Ready?")
    page.wait_for_function("() => document.querySelector('#label .state .dot.good') !== null")
    go_on(page, "Proof")
    tab_to(page, "Make the proof")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="The same as a PDF").wait_for(timeout=60_000)
    assert said(tmp_path / "maker.toml")["maker"]["country"] == "CA"
    go_on(page, "Print")
    page.wait_for_selector(".sheetpic")
    tab_to(page, "Make the sheets")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="front.pdf").wait_for(timeout=120_000)
    assert (folder / "sheets" / "front.pdf").read_bytes().startswith(b"%PDF")
    assert (folder / "sheets" / "back.pdf").read_bytes().startswith(b"%PDF")
    assert "# The people, or the society." in (folder / "label.toml").read_text("utf-8")


def test_the_corner_is_dragged_and_stops_at_what_still_fits(
    serve: Serve, event: Path, visit: Open
) -> None:
    page = visit(serve(event), viewport={"width": 1440, "height": 900})
    page.evaluate(
        "() => { window.told = []; new MutationObserver(() => window.told.push("
        "document.getElementById('say').textContent)).observe("
        "document.getElementById('say'), { childList: true }); }"
    )
    box = page.locator("#label .grip").bounding_box()
    page.mouse.move(box["x"] + 8, box["y"] + 8)
    page.mouse.down()
    for step in range(1, 13):
        page.mouse.move(box["x"] + 8 - 14 * step, box["y"] + 8 - 8 * step)
        page.wait_for_timeout(250)
    page.mouse.up()
    page.wait_for_function("() => window.told.some((one) => one)", timeout=120_000)
    page.wait_for_function(
        "() => !document.querySelector('#label .problem')"
        " && !document.querySelector('#label .dot.fail')",
        timeout=120_000,
    )
    wait_for_file(page, event / "label.toml", lambda now: now["label"]["trim"] != "44 x 28 mm")
    width, height = map(float, re.findall(r"[\d.]+", said(event / "label.toml")["label"]["trim"]))
    assert 25 < width < 44 and 15 < height < 28


def test_what_is_missing_stands_on_the_label_and_leads_to_what_mends_it(
    serve: Serve, event: Path, visit: Open
) -> None:
    label = event / "label.toml"
    leave_out_weight(label)
    page = visit(serve(event), "order")
    run = page.locator("#label svg[data-panel=front] .lacks")
    assert run.count() == 1 and run.get_attribute("data-element") == "net-quantity"
    inside = run.evaluate(
        "one => { const at = one.getBoundingClientRect(), trim = one.closest('svg')"
        ".getBoundingClientRect(); return at.left > trim.left && at.right < trim.right"
        " && at.top > trim.top && at.bottom < trim.bottom; }"
    )
    assert inside
    assert page.locator("#label .lacking").count() == 0
    run.click()
    page.wait_for_function(
        "() => document.activeElement?.closest('.field')?.dataset.id === 'label:front.leave_out'"
    )
    page.keyboard.press("Space")  # it is ticked among what the front says
    page.wait_for_function("() => !document.querySelector('#label .lacks')")
    wait_for_file(page, label, lambda now: "leave_out" not in now["front"])


def test_ways_out_are_labels_and_the_chosen_one_fits(
    serve: Serve, event: Path, visit: Open
) -> None:
    label = event / "label.toml"
    label.write_text(label.read_text("utf-8").replace("44 x 28 mm", "30 x 18 mm"), "utf-8")
    page = visit(serve(event), "ready")
    page.get_by_role("button", name="Try ways out").click()
    page.locator("#room progress").wait_for()
    cards = page.locator("#room .cards .card")
    cards.first.wait_for(timeout=120_000)
    pictures = cards.evaluate_all(
        "all => all.map((one) => [...one.querySelectorAll('svg')].map((svg) =>"
        " svg.querySelectorAll('[data-run]').length))"
    )
    assert len(pictures) >= 2
    assert all(len(sides) == 2 and min(sides) > 2 for sides in pictures)
    chosen = cards.first.inner_text()
    assert chosen
    cards.first.click()
    page.wait_for_function("() => document.querySelectorAll('#label .problem').length === 0")
    assert page.locator("#label .dot.fail").count() == 0


def test_the_first_free_label_is_tapped(serve: Serve, tmp_path: Path, visit: Open) -> None:
    folder = tmp_path / "millpond-wedding"
    copy_sample(ROOT / "samples" / "millpond-wedding", folder)
    (folder / "part-used.toml").unlink()
    page = visit(serve(folder), "print")
    spot = page.get_by_role("button", name="place 7", exact=True)
    spot.click()
    assert spot.get_attribute("aria-pressed") == "true"
    assert page.locator(".sheetpic .used").count() == 6
    page.get_by_role("button", name="place 5", exact=True).focus()
    page.keyboard.press("Enter")
    assert page.locator(".sheetpic .used").count() == 4
    page.get_by_role("button", name="Make the sheets").click()
    page.get_by_role("link", name="front.pdf").wait_for(timeout=120_000)
    from pypdf import PdfReader

    # 16 labels on the part-used sheet of 20, then 72 on four more.
    assert len(PdfReader(folder / "sheets" / "front.pdf").pages) == 5


def test_long_work_shows_how_far_it_is_and_stops(serve: Serve, event: Path, visit: Open) -> None:
    label = event / "label.toml"
    label.write_text(label.read_text("utf-8").replace("guests = 60", "guests = 20000"), "utf-8")
    page = visit(serve(event), "print")
    page.get_by_role("button", name="Make the sheets").click()
    page.locator("#room progress").wait_for()
    page.wait_for_function(
        "() => document.querySelector('#room progress')?.value > 0", timeout=60_000
    )
    page.get_by_role("button", name="Stop").click()
    told = page.locator("#room .stop")
    told.wait_for(timeout=60_000)
    assert "Stopped" in told.inner_text()
    assert not (event / "sheets" / "front.pdf").exists()


def test_a_conflict_is_asked_about_with_both_values(serve: Serve, event: Path, visit: Open) -> None:
    page, label = visit(serve(event)), event / "label.toml"
    page.route("**/ask/alive/**", lambda route: route.fulfill(json={"version": ""}))
    field(page, "label:event.names.en").fill("The Harbour Supper")
    label.write_text(label.read_text("utf-8").replace("Lighthouse", "Pier"), "utf-8")
    clash = page.locator(".conflict")
    clash.wait_for(timeout=20_000)
    assert "The Harbour Supper" in clash.inner_text() and "The Pier Supper" in clash.inner_text()
    page.get_by_role("button", name="Keep mine").click()
    wait_for_file(page, label, lambda now: now["event"]["names"]["en"] == "The Harbour Supper")


def test_reduced_motion_and_print(serve: Serve, event: Path, visit: Open) -> None:
    page = visit(serve(event), "ready", reduced_motion="reduce")
    moving = (
        "() => [...document.querySelectorAll('body, body *')].filter((one) => { const style ="
        " getComputedStyle(one); return [style.transitionDuration, style.animationDuration]"
        ".some((time) => parseFloat(time) > 0); }).length"
    )
    assert page.evaluate(moving) == 0
    page.emulate_media(media="print")
    shown = "all => all.filter((one) => one.checkVisibility()).length"
    assert page.locator("button, #rooms a").evaluate_all(shown) == 0
    assert page.locator("#label svg[data-panel]").evaluate_all(shown) == 2
    assert page.locator("#room .find").evaluate_all(shown) > 0


def test_it_works_without_colour(serve: Serve, event: Path, visit: Open) -> None:
    """Each state has a shape or a word of its own: in forced colours, all of them one."""
    page = visit(serve(event), "size", forced_colors="active")
    field(page, "label:label.trim").fill("44 mm")
    told = page.locator('.field[data-id="label:label.trim"] .wrongs')
    told.wait_for()
    mark = told.evaluate("one => getComputedStyle(one, '::before').content")
    assert "✕" in mark
    assert page.locator("#rooms .count.wrong").first.inner_text().startswith("✕")
