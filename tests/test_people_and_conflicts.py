"""Whose body a question is about, and which rule stands when two meet."""

from __future__ import annotations

import pytest

from assistant.conversation import Assistant


@pytest.mark.parametrize(
    ("text", "meant", "set_aside"),
    [
        ("My hip replacement lady is fine, but the Parkinson's guy keeps freezing on turns, what now?", "parkinsons", "hip-replacement"),
        ("the stroke client copes well, my other client has copd and puffs on the steps. easier step up?", "copd", "stroke"),
        ("no trouble with the TKR gent but the lady with osteoporosis rounds her back hinging", "osteoporosis", "knee-replacement"),
    ],
)  # fmt: skip
def test_of_two_people_the_one_asked_about_is_answered(
    assistant: Assistant, text: str, meant: str, set_aside: str
) -> None:
    answer = assistant.ask(text)
    assert meant in answer.conditions
    assert set_aside not in answer.conditions


def test_one_person_named_twice_keeps_both_conditions(assistant: Assistant) -> None:
    answer = assistant.ask("my knee replacement lady is doing well but she also has osteoporosis, hinges ok?")
    assert {"knee-replacement", "osteoporosis"} <= set(answer.conditions)


def test_a_sore_arm_stands_over_the_opposite_hand_rule_and_the_conflict_is_named(assistant: Assistant) -> None:
    answer = assistant.ask("frozen right shoulder, step ups with one pole, left foot leading: which hand holds it?")
    assert answer.points[0].rule.startswith("shoulder-problem")
    assert any("Two rules meet over which hand holds the pole" in note for note in answer.notes)
    assert not any(note.startswith("Pole hand") for note in answer.notes)


def test_a_phrase_taken_away_from_one_movement_leaves_room_for_a_hint_of_another(assistant: Assistant) -> None:
    assert assistant.ask("cant get up on the exercise step, what do we drop back to").movements == ["step-up"]
    assert assistant.ask("drop backs: she tips forward").movements == ["reverse-lunge"]


def test_a_pressure_pair_lying_and_standing_is_a_postural_test_and_no_hypertension(assistant: Assistant) -> None:
    assert "hypertension" not in assistant.ask("148/88 lying then 121/70 standing, ok to train?").conditions
    assert "hypertension" in assistant.ask("resting 148/92 today, ok to train?").conditions


def test_two_flags_of_one_event_do_not_repeat_their_first_aid(assistant: Assistant) -> None:
    answer = assistant.ask("went white and clammy on the leg press and his jaw aches")
    assert answer.status == "refer"
    assert sum("Call the emergency number" in point.text for point in answer.points) == 1
