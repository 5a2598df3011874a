"""What a maker offers: the page she sends, what she is told before, and the order that follows."""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from command import Done, labelkit
from page_text import measure_reach, read_pages
from PIL import Image
from smaller_offer import ONE_DESIGN, ONE_SIZE, ONE_WRAP, SMALLEST, THE_DEAREST

Event = Callable[..., Path]
ON = "2026-11-30"
"""A Monday, on which the sample's workshop is closed."""


def offer(event: Event, *changes: tuple[str, str]) -> Path:
    return event(*changes, file="offer.toml").parent / "offer.toml"


# -- the page --------------------------------------------------------------------------------------


def test_a_page_in_each_language_with_the_customers_names(event: Event, tmp_path: Path) -> None:
    page = tmp_path / "offer.pdf"
    names = ("--names", "Mina & Ole", "--names", "fr=Mina et Ole")
    done = labelkit("offer", offer(event), "--out", page, "--on", ON, *names)
    assert done.returncode == 0, done.stderr
    english, french = read_pages(page)
    for text in (english, french):
        assert text.count("Mina & Ole") == 3  # once in each design
        assert "Ada" not in text
        assert "bonjour@estran.example" in text
    assert "The designs, with your names" in english
    for words in (
        "from 40 pieces $8.25",
        "from 80 pieces $6.50",
        "from 150 pieces $5.75",
        "60 g, with a label of 56 × 40 mm, $1.40 more",
        "Smallest order: 40 pieces.",
        "Deposit with the order: 30 %.",
        "Delivery 12 weeks after your order",
        "These prices stand until December 31, 2027.",
        "Before tax (HST, 15 %).",
    ):
        assert words in english.replace("\u00a0", " "), words
    plain = re.sub(r"[\u00a0\u202f]", " ", french)
    for words in (
        "Les modèles d’étiquettes, à vos noms",
        "à partir de 80 savonnettes 6,50 $",
        "Commande minimale : 40 savonnettes.",
        "Avant taxes (TVH, 15 %).",
        "Papier kraft et ficelle de coton",
    ):
        assert words in plain, words


def test_what_a_piece_costs_is_for_the_maker_alone(event: Event, tmp_path: Path) -> None:
    page = tmp_path / "offer.pdf"
    done = labelkit("offer", offer(event), "--out", page, "--on", ON)
    costs = re.findall(r"truly costs ([\d.]+) CAD", done.stdout)
    assert len(costs) == 12  # three prices, two sizes, two wraps
    text = " ".join(read_pages(page))
    assert "invented names" in text
    assert not any(cost in text or cost.replace(".", ",") in text for cost in costs)
    for word in ("cost", "coût", "lye", "soude", "legal", "juridique"):
        assert word not in text.casefold()


def test_the_page_as_pictures_and_as_html(event: Event, tmp_path: Path) -> None:
    path = offer(event, ONE_SIZE, ONE_WRAP, THE_DEAREST)
    labelkit("offer", path, "--out", tmp_path / "page.png", "--on", ON)
    sizes = [Image.open(tmp_path / f"page-{tag}-1.png").size for tag in ("en", "fr")]
    assert sizes == [(1700, 2200)] * 2  # letter at 200 dpi: 8.5 x 11 in
    labelkit("offer", path, "--out", tmp_path / "page.html", "--on", ON)
    text = (tmp_path / "page.html").read_text("utf-8")
    found: list[tuple[str, str | None]] = []

    class Reader(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            found.append((tag, dict(attrs).get("lang")))

    Reader().feed(text)
    assert [lang for tag, lang in found if tag == "article"] == ["en", "fr"]
    assert sum(tag == "svg" for tag, _ in found) == 6
    assert "<script" not in text
    assert "8,25" in text


def test_one_language_alone(event: Event, tmp_path: Path) -> None:
    page = tmp_path / "offer.pdf"
    labelkit("offer", offer(event, *SMALLEST), "--out", page, "--on", ON, "--language", "fr")
    (only,) = read_pages(page)
    assert "Des savons pour vos invités" in only


def test_nothing_of_three_soaps_with_long_names_runs_over(event: Event, tmp_path: Path) -> None:
    path = offer(event)
    soaps = "".join(
        f'\n[[offer.soap]]\nid = "{name}"\nscent = "{name} of the long and windy harbour shore"\n'
        f'colour_name = "a colour called {name}"\nadds = 0.25\n'
        for name in ("Rye", "Thrift")
    )
    path.write_text(path.read_text("utf-8") + soaps, "utf-8")
    page = tmp_path / "offer.pdf"
    assert labelkit("offer", path, "--out", page, "--on", ON).returncode == 0
    sheets = measure_reach(page)
    assert len(sheets) == 2
    for sheet in sheets:
        assert sheet.right <= sheet.width - 56  # 20 mm
        assert sheet.low >= 56
    assert all("Thrift" in text for text in read_pages(page))


# -- told before it is sent ------------------------------------------------------------------------


def test_a_price_below_the_true_cost_is_told(event: Event, tmp_path: Path) -> None:
    path = offer(event, ("price = 5.75", "price = 3.00"), ONE_DESIGN, ONE_WRAP)
    done = labelkit("offer", path, "--out", tmp_path / "offer.pdf", "--on", ON)
    # What it truly costs is what the plan of such an order says.
    cost = re.search(r"150 × oat, small, paper: asks 3.00, truly costs ([\d.]+)", done.stdout)
    assert cost is not None
    told = rf"150 × oat, small, paper: 3.00 is below what a piece truly costs; at least {cost[1]}"
    assert re.search(told, done.stderr)
    assert "150 × oat, large" not in done.stderr  # 3.00 + 1.40 pays for itself
    started = tmp_path / "event" / "order"
    chosen = ("--guests", 150, "--date", "2027-06-19", "--names", "Mina", "--wrap", "paper")
    made = labelkit("new", started, "--from", path, *chosen, "--on", ON)
    assert "3.00 is below what a piece truly costs" in made.stderr
    label = started / "label.toml"
    label.write_text(re.sub(r"(?m)^place.*\n", "", label.read_text("utf-8")), "utf-8")
    plan = labelkit("plan", label, "--on", ON).stdout
    assert re.search(rf"True cost of a piece, of 150\s+\${cost[1]}", plan)


def test_an_extra_that_costs_more_than_it_adds_is_told(event: Event) -> None:
    # A sprig is 0.12, and 12 % overhead on it: 0.1344 a piece, told as the next cent.
    path = offer(event, ("adds = 0.30", "adds = 0.13"), *SMALLEST)
    done = labelkit("offer", path, "--on", ON)
    assert "sprig adds 0.13, and truly costs 0.14 a piece" in done.stderr
    assert "sprig" not in labelkit("offer", offer(event, ("0.13", "0.14")), "--on", ON).stderr


def test_a_lead_time_that_the_cure_cannot_keep_is_told(event: Event, tmp_path: Path) -> None:
    # Ordered on Tuesday 1 December 2026, as Mondays are closed; supplies on the 15th, a Tuesday,
    # and poured; cut on the 17th; six weeks later, on Thursday 28 January, wrapped; delivered on
    # the 29th, 60 days after the order: nine weeks.
    path = offer(event, ("lead_weeks = 12", "lead_weeks = 7"), *SMALLEST)
    page = tmp_path / "offer.pdf"
    done = labelkit("offer", path, "--out", page, "--on", ON)
    assert done.returncode == 1
    assert not page.exists()
    assert "is delivered on 2027-01-29 at the earliest. Write 9, or more" in done.stderr
    path = offer(event, ("lead_weeks = 7", "lead_weeks = 9"))
    assert labelkit("offer", path, "--out", page, "--on", ON).returncode == 0


@pytest.mark.usefixtures("no_ways_out")
def test_a_design_that_is_not_legal_on_a_size_is_not_offered(event: Event, tmp_path: Path) -> None:
    small = ('trim = "44 x 28 mm"', 'trim = "24 x 16 mm"')
    path = offer(event, small, ONE_DESIGN, ONE_WRAP, THE_DEAREST)
    page = tmp_path / "offer.pdf"
    done = labelkit("offer", path, "--out", page, "--on", ON)
    assert done.returncode == 1
    assert not page.exists()
    assert re.search("lantern on small (does not fit|is not legal)", done.stderr)
    assert "on large" not in done.stderr


def test_what_only_an_order_knows_is_not_held_against_an_offer(
    event: Event, tmp_path: Path
) -> None:
    """In Europe a label needs a lot and a date of durability, which no offer has yet."""
    languages = ('languages = ["en", "fr"]', 'languages = ["nl", "fr"]')
    path = offer(event, languages, ONE_WRAP, THE_DEAREST)
    address = '["Rue du Lac 3", "5000 Namur, Belgique"]'
    maker = path.parent / "maker.toml"
    text = re.sub(r"(?m)^address = .*", f"address = {address}", maker.read_text("utf-8"))
    text = text.replace('["CA"]', '["BE"]').replace('country = "CA"', 'country = "BE"')
    maker.write_text(text, "utf-8")
    page = tmp_path / "offer.pdf"
    done = labelkit("offer", path, "--out", page, "--on", ON)
    assert done.returncode == 0, done.stderr
    (only,) = read_pages(page)  # pages are written in French, and not in Dutch
    assert "LOT-0000" not in only
    assert "€" in only


def test_a_soap_that_the_record_does_not_know_is_told(event: Event) -> None:
    path = offer(event, *SMALLEST)
    assert "not recorded" not in labelkit("offer", path, "--on", ON).stderr  # nothing is recorded
    label = path.parent / "label.toml"
    labelkit("plan", label, "--on", "2027-04-27", "--record", "--poured", "2027-04-27")
    assert "not recorded" not in labelkit("offer", path, "--on", "2027-06-01").stderr
    recipe = path.parent / "recipe.toml"
    recipe.write_text(recipe.read_text("utf-8").replace("Hay & honey", "Meadow rain"), "utf-8")
    told = labelkit("offer", path, "--on", "2027-06-01").stderr
    assert "oat is not recorded as poured with this scent" in told


# -- the order that follows ------------------------------------------------------------------------


def start(event: Event, tmp_path: Path, *options: object) -> tuple[Done, Path]:
    folder = tmp_path / "event" / "spring"
    return labelkit("new", folder, "--from", offer(event), "--on", ON, *options), folder


def test_an_order_says_what_was_chosen_at_the_price_offered(event: Event, tmp_path: Path) -> None:
    names = ("--names", "Mina & Ole", "--names", "fr=Mina et Ole")
    chosen = ("--size", "large", "--layout", "meadow", "--wrap", "band", "--extra", "sprig")
    given = ("--guests", 90, "--date", "2027-06-19")
    done, folder = start(event, tmp_path, *names, *chosen, *given)
    assert done.returncode == 0, done.stderr
    label = folder / "label.toml"
    text = label.read_text("utf-8")
    left = re.findall('<<<.*?"', text)
    assert len(left) == 1  # the place, which only the customer knows
    read = tomllib.loads(text)
    assert read["event"]["names"] == {"en": "Mina & Ole", "fr": "Mina et Ole"}
    assert read["label"]["layout"] == "meadow"
    assert read["label"]["trim"] == "56 x 40 mm"
    assert read["plan"]["quote"]["price"] == 8.2  # 6.50 from 80 on, 1.40 the size, 0.30 the sprig
    assert read["plan"]["wrap"]["size"] == "205 x 27.5 mm"  # 2 x (70 + 25) + 15; 55 / 2
    recipe = (folder / "recipe.toml").read_bytes()
    assert recipe == (folder.parent / "recipe.toml").read_bytes()
    label.write_text(re.sub(r"(?m)^place.*\n", "", text), "utf-8")
    assert labelkit("preflight", label).returncode == 0
    quote = tmp_path / "quote.pdf"
    assert labelkit("plan", label, "--page", "quote", "--out", quote, "--on", ON).returncode == 0
    (page,) = read_pages(quote)
    assert "90 $8.20 $738.00" in page  # 90 x 8.20


def test_a_date_that_the_cure_cannot_meet_is_told(event: Event, tmp_path: Path) -> None:
    # The full cure ends as above; with the four weeks that are the least it is wrapped on Thursday
    # 14 January and delivered on Friday the 15th.
    done, folder = start(event, tmp_path, "--date", "2027-01-16", "--guests", 60)
    assert done.returncode == 1
    assert "the cure cannot meet 2027-01-16" in done.stderr
    assert "on 2027-01-29 at the earliest, or on 2027-01-15" in done.stderr
    assert (folder / "label.toml").is_file()


def test_a_date_sooner_than_the_lead_time_and_a_small_order_are_told(
    event: Event, tmp_path: Path
) -> None:
    done, _ = start(event, tmp_path, "--date", "2027-02-10", "--guests", 25)
    assert done.returncode == 0
    assert "2027-02-10 is sooner than the lead time of 12 weeks" in done.stderr
    assert "an order of 25 is smaller than the smallest, 40" in done.stderr


def test_what_is_not_said_yet_is_a_blank(event: Event, tmp_path: Path) -> None:
    done, folder = start(event, tmp_path)
    assert done.returncode == 0
    told = labelkit("preflight", folder / "label.toml")
    assert told.returncode == 2
    for key in ("event.names", "event.date", "event.guests"):
        assert key in told.stderr


def test_display_pieces_are_an_order_of_their_own(event: Event, tmp_path: Path) -> None:
    done, folder = start(event, tmp_path, "--display", "--guests", 6, "--date", "2027-06-19")
    assert done.returncode == 0, done.stderr
    assert "smallest" not in done.stderr
    label = folder / "label.toml"
    text = re.sub(r"(?m)^place.*\n", "", label.read_text("utf-8"))
    label.write_text(text, "utf-8")
    read = tomllib.loads(text)
    assert read["event"]["kind"] == "display"
    assert read["event"]["names"] == {"en": "Ada & Bo", "fr": "Ada et Bo"}  # invented
    assert "quote" not in read["plan"]
    assert "Odile Brun" not in text  # no place to fill in a customer
    assert labelkit("preflight", label).returncode == 0
    assert "6 pieces to show" in labelkit("plan", label, "--on", ON).stdout


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--soap", "rye"), "--soap: 'rye': is not offered; expected one of oat"),
        (("--layout", "twain"), "--layout: 'twain': is not offered"),
        (("--extra", "bow"), "--extra: 'bow': is not offered; expected one of sprig"),
        (("--names", "fr="), "--names: expected a name on one line"),
        (("--region", "CA"), "with --from the offer says the maker"),
    ],
)
def test_what_is_not_offered_is_refused(
    event: Event, tmp_path: Path, options: tuple[str, str], told: str
) -> None:
    done, folder = start(event, tmp_path, *options)
    assert done.returncode == 2
    assert told in done.stderr
    assert not folder.exists()


def test_a_choice_without_an_offer_is_refused(tmp_path: Path) -> None:
    done = labelkit("new", tmp_path / "x", "--soap", "oat")
    assert done.returncode == 2
    assert "these options are for --from OFFER.toml" in done.stderr


def test_the_same_offer_gives_the_same_bytes(event: Event, tmp_path: Path) -> None:
    path = offer(event, ONE_SIZE, ONE_WRAP, THE_DEAREST)
    made = []
    for name in ("a.pdf", "b.pdf"):
        labelkit("offer", path, "--out", tmp_path / name, "--on", ON)
        made.append((tmp_path / name).read_bytes())
    assert made[0] == made[1]
    assert io.BytesIO(made[0]).read(5) == b"%PDF-"
