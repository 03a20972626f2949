"""What lies outside its limit, grouped by what it means for the request."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stability.evaluation.failures import Failure
from stability.evaluation.findings import Meaning, OutsideFinding, OutsideGroup
from stability.evaluation.index import Index, role_of
from stability.evaluation.phrases import count_text, named_check
from stability.evaluation.readings import JudgedObservation
from stability.model.age import T0, check_order
from stability.model.names import all_in_words, in_words

#: The order in which groups are read: what bears the request first.
MEANINGS: tuple[Meaning, ...] = (
    "bearing the request",
    "T0",
    "long-term, not bearing the request",
    "intermediate and accelerated",
    "stress as declared",
    "control",
)
#: (attribute, condition, pack, batch, cycled condition of an untreated twin).
Group = tuple[str, str, str, str, str]


def outside_of(
    index: Index, judged: Iterable[JudgedObservation], failures: Sequence[Failure]
) -> tuple[OutsideGroup, ...]:
    """Return every standing observation outside its limit, grouped by meaning.

    Samples that left as failed stand among them.
    """
    grouped: dict[Group, list[JudgedObservation]] = {}
    for one in judged:
        if one.is_read:
            grouped.setdefault(_group(one), []).append(one)
    found: dict[Meaning, list[OutsideFinding]] = {}
    for group, ones in grouped.items():
        if any(one.is_outside for one in ones):
            meaning = _meaning(index, ones[0])
            found.setdefault(meaning, []).append(_finding(index, group, ones))
    for failure in failures:
        meaning = _meaning_of_failure(index, failure)
        found.setdefault(meaning, []).append(_failed_sample(index, failure))
    return tuple(
        OutsideGroup(
            meaning,
            tuple(sorted(found[meaning], key=lambda one: _order(index, one))),
        )
        for meaning in MEANINGS
        if meaning in found
    )


def _group(one: JudgedObservation) -> Group:
    sample = one.sample
    return (
        one.attribute,
        one.condition or T0,
        sample.pack or "",
        sample.batch,
        sample.twin_of or "",
    )


def _meaning(index: Index, one: JudgedObservation) -> Meaning:
    if one.condition is None:
        return "T0"
    bears = index.attribute(one.attribute).bears_request
    return _by_role(one.role, bears=bears)


def _meaning_of_failure(index: Index, failure: Failure) -> Meaning:
    return _by_role(role_of(index.record, failure.sample), bears=True)


def _by_role(role: str | None, *, bears: bool) -> Meaning:
    if role == "long-term":
        return "bearing the request" if bears else "long-term, not bearing the request"
    if role in {"intermediate", "accelerated"}:
        return "intermediate and accelerated"
    return "stress as declared" if role == "stress" else "control"


def _finding(
    index: Index, group: Group, ones: Sequence[JudgedObservation]
) -> OutsideFinding:
    attribute, condition, pack, batch, twin_of = group
    ordered = sorted(ones, key=lambda one: (one.age_days or 0.0, one.position))
    outside = tuple(one for one in ordered if one.is_outside)
    first = outside[0]
    before = [
        one.check
        for one in ordered
        if one.passes and (one.age_days or 0.0) < (first.age_days or 0.0)
    ]
    last_inside = next((check for check in reversed(before) if check), None)
    where = [condition if condition != T0 else "", pack, f"batch {batch}"]
    if twin_of:
        where.append(f"untreated twin of {twin_of}")
    text = (
        f"{in_words(attribute)}, {', '.join(part for part in where if part)}: "
        f"{first.with_unit} at {named_check(first.check)}, limit {first.limit_text}; "
        f"{_since(last_inside)}; {len(outside)} of "
        f"{count_text(len(ones), 'observation')} outside"
    )
    return OutsideFinding(
        attribute=attribute,
        condition=condition,
        pack=pack,
        batch=batch,
        first=first.check or "extra",
        last_inside=last_inside,
        observations=outside,
        retired=(),
        read=len(ones),
        meaning_text=_meaning_text(index, condition),
        text=text,
    )


def _since(last_inside: str | None) -> str:
    if last_inside is None:
        return "not inside at any check before"
    return f"last inside at {named_check(last_inside)}"


def _meaning_text(index: Index, condition: str) -> str:
    rule = index.protocol.conditions.get(condition)
    return rule.if_outside_limit if rule is not None else ""


def _failed_sample(index: Index, failure: Failure) -> OutsideFinding:
    sample, left = failure.sample, failure.left
    condition = sample.condition or T0
    check = failure.check or "extra"
    lost = (
        f"; counts as failed at {named_check(failure.check)} for "
        f"{', '.join(all_in_words(failure.attributes))}"
        if failure.attributes
        else ""
    )
    where = ", ".join(
        part for part in (condition, sample.pack or "", f"batch {sample.batch}") if part
    )
    text = (
        f"sample {sample.code}, {where}: {left.reason} at {failure.age_days:.0f} d "
        f"({left.because}){lost}"
    )
    return OutsideFinding(
        attribute="sample",
        condition=condition,
        pack=sample.pack or "",
        batch=sample.batch,
        first=check,
        last_inside=None,
        observations=(),
        retired=(failure.fate,),
        read=1,
        meaning_text=_meaning_text(index, condition),
        text=text,
    )


def _order(index: Index, finding: OutsideFinding) -> tuple[object, ...]:
    conditions = list(index.protocol.conditions)
    place = (
        conditions.index(finding.condition)
        if finding.condition in index.protocol.conditions
        else -1
    )
    age = (9, 0.0) if finding.first == "extra" else check_order(finding.first)
    return place, age, finding.attribute, finding.batch, finding.pack
