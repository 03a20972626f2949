"""What was typed for one attribute: numbers, words of a scale, observers.

Physical bounds hold here: pH 0 to 14, a score on its scale, a weight above 0 g. What
the protocol states as possible comes first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Final, Literal, NamedTuple

from stability.errors import StabilityError
from stability.errors.samples import ReadingsError
from stability.model import content
from stability.model.attribute import Attribute
from stability.model.canonical import Template, Written, written_text
from stability.model.content import Content
from stability.model.nearest import nearest
from stability.model.number import parse_number
from stability.model.observation import Reading
from stability.model.plain_text import checked_text
from stability.model.quick import quick
from stability.records.names import find_name, matching

NOT_MEASURED: Final = "not-measured"
Part = Literal["before", "after"]

#: How the two weights of a container are typed.
WEIGHTS: Final[Mapping[str, Part]] = {"w": "before", "w2": "after"}
#: Unit -> lowest and highest possible reading where the protocol states none.
POSSIBLE: Final[Mapping[str, tuple[Decimal | None, Decimal | None]]] = {
    "pH": (Decimal(0), Decimal(14)),
    "°C": (Decimal("-273.15"), None),
    **{
        unit: (Decimal(0), None)
        for unit in ("mPa·s", "Pa·s", "g", "mm", "cm", "s", "CFU/g", "meq/kg")
    },
    "lx·h": (Decimal(0), None),
    "N": (Decimal(0), None),
}


@dataclass(frozen=True, slots=True)
class BenchFacts:
    """What holds for every reading of one line: set for the day, or typed with it."""

    #: Observers in the order in which their readings are typed.
    observers: tuple[str, ...] = ()
    #: Attribute -> setting -> value.
    settings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    #: Attribute ("" for all) -> code of the sample to compare with.
    control: Mapping[str, str] = field(default_factory=dict)
    #: Whether observers did not know which sample was which.
    blind: bool = False
    #: Why something was not measured; None where nothing was said.
    because: str | None = None
    #: Whether numbers are written with a decimal comma, as a file may declare.
    decimal_comma: bool = False


@quick
@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed for one attribute, understood."""

    #: The attribute.
    attribute: Attribute
    #: Readings as typed; empty where it was not measured.
    readings: tuple[Reading, ...] = ()
    #: For weights: before opening or after closing; None for other attributes.
    part: Part | None = None
    #: Settings by name.
    settings: Mapping[str, str] = field(default_factory=dict)
    #: Observers in the order of the readings.
    observers: tuple[str, ...] = ()
    #: Sample it was compared with; None where there was none.
    control: str | None = None
    #: Whether the observers did not know which sample was which.
    blind: bool = False
    #: Further readings by name.
    extra: Mapping[str, str] = field(default_factory=dict)
    #: Why it was not measured; None where it was.
    not_measured: str | None = None
    #: What the person should know, without being stopped.
    remarks: tuple[str, ...] = ()
    #: How it is written but for what is open; None where it is written by itself.
    template: Template | None = None
    #: What is open in the template, but for sample and check.
    told: Mapping[str, Written] = field(default_factory=dict)

    @property
    def unit(self) -> str:
        """Return the unit of the readings; "" for words."""
        if self.part is not None:
            return "g"
        return self.attribute.unit if self.attribute.kind == "measured" else ""

    def content(
        self,
        sample: str,
        check: str | None,
        *,
        repeats: int | None = None,
        because: str | None = None,
    ) -> Content:
        """Return what the entry holds."""
        return content.observed(
            sample,
            self.attribute.name,
            check,
            self.readings,
            unit=self.unit,
            part=self.part,
            settings=self.settings,
            observers=self.observers,
            control=self.control,
            blind=self.blind,
            extra=self.extra,
            not_measured=self.not_measured,
            repeats=repeats,
            because=because,
        )

    def written(self, sample: str, check: str | None) -> tuple[Content, str | None]:
        """Return what the entry holds, with its text where a template knows it."""
        if self.template is None:
            return self.content(sample, check), None
        told = {
            **self.told,
            "sample": written_text(sample),
            "check": written_text(check),
        }
        return self.template.filled(told)

    def text(self) -> str:
        """Return it as one would read it aloud: `pH 5.47 / 5.49`."""
        name = self.attribute.name
        if self.part is not None:
            name = {"before": "weight", "after": "weight after closing"}[self.part]
        if self.not_measured is not None:
            return f"{name} not measured"
        unit = f" {self.unit}" if self.unit not in {"", "1", "pH"} else ""
        return f"{name} {' / '.join(map(_said, self.readings))}{unit}"


def read_attribute(
    attribute: Attribute, part: Part | None, reading: str, facts: BenchFacts
) -> Typed:
    """Read what was typed for one attribute.

    Raises
    ------
    ReadingsError
        With every fault of the reading.
    """
    if reading == NOT_MEASURED:
        return not_measured(attribute, part, facts)
    found = read_readings(attribute, part, reading, facts, {})
    return Typed(
        attribute, found.readings, part, observers=found.observers,
        remarks=found.remarks,
    )  # fmt: skip


def not_measured(attribute: Attribute, part: Part | None, facts: BenchFacts) -> Typed:
    """Return that an attribute was not measured.

    Raises
    ------
    ReadingsError
        If nothing says why.
    """
    if not facts.because:
        raise ReadingsError([f"{attribute.name}=not-measured needs --because"])
    return Typed(attribute, part=part, not_measured=facts.because)


class TypedReadings(NamedTuple):
    """Readings of one attribute, understood."""

    #: As typed.
    readings: tuple[Reading, ...]
    #: Who observed, in the order of the readings.
    observers: tuple[str, ...]
    #: What the person should know, without being stopped.
    remarks: tuple[str, ...]


def read_readings(
    attribute: Attribute,
    part: Part | None,
    reading: str,
    facts: BenchFacts,
    known: dict[str, Reading],
) -> TypedReadings:
    """Read the readings that were typed for one attribute.

    Parameters
    ----------
    attribute, part
        The attribute; of weights which.
    reading
        As typed.
    facts
        What holds for the line.
    known
        Single readings of the same attribute, part and facts that were read already,
        by how they were typed; it grows.

    Raises
    ------
    ReadingsError
        With every fault of the reading.
    """
    faults: list[str] = []
    readings: list[Reading] = []
    numbers = attribute.kind == "measured" and ":" not in reading
    for piece in _pieces(reading, attribute):
        try:
            one = known.get(piece)
            if one is None:
                read = _number if numbers else _reading
                one = known[piece] = read(piece, attribute, part, facts)
            readings.append(one)
        except StabilityError as fault:
            faults.append(str(fault))
    if faults:
        raise ReadingsError(faults)
    if numbers and attribute.observers == 1:
        remarks = tuple(_count_remarks(readings, attribute, part))
        return TypedReadings(tuple(readings), (), remarks)
    named = _observed_by(readings, attribute, facts)
    return TypedReadings(
        tuple(named),
        tuple([one.observer for one in named if one.observer is not None]),
        tuple(_count_remarks(named, attribute, part)),
    )


def _pieces(reading: str, attribute: Attribute) -> list[str]:
    scale = attribute.scale
    if scale and reading.casefold() in {word.casefold() for word in scale}:
        return [reading]
    return [piece.strip() for piece in reading.split("/")]


def _reading(
    piece: str, attribute: Attribute, part: Part | None, facts: BenchFacts
) -> Reading:
    observer, text = _split_observer(piece, attribute)
    if observer is not None:
        observer = _known_observer(observer, facts.observers)
    if attribute.kind == "measured":
        number = _number(text, attribute, part, facts)
        return number if observer is None else replace(number, observer=observer)
    return Reading(_word(text, attribute), observer=observer)


def _split_observer(piece: str, attribute: Attribute) -> tuple[str | None, str]:
    name, colon, text = piece.partition(":")
    if not colon or piece in attribute.scale:
        return None, piece
    return name.strip(), text.strip()


def _known_observer(typed: str, observers: Sequence[str]) -> str:
    if not observers:
        return checked_text(typed, "the observer")
    return find_name(typed, observers, "observer of the day")


def _number(
    text: str, attribute: Attribute, part: Part | None, facts: BenchFacts
) -> Reading:
    typed = text.replace(",", ".") if facts.decimal_comma else text
    number = parse_number(typed, attribute.name)
    low, high = _possible(attribute, part)
    if part is not None and (number.value <= 0 or number.qualifier):
        raise ReadingsError([f"weight {number}: a weight is a number of g above 0"])
    if low is not None and number.value < low:
        said = f"{attribute.name} {number}: nothing below {low} is possible"
        raise ReadingsError([said])
    if high is not None and number.value > high:
        said = f"{attribute.name} {number}: nothing above {high} is possible"
        raise ReadingsError([said])
    return Reading(number.text, number.qualifier)


def _possible(
    attribute: Attribute, part: Part | None
) -> tuple[Decimal | None, Decimal | None]:
    if part is not None:
        return (None, None)
    usual = POSSIBLE.get(attribute.unit, (None, None))
    low, high = attribute.lowest_possible, attribute.highest_possible
    return (usual[0] if low is None else low, usual[1] if high is None else high)


def _word(text: str, attribute: Attribute) -> str:
    """Return the word of the scale that was typed, begun or counted."""
    scale = attribute.scale
    if not scale:
        return checked_text(text, attribute.name)
    same = [word for word in scale if word.casefold() == text.casefold()]
    if same:
        return same[0]
    if attribute.kind == "scored" and text.isascii() and text.isdigit():
        if int(text) < len(scale):
            return scale[int(text)]
        raise ReadingsError(
            [f"{attribute.name} {text} is off its scale: 0 to {len(scale) - 1}"]
        )
    begun = matching(text, scale)
    if len(begun) == 1:
        return begun[0]
    close = () if begun else nearest(text, scale, 1)
    hint = f"; did you mean “{close[0]}”" if close else ""
    words = ", ".join(f"“{word}”" for word in scale)
    raise ReadingsError([f"{attribute.name} {text!r} is not one of {words}{hint}"])


def _observed_by(
    readings: Sequence[Reading], attribute: Attribute, facts: BenchFacts
) -> Sequence[Reading]:
    """Return the readings with their observers."""
    names = [one.observer for one in readings if one.observer is not None]
    if names:
        _check_named(names, readings, attribute)
        return readings
    several = attribute.kind != "measured" or attribute.observers > 1
    if not several or (len(readings) == 1 and attribute.observers == 1):
        return readings
    if len(readings) == len(facts.observers):
        return [
            replace(one, observer=name)
            for one, name in zip(readings, facts.observers, strict=True)
        ]
    if len(readings) == 1 and not facts.observers:
        return readings
    there = ", ".join(facts.observers) or "nobody"
    fault = (
        f"{attribute.name}: {len(readings)} readings, but the observers are {there}. "
        f"Name them, such as {attribute.name}=Ana:0/Ben:1"
    )
    raise ReadingsError([fault])


def _check_named(
    names: Sequence[str], readings: Sequence[Reading], attribute: Attribute
) -> None:
    if len(names) < len(readings):
        raise ReadingsError([f"{attribute.name}: name every observer or none"])
    if attribute.kind != "measured" and len(set(names)) < len(names):
        raise ReadingsError([f"{attribute.name}: an observer is named twice"])


def _count_remarks(
    readings: Sequence[Reading], attribute: Attribute, part: Part | None
) -> Iterable[str]:
    if part is not None:
        return
    wanted = attribute.readings if attribute.kind == "measured" else attribute.observers
    what = "readings" if attribute.kind == "measured" else "observers"
    if len(readings) < wanted:
        yield f"{attribute.name}: {len(readings)} of {wanted} {what}"


def setting_remarks(attribute: Attribute, settings: Mapping[str, str]) -> Iterable[str]:
    """Yield settings that are not as the protocol prescribes them."""
    for name, value in settings.items():
        setting = attribute.settings.get(name)
        if setting is None:
            continue
        if setting.kind == "fixed" and setting.value not in {None, value}:
            yield f"{attribute.name}: {name} {value} instead of {setting.value}"
        if setting.kind == "band" and setting.excludes(Decimal(value)):
            told = f"{attribute.name}: {name} {value} lies outside its band, "
            yield f"{told}{setting.band}{_consequence(attribute, name)}"


def _consequence(attribute: Attribute, name: str) -> str:
    """Say what to do where the instrument itself says that a value compares badly."""
    if name not in attribute.told_with_reading:
        return ""
    return (
        ": the reading compares with no other, so it shows no pass. Read again before "
        "the container is put back, at T0 with settings that bring it inside, and set "
        "this one aside with invalidate"
    )


def _said(reading: Reading) -> str:
    who = f"{reading.observer}: " if reading.observer else ""
    return f"{who}{reading}"
