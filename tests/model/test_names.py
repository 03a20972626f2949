"""Names in words: what people read of a code."""

from stability.model.names import all_in_words, in_words


def test_a_code_is_read_in_words() -> None:
    assert in_words("weight_loss") == "weight loss"
    assert in_words("time_to_half_flow") == "time to half flow"


def test_a_name_without_a_stroke_stays_as_typed() -> None:
    assert all_in_words(("pH", "odour", "a-value")) == ["pH", "odour", "a-value"]
