"""Readings shown with their marks, drift fitted, and what they end with."""

from __future__ import annotations

import csv
import io
import json
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace

ASSESSMENT = "qualified safety assessor"


@pytest.fixture
def drifting(logged: Workspace) -> Workspace:
    """Return a study whose pH falls in the warm towards its lower limit."""
    ran = logged.run(
        "log", logged.codes["T40"], "pH=5.30/5.32", "odour=1", "--on", "2026-04-02"
    )
    assert ran.code == 0, ran.err
    return logged


def test_show_lists_readings_with_age_limit_and_mark(logged: Workspace) -> None:
    ran = logged.run("show", "TRK", "--attribute", "pH", "--format", "json")

    rows = json.loads(ran.out)["observations"]
    assert ran.code == 0, ran.err
    assert [(row["check"], row["readings"], row["mark"]) for row in rows] == [
        ("T0", "5.50 / 5.52", "inside"),
        ("2w", "5.40 / 5.42", "inside"),
    ]
    assert rows[1]["age_days"] == pytest.approx(14)
    assert rows[0]["limit"] == "5.0 to 5.9"


def test_show_ends_with_one_when_a_reading_lies_outside_its_limit(
    logged: Workspace,
) -> None:
    inside = logged.run("show", "TRK").code
    logged.run("log", logged.codes["T40"], "odour=2", "--on", "2026-04-02")

    outside = logged.run("show", "TRK")

    assert (inside, outside.code) == (0, 1)
    assert "outside" in outside.out


def test_csv_and_json_hold_the_same_rows(logged: Workspace) -> None:
    table = logged.run("show", "TRK", "--format", "csv").out
    rows = json.loads(logged.run("show", "TRK", "--format", "json").out)["observations"]

    read = list(csv.DictReader(io.StringIO(table)))
    assert [row["readings"] for row in read] == [row["readings"] for row in rows]
    assert list(read[0]) == list(rows[0])


def test_drift_of_falling_ph_is_fitted_and_forecast(drifting: Workspace) -> None:
    ran = drifting.run(
        "drift", "TRK", "--attribute", "pH", "--condition", "T40", "--format", "json"
    )

    told: dict[str, Any] = json.loads(ran.out)
    (row,) = told["series"]
    # computed by hand: 0.10 lower every 14 days, 30.4375 days a month
    assert row["slope_per_month"] == pytest.approx(-0.10 / 14 * 30.4375, rel=0.1)
    assert row["unit"] == "pH"
    # computed by hand: 0.51 down to 5.0 at 0.10 in 14 days
    assert row["lower_limit_months"] == pytest.approx(5.1 * 14 / 30.4375, rel=0.1)
    assert "lower limit" in row["forecast"]
    assert told["requested_months"] == 12
    assert ran.code == 1


def test_drift_carries_the_note_on_qualified_assessment(drifting: Workspace) -> None:
    for form in ("table", "json", "csv"):
        ran = drifting.run("drift", "TRK", "--format", form)

        assert ASSESSMENT in " ".join((ran.out + ran.err).split())


def test_drift_says_below_what_words_say_and_leave_open(drifting: Workspace) -> None:
    told = drifting.run("drift", "TRK", "--attribute", "odour", "--format", "json")
    notes = json.loads(told.out)["notes"]

    # 1 - 0.05^(1/1): one container of which none failed.
    assert (
        "odour, T40, JAR, batch A: worst “slightly changed”; 0 of 1 container outside; "
        "up to 95 % may fail"
    ) in notes
    assert not json.loads(told.out)["series"]


def test_drift_of_one_condition_says_nothing_of_the_words_of_another(
    drifting: Workspace,
) -> None:
    told = drifting.run("drift", "TRK", "--condition", "ROOM", "--format", "json")

    assert not [one for one in json.loads(told.out)["notes"] if "may fail" in one]


def test_drift_of_words_that_did_not_move_says_what_so_few_jars_leave_open(
    workspace: Workspace,
) -> None:
    one = workspace.codes["T40"]
    for arguments in (
        ("log", one, "odour=0", "--on", "2026-03-04"),
        ("place", one, "--on", "2026-03-05"),
        ("log", one, "odour=0", "--on", "2026-03-19"),
    ):
        assert workspace.run(*arguments).code == 0

    told = workspace.run("drift", "TRK", "--format", "json")

    assert (
        "Nothing moved in 1 series of scores and statements; with as few containers "
        "as 1 up to 95 % may still fail (exact one-sided bound)."
    ) in json.loads(told.out)["notes"]


def test_drift_of_two_checks_says_why_there_is_no_line(logged: Workspace) -> None:
    ran = logged.run("drift", "TRK", "--attribute", "pH", "--format", "json")

    rows = json.loads(ran.out)["series"]
    assert ran.code == 0, ran.err
    assert all(row["slope_per_month"] is None for row in rows)
    assert all(row["forecast"] for row in rows)


@pytest.mark.parametrize(
    ("option", "typed", "known"),
    [
        ("--attribute", "hP", "pH"),
        ("--condition", "T41", "T40"),
        ("--batch", "B", "A"),
    ],
)
def test_drift_of_what_the_study_does_not_have_names_what_it_has(
    logged: Workspace, option: str, typed: str, known: str
) -> None:
    ran = logged.run("drift", "TRK", option, typed)

    assert ran.code == 2
    assert known in ran.err


def test_an_evaluation_as_of_an_earlier_day_knows_nothing_of_later(
    logged: Workspace,
) -> None:
    ran = logged.run("show", "TRK", "--as-of", "2026-01-01")

    assert ran.code == 2
    assert "Traceback" not in ran.err


@pytest.mark.parametrize("ending", ["pdf", "png", "svg"])
def test_drift_is_drawn_beside_its_table(drifting: Workspace, ending: str) -> None:
    plain = drifting.run("drift", "TRK", "--attribute", "pH")
    drawn = drifting.run("drift", "TRK", "--attribute", "pH", "--figure", f"d.{ending}")

    assert (drawn.code, drawn.out) == (plain.code, plain.out)
    assert f"d.{ending}: figure of drift" in drawn.err
    assert (drifting.folder / f"d.{ending}").stat().st_size > 1000


@pytest.mark.parametrize("verb", ["drift", "shelf-life"])
def test_a_font_for_a_figure_is_looked_at_before_anything_is_drawn(
    drifting: Workspace, verb: str
) -> None:
    ran = drifting.run(verb, "TRK", "--figure", "d.svg", "--font", "none.ttf")

    assert ran.code == 2
    assert len(ran.err.splitlines()) == 1
    assert not (drifting.folder / "d.svg").exists()


def test_a_figure_is_not_overwritten_unless_asked(drifting: Workspace) -> None:
    target = drifting.folder / "drift.svg"
    target.write_bytes(b"mine")

    refused = drifting.run("drift", "TRK", "--figure", "drift.svg")
    kept = target.read_bytes()
    replaced = drifting.run("drift", "TRK", "--figure", "drift.svg", "--overwrite")

    assert (refused.code, refused.out) == (2, "")
    assert len(refused.err.splitlines()) == 1
    assert "--overwrite" in refused.err
    assert kept == b"mine"
    assert replaced.code != 2, replaced.err
    assert b"<svg" in target.read_bytes()


def test_a_figure_of_another_kind_is_refused_in_one_line(drifting: Workspace) -> None:
    ran = drifting.run("drift", "TRK", "--figure", "drift.jpg")

    assert (ran.code, ran.out) == (2, "")
    assert len(ran.err.splitlines()) == 1
    assert "drift.jpg does not end in .pdf, .png or .svg" in ran.err
    assert not (drifting.folder / "drift.jpg").exists()


def test_a_figure_of_nothing_is_refused(drifting: Workspace) -> None:
    ran = drifting.run("shelf-life", "TRK", "--figure", "life.pdf")

    assert (ran.code, ran.out) == (2, "")
    assert "nothing of shelf life to draw" in ran.err
    assert not (drifting.folder / "life.pdf").exists()
