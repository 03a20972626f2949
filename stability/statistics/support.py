"""Months shown, estimated and supported, and what that says about the request.

Calendar facts come in as plain values; nothing here reads a protocol or a journal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from stability.model.age import T0, check_text, parse_age
from stability.model.names import in_words
from stability.model.shelf_life import (
    Bearing,
    CheckOutcome,
    ProvisionalRule,
    RequestOutcome,
    Shown,
    Supported,
)

Granted = Literal[
    "shown by real-time data", "supported by extrapolation within the cap"
]

#: Added before rounding down, so that 24 months less a rounding error stay 24.
ROUNDING = 1e-9
#: Said wherever a life is printed.
ASSESSMENT = (
    "Supports, and does not replace, assessment by a qualified safety assessor."
)
#: Said wherever a provisional life is printed.
PROVISIONAL = (
    "Trade custom, no standard; an estimate, not evidence; for the assessor to accept "
    "or refuse."
)
#: Said where the check that would carry a request came before its date.
_EARLY = (
    "A check that would have to carry them was read before its date, and nothing may "
    "be claimed beyond what it shows."
)


def months_shown(
    outcomes: Sequence[CheckOutcome], *, before_first_failure: bool = False
) -> Shown:
    """Return how long one batch and attribute was shown to hold.

    Parameters
    ----------
    outcomes : sequence of CheckOutcome
        Of one batch and attribute under long-term storage, not invalidated, in any
        order.
    before_first_failure : bool, default False
        True for scores, statements and recorded attributes: only checks before the
        first failed one count.

    Returns
    -------
    Shown
        The calendar interval of the last check that was made inside its window and
        passed; never a number of days over 30.4375.

    Examples
    --------
    >>> months_shown([CheckOutcome("12M", 11.99, True, True, True)]).months
    12
    """
    if before_first_failure:
        outcomes = _before_first_failure(outcomes)
    failed = {one.check for one in outcomes if one.passed is False}
    passed = [
        (_whole_months(one.check), one)
        for one in outcomes
        if one.check and one.in_window and one.passed and one.check not in failed
    ]
    if not passed:
        return Shown(0, None, 0, "nothing")
    months, last = max(passed, key=lambda pair: (pair[0], pair[1].age))
    on_time = [whole for whole, one in passed if one.on_or_after_date]
    return Shown(months, last.check, max(on_time, default=0), _words(last.check or T0))


def shown_by_all(
    batches: Sequence[Sequence[CheckOutcome]], *, before_first_failure: bool = False
) -> Shown:
    """Return how long an attribute was shown to hold in every batch.

    Parameters
    ----------
    batches : sequence of sequence of CheckOutcome
        One for each batch, as for `months_shown`.
    before_first_failure : bool, default False
        True for scores, statements and recorded attributes.

    Returns
    -------
    Shown
        The last check at which the attribute passed in every batch.

    Examples
    --------
    >>> one = [CheckOutcome(c, a, True, True, True) for c, a in (("6M", 6), ("9M", 9))]
    >>> shown_by_all([one, one[:1]]).months
    6
    """
    if before_first_failure:
        batches = [_before_first_failure(batch) for batch in batches]
    common = set.intersection(*(_passed_checks(batch) for batch in batches))
    shared = [
        [one for one in batch if one.check in common and one.passed is not None]
        for batch in batches
    ]
    return min(
        (months_shown(batch) for batch in shared),
        key=lambda shown: (shown.months, shown.months_for_request),
    )


def _passed_checks(outcomes: Sequence[CheckOutcome]) -> set[str]:
    failed = {one.check for one in outcomes if one.passed is False}
    return {
        one.check
        for one in outcomes
        if one.check and one.in_window and one.passed and one.check not in failed
    }


def _before_first_failure(outcomes: Sequence[CheckOutcome]) -> list[CheckOutcome]:
    first = min((one.age for one in outcomes if one.passed is False), default=math.inf)
    return [one for one in outcomes if one.age < first]


def _whole_months(check: str | None) -> int:
    age = parse_age(check or "")
    return age.whole_months if age is not None else 0


def _words(check: str) -> str:
    age = parse_age(check)
    if age is None:
        return check_text(check)
    unit = {"h": "hour", "d": "day", "w": "week", "M": "month", "y": "year"}[age.unit]
    return f"{age.count} {unit}{'' if age.count == 1 else 's'}"


def last_pass_before_failure(outcomes: Sequence[CheckOutcome]) -> int | None:
    """Return where an observed failure ends the support of one batch and attribute.

    Parameters
    ----------
    outcomes : sequence of CheckOutcome
        Of one batch and attribute under long-term storage, not invalidated. A failure
        outside any window counts.

    Returns
    -------
    int or None
        Months of the last check passed before the first failure; None without one.

    Examples
    --------
    >>> last_pass_before_failure(
    ...     [
    ...         CheckOutcome("3M", 3.0, True, True, True),
    ...         CheckOutcome("6M", 6.0, True, True, False),
    ...         CheckOutcome("9M", 9.0, True, True, True),
    ...     ]
    ... )
    3
    """
    if all(one.passed is not False for one in outcomes):
        return None
    return months_shown(outcomes, before_first_failure=True).months


def supported_months(parts: Sequence[Bearing]) -> Supported:
    """Combine everything that bears the request.

    Parameters
    ----------
    parts : sequence of Bearing
        One for each batch, attribute and pack, at least one, each with its own cap.

    Returns
    -------
    Supported
        The smallest of min(estimate, own cap, last pass before a failure), rounded
        down to whole months, with the basis in one sentence.

    Raises
    ------
    ValueError
        If nothing bears the request.

    Notes
    -----
    "Shortest attribute, shortest batch governs" is an intersection of tests and needs
    no correction for their number [1]_.

    References
    ----------
    .. [1] R. L. Berger, "Multiparameter hypothesis testing and acceptance sampling,"
       Technometrics, vol. 24, no. 4, pp. 295-300, 1982.
    """
    if not parts:
        message = "nothing bears the request"
        raise ValueError(message)
    governing = min(parts, key=lambda part: part.limit)
    seen = [part.shown_by_all or part.shown for part in parts]
    least = min(seen, key=lambda shown: shown.months)
    estimated = [part for part in parts if part.estimate is not None]
    shortest = min(estimated, key=lambda part: part.estimate or 0.0, default=None)
    months = math.floor(governing.limit + ROUNDING)
    at_cap = [part.shown for part in parts if part.cap.months <= part.cap.shown]
    return Supported(
        shown=least.months,
        shown_words=least.words,
        shown_for_request=min(shown.months_for_request for shown in seen),
        estimated=None if shortest is None else shortest.estimate,
        estimate_above_cap=_above_cap(shortest),
        months=months,
        governing=governing,
        text=_basis(governing, _as_short(governing, parts), months),
        shown_at_cap=min((one.months_for_request for one in at_cap), default=None),
    )


def _above_cap(part: Bearing | None) -> bool:
    if part is None or part.estimate is None:
        return False
    return part.estimate > part.cap.months


def _as_short(governing: Bearing, parts: Sequence[Bearing]) -> list[Bearing]:
    """Return all that supports no more than what governs, itself first."""
    others = [
        part
        for part in parts
        if part is not governing and part.limit <= governing.limit + ROUNDING
    ]
    return [governing, *others]


def _what_governs(parts: Sequence[Bearing]) -> str:
    """Name all that governs: those of one batch and place in full, others counted."""
    first = parts[0]
    here = [part for part in parts if _place(part) == _place(first)]
    names = [in_words(part.attribute) for part in here]
    told = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    left = len(parts) - len(here)
    others = f" ({left} {'other is' if left == 1 else 'others are'} as short)"
    where = ", ".join(name for name in (first.pack, first.condition) if name)
    verb = "govern" if names[1:] else "governs"
    return f"{told} of batch {first.batch} ({where}) {verb}{others if left else ''}"


def _place(part: Bearing) -> tuple[str, ...]:
    """Return what parts share of which the same is said."""
    return part.batch, part.pack, part.condition, part.basis, part.cap.text


def _basis(part: Bearing, governing: Sequence[Bearing], months: int) -> str:
    what = _what_governs(governing)
    reasons = [part.basis] if part.basis else []
    if _above_cap(part):
        # As a number it would read as a promise; the table beside it has the number.
        reasons.append("the estimate lies beyond the cap")
    elif part.estimate:
        reasons.append(f"estimate {part.estimate:.1f} months")
    reasons.append(f"shown {part.shown.words}")
    reasons.append(f"cap {_months(part.cap.months)} ({part.cap.text.rstrip('.')})")
    if part.ends_at is not None:
        last = f"last pass before a failure at {_months(part.ends_at)}"
        reasons.append(last if part.ends_at else "nothing passed after T0")
    return f"{_months(months)}: {what}: {'; '.join(reasons)}. {ASSESSMENT}"


def _months(months: float) -> str:
    return f"{months:g} {'month' if months == 1 else 'months'}"


def _are(months: int) -> str:
    return f"{_months(months)} {'is' if months == 1 else 'are'}"


def judge_request(
    asked: int,
    supported: Supported,
    *,
    planned_look: bool,
    provisional: ProvisionalRule | None = None,
) -> RequestOutcome:
    """Say what the evidence means for the shelf life asked for.

    Parameters
    ----------
    asked : int
        Life asked for. [months]
    supported : Supported
        Months shown, estimated and supported.
    planned_look : bool
        True at a check that the protocol names for judging the request.
    provisional : ProvisionalRule or None, default None
        The declared rule of thumb; None where none was declared.

    Returns
    -------
    RequestOutcome
        One of four outcomes; "interim" at any other check, which carries no request.

    Notes
    -----
    Judged at every check, a request would be overstated some time in 11 to 16 % of
    studies instead of 5 %. A check read inside its window but before its date shows
    its months only where something may be claimed beyond them.
    """
    if not planned_look:
        text = (
            f"Interim evaluation: {_months(supported.months)} supported so far; it "
            f"carries no request. {ASSESSMENT}"
        )
        return RequestOutcome("interim", asked, supported.months, text)
    if supported.months < asked:
        return _provisional(asked, supported, provisional)
    if supported.shown_for_request >= asked:
        return _granted("shown by real-time data", asked)
    in_time = supported.shown_at_cap
    if in_time is not None and in_time < asked:
        short = replace(supported, months=in_time)
        return _provisional(asked, short, provisional, because=_EARLY)
    return _granted("supported by extrapolation within the cap", asked)


def _granted(outcome: Granted, asked: int) -> RequestOutcome:
    text = f"{_are(asked)} {outcome}. {ASSESSMENT}"
    return RequestOutcome(outcome, asked, asked, text)


def _provisional(
    asked: int,
    supported: Supported,
    rule: ProvisionalRule | None,
    *,
    because: str = "",
) -> RequestOutcome:
    refusal = _provisional_refusal(asked, rule)
    if rule is None or refusal:
        are = _are(supported.months) if supported.months else "none is"
        parts = (f"{_are(asked)} not supported; {are}.", because, refusal, ASSESSMENT)
        text = " ".join(filter(None, parts))
        return RequestOutcome("not supported", asked, supported.months, text)
    text = (
        f"{asked} months provisional on {rule.condition} ({rule.source}), to be "
        f"confirmed at {', '.join(rule.confirming)}; {_are(supported.months)} "
        f"supported by real-time data. {PROVISIONAL} {ASSESSMENT}"
    )
    return RequestOutcome("provisional on accelerated data", asked, rule.months, text)


def _provisional_refusal(asked: int, rule: ProvisionalRule | None) -> str:
    if rule is None:
        return ""
    reasons = (
        (
            not rule.declared_before_t0,
            "A provisional life was not declared before T0.",
        ),
        (
            rule.broken_by is not None,
            f"The provisional life is withdrawn by {rule.broken_by}.",
        ),
        (not rule.held, f"Not every attribute was read and held at {rule.condition}."),
        (
            not rule.real_time_holds,
            (
                "Real time does not hold so far: a real-time reading lies outside "
                "its limit, a certificate failed, or a check is not read yet."
            ),
        ),
        (
            rule.months < asked,
            f"The declared provisional life is {rule.months} months.",
        ),
    )
    return next((words for applies, words in reasons if applies), "")
