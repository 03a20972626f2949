"""The work of a study shared out between batches, so that the grams reach.

Each batch carries T0, the long-term and the accelerated condition, because the request
rests on each of them. Controls, stress, light and cycles stand together in one batch,
because they are compared; what is left goes where there is room.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from stability.model.grams import grams_of_row
from stability.model.plan import LeftOut
from stability.model.protocol import Protocol
from stability.model.study import SampleRow, Study
from stability.planning.grams import usable_of
from stability.planning.portions import Portion, Wishes, portions

#: Steps after which the search for a fit gives up [-].
MOST_STEPS = 4000
#: A batch whose mass is not stated has room for everything [g].
BOUNDLESS = Decimal(10) ** 9


@dataclass(frozen=True, slots=True)
class Shared:
    """A study with its samples shared out."""

    #: The study with its rows.
    study: Study
    #: What was left out because the grams do not reach.
    left_out: tuple[LeftOut, ...]
    #: True where what every batch carries is read in fresh containers.
    fresh: bool


def share(
    study: Study, protocol: Protocol, usable: Decimal, wishes: Wishes | None = None
) -> Shared:
    """Return a study with rows of samples that fit its batches, where that can be.

    Fresh containers at each check are taken where all of it fits; else containers
    are opened again. Then portions are left out, the least important first, until
    the rest fits. What must be there is planned even where it does not fit.

    Parameters
    ----------
    study
        Batches, packs, request and omissions.
    protocol
        Its protocol.
    usable
        Share of each batch that can be filled into samples [-].
    wishes
        What the maker changed; None for nothing.
    """
    wished = wishes or Wishes()
    room = {
        one.name: usable_of(one.grams, usable) or BOUNDLESS
        for one in study.batches.values()
    }
    stated = any(one.grams is not None for one in study.batches.values())
    fresh = replace(wished, fresh=True)
    if stated and not wished.fresh:
        work = portions(study, protocol, fresh)
        placed = _fit(_Work(study, protocol, work), room)
        if placed is not None:
            return Shared(_with_rows(study, work, placed), (), fresh=True)
    work = portions(study, protocol, wished)
    kept, placed = _fit_what_can_be(_Work(study, protocol, work), room)
    left_out = tuple(
        LeftOut(_words(one), _grams(one, study, protocol), one.costs)
        for one in work
        if one not in kept
    )
    return Shared(_with_rows(study, kept, placed), left_out, fresh=wished.fresh)


def further_batch(
    study: Study, protocol: Protocol, usable: Decimal, wishes: Wishes | None = None
) -> Decimal:
    """Return how much one more batch must be, so that all fits that must be there.

    Found by sharing the work out again, because a whole container goes into one batch:
    what is short cannot simply be added up.

    Parameters
    ----------
    study, protocol, usable, wishes
        As in `share`; rows that the study states are not looked at.

    Returns
    -------
    Decimal
        Mass to be made, in whole grams [g]; infinite where no mass is enough, because
        a batch cannot even carry its own part.
    """
    name = "+".join(study.batches) + "+"
    last = list(study.batches.values())[-1]
    more = replace(last, name=name, grams=None)
    wider = replace(study, samples=(), batches={**study.batches, name: more})
    work = portions(wider, protocol, wishes or Wishes())
    must = tuple(one for one in work if one.carried != "where it fits")

    def fits(grams: int) -> bool:
        masses = {one.name: one.grams for one in study.batches.values()}
        masses[name] = Decimal(grams)
        room = {
            one: usable_of(mass, usable) or BOUNDLESS for one, mass in masses.items()
        }
        return _fit(_Work(wider, protocol, must), room) is not None

    enough = 1
    while not fits(enough):
        if enough > BOUNDLESS:
            return Decimal("Infinity")
        enough *= 2
    too_little = enough // 2
    while enough - too_little > 1:
        middle = (enough + too_little) // 2
        enough, too_little = (middle, too_little) if fits(middle) else (enough, middle)
    return Decimal(enough)


#: Portion -> batches that carry it.
_Placed = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class _Work:
    """Portions still to be placed, with what they are measured by."""

    #: The study.
    study: Study
    #: Its protocol.
    protocol: Protocol
    #: Portions, most important first.
    portions: tuple[Portion, ...]

    def grams(self) -> dict[str, Decimal]:
        """Return portion -> what it takes of a batch [g]."""
        return {
            one.name: _grams(one, self.study, self.protocol) for one in self.portions
        }


def _fit_what_can_be(
    work: _Work, room: Mapping[str, Decimal]
) -> tuple[tuple[Portion, ...], _Placed]:
    """Return the portions that fit, and where; what must be there in any case."""
    kept = list(work.portions)
    while True:
        trial = replace(work, portions=tuple(kept))
        placed = _fit(trial, room)
        if placed is not None:
            break
        free = [one for one in kept if one.carried == "where it fits"]
        if not free:
            return tuple(kept), _overfull(trial, room)
        kept.remove(free[-1])
    for one in work.portions:  # what follows a large portion may still fit
        if one not in kept:
            more = [each for each in work.portions if each in kept or each is one]
            again = _fit(replace(work, portions=tuple(more)), room)
            if again is not None:
                kept, placed = more, again
    return tuple(kept), placed


def _fit(work: _Work, room: Mapping[str, Decimal]) -> _Placed | None:
    """Return where every portion goes; None where no place was found for all."""
    grams = work.grams()
    every = [one for one in work.portions if one.carried == "every batch"]
    base = sum((grams[one.name] for one in every), Decimal(0))
    left = {name: grams_left - base for name, grams_left in room.items()}
    once = [one for one in work.portions if one.carried != "every batch"]
    needed = sum((grams[one.name] for one in once), Decimal(0))
    if min(left.values()) < 0 or needed > sum(left.values()):
        return None
    search = _Search(grams, tuple(once), [MOST_STEPS])
    found = search.place(0, left, {})
    if found is None:
        return None
    return {one.name: tuple(room) for one in every} | {
        name: (batch,) for name, batch in found.items()
    }


@dataclass(frozen=True, slots=True)
class _Search:
    """A search that puts each portion where most room is, and goes back if stuck."""

    #: Portion -> grams [g].
    grams: Mapping[str, Decimal]
    #: Portions in order.
    portions: tuple[Portion, ...]
    #: Steps left [-].
    steps: list[int]

    def place(
        self, at: int, left: Mapping[str, Decimal], found: dict[str, str]
    ) -> dict[str, str] | None:
        """Place the portion `at` and all that follow; None where that fails."""
        if at == len(self.portions):
            return found
        portion = self.portions[at]
        need = self.grams[portion.name]
        for batch in batches_for(portion, left, found):
            if left[batch] < need or self.steps[0] <= 0:
                continue
            self.steps[0] -= 1
            rest = {**left, batch: left[batch] - need}
            whole = self.place(at + 1, rest, {**found, portion.name: batch})
            if whole is not None:
                return whole
        return None


def batches_for(
    portion: Portion, left: Mapping[str, Decimal], found: Mapping[str, str]
) -> list[str]:
    """Return the batches that may carry a portion, the best first.

    The batch of the portion that it belongs beside; then the one with most room.

    Parameters
    ----------
    portion
        The portion.
    left
        Batch -> room left [g].
    found
        Portion -> batch, so far.
    """
    beside = found.get(portion.beside or "")
    apart = found.get(portion.apart_from or "")
    allowed = [name for name in left if name != apart]
    own = portion.name.removeprefix("spare ")
    if own != portion.name:
        return [own]
    return sorted(allowed, key=lambda name: (name != beside, -left[name]))


def _overfull(work: _Work, room: Mapping[str, Decimal]) -> _Placed:
    """Return where everything goes that must be there, though it does not fit."""
    grams = work.grams()
    left = dict(room)
    placed: dict[str, tuple[str, ...]] = {}
    found: dict[str, str] = {}
    for one in work.portions:
        if one.carried == "every batch":
            placed[one.name] = tuple(room)
        else:
            found[one.name] = batches_for(one, left, found)[0]
            placed[one.name] = (found[one.name],)
        for batch in placed[one.name]:
            left[batch] -= grams[one.name]
    return placed


def _grams(portion: Portion, study: Study, protocol: Protocol) -> Decimal:
    return sum((grams_of_row(row, study, protocol) for row in portion.rows), Decimal(0))


def _with_rows(study: Study, kept: Iterable[Portion], placed: _Placed) -> Study:
    """Return the study with one row for all batches that have it alike."""
    batches: dict[SampleRow, list[str]] = {}
    for portion in kept:
        for row in portion.rows:
            batches.setdefault(row, []).extend(placed[portion.name])
    rows = tuple(
        replace(row, batch=_in_order(names, study)) for row, names in batches.items()
    )
    return replace(study, samples=rows)


def _in_order(names: Sequence[str], study: Study) -> tuple[str, ...]:
    return tuple(name for name in study.batches if name in names)


def _words(portion: Portion) -> str:
    rows = ", ".join(
        " ".join(part for part in (row.condition, row.pack, row.use) if part)
        for row in portion.rows
    )
    spare = portion.name.startswith("spare ")
    return f"{rows} of batch {portion.name.removeprefix('spare ')}" if spare else rows
