"""A class of mixed levels: pairs, rounds, each client's own version, and what one coach cannot watch."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.errors import InputError
from assistant.planning import rotating
from assistant.planning.grouping import plan
from assistant.planning.person import Person
from assistant.planning.rotating import WHOLE, Pair, cost, halves, pairings, rotation
from assistant.rulebase.loading import Rulebase
from assistant.session_shapes import ClassPlan

CHAIR = "30-s-chair-stand"


def _person(code: str, stands: int = 12, *conditions: str, **more: object) -> Person:
    has = tuple((each, "", None) for each in conditions)
    return replace(Person(code, 72, "female", has, {CHAIR: float(stands)}), **more)  # type: ignore[arg-type]


STEPS = {"step-up": {"height": "4-in", "support": "fixed-support"}}
MIXED = [
    _person("a1", 9), _person("b2", 14), _person("c3", 12, "stroke", rungs=STEPS), _person("d4", 8, "dementia"),
    _person("e5", 7, "parkinsons"), _person("f6", 13, "frailty"),
]  # fmt: skip


# -- pairs and rounds --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", range(1, 9))
def test_all_ways_to_pair_are_tried_once(number: int) -> None:
    """Perfect matchings of a complete graph: (n-1)!! of them; with an odd number one client is left to work alone."""
    found = [frozenset(pairs) for pairs in pairings([str(n) for n in range(number)])]
    even = number + number % 2
    assert len(found) == len(set(found)) == math.prod(range(even - 1, 0, -2))
    for pairs in found:
        graph = nx.Graph(pair for pair in pairs if len(pair) == 2)
        assert nx.is_matching(nx.complete_graph(graph.nodes), set(graph.edges))
        assert sorted(client for pair in pairs for client in pair) == sorted(map(str, range(number)))


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_the_rotation_is_as_good_as_trying_everything(data: st.DataObject) -> None:
    """Against a slow search over every pairing, placing and order."""
    number, stations = data.draw(st.integers(2, 4)), data.draw(st.integers(2, 3))
    clients = [str(n) for n in range(number)]
    loads = {
        (client, station): data.draw(st.sampled_from([0, cost(10), cost(4), cost(3), cost(1)]))
        for client in clients
        for station in range(stations)
    }
    found = rotation(list(pairings(clients)), stations, lambda client, station: loads[client, station])
    best = min(
        sum(_over(pairs, [(at + turn) % stations for at in first], loads) for turn in range(stations))
        for pairs in pairings(clients)
        for first in itertools.permutations(range(stations), len(pairs))
    )
    assert found.over == best


def _over(pairs: tuple[Pair, ...], places: list[int], loads: dict[tuple[str, int], int]) -> int:
    best = math.inf
    for order in itertools.product(*(itertools.permutations(pair) for pair in pairs)):
        over = 0
        for half in (0, 1):
            working = sum(loads[p[half], at] for p, at in zip(order, places, strict=True) if len(p) > half)
            over += max(0, working - WHOLE)
        best = min(best, over)
    return int(best)


def test_two_who_need_hands_never_work_at_once_when_turns_can_be_taken() -> None:
    over, order = halves([("a", "b"), ("c", "d")], {"a": WHOLE, "b": 0, "c": WHOLE, "d": 0}.__getitem__)
    assert over == 0 and {pair[0] for pair in order} in ({"a", "d"}, {"b", "c"})


def test_the_limits_are_those_of_the_working_rule(rulebase: Rulebase) -> None:
    """The entry supervision-how-many (trade custom, no published standard): 4 frail people standing, 3 for floor and
    stairs, one at arm's length for unsupported one-leg or backward work."""
    say = rulebase.knowledge.entries["supervision-how-many"].say
    limits = {each.id: each.limit for each in rulebase.knowledge.session.watching}
    assert "4 frail" in say and limits["frail-standing"] == 4
    assert "3 for floor and stairs" in say and limits["floor-and-stairs"] == 3
    assert limits["one-leg-unheld"] == limits["backward"] == 1
    assert rotating.cost(4) * 4 == rotating.cost(3) * 3 == WHOLE


# -- the plan ----------------------------------------------------------------------------------------------------------------


def _check(rulebase: Rulebase, found: ClassPlan) -> None:
    """What holds for every class."""
    working = {code for pair in found.pairs for code in pair}
    for turn in found.turns:
        stations = [at for at, _ in turn.places]
        assert len(set(stations)) == len(stations)
        assert sorted(code for _, pair in turn.places for code in pair) == sorted(working)
    for pair in found.pairs:
        been = [at for turn in found.turns for at, who in turn.places if set(who) == set(pair)]
        assert sorted(been) == list(range(len(found.stations)))
    for station in found.stations:
        assert set(station.versions) | set(station.rests) == working
        assert all(reason.text and reason.sources for reason in station.rests.values())
    total = sum(part.minutes for part in found.together) + found.each * len(found.stations)
    assert total <= found.minutes
    for line in found.lines:
        assert line.sources and set(line.sources) <= set(found.sources) and line.rule in rulebase.knowledge.entries


def test_a_class_of_mixed_levels(rulebase: Rulebase) -> None:
    found = plan(rulebase.knowledge, [*MIXED[:2], replace(MIXED[2], cleared=("stroke",)), *MIXED[3:]], 60)
    _check(rulebase, found)
    step = next(station for station in found.stations if station.slot == "step")
    assert step.versions["a1"].state["height"] == "2-in"
    assert step.versions["c3"].watch == "hands" and step.versions["e5"].movement == "heel-raise"
    assert not step.shared and "step" in step.kit


def test_equal_clients_share_one_set_up(rulebase: Rulebase) -> None:
    found = plan(rulebase.knowledge, [_person(code) for code in ("a1", "b2", "c3")], 45)
    _check(rulebase, found)
    assert all(station.shared for station in found.stations) and not found.warnings


def test_more_who_need_hands_than_one_coach_can_watch_is_said(rulebase: Rulebase) -> None:
    """Four clients unsupported on one leg at every station that a pair can stand at."""
    free = {
        "step-up": {"height": "6-in", "support": "none"}, "split-squat": {"pad": "4-in", "support": "none"},
        "half-kneel-to-stand": {"pad": "6-in", "support": "none"}, "single-leg-stance": {"base": "long-holds", "support": "none"},
    }  # fmt: skip
    found = plan(rulebase.knowledge, [_person(code, 14, rungs=free) for code in ("a1", "b2", "c3", "d4")], 60)
    _check(rulebase, found)
    assert any("more than one coach can watch" in warning.text for warning in found.warnings)
    assert any("In balance" in warning.text and "a1, b2, c3, d4" in warning.text for warning in found.warnings)


def test_two_who_cannot_read_the_card_are_not_a_pair(rulebase: Rulebase) -> None:
    people = [_person("a1", 12, "dementia"), _person("b2", 12, "low-vision"), _person("c3"), _person("d4")]
    found = plan(rulebase.knowledge, people, 45)
    _check(rulebase, found)
    assert not any(set(pair) == {"a1", "b2"} for pair in found.pairs)
    two = plan(rulebase.knowledge, people[:2], 45)
    assert any("helper" in warning.text and "a1 and b2" in warning.text for warning in two.warnings)


def test_a_client_not_cleared_rests_at_the_stations_and_is_named(rulebase: Rulebase) -> None:
    people = [_person("a1"), _person("b2"), _person("c3", 12, "recent-surgery")]
    found = plan(rulebase.knowledge, people, 45)
    assert all("c3" not in pair for pair in found.pairs)
    assert any(warning.text.startswith("c3 rests at the stations") for warning in found.warnings)
    assert any(session.client == "c3" and session.first for session in found.clients)


def test_nobody_cleared_leaves_only_what_all_do_together(rulebase: Rulebase) -> None:
    found = plan(rulebase.knowledge, [_person(code, 12, "recent-surgery") for code in ("a1", "b2")], 45)
    assert not found.stations and found.together and len(found.warnings) == 2


@pytest.mark.parametrize("number", [1, 9])
def test_a_class_too_small_or_too_large_is_refused(rulebase: Rulebase, number: int) -> None:
    with pytest.raises(InputError, match="2 to 8 clients"):
        plan(rulebase.knowledge, [_person(f"c{n}") for n in range(number)], 45)


def test_nobody_is_named_twice(rulebase: Rulebase) -> None:
    with pytest.raises(InputError, match="twice"):
        plan(rulebase.knowledge, [_person("a1"), _person("a1")], 45)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_what_holds_for_every_class(rulebase: Rulebase, data: st.DataObject) -> None:
    conditions = ["stroke", "dementia", "parkinsons", "frailty", "recent-fall", "osteoporosis", "low-vision", "copd"]
    people = [
        _person(
            f"c{number}", data.draw(st.integers(0, 18)), *data.draw(st.lists(st.sampled_from(conditions), max_size=2)),
            cleared=tuple(data.draw(st.sets(st.sampled_from(conditions)))),
        )
        for number in range(data.draw(st.integers(2, 8)))
    ]  # fmt: skip
    minutes = data.draw(st.integers(15, 90))
    found = plan(rulebase.knowledge, people, minutes)
    assert found == plan(rulebase.knowledge, people, minutes)
    if found.stations:
        _check(rulebase, found)
