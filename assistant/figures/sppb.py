"""Asker for the short physical performance battery: part points, totals, corrections and changes."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.figures import norms
from assistant.figures.ask import Ask
from assistant.figures.numbers import Number
from assistant.shapes import Figure
from assistant.units import plain

SPPB, PERERA = "guralnik-1994-short-physical", "perera-2006-meaningful-change"
_NAMES = {
    "balance": "balance", "stance": "balance", "stances": "balance", "gait": "gait", "walk": "gait", "walking": "gait",
    "chair": "chairs", "chairs": "chairs", "stands": "chairs", "stand": "chairs", "rises": "chairs", "sts": "chairs",
}  # fmt: skip
_STANCES = {"side": "side", "together": "side", "semi": "semi", "tandem": "tandem", "full": "tandem"}
_CHAIR = ("chair", "chairs", "stands", "sts", "rises", "rise")
_WALK = ("walk", "walked", "gait", "walks", "course", "speed", "walking")


def sppb(ask: Ask) -> list[Figure]:
    """SPPB total from parts or times, one part's points alone, a corrected total, or the change that counts."""
    earlier = ask.last("sppb-total")
    named = ask.wants("sppb") or "sppb" in ask.question.screens
    if not named and not earlier:
        return []
    if ask.now("real-change", "points-up") and not ask.units("s") and len(_points(ask)) < 2:
        return _meaning(ask)
    parts = _parts(ask)
    if earlier and not parts and ask.short and ask.now("ask-line"):
        return [_total(earlier.inputs)]
    if not named and (not parts or len(parts) == 3 or any(t.startswith("is-") for t in ask.triggers)):
        return []
    known = (
        {name: value for name, value in earlier.inputs.items() if name in ("balance", "gait", "chairs")}
        if earlier
        else {}
    )
    whole = {**known, **parts} if parts else {}
    if len(whole) == 3:
        return [_total(whole)]
    return [_part(name, points) for name, points in parts.items()] if named else []


def _parts(ask: Ask) -> dict[str, float]:
    points = _points(ask)
    timed = {"balance": _balance(ask), "gait": _gait(ask), "chairs": _chairs(ask)}
    if points and not ask.units("s"):  # no time is given: a bare number after the parts is no time either
        return points
    return {**points, **{name: value for name, value in timed.items() if value is not None}}


def _total(parts: Mapping[str, float]) -> Figure:
    total = sum(parts.values())
    sentence = (
        f"SPPB total {plain(total)} of 12 points: balance {plain(parts['balance'])}, gait {plain(parts['gait'])}, chairs "
        f"{plain(parts['chairs'])}. That is {norms.sppb_band(total)}; one point is a real change."
    )
    return Figure("sppb-total", total, "points", (SPPB,), sentence, None, dict(parts))


def _part(name: str, points: float) -> Figure:
    rule = {
        "balance": "side by side 10 s 1; semi-tandem 10 s 1; tandem 10 s 2, 3 to 9.99 s 1, under 3 s 0",
        "gait": "4 m walk under 4.82 s 4, to 6.20 s 3, to 8.70 s 2, slower 1",
        "chairs": "five rises in 11.19 s or less 4, to 13.69 s 3, to 16.69 s 2, to 60 s 1",
    }[name]
    quantity = {"balance": "sppb-balance-points", "gait": "sppb-gait-points", "chairs": "sppb-chair-points"}[name]
    label = {"balance": "balance", "gait": "gait (walk)", "chairs": "chair"}[name]
    sentence = f"SPPB {label}: {plain(points)} of 4 point{'' if points == 1 else 's'} ({rule})."
    return Figure(quantity, points, "points", (SPPB,), sentence)


def _meaning(ask: Ask) -> list[Figure]:
    sentence = "On the SPPB one point is a substantial, real change; half a point is a small meaningful one."
    figure = Figure("sppb-meaningful-change", 1.0, "points", (PERERA,), sentence, (0.5, 1.0))
    return [figure] if len(ask.numbers) < 2 or ask.last("sppb-total") else []


def _points(ask: Ask) -> dict[str, float]:
    """Part scores given as such: 'balance 3, gait 2, chairs 2' or '4 for balance, 3 walk, 2 for the chair bit'."""
    words = [w.text for w in ask.question.words]
    names = [(i, _NAMES[w]) for i, w in enumerate(words) if w in _NAMES]
    small = [n for n in ask.numbers if n.unit in ("", "points") and n.value in (0, 1, 2, 3, 4) and not _course(ask, n)]
    if not names or not small:
        return {}
    numbers_first = small[0].at < names[0][0]
    found: dict[str, float] = {}
    for n in small:
        near = [(i, name) for i, name in names if (n.at < i <= n.at + 4 if numbers_first else n.at - 4 <= i < n.at)]
        if near:
            found.setdefault(near[0][1] if numbers_first else near[-1][1], n.value)
    return found


def _course(ask: Ask, number: Number) -> bool:
    """'4 m walk', 'five chairs', '3 stances' count no points."""
    clause = ask.question.words[number.at].clause
    end = number.at + number.width
    after = [w.text for w in ask.question.words[end : end + 2] if w.clause == clause]
    return bool(after) and (
        after[0] in ("m", "stances", "stance", "s", "parts", "stands", "rises", "sit", "x", "times", "point")
        or (number.spelled and after[0] not in ("for", "on", "points", "out", "in", "balance", "gait", "walk"))
    )  # fmt: skip


def _balance(ask: Ask) -> float | None:
    if (
        ask.said("all", "full", "three", "3", "each", "every")
        and ask.said("stances", "stance", "positions")
        and not _times(ask, _STANCES)
    ):
        return 4.0
    held = _times(ask, _STANCES)
    if "semi" not in held and "tandem" not in held:
        return float(norms.sppb_balance(held["side"], 0, 0)) if held.get("side", 10) < 10 else None
    tandem = held.get("tandem", 0.0)
    semi = held.get("semi", 10.0 if "tandem" in held else 0.0)
    return float(norms.sppb_balance(held.get("side", 10.0), semi, tandem))


def _times(ask: Ask, names: dict[str, str]) -> dict[str, float]:
    """The seconds after each stance's name; 'semi tandem' is one name."""
    words = [w.text for w in ask.question.words]
    found: dict[str, float] = {}
    for i, word in enumerate(words):
        stance = names.get(word)
        if stance is None or ((word == "tandem" and i and words[i - 1] in ("semi", "full")) and stance in found):
            continue
        if (word == "tandem" and i and words[i - 1] == "semi") or (
            word == "full" and words[i + 1 : i + 2] != ["tandem"]
        ):
            continue
        for n in ask.numbers:
            between = words[i + 1 : n.at]
            own = ("tandem",) if word in ("semi", "full") else ("side", "by")
            if (
                i < n.at <= i + 5
                and n.unit in ("s", "")
                and not n.spelled
                and not any(w in names and w not in own for w in between)
            ):
                found.setdefault(stance, n.value)
                break
    return found


def _seconds(ask: Ask) -> list[Number]:
    """Numbers that can be times: seconds, or bare ones with a decimal."""
    bare = [
        n for n in ask.units("") if not n.spelled and n.value != ask.age and (n.value != int(n.value) or n.value > 5)
    ]
    return sorted([*ask.units("s"), *bare], key=lambda n: n.at)


def _gait(ask: Ask) -> float | None:
    course = next((n for n in ask.units("m") if 2 <= n.value <= 6), None)
    words = [w.text for w in ask.question.words]
    place = course.at if course else next((i for i, w in enumerate(words) if w in _WALK), None)
    if place is None:
        return None
    time = _nearest(ask, place, _CHAIR)
    return float(norms.sppb_gait(time.value, course.value if course else 4.0)) if time else None


def _chairs(ask: Ask) -> float | None:
    words = [w.text for w in ask.question.words]
    if ask.said("couldnt", "unable") and ask.said("rise", "chair", "chairs"):
        return 0.0
    places = [i for i, w in enumerate(words) if w in _CHAIR]
    for place in places:
        time = _nearest(ask, place, ("m", *_WALK, *_STANCES))
        if time:
            return float(norms.sppb_chairs(time.value))
    return None


def _nearest(ask: Ask, place: int, others: tuple[str, ...]) -> Number | None:
    """The time nearest to a place with no word of another part between them; one after it goes first."""
    words = ask.question.words
    clause = words[place].clause
    for n in sorted(_seconds(ask), key=lambda n: (words[n.at].clause != clause, n.at < place, abs(n.at - place))):
        low, high = sorted((place, n.at))
        if abs(n.at - place) <= 7 and not any(w in others for w in ask.words_between(low + 1, high)):
            return n
    return None
