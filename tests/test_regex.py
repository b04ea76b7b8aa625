"""A rule that passes over a text would have found nothing in it."""

from __future__ import annotations

import importlib
import re
from collections.abc import Iterator
from typing import Any

import pytest

from assistant.regex import Rule
from assistant.rulebase.index import asked_words
from assistant.rulebase.loading import Rulebase
from assistant.words import tidy

MODULES = (
    "words", "clean", "understanding.facts", "understanding.person", "journal.numbers", "journal.names", "journal.redaction",
    "figures.stance", "figures.scoring",
)  # fmt: skip
ODD = [
    "DOB 3.4.1951, NHS no 943 476 5919, lives at 12 Mill Lane, Leeds LS1 4AB, mob 07700 900123",
    "born on the 3rd of March 1948; 5'4\", 1m62, 162 cm tall, 11 stone 4 lb, BP 188/96, sats 86%, temp 38.4, bm 3.1",
    "M72 and f 68 in his seventies, women 75-79, turned 80; six foot two, 5 ft 10, 1.62 m, half a stone up in 3 days",
    "five-minute walk, 3x10 @ 60 %, per cent, 1,5 m, 1,200 steps, w/out poles, n/a, 1.2 m/s, 8\" and 6'' steps; 12-inch",
    "Mrs Margaret Hill, client Bob, Dr. Shaw, her daughter Anne (called Annie), told Coach Lee; j.doe at mail dot com",
    "flat 3, 20 High St, moved to Park Road; the hospital number is AB 123456; ssn 078-05-1120; policy #9981; po box 12",
    "lost 5 kg in a month, gained 2 lb since Friday, left leg, cane in the right hand, 8 weeks post op, hip 3 months",
]


def _rules() -> Iterator[tuple[str, Rule]]:
    def inside(value: Any) -> Iterator[Rule]:
        if isinstance(value, Rule):
            yield value
        elif isinstance(value, dict):
            yield from inside(tuple(value.values()))
        elif isinstance(value, (list, tuple)):
            for each in value:
                yield from inside(each)

    for module in MODULES:
        for name, value in vars(importlib.import_module(f"assistant.{module}")).items():
            for number, rule in enumerate(inside(value)):
                yield f"{module}.{name}.{number}", rule


RULES = dict(_rules())


@pytest.fixture(scope="session")
def texts(rulebase: Rulebase) -> list[str]:
    asked = [" ".join(word.typed for word in words) for words in asked_words(rulebase.knowledge)]
    typed = [ask for entry in list(rulebase.knowledge.entries.values())[::4] for ask in entry.asks]
    return [*map(tidy, ODD), *ODD, *map(str.upper, ODD), *asked[::5], *typed]


@pytest.mark.parametrize("name", RULES)
def test_no_match_is_passed_over(name: str, texts: list[str]) -> None:
    rule = RULES[name]
    passed_over = [text for text in texts if not rule.may(text)]
    assert not [text for text in passed_over if rule.compiled.search(text)]


def test_rules_act_as_the_expressions_they_hold() -> None:
    rule, plain = Rule(r"(\d+) kg", "kg", digits=1), re.compile(r"(\d+) kg")
    for text in ("lift 20 kg, then 30 kg", "lift 20", "kg", ""):
        assert [m.span() for m in rule.finditer(text)] == [m.span() for m in plain.finditer(text)]
        assert rule.findall(text) == plain.findall(text) and rule.sub(r"\1", text) == plain.sub(r"\1", text)
        assert bool(rule.search(text)) == bool(plain.search(text))
