"""The invented day cream: three batches, jar and airless pump, 18 months so far.

pH falls everywhere and fastest in heat; 45 °C breaks the emulsion where 40 °C holds
it. Life at the bench is in it too: a holiday, a dropped jar, a dead electrode, a
typing slip, a jar read cold, two jars put back in each other's place.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from datetime import date, timedelta

from making.bench_book import BenchBook, BenchDay
from making.calendar_of_checks import due, working_day
from making.sample_codes import sample_codes
from making.scatter import Scatter

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


class DayCream:
    """The story of the study, told day by day."""

    def __init__(self) -> None:
        self.book = BenchBook(dict(zip(NAMES, sample_codes("QDC"), strict=False)))
        self.scatter = Scatter(20250340)
        #: Sample -> condition in which it is, and since when.
        self.where: dict[str, tuple[str, date]] = {}
        #: Sample -> mass when last weighed [g], and when.
        self.mass: dict[str, tuple[float, date]] = {}
        self.ph_of_day = 0.0
        self.spread_of_day = 0.0

    def tell(self) -> str:
        """Return events.csv."""
        visits = planned_visits()
        events: Mapping[date, Callable[[BenchDay], None]] = {
            date(2025, 3, 13): lambda day: self.begin(day, "A"),
            date(2025, 3, 17): self.freeze,
            date(2025, 3, 18): lambda day: self.step(day, 1, 2),
            date(2025, 3, 19): self.first_thaw,
            date(2025, 3, 20): self.second_batch,
            date(2025, 3, 21): self.send_out_and_step,
            date(2025, 3, 22): lambda day: self.step(day, 3, 2),
            date(2025, 3, 24): self.last_thaw,
            date(2025, 3, 27): lambda day: self.begin(day, "C"),
            date(2025, 4, 22): self.miss_easter,
            date(2025, 4, 24): self.drop,
            date(2025, 7, 7): self.challenge_result,
            date(2025, 9, 16): self.read_again,
            date(2025, 10, 6): self.swap,
            date(2025, 10, 15): self.swap_back,
        }
        for on in sorted({*visits, *events}):
            self.ph_of_day = self.scatter.normal(0.018)
            self.spread_of_day = self.scatter.normal(0.5)
            person = "Tomas" if on in {date(2025, 3, 22), date(2025, 9, 16)} else "Ines"
            day = BenchDay(self.book, person, on)
            self.set_day(day, on)
            if on in events:
                events[on](day)
            for name, check in visits.get(on, ()):
                self.read(day, name, check)
        return self.book.text()

    def set_day(self, day: BenchDay, on: date) -> None:
        """Set what holds for all readings of a day."""
        room = f"{self.scatter.between(20.6, 23.4):.1f}"
        day.set_day(
            observers=("Ines", "Tomas"),
            control="A cold" if on > PLACED["A"] else None,
            settings={
                "pH.dilution": "10 %",
                "pH.sample_temperature": room,
                "pH.electrode": "E2" if on <= ELECTRODE_DEAD else "E3",
                "spread.load": "200 g",
                "spread.time": "60 s",
                "spread.sample_temperature": room,
            },
        )

    # T0 and placing

    def begin(self, day: BenchDay, batch: str) -> None:
        """Read the settled bulk, weigh every container and put it into its place."""
        on = day.on
        self.where[f"{batch} bulk"] = ("ROOM", on)
        self.read(day, f"{batch} bulk", "T0")
        mine = [name for name in KEPT if batch_of(name) == batch]
        for name in [*mine, "A never frozen"] if batch == "A" else mine:
            self.weigh_first(day, name, on)
        day.until(14)
        for name in mine:
            self.put(day, name, KEPT[name][0])

    def second_batch(self, day: BenchDay) -> None:
        """Begin batch B on the day of the second hand-over of the cycles."""
        self.step(day, 2, 2)
        self.begin(day, "B")

    def weigh_first(self, day: BenchDay, name: str, on: date) -> None:
        """Weigh a full container before it goes into its condition."""
        mass = FULL[pack_of(name)] + self.scatter.normal(0.18)
        self.mass[name] = (round(mass, 2), on)
        if (pack_of(name), KEPT.get(name, ("ROOM", ()))[0]) in LOSS:
            day.observe(name, "T0", "w", f"{mass:.2f}", "g")

    def put(self, day: BenchDay, name: str, condition: str) -> None:
        """Put a container into its condition."""
        day.place(name, condition)
        self.where[name] = (condition, day.on)

    # Freeze and thaw

    def freeze(self, day: BenchDay) -> None:
        """Begin the cycles; the twin stays at room."""
        day.until(11)
        for name in VIALS[:3]:
            self.put(day, name, "FT")
        self.put(day, "A never frozen", "ROOM")

    def step(self, day: BenchDay, cycle: int, step: int) -> None:
        """Take the vials on to the next step."""
        day.until(11)
        for name in VIALS[:3]:
            day.step(name, cycle, step)

    def first_thaw(self, day: BenchDay) -> None:
        """Read after the first cycle, then freeze again."""
        for name in VIALS:
            self.read(day, name, "c1")
        self.step(day, 2, 1)

    def last_thaw(self, day: BenchDay) -> None:
        """Read after the last cycle; the vials are used up then."""
        for name in VIALS:
            self.read(day, name, "c3")
        for name in VIALS:
            day.retire(
                name, "used up", "read after the last cycle, nothing left to read"
            )

    def send_out_and_step(self, day: BenchDay) -> None:
        """Send bulk to the laboratory and begin the third cycle."""
        day.retire(
            "B challenge", "sent out", "120 g to the laboratory for the challenge test"
        )
        self.step(day, 3, 1)

    # What happens at a bench

    def miss_easter(self, day: BenchDay) -> None:
        """Record the check that nobody was there for."""
        day.miss("4w", CLOSED_AT, CLOSED)

    def drop(self, day: BenchDay) -> None:
        """Drop a jar and put the spare in its place."""
        day.retire("C 40", "broken", "slipped from the glove at the oven, jar cracked")
        day.wait(20)
        self.weigh_replacing(day, "C spare", "C 40")

    def weigh_replacing(self, day: BenchDay, name: str, old: str) -> None:
        """Place a spare in the part of another sample and weigh it as it goes in."""
        condition = KEPT[old][0]
        mass = FULL[pack_of(name)] + self.scatter.normal(0.18)
        day.replace(name, old, condition, "spare for the jar that was dropped")
        self.where[name] = (condition, day.on)
        self.mass[name] = (round(mass, 2), day.on)
        day.observe(name, "T0", "w", f"{mass:.2f}", "g")

    def challenge_result(self, day: BenchDay) -> None:
        """Note what the laboratory reported."""
        day.note(
            "B challenge",
            "challenge test of batch B: criteria A at days 7, 14 and 28; the "
            "laboratory's certificate is in the product file",
        )

    def read_again(self, day: BenchDay) -> None:
        """Set aside the spread that was read cold and read it at room temperature."""
        cold = self.book.found("A cold", "6M", "spread")
        day.invalidate(
            cold, "jar came straight from the refrigerator, sample at 9 °C not 20–25 °C"
        )
        self.measure_spread(day, "A cold", "6M")

    def swap(self, day: BenchDay) -> None:
        """Put two pumps back in each other's place."""
        day.swap(
            {"C pump room": "COLD", "C pump cold": "ROOM"},
            "put back in each other's place after the refrigerator was cleaned",
        )

    def swap_back(self, day: BenchDay) -> None:
        """Find it out nine days later."""
        day.swap(
            {"C pump room": "ROOM", "C pump cold": "COLD"},
            "found at the weekly look, put right",
        )

    # One sample at one check

    def read(self, day: BenchDay, name: str, check: str) -> None:
        """Read a whole sample: weigh, look, smell, open, measure, close, weigh."""
        bulk = name.endswith("bulk")
        weighed = not bulk and (pack_of(name), self.where[name][0]) in LOSS
        if weighed:
            self.weigh(day, name, check)
        for attribute, best in BEST.items():
            word = SCORES.get((name, check), {}).get(attribute, best)
            day.observe(name, check, attribute, word)
        if (name, check) == ("A 45", "12w"):
            self.leave_unmeasured(day, name, check)
            return
        self.measure_ph(day, name, check)
        self.measure_spread(day, name, check)
        if weighed and name != "A room closed":
            self.weigh_closed(day, name, check)
        day.wait(3)
        self.tell_more(day, name, check)

    def leave_unmeasured(self, day: BenchDay, name: str, check: str) -> None:
        """Leave a separated vial unmeasured and take it out."""
        reason = "separated: no even sample can be taken"
        day.observe(name, check, "pH", "not-measured", because=reason)
        day.observe(name, check, "spread", "not-measured", because=reason)
        day.retire(name, "separated", "oil layer of about 4 mm, does not go in again")

    def tell_more(self, day: BenchDay, name: str, check: str) -> None:
        """Add what else happened to a sample that day."""
        if (name, check) == ("A 40", "8w"):
            slip = self.book.found(name, check, "pH")
            right = slip.cells["reading"].split("/")
            slip.cells["reading"] = f"{right[0]}/{swapped_digits(right[1])}"
            day.correct(
                slip, "/".join(right), "digits swapped in typing; sheet checked"
            )
        if (name, check) == ("C room", "8w"):
            day.note(name, "balance away for service until 27 May, so six days late")

    def months(self, name: str, on: date) -> float:
        """Return the age of a sample [months]."""
        return (on - self.where[name][1]).days / 30.4375

    def weigh(self, day: BenchDay, name: str, check: str) -> None:
        """Weigh before opening."""
        on = day.on
        mass, since = self.mass[name]
        loss = LOSS[pack_of(name), self.where[name][0]] * (on - since).days / 30.4375
        mass += -loss * (1 + self.scatter.normal(0.06)) + self.scatter.normal(0.006)
        self.mass[name] = (round(mass, 2), on)
        day.observe(name, check, "w", f"{mass:.2f}", "g")

    def weigh_closed(self, day: BenchDay, name: str, check: str) -> None:
        """Weigh after closing: what was taken out is gone."""
        taken = self.scatter.between(3.9, 4.6) if pack_of(name) != "GLASS" else 3.4
        mass = self.mass[name][0] - taken
        self.mass[name] = (round(mass, 2), day.on)
        day.observe(name, check, "w2", f"{mass:.2f}", "g")

    def measure_ph(self, day: BenchDay, name: str, check: str) -> None:
        """Measure pH twice."""
        on = day.on
        if on == ELECTRODE_DEAD and not name.endswith("bulk"):
            reason = "electrode dead: does not settle in either buffer"
            day.observe(name, check, "pH", "not-measured", because=reason)
            return
        batch = batch_of(name)
        fall = FALL_OF_PH[self.where[name][0]] * FALL_OF_BATCH[batch]
        true = PH_AT_T0[batch] - fall * self.months(name, on) + self.ph_of_day
        reading = "/".join(f"{true + self.scatter.normal(0.013):.2f}" for _ in range(2))
        day.observe(name, check, "pH", reading, "pH")

    def measure_spread(self, day: BenchDay, name: str, check: str) -> None:
        """Measure the spread under the plate twice."""
        on = day.on
        rise = RISE_OF_SPREAD[self.where[name][0]]
        true = SPREAD_AT_T0[batch_of(name)] + rise * self.months(name, on)
        settings: Mapping[str, str] = {}
        if (name, check) == ("A cold", "6M") and day.person == "Ines":
            true -= 9
            settings = {"sample_temperature": "9.0"}
        true += self.spread_of_day
        reading = "/".join(f"{true + self.scatter.normal(0.6):.0f}" for _ in range(2))
        day.observe(name, check, "spread", reading, "mm", settings=settings)


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


def swapped_digits(reading: str) -> str:
    """Return a reading with the two digits after the point in each other's place."""
    return reading[:-2] + reading[-1] + reading[-2]
