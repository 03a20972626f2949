"""What is told of readings just stored: limits, then their own history."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from statsmodels.regression.linear_model import OLS
from statsmodels.tools import add_constant

from stability.statistics import out_of_trend as statistics
from stability.workflow import bench
from stability.workflow import marks as telling
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A, ROOM_A, T40_2W

At = Callable[[str], Occasion]


@pytest.fixture
def read_four_times(at: At) -> At:
    """Return the maker of occasions, one jar read at T0, 2w, 4w and 3M."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.50", "spread=60"])
    bench.place(at("2026-03-06"), [ROOM_A])
    for day, ph, spread in (
        ("2026-03-20", "5.47/5.47", "60"),
        ("2026-04-03", "5.47/5.47", "61"),
        ("2026-06-06", "5.42/5.42", "61"),
    ):
        bench.log(at(day), ROOM_A, [f"pH={ph}", f"spread={spread}"])
    return at


def remarks(at: Occasion, *readings: str) -> tuple[str, ...]:
    """Log readings of the jar; return what is remarked on their history."""
    written = bench.log(at, ROOM_A, readings, check="extra", accept_far=True)
    return telling.out_of_trend_remarks(telling.judged_now(at, written))


def test_the_fewest_earlier_checks_are_those_of_the_statistics() -> None:
    assert telling._FEWEST_EARLIER == statistics.FEWEST_EARLIER


def interval(confidence: float) -> str:
    """Return the prediction interval on 6 July, worked out by another library."""
    placed = date(2026, 3, 6)
    days = [(date(2026, *one) - placed).days for one in ((3, 20), (4, 3), (6, 6))]
    line = OLS([5.50, 5.47, 5.47, 5.42], add_constant([0.0, *days])).fit()
    further = [[1.0, (date(2026, 7, 6) - placed).days]]
    ((low, high),) = line.get_prediction(further).conf_int(
        obs=True, alpha=1 - confidence
    )
    return f"{low:.4g} to {high:.4g}"


def test_a_reading_that_leaves_its_history_is_told_with_where_to_look(
    read_four_times: At,
) -> None:
    first, last = remarks(read_four_times("2026-07-06"), "pH=5.10/5.10")

    assert first.startswith("HDC/")
    for words in (
        f"out of trend, alarm: 5.10 lies outside {interval(0.99)}, the",
        "99 % prediction interval of 4 earlier checks",
        f"pH, ROOM, JAR, batch A, reopened {ROOM_A}",
        "by chance alone 1 reading in 100 does",
    ):
        assert words in first
    for words in ("instrument", "right sample", "temperature"):
        assert words in last


def test_an_alert_is_told_with_the_wider_chance(read_four_times: At) -> None:
    first, _ = remarks(read_four_times("2026-07-06"), "pH=5.50/5.50")

    assert f"out of trend, alert: 5.50 lies outside {interval(0.95)}, the" in first
    assert "95 % prediction interval" in first
    assert "by chance alone 1 reading in 20 does" in first


def test_several_series_of_one_day_point_to_the_instrument(
    read_four_times: At,
) -> None:
    *both, of_the_day, _ = remarks(
        read_four_times("2026-07-06"), "pH=5.10/5.10", "spread=80"
    )

    assert len(both) == 2
    assert of_the_day == (
        "2 series are out of trend on 2026-07-06, which points to that day: to the "
        "instrument before the product."
    )


@pytest.mark.parametrize("reading", ["pH=5.39/5.40", "pH=<5.4/<5.4", "odour=A:3/B:3"])
def test_what_is_in_trend_or_cannot_be_told_gives_no_remark(
    read_four_times: At, reading: str
) -> None:
    assert remarks(read_four_times("2026-07-06"), reading) == ()


def test_three_earlier_checks_tell_no_trend(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.50"])
    bench.place(at("2026-03-06"), [ROOM_A])
    for day in ("2026-03-20", "2026-04-03"):
        bench.log(at(day), ROOM_A, ["pH=5.50/5.50"])

    assert remarks(at("2026-06-06"), "pH=5.00/5.00") == ()


def test_what_holds_no_reading_is_not_looked_at(at: At) -> None:
    written = bench.note(at("2026-03-05"), "HDC", "the oven was serviced")

    assert telling.judged_now(at("2026-03-05"), written) is None
    assert telling.marks(None) == {}
    assert telling.out_of_trend_remarks(None) == ()


def test_a_reading_is_told_with_its_value_and_mark(at: At) -> None:
    occasion = at("2026-03-05")
    written = bench.log(occasion, BULK_A, ["pH=5.50/5.52", "spread=60"])

    told = telling.marks(telling.judged_now(occasion, written))

    assert list(told.values()) == [
        "mean 5.51, limit 5.0 to 5.9: inside",
        "limit 80 to 120 % of initial: inside",
    ]


def unweighed(at: Occasion, sample: str, *readings: str) -> tuple[str, ...]:
    """Log readings; return what is remarked of weights that are missing."""
    written = bench.log(at, sample, readings, accept_far=True)
    return telling.unweighed_lines(telling.judged_now(at, written))


def test_a_jar_opened_and_not_weighed_again_is_told_at_once(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.50"])
    bench.place(at("2026-03-06"), [ROOM_A])

    (told,) = unweighed(at("2026-03-20"), ROOM_A, "w=82.10", "pH=5.47/5.47")

    assert told == (
        f"{ROOM_A} 2w: not weighed after sampling. Weigh it again before it goes back "
        f"(stability log {ROOM_A} w2=…), or its loss cannot be told at the next check."
    )
    assert unweighed(at("2026-03-20"), ROOM_A, "w2=80.00") == ()
    assert unweighed(at("2026-03-20"), ROOM_A, "sep=none") == ()


def test_a_jar_opened_at_t0_beside_the_bulk_is_told_too(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.50"])

    (told,) = unweighed(at("2026-03-05"), ROOM_A, "w=82.10", "pH=5.50/5.50")

    assert told.startswith(f"{ROOM_A} T0: not weighed after sampling.")


def test_a_jar_only_weighed_weighed_again_or_read_for_the_last_time_needs_nothing(
    at: At,
) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.50"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])

    assert unweighed(at("2026-03-05"), BULK_A, "spread=60") == ()
    assert unweighed(at("2026-03-20"), ROOM_A, "w=82.10") == ()  # still closed
    assert unweighed(at("2026-03-20"), T40_2W, "w=82.1", "pH=5.4/5.4") == ()  # once
    assert unweighed(at("2026-04-03"), ROOM_A, "w=82", "pH=5.4/5.4", "w2=80") == ()
    assert unweighed(at("2026-06-06"), ROOM_A, "w=79.9", "pH=5.4/5.4") == ()  # last


def test_a_jar_that_left_cannot_be_weighed_again(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.50"])
    bench.place(at("2026-03-06"), [ROOM_A])
    written = bench.log(at("2026-03-20"), ROOM_A, ["pH=5.47/5.47"])
    bench.retire(at("2026-03-20"), ROOM_A, "broken", because="fell")

    now = telling.judged_now(at("2026-03-20"), written)

    assert telling.unweighed_lines(now) == ()
