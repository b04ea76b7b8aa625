"""A progress bar for slow reading: on a terminal only, on standard error, in numbers too."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.commands.display import is_dumb
from assistant.journal.reading import size

Tell = Callable[[int], None]
SMALLEST = 8 << 20  # bytes that are read before anyone would look for a bar


@contextmanager
def reading(what: str, paths: list[Path]) -> Iterator[Tell | None]:
    """Gives what is to be told of every further byte read; None when nobody is watching or it is soon done."""
    total = size(paths)
    if total < SMALLEST or not sys.stderr.isatty() or is_dumb():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), DownloadColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=total)
        yield lambda read: bar.update(task, advance=read)
