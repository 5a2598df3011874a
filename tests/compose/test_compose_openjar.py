"""The open jar of a period after opening, in the PDF as another reader (pdfplumber) has it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pytest

from labelkit.cli import main
from labelkit.job.prepare import prepare_job
from labelkit.model.runs import Box

ROOT = Path(__file__).resolve().parents[2]
KERMIS = ROOT / "samples" / "mill-kermis"
PERIOD = 'durability = "12M"'


@pytest.fixture
def spec(tmp_path: Path) -> Callable[[str, str], Path]:
    """The Belgian sample with another statement of durability, in some layout."""

    def make(durability: str, layout: str = "") -> Path:
        text = (KERMIS / "label.toml").read_text(encoding="utf-8")
        assert PERIOD in text
        text = text.replace(PERIOD, f'durability = "{durability}"')
        recipe = (ROOT / "samples" / "orchard-wedding" / "recipe.toml").read_bytes()
        (tmp_path / "recipe.toml").write_bytes(recipe)
        text = text.replace("../orchard-wedding/recipe.toml", "recipe.toml")
        if layout:
            lines = text.splitlines()
            text = "\n".join(
                f'layout = "{layout}"' if line.startswith("layout") else line for line in lines
            )
        (tmp_path / "maker.toml").write_bytes((KERMIS / "maker.toml").read_bytes())
        (tmp_path / "label.toml").write_text(text, encoding="utf-8")
        return tmp_path / "label.toml"

    return make


def test_a_jar_stands_before_every_period(spec: Callable[..., Path], tmp_path: Path) -> None:
    """Annex VII, point 2, of Regulation (EC) No 1223/2009: the symbol, then the period."""
    with pytest.raises(SystemExit) as done:
        main(["sheet", str(spec("12M")), "--out", str(tmp_path), "--one-per-page"])
    assert done.value.code == 0
    with pdfplumber.open(tmp_path / "back.pdf") as pdf:
        page = pdf.pages[0]
        (words,) = page.search("12M")
        size = words["chars"][0]["size"]
        jars = [
            curve
            for curve in page.curves
            if words["x0"] - 1.2 * size < curve["x0"] < words["x0"]
            and words["top"] - size < curve["bottom"] < words["bottom"]
        ]
    left, right = min(c["x0"] for c in jars), max(c["x1"] for c in jars)
    top, foot = min(c["top"] for c in jars), max(c["bottom"] for c in jars)
    assert 0 < words["x0"] - right < 0.4 * size  # beside it and clear of it
    assert 0.5 * size < right - left < size
    assert 0.6 * size < foot - top < size
    baseline = page.height - words["chars"][0]["matrix"][5]
    assert foot == pytest.approx(baseline, abs=0.05 * size)


@pytest.mark.parametrize("layout", sorted(path.stem for path in (ROOT / "layouts").glob("*.toml")))
@pytest.mark.quick(10)
def test_a_jar_is_on_the_label_whole_in_every_layout(
    spec: Callable[..., Path], layout: str
) -> None:
    back = next(p for p in prepare_job(spec("6 M", layout)).panels if p.name == "back")
    run = next(run for run in back.runs if run.element == "durability")
    jar = back.ornaments[-1].box
    assert run.text.endswith("6 M")
    assert back.safe_mm <= jar.x0_mm + 0.2
    assert jar.x1_mm < run.ink.x0_mm
    others = [other.ink for other in back.runs if other is not run]
    assert not [box for box in others if _overlap(box, jar)]


def _overlap(one: Box, other: Box) -> bool:
    across = one.x0_mm < other.x1_mm and other.x0_mm < one.x1_mm
    return across and one.y0_mm < other.y1_mm and other.y0_mm < one.y1_mm


def test_a_date_has_no_jar(spec: Callable[..., Path]) -> None:
    with_jar = next(p for p in prepare_job(spec("12M")).panels if p.name == "back")
    dated = next(p for p in prepare_job(spec("05/2029")).panels if p.name == "back")
    assert len(with_jar.ornaments) == len(dated.ornaments) + 1
    said = "".join(run.text for run in dated.runs if run.element == "durability")
    # Regulation (EC) No 1223/2009, Art. 19(1)(c), Dutch and French; the Dutch from memory.
    assert "Bij voorkeur te gebruiken vóór eind 05/2029" in said
    assert "À utiliser de préférence avant fin 05/2029" in said
