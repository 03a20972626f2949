"""What an entry says, in one line for people."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from stability.model import content

if TYPE_CHECKING:
    from stability.model.entry import Entry

_Held = Mapping[str, Any]


def entry_words(entry: Entry) -> str:
    """Return what an entry says; its reason at the end."""
    say = _WORDS.get(entry.kind)
    return say(entry.content) if say is not None else entry.kind


def facts_words(entry: Entry) -> str:
    """Return what stands beside the words of an entry, for whoever reads all of it.

    Settings, comparison, observers and further values of an observation; what was
    looked at in a follow-up; the file of a photograph or certificate.
    """
    held = entry.content.get("observation", entry.content)
    parts: list[str] = []
    if "readings" in held:
        parts = _observation_facts(held)
    elif entry.kind == content.ANSWERED:
        parts = [f"{name}: {found}" for name, found in held["checks"].items()]
    elif entry.kind in {content.CERTIFIED, content.PHOTOGRAPHED} and held["file"]:
        file = held["file"]
        parts = [f"file {file['name']}, SHA-256 {file['sha256'][:16]}"]
    return "".join(f"; {one}" for one in parts)


def _observation_facts(held: _Held) -> list[str]:
    named = {one["observer"] for one in held["readings"]}
    unnamed = [one for one in held["observers"] if one not in named]
    return [
        *(f"{name} {value}" for name, value in held["extra"].items()),
        *(f"{name} {value}" for name, value in held["settings"].items()),
        *([f"compared with {held['control']}"] if held["control"] else []),
        *([f"observed by {', '.join(unnamed)}"] if unnamed else []),
        *(["blind"] if held["blind"] else []),
    ]


def sample_in(entry: Entry) -> str | None:
    """Return the sample that an entry speaks of; None where it speaks of none."""
    held = entry.content.get("observation", entry.content)
    sample = held.get("sample")
    return sample if isinstance(sample, str) else None


def placing_words(held: _Held) -> str:
    """Return a placing in words."""
    where = held["condition"] or "out of its condition"
    step = f", cycle {held['cycle']}, step {held['step']}" if held["cycle"] else ""
    how = {
        "in": f"placed in {where}",
        "moved": f"moved to {where}",
        "step": f"{where}",
        "swapped": f"swapped with {held['swapped_with']}, now in {where}",
        "out": f"taken {where}",
    }[held["how"]]
    at = f" at {held['place']}" if held["place"] else ""
    replaces = f", replaces {held['replaces']}" if held["replaces"] else ""
    return f"{how}{step}{at}{replaces}{_because(held)}"


def day_words(held: _Held) -> str:
    """Return the facts of a day in words."""
    settings = [
        f"{attribute}.{name} {value}"
        for attribute, values in held["settings"].items()
        for name, value in values.items()
    ]
    control = [
        f"{attribute + ' ' if attribute else ''}against {code}"
        for attribute, code in held["control"].items()
    ]
    observers = [", ".join(held["observers"])] if held["observers"] else []
    blind = ["blind"] if held["blind"] else []
    return "; ".join([*observers, *settings, *control, *blind]) or "person only"


def _observed(held: _Held) -> str:
    part = {None: "", "before": " before opening", "after": " after closing"}
    what = f"{held['check'] or 'extra'}: {held['attribute']}{part[held['part']]}"
    if held["not_measured"] is not None:
        return f"{what} not measured: {held['not_measured']}"
    readings = " / ".join(map(_reading, held["readings"]))
    unit = f" {held['unit']}" if held["unit"] not in {"", "1", "pH"} else ""
    again = f", repeats {held['repeats']}" if held["repeats"] else ""
    return f"{what} {readings}{unit}{again}{_because(held)}"


def _reading(one: _Held) -> str:
    who = f"{one['observer']}: " if one["observer"] else ""
    return f"{who}{one['qualifier']}{one['value']}"


def _corrected(held: _Held) -> str:
    new = {**held["observation"], "because": held["because"], "repeats": None}
    return f"corrects {held['refers_to']}, {_observed(new)}"


def _opened(held: _Held) -> str:
    return f"opened with {len(held['samples'])} samples, {held['protocol_name']}"


def _missed(held: _Held) -> str:
    return f"{held['check']} missed on {', '.join(held['samples'])}{_because(held)}"


def _stopped(held: _Held) -> str:
    what = ", ".join(f"{key} {value}" for key, value in held["scope"].items())
    return f"{what or 'the whole study'} stopped{_because(held)}"


def _noted(held: _Held) -> str:
    about = f"about {held['refers_to']}: " if held["refers_to"] else ""
    return f"{about}{held['text']}"


def _received(held: _Held) -> str:
    return f"received from {held['origin']}: {held['rows']} rows"


def _received_file(held: _Held) -> str:
    sheet = f", sheet {held['sheet']}" if held["sheet"] else ""
    name, sha256 = held["file"]["name"], held["file"]["sha256"]
    return (
        f"received {name}{sheet}; rows: {held['rows']}, entries: {held['stored']}; "
        f"SHA-256 {sha256[:16]}"
    )


def _lodged(held: _Held) -> str:
    note = f": {held['note']}" if held["note"] else ""
    return (
        f"plan record {held['fingerprint'][:16]} lodged with {held['receiver']}{note}"
    )


def _amended(held: _Held) -> str:
    return f"plan amended: {'; '.join(held['changes'])}; because {held['because']}"


def certificate_words(held: _Held) -> str:
    """Return a certificate in words: what of what, from where, and its results."""
    pack = f", {held['pack']}" if held["pack"] else ""
    results = "; ".join(_result(one) for one in held["results"])
    stated = f"laboratory's verdict: {held['verdict']}" if held["verdict"] else ""
    said = "; ".join(part for part in (results, stated) if part)
    return (
        f"{held['attribute']} certificate, {held['laboratory']}, no. {held['number']}, "
        f"issued {held['issued']}: version {held['version']}, batch {held['batch']}"
        f"{pack}, age {held['age']}: {said}"
    )


def _result(one: _Held) -> str:
    day = "" if one["day"] is None else f" day {one['day']}"
    log = " log" if one["measure"] == "log reduction" else ""
    return f"{one['name']}{day} {one['qualifier']}{one['value']}{log}"


def _photographed(held: _Held) -> str:
    of = f" of {held['attribute']}" if held["attribute"] else ""
    said = f": {held['caption']}" if held["caption"] else ""
    return f"{held['check'] or 'extra'}: photograph{of}{said}"


def _answered(held: _Held) -> str:
    asked = f"follow-up of {held['refers_to']}, {held['question']}"
    return f"{asked}: {held['outcome']}, because {held['because']}"


def _because(held: _Held) -> str:
    return f": {held['because']}" if held["because"] else ""


_WORDS: Mapping[str, Callable[[_Held], str]] = {
    content.OPENED: _opened,
    content.OBSERVED: _observed,
    content.CORRECTED: _corrected,
    content.INVALIDATED: lambda held: f"{held['refers_to']} set aside{_because(held)}",
    content.INVALIDATED_PHOTOGRAPH: lambda held: (
        f"photograph {held['refers_to']} set aside{_because(held)}"
    ),
    content.PLACED: placing_words,
    content.RETIRED: lambda held: f"left, {held['reason']}{_because(held)}",
    content.MISSED: _missed,
    content.STOPPED: _stopped,
    content.NOTED: _noted,
    content.DAY: lambda held: f"{held['day']}: {day_words(held)}",
    content.RECEIVED: _received,
    content.RECEIVED_FILE: _received_file,
    content.LODGED: _lodged,
    content.TAKEN_OVER: lambda held: f"taken over from older notes{_because(held)}",
    content.AMENDED: _amended,
    content.PHOTOGRAPHED: _photographed,
    content.ANSWERED: _answered,
    content.CERTIFIED: certificate_words,
}
