"""What a text may hold: checked once, where it comes in.

A database, a PDF and a spreadsheet each choke on other characters. What none of them
can keep (NUL, half of a character pair, control characters) never gets in.
"""

from __future__ import annotations

import re
import unicodedata

from stability.errors.codes import TextFormError

_REFUSED = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
_LINE_ENDS = re.compile("\r\n|[\n\t\x0b\x0c\r\x1c-\x1e\x85\u2028\u2029]")
# Controls and formats, overrides of direction among them; joiners shape letters.
_STEERING = {"Cc", "Cf"}
_JOINERS = "\u200c\u200d"


def refused_character(text: str) -> str | None:
    r"""Return the first character that may not be kept; None where all may.

    Line ends and tabs may: they are part of notes and of files kept whole.

    Examples
    --------
    >>> refused_character("two\nlines") is None
    True
    >>> refused_character("a\x00b")
    '\x00'
    """
    match = _REFUSED.search(text)
    return None if match is None else match[0]


def checked_text(text: str, what: str) -> str:
    """Return a free text as typed.

    Parameters
    ----------
    text
        As typed.
    what
        What the message calls it, such as "The note".

    Raises
    ------
    TextFormError
        If it holds a character that cannot be kept.
    """
    refused = refused_character(text)
    if refused is not None:
        line = text.count("\n", 0, text.index(refused)) + 1
        raise TextFormError(
            what,
            f"holds the character U+{ord(refused):04X} in line {line}, which cannot "
            "be kept or printed; take it out",
        )
    return text


def checked_name(text: str, what: str) -> str:
    """Return a name or code in the one form in which names are compared.

    Parameters
    ----------
    text
        As typed; blanks around it are dropped.
    what
        What the message calls it, such as "The name of the batch".

    Returns
    -------
    str
        In Unicode's composed form (NFC), so that `é` typed in two ways is one name.

    Raises
    ------
    TextFormError
        If it is empty, has more than one line, or holds a character that cannot be
        kept.
    """
    name = unicodedata.normalize("NFC", checked_text(text, what)).strip()
    if not name:
        raise TextFormError(what, "is empty; give it a name")
    if "\n" in name or "\t" in name:
        raise TextFormError(what, "holds a line end or a tab; write it in one line")
    return name


def unix_newlines(text: str) -> str:
    r"""Return a file's text with every line end written as a newline.

    Examples
    --------
    >>> unix_newlines("a\r\nb\rc\n")
    'a\nb\nc\n'
    """
    return text.replace("\r\n", "\n").replace("\r", "\n")


def one_line(text: str) -> str:
    r"""Return text in one line, without characters that steer or turn what shows it.

    Examples
    --------
    >>> one_line("two\r\nlines\u202e")
    'two lines[U+202E]'
    """
    line = _LINE_ENDS.sub(" ", text)
    return "".join(
        f"[U+{ord(sign):04X}]"
        if unicodedata.category(sign) in _STEERING and sign not in _JOINERS
        else sign
        for sign in line
    )
