"""How long a warm answer takes, and how much memory the process holds after answering them all."""

from __future__ import annotations

import gc
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from assistant.conversation import Assistant
from assistant.rulebase.loading import load, shipped_root
from tests.bench.measure import ROOT, environment, percentile, questions, row


def measured(path: str) -> None:
    """Print the table; in a process of its own, so that the memory is that of answering."""
    began = time.perf_counter()
    assistant = Assistant(load([shipped_root()])[0])
    opened = (time.perf_counter() - began) * 1000
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    asked = questions(path)
    for question in asked:
        assistant.ask(question)
    gc.collect()
    wall, used = [], []
    for question in asked:
        start, processor = time.perf_counter(), time.process_time()
        assistant.ask(question)
        wall.append((time.perf_counter() - start) * 1000)
        used.append((time.process_time() - processor) * 1000)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    row(f"a warm answer, {len(asked)} questions", "wall ms", "processor ms", "goal")
    row("---", "---:", "---:", "---:")
    for name, of, goal in (
        ("median", statistics.median, "2"),
        ("90th percentile", 0.9, ""),
        ("99th percentile", 0.99, "10"),
    ):
        take = of if callable(of) else lambda values, share=of: percentile(values, share)  # type: ignore[misc]
        row(name, f"{take(wall):.2f}", f"{take(used):.2f}", goal)
    row("opening the compiled knowledge", f"{opened:.1f}", "", "")
    row("memory at the start and at the peak, MiB", f"{before:.0f} and {peak:.0f}", "", "60")


def main(path: str = "") -> None:
    """Measure in a fresh process whose knowledge is compiled already."""
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, **environment(Path(folder))}
        warm = "import tests.bench.measure as m; m.questions()"
        subprocess.run([sys.executable, "-c", warm], check=True, env=env, cwd=ROOT)
        code = "import sys; from tests.bench.latency import measured; measured(sys.argv[1])"
        subprocess.run([sys.executable, "-c", code, str(path and Path(path).resolve())], check=True, env=env, cwd=ROOT)


if __name__ == "__main__":
    main(*sys.argv[1:2])
