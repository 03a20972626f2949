"""One sitting at the bench: answers are stored as they are given, then judged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from stability.errors import StabilityError
from stability.errors.samples import FarReadingError
from stability.model.observation import RETIRED_AS_FAILED
from stability.workflow.beside import Beside, beside, judged_beside
from stability.workflow.entering import Desk, Question, Turn, Walk, question
from stability.workflow.entering_answers import offered, take
from stability.workflow.entering_wishes import Wish, acts_of, prepared
from stability.workflow.entering_words import (
    KEEP_CLOSED,
    due_lines,
    opening_lines,
    prompt,
    question_lines,
    sample_lines,
)
from stability.workflow.follow_ups import open_lines
from stability.workflow.kept_study import KeptStudy
from stability.workflow.marks import mark_words, out_of_trend_remarks
from stability.workflow.occasion import Occasion, facts_of_day
from stability.workflow.written import Written

if TYPE_CHECKING:
    from stability.evaluation.readings import JudgedObservation
    from stability.model.attribute import Attribute
    from stability.model.moment import Moment
    from stability.model.observation import Observation
    from stability.model.study import Sample

#: Checks that one sample must have before a history can be long enough [-].
_LONG_HISTORY = 4


class Sitting:
    """A person answering questions about the samples that are due.

    Parameters
    ----------
    at
        The occasion on which it begins.
    study
        Study code as typed.
    on
        When everything was done, as typed; None: each answer at its own time.

    Raises
    ------
    StabilityError
        If study or time cannot be read.
    """

    def __init__(self, at: Occasion, study: str, on: str | None = None) -> None:
        self._kept = KeptStudy(at.records, study)
        self._on = on
        self._walk = Walk()
        #: Remarks told already of a sample, such as that its check is late.
        self._remarked: set[tuple[str | None, str]] = set()
        self._looked_up: tuple[object, Beside] | None = None
        #: Whether the last line was refused or asked again.
        self.refused = ""
        #: Where the record stood after the last answer that was stored; "" before.
        self.anchor = ""
        self._when(at)

    @property
    def ended(self) -> bool:
        """Say whether the person has stopped."""
        return self._walk.ended

    @property
    def subject(self) -> str:
        """Name the study as its entries do: study:HDC."""
        return f"study:{self._kept.code}"

    def opening(self, at: Occasion) -> tuple[str, ...]:
        """Return what is told before the first question."""
        return opening_lines(self._desk(at))

    def warm_up(self) -> None:
        """Load what answers are judged with, so that no answer waits for it."""
        from stability.evaluation import (  # noqa: F401
            bench_limits,
            fates,
            histories,
            judging,
        )
        from stability.records import instrument_chains, observing  # noqa: F401

        checks = {one.check for one in self._kept.book.record.observations}
        if len(checks) > _LONG_HISTORY:
            from stability.statistics import out_of_trend  # noqa: F401

    def question(self, at: Occasion) -> Question:
        """Return what is asked next."""
        return question(self._walk, self._desk(at))

    def asked_lines(self, at: Occasion, asked: Question) -> tuple[str, ...]:
        """Return what stands above the line to type on."""
        desk = self._desk(at)
        return question_lines(desk, asked, offered(desk, asked))

    def prompt(self, asked: Question) -> str:
        """Return what stands before the line to type on."""
        return prompt(asked)

    def answer(self, at: Occasion, line: str) -> Iterator[str]:
        """Take a line and yield what is to be told of it.

        What is yielded as stored is stored: warnings follow it.

        Parameters
        ----------
        at
            The occasion of the line.
        line
            As typed or scanned.
        """
        self.refused = ""
        desk = self._desk(at)
        asked = question(self._walk, desk)
        try:
            turn = take(self._walk, desk, asked, line)
            written = self._store(at, desk, prepared(turn.wish))
        except FarReadingError as doubt:
            self._walk = replace(self._walk, doubted=line.strip())
            self.refused = " ".join(doubt.questions)
            yield from (f"? {one}" for one in doubt.questions)
            yield "? Not stored yet. Type the same line again to store it, or another."
            return
        except StabilityError as fault:
            self._walk = replace(self._walk, doubted=None)
            self.refused = str(fault)
            yield f"! {fault}"
            return
        self._walk = _after(turn, written)
        yield from turn.told
        yield from self._told(at, written)
        if turn.opened:
            desk = self._desk(at)
            yield from sample_lines(
                desk, self._walk.sample or "", self._walk.check or ""
            )
        yield from self._put_down(at)

    def _store(
        self, at: Occasion, desk: Desk, wish: Wish | None
    ) -> tuple[Written, ...]:
        if wish is None:
            return ()
        acts = partial(acts_of, wish, when=desk.when, account=at.account)
        written = self._kept.write(at, acts)
        self.anchor = written[-1].anchor
        return written

    def _told(self, at: Occasion, written: tuple[Written, ...]) -> Iterator[str]:
        """Yield what is stored, then how it stands against limit and history."""
        for one in written:
            yield f"{one.reference}  {one.text}"
            for remark in one.remarks:
                if (self._walk.sample, remark) not in self._remarked:
                    self._remarked.add((self._walk.sample, remark))
                    yield f"    ! {remark}"
        for one in written:
            yield from self._judged(at, one)
        yield from _picture_lines(written)

    def _judged(self, at: Occasion, one: Written) -> Iterator[str]:
        """Yield how a reading stands against its limit and its history."""
        if one.kind not in {"observed", "corrected"}:
            return
        book = self._kept.book
        seen = book.observation(one.position)
        if seen is None or not seen.readings:
            return
        sample = book.plan.samples[seen.sample]
        attribute = book.plan.protocol.attributes[seen.attribute]
        now = judged_beside(self._beside(at, sample, attribute), one)
        for judged in now.judged:
            if judged.observation.position == one.position:
                yield from _mark_lines(judged)
        yield from (f"    ! {line.strip()}" for line in open_lines(now))
        yield from (f"    ! {remark}" for remark in out_of_trend_remarks(now))

    def _put_down(self, at: Occasion) -> Iterator[str]:
        """Say so when nothing is left to read of the sample in hand."""
        walk = self._walk
        if walk.sample is None or walk.check is None or walk.looked_at is not None:
            return
        desk = self._desk(at)
        if desk.tasks(walk.sample, walk.check):
            return
        self._walk = replace(walk, sample=None, check=None)
        yield f"{walk.sample} {walk.check}: all read."
        waiting = due_lines(desk, 0)[0]
        yield waiting.rstrip(":")

    def _when(self, at: Occasion) -> Moment:
        from stability.records.guards import checked_moment

        return checked_moment(self._on, self._kept.book.plan.zone, at.now)

    def _desk(self, at: Occasion) -> Desk:
        book = self._kept.book
        when = self._when(at)
        facts = facts_of_day(book.plan.days, when, at.account)
        return Desk(
            book, facts, when, partial(self._last_of, at), partial(self._limit_of, at)
        )

    def _last_of(
        self, at: Occasion, sample: Sample, attribute: Attribute
    ) -> Observation | None:
        return self._beside(at, sample, attribute).last.of(sample, attribute)

    def _limit_of(
        self,
        at: Occasion,
        sample: Sample,
        attribute: Attribute,
        check: str,
        stated: Mapping[str, str],
    ) -> str:
        from stability.evaluation.bench_limits import limit_ahead

        index = self._beside(at, sample, attribute).index
        return limit_ahead(index, sample, attribute, check, stated)

    def _beside(self, at: Occasion, sample: Sample, attribute: Attribute) -> Beside:
        """Look an attribute of a sample up once for each state of the study."""
        book = self._kept.book
        key = (book.head, sample.code, attribute.name)
        if self._looked_up is None or self._looked_up[0] != key:
            near = beside(at, book.record, sample, attribute)
            self._looked_up = (key, near)
        return self._looked_up[1]


def _picture_lines(written: tuple[Written, ...]) -> Iterator[str]:
    """Ask for a photograph of what was put away as failed, still closed."""
    for one in written:
        sample, _, rest = one.text.partition(": ")
        if one.kind == "retired" and rest.partition(":")[0] in RETIRED_AS_FAILED:
            yield f"    photograph it through the glass: photo {sample} FILE"


def _mark_lines(judged: JudgedObservation) -> Iterator[str]:
    """Yield how a reading stands against its limit; outside it, said by itself."""
    yield f"    {mark_words(judged)}"
    if judged.mark == "outside":
        yield f"    ! {judged.observation.attribute} is outside its limit"
        if judged.word is not None:
            yield f"    ! {KEEP_CLOSED}"


def _after(turn: Turn, written: tuple[Written, ...]) -> Walk:
    """Return the walk once what it wished is stored."""
    walk = turn.walk
    observed = tuple(one.position for one in written if one.kind == "observed")
    corrected = tuple(one.position for one in written if one.kind == "corrected")
    if not observed and not corrected:
        return walk
    answered = walk.answered + observed
    if corrected and walk.looked_at is not None:
        at = walk.looked_at
        answered = (*walk.answered[:at], *corrected, *walk.answered[at + 1 :])
    return replace(walk, doubted=None, looked_at=None, answered=answered)
