"""Askers for scores added up from free words: sitting-rising, Stay Independent, falls in Parkinson's, postural drop."""

from __future__ import annotations

import itertools
import re

from assistant.figures import norms
from assistant.figures.ask import Ask
from assistant.shapes import Figure
from assistant.units import plain

BRITO, STAY, CDC = "brito-2012-ability-sit", "rubenstein-2011-validating-evidence", "cdc-2019-steadi-algorithm"
SARC = "malmstrom-2013-sarc-f"
PAUL, FREEMAN, SHAW = "paul-2013-three-simple", "freeman-2011-consensus-statement", "shaw-2017-optimal-diagnostic"
_COUNTS = {
    "a": 1, "an": 1, "one": 1, "1": 1, "both": 2, "two": 2, "2": 2, "three": 3, "3": 3, "no": 0, "none": 0, "without": 0,
    "zero": 0, "0": 0, "four": 4, "4": 4, "single": 1,
}  # fmt: skip
_SUPPORTS = ("support", "hand", "knee", "forearm", "thigh", "elbow", "arm", "side")
_WOBBLES = (
    "wobble",
    "wobbles",
    "wobbly",
    "wobbled",
    "unsteady",
    "sway",
    "sways",
    "swayed",
    "stagger",
    "stumble",
    "lurch",
)
_DOWN = ("down", "sitting", "sit", "sat", "lowering", "lower", "descent", "descending")
_UP = ("up", "rise", "rising", "rose", "stand", "standing", "stood", "ascent", "rises")
_PRESSURES = re.compile(r"(\d{2,3})\s*(?:/|over)\s*(\d{2,3})")
_UPRIGHT = ("standing", "stood", "stand", "upright", "up")


# -- sitting-rising test ---------------------------------------------------------------------------------------------


def sitting_rising(ask: Ask) -> list[Figure]:
    """Sitting-rising score from supports and wobbles on the way down and up, or the study band of a given score."""
    if "sitting-rising-test" not in ask.question.screens and not ask.wants("sitting-rising"):
        return []
    counted = _counted(ask)
    if counted is not None:
        total = norms.sitting_rising(*counted[:4])
        note = " Tell me which supports were on the way down and which on the way up." if counted[4] else ""
        inputs = dict(zip(("down", "up", "wobbles_down", "wobbles_up"), counted[:4], strict=True))
        sentence = (
            f"Sitting-rising score {plain(total)} of 10 points: 5 down and 5 up, less 1 for each support (hand, forearm, knee, "
            f"side of leg) and 0.5 for each wobble.{note}"
        )
        return [
            Figure("sitting-rising-score", total, "points", (BRITO,), sentence, None, inputs),
            *_hazard(ask, total, ""),
        ]
    score = next((n.value for n in ask.numbers if 0 <= n.value <= 10 and n.unit in ("", "points")), None)
    return _hazard(ask, score, "told") if score is not None else []


def _hazard(ask: Ask, score: float, told: str) -> list[Figure]:
    table = ask.knowledge.tables.get("sitting-rising-hazard")
    row = norms.band(table, score) if table else None
    if table is None or row is None or row.value is None:
        return []
    sentence = (
        f"A score of {plain(score)} lies in the {plain(row.low or 0)}-{plain(row.high or 0)} band: hazard of death "
        f"{plain(row.value, 2)} times that of 8 to 10, in adults of 51 to 80 over about six years. It is an association, not a "
        "forecast for one person."
    )
    asked = told or ask.wants("hazard")
    hazard = Figure(
        "sitting-rising-hazard-ratio",
        row.value,
        "ratio",
        (table.source,),
        sentence if asked else "",
        None,
        {"score": score},
    )
    return [hazard, Figure("sitting-rising-score", score, "points", (table.source,))] if told else [hazard]


def _counted(ask: Ask) -> tuple[float, float, float, float, bool] | None:
    """Supports down and up, wobbles down and up, and whether the halves were left open; None when none was told."""
    words = [w.text for w in ask.question.words]
    named = {i for m in ask.question.mentions if m.kind == "screen" for i in range(*m.span)}
    halves = [
        (i, "down" if w in _DOWN else "up") for i, w in enumerate(words) if w in (*_DOWN, *_UP) and i not in named
    ]
    opens = {i for i, w in enumerate(ask.question.words) if i == 0 or w.clause != ask.question.words[i - 1].clause}
    told = [(i, *found) for i in range(len(words)) if (found := _support(words, i, i in opens))]
    if not told:
        return None
    ways = any(one == "both" and two in ("way", "ways", "directions") for one, two in itertools.pairwise(words))
    both = ask.said("each", "ways", "directions") or ways
    before_support = bool(halves) and halves[0][0] < told[0][0]
    unable = ask.said("unable", "couldnt", "cant", "cannot") and ask.said("rise", "stand", "up")
    sums = {("down", "support"): 0.0, ("up", "support"): 0.0, ("down", "wobble"): 0.0, ("up", "wobble"): 0.0}
    for i, kind, count in told:
        half = _half(halves, i, before_support)
        for each in ("down", "up") if both else (half,):
            sums[each, kind] += count
    if unable:
        sums["up", "support"] = 5.0
    open_halves = not both and len({half for _, half in halves}) == 0 and sums["down", "support"] > 0
    return (*sums.values(), open_halves)  # type: ignore[return-value]


def _half(halves: list[tuple[int, str]], at: int, named_first: bool) -> str:
    """Which half a support belongs to: the last one named before it, or the first after it when halves come last."""
    if named_first:
        return next((half for i, half in reversed(halves) if i < at), "down")
    return next((half for i, half in halves if i > at), halves[-1][1] if halves else "down")


def _support(words: list[str], i: int, opens: bool = False) -> tuple[str, float] | None:
    """('support', count) or ('wobble', count) for a word that names one; one that `opens` a clause needs no count."""
    word = words[i]
    singular = word.removesuffix("s")
    count = next((_COUNTS[w] for w in reversed(words[max(0, i - 3) : i]) if w in _COUNTS), None)
    close = next((_COUNTS[w] for w in reversed(words[max(0, i - 2) : i]) if w in _COUNTS), None)
    if word in _WOBBLES:
        return "wobble", float(1 if count is None else count)
    if singular not in _SUPPORTS or (singular == "side" and words[i + 1 : i + 2] != ["of"]):
        return None
    if close is None and not opens and not (i and words[i - 1] in ("and", "plus", "hand", "with", "used", "using")):
        return None
    return "support", float((2 if word.endswith("s") else 1) if close is None else close)


# -- questionnaires ----------------------------------------------------------------------------------------------------


def stay_independent(ask: Ask) -> list[Figure]:
    """Stay Independent points from the items named, against the line of 4."""
    if not ask.now("stay-independent"):
        return []
    items = {
        t.removeprefix("si-"): norms.STAY_INDEPENDENT[t.removeprefix("si-")]
        for t in ask.triggers
        if t.startswith("si-")
    }
    if not items:
        return []
    points = float(sum(items.values()))
    risk = "positive: raised fall risk, a flag" if points >= 4 else "under the line; still ask about falls"
    named = ", ".join(f"{_ITEM[name]} {value}" for name, value in sorted(items.items(), key=lambda i: -i[1]))
    sentence = f"Stay Independent {plain(points)} of 14 points ({named}). The line is 4 or more: {risk}."
    line = Figure("stay-independent-cutoff", 4.0, "points", (CDC,))
    return [Figure("stay-independent-points", points, "points", (STAY, CDC), sentence), line]


_ITEM = {
    "fell": "fell in the past year", "aid": "cane or walker", "unsteady": "unsteady", "furniture": "holds furniture",
    "worried": "worried about falling", "pushes": "pushes up with hands", "curb": "trouble with curbs", "toilet": "rushes to the toilet",
    "feet": "feeling lost in feet", "lightheaded": "medicine makes light-headed", "sleep": "medicine for sleep or mood", "sad": "sad",
}  # fmt: skip


# SARC-F (Malmstrom 2013): five items of 0 to 2 points, found by a word near which the answer stands.
_SARC_ITEMS = {
    "strength": ("lifting", "carrying", "lift", "carry", "strength"), "walking": ("walking", "walk", "room"),
    "chair": ("chair", "chairs", "bed", "rising", "rise"), "stairs": ("stairs", "stair", "climbing", "climb", "flight"),
    "falls": ("falls", "fall", "fell"),
}  # fmt: skip
_NONE, _LOT = (
    ("none", "no", "fine", "ok", "without", "zero", "0"),
    ("cant", "unable", "lot", "lots", "cannot", "very", "couldnt"),
)
_SOME = ("some", "bit", "slight", "little", "bother", "trouble", "hard")


def sarc_f(ask: Ask) -> list[Figure]:
    """SARC-F total from its five items told in words, against the line of 4."""
    if not ("sarc-f" in ask.question.screens or ask.now("is-sarc-f")):
        return []
    clauses: dict[int, list[str]] = {}
    for word in ask.question.words:
        clauses.setdefault(word.clause, []).append(word.text)
    found = {item: points for words in clauses.values() for item, points in _sarc_items(words)}
    if len(found) < 4:
        return []
    total = float(sum(found.values()))
    verdict = "positive: test strength (grip or five chair stands), a flag" if total >= 4 else "under the line"
    parts = ", ".join(f"{item} {points}" for item, points in found.items())
    missing = "" if len(found) == 5 else " Tell me the missing item."
    sentence = f"SARC-F {plain(total)} of 10 points ({parts}). The line is 4 or more: {verdict}.{missing}"
    return [
        Figure("sarc-f-total", total, "points", (SARC,), sentence),
        Figure("sarc-f-cutoff", 4.0, "points", (SARC,)),
    ]


def _sarc_items(words: list[str]) -> list[tuple[str, int]]:
    """Items named in one clause with their points."""
    items = [item for item, names in _SARC_ITEMS.items() if any(w in names for w in words)]
    counts = [float(w) for w in words if w.replace(".", "").isdigit()] + [
        float(_COUNTS[w]) for w in words if w in _COUNTS
    ]
    result = []
    for item in items:
        if item == "falls" and counts:
            result.append((item, 0 if counts[0] == 0 else 1 if counts[0] < 4 else 2))
        elif any(w in _LOT for w in words):
            result.append((item, 2))
        elif any(w in _NONE for w in words):
            result.append((item, 0))
        elif any(w in _SOME for w in words):
            result.append((item, 1))
    return result


def borg(ask: Ask) -> list[Figure]:
    """What a rating on the 6 to 20 scale means."""
    table = ask.knowledge.tables.get("borg-6-20-bands")
    rating = next(
        (n for n in ask.units("") if 9 <= n.value <= 20 and ask.near(n, "rpe", "borg", before=3, after=2)), None
    )
    row = norms.band(table, rating.value) if table and rating else None
    if (
        not ask.now("borg")
        or table is None
        or rating is None
        or row is None
        or (rating.value <= 10 and not ask.said("20"))
    ):
        return []
    sentence = f"{plain(rating.value)} on the Borg 6-20 scale is {row.extra.get('band', row.label)} effort ({plain(row.low or 0)} to {plain(row.high or 0)})."
    return [Figure("borg-rpe", rating.value, "rating", (table.source,), sentence, (row.low or 0.0, row.high or 0.0))]


def parkinsons_falls(ask: Ask) -> list[Figure]:
    """Chance of a fall in six months from three findings in Parkinson's."""
    table = ask.knowledge.tables.get("parkinsons-three-findings")
    if "parkinsons" not in ask.question.conditions or not ask.now("pd-chance") or table is None:
        return []
    found = {
        name
        for name, trigger in (("fell", "si-fell"), ("freezes", "pd-freezes"), ("slow", "pd-slow"))
        if ask.now(trigger)
    }
    speed = next((n.value for n in ask.units("m/s")), None)
    if speed is not None and speed < 1.1:
        found.add("slow")
    if not found and speed is None:
        return []
    points = float(sum(norms.PARKINSONS_FALLS[name] for name in found))
    row = norms.band(table, points)
    if row is None or row.value is None:
        return []
    sentence = (
        f"{plain(points)} of 11 points (fall in the past year 6, freezing in the past month 3, walking under 1.1 m/s 2): about "
        f"{plain(row.value)}% chance of a fall in the next 6 months."
    )
    return [Figure("parkinsons-fall-probability", row.value, "percent", (PAUL,), sentence, None, {"points": points})]


# -- postural drop -------------------------------------------------------------------------------------------------------


def postural_drop(ask: Ask) -> list[Figure]:
    """Fall of blood pressure on standing from two readings, or the fall that counts."""
    named = "standing-blood-pressure" in ask.question.screens or ask.now("postural-drop")
    if not named:
        return []
    pairs = [(float(a), float(b), m.start()) for m in _PRESSURES.finditer(ask.question.text) for a, b in [m.groups()]]
    pairs = [(a, b, at) for a, b, at in pairs if 60 <= a <= 280 and 30 <= b <= 160 and a > b]
    seated = ask.said("sitting", "seated", "sat", "sits") and not ask.said(
        "lying", "supine", "lay", "flat", "lies", "laid"
    )
    line, source = ((15.0, 7.0), SHAW) if seated else ((20.0, 10.0), FREEMAN)
    rule = f"{plain(line[0])} or more systolic or {plain(line[1])} or more diastolic within 3 minutes, from {'sitting' if seated else 'lying'}"
    if len(pairs) < 2:
        meant = ask.said("bp", "pressure", "postural", "orthostatic", "hypotension")
        if pairs or not meant or not ask.wants("ask-line"):
            return []
        sentence = f"A postural drop is a fall of {rule} (mmHg). Symptoms count without it."
        return _drop_figures(line, source, sentence)
    upper, lower = _falls(ask, pairs)
    met = upper >= line[0] or lower >= line[1]
    verdict = (
        "that is a postural drop: sit down, no standing work yet, tell the clinician"
        if met
        else "not met, no postural drop; symptoms count all the same"
    )
    sentence = f"On standing the pressure falls {plain(upper)} systolic and {plain(lower)} diastolic (mmHg). A drop is {rule}: {verdict}."
    return [
        *_drop_figures(line, source, sentence),
        Figure("systolic-drop", upper, "mmHg", (source,)),
        Figure("diastolic-drop", lower, "mmHg", (source,)),
    ]


def _drop_figures(line: tuple[float, float], source: str, sentence: str) -> list[Figure]:
    return [
        Figure("systolic-drop-cutoff", line[0], "mmHg", (source,), sentence),
        Figure("diastolic-drop-cutoff", line[1], "mmHg", (source,)),
    ]


def _falls(ask: Ask, pairs: list[tuple[float, float, int]]) -> tuple[float, float]:
    """Falls of both pressures from rest to the lowest standing reading; the first pair is at rest unless named standing."""
    text = ask.question.text.lower()
    first = text[max(0, pairs[0][2] - 18) : pairs[0][2]]
    standing_first = (
        any(re.search(rf"\b{word}\b", first) for word in _UPRIGHT) and "lying" not in first and "sit" not in first
    )
    rest, standing = (pairs[-1], pairs[:-1]) if standing_first else (pairs[0], pairs[1:])
    return rest[0] - min(p[0] for p in standing), rest[1] - min(p[1] for p in standing)
