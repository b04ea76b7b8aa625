"""`ask --explain` shows what was read, how each concept was found, and why entries won or lost, of the answer itself."""

from __future__ import annotations

import re

import pytest
from journals import Run

TEXT = "no chest pain, THR 2019, thesquat wobbels w 2 poles, easier?"


@pytest.fixture
def lines(run: Run) -> list[str]:
    code, out, _ = run("ask", "--no-log", "--plain", "--explain", TEXT)
    assert code == 0
    return out.splitlines()


def _section(lines: list[str], head: str) -> list[str]:
    start = next(i for i, line in enumerate(lines) if line.startswith(head))
    inside = lines[start + 1 :]
    return inside[: next((i for i, line in enumerate(inside) if not line.startswith(" ")), len(inside))]


def test_tokens_tell_how_they_came_about(lines: list[str]) -> None:
    tokens = _section(lines, "tokens:")
    assert "  0 no: as typed" in tokens
    assert "  5 the: parted from 'thesquat'" in tokens and "  6 squat: parted from 'thesquat'" in tokens
    assert "  7 wobbles: mended from 'wobbels'" in tokens
    assert "  8 with: short form of 'w'" in tokens
    assert [int(line.split()[0]) for line in tokens] == list(range(len(tokens)))


def test_concepts_have_span_pattern_and_sense(lines: list[str]) -> None:
    concepts = _section(lines, "concepts")
    hip = next(line for line in concepts if "hip-replacement" in line)
    assert "'thr' words 3-4, pattern 'thr', past" in hip
    squat = next(line for line in concepts if "movement squat:" in line)
    assert "words 6-7" in squat and squat.endswith("said")
    assert any("equipment walking-poles" in line for line in concepts)
    assert "  report balance" in concepts and "  report pain" not in concepts  # pain is denied


def test_contexts_have_cue_and_reach(lines: list[str]) -> None:
    contexts = _section(lines, "contexts:")
    assert "  denied by 'no': words 1-3 'chest pain'" in contexts
    assert any(line.startswith("  past by '2019'") for line in contexts)


def test_intents_have_scores_and_patterns(lines: list[str]) -> None:
    intents = _section(lines, "intents:")
    scores = [float(found[1]) for line in intents if (found := re.match(r"  [a-z]+ (\d+\.\d):", line))]
    assert scores == sorted(scores, reverse=True) and scores[0] > 3
    assert "@easier" in intents[0] and intents[-1] == "  chosen: regress"


def test_candidates_say_why_they_won_or_lost(lines: list[str]) -> None:
    candidates = [line for line in _section(lines, "candidates:") if re.match(r" *\d", line)]
    assert len(candidates) >= 5 and ": won; " in candidates[0]
    for line in candidates:
        assert re.search(r": (won|used as well|lost by \d+\.\d on \w+|lost: )", line), line
        total = float(line.split()[0])
        reasons = [float(each) for each in re.findall(r" ([+-]\d+\.\d)(?:,|$)", line)]
        assert sum(reasons) == pytest.approx(total, abs=0.06 * len(reasons))
    assert any(line.startswith("   out ") and "wants " in line for line in lines)
    assert any(re.match(r"confidence: 0\.\d\d|confidence: 1\.00", line) for line in lines)


def test_the_intent_shown_is_the_intent_answered(run: Run) -> None:
    for text in ("she just bends sideways at the waist on carries", "hip hikes on an 8 inch step"):
        _, out, _ = run("ask", "--no-log", "--explain", "--plain", text)
        _, answered, _ = run("ask", "--no-log", "--json", text)
        assert re.search(r"  chosen: (\w+)", out)[1] == re.search(r'"intent": ?"(\w+)"', answered)[1]  # type: ignore[index]


def test_a_flag_ends_the_search(run: Run) -> None:
    _, out, _ = run("ask", "--no-log", "--plain", "--explain", "went grey and sweaty on set 2 of squats")
    assert re.search(r"flag [a-z-]+ \(emergency\): '", out)
    assert "none looked at: a red flag comes first" in out and "status refer" in out
