"""The spelling index finds what comparing with every known word finds."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import OSA

from assistant.rulebase.slips import LONG, SHORTEST, keys_of, near

LETTERS = st.sampled_from("abcdeist")
TYPED = st.text(LETTERS, min_size=5, max_size=12)
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
    most = 2 if len(typed) >= LONG else 1
    if len(typed) < SHORTEST - 1 or OSA.distance(typed, known) > most or known[0] not in typed[:2]:
        return
    assert near(typed, most) & set(keys_of(known)), (typed, known)
