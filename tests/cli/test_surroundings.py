"""Clock, account, environment and zone of the machine."""

from __future__ import annotations

import getpass
import inspect
import io
import sys
from datetime import UTC

import pytest

from stability.cli import surroundings
from stability.cli.app import app, load_commands


def test_an_occasion_carries_an_aware_time_and_the_persons(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("STABILITY_PERSON", "Ana Reyes")
    monkeypatch.setattr(getpass, "getuser", lambda: "ana")

    at = surroundings.occasion("stability.db", "Ben Okoro")

    assert at.now.tzinfo is UTC
    assert (at.account, at.person, at.environment_person) == (
        "ana",
        "Ben Okoro",
        "Ana Reyes",
    )


def test_an_account_without_a_name_is_called_unknown(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def nameless() -> str:
        raise OSError

    monkeypatch.setattr(getpass, "getuser", nameless)

    assert surroundings.account() == "unknown"


@pytest.mark.parametrize(
    ("named", "zone"),
    [
        ("Europe/Dublin", "Europe/Dublin"),
        (":Europe/Dublin", "Europe/Dublin"),
        ("UTC0", None),
    ],
)
def test_the_zone_is_the_one_that_the_environment_names(
    monkeypatch: pytest.MonkeyPatch, named: str, zone: str | None
) -> None:
    monkeypatch.setenv("TZ", named)

    assert surroundings.machine_zone() == zone


def test_nobody_is_asked_without_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)

    assert surroundings.confirmation() is None


class Terminal(io.StringIO):
    """Somebody who watches standard error."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("of", "shown"), [(60_000, True), (1000, False)])
def test_what_takes_long_shows_a_bar_on_a_terminal(
    monkeypatch: pytest.MonkeyPatch, of: int, *, shown: bool
) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)

    with surroundings.progress_bar("verifying") as progress:
        assert progress is not None
        for done in (of // 4, of // 2, of):
            progress(done, of)

    assert ("verifying" in terminal.getvalue()) == shown
    assert ("100%" in terminal.getvalue()) == shown


def test_nobody_is_shown_a_bar_who_does_not_watch(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "stderr", io.StringIO())

    with surroundings.progress_bar("verifying") as progress:
        assert progress is None


def test_who_writes_onto_a_share_is_told_once_and_who_reads_is_not(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(surroundings, "share_caution", lambda one: f"{one} on a share")

    surroundings.occasion("reading.db")
    surroundings.occasion("written.db", None)
    surroundings.occasion("written.db", "Ana Reyes")

    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("", "caution: written.db on a share\n")


def commands() -> list[tuple[str, set[str], str]]:
    """Return each command with its options and its source."""
    load_commands(())
    return [
        (
            str(one.name),
            set(inspect.signature(one.callback).parameters),
            inspect.getsource(one.callback),
        )
        for one in app.registered_commands
        if one.callback is not None
    ]


def test_every_command_that_writes_says_so_to_its_occasion() -> None:
    """A command that logs asks who logs; it hands that on, and no other does."""
    wrong = [
        name
        for name, options, source in commands()
        if ("occasion(records, person)" in source) != ("person" in options)
        and "occasion(" in source
    ]

    assert wrong == []
