"""What differs between two records of the model, field by field, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from typing import Any, Final

#: Tables of a file whose keys are names that a maker chose -> what is said of a name.
_NAMED: Final = {
    "attributes": "{}", "conditions": "condition {}", "packs": "pack {}",
    "batches": "batch {}", "places": "storage place of {}",
    "place_on": "planned placing in {}", "omit": "{} left out because",
    "limit_at": "limit at {}", "settings": "setting {}", "process": "making, {}",
}  # fmt: skip
#: Fields whose names say too little, or more than people do.
_SAID: Final = {
    "absolute": "", "change": "change from initial", "percent_of_initial":
    "% of initial", "when": "read at", "far": "asks again from a difference of",
    "t0": "T0", "analysis": "evaluation", "place_within": "placed within",
    "bears_request": "bears the request", "fill_g": "fill [g]", "tare_g": "tare [g]",
    "takes_g": "takes [g]", "needs_g": "needs [g]", "grams": "mass [g]",
    "request": "asked for", "evaluate_at": "evaluated at", "readings":
    "readings a check", "one_of": "one of the group", "provided_by": "comes from",
    "on": "read on", "text": "description",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Difference:
    """One place at which two records differ."""

    #: Where: names of fields and keys, outermost first.
    path: tuple[str, ...]
    #: What stood there; None where there was nothing.
    before: str | None
    #: What stands there now; None where there is nothing.
    after: str | None

    @property
    def place(self) -> str:
        """Return where, as it is written in a file: `attributes.pH.far`."""
        return ".".join(self.path)

    @property
    def words(self) -> str:
        """Return where, as people say it: `pH, limit, lowest`."""
        said, path = [], list(self.path)
        while path:
            name = path.pop(0)
            if name in _NAMED and path:
                said.append(_NAMED[name].format(path.pop(0)))
            else:
                said.append(_said(name))
        return ", ".join(one for one in said if one)

    def __str__(self) -> str:
        if self.before is None:
            return f"{self.words}: {self.after}, new"
        if self.after is None:
            return f"{self.words}: {self.before}, taken away"
        return f"{self.words}: {self.before} → {self.after}"


def _said(field: str) -> str:
    return _SAID.get(field, field.replace("_", " "))


def differences(
    before: Any, after: Any, path: tuple[str, ...] = ()
) -> Iterator[Difference]:
    """Yield every place at which two records differ, in the order of the fields.

    Records and mappings are followed inwards while both sides have one; anything else
    is compared whole.

    Parameters
    ----------
    before, after
        Records, mappings or plain values.
    path
        Where they stand.

    Examples
    --------
    >>> [str(one) for one in differences({"far": 1, "unit": "mm"}, {"far": 2})]
    ['asks again from a difference of: 1 → 2', 'unit: mm, taken away']
    """
    inner_before, inner_after = _inner(before), _inner(after)
    if inner_before is not None and inner_after is not None:
        for name in {**inner_before, **inner_after}:
            yield from differences(
                inner_before.get(name), inner_after.get(name), (*path, name)
            )
    elif _written(before) != _written(after):
        yield Difference(path, _written(before), _written(after))


def _inner(value: Any) -> Mapping[str, Any] | None:
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: getattr(value, one.name) for one in fields(value)}
    return value if isinstance(value, Mapping) else None


def _written(value: Any) -> str | None:
    """Return a value as people write it; None for nothing."""
    if value is None or value in ((), "", {}):
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(_written(one) or "–" for one in value)
    inner = _inner(value)
    if inner is None or "__str__" in vars(type(value)):
        return str(value)
    usual = _usual(value)
    told = {
        name: _written(one)
        for name, one in inner.items()
        if name != "name" and (name not in usual or one != usual[name])
    }
    said = "; ".join(
        f"{_said(name)} {one}".strip() for name, one in told.items() if one is not None
    )
    return said or None


def _usual(value: Any) -> Mapping[str, Any]:
    """Return what the fields of a record hold where nobody says otherwise."""
    if not is_dataclass(value):
        return {}
    found = {one.name: one.default for one in fields(value)}
    made = {
        one.name: one.default_factory()
        for one in fields(value)
        if one.default_factory is not MISSING
    }
    return {name: one for name, one in {**found, **made}.items() if one is not MISSING}
