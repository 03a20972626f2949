"""`plan` on the command line."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from typing import TYPE_CHECKING

import pytest

from tests.planning.worked_examples import SMALL_BATCH, write_face_cream

if TYPE_CHECKING:
    from pathlib import Path

    from tests.cli.conftest import Command

THREE = (
    "plan", "emulsion-combined",
    "--batch", "A=400", "--batch", "B=400", "--batch", "C=400",
    "--pack", "JAR=50", "--pack", "PUMP=30", "--pack", "GLASS=15:inert",
    "--tare", "JAR=32.10", "--months", "12", "--after-opening", "6M",
    "--made", "A=2026-03-02", "--made", "B=2026-03-09", "--made", "C=2026-03-16",
    "--omit", "viscosity=no viscometer", "--omit", "flow_time=too thick",
    "--omit", "consistency=spread is read",
)  # fmt: skip


@pytest.fixture
def small(tmp_path: Path) -> tuple[str, ...]:
    """Return how to plan the small batch of 250 g."""
    (tmp_path / "small.toml").write_text(SMALL_BATCH, encoding="utf-8")
    return ("plan", "small.toml", "--pack", "JAR=30", "--months", "12", "--usable",
            "100")  # fmt: skip


def test_a_plan_that_fits_ends_with_0(command: Command) -> None:
    ran = command(*THREE)

    assert ran.code == 0, ran.err
    for said in (
        "can be filled", "380", "left over", "95 % of each batch",
        "% full after each check", "days with checks", "weekend", "h at the bench",
        "The 3M report will show 3 months and estimate nothing",
        "qualified safety assessor", "Assumed scatter",
    ):  # fmt: skip
        assert said in ran.out, said
    assert "nan" not in ran.out
    assert "inf" not in ran.out.replace("information", "")


def test_a_plan_short_by_40_g_says_so_with_the_ways_out_and_ends_with_1(
    command: Command, small: tuple[str, ...]
) -> None:
    ran = command(*small, "--batch", "A=250")

    assert ran.code == 1, ran.err
    assert "Short by 40 g: batch A by 40 g." in ran.out
    assert "make 290 g of batch A instead of 250 g" in ran.out
    assert "no words about heat in storage and transport" in ran.out


def test_a_larger_batch_is_enough(command: Command, small: tuple[str, ...]) -> None:
    assert command(*small, "--batch", "A=290").code == 0


def test_a_study_file_is_told_as_it_stands(command: Command, tmp_path: Path) -> None:
    write_face_cream(tmp_path)

    ran = command("plan", "study.toml", "--full")

    assert ran.code == 0, ran.err
    sums = next(line for line in ran.out.splitlines() if "samples need" in line)
    assert sums.split() == ["samples", "need", "365", "345", "365"]
    assert "would take 2720 g of each batch in 68 containers" in ran.out
    jar = next(line for line in ran.out.splitlines() if "6M 60" in line)
    assert "12M 40" in jar


def test_the_full_cross_is_shown_where_it_is_asked_for(command: Command) -> None:
    assert "full cross" not in command(*THREE).out
    assert "full cross g: 2720" in command(*THREE, "--full").out


def test_json_holds_every_part_with_numbers(command: Command) -> None:
    ran = command(*THREE, "--format", "json")

    told = json.loads(ran.out)
    assert {
        "samples", "batches", "ways_out", "left_out", "prospects", "fill_levels",
        "tests", "days", "notes",
    } <= set(told)  # fmt: skip
    assert (told["short_g"], told["full_cross_g"]) == (0, 2720)
    for one in told["batches"]:
        own = [row["grams"] for row in told["samples"] if row["batch"] == one["batch"]]
        assert sum(own) == one["needed_g"] <= one["usable_g"]
    last = next(one for one in told["prospects"] if one["check"] == "12M")
    assert 0 <= last["chance_no_drift_at_least"] <= last["chance_no_drift_at_most"] <= 1
    room = {
        one["check"]: one["full_percent"]
        for one in told["fill_levels"]
        if (one["condition"], one["pack"], one["use"]) == ("ROOM", "JAR", "reopened")
    }
    assert room["4w"] > room["12M"] > room["36M"]
    marked = {one["day"]: one["weekend"] for one in told["days"]}
    for day, mark in marked.items():
        assert (mark == "weekend") == (date.fromisoformat(day).isoweekday() > 5)
    assert "weekend" in marked.values()


def test_csv_holds_the_samples(command: Command) -> None:
    ran = command(*THREE, "--format", "csv")

    rows = list(csv.DictReader(io.StringIO(ran.out)))
    assert {"purpose", "batch", "grams", "checks"} <= set(rows[0])
    assert sum(float(row["grams"]) for row in rows if row["batch"] == "A") <= 380
    assert "qualified safety assessor" in ran.err


def test_rows_alone_can_be_pasted(command: Command, tmp_path: Path) -> None:
    file = write_face_cream(tmp_path)
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("[[samples]]")], encoding="utf-8")

    ran = command("plan", "study.toml", "--rows")

    assert ran.code == 0, ran.err
    assert ran.out.startswith("[[samples]]\nbatch = ")
    with file.open("a", encoding="utf-8") as study:
        study.write(f"\n{ran.out}")
    assert command("start", "study.toml").code == 0


def test_what_is_written_starts_unchanged_and_is_not_replaced(command: Command) -> None:
    first = command(*THREE, "--write", "mine.toml")
    again = command(*THREE, "--write", "mine.toml")
    replaced = command(*THREE, "--write", "mine.toml", "--overwrite")
    started = command("start", "mine.toml", "--format", "json")

    assert (first.code, again.code, replaced.code) == (0, 2, 0)
    assert "written: mine.toml" in first.err
    assert "add --overwrite" in again.err
    assert started.code == 0, started.err
    assert len(json.loads(started.out)["samples"]) > 20


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("emulsion-combined",), "no batch is named"),
        (("emulsion-combined", "--batch", "A=4,5"), "write a point for the comma"),
        (("emulsion-combined", "--omit", "viscosity"), "--omit viscosity: write what"),
        (("no-such-protocol",), "There is no protocol"),
        (("study.toml", "--months", "6"), "is a study file and says what --months"),
        (("study.toml", "--usable", "0"), "write a share above 0"),
    ],
)
def test_what_cannot_be_planned_is_told_and_ends_with_2(
    command: Command, tmp_path: Path, arguments: tuple[str, ...], told: str
) -> None:
    write_face_cream(tmp_path)

    ran = command("plan", *arguments)

    assert ran.code == 2
    assert told in ran.err
    assert ran.out == ""


def test_a_study_with_more_samples_than_grams_is_planned_and_not_started(
    command: Command, tmp_path: Path
) -> None:
    file = write_face_cream(tmp_path)
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("grams = 400", "grams = 350", 1), encoding="utf-8")

    planned, started = command("plan", "study.toml"), command("start", "study.toml")

    assert (planned.code, started.code) == (1, 2)
    assert "Short by 32.5 g: batch A by 32.5 g." in planned.out  # 365 of 332.5
    assert "batch A has 350 g, its samples need 365 g" in started.err
    assert "stability plan" in started.err


def test_fresh_containers_of_a_row_stand_on_one_line(command: Command) -> None:
    ran = command(
        "plan", "surfactant-cleanser", "--batch", "A=9000", "--pack", "BOTTLE=200",
        "--months", "24", "--made", "A=2026-03-02",
    )  # fmt: skip
    (levels,) = (
        part for part in ran.out.split("\n\n") if "% full after each check" in part
    )

    assert ran.code == 0, ran.err
    assert "4w 98 8w 98 3M 98" in " ".join(levels.split())
    fresh = [line for line in levels.splitlines() if "fresh per check" in line]
    assert [line.split()[0] for line in fresh] == ["ROOM", "T40"]


def test_a_plan_tells_the_next_step(
    command: Command, small: tuple[str, ...], tmp_path: Path
) -> None:
    def said(*typed: str) -> str:
        return command(*typed).err.splitlines()[-1]

    assert said(*small, "--batch", "A=250").startswith("next: choose a way out")
    assert said(*small, "--batch", "A=290").startswith("next: add --write FILE.toml")
    written = said(*small, "--batch", "A=290", "--write", "mine.toml")
    assert written == "next: look through mine.toml, then: stability start mine.toml"
    write_face_cream(tmp_path)
    assert said("plan", "study.toml") == (
        "next, when it is made: stability start study.toml"
    )


def test_a_better_day_of_placing_is_told_with_where_it_is_written(
    command: Command,
) -> None:
    ran = command(*THREE[:3], "A=900", "--pack", "JAR=50", "--months", "12",
                  "--made", "A=2026-11-26", *THREE[-6:])  # fmt: skip
    told = " ".join(ran.out.split())

    assert "Batch A placed on" in told
    assert "below [place_on]: ROOM = 2026-1" in told
