"""An instrument as its entries tell it: rules, calibrations, what holds on a day."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final, Literal

from stability.model.age import Age
from stability.model.calibration import (
    Calibration,
    calibration_of,
    done_of,
    order_of,
    set_aside_by,
)
from stability.model.content import INVALIDATED
from stability.model.entry import Entry, Head
from stability.model.instrument_content import CALIBRATED, REGISTERED, RETIRED, RULES
from stability.model.instrument_rules import (
    CalibrationRules,
    InstrumentRetirement,
    RulesChange,
    retirement_of,
    rules_change_of,
    rules_of,
)
from stability.model.moment import Moment

#: What every subject of an instrument begins with.
SUBJECT: Final = "instrument:"
PH_METER: Final = "pH meter"
BALANCE: Final = "balance"
VISCOMETER: Final = "viscometer"

#: How an instrument stood when something was read: calibrated within its time, beyond
#: it, never, or after a calibration that failed.
Standing = Literal["valid", "lapsed", "never", "failed"]


@dataclass(frozen=True, slots=True)
class Calibrated:
    """How an instrument stood at one moment, by all that is recorded of it."""

    #: How it stood.
    standing: Standing
    #: The last calibration up to then; None where there was none.
    last: Calibration | None
    #: The last good one up to then; None where there was none.
    last_good: Calibration | None
    #: The failed calibration that makes a reading of then doubtful; None where none
    #: does.
    failed: Calibration | None
    #: How long a calibration held by the rules of then.
    valid_for: Age
    #: That it had left before; None where it had not.
    retired: InstrumentRetirement | None


@dataclass(frozen=True, slots=True)
class InstrumentRecord:
    """All that is recorded of one instrument, in the order of the entries."""

    #: Its subject, such as instrument:PH1-9XR2.
    subject: str
    #: Short name, as people type it.
    name: str
    #: pH meter, viscometer, balance, or another word of the maker's.
    kind: str
    #: What it is, in words.
    text: str
    #: The rules with which it was registered.
    rules: CalibrationRules
    #: When it was registered.
    registered: Moment
    #: Who registered it.
    person: str
    #: The last entry taken into account.
    head: Head
    #: Every calibration, those set aside among them.
    calibrations: tuple[Calibration, ...] = ()
    #: Every change of its rules, in the order of the entries.
    changes: tuple[RulesChange, ...] = ()
    #: Every retirement, those set aside among them.
    retirements: tuple[InstrumentRetirement, ...] = ()
    #: Those that were not set aside, in the order of making; worked out once, because
    #: every reading asks for them.
    _made: tuple[Calibration, ...] = field(init=False, repr=False, compare=False)
    #: Day of each of them.
    _days: tuple[date, ...] = field(init=False, repr=False, compare=False)
    #: The last good one among the first so many of them; None where none is good.
    _good: tuple[Calibration | None, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Look up what counts once for all readings."""
        kept = [one for one in self.calibrations if one.invalidated is None]
        made = tuple(sorted(kept, key=order_of))
        good: list[Calibration | None] = [None]
        for one in made:
            good.append(one if one.passed else good[-1])
        object.__setattr__(self, "_made", made)
        object.__setattr__(self, "_days", tuple(one.done.day for one in made))
        object.__setattr__(self, "_good", tuple(good))

    @property
    def code(self) -> str:
        """Return its whole name, such as PH1-9XR2."""
        return self.subject.removeprefix(SUBJECT)

    @property
    def retired(self) -> InstrumentRetirement | None:
        """Return how it left; None while it is in use."""
        kept = [one for one in self.retirements if one.invalidated is None]
        return kept[-1] if kept else None

    def rules_on(self, day: date) -> CalibrationRules:
        """Return the rules that hold on a day: of changes of one day the last."""
        since = [one for one in self.changes if one.since <= day]
        newest = max(since, key=lambda one: (one.since, one.position), default=None)
        return self.rules if newest is None else newest.rules

    def standing(self) -> tuple[Calibration, ...]:
        """Return the calibrations that were not set aside, in the order of making."""
        return self._made

    def at(self, done: Moment) -> Calibrated:
        """Return how it stood when something was read.

        Where only the day of a calibration or of the reading is known, a calibration
        of that day counts as made before it, as is done at a bench. A failed one makes
        readings doubtful from the last good one on.

        Parameters
        ----------
        done
            When it was read.
        """
        made = self._made
        first, end = (
            bisect_left(self._days, done.day),
            bisect_right(self._days, done.day),
        )
        before = first + sum(not done < one.done for one in made[first:end])
        last = made[before - 1] if before else None
        failed = None
        if last is not None and not last.passed:
            failed = last
        elif before < len(made) and not made[before].passed:
            failed = made[before]
        return Calibrated(
            standing=self._standing(last, done),
            last=last,
            last_good=self._good[before],
            failed=failed,
            valid_for=self.rules_on(done.day).valid_for,
            retired=self._retired_before(done),
        )

    def _retired_before(self, done: Moment) -> InstrumentRetirement | None:
        left = self.retired
        return left if left is not None and left.done < done else None

    def _standing(self, last: Calibration | None, done: Moment) -> Standing:
        if last is None:
            return "never"
        if not last.passed:
            return "failed"
        return "valid" if self.holds(last, done) else "lapsed"

    def holds(self, calibration: Calibration, done: Moment) -> bool:
        """Say whether a calibration still holds at a moment after it.

        By the rules of that moment. `1d` is the day of the calibration, `1M` up to the
        day before that of the next month. Hours count by the clock where both times
        are known.
        """
        made = calibration.done
        valid_for = self.rules_on(done.day).valid_for
        if valid_for.unit == "h" and made.time and done.time:
            hours = (done.time - made.time).total_seconds() / 3600
            return hours <= valid_for.count
        return done.day < valid_for.after(made.day)


_Told = Calibration | RulesChange | InstrumentRetirement
#: Kind of an entry -> what it tells.
_READ: Final[Mapping[str, Callable[[Entry], _Told]]] = {
    CALIBRATED: calibration_of,
    RULES: rules_change_of,
    RETIRED: retirement_of,
}


def fold_instrument(entries: Sequence[Entry]) -> InstrumentRecord:
    """Return what the entries of one instrument tell together.

    Parameters
    ----------
    entries
        From the registration on, in order, at least one.

    Raises
    ------
    ValueError
        If the first entry is no registration, or a kind is not known.
    """
    if not entries or entries[0].kind != REGISTERED:
        raise ValueError("an instrument begins with its registration")
    told: dict[int, _Told] = {}
    for entry in entries[1:]:
        if entry.kind in _READ:
            told[entry.position] = _READ[entry.kind](entry)
        elif entry.kind == INVALIDATED:
            place = entry.content["refers_to"]
            told[place] = _without(told[place], entry)
        else:
            raise ValueError(f"entry {entry.position} is of unknown kind {entry.kind}")
    last = entries[-1]
    head = Head(last.subject, last.position, last.digest)
    every = tuple(told.values())
    return replace(
        _registered(entries[0], head),
        calibrations=tuple(one for one in every if isinstance(one, Calibration)),
        changes=tuple(one for one in every if isinstance(one, RulesChange)),
        retirements=tuple(
            one for one in every if isinstance(one, InstrumentRetirement)
        ),
    )


def _without(told: _Told, entry: Entry) -> _Told:
    """Return what was told as set aside; changed rules are changed again instead."""
    if not isinstance(told, RulesChange):
        return replace(told, invalidated=set_aside_by(entry))
    raise ValueError(f"entry {entry.position} sets rules aside")


def _registered(entry: Entry, head: Head) -> InstrumentRecord:
    held = entry.content
    return InstrumentRecord(
        subject=entry.subject,
        name=held["name"],
        kind=held["kind"],
        text=held["text"],
        rules=rules_of(held),
        registered=done_of(entry),
        person=entry.person,
        head=head,
    )
