"""Ladders held against networkx: acyclic per axis, easier undoes harder, every state reachable, routes shortest."""

from __future__ import annotations

import itertools
import random

import networkx as nx
import pytest

from assistant.conversation import Assistant
from assistant.matching.ladder import Climber, forbidden, neighbours, route
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import SUPPORT_ORDER, Axis, Forbid, Ladder, Level
from assistant.shapes import Question


def _ladders(rulebase: Rulebase) -> list[tuple[str, Ladder]]:
    return [(s.id, s.ladder) for s in rulebase.knowledge.subjects.values() if s.ladder is not None]


def _graph(ladder: Ladder) -> nx.DiGraph[tuple[str, ...]]:
    graph: nx.DiGraph[tuple[str, ...]] = nx.DiGraph()
    names = [axis.id for axis in ladder.axes]
    for state in itertools.product(*[[lv.id for lv in axis.levels] for axis in ladder.axes]):
        for axis, step, level in neighbours(ladder, dict(zip(names, state, strict=True))):
            there = tuple(level if n == axis else lv for n, lv in zip(names, state, strict=True))
            graph.add_edge(state, there, axis=axis, step=step)
    return graph


def test_every_movement_of_the_contract_has_a_ladder(rulebase: Rulebase) -> None:
    assert len(_ladders(rulebase)) >= 28


def test_harder_moves_have_no_circle_and_easier_is_their_inverse(rulebase: Rulebase) -> None:
    for movement, ladder in _ladders(rulebase):
        graph = _graph(ladder)
        harder = nx.DiGraph([(a, b) for a, b, d in graph.edges(data=True) if d["step"] == 1])
        easier = nx.DiGraph([(a, b) for a, b, d in graph.edges(data=True) if d["step"] == -1])
        assert nx.is_directed_acyclic_graph(harder), movement
        assert set(easier.edges) == {(b, a) for a, b in harder.edges}, movement


def test_every_state_can_be_reached_from_the_start(rulebase: Rulebase) -> None:
    for movement, ladder in _ladders(rulebase):
        graph = _graph(ladder)
        start = tuple(ladder.start.get(axis.id, axis.levels[0].id) for axis in ladder.axes)
        assert nx.descendants(graph, start) | {start} == set(graph.nodes), movement


def test_support_levels_keep_the_teaching_order(rulebase: Rulebase) -> None:
    """Two poles, then opposite hand, then same side, then touch-down, then none (common practice)."""
    for movement, ladder in _ladders(rulebase):
        axis = ladder.axis("support")
        known = [lv.id for lv in axis.levels if lv.id in SUPPORT_ORDER] if axis else []
        assert known == sorted(known, key=SUPPORT_ORDER.index), movement


@pytest.mark.parametrize("seed", range(12))
def test_routes_cost_the_same_as_networkx(seed: int) -> None:
    """Random ladders with random forbidden rungs; networkx's shortest path is the reference."""
    rng = random.Random(seed)
    axes = tuple(
        Axis(f"axis{a}", "", tuple(Level(f"l{i}", f"l{i}", "do", None, (), ()) for i in range(rng.randint(2, 5))))
        for a in range(rng.randint(1, 3))
    )
    ladder = Ladder(axes, {}, {"default": ()}, (), "up", "down", (), (), (), ())
    forbids = [Forbid((), axis.id, f"l{rng.randint(1, 4)}", "", "") for axis in axes if rng.random() < 0.4]
    start = {axis.id: axis.levels[0].id for axis in axes}
    goal = {axis.id: axis.levels[-1].id for axis in axes}
    graph = _graph(ladder)
    names = [axis.id for axis in axes]
    open_graph = graph.subgraph(
        [
            state for state in graph.nodes
            if state == tuple(start.values())
            or not any(forbidden(forbids, "m", axis, state[names.index(axis.id)]) for axis in axes)
        ]
    )  # fmt: skip
    found = route(ladder, "m", start, goal, forbids)
    origin, target = tuple(start.values()), tuple(goal.values())
    if target in open_graph and nx.has_path(open_graph, origin, target):
        assert found is not None and len(found) == nx.shortest_path_length(open_graph, origin, target)
    else:
        assert found is None


def _climber(rulebase: Rulebase, movement: str, question: Question) -> Climber:
    return Climber(rulebase.knowledge, movement, question, (), "")


def test_less_than_the_opposite_hand_pole_goes_back_to_it(rulebase: Rulebase) -> None:
    """A same-side pole leaves the other side uncovered: ease to the opposite hand, then to two poles."""
    for told, reached in (
        ("none", "contralateral"),
        ("ipsilateral", "contralateral"),
        ("contralateral", "two-poles"),
        ("two-poles", "fixed-support"),
    ):
        question = Question("q", movements=["step-up"], levels={"step-up/support": told}, reports=["balance"])
        moves = _climber(rulebase, "step-up", question).easier()
        assert [m.level for m in moves if m.axis == "support"] == [reached], told


def test_harder_takes_one_rung_at_a_time(rulebase: Rulebase) -> None:
    for here, there in itertools.pairwise(SUPPORT_ORDER):
        question = Question("q", movements=["step-up"], levels={"step-up/support": here})
        moves = _climber(rulebase, "step-up", question).harder()
        assert there in [m.level for m in moves if m.axis == "support"], here


def test_missing_kit_is_not_offered(rulebase: Rulebase) -> None:
    question = Question("q", movements=["step-up"], missing_kit=["walking-poles"], reports=["balance"])
    assert "two-poles" not in [m.level for m in _climber(rulebase, "step-up", question).easier()]


def test_a_caution_can_forbid_a_rung(rulebase: Rulebase) -> None:
    question = Question("q", movements=["step-up"], levels={"step-up/support": "two-poles", "step-up/height": "4-in"})
    free = Climber(rulebase.knowledge, "step-up", question, (), "").harder(4)
    held = Climber(
        rulebase.knowledge, "step-up", question, [Forbid(("step-up",), "height", "", "4-in", "")], ""
    ).harder(4)
    assert any(m.axis == "height" for m in free)
    assert not any(m.axis == "height" for m in held)


def test_a_hip_that_pops_out_on_a_high_step(assistant: Assistant) -> None:
    answer = assistant.ask(
        "68yo, left hip replaced 3 years ago, pops her hip out on an 8 inch step, how do I make step-ups easier?"
    )
    assert answer.status == "answered" and answer.intent == "regress"
    assert answer.movements == ["step-up"] and answer.conditions == ["hip-replacement"]
    text = " ".join(p.text for p in answer.points)
    assert "opposite" in text and ("4 in" in text or "6 in" in text) and "right hand" in text
    assert answer.facts["step_cm"] == pytest.approx(20.32) and answer.facts["side"] == "left"
