"""Commands with actions below them: each action has its own help and example, and takes the common options too."""

from __future__ import annotations

import argparse
import copy
from collections.abc import Callable

Run = Callable[[argparse.Namespace], int]


class Actions:
    """The actions below one command's parser."""

    def __init__(self, parser: argparse.ArgumentParser, required: bool = True) -> None:
        self._common = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
        group = self._common.add_argument_group("common options")
        for action in parser._actions:
            if action.option_strings and not isinstance(action, argparse._HelpAction):
                same = copy.copy(action)
                same.default = argparse.SUPPRESS
                group._add_action(same)
        self._below = parser.add_subparsers(dest="action", metavar="ACTION", required=required)

    def add(self, name: str, run: Run, about: str, example: str) -> argparse.ArgumentParser:
        """A parser for one action."""
        below = self._below.add_parser(
            name, help=about, description=about, epilog=f"example: {example}", parents=[self._common],
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )  # fmt: skip
        below.set_defaults(act=run)
        return below
