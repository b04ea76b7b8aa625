"""The completion scripts, sourced in the shells themselves where they are installed."""

from __future__ import annotations

import os
import pty
import re
import select
import shutil
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from journals import Run

from assistant import cli

# (typed so far, what must be offered, what must not)
QUESTIONS: list[tuple[str, set[str], set[str]]] = [
    ("rungbook lad", {"ladder"}, set()),
    ("rungbook review ", {"walk", "report", "gaps", "replay"}, {"--format", "sound"}),
    ("rungbook review verdict 3f2a ", {"sound", "amend", "wrong", "unsafe"}, {"walk"}),
    ("rungbook review report --f", {"--format"}, {"--full"}),
    ("rungbook review report --format ", {"text", "md", "csv", "json"}, {"walk", "--out"}),
    ("rungbook review report --since ", set(), {"walk", "text"}),
    ("rungbook --coach k7 log l", {"list"}, {"search"}),
    ("rungbook ladder spl", {"split-squat"}, set()),
    ("rungbook ladder step-up --condition hip-r", {"hip-replacement"}, {"step-up"}),
    ("rungbook client rung a12 step-", {"step-up", "step-down"}, {"hip-replacement"}),
    ("rungbook ask --client ", {"a12", "b7"}, {"a12.before", "--json"}),
    ("rungbook knowledge ch", {"check"}, set()),
]


@pytest.fixture(autouse=True)
def cards(tmp_path: Path) -> None:
    folder = tmp_path / "rungbook" / "clients"
    folder.mkdir(parents=True)
    for name in ("a12.json", "a12.before.json", "b7.json"):
        (folder / name).touch()


def bash(script: Path, line: str) -> set[str]:
    words = " ".join(f"'{word}'" for word in line.split(" "))
    ask = f"source {script}; COMP_WORDS=({words}); COMP_CWORD={line.count(' ')}; _rungbook; echo ${{COMPREPLY[@]}}"
    return set(subprocess.run(["bash", "-c", ask], capture_output=True, text=True, check=True).stdout.split())


def fish(script: Path, line: str) -> set[str]:
    ask = f"source {script}; complete -C'{line}'"
    out = subprocess.run(["fish", "--no-config", "-c", ask], capture_output=True, text=True, check=True).stdout
    return {each.partition("\t")[0] for each in out.splitlines()}


def zsh(script: Path, line: str) -> set[str]:
    """What zsh writes into the line after a Tab, or lists below it after another, on a terminal of its own."""
    pid, end = pty.fork()
    if pid == 0:
        os.environ.update(TERM="dumb", COLUMNS="200")
        os.execvp("zsh", ["zsh", "-f", "-i"])
    try:
        start = f"PS1='> '; stty cols 200; autoload -Uz compinit; compinit -u -D; source {script}; echo rea''dy\n"
        os.write(end, start.encode())
        _read(end, r"ready[\s\S]*> ")
        os.write(end, line.encode() + b"\t")
        shown = _read(end)
        if "\a" in shown:  # more than one thing: another Tab lists them
            os.write(end, b"\t")
            shown += _read(end)
    finally:
        os.kill(pid, 9)
        os.waitpid(pid, 0)
        os.close(end)
    shown = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", " ", shown)
    written = shown.replace(line, line.rpartition(" ")[2])
    return set(re.findall(r"(?<![\w.-])-{0,2}[a-z0-9][\w.-]*", written))


def _read(end: int, wanted: str = "") -> str:
    """What comes until a pattern is there, or without one until it is quiet for a moment."""
    shown, limit = "", time.monotonic() + 20
    while time.monotonic() < limit:
        if not select.select([end], [], [], 5 if wanted else 0.5)[0]:
            break
        shown += os.read(end, 1 << 16).decode("utf-8", "replace")
        if wanted and re.search(wanted, shown):
            break
    return shown


SHELLS: dict[str, Callable[[Path, str], set[str]]] = {"bash": bash, "fish": fish, "zsh": zsh}


@pytest.mark.parametrize("shell", sorted(SHELLS))
def test_the_shell_itself_completes(shell: str, run: Run, tmp_path: Path) -> None:
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed")
    script = tmp_path / f"rungbook.{shell}"
    script.write_text(run("completion", shell)[1])
    for line, wanted, unwanted in QUESTIONS[:: 2 if shell == "zsh" else 1]:  # half a second a Tab there
        found = SHELLS[shell](script, line)
        assert wanted <= found and not unwanted & found, (line, found)


@pytest.mark.parametrize("shell", sorted(SHELLS))
def test_every_command_is_named(shell: str, run: Run) -> None:
    script = run("completion", shell)[1]
    assert all(name in script for name in cli.COMMANDS)
