"""The conclusion, drafted for the assessor by rules that stand here, one by one.

Every rule says when it applies and what it then writes; what applies is printed in
the order of this table, failures first. No rule weighs one against another, and none
gives a verdict: that is the assessor's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from stability.evaluation import concluding_heat as heat
from stability.evaluation import concluding_life as life
from stability.evaluation import concluding_outside as outside
from stability.evaluation import concluding_record as record
from stability.evaluation import concluding_storage as storage
from stability.evaluation import opened
from stability.evaluation.findings import Evaluation

#: Chapters of a conclusion, in the order of printing.
Topic = Literal[
    "Outside limits",
    "The shelf life asked for",
    "How sure this is",
    "The plan",
    "Storage and transport",
    "Microbes and opening",
    "What comes next",
]
#: Printed with every drafted conclusion.
DRAFT: Final = "Draft for the assessor."
#: What that means.
DRAFT_MEANS: Final = (
    "Put together from the evaluation by fixed rules, it repeats what was read and "
    "adds no verdict. The assessor's own conclusion stands in its place at the end."
)
_Words = Callable[[Evaluation], str]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of the conclusion."""

    #: Short fixed name.
    code: str
    #: The chapter to which it writes.
    topic: Topic
    #: When it applies, in words.
    when: str
    #: When it applies.
    applies: Callable[[Evaluation], object]
    #: What it writes; asked only where it applies.
    wording: _Words


@dataclass(frozen=True, slots=True)
class Drafted:
    """What one rule wrote."""

    #: The rule.
    code: str
    #: The chapter.
    topic: Topic
    #: The passage.
    text: str


def _outcome(name: str) -> Callable[[Evaluation], bool]:
    return lambda one: life.outcome_of(one) == name


#: Every rule, in the order of printing.
RULES: Final = (
    Rule(
        "nothing-read",
        "Outside limits",
        "nothing was read and judged",
        lambda one: not outside.is_read(one),
        lambda _: "Nothing has been read yet, so that nothing can be concluded.",
    ),
    Rule(
        "nothing-outside",
        "Outside limits",
        "something was read, and nothing lies outside its limit",
        outside.nothing_outside,
        outside.nothing_outside_words,
    ),
    Rule(
        "long-term-outside",
        "Outside limits",
        "what bears the request left its limit under long-term storage",
        lambda one: outside.is_outside(one, "bearing the request"),
        outside.long_term_words,
    ),
    Rule(
        "initial-outside",
        "Outside limits",
        "an initial value lies outside its limit",
        lambda one: outside.is_outside(one, "T0"),
        outside.initial_words,
    ),
    Rule(
        "not-bearing-outside",
        "Outside limits",
        "what does not bear the request left its limit under long-term storage",
        lambda one: outside.is_outside(one, "long-term, not bearing the request"),
        outside.not_bearing_words,
    ),
    Rule(
        "certificate-outside",
        "Outside limits",
        "a certificate of this version and pack lies outside",
        lambda one: one.certificates.against,
        outside.certificate_words,
    ),
    Rule(
        "accelerated-outside",
        "Outside limits",
        "something left its limit in intermediate or accelerated heat",
        lambda one: outside.is_outside(one, "intermediate and accelerated"),
        outside.accelerated_words,
    ),
    Rule(
        "stress-and-accelerated-outside",
        "Outside limits",
        "stress heat failed, and accelerated heat below it did too",
        heat.stress_and_accelerated,
        heat.stress_and_accelerated_words,
    ),
    Rule(
        "stress-alone-outside",
        "Outside limits",
        "stress heat failed where accelerated heat below it holds",
        heat.stress_alone,
        heat.stress_alone_words,
    ),
    Rule(
        "other-stress-outside",
        "Outside limits",
        "something left its limit under any other stress",
        heat.other_stress,
        heat.other_stress_words,
    ),
    Rule(
        "in-use-outside",
        "Outside limits",
        "something left its limit in a container that was in use",
        opened.stress_in_use,
        opened.in_use_words,
    ),
    Rule(
        "control-outside",
        "Outside limits",
        "something left its limit in a control",
        lambda one: outside.is_outside(one, "control"),
        outside.control_words,
    ),
    Rule(
        "follow-up-open",
        "Outside limits",
        "a follow-up of a standing reading is not answered",
        record.open_follow_ups,
        record.open_follow_ups_words,
    ),
    Rule(
        "fault-not-set-aside",
        "Outside limits",
        "a follow-up found a fault, and the reading still stands",
        record.faults_kept,
        record.faults_kept_words,
    ),
    Rule(
        "shown",
        "The shelf life asked for",
        "the request is shown by real-time data",
        _outcome("shown by real-time data"),
        life.shown_words,
    ),
    Rule(
        "extrapolated",
        "The shelf life asked for",
        "the request is supported by extrapolation within the cap",
        _outcome("supported by extrapolation within the cap"),
        life.extrapolated_words,
    ),
    Rule(
        "provisional",
        "The shelf life asked for",
        "the request is provisional on accelerated data",
        _outcome("provisional on accelerated data"),
        life.provisional_words,
    ),
    Rule(
        "not-supported",
        "The shelf life asked for",
        "the request is not supported",
        _outcome("not supported"),
        life.not_supported_words,
    ),
    Rule(
        "interim",
        "The shelf life asked for",
        "the evaluation stands at no check that may judge the request",
        _outcome("interim"),
        life.interim_words,
    ),
    Rule(
        "no-real-time",
        "The shelf life asked for",
        "nothing that bears the request is planned in real time",
        lambda one: one.shelf_life is None,
        life.no_real_time_words,
    ),
    Rule(
        "packs-differ",
        "The shelf life asked for",
        "packs support different lives",
        life.packs_differ,
        life.packs_words,
    ),
    Rule(
        "not-precise-enough",
        "How sure this is",
        "the bound of a mean lies outside where its line starts inside",
        life.not_precise,
        life.not_precise_words,
    ),
    Rule(
        "few-checks",
        "How sure this is",
        "a fitted line has fewer checks than an estimate takes",
        life.few_checks,
        life.few_checks_words,
    ),
    Rule(
        "scores",
        "How sure this is",
        "scores or statements bear the request",
        life.scores,
        life.scores_words,
    ),
    Rule(
        "one-batch",
        "How sure this is",
        "the study has one batch",
        lambda one: one.identity.batches == 1,
        life.one_batch_words,
    ),
    Rule(
        "not-as-sold",
        "How sure this is",
        "formula or pack is not as it will be sold",
        life.not_as_sold,
        life.as_sold_words,
    ),
    Rule(
        "checks-gone",
        "How sure this is",
        "long-term checks were missed, lost or not recorded",
        life.gone_checks,
        life.gone_words,
    ),
    Rule(
        "limits-late",
        "The plan",
        "limits were recorded after the day of the first reading",
        lambda one: one.identity.limits_late,
        record.limits_late_words,
    ),
    Rule(
        "amended",
        "The plan",
        "the plan was amended after something was read",
        record.amended_after_reading,
        record.amended_words,
    ),
    Rule(
        "taken-over",
        "The plan",
        "the study was taken over from older notes",
        lambda one: one.record.of("taken over"),
        record.taken_over_words,
    ),
    Rule(
        "stopped",
        "The plan",
        "the study or a part of it was stopped",
        lambda one: one.record.of("stopped"),
        record.stopped_words,
    ),
    Rule(
        "storage-within",
        "Storage and transport",
        "the storage words stay within long-term storage",
        storage.within_tested,
        storage.within_words,
    ),
    Rule(
        "storage-beyond",
        "Storage and transport",
        "the storage words allow more heat than long-term storage",
        storage.beyond_tested,
        storage.beyond_words,
    ),
    Rule(
        "storage-no-temperature",
        "Storage and transport",
        "no storage words are asked for, or they name no highest temperature",
        storage.without_temperature,
        storage.without_temperature_words,
    ),
    Rule(
        "storage-untested",
        "Storage and transport",
        "the storage words name light or frost, which no condition tests",
        storage.untested,
        storage.untested_words,
    ),
    Rule(
        "storage-called-for",
        "Storage and transport",
        "something left its limit under stress",
        storage.called_for,
        storage.called_for_words,
    ),
    Rule(
        "stress-held",
        "Storage and transport",
        "a stress condition was read, and nothing left its limit there",
        storage.stress_held,
        storage.stress_held_words,
    ),
    Rule(
        "no-challenge",
        "Microbes and opening",
        "a product with water has no preservation efficacy test on record",
        record.lacks_challenge,
        record.lacks_challenge_words,
    ),
    Rule(
        "no-water",
        "Microbes and opening",
        "a product without water has no preservation efficacy test on record",
        record.waterless,
        record.waterless_words,
    ),
    Rule(
        "challenge",
        "Microbes and opening",
        "a preservation efficacy test of this study is on record",
        record.challenged,
        record.challenged_words,
    ),
    Rule(
        "certificate-to-decide",
        "Microbes and opening",
        "a certificate of this study needs a justification or is undecided",
        record.to_decide,
        record.to_decide_words,
    ),
    Rule(
        "certificate-awaited",
        "Microbes and opening",
        "a certificate that the protocol asks for was not received",
        record.awaited,
        record.awaited_words,
    ),
    Rule(
        "after-opening",
        "Microbes and opening",
        "a period after opening is asked for",
        lambda one: one.identity.study.request.after_opening is not None,
        record.after_opening_words,
    ),
    Rule(
        "next-checks",
        "What comes next",
        "a check is due or coming",
        lambda one: one.coming,
        record.next_words,
    ),
    Rule(
        "complete",
        "What comes next",
        "no check is waiting",
        lambda one: not one.coming,
        record.complete_words,
    ),
)


def conclusion_of(evaluation: Evaluation) -> tuple[Drafted, ...]:
    """Return the drafted conclusion: what every rule that applies writes, in order."""
    return tuple(
        Drafted(rule.code, rule.topic, rule.wording(evaluation))
        for rule in RULES
        if rule.applies(evaluation)
    )
