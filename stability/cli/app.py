"""The application object, its help in groups, and what a command may end with."""

from __future__ import annotations

from enum import Enum
from typing import Any

import typer
from typer.core import TyperGroup

PLAN = "Plan"
BENCH = "Bench"
EVALUATE = "Evaluate"
REPORT = "Report"
RECORDS = "Records"
GROUPS = (PLAN, BENCH, EVALUATE, REPORT, RECORDS)


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
        commands = [(name, self.get_command(ctx, name)) for name in self.commands]
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
