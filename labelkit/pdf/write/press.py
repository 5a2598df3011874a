"""What makes a PDF a file for a printing works: PDF/X-4 (ISO 15930-7).

PDF/X-4 wants the profile of the printing condition in the file itself (only X-4p may refer to one
outside), so a condition known by its name alone is not enough. Without a profile of the works'
own, the file says that it is black ink on white paper beside plates of their own, which is the
truth: nothing in it is of four-colour process, and the plates look as their L*a*b* says.

The clauses are from memory:

| what | clause |
|---|---|
| PDF 1.6, no encryption, an ID in the trailer | 6.1, 6.12 |
| GTS_PDFXVersion "PDF/X-4" in the XMP | 6.3 |
| title, dates, document and version ID, rendition class in the XMP; Info agrees | 6.4, 6.5 |
| Trapped said, True or False, not Unknown | 6.6 |
| one output intent GTS_PDFX with its profile, of an output device, grey or CMYK | 6.2.2 |
| MediaBox holds BleedBox holds TrimBox; no ArtBox beside it | 6.9 |
| every font embedded | 6.8 |
| colour: DeviceGray, Separation with L*a*b* beside it; no RGB without a profile | 6.2.3, 6.2.4 |
| optional content: a default configuration with a name that lists every layer, no AS | 6.15 |
| no actions, JavaScript, PostScript, embedded files, alternates, transfer curves, OPI | 6.10-6.14 |
| no transparency is live (allowed by X-4, not used) | 6.2.5 |

Layers of steps that are no print (cuts, white) are marked as ISO 19593-1 has it, also from memory.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import field

from labelkit.common.frozen import dataclass
from labelkit.pdf.write.icc import TITLE, make_grey_profile

VERSION = "PDF/X-4"
PDF_VERSION = (1, 6)
OVERPRINT = "Overprint"
"""The graphics state in which one plate leaves the others as they are."""


@dataclass(frozen=True, slots=True)
class OutputIntent:
    """The printing condition that a file is made for."""

    profile: bytes = field(repr=False)
    components: int
    """Channels of the profile: 1 for grey, 4 for CMYK."""
    name: str
    """A name of a characterisation in ICC's registry; empty: none."""
    about: str


@dataclass(frozen=True, slots=True)
class PressFile:
    """A file for a printing works."""

    intent: OutputIntent
    made_on: dt.date
    """The day it says that it was made."""


@dataclass(frozen=True, slots=True)
class Layer:
    """Optional content (ISO 32000-1, 8.11), always shown, and what step of production it is."""

    name: str
    group: str
    """ISO 19593-1: Structural or White."""
    kind: str
    """The type in that group."""


DIE_LINE = Layer("Die line", "Structural", "Cutting")
KISS_LINE = Layer("Kiss cut", "Structural", "PartialCutting")
FOLD_LINE = Layer("Fold line", "Structural", "Creasing")
WHITE_LAYER = Layer("White", "White", "White")


def make_grey_intent() -> OutputIntent:
    """The intent of a file that has black and plates of its own."""
    return OutputIntent(make_grey_profile(), 1, "", f"{TITLE}, and inks of their own by name")
