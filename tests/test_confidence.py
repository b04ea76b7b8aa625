"""Below the line the program does not guess: it names the nearest topics and says how to put the question."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.conversation import Assistant
from assistant.matching.confidence import BANDS, LINE, band, confidence
from assistant.rendering.plain import plain
from assistant.shapes import Question

OFF_FIELD = Path(__file__).parent / "bench" / "off_field.txt"
ANSWERED_AT_MOST = 10  # of 80; measured: 8


def test_questions_of_other_fields_are_declined(assistant: Assistant) -> None:
    questions = [line for line in OFF_FIELD.read_text("utf-8").splitlines() if line]
    answered = [q for q in questions if assistant.ask(q).status in ("answered", "refer")]
    assert len(questions) == 80 and len(answered) <= ANSWERED_AT_MOST, answered


@pytest.mark.parametrize("text", [
    "what about the usual arrangement", "any thoughts on the plan for the hall", "is the vibrating plate good for strength",
    "can I use the trampoline with clients", "should my clients wear a heavy vest", "is a skipping rope fine for my clients",
])  # fmt: skip
def test_below_the_line_three_topics_and_how_to_ask(assistant: Assistant, text: str) -> None:
    answer = assistant.ask(text)
    assert answer.status == "unsure" and assistant.trace.confidence < LINE
    assert len(answer.nearest) == 3 == len(set(answer.nearest))
    assert not answer.points and not answer.figures
    said = plain(answer, assistant.rulebase.knowledge.sources)
    assert "Nearest topics: " in said and "Say the movement, what goes wrong" in said
    assert all(topic in said for topic in answer.nearest)


def test_no_answer_below_the_line_without_a_figure(assistant: Assistant) -> None:
    for entry in list(assistant.rulebase.knowledge.entries.values())[::40]:
        answer = assistant.ask(entry.asks[0])
        if answer.status == "answered":
            assert assistant.trace.confidence >= LINE or answer.figures, entry.asks[0]


def test_a_clear_question_is_surer_than_a_vague_one(assistant: Assistant) -> None:
    assistant.ask("gentler version of the step-up please, she wobbles")
    clear = assistant.trace.confidence
    assistant.ask("can I use the trampoline with clients")
    assert clear > 0.85 > LINE > assistant.trace.confidence
    assert band(clear) in ("sure", "likely") and band(0.0) == BANDS[-1][1]


def test_nothing_found_is_no_confidence(assistant: Assistant) -> None:
    assert confidence(Question("x"), [], assistant.index) == 0.0
