"""Faces that write what a layout's own face cannot: found by script, matched to it in size.

Packages that labelkit depends on come first, then the maker's own files are asked, then the fonts
of the computer; none whose maker forbids embedding.
"""

from __future__ import annotations

import hashlib
import io
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property, lru_cache
from pathlib import Path
from typing import IO, Any, NamedTuple

from labelkit.common.confined import recall_confined
from labelkit.common.errors import FaceError, InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.order.reader import read_bytes
from labelkit.typeset import derive, fontfiles
from labelkit.typeset.faces import Face, FaceRequest, find_styled_file, pin_axes
from labelkit.typeset.items import OWN, list_scripts
from labelkit.typeset.scripts import is_unseen
from labelkit.typeset.strokes import measure_thinnest_crossing


class ScriptFaces(NamedTuple):
    """How a script is written beside Latin."""

    sample: str
    """A letter that has the height of most."""
    share: float
    """How tall it should be: 0 as a small o, 1 as a capital, in between and beyond in proportion
    (common practice, no source)."""
    even: str = ""
    """Family of even strokes, as a package, or the package of a single font file."""
    contrasted: str = ""
    """Family of thick and thin strokes."""
    name: str = ""
    """The script in English."""
    stem: str = ""
    """A letter with an upright stem, where the sample has a bar across it."""
    bars: bool = False
    """Whether its thick strokes lie level."""


SCRIPTS: dict[str, ScriptFaces] = {
    "Latn": ScriptFaces("o", 0.0, "noto-sans", "noto-sans", "Latin"),
    "Grek": ScriptFaces("ο", 0.0, "noto-sans", "eb-garamond", "Greek", "Ι"),
    "Cyrl": ScriptFaces("о", 0.0, "noto-sans", "eb-garamond", "Cyrillic", "І"),
    "Armn": ScriptFaces("ո", 0.0, name="Armenian"),
    "Geor": ScriptFaces("ი", 0.0, name="Georgian"),
    "Hebr": ScriptFaces("ה", 0.55, "heebo", "frank-ruhl-libre", "Hebrew", bars=True),
    "Arab": ScriptFaces("ا", 1.3, "noto-sans-arabic", "amiri", "Arabic"),
    "Deva": ScriptFaces(
        "म", 0.7, "noto-sans-devanagari", "noto-sans-devanagari", "Devanagari", "ा"
    ),
    "Beng": ScriptFaces("ম", 0.8, "hind-siliguri", "hind-siliguri", "Bengali"),
    "Guru": ScriptFaces("ਮ", 0.8, name="Gurmukhi"),
    "Gujr": ScriptFaces("મ", 0.8, name="Gujarati"),
    "Taml": ScriptFaces("க", 0.3, "noto-sans-tamil", "noto-sans-tamil", "Tamil"),
    "Telu": ScriptFaces("మ", 1.0, "noto-sans-telugu", "noto-sans-telugu", "Telugu"),
    "Knda": ScriptFaces("ಮ", 1.0, name="Kannada"),
    "Mlym": ScriptFaces("മ", 0.5, name="Malayalam"),
    "Sinh": ScriptFaces("ම", 1.0, name="Sinhala"),
    "Thai": ScriptFaces("ก", 0.4, "noto-sans-thai", "noto-sans-thai", "Thai"),
    "Laoo": ScriptFaces("ກ", 0.4, name="Lao"),
    "Khmr": ScriptFaces("ក", 0.3, "noto-sans-khmer", "noto-sans-khmer", "Khmer"),
    "Mymr": ScriptFaces("က", 0.25, name="Burmese"),
    "Tibt": ScriptFaces("མ", 0.8, name="Tibetan"),
    "Ethi": ScriptFaces("መ", 0.9, name="Ethiopic"),
    "Cans": ScriptFaces("ᑕ", 1.0, name="Canadian syllabics"),
    "Cher": ScriptFaces("Ꭰ", 1.0, name="Cherokee"),
    "Hani": ScriptFaces("國", 1.5, "noto_cjk_sans_jp_regular", name="Han"),
    "Hang": ScriptFaces("한", 1.45, "noto_cjk_sans_jp_regular", name="Hangul"),
    "Tfng": ScriptFaces("ⵎ", 1.0, name="Tifinagh"),
    "Syrc": ScriptFaces("ܐ", 0.8, name="Syriac"),
    "Thaa": ScriptFaces("ހ", 0.2, name="Thaana"),
    "Nkoo": ScriptFaces("ߊ", 0.9, name="N’Ko"),
    "Mong": ScriptFaces("ᠮ", 0.6, name="Mongolian"),
}
"""Any other script is written by what the computer has, as tall as a capital."""
_OTHER = ScriptFaces("", 1.0)

LEAST_SCALE, MOST_SCALE = 0.6, 1.6
"""How far a companion's size may be from its neighbour's."""
MOST_CAPITAL = 1.75
"""How much taller than a small o a capital is taken for: those of script faces have swashes, and
letters of other scripts as tall as they would shout."""
FIRST_EMOJI = 0x1F000
"""Where blocks of pictures begin (Unicode, Blocks.txt; from memory)."""
LIGHT_AND_BOLD = (300, 700)
"""Weights between which a companion's is sought."""
CONTRAST = 0.6
"""A face whose thinnest stroke is less than this of its stem has thick and thin strokes."""
FAR_WEIGHT = 250
"""A font whose weight is further off is taken only where no other is there."""
_FONT_ENDINGS = (".ttf", ".otf", ".ttc", ".otc")
_MOST_FILES = 5000
_COLLECTION = b"ttcf"
_CONFIGURATION = Path("/etc/fonts/fonts.conf")


@dataclass(frozen=True, eq=False)
class Companion:
    """A font program that writes one script, at one place on its axes."""

    postscript: str
    """The name it gives itself."""
    path: Path
    index: int
    """Which font of a collection."""
    axes: tuple[tuple[str, float], ...]
    weight: int
    package: bool
    """Whether it came as a package, so that another machine has the same."""
    own: bool = False
    """Whether the maker named its file: what was looked at is then what is used, whatever becomes
    of the file meanwhile."""

    @cached_property
    def name(self) -> str:
        """Its PostScript name; of a font of this computer with what tells its file from others."""
        return (
            self.postscript
            if self.package
            else f"{self.postscript}-{fingerprint_font_file(self.path, self.own)}"
        )

    @cached_property
    def font(self) -> Any:
        """HarfBuzz's font of it."""
        import uharfbuzz as hb

        font = hb.Font(_open_font_program(self.path, self.index, self.own))
        if self.axes:
            font.set_variations(dict(self.axes))
        return font

    @cached_property
    def units_per_em(self) -> int:
        return int(self.font.face.upem)

    @cached_property
    def _bounds(self) -> dict[int, tuple[float, float, float, float] | None]:
        return {}

    def bounds_em(self, glyph: int) -> tuple[float, float, float, float] | None:
        """Left, bottom, right and top of a glyph's outline in ems; None for a blank one."""
        if glyph not in self._bounds:
            from fontTools.pens.boundsPen import BoundsPen

            pen, em = BoundsPen(None), self.units_per_em
            self.font.draw_glyph_with_pen(glyph, pen)
            sides = pen.bounds
            blank = sides is None or sides[0] >= sides[2] or sides[1] >= sides[3]
            self._bounds[glyph] = (
                None if blank else (sides[0] / em, sides[1] / em, sides[2] / em, sides[3] / em)
            )
        return self._bounds[glyph]

    def writes(self, text: str) -> bool:
        """Whether it has a glyph with an outline for every visible character."""
        font = self.font
        for character in text:
            glyph = font.get_nominal_glyph(ord(character))
            if glyph is None and is_unseen(character):
                continue
            if not glyph:
                return False
            if not is_unseen(character) and self.bounds_em(glyph) is None:
                return False
        return True

    def height_em(self, letter: str) -> float | None:
        """How tall a letter is; None where it has none."""
        glyph = self.font.get_nominal_glyph(ord(letter)) if letter else None
        bounds = self.bounds_em(glyph) if glyph else None
        return bounds[3] - bounds[1] if bounds else None


@dataclass(frozen=True, eq=False)
class MixedFace(Face):
    """A face with companions for what it cannot write itself; measured letters are its own."""

    own: Face | None = None
    companions: tuple[tuple[str, Companion, float], ...] = ()
    """By script, each with its size against that of the face."""

    def companion(self, script: str) -> tuple[Companion, float] | None:
        return next(((c, scale) for s, c, scale in self.companions if s == script), None)

    def missing(self, text: str) -> str:
        """The characters of ``text`` that neither it nor its companions write."""
        lacking: dict[str, None] = {}
        for character, script in zip(text, list_scripts(text, self.own_writes), strict=True):
            if script == OWN:
                continue
            found = self.companion(script)
            if found is None or not found[0].writes(character):
                lacking[character] = None
        return "".join(lacking)

    def own_writes(self, character: str) -> bool:
        return self._writes(character)


def own_face_of(face: Face) -> Face:
    """The face that another's companions are matched to; itself where it has none."""
    return face.own if isinstance(face, MixedFace) and face.own else face


def add_companions(face: Face, text: str, files: tuple[Path, ...] = ()) -> Face | None:
    """The face itself where it writes the text, else with the companions it needs; None where no
    font is found that writes the rest.

    ``files`` are the maker's own font files. The same companions give the same object.
    """
    if not face.missing(text):
        return face
    needed: dict[str, dict[str, None]] = {}
    for character, script in zip(
        text, list_scripts(text, lambda c: not face.missing(c)), strict=True
    ):
        if script != OWN:
            needed.setdefault(script, {})[character] = None
    found: list[tuple[str, Companion]] = []
    for script in sorted(needed):
        companion = find_companion(face, script, "".join(needed[script]), files)
        if companion is None:
            return None
        found.append((script, companion))
    return _make_mixed_face(face, tuple(found))


@lru_cache(maxsize=1024)
def _make_mixed_face(face: Face, companions: tuple[tuple[str, Companion], ...]) -> MixedFace:
    scaled = tuple(
        (script, one, compute_matched_scale(face, script, one)) for script, one in companions
    )
    name = "+".join((face.name, *(f"{one.name}:{script}" for script, one in companions)))
    return MixedFace(name, face.path, face.weight, face.units_per_em, face, scaled)


def compute_matched_scale(face: Face, script: str, companion: Companion) -> float:
    """How large a companion is set beside a face, so that the letters of both look as tall."""
    like = SCRIPTS.get(script, _OTHER)
    small = face.small_o_em or 0.5
    capital = min(face.capital_em or 0.7, MOST_CAPITAL * small)
    wanted = small + like.share * (capital - small)
    height = companion.height_em(like.sample)
    if height is None:
        return 1.0
    return round(min(max(wanted / height, LEAST_SCALE), MOST_SCALE), 3)


def has_contrast(face: Face) -> bool:
    """Whether a face has thick and thin strokes."""
    stem, thinnest = face.stem_em, face.thinnest_em
    return bool(stem and thinnest and thinnest < CONTRAST * stem)


_WITH_LATIN = frozenset({"Latn", "Grek", "Cyrl"})
"""Scripts of which a word must not be written in two faces."""


def find_writing_face(
    faces: Sequence[Face], text: str, files: tuple[Path, ...] = ()
) -> Face | None:
    """The first of some faces that writes a text, with companions where it needs any.

    A face that lacks letters of Latin, Greek or Cyrillic words comes after those that have them,
    but for the first, where it lacks such a script wholly: then no word is in two faces.
    """
    from fontTools.unicodedata import script

    lacking = {script(c) for c in faces[0].missing(text)}
    torn = {script(c) for c in text if not faces[0].missing(c)}
    if lacking and lacking <= _WITH_LATIN - {"Latn"} and not lacking & torn:
        mixed = add_companions(faces[0], text, files)
        if mixed is not None:
            return mixed
    whole = next((face for face in faces if not face.missing(text)), None)
    if whole is not None:
        return whole
    plain = "".join(c for c in text if script(c) in _WITH_LATIN)
    for face in sorted(faces, key=lambda face: bool(face.missing(plain))):
        mixed = add_companions(face, text, files)
        if mixed is not None:
            return mixed
    return None


def list_unwritten(
    faces: Sequence[Face], text: str, files: tuple[Path, ...] = ()
) -> tuple[str, ...]:
    """What of a text no font is found for: scripts by their names, other characters themselves."""
    from fontTools.unicodedata import script, script_name

    found: dict[str, None] = {}
    for character in dict.fromkeys(text):
        if is_unseen(character) or find_writing_face(faces, character, files) is not None:
            continue
        code = script(character)
        known = SCRIPTS[code].name if code in SCRIPTS else script_name(code, "")
        found[character if code.startswith("Z") else known or character] = None
    return tuple(found)


# -- finding them ----------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def find_companion(
    face: Face, script: str, letters: str, files: tuple[Path, ...] = ()
) -> Companion | None:
    """The font that writes these letters of a script beside a face, or None.

    For emoji no companion is looked for: their colours are no ink, and many are put together.
    """
    if any(ord(letter) >= FIRST_EMOJI for letter in letters if script.startswith("Z")):
        return None
    contrast = has_contrast(face)
    for found in _list_candidates(script, face.weight, contrast, files):
        if found.writes(letters):
            return _match_heaviness(face, script, found)
    return None


@lru_cache(maxsize=1024)
def _match_heaviness(face: Face, script: str, found: Companion) -> Companion:
    """A companion with a weight axis at the place where its stems print as thick as the face's."""
    like = SCRIPTS.get(script, _OTHER)
    wide = dict(found.axes)
    if "wght" not in wide or not like.sample or not face.stem_em:
        return found
    light, heavy = (_set_weight(found, weight) for weight in LIGHT_AND_BOLD)
    scale = compute_matched_scale(face, script, found)
    thin, thick = (measure_stem_em(one, like) for one in (light, heavy))
    if not thin or not thick or thick <= thin:
        return found
    step = (face.stem_em / scale - thin) / (thick - thin)
    low, high = LIGHT_AND_BOLD
    wanted = low + min(max(step, 0.0), 1.0) * (high - low)
    return _set_weight(found, round(wanted / 10) * 10)


@lru_cache(maxsize=1024)
def _set_weight(found: Companion, weight: int) -> Companion:
    axes = tuple((tag, float(weight) if tag == "wght" else at) for tag, at in found.axes)
    stem = found.postscript.split("-")[0]
    return replace(found, postscript=f"{stem}-Weight{weight}", axes=axes, weight=weight)


def measure_stem_em(companion: Companion, like: ScriptFaces) -> float | None:
    """Thickness of the thick strokes of a script; None where the font has not its letter."""
    glyph = companion.font.get_nominal_glyph(ord(like.stem or like.sample))
    if glyph is None:
        return None
    found = measure_thinnest_crossing(_Outlines(companion.font), glyph, upright=not like.bars)
    return None if found is None else found / companion.units_per_em


class _Outlines:
    """A font's outlines by glyph number, as fontTools' pens ask for them."""

    def __init__(self, font: Any, glyph: int = 0) -> None:
        self._font, self._glyph = font, glyph

    def __getitem__(self, glyph: int) -> _Outlines:
        return _Outlines(self._font, glyph)

    def draw(self, pen: Any) -> None:
        self._font.draw_glyph_with_pen(self._glyph, pen)


def _list_candidates(
    script: str, weight: int, contrast: bool, files: tuple[Path, ...]
) -> Iterator[Companion]:
    like = SCRIPTS.get(script, _OTHER)
    families = [like.contrasted, like.even] if contrast else [like.even, like.contrasted]
    if script.startswith("Z"):
        families = fontfiles.list_installed_families()
    yield from _list_own_companions(files, weight)
    for family in dict.fromkeys(filter(None, families)):
        found = _find_packaged(family, weight)
        if found is not None:
            yield found
    sample = like.sample
    for found in list_installed_fonts(weight, contrast):
        if not sample or found.writes(sample):
            yield found


def _list_own_companions(files: tuple[Path, ...], weight: int) -> list[Companion]:
    return [
        found
        for path in files
        for found in read_companions(path, weight, package=False, named=True)
    ]


@lru_cache(maxsize=256)
def _find_packaged(family: str, weight: int) -> Companion | None:
    """The font of a package nearest to a weight, where it is installed."""
    if "_" in family:
        folder = fontfiles.find_package_folder(family)
        paths = sorted(folder.glob("*.otf")) if folder else []
        return next(
            (c for path in paths for c in read_companions(path, weight, package=True)), None
        )
    request = FaceRequest(family, weight)
    try:
        file = find_styled_file(request)
        axes = pin_axes(file, request)
        return next(iter(read_companions(file.path, weight, package=True, axes=axes)), None)
    except FaceError:
        return None


@lru_cache(maxsize=8)
def list_installed_fonts(weight: int, contrast: bool) -> tuple[Companion, ...]:
    """The computer's own fonts that may be embedded, the nearest to a weight first.

    Upright ones of normal width; fonts made for a screen's fixed grid come last.
    """
    ranked: list[tuple[tuple[Any, ...], Companion]] = []
    for path in list_font_files(list_font_folders()):
        for found in read_companions(path, weight, package=False):
            name = found.postscript.casefold()
            odd = any(word in name for word in ("mono", "unifont", "lastresort", "condensed"))
            serif = "serif" in name or "naskh" in name or "ming" in name or "song" in name
            off = abs(found.weight - weight)
            strange = not name.startswith("noto")
            rank = (odd, off > FAR_WEIGHT, serif != contrast, strange, off, len(name), name)
            ranked.append(((*rank, str(path), found.index), found))
    return tuple(found for _, found in sorted(ranked, key=lambda pair: pair[0]))


def list_font_folders() -> tuple[Path, ...]:
    """Where systems keep fonts, and where fontconfig's own file says they are."""
    home = Path.home()
    if sys.platform == "darwin":
        folders = [Path("/System/Library/Fonts"), Path("/Library/Fonts"), home / "Library/Fonts"]
    elif sys.platform == "win32":
        local = os.environ.get("LOCALAPPDATA", str(home))
        folders = [
            Path(os.environ.get("WINDIR", "C:/Windows")) / "Fonts",
            Path(local) / "Microsoft/Windows/Fonts",
        ]
    else:
        data = Path(os.environ.get("XDG_DATA_HOME") or home / ".local/share")
        folders = [Path("/usr/share/fonts"), Path("/usr/local/share/fonts"), home / ".fonts",
                   data / "fonts", *_read_configured_folders(home, data)]  # fmt: skip
    return tuple(dict.fromkeys(folder for folder in folders if folder.is_absolute()))


def _read_configured_folders(home: Path, data: Path) -> Iterator[Path]:
    """The folders that fontconfig's configuration names (fonts.conf, element dir)."""
    from xml.etree import ElementTree

    try:
        entries = ElementTree.parse(_CONFIGURATION).getroot().findall("dir")
    except (OSError, ElementTree.ParseError):
        return
    for entry in entries:
        text = (entry.text or "").strip()
        if entry.get("prefix") == "xdg":
            yield data / text
        elif text:
            yield home / text[2:] if text.startswith("~/") else Path(text)


def list_font_files(folders: Iterable[Path]) -> Sequence[Path]:
    """The font files in folders and those below, by path."""
    found: dict[Path, None] = {}
    for folder in folders:
        for root, inner, names in os.walk(folder):
            inner.sort()
            for name in sorted(names):
                if name.casefold().endswith(_FONT_ENDINGS) and len(found) < _MOST_FILES:
                    found[Path(root, name)] = None
    return tuple(found)


# -- what a file is --------------------------------------------------------------------------------


def read_companions(
    path: Path,
    weight: int,
    package: bool,
    named: bool = False,
    axes: tuple[tuple[str, float], ...] = (),
) -> list[Companion]:
    """The upright fonts of a file that may be embedded; none of a file that is no such font.

    ``named``: the maker named the file, so it is taken whatever its slope is.
    """
    return [
        Companion(
            one.name,
            path,
            one.index,
            axes or one.axes(weight),
            one.weight_near(weight),
            package,
            named,
        )
        for one in (_read_own_fonts(path) if named else _read_fonts_in_file(path))
        if named or one.plain
    ]


def check_font_files(files: Iterable[Path]) -> None:
    """FaceError for a font file of the maker's that is none, or must not be embedded."""
    for path in files:
        if not path.is_file():
            raise FaceError(Said("no such font file"))
        try:
            fonts = _read_own_fonts(path)
        except InputError as error:
            raise FaceError(error.expected) from error
        if not fonts:
            raise FaceError(Said("holds no font with outlines that may be embedded"))


@dataclass(frozen=True, slots=True)
class _FontInFile:
    name: str
    index: int
    weight: int
    plain: bool
    """Upright and of normal width."""
    weights: tuple[float, float] | None
    """The ends of a weight axis."""

    def weight_near(self, weight: int) -> int:
        return self.weight if self.weights is None else int(self.axes(weight)[0][1])

    def axes(self, weight: int) -> tuple[tuple[str, float], ...]:
        if self.weights is None:
            return ()
        return (("wght", min(max(float(weight), self.weights[0]), self.weights[1])),)


@lru_cache(maxsize=64)
def _read_own_fonts(path: Path) -> tuple[_FontInFile, ...]:
    """The fonts of a maker's own file, looked at where they do no harm.

    What is set with them is drawn by HarfBuzz, which bounds its own work.
    """
    return recall_confined(format_path(path), list_fonts_in_data, read_own_font(path), path)


@lru_cache(maxsize=64)
def read_own_font(path: Path) -> bytes:
    """The bytes of a maker's own file; InputError where it cannot be read."""
    return read_bytes(path, Said("a font file"), fontfiles.MAX_FONT_BYTES)


def list_fonts_in_data(data: bytes, path: Path) -> tuple[_FontInFile, ...]:
    """The fonts in the bytes of a file, as of a file."""
    try:
        count = int.from_bytes(data[8:12], "big") if data[:4] == _COLLECTION else 1
        return tuple(
            one
            for n in range(min(count, 64))
            if (one := _read_font_in_file(io.BytesIO(data), path, n))
        )
    except Exception:
        return ()


@lru_cache(maxsize=8192)
def _read_fonts_in_file(path: Path) -> tuple[_FontInFile, ...]:
    """The fonts of a file with outlines that may be embedded in part. A damaged file has none."""
    try:
        with path.open("rb") as stream:
            head = stream.read(12)
        count = int.from_bytes(head[8:12], "big") if head[:4] == _COLLECTION else 1
        return tuple(
            one for n in range(min(count, 64)) if (one := _read_font_in_file(path, path, n))
        )
    except Exception:
        return ()


def _read_font_in_file(source: Path | IO[bytes], path: Path, index: int) -> _FontInFile | None:
    from fontTools.ttLib import TTFont

    with TTFont(source, fontNumber=index, lazy=True) as font:
        if not {"glyf", "CFF ", "CFF2"} & set(font.reader.keys()) or "OS/2" not in font:
            return None
        try:
            fontfiles.check_embedding(font, path)
        except FaceError:
            return None
        fontfiles.check_name_count(font.reader["name"])
        os2 = font["OS/2"]
        stated = font["name"].getDebugName(6) or path.stem
        name = derive.make_postscript_name(stated) or "Unnamed"
        weights = None
        if "fvar" in font:
            axis = next((a for a in font["fvar"].axes if a.axisTag == "wght"), None)
            weights = (axis.minValue, axis.maxValue) if axis else None
        plain = not os2.fsSelection & 1 and os2.usWidthClass == 5
        return _FontInFile(name, index, int(os2.usWeightClass), plain, weights)


@lru_cache(maxsize=256)
def _open_font_program(path: Path, index: int, own: bool) -> Any:
    import uharfbuzz as hb

    blob = hb.Blob(read_own_font(path)) if own else hb.Blob.from_file_path(str(path))
    return hb.Face(blob, index)


@lru_cache(maxsize=256)
def fingerprint_font_file(path: Path, own: bool) -> str:
    """Tells one font file from another of the same name."""
    data = read_own_font(path) if own else path.read_bytes()
    return hashlib.sha256(data).hexdigest()[:6]
