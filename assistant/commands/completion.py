"""`rungbook completion`: a completion script for bash, zsh or fish, made from the commands' own declarations."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from assistant.commands.common import load
from assistant.commands.parsing import actions_below
from assistant.rulebase.model import Knowledge

_SUBJECTS = {"movement": "movement", "condition": "condition", "without": "equipment", "screen": "screen"}
_FOLDERS, _FILES, _CLIENTS = ("--knowledge", "--journal"), ("--out",), "--client"
_CARDS = "${XDG_DATA_HOME:-$HOME/.local/share}/rungbook/clients"
_GENERAL = (("--help", "this help"), ("--version", "the version"))
Described = tuple[tuple[str, str], ...]


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
    """What a command, or an action below one, offers: options and words, each with its help; for every option that takes
    a value the words for it, none where anything may be written."""

    path: str  # "review", "review report"
    text: str
    options: Described
    words: Described
    values: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def command(self) -> str:
        """The command's name."""
        return self.path.partition(" ")[0]

    @property
    def action(self) -> str:
        """The action's name, empty for the command itself."""
        return self.path.partition(" ")[2]


def run(args: argparse.Namespace) -> int:
    """Print the script; exit code 0."""
    knowledge = load(args).knowledge
    build: Callable[[str], argparse.ArgumentParser] = args.parser_for
    commands: Mapping[str, str] = args.commands
    offers = [each for name, text in commands.items() for each in offers_of(name, text, build(name), knowledge)]
    print({"bash": bash, "zsh": zsh, "fish": fish}[args.shell](offers))
    return 0


def offers_of(path: str, text: str, parser: argparse.ArgumentParser, knowledge: Knowledge) -> Iterator[Offer]:
    """What a command's own declaration offers, then what each action below it does."""
    options: list[tuple[str, str]] = []
    words: list[tuple[str, str]] = []
    values: list[tuple[str, tuple[str, ...]]] = []
    below = dict(actions_below(parser))
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            words += [(name, each.description or "") for name, each in below.items()]
            continue
        kind = _SUBJECTS.get(action.dest, "")
        known = [(s.id, s.name) for s in knowledge.subjects.values() if s.kind == kind] if kind else []
        known = known or [(str(each), "") for each in action.choices or ()]
        if not action.option_strings:
            words += known
            continue
        option = next((name for name in action.option_strings if name.startswith("--")), action.option_strings[0])
        options.append((option, str(action.help or "")))
        if action.nargs != 0:
            values.append((option, tuple(word for word, _ in known)))
    yield Offer(path, text, tuple(options), tuple(dict.fromkeys(words)), tuple(values))
    for name, each in below.items():
        yield from offers_of(f"{path} {name}", each.description or "", each, knowledge)


def _commands(offers: list[Offer]) -> list[Offer]:
    return [each for each in offers if not each.action]


def _free(offers: list[Offer]) -> list[str]:
    """Options whose value is anything."""
    every = {option for each in offers for option, words in each.values if not words}
    return sorted(every - {*_FOLDERS, *_FILES, _CLIENTS})


def _names(described: Described) -> str:
    return " ".join(name for name, _ in described)


def _place(offers: list[Offer], words: str) -> str:
    """Shell lines that find `command` and `action` among the words typed so far (bash and zsh)."""
    names = "|".join(each.path for each in _commands(offers))
    pairs = "|".join(f'"{each.path}"' for each in offers if each.action)
    return f"""  for word in {words}; do
    if [[ -z "$command" ]]; then
      case "$word" in {names}) command="$word" ;; esac
    else
      case "$command $word" in {pairs}) action="$word"; break ;; esac
    fi
  done"""


def bash(offers: list[Offer]) -> str:
    """For bash 3.2 and later."""
    values = "\n".join(
        f'    "{each.path}{" " if each.action else "  "}{option}") words="{" ".join(words)}" ;;'
        for each in offers for option, words in each.values if words
    )  # fmt: skip
    places = "\n".join(
        f'      "{each.command} {each.action}") words="{_names((*each.words, *each.options))}" ;;' for each in offers
    )
    return f"""_rungbook() {{
  local cur="${{COMP_WORDS[COMP_CWORD]}}" prev="${{COMP_WORDS[COMP_CWORD-1]}}" command="" action="" word words=""
{_place(offers, '"${COMP_WORDS[@]:1:COMP_CWORD-1}"')}
  case "$prev" in
    {"|".join(_FOLDERS)}) COMPREPLY=($(compgen -d -- "$cur")); return ;;
    {"|".join(_FILES)}) COMPREPLY=($(compgen -f -- "$cur")); return ;;
    {_CLIENTS}) words="$(cd "{_CARDS}" 2>/dev/null && for word in *.json; do case "$word" in *.before.json|"*.json") ;; *) printf '%s ' "${{word%.json}}" ;; esac; done)"
      COMPREPLY=($(compgen -W "$words" -- "$cur")); return ;;
    {"|".join(_free(offers))}) return ;;
  esac
  case "$command $action $prev" in
{values}
    *) case "$command $action" in
      " ") words="{" ".join(each.path for each in _commands(offers))} {_names(_GENERAL)}" ;;
{places}
      esac ;;
  esac
  COMPREPLY=($(compgen -W "$words" -- "$cur"))
}}
complete -F _rungbook rungbook"""


def zsh(offers: list[Offer]) -> str:
    """For zsh's compsys; also works when sourced."""
    commands: Described = tuple((each.path, each.text) for each in _commands(offers))
    values = "\n".join(
        f'    "{each.path}{" " if each.action else "  "}{option}") compadd -- {" ".join(words)}; return ;;'
        for each in offers for option, words in each.values if words
    )  # fmt: skip
    places = "\n".join(
        f'    "{each.command} {each.action}") offered=({_described(each.words)}); more=({_described(each.options)}) ;;'
        for each in offers
    )
    return f"""#compdef rungbook
_rungbook() {{
  local -a offered more
  local command="" action="" word previous="${{words[CURRENT-1]}}"
{_place(offers, '"${(@)words[2,CURRENT-1]}"')}
  case "$previous" in
    {"|".join(_FOLDERS)}) _files -/; return ;;
    {"|".join(_FILES)}) _files; return ;;
    {_CLIENTS}) offered=("{_CARDS}"/*.json(N:t:r)); compadd -- ${{offered:#*.before}}; return ;;
    {"|".join(_free(offers))}) return ;;
  esac
  case "$command $action $previous" in
{values}
  esac
  case "$command $action" in
    " ") offered=({_described(commands)}); more=({_described(_GENERAL)}) ;;
{places}
  esac
  [[ "$PREFIX" != -* ]] && (( $#offered )) || offered+=("${{more[@]}}")
  _describe rungbook offered
}}
if [[ "${{funcstack[1]}}" = _rungbook ]]; then _rungbook "$@"; else compdef _rungbook rungbook; fi"""


def _described(offered: Described) -> str:
    return " ".join(_quoted(f"{name}:{help}" if help else name) for name, help in offered)


def fish(offers: list[Offer]) -> str:
    """For fish 3 and later."""
    lines = ["complete -c rungbook -f"]
    for option, text in offers[0].options:
        value = _fish_value(option, dict(offers[0].values))
        lines.append(f"complete -c rungbook -n __fish_use_subcommand -l {option[2:]} -d {_quoted(text)}{value}")
    for each in offers:
        seen = f"__fish_seen_subcommand_from {each.command}"
        others = [other.action for other in offers if other.command == each.command and other.action]
        if each.action:
            seen += f"; and __fish_seen_subcommand_from {each.action}"
        else:
            lines.append(f"complete -c rungbook -n __fish_use_subcommand -a {each.path} -d {_quoted(each.text)}")
            seen += f"; and not __fish_seen_subcommand_from {' '.join(others)}" if others else ""
        start = f"complete -c rungbook -n {_quoted(seen)}"
        lines += [f"{start} -a {name}{f' -d {_quoted(text)}' if text else ''}" for name, text in each.words]
        valued = dict(each.values)
        for option, text in each.options:
            lines.append(f"{start} -l {option[2:]} -d {_quoted(text)}{_fish_value(option, valued)}")
    return "\n".join(lines)


def _fish_value(option: str, valued: Mapping[str, tuple[str, ...]]) -> str:
    if option not in valued:
        return ""
    if option in (*_FOLDERS, *_FILES):
        return " -r -F"
    if option == _CLIENTS:
        cards = "(set -q XDG_DATA_HOME; and echo $XDG_DATA_HOME; or echo ~/.local/share)/rungbook/clients/*.json"
        return f' -x -a \'(path basename -- {cards} | string match -v "*.before.json" | string replace .json "")\''
    return f" -x -a {_quoted(' '.join(valued[option]))}" if valued[option] else " -x"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"
