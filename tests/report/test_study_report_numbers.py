"""Every number in the tables is that of the evaluation, and every row is printed.

The report is read by a reader that had no part in writing it, and held against the
evaluation as JSON, both ways: each row of the evaluation has its row in print, and each
row in print is one of the evaluation. A printed number is right where it is the other
one rounded to the digits printed, and has the digits that are declared.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import cache
from typing import Any

import pytest

from stability.model.age import check_text
from stability.report.study_json import study_object
from tests.report.printed import EXAMPLES, evaluated, printed

NUMBER = r"[-+−]?\d+(?:\.\d+)?"
#: A check in words.
CHECK = r"after \d+ cycles?|\S+"
#: n, start, per month, two ends of its interval, s, change.
DRIFT = re.compile(
    rf"(?<!\S)(\d+) ({NUMBER}) ({NUMBER}) ({NUMBER}) to ({NUMBER}) ({NUMBER})\*?"
    rf" ({NUMBER})(?!\S)"
)
#: Difference a month with its interval, and its unit.
DIFFERENCE = re.compile(rf"({NUMBER}) \(({NUMBER}) to ({NUMBER})\) (\S+)")
#: Months shown, estimated, cap, at most.
LIFE = re.compile(rf" (\d+) (–|> \d+|{NUMBER}) ({NUMBER}) ({NUMBER})(?= |$)")
#: Pack, condition, months shown, estimated, supported.
PACK = re.compile(rf"^(\S+) (\S+) (\d+) (–|> \d+|{NUMBER}) (\d+) ")


@cache
def said(name: str) -> dict[str, Any]:
    """Return an example's evaluation as another program reads it."""
    found: dict[str, Any] = json.loads(json.dumps(study_object(evaluated(name))))
    return found


def body(name: str, chapter: str) -> list[str]:
    """Return the lines of a chapter alone, without heads and feet of pages."""
    report = printed(name)
    titles = report.titles()
    lines = [line for page in report.pages for line in page.splitlines()[1:-1]]
    # A table may be headed like a chapter: the last line that is the title begins it.
    starts = {
        one: max(at for at, line in enumerate(lines) if line == one)
        for one in titles
        if one in lines
    }
    after = [
        starts[one] for one in titles[titles.index(chapter) + 1 :] if one in starts
    ]
    return lines[starts[chapter] : min(after, default=len(lines))]


def section(name: str, chapter: str, begins: str, ends: str = "") -> list[str]:
    """Return the lines of a chapter from one that begins so up to one that ends it."""
    lines = body(name, chapter)
    first = next(at for at, line in enumerate(lines) if line.startswith(begins))
    after = (at for at, line in enumerate(lines) if at > first and line == ends)
    return lines[first : next(after, len(lines))]


def decimals(text: str) -> int:
    """Return how many digits stand behind the point."""
    return len(text.partition(".")[2])


def is_rounded(text: str, value: float | str | None, digits: int = 0) -> bool:
    """Say whether a printed number is a value rounded to the digits printed.

    Parameters
    ----------
    text
        As printed.
    value
        The evaluation's.
    digits
        Significant digits that it has at least, zeros at its end aside. [-]
    """
    if value is None:
        return text == "–"
    number = Decimal(text.replace("−", "-").lstrip("+"))
    exact = Decimal(repr(value) if isinstance(value, float) else str(value))
    half = Decimal(1).scaleb(-decimals(text)) / 2
    if abs(number - exact) > half * (1 + Decimal("1e-9")):
        return False
    wanted = f"{float(exact):.{digits}g}" if digits else text
    return not digits or decimals(text) >= decimals(f"{Decimal(wanted):f}".rstrip("0"))


def matched(rows: Sequence[Sequence[str]], wanted: Sequence[Sequence[Any]]) -> None:
    """Hold printed rows against those of the evaluation, in order, both ways.

    Each of the wanted cells is a value, or a value with its significant digits.
    """
    assert len(rows) == len(wanted)
    for row, cells in zip(rows, wanted, strict=True):
        for text, cell in zip(row, cells, strict=True):
            value, digits = cell if isinstance(cell, tuple) else (cell, 0)
            assert is_rounded(text, value, digits), (row, cells)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_line_of_the_drift_table_is_that_of_the_evaluation(name: str) -> None:
    found = [one for line in body(name, "Drift") if (one := DRIFT.search(line))]
    rows = [one.groups() for one in found]
    fitted = [one for one in said(name)["drift"] if "no_line" not in one]
    matched(
        rows,
        [
            (
                one["n"],
                (one["start"], 4),
                (one["slope_per_month"], 3),
                (one["slope_interval_per_month"][0], 3),
                (one["slope_interval_per_month"][1], 3),
                (one["residual_sd_used"], 2),
                (one["drift_over_life"], 3),
            )
            for one in fitted
        ],
    )
    for row, one in zip(found, fitted, strict=True):
        place = row.string[: row.start()].strip().rstrip(",")
        parts = (one["condition"], one["pack"], one["batch"])
        whole = " ".join(part for part in parts if part)
        assert whole.startswith(place) or place.startswith(f"{whole}, "), place


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_series_without_a_line_is_printed_with_its_checks(name: str) -> None:
    without = [one for one in said(name)["drift"] if "no_line" in one]
    if not without:
        return
    ends = "Cautions of the lines"
    flowing = " ".join(section(name, "Drift", "Series without a line", ends))
    named = len(re.findall(r"\(\d+(?= |$)", flowing))
    together = sum(map(int, re.findall(r"all (\d+) series", flowing)))
    assert named + together == len(without)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_difference_printed_is_that_of_the_evaluation(name: str) -> None:
    differences = [
        one for one in said(name)["differences"] if "not_compared" not in one
    ]
    if not differences:
        assert "Drifts beside each other" not in printed(name).text
        return
    lines = section(name, "Comparisons", "Where First", "Check by check")
    rows = [found.groups() for line in lines if (found := DIFFERENCE.search(line))]
    assert len(rows) == len(differences)
    for row, one in zip(rows, differences, strict=True):
        low, high = one["difference_interval_per_month"]
        wanted = (one["difference_per_month"], low, high)
        matched([row[:3]], [wanted])
        assert row[3] == one["unit"]
    shown = sum("≠ differ" in line for line in lines)
    assert shown == sum(one["excludes_0"] for one in differences)


@pytest.mark.parametrize("name", EXAMPLES)
def test_months_of_each_pack_are_those_of_the_evaluation(name: str) -> None:
    ends = "Lines that bear the request"
    lines = section(name, "Shelf life", "Pack by pack", ends)
    rows = [found.groups() for line in lines if (found := PACK.match(line))]
    packs = said(name)["shelf_life"]["packs"]
    assert [row[:2] for row in rows] == [
        (one["pack"] or "bulk", one["condition"]) for one in packs
    ]
    for row, one in zip(rows, packs, strict=True):
        assert row[2] == str(one["shown_months"])
        assert row[4] == str(one["supported_months"])
        assert whole(row[3], one["estimated_months"])


def whole(text: str, months: float | None) -> bool:
    """Say whether months are rounded down, or told to lie beyond what is told."""
    if months is None:
        return text == "–"
    if text.startswith(">"):
        return months > float(text[2:])
    return text == str(int(months))


@pytest.mark.parametrize("name", EXAMPLES)
def test_months_of_each_batch_are_those_of_the_evaluation(name: str) -> None:
    begins = "Attribute Batch Shown Estimate"
    lines = section(name, "Shelf life", begins, "Estimates")
    rows = [found.groups() for line in lines if (found := LIFE.search(line))]
    wanted = alike(said(name)["shelf_life"]["attributes"])
    assert len(rows) == len(wanted)
    for row, one in zip(rows, wanted, strict=True):
        assert row[0] == str(one["shown_months"])
        estimate, text = one["estimate_months"], row[1]
        beyond = text.startswith(">")
        assert whole(text, estimate) if beyond else is_rounded(text, estimate, 2)
        assert is_rounded(row[2], one["cap_months"])
        assert is_rounded(row[3], one["at_most_months"])


def alike(bearings: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return one of all that share a row: of one place, with the same said of them."""
    places: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for one in bearings:
        places.setdefault((one["pack"], one["condition"]), []).append(one)
    found: list[dict[str, Any]] = []
    for here in places.values():
        named: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
        for one in here:
            named.setdefault((one["batch"], *numbers(one)), []).append(one)
        rows: dict[tuple[Any, ...], dict[str, Any]] = {}
        for (_, *what), ones in named.items():
            attributes = tuple(each["attribute"] for each in ones)
            rows.setdefault((attributes, *what), ones[0])
        found += rows.values()
    return found


def numbers(one: dict[str, Any]) -> tuple[Any, ...]:
    """Return what is said of a batch, as printed."""
    estimate = one["estimate_months"]
    return (
        one["shown_months"],
        None if estimate is None else round(estimate, 1),
        one["cap_months"],
        round(one["at_most_months"], 1),
        one["basis"],
        one["ends_at_months"],
        one["cap"],
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_reading_in_print_is_the_one_recorded(name: str) -> None:
    measured = {
        one["attribute"] for one in said(name)["drift"] if one["attribute"]
    } - weighed(name)
    wanted = {
        str(one["position"]): one
        for one in said(name)["observations"]
        if one["attribute"] in measured
    }
    rows = {
        row["entry"]: row
        for line in body(name, "Readings")
        if (row := reading(line)) and row["entry"] in wanted
    }
    assert set(rows) == set(wanted)
    for entry, row in rows.items():
        one = wanted[entry]
        assert row["sample"] == one["sample"]
        assert row["check"] == check_text(one["check"] or "extra")
        assert (row["due"], row["read"]) == (one["due"] or "–", one["done"][:10])
        for text in one["readings"]:
            assert text in row["cells"].split(), (entry, row)
        if one["value"]:
            assert f" {one['value']} " in f" {row['cells']} ", (entry, row)


def reading(line: str) -> dict[str, str] | None:
    """Return the cells of a row of readings; None for any other line."""
    day = r"\d{4}-\d\d-\d\d"
    found = re.match(
        rf"(?P<sample>\S+) (?P<check>{CHECK}) (?P<due>{day}|–) (?P<read>{day})"
        r" (?P<cells>.*) (?P<entry>\d+)$",
        line,
    )
    return found.groupdict() if found else None


def weighed(name: str) -> set[str]:
    """Return the attributes that are worked out from weights."""
    attributes = evaluated(name).identity.protocol.attributes.values()
    return {one.name for one in attributes if one.from_weights}


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_weight_and_every_loss_in_print_is_that_of_the_evaluation(
    name: str,
) -> None:
    day = r"\d{4}-\d\d-\d\d"
    row = re.compile(rf"(\S+) ({CHECK}) (?:{day}|–) ({day}) (T0|[\d.]+ [dh]) (.*)$")
    lines = body(name, "Readings")
    found: dict[tuple[str, str, str], list[str]] = {}
    for line in lines:
        if match := row.match(line):
            found.setdefault((match[1], match[2], match[3]), []).append(match[5])
    weights = [
        one
        for one in said(name)["observations"]
        if one["attribute"] in weighed(name) and not one["not_measured"]
    ]
    for one in weights:
        key = (one["sample"], check_text(one["check"] or "extra"), one["done"][:10])
        cells = " ".join(found.get(key, ())).split()
        assert one["readings"][0] in cells, key
        if one["part"] == "before" and one["value"]:
            assert one["value"] in cells, key


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_certificate_in_print_is_the_one_recorded(name: str) -> None:
    recorded = said(name)["certificates"]["recorded"]
    if not recorded:
        assert "Certificates" not in printed(name).titles()
        return
    text = " ".join(body(name, "Certificates"))
    blocks = re.split(r"(?<= )(?=\w+, no\. \S+: )", text)[1:]
    assert len(blocks) == len(recorded)
    for block, one in zip(blocks, recorded, strict=True):
        head = f"no. {one['number']}: {one['mark']} "
        assert head in block
        assert f"version {one['version']}, batch {one['batch']}" in block
        assert f"{one['laboratory']}, no. {one['number']}, issued {one['issued']}" in (
            block
        )
        for line in certified(one):
            assert f" {line}" in block, line


def certified(one: dict[str, Any]) -> Iterator[str]:
    """Yield what a laboratory found, as printed: with its reductions of a challenge."""
    if one["challenge"] is None:
        for each in one["results"]:
            yield f"{each['name']} {each['value']} "
        return
    for tested in one["challenge"]["organisms"]:
        logs = {each["day"]: each["log10"] for each in tested["log_reductions"]}
        counts = {
            each["day"]: each["value"]
            for each in one["results"]
            if each["name"] == tested["organism"]
        }
        later = "".join(
            f"; day {day}: {value}, {logs[day]} log"
            for day, value in counts.items()
            if day
        )
        yield f"{tested['organism']}: {counts[0]} at the start{later} "


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_certificate_asked_for_is_printed(name: str) -> None:
    asked = said(name)["certificates"]["asked_for"]
    if "Certificates" not in printed(name).titles():
        assert asked == []
        return
    lines = section(name, "Certificates", "Certificates that the protocol asks for")
    told = re.compile(r" (received|to come|not received)")
    rows = [line for line in lines if told.search(line)]
    assert len(rows) == len(asked)
    for line, one in zip(rows, asked, strict=True):
        assert line.startswith(f"{one['attribute'].replace('_', ' ')} {one['check']} ")
        for at in one["positions"]:
            assert re.search(rf"\b{at}\b", line)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_row_outside_its_limit_is_printed_and_no_other(name: str) -> None:
    lines = body(name, "Outside limits")
    rows = [line for line in lines if re.search(r"■ outside .*\d+$", line)]
    seen = {one["position"]: one for one in said(name)["observations"]}
    positions = [at for one in said(name)["outside"] for at in one["positions"]]
    assert [int(line.rsplit(" ", 1)[1]) for line in rows] == positions
    for line, position in zip(rows, positions, strict=True):
        one = seen[position]
        start = f"{one['sample']} {one['check'] or 'extra'} {one['done'][:10]} "
        assert line.startswith(start)
        assert f" {one['value'] or one['readings'][0]} ■ outside" in line


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_cell_of_attribute_and_condition_is_printed(name: str) -> None:
    page = " ".join(body(name, "Findings by attribute and condition"))
    words = Counter(re.findall(r"[\w]+", page.partition("Where to find it")[0]))
    cells = [one for one in said(name)["summary"] if one["state"] != "not planned"]
    assert cells
    # Cells wrap beside each other: their words are counted, whatever the lines.
    wanted: Counter[str] = Counter()
    for one in cells:
        wanted.update(re.findall(r"[\w]+", one["text"]))
    for word in ("read", "missing", *(each for each in wanted if each.isdigit())):
        assert words[word] >= wanted[word], word
    assert words["read"] + words["of"] >= wanted["read"] + wanted["of"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_scores_count_as_many_containers_as_the_evaluation(name: str) -> None:
    lines = section(name, "Scores and statements", "Series In words")
    text = " ".join(lines)
    found = re.findall(r"(\d+) of (\d+) (?:\d+ %|–)", text)
    counted = {(int(failed), int(read)) for failed, read in found}
    scores = said(name)["scores"]
    assert counted == {(one["failed"], one["read"]) for one in scores}
    shares = {int(one) for one in re.findall(r" (\d+) %", text)}
    assert shares == {
        round(100 * one["may_fail_share"])
        for one in scores
        if one["may_fail_share"] is not None
    }


def floats(value: Any) -> Iterator[float]:
    """Yield every number of a part of the evaluation, those inside texts too."""
    if isinstance(value, dict):
        for one in value.values():
            yield from floats(one)
    elif isinstance(value, list):
        for one in value:
            yield from floats(one)
    elif isinstance(value, str):
        for one in re.findall(NUMBER, value):
            yield float(one.replace("−", "-"))
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield float(value)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize(
    ("chapter", "keys"),
    [
        ("Accelerated and real time", ("ageing", "protocol")),
        ("Shelf life", ("shelf_life", "observations", "drift", "protocol")),
        ("Storage", ("storage", "samples", "protocol")),
    ],
)
def test_no_number_of_a_chapter_is_unknown_to_the_evaluation(
    name: str, chapter: str, keys: Sequence[str]
) -> None:
    if chapter not in printed(name).titles():
        return
    known = [one for key in keys for one in floats(said(name)[key])]
    text = "\n".join(body(name, chapter))
    exact = re.findall(r"(?<![\w.])\d+\.\d{2,}(?![\w.])", text)
    for one in exact:
        near = 0.5 * 10 ** -decimals(one) * (1 + 1e-9)
        assert any(
            abs(abs(each) * factor - float(one)) <= near
            for each in known
            for factor in (1, 100)
        ), one
