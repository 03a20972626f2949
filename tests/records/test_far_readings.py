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


def test_a_change_that_is_just_as_far_as_allowed_asks_nothing() -> None:
    # 0.5 for pH where the protocol states nothing: above, below, and a step beyond.
    assert far_question(now("6.00"), last("5.50"), None) is None
    assert far_question(now("5.00"), last("5.50"), None) is None
    assert far_question(now("6.01"), last("5.50"), None)
    assert far_question(now("4.99"), last("5.50"), None)
    # Held against the mean of the last readings, each reading by itself.
    assert far_question(now("6.00"), last("5.49", "5.51"), None) is None
    assert far_question(now("5.50", "6.01"), last("5.50"), None)


def test_a_closed_container_may_be_2_percent_heavier_or_5_percent_lighter() -> None:
    def asked(grams: str) -> bool:
        typed = replace(now(grams), part="before")
        put_back = replace(last("100"), part="after")
        return far_question(typed, put_back, None) is not None

    assert [asked(one) for one in ("102", "102.01", "95", "94.99")] == [
        False, True, False, True,
    ]  # fmt: skip


def test_a_container_that_was_opened_may_lose_a_fifth_of_its_weight() -> None:
    def asked(grams: str) -> bool:
        typed = replace(now(grams), part="after")
        return (
            far_question(typed, replace(last("100"), part="before"), None) is not None
        )

    assert [asked(one) for one in ("80", "79.99", "120", "120.01")] == [
        False, True, False, True,
    ]  # fmt: skip


def test_near_without_doubt_is_less_than_half_of_what_is_far() -> None:
    # Half of 0.5 is 0.25, which a float holds exactly, as it does 5.5 and 5.75.
    assert surely_near(now("5.74"), last("5.5"))
    assert not surely_near(now("5.75"), last("5.5"))
    assert surely_near(now("5.26"), last("5.5"))
    assert not surely_near(now("5.25"), last("5.5"))
