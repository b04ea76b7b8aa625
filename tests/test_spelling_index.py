"""The spelling index finds what comparing with every known word finds."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import OSA

from assistant.rulebase.index import near, shapes_of

LETTERS = st.sampled_from("abcdeist")
TYPED = st.text(LETTERS, min_size=4, max_size=12)
SLIPS = st.lists(st.tuples(st.integers(0, 3), st.integers(0, 11), LETTERS), min_size=1, max_size=2)


def slipped(word: str, kind: int, place: int, letter: str) -> str:
    """The word with a letter changed, left out, put in, or swapped with the next."""
    at = place % len(word)
    before, here, after = word[:at], word[at : at + 1], word[at + 1 :]
    return (
        before + letter + after, before + after, before + letter + here + after,
        before + after[:1] + here + after[1:],
    )[kind]  # fmt: skip


@settings(max_examples=600, deadline=None)
@given(TYPED, SLIPS)
def test_a_known_word_within_reach_is_looked_at(known: str, slips: list[tuple[int, int, str]]) -> None:
    typed = known
    for slip in slips:
        typed = slipped(typed, *slip)
    most = 2 if len(typed) >= 8 else 1
    if len(typed) < 4 or OSA.distance(typed, known) > most:
        return
    if typed[0] == known[0] or sorted(typed[:2]) == sorted(known[:2]):
        assert near(typed, most) & set(shapes_of(known)), (typed, known)
