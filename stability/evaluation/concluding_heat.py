"""What a drafted conclusion says of stress heat beside accelerated heat and the shelf.

Stress heat that fails where accelerated heat holds gives storage and transport words:
it does not shorten the life shown, and no rate from it is used.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stability.evaluation.concluding_outside import SAMPLE, findings_of, named
from stability.evaluation.findings import Evaluation, OutsideFinding
from stability.evaluation.opened import is_of_use
from stability.evaluation.phrases import count_text, listed, named_check
from stability.evaluation.readings import JudgedObservation
from stability.model.age import check_order
from stability.model.condition import Condition
from stability.model.names import all_in_words


def hot_stress(evaluation: Evaluation) -> tuple[Condition, ...]:
    """Return stress conditions in steady heat in which something left its limit."""
    failed = {one.condition for one in findings_of(evaluation, "stress as declared")}
    return tuple(
        one
        for one in evaluation.identity.protocol.conditions.values()
        if one.name in failed and _is_steady_heat(evaluation, one)
    )


def _is_steady_heat(evaluation: Evaluation, one: Condition) -> bool:
    if one.role != "stress" or one.temperature is None or one.steps or one.light:
        return False
    return bool(_accelerated_below(evaluation, one))


def _accelerated_below(evaluation: Evaluation, hot: Condition) -> tuple[Condition, ...]:
    """Return accelerated conditions cooler than a stress condition that were read."""
    return tuple(
        one
        for one in evaluation.identity.protocol.conditions.values()
        if one.role == "accelerated"
        and one.temperature is not None
        and hot.temperature is not None
        and one.temperature < hot.temperature
        and (_bearing(evaluation, one.name) or _failed_in(evaluation, one.name))
    )


def _failed_in(evaluation: Evaluation, condition: str) -> tuple[OutsideFinding, ...]:
    return tuple(
        one
        for group in evaluation.outside
        for one in group.findings
        if one.condition == condition and group.meaning != "control"
    )


def _holds_below(evaluation: Evaluation, hot: Condition) -> bool:
    return not any(
        _failed_in(evaluation, one.name) for one in _accelerated_below(evaluation, hot)
    )


def stress_alone(evaluation: Evaluation) -> bool:
    """Say whether stress heat failed where all accelerated heat below it holds."""
    return any(_holds_below(evaluation, one) for one in hot_stress(evaluation))


def stress_and_accelerated(evaluation: Evaluation) -> bool:
    """Say whether stress heat failed and accelerated heat below it did too."""
    return any(not _holds_below(evaluation, one) for one in hot_stress(evaluation))


def stress_alone_words(evaluation: Evaluation) -> str:
    """Say what a failure at 45 °C means where 40 °C holds, with numbers."""
    return " ".join(
        _alone(evaluation, one)
        for one in hot_stress(evaluation)
        if _holds_below(evaluation, one)
    )


def _alone(evaluation: Evaluation, hot: Condition) -> str:
    failed = _failed_in(evaluation, hot.name)
    below = _accelerated_below(evaluation, hot)
    names = listed([one.name for one in below])
    attributes = list(dict.fromkeys(_attributes(failed)))
    shelf = [
        one
        for one in evaluation.identity.protocol.conditions.values()
        if one.role == "long-term" and _bearing(evaluation, one.name)
    ]
    held = [_held(evaluation, one, attributes) for one in (*below, *shelf)]
    follows = hot.if_outside_limit.rstrip(".")
    by_protocol = f" (the protocol: {follows})" if follows else ""
    return (
        f"{hot.name} ({hot.words()}) left its limits and {names} did not: "
        f"{_between(failed)}.{_packs(evaluation, failed, below)} "
        f"{' '.join(held)} "
        f"{_why(evaluation, hot, below[-1], attributes)} so no rate from {hot.name} "
        "enters the shelf life. It does not shorten the life shown on the shelf "
        f"({evaluation.months_shown_text}). It does ask for storage and transport "
        f"words{by_protocol}. {_had_failed(evaluation, names)}"
    )


def _packs(
    evaluation: Evaluation, failed: Sequence[OutsideFinding], below: Sequence[Condition]
) -> str:
    """Say that what failed stood in other packs than what held; "" where not."""
    names = {one.name for one in below}
    hot = dict.fromkeys(one.pack for one in failed if one.pack)
    cooler = dict.fromkeys(
        one.sample.pack
        for one in evaluation.judged
        if one.condition in names and one.is_read and one.sample.pack
    )
    if not hot or not cooler or hot.keys() & cooler.keys():
        return ""
    return (
        f" It stood in {listed(list(hot))} there, and in {listed(list(cooler))} in the "
        "cooler place: the pack may be a part of it."
    )


def _attributes(findings: Iterable[OutsideFinding]) -> Iterable[str]:
    for one in findings:
        if one.attribute != SAMPLE:
            yield one.attribute


def _between(findings: Sequence[OutsideFinding]) -> str:
    """Say between which checks each finding left its limit."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in findings:
        where = ", ".join(filter(None, (one.pack, f"batch {one.batch}")))
        if one.attribute != SAMPLE:
            alike.setdefault((_span(one), where), []).append(one.attribute)
    told = [
        f"{listed(all_in_words(names))} {span} ({where})"
        for (span, where), names in alike.items()
    ]
    told += [
        f"sample {fate.sample.code} left as {fate.left.reason} ({fate.left.because})"
        for one in findings
        for fate in one.retired
        if fate.left is not None
    ]
    return "; ".join(told)


def _span(one: OutsideFinding) -> str:
    first = named_check(None if one.first == "extra" else one.first)
    if one.last_inside is None:
        return f"by {first}, inside at no check before"
    return f"between {named_check(one.last_inside)} and {first}"


def _held(
    evaluation: Evaluation, condition: Condition, attributes: Sequence[str]
) -> str:
    """Say how far a condition held, of how many readings, and what was read there."""
    here = _bearing(evaluation, condition.name)
    outside = sum(one.is_outside for one in here)
    checks = [one.check for one in here if one.check]
    last = named_check(max(checks, key=check_order, default=None))
    told = (_seen(name, here) for name in attributes)
    numbers = [text for text in told if text is not None]
    beside = f"; {', '.join(numbers)}" if numbers else ""
    kept = "none outside" if not outside else f"{outside} outside"
    return (
        f"{condition.name} ({condition.words()}) to {last}: {kept} of "
        f"{count_text(len(here), 'observation')} that bear the request{beside}."
    )


def _seen(name: str, here: Sequence[JudgedObservation]) -> str | None:
    """Return what one attribute showed in a condition, in numbers or in its words."""
    ones = [one for one in here if one.attribute == name]
    measured = sorted(
        (one for one in ones if one.value is not None), key=lambda one: one.value or 0
    )
    if measured:
        low, high = measured[0].value_text, measured[-1].value_text
        unit = "" if measured[0].unit in {"", "1", "pH"} else f" {measured[0].unit}"
        return f"{name} {low} to {high}{unit} in {count_text(len(ones), 'reading')}"
    words: dict[str, int] = {}
    for one in ones:
        if one.word is not None:
            words[one.word] = words.get(one.word, 0) + 1
    if not words:
        return None
    told = ", ".join(f"“{word}” {number} ×" for word, number in words.items())
    return f"{name} {told}"


def _why(
    evaluation: Evaluation,
    hot: Condition,
    below: Condition,
    attributes: Sequence[str],
) -> str:
    """Say why heat is another process there, as far as the readings tell."""
    span = f"Between {below.temperature} and {hot.temperature} °C"
    limit = evaluation.identity.study.structural_limit
    if limit and hot.temperature and limit.temperature <= hot.temperature:
        return (
            f"From {limit.temperature} °C on the structure gives way, as declared "
            f"({limit.reason}),"
        )
    known = evaluation.identity.protocol.attributes
    if attributes and all(known[name].kind == "measured" for name in attributes):
        return (
            f"{span} the same change runs faster or another one begins, which these "
            "readings cannot tell apart,"
        )
    return (
        f"{span} the structure gives way, which is another process than ageing on a "
        "shelf,"
    )


def _had_failed(evaluation: Evaluation, names: str) -> str:
    between = _intermediate(evaluation)
    if between:
        return f"Had {names} failed too, all beyond real time would hang on {between}."
    life = evaluation.shelf_life
    if life is None or life.supported.months <= life.supported.shown:
        return (
            "Nothing beyond real-time data is offered here; had "
            f"{names} failed too, nothing could be."
        )
    return f"Had {names} failed too, nothing beyond real-time data would be offered."


def _beyond(evaluation: Evaluation) -> str:
    between = _intermediate(evaluation)
    if between:
        return f"all beyond real time hangs on {between}"
    return "nothing beyond real-time data is offered"


def _intermediate(evaluation: Evaluation) -> str:
    """Name the intermediate conditions that were read; "" where none was."""
    return listed(
        [
            one.name
            for one in evaluation.identity.protocol.conditions.values()
            if one.role == "intermediate" and _bearing(evaluation, one.name)
        ]
    )


def _bearing(evaluation: Evaluation, condition: str) -> list[JudgedObservation]:
    """Return what was read of what bears the request, twins and use apart."""
    known = evaluation.identity.protocol.attributes
    return [
        one
        for one in evaluation.judged
        if one.condition == condition
        and one.is_read
        and one.sample.twin_of is None
        and one.sample.use != "in use"
        and known[one.attribute].bears_request
        and one.limit.judges
    ]


def stress_and_accelerated_words(evaluation: Evaluation) -> str:
    """Say what it means that both heats failed."""
    told = []
    for hot in hot_stress(evaluation):
        below = [
            one
            for one in _accelerated_below(evaluation, hot)
            if _failed_in(evaluation, one.name)
        ]
        if below:
            failed = _between(_failed_in(evaluation, hot.name))
            names = listed([one.name for one in below])
            told.append(
                f"{hot.name} left its limits ({failed}) and {names} did too: "
                f"{_beyond(evaluation)}."
            )
    return " ".join(told)


def other_stress(evaluation: Evaluation) -> tuple[OutsideFinding, ...]:
    """Return failures under stress other than heat above an accelerated condition."""
    hot = {one.name for one in hot_stress(evaluation)}
    found = findings_of(evaluation, "stress as declared")
    return tuple(
        one for one in found if one.condition not in hot and not is_of_use(one)
    )


def other_stress_words(evaluation: Evaluation) -> str:
    """Say what a failure under cold, cycles, light or handling means."""
    found = other_stress(evaluation)
    meant = dict.fromkeys(
        f"{one.condition}: {one.meaning_text.rstrip('.')}"
        for one in found
        if one.meaning_text
    )
    by_protocol = f" By the protocol: {'; '.join(meant)}." if meant else ""
    return (
        f"Under stress {named(found)} left the limit. It gives words for storage, "
        f"transport or pack and does not shorten the shelf life by itself.{by_protocol}"
    )
