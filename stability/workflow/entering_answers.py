"""What a typed line means: a command, a code from a label, or the answer asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import unquote

from stability.errors.bench import AnswerError
from stability.model.handling import Task
from stability.model.observation import RETIRED_AS_FAILED, RETIRED_BECAUSE
from stability.workflow.entering import (
    Desk,
    Question,
    Turn,
    Walk,
    in_hand,
    leave_unsaid,
    look_back,
    sample_code,
    scanned,
    take_sample,
)
from stability.workflow.entering_wishes import (
    Correction,
    Explained,
    Left,
    NotMade,
    Pictured,
    Readings,
    SetForDay,
)
from stability.workflow.entering_words import (
    command_lines,
    due_lines,
    method_lines,
)

#: Longest line that is looked at; a line of a bench is a tenth of it [characters].
_LONGEST: Final = 2000
#: Takes what is offered with a question.
OFFERED: Final = "="
#: How `log` takes what was not measured.
NOT_MEASURED: Final = "not-measured"
_BECAUSE = re.compile(r"\s+because\s+", re.IGNORECASE)
_CAPTION = re.compile(r"\s+caption\s+", re.IGNORECASE)
#: A file that is dragged to the terminal stands there as its path.
_PICTURE = re.compile(
    r".*\.(jpe?g|png|webp|heic|heif|gif|tiff?|bmp)['\"]?", re.IGNORECASE
)
_OF_ATTRIBUTE = re.compile(r"([^\s=/\\'\"]+)=(.+)")
_NAMES_APART = re.compile(r"\s*[,/;]\s*")
_GONE: Final = tuple(one for one in RETIRED_BECAUSE if one not in RETIRED_AS_FAILED)


@dataclass(frozen=True, slots=True)
class _Said:
    """A line with what it is said to."""

    #: How far the person has come.
    walk: Walk
    #: What stands on the bench.
    desk: Desk
    #: What was asked.
    asked: Question
    #: The line, or what follows a command.
    text: str
    #: The whole line.
    line: str

    @property
    def sure(self) -> bool:
        """Say whether the same line was asked again just before."""
        return self.walk.doubted == self.line


_Meaning = Callable[[_Said], Turn]


def take(walk: Walk, desk: Desk, asked: Question, line: str) -> Turn:
    """Return what a line leads to.

    An empty line is never an answer: some scanners send two line ends.

    Parameters
    ----------
    walk, desk
        Where the walk stands.
    asked
        The question that was asked.
    line
        As typed or scanned.

    Raises
    ------
    StabilityError
        If it cannot be taken; the question stands.
    """
    text = line.strip()
    if not text:
        return Turn(walk)
    if len(text) > _LONGEST:
        raise AnswerError(f"a line of {len(text)} characters is no answer")
    word, _, rest = text.partition(" ")
    command = _COMMANDS.get(word.casefold())
    if command is not None and not _is_word_of_scale(asked, text):
        return command(_Said(walk, desk, asked, rest.strip(), text))
    if asked.kind != "correction" and _PICTURE.fullmatch(_CAPTION.split(text)[0]):
        return _photo(_Said(walk, desk, asked, text, text))
    may_be_code = asked.kind not in {"setting", "control"}
    if asked.kind == "sample" or (may_be_code and scanned(desk, text) is not None):
        return take_sample(walk, desk, text)
    return _ANSWERS[asked.kind](_Said(walk, desk, asked, text, text))


def typed_name(task: Task) -> str:
    """Return the name under which a task's reading is typed."""
    return {None: task.attribute.name, "before": "w", "after": "w2"}[task.part]


def offered(desk: Desk, asked: Question) -> str | None:
    """Return the value that is offered for a setting; None where none is.

    What the method prescribes; else what was stated last, unless it is measured anew
    each time.
    """
    task, setting = asked.task, asked.setting
    if task is None or setting is None or asked.sample is None:
        return None
    if setting.value is not None:
        return setting.value
    last = desk.last_of(desk.sample(asked.sample), task.attribute)
    return (
        None
        if last is None or setting.kind == "band"
        else (last.settings.get(setting.name))
    )


def _is_word_of_scale(asked: Question, text: str) -> bool:
    scale = asked.task.attribute.scale if asked.task is not None else ()
    return asked.kind == "reading" and text.casefold() in map(str.casefold, scale)


# Answers


def _reading(said: _Said) -> Turn:
    if said.asked.task is None:
        raise ValueError("a reading is asked of something")
    sample, check = in_hand(said.walk)
    if said.text == NOT_MEASURED:
        raise AnswerError("write it as: skip WHY, such as: skip electrode dead")
    typed = _typed(said.asked.task, said.text)
    wish = Readings(sample, check, typed, sure=said.sure)
    return Turn(said.walk, wish=wish)


def _typed(task: Task, text: str) -> tuple[str, ...]:
    """Return what was typed as `NAME=READING` each; the first may lack its name."""
    attribute = task.attribute
    known = [one.partition(":")[0].strip() for one in attribute.extra]
    known += attribute.all_settings
    names = "|".join([*map(re.escape, known), r"[^\s=]+"])
    pieces = re.split(rf"\s+(?=(?:{names})\s*=)", text)
    if "=" not in pieces[0]:
        pieces[0] = f"{typed_name(task)}={pieces[0]}"
    return tuple(pieces)


def _correction(said: _Said) -> Turn:
    if said.asked.seen is None:
        raise ValueError("a correction is of something")
    pieces = _BECAUSE.split(said.text, maxsplit=1)
    if len(pieces) != 2 or not pieces[1].strip():
        raise AnswerError(
            "what was stored changes with a reason only; type it on one line, such as: "
            "5.47/5.49 because digits exchanged (or: on, to leave it)"
        )
    # The name that was asked is that of the observation, so it need not be typed.
    typed = tuple(re.split(r"\s+(?=[^\s=]+\s*=)", pieces[0].strip()))
    wish = Correction(
        said.asked.seen.position, typed, pieces[1].strip(), sure=said.sure
    )
    return Turn(said.walk, wish=wish)


def _setting(said: _Said) -> Turn:
    if said.asked.task is None or said.asked.setting is None:
        raise ValueError("a setting is asked of something")
    value = offered(said.desk, said.asked) if said.text == OFFERED else said.text
    if value is None:
        raise AnswerError(f"nothing is offered for {said.asked.setting.name}; type it")
    name = f"{said.asked.task.attribute.name}.{said.asked.setting.name}"
    if value.startswith(f"{said.asked.setting.name}="):
        value = value.partition("=")[2]
    wish = SetForDay(settings=(f"{name}={value}",), sure=said.sure)
    return Turn(said.walk, wish=wish)


def _observers(said: _Said) -> Turn:
    names = tuple(name for name in _NAMES_APART.split(said.text) if name)
    return Turn(said.walk, wish=SetForDay(observers=names))


def _control(said: _Said) -> Turn:
    """Take the sample to compare with, for every attribute with that comparison."""
    if said.asked.task is None:
        raise ValueError("a comparison is asked for something")
    plan = said.desk.book.plan
    code = sample_code(said.desk, said.text)
    where = said.asked.task.attribute.compared_with
    if code in plan.samples and plan.samples[code].condition != where:
        stands = plan.samples[code].condition or "no condition"
        raise AnswerError(f"{code} stands in {stands}; a sample of {where} is meant")
    names = [
        one.name
        for one in plan.protocol.attributes.values()
        if one.compared_with == where and one.name not in plan.study.omit
    ]
    control = tuple(f"{one}={code}" for one in names)
    return Turn(said.walk, wish=SetForDay(control=control))


_ANSWERS: Final[Mapping[str, _Meaning]] = {
    "reading": _reading,
    "correction": _correction,
    "setting": _setting,
    "observers": _observers,
    "control": _control,
}


# Commands


def _skip(said: _Said) -> Turn:
    if said.asked.kind in {"setting", "observers", "control"}:
        return Turn(leave_unsaid(said.walk, said.asked))
    if said.asked.kind != "reading" or said.asked.task is None:
        raise AnswerError("there is nothing to skip here; type 'on' to go on")
    _need(said.text, "skip WHY, such as: skip electrode dead")
    sample, check = in_hand(said.walk)
    name = typed_name(said.asked.task)
    typed = (f"{name}={NOT_MEASURED}",)
    return Turn(said.walk, wish=Readings(sample, check, typed, said.text, sure=True))


def _miss(said: _Said) -> Turn:
    sample, check = in_hand(said.walk)
    _need(said.text, "miss WHY, such as: miss laboratory closed")
    return Turn(_put_away(said.walk), wish=NotMade(sample, check, said.text))


def _closed(said: _Said) -> Turn:
    sample, check = in_hand(said.walk)
    reason, why = _reason_and_why(said.text, RETIRED_AS_FAILED, "closed")
    unread = [typed_name(one) for one in said.desk.tasks(sample, check)]
    wish = Left(sample, check, reason, why, tuple(unread))
    return Turn(_put_away(said.walk), wish=wish)


def _gone(said: _Said) -> Turn:
    sample, check = in_hand(said.walk)
    reason, why = _reason_and_why(said.text, _GONE, "gone")
    return Turn(_put_away(said.walk), wish=Left(sample, check, reason, why))


def _reason_and_why(rest: str, known: tuple[str, ...], word: str) -> tuple[str, str]:
    """Return the known reason that a line begins with, and the words behind it."""
    for reason in known:
        if re.match(rf"{reason}\b", rest, re.IGNORECASE):
            why = rest[len(reason) :].strip(" :,")
            _need(why, f"{word} {reason} WHY, in your own words")
            return reason, why
    raise AnswerError(f"type {word} REASON WHY; the reasons are {', '.join(known)}")


def _note(said: _Said) -> Turn:
    _need(said.text, "note TEXT")
    return Turn(said.walk, wish=Explained(said.walk.sample, said.text))


def _photo(said: _Said) -> Turn:
    """Take a photograph of the sample in hand, or of one whose code stands before."""
    _need(said.text, "photo FILE, such as: photo jar.jpg caption droplets at the rim")
    typed, *more = _CAPTION.split(said.text, maxsplit=1)
    caption = more[0].strip() if more else None
    first, _, rest = typed.partition(" ")
    named = scanned(said.desk, first) if rest else None
    if named is not None and named in said.desk.book.plan.samples:
        wish = Pictured(named, None, path_typed(rest), caption)
    elif said.walk.sample is None:
        raise AnswerError(
            "no sample is in hand; scan or type its code first, or write it as: photo "
            "CODE FILE"
        )
    else:
        sample, check = in_hand(said.walk)
        wish = Pictured(sample, check, path_typed(typed), caption)
    return Turn(said.walk, wish=wish)


def path_typed(text: str) -> str:
    r"""Return a path as it is on the disk, from what dragging a file wrote.

    Terminals put quotes around it, or backslashes before blanks, or write an address.

    Examples
    --------
    >>> path_typed(r"/home/ana/my\ jar.jpg"), path_typed("'/home/ana/my jar.jpg'")
    ('/home/ana/my jar.jpg', '/home/ana/my jar.jpg')
    """
    plain = text.strip().removeprefix("& ").strip()
    named = _OF_ATTRIBUTE.fullmatch(plain)
    if named is not None:
        return f"{named[1]}={path_typed(named[2])}"
    if len(plain) > 1 and plain[0] == plain[-1] and plain[0] in "'\"":
        return plain[1:-1].replace("'\\''", "'")
    if plain.startswith("file://"):
        return unquote(plain.removeprefix("file://"))
    if re.match(r"[A-Za-z]:\\", plain):
        return plain
    return re.sub(r"\\(.)", r"\1", plain)


def _set(said: _Said) -> Turn:
    _need(said.text, "set NAME=VALUE, such as: set pH.sample_temperature=22.5")
    return Turn(said.walk, wish=SetForDay(settings=(said.text,), sure=said.sure))


def _later(said: _Said) -> Turn:
    sample, _ = in_hand(said.walk)
    left = f"{sample} is left; what was not read stays due."
    return Turn(_put_away(said.walk), (left,))


def _on(said: _Said) -> Turn:
    return Turn(replace(said.walk, looked_at=None, doubted=None))


def _put_away(walk: Walk) -> Walk:
    return replace(walk, sample=None, check=None, doubted=None, looked_at=None)


def _need(text: str, form: str) -> None:
    if not text:
        raise AnswerError(f"write it as: {form}")


_COMMANDS: Final[Mapping[str, _Meaning]] = {
    "skip": _skip,
    "back": lambda said: Turn(look_back(said.walk)),
    "on": _on,
    "later": _later,
    "miss": _miss,
    "closed": _closed,
    "gone": _gone,
    "note": _note,
    "photo": _photo,
    "set": _set,
    "how": lambda said: Turn(said.walk, method_lines(said.asked)),
    "list": lambda said: Turn(said.walk, due_lines(said.desk)),
    "words": lambda said: Turn(said.walk, command_lines()),
    "stop": lambda said: Turn(replace(said.walk, ended=True)),
}
