"""The quick answer that a reading is near, held against the exact one."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from stability.model.attribute import Attribute
from stability.model.moment import parse_moment, parse_utc
from stability.model.observation import Observation, Reading
from stability.records.far_readings import far_question, surely_near
from stability.records.typed import Typed
from tests.records.small_study import ZONE

PH = Attribute("pH", "measured", unit="pH")
DONE = parse_moment("2026-03-05", ZONE)
NUMBERS = st.decimals("3", "8", places=3).map(str)


def last(*values: str, qualifier: str = "") -> Observation:
    """Return the last observation."""
    assert DONE is not None
    return Observation(
        position=2,
        sample="HDC-001-5",
        attribute="pH",
        check="T0",
        readings=tuple(Reading(one, qualifier) for one in values),
        done=DONE,
        entered=parse_utc("2026-03-05T12:00:00Z"),
        person="Ana",
    )


def now(*values: str) -> Typed:
    """Return what was typed."""
    return Typed(PH, tuple(map(Reading, values)))


@given(
    st.lists(NUMBERS, min_size=1, max_size=4),
    st.lists(NUMBERS, min_size=1, max_size=4),
    st.sampled_from([None, Decimal("0.5"), Decimal("0.001"), Decimal(2)]),
)
def test_what_is_surely_near_asks_nothing(
    before: list[str], after: list[str], far: Decimal | None
) -> None:
    typed = replace(now(*after), attribute=replace(PH, far=far))

    if surely_near(typed, last(*before)):
        assert far_question(typed, last(*before), None) is None


def test_it_answers_where_it_can_and_never_guesses() -> None:
    assert surely_near(now("5.50"), last("5.52", "5.53"))
    assert not surely_near(now("5.50"), last("5.99"))
    assert not surely_near(now("5.50"), last())
    assert not surely_near(now("5.50"), last("5.50", qualifier="<"))
    weight = replace(now("50"), part="before")
    assert not surely_near(weight, last("50"))
    bare = Attribute("gloss", "measured")
    assert not surely_near(replace(now("5.5"), attribute=bare), last("5.5"))
