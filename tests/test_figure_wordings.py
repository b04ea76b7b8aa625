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


@pytest.mark.parametrize(("text", "rule"), [
    ("woman 72, 30 s chair stand 8", "30-s-chair-stand-next"), ("he is 80, TUG 15 s", "timed-up-and-go-next"),
    ("berg 40", "berg-balance-scale-next"), ("five times sit to stand 17 s, 71", "five-times-sit-to-stand-next"),
    ("F70 grip 14 kg", "grip-strength-low-next"), ("four square step 18 s", "four-square-step-next"),
    ("gait speed: 4 m in 6 s", "gait-speed-next"), ("M67 eight foot up and go 7 s", "eight-foot-up-and-go-next"),
])  # fmt: skip
def test_a_result_under_its_line_names_where_to_start(assistant: Assistant, text: str, rule: str) -> None:
    assert rule in [point.rule for point in assistant.ask(text).points]


@pytest.mark.parametrize("text", ["woman 72, 30 s chair stand 13", "he is 80, TUG 9 s", "berg 54", "F70 grip 26 kg"])
def test_a_result_past_its_line_starts_nothing(assistant: Assistant, text: str) -> None:
    assert not [point.rule for point in assistant.ask(text).points if point.rule.endswith("-next")]


def test_a_count_on_the_independence_line_meets_it(assistant: Assistant) -> None:
    """Rikli & Jones 2013: women of 70 to 74, 14 stands."""
    told = " ".join(
        figure.sentence
        for figure in assistant.ask("woman of 72 got 14 on the 30 s chair stand, independence standard met?").figures
    )
    assert "14 stands is on it: the line is met" in told and "stands is below" not in told
