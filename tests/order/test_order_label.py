"""The label spec: what it reads, and the one line it says of anything wrong."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.job.prepare import prepare_job
from labelkit.order.guests import read_guests
from labelkit.order.label import read_label
from labelkit.order.recipe import read_recipe
from labelkit.order.stock import find_stock
from labelkit.plan.order_plan import make_plan

Event = Callable[..., Path]


def test_the_sample_is_read(sample: Path) -> None:
    spec = read_label(sample)
    assert (spec.trim.width_mm, spec.trim.height_mm) == (44, 28)
    assert spec.event.guests == 60
    assert spec.event.spares == 6  # 10 % of 60
    assert spec.event.labels == 66
    assert spec.regions == ("CA",)  # from maker.toml
    assert spec.languages == ("en", "fr")
    assert spec.product.net_weight_g == 40
    assert spec.product.sold_on == dt.date(2027, 6, 19)  # the event's day unless said otherwise


@pytest.mark.parametrize(
    ("spares", "guests", "wanted"),
    [('"10 %"', 61, 7), ('"10 %"', 1, 1), ("0", 61, 0), ('"33,5 %"', 100, 34), ("9", 50, 9)],
)
def test_spares_are_rounded_up(event: Event, spares: str, guests: int, wanted: int) -> None:
    label = event(('spares = "10 %"', f"spares = {spares}"), ("guests = 60", f"guests = {guests}"))
    assert read_label(label).event.spares == wanted


ON_CARD = '[back]\ningredients_on = "card"\n\n[card]\n'
BROKEN = [
    (("[label]\n", '[tag]\ntrim = "40 x 60 mm"\n\n[label]\n'),
     'tag: the ingredient list is not on a tag; expected no such table, or ingredients_on = "tag"'),
    (("[label]\n", f'{ON_CARD}stock = "a4-plain"\n\n[label]\n'),
     "card.trim: missing"),
    (("[label]\n", f'{ON_CARD}trim = "4 x 4 mm"\n\n[label]\n'),
     "card.trim: '4 x 4 mm': expected from 8 to 400 mm a side"),
    (("[label]\n", f'{ON_CARD}trim = "40 x 60 mm"\nbleed = "2 mm"\n\n[label]\n'),
     "card.bleed: "),
    (('net_weight = "40 g"', 'net_weight = "40 stone"'), "product.net_weight: '40 stone': unknown"),
    (('net_weight = "40 g"', 'net_weight = "-40 g"'), "product.net_weight: '-40 g': must not be"),
    (('net_weight = "40 g"', "net_weight = 40"), "product.net_weight: 40: has no unit; for grams"),
    (('net_weight = "40 g"', 'net_weight = "24,50"'),
     "product.net_weight: '24,50': has no unit; for grams write \"24,50 g\""),
    (('trim = "44 x 28 mm"', 'trim = "44 x 58"'),
     "label.trim: '44 x 58': has no unit; for millimetres write \"44 x 58 mm\""),
    (('trim = "44 x 28 mm"', "trim = true"), "label.trim: True: expected a size"),
    (("guests = 60", 'guests = "60"'), "event.guests: '60': write 60 without quotes"),
    (("guests = 60", 'guests = "60,5"'), "event.guests: '60,5': expected a whole number"),
    (('net_weight = "40 g"', 'nett_weight = "40 g"'), "product.net_weight: missing"),
    (("guests = 60", "guests = 0"), "event.guests: 0: expected a whole number from 1"),
    (("guests = 60", "guests = 60.5"), "event.guests: 60.5: expected a whole number"),
    (("guests = 60", "guests = true"), "event.guests: True: expected a whole number"),
    (('spares = "10 %"', 'spares = "many"'), "event.spares: 'many': expected a count"),
    (("date = 2027-06-19", 'date = "soon"'), "event.date: 'soon': expected a date"),
    (("date = 2027-06-19", "date = 2027-06-19T10:00:00"), "event.date: 2027-06-19 10:00:00"),
    (('trim = "44 x 28 mm"', 'trim = "44 mm"'), "label.trim: '44 mm': expected a width"),
    (('trim = "44 x 28 mm"', 'trim = "4 x 2800 mm"'),
     "label.trim: '4 x 2800 mm': expected from 8 to 400 mm a side"),
    (('corner = "2 mm"', 'corner = "15 mm"'), "label.corner: '15 mm': expected at most half"),
    (('shape = "rounded"', 'shape = "heart"'), "label.shape: 'heart': expected one of"),
    (('languages = ["en", "fr"]', 'languages = ["en", "en"]'), "label.languages:"),
    (('languages = ["en", "fr"]', 'languages = ["xx-yy-zz"]'), "label.languages: 'xx-yy-zz'"),
    (('languages = ["en", "fr"]', 'languages = ["English", "fr"]'),
     "label.languages: 'English': is no language tag; expected \"en\""),
    (('languages = ["en", "fr"]', 'languages = ["en", "Français"]'),
     "label.languages: 'Français': is no language tag; expected \"fr\""),
    (('layout = "lantern"', 'layot = "lantern"'), "label.layout: missing"),
    (('layout = "lantern"', 'layout = "hedgrow"'),
     "label.layout: 'hedgrow': no such layout; did you mean hedgerow? expected one of"),
    (('layout = "lantern"', 'layout = "lantern"\nstock = "letter-plian"'),
     "label.stock: 'letter-plian': no such stock; did you mean letter-plain?"),
    (('layout = "lantern"', 'layout = "lantern"\nregions = ["NEW ZEALAND"]'),
     "label.regions: 'NEW ZEALAND': unknown region; did you mean NZ (New Zealand)?"),
    (('identity = { en = "Soap"', 'identity = { en = ""'), "product.identity.en: '': is blank"),
    (('soap_colour = "#e9c98f"', 'soap_colour = "beige"'), "product.soap_colour: 'beige'"),
    (('lot = "LS-2704"', 'lot = "<<< code"'), "product.lot: '<<< code': is still to be filled in"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "message"), BROKEN, ids=[m for _, m in BROKEN])
def test_each_wrong_value_is_told_in_one_line(
    event: Event, change: tuple[str, str], message: str
) -> None:
    label = event(change)
    with pytest.raises(InputError) as caught:
        read_label(label)
    text = str(caught.value)
    assert message in text
    assert text.startswith(str(label))
    assert "\n" not in text


@pytest.mark.parametrize("key", ["address", "contact"])
@pytest.mark.parametrize(
    ("lines", "reason"),
    [
        ("[]", "is empty"),
        ('[""]', "has a blank text"),
        ('["1 Quay Rd", " "]', "has a blank text"),
        ('["\\u200b"]', "has a blank text"),  # zero width space, category Cf: nothing is seen
        ('"\\u00a0"', "has a blank text"),
        ('["1 Quay Rd", " - "]', "has neither letter nor figure"),
        ('"·"', "has neither letter nor figure"),
    ],
)
def test_a_maker_without_address_or_contact_is_refused(
    event: Event, key: str, lines: str, reason: str
) -> None:
    given = {
        "address": '["9, ch. du Phare", "Anse-aux-Brumes NB  E0X 0Z9"]',
        "contact": '["bonjour@estran.example"]',
    }
    label = event((f"{key} = {given[key]}", f"{key} = {lines}"), file="maker.toml")
    with pytest.raises(
        InputError, match=rf"maker\.toml: maker\.{key}: .*{reason}; expected a list"
    ):
        read_label(label)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('regions = ["CA"]', 'regions = ["Kanada"]'),
         r"defaults\.regions: 'Kanada': unknown region; did you mean CA \(Canada\)\?"),
        (('country = "CA"', 'country = "Canada"'),
         r"maker\.country: 'Canada': expected an ISO 3166 code such as \"CA\""),
        (('"letter-plain"', '"leter-plain"'),
         r"defaults\.stock: 'leter-plain': no such stock; did you mean letter-plain\?"),
    ],
)  # fmt: skip
def test_the_makers_defaults_are_told_with_their_own_file(
    event: Event, change: tuple[str, str], message: str
) -> None:
    with pytest.raises(InputError, match=rf"maker\.toml: {message}"):
        read_label(event(change, file="maker.toml"))


def test_the_workshops_own_stock_lies_beside_its_own_file(event: Event, tmp_path: Path) -> None:
    label = event(('maker = "maker.toml"', 'maker = "../shop/maker.toml"'))
    event(('"letter-plain"', '"mine.toml"'), file="maker.toml")
    shop = tmp_path / "shop"
    shop.mkdir()
    (label.parent / "maker.toml").rename(shop / "maker.toml")
    plain = 'labelkit = 1\ntitle = "p"\nkind = "plain"\npage = "150 x 200 mm"\n'
    (shop / "mine.toml").write_text(plain, "utf-8")
    spec = read_label(label)
    assert spec.stock == "../shop/mine.toml"
    assert find_stock(spec.stock, label.parent).page_width_mm == 150
    assert read_label(Path(os.path.relpath(label))).stock == "../shop/mine.toml"


@pytest.mark.parametrize(("key", "line"), [("layout", 'layout = "mine"'), ("stock", "")])
def test_a_file_beside_the_spec_is_meant_where_only_its_ending_is_missing(
    event: Event, key: str, line: str
) -> None:
    label = event(('layout = "lantern"', line or 'layout = "lantern"\nstock = "mine"'))
    (label.parent / "mine.toml").write_text("labelkit = 1\n", "utf-8")
    with pytest.raises(InputError, match=rf"label\.{key}: 'mine': .* did you mean mine\.toml\?"):
        read_label(label)


def test_an_unknown_key_is_told_with_the_nearest_known(event: Event) -> None:
    label = event(('lot = "LS-2704"', 'lott = "LS-2704"'))
    with pytest.raises(InputError, match=r"product\.lott: unknown key; did you mean 'lot'\?"):
        read_label(label)


@pytest.mark.parametrize("shape", ["round", "square"])
@pytest.mark.parametrize("trim", ["45 mm", "45 x 45 mm", "4.5 cm"])
def test_one_length_says_the_trim_of_a_round_or_square_label(
    event: Event, shape: str, trim: str
) -> None:
    label = event(
        ('trim = "44 x 28 mm"', f'trim = "{trim}"'), ('shape = "rounded"', f'shape = "{shape}"'),
        ('corner = "2 mm"', ""), ('package_face = "60 x 45 mm"', 'package_face = "60 mm"'),
        ('lot = "LS-2704"', 'package_face_shape = "round"'),
    )  # fmt: skip
    spec = read_label(label)
    assert (spec.trim.width_mm, spec.trim.height_mm) == (45, 45)
    assert (spec.product.face_width_mm, spec.product.face_height_mm) == (60, 60)


def test_a_round_label_with_two_lengths_that_differ_is_refused(event: Event) -> None:
    label = event(
        ('trim = "44 x 28 mm"', 'trim = "45 x 44 mm"'), ('shape = "rounded"', 'shape = "round"'),
    )  # fmt: skip
    with pytest.raises(InputError, match=r"label\.trim: '45 x 44 mm': a round label is as wide as"):
        read_label(label)


def test_a_guest_list_gives_the_count(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name,table\nZoë O’Hara,1\n\nJosé-María,2\n", "utf-8")
    spec = read_label(label)
    assert spec.event.guest_names == ("Zoë O’Hara", "José-María")
    assert spec.event.labels == 3  # two guests and one spare


def test_a_guest_list_that_does_not_agree_with_the_count_is_refused(event: Event) -> None:
    label = event(("guests = 60\n", 'guests = 60\nguest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("Zoë\n", "utf-8")
    with pytest.raises(InputError, match=r"event\.guests: 60: the guest list holds 1 names"):
        read_label(label)


@pytest.mark.parametrize(
    "content",
    [
        "Nom;Table\nZoë;1\nLi;2\n",  # as a spreadsheet with a decimal comma saves it
        "table\tInvité\n1\tZoë\n2\tLi\n",
        "\ufeffGuest\r\nZoë\r\nLi\r\n",
        "Zoë\nLi\n",
        "name;table\nZoë;1\n;;\nLi;2\n;\n; ;\n",  # rows a spreadsheet keeps after its last entry
        "name,table\r\nZoë,1\r\n,\r\nLi,2\r\n,,,\r\n",
        "Zoë\n;\nLi\n,\n - \n",
        "Zoë;\nLi;\n",
        "Zoë\nLi;;\n",
        "name;\nZoë;1\nLi;\n",
        ";;\nname;table\nZoë;1\nLi;2\n",
    ],
)
def test_guest_lists_as_spreadsheets_save_them(event: Event, content: str) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text(content, "utf-8")
    assert read_label(label).event.guest_names == ("Zoë", "Li")


@pytest.mark.parametrize(
    "content",
    [
        "Nombre;Apellidos\nAna;Brisa Luz\nBo;\n",
        "First name,Last name\nAna,Brisa Luz\nBo,\n",
        "last_name,first_name\nBrisa Luz,Ana\n,Bo\n",
        "Prénom;Nom\nAna;Brisa Luz\nBo;\n",
        "Nom;Prénom\nBrisa Luz;Ana\n;Bo\n",
        "Name;Vorname\nBrisa Luz;Ana\n;Bo\n",
        "Vorname;Nachname\nAna;Brisa Luz\nBo;\n",
        "Nome;Apelido\nAna;Brisa Luz\nBo;\n",
        "Sobrenome;Nome\nBrisa Luz;Ana\n;Bo\n",
        "Nome\tCognome\nAna\tBrisa Luz\nBo\t\n",
        "Voornaam;Achternaam\nAna;Brisa Luz\nBo;\n",
        "Primer apellido;Segundo apellido;Nombre\nBrisa;Luz;Ana\n;;Bo\n",
        "Name,First name\nAna Brisa Luz,Ana\nBo,Bo\n",
        "Convidados\nAna Brisa Luz\nBo\n",
        "Invitado\nAna Brisa Luz\nBo\n",
        "INVITES\nAna Brisa Luz\nBo\n",
        "Gäste\nAna Brisa Luz\nBo\n",
        "Nombre y apellidos;Mesa\nAna Brisa Luz;1\nBo;2\n",
    ],
)
def test_given_names_and_surnames_are_joined_in_this_order(event: Event, content: str) -> None:
    """The usual headings of address lists in these languages: common practice, no source."""
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text(content, "utf-8")
    assert read_label(label).event.guest_names == ("Ana Brisa Luz", "Bo")


def test_columns_that_are_no_part_of_a_name_are_remembered(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("Mesa;Nome;Dieta;;Apelido\n1;A;vegana;;B\n", "utf-8")
    assert read_label(label).event.listed.unread == ("Mesa", "Dieta")


@pytest.mark.parametrize(
    ("content", "lines"),
    [
        ("Bo\nZoë\n\nBo\n", {"Bo": (1, 4), "Zoë": (2,)}),
        ("\ufeffGuest\r\nZoe\u0308\r\nBo\r\n", {"Bo": (3,), "Zoë": (2,)}),
        ("Table,First name,Last name\n1,Zoë,Li\n2,Bo,\n", {"Bo": (3,), "Zoë Li": (2,)}),
    ],
)
def test_the_lines_on_which_a_name_stands(
    tmp_path: Path, content: str, lines: dict[str, tuple[int, ...]]
) -> None:
    path = tmp_path / "guests.csv"
    path.write_text(content, "utf-8", newline="")
    assert read_guests(path).lines_of([*lines, "Kim"]) == {**lines, "Kim": ()}


def test_a_piece_weighs_the_ounces_it_is_declared_at(event: Event) -> None:
    # 1.5 oz = 42.5242846875 g (NIST Handbook 44, Appendix C); 4 oz = 113.3980925 g.
    label = event(('net_weight = "40 g"', 'net_weight = "1.5 oz"'))
    assert str(read_label(label).product.net_weight_g) == "42.53"
    label = event(('net_weight = "1.5 oz"', 'net_weight = "4 oz"'))
    assert str(read_label(label).product.net_weight_g) == "113.40"


def test_a_misspelt_key_is_named_beside_the_missing_one(event: Event) -> None:
    label = event(('net_weight = "40 g"', 'net_wieght = "40 g"'))
    with pytest.raises(
        InputError, match=r"net_weight: missing.*\(is 'net_wieght' meant for it\?\)"
    ):
        read_label(label)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "holds no names"),
        (b"name\n", "holds no names"),
        (b"name,table\nO'Brien, Pat,6\n", "has 3 fields, the first row 2"),
        (b'name\n"Zo\n', "is a quotation mark not closed"),
        (b"Tisch;Essen\n1;vegan\n", r"line 1: 'Tisch;Essen': expected .*guest, .*Vorname, Nach"),
        (b"first,last\n,\n- ,.\n", "holds no names"),
        (b"Nombre;Apellidos;Mesa\n ; ;3\n", "line 2: has no name"),
        (b"Bakker, Jan\nBo\n", r'line 1: .*put a name with a comma in quotes: "Bakker, Jan"'),
        (b"Bo\nBakker, Jan\n", r'line 2: .*put a name with a comma in quotes: "Bakker, Jan"'),
        (b"name\n\xff\xfe\n", "is not UTF-8"),
        (b"name,x\nA,2\n\n,\n,1\n", "line 5: has no name"),
        (b"name;x\n;\n;;\n", "holds no names"),
        (b";\n", "holds no names"),
        (b"name\nA\x07B\n", "cannot be printed"),
    ],
)
def test_broken_guest_lists(event: Event, content: bytes, message: str) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_bytes(content)
    with pytest.raises(InputError, match=message):
        read_label(label)


def test_a_list_in_an_older_encoding_says_how_to_save_it(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_bytes("name\nLuc\nZoë\n".encode("mac_roman"))
    with pytest.raises(InputError) as told:
        read_label(label)
    assert str(told.value) == (
        f"{label.parent / 'guests.csv'}: line 3: is not UTF-8 text; in your spreadsheet save it as"
        ' the file type "CSV UTF-8", or as CSV with the character set "Unicode (UTF-8)"'
    )
    label.write_bytes(label.read_bytes().replace(b"Souper", b"Soup\xe9"))
    with pytest.raises(InputError, match=r"is not UTF-8 text; save the file as UTF-8$"):
        read_label(label)


def test_a_guest_list_must_lie_beside_the_spec(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "../guests.csv"\n'))
    with pytest.raises(InputError, match="must lie beside this file"):
        read_label(label)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"\xff\xfe\x00", "is not UTF-8 text"),
        (b"[label\n", r"line 1: \[label: write \[label\]"),
        (b"a.b = 1\na = 2\n", "is not TOML"),
        (b"labelkit = 2\n", "this version reads format 1"),
        (b"a = " + b"[" * 5000 + b"]" * 5000, "is not TOML"),
    ],
)
def test_files_that_are_no_specs(tmp_path: Path, content: bytes, message: str) -> None:
    path = tmp_path / "label.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=message):
        read_label(path)


def test_missing_files_and_folders(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_label(tmp_path / "nowhere.toml")
    with pytest.raises(InputError, match="is a folder; expected a label spec"):
        read_label(tmp_path)


def test_a_folder_that_holds_the_file_is_told_with_it(event: Event) -> None:
    folder = event().parent
    with pytest.raises(
        InputError, match=r"event: is a folder; did you mean .*event.label\.toml\?$"
    ):
        read_label(folder)
    with pytest.raises(InputError, match=r"is a folder; did you mean .*event.recipe\.toml\?$"):
        read_recipe(folder)


@pytest.mark.parametrize(
    ("file", "key", "old", "new"),
    [
        ("label.toml", "event.guest_list", "guests = 60", 'guest_list = "gasten.csv"'),
        ("label.toml", "product.recipe", '"recipe.toml"', '"../recipe.toml"'),
        ("label.toml", "product.maker", '"maker.toml"', '"workshop.toml"'),
        ("label.toml", "label.layout", '"lantern"', '"lantern.toml"'),
        ("label.toml", "label.layout", '"lantern"', '"../mine.toml"'),
        ("label.toml", "label.stock", "[label]", '[label]\nstock = "my-sheet.toml"'),
        ("maker.toml", "defaults.stock", '"letter-plain"', '"my-sheet.toml"'),
        ("maker.toml", "plan.price_list", '"prices.toml"', '"invoice.toml"'),
    ],
)
def test_a_named_file_that_is_not_there_is_told_with_the_key_that_names_it(
    event: Event, file: str, key: str, old: str, new: str
) -> None:
    event((old, new), file=file)
    with pytest.raises(InputError, match=r"no such file; expected|must lie beside") as told:
        make_plan(prepare_job(event()), dt.date(2027, 1, 4))
    assert Path(told.value.file).name == file
    assert told.value.key == key
    assert new.split('"')[1] in str(told.value.value)


def test_a_named_file_with_a_slip_in_its_name_is_told_with_the_one_that_is_there(
    event: Event,
) -> None:
    label = event(('recipe = "recipe.toml"', 'recipe = "recip.toml"'))
    with pytest.raises(InputError, match=r"no such file; did you mean recipe\.toml\?"):
        read_label(label)
