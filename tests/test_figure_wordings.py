"""Each figure in at least eight wordings of its own, with the units coaches type; the wordings stand in figure_wordings/."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from assistant.conversation import Assistant

FOLDER = Path(__file__).parent / "figure_wordings"
FACTORS = (1.0, 2.54, 1 / 2.54, 0.45359237, 1 / 0.45359237)
ENOUGH = 8


def _cases() -> Iterator[dict[str, Any]]:
    for path in sorted(FOLDER.glob("*.yaml")):
        yield from yaml.safe_load(path.read_text("utf-8"))


CASES = list(_cases())
ASKED = [(case, text) for case in CASES for text in case["texts"]]


@pytest.mark.parametrize(("case", "text"), ASKED, ids=[f"{case['quantity']}: {text}" for case, text in ASKED])
def test_the_wording_reaches_the_figure(assistant: Assistant, case: dict[str, Any], text: str) -> None:
    wanted = case["quantity"].split("|")
    figures = assistant.ask(text).figures
    values = [v for f in figures if f.quantity in wanted for v in (f.value, *(f.range or ()))]
    slack = case["within"] + 1e-9
    assert any(abs(v * factor - case["value"]) <= slack for v in values for factor in FACTORS), [
        (f.quantity, round(f.value, 2), f.range) for f in figures
    ]


def test_every_case_has_eight_wordings_of_its_own() -> None:
    texts = [text for _, text in ASKED]
    assert len(set(texts)) == len(texts)
    assert all(len(case["texts"]) >= ENOUGH for case in CASES)
