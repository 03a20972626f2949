"""Times as loggers write them."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.logger_form import DateOrder
from stability.statistics.logger_times import is_stamp, possible_orders, read_times

FORMS: dict[str, DateOrder] = {
    "%Y-%m-%d %H:%M:%S": "year-first",
    "%Y/%m/%dT%H:%M:%SZ": "year-first",
    "%d.%m.%Y %H:%M:%S": "day-first",
    "%d-%b-%y, %I:%M:%S %p": "day-first",
    "%m/%d/%y %I:%M:%S%p": "month-first",
}


@given(
    st.lists(
        st.datetimes(datetime(2001, 1, 1), datetime(2060, 1, 1)),  # noqa: DTZ001
        min_size=1,
        max_size=30,
    ),
    st.sampled_from(sorted(FORMS)),
)
def test_every_time_is_read_as_the_standard_library_wrote_it(
    moments: list[datetime], form: str
) -> None:
    texts = np.array([one.strftime(form).encode() for one in moments])
    read = read_times(texts, FORMS[form])

    meant = [int(one.replace(tzinfo=UTC).timestamp()) for one in moments]
    assert read.seconds.tolist() == meant
    assert not read.bad.any()


@pytest.mark.parametrize(
    "text",
    ["2026-02-29 09:00", "2026-13-01", "2026-01-01 24:00", "2026-01-01 09:60", "", "x",
     "2026-01-01 13:00 PM", "1.2.3.4", "0000-01-01"],
)  # fmt: skip
def test_what_is_no_time_is_bad(text: str) -> None:
    assert read_times(np.array([text.encode()]), "year-first").bad.all()


def test_cells_of_many_lengths_are_read_together() -> None:
    texts = np.array([b"3.4.2026 9:05", b"13.04.2026 19:05", b"3.12.2026 9:05:07"])
    read = read_times(texts, "day-first")
    days = [datetime.fromtimestamp(one, UTC).isoformat() for one in read.seconds]

    assert [one[:16] for one in days] == [
        "2026-04-03T09:05",
        "2026-04-13T19:05",
        "2026-12-03T09:05",
    ]


def test_orders_in_which_every_date_exists() -> None:
    assert possible_orders(np.array([b"01/02/2026"])) == ("day-first", "month-first")
    assert possible_orders(np.array([b"01/13/2026"])) == ("month-first",)
    assert possible_orders(np.array([b"2026-01-13"])) == ("year-first",)


def test_what_has_the_form_of_a_date() -> None:
    assert is_stamp("2026-03-02")
    assert is_stamp("2.3.26 9:15 p.m.")
    assert not is_stamp("9:15")
    assert not is_stamp("21,5")
