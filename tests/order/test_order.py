"""An order is read once, all together; from then on no file of it is opened."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.job.prepare import job_from_order, preflight_job
from labelkit.job.proof import draw_proof
from labelkit.job.sheets import Wish, make_order_sheets
from labelkit.order.order import read_order
from labelkit.plan.order_plan import make_plan

Event = Callable[..., Path]
SVG = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H9V3H0Z"/></svg>'


def test_everything_is_made_of_an_order_whose_files_are_gone(event: Event, tmp_path: Path) -> None:
    label = event(
        ("guests = 60\n", 'guest_list = "guests.csv"\n'),
        ('layout = "lantern"\n', 'layout = "lantern"\nlogo = "logo.svg"\n'),
    )
    (label.parent / "guests.csv").write_text("name\nAna\nBo\n", encoding="utf-8")
    (label.parent / "logo.svg").write_text(SVG, encoding="utf-8")
    order = read_order(label)
    shutil.rmtree(label.parent)
    assert (len(order.spec.event.guest_names), order.logo is not None) == (2, True)
    job = job_from_order(order)
    assert preflight_job(job).verdict == "pass"
    assert len(draw_proof(job).parts) == 2
    plan = make_plan(job, dt.date(2026, 11, 2))
    assert any(line.amount is not None for line in plan.cost.materials)
    label.parent.mkdir()  # of a folder only so much is needed that files can be put there
    made = make_order_sheets(order, tmp_path / "sheets", Wish(guests=("Bo",)))
    assert [path.name for path in made.files] == ["front.pdf", "back.pdf"]


def test_an_order_can_be_read_as_it_would_be_saved(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    workshop = label.parent / "maker.toml"
    texts: dict[Path, str | bytes] = {
        label: label.read_text("utf-8").replace('trim = "44 x 28 mm"', 'trim = "60 x 40 mm"'),
        # A path is the same file however it is named.
        label.parent / "." / "maker.toml": workshop.read_bytes().replace(b"Estran", b"Reed"),
        label.parent / "guests.csv": "name\nAna\n",  # not on the disk at all
    }
    before = {path: path.read_bytes() for path in label.parent.iterdir()}
    order = read_order(label, texts)
    assert order.spec.trim.width_mm == 60
    assert order.spec.event.guest_names == ("Ana",)
    assert order.spec.maker.name == "Savonnerie Reed"
    assert {path: path.read_bytes() for path in label.parent.iterdir()} == before
    texts.pop(label.parent / "guests.csv")
    (label.parent / "guests.csv").write_text("name\nBo\n", encoding="utf-8")
    assert read_order(label, texts).spec.event.guest_names == ("Bo",)
    assert read_order(label).spec.trim.width_mm == 44


def test_an_order_needs_no_disk(event: Event) -> None:
    label = event()
    texts = {path: path.read_bytes() for path in label.parent.iterdir() if path.is_file()}
    on_disk = read_order(label)
    shutil.rmtree(label.parent)
    assert read_order(label, texts) == on_disk


def test_labels_do_without_a_price_list_that_is_not_there(event: Event) -> None:
    label = event()
    (label.parent / "prices.toml").unlink()
    job = job_from_order(read_order(label))
    assert preflight_job(job).verdict == "pass"
    with pytest.raises(InputError, match=r"plan\.price_list: 'prices\.toml': no such file"):
        make_plan(job, dt.date(2026, 11, 2))
