"""The measurements run: invented knowledge is without fault and its questions are answered."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from assistant.conversation import Assistant
from assistant.rulebase.loading import load

growth = pytest.importorskip("tests.bench.growth", reason="run from the root of the repository")


def test_invented_knowledge_answers_its_questions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    asks = growth.write(tmp_path / "knowledge", 1, few=False)
    rulebase, faults = load([tmp_path / "knowledge"])
    assert not faults and len(rulebase.knowledge.entries) == growth.ENTRIES
    assistant = Assistant(rulebase)
    answers = [assistant.ask(ask) for ask in asks]
    assert sum(answer.status == "answered" for answer in answers) > 0.9 * len(answers)


def test_the_exponent_is_the_slope() -> None:
    assert math.isclose(growth.exponent([1, 10, 100], [3.0, 30.0, 300.0]), 1.0)
    assert math.isclose(growth.exponent([1, 10, 100], [5.0, 5.0, 5.0]), 0.0)
