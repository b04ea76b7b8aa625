"""A progress bar for slow work: on a terminal only, on standard error, in numbers too."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands.display import is_dumb
from assistant.journal.reading import size

if TYPE_CHECKING:
    from rich.progress import ProgressColumn

Tell = Callable[[int], None]
SMALLEST = 8 << 20  # bytes that are read before anyone would look for a bar
FEWEST = 100  # questions that are answered before anyone would


@contextmanager
def reading(what: str, paths: list[Path]) -> Iterator[Tell | None]:
    """Gives what is to be told of every further byte read; None when nobody is watching or it is soon done."""
    total = size(paths)
    if total < SMALLEST or not _watched():
        yield None
        return
    from rich.progress import DownloadColumn

    with _bar(what, total, DownloadColumn()) as tell:
        yield tell


@contextmanager
def counting(what: str, total: int) -> Iterator[Tell | None]:
    """Gives what is to be told of every further thing done; None when nobody is watching or it is soon done."""
    if total < FEWEST or not _watched():
        yield None
        return
    from rich.progress import MofNCompleteColumn

    with _bar(what, total, MofNCompleteColumn()) as tell:
        yield tell


def _watched() -> bool:
    return sys.stderr.isatty() and not is_dumb()


@contextmanager
def _bar(what: str, total: int, done: ProgressColumn) -> Iterator[Tell]:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), done, TimeRemainingColumn())
    # Lines printed meanwhile go above the bar on a terminal; into a file or a pipe they go past it.
    here = sys.stdout.isatty()
    with Progress(*columns, console=Console(stderr=True), transient=True, redirect_stdout=here) as bar:
        task = bar.add_task(what, total=total)
        yield lambda more: bar.update(task, advance=more)
