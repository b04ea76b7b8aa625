"""The command `rungbook`: one line of arguments to one command; errors become exit codes here and nowhere else."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant import __version__
from assistant.errors import InputError

if TYPE_CHECKING:
    import argparse

COMMANDS = {
    "ask": "one question, one answer",
    "knowledge": "check, list and show the knowledge",
}


def _parser() -> argparse.ArgumentParser:
    import argparse
    import importlib

    common = argparse.ArgumentParser(add_help=False)
    group = common.add_argument_group("common options")
    group.add_argument(
        "--knowledge", action="append", metavar="DIR", help="house rules laid over the shipped ones (repeatable)"
    )
    group.add_argument("--journal", metavar="DIR", help="folder of the journal")
    group.add_argument("--coach", metavar="CODE", help="the coach's code")
    group.add_argument("--client", metavar="CODE", help="the client's code")
    group.add_argument("--no-log", action="store_true", help="do not write this question to the journal")
    parser = argparse.ArgumentParser(
        prog="rungbook", description="Which version of a movement fits this person today: cited, safe, on the spot."
    )
    parser.add_argument("--version", action="version", version=f"rungbook {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    for name, text in COMMANDS.items():
        module = importlib.import_module(f"assistant.commands.{name}")
        sub = commands.add_parser(
            name, help=text, parents=[common], formatter_class=argparse.RawDescriptionHelpFormatter
        )
        module.arguments(sub)
        sub.set_defaults(run=module.run)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    try:
        args = _parser().parse_args(argv)
        if not getattr(args, "run", None):
            _parser().print_help()
            return 2
        code: int = args.run(args)
        return code
    except InputError as error:
        print(f"rungbook: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
