"""Compiled knowledge: damaged, unwritable or made by two at once, the answers are the same; a warm run loads little."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from assistant.conversation import Assistant
from assistant.rulebase import cache, compiled, loading
from assistant.rulebase.loading import Rulebase, load, load_with_faults, shipped_root

QUESTION = "her knee caves in on the split squat, how do I make it easier"
ONE_SHOT = "import sys; from assistant.cli import main; code = main(sys.argv[1:]); print(*sys.modules, file=sys.stderr); sys.exit(code)"


MOVEMENT = """
id: split-squat
kind: movement
name: split squat
terms: [split squat]
ladder:
  start: {height: 4-in}
  axes:
    - axis: height
      unit: in
      levels:
        - {id: 2-in, value: 2, name: "2 in block", do: "Use a 2 in (5 cm) block."}
        - {id: 4-in, value: 4, name: "4 in block", do: "Use a 4 in (10 cm) block."}
  first: {default: [height]}
  harder: [height]
  up: "Two sessions running with every rep quiet."
  down: "Go back a rung when two reps running wobble."
  sources: [common-practice]
entries:
  - id: split-squat-knee-caves
    kind: regression
    about: ["knee* ...4 cave*"]
    say: "Hold a pole in the opposite hand and stop each rep where the knee still points over the toes."
    why: "The hip tires before the leg does."
    sources: [common-practice]
    evidence: common-practice
    asks: ["knee caves in on the split squat", "split squat knee caving, easier", "knee drifts in on split squats"]
"""


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One movement and the language, compiled in a moment."""
    root = tmp_path_factory.mktemp("knowledge")
    for part in ("language", "sources.yaml"):
        source = shipped_root() / part
        shutil.copytree(source, root / part) if source.is_dir() else shutil.copy(source, root / part)
    (root / "movements").mkdir()
    (root / "movements" / "split-squat.yaml").write_text(MOVEMENT)
    return root


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "rungbook"


def _answer(root: Path) -> tuple[str, ...]:
    rulebase, _ = load([root])
    answer = Assistant(rulebase).ask(QUESTION)
    return (answer.status, answer.intent, *(point.text for point in answer.points))


@pytest.fixture(scope="module")
def expected(small: Path) -> tuple[str, ...]:
    rulebase, faults = load_with_faults([small])
    assert not faults, faults[:3]
    answer = Assistant(rulebase).ask(QUESTION)
    assert answer.points
    return (answer.status, answer.intent, *(point.text for point in answer.points))


def _built(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Counts how often the knowledge is built from YAML."""
    count: list[int] = []
    build = loading.load_with_faults
    monkeypatch.setattr(loading, "load_with_faults", lambda roots: count.append(1) or build(roots))
    return count


def test_compiled_once_and_answers_as_built(
    small: Path, expected: tuple[str, ...], own_cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    built = _built(monkeypatch)
    assert _answer(small) == _answer(small) == _answer(small) == expected
    assert len(built) == 1 and len(list(own_cache.glob("knowledge-*"))) == 1


DAMAGES = {
    "empty": lambda data: b"",
    "only the first line": lambda data: data[:128],
    "cut short": lambda data: data[:-1000],
    "another version": lambda data: data.replace(b"rungbook 0", b"rungbook 9", 1).replace(
        b"rungbook 1", b"rungbook 8", 1
    ),
    "no block at all": lambda data: b"\x80\x04K\x2a." * 400,
    "checksums changed": lambda data: data[:140] + b"\xff\xff\xff" + data[143:],
    "a bit in the contents": lambda data: data.replace(b'"contents"', b'"c0ntents"', 1),
    "every page": lambda data: data[:4000] + bytes(byte ^ 1 for byte in data[4000:]),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_file_is_built_again(
    damage: str, small: Path, expected: tuple[str, ...], own_cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _answer(small)
    (path,) = own_cache.glob("knowledge-*")
    whole = path.read_bytes()
    path.write_bytes(DAMAGES[damage](whole))
    assert path.read_bytes() != whole
    built = _built(monkeypatch)
    assert _answer(small) == expected
    assert len(built) == 1 and path.read_bytes() == whole


def test_a_page_damaged_while_it_is_in_use_is_built_again(
    small: Path, expected: tuple[str, ...], own_cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _answer(small)
    rulebase, _ = load([small])
    (path,) = own_cache.glob("knowledge-*")
    with open(path, "r+b") as file:
        file.seek(20_000)
        file.write(b"\0" * (path.stat().st_size - 20_000))
    built = _built(monkeypatch)
    answer = Assistant(rulebase).ask(QUESTION)
    assert (answer.status, answer.intent, *(point.text for point in answer.points)) == expected and len(built) == 1


def test_a_folder_that_cannot_be_written_is_harmless(
    small: Path, expected: tuple[str, ...], own_cache: Path, tmp_path: Path
) -> None:
    own_cache.parent.write_text("a file where the folder should be")
    assert _answer(small) == _answer(small) == expected
    own_cache.parent.unlink()
    own_cache.mkdir(parents=True)
    own_cache.chmod(0o500)
    try:
        assert _answer(small) == expected
        assert os.geteuid() == 0 or not list(own_cache.iterdir())
    finally:
        own_cache.chmod(0o700)


def test_two_processes_compile_at_once(small: Path, expected: tuple[str, ...], own_cache: Path) -> None:
    code = (
        "import sys, pathlib; from assistant.rulebase.loading import load; from assistant.conversation import Assistant\n"
        "answer = Assistant(load([pathlib.Path(sys.argv[1])])[0]).ask(sys.argv[2])\n"
        "print(answer.status, answer.intent, *(point.text for point in answer.points), sep='\\n')"
    )
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(small), QUESTION], stdout=subprocess.PIPE, text=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        for seed in ("1", "2")
    ]  # fmt: skip
    for run in runs:
        assert tuple(run.communicate()[0].splitlines()) == expected and run.returncode == 0
    assert len(list(own_cache.glob("knowledge-*"))) == 1 and not list(own_cache.glob(".new-*"))
    (path,) = own_cache.glob("knowledge-*")
    kept = path.read_bytes()
    rulebase, _ = load_with_faults([small])
    block = compiled.freeze(rulebase.knowledge, rulebase.lexicon, rulebase.index)
    assert kept.endswith(block), "the same knowledge makes the same block, whatever the order of sets"


def test_a_changed_file_is_seen(small: Path, tmp_path: Path) -> None:
    root = tmp_path / "changing"
    shutil.copytree(small, root)
    for path in root.rglob("*.yaml"):
        os.utime(path, (time.time() - 60, time.time() - 60))
    first = cache.digest([root])
    file = root / "movements" / "split-squat.yaml"
    text, times = file.read_text("utf-8"), (file.stat().st_atime_ns, file.stat().st_mtime_ns)
    file.write_text(text.replace("split squat", "split squad", 1), "utf-8")
    os.utime(file, ns=times)
    changed = cache.digest([root])
    file.write_text(text, "utf-8")
    assert first != changed and cache.digest([root]) == first


def test_unchanged_files_are_not_read_again(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cache, "_SETTLED_SECONDS", -60.0)
    first = cache.digest([small])
    monkeypatch.setattr(cache, "_digest", lambda roots: pytest.fail("read again"))
    assert cache.digest([small]) == first


def _modules(tmp_path: Path, *args: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", ONE_SHOT, "ask", *args], capture_output=True, text=True, check=True, timeout=120,
        env={**os.environ, "XDG_STATE_HOME": str(tmp_path)},
    )  # fmt: skip
    assert done.stdout.strip()
    return set(done.stderr.split())


@pytest.mark.parametrize("args", [("--json",), ("--plain",), ("--json", "--no-log")])
def test_a_warm_one_shot_loads_little(
    args: tuple[str, ...], rulebase: Rulebase, shipped_cache: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", shipped_cache)
    never = {"yaml", "rich", "prompt_toolkit", "dataclasses", "inspect", "typing", "shutil", "tempfile"}
    never |= {"assistant.rulebase.building", "assistant.rulebase.patterns", "assistant.rendering.terminal"}
    assert not _modules(tmp_path, *args, QUESTION) & {*never, "rapidfuzz"}
    misspelt = _modules(tmp_path, *args, "her nee caves in on the splitt squat, how do I make it eassier")
    assert "rapidfuzz" in misspelt and not misspelt & {"yaml", "rich", "prompt_toolkit"}
