"""Months shown: as far as real time has proved the product to hold.

The calendar interval of the last long-term check, made inside its window, at which
the attributes that bear the request passed in every batch; it stops at the first
failure. 12M read on its day counts 12; 12w is 12 weeks and never 3M.
"""

from __future__ import annotations

from collections.abc import Sequence

from stability.evaluation.evidence import Evidence
from stability.evaluation.failed_certificates import shown_by
from stability.evaluation.findings import MonthsShown
from stability.evaluation.phrases import count_text, listed
from stability.model.age import check_order, parse_age
from stability.model.names import in_words
from stability.model.shelf_life import Shown
from stability.statistics.support import shown_by_all

#: Words where nothing is shown.
NONE_YET = "no long-term check passed yet"
#: Words where checks passed and a failed certificate leaves nothing of it.
NOTHING = "nothing is shown"


def months_shown(evidence: Sequence[Evidence]) -> tuple[MonthsShown, ...]:
    """Return the months shown for each long-term condition and pack."""
    return tuple(_shown(one) for one in evidence)


def overall(shown: Sequence[MonthsShown]) -> tuple[int, str]:
    """Return the smallest months shown over all packs, in words."""
    if not shown:
        return 0, NONE_YET
    if len(shown) == 1:
        return shown[0].months, shown[0].text
    least = min(shown, key=lambda one: one.months)
    failed = [f"{one.pack} {_stop(one.failures)}" for one in shown if one.failures]
    stop = f"; {'; '.join(failed)}" if failed else ""
    if least.check is None:
        lead = NOTHING if least.text.startswith(NOTHING) else NONE_YET
        return 0, f"{lead} in {least.pack}{stop}"
    if all(one.check == least.check for one in shown):
        packs = listed([one.pack for one in shown])
        return least.months, f"{_reach(least.check)} in {packs}{stop}"
    text = f"{_reach(least.check)} in {least.pack}, the pack shown for least{stop}"
    return least.months, text


def shown_of(evidence: Evidence, attribute: str) -> Shown:
    """Return how long one attribute was shown to hold in every batch.

    An attribute that the protocol reads at few checks limits nothing before its next
    one: it counts as shown up to the last check before that.
    """
    own = shown_by_all(evidence.of(attribute), before_first_failure=True)
    return reaching(evidence, attribute, own)


def reaching(evidence: Evidence, attribute: str, own: Shown) -> Shown:
    """Return what is shown, reaching up to the check before the next one asked for."""
    asked = evidence.planned.get(attribute, ())
    failed = any(
        one.passed is False for batch in evidence.of(attribute) for one in batch
    )
    if failed or asked == evidence.checks:
        return own
    passed = check_order(own.check) if own.check else (0, 0.0)
    ahead = [check_order(check) for check in asked if check_order(check) > passed]
    next_one = min(ahead, default=(9, 0.0))
    between = [
        check
        for check in evidence.checks
        if passed < check_order(check) < next_one and _read(evidence, check)
    ]
    age = parse_age(between[-1]) if between else None
    if age is None:
        return own
    months = age.whole_months
    return Shown(months, between[-1], months, f"{age} (not asked for)")


def _read(evidence: Evidence, check: str) -> bool:
    """Say whether anything passed at a check in every batch."""
    return all(
        any(
            one.check == check and one.passed
            for by_batch in evidence.outcomes.values()
            for one in by_batch.get(batch, ())
        )
        for batch in evidence.batches
    )


def _shown(evidence: Evidence) -> MonthsShown:
    shown = [shown_of(evidence, name) for name in evidence.planned]
    shown += [shown_by(one) for one in evidence.certified]
    least = min(shown, key=_length, default=None)
    for_request = min((one.months_for_request for one in shown), default=0)
    failures = tuple((one.batch, one.attribute, one.check) for one in evidence.failures)
    check = least.check if least is not None else None
    return MonthsShown(
        condition=evidence.condition,
        pack=evidence.pack,
        batches=evidence.batches,
        check=check,
        months=least.months if least is not None else 0,
        months_for_request=for_request,
        failures=failures,
        not_counted=evidence.not_counted,
        text=_text(evidence, check, failures),
    )


def _length(shown: Shown) -> tuple[int, float]:
    return check_order(shown.check) if shown.check else (0, 0.0)


def _text(
    evidence: Evidence,
    check: str | None,
    failures: Sequence[tuple[str, str, str]],
) -> str:
    stop = f"; {_stop(failures)}" if failures else ""
    if check is None:
        return f"{NOTHING if evidence.certified else NONE_YET}{stop}"
    number = count_text(len(evidence.batches), "batch", "batches")
    early = [reason for name, reason in evidence.not_counted if name == check]
    note = f"; {check} was {early[0]}" if early else ""
    names = listed(list(evidence.batches))
    return f"{_reach(check)}, {number}: {names}{note}{stop}"


def _stop(failures: Sequence[tuple[str, str, str]]) -> str:
    batch, attribute, check = failures[0]
    return f"stopped by {in_words(attribute)}, batch {batch}, at {check}"


def _reach(check: str) -> str:
    age = parse_age(check)
    if age is None:
        return f"shown to {check}"
    unit = {"w": "week", "d": "day", "h": "hour"}.get(age.unit)
    length = (
        count_text(age.count, unit) if unit else count_text(age.whole_months, "month")
    )
    return f"shown to {check} ({length})"
