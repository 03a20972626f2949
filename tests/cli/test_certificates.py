"""The commands certificate and certificates."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import PROTOCOL, STUDY, Command

CHALLENGE = """
[attributes.challenge]
method = "by a laboratory"
statements = ["criteria A", "criteria B", "not met"]
provided_by = "certificate"
when = ["T0", "3M"]
limit.required = "criteria A"
limit.reason = "the table"
"""
OF = (
    "--laboratory", "Corran", "--number", "7", "--batch", "A", "--version", "1.0",
    "--pack", "JAR", "--age", "T0", "--issued", "2026-05-04",
)  # fmt: skip
RESULTS = (
    "--result", "P. aeruginosa=2.5x10^5/2.0x10^2/<10/<10",
    "--result", "S. aureus=3.0x10^5/4.0x10^2/<10/<10",
    "--result", "E. coli=log 4.0/4.0/4.0",
    "--result", "C. albicans=log 1.0/1.5/2.0",
    "--result", "A. brasiliensis=log -/0.0/1.0",
)  # fmt: skip


@pytest.fixture
def study(command: Command) -> Command:
    Path("small.toml").write_text(PROTOCOL + CHALLENGE, encoding="utf-8")
    Path("study.toml").write_text(STUDY, encoding="utf-8")
    assert command("start", "study.toml").code == 0
    return command


def test_a_certificate_without_a_batch_is_one_clear_message(study: Command) -> None:
    without = [one for one in OF if one not in {"--batch", "A"}]

    ran = study("certificate", "TRK", "challenge", *without, *RESULTS)

    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.count("\n") == 1
    assert "lacks the batch;" in ran.err
    assert "Nothing was stored" in ran.err
    listed = study("certificates", "TRK", "--format", "json")
    assert json.loads(listed.out)["certificates"] == []


def test_what_is_stored_is_told_and_listed_with_both_verdicts(study: Command) -> None:
    ran = study(
        "certificate", "TRK", "challenge", *OF, *RESULTS, "--verdict", "criteria A"
    )
    assert ran.code == 0
    assert "S. aureus: 3.0x10^5 is 300000" in ran.err
    assert "record: study:TRK/2:" in ran.err

    listed = study("certificates", "TRK")

    assert listed.code == 1  # the protocol asks for criteria A
    assert "P. aeruginosa 3.097/>4.398/>4.398 log: criteria A" in listed.out
    assert "S. aureus 2.875/>4.477/>4.477 log: criteria B" in listed.out
    assert "“criteria A”, differs from criteria B here" in " ".join(listed.out.split())
    assert "asked for by the protocol: challenge at 3M" in listed.out
    assert "qualified safety assessor" in listed.out


def test_a_mismatch_is_stored_listed_and_found_by_nobody(study: Command) -> None:
    of = ["0.9" if one == "1.0" else one for one in OF]

    ran = study("certificate", "TRK", "challenge", *of, "--result", "not met")
    listed = study("certificates", "TRK", "--format", "json")

    assert ran.code == listed.code == 0
    assert "mismatch: of version 0.9" in ran.err
    row = json.loads(listed.out)["certificates"][0]
    assert row["mark"] == "mismatch"
    assert "not evidence for this study" in row["mismatch"]
    assert row["verdict"] is None


def test_none_is_told_as_none(study: Command) -> None:
    listed = study("certificates", "TRK")

    assert listed.code == 0
    assert "a result is never assumed" in listed.out


def test_rows_are_printed_as_csv_too(study: Command) -> None:
    study("certificate", "TRK", "challenge", *OF, "--result", "A")

    listed = study("certificates", "TRK", "--format", "csv")

    head, row = listed.out.splitlines()
    assert head.startswith("entry,attribute,batch,version,pack,sample,age")
    assert row.startswith("TRK/2,challenge,A,1.0,JAR,,T0,Corran,7,2026-05-04,inside")
