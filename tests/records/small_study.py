"""A small invented study: two batches, three conditions, every kind of attribute."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from stability.model import content
from stability.model.entry import Entry, chain
from stability.model.moment import Moment, moment_at
from stability.records.continuation import Continuation
from stability.records.opening import new_study, opening_draft
from stability.records.store import continue_entries

PROTOCOL = """\
format = 1
title = "Small protocol"
version = "1"
needs = ["pH meter", "balance 0.01 g"]
[t0]
read_after = "24h"
read_before = "96h"
reason = "settled"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["2w", "4w", "3M"]
reason = "as sold"
source = "common practice"
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["2w", "4w"]
reason = "faster"
source = "common practice"
[conditions.FT]
role = "stress"
cycles = 2
steps = [{at = -18, tolerance = 4, for = "24h"}, {at = 22, tolerance = 4, for = "24h"}]
read_after_cycles = [2]
untreated_twin = "ROOM"
reason = "transport in winter"
source = "common practice"
[attributes.pH]
method = "10 % in water"
unit = "pH"
readings = 2
resolution = 0.01
settings.dilution = "10 %"
settings.sample_temperature = {between = [18, 26]}
settings.electrode = "recorded"
limit.absolute = {lowest = 5.0, highest = 5.9}
limit.reason = "the preservative"
limit.reason_kind = "active or preservative"
[attributes.spread]
method = "under a plate"
unit = "mm"
limit.percent_of_initial = {lowest = 80, highest = 120}
limit.reason = "felt"
limit.reason_kind = "felt or seen"
[attributes.separation]
short = "sep"
scale = ["none", "droplets on surface", "layer", "broken"]
extra = ["layer_mm"]
limit.highest = "none"
limit.reason = "seen"
limit.reason_kind = "felt or seen"
[attributes.odour]
scale = ["as control", "slightly changed", "changed", "strongly changed"]
compared_with = "ROOM"
observers = 2
limit.highest = "slightly changed"
limit.reason = "smelt"
limit.reason_kind = "felt or seen"
[attributes.swollen]
limit.required = "no"
limit.reason = "gas"
limit.reason_kind = "pack"
[attributes.weight_loss]
limit.absolute = {highest = 3.0}
limit.reason = "dries out"
limit.reason_kind = "pack"
"""

STUDY = """\
format = 1
code = "HDC"
product = "Heather day cream"
version = "1.0"
protocol = "protocol.toml"
time_zone = "Europe/Dublin"
product_type = "oil-in-water emulsion"
person = "Ana Reyes"
opened = "2026-03-01T09:00"
[as_sold]
formula = true
pack = true
scale = "400 g laboratory batches"
[request]
months = 12
storage = "below 25 °C"
[packs.JAR]
text = "50 g PP jar"
fill_g = 50.0
tare_g = 32.10
[packs.GLASS]
text = "20 ml glass vial"
inert = true
fill_g = 15.0
tare_g = 28.40
[batches.A]
made = 2026-03-02
[batches.B]
made = 2026-03-09
[[samples]]
batch = ["A", "B"]
kind = "bulk"
grams = 15
[[samples]]
batch = ["A", "B"]
pack = "JAR"
condition = "ROOM"
use = "reopened"
[[samples]]
batch = "A"
pack = "JAR"
condition = "T40"
use = "fresh per check"
[[samples]]
batch = "A"
pack = "GLASS"
condition = "FT"
use = "reopened"
untreated_twins = 1
[[samples]]
batch = "A"
pack = "JAR"
use = "spare"
[places]
T40 = "OVEN-7KQ4"
"""

ZONE = ZoneInfo("Europe/Dublin")
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)

#: Codes that the files above give, by what the sample is for.
BULK_A, BULK_B = "HDC-001-5", "HDC-002-3"
ROOM_A, ROOM_B = "HDC-005-Y", "HDC-006-W"
T40_2W, T40_4W = "HDC-009-Q", "HDC-010-3"
FT_A, TWIN_A, SPARE_A = "HDC-013-Y", "HDC-014-W", "HDC-017-Q"


def write_files(folder: Path, study: str = STUDY, protocol: str = PROTOCOL) -> Path:
    """Write both files and return the study file."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "protocol.toml").write_text(protocol, encoding="utf-8")
    (folder / "study.toml").write_text(study, encoding="utf-8")
    return folder / "study.toml"


def opening_entry(folder: Path) -> Entry:
    """Return the first entry of the study."""
    new = new_study(write_files(folder), (), None)
    when = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
    return chain([opening_draft(new, "Ana Reyes", moment_at(when, ZONE), when)])[0]


def opened_book(folder: Path) -> Continuation:
    """Return the study as it stands just after its opening."""
    return continue_entries([opening_entry(folder)])


def add(book: Continuation, kind: str, held: dict[str, object], done: str) -> int:
    """Add an entry by Ana and return its position."""
    when = Moment(date.fromisoformat(done))
    entry = book.add(kind, held, person="Ana Reyes", done=when, entered=NOW)
    return entry.position


def place(book: Continuation, code: str, day: str, **more: object) -> None:
    """Place a sample in its own condition."""
    held = content.placed(code, book.plan.samples[code].condition, "in")
    add(book, content.PLACED, {**held, **more}, day)
