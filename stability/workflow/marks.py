"""What was just logged, held against its limit and its history: told once stored."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stability.model.estimate import OutOfTrend
from stability.model.handling import weighed_later
from stability.workflow.around import surroundings_of
from stability.workflow.occasion import Occasion
from stability.workflow.written import Written

if TYPE_CHECKING:
    from stability.evaluation.histories import History
    from stability.evaluation.index import Index
    from stability.evaluation.readings import JudgedObservation
    from stability.model.study_record import StudyRecord

_JUDGED = {"observed", "corrected"}
#: Remarks on the instrument that are told with a mark.
_OF_CALIBRATION = {"calibration", "doubtful", "retired instrument"}
#: Earlier checks needed before a reading is held against its history [-]; stands in
#: `statistics` too, from where taking it would load numerical libraries.
_FEWEST_EARLIER = 4
#: What is looked at before the product is suspected. Common practice.
LOOK_FIRST = (
    "Look first whether this is the right sample, then at its temperature when it was "
    "read, then at the instrument and its calibration. The reading stays as stored."
)


@dataclass(frozen=True, slots=True)
class JudgedNow:
    """Observations just stored, in their study as it stands now."""

    #: Position -> entry just stored.
    stored: Mapping[int, Written]
    #: The study, looked up once.
    index: Index
    #: Every observation of the study.
    judged: tuple[JudgedObservation, ...]


def judged_now(at: Occasion, written: Iterable[Written]) -> JudgedNow | None:
    """Judge a study in which observations were just stored; None if none were.

    Nothing is fitted here, so that it costs no more than reading the study.

    Parameters
    ----------
    at
        The occasion.
    written
        What one verb has written, all of one study.
    """
    from stability.records import journal
    from stability.records.database import open_database
    from stability.records.store import record_of

    stored = [one for one in written if one.kind in _JUDGED]
    if not stored:
        return None
    with open_database(at.records).reading() as connection:
        entries = journal.entries(connection, stored[0].subject)
    return judged_in(record_of(entries).record, stored, at)


def judged_in(
    record: StudyRecord, written: Iterable[Written], at: Occasion
) -> JudgedNow | None:
    """Judge a study that is folded already; None if no observation was stored.

    Parameters
    ----------
    record
        The study with what was written.
    written
        What was written.
    at
        The occasion.
    """
    from stability.evaluation.fates import exposures_of
    from stability.evaluation.index import index_of
    from stability.evaluation.judging import judge_all

    stored = {one.position: one for one in written if one.kind in _JUDGED}
    if not stored:
        return None
    day = at.now.astimezone(record.zone).date()
    index = index_of(record, day, surroundings_of(at, None, record, day))
    return JudgedNow(stored, index, judge_all(index, exposures_of(index)))


def marks(now: JudgedNow | None) -> dict[str, str]:
    """Return reference -> value, limit and mark of observations just stored."""
    if now is None:
        return {}
    return {
        now.stored[one.position].reference: mark_words(one)
        for one in now.judged
        if one.position in now.stored
    }


def mark_words(judged: JudgedObservation) -> str:
    """Return `mean 5.51, limit 5.0 to 5.9: inside` for one observation."""
    calibration = "".join(
        f"; {one.text}" for one in judged.remarks if one.code in _OF_CALIBRATION
    )
    if judged.mark == "recorded only":
        return f"{judged.mark}{calibration}"
    said = [judged.detail] if judged.detail else []
    said += [one.text for one in judged.remarks if one.code == "single reading"]
    detail = f" ({'; '.join(said)})" if said else ""
    against = f"limit {judged.limit_text}: {judged.mark}{detail}"
    return f"{_value(judged)}{against}{calibration}"


def _value(judged: JudgedObservation) -> str:
    """Return the value judged, where it is not the reading as typed."""
    seen = judged.observation
    if not judged.value_text:
        return ""
    if seen.part is not None:
        return f"loss {judged.value_text} %, "
    if len(seen.readings) < 2:
        return ""
    return f"{'mean ' if judged.word is None else ''}{judged.value_text}, "


def out_of_trend_remarks(now: JudgedNow | None) -> tuple[str, ...]:
    """Return a remark for each reading just stored that leaves its own history.

    Numerical libraries are loaded only where a series has four earlier checks.

    Parameters
    ----------
    now
        What was just stored, judged.

    Returns
    -------
    tuple of str
        Empty where all are in trend, or too few earlier checks tell a trend.
    """
    from stability.evaluation.histories import histories_of

    if now is None:
        return ()
    histories = [
        one
        for one in histories_of(now.index, now.judged, now.stored)
        if len(set(one.ages)) >= _FEWEST_EARLIER
    ]
    found = [(one, test) for one in histories if (test := _tested(one)) is not None]
    if not found:
        return ()
    told = [f"{_reference(now, one)}  {_words(one, test)}" for one, test in found]
    days = Counter(one.point.day for one, _ in found)
    several = [
        f"{count} series are out of trend on {day}, which points to that day: to the "
        "instrument before the product."
        for day, count in sorted(days.items())
        if count > 1
    ]
    return (*told, *several, LOOK_FIRST)


def unweighed_lines(now: JudgedNow | None) -> tuple[str, ...]:
    """Return a line for each container just opened that was not weighed again.

    What was taken out is then not known, and no later weighing brings it back.

    Parameters
    ----------
    now
        What was just stored, judged.
    """
    if now is None:
        return ()
    record = now.index.record
    opened = dict.fromkeys(
        (one.sample.code, one.check)
        for one in now.judged
        if one.position in now.stored
        and one.observation.stands
        and one.observation.part != "after"
    )
    return tuple(
        f"{code} {check}: not weighed after sampling. Weigh it again before it goes "
        f"back (stability log {code} w2=…), or its loss cannot be told at the next "
        "check."
        for code, check in opened
        if check is not None and _is_unweighed(record, code, check)
    )


def _is_unweighed(record: StudyRecord, code: str, check: str) -> bool:
    """Say whether a container was opened at a check and was not weighed again."""
    seen = [
        one
        for one in record.observations
        if (one.sample, one.check) == (code, check) and one.stands
    ]
    if record.retirement_of(code) is not None or all(one.part for one in seen):
        return False
    again = {one.attribute for one in seen if one.part == "after"}
    return not weighed_later(record, record.samples[code], check) <= again


def _tested(history: History) -> OutOfTrend | None:
    """Return what the test says; None where it is in trend or cannot be made."""
    from stability.statistics.out_of_trend import out_of_trend

    result = out_of_trend(
        history.ages,
        history.values,
        history.point.age_months,
        history.value,
        scale=history.scale,
        resolution=history.resolution,
    )
    return result if isinstance(result, OutOfTrend) and result.is_out else None


def _reference(now: JudgedNow, history: History) -> str:
    """Name the newest entry of a check that was just stored."""
    newest = max(one for one in history.point.positions if one in now.stored)
    return now.stored[newest].reference


def _words(history: History, test: OutOfTrend) -> str:
    alarm = test.outcome == "alarm"
    lowest, highest = test.alarm_limits if alarm else test.alert_limits
    unit = "" if history.unit in {"", "1", "pH"} else f" {history.unit}"
    return (
        f"out of trend, {test.outcome}: {history.point.text}{unit} lies outside "
        f"{lowest:.4g} to {highest:.4g}{unit}, the {99 if alarm else 95} % prediction "
        f"interval of {test.earlier} earlier checks ({history.key.text()}); by chance "
        f"alone {'1 reading in 100' if alarm else '1 reading in 20'} does."
    )
