"""The argument parser of every command: one line on bad use, with the nearest option or choice."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator, Sequence
from typing import Any, NoReturn

from assistant.commands.nearest import nearest
from assistant.errors import InputError

_CHOICE = re.compile(r"argument (\S+): invalid choice: '(.*?)' \(choose from (.*)\)")

_LACKING = re.compile(r"the following arguments are required: (.*)")


class Parser(argparse.ArgumentParser):
    """An ArgumentParser that raises InputError in place of printing its usage and leaving."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"allow_abbrev": False, **kwargs})
        self._positionals.title = "what to give"
        for action in self._actions:
            if isinstance(action, argparse._HelpAction):
                action.help = "this help"

    def error(self, message: str) -> NoReturn:
        """Bad use as InputError, with a suggestion where there is one."""
        choice = _CHOICE.search(message)
        if choice:
            known = re.findall(r"[\w-]+", choice[3])
            like = nearest(choice[2], known)
            hint = f"did you mean {like!r}?" if like else f"one of {', '.join(known)}"
            raise InputError(f"{choice[1]} cannot be {choice[2]!r}", self.prog, hint)
        lacking = _LACKING.match(message)
        if lacking:
            message = f"{lacking[1].replace(', ', ' and ')} missing"
            below = [name for name, _ in actions_below(self)]
            if below:
                raise InputError(message, self.prog, f"one of {', '.join(below)}")
        raise InputError(message, self.prog, f"`{self.prog} --help` shows an example")

    def parse_args(self, args: Sequence[str] | None = None, namespace: Any = None) -> Any:  # type: ignore[override]
        """Parse; what is left over is named with the option nearest to it. Raises InputError."""
        found, left = self.parse_known_args(args, namespace)
        if not left:
            return found
        word = left[0].partition("=")[0]
        if not word.startswith("-"):
            raise InputError(f"what is {word[:40]!r} for?", self.prog, f"`{self.prog} --help` shows an example")
        like = nearest(word, options(self))
        hint = f"did you mean {like}?" if like else f"`{self.prog} --help` lists the options"
        raise InputError(f"no option {word[:40]!r}", self.prog, hint)


def options(parser: argparse.ArgumentParser) -> list[str]:
    """Every long option of a parser and of the parsers below it."""
    found = [name for action in parser._actions for name in action.option_strings if name.startswith("--")]
    for _, below in actions_below(parser):
        found += options(below)
    return list(dict.fromkeys(found))


def actions_below(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    """The sub-commands of a parser by name."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices.items()
