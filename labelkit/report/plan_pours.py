"""How a recipe went before, in words: how often it was poured, what was lost, what was noted."""

from __future__ import annotations

from collections.abc import Iterator

from labelkit.common.messages import FactList
from labelkit.plan.tried import NotedPour, Tried
from labelkit.report.phrasebook import Phrases
from labelkit.report.speech import Speech


def describe_pours(tried: Tried | None, say: Phrases) -> Iterator[str]:
    """What the record and the maker's notes tell of the pair and of the mould; nothing of a pair
    that was never poured."""
    if tried is None or tried.last is None:
        return
    yield say("batch.tried", times=say.number(tried.times), day=say.date(tried.last))
    if tried.scent_times > tried.times:
        yield say("batch.tried_scent", times=say.number(tried.scent_times))
    if tried.mould:
        yield say("batch.tried_mould", mould=tried.mould, times=say.number(tried.mould_times))
    lost, of = tried.lost
    if of:
        yield say("batch.tried_lost", lost=say.number(lost), pieces=say.many("pieces", of))
    noted = [one for one in tried.noted if one.notes.notes or one.notes.text]
    if noted:
        told = FactList([describe_noted_pour(one, say) for one in noted], ";")
        yield say("batch.tried_noted", batches=Speech(say.language, say.locale)(told))


def describe_noted_pour(pour: NotedPour, say: Phrases) -> str:
    """A batch with how it misbehaved, and with what else its maker wrote."""
    noted = [*(say(f"pour.{note}") for note in pour.notes.notes), *filter(None, [pour.notes.text])]
    listed = Speech(say.language, say.locale)(FactList(noted))
    day = say.date(pour.record.poured)
    return say("pour.noted", lot=pour.record.lot, date=day, noted=listed)
