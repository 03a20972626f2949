"""The walk by itself: what is asked and what a line means, without any storage."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from stability.errors.bench import AnswerError, NothingDueError, SampleOfOtherStudyError
from stability.errors.codes import SampleCodeCheckError
from stability.model import content
from stability.model.moment import Moment
from stability.model.observation import DayFacts
from stability.records.continuation import Continuation
from stability.workflow.entering import Desk, Question, Walk, question
from stability.workflow.entering_answers import offered, take
from stability.workflow.entering_wishes import (
    Correction,
    Explained,
    Left,
    NotMade,
    Pictured,
    Readings,
    SetForDay,
)
from stability.workflow.entering_words import prompt, question_lines
from tests.records.small_study import ROOM_A, ROOM_B, add, opened_book

DAY = Moment(date(2026, 3, 20))
FACTS = DayFacts(
    1, DAY.day, "ana", "Ana", ("Ana", "Ben"),
    {"pH": {"dilution": "10 %", "sample_temperature": "22", "electrode": "E1"}},
)  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """Return the small study with one jar placed, everything set for the day."""
    book = opened_book(tmp_path)
    held = content.placed(ROOM_A, "ROOM", "in")
    add(book, content.PLACED, held, "2026-03-06")
    return desk_of(book)


def desk_of(book: Continuation, facts: DayFacts | None = FACTS) -> Desk:
    """Return a bench on which nothing was read and each limit is `as fixed`."""
    return Desk(book, facts, DAY, lambda *_: None, lambda *_: "as fixed")


IN_HAND = Walk(sample=ROOM_A, check="2w")


def asked_of(desk: Desk, walk: Walk = IN_HAND) -> Question:
    """Return the question of a jar in hand."""
    return question(walk, desk)


def at(desk: Desk, attribute: str) -> Question:
    """Return the question of one attribute."""
    tasks = desk.tasks(ROOM_A, "2w")
    task = next(one for one in tasks if one.attribute.name == attribute)
    return Question("reading", ROOM_A, "2w", task)


def wish(desk: Desk, asked: Question, line: str, walk: Walk = IN_HAND) -> object:
    """Return what a line wishes to be stored."""
    return take(walk, desk, asked, line).wish


def test_between_samples_a_code_is_asked(desk: Desk) -> None:
    asked = question(Walk(), desk)

    assert asked.kind == "sample"
    turn = take(Walk(), desk, asked, "hdc005y")
    assert (turn.walk.sample, turn.walk.check, turn.opened) == (ROOM_A, "2w", True)
    assert turn.wish is None


def test_a_bare_answer_is_named_for_what_was_asked(desk: Desk) -> None:
    asked = asked_of(desk)

    assert prompt(asked) == "weight before opening [g]> "
    assert wish(desk, asked, "83.10") == Readings(ROOM_A, "2w", ("w=83.10",))


@pytest.mark.parametrize(
    ("line", "typed"),
    [
        ("5.47/5.49", ("pH=5.47/5.49",)),
        ("5.47 / 5.49", ("pH=5.47 / 5.49",)),
        (
            "5.47/5.49 sample_temperature=24.5 dilution=10 %",
            ("pH=5.47/5.49", "sample_temperature=24.5", "dilution=10 %"),
        ),
        ("spread=60 pH=5.47", ("spread=60", "pH=5.47")),
        ("1234", ("pH=1234",)),
    ],
)
def test_a_line_is_parted_where_a_name_begins(
    desk: Desk, line: str, typed: tuple[str, ...]
) -> None:
    assert wish(desk, at(desk, "pH"), line) == Readings(ROOM_A, "2w", typed)


def test_words_of_a_scale_keep_their_blanks(desk: Desk) -> None:
    line = "droplets on surface layer_mm=0.5"

    assert wish(desk, at(desk, "separation"), line) == Readings(
        ROOM_A, "2w", ("separation=droplets on surface", "layer_mm=0.5")
    )


def test_no_number_is_taken_for_the_code_of_a_jar(desk: Desk) -> None:
    texts = [str(number) for number in range(100, 99_999, 7)]
    texts += [f"{number / 100:.2f}" for number in range(100, 99_999, 7)]
    # Digits that are codes of this study, typed short: HDC-001-5, HDC-010-3.
    for text in (*texts, "0015", "0103", "5.47/5.49"):
        turn = take(IN_HAND, desk, at(desk, "spread"), text)
        assert turn.wish == Readings(ROOM_A, "2w", (f"spread={text}",))
    for code in ("010-3", "005Y"):
        assert take(IN_HAND, desk, Question("sample"), code).walk.sample is not None


def test_the_line_asked_again_is_sure_and_no_other(desk: Desk) -> None:
    walk = replace(IN_HAND, doubted="56")

    again = wish(desk, at(desk, "spread"), "56", walk)
    other = wish(desk, at(desk, "spread"), "57", walk)

    assert again == Readings(ROOM_A, "2w", ("spread=56",), sure=True)
    assert other == Readings(ROOM_A, "2w", ("spread=57",), sure=False)


def test_a_word_of_the_scale_goes_before_a_command(desk: Desk) -> None:
    asked = at(desk, "separation")
    attribute = replace(asked.task.attribute, scale=("none", "stop"))  # type: ignore[union-attr]
    asked = replace(asked, task=replace(asked.task, attribute=attribute))  # type: ignore[type-var]

    turn = take(IN_HAND, desk, asked, "stop")

    assert turn.wish == Readings(ROOM_A, "2w", ("separation=stop",))
    assert not turn.walk.ended


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (
            "skip lamp broken",
            Readings(ROOM_A, "2w", ("spread=not-measured",), "lamp broken", sure=True),
        ),
        ("miss oven off", NotMade(ROOM_A, "2w", "oven off")),
        ("gone lost: not on its shelf", Left(ROOM_A, "2w", "lost", "not on its shelf")),
        ("note lid loose", Explained(ROOM_A, "lid loose")),
        ("set spread.load=200 g", SetForDay(settings=("spread.load=200 g",))),
        (
            "SKIP lamp",
            Readings(ROOM_A, "2w", ("spread=not-measured",), "lamp", sure=True),
        ),
    ],
)
def test_commands_are_words(desk: Desk, line: str, expected: object) -> None:
    assert wish(desk, at(desk, "spread"), line) == expected


@pytest.mark.parametrize(
    "line",
    [
        "skip", "miss", "note", "set", "closed", "gone", "gone gassing lid", "back",
        "closed mouldy", "x" * 2001,
    ],
)  # fmt: skip
def test_a_command_without_its_words_is_no_answer(desk: Desk, line: str) -> None:
    with pytest.raises(AnswerError):
        take(IN_HAND, desk, at(desk, "spread"), line)


@pytest.mark.parametrize(
    ("line", "typed"),
    [
        ("photo jar.jpg", "jar.jpg"),
        ("/home/ana/jar.JPG", "/home/ana/jar.JPG"),
        (r"/home/ana/my\ jar.jpeg ", "/home/ana/my jar.jpeg"),
        ("'/home/ana/my jar.jpg' ", "/home/ana/my jar.jpg"),
        (r"'/home/ana/ana'\''s jar.jpg'", "/home/ana/ana's jar.jpg"),
        ('"C:\\Users\\ana\\my jar.png"', "C:\\Users\\ana\\my jar.png"),
        ("& 'C:\\Users\\ana\\jar.png'", "C:\\Users\\ana\\jar.png"),
        ("C:\\Users\\ana\\jar.png", "C:\\Users\\ana\\jar.png"),
        ("file:///home/ana/my%20jar.webp", "/home/ana/my jar.webp"),
        ("photo colour='my jar.jpg'", "colour=my jar.jpg"),
        ("photo what the camera wrote", "what the camera wrote"),
        ("IMG_0042.HEIC", "IMG_0042.HEIC"),
    ],
)
def test_a_file_is_a_photograph_however_it_was_dragged(
    desk: Desk, line: str, typed: str
) -> None:
    for kind in ("spread", "separation"):
        assert wish(desk, at(desk, kind), line) == Pictured(ROOM_A, "2w", typed)


def test_what_a_photograph_shows_and_of_what(desk: Desk) -> None:
    asked = at(desk, "spread")

    assert wish(desk, asked, "jar.jpg caption at the rim") == Pictured(
        ROOM_A, "2w", "jar.jpg", "at the rim"
    )
    for code in (ROOM_B, "006W"):
        assert wish(desk, asked, f"photo {code} my jar.jpg") == Pictured(
            ROOM_B, None, "my jar.jpg"
        )
    with pytest.raises(AnswerError, match="photo CODE FILE"):
        take(Walk(), desk, Question("sample"), "jar.jpg")


@pytest.mark.parametrize("kind", ["sample", "reading"])
def test_a_label_that_is_mistyped_is_told_so(desk: Desk, kind: str) -> None:
    asked = at(desk, "spread") if kind == "reading" else Question("sample")
    with pytest.raises(SampleCodeCheckError):
        take(IN_HAND, desk, asked, "HDC-005-X")


def test_what_must_be_known_is_asked_before_the_reading(desk: Desk) -> None:
    bare = replace(desk, facts=None)
    walk, kinds = IN_HAND, []
    while (asked := question(walk, bare)).kind != "sample":
        assert asked.task is not None
        if asked.kind != "reading":
            name = asked.setting.name if asked.setting else ""
            kinds.append((asked.task.text, asked.kind, name))
            walk = take(walk, bare, asked, "skip").walk
            continue
        name, part = asked.task.due
        held = content.observed(ROOM_A, name, "2w", [], part=part, not_measured="dark")
        add(bare.book, content.OBSERVED, held, "2026-03-20")

    assert kinds == [
        ("odour", "observers", ""),
        ("pH", "setting", "dilution"),
        ("pH", "setting", "sample_temperature"),
        ("pH", "setting", "electrode"),
    ]


def test_the_prescribed_setting_is_offered_and_taken(desk: Desk) -> None:
    task = at(desk, "pH").task
    assert task is not None
    settings = task.attribute.settings
    asked = Question("setting", ROOM_A, "2w", task, settings["dilution"])
    band = replace(asked, setting=settings["sample_temperature"])

    assert offered(desk, asked) == "10 %"
    assert wish(desk, asked, "=") == SetForDay(settings=("pH.dilution=10 %",))
    assert wish(desk, asked, "5 %") == SetForDay(settings=("pH.dilution=5 %",))
    assert question_lines(desk, asked, "10 %") == (
        "pH: dilution for today (= takes 10 %); skip leaves it open.",
    )
    assert offered(desk, band) is None
    with pytest.raises(AnswerError):
        take(IN_HAND, desk, band, "=")


def test_going_back_and_on(desk: Desk) -> None:
    walk = replace(IN_HAND, answered=(4, 5))
    asked = at(desk, "spread")

    back = take(walk, desk, asked, "back").walk
    further = take(back, desk, asked, "back").walk

    assert (back.looked_at, further.looked_at) == (1, 0)
    with pytest.raises(AnswerError):
        take(further, desk, asked, "back")
    assert take(further, desk, asked, "on").walk.looked_at is None


def test_a_correction_says_what_and_why(desk: Desk) -> None:
    held = content.observed(ROOM_A, "swollen", "2w", [], not_measured="dark")
    position = add(desk.book, content.OBSERVED, held, "2026-03-20")
    walk = replace(IN_HAND, answered=(position,), looked_at=0)
    asked = question(walk, desk)

    assert asked.kind == "correction"
    assert wish(desk, asked, "no because lamp found", walk) == Correction(
        position, ("no",), "lamp found"
    )
    with pytest.raises(AnswerError):
        take(walk, desk, asked, "no")


def test_codes_of_others_and_of_what_is_not_due(desk: Desk) -> None:
    with pytest.raises(SampleOfOtherStudyError):
        take(Walk(), desk, Question("sample"), "QDC-009-5")
    with pytest.raises(SampleOfOtherStudyError):
        take(IN_HAND, desk, at(desk, "spread"), "QDC-009-5")
    early = replace(desk, when=Moment(date(2026, 3, 10)))
    with pytest.raises(NothingDueError, match="2w opens on 2026-03-18"):
        take(Walk(), early, Question("sample"), ROOM_A)
