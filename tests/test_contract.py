"""The shapes others rely on: command line, JSON, exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

KEYS = {
    "question", "status", "urgency", "intent", "movements", "conditions", "equipment", "carried", "facts", "text", "points",
    "computed", "sources", "knowledge", "elapsed_ms",
}  # fmt: skip
EVIDENCE = {
    "guideline", "standard", "handbook", "position-stand", "review", "trial", "cohort", "cross-sectional", "common-practice",
}  # fmt: skip


def _run(*args: str, stdin: str = "", cwd: Path | None = None, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "assistant", *args], input=stdin, capture_output=True, text=True, check=False, cwd=cwd,
        env={**os.environ, **env},
    )  # fmt: skip


def _objects(text: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in text.splitlines()]


def test_batch_gives_one_object_a_line_in_order() -> None:
    questions = [
        "step-ups easier on an 8 inch step",
        "went grey and sweaty on set 2",
        "which router should I buy",
        "how often should a 70 year old lift",
    ]
    run = _run("ask", "--json", "--no-log", "-", stdin="\n".join(questions) + "\n")
    found = _objects(run.stdout)
    assert run.returncode == 0 and [o["question"] for o in found] == questions
    assert [o["status"] for o in found] == ["answered", "refer", "out_of_scope", "answered"]
    for each in found:
        assert set(each) == KEYS
        assert each["text"] and each["knowledge"].startswith("sha256:")
        for point in each["points"]:
            assert set(point) == {"rule", "kind", "text", "why", "sources", "evidence"}
            assert point["sources"] and set(point["sources"]) <= set(each["sources"])
            assert point["evidence"] in EVIDENCE
        for figure in each["computed"]:
            assert figure["sources"] and set(figure["sources"]) <= set(each["sources"])
    assert found[1]["urgency"] == "emergency" and found[0]["urgency"] is None


def test_follow_is_one_conversation_until_a_blank_line() -> None:
    lines = "step-ups on an 8 inch step, she hikes her hip, easier?\nwhy?\n\nwhy?\n"
    found = _objects(_run("ask", "--json", "--follow", "--no-log", "-", stdin=lines).stdout)
    assert len(found) == 3
    assert (
        found[1]["movements"] == ["step-up"] and found[1]["carried"] == ["step-up"] and found[1]["intent"] == "explain"
    )
    assert found[2]["movements"] == []


@pytest.mark.parametrize(("question", "code"), [
    ("how do I make step-ups easier", 0), ("crushing chest pain on the stairs just now", 0),
    ("which router should I buy for the studio wifi", 3),
])  # fmt: skip
def test_exit_codes_of_a_single_question(question: str, code: int) -> None:
    assert _run("ask", "--no-log", question).returncode == code


def test_bad_use_is_exit_2_and_one_line() -> None:
    run = _run("ask", "--no-log", "   ")
    assert run.returncode == 2 and run.stdout == "" and "Traceback" not in run.stderr


def test_works_from_any_folder_and_piped_text_is_plain(tmp_path: Path) -> None:
    run = _run("ask", "--no-log", "how high a ramp under the rear foot in reverse lunges", cwd=tmp_path)
    assert run.returncode == 0 and "\x1b" not in run.stdout and "Sources:" in run.stdout


def test_same_question_same_answer() -> None:
    first, second = (
        _objects(_run("ask", "--json", "--no-log", "squats with bad knees, cautions").stdout)[0] for _ in range(2)
    )
    assert {k: v for k, v in first.items() if k != "elapsed_ms"} == {
        k: v for k, v in second.items() if k != "elapsed_ms"
    }


@pytest.mark.parametrize("question", [
    "\x1b]8;;http://x\x07click\x1b]8;;\x07 squats \x1b[31mred\x1b[0m easier", "squats \u202eeasier\u202c please",
    "[bold]squats[/bold] easier", "squats\u0000easier", "sq\u0301\u0301\u0301\u0301\u0301uats easier", "squats easier " * 3000,
    "🏋️ squats easier 🙏", "?!?!", "приседания", "a" * 100_000,
])  # fmt: skip
def test_hostile_questions_come_out_clean(question: str) -> None:
    run = _run("ask", "--json", "--no-log", "-", stdin=question.replace("\n", " ") + "\n")
    (found,) = _objects(run.stdout)
    text = found["question"] + found["text"]
    assert not any((ord(c) < 32 and c != "\n") or ord(c) == 0x1B or "\u202a" <= c <= "\u202e" for c in text)
    assert found["elapsed_ms"] < 2000
