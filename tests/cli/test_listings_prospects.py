"""What a plan can prove, as `plan` prints it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from stability.cli.listings_prospects import prospects_listings
from stability.planning.prospects import prospects_of
from tests.planning.simulated_plans import plan
from tests.planning.test_prospects import only_odour, with_odour

if TYPE_CHECKING:
    from tests.cli.conftest import Command

THREE = (
    "plan", "emulsion-combined",
    "--batch", "A=400", "--batch", "B=400", "--batch", "C=400",
    "--pack", "JAR=50", "--months", "24", "--made", "A=2026-03-02",
    "--made", "B=2026-03-09", "--made", "C=2026-03-16",
    "--omit", "viscosity=no viscometer", "--omit", "flow_time=too thick",
    "--omit", "consistency=spread is read",
)  # fmt: skip


def test_every_case_of_drift_has_its_column_and_both_ends() -> None:
    by_check, by_attribute, _ = prospects_listings(prospects_of(*with_odour(plan())))
    keys = {column.key for column in by_check.columns}

    for case in ("no_drift", "50_percent_used", "67_percent_used"):
        assert {f"chance_{case}", f"chance_{case}_at_least",
                f"chance_{case}_at_most"} <= keys  # fmt: skip
    assert [row["attribute"] for row in by_attribute.rows] == ["pH", "odour"]
    assert by_attribute.rows[1]["remark"] == (
        "if none of 18 fails, up to 15 % of all may still fail"
    )


def test_a_row_holds_nothing_that_has_no_column() -> None:
    for parts in (plan(), only_odour(plan()), plan(checks=("3M",))):
        for listing in prospects_listings(prospects_of(*parts)):
            keys = {column.key for column in listing.columns}

            assert all(set(row) <= keys for row in listing.rows)


def test_changes_say_what_they_cost_and_buy() -> None:
    *_, purchases = prospects_listings(prospects_of(*plan()))

    assert (
        purchases.rows[0]["change"]
        == "One more fresh container at every long-term check"
    )
    assert purchases.rows[0]["containers"] == 18
    assert purchases.notes[0].startswith("Chances before and after a change: at most")


def test_scores_alone_leave_the_chances_open() -> None:
    by_check, _, purchases = prospects_listings(prospects_of(*only_odour(plan())))

    assert by_check.rows[-1]["chance_no_drift"] is None
    assert by_check.rows[0]["chance_no_drift"] == "0 %"
    assert purchases.notes == ()


def test_a_stated_scatter_reaches_the_printed_plan(command: Command) -> None:
    ran = command(*THREE, "--scatter", "pH=0.03", "--scatter", "spread=2 %",
                  "--start", "spread=60")  # fmt: skip

    assert ran.code == 0, ran.err
    assert "scatter 0.03 pH (stated)" in ran.out
    assert "scatter 2 % (stated)" in ran.out
    assert "weight_loss: scatter of containers 10 % of the highest loss (a default" in (
        " ".join(ran.out.split())
    )
    assert "what would buy more" in ran.out


def test_less_scatter_proves_more(command: Command) -> None:
    wide, narrow = (
        json.loads(command(*THREE, "--scatter", f"spread={share} %",
                           "--format", "json").out)
        for share in (5, 2)
    )  # fmt: skip
    key = "chance_50_percent_used_at_most"

    def at_two_years(told: dict[str, Any]) -> float:
        found = next(row[key] for row in told["prospects"] if row["check"] == "24M")
        return float(found)

    assert at_two_years(narrow) > at_two_years(wide) + 0.1
    assert {"prospects_by_attribute", "purchases"} <= set(narrow)


@pytest.mark.parametrize(
    ("option", "said"),
    [
        (("--scatter", "glow=1"), "measures no glow"),
        (("--batch-spread", "a lot"), "--batch-spread 'a lot'"),
    ],
)
def test_what_is_not_known_is_refused(
    command: Command, option: tuple[str, str], said: str
) -> None:
    ran = command(*THREE, *option)

    assert ran.code == 2
    assert said in ran.err
    assert ran.out == ""
