"""A layout, a logo or a spec from a stranger reaches nothing but what it is given."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import hard_binary as binary
import hard_toml as documents
import pytest
from hard_case import ROOT, SAMPLE, Case
from hard_cases import with_layout, with_logo
from hard_run import Limits, start, wait

from labelkit.common.errors import InputError
from labelkit.compose.element_words import Wording
from labelkit.compose.template import MAX_TEMPLATE, MAX_TEXT, TemplateError, render_field_text
from labelkit.model.runs import NEUTRAL
from labelkit.order import layout as limits
from labelkit.order.label import read_label
from labelkit.order.layout import find_layout, read_layout
from labelkit.order.logo import read_logo
from labelkit.order.reader import MAX_CHARACTERS

WORDS = {
    "names": (Wording("en", "The Lighthouse Supper"), Wording("fr", "Le Souper du phare")),
    "place": (Wording(NEUTRAL, "Anse-aux-Brumes"),),
}


def layout() -> dict[str, Any]:
    text = (ROOT / "layouts" / "lantern.toml").read_text(encoding="utf-8")
    return copy.deepcopy(tomllib.loads(text))


def written(folder: Path, document: dict[str, Any]) -> Path:
    path = folder / "mine.toml"
    path.write_bytes(documents.toml(document))
    return path


# -- templates -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "template",
    [
        # ways out of Jinja2 that its own security notes and published reports name (from memory)
        "{{ place.__class__.__mro__[1].__subclasses__() }}",
        "{{ place|attr('__class__') }}",
        "{{ place|attr('\\x5f\\x5fclass\\x5f\\x5f') }}",
        "{{ place['__class__'] }}",
        "{{ place.format.__globals__ }}",
        "{{ '{0.__class__}'.format(place) }}",
        "{{ '%s'|format(place) }}",
        "{{ (place|string).__init__.__globals__ }}",
        "{{ self }}",
        "{{ self.__init__.__globals__ }}",
        "{{ self._TemplateReference__context }}",
        "{{ caller }}",
        "{{ lipsum.__globals__['os'] }}",
        "{{ cycler.__init__.__globals__.os.popen('id').read() }}",
        "{{ namespace.__init__.__globals__ }}",
        "{{ joiner.__init__.__globals__ }}",
        "{{ get_flashed_messages }}",
        "{{ request }}",
        "{{ config }}",
        "{{ dict(a=1) }}",
        "{{ url_for }}",
        "{{ [place]|map(attribute='__class__')|list }}",
        "{{ [place]|map('upper')|list }}",
        "{{ place|xmlattr }}",
        "{{ place|pprint }}",
        # files
        "{% include 'label.toml' %}",
        "{% include '/etc/hostname' %}",
        "{% import 'maker.toml' as m %}",
        "{% from 'maker.toml' import m %}",
        "{% extends 'mine.toml' %}",
        # time and memory
        "{% for a in place %}{% for b in place %}{% for c in place %}x{% endfor %}{% endfor %}"
        "{% endfor %}",
        "{% set a = place %}{% set a = a ~ a %}{{ a }}",
        "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}",
        "{% call m() %}{% endcall %}",
        "{% filter upper %}x{% endfilter %}",
        "{{ place.ljust(1000000000) }}",
        "{{ place|center(1000000000) }}",
        "{{ place|indent(1000000000) }}",
        "{{ place|replace('', place)|replace('', place) }}",
        "{{ place * 1000000000 }}",
        "{{ 9 ** 9 ** 9 }}",
        "{{ 1 / 0 }}",
        "{{ 1 + 1 }}",
        "{{ [1, 2] }}",
        "{{ {1: 2} }}",
        "{{ place[0:1] }}",
        "{{ (1).__class__ }}",
        "{{ " + "(" * 200 + "place" + ")" * 200 + " }}{{ x",
    ],
)
def test_no_template_gets_out(template: str) -> None:
    with pytest.raises(TemplateError) as caught:
        render_field_text(template, WORDS, "en")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("template", "text"),
    [
        ("{{ place }}", "Anse-aux-Brumes"),
        ("{{ names|upper }}, {{ place|lower }}", "THE LIGHTHOUSE SUPPER, anse-aux-brumes"),
        ("{% if place %}at {{ place }}{% else %}somewhere{% endif %}", "at Anse-aux-Brumes"),
        ("{{ 'at ' ~ place if place != '' else '' }}", "at Anse-aux-Brumes"),
        ("{{ scent|default('unscented') }}", "unscented"),
        ("{{ '<b>' }}", "<b>"),  # text, never markup
    ],
)
def test_what_a_template_may_say(template: str, text: str) -> None:
    assert render_field_text(template, WORDS, "en") == text


def test_limits_of_templates_are_kept() -> None:
    with pytest.raises(TemplateError):
        render_field_text("x" * (MAX_TEMPLATE + 1), WORDS, "en")
    long = {"names": (Wording(NEUTRAL, "x" * MAX_CHARACTERS),)}
    with pytest.raises(TemplateError):
        render_field_text("{{ names }}" * (MAX_TEXT // MAX_CHARACTERS + 1), long, "en")


# -- paths -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    ["../l.svg", "/etc/hostname", "a/../../l.svg", "out.svg", "./../event/../l.svg", "\\..\\l.svg"],
)
def test_a_logo_lies_beside_the_spec(name: str, tmp_path: Path) -> None:
    """Neither by its name nor by a link does it lead out of the spec's folder."""
    folder = tmp_path / "event"
    Case("", (), with_logo(b"", name="l.svg")).make(make(folder))
    (tmp_path / "l.svg").write_bytes(binary.svg('<path d="M0 0H9V9Z"/>'))
    (folder / "out.svg").symlink_to(tmp_path / "l.svg")
    label = folder / "label.toml"
    text = label.read_text(encoding="utf-8").replace('"l.svg"', f"'{name}'")
    label.write_text(text, encoding="utf-8")
    if "\\" in name:  # an ordinary letter of a file's name, except where it parts folders
        spec = read_label(label)
        assert spec.logo is not None
        assert not spec.logo.exists()
        return
    with pytest.raises(InputError, match="must lie beside this file"):
        read_label(label)


def make(folder: Path) -> Path:
    folder.mkdir()
    return folder


@pytest.mark.parametrize("name", ["../mine.toml", "/tmp/mine.toml", "x/../../mine.toml", "l.toml"])
def test_a_layout_of_ones_own_lies_beside_the_spec(name: str, tmp_path: Path) -> None:
    folder = make(tmp_path / "event")
    written(tmp_path, layout())
    (folder / "l.toml").symlink_to(tmp_path / "mine.toml")
    with pytest.raises(InputError, match="must lie beside"):
        find_layout(name, folder, ROOT / "layouts")


@pytest.mark.parametrize("name", ["../lantern", "stock/a4-plain", "..\\lantern", ".", "", "*"])
def test_a_layout_s_name_is_no_path(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such layout"):
        find_layout(name, tmp_path, ROOT / "layouts")


@pytest.mark.parametrize("name", ["../mine.ttf", "/etc/hostname"])
def test_a_font_lies_beside_the_layout(name: str, tmp_path: Path) -> None:
    document = layout()
    document["faces"]["names"] = {"file": name}
    with pytest.raises(InputError, match="must lie beside this file"):
        read_layout(written(tmp_path, document))


def test_a_guest_list_lies_beside_the_spec(tmp_path: Path) -> None:
    text = (SAMPLE / "label.toml").read_text(encoding="utf-8")
    (tmp_path / "label.toml").write_text(
        text.replace("guests = 60", 'guest_list = "/etc/passwd"'), encoding="utf-8"
    )
    for name in ("maker.toml", "recipe.toml"):
        (tmp_path / name).write_bytes((SAMPLE / name).read_bytes())
    with pytest.raises(InputError, match="must lie beside this file"):
        read_label(tmp_path / "label.toml")


# -- logos -----------------------------------------------------------------------------------------

GOOD = '<path d="M0 0H10V10H0Z"/>'


@pytest.mark.parametrize(
    "inside", [part for part in binary.REFERENCES if not part.startswith("<a ")]
)
def test_a_drawing_refers_to_nothing(inside: str, tmp_path: Path) -> None:
    path = tmp_path / "l.svg"
    path.write_bytes(binary.svg(GOOD + inside))
    with pytest.raises(InputError) as caught:
        read_logo(path)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "before",
    [
        binary.LAUGHS,
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://127.0.0.1:9/svg11.dtd">',
        '<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
        "<!doctype svg>",
    ],
)
def test_a_drawing_declares_no_entities(before: str, tmp_path: Path) -> None:
    path = tmp_path / "l.svg"
    path.write_bytes(binary.svg(GOOD, before))
    with pytest.raises(InputError, match="declares a document type or entities"):
        read_logo(path)


def test_a_drawing_in_another_encoding_declares_none_either(tmp_path: Path) -> None:
    """UTF-16 hides what is looked for among the bytes."""
    path = tmp_path / "l.svg"
    start = '<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE s [<!ENTITY x "<g/>">]>'
    text = binary.svg(f"{GOOD}&x;").decode()
    for data in ((start + text).encode("utf-16"), b"<svg -->" + (start + text).encode("utf-16")):
        path.write_bytes(data)
        with pytest.raises(InputError):
            read_logo(path)


def test_a_link_in_a_drawing_is_not_followed(tmp_path: Path) -> None:
    """An <a> is a group as far as the drawing goes; where it leads is of no account."""
    path = tmp_path / "l.svg"
    path.write_bytes(binary.svg('<a href="http://127.0.0.1:9/"><path d="M0 0H9V9Z"/></a>'))
    assert len(read_logo(path).drawings) == 1


# -- limits ----------------------------------------------------------------------------------------


def test_limits_of_layouts_are_kept(tmp_path: Path) -> None:
    """What a layout may hold at most, one past each limit at a time."""
    block = {"element": "lot"}
    ornament = {"view": [0, 0, 9, 9], "path": "M0 0H9" + "L1 1" * (limits.MAX_PATH_CHARACTERS // 4)}
    art = {"ornament": "waves", "anchor": "top", "width": "3 mm"}
    dust = {**art, "width": "0.01 mm", "repeat": True}
    border = {"inset": "1 mm", "stroke": "1 mm"}
    ratio = ["1 pt", f"{limits.MAX_SIZE_RATIO + 1} pt"]
    beyond: list[tuple[tuple[str | int, ...], object]] = [
        (("front", "blocks"), [block] * (limits.MAX_BLOCKS + 1)),
        (("front", "blocks"), [{**block, "row": "r"}] * (limits.MAX_ROW + 1)),
        (("front", "art"), [art] * (limits.MAX_ART + 1)),
        (("front", "art"), [dust]),
        (("front", "borders"), [border] * (limits.MAX_BORDERS + 1)),
        (("front", "sizes", "text"), ratio),
        (("front", "sizes", "text"), ["1 pt", "401 pt"]),
        (("ornaments", "waves"), ornament),
        (("ornaments", "waves", "path"), "M0 0L1e6 0V9Z"),
        (("faces", "text", "widths"), [100] * (limits.MAX_WIDTHS + 1)),
        (("faces", "text", "weight"), 1001),
        (("title",), "x" * (MAX_CHARACTERS + 1)),
    ]
    for way, value in beyond:
        document = layout()
        place = documents.at(document, way[:-1])
        place[way[-1]] = value
        with pytest.raises(InputError):
            read_layout(written(tmp_path, document))


# -- the network -----------------------------------------------------------------------------------

NETWORK = (
    "socket.",
    "urllib.",
    "http.",
    "ftplib.",
    "smtplib.",
    "subprocess.",
    "os.exec",
)
"""Names of what Python tells of before it does it (PEP 578) that would leave the computer, or start
another program that might. A child that is forked is watched as well."""


def watched(folder: Path) -> Any:
    """Writes down every touch of the network in a file, and forbids it."""

    def install() -> None:
        import sys

        def hook(event: str, arguments: tuple[object, ...]) -> None:
            if event.startswith(NETWORK):
                with (folder / "touched").open("a", encoding="utf-8") as stream:
                    stream.write(f"{event} {arguments}\\n")
                raise PermissionError(event)

        sys.addaudithook(hook)

    return install


@pytest.mark.parametrize(
    "command",
    [
        ("sheet", "label.toml", "--out", "out"),
        ("preflight", "label.toml", "--format", "html"),
        ("preflight", "label.toml", "--timeline"),
        ("proof", "label.toml", "--out", "proof.pdf", "--png", "pictures"),
        ("plan", "label.toml", "--format", "pdf", "--out", "plan.pdf", "--record"),
        ("declare", "recipe.toml"),
        ("fit", "label.toml"),
        ("stock", "show", "letter-plain", "--out", "stock.pdf"),
        ("calibrate", "--page", "a4", "--out", "page.pdf"),
        ("rules", "--stale"),
        ("licences",),
    ],
    ids=lambda command: command[0],
)
@pytest.mark.quick(1)
@pytest.mark.usefixtures("coarse_pictures")
def test_nothing_reaches_the_network(command: tuple[str, ...], tmp_path: Path) -> None:
    """All of it works on a computer that is connected to nothing."""
    folder = make(tmp_path / "event")
    files = with_layout({})
    files.update(with_logo(binary.svg(GOOD), "l.svg"))
    Case("", command, files).make(folder)
    child = start(command, folder, tmp_path, Limits(cpu_s=60), watched(tmp_path))
    code, _, _ = wait(child)
    said = (tmp_path / "stderr").read_text(encoding="utf-8")
    assert not (tmp_path / "touched").exists(), (tmp_path / "touched").read_text()
    assert code in (0, 1), said
