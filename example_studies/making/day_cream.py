"""The invented day cream: three batches, jar and airless pump, 18 months so far.

pH falls everywhere and fastest in heat; 45 °C breaks the emulsion where 40 °C holds
it. Life at the bench is in it too: a holiday, a dropped jar, a dead electrode, a
typing slip, a jar read cold, two jars put back in each other's place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from making import laboratory
from making.bench_book import BenchBook, BenchDay
from making.day_cream_plan import (
    BEST,
    CLOSED,
    CLOSED_AT,
    ELECTRODE_DEAD,
    FALL_OF_BATCH,
    FALL_OF_PH,
    FULL,
    KEPT,
    LOSS,
    NAMES,
    PH_AT_T0,
    PLACED,
    RISE_OF_SPREAD,
    SCORES,
    SPREAD_AT_T0,
    VIALS,
    batch_of,
    pack_of,
    planned_visits,
)
from making.sample_codes import sample_codes
from making.scatter import Scatter


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
            "B challenge",
            "sent out",
            "120 g and empty pumps for challenge test and count",
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
        """Store the certificates of what was sent out."""
        issued = "2025-07-04"
        for what, number, standard, results in (
            ("challenge", "25-0788", laboratory.CHALLENGE, laboratory.SURVIVORS),
            ("count", "25-0789", laboratory.COUNT, laboratory.CLEAN),
        ):
            head = laboratory.paper(
                number, standard, batch="B", version="1.0", pack="PUMP", issued=issued
            )
            day.certify(what, "T0", results, head)

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


def swapped_digits(reading: str) -> str:
    """Return a reading with the two digits after the point in each other's place."""
    return reading[:-2] + reading[-1] + reading[-2]
