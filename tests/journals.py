"""What the journal's tests share: a command run in this process, and records made without the knowledge."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from assistant import cli
from assistant.journal import record as records
from assistant.journal.store import Store
from assistant.rulebase import loading
from assistant.rulebase.loading import Rulebase

NOON = datetime.datetime(2026, 6, 15, 12, 0, tzinfo=datetime.timezone(datetime.timedelta(hours=1)))
Run = Callable[..., tuple[int, str, str]]


def runner(rulebase: Rulebase, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """`rungbook` with the rulebase of the session; gives (exit code, stdout, stderr). `typed` is standard input."""
    monkeypatch.setattr(loading, "load", lambda roots: (rulebase, []))

    def run(*argv: str, typed: str = "") -> tuple[int, str, str]:
        import io
        import sys

        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(typed.encode()), "utf-8"))
        code = cli.main(list(argv))
        out, err = capsys.readouterr()
        return code, out, err

    return run


def entry(question: str = "hip hikes on step ups", **more: Any) -> records.Record:
    """An entry as the journal keeps it."""
    record = {
        **records.head(records.ENTRY, more.pop("now", NOON), more.pop("coach", "c1")), "client": "", "conversation": "ab" * 8,
        "turn": 0, "question": question, "status": "answered", "urgency": None, "score": 9.0, "rules": ["step-up-hip-hikes"],
        "figures": [], "answer": "Lower the step.", "knowledge": "sha256:0",
        "understood": {"intent": "regress", "movements": ["step-up"], "conditions": [], "equipment": [], "facts": {}, "carried": []},
    }  # fmt: skip
    return {**record, **more}


def store(folder: Path, coach: str = "c1", kind: str = records.ENTRY) -> Store:
    """A store whose machine is m1."""
    return Store(folder, coach, "m1", kind, now=lambda: NOON)
