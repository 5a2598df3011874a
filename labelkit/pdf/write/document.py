"""A PDF file that is written while it is drawn.

reportlab makes the fonts, forms and images. It would keep every page in memory until the end;
here a page's content goes to the stream as soon as the page is finished, so that a hundred
thousand labels need no more room than a hundred. What pages share is written last.
"""

from __future__ import annotations

import hashlib
import html
import os
import uuid
import zlib
from array import array
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import IO, Any

from reportlab import rl_config
from reportlab.pdfbase.pdfdoc import (
    PDFDate,
    PDFDocument,
    PDFIndirectObject,
    PDFName,
    PDFResourceDictionary,
    PDFString,
)
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from labelkit.common.errors import InputError
from labelkit.common.messages import Said
from labelkit.model.marks import MADE_BY
from labelkit.pdf.write.inks import D50, Inks, Plate
from labelkit.pdf.write.press import OVERPRINT, Layer, OutputIntent, PressFile
from labelkit.pdf.write.press import PDF_VERSION as PRESS_VERSION
from labelkit.pdf.write.press import VERSION as PRESS_STANDARD
from labelkit.typeset.faces import DRAWN_AS
from labelkit.typeset.fontfiles import guard_font_reading

# Binary streams as they are: the ASCII85 that reportlab adds is a quarter longer.
rl_config.useA85 = 0

PDF_VERSION = (1, 7)
"""ISO 32000-1: the first standard that has all that is used here."""
MULTIPLY = "/Multiply gs"
"""After this operator what is drawn darkens what is below, as ink does (ISO 32000-1, 11.3.5)."""
_PAGES_A_BRANCH = 100
"""Pages to a node of the page tree."""
_LEVEL = 9
"""zlib's slowest: pages are short, and a sheet is sent and kept more often than made."""


class PdfCanvas(Canvas):  # type: ignore[misc]
    """A reportlab canvas whose finished pages are written at once. Lengths are points.

    ``title``, ``language`` (a BCP 47 tag), ``subject`` and ``keywords`` are what the file says of
    itself.
    """

    _code: list[str]

    def __init__(
        self,
        stream: IO[bytes],
        page_pt: tuple[float, float],
        title: str,
        language: str,
        subject: str,
        keywords: str = "",
        press: PressFile | None = None,
    ) -> None:
        _check_date()
        super().__init__(stream, pagesize=page_pt, pageCompression=1, invariant=1)
        self._doc = _PdfDocument(stream, title, language, subject, keywords, press)

    def _make_preamble(self) -> None:
        """Nothing: a page that asks for Helvetica names a font the file does not hold."""
        self._preamble = ""

    def showPage(self) -> None:
        boxes = {"/TrimBox": self._trimBox, "/BleedBox": self._bleedBox}
        self._doc.add_page(self._pagesize, boxes, self._code, self._formsinuse)
        self._startPage()

    def endForm(self, **attributes: Any) -> None:
        """Ends a form, whose content is kept byte for byte; reportlab would take it for text."""
        name, content = self._formData[0], "\n".join(self._code).encode("latin-1")
        self._code = []
        super().endForm(**attributes)
        form = self._doc.idToObject[self._doc.getXObjectName(name)]
        form.stream = content
        self._doc.share_with_form(form)

    def share_inks(self, inks: Inks) -> None:
        """Makes the plates of some inks known, to all that is drawn from here on."""
        for plate in inks.plates.values():
            self._doc.share("ColorSpace", inks.resource(plate), _format_plate(plate))
        if inks.plates:
            self._doc.share("ExtGState", OVERPRINT, b"<</OP true/op true/OPM 1>>")

    def add_layer(self, layer: Layer) -> str:
        """The name by which content belongs to a layer."""
        return self._doc.add_layer(layer)

    def save(self) -> None:
        """Finishes the file. The stream stays open."""
        if self._code:
            self.showPage()
        self._doc.finish()


def _check_date() -> None:
    """reportlab reads this variable for the dates of the file; a fixed day stands there if unset.

    (The variable is that of the Reproducible Builds project: seconds since 1970.)
    """
    value = os.environ.get("SOURCE_DATE_EPOCH", "").strip()
    if value and not (value.isdecimal() and value.isascii() and len(value) < 12):
        raise InputError(
            "SOURCE_DATE_EPOCH", "", value, Said("expected a number of seconds since 1970")
        )


_ALIASES = {character: 0x10FF00 + n for n, character in enumerate(DRAWN_AS)}
"""Characters drawn by another's glyph, as letters of their own inside reportlab: code points of
private use (Unicode, plane 16), so that each gets a code and the code its own meaning."""
_MEANT = {alias: ord(character) for character, alias in _ALIASES.items()}


class SubsetFont(TTFont):  # type: ignore[misc]
    """A TrueType font of which only the letters used are embedded.

    Its widths are whole thousandths of an em: viewers and presses that read them as integers then
    set a line as long as those that do not, and what they lack is made up between the letters.
    """

    def __init__(self, name: str, path: Path) -> None:
        with guard_font_reading(path):
            super().__init__(name, str(path), asciiReadable=False, shapable=False)
        self.face.defaultWidth = round(self.face.defaultWidth)
        self.face.charWidths = {
            letter: round(width) for letter, width in self.face.charWidths.items()
        }
        for character, alias in _ALIASES.items():
            drawn = ord(DRAWN_AS[character])
            if drawn in self.face.charToGlyph:
                self.face.charToGlyph[alias] = self.face.charToGlyph[drawn]
                self.face.charWidths[alias] = self.face.getCharWidth(drawn)

    def code(self, character: str, document: Any) -> tuple[str, int, float]:
        """Resource name and code of a character, and the width in ems that the PDF states."""
        letter = _ALIASES.get(character, ord(character))
        ((subset, code),) = self.splitString(chr(letter), document)
        return (
            self.getSubsetInternalName(subset, document),
            code[0],
            self.face.getCharWidth(letter) / 1000,
        )

    def addObjects(self, doc: Any) -> None:
        """Adds the subsets to a document; its character maps are rewritten to the standard."""
        subsets = [list(subset) for subset in self.state[doc].subsets]
        names = [self.getSubsetInternalName(n, doc)[1:] for n in range(len(subsets))]
        super().addObjects(doc)
        for name, subset in zip(names, subsets, strict=True):
            font = doc.idToObject[name]
            descriptor = doc.idToObject[font.FontDescriptor.name]
            character_map = doc.idToObject[font.ToUnicode.name]
            font.BaseFont = f"{_make_subset_tag(subset)}+{font.BaseFont.split('+', 1)[1]}"
            descriptor["FontName"] = PDFName(font.BaseFont)
            character_map.content = format_unicode_map(subset)


def _make_subset_tag(subset: list[int]) -> str:
    """Six capitals that other subsets of a font do not have (ISO 32000-1, 9.6.4).

    Sheets that a printing works puts together must not be taken to hold the same letters.
    """
    digest = hashlib.md5(repr(subset).encode("ascii"), usedforsecurity=False).digest()
    return "".join(chr(65 + byte % 26) for byte in digest[:6])


@lru_cache(maxsize=64)
def load_subset_font(name: str, path: Path) -> SubsetFont:
    """The font of a file, read once for all documents that are made of it one after another."""
    return SubsetFont(name, path)


def format_unicode_map(subset: list[int]) -> str:
    """The ToUnicode map of a font whose code n stands for the character ``subset[n]``.

    At most a hundred entries to a block, each character once, none for the missing glyph
    (ISO 32000-1, 9.10.3; Adobe Technical Note 5014 for the form).
    """
    first: dict[int, int] = {}
    for code, character in enumerate(subset):
        if character:
            first.setdefault(_MEANT.get(character, character), code)
    # Code 32 is the space wherever there is one (ISO 32000-1, 9.3.3).
    if 32 in first and len(subset) > 32 and subset[32] == 32:
        first[32] = 32
    return format_to_unicode(1, ((code, chr(letter)) for letter, code in first.items()))


def format_to_unicode(code_bytes: int, texts: Iterable[tuple[int, str]]) -> str:
    """The ToUnicode map of a font whose codes of so many bytes stand for these texts."""
    digits = 2 * code_bytes
    entries = [
        f"<{code:0{digits}X}> <{text.encode('utf-16-be').hex().upper()}>"
        for code, text in sorted(texts)
    ]
    blocks = [entries[i : i + 100] for i in range(0, len(entries), 100)]
    return "\n".join(
        [
            "/CIDInit /ProcSet findresource begin",
            "12 dict begin",
            "begincmap",
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
            "/CMapName /Adobe-Identity-UCS def",
            "/CMapType 2 def",
            "1 begincodespacerange",
            f"<{'0' * digits}> <{'F' * digits}>",
            "endcodespacerange",
            *(
                line
                for block in blocks
                for line in (f"{len(block)} beginbfchar", *block, "endbfchar")
            ),
            "endcmap",
            "CMapName currentdict /CMap defineresource pop",
            "end",
            "end",
        ]
    )


# -- the file --------------------------------------------------------------------------------------


class _PdfDocument(PDFDocument):  # type: ignore[misc]
    """reportlab's register of fonts, forms and images, and the file they and the pages go to."""

    def __init__(
        self,
        stream: IO[bytes],
        title: str,
        language: str,
        subject: str,
        keywords: str,
        press: PressFile | None = None,
    ) -> None:
        version = PRESS_VERSION if press else PDF_VERSION
        super().__init__(compression=1, invariant=1, pdfVersion=version)
        self._press = press
        self._shared: dict[str, dict[str, str]] = {}
        """References to what every page and form may use, by kind and name."""
        self._layers: dict[Layer, tuple[str, int]] = {}
        """Layers by the name of content that belongs to them, and their object."""
        self._stream = stream
        self._title, self._language, self._subject = title, language, subject
        self._keywords = keywords
        self._written = 0
        self._digest = hashlib.md5(usedforsecurity=False)
        self._offsets = array("Q")
        self._forms: dict[str, None] = {}
        self._multiplies = False
        self._root, self._resources = self._number(), self._number()
        self._branches: list[int] = []
        self._pages_before = 0
        self._branch: list[int] = []
        self._write(b"%%PDF-%d.%d\n%%\xe2\xe3\xcf\xd3\n" % version)

    def share(self, kind: str, name: str, body: bytes) -> None:
        """Writes a resource that every page and every later form may use by its name."""
        if name not in self._shared.setdefault(kind, {}):
            number = self._number()
            self._put(number, body)
            self._shared[kind][name] = f"{number} 0 R"

    def share_with_form(self, form: Any) -> None:
        """Lets a form use what is shared. Nothing is done where nothing is."""
        if self._shared:
            resources = PDFResourceDictionary()
            resources.basicFonts()
            resources.allProcs()
            if form.XObjects:
                resources.XObject = form.XObjects
            for kind, named in self._shared.items():
                setattr(resources, kind, dict(named))
            form.Resources = resources

    def add_layer(self, layer: Layer) -> str:
        if layer not in self._layers:
            self._layers[layer] = (f"Layer{len(self._layers)}", self._number())
            name, number = self._layers[layer]
            step = f"/GTS_ProcStepsGroup/{layer.group}/GTS_ProcStepsType/{layer.kind}"
            body = b"<</Type/OCG/Name%s/GTS_Metadata<<%s>>>>"
            self._put(number, body % (self._text(layer.name), step.encode("ascii")))
            self._shared.setdefault("Properties", {})[name] = f"{number} 0 R"
        return self._layers[layer][0]

    def add_page(
        self,
        size: tuple[float, float],
        boxes: dict[str, tuple[float, float, float, float] | None],
        code: list[str],
        forms: list[str],
    ) -> None:
        """Writes a page. ``boxes`` are its other boundaries, by their names in the page."""
        self._forms |= dict.fromkeys(forms)
        self._multiplies |= MULTIPLY in code
        if not self._branch:
            self._branches.append(self._number())
        page, contents = self._number(), self._number()
        self._branch.append(page)
        self._put_stream(contents, "\n".join(code).encode("latin-1"))
        media = _format_rectangle((0, 0, *size))
        others = "".join(f"{name}{_format_rectangle(box)}" for name, box in boxes.items() if box)
        self._put(
            page,
            f"<</Type/Page/Parent {self._branches[-1]} 0 R/MediaBox{media}{others}"
            f"/Resources {self._resources} 0 R/Contents {contents} 0 R>>".encode("ascii"),
        )
        if len(self._branch) == _PAGES_A_BRANCH:
            self._close_branch()

    def finish(self) -> None:
        """Writes what pages share, the page tree, and the table of where everything is."""
        if self._branch:
            self._close_branch()
        for font in self.delayedFonts:
            font.addObjects(self)
        kids = " ".join(f"{branch} 0 R" for branch in self._branches)
        self._put(
            self._root, f"<</Type/Pages/Count {self._pages_before}/Kids[{kids}]>>".encode("ascii")
        )
        fonts = self.idToObjectNumberAndVersion["BasicFonts"][0]
        forms = self.xobjDict(self._forms).format(self)
        states = b"/ExtGState<</Multiply<</BM/Multiply>>>>" if self._multiplies else b""
        shared = states + self._format_shared()
        self._put(self._resources, b"<</Font %d 0 R/XObject %s%s>>" % (fonts, forms, shared))
        self._put_registered()
        metadata = self._number()
        self._put_stream(metadata, self._xmp(), b"/Type/Metadata/Subtype/XML", packed=False)
        intent = self._put_intent(self._press.intent) if self._press else b""
        catalog, info = self._number(), self._number()
        self._put(catalog, self._catalog_entries(metadata, intent + self._format_layers()))
        self._put(info, self._info_entries())
        self._write_table(catalog, info)

    # -- objects

    def _number(self) -> int:
        self.objectcounter += 1
        return int(self.objectcounter)

    def _write(self, data: bytes) -> None:
        self._digest.update(data)
        self._written += len(data)
        self._stream.write(data)

    def _begin(self, number: int) -> None:
        missing = number + 1 - len(self._offsets)
        self._offsets.extend([0] * max(0, missing))
        self._offsets[number] = self._written

    def _put(self, number: int, body: bytes) -> None:
        self._begin(number)
        self._write(b"%d 0 obj\n%s\nendobj\n" % (number, body))

    def _put_stream(
        self, number: int, data: bytes, entries: bytes = b"", packed: bool = True
    ) -> None:
        if packed:
            data, entries = zlib.compress(data, _LEVEL), entries + b"/Filter/FlateDecode"
        head = b"<<%s/Length %d>>\nstream\n" % (entries, len(data))
        self._put(number, head + data + b"\nendstream")

    def _put_registered(self) -> None:
        """Everything reportlab was given to keep; writing one object may register another."""
        number = 0
        while number < self.objectcounter:
            number += 1
            name = self.numberToId.get(number)
            if name is not None:
                self._begin(number)
                self._write(PDFIndirectObject(name, self.idToObject[name]).format(self))

    def _close_branch(self) -> None:
        kids = " ".join(f"{page} 0 R" for page in self._branch)
        self._put(
            self._branches[-1],
            f"<</Type/Pages/Parent {self._root} 0 R/Count {len(self._branch)}"
            f"/Kids[{kids}]>>".encode("ascii"),
        )
        self._pages_before += len(self._branch)
        self._branch = []

    def _write_table(self, catalog: int, info: int) -> None:
        """Cross-reference table and trailer (ISO 32000-1, 7.5.4 and 7.5.5)."""
        start, size = self._written, len(self._offsets)
        identifier = self._digest.hexdigest().encode("ascii")
        self._write(b"xref\n0 %d\n0000000000 65535 f \n" % size)
        for first in range(1, size, 1000):
            part = self._offsets[first : first + 1000]
            self._write(b"".join(b"%010d 00000 n \n" % offset for offset in part))
        self._write(
            b"trailer\n<</Size %d/Root %d 0 R/Info %d 0 R/ID[<%s><%s>]>>\nstartxref\n%d\n%%%%EOF\n"
            % (size, catalog, info, identifier, identifier, start)
        )

    # -- what the file says of itself

    def _format_shared(self) -> bytes:
        kinds = (
            f"/{kind}<<{''.join(f'/{name} {reference}' for name, reference in named.items())}>>"
            for kind, named in self._shared.items()
        )
        return "".join(kinds).encode("ascii")

    def _format_layers(self) -> bytes:
        """The optional content of the file; its default configuration lists every layer."""
        if not self._layers:
            return b""
        listed = " ".join(f"{number} 0 R" for _, number in self._layers.values()).encode("ascii")
        default = b"<</Name%s/Order[%s]>>" % (self._text("Layers"), listed)
        return b"/OCProperties<</OCGs[%s]/D%s>>" % (listed, default)

    def _put_intent(self, intent: OutputIntent) -> bytes:
        """Writes the profile of an output intent; the catalog's entry that names it."""
        profile = self._number()
        self._put_stream(profile, intent.profile, b"/N %d" % intent.components)
        registry = "http://www.color.org" if intent.name else ""
        known = b"/RegistryName%s" % self._text(registry) if registry else b""
        return (
            b"/OutputIntents[<</Type/OutputIntent/S/GTS_PDFX/OutputConditionIdentifier%s"
            b"/OutputCondition%s/Info%s%s/DestOutputProfile %d 0 R>>]"
            % (
                self._text(intent.name or "Custom"),
                self._text(intent.about),
                self._text(intent.about),
                known,
                profile,
            )
        )

    def _make_dates(self) -> tuple[bytes, str]:
        """When it was made, in the file's own way and in that of XMP."""
        if self._press is None or os.environ.get("SOURCE_DATE_EPOCH", "").strip():
            date = PDFDate(ts=self._timeStamp).format(self)
            return date, "{:04d}-{:02d}-{:02d}T{:02d}:{:02d}:{:02d}Z".format(
                *self._timeStamp.YMDhms
            )
        day = self._press.made_on
        return self._text(f"D:{day:%Y%m%d}000000Z"), f"{day:%Y-%m-%d}T00:00:00Z"

    def _catalog_entries(self, metadata: int, more: bytes) -> bytes:
        # PrintScaling asks viewers not to shrink the sheet to the printer's margins (ISO 32000-1,
        # 12.2).
        return (
            b"<</Type/Catalog/Pages %d 0 R/Lang%s/Metadata %d 0 R"
            b"/ViewerPreferences<</DisplayDocTitle true/PrintScaling/None>>%s>>"
            % (self._root, self._text(self._language), metadata, more)
        )

    def _info_entries(self) -> bytes:
        date, _ = self._make_dates()
        keywords = b"/Keywords%s" % self._text(self._keywords) if self._keywords else b""
        trapped = b"/Trapped/False" if self._press else b""
        return b"<</Title%s/Subject%s%s/Creator%s/Producer%s/CreationDate%s/ModDate%s%s>>" % (
            self._text(self._title),
            self._text(self._subject),
            keywords,
            self._text(MADE_BY),
            self._text(MADE_BY),
            date,
            date,
            trapped,
        )

    def _text(self, text: str) -> bytes:
        return bytes(PDFString(text).format(self))

    def _xmp_of_press(self, date: str) -> tuple[str, str]:
        """The name spaces and entries that a file for a printing works has as well."""
        identifier = uuid.UUID(hex=self._digest.hexdigest())
        return (
            ' xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"'
            ' xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/"',
            f"""
<xmp:MetadataDate>{date}</xmp:MetadataDate>
<pdf:Trapped>False</pdf:Trapped>
<xmpMM:DocumentID>uuid:{identifier}</xmpMM:DocumentID>
<xmpMM:VersionID>1</xmpMM:VersionID>
<xmpMM:RenditionClass>default</xmpMM:RenditionClass>
<pdfxid:GTS_PDFXVersion>{PRESS_STANDARD}</pdfxid:GTS_PDFXVersion>""",
        )

    def _xmp(self) -> bytes:
        """The same as XMP (ISO 16684-1), for what no longer reads the information dictionary."""
        title, language, keywords = (
            html.escape(text, quote=False) for text in (self._title, self._language, self._keywords)
        )
        _, date = self._make_dates()
        spaces, press = self._xmp_of_press(date) if self._press else ("", "")
        told = f"\n<pdf:Keywords>{keywords}</pdf:Keywords>" if keywords else ""
        return f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"{spaces}>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>
<pdf:Producer>{MADE_BY}</pdf:Producer>{told}
<xmp:CreatorTool>{MADE_BY}</xmp:CreatorTool>
<xmp:CreateDate>{date}</xmp:CreateDate>
<xmp:ModifyDate>{date}</xmp:ModifyDate>{press}
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>""".encode()


def _format_plate(plate: Plate) -> bytes:
    """A Separation with its look as L*a*b* (ISO 32000-1, 8.6.6.4 and 8.6.5.4)."""
    # "#" and whatever is no regular character of ASCII is written by its number (7.3.5).
    name = "".join(
        chr(byte) if chr(byte).isalnum() and byte < 128 else f"#{byte:02X}"
        for byte in plate.name.encode("utf-8")
    )
    white = " ".join(f"{value:g}" for value in D50)
    solid = " ".join(f"{value:g}" for value in plate.lab)
    look = f"[/Lab<</WhitePoint[{white}]/Range[-128 127 -128 127]>>]"
    tint = f"<</FunctionType 2/Domain[0 1]/C0[100 0 0]/C1[{solid}]/N 1>>"
    return f"[/Separation/{name}{look}{tint}]".encode("ascii")


def _format_rectangle(corners: tuple[float, ...]) -> str:
    """A rectangle of points as a PDF array, to a hundred thousandth of a point."""
    return f"[{' '.join(f'{v:.5f}'.rstrip('0').rstrip('.') for v in corners)}]"
