"""`rungbook completion`: a completion script for bash, zsh or fish, made from the commands' own declarations."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from assistant.commands.common import load
from assistant.commands.parsing import actions_below, options
from assistant.rulebase.model import Knowledge

_SUBJECTS = {"movement": "movement", "condition": "condition", "without": "equipment"}
_FOLDERS = ("--knowledge", "--journal")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = (
        "examples:\n  rungbook completion bash > ~/.local/share/bash-completion/completions/rungbook\n"
        "  rungbook completion zsh > ~/.zfunc/_rungbook\n"
        "  rungbook completion fish > ~/.config/fish/completions/rungbook.fish"
    )
    parser.add_argument("shell", choices=["bash", "zsh", "fish"], help="the shell")


@dataclass(frozen=True)
class Offer:
    """What one command offers: its help, its options, its words, and words for the value of an option."""

    name: str
    text: str
    options: tuple[str, ...]
    words: tuple[str, ...]
    values: tuple[tuple[str, tuple[str, ...]], ...]


def run(args: argparse.Namespace) -> int:
    """Print the script; exit code 0."""
    knowledge = load(args).knowledge
    build: Callable[[str], argparse.ArgumentParser] = args.parser_for
    commands: Mapping[str, str] = args.commands
    offers = [offer(name, text, build(name), knowledge) for name, text in commands.items()]
    print({"bash": bash, "zsh": zsh, "fish": fish}[args.shell](offers))
    return 0


def offer(name: str, text: str, parser: argparse.ArgumentParser, knowledge: Knowledge) -> Offer:
    """What a command's own declaration offers for completion."""
    words = [word for word, _ in actions_below(parser)]
    values: list[tuple[str, tuple[str, ...]]] = []
    for action in parser._actions:
        kind = _SUBJECTS.get(action.dest, "")
        known = [s.id for s in knowledge.subjects.values() if s.kind == kind] if kind else list(action.choices or ())
        if not action.option_strings:
            words += [str(each) for each in known]
        elif known:
            values.append((action.option_strings[0], tuple(map(str, known))))
    return Offer(name, text, tuple(options(parser)), tuple(dict.fromkeys(words)), tuple(values))


def bash(offers: list[Offer]) -> str:
    """For bash 3.2 and later."""
    names = " ".join(each.name for each in offers)
    cases = "\n".join(
        f'    {each.name}) words="{" ".join((*each.words, *each.options))}"\n{_bash_values(each)}      ;;'
        for each in offers
    )
    return f"""_rungbook() {{
  local cur prev command word words
  cur="${{COMP_WORDS[COMP_CWORD]}}"
  prev="${{COMP_WORDS[COMP_CWORD-1]}}"
  command=""
  for word in "${{COMP_WORDS[@]:1:COMP_CWORD-1}}"; do
    case "$word" in {names.replace(" ", "|")}) command="$word"; break ;; esac
  done
  case "$prev" in {"|".join(_FOLDERS)}) COMPREPLY=($(compgen -d -- "$cur")); return ;; esac
  case "$command" in
    "") words="{names} --help --version" ;;
{cases}
  esac
  COMPREPLY=($(compgen -W "$words" -- "$cur"))
}}
complete -F _rungbook rungbook"""


def _bash_values(each: Offer) -> str:
    return "".join(
        f'      case "$prev" in {option}) words="{" ".join(words)}" ;; esac\n' for option, words in each.values
    )


def zsh(offers: list[Offer]) -> str:
    """For zsh's compsys; also works when sourced."""
    names = "\n".join(f"    {_quoted(f'{each.name}:{each.text}')}" for each in offers)
    cases = "\n".join(
        f"    {each.name})\n{_zsh_values(each)}      compadd -- {' '.join((*each.words, *each.options))}\n      ;;"
        for each in offers
    )
    return f"""#compdef rungbook
_rungbook() {{
  local -a names
  local command="" word previous="${{words[CURRENT-1]}}"
  names=(
{names}
  )
  for word in "${{(@)words[2,CURRENT-1]}}"; do
    case "$word" in {"|".join(each.name for each in offers)}) command="$word"; break ;; esac
  done
  case "$previous" in {"|".join(_FOLDERS)}) _files -/; return ;; esac
  case "$command" in
    "") _describe command names; compadd -- --help --version ;;
{cases}
  esac
}}
if [[ "${{funcstack[1]}}" = _rungbook ]]; then _rungbook "$@"; else compdef _rungbook rungbook; fi"""


def _zsh_values(each: Offer) -> str:
    return "".join(
        f'      if [[ "$previous" = {option} ]]; then compadd -- {" ".join(words)}; return; fi\n'
        for option, words in each.values
    )


def fish(offers: list[Offer]) -> str:
    """For fish 3 and later."""
    lines = ["complete -c rungbook -f"]
    for each in offers:
        lines.append(f"complete -c rungbook -n __fish_use_subcommand -a {each.name} -d {_quoted(each.text)}")
        seen = f"-n '__fish_seen_subcommand_from {each.name}'"
        if each.words:
            lines.append(f"complete -c rungbook {seen} -a {_quoted(' '.join(each.words))}")
        valued = dict(each.values)
        for option in each.options:
            more = f" -x -a {_quoted(' '.join(valued[option]))}" if option in valued else ""
            folder = " -r -F" if option in _FOLDERS else ""
            lines.append(f"complete -c rungbook {seen} -l {option[2:]}{more}{folder}")
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"
