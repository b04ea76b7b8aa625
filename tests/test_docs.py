"""The documents cannot lie: pasted answers are what a run prints, and CI runs the README's test command."""

from __future__ import annotations

from pathlib import Path

import docs
import pytest

from assistant.conversation import Assistant
from assistant.rendering.plain import plain

ROOT = Path(docs.README).parent
TEST_COMMAND = "python3 -m venv .venv && .venv/bin/pip install -q '.[test]' && .venv/bin/pytest"


@pytest.mark.parametrize(("question", "pasted"), docs.blocks())
def test_pasted_answers_are_real(assistant: Assistant, question: str, pasted: str) -> None:
    answer = assistant.ask(question)
    assert plain(answer, assistant.rulebase.knowledge.sources) == pasted.strip()


def test_ci_runs_the_readme_test_command() -> None:
    assert TEST_COMMAND in docs.README.read_text("utf-8")
    assert TEST_COMMAND in (ROOT / ".ci" / "run").read_text("utf-8")


def test_top_level_holds_only_what_the_design_names() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "assistant", "knowledge", "tests", "transcripts_demo"}
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - {
        "build",
        "dist",
        "rungbook.egg-info",
    }
    assert seen <= allowed, seen - allowed
