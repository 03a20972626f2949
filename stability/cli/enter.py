"""The command that walks through the samples that are due."""

from __future__ import annotations

import sys
from collections.abc import Iterable

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.output import short_anchor, tell, visible
from stability.cli.surroundings import occasion, screen_width
from stability.cli.table import hanging
from stability.errors.bench import AnswersStoppedError
from stability.workflow.awaited import catch_up
from stability.workflow.entering import Question
from stability.workflow.sitting import Sitting


@app.command("enter", rich_help_panel=BENCH)
def enter(
    *,
    study: options.StudyCode,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Walk through the samples that are due, question by question.

    Scan or type a sample's code; what is to be read of it is asked in the order of
    handling, each with its last value and its limit. An answer is stored before the
    next question, and told as stored; a reading far from the last one is asked again
    first. A photograph is kept with 'photo FILE', or by dragging the file to the
    window. 'words' shows the words that skip, go back, leave or stop. Stop at any
    time: what is not read stays due, and the same command goes on there. Answers may
    also come from a file or program; the first that is not taken ends it with 2.

    A mouldy, gassing or swollen sample stays closed: photograph it through the glass,
    log it, discard it closed. Do not smell it.

    Example:

      stability enter HDC --person "Ana Reyes"
    """
    sitting = Sitting(occasion(records, person), study, on)
    _tell(sitting.opening(occasion(records, person)))
    sitting.warm_up()
    try:
        _walk(sitting, records, person)
    finally:
        if sitting.anchor:
            catch_up(occasion(records, person), [sitting.subject])


def _walk(sitting: Sitting, records: str, person: str | None) -> None:
    """Ask and take answers until the person stops or no more lines come."""
    at_terminal = sys.stdin.isatty()
    shown: Question | None = None
    told = ""
    lines = 0
    while not sitting.ended:
        at = occasion(records, person)
        asked = sitting.question(at)
        if asked != shown:
            _tell(sitting.asked_lines(at, asked))
            shown = asked
        if asked.kind == "sample" and sitting.anchor != told:
            told = sitting.anchor
            tell(f"record: {short_anchor(told)}")
        line = _line(sitting.prompt(asked), at_terminal)
        if line is None:
            break
        lines += 1
        for one in sitting.answer(occasion(records, person), line):
            if sitting.refused and not at_terminal:
                raise AnswersStoppedError(lines, line, sitting.refused)
            _tell([one])
            sys.stderr.flush()
    if sitting.anchor != told:
        tell(f"record: {short_anchor(sitting.anchor)}")


def _tell(lines: Iterable[str]) -> None:
    """Print lines, at a terminal as wide as it is: also that of a telephone."""
    width = screen_width()
    tell(*(part for one in lines for part in hanging(visible(one), width)))


def _line(prompt: str, at_terminal: bool) -> str | None:
    """Return the line typed or scanned; None where no more lines come."""
    shown = visible(prompt)
    if at_terminal:
        typer.echo(shown, nl=False, err=True)
        sys.stderr.flush()
    try:
        line = input()
    except EOFError:
        tell("")
        return None
    except KeyboardInterrupt:
        tell("", "What was told as stored is stored; the line being typed is not.")
        raise
    if not at_terminal:  # nothing echoes what comes from a file or program
        tell(f"{shown}{visible(line)}")
    return line
