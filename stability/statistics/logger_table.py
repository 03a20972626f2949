"""The columns of a logger's file, each read as one and not yet understood."""

from __future__ import annotations

import io
from dataclasses import dataclass
from itertools import islice
from typing import Final, Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from stability.errors.storage import LoggerFileError
from stability.model.logger_form import LoggerForm
from stability.statistics.logger_head import HEAD_LINES, names_in

#: Longest cell of a time [bytes].
_WIDEST: Final = 40
_UNITS: Final = r"\s*(?:°?[CF]|%)\s*$"


@dataclass(frozen=True, slots=True)
class LoggerCells:
    """Columns of a file before they are understood."""

    #: Time of each row, as written.
    times: NDArray[np.bytes_]
    #: Temperature, not a number where there is none [as written].
    temperature: NDArray[np.float64]
    #: Humidity [%]; None where there is none.
    humidity: NDArray[np.float64] | None


def decoded(
    content: bytes, file: str
) -> tuple[bytes, Literal["utf-8", "utf-16", "cp1252"]]:
    """Return the text of a file as UTF-8, and how it was written.

    Parameters
    ----------
    content : bytes
        The file as received.
    file : str
        Its name, for messages.

    Returns
    -------
    bytes, str
        Without a mark of its encoding.

    Raises
    ------
    LoggerFileError
        If it is no text.

    Examples
    --------
    >>> decoded("21 °C".encode("cp1252"), "shelf.csv")[1]
    'cp1252'
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return content.decode("utf-16").encode(), "utf-16"
        except (UnicodeDecodeError, UnicodeEncodeError) as error:
            raise LoggerFileError(file, ["it is no text"]) from error
    plain = content.removeprefix(b"\xef\xbb\xbf")
    if b"\0" in plain:
        raise LoggerFileError(file, ["it is no text: export it as CSV"])
    try:
        plain.decode("utf-8")
    except UnicodeDecodeError:
        return plain.decode("cp1252", errors="replace").encode(), "cp1252"
    return plain, "utf-8"


def head_of(plain: bytes) -> list[str]:
    r"""Return the first lines of a file.

    Parameters
    ----------
    plain : bytes
        Its text as UTF-8.

    Returns
    -------
    list of str
        As many as are looked at to recognise its columns.

    Examples
    --------
    >>> head_of(b"time,temperature\r\n")
    ['time,temperature']
    """
    lines = io.BytesIO(plain)
    # A line longer than this is no row of a logger; what is cut off is not looked at.
    first = islice(iter(lambda: lines.readline(65_536), b""), HEAD_LINES)
    return [line.decode("utf-8", errors="replace").rstrip("\r\n") for line in first]


def cells_of(plain: bytes, form: LoggerForm, file: str) -> LoggerCells:
    """Return the columns of a file that are used.

    Parameters
    ----------
    plain : bytes
        Its text as UTF-8.
    form : LoggerForm
        Which columns, and how they are written.
    file : str
        Its name, for messages.

    Returns
    -------
    LoggerCells
        A word among numbers is no reading.

    Raises
    ------
    LoggerFileError
        If a column is not there, or the file is no table.
    """
    names = names_in(head_of(plain), form.header_line, form.delimiter)
    wanted = [*form.time, form.temperature, *filter(None, [form.humidity])]
    missing = [name for name in wanted if name not in names]
    if missing:
        raise LoggerFileError(file, [f"there is no column {missing[0]}"])
    places = [names.index(name) for name in wanted]
    times = places[: len(form.time)]
    numbers = places[len(form.time) :]
    try:
        frame = _table(plain, form, len(names), _kinds(times, numbers, "float64"))
    except (ValueError, OverflowError):
        frame = _mended(plain, form, file, len(names), (times, numbers))
    found = frame[str(times[0])].to_numpy().astype(f"S{_WIDEST}")
    for place in times[1:]:
        clock = frame[str(place)].to_numpy().astype(f"S{_WIDEST}")
        found = np.char.add(np.char.add(found, b" "), clock)
    values = [frame[str(place)].to_numpy(dtype=float) for place in numbers]
    humidity = values[1] if len(values) > 1 else None
    return LoggerCells(_stripped(found), values[0], humidity)


def _kinds(times: list[int], numbers: list[int], number: str) -> dict[int, str]:
    return dict.fromkeys(times, f"S{_WIDEST}") | dict.fromkeys(numbers, number)


def _table(
    plain: bytes, form: LoggerForm, width: int, kinds: dict[int, str]
) -> pd.DataFrame:
    return pd.read_csv(
        io.BytesIO(plain),
        sep=form.delimiter,
        header=None,
        names=list(map(str, range(width))),  # a number would be taken for a place
        index_col=False,
        usecols=list(map(str, kinds)),
        dtype={str(place): kind for place, kind in kinds.items()},
        decimal=form.decimal,
        skiprows=form.header_line,
        skip_blank_lines=False,
        skipinitialspace=True,
        encoding="utf-8",
    )


def _mended(
    plain: bytes,
    form: LoggerForm,
    file: str,
    width: int,
    places: tuple[list[int], list[int]],
) -> pd.DataFrame:
    """Read columns of numbers among which stand words: those are no readings."""
    times, numbers = places
    try:
        frame = _table(plain, form, width, _kinds(times, numbers, "str"))
    except (ValueError, OverflowError) as error:
        told = str(error).strip().splitlines() or ["no reason is given"]
        raise LoggerFileError(file, [f"it is no table ({told[-1]})"]) from error
    for place in numbers:
        text = frame[str(place)].str.replace(_UNITS, "", regex=True)
        if form.decimal == ",":
            text = text.str.replace(",", ".", regex=False)
        frame[str(place)] = pd.to_numeric(text, errors="coerce")
    return frame


def _stripped(times: NDArray[np.bytes_]) -> NDArray[np.bytes_]:
    """Return times without blanks around them."""
    width = max(times.dtype.itemsize, 1)
    signs = np.ascontiguousarray(times).view(np.uint8).reshape(len(times), width)
    blank = signs == ord(" ")
    ends = blank[:, 1:] & (signs[:, :-1] != 0) & (_after(signs) == 0)
    if blank[:, 0].any() or ends.any():
        return np.char.strip(times)
    return times


def _after(signs: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the sign after each but the first; 0 after the last."""
    after = np.zeros_like(signs[:, 1:])
    after[:, :-1] = signs[:, 2:]
    return after
