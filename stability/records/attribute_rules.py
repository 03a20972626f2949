"""Rules that the attributes of a protocol and their limits must keep."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Final

from stability.model.age import T0, cycle_of
from stability.model.attribute import UNITS, Attribute
from stability.model.limit import Band, Limit
from stability.model.nearest import did_you_mean
from stability.model.protocol import Protocol
from stability.records.faults import Faults
from stability.records.protocol_rules import (
    HOW_TO_WRITE_CHECKS,
    check_known,
    check_names,
)
from stability.records.record_reader import where
from stability.records.toml_lines import Path

#: What the weights before opening and after closing are typed as.
WEIGHTS: Final = ("w", "w2")
#: More readings or observers than this at one check are a slip of the keyboard.
MOST_READINGS: Final = 99
#: How viscometers name the unit that is the same as mPa·s.
_CENTIPOISE = {"cp", "cps", "centipoise"}
#: Signs that stand between readings when they are typed.
_TYPING_SIGNS = frozenset("/:=,")


def check_attributes(protocol: Protocol, faults: Faults) -> None:
    """Check every attribute, its scale, settings and limits."""
    path: Path = ("attributes",)
    faults.check(bool(protocol.attributes), path, "the protocol has no attributes")
    check_names(protocol.attributes, path, "attribute", WEIGHTS, faults)
    _check_short_names(protocol, faults)
    for attribute in protocol.attributes.values():
        _check_counts(attribute, faults)
        _check_uses(attribute, faults)
        _check_unit(protocol, attribute, faults)
        _check_scale(attribute, faults)
        _check_places(protocol, attribute, faults)
        _check_instrument(protocol, attribute, faults)
        _check_settings(attribute, faults)
        _check_kinetic(attribute, faults)
        for limit, here in _limits(attribute):
            _check_limit(attribute, limit, here, faults)
            for band, at in _bands(limit, here):
                _check_band(band, at, faults)
            _check_relative(attribute, limit, here, faults)


def _limits(attribute: Attribute) -> Iterator[tuple[Limit, Path]]:
    path = ("attributes", attribute.name)
    yield attribute.limit, (*path, "limit")
    for condition, limit in attribute.limit_at.items():
        yield limit, (*path, "limit_at", condition)


def _bands(limit: Limit, path: Path) -> Iterator[tuple[Band, Path]]:
    for key in ("absolute", "change", "percent_of_initial"):
        band = getattr(limit, key)
        if band is not None:
            yield band, (*path, key)


def _check_short_names(protocol: Protocol, faults: Faults) -> None:
    taken = {name.casefold(): name for name in protocol.attributes}
    taken |= dict.fromkeys(WEIGHTS, "the weights")
    for attribute in protocol.attributes.values():
        path: Path = ("attributes", attribute.name)
        named: list[tuple[str, Path]] = [
            (name, (*path, "extra", place))
            for place, name in enumerate(attribute.extra)
        ]
        if attribute.short is not None:
            named.insert(0, (attribute.short, (*path, "short")))
        for name, here in named:
            key = name.casefold()
            free = key not in taken or key == attribute.name.casefold()
            text = f"“{name}” already stands for {taken.get(key)}"
            faults.check(free, here, text, "choose another name")
            taken.setdefault(key, attribute.name)
        check_names([name for name, _ in named], path, "reading", (), faults)


def _check_counts(attribute: Attribute, faults: Faults) -> None:
    path = ("attributes", attribute.name)
    for key in ("readings", "observers"):
        value = getattr(attribute, key)
        text = f"{value} {key} cannot be made at a check"
        faults.check(1 <= value <= MOST_READINGS, (*path, key), text)
    for key in ("resolution", "far"):
        value = getattr(attribute, key)
        holds = value is None or value > 0
        faults.check(holds, (*path, key), f"“{key}” is to be above 0, not {value}")
    low, high = attribute.lowest_possible, attribute.highest_possible
    holds = low is None or high is None or low < high
    text = f"nothing lies between {low} and {high}"
    faults.check(holds, (*path, "highest_possible"), text)


def _check_uses(attribute: Attribute, faults: Faults) -> None:
    """Check what an observation uses up: product, surface and time."""
    path = ("attributes", attribute.name)
    for key in ("takes_g", "needs_g", "minutes"):
        value = getattr(attribute, key)
        text = f"“{key}” is to be above 0, not {value}"
        hint = "leave it out where nothing is used up"
        faults.check(value is None or value > 0, (*path, key), text, hint)
    value = attribute.takes_surfaces
    text = f"an observation cannot use up {value} surfaces"
    faults.check(0 <= value <= MOST_READINGS, (*path, "takes_surfaces"), text)
    holds = attribute.takes_g is None or not attribute.from_weights
    text = "a weighing uses up no product"
    faults.check(holds, (*path, "takes_g"), text, "take “takes_g” out")


def _check_unit(protocol: Protocol, attribute: Attribute, faults: Faults) -> None:
    here = ("attributes", attribute.name, "unit")
    kind = ("attributes", attribute.name, "kind")
    if attribute.kind != "measured":
        text = f"{where(here[:-1])} is {attribute.kind} and has no unit"
        faults.check(attribute.unit == "1", here, text, "take the unit out", kind)
        return
    known = (*UNITS, *protocol.units)
    holds = attribute.unit in known
    hint = f'{_unit_hint(attribute.unit, known)} Another is declared by units = ["…"]'
    text = f"the unit “{attribute.unit}” is not known"
    faults.check(holds, here, text, hint, ("units",))
    holds = not attribute.from_weights or attribute.unit == "%"
    text = "a loss worked out from weights is in % of the net weight"
    faults.check(holds, here, text, 'write unit = "%"')


def _unit_hint(unit: str, known: Sequence[str]) -> str:
    if unit.casefold() in _CENTIPOISE:
        return "write mPa·s, which is the same."
    return did_you_mean(unit, known)


def _check_scale(attribute: Attribute, faults: Faults) -> None:
    path = ("attributes", attribute.name)
    here = (*path, "statements" if attribute.kind == "stated" else "scale")
    words = attribute.scale
    measured = attribute.kind == "measured"
    text = f"{where(path)} is measured and has a scale"
    faults.check(not (measured and words), here, text, 'write kind = "scored"')
    text = f"{where(path)} needs two words at least"
    hint = "list the words from best to worst"
    if attribute.kind == "stated":
        hint = 'list what may be stated, such as ["absent", "present"]'
    faults.check(measured or len(words) >= 2, here, text, hint)
    folded = Counter(word.casefold() for word in words)
    for place, word in enumerate(words):
        one = (*here, place)
        text = f"“{word}” stands twice"
        faults.check(folded[word.casefold()] == 1, one, text)
        typable = bool(word.strip()) and not (_TYPING_SIGNS & set(word))
        text = f"“{word}” cannot be typed as a word"
        hint = "leave out / : = and the comma, which part readings"
        faults.check(typable, one, text, hint)
        text = f"“{word}” would be taken for a place in the scale"
        faults.check(not word.strip().isdecimal(), one, text, "use a word")


def _check_places(protocol: Protocol, attribute: Attribute, faults: Faults) -> None:
    path = ("attributes", attribute.name)
    known = protocol.conditions
    here: Path = (*path, "compared_with")
    check_known(attribute.compared_with, known, here, "condition", faults)
    for place, name in enumerate(attribute.conditions):
        check_known(name, known, (*path, "conditions", place), "condition", faults)
    for name in attribute.limit_at:
        here = (*path, "limit_at", name)
        check_known(name, known, here, "condition", faults)
        holds = not attribute.conditions or name in attribute.conditions
        text = f"“{attribute.name}” has a limit in {name}, where it is not read"
        faults.check(holds, here, text, "", (*path, "conditions"))
    checks = (T0, *protocol.all_checks())
    for place, check in enumerate(attribute.when):
        holds = check in checks
        text = f"“{check}” is no check of any condition"
        written = cycle_of(check) or any(char.isdigit() for char in check)
        hint = did_you_mean(check, checks) if written else HOW_TO_WRITE_CHECKS
        faults.check(holds, (*path, "when", place), text, hint)


def _check_instrument(protocol: Protocol, attribute: Attribute, faults: Faults) -> None:
    name = attribute.instrument
    if name is None or attribute.one_of is not None:
        return
    holds = any(name.casefold() in one.casefold() for one in protocol.needs)
    here = ("attributes", attribute.name, "instrument")
    text = f"the protocol does not list “{name}” among what it needs"
    hint = "add it to “needs”, or make the attribute one_of a group"
    faults.check(holds, here, text, hint, ("needs",))


def _check_settings(attribute: Attribute, faults: Faults) -> None:
    path = ("attributes", attribute.name, "settings")
    check_names(attribute.settings, path, "setting", (), faults)
    for setting in attribute.settings.values():
        here = (*path, setting.name)
        low, high = setting.lowest, setting.highest
        banded = setting.kind == "band"
        holds = not banded or (low is not None and high is not None and low < high)
        text = f"the band of “{setting.name}” goes from {low} to {high}"
        faults.check(holds, here, text, "write the lower value first", here)


def _check_kinetic(attribute: Attribute, faults: Faults) -> None:
    path = ("attributes", attribute.name)
    kind = (*path, "kind")
    here = (*path, "kinetic")
    text = f"{where(path)} is {attribute.kind}: words have no rate for Arrhenius"
    holds = not attribute.kinetic or attribute.kind == "measured"
    faults.check(holds, here, text, "take “kinetic” out", kind)
    text = f"{where(path)} is a loss of weight: the pack sets its rate, not a reaction"
    holds = not (attribute.kinetic and attribute.from_weights)
    faults.check(holds, here, text, "take “kinetic” out")


def _check_limit(
    attribute: Attribute, limit: Limit, path: Path, faults: Faults
) -> None:
    numbers = [one for one, _ in _bands(limit, path)]
    bounds = {
        "measured": bool(numbers),
        "scored": limit.highest is not None,
        "stated": limit.required is not None,
    }
    kind = ("attributes", attribute.name, "kind")
    usual = _USUAL_BOUND[attribute.kind]
    keys = [(*path, key) for key in _BOUND_KEYS]
    for other, is_given in bounds.items():
        wrong = is_given and other != attribute.kind
        text = f"“{attribute.name}” is {attribute.kind}: its limit is {usual}"
        faults.check(not wrong, keys[0], text, "", kind, *keys)
    holds = any(bounds.values()) or limit.recorded_only
    hint = f"give {usual} with its reason, or recorded_only = true"
    faults.check(holds, keys[0], f"{where(path)} sets no bound", hint, kind, *keys)
    holds = not (any(bounds.values()) and limit.recorded_only)
    text = f"{where(path)} is recorded only and has a bound"
    faults.check(holds, (*path, "recorded_only"), text, "take one of the two out")
    holds = bool(limit.reason.strip()) or not any(bounds.values())
    text = f"{where(path)} has no reason; every limit needs its reason"
    faults.check(holds, (*path, "reason"), text, 'add reason = "…" and reason_kind')
    for key, word in (("highest", limit.highest), ("required", limit.required)):
        known = word is None or word in attribute.scale
        text = f"“{word}” is not among the words of “{attribute.name}”"
        hint = "" if known or word is None else did_you_mean(word, attribute.scale)
        words = ("attributes", attribute.name, "scale")
        faults.check(known or not attribute.scale, (*path, key), text, hint, words)


_BOUND_KEYS = (
    "absolute", "change", "percent_of_initial", "highest", "required", "recorded_only"
)  # fmt: skip
_USUAL_BOUND = {
    "measured": "absolute, change or percent_of_initial",
    "scored": "the highest word that is still inside",
    "stated": "the required statement",
}


def _check_band(band: Band, path: Path, faults: Faults) -> None:
    low, high = band.lowest, band.highest
    text = f"{where(path)} has neither a lowest nor a highest value"
    faults.check(low is not None or high is not None, path, text, "", path)
    holds = low is None or high is None or low <= high
    text = f"the lowest value {low} lies above the highest {high}"
    faults.check(holds, path, text, "swap the two", path)


def _check_relative(
    attribute: Attribute, limit: Limit, path: Path, faults: Faults
) -> None:
    """Check that the initial value itself lies inside, and shares make sense."""
    hint = "the initial value itself would be outside"
    change, share = limit.change, limit.percent_of_initial
    if change is not None:
        holds = _allows(change, Decimal(0))
        text = "a change from initial is to allow 0"
        here = (*path, "change")
        faults.check(holds, here, text, hint, here)
    if share is None:
        return
    here = (*path, "percent_of_initial")
    low, high = share.lowest, share.highest
    positive = (low is None or low > 0) and (high is None or high > 0)
    text = "a share of initial is to be above 0 %"
    faults.check(positive, here, text, "", here)
    text = "a share of initial is to allow 100 %"
    holds = not positive or _allows(share, Decimal(100))
    faults.check(holds, here, text, hint, here)
    text = "a loss of weight is 0 at T0, so it has no share of initial"
    faults.check(not attribute.from_weights, here, text, "use absolute = {highest = 3}")


def _allows(band: Band, value: Decimal) -> bool:
    """Say whether a band holds a value; one written upside down is told elsewhere."""
    low, high = band.lowest, band.highest
    upside_down = low is not None and high is not None and low > high
    return upside_down or band.holds(value)
