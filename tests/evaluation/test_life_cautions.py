"""What a shelf life does not speak of."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stability.model.age import add_calendar_months
from stability.model.study import Pack, Request
from tests.evaluation.builders import PLACED, Bench, bulk, sample, study


def told(made: Bench, code: str) -> list[str]:
    """Return the cautions of one kind in the shelf life."""
    life = made.evaluate("2025-12-01").shelf_life
    assert life is not None
    return [one.text for one in life.cautions if one.code == code]


def bench(t0: str = "2025-01-09") -> Bench:
    """Return a study of batches A and B of which only A stands on the shelf."""
    plan = study(("A", "B"), request=Request(6), omit={"weight_loss": "sealed"})
    samples = [
        bulk(),
        bulk("B"),
        sample("HDC-001-A", "ROOM"),
        sample("HDC-002-B", "T40", batch="B", pack="PUMP"),
    ]
    made = Bench(samples, study=plan)
    made.place("HDC-001-A", "ROOM")
    made.place("HDC-002-B", "T40")
    made.read("BULK-A", "pH", "T0", "5.40", "5.42", done=t0)
    for months in (3, 6):
        day = add_calendar_months(PLACED, months).isoformat()
        made.read("HDC-001-A", "pH", f"{months}M", "5.40", "5.41", done=day)
    return made


def test_what_has_no_sample_on_the_shelf_is_named() -> None:
    silent = "stands in long-term storage: the shelf life says nothing of it."

    assert told(bench(), "no-long-term-sample") == [
        f"No sample of batch B {silent}",
        f"No sample of pack PUMP {silent}",
    ]


def test_inert_glass_is_not_sold_and_not_named() -> None:
    made = bench()
    packs = {**made.study.packs, "PUMP": Pack("PUMP", "vial", inert=True)}
    made.study = replace(made.study, packs=packs)

    (only,) = told(made, "no-long-term-sample")
    assert "batch B" in only


@pytest.mark.parametrize(("day", "late"), [("2025-02-04", False), ("2025-02-05", True)])
def test_an_initial_value_of_the_day_of_the_first_check_is_named(
    day: str, *, late: bool
) -> None:
    """4 weeks after 10 January is 7 February; its window opens two days before."""
    found = told(bench(day), "late-initial")

    when = f"The initial pH of batch A was read on {day}, when its first long-term "
    seen = "check was due already: what had changed by then is not seen."

    assert found == ([when + seen] if late else [])


def test_what_was_read_late_on_one_day_shares_a_line() -> None:
    made = bench("2025-02-05")
    made.read("BULK-A", "odour", "T0", "as control", done="2025-02-05")

    (only,) = told(made, "late-initial")

    assert only.startswith("The initial odour and pH of batch A were read on 2025-02-")
