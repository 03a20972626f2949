"""Sentences about what a plan can prove, for readers who are no statisticians."""

from __future__ import annotations

from collections.abc import Sequence

from stability.model.prospects import (
    AttributeProspect,
    Chances,
    EvaluationProspect,
    PlanAssumptions,
    RequestChance,
)
from stability.statistics.shelf_life import FEWEST_CHECKS


def percent(chance: float | None) -> str:
    """Return a chance as printed; never a certainty that the figure does not hold.

    Examples
    --------
    >>> percent(0.934), percent(0.999), percent(0.002), percent(0.0), percent(None)
    ('93 %', 'above 99 %', 'below 1 %', 'none', 'not told')
    """
    if chance is None:
        return "not told"
    if chance == 0:
        return "none"
    if chance < 0.01:
        return "below 1 %"
    return "above 99 %" if 0.99 < chance <= 1 else f"{100 * chance:.0f} %"


def counted(count: int, one: str, several: str = "") -> str:
    """Return `1 batch`, `3 batches`.

    Examples
    --------
    >>> counted(3, "batch", "batches")
    '3 batches'
    """
    return f"{count} {one if count == 1 else several or one + 's'}"


def drift_words(room_used: float) -> str:
    """Return a case of drift in words.

    Examples
    --------
    >>> drift_words(0.0), drift_words(0.5)
    ('no drift', 'drift that goes 50 % of the way to the limit')
    """
    if room_used == 0:
        return "no drift"
    return f"drift that goes {100 * room_used:.0f} % of the way to the limit"


def months_words(months: float) -> str:
    """Return months as printed.

    Examples
    --------
    >>> months_words(1), months_words(13.5)
    ('1 month', '13.5 months')
    """
    return f"{months:g} {'month' if months == 1 else 'months'}"


def attribute_text(one: AttributeProspect, check: str, asked: int) -> str:
    """Return what one attribute brings at a check, with its assumptions.

    Parameters
    ----------
    one
        The prospect, still without a sentence.
    check
        The check.
    asked
        Life asked for. [months]
    """
    where = f"{one.attribute} in {one.pack} ({one.condition})"
    shows = f"the {check} evaluation will show {months_words(one.shown)}"
    if one.kind == "worded":
        return f"{where}: {shows} if nothing fails; {_worded(one, asked)}."
    basis = [_checks_words(one), f"limit {one.limit_text}"]
    if one.kind == "fitted":
        per_check = counted(one.containers, "container")
        basis.insert(1, f"{per_check} a check, {counted(one.readings, 'reading')} each")
    else:
        basis.insert(1, f"{counted(one.containers_read, 'container')} weighed")
    basis += [one.scatter_text] if one.scatter_text else []
    estimate = _estimate(one)
    return (
        f"{where}: with {', '.join(basis)}, {shows} and {estimate}; "
        f"{_support(one, asked)}."
    )


def _checks_words(one: AttributeProspect) -> str:
    if one.checks == one.most_checks:
        return f"{counted(one.checks, 'check')} a series"
    return f"{one.checks} to {one.most_checks} checks a series"


def _worded(one: AttributeProspect, asked: int) -> str:
    read = one.containers_read
    if one.may_fail is None:
        return "no container is read by then"
    may = one.may_fail or 0.0
    bears = (
        f"{asked} months stand if none fails"
        if asked <= one.cap
        else f"{asked} months cannot be supported, at most {one.cap:g}"
    )
    return (
        f"{bears}; if none of {counted(read, 'container')} fails, up to "
        f"{100 * may:.0f} % of all may still fail (95 % bound)"
    )


def _estimate(one: AttributeProspect) -> str:
    if one.unknown:
        return "what it estimates is not told"
    chances = [case.estimate for case in one.chances if case.estimate is not None]
    least = min(chances, default=0.0)
    if least < 0.05:
        few = f" (fewer than {FEWEST_CHECKS} checks)"
        return f"estimate nothing{'' if one.estimated else few}"
    part = f" of {one.estimated} of {one.series} series"
    whole = one.estimated == one.series
    return f"give an estimate{'' if whole else part} with chance {percent(least)}"


def _support(one: AttributeProspect, asked: int) -> str:
    if asked > one.cap:
        return f"{asked} months cannot be supported, at most {one.cap:g}"
    if one.unknown:
        return (
            f"the chance that {asked} months are supported is not told: {one.unknown}"
        )
    return f"chance that {asked} months are supported: {cases(one.chances)}"


def cases(chances: Sequence[Chances]) -> str:
    """Return the chance of support in every case of drift."""
    return _by_case([(percent(one.support), one.room_used) for one in chances])


def request_words(chances: Sequence[RequestChance]) -> str:
    """Return the chance of the whole request in every case of drift."""
    return _by_case([(_between(one), one.room_used) for one in chances])


def _by_case(said: Sequence[tuple[str, float]]) -> str:
    words = {chance for chance, _ in said}
    if len(words) == 1 and len(said) > 1:
        return f"{words.pop()} in every case of drift"
    return ", ".join(f"{chance} with {drift_words(used)}" for chance, used in said)


def _between(one: RequestChance) -> str:
    least, most = percent(one.at_least), percent(one.at_most)
    return most if least == most else f"{least} to {most}"


def evaluation_text(one: EvaluationProspect, asked: int) -> str:
    """Return what the evaluation at one check can be expected to say.

    Parameters
    ----------
    one
        The prospect, still without a sentence.
    asked
        Life asked for. [months]
    """
    kind = "planned look" if one.is_planned_look else "interim, carries no request"
    text = (
        f"{one.check} ({kind}): shows {months_words(one.shown)} if everything passes, "
        f"supports at most {months_words(one.cap)} ({one.governing})"
    )
    if asked > one.cap:
        return f"{text}; {asked} months cannot be supported then."
    told = [case for case in one.chances if case.at_most is not None]
    if not told:
        return f"{text}; {asked} months stand if every reading passes."
    return f"{text}; chance that {asked} months are supported: {request_words(told)}."


_ACCELERATED = (
    "Assumed accelerated conditions: nothing that bears the request leaves its limit "
    "there. If something does, nothing beyond the months shown is supported, or less "
    "than said here where an intermediate condition holds."
)
_TOGETHER = (
    "Attributes and packs are not independent: the first figure of a range is the "
    "product of their chances, the last the smallest of them. Batches and reopened "
    "containers count as independent: their chances are multiplied."
)
_NO_ACCIDENT = (
    "No check is missed and no container lost; every accident lowers the chances."
)
_POOLED = (
    "Worked out batch by batch; here the protocol lets the pooled estimate carry the "
    "request, which often reaches further and overstates more often."
)


def assumption_texts(
    assumptions: PlanAssumptions,
    final: EvaluationProspect | None,
    *,
    asked: int,
    batches: int,
    carries: str,
) -> tuple[str, ...]:
    """Return what was assumed, one sentence each.

    Parameters
    ----------
    assumptions
        The maker's own, or the defaults.
    final
        The last evaluation, for the scatter of its attributes; None without one.
    asked
        Life asked for. [months]
    batches
        Batches. [-]
    carries
        Which estimate carries the request.
    """
    used = ", ".join(
        "nowhere" if share == 0 else f"{100 * share:.0f} %"
        for share in assumptions.room_used
    )
    drift = (
        f"Assumed drift: straight; by {asked} months it has gone {used} of the way "
        "from start to limit."
    )
    spread = (
        f"Assumed batches: they differ in start and in change over {asked} months by "
        f"{100 * assumptions.batch_spread:g} % of the way from start to limit "
        "(standard deviation: two of three batches lie within it)."
    )
    scatter = (
        "Assumed scatter: that of one container at one check, from day to day, the "
        f"same at every age (standard deviation); {100 * assumptions.day_share:g} % of "
        "its square belongs to the day and is shared by all containers read then, so "
        "that more containers even out the rest only."
    )
    pooled = (_POOLED,) if carries == "pooled" and batches > 1 else ()
    if final is None:
        return ()
    own = {
        one.attribute: f"{one.attribute}: {one.scatter_text}"
        for one in final.attributes
        if one.scatter_text
    }
    scatters = (f"{'; '.join(own.values())}.",) if own else ()
    return (
        drift,
        scatter,
        *scatters,
        spread,
        _ACCELERATED,
        _TOGETHER,
        _NO_ACCIDENT,
        *pooled,
    )


def batches_text(batches: int) -> str:
    """Return what the number of batches can show.

    Examples
    --------
    >>> batches_text(3)
    'If batches are alike drawn, the next is worse than all 3 tested with chance 1/4.'
    """
    if batches == 1:
        return (
            "One batch cannot show how batches differ; the next one is worse than this "
            "one with chance 1/2."
        )
    return (
        f"If batches are alike drawn, the next is worse than all {batches} tested with "
        f"chance 1/{batches + 1}."
    )
