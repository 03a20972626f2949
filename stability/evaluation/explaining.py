"""What may explain a drift: drying, an odour, an excursion of the storage place."""

from __future__ import annotations

from dataclasses import replace

from stability.evaluation.contrast_findings import Beside, Side
from stability.evaluation.contrast_pairs import StudySeries
from stability.evaluation.phrases import listed, number_text
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import SeriesKey
from stability.evaluation.storage_remarks import EXCURSION
from stability.model.age import check_text
from stability.model.attribute import Attribute
from stability.model.names import in_words
from stability.model.protocol import Protocol

#: Units and names by which a measured attribute is known to tell thickness.
_VISCOSITY_UNITS = {"mPa·s", "Pa·s"}
_THICKNESS_NAMES = {"spread", "flow_time", "viscosity", "penetration"}
#: Digits of a loss, which is a remark here [-].
_LOSS_PLACES = 2


def explaining(protocol: Protocol, attribute: Attribute) -> tuple[str, ...]:
    """Return the attributes that may explain a drift of another.

    A product that dries thickens, and an odour goes with a pH that falls.

    Parameters
    ----------
    protocol
        Of the study.
    attribute
        Whose drift is looked at.
    """
    found = []
    for one in protocol.attributes.values():
        dries = one.from_weights and _tells_thickness(attribute)
        smells = one.name == "odour" and attribute.unit == "pH"
        if dries or smells:
            found.append(one.name)
    return tuple(found)


def _tells_thickness(attribute: Attribute) -> bool:
    return attribute.kind == "measured" and (
        attribute.one_of == "thickness"
        or attribute.unit in _VISCOSITY_UNITS
        or attribute.name in _THICKNESS_NAMES
    )


def explained_by(
    first: StudySeries, second: StudySeries, sides: Beside
) -> tuple[str, ...]:
    """Return what may explain a difference, both sides beside each other.

    Excursions stand there where samples of either side met one before they were read:
    two sides that stood in one place met the same, and that is seen as well.

    Parameters
    ----------
    first, second
        The studies of the two sides; the same study where they are of one.
    sides
        The two sides.
    """
    attribute = first.protocol.attributes[sides.attribute]
    found = []
    for name in explaining(first.protocol, attribute):
        ours = _said(first, name, sides.first)
        theirs = _said(second, name, sides.second)
        # What is the same on both sides explains no difference.
        if ours != theirs:
            found.append(
                f"{in_words(name)}: {ours or 'not read'} beside {theirs or 'not read'}"
            )
    ours, theirs = _met(first, sides.first, sides), _met(second, sides.second, sides)
    if ours or theirs:
        none = "none on record"
        found.append(f"excursions: {ours or none} beside {theirs or none}")
    return tuple(found)


def _met(series: StudySeries, side: Side, sides: Beside) -> str:
    """Return the excursions that samples of a side met before they were last read."""
    found = []
    for batch in side.batches:
        last = _last_with_excursion(series, replace(side, batches=(batch,)), sides)
        if last is None:
            continue
        text = next(one.text for one in last.remarks if one.code == EXCURSION)
        met = text.removeprefix(f"{EXCURSION}: ")
        check = f" (read at {check_text(last.check)})" if last.check else ""
        name = f"{batch} " if len(side.batches) > 1 else ""
        found.append(f"{name}{met}{check}")
    return listed(found)


def _last_with_excursion(
    series: StudySeries, side: Side, sides: Beside
) -> JudgedObservation | None:
    """Return what was read last of all that met an excursion before."""
    positions = [
        position
        for one in series.measured
        if one.key.attribute == sides.attribute and _stood(one.key, side)
        for point in one.points
        for position in point.positions
    ]
    met = [
        series.judged[position]
        for position in positions
        if any(one.code == EXCURSION for one in series.judged[position].remarks)
    ]
    return max(
        met, key=lambda one: (one.observation.done.day, one.position), default=None
    )


def _stood(key: SeriesKey, side: Side) -> bool:
    """Say whether a series is of a side: its own containers, or fresh ones."""
    own = key.sample in side.samples if side.samples else not key.sample
    return (
        own
        and (key.condition, key.pack) == (side.condition, side.pack)
        and key.batch in side.batches
    )


def _said(series: StudySeries, name: str, side: Side) -> str:
    """Return the last loss, or the worst word, of a side; "" where nothing was read."""
    found = [*_losses(series, name, side), *_words(series, name, side)]
    if len(side.batches) == 1:
        return listed([text for _, text in found])
    return listed([f"{batch} {text}" for batch, text in found])


def _losses(series: StudySeries, name: str, side: Side) -> list[tuple[str, str]]:
    """Return the last loss of each batch, of the own containers if weighed."""
    weighed = [
        one
        for one in series.measured
        if one.key.attribute == name and _of_side(one.key, side)
    ]
    containers = side.samples or ("",)
    own = [one for one in weighed if one.key.sample in containers]
    found = []
    for one in own or weighed:
        known = [point for point in one.points if point.positions and point.check]
        if known and known[-1].value is not None:
            loss = number_text(known[-1].value, _LOSS_PLACES, further=0)
            check = check_text(known[-1].check or "")
            found.append((one.key.batch, f"{loss} {one.unit} at {check}"))
    return found


def _words(series: StudySeries, name: str, side: Side) -> list[tuple[str, str]]:
    """Return the worst word of each batch of a side."""
    found = []
    for one in series.worded:
        if one.key.attribute == name and one.worst and _of_side(one.key, side):
            first = one.first_outside
            failed = f", outside at {check_text(first)}" if first else ""
            found.append((one.key.batch, f"“{one.worst}”{failed}"))
    return found


def _of_side(key: SeriesKey, side: Side) -> bool:
    return (
        not key.twin_of
        and (key.condition, key.pack) == (side.condition, side.pack)
        and key.batch in side.batches
    )
