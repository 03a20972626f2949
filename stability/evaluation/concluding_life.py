"""What a drafted conclusion says of the shelf life asked for, and how sure it is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import AttributeLife, LifeFindings
from stability.evaluation.phrases import count_text, listed
from stability.model.names import all_in_words, in_words
from stability.model.shelf_life import Crossing, ShelfLife
from stability.statistics.shelf_life import FEWEST_CHECKS
from stability.statistics.support import ASSESSMENT

# Said once in the chapter of shelf life.
_BORROWED: Final = "The rule is borrowed from ICH Q1E, which is written for medicines"
_GONE: Final = ("missed", "not recorded", "lost", "not measured")


def outcome_of(evaluation: Evaluation) -> str:
    """Return the outcome of the request; "" where no shelf life is derived."""
    life = evaluation.shelf_life
    return "" if life is None else life.request.outcome


def _life(evaluation: Evaluation) -> LifeFindings:
    """Return the shelf life of an evaluation that has one."""
    life = evaluation.shelf_life
    if life is None:
        message = "this rule needs a shelf life"
        raise ValueError(message)
    return life


def shown_words(evaluation: Evaluation) -> str:
    """Say that real time shows what is asked for."""
    life = _life(evaluation)
    packs = "; ".join(f"{one.pack or 'bulk'} {one.text}" for one in evaluation.shown)
    return (
        f"The {_months(life.asked)} asked for are shown by real-time readings and not "
        f"extrapolated: {packs}."
    )


def extrapolated_words(evaluation: Evaluation) -> str:
    """Say what part of what is asked for is extrapolated, and on what ground."""
    life = _life(evaluation)
    return (
        f"The {_months(life.asked)} asked for are supported by extrapolation within "
        f"the cap and not shown: real time shows {_months(life.supported.shown)}. "
        f"{_ground(life)} Real time has still to confirm the rest."
    )


def provisional_words(evaluation: Evaluation) -> str:
    """Say by whose rule a request is provisional, and what withdraws it."""
    life = _life(evaluation)
    text = _plain(life.request.text)
    return (
        f"{text} Real time shows {_months(life.supported.shown)}. It is for the "
        "assessor to accept or to refuse, and withdraws itself when a confirming "
        "check fails or is missed."
    )


def not_supported_words(evaluation: Evaluation) -> str:
    """Say what is supported instead, and what governs it."""
    life = _life(evaluation)
    kept = life.supported.months
    instead = f"{_months(kept)} {'is' if kept == 1 else 'are'}" if kept else "none is"
    return (
        f"The {_months(life.asked)} asked for are not supported; {instead}. "
        f"{_ground(life)}{_refused(life)}"
    )


def interim_words(evaluation: Evaluation) -> str:
    """Say that an interim look carries no request."""
    life = _life(evaluation)
    return (
        f"{_plain(life.look.text)} It carries no request: judging at every look would "
        f"overstate more often. So far {_months(life.supported.months)} "
        f"{'is' if life.supported.months == 1 else 'are'} supported of the "
        f"{_months(life.asked)} asked for."
    )


def no_real_time_words(evaluation: Evaluation) -> str:
    """Say that without real time there is no shelf life."""
    asked = evaluation.identity.study.request.months
    return (
        "Nothing that bears the request is planned under long-term storage: no shelf "
        f"life is derived, and the {_months(asked)} asked for rest on nothing here."
    )


def packs_differ(evaluation: Evaluation) -> bool:
    """Say whether packs support different lives."""
    life = evaluation.shelf_life
    if life is None:
        return False
    return len({one.supported.months for one in life.packs}) > 1


def packs_words(evaluation: Evaluation) -> str:
    """Say what each pack supports; the shortest governs."""
    packs = ", ".join(
        f"{one.pack or 'bulk'} at {one.condition} {_months(one.supported.months)}"
        for one in _life(evaluation).packs
    )
    return f"Packs differ in what they support: {packs}. The shortest governs."


def _ground(life: LifeFindings) -> str:
    """Return what governs, without its number of months in front."""
    text = _plain(life.supported.text).replace(f". {_BORROWED}", "")
    return f"Of all that bears it, {text.partition(': ')[2] or text}"


def _refused(life: LifeFindings) -> str:
    """Return why a declared provisional life does not carry the request."""
    rule = life.provisional
    if rule is None:
        return ""
    if rule.broken_by:
        return f" The provisional life declared is withdrawn by {rule.broken_by}."
    if rule.months < life.asked:
        return f" The provisional life declared is {_months(rule.months)} only."
    return f" The provisional life declared does not hold ({rule.condition})."


# How sure


def not_precise(evaluation: Evaluation) -> list[str]:
    """Return what is not precise enough, with the scatter that it would take."""
    found = []
    for one, life in _fitted(evaluation):
        found += [
            f"{in_words(one.attribute)}, {one.pack or 'bulk'}, batch {batch.batch}: "
            f"{_scatter(batch.governing)}"
            for batch in life.carrying.batches
            if batch.outcome == "not precise enough"
        ]
    return found


def _scatter(crossing: Crossing) -> str:
    """Return scatter and what it would take, in numbers."""
    if crossing.needed_s is None:
        return f"scatter {crossing.s_used:.3g}"
    checks = (
        "" if crossing.needed_checks is None else f" or {crossing.needed_checks} checks"
    )
    return (
        f"scatter {crossing.s_used:.3g}, it takes less than {crossing.needed_s:.3g}"
        f"{checks}"
    )


def not_precise_words(evaluation: Evaluation) -> str:
    """Say what follows where the readings scatter too much for an estimate."""
    return (
        f"Not precise enough for an estimate: {'; '.join(not_precise(evaluation))}. "
        "That blocks every extrapolation and never lowers the months shown."
    )


def few_checks(evaluation: Evaluation) -> list[str]:
    """Return fitted lines with too few checks to carry an estimate."""
    return [
        f"{in_words(one.attribute)}, {one.pack or 'bulk'}, batch {batch.batch} "
        f"({batch.line.n})"
        for one, life in _fitted(evaluation)
        for batch in life.batch_by_batch.batches
        if batch.line.n < FEWEST_CHECKS
    ]


def few_checks_words(evaluation: Evaluation) -> str:
    """Say which lines are too short, and that they carry the months shown only."""
    return (
        f"Fewer than {FEWEST_CHECKS} checks carry no estimate: "
        f"{'; '.join(few_checks(evaluation))}. There the months shown are all there is."
    )


def scores(evaluation: Evaluation) -> list[str]:
    """Return the scores and statements that bear the request."""
    life = evaluation.shelf_life
    if life is None:
        return []
    names = [one.attribute for one in life.attributes if one.kind == "worded"]
    return list(dict.fromkeys(names))


def scores_words(evaluation: Evaluation) -> str:
    """Say that words are never drawn as a line, and what none failed still allows."""
    names = scores(evaluation)
    here = [
        one
        for one in evaluation.worded
        if one.role == "long-term" and one.key.attribute in names
    ]
    failed = sum(one.failed for one in here)
    widest = max((one.may_fail for one in here if one.may_fail is not None), default=0)
    fewest = min((one.read for one in here if one.may_fail == widest), default=0)
    allows = (
        f" In the series with the fewest ({count_text(fewest, 'container')}) none "
        f"failed, which still allows that up to {100 * widest:.0f} % would (exact "
        "one-sided 95 % bound)."
        if widest
        else ""
    )
    kept = "" if failed else " None of them left its limit in real time."
    return (
        "Scores and statements bear the request too "
        f"({listed(all_in_words(names))}). No line is drawn through words; they govern "
        "as numbers do, up to the last check passed "
        f"before a first failure.{kept}{allows}"
    )


def one_batch_words(_evaluation: Evaluation) -> str:
    """Say what one batch cannot show."""
    return (
        "One batch cannot show how batches differ: what is said here holds for it. "
        "Were the next one drawn alike, it would be worse with a chance of one half."
    )


def not_as_sold(evaluation: Evaluation) -> bool:
    """Say whether formula or pack is not as it will be sold."""
    sold = evaluation.identity.study.as_sold
    return not (sold.formula and sold.pack)


def as_sold_words(evaluation: Evaluation) -> str:
    """Say in what the tested product is not the one to be sold."""
    sold = evaluation.identity.study.as_sold
    differs = [
        name
        for name, same in (("formula", sold.formula), ("pack", sold.pack))
        if not same
    ]
    return (
        f"Not tested as it will be sold: {listed(differs)}. What is said here holds "
        f"for what was tested. Scale: {sold.scale}."
    )


def gone_checks(evaluation: Evaluation) -> int:
    """Return how many long-term checks of samples were not made."""
    conditions = evaluation.identity.protocol.conditions
    shelf = {name for name, one in conditions.items() if one.role == "long-term"}
    return sum(
        one.state in _GONE
        for one in evaluation.checks
        if one.sample.twin_of is None and one.sample.condition in shelf
    )


def gone_words(evaluation: Evaluation) -> str:
    """Say what missing checks mean."""
    found = gone_checks(evaluation)
    lead = count_text(found, "sample check")
    return (
        f"{lead} in long-term storage {'was' if found == 1 else 'were'} missed, lost "
        "or not recorded: what was not read counts as passed nowhere and cannot be "
        "read again."
    )


def _fitted(evaluation: Evaluation) -> Iterator[tuple[AttributeLife, ShelfLife]]:
    life = evaluation.shelf_life
    for one in () if life is None else life.attributes:
        if isinstance(one.life, ShelfLife):
            yield one, one.life


def _plain(text: str) -> str:
    """Return a sentence without the note that every page bears."""
    return text.removesuffix(ASSESSMENT).strip()


def _months(number: int) -> str:
    return count_text(number, "month")
