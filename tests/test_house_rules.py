"""A studio's own rules add and restrict; whatever they hold, no referral is lost, milder or talked away."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from journals import Run

from assistant.conversation import Assistant
from assistant.mentoring import comparing
from assistant.rulebase import loading
from assistant.rulebase.loading import Rulebase, load_with_faults, shipped_root
from assistant.rulebase.model import TIERS
from assistant.understanding.question import Reader

FLAG = """
  - id: {id}
    tier: {tier}
    sees: "nothing much"
    signs: [{signs}]
    do: ["Carry on with the set."]
    sources: [common-practice]
    evidence: common-practice
    asks: ["a", "b", "c", "d", "e", "f"]
    asks_not: ["squat", "lunge", "step up"]
"""
ENTRY = """
  - id: {id}
    kind: {kind}
    say: {say}
    {more}
    sources: [common-practice]
    evidence: common-practice
    asks: [{asks}]
"""
SAMPLE = 250


def misspelt(word: str, chance: random.Random) -> str:
    """Two letters in the middle swapped."""
    at = chance.randrange(1, len(word) - 2)
    return word[:at] + word[at + 1] + word[at] + word[at + 2 :]


@pytest.fixture(scope="module")
def attacks(rulebase: Rulebase) -> list[tuple[str, str]]:
    """(question, least urgency) that the shipped rules refer although a word of it is misspelt."""
    chance, alone = random.Random(7), Assistant(rulebase)
    asks = [(ask, flag.tier) for flag in rulebase.knowledge.flags.values() for ask in flag.asks]
    found = []
    for ask, _ in chance.sample(asks, SAMPLE):
        words = [word for word in ask.split() if len(word) > 5 and word.isalpha() and word.islower()]
        if not words:
            continue
        word = chance.choice(words)
        typed = ask.replace(word, misspelt(word, chance))
        answer = alone.ask(typed)
        if answer.status == "refer" and answer.urgency:
            found.append((typed, answer.urgency))
    assert len(found) > SAMPLE / 2
    return found


@pytest.fixture(scope="module")
def hostile(attacks: list[tuple[str, str]], tmp_path_factory: pytest.TempPathFactory) -> Rulebase:
    """House rules that try everything: names for the misspelt words, so that they are not mended; names for the signs
    themselves, and for what they are not; a file where the shipped one stands; flags in front of the shipped ones."""
    root = tmp_path_factory.mktemp("studio") / "red-flags"
    root.mkdir()
    words = sorted({word for ask, _ in attacks for word in ask.split() if word.isalpha() and word.islower()})
    names = ", ".join(f'"{word}"' for word in words)
    (root / "kit.yaml").write_text(f"id: kit\nkind: equipment\nname: our kit\nterms: [{names}]\n")
    signs = '"chest pain", "chest tight*", "crushing chest", "blue lips", "slurred speech", "face droop*"'
    (root / "look-alike.yaml").write_text(
        f"id: fine\nkind: condition\nname: fine\nterms: [{signs}]\nnot_terms: [{signs}, dizz*, faint*]\n"
    )
    (root / "heart-and-breath.yaml").write_text("id: heart-and-breath\nkind: red-flags\nflags: []\n")
    (root / "aaa.yaml").write_text(
        "id: aaa\nkind: red-flags\nflags:"
        + "".join(FLAG.format(id=f"aaa-{n}", tier="emergency", signs="chest|face|lips|left|she") for n in range(3))
    )
    (root / "limits.yaml").write_text(
        "id: limits\nkind: topic\nname: limits\nentries:"
        + ENTRY.format(
            id="house-step-limit", kind="setup", say='"No step above 6 in (15 cm) in our studio."',
            asks='"how high may a step be here", "how high may step-ups go in our studio", "step limit of the house"',
            more="movements: [step-up]\n    forbids: [{movements: [step-up], axis: height, above: 6-in}]",
        )
        + ENTRY.format(id="house-calm", kind="caution", say='"Chest pain is fine: carry on."',
            asks='"chest pain a", "chest pain b", "chest pain c"', more='about: ["chest ~ pain"]')
    )  # fmt: skip
    found, faults = load_with_faults([shipped_root(), root])
    assert not faults, faults[:3]
    return found


@pytest.fixture
def house(hostile: Rulebase, reader: Reader) -> Assistant:
    return Assistant(hostile, Reader(hostile, today=reader.today))


def urgency(tier: str | None) -> int:
    return TIERS.index(tier) if tier else len(TIERS)


def test_no_referral_is_lost_whatever_words_a_studio_owns(house: Assistant, attacks: list[tuple[str, str]]) -> None:
    lost = [(ask, tier) for ask, tier in attacks if urgency(house.ask(ask).urgency) > urgency(tier)]
    assert not lost, lost


def test_every_shipped_sign_still_refers(house: Assistant, rulebase: Rulebase) -> None:
    flags = [*rulebase.knowledge.flags.values()]
    assert set(rulebase.knowledge.flags) < set(house.rulebase.knowledge.flags)
    lost = [flag.id for flag in flags if urgency(house.ask(flag.asks[0]).urgency) > urgency(flag.tier)]
    assert not lost, lost


def test_what_to_do_now_is_the_shipped_one_first(house: Assistant, rulebase: Rulebase) -> None:
    answer = house.ask("crushing chest pain and sweating on the step")
    assert answer.points[0].rule in rulebase.knowledge.flags and "emergency number" in answer.points[0].text


def test_a_studio_flag_of_a_higher_tier_does_not_hide_the_shipped_one(house: Assistant, rulebase: Rulebase) -> None:
    alone, raised = Assistant(rulebase), 0
    for flag in rulebase.knowledge.flags.values():
        ask = f"{flag.asks[0]}, on her left"
        shipped, both = alone.ask(ask), house.ask(ask)
        if shipped.status == "refer" and both.urgency != shipped.urgency:
            raised += 1
            assert shipped.points[0].rule in [point.rule for point in both.points], ask
    assert raised > 10


def test_the_referral_holds_in_a_conversation_and_a_long_text(house: Assistant) -> None:
    from assistant.commands.asking import ask_whole

    assert house.ask("crushing chest pain on the step").status == "refer"
    assert house.ask("it is fine now, our rules say carry on", follow=True).status == "refer"
    house.reset()
    long = "\n".join(["a line about squats that went well"] * 120 + ["crushing chest pain on the last set"])
    assert ask_whole(house, long, follow=False).urgency == "emergency"


def test_a_restriction_for_everyone_holds(house: Assistant, rulebase: Rulebase) -> None:
    from assistant.matching.limits import limits

    question = "step-ups on a 6 inch step without poles are easy, how do I make them harder"
    rungs = [p.rule for p in house.ask(question).points if p.rule.startswith("ladder/step-up/height")]
    assert any(p.rule == "ladder/step-up/height/8-in" for p in Assistant(rulebase).ask(question).points)
    assert "ladder/step-up/height/8-in" not in rungs
    assert [e.id for e in limits(house.rulebase.knowledge, []).entries] == ["house-step-limit"]


@pytest.mark.parametrize(("content", "words"), [
    ("id: x\nkind: language\nspelled: {chest: knee}\n", "a house file of kind 'language'"),
    ("id: x\nkind: axes\naxes: {}\n", "a house file of kind 'axes'"),
    ("id: x\nkind: equipment\nname: x\nterms: [x]\nspelled: {chest: knee}\n", "unknown key 'spelled'"),
    ("id: x\nkind: equipment\nname: x\nterms: [x]\ngroups: {pain: [joy]}\n", "word group 'pain' stands twice"),
    ("id: step-up\nkind: movement\nname: x\nterms: [x]\n", "subject id 'step-up' is already used at movements/step-up"),
    ("id: f\nkind: red-flags\nflags: [{id: chest-pain, tier: soon, settled_by: [x]}]\n", "a flag has no signs"),
])  # fmt: skip
def test_what_could_weaken_the_shipped_rules_is_a_fault(tmp_path: Path, small: Path, content: str, words: str) -> None:
    root = tmp_path / "house"
    root.mkdir()
    (root / "x.yaml").write_text(content)
    faults = [str(fault) for fault in load_with_faults([small, root])[1]]
    mine = [fault for fault in faults if fault.startswith(f"{root}/x.yaml:")]
    assert any(words in fault for fault in mine), faults


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small shipped folder, read in no time."""
    root = tmp_path_factory.mktemp("shipped")
    (root / "movements").mkdir()
    (root / "movements" / "step-up.yaml").write_text("id: step-up\nkind: movement\nname: step-up\nterms: [step up]\n")
    (root / "groups.yaml").write_text("id: groups\nkind: language\ngroups:\n  pain: [hurts]\n")
    (root / "sources.yaml").write_text(
        "common-practice: {authors: the trade, title: Custom, kind: common-practice, verified: memory}\n"
    )
    return root


# -- the commands ----------------------------------------------------------------------------------------------------


@pytest.fixture
def overlay(rulebase: Rulebase, hostile: Rulebase, run: Run, monkeypatch: pytest.MonkeyPatch) -> Iterator[Run]:
    monkeypatch.setattr(loading, "load", lambda roots: (hostile if len(roots) > 1 else rulebase, []))
    monkeypatch.setattr(comparing, "examples", lambda known: [
        "how high may step-ups go in our studio", "chest pain on the step", "how high should a step be at first",
    ])  # fmt: skip
    monkeypatch.setattr(hostile, "shipped", rulebase)
    yield run


def test_diff_tells_what_is_added_closed_and_moved(overlay: Run, tmp_path: Path) -> None:
    status, out, _ = overlay("knowledge", "diff", "--knowledge", str(tmp_path))
    assert status == 0
    assert "added    setup house-step-limit" in out and "added    emergency flag aaa-0" in out
    assert "closed   step-up: height above 6-in (house-step-limit)" in out
    assert 'moved    "how high may step-ups go in our studio": ' in out and "-> house-step-limit" in out
    assert "of the 3 shipped example questions now land elsewhere; 0 referrals are lost or milder" in out


def test_diff_needs_a_folder(run: Run) -> None:
    status, _, err = run("knowledge", "diff")
    assert status == 2 and "knowledge diff --knowledge DIR" in err


def test_an_overlay_named_in_the_environment_is_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import argparse

    from assistant.commands.common import knowledge_roots

    monkeypatch.setenv("RUNGBOOK_KNOWLEDGE", str(tmp_path))
    assert knowledge_roots(argparse.Namespace(knowledge=None)) == [shipped_root(), tmp_path]
