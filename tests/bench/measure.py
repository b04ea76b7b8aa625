"""What the measurements share: questions, processes measured one by one, percentiles, tables."""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from assistant.rulebase.loading import load, shipped_root

ROOT = Path(__file__).resolve().parents[2]


def questions(path: str = "", most: int = 1000) -> list[str]:
    """Questions of a text file, one a line; without one an even choice of the example questions of the knowledge."""
    if path:
        return [line.strip() for line in Path(path).read_text("utf-8").splitlines() if line.strip()]
    knowledge = load([shipped_root()])[0].knowledge
    asks = [ask for held in (knowledge.entries, knowledge.flags) for item in held.values() for ask in item.asks]
    return asks[:: max(1, len(asks) // most)]


def environment(folder: Path) -> dict[str, str]:
    """An environment whose caches lie in `folder`; byte code is kept there for every package, as an installation keeps it."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {
        "PYTHONPYCACHEPREFIX": str(folder / "bytecode"), "XDG_CACHE_HOME": str(folder / "cache"),
        "XDG_STATE_HOME": str(folder / "state"), "XDG_DATA_HOME": str(folder / "data"), "PYTHONPATH": str(ROOT),
    }  # fmt: skip


def processes(commands: Mapping[str, Sequence[str]], runs: int) -> dict[str, tuple[float, float]]:
    """Median wall and processor time in ms of each command, run in turn so that all meet the same load."""
    wall: dict[str, list[float]] = {name: [] for name in commands}
    used: dict[str, list[float]] = {name: [] for name in commands}
    nowhere = os.open(os.devnull, os.O_RDWR)
    quiet = [(os.POSIX_SPAWN_DUP2, nowhere, stream) for stream in (0, 1, 2)]
    with tempfile.TemporaryDirectory() as folder:
        env = environment(Path(folder))
        for run in range(runs + 2):  # the first two fill the caches
            for name, arguments in commands.items():
                began = time.perf_counter()
                child = os.posix_spawn(sys.executable, [sys.executable, *arguments], env, file_actions=quiet)
                _, status, usage = os.wait4(child, 0)
                if status:
                    raise RuntimeError(f"{name} failed: {' '.join(arguments)}")
                if run > 1:
                    wall[name].append((time.perf_counter() - began) * 1000)
                    used[name].append((usage.ru_utime + usage.ru_stime) * 1000)
    os.close(nowhere)
    return {name: (statistics.median(wall[name]), statistics.median(used[name])) for name in commands}


def percentile(values: Sequence[float], share: float) -> float:
    """The value below which this share of the values lies."""
    ranked = sorted(values)
    return ranked[min(len(ranked) - 1, int(share * len(ranked)))]


def row(*cells: str) -> None:
    """Print one line of a table."""
    print("| " + " | ".join(cells) + " |", flush=True)
