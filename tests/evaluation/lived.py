"""Small studies lived through check by check, for what is concluded from them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from stability.model.age import check_order, parse_age
from stability.model.attribute import Attribute
from stability.model.protocol import Protocol
from stability.model.study import Sample
from tests.evaluation.builders import PLACED, Bench, bulk, protocol, sample, study

#: (attribute, condition, check) -> reading; what is not named reads as at T0.
Readings = dict[tuple[str, str, str], str]
#: What is read where nothing else is said.
USUAL = {"pH": "5.50", "odour": "as control"}


def day_of(check: str) -> date:
    """Return the due day of a check of samples placed on the usual day."""
    age = parse_age(check)
    return PLACED if age is None else age.after(PLACED)


def small_protocol(*names: str, **changes: Any) -> Protocol:
    """Return the small protocol with some of its attributes only."""
    whole = protocol()
    kept: dict[str, Attribute] = {
        name: one
        for name, one in whole.attributes.items()
        if name in (names or ("pH", "odour"))
    }
    if "odour" in kept:
        kept["odour"] = replace(kept["odour"], observers=1, compared_with=None)
    if "pH" in kept:
        kept["pH"] = replace(kept["pH"], readings=1)
    return replace(whole, attributes=kept, **changes)


def jar(condition: str, batch: str = "A", **changes: Any) -> Sample:
    """Return a jar that is opened again at each check."""
    return sample(f"HDC-{condition}-{batch}", condition, batch=batch, **changes)


def lived(
    conditions: Sequence[str] = ("ROOM",),
    readings: Readings | None = None,
    *,
    until: str = "12M",
    rules: Protocol | None = None,
    batches: Sequence[str] = ("A",),
    pack: str = "JAR",
    opened: str = "2025-01-06",
    **request: Any,
) -> Bench:
    """Return a study read at every check up to one, of one jar a condition and batch.

    Parameters
    ----------
    conditions
        Conditions with a jar.
    readings
        What does not read as at T0; "" is not read.
    until
        Last check that is read.
    rules
        The protocol; None takes pH and odour of the small one.
    batches, pack, opened
        Of the study.
    request
        Changes of the study file.
    """
    used = rules or small_protocol()
    bench = Bench(
        [bulk(batch) for batch in batches]
        + [jar(name, batch, pack=pack) for name in conditions for batch in batches],
        protocol=used,
        study=study(batches, **request),
        opened=opened,
    )
    said = readings or {}
    for batch in batches:
        for name in used.attributes:
            value = said.get((name, "T0", "T0"), USUAL[name])
            bench.read(f"BULK-{batch}", name, "T0", value, done="2025-01-09")
        for condition in conditions:
            bench.place(f"HDC-{condition}-{batch}", condition)
    for condition in conditions:
        for check in used.conditions[condition].all_checks:
            if check_order(check) <= check_order(until) or check.startswith("c"):
                for batch in batches:
                    _read(bench, said, f"HDC-{condition}-{batch}", condition, check)
    return bench


def _read(bench: Bench, said: Readings, code: str, condition: str, check: str) -> None:
    done = day_of(check).isoformat()
    for name in bench.protocol.attributes:
        value = said.get((name, condition, check), USUAL[name])
        if value:
            bench.read(code, name, check, value, done=done)
