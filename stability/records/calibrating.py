"""A calibration as typed, checked against its instrument and turned into an entry.

Everything that is wrong with it is told at once, and nothing of it is stored then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import combinations
from typing import Final, Literal

from stability.errors import StabilityError
from stability.errors.instruments import CalibrationError
from stability.model import instrument_content
from stability.model.content import Content
from stability.model.instrument import PH_METER, InstrumentRecord
from stability.model.instrument_checks import (
    Checked,
    check_buffers,
    check_slope,
    check_standards,
)
from stability.model.instrument_content import How
from stability.model.instrument_rules import Acceptance
from stability.model.number import Number, parse_number
from stability.model.ph_electrode import (
    HIGHEST_TEMPERATURE,
    LOWEST_TEMPERATURE,
    BufferReading,
    buffer_ph,
    meant_buffer,
    slope_percent,
)
from stability.model.plain_text import checked_text
from stability.records.instruments import unit_of

#: pH of buffers in trade, and what glass can give in them. Common practice.
_LOWEST_PH, _HIGHEST_PH = Decimal(1), Decimal(13)
_MOST_MV: Final = Decimal(500)
#: Two buffers that lie closer tell the noise and not the slope [pH]. Common practice.
_CLOSEST: Final = Decimal(1)
#: A slope below this is no worn electrode but two readings that changed places [%].
_SWAPPED: Final = Decimal(-10)
#: A buffer that differs by this from its bottle at 25 °C is remarked on [pH].
_DIFFERS: Final = Decimal("0.02")

Result = Literal["passed", "failed"]


@dataclass(frozen=True, slots=True)
class CalibrationWish:
    """What was typed of a calibration or check."""

    #: `7.00=-15` each: pH of a buffer and the potential in it [pH, mV].
    buffers: Sequence[str] = ()
    #: Temperature of the buffers [°C].
    temperature: str | None = None
    #: Slope as a meter shows it [%].
    slope: str | None = None
    #: Offset as a meter shows it [mV].
    offset: str | None = None
    #: `4.01=4.02`: a buffer read again after calibrating [pH].
    reread: str | None = None
    #: `50.00=50.01` each: value of a weight or standard, and what was read.
    standards: Sequence[str] = ()
    #: How it ended, by the person's own word.
    result: str | None = None
    #: In the person's own words.
    because: str | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """A calibration ready to be written."""

    #: What the entry holds.
    held: Content
    #: What the person should know besides.
    remarks: tuple[str, ...] = ()


def calibration(instrument: InstrumentRecord, wish: CalibrationWish, day: date) -> Told:
    """Return the content of a calibration or check.

    Parameters
    ----------
    instrument
        What was calibrated.
    wish
        As typed.
    day
        On which it was made; the rules of that day decide.

    Raises
    ------
    CalibrationError
        With everything that is wrong with it.
    """
    typed = _Typed(instrument, wish, instrument.rules_on(day).acceptance)
    how = typed.how()
    checked = Checked() if typed.faults else typed.checked(how)
    passed = typed.passed(how, checked)
    if typed.faults:
        raise CalibrationError(instrument.name, typed.faults)
    held = instrument_content.calibrated(
        how,
        passed=passed,
        faults=() if passed else checked.faults,
        buffers=[(ph.text, mv.text) for ph, mv in typed.buffers],
        temperature=None if typed.temperature is None else typed.temperature.text,
        slope_percent=checked.slope_percent,
        offset_mv=checked.offset_mv,
        reread=None if typed.reread is None else _texts(typed.reread),
        standards=[_texts(pair) for pair in typed.standards],
        unit=unit_of(instrument.kind) if typed.standards else None,
        because=typed.because,
    )
    return Told(held, typed.remarks(how))


def _texts(pair: tuple[Number, Number]) -> tuple[str, str]:
    return pair[0].text, pair[1].text


class _Typed:
    """What was typed of one calibration, read with every fault kept."""

    def __init__(
        self, instrument: InstrumentRecord, wish: CalibrationWish, rules: Acceptance
    ) -> None:
        self.instrument = instrument
        self.rules = rules
        self.wish = wish
        self.faults: list[str] = []
        self.buffers = self._pairs(wish.buffers, "buffer", "7.00=-15")
        self.standards = self._pairs(wish.standards, "standard", "50.00=50.01")
        again = [wish.reread] if wish.reread is not None else []
        self.reread = next(iter(self._pairs(again, "reread", "4.01=4.02")), None)
        self.temperature = self._number(wish.temperature, "temperature")
        self.slope = self._number(wish.slope, "slope")
        self.offset = self._number(wish.offset, "offset")
        self.because = self._because()

    def how(self) -> How:
        """Return how it was made, and refuse what does not go together."""
        wish, meter = self.wish, self.instrument.kind == PH_METER
        of_meter = (wish.buffers, wish.slope, wish.offset, wish.reread)
        if not meter and any(one for one in (*of_meter, wish.temperature)):
            kind = self.instrument.kind
            self.faults.append(
                f"buffers, slope and temperature are of a pH meter, and it is a {kind};"
                " check it with --weight or --standard"
            )
        if meter and wish.standards:
            self.faults.append("a pH meter is calibrated with --buffer or --slope")
        if wish.buffers and (wish.slope is not None or wish.offset is not None):
            self.faults.append("give either buffers or the slope that the meter shows")
        if wish.offset is not None and wish.slope is None and not wish.buffers:
            self.faults.append("an offset goes with --slope")
        if wish.buffers:
            self._check_buffers()
            return "buffers"
        if wish.slope is not None:
            self._check_temperature()
            return "slope"
        return "standards" if wish.standards else "stated"

    def checked(self, how: How) -> Checked:
        """Hold the numbers against the rules of the instrument."""
        rules = self.rules
        again = self.reread and (self.reread[0].value, self.reread[1].value)
        if how == "buffers" and self.temperature is not None:
            return check_buffers(self._readings(), self.temperature.value, rules, again)
        if how == "slope" and self.slope is not None:
            offset = None if self.offset is None else self.offset.value
            return check_slope(self.slope.value, offset, rules, again)
        pairs = [(value.value, read.value) for value, read in self.standards]
        return check_standards(pairs, unit_of(self.instrument.kind), rules)

    def passed(self, how: How, checked: Checked) -> bool:
        """Return how it ended: by its numbers, else by the person's word."""
        result = self._result()
        if result == "passed" and checked.faults:
            self.faults.append(
                f"{'; '.join(checked.faults)}, so it failed; leave --result out"
            )
        if how == "stated":
            self._check_stated(result)
        elif how == "standards" and self.rules.tolerance is None:
            if result is None and not self.faults:
                self.faults.append(
                    "no tolerance was fixed for it, so say --result passed or failed"
                )
        elif result == "failed" and not checked.faults and self.because is None:
            self.faults.append("its numbers are good; say why it failed with --because")
        return not checked.faults and result != "failed"

    def remarks(self, how: How) -> tuple[str, ...]:
        """Return what the person should know besides."""
        if how == "stated":
            return ("the numbers of this calibration are not on record",)
        if self.temperature is None or how != "buffers":
            return ()
        celsius = self.temperature.value
        found = []
        for ph, _ in self.buffers:
            name = meant_buffer(ph.value)
            there = None if name is None else buffer_ph(name, celsius)
            if there is not None and abs(there - ph.value) >= _DIFFERS:
                found.append(
                    f"the {name} buffer has pH {there:.2f} at {self.temperature.text} "
                    f"°C (JIS Z 8802), not {ph.text}: type the value that holds at the "
                    "temperature of the buffer"
                )
        return tuple(found)

    def _check_stated(self, result: Result | None) -> None:
        if self.reread is not None:
            self.faults.append("a buffer read again goes with --buffer or --slope")
        elif result is None and not self.faults:
            wanted = {
                PH_METER: "two buffers, such as --buffer 7.00=-15 --buffer 4.01=160 "
                "--temperature 22, or the slope that the meter shows, --slope 98.6"
            }.get(self.instrument.kind, "what it read, such as --standard 50.00=50.01")
            self.faults.append(f"nothing was typed of it; give {wanted}")
        elif result is not None and self.because is None:
            self.faults.append("without numbers, say with --because how it is known")

    def _check_buffers(self) -> None:
        if len(self.wish.buffers) == 1:
            self.faults.append(
                "one buffer tells no slope; calibrate in two that lie around what is "
                "read, such as 4.01 and 7.00"
            )
        for ph, mv in self.buffers:
            if not _LOWEST_PH <= ph.value <= _HIGHEST_PH:
                low, high = _LOWEST_PH, _HIGHEST_PH
                self.faults.append(f"no buffer has pH {ph}; give {low} to {high}")
            if abs(mv.value) > _MOST_MV:
                self.faults.append(
                    f"no glass electrode gives {mv} mV in a buffer; look at the point"
                )
        for (one, _), (other, _) in combinations(self.buffers, 2):
            if abs(one.value - other.value) < _CLOSEST:
                self.faults.append(
                    f"the buffers {one} and {other} are the same or lie closer than "
                    f"{_CLOSEST} pH; take two that differ"
                )
        if self.wish.temperature is None:
            self.faults.append("give the buffers' --temperature, such as 22")
        self._check_temperature()
        if not self.faults and self.temperature is not None:
            slope = slope_percent(self._readings(), self.temperature.value)
            if slope < _SWAPPED:
                self.faults.append(
                    "the millivolts fall where the pH falls; look whether two readings "
                    "changed places or lost their sign"
                )

    def _check_temperature(self) -> None:
        celsius = self.temperature
        low, high = LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE
        if celsius is not None and not low <= celsius.value <= high:
            self.faults.append(
                f"buffers are tabulated from {low} to {high} °C, not at {celsius}; "
                "look at --temperature"
            )

    def _readings(self) -> list[BufferReading]:
        return [BufferReading(ph.value, mv.value) for ph, mv in self.buffers]

    def _result(self) -> Result | None:
        typed = (self.wish.result or "").strip().casefold()
        if typed in {"passed", "failed"}:
            return "passed" if typed == "passed" else "failed"
        if typed:
            self.faults.append(f"--result {self.wish.result}: write passed or failed")
        return None

    def _because(self) -> str | None:
        said = (self.wish.because or "").strip()
        return checked_text(said, "the reason") if said else None

    def _pairs(
        self, typed: Sequence[str], what: str, example: str
    ) -> list[tuple[Number, Number]]:
        found = []
        for one in typed:
            value, equals, read = one.partition("=")
            if not equals:
                self.faults.append(f"--{what} {one}: write it as {example}")
                continue
            pair = self._number(value, what), self._number(read, what)
            if pair[0] is not None and pair[1] is not None:
                found.append((pair[0], pair[1]))
                if what == "standard" and pair[0].value <= 0:
                    self.faults.append(f"--{what} {one}: give a value above 0")
        return found

    def _number(self, typed: str | None, what: str) -> Number | None:
        if typed is None:
            return None
        try:
            number = parse_number(typed.strip(), f"--{what}")
        except StabilityError as fault:
            self.faults.append(str(fault).rstrip("."))
            return None
        if number.qualifier:
            self.faults.append(f"--{what} {typed}: write the number alone")
            return None
        return number
