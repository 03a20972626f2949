"""Every message that a user can meet: shown together, so that wording is reviewed.

`python tests/test_errors.py` writes `tests/messages.txt` anew from the classes.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from stability import errors
from stability.errors import StabilityError
from stability.errors.files import Fault

TESTS = Path(__file__).parent
MESSAGES = TESTS / "messages.txt"

#: Parameters through which a caller words a part of the message.
WORDED_BY_CALLER = {"reason", "hint", "faults", "questions", "why"}
#: A message tells its reader what to do with one of these.
MEND = re.compile(
    r"\b(add|ask|begins|change|check|choose|close|copy|correct|did you mean|divide|"
    r"export|give|install|leave|lists?|log|look|make|mend|move|names?|open|read|report|"
    r"run|say|see|set|state|take|the nearest|type|use|verify|wait|write)\b",
    re.IGNORECASE,
)


def areas() -> list[str]:
    """Return the modules that hold errors, by name."""
    return [one.name for one in pkgutil.iter_modules(errors.__path__)]


def classes() -> list[type[StabilityError]]:
    """Return every class of error that is raised, area after area."""
    modules = [importlib.import_module(f"{errors.__name__}.{one}") for one in areas()]
    found = [
        one
        for module in modules
        for one in vars(module).values()
        if inspect.isclass(one)
        and issubclass(one, StabilityError)
        and one.__module__ == module.__name__
        and one is not StabilityError
    ]
    return [one for one in found if not one.__subclasses__()]


def parameters(error: type[StabilityError]) -> list[inspect.Parameter]:
    """Return what the class wants to know."""
    if "__init__" not in vars(error) and error.__init__ is Exception.__init__:
        return []
    return list(inspect.signature(error).parameters.values())


def example(parameter: inspect.Parameter) -> Any:
    """Return a value of the kind that a parameter takes, recognisable in a message."""
    kind = str(parameter.annotation)
    name = f"«{parameter.name}»"
    if "Fault]" in kind:
        return [Fault("«file»", 7, "«fault»", "«how to mend it»")]
    if "Sequence" in kind or "tuple" in kind or "Collection" in kind:
        return [f"«{parameter.name} 1»", f"«{parameter.name} 2»"]
    if kind.startswith(("int", "float")):
        return 7
    if kind.startswith("date"):
        return date(2026, 3, 2)
    return name


def message(error: type[StabilityError]) -> str:
    """Return the message of a class with recognisable values in it."""
    return str(error(*map(example, parameters(error))))


@pytest.mark.parametrize("error", classes(), ids=lambda one: one.__name__)
def test_a_message_says_what_was_met_and_where(error: type[StabilityError]) -> None:
    text = message(error)

    assert text.rstrip().endswith((".", "?", "»"))
    for parameter in parameters(error):
        given = example(parameter)
        shown = given[0] if isinstance(given, list) else given
        assert str(shown) in text, f"{parameter.name} is not told"


@pytest.mark.parametrize("error", classes(), ids=lambda one: one.__name__)
def test_a_message_says_how_to_mend_it(error: type[StabilityError]) -> None:
    worded_by_caller = {one.name for one in parameters(error)} & WORDED_BY_CALLER

    assert MEND.search(message(error)) or worded_by_caller


@pytest.mark.parametrize("error", classes(), ids=lambda one: one.__name__)
def test_a_class_says_what_it_is_for(error: type[StabilityError]) -> None:
    assert (error.__doc__ or "").strip()


def test_the_package_names_every_area() -> None:
    told = [one for one in areas() if f"\n{one} " in (errors.__doc__ or "")]

    assert told == areas()


def test_every_error_is_met_in_a_test() -> None:
    written = "\n".join(
        path.read_text(encoding="utf-8")
        for path in TESTS.rglob("test_*.py")
        if path.name != "test_errors.py"
    )

    never = [one.__name__ for one in classes() if one.__name__ not in written]

    assert never == []


def test_the_wording_of_every_message_was_reviewed() -> None:
    assert MESSAGES.read_text(encoding="utf-8") == all_messages()


def all_messages() -> str:
    """Return every message under the name of its class."""
    return "\n".join(f"{one.__name__}\n  {_indented(one)}\n" for one in classes())


def _indented(error: type[StabilityError]) -> str:
    return message(error).replace("\n", "\n  ")


if __name__ == "__main__":
    MESSAGES.write_text(all_messages(), encoding="utf-8")
