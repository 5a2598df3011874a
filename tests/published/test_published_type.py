"""What labelkit measures of type against what the fonts' makers and the standards publish."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from labelkit.common.quantity import PT_PER_MM
from labelkit.compose.arrangements import load_spec_face
from labelkit.order.layout import FaceSpec, read_layout
from labelkit.rules.kinds.setting import contrast_ratio

LAYOUTS = sorted((Path(__file__).resolve().parents[2] / "layouts").glob("*.toml"))
# The faces that the law reads; of scripts and display faces makers state a height of their own.
SPECS = sorted(
    {face for path in LAYOUTS for role, face in read_layout(path).faces.items() if role != "names"},
    key=lambda face: (face.family, face.weight, face.italic, face.widths),
)


@pytest.mark.parametrize("spec", SPECS, ids=lambda s: f"{s.family}-{s.weight}-{s.widths[0]}")
def test_capitals_are_as_tall_as_the_fonts_maker_states(spec: FaceSpec) -> None:
    """OpenType, OS/2 table: sCapHeight is the height of a flat capital above the baseline."""
    face = load_spec_face(spec, spec.widths[0])
    stated = TTFont(face.path)["OS/2"].sCapHeight / face.units_per_em
    assert face.capital_em is not None
    assert face.capital_em == pytest.approx(stated, rel=0.025)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # WCAG 2.2, definition of contrast ratio: from 1 to 21; black on white is the most.
        ("#000000", "#ffffff", Decimal("21.00")),
        ("#ffffff", "#ffffff", Decimal("1.00")),
        # Pure red on white is 4.00 : 1 and blue on white 8.59 : 1, as follows from the weights
        # 0.2126 and 0.0722 in the definition of relative luminance: 1.05 / (weight + 0.05).
        ("#ff0000", "#ffffff", Decimal("4.00")),
        ("#0000ff", "#ffffff", Decimal("8.59")),
    ],
)
def test_contrast_is_that_of_wcag(one: str, other: str, ratio: Decimal) -> None:
    assert contrast_ratio(one, other).quantize(Decimal("0.01")) == ratio


def test_a_point_is_a_seventy_second_of_an_inch() -> None:
    # ISO 32000-1, 8.3.2.3: the default user space unit is 1/72 inch; an inch is 25.4 mm exactly
    # (international yard and pound agreement of 1959).
    assert pytest.approx(72 / 25.4) == PT_PER_MM
