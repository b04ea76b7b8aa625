"""The rules of sessions held against published doses and lines, against the entries they name, and broken on purpose."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import pytest

from assistant.rulebase.loading import Rulebase, load_with_faults
from assistant.rulebase.session_model import Dose, SessionRules, thawed


def _dose(rulebase: Rulebase, name: str) -> Dose:
    return next(dose for dose in rulebase.knowledge.session.doses if dose.id == name)


def _within(inner: tuple[int, int], outer: tuple[int, int]) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]


# -- published doses -----------------------------------------------------------------------------------------------------


def test_strength_sets_are_those_of_the_position_statement(rulebase: Rulebase) -> None:
    """Fragala MS et al. 2019, Resistance training for older adults, J Strength Cond Res 33(8):2019-2052,
    doi:10.1519/JSC.0000000000003230: two to three sets for each exercise."""
    assert _dose(rulebase, "strength-reps").sets == (2, 3)


def test_strength_repetitions_are_those_for_novices(rulebase: Rulebase) -> None:
    """Ratamess NA et al. 2009, Progression models in resistance training, Med Sci Sports Exerc 41(3):687-708,
    doi:10.1249/MSS.0b013e3181915670: 8 to 12 repetitions for novices."""
    assert _dose(rulebase, "strength-reps").count == (8, 12)
    assert _within(_dose(rulebase, "learn-reps").count, (8, 12))


def test_power_is_one_to_three_sets_of_six_to_ten(rulebase: Rulebase) -> None:
    """Ratamess NA et al. 2009, doi:10.1249/MSS.0b013e3181915670, for older adults' power."""
    dose = _dose(rulebase, "power-reps")
    assert (dose.sets, dose.count) == ((1, 3), (6, 10))


def test_rest_between_sets_of_newer_clients(rulebase: Rulebase) -> None:
    """Grgic J et al. 2018, Sports Med 48(1):137-151, doi:10.1007/s40279-017-0788-x: 60 to 120 s for untrained people."""
    for name in ("learn-reps", "strength-reps"):
        assert 60 <= _dose(rulebase, name).rest <= 120


def test_a_frail_client_trains_thirty_to_forty_five_minutes(rulebase: Rulebase) -> None:
    """Bray NW et al. 2016, Exercise prescription to reverse frailty, Appl Physiol Nutr Metab 41:1112-1116,
    doi:10.1139/apnm-2016-0226: 30 to 45 min a session, effort 3 to 4 on the CR10 scale; pre-frail 45 to 60 min."""
    frail = next(each for each in rulebase.knowledge.session.adjust if each.id == "frail")
    assert frail.minutes is not None and 30 <= frail.minutes <= 45 and frail.effort == "3 to 4 of 10"
    assert 45 <= rulebase.knowledge.session.minutes.usual <= 60


def test_minutes_of_the_parts_can_be_kept(rulebase: Rulebase) -> None:
    rules = rulebase.knowledge.session
    assert sum(part.least for part in rules.parts if not part.aim) <= rules.minutes.usual
    assert sum(part.least for part in rules.parts if not part.drop) <= rules.minutes.least
    assert sum(part.share for part in rules.parts if not part.aim) <= 100


# -- the entries they rest on ----------------------------------------------------------------------------------------------


def test_a_dose_lies_in_the_range_of_the_entry_it_names(rulebase: Rulebase) -> None:
    """Numbers stand twice, once in words to read and once to reckon with: they may not part."""
    held = 0
    rules = rulebase.knowledge.session
    for rule in (*rules.doses, *rules.adjust):
        for figure in rulebase.knowledge.entries[rule.rule].figures:
            spans = {
                "sets": rule.sets,
                "reps": rule.count,
                "rest-seconds": (rule.rest, rule.rest) if rule.rest else None,
            }
            span = spans.get(figure.quantity)
            if span is None or (figure.quantity == "reps" and getattr(rule, "unit", "reps") != "reps"):
                continue
            low = figure.value if figure.low is None else figure.low
            high = figure.value if figure.high is None else figure.high
            assert span[0] <= high and span[1] >= low, (rule.id, figure)
            held += 1
    assert held >= 8


def test_every_movement_with_a_ladder_has_a_start_and_a_slot(rulebase: Rulebase) -> None:
    rules = rulebase.knowledge.session
    ladders = {subject.id for subject in rulebase.knowledge.subjects.values() if subject.ladder}
    assert {start.movement for start in rules.starts} == ladders
    assert {movement for part in rules.parts for slot in part.slots for movement in slot.movements} == ladders


def test_everybody_is_watched_by_some_rule(rulebase: Rulebase) -> None:
    last = rulebase.knowledge.session.watching[-1]
    assert not (last.conditions or last.movements or last.works or last.axis)


def test_rules_survive_the_compiled_file(rulebase: Rulebase) -> None:
    rules = rulebase.knowledge.session
    assert thawed(SessionRules, json.loads(json.dumps(dataclasses.asdict(rules)))) == rules


# -- broken rules ----------------------------------------------------------------------------------------------------------

_START = """id: x
kind: session
starts:
  - movement: step-up
    unit: reps
    safe: {%s}
    rule: step-up-screen-start
    sources: [common-practice]
"""


def test_a_rung_that_is_not_there_is_named_with_its_line(tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    (small / "sources.yaml").write_text(
        "common-practice: {authors: the trade, title: Custom, kind: common-practice, verified: memory}\n"
    )
    (small / "hop.yaml").write_text(
        "id: hop\nkind: movement\nname: hop\nterms: [hop]\nladder:\n  start: {height: low}\n  axes:\n    - axis: height\n"
        '      levels: [{id: low, name: low, do: "Low."}, {id: high, name: high, do: "High."}]\n'
        "  first: {default: [height]}\n  harder: [height]\n  up: Up.\n  down: Down.\n  sources: [common-practice]\n"
    )
    (small / "session.yaml").write_text(_START.replace("step-up\n", "hop\n", 1) % "height: middle")
    _, faults = load_with_faults([small])
    lines = [str(fault) for fault in faults if fault.file == "session.yaml"]
    assert any(
        line.startswith("session.yaml:6: start of hop 'height: middle' is no rung of hop: ") for line in lines
    ), lines
    assert any("names entry 'step-up-screen-start', which does not exist" in line for line in lines)


def test_house_rules_hold_back_and_never_widen(rulebase: Rulebase, tmp_path: Path) -> None:
    hold = (
        "  - {id: own-hold, conditions: [copd], refuse: [main], say: Ask first., cleared: GP, rule: copd-dose,"
        " sources: [common-practice]}\n"
    )
    (tmp_path / "more.yaml").write_text(f"id: house\nkind: session\nholds:\n{hold}")
    (tmp_path / "wider.yaml").write_text(_START % "height: 8-in")
    found, faults = load_with_faults([rulebase.root, tmp_path])
    assert [fault.what for fault in faults] == ["unknown key 'starts'"]
    assert any(each.id == "own-hold" for each in found.knowledge.session.holds)


@pytest.mark.parametrize("name", ["holds", "waits", "goals", "starts", "doses", "adjust", "watching", "apart"])
def test_every_rule_cites_an_entry_and_a_source(rulebase: Rulebase, name: str) -> None:
    rules = getattr(rulebase.knowledge.session, name)
    assert rules and all(rule.rule in rulebase.knowledge.entries and rule.sources for rule in rules)
