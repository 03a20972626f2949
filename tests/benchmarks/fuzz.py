"""Feed a reader inputs that a coverage-guided fuzzer grows from good ones.

Run it: `.venv/bin/pip install atheris`, then `.venv/bin/python -m tests.benchmarks.fuzz
READER [INPUTS]`; READER is protocol, study, csv, workbook, journal or logger, and
100,000 inputs are usual. Whatever comes, a reader takes it or refuses it with a message
of ours; anything else ends the run with the input in a file. Short versions with
hypothesis stand in the tests of each reader.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

from tests.benchmarks.processes import tell

ROOT = Path(__file__).parents[2]
#: Longest input tried [bytes].
LONGEST = 6000
Reader = tuple[Callable[[bytes], object], list[bytes]]


def decoded(given: bytes) -> str:
    """Return text as a file of UTF-8 gives it."""
    return given.decode("utf-8", "ignore")


def protocols() -> Reader:
    """Return the reader of protocols."""
    from stability.records.protocol_file import read_protocol
    from tests.records.small_study import PROTOCOL

    ready = [one.read_bytes() for one in (ROOT / "protocols").glob("*.toml")]
    return (
        lambda given: read_protocol(decoded(given), "fuzzed", "fuzzed.toml"),
        [PROTOCOL.encode(), *(one[:LONGEST] for one in ready)],
    )


def studies() -> Reader:
    """Return the reader of study files."""
    from stability.records.protocol_file import read_protocol
    from stability.records.study_file import read_study
    from tests.records.small_study import PROTOCOL, STUDY

    protocol = read_protocol(PROTOCOL, "small", "small.toml")
    return (
        lambda given: read_study(decoded(given), "fuzzed.toml", protocol),
        [STUDY.encode()],
    )


def tables() -> Reader:
    """Return the reader of events.csv, whose rows become entries."""
    from stability.records.event_rows import RowRules, add_rows
    from stability.records.rows import read_rows
    from stability.records.store import continue_entries
    from tests.records.small_study import NOW, opening_entry

    first = opening_entry(Path(tempfile.mkdtemp(prefix="fuzz-")))
    rules = RowRules(
        file="fuzzed.csv", person="Ana", account="ana", now=NOW, entered_is_done=True,
        accept_far=True,
    )  # fmt: skip

    def read(given: bytes) -> None:
        rows = read_rows(decoded(given), "fuzzed.csv")
        book = continue_entries([first])
        try:
            add_rows(book, rows, rules)
        finally:
            assert len(book.added) <= len(rows)

    folders = (ROOT / "example_studies").glob("*/events.csv")
    seeds = [one.read_bytes()[:LONGEST] for one in folders]
    small = (
        b"kind,done,sample,attribute,reading,settings,observers,refers_to,because\n"
        b"observed,2026-03-05,001-5,pH,5.50/5.52,dilution=10 %,,,\n"
        b"placed,2026-03-06,009-Q,,,,,,\ncorrected,2026-03-07,,,5.4/5.5,,,2,slip\n"
        b"noted,2026-03-08,,,,,,2,all well\nretired,2026-03-09,017-Q,,broken,,,,fell\n"
    )
    return read, [small, *seeds]


def workbooks() -> Reader:
    """Return the reader of workbooks."""
    import io

    from openpyxl import Workbook

    from stability.records.workbook_reader import read_workbook

    book, kept = Workbook(), io.BytesIO()
    sheet = book.create_sheet("readings", 0)
    for row in (["sample", "check", "pH"], ["HDC-001-5", "T0", 5.5], ["x", None, 1]):
        sheet.append(row)
    book.save(kept)
    return (
        lambda given: read_workbook(
            given, "fuzzed.xlsx", "readings", decimal_comma=True
        ),
        [kept.getvalue()],
    )


def journals() -> Reader:
    """Return the reader of an archive's journal."""
    from stability.records.archive_reader import read_archive

    folder = Path(tempfile.mkdtemp(prefix="fuzz-"))

    def read(given: bytes) -> None:
        (folder / "journal.jsonl").write_bytes(given)
        read_archive(folder)

    landed = (ROOT / "tests/records/landed").glob("*/*/journal.jsonl")
    whole = [one.read_bytes() for one in landed]
    return read, [b"\n".join([*one.split(b"\n")[:2], b""]) for one in whole] + whole


def loggers() -> Reader:
    """Return the reader of a logger's file."""
    from stability.model.logger_form import DeclaredForm
    from stability.statistics.logger_file import read_logger, recognise_logger

    def read(given: bytes) -> None:
        found = recognise_logger(given, "fuzzed.csv", DeclaredForm(), "Europe/Dublin")
        read_logger(given, "fuzzed.csv", found.form)

    rows = [
        f"2026-03-{day:02d} 10:00:00;2{day % 9}.5;4{day % 9}" for day in range(1, 9)
    ]
    text = "\n".join(["time;temperature;humidity", *rows, ""])
    other = text.replace(";", ",").replace("2026-03-0", "0").replace(" ", "/03/2026 ")
    return read, [text.encode(), other.encode()]


READERS: dict[str, Callable[[], Reader]] = {
    "protocol": protocols,
    "study": studies,
    "csv": tables,
    "workbook": workbooks,
    "journal": journals,
    "logger": loggers,
}


def fuzz(atheris: ModuleType, name: str, inputs: int, folder: Path) -> None:
    """Run a reader; the fuzzer leaves with 0, or with the input that it fell over."""
    with atheris.instrument_imports(include=["stability", "tomllib", "csv", "json"]):
        from stability.errors import StabilityError

        read, seeds = READERS[name]()
    for number, seed in enumerate(seeds):
        (folder / f"seed-{number}").write_bytes(seed[:LONGEST])
    taken = [0, 0]

    def one(given: bytes) -> None:
        try:
            read(given)
            taken[0] += 1
        except StabilityError:
            taken[1] += 1
        if sum(taken) == inputs:
            tell(f"{name}: {inputs} inputs, {taken[0]} taken, {taken[1]} refused")

    options = [
        f"-runs={inputs}", "-seed=20260302", f"-max_len={LONGEST}", "-timeout=30",
        "-verbosity=0", "-print_final_stats=1", f"-artifact_prefix={name}-",
    ]  # fmt: skip
    atheris.Setup([sys.argv[0], *options, str(folder)], one)
    atheris.Fuzz()


def main() -> None:
    """Fuzz the reader that is named."""
    name = sys.argv[1] if len(sys.argv) > 1 else ""
    if name not in READERS:
        raise SystemExit(f"name one of {', '.join(READERS)}")
    inputs = int(sys.argv[2]) if len(sys.argv) > 2 else 100_000
    import importlib

    fuzz(
        importlib.import_module("atheris"),
        name,
        inputs,
        Path(tempfile.mkdtemp(prefix="fuzz-")),
    )


if __name__ == "__main__":
    main()
