"""Every promised cell of the knowledge is filled, and the contract's ids are all there."""

from __future__ import annotations

import pytest

from assistant.mentoring.coverage import coverage
from assistant.rulebase.loading import Rulebase


@pytest.mark.parametrize(("kind", "least"), [("movement", 28), ("condition", 41), ("equipment", 14), ("screen", 20)])
def test_no_promised_cell_is_empty(rulebase: Rulebase, kind: str, least: int) -> None:
    found = coverage(rulebase.knowledge, kind)
    assert found.holes == ()
    assert len(found.rows) >= least


def test_the_knowledge_is_broad_and_rests_on_published_sources(rulebase: Rulebase) -> None:
    cited = {source for entry in rulebase.knowledge.entries.values() for source in entry.sources}
    assert len(rulebase.knowledge.entries) >= 600
    assert len(cited - {"common-practice"}) >= 120


def test_every_entry_has_three_examples_and_a_source(rulebase: Rulebase) -> None:
    for entry in rulebase.knowledge.entries.values():
        assert len(set(entry.asks)) >= 3, entry.id
        assert entry.sources, entry.id
