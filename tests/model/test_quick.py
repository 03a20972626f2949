"""Records made quickly are the records they were."""

from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError, asdict, dataclass, field, fields, replace
from functools import partial
from typing import Any

import pytest

from stability.model.entry import Draft, Entry, Head
from stability.model.observation import Observation, Reading
from stability.model.quick import quick
from stability.model.schedule import PlannedCheck
from stability.records.event_rows import TakenRow
from stability.records.logged import Logged
from stability.records.rows import Row
from stability.records.sheet_table import TableRow
from stability.records.typed import Typed

QUICK = [
    Draft, Entry, Head, Logged, Observation, PlannedCheck, Reading, Row, TableRow,
    TakenRow, Typed,
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Plain:
    """A record as the standard library makes it."""

    #: The code.
    code: str
    #: How many.
    count: int = 1
    #: By name.
    named: dict[str, str] = field(default_factory=dict)


@quick
@dataclass(frozen=True, slots=True)
class Weighed:
    """The same fields."""

    #: The code.
    code: str
    #: How many.
    count: int = 1
    #: By name.
    named: dict[str, str] = field(default_factory=dict)


def make(record: Any, name: str) -> Any:
    """Return a record in one of several ways."""
    ways = {
        "least": partial(record, "A"),
        "places": partial(record, "A", 2, {"a": "b"}),
        "names": partial(record, named={"a": "b"}, code="A"),
    }
    return ways[name]()


@pytest.mark.parametrize("way", ["least", "places", "names"])
def test_it_takes_the_same_and_holds_the_same(way: str) -> None:
    assert asdict(make(Weighed, way)) == asdict(make(Plain, way))


def test_a_default_that_is_made_is_made_anew_each_time() -> None:
    assert Weighed("A").named is not Weighed("A").named


@pytest.mark.parametrize(
    "given", [{}, {"code": "A", "weight": 1}, {"code": "A", "missing": 1}]
)
def test_what_does_not_fit_is_refused_as_ever(given: dict[str, Any]) -> None:
    for record in (Plain, Weighed):
        with pytest.raises(TypeError, match=r"__init__\(\)"):
            record(**given)


def test_nothing_can_be_changed_and_copies_are_equal() -> None:
    one = Weighed("A", 2)

    with pytest.raises(FrozenInstanceError):
        one.count = 3  # type: ignore[misc]
    assert replace(one, count=3) == Weighed("A", 3)
    assert copy.deepcopy(one) == one
    assert pickle.loads(pickle.dumps(one)) == one  # noqa: S301 - our own bytes


@pytest.mark.parametrize("record", QUICK, ids=lambda one: one.__name__)
def test_every_field_gets_the_value_given_for_it(record: Any) -> None:
    names = [one.name for one in fields(record)]
    values = {name: object() for name in names}

    by_name, in_order = record(**values), record(*values.values())

    for name in names:
        assert getattr(by_name, name) is values[name]
        assert getattr(in_order, name) is values[name]


def test_other_classes_are_refused() -> None:
    @dataclass(slots=True)
    class Changing:
        code: str

    @dataclass(frozen=True)
    class Open:
        code: str

    @dataclass(frozen=True, slots=True)
    class Working:
        code: str

        def __post_init__(self) -> None:
            """Do more."""

    @dataclass(frozen=True, slots=True)
    class Hidden:
        code: str = field(init=False)

    for record in (int, Changing, Open, Working, Hidden):
        with pytest.raises(TypeError):
            quick(record)
