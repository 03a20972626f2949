"""The command: one error boundary, and the only place where exit codes are set.

0 done; 1 a command that looks for something found it; 2 the caller has to mend
something; 3 a fault of the program; 130 interrupted.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from stability.cli.app import Outcome, app, load_commands
from stability.cli.output import tell
from stability.cli.surroundings import debugging
from stability.errors import StabilityError
from stability.model.program import program_name, program_version

DONE, FOUND, TO_MEND, FAULT, INTERRUPTED = 0, 1, 2, 3, 130


@app.callback()
def stability(
    context: typer.Context,
    show_version: Annotated[
        bool, typer.Option("--version", help="Print the version and leave.")
    ] = False,
) -> None:
    """Plan, record, evaluate and report stability studies of cosmetics.

    Supports, and does not replace, assessment by a qualified safety assessor. No aged,
    failed or opened test sample goes onto skin; nobody uses the product before its
    safety assessment.

    'stability COMMAND --help' explains a command with an example.
    """
    if show_version:
        typer.echo(program_name())
    elif context.invoked_subcommand is None:
        typer.echo(context.get_help())


def main() -> None:
    """Run the command line and leave with its exit code.

    Whatever it writes is for its owner only: records and reports hold people's names.
    """
    os.umask(0o077)
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot print a sign must not stop a reading being stored.
        getattr(stream, "reconfigure", lambda **_: None)(errors="backslashreplace")
    sys.exit(run(sys.argv[1:]))


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code.

    Parameters
    ----------
    arguments
        As typed after the program's name.
    """
    try:
        load_commands(arguments)
        outcome = app(list(arguments), prog_name="stability", standalone_mode=False)
        sys.stdout.flush()
    except BrokenPipeError:
        return _reader_left()
    except (KeyboardInterrupt, typer.Abort):
        tell(
            "stability: interrupted; what was not yet reported as stored is not stored."
        )
        return INTERRUPTED
    except (StabilityError, typer.TyperException, OSError) as fault:
        tell(_wording(fault))
        return TO_MEND
    except Exception as fault:  # noqa: BLE001 - the last boundary before the user
        return _own_fault(fault)
    return _exit_code(outcome)


def _exit_code(outcome: object) -> int:
    """Return the exit code of what a command returned: an outcome, or click's own."""
    if isinstance(outcome, int):
        return INTERRUPTED if outcome == INTERRUPTED else outcome
    return FOUND if outcome is Outcome.FOUND else DONE


def _wording(fault: Exception) -> str:
    if isinstance(fault, typer.TyperException):
        context = getattr(fault, "ctx", None)
        command = context.command_path if context else "stability"
        return f"{command}: {fault.format_message()} See '{command} --help'."
    if isinstance(fault, OSError):
        where = f"{fault.filename}: " if fault.filename else ""
        reason = fault.strerror or str(fault)
        return (
            f"stability: {where}{reason}. Look at the path, its permissions and the "
            "space on the disk, then run it again."
        )
    return f"stability: {fault}"


def _own_fault(fault: Exception) -> int:
    if debugging():
        import traceback

        traceback.print_exception(fault)
    tell(
        f"stability: this is a fault of the program, not of your input: "
        f"{type(fault).__name__}: {fault} (version {program_version()}). What was not "
        "reported as stored is not stored. Run it again with STABILITY_DEBUG=1 to see "
        "where it happened, and report that with the command you typed."
    )
    return FAULT


def _reader_left() -> int:
    """Leave quietly when the reader of our output, such as `head`, has gone."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return DONE


if __name__ == "__main__":
    main()
