"""Storage places with made-up loggers, for studies on a bench in code."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.evaluation.place_readings import PlaceReadings, read_place
from stability.model import content, place_content
from stability.model.content import Content
from stability.model.entry import Draft, chain
from stability.model.logger_form import DeclaredForm
from stability.model.place import PlaceRecord, fold_place
from stability.model.surroundings import Surroundings
from stability.statistics.logger_file import recognise_logger
from tests.evaluation.builders import Bench

#: Noon of the day on which samples are placed, which is known to the day only.
PLACED = datetime(2025, 1, 10, 12, tzinfo=UTC)


def logger(celsius: Sequence[float], start: datetime = PLACED) -> bytes:
    """Return the file of a logger with a reading every hour."""
    rows = [
        f"{start + timedelta(hours=place):%Y-%m-%dT%H:%M:%SZ},{one}"
        for place, one in enumerate(celsius)
    ]
    return "\n".join(["time,temperature", *rows, ""]).encode()


class Place:
    """A storage place in the making, as a person would record it."""

    def __init__(
        self,
        name: str = "OVEN",
        *,
        temperature: str | None = "40",
        tolerance: str | None = "2",
        between: tuple[str, str] | None = None,
        gap: str = "2h",
    ) -> None:
        self.subject = f"place:{name}-7KQ4"
        self.files: dict[str, bytes] = {}
        held = place_content.registered(
            name, "", "Europe/Dublin", temperature=temperature, tolerance=tolerance,
            between=between, longest_gap=gap, usual=gap == "2h",
        )  # fmt: skip
        self.drafts: list[Draft] = []
        self._add(place_content.REGISTERED, held, "2025-01-10")

    def log(self, celsius: Sequence[float], start: datetime = PLACED) -> Place:
        """Take in a logger with a reading every hour."""
        file = logger(celsius, start)
        summary = recognise_logger(file, "oven.csv", DeclaredForm(), "UTC")
        sha256 = hashlib.sha256(file).hexdigest()
        self.files[sha256] = file
        held = place_content.logged("oven.csv", sha256, len(file), summary)
        return self._add(place_content.LOGGED, held, "2025-04-01")

    def look(self, lowest: str, highest: str, done: str) -> Place:
        """Look at a thermometer that keeps lowest and highest."""
        held = place_content.looked(lowest, highest)
        return self._add(place_content.LOOKED, held, done)

    def event(self, what: str, start: str, end: str, side: str | None = None) -> Place:
        """State what happened."""
        held = place_content.event(what, start, end, side)
        return self._add(place_content.EVENT, held, start[:10])

    def answer(
        self, start: str, end: str, outcome: str = "continued", study: str | None = None
    ) -> Place:
        """Answer an excursion."""
        held = place_content.answered(
            2, start, end, outcome=outcome, because="colder ages less", study=study
        )
        return self._add(content.ANSWERED, held, "2025-04-02")

    def record(self) -> PlaceRecord:
        """Return the place."""
        return fold_place(chain(self.drafts))

    def readings(self) -> PlaceReadings:
        """Return the place with its readings."""
        return read_place(self.record(), self.files)

    def _add(self, kind: str, held: Content, done: str) -> Place:
        at = f"{done[:10]}T12:00:00Z"
        self.drafts.append(Draft(self.subject, kind, "Mara", done, at, held))
        return self


def around(*places: Place) -> Surroundings:
    """Return places as what a study rests on."""
    records = [one.record() for one in places]
    files = {sha256: file for one in places for sha256, file in one.files.items()}
    return Surroundings(places={one.code: one for one in records}, files=files)


def evaluated(bench: Bench, as_of: str, *places: Place) -> Evaluation:
    """Return the evaluation of a study with its storage places."""
    day = date.fromisoformat(as_of)
    return evaluate(bench.record(as_of), day, around(*places))
