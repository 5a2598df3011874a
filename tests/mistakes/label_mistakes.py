"""Mistakes at the label: words, languages, sizes, weight, regions, dates and paper."""

from __future__ import annotations

import io

from mistake import PLAN, PREFLIGHT, SHEET, Change, Mistake, slip
from PIL import Image


def label(did: str, old: str, new: str, told: str, code: int = 2, run: str = "") -> Mistake:
    return slip(did, "label.toml", old, new, told, run=run, code=code)


def maker(did: str, old: str, new: str, told: str, code: int = 2) -> Mistake:
    return slip(did, "maker.toml", old, new, told, code=code)


def photograph() -> bytes:
    """A PNG of tones that run into each other, 900 x 600 pixels."""
    corners = Image.new("L", (8, 8))
    corners.putdata([15 + (n * n * 37 + n * 11) % 225 for n in range(64)])
    file = io.BytesIO()
    corners.resize((900, 600), Image.Resampling.BICUBIC).save(file, "PNG", dpi=(600, 600))
    return file.getvalue()


_NAMES = 'names = { en = "The Lighthouse Supper", fr = "Le Souper du phare" }'
_IDENTITY = 'identity = { en = "Soap", fr = "Savon" }'
_SCENT = 'scent = { en = "Oat, honey & sea buckthorn", fr = "Avoine, miel et argousier" }'
_LANGUAGES = 'languages = ["en", "fr"]'
_DATE = "date = 2027-06-19"
_LABEL = "[label]"
_LAYOUT = 'layout = "lantern"'

LABEL_MISTAKES = (
    # -- words and languages
    label(
        "the French names forgotten",
        _NAMES,
        'names = { en = "The Lighthouse Supper" }',
        "Words are not given in French: event.names",
        code=0,
    ),
    label(
        "French left English",
        _IDENTITY,
        'identity = { en = "Soap", fr = "Soap" }',
        "given as French, and its word for the product is English",
        1,
    ),
    label(
        "French and English exchanged",
        _IDENTITY,
        'identity = { en = "Savon", fr = "Soap" }',
        "“SAVON” on the front is given as English",
        0,
    ),
    label(
        "the scent copied into the French",
        _SCENT,
        'scent = { en = "Oat & honey", fr = "Oat & honey" }',
        "“Oat & honey” is given as French, and its words are English",
        0,
    ),
    label(
        "a claim copied into the French",
        _LABEL,
        '[front]\nclaim = { en = "Made by hand", fr = "Made by hand" }\n\n[label]',
        "“Made by hand” is given as French, and its words are English",
        0,
    ),
    label(
        "names pasted from a web page",
        _NAMES,
        'names = "<b>The Supper</b>&nbsp;at the light"',
        "has marks of a web page in it",
        1,
    ),
    label(
        "a line break in the place",
        'place = "Anse-aux-Brumes"',
        'place = "Anse-aux-Brumes\\nQuébec"',
        "event.place: 'Anse-aux-Brumes\\nQuébec': has a line break or a tab in it",
    ),
    Mistake(
        "the year before last typed",
        "The day of the event, June 19, 2025, is past",
        1,
        (
            Change("label.toml", "date = 2025-06-19", _DATE),
            Change("label.toml", "", "deliver_on = 2027-06-11"),
            PREFLIGHT,
        ),
    ),
    label(
        "a name that does not say soap",
        _IDENTITY,
        'identity = { en = "Bubbles", fr = "Bulles" }',
        "It cannot be told from “BUBBLES” on the front what the product is",
        0,
    ),
    label(
        "a language key misspelt",
        'fr = "Savon"',
        'rf = "Savon"',
        "Words in rf are given and not printed: product.identity.rf",
        code=1,
    ),
    label(
        "French left out of the languages",
        _LANGUAGES,
        'languages = ["en"]',
        "Heading of the ingredient list on the label or what comes with it is missing in French",
        1,
    ),
    label(
        "Finnish for French",
        _LANGUAGES,
        'languages = ["en", "fi"]',
        "Words in French are given and not printed",
        code=1,
    ),
    label(
        "the scent renamed on the label",
        _SCENT,
        'scent = { en = "Rose & peony", fr = "Rose et pivoine" }',
        "but the recipe's is “Hay & honey”",
        0,
    ),
    label(
        "the scent renamed in one language",
        "Avoine, miel et argousier",
        "Lavande et romarin",
        "The label says the scent “Lavande et romarin”",
        0,
    ),
    label(
        "unscented over a recipe with fragrance",
        _SCENT,
        'scent = { en = "Unscented", fr = "Sans parfum" }',
        "but the recipe holds “Hay & honey”",
        1,
    ),
    slip(
        "a cure promised",
        "label.toml",
        _LABEL,
        '[front]\nclaim = { en = "Heals eczema", fr = "Guérit l’eczéma" }\n\n[label]',
        "a claim to heal or relieve an ailment makes soap a drug",
        code=1,
        sample="border-anniversary",
    ),
    slip(
        "dry skin healed",
        "label.toml",
        _LABEL,
        '[front]\nclaim = { en = "Heals dry skin", fr = "Guérit la peau sèche" }\n\n[label]',
        "“Heals dry skin”, and a claim to heal or relieve an ailment makes soap a drug",
        code=1,
        sample="border-anniversary",
    ),
    slip(
        "hypoallergenic claimed",
        "label.toml",
        _LABEL,
        '[front]\nclaim = { en = "Hypoallergenic", fr = "Hypoallergénique" }\n\n[label]',
        "says “Hypoallergenic”, which needs evidence",
        sample="border-anniversary",
    ),
    slip(
        "a claim in the thanks",
        "label.toml",
        _LABEL,
        '[front]\nthanks = { en = "A hypoallergenic thank-you", fr = "Merci" }\n\n[label]',
        "to put it right (front.thanks): Leave the words out, or record what proves them",
        sample="border-anniversary",
    ),
    slip(
        "made in another country",
        "label.toml",
        '"Handmade in Lac-aux-Hérons, Canada"',
        '"Made in France"',
        "“Made in France” names another country than maker.country",
        sample="border-anniversary",
    ),
    label(
        "the net weight left out",
        _LABEL,
        '[front]\nleave_out = ["net-quantity"]\n\n[label]',
        "Net quantity is missing on the front",
        1,
    ),
    label(
        "names far too long",
        "The Lighthouse Supper",
        "The Lighthouse Supper, the Dance in the "
        "Boathouse and the Long Breakfast Afterwards with Everybody",
        "The thinnest strokes of names may break at 300 dpi",
        0,
    ),
    # -- sizes and weight
    label(
        "ten times the weight",
        '"40 g"',
        '"400 g"',
        "weigh more than the heaviest bar of the recipe",
        0,
    ),
    label("kilograms for the weight of a piece", '"40 g"', '"40 kg"', "is the unit right?", 2),
    label(
        "a nought lost from the weight",
        '"40 g"',
        '"4 g"',
        "would be a leaf behind a face of 60 x 45 mm",
        0,
    ),
    label("no unit on the weight", '"40 g"', '"40"', 'has no unit; for grams write "40 g"'),
    label("fluid ounces", '"40 g"', '"1.4 fl oz"', "unknown unit 'fl'"),
    slip(
        "more than a third of what a cavity holds",
        "maker.toml",
        'inside = "330 x 90 mm"\nfill = "65 mm"\nends = "10 mm"',
        "cavities = 12\ncavity_ml = 120",
        "more than these pieces will hold on the day of sale",
        run=PLAN,
        code=1,
    ),
    Mistake(
        "trim and face exchanged",
        "is larger than the package face",
        0,
        (
            Change("label.toml", '"60 x 44 mm"', '"44 x 28 mm"'),
            Change("label.toml", '"44 x 28 mm"', '"60 x 45 mm"'),
            PREFLIGHT,
        ),
    ),
    label(
        "centimetres for millimetres",
        '"44 x 28 mm"',
        '"44 x 28 cm"',
        "'44 x 28 cm': expected from 8 to 400 mm a side",
        2,
    ),
    label(
        "points between the millimetres",
        '"44 x 28 mm"',
        '"4.4 x 2.8 mm"',
        "'4.4 x 2.8 mm': expected from 8 to 400 mm a side",
    ),
    label(
        "no unit on the trim",
        '"44 x 28 mm"',
        '"44 x 28"',
        'has no unit; for millimetres write "44 x 28 mm"',
    ),
    label(
        "no unit on a trim in inches",
        '"44 x 28 mm"',
        '"1.5 x 1"',
        'has no unit; for millimetres write "1.5 x 1 mm", for inches "1.5 x 1 in"',
    ),
    label(
        "a trim with one side",
        '"44 x 28 mm"',
        '"44 mm"',
        'expected a width and a height such as "44 x 28 mm"',
    ),
    label(
        "inches for millimetres on the face",
        '"60 x 45 mm"',
        '"60 x 45 in"',
        "would be a leaf behind a face of 1524 x 1143 mm",
        1,
    ),
    label(
        "a shape misspelt",
        '"rounded"',
        '"ruonded"',
        "'ruonded': expected one of rectangle, rounded",
    ),
    label("a layout misspelt", '"lantern"', '"lantren"', "no such layout; did you mean lantern?"),
    label(
        "an ink too pale to read",
        _LAYOUT,
        f'{_LAYOUT}\ncolour = "#e8e4da"',
        "(relative luminance, contrast ratio)",
        1,
    ),
    label(
        "a colour by its name",
        _LAYOUT,
        f'{_LAYOUT}\ncolour = "navy"',
        'expected a colour such as "#3a2f25"',
    ),
    label(
        "no such logo",
        _LAYOUT,
        f'{_LAYOUT}\nlogo = "logo.svg"',
        "logo.svg: no such file; expected a logo",
    ),
    Mistake(
        "a photograph as logo",
        "The logo is a photograph or the like",
        0,
        (
            Change("logo.png", photograph()),
            Change("label.toml", f'{_LAYOUT}\nlogo = "logo.png"', _LAYOUT),
            Change("label.toml", '"60 x 46 mm"', '"56 x 40 mm"'),
            PREFLIGHT,
        ),
        "border-anniversary",
    ),
    # -- regions, paper, printer
    maker(
        "the regions left out",
        'regions = ["CA"]\n',
        "",
        'regions: missing; expected a list such as ["CA"]',
    ),
    maker(
        "a region by its everyday name",
        '["CA"]',
        '["UK"]',
        "did you mean GB (United Kingdom: Great Britain)?",
    ),
    maker(
        "the country typed for another",
        'country = "CA"',
        'country = "US"',
        "Maker.country is “US”, and the address has the Canadian postal code",
        0,
    ),
    maker(
        "no such country",
        'country = "CA"',
        'country = "CAN"',
        'expected an ISO 3166 code such as "CA"',
    ),
    label(
        "the maker file of another business",
        'maker = "maker.toml"',
        'maker = "../orchard-wedding/maker.toml"',
        "neither a durability date nor a period after opening",
        1,
    ),
    maker(
        "the paper of the other continent",
        '"letter-plain"',
        '"a4-plain"',
        "“a4-plain” are A4, and where the soap is made paper is Letter",
        0,
    ),
    maker(
        "a stock misspelt",
        '"letter-plain"',
        '"letter-palin"',
        "no such stock; did you mean letter-plain?",
    ),
    label(
        "see-through on paper",
        _LABEL,
        f"{_LABEL}\nclear = true",
        "says that the labels are see-through, and the stock “letter-plain” is paper",
        0,
    ),
    slip(
        "a printer never measured",
        "maker.toml",
        "[defaults]",
        '[defaults]\nprinter = "back room"',
        "'back room': no such printer; none was measured yet",
        run=SHEET,
        code=2,
    ),
    maker(
        "an e-mail with a comma",
        "bonjour@estran.example",
        "bonjour@estran,example",
        "“bonjour@estran,example” is no e-mail address",
        0,
    ),
    maker(
        "an e-mail without its sign",
        "bonjour@estran.example",
        "bonjour estran.example",
        "“bonjour estran.example” is no e-mail address",
        0,
    ),
    maker(
        "an e-mail as the name of the business",
        'name = "Savonnerie Estran"',
        'name = "bonjour@estran.example"',
        "“bonjour@estran.example” stands where the name of your business belongs",
        0,
    ),
    maker(
        "a greeting as the contact",
        "bonjour@estran.example",
        "bonjour",
        "Nobody is reached by “bonjour”",
        0,
    ),
    maker(
        "letters for noughts in the postal code",
        "E0X 0Z9",
        "EOX OZ9",
        "“EOX OZ9” is no Canadian postal code",
        0,
    ),
    maker(
        "the town left out",
        ', "Anse-aux-Brumes NB  E0X 0Z9"',
        "",
        "names no province or territory",
        0,
    ),
    slip(
        "a digit of the telephone lost",
        "maker.toml",
        "819 555 0117",
        "819 555 011",
        "“819 555 011” has 9 digits, and one of this country has 10",
        sample="border-anniversary",
    ),
    slip(
        "ounces for grams",
        "label.toml",
        '"42 g"',
        '"42 oz"',
        "is the unit right?",
        code=2,
        sample="border-anniversary",
    ),
    slip(
        "the period after opening of a soap that keeps two years",
        "label.toml",
        "durability_months = 36",
        "durability_months = 24",
        "A piece that keeps 24 months needs its date of durability",
        code=1,
        sample="orchard-wedding",
    ),
    slip(
        "no durability in Europe",
        "label.toml",
        '[back]\ndurability = "12M"',
        "",
        "Ni date de durabilité ni durée d’utilisation après ouverture",
        code=1,
        sample="mill-kermis",
    ),
    slip(
        "Dutch left French",
        "label.toml",
        'nl = "Zeep"',
        'nl = "Savon"',
        "est déclaré en néerlandais, mais le nom du produit y est en français",
        sample="mill-kermis",
    ),
    # -- days and lot
    label(
        "last year's date",
        _DATE,
        "date = 2026-06-19",
        "2027-06-11: is after the event (2026-06-19)",
        2,
    ),
    label(
        "digits of the year swapped",
        _DATE,
        "date = 2072-06-19",
        "June 19, 2072, is over 45 years ahead",
        0,
    ),
    label("a date as said", _DATE, 'date = "19/06/2027"', "write 2027-06-19 (no quotes)"),
    label("no such day", _DATE, "date = 2027-06-31", "there is no such day: June 2027 has 30 days"),
    label(
        "day before month", _DATE, "date = 2027-19-06", "there is no such day; write year-month-day"
    ),
    label(
        "delivered after the event",
        "deliver_on = 2027-06-11",
        "deliver_on = 2027-07-11",
        "2027-07-11: is after the event (2027-06-19)",
    ),
    label(
        "delivery with last year's date",
        "deliver_on = 2027-06-11",
        "deliver_on = 2026-06-11",
        "The day of delivery, Thursday, June 11, 2026, is past",
        1,
        PLAN,
    ),
    label(
        "the event a season earlier",
        _DATE,
        "date = 2027-02-19",
        "2027-06-11: is after the event (2027-02-19)",
    ),
    label(
        "the lot of the last order",
        '"LS-2704"',
        '"LS-2611"',
        "The lot is “LS-2611”, but plan.lot_pattern and the pour on April 27, 2027 give “LS-2704”",
        0,
    ),
    label("the lot left empty", '"LS-2704"', '""', "is blank; expected text in quotes"),
    label(
        "sold long before the event",
        'lot = "LS-2704"',
        'lot = "LS-2704"\nsold_on = 2022-06-19',
        "The day of sale, June 19, 2022, is past, and the event is not",
        0,
    ),
)
LABEL_MISTAKES += (
    label(
        "a weight in the wrong table",
        _LABEL,
        f'{_LABEL}\nnet_weight = "40 g"',
        "unknown key here; it belongs under [product]",
    ),
    label(
        "half a plan misspelt",
        "pieces_per_bar",
        "pieces_per_bars",
        "did you mean 'pieces_per_bar'?",
        2,
        SHEET,
    ),
)
