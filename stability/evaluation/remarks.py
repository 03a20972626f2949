"""Remarks and deviations of one observation.

Late or early inside the window is a remark. Beyond the window, another setting, a
setting outside its band and a swapped exposure are deviations.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stability.evaluation.phrases import count_text, days_text
from stability.evaluation.readings import Exposure, Purpose, Remark
from stability.model.age import T0
from stability.model.attribute import Attribute, Setting
from stability.model.moment import Moment
from stability.model.names import in_words
from stability.model.number import first_number
from stability.model.observation import Observation
from stability.model.schedule import PlannedCheck
from stability.statistics.centrifuge import relative_centrifugal_force


def remarks_of(
    seen: Observation,
    attribute: Attribute,
    *,
    purpose: Purpose,
    planned: PlannedCheck | None,
    usual: Mapping[str, str],
    exposures: Sequence[Exposure],
) -> tuple[Remark, ...]:
    """Return remarks and deviations, deviations first.

    Parameters
    ----------
    seen, attribute, purpose
        The observation, what it observes and what it is for.
    planned
        Its check; None for an extra observation.
    usual
        Settings of the first readings of this attribute and batch.
    exposures
        Times that the sample spent in another condition.
    """
    found = _timing(seen, attribute, purpose, planned)
    if seen.settings:
        found += _settings(seen, attribute, usual)
    if "rpm" in attribute.settings and seen.readings:
        found.append(_force(seen))
    if exposures:
        found += _exposure(seen.done, exposures)
    if seen.readings and seen.part is None:
        found += _number_of_readings(seen, attribute)
    if seen.certificate is not None:
        text = f"from the certificate of {seen.certificate}; its age as stated there"
        found.append(Remark("certificate", "remark", text))
    found += _links(seen)
    if len(found) < 2:
        return tuple(found)
    return tuple(sorted(found, key=lambda one: one.weight != "deviation"))


def _timing(
    seen: Observation,
    attribute: Attribute,
    purpose: Purpose,
    planned: PlannedCheck | None,
) -> list[Remark]:
    day = seen.done.day
    if purpose == "extra" or planned is None:
        return [Remark("extra", "remark", "extra reading, no check asked for it")]
    if purpose == "at make":
        settled = planned.opens.isoformat()
        text = f"at make: the structure had settled only on {settled}"
        return [Remark("at make", "remark", text)]
    if planned.check == T0:
        return [] if attribute.from_weights else _late_t0(seen.done, planned)
    days = (day - planned.due).days
    if days == 0:
        return []
    word = "late" if days > 0 else "early"
    text = f"{word} ({days_text(abs(days))})"
    if planned.holds(day):
        return [Remark(word, "remark", text)]
    text = f"{text}, beyond the window {planned.opens} to {planned.closes}"
    return [Remark(word, "deviation", text)]


def _late_t0(done: Moment, planned: PlannedCheck) -> list[Remark]:
    days = (done.day - planned.closes).days
    if days <= 0:
        return []
    text = f"T0 read {days_text(days)} after its last day, {planned.closes}"
    return [Remark("late", "deviation", text)]


def _settings(
    seen: Observation, attribute: Attribute, usual: Mapping[str, str]
) -> list[Remark]:
    found = []
    for name, setting in attribute.settings.items():
        stated = seen.settings.get(name)
        if stated is None:
            continue
        remark = _setting(name, setting, stated, usual.get(name))
        if remark is not None:
            found.append(remark)
    return found


def _setting(
    name: str, setting: Setting, stated: str, usual: str | None
) -> Remark | None:
    expected = setting.value or usual
    if setting.kind == "band":
        return _band(name, setting, stated)
    if expected is None or same_words(stated, expected):
        return None
    if setting.kind == "recorded":
        text = f"{name} {stated}, before {expected}"
        return Remark("recorded setting", "remark", text)
    text = f"{name} {stated} instead of {expected}: another method, a series of its own"
    return Remark("setting", "deviation", text)


def _band(name: str, setting: Setting, stated: str) -> Remark | None:
    value = first_number(stated)
    if value is None:
        return Remark("band", "deviation", f"{name} “{stated}” is no number")
    if not setting.excludes(value):
        return None
    return Remark(
        "band", "deviation", f"{in_words(name)} {stated} outside {setting.band}"
    )


def _force(seen: Observation) -> Remark:
    """Return the force in a centrifuge, or what is missing to tell it."""
    stated = {name: seen.settings.get(name, "") for name in ("rpm", "radius_cm")}
    rpm, radius = map(first_number, stated.values())
    if rpm is None or radius is None or rpm <= 0 or radius <= 0:
        missing = "speed and rotor radius are not both recorded"
        return Remark(
            "force", "remark", f"force in the centrifuge not known: {missing}"
        )
    force = relative_centrifugal_force(float(rpm), float(radius))
    minutes = first_number(seen.settings.get("minutes", ""))
    time = "" if minutes is None else f", {minutes} min"
    text = f"{force:.0f} g ({rpm} rpm, radius {radius} cm{time})"
    return Remark("force", "remark", text)


def same_words(one: str, other: str) -> bool:
    """Say whether two settings differ in spaces and capitals only."""
    return "".join(one.split()).casefold() == "".join(other.split()).casefold()


def _exposure(done: Moment, exposures: Sequence[Exposure]) -> list[Remark]:
    return [
        Remark(
            "exposure",
            "deviation",
            f"exposure swapped: {days_text(one.days)} in {one.condition} "
            f"from {one.start.for_people()}",
        )
        for one in exposures
        if one.start.day < done.day or (one.start.day == done.day and one.start < done)
    ]


def _number_of_readings(seen: Observation, attribute: Attribute) -> list[Remark]:
    found = []
    several = attribute.observers > 1
    wanted = attribute.observers if several else attribute.readings
    name = "observer" if several else "reading"
    if len(seen.readings) < wanted:
        text = f"{count_text(len(seen.readings), name)} instead of {wanted}"
        found.append(Remark(f"{name}s", "remark", text))
    if attribute.compared_with and seen.control is None and seen.check != T0:
        text = f"no sample of {attribute.compared_with} named for comparison"
        found.append(Remark("comparison", "remark", text))
    return found


def _links(seen: Observation) -> list[Remark]:
    found = []
    if seen.repeats is not None and seen.corrects is None:
        text = f"repeat of entry {seen.repeats}: {seen.because}"
        found.append(Remark("repeat", "remark", text))
    if seen.corrects is not None:
        text = f"corrects entry {seen.corrects}: {seen.because}"
        found.append(Remark("correction", "remark", text))
    return found
