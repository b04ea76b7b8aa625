"""Routes held against networkx: rungs with closed states, doors with what each movement asks for first, and an honest no."""

from __future__ import annotations

import itertools
import random

import networkx as nx
import pytest

from assistant.answering.ways import Trip, trip_lines, trip_text
from assistant.conversation import Assistant
from assistant.matching import routes
from assistant.matching.ladder import forbidden, neighbours
from assistant.matching.limits import Limits, ladder_of
from assistant.matching.way_asked import asked_way
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Axis, Entry, Forbid, Knowledge, Ladder, Level, Neighbour, Subject
from assistant.understanding.question import Reader

Graph = nx.DiGraph


def _entry(forbids: tuple[Forbid, ...]) -> Entry:
    return Entry(
        "closed", "caution", "stroke", (), ("stroke",), False, (), (), False, "", "Not that one.", "", "", (), "guideline",
        "", (), forbids, (), (), "", 0,
    )  # fmt: skip


def _random_ladder(rng: random.Random) -> Ladder:
    axes = []
    for number in range(rng.randint(1, 4)):
        levels = []
        for place in range(rng.randint(2, 5)):
            needs = ("poles",) if rng.random() < 0.3 else ()
            stand_in = "With a rail." if needs and rng.random() < 0.5 else ""
            levels.append(
                Level(f"l{place}", f"l{place}", "do", None, needs, (), stand_in, ("rail",) if stand_in else ())
            )
        axes.append(Axis(f"a{number}", "", tuple(levels)))
    return Ladder(tuple(axes), {}, {"default": ()}, (), "up", "down", (), (), (), ())


@pytest.mark.parametrize("seed", range(60))
def test_a_way_costs_what_networkx_says(seed: int) -> None:
    """Random ladders, closed rungs and missing kit; the reference is networkx on the graph of open states."""
    rng = random.Random(seed)
    ladder = _random_ladder(rng)
    forbids = tuple(Forbid((), axis.id, f"l{rng.randint(0, 4)}", "", "") for axis in ladder.axes if rng.random() < 0.3)
    missing = rng.choice([(), ("poles",), ("poles", "rail")])
    bounds = Limits((_entry(forbids),) if forbids else (), missing)
    names = {"m": Subject("m", "movement", "m", "", ladder), "stroke": Subject("stroke", "condition", "stroke", "")}
    names |= {kit: Subject(kit, "equipment", kit, "") for kit in ("poles", "rail")}
    knowledge = Knowledge(subjects=names)
    start, goal = (tuple(rng.choice(axis.levels).id for axis in ladder.axes) for _ in range(2))
    graph = Graph()
    ids = [axis.id for axis in ladder.axes]
    for state in itertools.product(*[[level.id for level in axis.levels] for axis in ladder.axes]):
        graph.add_node(state)
        for name, _, reached in neighbours(ladder, dict(zip(ids, state, strict=True))):
            there = tuple(reached if n == name else lv for n, lv in zip(ids, state, strict=True))
            axis = ladder.axes[ids.index(name)]
            level = axis.levels[axis.index(reached)]
            own = not any(kit in missing for kit in level.needs)
            other = bool(level.stand_in) and "rail" not in missing
            if (own or other) and not forbidden(forbids, "m", axis, reached):
                graph.add_edge(state, there)
    way = routes.way(knowledge, "m", dict(zip(ids, start, strict=True)), dict(zip(ids, goal, strict=True)), bounds)
    if nx.has_path(graph, start, goal):
        assert way.rungs is not None and len(way.rungs) == nx.shortest_path_length(graph, start, goal)
    else:
        assert way.rungs is None


def _movement(name: str, harder: list[str], needs: list[str]) -> Subject:
    axis = Axis(
        "support", "", (Level("rail", "rail", "Hold.", None, (), ()), Level("none", "none", "Let go.", None, (), ()))
    )
    ups = tuple(Neighbour(each, f"to {each}", ()) for each in harder)
    first = tuple(Neighbour(each, "five clean ones", ()) for each in needs)
    return Subject(name, "movement", name, "", Ladder((axis,), {}, {}, (), "up", "down", (), (), ups, first))


def _random_movements(rng: random.Random, with_needs: bool) -> Knowledge:
    """Movements in an order; harder ones and what they ask for first keep to it, so that no circle forms."""
    names = [f"m{n}" for n in range(rng.randint(4, 8))]
    subjects = {}
    for place, name in enumerate(names):
        harder = [each for each in names[place + 1 :] if rng.random() < 0.35]
        needs = [each for each in names[:place] if rng.random() < 0.25] if with_needs else []
        subjects[name] = _movement(name, harder, needs)
    return Knowledge(subjects=subjects)


@pytest.mark.parametrize("seed", range(40))
def test_doors_are_the_shortest_path_of_networkx(seed: int) -> None:
    """Without anything asked for first, doors are edges and the fewest of them a shortest path."""
    rng = random.Random(seed)
    knowledge = _random_movements(rng, with_needs=False)
    graph = Graph()
    graph.add_nodes_from(knowledge.subjects)
    for name, subject in knowledge.subjects.items():
        assert subject.ladder is not None
        graph.add_edges_from((name, door.movement) for door in subject.ladder.harder_movements)
    origin, target = "m0", max(knowledge.subjects)
    found = routes.doors(knowledge, origin, target, Limits())
    if nx.has_path(graph, origin, target):
        assert found is not None and len(found) == nx.shortest_path_length(graph, origin, target)
    else:
        assert found is None


@pytest.mark.parametrize("seed", range(40))
def test_what_is_asked_for_first_comes_first_and_no_shorter_way_exists(seed: int) -> None:
    """With prerequisites: networkx's shortest path on the graph whose nodes are the sets of movements met."""
    rng = random.Random(1000 + seed)
    knowledge = _random_movements(rng, with_needs=True)
    needs = {n: {e.movement for e in s.ladder.needs_first} for n, s in knowledge.subjects.items() if s.ladder}
    harder = {n: {e.movement for e in s.ladder.harder_movements} for n, s in knowledge.subjects.items() if s.ladder}
    asks = Graph([(name, each) for name in needs for each in needs[name]])
    asks.add_nodes_from(needs)
    origin, target = rng.sample(sorted(needs), 2)
    begun = frozenset(nx.descendants(asks, origin) | {origin})
    graph = Graph()
    graph.add_node(begun)
    for size in range(len(needs) + 1):
        for extra in itertools.combinations(sorted(set(needs) - begun), size):
            met = begun | set(extra)
            for each in set(needs) - met:
                led = any(each in harder[m] for m in met) or bool(needs[each] & met)
                if led and needs[each] <= met:
                    graph.add_edge(met, met | {each})
    ways = nx.single_source_shortest_path_length(graph, begun)
    best = min((cost for met, cost in ways.items() if target in met), default=None)
    found = routes.doors(knowledge, origin, target, Limits())
    if target in begun:
        assert found is not None and [name for name, _ in found] == [target]
        return
    assert (None if found is None else len(found)) == best
    met = set(begun)
    for name, _ in found or ():
        assert needs[name] <= met
        met.add(name)


def test_no_movement_asks_for_itself_first(rulebase: Rulebase) -> None:
    subjects = rulebase.knowledge.subjects
    asks = Graph([(s.id, e.movement) for s in subjects.values() if s.ladder for e in s.ladder.needs_first])
    assert nx.is_directed_acyclic_graph(asks)


def test_every_movement_is_reached_from_the_chair(rulebase: Rulebase) -> None:
    ladders = [s.id for s in rulebase.knowledge.subjects.values() if s.ladder and s.id != "sit-to-stand"]
    assert all(routes.doors(rulebase.knowledge, "sit-to-stand", each, Limits()) for each in ladders)


def test_a_closed_start_is_never_entered_and_the_no_names_it(rulebase: Rulebase) -> None:
    knowledge = rulebase.knowledge
    ladder = ladder_of(knowledge, "half-kneel-to-stand")
    closed = tuple(
        Forbid(("half-kneel-to-stand",), axis.id, level.id, "", "") for axis in ladder.axes for level in axis.levels
    )
    entry = next(e for e in knowledge.entries.values() if e.conditions)
    shut = Limits((Entry(**{**vars(entry), "forbids": closed}),))
    found = routes.doors(knowledge, "sit-to-stand", "half-kneel-to-stand", shut)
    text = trip_text(knowledge, Trip("half-kneel-to-stand", {}, "half-kneel-to-stand", {"pad": "0-in"}, shut))
    assert found is not None and [name for name, _ in found] == ["half-kneel-to-stand"]
    assert text.startswith("No safe route") and "Blocked by" in text
    onward = routes.doors(knowledge, "sit-to-stand", "floor-transfer", shut)
    assert onward is None or "half-kneel-to-stand" not in [name for name, _ in onward]


def test_missing_poles_are_stood_in_for_by_a_rail(rulebase: Rulebase) -> None:
    trip = Trip("step-up", {"support": "fixed-support"}, "step-up", {"support": "none"}, Limits((), ("walking-poles",)))
    lines = trip_lines(rulebase.knowledge, trip)
    assert [label for label, _ in lines][:6] == ["ROUTE", "RUNG 1", "RUNG 2", "RUNG 3", "RUNG 4", "RUNG 5"]
    assert not any("pole" in text for label, text in lines if label.startswith("RUNG"))


# -- asked in words ------------------------------------------------------------------------------------------------------

STATES = [
    ("how do I get from two poles on a 4 in step to no poles on an 8 in step, step-ups",
     {"support": "two-poles", "height": "4-in"}, {"support": "none", "height": "8-in"}),
    ("step-ups: route from a 10 cm step to a 20 cm step", {"height": "4-in"}, {"height": "8-in"}),
    ("shortest way from both hands on the rail to one pole opposite in step ups", {"support": "fixed-support"}, {"support": "contralateral"}),
    ("what are the rungs between 2 in and 6 in to get there safely, step up from 2 to 6 in step", {"height": "2-in"}, {"height": "6-in"}),
    ("step up, now two poles, goal is hands free, what order", {"support": "two-poles"}, {"support": "none"}),
    ("split squat, from an 8 in pad to a 4 in pad, safest route?", {"pad": "8-in"}, {"pad": "4-in"}),
    ("take her from fingertip touch to no support in the step-up, one at a time", {"support": "touch-down"}, {"support": "none"}),
    ("route to no poles for step ups please", {}, {"support": "none"}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "here", "goal"), STATES)
def test_states_are_read_from_words(
    reader: Reader, rulebase: Rulebase, text: str, here: dict[str, str], goal: dict[str, str]
) -> None:
    asked = asked_way(reader.read(text), rulebase)
    assert asked is not None
    for axis, level in here.items():
        assert asked[1].get(axis) == level, asked
    for axis, level in goal.items():
        assert asked[3].get(axis) == level, asked


@pytest.mark.parametrize("text", [each[0] for each in STATES])
def test_a_route_asked_for_is_the_first_point(assistant: Assistant, text: str) -> None:
    answer = assistant.ask(text)
    assert answer.status == "answered" and answer.points[0].text.startswith("Route: "), answer.points
    assert answer.points[0].sources


@pytest.mark.parametrize(("text", "doors"), [
    ("route from sit to stand to floor transfer", ["half-kneel to stand", "floor transfer"]),
    ("what is the safest way from sit-to-stand to split squats", ["tandem", "single-leg stance", "step-up", "split squat"]),
    ("path from step-ups to step-downs?", ["step-down"]),
])  # fmt: skip
def test_a_route_to_another_movement_passes_what_it_asks_for_first(
    assistant: Assistant, text: str, doors: list[str]
) -> None:
    told = assistant.ask(text).points[0].text
    places = [told.find(f"{number}: {name}") for number, name in enumerate(doors, 1)]
    assert all(place > 0 for place in places) and places == sorted(places), told


def test_a_route_that_a_condition_closes_says_so(assistant: Assistant) -> None:
    told = assistant.ask("stroke last year, route from two poles to no hands in step-ups").points[0].text
    assert told.startswith("No safe route") and "stroke" in told and "Open: as far as" in told
