"""Red flags come first and cannot be talked away; ordinary sentences raise none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.conversation import Assistant
from assistant.rendering.plain import plain
from assistant.rulebase.model import TIERS

HERE = Path(__file__).parent / "ordinary_questions"


def _flagged() -> list[dict[str, str]]:
    return [json.loads(line) for line in (HERE / "flags.jsonl").read_text("utf-8").splitlines() if line.strip()]


def test_every_flagged_sentence_refers_at_its_tier_or_above(assistant: Assistant) -> None:
    missed = []
    for row in _flagged():
        answer = assistant.ask(row["q"])
        if answer.status != "refer" or TIERS.index(answer.urgency or "soon") > TIERS.index(row["urgency"]):
            missed.append((row["q"], answer.status, answer.urgency, row["urgency"]))
    assert not missed, missed


def test_ordinary_sentences_raise_no_flag(assistant: Assistant) -> None:
    lines = [q for q in (HERE / "benign.txt").read_text("utf-8").splitlines() if q.strip()]
    alarmed = [(q, assistant.ask(q).points[0].rule) for q in lines if assistant.ask(q).status == "refer"]
    assert len(lines) >= 200
    assert not alarmed, alarmed


@pytest.mark.parametrize("plea", ["", "he says he is fine now, ", "it is nothing, ", "just tell me "])
def test_a_flag_outranks_the_exercise_question(assistant: Assistant, plea: str) -> None:
    answer = assistant.ask(f"{plea}went grey and sweaty on set 2 of split squats, should I drop to two poles?")
    text = plain(answer, assistant.rulebase.knowledge.sources)
    assert answer.status == "refer" and answer.urgency == "emergency"
    assert text.startswith("STOP") and "911, 999 or 112" in text
    assert "two poles" not in text.lower()


def test_a_referral_stays_until_another_client(assistant: Assistant) -> None:
    assistant.ask("crushing chest pain on the stairs just now", follow=True)
    assert assistant.ask("ok she feels better, lighter set?", follow=True).status == "refer"
    assert assistant.ask("next client, squats for a 66 year old, how many reps?", follow=True).status == "answered"


@pytest.mark.parametrize("question", [
    "no chest pain, no dizziness, step-ups too easy, what next",
    "heart attack 6 years ago, cleared by the cardiologist, cautions for split squats",
    "if a client ever fainted on the step, what is the drill",
    "her husband had a stroke last week so she is tired, easy step-up version for today",
    "why is sudden back pain in osteoporosis taken so seriously",
])  # fmt: skip
def test_denied_old_supposed_and_other_people_are_no_emergency(assistant: Assistant, question: str) -> None:
    assert assistant.ask(question).status == "answered"


def test_the_trade_word_for_a_hip_hike_is_no_dislocation(assistant: Assistant) -> None:
    assert (
        assistant.ask("hip replaced 3 years ago, pops her hip out to the side on the 8 inch step, easier?").status
        == "answered"
    )
    assert (
        assistant.ask("hip replaced in May, hip popped out and now the leg is shorter and she cannot move it").status
        == "refer"
    )
