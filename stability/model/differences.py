"""What differs between two records of the model, field by field, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any


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

    def __str__(self) -> str:
        if self.before is None:
            return f"{self.place}: {self.after}, new"
        if self.after is None:
            return f"{self.place}: {self.before}, taken away"
        return f"{self.place}: {self.before} → {self.after}"


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
    ['far: 1 → 2', 'unit: mm, taken away']
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
    told = {name: _written(one) for name, one in inner.items()}
    said = "; ".join(f"{name} {one}" for name, one in told.items() if one is not None)
    return said or None
