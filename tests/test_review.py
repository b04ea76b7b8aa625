"""The mentor's work: what comes first, verdicts beside the journal, report, gaps and replay."""

from __future__ import annotations

import csv
import dataclasses
import datetime
import io
import itertools
import json
import random
import shutil
import sys
from pathlib import Path

import journals
import pytest
import yaml
from journals import Run, entry

from assistant.commands import progress
from assistant.conversation import Assistant
from assistant.journal import record as records
from assistant.journal.reading import entries, files, verify
from assistant.mentoring import gaps, manifest
from assistant.mentoring.replay import Replay
from assistant.mentoring.report import report
from assistant.mentoring.verdicts import Verdicts, read_verdicts, review
from assistant.mentoring.worklist import next_up, rank, reason
from assistant.rendering.plain import plain
from assistant.rulebase.loading import Rulebase, load_with_faults, shipped_root


@pytest.fixture
def ids(folder: Path) -> list[str]:
    """Six entries of two coaches: answered, unsure, referral, emergency, poorly matched, out of scope."""
    made = [
        entry("squat depth"), entry("wibble on the box", status="unsure", rules=[], score=0.0),
        entry("calf swollen", status="refer", urgency="same-day", rules=["calf-clot"], score=0.0),
        entry("chest tight", status="refer", urgency="emergency", rules=["chest-pain-at-effort"], score=0.0, coach="c2"),
        entry("lunge thing", score=4.5, coach="c2"), entry("tax return", status="out_of_scope", rules=[], score=0.0, coach="c2"),
    ]  # fmt: skip
    stores = {name: journals.store(folder, name) for name in ("c1", "c2")}
    return [stores[record["coach"]].append(record) for record in made]


def mentor(folder: Path, ident: str, verdict: str, **texts: str) -> None:
    store = journals.store(folder, "mentor", records.REVIEW)
    review(store, ident, verdict, **texts)
    store.close()


# -- order and verdicts ----------------------------------------------------------------------------------------------


def test_dangerous_and_unsure_come_first(folder: Path, ids: list[str]) -> None:
    found = next_up(entries(folder), Verdicts(), 10)
    assert [reason(each) for each in found] == [
        "emergency",
        "referral",
        "unsure",
        "low confidence",
        "out of scope",
        "other",
    ]
    mentor(folder, ids[3], "sound")
    assert [each["question"] for each in next_up(entries(folder), read_verdicts(folder), 2)] == [
        "calf swollen",
        "wibble on the box",
    ]


def test_verdict_adds_a_review_and_never_edits(run: Run, folder: Path, ids: list[str]) -> None:
    before = {path: path.read_bytes() for path in files(folder)}
    status, out, _ = run(
        "review", "verdict", ids[0][:8], "amend", "--coach", "m9", "--journal", str(folder),
        "--comment", "client Margaret said so", "--better", "Box at 18 in.",
    )  # fmt: skip
    assert status == 0 and "amend" in out
    assert {path: path.read_bytes() for path in files(folder)} == before
    found = next(records.decode(line) for path in files(folder, "review") for line in path.read_bytes().splitlines())
    assert (found["coach"], found["entry"], found["comment"]) == ("m9", ids[0], "client [name] said so")
    assert "amend by m9" in run("log", "show", ids[0], "--journal", str(folder))[1]
    assert verify(folder)[1].count == 0


def test_latest_verdict_counts_whatever_the_file(folder: Path) -> None:
    found = Verdicts()
    for time, verdict in (
        ("2026-06-15T12:00:01+00:00", "wrong"),
        ("2026-06-15T12:00:00+00:00", "sound"),
        ("nonsense", "amend"),
    ):
        found.add({"entry": "ab" * 8, "verdict": verdict, "time": time, "better": "", "outcome": ""})
    assert found.verdict("ab" * 8) == "wrong" and found.verdict("cd" * 8) == ""


def test_walk_takes_verdicts_from_the_keyboard(run: Run, folder: Path, ids: list[str]) -> None:
    typed = "u\nnot seen\ncall first\nambulance came\n\nperhaps\na\nhm\nsay the height\nq\n"
    status, out, _ = run("review", "--journal", str(folder), "--coach", "m9", typed=typed)
    assert status == 0 and "2 reviewed" in out and "no verdict" in out
    found = read_verdicts(folder)
    assert found.verdict(ids[3]) == "unsafe" and found.verdict(ids[2]) == "" and found.verdict(ids[1]) == "amend"
    assert list(found.outcome.values()) == ["ambulance came"]


def test_walk_ends_with_the_input(run: Run, folder: Path, ids: list[str]) -> None:
    status, out, _ = run("review", "walk", "--journal", str(folder))
    assert status == 0 and "0 reviewed" in out
    assert run("review", "next", "--journal", str(folder / "none"))[1] == "nothing is left to review\n"


@pytest.mark.parametrize("argv", [
    ("verdict", "zz", "sound"), ("verdict", "ffffffff", "sound"), ("verdict", "ffff", "splendid"), ("report", "--format", "pdf"),
    ("next", "--count", "0"), ("gaps", "--top", "0"), ("verdict", "ffff", "outcome"), ("report", "--since", "soon"),
])  # fmt: skip
def test_bad_use_is_one_line(run: Run, folder: Path, ids: list[str], argv: tuple[str, ...]) -> None:
    status, _, err = run("review", *argv, "--journal", str(folder))
    assert status == 2 and len(err.splitlines()) == 1


# -- report ----------------------------------------------------------------------------------------------------------


def test_report_counts(folder: Path, ids: list[str]) -> None:
    mentor(folder, ids[0], "sound")
    mentor(folder, ids[4], "wrong", better="Pole first.")
    mentor(folder, ids[3], "outcome", outcome="stent, back in June")
    found = report(entries(folder), read_verdicts(folder))
    assert found.entries == 6 and found.volume["2026-W25", "c2"] == {"refer": 1, "answered": 1, "out_of_scope": 1}
    assert found.verdicts == {("2026-W25", "c1"): {"sound": 1}, ("2026-W25", "c2"): {"wrong": 1}}
    assert found.urgencies == {"emergency": 1, "same-day": 1} and found.outcomes == 1
    assert [each["note"] for each in found.referrals] == ["", "stent, back in June"]
    assert [each["note"] for each in found.disputed] == ["Pole first."]


def test_report_in_every_format(run: Run, folder: Path, ids: list[str]) -> None:
    mentor(folder, ids[3], "unsafe")
    here = ("--journal", str(folder))
    text, markdown, table, data = (
        run("review", "report", *form, *here)[1]
        for form in ((), ("--format", "md"), ("--format", "csv"), ("--format", "json"))
    )
    assert "2026-W25" in text and "100%" in text and "| 2026-W25 | c2 |" in markdown
    rows = list(csv.DictReader(io.StringIO(table)))
    assert {"section": "verdicts", "week": "2026-W25", "coach": "c2", "name": "unsafe", "count": "1"} in rows
    assert sum(int(row["count"]) for row in rows if row["section"] == "volume") == 6
    parsed = json.loads(data)
    assert parsed["entries"] == 6 and parsed["disagreements"][0]["verdict"] == "unsafe"
    since = ("--of", "c2", "--until", "2026-06-15", "--since", "2026-06-15")
    assert run("review", "report", *here, *since)[1].startswith("3 questions")


def test_bar_only_on_a_terminal_and_only_for_much(
    folder: Path, ids: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with progress.reading("counting", files(folder)) as tell:
        assert tell is None
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    with progress.reading("counting", files(folder)) as tell:
        assert tell is None
    monkeypatch.setattr(progress, "SMALLEST", 1)
    told: list[int] = []
    with progress.reading("counting", files(folder)) as tell:
        assert tell is not None
        report(entries(folder, None, lambda read: (told.append(read), tell(read))[1]), Verdicts())  # type: ignore[func-returns-value]
    assert sum(told) == sum(path.stat().st_size for path in files(folder)) and "counting" in capsys.readouterr().err


# -- gaps ------------------------------------------------------------------------------------------------------------


def unanswered(*texts: str) -> list[records.Record]:
    return [entry(text, status="unsure", rules=[]) for text in texts]


def test_questions_are_gathered_by_shared_words() -> None:
    asked = gaps.gather(
        [*unanswered("how wide should the wobble board be for Parkinson's", "wobble board width?", "is a wobble board ok",
                     "which shoes for deadlifts", "best shoes for a deadlift", "barefoot or shoes on deadlifts", "Wobble board width"),
         entry("fine already")], Verdicts(),
    )  # fmt: skip
    found = gaps.clusters(asked)
    assert [cluster.times for cluster in found] == [4, 3]
    assert (
        {"wobble", "board"} <= set(found[0].shared())
        and "deadlift" in found[1].shared()
        and any(word.startswith("shoe") for word in found[1].shared())
    )


def test_the_mentor_decides_what_is_a_gap() -> None:
    amended, approved = entry("amended one"), entry("approved one", status="unsure")
    verdicts = Verdicts()
    for record, verdict in ((amended, "amend"), (approved, "sound")):
        verdicts.add(
            {"entry": record["id"], "verdict": verdict, "time": record["time"], "better": "do so", "outcome": ""}
        )
    found = gaps.gather([amended, approved, entry("off", status="out_of_scope")], verdicts)
    assert [(each.example, each.better) for each in found] == [("amended one", "do so")]
    assert len(gaps.gather([entry("off topic", status="out_of_scope")], verdicts, out_of_scope=True)) == 1


def test_gaps_stay_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gaps, "KEEP", 50)
    many = (each for n in range(500) for each in unanswered(f"odd {n} thing{n}", "common wobble board"))
    found = gaps.gather(many, Verdicts())
    assert len(found) == 50 and found[0].times == 500


def test_skeleton_is_an_entry_that_loads_once_edited(run: Run, folder: Path, tmp_path: Path) -> None:
    store = journals.store(folder)
    for text in (
        "wobble board under the split squat pad?",
        "split squat on a wobble board",
        'wobble board "soft" for split squats',
    ):
        ident = store.append(entry(text, status="unsure", rules=[]))
    mentor(folder, ident, "amend", better="Leave the board out: a firm floor, one pole in the opposite hand.")
    out = tmp_path / "house"
    printed = run("review", "gaps", "--journal", str(folder))[1]
    assert "asked 3 times (amend 1, unsure 2)" in printed and "---" not in printed
    assert run("review", "gaps", "--journal", str(folder), "--out", str(out))[0] == 0
    (path,) = out.iterdir()
    data = yaml.safe_load(path.read_text())
    made = data["entries"][0]
    assert (
        made["movements"] == ["split-squat"]
        and made["say"].startswith("Leave the board out")
        and len(made["asks"]) == 3
    )
    path.write_text(path.read_text().replace("TODO at most 18 words", "A soft base adds wobble, not strength."))
    small = tmp_path / "small"
    for part in ("language", "ladders", "movements/split-squat.yaml", "sources.yaml"):
        source, goal = shipped_root() / part, small / part
        goal.parent.mkdir(parents=True, exist_ok=True)
        shutil.copytree(source, goal) if source.is_dir() else shutil.copy(source, goal)
    known, faults = load_with_faults([small, out])
    assert made["id"] in known.knowledge.entries
    assert not [fault for fault in faults if made["id"] in str(fault) or path.name in fault.file]
    assert run("review", "gaps", "--journal", str(folder), "--out", str(out))[1].count("kept as it is") == 1


# -- replay ----------------------------------------------------------------------------------------------------------


def replayed(folder: Path, assistant: Assistant) -> list[tuple[str, tuple[str, ...]]]:
    sources = assistant.rulebase.knowledge.sources
    again = Replay(assistant, lambda answer: plain(answer, sources), lambda digest: manifest.read(folder, digest))
    return [(moved.record["question"], moved.reasons) for moved in again.changed(entries(folder))]


def edited(rulebase: Rulebase, **change: object) -> Rulebase:
    return dataclasses.replace(
        rulebase, knowledge=dataclasses.replace(rulebase.knowledge, digest="sha256:new", **change)
    )  # type: ignore[arg-type]


@pytest.fixture
def logged(run: Run, folder: Path) -> str:
    """A logged question; gives the id of the rule it was answered by."""
    run(
        "ask",
        "--journal",
        str(folder),
        "pole is in the same hand as the front foot, split squat is wobbly, move it where",
    )
    run(
        "ask",
        "--json",
        "--follow",
        "-",
        "--journal",
        str(folder),
        typed="hip hikes on step ups, client Margaret\nand then?\n",
    )
    return str(next(entries(folder))["rules"][0])


def test_nothing_changed_shows_nothing(folder: Path, logged: str, assistant: Assistant) -> None:
    assert replayed(folder, assistant) == []


def test_changed_and_removed_rules_are_named(folder: Path, logged: str, rulebase: Rulebase) -> None:
    kept = dict(rulebase.knowledge.entries)
    new = {**kept, logged: dataclasses.replace(kept[logged], say="Put the pole in the far hand.")}
    ((question, reasons),) = replayed(folder, Assistant(edited(rulebase, entries=new)))
    assert question.startswith("pole is in the same hand") and f"rule changed: {logged}" in reasons


def test_added_rules_are_named(folder: Path, logged: str, assistant: Assistant, rulebase: Rulebase) -> None:
    (path,) = folder.glob("rules-*.json")
    prints = json.loads(path.read_text())
    path.write_text(json.dumps({name: value for name, value in prints.items() if name != logged}))
    store = journals.store(folder, "c9")
    store.append({**next(entries(folder)), "id": records.new_id(), "rules": ["long-gone"], "answer": "old words"})
    found = replayed(folder, assistant)
    assert len(found) == 1 and {"rule removed: long-gone", f"rule added: {logged}"} <= set(found[0][1])


def test_lost_fingerprints_and_older_programs_are_said(folder: Path, logged: str, assistant: Assistant) -> None:
    first = next(entries(folder))
    store = journals.store(folder, "c9")
    store.append({**first, "id": records.new_id(), "answer": "old", "knowledge": "sha256:lost"})
    store.append({**first, "id": records.new_id(), "answer": "old", "version": "0.0.1"})
    reasons = [why for _, found in replayed(folder, assistant) for why in found]
    assert any("not kept" in why for why in reasons) and any("0.0.1" in why for why in reasons)


def test_replay_command(run: Run, folder: Path, logged: str) -> None:
    store = journals.store(folder, "c9")
    store.append({**next(entries(folder)), "id": records.new_id(), "answer": "old words", "rules": ["long-gone"]})
    here = ("--journal", str(folder))
    status, out, _ = run("review", "replay", "--full", *here)
    assert (
        status == 0 and "1 of 4 answers changed" in out and "rule removed: long-gone" in out and "-   old words" in out
    )
    assert json.loads(run("review", "replay", "--json", *here)[1])["was"]["rules"] == ["long-gone"]


def test_worklist_keeps_its_order_in_any_number_and_takes_copies(folder: Path) -> None:
    """The same as sorting everything, however few are wanted; two copies of one entry are no trouble."""
    chance = random.Random(3)
    every = [
        entry(
            f"q {n}", now=journals.NOON + datetime.timedelta(minutes=chance.randrange(40)), score=chance.choice([3.0, 9.0]),
            status=chance.choice(["answered", "answered", "refer", "unsure", "out_of_scope"]),
        )
        for n in range(300)
    ]  # fmt: skip
    every += every[:40]
    whole = sorted(enumerate(every), key=lambda each: (rank(each[1]), each[1]["time"]))
    for most in (1, 7, 120, 340, 500):
        found = next_up(every, Verdicts(), most)
        assert len(found) == min(most, 340)
        assert [rank(each) for each in found] == [rank(each) for _, each in whole][:most]
        for one, two in itertools.pairwise(found):
            assert rank(one) < rank(two) or (rank(one) == rank(two) and one["time"] >= two["time"])
        newest = max(each["time"] for each in every if rank(each) == rank(found[0]))
        assert found[0]["time"] == newest
