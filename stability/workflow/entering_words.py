"""Questions of the walk through due samples, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from stability.model.bench_cautions import (
    CENTRIFUGE,
    LABORATORY,
    STAYS_CLOSED,
    cautions_for,
)
from stability.model.handling import Task, for_laboratory
from stability.model.observation import Observation
from stability.model.schedule import OpenCheck, open_checks
from stability.workflow.written import echo

if TYPE_CHECKING:
    from stability.model.attribute import Setting
    from stability.model.study_record import StudyRecord
    from stability.workflow.entering import Desk, Question

#: Told before the first sample of a sitting, and with a word outside its limit.
KEEP_CLOSED: Final = (
    f"{STAYS_CLOSED} Type: closed gassing WHY (or mouldy, leaking, separated)."
)
ASSESSED: Final = (
    "What is entered here supports, and does not replace, assessment by a qualified "
    "safety assessor."
)
_COMMANDS: Final = (
    "skip WHY         this was not measured",
    "back             see the answer before, and correct it",
    "on               go on to the open question",
    "later            leave this sample; what is not read stays due",
    "miss WHY         this check of the sample is not made",
    "closed WORD WHY  it stays closed: mouldy, gassing, leaking, separated",
    "gone WORD WHY    it left: broken, lost, used up, sent out, other",
    "note TEXT        explain something of this sample",
    "photo FILE       keep a photograph of it; a file dragged here does the same",
    "set NAME=VALUE   another setting from here on today",
    "how              the method of what is asked",
    "list             what is still due",
    "words            these words",
    "stop             end; go on at any time with the same command",
)
#: Most rows of what is due before the first question.
_FEW: Final = 12


def command_lines() -> tuple[str, ...]:
    """Return the words that are commands, one a line."""
    return tuple(f"    {line}" for line in _COMMANDS)


def due_lines(desk: Desk, most: int | None = None) -> tuple[str, ...]:
    """Return what is due, one line a sample, the longest due first."""
    waiting = sorted(
        due_checks(desk), key=lambda one: (one.planned.due, one.planned.sample)
    )
    if not waiting:
        return ("Nothing is due.",)
    shown = waiting if most is None else waiting[:most]
    lines = [_due_line(desk, one) for one in shown]
    if len(shown) < len(waiting):
        lines.append(f"    … and {len(waiting) - len(shown)} more; list shows all")
    count = "1 check is" if len(waiting) == 1 else f"{len(waiting)} checks are"
    return (f"{count} due:", *lines)


def due_checks(desk: Desk) -> tuple[OpenCheck, ...]:
    """Return the checks whose window is open or past, of samples that are there."""
    day = desk.when.day
    return tuple(
        one for one in open_checks(desk.book.record) if one.planned.opens <= day
    )


def _due_line(desk: Desk, one: OpenCheck) -> str:
    sample = desk.sample(one.planned.sample)
    where = ", ".join(part for part in (sample.condition, sample.pack) if part)
    late = " (overdue)" if one.planned.closes < desk.when.day else ""
    return (
        f"    {sample.code}  {one.planned.check}, due {one.planned.due}{late}, batch "
        f"{sample.batch}, {where or sample.kind}: {len(one.remaining)} to read"
    )


def opening_lines(desk: Desk) -> tuple[str, ...]:
    """Return what is told before the first question."""
    plan = desk.book.plan
    study, waiting = plan.study, [one.planned for one in due_checks(desk)]
    samples = [desk.sample(one.sample) for one in waiting]
    laboratory = any(
        for_laboratory(plan, sample, one.check)
        for sample, one in zip(samples, waiting, strict=True)
    )
    cautions = cautions_for(plan.protocol, samples, laboratory=laboratory)
    names = ", ".join(one.split()[0] for one in _COMMANDS)
    return (
        f"{study.code}  {study.product} {study.version}, {desk.when.day}",
        *due_lines(desk, _FEW),
        "Scan or type a sample code, then answer: each is stored at once.",
        f"Words besides, which 'words' explains: {names}.",
        ASSESSED,
        *(KEEP_CLOSED if one == STAYS_CLOSED else one for one in cautions),
    )


def sample_lines(desk: Desk, code: str, check: str) -> tuple[str, ...]:
    """Return what is told when a sample is taken into hand."""
    plan = desk.book.plan
    sample = desk.sample(code)
    planned = next(one for one in desk.book.planned(sample) if one.check == check)
    tasks = desk.tasks(code, check)
    window = f"due {planned.due}, window {planned.opens} to {planned.closes}"
    lines = [
        f"{echo(plan, code, check)}, {sample.use}",
        f"    {window}; to read: {', '.join(one.text for one in tasks)}",
    ]
    if sample.kind == "tube":
        lines.append(f"    {CENTRIFUGE}")
    lines.append("    a photograph of it: photo FILE, or drag the file here")
    lines += _laboratory_line(plan, desk, code, check)
    lines += [
        f"    {one.planned.check} is overdue since {one.planned.closes}; if it was not "
        f"made: stability miss {plan.study.code} {one.planned.check} --sample {code}"
        for one in due_checks(desk)
        if one.planned.sample == code and one.planned.check != check
    ]
    return tuple(lines)


def _laboratory_line(
    plan: StudyRecord, desk: Desk, code: str, check: str
) -> Iterator[str]:
    taken = for_laboratory(plan, desk.sample(code), check)
    if taken:
        names = " and ".join(f"{one.name} ({one.takes_g} g)" for one in taken)
        yield f"    For the laboratory, if it is taken from here: {names}. {LABORATORY}"


def question_lines(desk: Desk, asked: Question, offer: str | None) -> tuple[str, ...]:
    """Return what stands above the line to type on."""
    if asked.kind == "correction" and asked.seen is not None:
        return _correction_lines(desk, asked.seen)
    if asked.task is None or asked.sample is None or asked.check is None:
        return ()
    if asked.setting is not None:
        return (_setting_line(asked.task, asked.setting, offer),)
    if asked.kind == "observers":
        count = asked.task.attribute.observers
        line = (
            f"{asked.task.text} is observed by {count}: who, in the order in which "
            "their words are typed? Part names by a comma; skip leaves it open."
        )
        return (line,)
    if asked.kind == "control":
        where = asked.task.attribute.compared_with
        batch = desk.sample(asked.sample).batch
        there = [
            code
            for code, one in desk.book.plan.samples.items()
            if one.condition == where
            and one.batch == batch
            and desk.book.plan.placings_of(code)
            and desk.book.plan.retirement_of(code) is None
        ]
        named = f" ({', '.join(there)})" if there else ""
        line = (
            f"{asked.task.text} is compared with {where}: scan or type that "
            f"sample{named}; skip leaves it open."
        )
        return (line,)
    return tuple(_reading_lines(desk, asked.sample, asked.check, asked.task))


def prompt(asked: Question) -> str:
    """Return what stands before the line to type on."""
    if asked.kind == "sample":
        return "sample code> "
    if asked.kind == "correction" and asked.seen is not None:
        return f"{_seen_text(asked.seen)} again> "
    if asked.task is None:
        return "> "
    if asked.setting is not None:
        return f"{asked.task.text}, {asked.setting.name}> "
    if asked.kind == "reading":
        unit = f" [{asked.task.unit}]" if asked.task.unit else ""
        return f"{asked.task.text}{unit}> "
    return f"{asked.task.text}, {asked.kind}> "


def method_lines(asked: Question) -> tuple[str, ...]:
    """Return the method of what is asked, and why its limit stands."""
    if asked.task is None:
        return ("No attribute is asked now.",)
    attribute = asked.task.attribute
    method = attribute.method or "no method is stated"
    return (f"    {attribute.name}: {method}",)


def _reading_lines(desk: Desk, code: str, check: str, task: Task) -> Iterator[str]:
    attribute, sample = task.attribute, desk.sample(code)
    facts = desk.facts
    stated = facts.settings.get(attribute.name, {}) if facts else {}
    here = f", read {task.stage}" if attribute.read_at != "room" else ""
    if attribute.kind == "scored":
        words = " · ".join(f"{at} {word}" for at, word in enumerate(attribute.scale))
        yield f"{task.text}{here}, as number or word: {words}"
    elif attribute.scale:
        yield f"{task.text}{here}: {' or '.join(attribute.scale)}"
    elif attribute.readings > 1 and task.part is None:
        yield f"{task.text}{here}: {attribute.readings} readings, parted by a slash"
    else:
        yield f"{task.text}{here}"
    last = desk.last_of(sample, attribute)
    limit = f"; limit {desk.limit_of(sample, attribute, check, stated)}"
    yield f"    {_last_text(last, code)}{'' if task.part == 'after' else limit}"
    if attribute.told_with_reading and task.part is None:
        more = ", ".join(
            attribute.settings[name].asked for name in attribute.told_with_reading
        )
        yield f"    with it, on the same line: {more}"
    with_it = _with_it(desk, task)
    if with_it:
        yield f"    {with_it}"


def _last_text(last: Observation | None, code: str) -> str:
    if last is None:
        return "not read before"
    readings = " / ".join(map(str, last.readings))
    unit = f" {last.unit}" if last.unit not in {"", "1", "pH"} else ""
    part = " after closing" if last.part == "after" else ""
    whose = "" if last.sample == code else f", {last.sample}"
    when = f"{last.done.day} ({last.check or 'extra'}{whose})"
    return f"last {readings}{unit}{part} on {when}"


def _with_it(desk: Desk, task: Task) -> str:
    """Return settings, comparison and observers that will be stored with a reading."""
    facts, attribute = desk.facts, task.attribute
    if facts is None or task.part is not None:
        return ""
    parts = [
        f"{name} {value}"
        for name, value in facts.settings.get(attribute.name, {}).items()
    ]
    control = facts.control.get(attribute.name) or facts.control.get("")
    if control and attribute.compared_with:
        parts.append(f"against {control}")
    if attribute.observers > 1 and facts.observers:
        parts.append(f"in the order {' / '.join(facts.observers)}")
    return "; ".join(parts)


def _setting_line(task: Task, setting: Setting, offer: str | None) -> str:
    asked = f"{task.text}: {setting.name} for today"
    if setting.kind == "band":
        asked += f", band {setting.band}"
    shown = f" (= takes {offer})" if offer else ""
    return f"{asked}{shown}; skip leaves it open."


def _correction_lines(desk: Desk, seen: Observation) -> tuple[str, ...]:
    stored = (
        f"not measured: {seen.not_measured}"
        if seen.not_measured is not None
        else " / ".join(map(str, seen.readings))
    )
    reference = f"{desk.book.plan.study.code}/{seen.position}"
    what = f"{seen.sample}, {_seen_text(seen)} {stored}"
    return (
        f"{reference} stands: {what}",
        "    To correct it type: READING because WHY. back goes further, on returns.",
    )


def _seen_text(seen: Observation) -> str:
    """Return what was observed, as one says it."""
    if seen.part is None:
        return seen.attribute
    return "weight before opening" if seen.part == "before" else "weight after closing"
