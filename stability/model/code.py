"""Codes on lids: a slip of the pen is refused and never lands on another sample.

A sample code such as `HDC-014-W` is a study code, a number and a check character
(ISO/IEC 7064, MOD 37-2), which finds every single wrong character and every swap of
two neighbours. Letters and digits that are mistaken for each other are left out, and
vowels, so that no code spells a word.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterator
from itertools import product as combinations
from typing import Final

from stability.errors.codes import (
    SampleCodeCheckError,
    SampleCodeFormError,
    StudyCodeError,
    TooManySamplesError,
)

#: Characters of study codes and check characters: none is read as another.
ALPHABET: Final = "23456789CDFGHJKMNPQRTVWXY"
#: Drawn signs behind the short name of an instrument or storage place [-].
SUFFIX_LENGTH: Final = 4
_LETTERS = ALPHABET[8:]
#: The characters of ISO/IEC 7064 MOD 37-2, each at the place of its value.
_VALUES = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
_STUDY = re.compile(f"[{ALPHABET}]{{1,4}}[{_LETTERS}]")
_CODE = re.compile(f"({_STUDY.pattern})?([0-9OI]{{3,4}})([0-9A-Z*])")
#: Blanks, and hyphens and dashes as word processors make them.
_GAPS = re.compile(r"[\s\u2010-\u2015-]")
#: Digits as they are read back by eye; only in the number, where no letter stands.
_DIGITS = str.maketrans("OI", "01")
_LAST_NUMBER = 9999


def checked_study_code(text: str) -> str:
    """Return a study code in capitals.

    Raises
    ------
    StudyCodeError
        If it is too short or long, ends in a digit, or holds another character.

    Examples
    --------
    >>> checked_study_code("hdc")
    'HDC'
    """
    code = text.strip().upper()
    if _STUDY.fullmatch(code):
        return code
    if not 2 <= len(code) <= 5:
        raise StudyCodeError(text, f"it has {len(code)} characters")
    strangers = [char for char in code if char not in ALPHABET]
    if strangers:
        raise StudyCodeError(text, f"{strangers[0]!r} is not used in codes")
    raise StudyCodeError(text, "it ends in a digit")


def allot_study_code(product: str, taken: Collection[str]) -> str:
    """Return a free study code that reminds of the product's name.

    Parameters
    ----------
    product
        Name of the product.
    taken
        Codes in use.

    Examples
    --------
    >>> allot_study_code("Heather day cream", [])
    'HDC'
    >>> allot_study_code("Heather day cream", ["HDC"])
    'HTH'
    """
    return next(code for code in _proposals(product) if code not in taken)


def _proposals(product: str) -> Iterator[str]:
    plain = unicodedata.normalize("NFKD", product).upper()
    words = [
        "".join(char for char in word if char in _LETTERS) for word in plain.split()
    ]
    initials = "".join(word[0] for word in words if word)[:3]
    letters = "".join(words)
    for code in (initials, letters[:3], letters[:4], letters[:5]):
        if _STUDY.fullmatch(code):
            yield code
    for stem in ((initials or letters)[:2], ""):
        for length in range(1, 6):
            for tail in combinations(_LETTERS, repeat=length):
                code = stem + "".join(tail)
                if _STUDY.fullmatch(code):
                    yield code


def check_character(text: str) -> str:
    """Return the check character of ISO/IEC 7064 MOD 37-2.

    Parameters
    ----------
    text
        Digits and capital letters.

    Returns
    -------
    str
        A digit, a capital letter or `*`.

    Examples
    --------
    >>> check_character("G123489654321")
    'Y'
    """
    value = 0
    for char in text:
        value = (value + _VALUES.index(char)) * 2 % 37
    return _VALUES[(1 - value) % 37]


def allot_codes(study: str, count: int, start: int = 1) -> tuple[str, ...]:
    """Return the next sample codes of a study.

    Numbers whose check character could be misread are skipped: about a third.

    Parameters
    ----------
    study
        A study code.
    count
        How many codes.
    start
        First number to try; one more than the last number in use.

    Raises
    ------
    TooManySamplesError
        If numbers run out.

    Examples
    --------
    >>> allot_codes("HDC", 3)
    ('HDC-001-5', 'HDC-002-3', 'HDC-005-Y')
    """
    codes: list[str] = []
    for number in range(start, _LAST_NUMBER + 1):
        if len(codes) == count:
            break
        check = check_character(f"{study}{number:03d}")
        if check in ALPHABET:
            codes.append(f"{study}-{number:03d}-{check}")
    if len(codes) < count:
        raise TooManySamplesError(study, count)
    return tuple(codes)


def parse_code(text: str, study: str | None = None) -> str:
    """Read a sample code as typed: case, blanks and hyphens do not matter.

    Parameters
    ----------
    text
        As typed, such as `hdc014w`. In the number O is read as 0 and I as 1.
    study
        Study code to which a number with its check character, `014W`, belongs; None
        where the code must be whole.

    Returns
    -------
    str
        The code as on the label, `HDC-014-W`.

    Raises
    ------
    SampleCodeFormError
        If it is not built like a code.
    SampleCodeCheckError
        If its check character does not fit.
    """
    typed = _GAPS.sub("", text.upper())
    match = _CODE.fullmatch(typed)
    if match is None:
        raise SampleCodeFormError(text)
    prefix = match[1] or study
    number = match[2].translate(_DIGITS)
    if prefix is None or int(number) == 0 or (len(number) == 4 and number[0] == "0"):
        raise SampleCodeFormError(text)
    check = check_character(prefix + number)
    if check != match[3] or check not in ALPHABET:
        raise SampleCodeCheckError(text)
    return f"{prefix}-{number}-{check}"


def study_of(code: str) -> str:
    """Return the study code within a sample code.

    Examples
    --------
    >>> study_of("HDC-014-W")
    'HDC'
    """
    return code.split("-", maxsplit=1)[0]


def number_of(code: str) -> int:
    """Return the number within a sample code.

    Examples
    --------
    >>> number_of("HDC-014-W")
    14
    """
    return int(code.split("-")[1])
