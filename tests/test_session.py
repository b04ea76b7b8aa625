"""One client's session: where it starts, what it leaves out, and what no session may ever do."""

from __future__ import annotations

import itertools
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.errors import InputError
from assistant.planning.building import session
from assistant.planning.person import Person
from assistant.planning.timing import shares
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Axis, Entry, Ladder
from assistant.session_shapes import Line, Session

CHAIR, TANDEM, ONE_LEG, TUG = "30-s-chair-stand", "four-stage-balance", "single-leg-stance-test", "timed-up-and-go"
WOMAN = Person(age=72, sex="female")


def _line(found: Session, movement: str) -> Line:
    return next(line for line in found.lines if line.movement == movement and line.slot != "rehearse")


def _built(rulebase: Rulebase, person: Person, minutes: int = 60, aim: str = "") -> Session:
    return session(rulebase.knowledge, person, minutes, aim)


def _ladder(rulebase: Rulebase, movement: str) -> Ladder:
    ladder = rulebase.knowledge.subjects[movement].ladder
    assert ladder is not None
    return ladder


# -- where it starts -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stands", "height", "support"),
    [(0, "22-in", "fixed-support"), (9, "20-in", "touch-down"), (10, "18-in", "none"), (14, "18-in", "none")],
)
def test_chair_stands_against_the_line_for_age_and_sex(
    rulebase: Rulebase, stands: int, height: str, support: str
) -> None:
    """CDC 2017, STEADI 30-Second Chair Stand: below 10 is below average for a woman of 70 to 74."""
    line = _line(_built(rulebase, replace(WOMAN, results={CHAIR: stands})), "sit-to-stand")
    assert (line.state["height"], line.state["support"]) == (height, support)


def test_unknown_sex_takes_the_safe_rung_only_where_the_lines_part(rulebase: Rulebase) -> None:
    """CDC 2017: at 70 to 74 the line is 10 for women and 12 for men."""
    for stands, height in ((9, "20-in"), (11, "22-in"), (12, "18-in")):
        found = _built(rulebase, Person(age=72, results={CHAIR: stands}))
        assert _line(found, "sit-to-stand").state["height"] == height, stands
        assert "sex" in found.ask


@pytest.mark.parametrize(("seconds", "movement"), [(9.9, "tandem-stance"), (10, "single-leg-stance")])
def test_ten_seconds_of_tandem_open_the_one_leg_stance(rulebase: Rulebase, seconds: float, movement: str) -> None:
    """CDC 2017, STEADI 4-Stage Balance Test: a tandem stance held under 10 s marks a raised fall risk."""
    found = _built(rulebase, replace(WOMAN, results={TANDEM: seconds, ONE_LEG: 6}))
    assert _line(found, movement)


@pytest.mark.parametrize(("seconds", "height"), [(4.9, "2-in"), (5, "4-in")])
def test_five_seconds_on_one_leg_set_the_step(rulebase: Rulebase, seconds: float, height: str) -> None:
    """Vellas BJ et al. 1997, J Am Geriatr Soc 45(6):735-738, doi:10.1111/j.1532-5415.1997.tb01479.x."""
    found = _built(rulebase, replace(WOMAN, results={CHAIR: 12, ONE_LEG: seconds}))
    assert _line(found, "step-up").state == {"support": "two-poles", "height": height, "load": "body-weight"}


@pytest.mark.parametrize(("seconds", "position"), [(11.9, "forward"), (12, "weight-shift")])
def test_twelve_seconds_up_and_go_keep_the_steps_in_place(rulebase: Rulebase, seconds: float, position: str) -> None:
    """CDC 2017, STEADI Timed Up & Go: 12 s or more marks a raised fall risk."""
    line = _line(_built(rulebase, replace(WOMAN, results={TUG: seconds})), "gait-step")
    assert line.state["position"] == position and line.state["support"] == "fixed-support"


def test_without_screens_everything_is_held_and_low_and_the_screens_are_asked_for(rulebase: Rulebase) -> None:
    found = _built(rulebase, WOMAN)
    for line in found.lines:
        axis = _ladder(rulebase, line.movement).axis("support") if line.movement else None
        if axis and "support" in line.state:
            assert axis.index(line.state["support"]) == 0, line.name
    assert found.ask.startswith("Tell me: ") and "\n" not in found.ask
    assert all(name in found.ask for name in ("30-second chair stand", "4-Stage Balance Test"))


def test_a_noted_rung_comes_before_any_screen(rulebase: Rulebase) -> None:
    noted = {"step-up": {"height": "6-in", "support": "contralateral"}}
    line = _line(_built(rulebase, replace(WOMAN, results={CHAIR: 5}, rungs=noted)), "step-up")
    assert line.state["height"] == "6-in" and line.basis == "noted rung"


def test_the_next_rungs_lead_to_the_goal_with_the_criterion(rulebase: Rulebase) -> None:
    person = replace(WOMAN, results={CHAIR: 9}, goal="stairs")
    line = _line(_built(rulebase, person), "step-up")
    assert [(rung.axis, rung.level) for rung in line.next] == [
        ("support", "contralateral"), ("height", "4-in"), ("height", "6-in"),
    ]  # fmt: skip
    assert all(rung.criterion == _ladder(rulebase, "step-up").up for rung in line.next)


# -- what comes first ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("conditions", "clears"),
    [
        ([("recent-surgery", "", None)], "recent-surgery"),
        ([("knee-replacement", "left", 5.0)], "recent-surgery"),
        ([("recent-fall", "", None)], "recent-fall"),
        ([("heart-disease", "", None)], "heart-disease"),
        ([("stroke", "left", 200.0)], "stroke"),
        ([("vertebral-fracture", "", 6.0)], "vertebral-fracture"),
    ],
)
def test_what_needs_clearance_refuses_parts_until_it_is_given(
    rulebase: Rulebase, conditions: list[tuple[str, str, float | None]], clears: str
) -> None:
    person = Person(age=70, sex="male", conditions=tuple(conditions), results={CHAIR: 14, TANDEM: 10, ONE_LEG: 12})
    held = _built(rulebase, person)
    refused = {block.part for block in held.blocks if not block.lines}
    assert {"main", "floor"} <= refused and held.first
    assert all(block.absent and block.absent[0].sources for block in held.blocks if not block.lines)
    for line in held.lines:
        if "support" in line.state:
            assert line.state["support"] == "fixed-support", line.name
    cleared = _built(rulebase, replace(person, cleared=(clears,)))
    assert any(block.part == "main" and block.lines for block in cleared.blocks)


def test_old_surgery_is_no_recent_surgery(rulebase: Rulebase) -> None:
    person = Person(age=70, sex="male", conditions=(("knee-replacement", "left", 100.0),))
    assert not _built(rulebase, person).first


def test_a_client_with_heart_disease_who_trains_already_goes_on_gently(rulebase: Rulebase) -> None:
    """Riebe D et al. 2015, Med Sci Sports Exerc 47(11):2473-2479, doi:10.1249/MSS.0000000000000664: active with known
    disease and without symptoms, moderate exercise goes on."""
    trained = Person(
        age=70, sex="male", conditions=(("heart-disease", "", 300.0),), rungs={"row": {"position": "seated"}}
    )
    found = _built(rulebase, trained)
    row = _line(found, "row")
    assert not found.first and "RPE 11 to 13" in row.dose
    assert "overhead press" in " ".join(reason.text for reason in found.left_out)


def test_after_a_fall_that_was_looked_into_sets_are_few_and_support_goes_back_a_rung(rulebase: Rulebase) -> None:
    person = Person(
        age=74, sex="female", conditions=(("recent-fall", "", None),), cleared=("recent-fall",),
        rungs={"step-up": {"height": "4-in", "support": "contralateral"}}, results={CHAIR: 12}, goal="stairs",
    )  # fmt: skip
    line = _line(_built(rulebase, person), "step-up")
    assert line.state["support"] == "two-poles" and line.dose.startswith("1 x ")


def test_movements_a_condition_makes_wait_are_named_with_the_reason(rulebase: Rulebase) -> None:
    person = Person(age=70, sex="male", conditions=(("shoulder-problem", "right", None),))
    reasons = {reason.what: reason for reason in _built(rulebase, person).left_out}
    assert reasons["overhead-press"].rule == "shoulder-problem-overhead" and reasons["overhead-press"].sources


# -- time ------------------------------------------------------------------------------------------------------------------


def test_short_of_time_the_floor_goes_first_and_is_said(rulebase: Rulebase) -> None:
    found = _built(rulebase, replace(WOMAN, results={CHAIR: 12}), 15)
    floor = next(block for block in found.blocks if block.part == "floor")
    assert not floor.lines and "no time" in floor.absent[0].text
    assert any(block.part == "main" and block.lines for block in found.blocks)


def test_with_the_floor_as_goal_it_comes_before_the_main_patterns(rulebase: Rulebase) -> None:
    found = _built(rulebase, replace(WOMAN, results={CHAIR: 12}, goal="floor"), 45)
    parts = [block.part for block in found.blocks]
    assert parts.index("floor") < parts.index("main")
    assert next(block for block in found.blocks if block.part == "floor").lines


def test_power_brings_fast_rises_before_the_main_patterns(rulebase: Rulebase) -> None:
    person = replace(WOMAN, rungs={"sit-to-stand": {"height": "18-in", "support": "none"}})
    found = _built(rulebase, person, 60, "power")
    assert [block.part for block in found.blocks][:4] == ["warm-up", "balance", "fast", "main"]
    assert "6 to 10 reps" in next(line for line in found.lines if line.slot == "fast-rise").dose


@pytest.mark.parametrize("minutes", [0, 14, 91, 10_000])
def test_minutes_out_of_range_are_refused(rulebase: Rulebase, minutes: int) -> None:
    with pytest.raises(InputError, match="15 to 90"):
        session(rulebase.knowledge, WOMAN, minutes)


def test_shares_add_up_for_every_length(rulebase: Rulebase) -> None:
    parts = [part for part in rulebase.knowledge.session.parts if not part.aim]
    for total, favoured in itertools.product(range(15, 91), ("", "floor")):
        found = shares(parts, total, favoured)
        assert sum(share.minutes for share in found) <= total
        assert all(share.minutes == 0 or share.minutes >= share.part.least for share in found), (total, favoured)


# -- what no session may ever do -------------------------------------------------------------------------------------------


@st.composite
def _people(draw: st.DrawFn, rulebase: Rulebase) -> Person:
    subjects = rulebase.knowledge.subjects.values()
    conditions = sorted(each.id for each in subjects if each.kind == "condition")
    kit = sorted(each.id for each in subjects if each.kind == "equipment")
    ladders = {each.id: each.ladder for each in subjects if each.ladder}
    has = draw(st.lists(st.sampled_from(conditions), max_size=3, unique=True))
    rungs = {
        movement: {axis.id: draw(st.sampled_from(axis.levels)).id for axis in ladders[movement].axes}
        for movement in draw(st.lists(st.sampled_from(sorted(ladders)), max_size=4, unique=True))
    }
    results = draw(
        st.fixed_dictionaries(
            {}, optional={name: st.integers(0, 40).map(float) for name in (CHAIR, TANDEM, ONE_LEG, TUG, "gait-speed")}
        )
    )
    weeks = st.one_of(st.none(), st.floats(0, 600))
    return Person(
        age=draw(st.one_of(st.none(), st.integers(50, 100).map(float))), sex=draw(st.sampled_from(["", "female", "male"])),
        conditions=tuple((each, "", draw(weeks)) for each in has), results=results, rungs=rungs,
        missing=tuple(draw(st.lists(st.sampled_from(kit), max_size=4, unique=True))),
        cleared=tuple(draw(st.lists(st.sampled_from(has or ["copd"]), unique=True))),
        goal=draw(st.sampled_from(["", *(goal.id for goal in rulebase.knowledge.session.goals)])),
    )  # fmt: skip


def _shut(entries: list[Entry], movement: str, axis: Axis) -> set[str]:
    """Levels that cautions close, spelt out level by level: a slow twin of the matcher's."""
    ids = [level.id for level in axis.levels]
    shut: set[str] = set()
    for forbid in (forbid for entry in entries for forbid in entry.forbids):
        if forbid.axis == axis.id and (not forbid.movements or movement in forbid.movements):
            shut |= {forbid.level} & set(ids)
            shut |= set(ids[ids.index(forbid.above) + 1 :]) if forbid.above in ids else set()
            shut |= set(ids[: ids.index(forbid.below)]) if forbid.below in ids else set()
    return shut


def _cautions(rulebase: Rulebase, person: Person) -> list[Entry]:
    has = set(person.has)
    return [
        entry
        for entry in rulebase.knowledge.entries.values()
        if entry.forbids and entry.conditions and not entry.only_about
        and (set(entry.conditions) <= has if entry.all_conditions else bool(set(entry.conditions) & has))
    ]  # fmt: skip


def _graph(ladder: Ladder) -> nx.DiGraph[tuple[str, ...]]:
    """All states of a ladder; an edge is one level harder on one axis."""
    paths = [nx.path_graph([level.id for level in axis.levels], create_using=nx.DiGraph) for axis in ladder.axes]
    graph: nx.DiGraph[tuple[str, ...]] = nx.DiGraph()
    for state in itertools.product(*(path.nodes for path in paths)):
        for at, path in enumerate(paths):
            graph.add_edges_from(
                (state, (*state[:at], after, *state[at + 1 :])) for after in path.successors(state[at])
            )
    return graph


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_what_no_session_may_ever_do(rulebase: Rulebase, data: st.DataObject) -> None:
    person = data.draw(_people(rulebase))
    minutes = data.draw(st.integers(15, 90))
    aim = data.draw(st.sampled_from(["", "learn", "strength", "power"]))
    found = _built(rulebase, person, minutes, aim)
    assert found == _built(rulebase, person, minutes, aim)  # the same twice
    _no_closed_rung(rulebase, person, found)
    _no_second_axis(rulebase, found)
    assert sum(block.minutes for block in found.blocks) <= minutes
    assert all(block.minutes == sum(line.minutes for line in block.lines) for block in found.blocks)
    wanted = {part.id for part in rulebase.knowledge.session.parts if part.aim in ("", aim)}
    assert {block.part for block in found.blocks} == wanted
    assert all(bool(block.lines) != bool(block.absent) for block in found.blocks)
    _all_cited(rulebase, found)
    used = {line.movement for line in found.lines if line.movement}
    names = {rulebase.knowledge.subjects[start.movement].name for start in rulebase.knowledge.session.starts}
    named = {rulebase.knowledge.subjects[each].name for each in used} | set(found.open)
    named |= {rulebase.knowledge.subjects[reason.what].name for reason in found.left_out}
    assert named == names  # every movement is in it, left out with a reason, or open for another day


def _no_closed_rung(rulebase: Rulebase, person: Person, found: Session) -> None:
    entries = _cautions(rulebase, person)
    for line in found.lines:
        if not line.movement:
            continue
        reached = [line.state]
        for rung in line.next:
            reached.append({**reached[-1], rung.axis: rung.level})
        for axis in _ladder(rulebase, line.movement).axes:
            shut = _shut(entries, line.movement, axis)
            for state in reached:
                level = axis.levels[axis.index(state[axis.id])]
                assert level.id not in shut, (line.name, level.id)
                assert not set(level.needs) & set(person.missing), (line.name, level.id)


def _no_second_axis(rulebase: Rulebase, found: Session) -> None:
    for line in found.lines:
        if not line.next:
            continue
        ladder = _ladder(rulebase, line.movement)
        graph = _graph(ladder)
        names = [axis.id for axis in ladder.axes]
        here = dict(line.state)
        for rung in line.next:
            there = {**here, rung.axis: rung.level}
            assert graph.has_edge(tuple(here[n] for n in names), tuple(there[n] for n in names)), (line.name, rung)
            here = there
        assert len(line.next) <= 3


def _all_cited(rulebase: Rulebase, found: Session) -> None:
    known = rulebase.knowledge
    for line in found.lines:
        assert line.sources and set(line.sources) <= set(found.sources) and line.rule in known.entries, line.name
        assert all(rung.sources and set(rung.sources) <= set(found.sources) for rung in line.next)
    for reason in (*found.first, *found.left_out, *(each for block in found.blocks for each in block.absent)):
        assert reason.sources and set(reason.sources) <= set(found.sources), reason
