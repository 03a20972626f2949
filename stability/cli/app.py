"""The application object, its help in groups, and what a command may end with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import Enum
from importlib import import_module
from typing import Any, Final

import typer
from typer.core import TyperGroup

PLAN = "Plan"
BENCH = "Bench"
EVALUATE = "Evaluate"
REPORT = "Report"
RECORDS = "Records"
GROUPS = (PLAN, BENCH, EVALUATE, REPORT, RECORDS)


#: Command -> module that holds it, in the order of the help. Only the module of the
#: command that is run is loaded, so that `due` and `log` answer at once.
COMMANDS: Final[Mapping[str, str]] = {
    "protocols": "plan", "plan": "plan", "start": "plan", "lodge": "plan",
    "labels": "labels", "calendar": "calendars", "amend": "plan", "stop": "plan",
    "due": "due", "sheet": "sheet", "day": "bench", "place": "bench",
    "enter": "enter", "log": "readings", "correct": "readings",
    "invalidate": "readings", "follow-up": "follow_ups", "miss": "bench",
    "retire": "bench", "note": "readings", "instrument": "instruments",
    "storage": "storage", "certificate": "certificates",
    "show": "evaluate", "drift": "evaluate", "shelf-life": "evaluate",
    "compare": "compare", "ageing": "evaluate", "certificates": "certificates",
    "report": "report", "photographs": "photographs",
    "studies": "keeping", "history": "keeping", "import": "keeping",
    "export": "keeping", "backup": "keeping", "verify": "keeping",
}  # fmt: skip


def load_commands(arguments: Sequence[str]) -> None:
    """Load the module of the command that was typed; all of them if none is known."""
    typed = next((COMMANDS[one] for one in arguments[:1] if one in COMMANDS), None)
    for module in dict.fromkeys(COMMANDS.values()) if typed is None else (typed,):
        import_module(f"stability.cli.{module}")


class Outcome(Enum):
    """What a command that looks for something returns."""

    #: It looked and found nothing to report.
    DONE = "done"
    #: It found what it looks for, such as a reading outside its limit.
    FOUND = "found"


def found(anything: bool) -> Outcome:
    """Return the outcome of a command that looks for something."""
    return Outcome.FOUND if anything else Outcome.DONE


class GroupedHelp(TyperGroup):
    """Lists commands under the groups of the job, as plain text and without rich."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write one section for each group."""
        names = sorted(self.commands, key=list(COMMANDS).index)
        commands = [(name, self.get_command(ctx, name)) for name in names]
        for group in GROUPS:
            own = [
                (name, command)
                for name, command in commands
                if command and getattr(command, "rich_help_panel", None) == group
            ]
            longest = max((len(name) for name, _ in own), default=0)
            width = formatter.width - 6 - longest
            rows = [(name, one.get_short_help_str(width)) for name, one in own]
            if rows:
                with formatter.section(group):
                    formatter.write_dl(rows)


app = typer.Typer(
    cls=GroupedHelp,
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
