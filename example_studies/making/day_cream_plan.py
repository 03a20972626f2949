"""The plan of the invented day cream, and what nature does to it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, timedelta

from making.calendar_of_checks import due, working_day

STUDY = """\
# Invented: maker, product, people, formula and every number.
format = 1
code = "QDC"
product = "Quillmarsh day cream"
version = "1.0"
protocol = "emulsion-combined"
time_zone = "Europe/Dublin"
maker = "Quillmarsh Workshop"
product_type = "oil-in-water emulsion"
person = "Ines"
opened = "2025-03-07T16:20"

[as_sold]
formula = true
pack = true
scale = "400 g laboratory batches; sale batches will be 5 kg"

[request]
months = 24
after_opening = "6M"
storage = "below 25 °C, out of direct sun"

[formula]
"Aqua" = 71.6
"Caprylic/capric triglyceride" = 10.0
"Cetearyl alcohol" = 4.0
"Glyceryl stearate citrate" = 3.5
"Glycerin" = 5.0
"Squalane" = 3.0
"Benzyl alcohol" = 0.8
"Sodium benzoate" = 0.5
"Tocopherol" = 0.3
"Xanthan gum" = 0.3
"Citric acid" = 0.3
"Parfum" = 0.7

[packs.JAR]
text = "50 g PP double-wall jar, PE liner"
fill_g = 50.0
tare_g = 32.10
[packs.PUMP]
text = "30 ml airless PP pump"
fill_g = 30.0
tare_g = 24.60
[packs.GLASS]
text = "20 ml clear glass vial, phenolic cap"
inert = true
fill_g = 15.0
tare_g = 28.40

# One batch cannot feed a full cross of conditions and packs: the work is shared out.
[batches.A]
made = 2025-03-10
grams = 400
process = {fill_temperature = "38 °C"}
[batches.B]
made = 2025-03-17
grams = 400
process = {fill_temperature = "39 °C"}
[batches.C]
made = 2025-03-24
grams = 400
process = {fill_temperature = "38 °C"}

[[samples]]
batch = ["A", "B", "C"]
kind = "bulk"
use = "T0"
grams = 20

[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "reopened"
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "untouched"
open_at = "12M"
[[samples]]
batch = ["B", "C"]
pack = "JAR"
condition = "ROOM"
use = "reopened"
[[samples]]
batch = ["B", "C"]
pack = "PUMP"
condition = "ROOM"
use = "reopened"
checks = ["3M", "6M", "12M", "18M", "24M"]

[[samples]]
batch = ["A", "B", "C"]
pack = "JAR"
condition = "T40"
use = "reopened"
[[samples]]
batch = ["B", "C"]
pack = "PUMP"
condition = "T40"
use = "reopened"
checks = ["4w", "8w", "12w"]

[[samples]]
batch = "A"
pack = "GLASS"
condition = "T45"
use = "reopened"

[[samples]]
batch = "A"
pack = "JAR"
condition = "COLD"
use = "reopened"
[[samples]]
batch = "C"
pack = "PUMP"
condition = "COLD"
use = "reopened"
checks = ["12w", "12M", "24M"]

[[samples]]
batch = "A"
pack = "GLASS"
condition = "FT"
use = "reopened"
count = 3
untreated_twins = 1

[[samples]]
batch = "A"
pack = "GLASS"
condition = "WINDOW"
use = "reopened"
[[samples]]
batch = "A"
pack = "GLASS"
condition = "FOIL"
use = "reopened"

[[samples]]
batch = ["A", "B", "C"]
pack = "JAR"
use = "retained"
keep_for = "36M"
[[samples]]
batch = "C"
pack = "PUMP"
use = "retained"
keep_for = "36M"
[[samples]]
batch = "C"
pack = "JAR"
use = "spare"
[[samples]]
batch = "B"
kind = "bulk"
use = "sent out"
grams = 120

[places]
ROOM = "SHELF"
T40 = "OVEN"

[place_on]
FT = 2025-03-17

[omit]
viscosity = "no viscometer"
flow_time = "too thick to flow from a cup"
consistency = "the spread is measured"
"""

#: Samples in the order of the file, which gives them their codes.
NAMES = (
    "A bulk", "B bulk", "C bulk",
    "A room", "A room closed", "B room", "C room", "B pump room", "C pump room",
    "A 40", "B 40", "C 40", "B pump 40", "C pump 40",
    "A 45", "A cold", "C pump cold",
    "A frozen 1", "A frozen 2", "A frozen 3", "A never frozen",
    "A window", "A foil",
    "A kept", "B kept", "C kept", "C pump kept", "C spare", "B challenge",
)  # fmt: skip
PLACED = {
    "A": date(2025, 3, 13),
    "B": date(2025, 3, 20),
    "C": date(2025, 3, 27),
}
IN_ROOM = ("4w", "8w", "3M", "6M", "9M", "12M", "18M")
IN_HEAT = ("2w", "4w", "8w", "12w")
PUMP_IN_ROOM = ("3M", "6M", "12M", "18M")
PUMP_IN_HEAT = ("4w", "8w", "12w")
#: Sample -> condition, checks by age so far.
KEPT: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "A room": ("ROOM", IN_ROOM),
    "A room closed": ("ROOM", ("12M",)),
    "B room": ("ROOM", IN_ROOM),
    "C room": ("ROOM", IN_ROOM[:-1]),
    "B pump room": ("ROOM", PUMP_IN_ROOM),
    "C pump room": ("ROOM", PUMP_IN_ROOM[:-1]),
    "A 40": ("T40", IN_HEAT),
    "B 40": ("T40", IN_HEAT),
    "C 40": ("T40", ("2w",)),
    "B pump 40": ("T40", PUMP_IN_HEAT),
    "C pump 40": ("T40", PUMP_IN_HEAT),
    "A 45": ("T45", ("4w", "8w", "12w")),
    "A cold": ("COLD", ("4w", "12w", "6M", "12M")),
    "C pump cold": ("COLD", ("12w", "12M")),
    "A window": ("WINDOW", ("2w", "4w", "8w")),
    "A foil": ("FOIL", ("2w", "4w", "8w")),
}
VIALS = ("A frozen 1", "A frozen 2", "A frozen 3", "A never frozen")
#: The jar that took the place of the one dropped, with an age of its own.
DROPPED = date(2025, 4, 24)
#: Checks read on another day than the first working day from their date.
MOVED = {
    ("A 40", "8w"): date(2025, 5, 9),
    ("C room", "8w"): date(2025, 5, 28),
    ("B room", "9M"): date(2025, 12, 19),
    ("C room", "9M"): date(2026, 1, 5),
}
CLOSED_AT = ("B room", "B 40", "B pump 40")
CLOSED = "closed for Easter week, nobody in the laboratory"
ELECTRODE_DEAD = date(2025, 12, 19)

#: Initial pH, fall of pH and change of spread [mm] each month, by batch and condition.
PH_AT_T0 = {"A": 5.52, "B": 5.49, "C": 5.54}
FALL_OF_BATCH = {"A": 1.0, "B": 1.08, "C": 0.95}
FALL_OF_PH = {
    "ROOM": 0.0105, "T40": 0.142, "T45": 0.175, "COLD": 0.002, "FT": 0.01,
    "WINDOW": 0.012, "FOIL": 0.012,
}  # fmt: skip
SPREAD_AT_T0 = {"A": 60.4, "B": 61.2, "C": 59.6}
RISE_OF_SPREAD = {
    "ROOM": -0.10, "T40": 1.1, "T45": 3.4, "COLD": -0.05, "FT": 6.0,
    "WINDOW": 0.1, "FOIL": 0.1,
}  # fmt: skip
#: Loss of weight each month [g], by pack and condition.
LOSS = {
    ("JAR", "ROOM"): 0.034, ("JAR", "T40"): 0.21, ("JAR", "COLD"): 0.010,
    ("PUMP", "ROOM"): 0.016, ("PUMP", "T40"): 0.11, ("PUMP", "COLD"): 0.005,
    ("GLASS", "T45"): 0.060, ("GLASS", "ROOM"): 0.004,
}  # fmt: skip
FULL = {"JAR": 82.10, "PUMP": 54.60, "GLASS": 43.40}

BEST = {
    "separation": "none",
    "appearance": "as T0",
    "colour": "as control",
    "odour": "as control/as control",
}
#: What was seen and smelled where it was not the best word.
SCORES: Mapping[tuple[str, str], Mapping[str, str]] = {
    ("A window", "4w"): {"colour": "slightly changed"},
    ("A window", "8w"): {
        "colour": "slightly changed",
        "odour": "as control/slightly changed",
    },
    ("A 45", "4w"): {"odour": "as control/slightly changed"},
    ("A 45", "8w"): {
        "separation": "droplets on the surface",
        "appearance": "slightly changed",
        "odour": "slightly changed/slightly changed",
    },
    ("A 45", "12w"): {
        "separation": "layer",
        "appearance": "changed",
        "colour": "slightly changed",
        "odour": "slightly changed/changed",
    },
    ("A 40", "12w"): {"odour": "as control/slightly changed"},
    ("B 40", "12w"): {"odour": "slightly changed/slightly changed"},
    ("A frozen 2", "c3"): {
        "separation": "droplets on the surface",
        "appearance": "slightly changed",
    },
    ("A frozen 3", "c3"): {"appearance": "slightly changed"},
}


def batch_of(name: str) -> str:
    """Return the batch of a sample."""
    return name[0]


def pack_of(name: str) -> str:
    """Return the pack of a sample."""
    if "pump" in name:
        return "PUMP"
    glass = ("45", "frozen", "window", "foil")
    return "GLASS" if any(word in name for word in glass) else "JAR"


def planned_visits() -> dict[date, list[tuple[str, str]]]:
    """Return which samples are read on which day."""
    visits: dict[date, list[tuple[str, str]]] = defaultdict(list)
    for name, (_, checks) in KEPT.items():
        for check in checks:
            if check == "4w" and name in CLOSED_AT:
                continue
            usual = working_day(due(PLACED[batch_of(name)], check))
            visits[MOVED.get((name, check), usual)].append((name, check))
    for check in IN_HEAT:
        visits[DROPPED + timedelta(weeks=int(check[:-1]))].append(("C spare", check))
    return visits
