"""A batch that is recorded as poured: its amounts stay, and what it serves is told.

The sample, by hand. One loaf of 330 x 90 x 65 mm holds 1930.5 mL, at 1.02 g/mL 1969.11 g; 10 mm of
it are ends, and slices of 24 mm give 13 bars of 3 pieces. For 60 guests and 6 spares it pours two
loaves: 26 bars, 78 pieces. In wrapping 2 % and in cutting 3 % are lost, and 2 pieces are kept back.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from decimal import ROUND_FLOOR, Decimal
from pathlib import Path

import pytest
from page_text import read_text
from plan_making import making

from labelkit.cli import main
from labelkit.common.errors import InputError
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.order.maker import trace_path_of
from labelkit.plan import trace
from labelkit.plan.batching import WeighingRole
from labelkit.plan.dates import PlanStep
from labelkit.plan.order_plan import Plan, Worry, make_plan
from labelkit.plan.poured import count_guests_served
from labelkit.report.plan_json import format_plan_json
from labelkit.report.plan_pdf import draw_plan_pdf
from labelkit.report.plan_text import format_plan_text
from labelkit.rules.findings import Finding, Level

Event = Callable[..., Path]
POURED = dt.date(2027, 4, 27)
"""The day on which the sample's plan pours at the latest."""
RISEN = ("guests = 60", "guests = 75")
NO_LOT = ('lot = "LS-2704"\n', "")


@pytest.fixture
def poured(event: Event) -> Callable[..., Plan]:
    """The plan as of a day, of the sample that was recorded as poured and then changed."""

    def make(*changes: tuple[str, str], on: dt.date = POURED, file: str = "label.toml") -> Plan:
        path = event()
        plan = make_plan(prepare_job(path), POURED, poured_on=POURED)
        trace.record_batch(trace_path_of(path.with_name("maker.toml")), plan.record(), POURED)
        event(*changes, file=file)
        return make_plan(prepare_job(path), on)

    return make


def run(*arguments: object) -> int:
    with pytest.raises(SystemExit) as ended:
        main([str(argument) for argument in arguments])
    return int(ended.value.code or 0)


def grams(plan: Plan) -> dict[str, Decimal]:
    return {line.name: line.mass_g for line in plan.batch.weighings}


# -- what the batch serves -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pieces", "spares", "keep", "serves"),
    [
        # 63 + 8 = 71; 71 / 0.98 = 72.4 -> 73; + 2 = 75; 75 / 0.97 = 77.3 -> 78: enough. One guest
        # more: 72 / 0.98 = 73.5 -> 74; + 2 = 76; 76 / 0.97 = 78.4 -> 79: one too many.
        (78, 8, 2, 63),
        (77, 8, 2, 62),
        # 73 / 0.98 = 74.5 -> 75; 75 / 0.97 = 77.3 -> 78.
        (78, 0, 0, 73),
        # 1 / 0.98 = 1.02 -> 2; + 2 = 4; 4 / 0.97 = 4.1 -> 5.
        (5, 0, 2, 1),
        (4, 0, 2, 0),
        (3, 8, 2, 0),  # not even the spares
        (0, 0, 0, 0),
    ],
)
def test_how_many_guests_so_many_pieces_serve(
    pieces: int, spares: int, keep: int, serves: int
) -> None:
    lossy = making(keep=keep, wrapping_loss_percent=Decimal(2), cutting_loss_percent=Decimal(3))
    assert count_guests_served(pieces, spares, lossy) == serves


# -- amounts stay ----------------------------------------------------------------------------------


def test_amounts_stay_when_guests_rise(planned: Callable[..., Plan], poured: Event) -> None:
    before = planned()
    after = poured(RISEN)
    assert grams(after) == grams(before)
    assert after.batch.poured_g == before.batch.poured_g
    assert after.batch.batch.superfat_percent == before.batch.batch.superfat_percent
    assert after.batch.factor == pytest.approx(before.batch.factor, rel=Decimal("0.001"))
    assert after.weight.cut_g == before.weight.cut_g
    assert after.moulding.slice_mm == before.moulding.slice_mm == 24


def test_what_is_short_and_what_it_serves_is_told(poured: Event) -> None:
    plan = poured(RISEN)
    # 75 guests and 10 % of them, 7.5 -> 8 spares: 83; 83 / 0.98 = 84.7 -> 85; + 2 = 87; 87 / 0.97 =
    # 89.7 -> 90 pieces asked: 12 more than the 78 that there are.
    assert (plan.counts.needed, plan.counts.cut, plan.counts.over) == (90, 78, -12)
    assert plan.poured is not None
    assert (plan.poured.serves, plan.poured.serves_alone, plan.poured.short) == (63, 73, 12)
    assert Worry.POURED_SHORT in plan.worries
    assert not plan.can_be_kept
    text = " ".join(format_plan_text(plan, "en").split())
    assert (
        "! The batch is poured: it has 78 pieces, enough for 63 guests, with 8 spares and 2 kept"
        " back. The order asks 12 more. - Without a spare and with nothing kept back, the batch is"
        " enough for 73 guests." in text
    )
    for words in (
        "90 pieces asked in all 78 pieces in the batch as poured (recorded) 26 bars, cut in 3"
        " 12 pieces short 63 guests that the batch serves (8 spares, 2 kept back)",
        "47.0 g one piece as cut (recorded with the pour)",
        "These are the amounts recorded: they no longer follow the guests or the recipe.",
    ):
        assert words in text
    for instruction in ("pieces to cut", "loaves", "left in the pot", "ends and offcuts"):
        assert instruction not in text


def test_fewer_guests_leave_pieces_over(poured: Event) -> None:
    plan = poured(("guests = 60", "guests = 50"))
    # 50 + 5 = 55; / 0.98 = 56.1 -> 57; + 2 = 59; / 0.97 = 60.8 -> 61: 17 of 78 are over. With 5
    # spares 66 guests are served: 71 pieces labelled, as above.
    assert plan.can_be_kept
    assert plan.poured is not None
    assert (plan.counts.over, plan.poured.serves, plan.poured.second) == (17, 66, None)
    text = format_plan_text(plan, "en")
    assert "17  pieces of the batch over\n" in text
    assert "66  guests that the batch serves (5 spares, 2 kept back)\n" in text
    assert "A second batch" not in text


def test_the_page_of_the_run_that_records_a_pour_is_the_record(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    path = event()
    on = ("--on", "2027-04-28")
    assert run("plan", path, *on, "--record", "--poured", "2027-04-27") == 0
    first = capsys.readouterr().out
    assert "These are the amounts recorded" in first
    assert "78  pieces in the batch as poured (recorded)\n" in first
    assert run("plan", path, *on) == 0
    again = capsys.readouterr().out
    first, again = (
        text[text.index("Batch, as") : text.index("Supplies")] for text in (first, again)
    )
    assert first == again


def test_recording_again_never_rewrites_what_was_poured(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    path = event()
    quiet = ("--format", "json", "--record")
    assert run("plan", path, "--on", "2027-04-28", *quiet, "--poured", "2027-04-27") == 0
    out, err = capsys.readouterr()
    assert "lot LS-2704 is poured: its amounts stay as recorded, whatever the files say\n" in err
    before = json.loads(out)["batch"]["weighings"]
    event(RISEN)
    for poured_again in ((), ("--poured", "2027-04-26")):
        assert run("plan", path, "--on", "2027-04-29", *quiet, *poured_again) == 1
        out, err = capsys.readouterr()
        assert json.loads(out)["batch"]["weighings"] == before
        assert "amounts of" not in err
    asked = ("trace", "LS-2704", "--maker", path.with_name("maker.toml"), "--format", "json")
    assert run(*asked) == 0
    states = json.loads(capsys.readouterr().out)["events"]
    assert [(one["labels"], one["poured"]) for one in states] == [
        (83, "2027-04-26"), (66, "2027-04-27"), (83, "2027-04-27"),
    ]  # fmt: skip
    masses = [[used["grams"] for used in one["materials"]] for one in states]
    assert masses == [[line["grams"] for line in before]] * 3


def test_the_record_itself_keeps_the_amounts_of_a_pour(event: Event) -> None:
    # Whatever a plan says that was made before the pour was recorded by another run.
    path = event()
    file = trace_path_of(path.with_name("maker.toml"))
    late = make_plan(prepare_job(event(RISEN)), POURED).record()
    event(RISEN[::-1])
    first = make_plan(prepare_job(path), POURED, poured_on=POURED).record()
    trace.record_batch(file, first, POURED)
    done = trace.record_batch(file, late, POURED)
    assert late.materials != first.materials
    assert done.entry.materials == first.materials
    assert (done.entry.pieces, done.entry.bars, done.entry.piece_g) == (78, 26, first.piece_g)
    assert done.changes[0] == "labels 83 (was 66)"


def test_a_pour_of_other_amounts_than_planned_is_told(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    path = event()
    quiet = ("--format", "json", "--record", "--on")
    assert run("plan", path, *quiet, "2027-04-06") == 0
    event(RISEN)
    capsys.readouterr()
    assert run("plan", path, *quiet, "2027-04-27", "--poured", "2027-04-27") == 0
    told = capsys.readouterr().err
    assert "pieces 117 (was 78)" in told  # three loaves of 39 pieces, and two
    assert "its amounts are those of the files today, not of the plan recorded before" in told
    assert "labelkit trace LS-2704 --withdraw" in told


def test_a_plan_that_was_only_recorded_still_follows_the_guests(event: Event) -> None:
    path = event()
    plan = make_plan(prepare_job(path), dt.date(2027, 4, 20))
    trace.record_batch(trace_path_of(path.with_name("maker.toml")), plan.record(), plan.on)
    risen = make_plan(prepare_job(event(RISEN)), dt.date(2027, 4, 21))
    # 90 pieces take 30 bars: three loaves of 13.
    assert (risen.poured, risen.moulding.moulds) == (None, 3)


def test_the_recorded_day_counts_where_the_files_name_none(poured: Event) -> None:
    # The lot follows from the pattern and the day; a day before the pour knows nothing of it.
    plan = poured(NO_LOT)
    assert plan.is_poured
    assert (plan.lot, plan.schedule.day(PlanStep.POUR)) == ("LS-2704", POURED)
    assert poured(on=dt.date(2027, 4, 26)).poured is None


def test_lots_that_become_known_are_taken_and_known_ones_stay(poured: Event) -> None:
    plan = poured(('lot = "OL-0311"', ""), ('"honey"', '"honey"\nlot = "HO-7"'), file="recipe.toml")
    lots = {line.name: line.lots for line in plan.batch.weighings}
    assert (lots["olive-oil"], lots["honey"], lots["oat-flour"]) == (("OL-0311",), ("HO-7",), ())
    assert plan.record().materials[0].lots == ("OL-0311",)


def test_another_recipe_than_was_poured_is_refused(poured: Event) -> None:
    with pytest.raises(InputError) as caught:
        poured(('material = "castor oil"', 'material = "rice-bran-oil"'), file="recipe.toml")
    told = str(caught.value)
    assert "recipe.toml: is not what was poured on 2027-04-27 and recorded as lot LS-2704" in told
    assert "(rice-bran-oil is new, castor-oil is left out)" in told
    assert told.endswith("labelkit trace LS-2704 --withdraw")


def test_a_label_declares_no_more_than_its_pieces_were_cut_to(poured: Event, event: Event) -> None:
    """Soap only becomes lighter (common practice, no source)."""
    cut_g = poured().record().piece_g
    assert cut_g is not None

    def found(weight: str) -> list[Finding]:
        before = re.search(r'net_weight = "[^"]*"', event().read_text("utf-8"))
        assert before is not None
        label = event((before[0], f'net_weight = "{weight}"'))
        report = preflight_job(prepare_job(label), with_ways_out=False)
        return [one for one in report.findings if one.rule == "LABELKIT-LIGHTER-PIECES"]

    assert found(f"{cut_g.to_integral_value(ROUND_FLOOR)} g") == []
    (heavier,) = found("90 g")
    assert (heavier.level, heavier.element) == (Level.FAIL, "net-quantity")


def test_another_lot_for_a_label_that_is_poured_is_told(poured: Event) -> None:
    plan = poured(('lot = "LS-2704"', 'lot = "LS-2704-B"'))
    assert plan.poured is None
    assert Worry.OTHER_POURED in plan.worries
    text = " ".join(format_plan_text(plan, "en").split())
    assert "poured for this label and event: lot LS-2704, April 27, 2027. Its lot is now" in text
    assert Worry.OTHER_POURED not in poured().worries


def test_a_pour_that_is_not_recorded_says_where_its_amounts_come_from(
    planned: Callable[..., Plan],
) -> None:
    plan = planned(on=POURED, poured_on=POURED)
    assert plan.poured is None
    text = " ".join(format_plan_text(plan, "en").split())
    assert "No record has its amounts: these follow the files as they are today." in text
    assert json.loads(format_plan_json(plan))["poured"] is None


def test_a_record_from_before_pieces_were_kept_says_so(event: Event, poured: Event) -> None:
    poured()
    path = event(RISEN)
    file = trace_path_of(path.with_name("maker.toml"))
    with closing(sqlite3.connect(file)) as database:
        database.execute("UPDATE state SET bars = 0, pieces = 0, piece_grams = ''")
        database.commit()
    plan = make_plan(prepare_job(path), POURED)
    assert plan.poured is not None
    assert (plan.poured.serves, plan.poured.second) == (None, None)
    assert plan.batch.poured_g == poured().batch.poured_g
    text = format_plan_text(plan, "en")
    assert "pieces in the batch as poured: not in this record; count them\n" in text
    assert "bars, cut in" not in text
    assert plan.record().pieces == 0  # today's files cannot tell
    assert draw_plan_pdf(plan, "en", ("workshop", "batch"))


# -- a second batch --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("on", "in_time", "before_event", "deliver"),
    [
        # 27 minutes of wrapping take one day, Thursday 10 June, before the delivery on Friday the
        # 11th. Six weeks before it is Thursday 29 April, two days before that Tuesday the 27th.
        ((4, 27), True, True, (6, 11)),
        # Poured on Wednesday the 28th: cut on Friday the 30th, cured on Friday 11 June, delivered
        # on Saturday the 12th.
        ((4, 28), False, True, (6, 12)),
        # Cut on Friday 7 May, cured on Friday 18 June, delivered on the day of the event.
        ((5, 5), False, True, (6, 19)),
        # Cut on Saturday 8 May, cured on Saturday 19 June; Sunday and Monday are closed.
        ((5, 6), False, False, (6, 22)),
    ],
)
def test_whether_a_second_batch_comes_in_time(
    poured: Event, on: tuple[int, int], in_time: bool, before_event: bool, deliver: tuple[int, int]
) -> None:
    plan = poured(RISEN, on=dt.date(2027, *on))
    assert plan.poured is not None
    second = plan.poured.second
    assert second is not None
    assert second.pour_by == dt.date(2027, 4, 27)
    assert second.deliver == dt.date(2027, *deliver)
    assert (second.in_time, second.before_event) == (in_time, before_event)
    text = " ".join(format_plan_text(plan, "en").split())
    told = (
        "can still be in time: with its materials at hand, pour it by Tuesday, April 27, 2027.",
        "it can be delivered by itself on",
        "is too late for the event: it had to be poured by Tuesday, April 27, 2027.",
    )
    right = 0 if in_time else 1 if before_event else 2
    assert [words in text for words in told] == [n == right for n in range(3)]


def test_what_a_second_batch_takes(poured: Event) -> None:
    plan = poured(RISEN)
    assert plan.poured is not None
    second = plan.poured.second
    assert second is not None
    # 12 pieces are 4 bars; one loaf gives 13 bars, 39 pieces. It holds 1969.11 g, and 1 % stays in
    # the pot: 1989 g and a few grams over, as lye and fragrance are rounded down.
    assert (second.pieces, second.gives) == (12, 39)
    assert Decimal(1989) < second.batch.poured_g < Decimal(1995)
    # The recipe is never made with more lye than it says: its superfat is 6 %.
    assert Decimal(6) <= second.batch.batch.superfat_percent < Decimal("6.5")
    # The first batch of two loaves took 1272 g of olive oil; half of it is 636 g.
    oils = {w.name: w.mass_g for w in second.batch.weighings if w.role is WeighingRole.OIL}
    assert abs(oils["olive-oil"] - Decimal(636)) <= 2
    text = format_plan_text(plan, "en")
    section = text[text.index("A second batch\n=") : text.index("Supplies\n=")]
    assert f"olive oil                               {oils['olive-oil']}" in section
    assert "LS-2704-B" in section
    assert "Lye burns skin and blinds" in section
    shown = json.loads(format_plan_json(plan))["poured"]
    assert (shown["pieces"], shown["serves_guests"], shown["pieces_short"]) == (78, 63, 12)
    assert shown["second_batch"]["pour_by"] == "2027-04-27"
    assert shown["second_batch"]["weighings"][0]["grams"] == float(oils["olive-oil"])


def test_no_second_batch_once_the_event_is_past(poured: Event) -> None:
    plan = poured(RISEN, on=dt.date(2027, 6, 20))
    assert plan.poured is not None
    assert (plan.poured.short, plan.poured.second) == (12, None)


# -- pages -----------------------------------------------------------------------------------------


def words_of(plan: Plan, language: str, page: str) -> str:
    return read_text(draw_plan_pdf(plan, language, (page,)))


def test_the_batch_page_of_a_poured_batch_is_a_record(poured: Event) -> None:
    plan = poured(RISEN)
    text = words_of(plan, "en", "batch")
    assert "Batch record, poured April 27, 2027" in text
    assert "A record, not a sheet to pour by." in text
    assert "1272" in text
    assert "Lye burns skin" not in text
    figures = "78 pieces poured 26 bars, cut in 3 24 mm a slice of the loaf"
    assert figures in words_of(plan, "en", "workshop")
    french = words_of(plan, "fr", "batch")
    assert "Fiche de coulée, coulé le 27 avril 2027" in french
    assert "elle ne sert plus à couler" in french
    assert "Une deuxième coulée" in words_of(plan, "fr", "workshop")


def test_the_batch_page_of_a_plan_is_to_pour_by(planned: Callable[..., Plan]) -> None:
    text = words_of(planned(), "en", "batch")
    assert "Lye burns skin" in text
    assert "poured April" not in text


def test_several_lots_stand_on_the_batch_page(planned: Callable[..., Plan], event: Event) -> None:
    many = [f"OL-{number:04}" for number in range(311, 319)]
    event(('lot = "OL-0311"', f"lot = {json.dumps(many)}"), file="recipe.toml")
    text = words_of(planned(), "en", "batch")
    assert all(lot in text for lot in many)
