"""Files of loggers, made up for tests."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from stability.model.logger_form import DeclaredForm, LoggerForm
from stability.statistics.logger_file import (
    LoggerReadings,
    read_logger,
    recognise_logger,
)

START = datetime(2026, 3, 2, 9, tzinfo=UTC)


def table(rows: Iterable[str], header: str = "time,temperature") -> bytes:
    """Return a file with a header and rows."""
    return "\n".join([header, *rows, ""]).encode()


def every(minutes: int, celsius: Iterable[float]) -> bytes:
    """Return a file with a reading every so many minutes, in UTC."""
    return table(
        f"{START + place * timedelta(minutes=minutes):%Y-%m-%d %H:%M:%S},{one}"
        for place, one in enumerate(celsius)
    )


def read(
    content: bytes, declared: DeclaredForm | None = None, zone: str = "UTC"
) -> tuple[LoggerReadings, LoggerForm]:
    """Recognise a file and read it again by what was recognised."""
    found = recognise_logger(content, "shelf.csv", declared or DeclaredForm(), zone)
    readings = read_logger(content, "shelf.csv", found.form)
    assert found.readings == readings.seconds.size
    return readings, found.form


def times(readings: LoggerReadings) -> list[str]:
    """Return the times of readings in UTC, to the minute."""
    return [
        datetime.fromtimestamp(int(one), UTC).strftime("%Y-%m-%d %H:%M")
        for one in readings.seconds
    ]


def celsius(readings: LoggerReadings) -> list[float]:
    """Return the temperatures, to a thousandth."""
    return [round(float(one), 3) for one in readings.celsius]
