"""A bench on which invented studies are lived through, command by command.

The days go by as they would: the clock stands at each day before its commands are
typed, so that what is stored is stored when it was done.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, cast

import pytest
from PIL import Image
from pypdf import PdfReader

from stability.cli import surroundings
from stability.cli.main import run

#: Hour of the day at which everything is typed [h, UTC].
_EVENING = "T18:00+00:00"


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command ended with and printed."""

    #: Exit code.
    code: int
    #: Standard output.
    out: str
    #: Standard error.
    err: str

    @property
    def told(self) -> str:
        """Return all that was printed, flowing."""
        return flowing(self.out + self.err)


@dataclass(frozen=True, slots=True)
class Report:
    """What one study's report says in its three forms."""

    #: Page 1 and the conclusion as text, flowing.
    text: str
    #: The whole as values.
    held: dict[str, Any]
    #: All pages of the PDF, flowing.
    pdf: str
    #: What `verify --against` the PDF printed.
    verified: Ran


@dataclass(frozen=True, slots=True)
class Bench:
    """A folder, a clock and the command line."""

    #: Where everything is written.
    folder: Path
    #: Sets what the program takes for now, and what it reads as input.
    patch: pytest.MonkeyPatch
    #: Sample code by batch, pack and condition or use, such as "A JAR ROOM".
    codes: dict[str, str] = field(default_factory=dict)
    #: What each command printed, by its words.
    told: dict[str, Ran] = field(default_factory=dict)

    def on(self, day: str, *words: str, ends: int = 0) -> Ran:
        """Type a command in the evening of a day, and say that it was done that day."""
        return self.type(day, *words, "--on", day, ends=ends)

    def type(self, day: str, *words: str, ends: int = 0) -> Ran:
        """Type a command in the evening of a day.

        Parameters
        ----------
        day
            The day.
        words
            The command; "@A JAR ROOM" stands for that sample's code.
        ends
            Exit code that it must end with [-].
        """
        now = datetime.fromisoformat(day + _EVENING)

        class Clock(datetime):
            """A clock that stands still."""

            @classmethod
            def now(cls, tz: Any = None) -> Any:
                """Return the evening of the day."""
                return now.astimezone(tz or UTC)

        self.patch.setattr(surroundings, "datetime", Clock)
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            code = run([self.sample(one) for one in words])
        ran = Ran(code, out.getvalue(), err.getvalue())
        assert code == ends, (day, words, ran.out, ran.err)
        return ran

    def sample(self, word: str) -> str:
        """Return the code of a sample that is named by its place in the study."""
        before, sign, named = word.partition("@")
        return before + self.codes[named] if sign else word

    def write(self, name: str, text: str) -> str:
        """Write a text file, "@…@" in it being samples; return its name."""
        for named, code in self.codes.items():
            text = text.replace(f"@{named}@", code)
        (self.folder / name).write_text(text, encoding="utf-8")
        return name

    def photograph(self, name: str, colour: tuple[int, int, int]) -> str:
        """Write a small photograph of one colour; return its name."""
        Image.new("RGB", (64, 48), colour).save(self.folder / name)
        return name

    def start(self, day: str, study: str) -> None:
        """Open the study and learn its sample codes."""
        ran = self.type(day, "start", study, "--format", "json")
        for one in json.loads(ran.out)["samples"]:
            of = one["condition"] or one["use"]
            self.codes[" ".join(filter(None, (one["batch"], one["pack"], of)))] = one[
                "sample"
            ]

    def answer(self, day: str, study: str, *lines: str) -> Ran:
        """Walk through what is due with answers from a pipe."""
        typed = "".join(f"{self.sample(one)}\n" for one in lines)
        self.patch.setattr("sys.stdin", io.StringIO(typed))
        return self.on(day, "enter", study)

    def report(self, day: str, study: str) -> Report:
        """Write the report in three forms and verify the record against it."""
        for kind, name in (("text", "r.txt"), ("json", "r.json"), ("pdf", "r.pdf")):
            self.type(day, "report", study, "--kind", kind, "--out", name)
        verified = self.type(day, "verify", "--against", "r.pdf")
        pages = PdfReader(self.folder / "r.pdf").pages
        held = json.loads((self.folder / "r.json").read_text(encoding="utf-8"))
        return Report(
            flowing((self.folder / "r.txt").read_text(encoding="utf-8")),
            cast("dict[str, Any]", held),
            flowing(" ".join(page.extract_text() for page in pages)),
            verified,
        )


def flowing(text: str) -> str:
    """Return a text without its line breaks."""
    return " ".join(text.split())


def entry_of(ran: Ran, study: str, attribute: str) -> str:
    """Return the entry, as `CRM/12`, that a command told of an attribute."""
    for line in ran.err.splitlines():
        if line.startswith(f"{study}/") and f": {attribute} " in line:
            return line.split()[0]
    raise AssertionError(ran.err)


@contextmanager
def bench(folder: Path, person: str) -> Iterator[Bench]:
    """Give a bench in an empty folder to a person."""
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.delenv("STABILITY_RECORDS", raising=False)
        patch.setenv("STABILITY_PERSON", person)
        yield Bench(folder, patch)


def rows(held: Sequence[dict[str, Any]], **wanted: Any) -> list[dict[str, Any]]:
    """Return the rows that have all of the wanted values."""
    return [
        one
        for one in held
        if all(one.get(name) == value for name, value in wanted.items())
    ]
