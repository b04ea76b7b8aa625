"""Every test gets its own home, and answers come from one shared rulebase."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import journals
import pytest
from journals import Run

from assistant.conversation import Assistant
from assistant.rulebase.loading import Rulebase, load, shipped_root
from assistant.understanding.question import Reader

TODAY = datetime.date(2026, 6, 15)


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    for name in ("HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(tmp_path))
    for name in ("RUNGBOOK_KNOWLEDGE", "RUNGBOOK_JOURNAL", "RUNGBOOK_COACH", "NO_COLOR", "CLICOLOR"):
        monkeypatch.delenv(name, raising=False)
    yield


@pytest.fixture(scope="session")
def rulebase(tmp_path_factory: pytest.TempPathFactory) -> Rulebase:
    os.environ["XDG_CACHE_HOME"] = str(tmp_path_factory.mktemp("cache"))
    found, faults = load([shipped_root()])
    assert not faults, faults[:5]
    return found


@pytest.fixture(scope="session")
def reader(rulebase: Rulebase) -> Reader:
    return Reader(rulebase, today=lambda: TODAY)


@pytest.fixture
def assistant(rulebase: Rulebase, reader: Reader) -> Assistant:
    return Assistant(rulebase, reader)


@pytest.fixture
def run(rulebase: Rulebase, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return journals.runner(rulebase, monkeypatch, capsys)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "journal"


@pytest.fixture
def golden() -> Callable[[Path, str], None]:
    """Compare a text with a kept file; RUNGBOOK_GOLDEN=write keeps it anew."""

    def compare(path: Path, text: str) -> None:
        if os.environ.get("RUNGBOOK_GOLDEN") == "write":
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, "utf-8")
        assert text == path.read_text("utf-8"), f"{path.name}: RUNGBOOK_GOLDEN=write keeps the new text"

    return compare
