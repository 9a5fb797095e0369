"""Mistyped names find what was meant."""

from hypothesis import given
from hypothesis import strategies as st

from layfigure.files.nearest import did_you_mean, nearest_names, typing_slips

WORDS = st.text("abcde_", max_size=9)


@given(WORDS, WORDS)
def test_slips_are_symmetric_and_zero_only_for_equal_words(a: str, b: str) -> None:
    assert typing_slips(a, b) == typing_slips(b, a)
    assert (typing_slips(a, b) == 0) == (a == b)
    assert abs(len(a) - len(b)) <= typing_slips(a, b) <= max(len(a), len(b))


def test_known_distances() -> None:
    # kitten/sitting = 3 is the textbook example of the edit distance; a swap of neighbours counts one.
    assert typing_slips("kitten", "sitting") == 3
    assert typing_slips("wiast", "waist") == 1


def test_the_nearest_is_offered_and_nothing_far() -> None:
    known = ("waist", "wrist", "hip")
    assert nearest_names("wiast", known) == ("waist",)
    assert nearest_names("elephant", known) == ()
    assert did_you_mean("hp", known) == "Did you mean 'hip'?"
    assert did_you_mean("elephant", known) == "Known: waist, wrist, hip."
    assert did_you_mean("elephant", ()) == ""
