"""Client cards: coded, changed in one step, and used by what is asked."""

from __future__ import annotations

import datetime
import json
import os
import stat
from pathlib import Path

import pytest
from journals import Run

from assistant.conversation import Assistant
from assistant.errors import InputError
from assistant.journal import clients
from assistant.journal.clients import Clients, RealChange
from assistant.journal.reading import entries
from assistant.journal.store import JournalError
from assistant.shapes import Profile
from assistant.understanding.card import add_card
from assistant.understanding.question import Reader

TODAY = datetime.date(2026, 6, 15)


@pytest.fixture
def cards(tmp_path: Path) -> Clients:
    return Clients(tmp_path / "rungbook" / "clients")


def add(cards: Clients, client: str = "a12", **fields: object) -> None:
    cards.change(client, lambda card: {**(card or clients.new_card(client)), **fields})


# -- keeping ---------------------------------------------------------------------------------------------------------


def test_card_is_closed_to_others_and_keeps_the_version_before(cards: Clients) -> None:
    add(cards, sex="female")
    add(cards, sex="male")
    assert stat.S_IMODE(cards.path("a12").stat().st_mode) == 0o600
    assert stat.S_IMODE(cards.folder.stat().st_mode) == 0o700
    assert json.loads(cards.before("a12").read_text())["sex"] == "female"
    assert cards.undo("a12")["sex"] == "female" and cards.undo("a12")["sex"] == "male"


def test_failed_change_leaves_the_card_whole(cards: Clients, monkeypatch: pytest.MonkeyPatch) -> None:
    add(cards, sex="female")

    def fail(handle: int) -> None:
        raise OSError(28, "full")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(JournalError, match="full"):
        add(cards, sex="male")
    monkeypatch.undo()
    assert cards.must("a12")["sex"] == "female"
    assert not list(cards.folder.glob(".*new"))


def test_several_processes_edit_one_card(cards: Clients) -> None:
    children = []
    for number in range(6):
        child = os.fork()
        if child == 0:
            try:
                for turn in range(5):
                    note = {"date": "2026-06-15", "text": f"{number} {turn}"}
                    cards.change("a12", lambda card, note=note: _with_note(card, note))  # type: ignore[misc]
                os._exit(0)
            except BaseException:
                os._exit(1)
        children.append(child)
    assert all(os.waitpid(child, 0)[1] == 0 for child in children)
    assert len(cards.must("a12")["notes"]) == 30


def _with_note(card: clients.Card | None, note: dict[str, str]) -> clients.Card:
    card = card or clients.new_card("a12")
    card["notes"].append(note)
    return card


@pytest.mark.parametrize("bad", ["../../etc/passwd", "a/b", "a.b", "", "A B", "x" * 25, "..", "a\0b"])
def test_code_cannot_leave_the_folder(cards: Clients, bad: str) -> None:
    with pytest.raises(InputError):
        cards.path(bad)


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "7", '{"format": 1}', '{"format": 9, "code": "a12"}', "\0", "[" * 100_000]
)
def test_damaged_card_is_told_and_can_be_taken_back(run: Run, cards: Clients, text: str) -> None:
    add(cards, sex="female")
    add(cards, sex="male")
    cards.path("a12").write_text(text)
    status, _, err = run("client", "show", "a12")
    assert status == 2 and "client undo a12" in err
    assert "a12" in run("client", "list")[1]
    assert run("client", "undo", "a12")[0] == 0 and run("client", "show", "a12")[0] == 0


def test_remove_leaves_nothing(run: Run, cards: Clients) -> None:
    add(cards, sex="female")
    add(cards, "a1", sex="male")
    add(cards, sex="male")
    assert run("client", "remove", "a12")[0] == 0
    assert sorted(path.name for path in cards.folder.glob("*.json")) == ["a1.json"]
    assert run("client", "remove", "a12")[0] == 2


# -- the command -----------------------------------------------------------------------------------------------------


def test_add_set_show(run: Run, cards: Clients) -> None:
    status, out, _ = run(
        "client", "add", "A12", "--age", "72", "--sex", "F", "--stature", "5'4", "--condition", "left hip replaced:2024-11:L",
        "--condition", "osteoporosis", "--kit", "poles",
    )  # fmt: skip
    assert status == 0 and "70-74 female" in out and "162.6 cm" in out
    card = cards.must("a12")
    assert card["ages"] == [70, 74] and "72" not in json.dumps({**card, "stature_cm": 0})
    assert card["conditions"][0] == {"id": "hip-replacement", "side": "left", "since": "2024-11"}
    assert card["kit"] == ["walking-poles"]
    run("client", "set", "a12", "--without-condition", "osteoporosis", "--kit", "knee-pad")
    card = cards.must("a12")
    assert [each["id"] for each in card["conditions"]] == ["hip-replacement"] and len(card["kit"]) == 2
    assert json.loads(run("client", "show", "a12", "--json")[1])["code"] == "a12"


@pytest.mark.parametrize(("argv", "words"), [
    (("add", "a12"), "card already"), (("set", "nobody"), "no card"), (("show", "nobody"), "no card"),
    (("add", "Mary Smith"), "not a code"), (("set", "a12", "--age", "7"), "not an age"), (("set", "a12", "--age", "60-90"), "not an age"),
    (("set", "a12", "--sex", "x"), "sex"), (("set", "a12", "--stature", "9 m"), "stature"),
    (("set", "a12", "--condition", "grumpiness"), "no condition"), (("set", "a12", "--condition", "stroke:up"), "not a side"),
    (("set", "a12", "--condition", "stroke:2999"), "to come"), (("set", "a12", "--condition", "stroke:2024-13"), "not a date"),
    (("result", "a12", "tug", "fast"), "not a value"), (("result", "a12", "tug", "14kg"), "not measured"),
    (("result", "a12", "horoscope", "3"), "no screen"), (("rung", "a12", "step-up", "height=99"), "no level"),
    (("rung", "a12", "step-up", "colour=red"), "no axis"), (("note", "a12", " "), "empty"), (("undo", "b1"), "no version"),
])  # fmt: skip
def test_bad_input_is_one_clear_line(run: Run, cards: Clients, argv: tuple[str, ...], words: str) -> None:
    add(cards)
    status, out, err = run("client", *argv)
    assert status == 2 and words in err and len(err.splitlines()) == 1 and not out


def test_notes_lose_their_names(run: Run, cards: Clients) -> None:
    add(cards)
    run("client", "note", "a12", "Mrs", "Pemberton", "prefers the left rail")
    assert cards.must("a12")["notes"][0]["text"] == "Mrs [name] prefers the left rail"


@pytest.mark.parametrize(("condition", "verdicts", "source"), [
    ("knee-osteoarthritis", ["first result", "within chance", "really better", "really worse"], "1.1 s (Alghadir 2015"),
    ("parkinsons", ["first result", "within chance", "within chance", "really worse"], "3.5 s (Huang 2011"),
    ("", ["first result", "within chance", "within chance", "really worse"], "3.5 s (Huang 2011"),
])  # fmt: skip
def test_history_tells_real_changes_from_chance(
    run: Run, cards: Clients, condition: str, verdicts: list[str], source: str
) -> None:
    """TUG: 1.1 s in knee osteoarthritis (Alghadir 2015), 3.5 s in Parkinson's (Huang 2011), the larger where neither is
    known of the client."""
    add(cards, conditions=[{"id": condition, "side": "", "since": ""}] if condition else [])
    for day, value in (("2026-01-05", "15.0"), ("2026-02-05", "14.5"), ("2026-03-05", "13.0"), ("2026-04-05", "16.9s")):
        run("client", "result", "a12", "tug", value, "--date", day)
    out = run("client", "history", "a12", "tug")[1]
    found = [line.split("  ")[-1] for line in out.splitlines() if line.startswith("  2026")]
    assert [verdict.split(" (")[0] for verdict in found] == verdicts
    assert source in out and "first to last: +1.9" in out


def test_sppb_points_go_up_when_better(run: Run, cards: Clients) -> None:
    add(cards)
    for day, value in (("2026-01-05", "7"), ("2026-02-05", "8")):
        out = run("client", "result", "a12", "sppb", value, "--date", day)[1]
    assert "+1  really better" in out


@pytest.mark.parametrize(("before", "now", "better", "words"), [
    (10.0, 12.9, "higher", "within chance"), (10.0, 13.0, "higher", "really better"), (10.0, 7.0, "higher", "really worse"),
    (10.0, 7.0, "lower", "really better"), (10.0, 13.0, "", "a real change"), (10.0, 10.0, "higher", "within chance"),
])  # fmt: skip
def test_verdict_on_a_change(before: float, now: float, better: str, words: str) -> None:
    card = clients.new_card("a12")
    card["results"] = [
        {"screen": "s", "value": value, "unit": "kg", "side": "", "date": day}
        for value, day in ((before, "2026-01"), (now, "2026-02"))
    ]
    assert words in clients.history(card, "s", RealChange(3.0, "kg", "x", better))[1].verdict


def test_sides_and_units_are_kept_apart() -> None:
    card = clients.new_card("a12")
    card["results"] = [
        {"screen": "g", "value": 20.0, "unit": "kg", "side": "left", "date": "2026-01"},
        {"screen": "g", "value": 30.0, "unit": "kg", "side": "right", "date": "2026-02"},
        {"screen": "g", "value": 55.0, "unit": "lb", "side": "left", "date": "2026-03"},
    ]
    steps = clients.history(card, "g", RealChange(5.0, "kg", "x", "higher"))
    assert [step.verdict.split(" (")[0] for step in steps] == ["first result", "first result", "within chance"]
    assert steps[2].change == pytest.approx(4.95, abs=0.01)


# -- used by what is asked -------------------------------------------------------------------------------------------


def profile(**fields: object) -> Profile:
    card = clients.new_card("a12")
    card.update(fields)
    return clients.profile(card, TODAY)


def test_profile_counts_weeks_and_takes_the_present_rung() -> None:
    found = profile(
        ages=[70, 74],
        conditions=[{"id": "hip-replacement", "side": "left", "since": "2026-05-18"}, {"id": "stroke", "side": "", "since": "2019"}],
        rungs=[
            {"movement": "step-up", "side": "left", "levels": {"support": "two-poles", "height": "4-in"}, "date": "2026-01"},
            {"movement": "step-up", "side": "left", "levels": {"height": "6-in"}, "date": "2026-02"},
        ],
    )  # fmt: skip
    assert found.conditions == (("hip-replacement", "left", 4.0), ("stroke", "", None))
    assert found.rungs == {"step-up/left": {"support": "two-poles", "height": "6-in"}}
    assert clients.profile_of(json.loads(json.dumps(found.as_dict())), "a12") == found


def test_card_fills_the_gaps_of_a_question(assistant: Assistant) -> None:
    card = profile(ages=[70, 74], sex="female", stature_cm=160.0, kit=["walking-poles"],
                   conditions=[{"id": "hip-replacement", "side": "left", "since": "2026-05-18"}])  # fmt: skip
    answer = assistant.ask("how deep should the squat be", card=card)
    assert {"hip-replacement", "recent-surgery"} <= set(answer.conditions) and "hip-replacement" in answer.carried
    assert answer.facts["age"] == 72 and answer.facts["sex"] == "female" and answer.facts["side"] == "left"
    answer = assistant.ask("how long should the poles be for standing", card=card)
    assert answer.figures and answer.figures[0].inputs["stature_cm"] == 160.0


def test_words_of_the_question_win(assistant: Assistant) -> None:
    card = profile(ages=[70, 74], stature_cm=160.0, conditions=[{"id": "stroke", "side": "", "since": ""}])
    answer = assistant.ask("pole length for 5'10, no stroke", card=card)
    assert answer.facts["stature_cm"] == pytest.approx(177.8) and "stroke" not in answer.conditions


def test_present_rung_is_that_of_the_side_asked_about(reader: Reader) -> None:
    card = profile(
        rungs=[
            {"movement": "step-up", "side": "", "levels": {"height": "4-in", "support": "none"}, "date": "2026-01"},
            {"movement": "step-up", "side": "left", "levels": {"height": "2-in"}, "date": "2026-01"},
        ]
    )
    found = []
    for text in ("step-ups hurt", "step-ups hurt her left knee", "step-ups with two poles hurt", "squats hurt"):
        question = reader.read(text)
        assert add_card(card, question) == ""
        found.append(
            {key.partition("/")[2]: level for key, level in question.levels.items() if key.startswith("step-up/")}
        )
    assert found == [
        {"height": "4-in", "support": "none"},
        {"height": "2-in"},
        {"height": "4-in", "support": "two-poles"},
        {},
    ]


def test_card_of_another_person_is_left_out_and_said(assistant: Assistant) -> None:
    card = profile(
        ages=[70, 74], sex="female", conditions=[{"id": "hip-replacement", "side": "left", "since": "2024-01"}]
    )
    answer = assistant.ask("58 year old man, step-ups hurt his knee", card=card)
    assert "hip-replacement" not in answer.conditions and any("Card a12 left out" in note for note in answer.notes)


def test_next_client_drops_the_card_for_good(assistant: Assistant) -> None:
    card = profile(conditions=[{"id": "hip-replacement", "side": "left", "since": "2024-01"}])
    assert "hip-replacement" in assistant.ask("how deep should she squat", follow=True, card=card).conditions
    for text in ("next client: squats hurt her knee", "and how deep?"):
        assert "hip-replacement" not in assistant.ask(text, follow=True, card=card).conditions


def test_red_flag_comes_before_any_card(assistant: Assistant) -> None:
    card = profile(conditions=[{"id": "hip-replacement", "side": "left", "since": "2024-01"}])
    assert assistant.ask("her chest is tight on step-ups and she is sweating", card=card).status == "refer"


def test_ask_uses_and_records_the_card(run: Run, cards: Clients, tmp_path: Path) -> None:
    add(cards, conditions=[{"id": "osteoporosis", "side": "", "since": ""}])
    folder = tmp_path / "j"
    answer = json.loads(run("ask", "--json", "--client", "A12", "--journal", str(folder), "is a loaded hinge ok")[1])
    assert "osteoporosis" in answer["conditions"]
    record = next(entries(folder))
    assert record["client"] == "a12" and record["card"]["conditions"] == [["osteoporosis", "", None]]


def test_client_without_a_card_is_answered_and_told(run: Run, tmp_path: Path) -> None:
    status, out, err = run("ask", "--client", "b9", "--journal", str(tmp_path / "j"), "hip hikes on step ups")
    assert status == 0 and out and "no card b9" in err
    assert run("ask", "--client", "../b9", "hip hikes")[0] == 2
