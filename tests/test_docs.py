"""The documents cannot lie: their examples are what a run prints today, and what they tell a newcomer to do works."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import docs
import pytest

from assistant import cli
from assistant.conversation import Assistant
from assistant.errors import Fault, InputError
from assistant.figures import choose
from assistant.rulebase.loading import Rulebase

ROOT = docs.ROOT
TEST_COMMAND = "python3 -m venv .venv && .venv/bin/pip install -q '.[test]' && .venv/bin/pytest"


@pytest.mark.usefixtures("rulebase")
def test_the_tour_of_the_readme_is_real(assistant: Assistant) -> None:
    """All blocks in their order: the commands share a home."""
    found = docs.blocks(docs.README, "answer", "talk", "run")
    assert len(found) >= 10
    for block in found:
        assert docs.made(block, assistant) == block.body, block.of


def test_ci_runs_the_readme_test_command() -> None:
    assert TEST_COMMAND in docs.README.read_text("utf-8")
    assert TEST_COMMAND in (ROOT / ".ci" / "run").read_text("utf-8")


def test_every_command_and_action_is_in_the_table() -> None:
    text = docs.README.read_text("utf-8")
    table = text[text.index("## Commands") : text.index("## What it will not do")]
    for name in set(cli.COMMANDS) - {"chat"}:
        row = next(line for line in table.splitlines() if line.startswith(f"| `rungbook {name}"))
        for action in _actions(name):
            assert f"`{action}`" in row or f"`{name} {action}`" in row, f"{name} {action}"


def _actions(name: str) -> list[str]:
    from assistant.commands.parsing import actions_below

    parser = cli.parser_for(name)
    choices = [str(each) for action in parser._actions if action.dest == "action" for each in action.choices or ()]
    return [each for each in choices or [n for n, _ in actions_below(parser)] if (name, each) not in _DEFAULT]


_DEFAULT = {("drill", "run"), ("drill", "list")}


def test_top_level_holds_only_what_the_design_names() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "assistant", "knowledge", "tests", "transcripts_demo"}
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - {
        "build",
        "dist",
        "rungbook.egg-info",
    }
    assert seen <= allowed, seen - allowed


# -- the worked examples of DEVELOPERS.md --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("examples")


@pytest.fixture(scope="module")
def taught(folder: Path) -> tuple[Assistant, list[Fault]]:
    return docs.examples(folder)


@pytest.fixture
def pupil(taught: tuple[Assistant, list[Fault]], folder: Path, monkeypatch: pytest.MonkeyPatch) -> Assistant:
    monkeypatch.setattr(choose, "ASKERS", ((docs.figure(folder).lifted, "dose"), *choose.ASKERS))
    return taught[0]


def test_the_worked_examples_have_no_fault(taught: tuple[Assistant, list[Fault]]) -> None:
    assert not taught[1], [str(fault) for fault in taught[1]]


def test_there_is_one_of_each_kind() -> None:
    kinds = {block.of.partition("/")[0] for block in docs.blocks(docs.DEVELOPERS, "file")}
    assert {"conditions", "movements", "reasons", "figures", "language"} <= kinds


@pytest.mark.parametrize("block", docs.blocks(docs.DEVELOPERS, "answer"), ids=lambda block: block.of[:30])
def test_what_was_added_answers(block: docs.Block, pupil: Assistant, rulebase: Rulebase) -> None:
    assert docs.made(block, pupil) == block.body
    assert docs.made(block, Assistant(rulebase)) != block.body, "the shipped knowledge says so already"


def test_the_example_figure_computes(folder: Path, pupil: Assistant) -> None:
    assert docs.figure(folder).total_lifted(3, 10, 20) == 600
    with pytest.raises(InputError):
        docs.figure(folder).total_lifted(0, 10, 20)
    figure = pupil.ask("leg press 3 sets of 10 at 20 kg, what is the tonnage?").figures[0]
    assert (figure.quantity, figure.value, figure.unit) == ("total-lifted", 600, "kg")


# -- the dictionary -----------------------------------------------------------------------------------------------------


def test_every_field_is_in_the_dictionary() -> None:
    """Every key that reading accepts is explained in knowledge/README.md."""
    tree = ast.parse((ROOT / "assistant" / "rulebase" / "building.py").read_text("utf-8"))
    keys = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "only":
            keys |= {
                each.value for each in ast.walk(node) if isinstance(each, ast.Constant) and isinstance(each.value, str)
            }
        if (
            isinstance(node, ast.Assign)
            and isinstance(node.targets[0], ast.Name)
            and node.targets[0].id.endswith("_KEYS")
        ):
            keys |= {each.value for each in ast.walk(node.value) if isinstance(each, ast.Constant)}
    text = docs.DICTIONARY.read_text("utf-8")
    missing = sorted(key for key in keys if not re.search(rf"(?<![a-z_]){key}(?![a-z_])", text))
    assert len(keys) > 60 and not missing, missing
