"""Who reads a report: in which language, and what is said where it cannot be that one."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Language, Said
from labelkit.report.speech import SOURCE, Speech


@dataclass(frozen=True, slots=True)
class Reader:
    """The languages somebody reads, as BCP 47 tags."""

    asked: str | None
    """By ``--language``; None: nothing was asked."""
    stated: str
    """In a file, or else the label's first."""
    spoken: tuple[str, ...]
    """The label's own, most important first."""

    def language(self, known: Collection[str]) -> str:
        """The language asked for; else of those there are words in the one stated, or the first
        that the label has, or English."""
        if self.asked:
            return self.asked
        wanted = map(_strip_country, (self.stated, *self.spoken))
        return next((code for code in wanted if code in known), SOURCE)

    def stand_in(self, what: Said, known: Collection[str]) -> Iterator[Said]:
        """A line that tells in which language a report is for want of words; none where it is in
        one that was asked for or stated, or else in one of the label's."""
        wanted = self.spoken if self.stated == self.spoken[0] else (self.stated,)
        if not self.asked and not {*map(_strip_country, wanted)} & {*known}:
            yield Said(
                "In {used}: there are {what} in {known}, and none in {lacking}",
                used=Language(self.language(known)),
                what=what,
                known=FactList(known),
                lacking=FactList(wanted),
            )


def describe_partly_english(speech: Speech, said: Iterable[tuple[str, str]]) -> Iterator[Said]:
    """A line that names the regions some of whose rules a report can only give in English.

    ``said`` is what the report says, each text after the codes of the regions that ask for it.
    """
    lacking = [codes for codes, text in said if not speech.has(text)]
    regions = dict.fromkeys(code for codes in lacking for code in codes.split(", "))
    if regions:
        yield Said(
            "Partly in English: some rules of {regions} have no words in {language}",
            regions=FactList(regions),
            language=speech.language,
        )


def _strip_country(tag: str) -> str:
    return tag.split("-")[0].lower()
