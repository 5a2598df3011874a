"""Mistakes at the order: guests, files as programs save them, plan, prices, approval, batch."""

from __future__ import annotations

import io
import zipfile

from mistake import PLAN, PREFLIGHT, PROOF, SHEET, Change, Mistake, slip


def label(did: str, old: str, new: str, told: str, code: int = 2, run: str = "") -> Mistake:
    return slip(did, "label.toml", old, new, told, run=run, code=code)


def listed(did: str, guests: str | bytes, told: str, code: int = 0) -> Mistake:
    """A guest list in place of the sample's count."""
    counted = Change("label.toml", 'guest_list = "guests.csv"', "guests = 60")
    return Mistake(did, told, code, (counted, Change("guests.csv", guests), PREFLIGHT))


def spreadsheet() -> bytes:
    """The beginning of a workbook: a ZIP with the parts that ECMA-376 Part 2 names."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as parts:
        parts.writestr("[Content_Types].xml", "<Types/>")
        parts.writestr("xl/workbook.xml", "<workbook/>")
    return file.getvalue()


def sample_text(change: tuple[str, str]) -> str:
    from pathlib import Path

    path = Path(__file__).parents[2] / "samples/lighthouse-supper/label.toml"
    text = path.read_text(encoding="utf-8")
    assert change[0] in text
    return text.replace(*change)


_NAMES = 'names = { en = "The Lighthouse Supper", fr = "Le Souper du phare" }'
_RECORD = "plan label.toml --record"
_POURED = "plan label.toml --record --on 2027-05-20 --poured 2027-04-27"
_APPROVED = "proof label.toml --approved CODE"
_GUESTS = "guests = 60"
_ACCENTS = ("Anse-aux-Brumes", "Anse-à-l’Étang")

ORDER_MISTAKES = (
    # -- guests
    Mistake(
        "what the host noted beside the names",
        "printed with what stands beside them: “Ana +1”, “Mr & Mrs Pike x2”, “Bo (vegan)”, “TBC”",
        0,
        (
            Change("label.toml", 'guest_list = "guests.csv"', _GUESTS),
            Change("guests.csv", "Ana +1\nMr & Mrs Pike x2\nBo (vegan)\nTBC\n"),
            PREFLIGHT,
        ),
    ),
    Mistake(
        "a surname first, in quotes",
        "are they meant so? “Dunn, Ana” → “Ana Dunn”",
        0,
        (
            Change("label.toml", 'guest_list = "guests.csv"', _GUESTS),
            Change("guests.csv", '"Dunn, Ana"\nBo Rusk\n'),
            PREFLIGHT,
        ),
    ),
    Mistake(
        "a guest who is still a question mark",
        "without a letter were passed over: “???”",
        0,
        (
            Change("label.toml", 'guest_list = "guests.csv"', _GUESTS),
            Change("guests.csv", "Ana Pike\n???\n---\nBo Rusk\n"),
            PREFLIGHT,
        ),
    ),
    Mistake(
        "a count beside a list",
        "60: the guest list holds 2 names; make them agree",
        2,
        (
            Change("label.toml", f'{_GUESTS}\nguest_list = "guests.csv"', _GUESTS),
            Change("guests.csv", "Ana\nBo\n"),
            PREFLIGHT,
        ),
    ),
    label(
        "no such list",
        _GUESTS,
        'guest_list = "guests.csv"',
        "'guests.csv': no such file; expected a list of guests",
    ),
    label(
        "the guests in words",
        _GUESTS,
        'guests = "sixty"',
        "expected a whole number from 1 to 100000",
    ),
    label(
        "fewer than no guests",
        _GUESTS,
        "guests = -60",
        "-60: expected a whole number from 1 to 100000",
    ),
    label("half a guest", _GUESTS, "guests = 6.0", "6.0: expected a whole number from 1 to 100000"),
    label(
        "more spares than guests",
        'spares = "10 %"',
        'spares = "100 %"',
        "60 spares are made for 60 guests",
        0,
    ),
    listed(
        "numbers before the names",
        "1. Ana\n2. Bo\n3. Cy\n",
        "Numbers, bullets and dashes were taken off",
    ),
    listed("a list on one line", "Ana, Bo, Cy\n", "The guest list is one line"),
    listed(
        "names and tables with a tab between them",
        "Ana\t1\nBo\t2\n",
        "is a name and more, parted by a tab; write a first line that says what each column is",
        2,
    ),
    listed(
        "a tab further down the list",
        "Ana\nBo\t2\nCy\n",
        "line 2: 'Bo\\t2': is a name and more, parted by a tab",
        2,
    ),
    listed(
        "several mistakes in one list",
        "Ana\n=A1\nBo|2\nTotal: 3\n",
        "line 2: '=A1': is a formula; paste the list as values, without formulas, and save it again"
        " labelkit: guests.csv: line 3: 'Bo|2': what follows the | is no part of a name; take it"
        " and the | out labelkit: guests.csv: line 4: 'Total: 3': is this a guest?",
        2,
    ),
    Mistake(
        "a picture in a guest's name, on the proof",
        "1 label without a name, for who could not be set: in guests.csv: line 2: guest 'Bo 🎉'",
        0,
        (
            Change("label.toml", 'guest_list = "guests.csv"', _GUESTS),
            Change("guests.csv", "Ana\nBo 🎉\nCy\n"),
            f"{PROOF} --leave-out-unwritten",
        ),
    ),
    listed("UTF-16", "Ana\nBo\n".encode("utf-16"), "The guest list is in UTF-16"),
    listed("Windows-1252", "Zoë\nRené\n".encode("cp1252"), "read as Windows-1252"),
    listed("a workbook renamed", spreadsheet(), "is a workbook (.xlsx), not a list", 2),
    listed("a guest twice", "Ana\nBo\nAna\n", "Names that stand on the guest list more than once"),
    listed("a name that no face has", "Ana\nBo 🎈\n", "'Bo 🎈' has what no font here can write", 1),
    listed("nobody on the list", "name\n", "holds no names; expected one name a line", 2),
    listed(
        "telephones beside the names",
        "name,phone\nAna,555 0117\nBo,555 0118\n",
        "Columns of the guest list that are not printed",
    ),
    listed("formulas", '"=""Ana"""\nBo\n', "Formulas of a spreadsheet were read"),
    # -- files as programs save them
    label("smart quotes", _NAMES, _NAMES.replace('"', "”"), "use straight quotes"),
    label(
        "a quote lost",
        'place = "Anse-aux-Brumes"',
        'place = "Anse-aux-Brumes',
        "the closing quote is missing",
    ),
    label(
        "a key twice",
        _GUESTS,
        f"{_GUESTS}\nguests = 66",
        "guests stands in line 9 already; keep one of them",
    ),
    label("a comma for the point", "price = 1.15", "price = 1,15", "write 1.15 with a point"),
    label("rows of a spreadsheet", _GUESTS, "guests\t60", 'expected key = "value" or a [table]'),
    label("a colon for the equals sign", _GUESTS, "guests: 60", 'write = instead of ":"'),
    label(
        "a key of the label misspelt", "net_weight", "net_wieght", "is 'net_wieght' meant for it?"
    ),
    label("a key in capitals", "net_weight", "Net_Weight", "is 'Net_Weight' meant for it?"),
    label(
        "a lot under the wrong heading",
        "[label]",
        '[label]\nlot = "LS-2704"',
        "it belongs under [product]",
    ),
    label("a heading misspelt", "[product]", "[prodcut]", "is 'prodcut' meant for it?"),
    label("no such recipe", '"recipe.toml"', '"recipes.toml"', "did you mean recipe.toml?"),
    Mistake(
        "label.toml saved as Windows-1252",
        "is not UTF-8 text; save the file as UTF-8",
        2,
        (Change("label.toml", sample_text(_ACCENTS).encode("cp1252", "replace")), PREFLIGHT),
    ),
    Mistake(
        "label.toml saved as UTF-16",
        "is not UTF-8 text, but UTF-16",
        2,
        (Change("label.toml", sample_text(_ACCENTS).encode("utf-16")), PREFLIGHT),
    ),
    Mistake(
        "label.toml from a word processor",
        "is a document of a word processor; save it as plain text",
        2,
        (Change("label.toml", spreadsheet()), PREFLIGHT),
    ),
    Mistake(
        "the recipe given for the label",
        "expected a table [product]",
        2,
        ("preflight recipe.toml",),
    ),
    # -- plan and prices
    label(
        "a misspelt key of the plan",
        "pieces_per_bar",
        "pieces_per_barr",
        "did you mean 'pieces_per_bar'?",
    ),
    label(
        "cents for dollars",
        "price = 4.75",
        "price = 0.475",
        "The price asked is below the true cost",
        0,
        PLAN,
    ),
    label(
        "the sprig at the price of the pack",
        "price = 0.12",
        "price = 12",
        "The price asked is below the true cost",
        0,
        PLAN,
    ),
    label(
        "two pieces from a bar for three",
        "pieces_per_bar = 3",
        "pieces_per_bar = 30",
        "Loaves would be sliced every 236.5 mm",
        0,
        PLAN,
    ),
    slip(
        "the price of 100 g as that of a kilogram",
        "prices.toml",
        'price = 46.50\nfor = "5 kg"',
        'price = 0.93\nfor = "1 kg"',
        "olive oil, $0.93 a kilogram",
        run=PLAN,
    ),
    slip(
        "grams for kilograms",
        "prices.toml",
        'price = 46.50\nfor = "5 kg"',
        'price = 46.50\nfor = "5 g"',
        "olive oil, $9,300.00 a kilogram",
        run=PLAN,
    ),
    slip(
        "a price for a misspelt item",
        "prices.toml",
        '"shea butter"',
        '"shae butter"',
        "is shea butter meant?",
        run=PLAN,
        code=0,
    ),
    slip(
        "a mould in centimetres",
        "maker.toml",
        '"330 x 90 mm"',
        '"330 x 90 cm"',
        "Loaves would be sliced every 2.5 mm",
        run=PLAN,
        code=0,
    ),
    slip(
        "a day of the week misspelt",
        "maker.toml",
        '"monday"',
        '"mondy"',
        "expected some of monday, tuesday",
        code=2,
    ),
    slip(
        "a lot pattern that is none",
        "maker.toml",
        '"LS-{yy}{mm}"',
        '"LS-{yy}{mmm}"',
        "expected text with any of {yyyy}",
        code=2,
    ),
    slip(
        "an hour at the pay of a week",
        "maker.toml",
        "rate = 22.00",
        "rate = 2200",
        "The price asked is below the true cost",
        run=PLAN,
    ),
    label(
        "a face that no piece of the mould has",
        '"60 x 45 mm"',
        '"90 x 75 mm"',
        "A piece with a face of 90 x 75 mm would be 7 mm deep by its weight, and cannot be cut of a"
        " bar of 90 x 65 x 24 mm",
        0,
        PLAN,
    ),
    label(
        "a face too small for the weight of its piece",
        '"60 x 45 mm"',
        '"22 x 20 mm"',
        "cannot be cut of a bar of 90 x 65 x 24 mm",
        0,
        PLAN,
    ),
    label(
        "poured after it is delivered",
        "pieces_per_bar = 3",
        "pieces_per_bar = 3\npoured_on = 2027-12-01",
        "is after the day of delivery",
        2,
        PLAN,
    ),
    label(
        "poured too late to cure",
        "pieces_per_bar = 3",
        "pieces_per_bar = 3\npoured_on = 2027-05-25",
        "cure should have been done by",
        1,
        PLAN,
    ),
    label(
        "approved after printing",
        "pieces_per_bar = 3",
        "pieces_per_bar = 3\napprove_on = 2027-06-10",
        "is not before the labels are printed",
        2,
        PLAN,
    ),
    Mistake(
        "pieces weighed under the declared weight",
        "The pieces that were weighed do not hold the declared weight",
        1,
        (Change("weights.csv", "38.1\n38.4\n37.9\n38.8\n" * 5), f"{PLAN} --weights weights.csv"),
    ),
    Mistake(
        "weights in ounces",
        "The pieces that were weighed do not hold the declared weight",
        1,
        (Change("weights.csv", "1.44\n1.45\n1.43\n1.46\n" * 5), f"{PLAN} --weights weights.csv"),
    ),
    # -- approved, then changed
    Mistake(
        "approved, then a word changed",
        "“Le Souper du phare” before, “Le Souper des phares” now",
        1,
        (_APPROVED, Change("label.toml", "Le Souper des phares", "Le Souper du phare"), SHEET),
    ),
    Mistake(
        "approved, then the trim changed",
        "“46 x 28 mm, rounded, corners of 2 mm” now",
        1,
        (_APPROVED, Change("label.toml", '"46 x 28 mm"', '"44 x 28 mm"'), SHEET),
    ),
    Mistake(
        "approved, then the recipe changed",
        "changed since it was approved on 2027-01-10",
        1,
        (_APPROVED, Change("recipe.toml", "sunflower oil", "castor oil"), SHEET),
    ),
    Mistake(
        "the code of an older proof",
        "the code of this order is",
        2,
        ("proof label.toml --approved AAAA-AAAA",),
    ),
    Mistake(
        "only the changed, with nothing changed",
        "Nothing to print: every guest's label is as it was printed",
        0,
        (
            Change("label.toml", 'guest_list = "guests.csv"', _GUESTS),
            Change("guests.csv", "Ana\nBo\n"),
            SHEET,
            f"{SHEET} --changed",
        ),
    ),
    # -- poured, then changed
    Mistake(
        "poured tomorrow",
        "is after today (2027-04-26)",
        2,
        (f"{_RECORD} --on 2027-04-26 --poured 2027-04-27",),
    ),
    Mistake(
        "poured in the year before",
        "is over a year before the event (2027-06-19); check the year",
        2,
        (f"{_RECORD} --on 2027-04-27 --poured 2026-04-27",),
    ),
    Mistake(
        "poured, then more guests",
        "The batch is poured: it has 78 pieces",
        1,
        (_POURED, Change("label.toml", "guests = 90", _GUESTS), f"{PLAN} --on 2027-05-20"),
    ),
    Mistake(
        "poured, then another oil lot",
        "olive oil: OL-0311 then, OL-0999 now",
        0,
        (_POURED, Change("recipe.toml", '"OL-0999"', '"OL-0311"'), f"{PLAN} --on 2027-05-20"),
    ),
    Mistake(
        "poured, then the recipe changed",
        "The recipe’s amounts are not those that were poured (olive oil:",
        0,
        (_POURED, Change("recipe.toml", '"1250 g"', '"1450 g"'), f"{PLAN} --on 2027-05-20"),
    ),
    Mistake(
        "poured, then labels with another oil than is in it",
        "The recipe is not what was poured on April 27, 2027 as lot",
        1,
        (_POURED, Change("recipe.toml", "sunflower oil", "castor oil"), SHEET),
    ),
    Mistake(
        "poured, then labels with a list in another order",
        "by its amounts the list reads otherwise (",
        1,
        (_POURED, Change("recipe.toml", '"1190 g"', '"190 g"'), SHEET),
    ),
    Mistake("a lot misread in a recall", "Did you mean OL-0311?", 0, (_RECORD, "trace OL-0331")),
    Mistake(
        "a proof printed of what is unfit",
        "the customer gets no proof of a label that is not fit to print",
        1,
        (Change("label.toml", 'languages = ["en"]', 'languages = ["en", "fr"]'), PROOF),
    ),
)
