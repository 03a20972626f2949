"""Protocols listed and checked, studies opened and stopped."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Command, Workspace


def test_the_ready_made_protocols_are_listed(command: Command) -> None:
    ran = command("protocols", "--format", "json")

    listed = json.loads(ran.out)["protocols"]
    assert ran.code == 0, ran.err
    assert len(listed) >= 3


def test_a_protocol_file_is_checked_and_shown(workspace: Workspace) -> None:
    ran = workspace.run("protocols", "small.toml")

    assert ran.code == 0, ran.err
    assert "5.0 to 5.9" in ran.out
    assert "2 of 3 limits rest on custom" in ran.out


def test_a_condition_is_shown_with_what_it_rests_on(workspace: Workspace) -> None:
    text = (workspace.folder / "small.toml").read_text(encoding="utf-8")
    added = 'role = "long-term"\nreason_kind = "place of use"\nchecks_reason = "few"'
    stated = text.replace('role = "long-term"', added, 1)
    (workspace.folder / "stated.toml").write_text(stated, encoding="utf-8")

    ran = workspace.run("protocols", "stated.toml", "--format", "json")

    parts = json.loads(ran.out)["parts"]
    room = next(one for one in parts if one["name"] == "ROOM")
    assert room["reason_kind"] == "place of use"
    assert room["reason"].endswith("; few")


def test_a_ready_made_protocol_is_shown_with_what_it_takes(command: Command) -> None:
    ran = command("protocols", "balm-anhydrous")
    flowing = " ".join(ran.out.split())

    assert ran.code == 0, ran.err
    assert "suits: anhydrous balm, butter, lip balm" in flowing
    assert "T0: read 7d to 14d after making; placed within 7d" in flowing
    assert "takes 3 surfaces, 6 min" in flowing
    assert "takes 0.5 g, 2 min" in flowing
    assert "if outside: storage words" in flowing


def test_names_in_the_list_can_be_copied_whole(
    command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    ran = command("protocols")

    assert {"light-sensitive-active", "pack-compatibility"} <= set(ran.out.split())


def test_every_fault_of_a_protocol_is_told_at_once_with_its_line(
    workspace: Workspace,
) -> None:
    text = (workspace.folder / "small.toml").read_text(encoding="utf-8")
    for good, bad in (
        ('role = "long-term"', 'role = "longterm"'),
        ("between = [15, 27]", "between = [27, 15]"),
        ('checks = ["2w", "4w"]', 'checks = ["2w", "4 weeks"]'),
        ("temperature = 40", 'temperature = "hot"'),
        ("tolerance = 2", "tolerance = -2"),
        ("readings = 2", "readings = 0"),
        ("resolution = 0.01", "resolution = 0"),
        ("lowest = 5.0", "lowest = 6.0"),
        ('highest = "slightly changed"', 'highest = "slightly"'),
        ("[attributes.weight_loss]", "[attributes.weight_loss]\nlimits = 3"),
    ):
        assert text.count(good) >= 1, good
        text = text.replace(good, bad, 1)
    (workspace.folder / "faulty.toml").write_text(text, encoding="utf-8")

    ran = workspace.run("protocols", "faulty.toml")

    told = ran.err.splitlines()
    assert ran.code == 2
    assert len([one for one in told if "faulty.toml:" in one]) >= 10
    assert "Traceback" not in ran.err


def test_a_study_opens_with_a_code_for_every_sample(workspace: Workspace) -> None:
    ran = workspace.run(
        "start", "study.toml", "--records", "other.db", "--format", "json"
    )

    listed = json.loads(ran.out)["samples"]
    assert ran.code == 0, ran.err
    assert {one["condition"] or one["use"]: one["sample"] for one in listed} == (
        workspace.codes
    )
    assert sorted(workspace.codes) == ["ROOM", "T40", "spare"]
    assert len(set(workspace.codes.values())) == 3


def test_opening_prints_the_plan_fingerprint(
    command: Command, workspace: Workspace
) -> None:
    text = (workspace.folder / "study.toml").read_text(encoding="utf-8")
    (workspace.folder / "other.toml").write_text(
        text.replace('"TRK"', '"DVG"'), encoding="utf-8"
    )

    ran = command("start", "other.toml")

    assert ran.code == 0, ran.err
    assert "plan fingerprint: " in ran.out
    assert "record: study:DVG/1:" in ran.err


def test_a_study_without_a_time_zone_takes_the_machines_and_says_so(
    workspace: Workspace,
) -> None:
    text = (workspace.folder / "study.toml").read_text(encoding="utf-8")
    (workspace.folder / "other.toml").write_text(
        text.replace('"TRK"', '"DVG"').replace('time_zone = "Europe/Dublin"', ""),
        encoding="utf-8",
    )

    ran = workspace.run("start", "other.toml")

    assert ran.code == 0, ran.err
    assert "taken from this machine" in ran.err


def test_a_stopped_study_is_listed_as_stopped(workspace: Workspace) -> None:
    ran = workspace.run("stop", "TRK", "--because", "formula withdrawn")

    listed = json.loads(workspace.run("studies", "--format", "json").out)["studies"]
    assert ran.code == 0, ran.err
    assert [one["state"] for one in listed] == ["stopped"]


def test_a_plan_record_is_lodged_and_the_history_tells_it(workspace: Workspace) -> None:
    ran = workspace.run("lodge", "TRK", "--with", "Dr Orla Keane", "--note", "by post")

    assert ran.code == 0, ran.err
    assert "plan record lodged with Dr Orla Keane" in ran.out + ran.err
    assert "Dr Orla Keane: by post" in workspace.run("history", "TRK").out


def test_a_plan_is_amended_from_a_changed_file(workspace: Workspace) -> None:
    text = (workspace.folder / "small.toml").read_text(encoding="utf-8")
    tighter = text.replace("lowest = 5.0", "lowest = 5.2", 1)
    (workspace.folder / "new.toml").write_text(tighter, encoding="utf-8")
    told = ("amend", "TRK", "--because", "the assessor asks", "--protocol", "new.toml")

    first, again = workspace.run(*told), workspace.run(*told)

    assert first.code == 0, first.err
    assert "lowest: 5.0 → 5.2" in first.out + first.err
    assert "stability report TRK --kind plan --out FILE, then stability lodge TRK" in (
        first.err
    )
    assert "label what is new" not in first.err
    assert again.code == 2
    assert "nothing is amended" in again.err


def test_a_study_from_a_notebook_is_taken_over_and_never_hidden(
    workspace: Workspace,
) -> None:
    where = ("--records", "notebook.db")
    began = workspace.run(
        "start", "study.toml", "--taken-over", "green notebook, page 12", *where
    )

    assert began.code == 0, began.err
    assert "hand it to somebody outside before the first reading" not in began.err
    assert "can witness what follows only: stability lodge TRK" in began.err
    told = workspace.run("report", "TRK", "--kind", "text", "--out", "r.txt", *where)
    assert told.code == 0, told.err
    report = " ".join((workspace.folder / "r.txt").read_text("utf-8").split())
    assert "taken over from older notes" in report
    assert "green notebook, page 12" in report


def test_starting_writes_the_plan_record(workspace: Workspace) -> None:
    ran = workspace.run("start", "study.toml", "--records", "other.db")

    assert ran.code == 0, ran.err
    assert "TRK_plan.pdf: plan record" in ran.err
    assert ran.err.splitlines()[-1] == (
        "next: stability labels TRK --out labels.pdf; read and log T0 24h to 72h after "
        "making; then stability place --study TRK --to CONDITION"
    )
    assert "No sample is missing: numbers are left out" in ran.out
    assert (workspace.folder / "TRK_plan.pdf").read_bytes().startswith(b"%PDF")


def test_a_plan_record_never_replaces_a_file_and_the_study_still_opens(
    workspace: Workspace,
) -> None:
    (workspace.folder / "TRK_plan.pdf").write_text("mine", encoding="utf-8")
    where = ("--records", "other.db")

    named = workspace.run(
        "start", "study.toml", "--plan-record", "TRK_plan.pdf", *where
    )
    usual = workspace.run("start", "study.toml", *where)

    assert named.code == 2
    assert usual.code == 0, usual.err
    assert "plan record not written" in usual.err
    assert (workspace.folder / "TRK_plan.pdf").read_text(encoding="utf-8") == "mine"


def test_the_plan_record_is_written_again_word_for_word(workspace: Workspace) -> None:
    where = ("--records", "other.db")
    workspace.run("start", "study.toml", *where)

    again = workspace.run(
        "report", "TRK", "--kind", "plan", "--out", "again.pdf", *where
    )

    assert again.code == 0, again.err
    first = (workspace.folder / "TRK_plan.pdf").read_bytes()
    assert (workspace.folder / "again.pdf").read_bytes() == first
