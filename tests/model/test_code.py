"""A slip in a sample code is refused and never lands on another sample."""

from __future__ import annotations

import re
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.errors.codes import (
    SampleCodeCheckError,
    SampleCodeFormError,
    StudyCodeError,
    TooManySamplesError,
)
from stability.model.code import (
    ALPHABET,
    allot_codes,
    allot_study_code,
    check_character,
    checked_study_code,
    number_of,
    parse_code,
    study_of,
)

TYPED = string.ascii_uppercase + string.digits + "*"
LETTERS = "CDFGHJKMNPQRTVWXY"
STUDIES = st.from_regex(f"[{ALPHABET}]{{1,4}}[{LETTERS}]", fullmatch=True)
CODES = st.builds(
    lambda study, start: allot_codes(study, 1, start)[0],
    STUDIES,
    st.integers(1, 9990),
)


@pytest.mark.parametrize(
    ("text", "check"),
    [
        # Donation identification number of the ISBT 128 standard's own example, as
        # cited for ISO/IEC 7064 MOD 37-2; from memory, computed by two programs.
        ("G123489654321", "Y"),
        # Computed by hand from the standard's recursion: ((0 + 1) * 2) mod 37 = 2,
        # and 2 + check = 1 (mod 37), so the check's value is 36, which is written *.
        ("1", "*"),
        ("0", "1"),
    ],
)
def test_check_characters_follow_the_standard(text: str, check: str) -> None:
    assert check_character(text) == check


def polynomial_sum(text: str) -> int:
    """Return the standard's sum by its other, direct formula (weights 2^i)."""
    values = string.digits + string.ascii_uppercase + "*"
    return sum(
        values.index(char) * 2**power for power, char in enumerate(reversed(text))
    )


@given(CODES)
def test_every_code_satisfies_the_standards_direct_formula(code: str) -> None:
    assert polynomial_sum(code.replace("-", "")) % 37 == 1


def refused_or_same(typed: str, code: str) -> bool:
    """Say whether a typed code is refused, or is read as the code it was made from."""
    try:
        return parse_code(typed) == code
    except (SampleCodeCheckError, SampleCodeFormError):
        return True


@given(CODES)
def test_every_single_wrong_character_is_refused(code: str) -> None:
    plain = code.replace("-", "")
    landed = [
        slip
        for place in range(len(plain))
        for wrong in TYPED
        if not refused_or_same(slip := plain[:place] + wrong + plain[place + 1 :], code)
    ]

    assert landed == []


@given(CODES)
def test_only_o_and_i_for_digits_are_read_as_the_same_code(code: str) -> None:
    plain = code.replace("-", "")
    read = set()
    for place in range(len(plain)):
        for wrong in set(TYPED) - {plain[place]}:
            slip = plain[:place] + wrong + plain[place + 1 :]
            try:
                parse_code(slip)
            except (SampleCodeCheckError, SampleCodeFormError):
                continue
            read.add((plain[place], wrong))

    assert read <= {("0", "O"), ("1", "I")}


@given(CODES)
def test_every_swap_of_neighbours_is_refused(code: str) -> None:
    plain = code.replace("-", "")
    for place in range(len(plain) - 1):
        swapped = plain[:place] + plain[place + 1] + plain[place] + plain[place + 2 :]
        if swapped == plain:
            continue
        with pytest.raises((SampleCodeCheckError, SampleCodeFormError)):
            parse_code(swapped)


@given(CODES)
def test_slips_within_the_study_are_refused_too(code: str) -> None:
    study, short = code.split("-", 1)
    plain = short.replace("-", "")
    for place in range(len(plain)):
        for wrong in TYPED:
            slip = plain[:place] + wrong + plain[place + 1 :]
            try:
                assert parse_code(slip, study) == code
            except (SampleCodeCheckError, SampleCodeFormError):
                continue


@given(STUDIES, st.integers(1, 40), st.integers(1, 1200))
def test_codes_are_allotted_in_order_and_read_back(
    study: str, count: int, start: int
) -> None:
    codes = allot_codes(study, count, start)
    numbers = [number_of(code) for code in codes]

    assert len(set(codes)) == count
    assert numbers == sorted(numbers)
    assert numbers[0] >= start
    assert all(code[-1] in ALPHABET for code in codes)
    assert all(parse_code(code) == code and study_of(code) == study for code in codes)


def test_numbers_have_three_digits_and_four_from_one_thousand() -> None:
    codes = allot_codes("HDC", 8, 995)

    assert all(re.fullmatch(r"HDC-(\d{3}|[1-9]\d{3})-.", code) for code in codes)
    assert {len(code) for code in codes} == {9, 10}


@pytest.mark.parametrize(
    "typed",
    [
        "HDC-014-W", "hdc-014-w", "HDC014W", " hdc 014 w ", "HDC-O14-W", "hdco14w",
        "H-D-C-0-1-4-W", "HDC-0I4-W", "HDC–014–W",
    ],
)  # fmt: skip
def test_case_blanks_and_hyphens_do_not_matter(typed: str) -> None:
    assert parse_code(typed) == "HDC-014-W"


@pytest.mark.parametrize("typed", ["014W", "O14w", "014-W", "HDC-014-W"])
def test_within_a_study_the_number_suffices(typed: str) -> None:
    assert parse_code(typed, "HDC") == "HDC-014-W"


def test_a_whole_code_of_another_study_stays_of_that_study() -> None:
    other = allot_codes("XY", 1)[0]

    assert parse_code(other, "HDC") == other


@pytest.mark.parametrize(
    "typed",
    ["", "014W", "HDC", "HDC-14-W", "HDC-000-5", "HDC-0014-W", "HDC014", "O1C-014-W"],
)
def test_what_is_not_built_like_a_code_is_refused(typed: str) -> None:
    with pytest.raises(SampleCodeFormError, match="such as HDC-014-W"):
        parse_code(typed)


def test_a_refusal_never_offers_the_check_character_that_would_fit() -> None:
    with pytest.raises(SampleCodeCheckError, match="Read the label again") as refused:
        parse_code("HDC-014-Y")

    assert "014-W" not in str(refused.value)


def test_a_number_that_is_never_allotted_is_refused_with_its_right_check() -> None:
    check = check_character("HDC003")

    assert check not in ALPHABET
    with pytest.raises(SampleCodeCheckError):
        parse_code(f"HDC-003-{check}")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("H", "1 characters"),
        ("HDCHDC", "6 characters"),
        ("HD0C", "'0' is not used"),
        ("HOC", "'O' is not used"),
        ("HD2", "ends in a digit"),
        ("", "0 characters"),
    ],
)
def test_a_study_code_that_could_be_misread_is_refused(text: str, words: str) -> None:
    with pytest.raises(StudyCodeError, match=re.escape(words)):
        checked_study_code(text)


@given(st.text(max_size=40), st.sets(STUDIES, max_size=4))
def test_an_allotted_study_code_is_free_and_valid(
    product: str, taken: set[str]
) -> None:
    code = allot_study_code(product, taken)

    assert checked_study_code(code) == code
    assert code not in taken


def test_study_codes_stay_free_when_many_products_share_a_name() -> None:
    taken: set[str] = set()
    for _ in range(400):
        taken.add(allot_study_code("Heather day cream", taken))

    assert len(taken) == 400


def test_a_study_ends_at_its_last_number() -> None:
    with pytest.raises(TooManySamplesError, match="9999"):
        allot_codes("HDC", 10, 9995)
