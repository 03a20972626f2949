"""Typed readings turned into what an entry of kind `observed` holds.

`pH=5.47/5.49`: readings are separated by `/`. `odour=0/1`: so are several observers,
in the order in which they were named for the day; `odour=Ana:0/Ben:1` names them. A
score is its word, an unmistakable beginning of it, or its 0-based place in the scale.
`w=78.42` and `w2=73.10` are the weights before opening and after closing.
`pH=not-measured` goes with a reason. `pH.dilution=10 %` is a setting, `layer_mm=2` one
of the further readings that an attribute asks for.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stability.errors import StabilityError
from stability.errors.samples import ReadingsError
from stability.model import content
from stability.model.attribute import TYPED_UNITS, Attribute, Setting
from stability.model.canonical import Template, written_texts
from stability.model.number import parse_number
from stability.model.observation import Reading
from stability.model.plain_text import checked_text
from stability.model.surroundings import INSTRUMENT
from stability.records.names import find_name, matching
from stability.records.typed import (
    NOT_MEASURED,
    WEIGHTS,
    BenchFacts,
    Part,
    Typed,
    not_measured,
    read_attribute,
    read_readings,
    setting_remarks,
)


def read_typed(
    typed: Sequence[str],
    attributes: Mapping[str, Attribute],
    facts: BenchFacts,
    omitted: Mapping[str, str] | None = None,
) -> tuple[Typed, ...]:
    """Read all that was typed for one sample.

    Parameters
    ----------
    typed
        `NAME=READING` each.
    attributes
        The protocol's.
    facts
        What holds for the whole line.
    omitted
        Attribute that the study leaves out -> reason.

    Raises
    ------
    ReadingsError
        With every fault of the line, one a line.
    """
    line = _Line(attributes, facts, omitted or {})
    for one in typed:
        try:
            line.take(one)
        except StabilityError as fault:
            line.faults.append(str(fault))
    understood = line.finish()
    if line.faults:
        raise ReadingsError(line.faults)
    return understood


@dataclass(frozen=True, slots=True)
class Prepared:
    """What holds for an attribute in every row that says the same beside it."""

    #: The attribute.
    attribute: Attribute
    #: For weights: before opening or after closing; None for other attributes.
    part: Part | None
    #: What holds for the line.
    facts: BenchFacts
    #: What a reading gets besides, already understood.
    beside: Typed
    #: How it is written but for sample, check, readings and observers; None where each
    #: is written by itself.
    template: Template | None = None
    #: What was read already; words of a scale come again and again.
    known: dict[str, Typed] = field(default_factory=dict)
    #: The same for single readings.
    pieces: dict[str, Reading] = field(default_factory=dict)

    def read(self, reading: str) -> Typed:
        """Read one reading.

        Raises
        ------
        ReadingsError
            With every fault of the reading.
        """
        known = self.known.get(reading)
        if known is None:
            known = self.known[reading] = self._read(reading)
        return known

    def _read(self, reading: str) -> Typed:
        part = self.part
        if self.attribute.from_weights and reading == NOT_MEASURED:
            part = part or "before"
        elif self.attribute.from_weights and part is None:
            raise ReadingsError([_from_weights(self.attribute)])
        if reading == NOT_MEASURED:
            return not_measured(self.attribute, part, self.facts)
        readings, observers, remarks = read_readings(
            self.attribute, part, reading, self.facts, self.pieces
        )
        beside = self.beside
        told = {
            "readings": content.written_readings(readings),
            "observers": written_texts(observers),
        }
        return Typed(
            self.attribute, readings, part, beside.settings, observers, beside.control,
            beside.blind, beside.extra, None, (*remarks, *beside.remarks),
            self.template, told,
        )  # fmt: skip


def prepare(
    name: str,
    beside: Sequence[str],
    attributes: Mapping[str, Attribute],
    facts: BenchFacts,
    omitted: Mapping[str, str],
) -> Prepared:
    """Read what stands beside a reading, once for all rows in which it is the same.

    Parameters
    ----------
    name
        Of the attribute, as typed.
    beside
        Settings and further readings, `NAME=VALUE` each.
    attributes, facts, omitted
        As in `read_typed`.

    Raises
    ------
    StabilityError
        If something cannot be taken.
    """
    line = _Line(attributes, facts, omitted)
    attribute, part = find_attribute(name, attributes, omitted)
    line.refuse_omitted(attribute)
    for one in beside:
        line.take(one)
    if line.found:
        fault = f"{'; '.join(beside)} holds a reading; give it a row of its own"
        raise ReadingsError([fault])
    bare = Typed(attribute, part=part)
    line.found[attribute.name, part] = bare
    (completed,) = line.finish()
    if line.faults:
        raise ReadingsError(line.faults)
    return Prepared(attribute, part, facts, completed)


def checked_unit(typed: str, expected: str) -> None:
    """Refuse a unit that is not the attribute's; nothing is converted.

    Raises
    ------
    ReadingsError
        If it is another one.
    """
    unit = TYPED_UNITS.get(typed, typed)
    if unit != expected:
        wanted = expected or "none, it is a word"
        raise ReadingsError(
            [f"the unit {typed} is not that of the attribute ({wanted})"]
        )


def find_attribute(
    typed: str, attributes: Mapping[str, Attribute], omitted: Collection[str] = ()
) -> tuple[Attribute, Part | None]:
    """Return the attribute that a typed name means, with the part for weights.

    Parameters
    ----------
    typed
        As typed.
    attributes
        The protocol's.
    omitted
        Names of those that the study leaves out: they are found by their name, and
        neither offered nor meant where another one may be.

    Raises
    ------
    UnknownNameError
        If none or more than one is meant.
    """
    by_name: dict[str, Attribute] = {}
    for one in attributes.values():
        by_name[one.name] = one
        if one.short:
            by_name[one.short] = one
    weighed = next((one for one in attributes.values() if one.from_weights), None)
    if typed in WEIGHTS and weighed is not None and typed not in by_name:
        return weighed, WEIGHTS[typed]
    meant = {by_name[name].name for name in matching(typed, by_name)}
    kept = meant.difference(omitted) or meant
    if len(kept) == 1:
        return attributes[kept.pop()], None
    weights = [] if weighed is None or weighed.name in omitted else list(WEIGHTS)
    offered = [name for name, one in by_name.items() if one.name not in omitted]
    found = find_name(typed, [*(sorted(kept) or offered), *weights], "attribute")
    return by_name[found], None


def read_setting(
    typed: str, attributes: Mapping[str, Attribute], decimal_comma: bool = False
) -> tuple[str, str, str]:
    """Read `pH.dilution=10 %`: attribute, setting, value.

    The attribute may be left out where only one has such a setting.

    Raises
    ------
    StabilityError
        If attribute, setting or value cannot be taken.
    """
    name, equals, value = typed.partition("=")
    if not equals or not value.strip():
        raise ReadingsError([f"{typed}: write a setting as pH.dilution=10 %"])
    attribute, setting = _find_setting(name.strip(), attributes)
    stated = checked_text(value.strip(), f"{attribute.name}.{setting.name}")
    if setting.kind == "band":
        number = stated.replace(",", ".") if decimal_comma else stated
        # Beside a torque the instrument shows its %, and people copy both.
        number = number.removesuffix(setting.unit).rstrip()
        stated = parse_number(number, f"{attribute.name}.{setting.name}").text
    return attribute.name, setting.name, stated


class _Line:
    """All that was typed for one sample, taken one after the other."""

    def __init__(
        self,
        attributes: Mapping[str, Attribute],
        facts: BenchFacts,
        omitted: Mapping[str, str],
    ) -> None:
        self.attributes = attributes
        self.facts = facts
        self.omitted = omitted
        self.faults: list[str] = []
        self.found: dict[tuple[str, Part | None], Typed] = {}
        self.settings: dict[str, dict[str, str]] = {
            name: dict(values) for name, values in facts.settings.items()
        }
        self.extra: dict[str, dict[str, str]] = {}

    def take(self, typed: str) -> None:
        """Take one `NAME=READING`."""
        name, equals, reading = (part.strip() for part in typed.partition("="))
        if not equals or not name:
            raise ReadingsError([f"{typed}: write NAME=READING, such as pH=5.47"])
        if "." in name or self._is_setting(name):
            attribute, setting, value = read_setting(
                typed, self.attributes, self.facts.decimal_comma
            )
            self.settings.setdefault(attribute, {})[setting] = value
        elif (owner := self._asks_for(name)) is not None:
            asked, key = owner
            text = checked_text(reading, key)
            self.extra.setdefault(asked.name, {})[key] = text
        else:
            found = find_attribute(name, self.attributes, self.omitted)
            self._observe(*found, reading)

    def finish(self) -> tuple[Typed, ...]:
        """Return what was understood, with settings and further readings."""
        logged = {name for name, _ in self.found}
        for owner in self.extra:
            if owner not in logged:
                self.faults.append(
                    f"{', '.join(self.extra[owner])} belongs to {owner}, which is not "
                    "among the readings"
                )
        return tuple(map(self._completed, self.found.values()))

    def refuse_omitted(self, attribute: Attribute) -> None:
        """Refuse an attribute that the study leaves out."""
        if attribute.name in self.omitted:
            why = self.omitted[attribute.name]
            raise ReadingsError([f"{attribute.name} is left out of this study: {why}"])

    def _observe(self, attribute: Attribute, part: Part | None, reading: str) -> None:
        self.refuse_omitted(attribute)
        if attribute.from_weights and part is None and reading != NOT_MEASURED:
            raise ReadingsError([_from_weights(attribute)])
        part = part or ("before" if attribute.from_weights else None)
        if (attribute.name, part) in self.found:
            raise ReadingsError([f"{attribute.name} is typed twice"])
        understood = read_attribute(attribute, part, reading, self.facts)
        self.found[attribute.name, part] = understood

    def _completed(self, one: Typed) -> Typed:
        name = one.attribute.name
        if one.not_measured is not None:
            return one
        settings = self.settings.get(name, {})
        compared = one.attribute.compared_with is not None
        control = self.facts.control.get(name) or self.facts.control.get("")
        return replace(
            one,
            settings=_of_part(settings, one.part),
            extra=self.extra.get(name, {}),
            control=control if compared else None,
            blind=self.facts.blind and bool(one.unit == ""),
            remarks=(*one.remarks, *setting_remarks(one.attribute, settings)),
        )

    def _is_setting(self, name: str) -> bool:
        """Say whether a bare name is a setting and nothing else."""
        if matching(name, _typable(self.attributes)):
            return False
        return any(name in one.all_settings for one in self.attributes.values())

    def _asks_for(self, name: str) -> tuple[Attribute, str] | None:
        """Return the attribute that asks for a further reading of this name."""
        if matching(name, _typable(self.attributes)):
            return None
        for attribute in self.attributes.values():
            names = {extra.partition(":")[0].strip() for extra in attribute.extra}
            meant = matching(name, names)
            if len(meant) == 1:
                return attribute, meant[0]
        return None


def _from_weights(attribute: Attribute) -> str:
    return f"{attribute.name} is worked out from weights; type w= and w2="


def _find_setting(
    name: str, attributes: Mapping[str, Attribute]
) -> tuple[Attribute, Setting]:
    owner, dot, own = name.partition(".")
    if dot:
        attribute, _ = find_attribute(owner.strip(), attributes)
        known = attribute.all_settings
        key = find_name(own, known, f"setting of {attribute.name}")
        return attribute, known[key]
    having = [one for one in attributes.values() if name in one.all_settings]
    if len(having) == 1:
        return having[0], having[0].all_settings[name]
    every = [
        f"{one.name}.{key}" for one in attributes.values() for key in one.all_settings
    ]
    meant = find_name(
        name, [one for one in every if one.endswith(f".{name}")] or every, "setting"
    )
    return _find_setting(meant, attributes)


def _of_part(settings: Mapping[str, str], part: Part | None) -> dict[str, str]:
    """Return the settings that belong to a reading: of a weight the balance only."""
    if part is None:
        return dict(settings)
    return {name: value for name, value in settings.items() if name == INSTRUMENT}


def _typable(attributes: Mapping[str, Attribute]) -> list[str]:
    shorts = [one.short for one in attributes.values() if one.short]
    weights = (
        list(WEIGHTS) if any(one.from_weights for one in attributes.values()) else []
    )
    return [*attributes, *shorts, *weights]
