"""Cautions that apply to a product and its conditions: their one home.

Every output prints the note; reports print the cautions that apply.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from stability.evaluation.light import light_met
from stability.evaluation.phrases import count_text
from stability.model.condition import Condition
from stability.model.estimate import Caution
from stability.model.names import in_words
from stability.model.study import Study
from stability.model.study_record import StudyRecord

#: Printed with every report and every shelf life.
NOTE = (
    "This evaluation supports and does not replace assessment by a qualified safety "
    "assessor. Limits here are study limits, not the product's release specification. "
    "Follow the rules of the place of sale."
)
#: Always shown.
_ALWAYS = (
    Caution(
        "not-on-skin",
        "No aged, failed or opened test sample goes onto skin, and nobody uses the "
        "product before its safety assessment.",
    ),
    Caution(
        "real-time-carries",
        "A failure in a hot condition is no proof of a failure on the shelf, and a "
        "pass is no proof of a pass: emulsions break in ways that heat does not simply "
        "speed up. Real-time readings carry the request; accelerated ones screen and "
        "warn.",
    ),
    Caution(
        "physical-only",
        "Physical stability says nothing about microbiological safety.",
    ),
)
_WATER = (
    Caution(
        "preservation",
        "The product contains water: it needs a preservation efficacy test by a "
        "laboratory, on the final formula in its pack.",
    ),
    Caution(
        "keep-closed",
        "A mouldy, gassing or swollen sample stays closed: photograph it through the "
        "glass, log it, discard it closed. Do not smell it.",
    ),
)
_NO_WATER = Caution(
    "no-water",
    "The product is declared to contain no water; why no preservation efficacy test is "
    "needed, or what replaces it, is for the assessor to decide.",
)
_FREEZER = Caution(
    "glass-in-freezer",
    "Glass in a freezer can burst: leave a third of it empty, stand it in a tray, and "
    "wear gloves at the thaw.",
)
_HEAT = Caution(
    "closed-in-heat",
    "Closed packs in heat can leak or burst: stand them in a tray. Alcohol or volatile "
    "silicones never go into an unvented oven.",
)
_KITCHEN = Caution(
    "no-kitchen",
    "Samples do not belong in a kitchen oven or in a refrigerator that holds food.",
)
_CENTRIFUGE = Caution(
    "centrifuge",
    "Centrifuge: balance the tubes, use no glass bottles, wait for the stop. A number "
    "of revolutions means nothing without the radius of the rotor.",
)
_ACID = Caution(
    "acid-and-alkali",
    "Acid and alkali for adjusting pH are irritant or caustic: gloves, eye protection, "
    "small steps, and each addition logged by weight.",
)
_LIGHT = Caution(
    "light-dose",
    "The dose of light was not measured: what is seen here holds for this place and "
    "these weeks, and stands for no standard test of light.",
)
_REOPENED = Caution(
    "reopened",
    "Some containers were opened again at each check: they describe that opened "
    "container and not the unopened product.",
)
_ONE_BATCH = Caution(
    "one-batch",
    "One batch cannot show how batches differ.",
)


def cautions_of(record: StudyRecord) -> tuple[Caution, ...]:
    """Return the cautions that apply, the weightiest first."""
    study = record.study
    water = _WATER if study.contains_water else (_NO_WATER,)
    return (
        *_ALWAYS,
        *water,
        *_of_product(study),
        *_of_conditions(record),
        *_of_attributes(record),
        *(Caution("protocol", text) for text in record.protocol.cautions),
    )


def _of_product(study: Study) -> Iterator[Caution]:
    differs = [
        name
        for name, same in (
            ("formula", study.as_sold.formula),
            ("pack", study.as_sold.pack),
        )
        if not same
    ]
    if differs:
        yield Caution(
            "not-as-sold",
            f"Not tested as it will be sold: {' and '.join(differs)}. What is shown "
            "here holds for what was tested.",
        )
    if len(study.batches) == 1:
        yield _ONE_BATCH


def _of_conditions(record: StudyRecord) -> Iterator[Caution]:
    used = {sample.condition for sample in record.samples.values()}
    conditions = [
        one for name, one in record.protocol.conditions.items() if name in used
    ]
    lowest, highest = _extremes(conditions)
    if lowest is not None and lowest < 0:
        yield _FREEZER
    if highest is not None and highest >= 37:
        yield _HEAT
    if (highest is not None and highest >= 37) or (lowest is not None and lowest <= 8):
        yield _KITCHEN
    if _without_dose(conditions, record):
        yield _LIGHT
    yield from (Caution("light-dose-measured", one.text) for one in light_met(record))
    opened = [one.name for one in conditions if one.age_from == "first opening"]
    if opened:
        names = " and ".join(opened)
        yield Caution(
            "first-opening",
            f"Age in {names} counts from the first opening, which is when a sample was "
            "placed there: 6M are six months of use, whatever the age of the pack.",
        )
    if any(sample.use == "reopened" for sample in record.samples.values()):
        yield _REOPENED


def _without_dose(conditions: Iterable[Condition], record: StudyRecord) -> bool:
    """Say whether samples stood in light whose dose nobody measured."""
    twins = record.protocol.twins_of_light().values()
    lit = {one.name for one in conditions if one.light and one.name not in twins}
    attributes = record.protocol.attributes
    doses = {name for name, one in attributes.items() if one.unit == "lx·h"}
    measured = {
        record.samples[seen.sample].condition
        for seen in record.observations
        if seen.attribute in doses and seen.stands and seen.readings
    }
    return bool(lit - measured)


def _extremes(
    conditions: Iterable[Condition],
) -> tuple[Decimal | None, Decimal | None]:
    """Return the lowest and the highest temperature meant [°C]."""
    meant: list[Decimal] = []
    for one in conditions:
        if one.temperature is not None:
            meant.append(one.temperature)
        if one.between is not None:
            meant.extend(one.between)
        meant.extend(step.at for step in one.steps)
    return min(meant, default=None), max(meant, default=None)


def _of_attributes(record: StudyRecord) -> Iterator[Caution]:
    attributes = [
        one
        for name, one in record.protocol.attributes.items()
        if name not in record.study.omit
    ]
    if any(one.on == "tube" for one in attributes):
        yield _CENTRIFUGE
    if any(one.unit == "pH" for one in attributes):
        yield _ACID
    custom = [
        in_words(one.name)
        for one in attributes
        if one.limit.judges and one.limit.reason_kind == "custom"
    ]
    if custom:
        yield Caution(
            "custom-limits",
            f"{count_text(len(custom), 'limit rests', 'limits rest')} on trade custom "
            f"without a better ground: {', '.join(custom)}.",
        )
