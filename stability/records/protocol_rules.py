"""Rules for a protocol beyond the form of its values: T0, conditions, analysis."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

from stability.model.age import T0, check_order, parse_age
from stability.model.condition import Condition, storage_class_of
from stability.model.nearest import did_you_mean
from stability.model.protocol import Protocol, Provisional
from stability.model.salt import (
    SALT_RANGE_C,
    SALT_TOLERANCE,
    salt_humidity,
    within_range,
)
from stability.records.faults import Faults
from stability.records.record_reader import LONGEST_DAYS, where
from stability.records.toml_lines import Path

_NAME = re.compile(r"[^\W_][\w-]*")
#: Cycles are named c1 to c999.
MOST_CYCLES: Final = 999
#: No step of a cycle lasts longer than a year [days].
LONGEST_STEP_DAYS: Final = 366
#: How a check is written.
HOW_TO_WRITE_CHECKS: Final = "write a length of time such as “4w” or “3M”"


def check_protocol(protocol: Protocol, faults: Faults) -> None:
    """Check everything but the attributes."""
    _check_t0(protocol, faults)
    _check_windows(protocol, faults)
    holds = bool(protocol.conditions)
    faults.check(holds, ("conditions",), "the protocol has no conditions")
    check_names(protocol.conditions, ("conditions",), "condition", (T0,), faults)
    for condition in protocol.conditions.values():
        _check_climate(condition, faults)
        _check_salt(condition, faults)
        _check_light(condition, faults)
        _check_clock(condition, faults)
        _check_cycles(condition, faults)
        _check_checks(protocol, condition, faults)
        _check_twins(protocol, condition, faults)
    _check_analysis(protocol, faults)
    if protocol.analysis.provisional is not None:
        _check_provisional(protocol, protocol.analysis.provisional, faults)


def check_names(
    names: Iterable[str],
    path: Path,
    what: str,
    reserved: Sequence[str],
    faults: Faults,
) -> None:
    """Check names that people type: their form, and that none is like another."""
    seen: dict[str, str] = {}
    for name in names:
        here = (*path, name)
        faults.check(
            _NAME.fullmatch(name) is not None,
            here,
            f"“{name}” is no name for a {what}",
            "use letters, digits, - and _, and begin with a letter or digit",
        )
        text = f"“{name}” is kept for another use"
        faults.check(name.casefold() not in map(str.casefold, reserved), here, text)
        twin = seen.setdefault(name.casefold(), name)
        text = f"“{name}” differs from “{twin}” only in capitals"
        faults.check(twin == name, here, text, "give it another name")


def check_known(
    name: str | None, known: Iterable[str], path: Path, what: str, faults: Faults
) -> None:
    """Check that a name that is used is also defined."""
    words = tuple(known)
    holds = name is None or name in words
    hint = "" if name is None or holds else did_you_mean(name, words)
    faults.check(holds, path, f"there is no {what} “{name}”", hint, path)


def _check_t0(protocol: Protocol, faults: Faults) -> None:
    rule = protocol.t0
    faults.check(
        rule.read_after.nominal_days <= rule.read_before.nominal_days,
        ("t0", "read_before"),
        f"T0 is to be read from {rule.read_after} on and before {rule.read_before}",
        "let read_before be the later of the two",
        ("t0", "read_after"),
    )


def _check_windows(protocol: Protocol, faults: Faults) -> None:
    faults.check(bool(protocol.windows), ("windows",), "there is no window")
    for place, (one, following) in enumerate(pairwise(protocol.windows), 1):
        faults.check(
            one.up_to.nominal_days < following.up_to.nominal_days,
            ("windows", place, "up_to"),
            f"the window up to {following.up_to} comes after the one up to {one.up_to}",
            "put the shortest age first",
            ("windows", place - 1, "up_to"),
        )


def _check_climate(condition: Condition, faults: Faults) -> None:
    path = ("conditions", condition.name)
    both = condition.temperature is not None and condition.between is not None
    faults.check(
        not both,
        (*path, "between"),
        f"{where(path)} has both a temperature and a range",
        "give temperature and tolerance if it is controlled, between if it is measured",
    )
    if condition.between is not None:
        low, high = condition.between
        text = f"the range of {where(path)} begins at {low} and ends at {high}"
        here = (*path, "between")
        faults.check(low < high, here, text, "write the lower one first", here)
    for key, base in (("tolerance", "temperature"), ("humidity_tolerance", "humidity")):
        value = getattr(condition, key)
        alone = value is not None and getattr(condition, base) is None
        text = f"{where(path)} has “{key}” without “{base}”"
        faults.check(not alone, (*path, key), text, "", (*path, base))
        text = f"“{key}” is negative"
        faults.check(value is None or value >= 0, (*path, key), text)
    humidity = condition.humidity
    holds = humidity is None or 0 <= humidity <= 100
    text = f"a relative humidity of {humidity} % does not exist"
    faults.check(holds, (*path, "humidity"), text)
    needs_class = condition.role == "long-term" and storage_class_of(condition) is None
    faults.check(
        not needs_class,
        (*path, "storage_class"),
        f"{where(path)} is long-term, but nothing tells its storage class",
        "give a temperature or a range, or storage_class = "
        '"room", "refrigerated" or "freezer"',
        (*path, "role"),
        (*path, "temperature"),
        (*path, "between"),
    )


def _check_salt(condition: Condition, faults: Faults) -> None:
    """Check that a salt can make the humidity that is meant."""
    path = ("conditions", condition.name)
    salt, between = condition.humidity_salt, condition.temperatures
    if salt is None:
        return
    text = f"{where(path)} has a salt and no temperature that its humidity depends on"
    here = (*path, "humidity_salt")
    faults.check(between is not None, here, text, "give temperature or between")
    if between is None:
        return
    low, high = SALT_RANGE_C
    text = f"the humidity over {salt} is known from {low:g} to {high:g} °C only"
    faults.check(within_range(between), here, text, "leave humidity_salt out")
    made = [salt_humidity(salt, end) for end in between]
    allowed = max(float(condition.humidity_tolerance or 0), SALT_TOLERANCE)
    meant = condition.humidity
    holds = meant is None or all(abs(float(meant) - one) <= allowed for one in made)
    text = f"over {salt} the air has {made[0]:.1f} % relative humidity, not {meant}"
    faults.check(holds, here, text, "name the salt that is used", (*path, "humidity"))


def _check_light(condition: Condition, faults: Faults) -> None:
    path = ("conditions", condition.name)
    for key in ("light_dose_lx_h", "light_dose_uv"):
        value = getattr(condition, key)
        text = f"“{key}” is to be above 0, not {value}"
        faults.check(value is None or value > 0, (*path, key), text)
        text = f"{where(path)} declares a dose of light and no light"
        hint = 'add light = "…" with the lamp, or take the dose out'
        holds = value is None or condition.light is not None
        faults.check(holds, (*path, key), text, hint, (*path, "light"))


def _check_clock(condition: Condition, faults: Faults) -> None:
    """Check that opened samples do not carry the life of unopened ones."""
    path = ("conditions", condition.name)
    opened = condition.age_from == "first opening"
    faults.check(
        not opened or condition.role != "long-term",
        (*path, "age_from"),
        f"{where(path)} is long-term and counts from the first opening, but the shelf "
        "life asked for is that of unopened packs",
        'write role = "stress"; it gives words for the period after opening',
        (*path, "role"),
    )


def _check_cycles(condition: Condition, faults: Faults) -> None:
    path = ("conditions", condition.name)
    read_after = condition.read_after_cycles
    here = (*path, "read_after_cycles")
    text = f"{where(path)} cannot have {condition.cycles} cycles"
    holds = 0 <= condition.cycles <= MOST_CYCLES
    faults.check(holds, (*path, "cycles"), text)
    faults.check(
        bool(condition.steps) or not condition.cycles,
        (*path, "cycles"),
        f"{where(path)} has cycles without steps",
        'add steps = [{at = -18, tolerance = 4, for = "24h"}, …]',
        (*path, "steps"),
    )
    faults.check(
        bool(condition.cycles) or not (condition.steps or read_after),
        (*path, "steps") if condition.steps else here,
        f"{where(path)} has steps but no number of cycles",
        "add cycles = 3 or another number",
        (*path, "cycles"),
    )
    faults.check(
        bool(read_after) or not condition.cycles,
        here,
        f"{where(path)} is cycled but never read",
        f"add read_after_cycles = [{condition.cycles}]",
        (*path, "cycles"),
    )
    for place, cycle in enumerate(read_after):
        text = f"there is no cycle {cycle} of {condition.cycles}"
        holds = 1 <= cycle <= max(condition.cycles, 1)
        faults.check(holds, (*here, place), text, "", (*path, "cycles"))
    ascending = all(one < after for one, after in pairwise(read_after))
    text = "“read_after_cycles” is out of order"
    faults.check(ascending, here, text, "put the lowest first, each once", here)
    for place, step in enumerate(condition.steps):
        lasts = 0 < step.duration.nominal_days <= LONGEST_STEP_DAYS
        text = f"a step cannot last {step.duration}"
        faults.check(lasts, (*path, "steps", place, "for"), text)


def _check_checks(protocol: Protocol, condition: Condition, faults: Faults) -> None:
    path = ("conditions", condition.name)
    here = (*path, "checks")
    faults.check(
        bool(condition.checks) or bool(condition.cycles),
        here,
        f"{where(path)} has no checks",
        'add checks = ["4w", "8w"] or others',
        (*path, "cycles"),
    )
    for place, check in enumerate(condition.checks):
        age = parse_age(check)
        hint = "T0 is not listed: every study has it" if check == T0 else ""
        text = f"“{check}” is no check by age"
        holds = age is not None and 0 < age.nominal_days <= LONGEST_DAYS
        faults.check(holds, (*here, place), text, hint or HOW_TO_WRITE_CHECKS)
    for place, (one, following) in enumerate(pairwise(condition.checks), 1):
        _check_neighbours(protocol, one, following, (*here, place), faults)


def _check_neighbours(
    protocol: Protocol, one: str, following: str, path: Path, faults: Faults
) -> None:
    """Check that two checks follow each other and their windows do not meet."""
    first, second = parse_age(one), parse_age(following)
    if first is None or second is None or not protocol.windows:
        return
    ascending = check_order(one) < check_order(following)
    text = f"check {following} comes after {one}"
    faults.check(ascending, path, text, "put the shortest age first, each once")
    if not ascending:
        return
    closes = first.nominal_days + protocol.window_of(one).after.nominal_days
    opens = second.nominal_days - protocol.window_of(following).before.nominal_days
    faults.check(
        closes < opens,
        path,
        f"the windows of {one} and {following} overlap, so that a reading between "
        "them would belong to both",
        "leave one of the two out, or state narrower [[windows]]",
        ("windows",),
    )


def _check_twins(protocol: Protocol, condition: Condition, faults: Faults) -> None:
    path = ("conditions", condition.name)
    for key in ("dark_twin", "untreated_twin"):
        twin = getattr(condition, key)
        here = (*path, key)
        check_known(twin, protocol.conditions, here, "condition", faults)
        text = f"{where(path)} is named as its own twin"
        faults.check(twin != condition.name, here, text)
    holds = condition.dark_twin is None or condition.light is not None
    text = f"{where(path)} has a dark twin but no light"
    faults.check(holds, (*path, "dark_twin"), text, "", (*path, "light"))
    holds = condition.untreated_twin is None or condition.cycles > 0
    text = f"{where(path)} has an untreated twin but no cycles"
    faults.check(holds, (*path, "untreated_twin"), text, "", (*path, "cycles"))


def _check_analysis(protocol: Protocol, faults: Faults) -> None:
    analysis = protocol.analysis
    text = f"a confidence of {analysis.confidence} is not between 0.5 and 1"
    holds = 0.5 < analysis.confidence < 1
    faults.check(
        holds, ("analysis", "confidence"), text, "write 0.95, which ICH Q1E uses"
    )
    path = ("analysis", "evaluate_at")
    _check_long_term(protocol, analysis.evaluate_at, path, faults)


def _check_long_term(
    protocol: Protocol, checks: Sequence[str], path: Path, faults: Faults
) -> None:
    known = _long_term_checks(protocol)
    rests_on = [
        ("conditions", name, key)
        for name in protocol.conditions
        for key in ("role", "checks")
    ]
    for place, check in enumerate(checks):
        text = f"“{check}” is no check of a long-term condition"
        holds = check in known
        hint = "" if holds else did_you_mean(check, known)
        faults.check(holds, (*path, place), text, hint, *rests_on)


def _check_provisional(protocol: Protocol, rule: Provisional, faults: Faults) -> None:
    path = ("analysis", "provisional")
    months = f"a provisional answer of {rule.months} months says nothing"
    faults.check(rule.months > 0, (*path, "months"), months)
    here = (*path, "condition")
    check_known(rule.condition, protocol.conditions, here, "condition", faults)
    condition = protocol.conditions.get(rule.condition)
    if condition is not None:
        text = f"“{rule.condition}” is {condition.role}, not accelerated"
        role = ("conditions", rule.condition, "role")
        faults.check(condition.role == "accelerated", here, text, "", role)
        checks = condition.all_checks
        here = (*path, "check")
        check_known(rule.check, checks, here, f"check of {condition.name}", faults)
    here = (*path, "real_time_to")
    known = _long_term_checks(protocol)
    check_known(rule.real_time_to, known, here, "long-term check", faults)
    _check_long_term(protocol, rule.confirm_at, (*path, "confirm_at"), faults)


def _long_term_checks(protocol: Protocol) -> tuple[str, ...]:
    names = {
        check
        for condition in protocol.conditions.values()
        if condition.role == "long-term"
        for check in condition.checks
    }
    return tuple(sorted(names, key=check_order))
