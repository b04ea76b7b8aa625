"""The demo dialogues can never go stale: each is replayed and compared."""

from __future__ import annotations

from pathlib import Path

import pytest
import transcripts

from assistant.conversation import Assistant
from assistant.rendering.plain import plain


def test_there_are_five_to_eight() -> None:
    assert 5 <= len(transcripts.files()) <= 8


@pytest.mark.parametrize("path", transcripts.files(), ids=lambda path: path.stem)
def test_replayed(assistant: Assistant, path: Path, tmp_path: Path) -> None:
    def answered(question: str, follow: bool) -> str:
        return plain(assistant.ask(question, follow=follow), assistant.rulebase.knowledge.sources)

    with transcripts.own_folder(tmp_path):
        made = transcripts.replayed(path.read_text("utf-8"), answered, transcripts.run)
    assert made == path.read_text("utf-8")
