"""`enter` at a pseudo-terminal, killed in the middle, and with answers from a pipe."""

from __future__ import annotations

import io
import random
import re
import sqlite3
import time
from pathlib import Path

import pytest

from stability.errors.bench import AnswersStoppedError
from tests.cli.conftest import Workspace
from tests.cli.terminals import Terminal

ON = ("--on", "2026-04-02")
#: Answers of the jar in the warm at 4w, in the order of handling.
ANSWERS = ("89.50", "1", "5.38/5.40")
STORED = re.compile(r"^TRK/(\d+)  ", re.MULTILINE)


def positions(folder: Path) -> list[int]:
    """Return the positions of the study's entries, read without our own code."""
    connection = sqlite3.connect(folder / "stability.db")
    rows = connection.execute(
        "select position from entry where subject = 'study:TRK' order by position"
    ).fetchall()
    connection.close()
    return [row[0] for row in rows]


def enter(folder: Path) -> Terminal:
    """Begin a sitting at a terminal and wait for its first question."""
    terminal = Terminal(["enter", "TRK", *ON], folder)
    terminal.wait_for()
    return terminal


def acknowledged(terminal: Terminal) -> list[int]:
    """Return the positions that the terminal told as stored."""
    return [int(found) for found in STORED.findall(terminal.text)]


def test_a_jar_is_entered_at_a_terminal(logged: Workspace) -> None:
    before = positions(logged.folder)
    terminal = enter(logged.folder)

    asked = terminal.type(logged.codes["T40"])
    assert "weight before opening" in asked
    assert "last 89.80 g on 2026-03-19 (2w); limit loss at most 3.0 %" in asked
    terminal.type(ANSWERS[0])
    asked = terminal.type(ANSWERS[1])
    assert "pH, dilution> " in asked
    asked = terminal.type("=")
    assert "last 5.40 / 5.42 on 2026-03-19 (2w); limit 5.0 to 5.9" in asked
    told = terminal.type(ANSWERS[2])
    assert "mean 5.39, limit 5.0 to 5.9: inside" in told
    assert "4w: all read." in told
    terminal.press("stop\n")

    assert terminal.finish() == 0
    assert positions(logged.folder) == [*before, *acknowledged(terminal)]
    assert re.search(r"record: study:TRK/\d+:[0-9a-f]{16}\n", terminal.text)
    assert logged.run("verify").code == 0


@pytest.mark.parametrize("seed", range(6))
def test_a_power_cut_loses_at_most_the_line_being_typed(
    logged: Workspace, seed: int
) -> None:
    chance = random.Random(seed)  # noqa: S311 - when the power is cut
    before = len(positions(logged.folder))
    terminal = enter(logged.folder)
    terminal.type(logged.codes["T40"])
    answers = [ANSWERS[0], ANSWERS[1], "=", ANSWERS[2]]
    whole = chance.randrange(len(answers))
    for line in answers[:whole]:
        terminal.type(line)
    if chance.random() < 0.3:
        terminal.press(answers[whole])  # the line is not finished
    else:
        terminal.press(answers[whole] + "\n")
        time.sleep(chance.random() * 0.03)
    terminal.kill()

    assert terminal.code == -9
    kept, told = positions(logged.folder), acknowledged(terminal)
    assert told == kept[before : before + len(told)]
    assert len(told) >= whole
    assert len(kept) - before <= whole + 1
    assert logged.run("verify").code == 0

    again = enter(logged.folder)
    again.type(logged.codes["T40"])
    for line in answers[len(kept) - before :]:
        again.type(line)
    again.press("stop\n")
    assert again.finish() == 0
    assert len(positions(logged.folder)) == before + len(answers)
    shown = logged.run("show", "TRK", "--sample", logged.codes["T40"])
    assert "5.38 / 5.40" in shown.out
    assert logged.run("verify").code == 0


def test_a_scanner_that_sends_two_line_ends_answers_once(logged: Workspace) -> None:
    terminal = enter(logged.folder)

    terminal.press(logged.codes["T40"] + "\r\n")
    terminal.wait_for("[g]> ")
    terminal.type("later")
    terminal.press("stop\n")

    assert terminal.finish() == 0
    assert acknowledged(terminal) == []


def test_ctrl_d_ends_and_ctrl_c_interrupts(logged: Workspace) -> None:
    ended = enter(logged.folder)
    ended.press("\x04")
    stopped = enter(logged.folder)
    # A signal that comes just before the terminal is read waits for the next key.
    time.sleep(0.5)
    stopped.press("\x03")

    assert ended.finish() == 0
    assert stopped.finish() == 130
    assert "What was told as stored is stored; the line being typed" in stopped.text


def piped(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    """Give lines as the standard input of the next command."""
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{one}\n" for one in lines)))


def test_answers_may_come_from_a_pipe(
    logged: Workspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = len(positions(logged.folder))
    piped(monkeypatch, logged.codes["T40"], ANSWERS[0], ANSWERS[1], "=", ANSWERS[2])

    ran = logged.run("enter", "TRK", *ON)

    assert (ran.code, ran.out) == (0, "")
    assert len(positions(logged.folder)) == before + 4
    assert "4w: all read." in ran.err
    assert "weight before opening [g]> 89.50\nTRK/" in ran.err
    assert ran.err.rstrip().splitlines()[-1].startswith("record: study:TRK/")


def test_the_first_line_of_a_pipe_that_is_not_taken_ends_it(
    logged: Workspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = len(positions(logged.folder))
    piped(monkeypatch, logged.codes["T40"], "89.50", "odd", "5.38/5.40")

    ran = logged.run("enter", "TRK", *ON)

    assert ran.code == 2
    wording = str(AnswersStoppedError(3, "odd", "odour 'odd' is not one of"))
    assert f"stability: {wording.partition('. What was told')[0]}" in ran.err
    assert ". What was told as stored before it is stored;" in ran.err
    assert len(positions(logged.folder)) == before + 1
    assert logged.run("verify").code == 0


def test_a_far_reading_from_a_pipe_is_not_taken(
    logged: Workspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = len(positions(logged.folder))
    piped(monkeypatch, logged.codes["T40"], "8.95", "8.95")

    ran = logged.run("enter", "TRK", *ON)

    assert ran.code == 2
    assert "far from the last reading" in ran.err
    assert len(positions(logged.folder)) == before


def test_bytes_that_are_no_text_are_refused_in_words(logged: Workspace) -> None:
    terminal = enter(logged.folder)

    terminal.press(b"\xff\xfe\n")
    told = terminal.wait_for()
    terminal.press("stop\n")

    assert "is no sample code" in told
    assert terminal.finish() == 0


def test_code_of_another_study_gives_one_message(logged: Workspace) -> None:
    terminal = enter(logged.folder)

    told = terminal.type("HDC-014-W")
    terminal.press("stop\n")

    assert terminal.finish() == 0
    (line,) = [one for one in told.splitlines() if one.startswith("!")]
    assert line == (
        "! HDC-014-W is a sample of study HDC, and this is study TRK: put it aside and "
        "read it with 'stability enter HDC'."
    )


@pytest.mark.parametrize("reason", ["two faults:\n  one\n  two", "one fault."])
def test_what_was_not_taken_ends_with_one_full_stop(reason: str) -> None:
    told = str(AnswersStoppedError(3, "odd", reason))

    assert f"{reason.rstrip('.')}. What was told as stored" in told
