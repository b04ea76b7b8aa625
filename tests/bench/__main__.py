"""`python -m tests.bench [QUESTIONS]`: all measurements; QUESTIONS is a text file with one question a line."""

from __future__ import annotations

import datetime
import importlib
import platform
import sys

from tests.bench import growth, latency, startup


def main(path: str = "") -> None:
    """Run them one after the other."""
    print(f"{datetime.date.today()}, Python {platform.python_version()}, {platform.system()} {platform.machine()}\n")
    startup.main(path)
    print()
    latency.main(path)
    print()
    growth.main()
    try:
        peers = importlib.import_module("tests.bench.retrieval")
    except ImportError as error:
        print(f"\nno comparison with plain retrieval: {error}")
        return
    print()
    peers.main()


if __name__ == "__main__":
    main(*sys.argv[1:2])
