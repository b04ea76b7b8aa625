"""Each validation broken once: one fault a file in broken_knowledge/, beside the words its message must hold."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.rulebase.loading import load_with_faults, shipped_root

BROKEN = sorted((Path(__file__).parent / "broken_knowledge").glob("*.yaml"))
_GROUPS = "id: groups\nkind: language\ngroups:\n  pain: [hurts]\n"
_SOURCES = "common-practice: {authors: the trade, title: Custom, kind: common-practice, verified: memory}\n"


def _folder(tmp_path: Path, broken: Path) -> Path:
    (tmp_path / "sources.yaml").write_text(_SOURCES)
    (tmp_path / "groups.yaml").write_text(_GROUPS)
    shutil.copy(broken, tmp_path / broken.name)
    return tmp_path


@pytest.mark.parametrize("broken", BROKEN, ids=[path.stem for path in BROKEN])
def test_one_fault_in_one_line(tmp_path: Path, broken: Path) -> None:
    expected = broken.read_text("utf-8").splitlines()[0].removeprefix("# expects: ")
    _, faults = load_with_faults([_folder(tmp_path, broken)])
    lines = [str(fault) for fault in faults if fault.file == broken.name]
    assert any(expected in line for line in lines), lines
    assert all(re.match(rf"{broken.name}:\d+: .+: .+", line) and "\n" not in line for line in lines)


@pytest.mark.parametrize(("name", "content", "expected"), [
    ("latin.yaml", b"id: x\nname: caf\xe9\n", "latin.yaml:2: not UTF-8 text"),
    ("nul.yaml", b"id: x\nname: a\x00b\n", "not valid YAML"),
    ("deep.yaml", ("id: x\nkind: topic\nname: " + "[" * 40 + "]" * 40).encode(), "nested deeper"),
    ("big.yaml", b"id: x\n" + b"# filler filler filler filler\n" * 160_000, "larger than"),
    ("bomb.yaml", b"a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\nd: [*c, *c]\n", "an alias"),
])  # fmt: skip
def test_hostile_files_are_one_line_each(tmp_path: Path, name: str, content: bytes, expected: str) -> None:
    (tmp_path / "sources.yaml").write_text(_SOURCES)
    (tmp_path / name).write_bytes(content)
    _, faults = load_with_faults([tmp_path])
    lines = [str(fault) for fault in faults if fault.file == name]
    assert len(lines) == 1 and expected in lines[0], lines


def test_scalars_are_read_as_text(tmp_path: Path) -> None:
    """YAML 1.1 would make 3:1:30 a number, `no` false and 010 eight."""
    from assistant.rulebase.reading import read_file

    path = tmp_path / "x.yaml"
    path.write_text("tempo: 3:1:30\nside: no\non: 010\nempty:\n")
    assert dict(read_file(path)) == {"tempo": "3:1:30", "side": "no", "on": "010", "empty": ""}


def test_a_missing_knowledge_folder_is_one_line_and_exit_2() -> None:
    run = subprocess.run(
        [sys.executable, "-m", "assistant", "ask", "--knowledge", "/no/such/folder", "squats easier"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 2 and run.stdout == ""
    assert run.stderr.count("\n") == 1 and "no such knowledge folder" in run.stderr


def test_the_shipped_knowledge_has_no_faults() -> None:
    _, faults = load_with_faults([shipped_root()])
    assert not faults, [str(fault) for fault in faults[:10]]
