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
    "chat": "the conversation (also: rungbook alone)",
    "ask": "one question, one answer",
    "ladder": "a movement's ladder, and the way from rung to rung",
    "session": "a balanced session for one client or a class, built from the ladders",
    "client": "coded client cards: results, rungs, history",
    "log": "look at the journal, take it out, check it, remove from it",
    "review": "the mentor's work: verdicts, report, gaps, replay",
    "drill": "staff training on reviewed questions",
    "knowledge": "check, list and show the knowledge",
    "completion": "completion script for bash, zsh or fish",
}
EXAMPLES = {
    "chat": "rungbook chat --client a12",
    "ask": 'rungbook ask "hip hikes on an 8 inch step, how do I make step-ups easier?"',
    "ladder": "rungbook ladder step-up --condition hip-replacement",
    "session": "rungbook session --client a12 --goal stairs --minutes 45",
    "client": "rungbook client add a12 --age 72 --sex f --condition hip-replacement:left:2024-11",
    "log": "rungbook log list --since 7",
    "review": "rungbook review report",
    "drill": "rungbook drill --coach k7",
    "knowledge": "rungbook knowledge check",
    "completion": "rungbook completion bash > ~/.local/share/bash-completion/completions/rungbook",
}
WITH_VALUE = ("--knowledge", "--journal", "--coach", "--client")
MANY_CLIENTS = ("session",)
FLAGS = ("--no-log", "--plain", "--version", "--help", "-h")
ABOUT = "Which version of a movement fits this person today: cited, safe, on the spot."


def parser_for(name: str) -> argparse.ArgumentParser:
    """The parser of one command; only that command is imported."""
    import argparse
    import importlib

    from assistant.commands.parsing import Parser

    parser = Parser(
        prog=f"rungbook {name}", description=COMMANDS[name], formatter_class=argparse.RawDescriptionHelpFormatter
    )
    group = parser.add_argument_group("common options")
    group.add_argument(
        "--knowledge", action="append", metavar="DIR", help="house rules laid over the shipped ones (repeatable)"
    )
    group.add_argument("--journal", metavar="DIR", help="folder of the journal")
    group.add_argument("--coach", metavar="CODE", help="the coach's code")
    many = name in MANY_CLIENTS
    group.add_argument(
        "--client", metavar="CODE", action="append" if many else "store",
        help="a client's code (repeatable)" if many else "the client's code",
    )  # fmt: skip
    group.add_argument("--no-log", action="store_true", help="do not write this question to the journal")
    module = importlib.import_module(f"assistant.commands.{name}")
    module.arguments(parser)
    parser.set_defaults(run=module.run, command=name, commands=COMMANDS, parser_for=parser_for)
    return parser


def overview() -> str:
    """What `rungbook --help` prints: every command with its example, no command imported."""
    width = max(map(len, COMMANDS))
    lines = ["usage: rungbook [COMMAND] [OPTIONS]", "", ABOUT, "", "commands:"]
    for name, text in COMMANDS.items():
        lines += [f"  {name.ljust(width)}  {text}", f"  {' ' * width}  {EXAMPLES.get(name, f'rungbook {name} --help')}"]
    return "\n".join(
        [
            *lines, "", "common options: --knowledge DIR  --journal DIR  --coach CODE  --client CODE  --no-log",
            "                --version  --help", "", "`rungbook COMMAND --help` tells more.",
        ]
    )  # fmt: skip


def split(argv: Sequence[str]) -> tuple[str, list[str]]:
    """The command's name (empty when none is given) and its arguments; common options may stand before the name.

    Raises InputError for another option in front of it.
    """
    before: list[str] = []
    rest = list(argv)
    while rest:
        word = rest.pop(0)
        if not word.startswith("-"):
            return word, before + rest
        before.append(word)
        if word.partition("=")[0] not in (*WITH_VALUE, *FLAGS):
            raise _no_option(word)
        if word in WITH_VALUE and rest:
            before.append(rest.pop(0))
    return "", before


def _no_option(word: str) -> InputError:
    from assistant.commands.nearest import nearest

    like = nearest(word.partition("=")[0], [*WITH_VALUE, *FLAGS])
    return InputError(f"no option {word[:40]!r}", fix=f"did you mean {like}?" if like else "see `rungbook --help`")


def _unknown(name: str) -> InputError:
    from assistant.commands.nearest import nearest

    if " " in name.strip():
        return InputError("a question needs the command `ask` before it", fix=f'rungbook ask "{name[:60]}"')
    like = nearest(name, COMMANDS)
    hint = f"did you mean `rungbook {like}`?" if like else "`rungbook --help` lists the commands"
    return InputError(f"no command {name[:40]!r}", fix=hint)


def _run(argv: Sequence[str]) -> int:
    name, rest = split(argv)
    if not name and any(word in ("-h", "--help") for word in rest):
        print(overview())
        return 0
    if rest == ["--version"] or (not name and "--version" in rest):
        print(f"rungbook {__version__}")
        return 0
    name = name or "chat"
    if name not in COMMANDS:
        raise _unknown(name)
    args = parser_for(name).parse_args(rest)
    code: int = args.run(args)
    sys.stdout.flush()
    return code


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    try:
        return _run(sys.argv[1:] if argv is None else argv)
    except InputError as error:
        text = str(error)
        print(text if text.startswith("rungbook ") else f"rungbook: {text}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
