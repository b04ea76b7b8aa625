"""What several commands need: the knowledge as asked for on the command line."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.errors import InputError
from assistant.rulebase import loading
from assistant.rulebase.loading import Rulebase, shipped_root

PATIENCE_SECONDS = 1.0


def knowledge_roots(args: argparse.Namespace) -> list[Path]:
    """The shipped folder first, then --knowledge folders or those of RUNGBOOK_KNOWLEDGE."""
    extra = args.knowledge or [p for p in os.environ.get("RUNGBOOK_KNOWLEDGE", "").split(os.pathsep) if p]
    return [shipped_root(), *(Path(p) for p in extra)]


@contextmanager
def patience(what: str) -> Iterator[None]:
    """On a terminal, say what is being waited for once it takes more than a second."""
    if not sys.stderr.isatty():
        yield
        return
    import threading

    timer = threading.Timer(PATIENCE_SECONDS, lambda: print(f"rungbook: {what} ...", file=sys.stderr, flush=True))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def load(args: argparse.Namespace) -> Rulebase:
    """Load the knowledge; the first fault ends in InputError."""
    with patience("reading the knowledge, about ten seconds after it has changed"):
        rulebase, faults = loading.load(knowledge_roots(args))
    if faults:
        raise InputError(
            str(faults[0]) + (f" ({len(faults) - 1} more: rungbook knowledge check)" if len(faults) > 1 else "")
        )
    return rulebase
