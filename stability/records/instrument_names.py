"""Names of instruments in settings: which attribute is meant, and which instrument.

People type `instrument=PH1`. What is stored is the whole name, PH1-9XR2, so that two
makers' meters of one short name stay apart wherever the study goes. A setting that the
protocol fixes, such as the viscometer of T0, stays as typed: it names a series.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from stability.errors import StabilityError
from stability.errors.instruments import NothingReadWithError
from stability.model import content
from stability.model.attribute import Attribute
from stability.model.content import Content
from stability.model.surroundings import INSTRUMENT
from stability.records.intake import find_attribute

#: Whole name -> kind of instrument.
Known = Mapping[str, str]


def _none() -> Known:
    return {}


class InstrumentNames:
    """The instruments that are known, looked up when one is named first."""

    def __init__(self, known: Callable[[], Known] = _none) -> None:
        self._look = known
        self._known: Known | None = None

    def meant(self, stated: str) -> tuple[str, ...]:
        """Return the whole names that a short or whole name may mean."""
        if self._known is None:
            self._known = self._look()
        name = stated.strip().upper()
        return tuple(
            one for one in self._known if name in {one, one.rpartition("-")[0]}
        )

    def kind_of(self, stated: str) -> str | None:
        """Return the kind of the one instrument that is meant; None where none is."""
        found = self.meant(stated)
        return (self._known or {})[found[0]] if len(found) == 1 else None

    def completed(
        self, kind: str, held: Content, attributes: Mapping[str, Attribute]
    ) -> Content:
        """Return the content of an entry with the instrument by its whole name.

        Parameters
        ----------
        kind
            Of the entry.
        held
            Its content.
        attributes
            The protocol's.
        """
        if kind == content.CORRECTED:
            inner = self._named(held["observation"], attributes)
            return {**held, "observation": inner}
        return self._named(held, attributes) if kind == content.OBSERVED else held

    def spread(
        self,
        settings: Iterable[str],
        attributes: Mapping[str, Attribute],
        readings: Sequence[str] | None = None,
    ) -> list[str]:
        """Return settings, `instrument=PH1` given to the attributes it is meant for.

        Parameters
        ----------
        settings
            As typed.
        attributes
            The protocol's.
        readings
            `NAME=READING` as typed beside them; None where they hold for a whole day.

        Raises
        ------
        NothingReadWithError
            If nothing is read with it, or it cannot be told what is.
        """
        found = []
        for one in settings:
            name, equals, stated = one.partition("=")
            if equals and name.strip().casefold() == INSTRUMENT:
                owners = self._owners(stated.strip(), attributes, readings)
                found += [f"{owner}.{INSTRUMENT}={stated.strip()}" for owner in owners]
            else:
                found.append(one)
        return found

    def _named(self, held: Content, attributes: Mapping[str, Attribute]) -> Content:
        stated = held["settings"].get(INSTRUMENT)
        if stated is None:
            return held
        setting = attributes[held["attribute"]].all_settings.get(INSTRUMENT)
        meant = self.meant(stated)
        if setting is None or setting.kind != "recorded" or meant in {(), (stated,)}:
            return held
        if len(meant) > 1:
            return held
        return {**held, "settings": {**held["settings"], INSTRUMENT: meant[0]}}

    def _owners(
        self,
        stated: str,
        attributes: Mapping[str, Attribute],
        readings: Sequence[str] | None,
    ) -> list[str]:
        having = [one for one in attributes.values() if INSTRUMENT in one.all_settings]
        if readings is not None:
            there = _read(readings, attributes)
            having = [one for one in having if one.name in there]
        kind = self.kind_of(stated)
        if kind is None:
            if len(having) == 1:
                return [having[0].name]
            names = " or ".join(one.name for one in having)
            reason = f"it may be {names}" if having else "nothing here is read with one"
            raise NothingReadWithError(stated, reason)
        fit = [one.name for one in having if _fits(one, kind)]
        if not fit:
            raise NothingReadWithError(
                stated, f"it is a {kind}, and nothing here is read with one"
            )
        return fit


def _fits(attribute: Attribute, kind: str) -> bool:
    wanted = (attribute.instrument or "").casefold()
    known = kind.casefold()
    return bool(wanted) and (wanted.startswith(known) or known.startswith(wanted))


def _read(readings: Sequence[str], attributes: Mapping[str, Attribute]) -> set[str]:
    """Return the attributes of which something was typed."""
    found = set()
    for one in readings:
        try:
            attribute, _ = find_attribute(one.partition("=")[0].strip(), attributes)
        except StabilityError:
            continue  # told when the readings themselves are read
        found.add(attribute.name)
    return found
