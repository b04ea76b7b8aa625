"""Staff training: what an answer holds, what it lacks, what is unsafe, and what comes next."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from journals import NOON, Run, entry

from assistant.conversation import Assistant
from assistant.journal import record as records
from assistant.mentoring import drill
from assistant.mentoring.concepts import STOPPERS, says, words
from assistant.mentoring.drill import Item, Standing, choose, mark, shipped
from assistant.mentoring.verdicts import Verdicts
from assistant.rulebase.loading import Rulebase
from assistant.understanding.question import Reader

TODAY = datetime.date(2026, 6, 15)
GOOD_REPLIES = {
    "step-hike": "drop to a 6 inch step and give her a pole in the left hand",
    "split-hand": "right hand, tip next to the front foot, and it swaps over when the feet swap",
    "split-thud": "thicker pad, 8 in, count three on the way down, both poles, lose the dumbbells",
    "chest-drill": "stop the set, sit him down, ring 999 and send for the defib, he is not driving anywhere",
    "hot-calf": "no training, don't roll it, GP today as it may be a clot; short of breath means 999",
    "saddle-numb": "stop, 999 or straight to A&E, ask when he last passed water, he must not drive",
    "head-knock": "sit her down, keep her still, call an ambulance and tell them about the warfarin",
    "hip-depth": "box at 20 in so hip stays above knee, feet hip width with toes out, hold the rail",
    "bone-hinge": "yes, start light and build slowly, flat back, lift from blocks",
    "floor-start": "half kneel to stand on a high pad by a chair, then lower the pad, all fours, lying",
    "chair-count": "below average for 72 so fall risk; 3 more stands is real",
    "belt-load": "2 to 10 percent, so 2.5 kg, same depth and same hand support",
    "why-opposite": "it unloads the hip abductors over a long lever and covers the other side",
    "freeze": "do not pull him, stop, sway side to side, then a big step over my foot",
    "breath-bp": "breathe out as he stands and take 10 percent off",
    "band-anchor": "over a bolted rack bar, never on a door, inspect and tug it first",
    "mixed-class": "three lanes: rail, two poles, one pole; the frail ones next to me",
    "knee-pad-new": "yes once the wound has healed and the surgeon agrees, thick pad, a few seconds, not if it is hot or swollen",
}
UNSAFE_REPLIES = {
    "chest-drill": "let him rest and then carry on lighter", "hot-calf": "massage it and do upper body",
    "saddle-numb": "stretch the back and see how it is next week", "head-knock": "light session sitting down",
    "hip-depth": "full depth as the hip is new", "freeze": "pull him gently by both hands", "breath-bp": "tell him to brace hard and push through",
    "band-anchor": "shut it in the door", "belt-load": "add 20 kg", "step-hike": "pole in the same hand",
}  # fmt: skip


@pytest.fixture(scope="module")
def items(rulebase: Rulebase) -> dict[str, Item]:
    return {item.id.partition("/")[2]: item for item in shipped(rulebase.knowledge)}


# -- the shipped set -------------------------------------------------------------------------------------------------


def test_every_point_rests_on_a_rule_with_a_source(items: dict[str, Item], rulebase: Rulebase) -> None:
    known = rulebase.knowledge
    lost = [
        rule for item in items.values() for rule in item.rules if rule not in known.entries and rule not in known.flags
    ]
    assert not lost and len(items) >= 15
    assert all(point.sources for item in items.values() for point in (*item.points, *item.dangers))
    assert set(GOOD_REPLIES) == set(items)


@pytest.mark.parametrize("name", GOOD_REPLIES)
def test_a_good_answer_is_taken_as_good(items: dict[str, Item], reader: Reader, name: str) -> None:
    found = mark(items[name], GOOD_REPLIES[name], reader)
    assert found.score == 1.0, (found.missing, found.dangers)


@pytest.mark.parametrize("name", UNSAFE_REPLIES)
def test_an_unsafe_answer_is_named_with_its_source(items: dict[str, Item], reader: Reader, name: str) -> None:
    found = mark(items[name], UNSAFE_REPLIES[name], reader)
    assert found.score == 0.0 and found.dangers and found.dangers[0].sources


@pytest.mark.parametrize("reply", ["", "no idea", "?", "x" * 3000])
def test_an_empty_answer_misses_everything(items: dict[str, Item], reader: Reader, reply: str) -> None:
    for item in items.values():
        found = mark(item, reply, reader)
        assert found.score == 0.0 and len(found.missing) == len(item.points) and not found.dangers


@pytest.mark.parametrize(("text", "phrases", "expected"), [
    ("stop and sit him down", ["stop*"], True), ("do not stop now", ["stop*"], False), ("not the same side", ["same side"], False),
    ("never driving home", ["~driv*"], True), ("halt, no panic", ["halt"], True), ("lower the step", ["low* the|a step"], True),
])  # fmt: skip
def test_phrases_and_negation(text: str, phrases: list[str], expected: bool) -> None:
    assert says(words(text), phrases) is expected


def test_stopping_something_is_no_danger() -> None:
    assert not says(words("stop the massage"), ["massage*"], STOPPERS) and says(
        words("massage it"), ["massage*"], STOPPERS
    )


# -- questions from reviewed entries ---------------------------------------------------------------------------------


def reviewed(rulebase: Rulebase, record: records.Record, verdict: str, better: str = "") -> list[Item]:
    verdicts = Verdicts()
    verdicts.add({"entry": record["id"], "verdict": verdict, "time": record["time"], "better": better, "outcome": ""})
    return drill.reviewed([record], verdicts, rulebase.knowledge)


def test_sound_entry_becomes_a_question_marked_by_concepts(
    assistant: Assistant, rulebase: Rulebase, reader: Reader
) -> None:
    answer = assistant.ask("which hand holds the single pole on a split squat")
    record = entry(answer.question, rules=[point.rule for point in answer.points])
    (item,) = reviewed(rulebase, record, "sound")
    good = mark(item, f"{rulebase.knowledge.entries[record['rules'][0]].say}", reader)
    assert item.points[0] in good.covered
    poor = mark(item, "let her choose a hat", reader)
    assert len(poor.missing) == len(item.points) and any(lacking for _, lacking in poor.missing)


def test_amended_entry_is_marked_by_the_mentors_answer(rulebase: Rulebase, reader: Reader) -> None:
    (item,) = reviewed(
        rulebase, entry("wobbly step-up"), "amend", "Put one pole in the opposite hand. Lower the step to 4 in."
    )
    assert [point.sources for point in item.points] == [("mentor's review",)] * 2
    assert mark(item, "stick in the contralateral hand, 10 cm box", reader).score == 1.0
    assert mark(item, "go faster", reader).score == 0.0


def test_wrong_without_a_better_answer_teaches_nothing(rulebase: Rulebase) -> None:
    assert reviewed(rulebase, entry("x"), "wrong") == [] and reviewed(rulebase, entry("x"), "unsafe") == []


def test_referral_wants_a_stop_and_a_clinician(rulebase: Rulebase, reader: Reader) -> None:
    record = entry("calf hot and swollen", status="refer", urgency="same-day", rules=["calf-clot"])
    (item,) = reviewed(rulebase, record, "sound")
    assert mark(item, "stop, GP today", reader).score == 1.0
    assert mark(item, "keep going but lighter", reader).dangers
    assert mark(item, "stop, do not let her carry on, ring the GP", reader).score == 1.0


# -- what comes next -------------------------------------------------------------------------------------------------


def result(item: str, score: float, days_ago: int = 0, topic: str = "t", unsafe: bool = False) -> records.Record:
    when = (NOON - datetime.timedelta(days=days_ago)).isoformat()
    return {
        "coach": "k7",
        "item": item,
        "topic": topic,
        "score": score,
        "time": when,
        "unsafe": ["x"] if unsafe else [],
    }


def standing(*results: records.Record) -> Standing:
    found = Standing()
    for each in results:
        found.add(each)
    return found


def test_boxes_rise_with_good_answers_and_fall_with_bad_ones() -> None:
    assert standing(result("a", 1.0)).boxes["a"] == 1
    assert standing(*[result("a", 1.0)] * 9).boxes["a"] == 5
    assert standing(result("a", 1.0), result("a", 1.0), result("a", 0.5)).boxes["a"] == 2
    assert standing(result("a", 1.0), result("a", 1.0), result("a", 0.9, unsafe=True)).boxes["a"] == 1


def test_missed_first_then_new_then_due() -> None:
    items = [Item(name, name, "?", ()) for name in ("missed", "new", "due", "later")]
    now = standing(
        result("missed", 0.0, 0, "missed"), *[result("due", 1.0, 9, "due")] * 3, *[result("later", 1.0, 0, "later")] * 3
    )
    assert [item.id for item in choose(items, now, 4, TODAY)] == ["missed", "new", "due", "later"]


def test_weak_topics_come_back_sooner() -> None:
    items = [Item("weak", "w", "?", ()), Item("strong", "s", "?", ())]
    now = standing(
        *[result("weak", 0.8, 2, "w")] * 3, *[result("strong", 0.8, 2, "s")] * 3, *[result("other", 0.1, 2, "w")] * 6
    )
    assert choose(items, now, 1, TODAY)[0].id == "weak"
    items = [Item("a", "strong", "?", ()), Item("b", "weak", "?", ())]
    assert choose(items, standing(result("x", 0.1, 0, "weak")), 1, TODAY)[0].id == "b"


def test_choice_is_the_same_every_time(items: dict[str, Item]) -> None:
    found = [item.id for item in choose(list(items.values()), Standing(), 6, TODAY)]
    assert found == [item.id for item in choose(list(reversed(items.values())), Standing(), 6, TODAY)]


# -- the command -----------------------------------------------------------------------------------------------------


def test_a_session_keeps_scores_and_the_mentor_sees_them(run: Run, tmp_path: Path) -> None:
    here = ("--journal", str(tmp_path / "j"))
    typed = f"{GOOD_REPLIES['chest-drill']}, said Mrs Pemberton\n"
    status, out, _ = run("drill", "--coach", "K7", "--topic", "set/chest-drill", *here, typed=typed)
    assert status == 0 and "score    100%" in out and "mean 100%" in out
    status, out, _ = run(
        "drill", "run", "--trainee", "b2", "--topic", "set/chest-drill", *here, typed="carry on lighter\nstop\n"
    )
    assert "UNSAFE" in out and "once more" in out and "[" in out.split("UNSAFE")[1]
    (kept,) = [r for r in drill.results(tmp_path / "j") if r["coach"] == "k7"]
    assert kept["score"] == 1.0 and "Mrs [name]" in kept["reply"]
    text = run("drill", "report", *here)[1]
    assert "k7" in text and "b2" in text and "red-flags 0%" in text
    assert '"trainee": "b2"' in run("drill", "report", "--format", "json", *here)[1]
    assert run("drill", "report", "--format", "csv", *here)[1].startswith("trainee,asked")
    assert "box 1" in run("drill", "list", "--topic", "set/chest-drill", "--trainee", "k7", *here)[1]


def test_no_log_and_early_ends(run: Run, tmp_path: Path) -> None:
    here = ("--journal", str(tmp_path / "j"))
    assert run("drill", "--no-log", *here, typed="q\n")[0] == 0
    assert run("drill", "--no-log", *here, typed="")[0] == 0
    assert not (tmp_path / "j").exists()
    assert run("drill", "--topic", "cooking", *here)[0] == 2 and run("drill", "--count", "0", *here)[0] == 2
    assert "nobody" in run("drill", "report", *here)[1]


def test_result_that_cannot_be_kept_is_said(run: Run, tmp_path: Path) -> None:
    (tmp_path / "j").write_text("a file")
    status, out, err = run(
        "drill", "--topic", "set/chest-drill", "--journal", str(tmp_path / "j"), typed="stop\nstop\n"
    )
    assert status == 0 and "score" in out and "not kept" in err
