"""What a drafted conclusion says of storage words, beside what was tested."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from stability.evaluation.findings import Evaluation, SummaryCell
from stability.evaluation.phrases import listed
from stability.model.ageing import temperature_span
from stability.model.condition import Condition
from stability.model.names import in_words

# An upper bound in words: "below 25 °C", "not above 30 °C", "15 to 25 °C", "15–25 °C".
_HIGHEST: Final = re.compile(
    r"(?:below|under|above|exceeding|than|most|up to|to|max\.?|maximum|[-–])\s*"
    r"(\d+(?:[.,]\d+)?)\s*°\s*C"
)
# The same words, where they name the lower bound.
_LOWEST: Final = re.compile(r"(?<!not )(?<!never )above\s*\d+(?:[.,]\d+)?\s*°\s*C")
_LIGHT: Final = re.compile(r"\b(?:sun|sunlight|light|dark)\b", re.IGNORECASE)
_FROST: Final = re.compile(r"\b(?:frost|freez\w*|frozen)\b", re.IGNORECASE)


def asked_highest(evaluation: Evaluation) -> Decimal | None:
    """Return the highest temperature that the storage words allow [°C].

    None where they name none.
    """
    words = evaluation.identity.study.request.storage
    found = _HIGHEST.findall(_LOWEST.sub("", words))
    return max((Decimal(one.replace(",", ".")) for one in found), default=None)


def tested_highest(evaluation: Evaluation) -> Decimal | None:
    """Return the highest temperature that long-term storage may have [°C].

    The lowest of several long-term conditions; None where none has a temperature.
    """
    spans = [temperature_span(one) for one in _long_term(evaluation)]
    return min((span[1] for span in spans if span), default=None)


def within_tested(evaluation: Evaluation) -> bool:
    """Say whether the storage words stay within long-term storage."""
    asked, tested = asked_highest(evaluation), tested_highest(evaluation)
    return asked is not None and tested is not None and asked <= tested


def beyond_tested(evaluation: Evaluation) -> bool:
    """Say whether the storage words allow more heat than was tested."""
    asked, tested = asked_highest(evaluation), tested_highest(evaluation)
    return asked is not None and (tested is None or asked > tested)


def within_words(evaluation: Evaluation) -> str:
    """Say that the storage words lie within what was tested."""
    return (
        f"The storage words asked for (“{_words(evaluation)}”) lie within long-term "
        f"storage as planned: {_places(evaluation)}."
    )


def beyond_words(evaluation: Evaluation) -> str:
    """Say that the storage words allow more than was tested."""
    tested = tested_highest(evaluation)
    most = "tells no temperature" if tested is None else f"reaches {tested} °C"
    return (
        f"The storage words asked for (“{_words(evaluation)}”) allow more heat than "
        f"long-term storage, which {most}: {_places(evaluation)}. Beyond it real time "
        "shows nothing."
    )


def without_temperature(evaluation: Evaluation) -> bool:
    """Say whether the storage words name no highest temperature, or there are none."""
    return asked_highest(evaluation) is None and bool(_long_term(evaluation))


def without_temperature_words(evaluation: Evaluation) -> str:
    """Say what real time stands for where the words name no temperature."""
    words = _words(evaluation)
    asked = (
        f"The storage words asked for (“{words}”) name no highest temperature"
        if words
        else "No storage words are asked for"
    )
    return (
        f"{asked}: what is shown in real time holds for {_places(evaluation)} and for "
        "no warmer place."
    )


def untested(evaluation: Evaluation) -> list[str]:
    """Return what the storage words name and no condition here tests."""
    words = _words(evaluation)
    used = _used(evaluation)
    found = []
    if _LIGHT.search(words) and not any(one.light for one in used):
        found.append("light")
    if _FROST.search(words) and not any(_is_frost(one) for one in used):
        found.append("frost")
    return found


def untested_words(evaluation: Evaluation) -> str:
    """Say that some storage words rest on no reading."""
    return (
        f"The storage words name {listed(untested(evaluation))}, which no condition "
        "here tests: they are prudence and rest on no reading."
    )


def called_for(evaluation: Evaluation) -> list[str]:
    """Return the stress conditions in which something left its limit."""
    return [
        one.name
        for one in _stress(evaluation)
        if any(cell.state == "outside" for cell in _cells(evaluation, one.name))
    ]


def called_for_words(evaluation: Evaluation) -> str:
    """Say which stress asks for words, beside those asked for."""
    words = _words(evaluation)
    asked = f"asked for are “{words}”" if words else "none are asked for"
    meant = [
        f"{one.name} ({one.words()})"
        for one in _stress(evaluation)
        if one.name in called_for(evaluation)
    ]
    return (
        f"Under stress something left its limit in {listed(meant)}, which asks for "
        f"words on storage, transport or pack; {asked}. Whether that covers it is for "
        "maker and assessor to settle."
    )


def stress_held(evaluation: Evaluation) -> list[Condition]:
    """Return stress conditions that were read and in which nothing left its limit."""
    failed = called_for(evaluation)
    return [
        one
        for one in _stress(evaluation)
        if one.name not in failed
        and any(cell.read for cell in _cells(evaluation, one.name))
    ]


def stress_held_words(evaluation: Evaluation) -> str:
    """Say which stress was withstood, and what moved inside its limit there."""
    told = []
    for one in stress_held(evaluation):
        moved = [
            in_words(cell.attribute)
            for cell in _cells(evaluation, one.name)
            if cell.state == "changed, inside"
        ]
        beside = f"; {listed(moved)} changed, inside" if moved else ""
        told.append(f"{one.name} ({one.words()}{beside})")
    return (
        f"Nothing left its limit in {listed(told)}: no further words for storage, "
        "transport or pack follow from it."
    )


def _words(evaluation: Evaluation) -> str:
    return evaluation.identity.study.request.storage.strip()


def _used(evaluation: Evaluation) -> list[Condition]:
    """Return the conditions in which this study has samples."""
    names = {one.sample.condition for one in evaluation.samples}
    return [
        one
        for name, one in evaluation.identity.protocol.conditions.items()
        if name in names
    ]


def _long_term(evaluation: Evaluation) -> list[Condition]:
    return [one for one in _used(evaluation) if one.role == "long-term"]


def _stress(evaluation: Evaluation) -> list[Condition]:
    used = _used(evaluation)
    return [
        one for one in used if one.role == "stress" and one.age_from != "first opening"
    ]


def _places(evaluation: Evaluation) -> str:
    told = [f"{one.name} ({one.words()})" for one in _long_term(evaluation)]
    return listed(told) or "no long-term condition"


def _cells(evaluation: Evaluation, condition: str) -> list[SummaryCell]:
    return [one for one in evaluation.summary if one.condition == condition]


def _is_frost(one: Condition) -> bool:
    steps = any(step.at < 0 for step in one.steps)
    return steps or (one.temperature is not None and one.temperature < 0)
