"""Askers for loads against body weight: a share of it in the hands or on the belt, and what a piece of kit is rated for."""

from __future__ import annotations

from assistant.figures.ask import CUSTOM, Ask
from assistant.figures.numbers import Number
from assistant.shapes import Figure
from assistant.units import KG_PER_LB, mass, plain

LIGHTEST = 35.0  # a mass under this (kg) is a load and no client
_FRACTIONS = {
    "half": 50.0, "third": 100 / 3, "quarter": 25.0, "fifth": 20.0, "sixth": 100 / 6, "eighth": 12.5, "tenth": 10.0, "twentieth": 5.0,
}  # fmt: skip
_TOTAL = ("total", "altogether", "combined", "overall", "both", "all", "together")
_HANDS = ("hand", "side", "arm", "fist", "each", "apiece")
_PROPS = ("pole", "poles", "rail", "band", "bands", "scale", "scales", "tip", "tips", "leans", "leaning")
_RATED = (
    "rated",
    "rating",
    "limit",
    "holds",
    "hold",
    "max",
    "maximum",
    "capacity",
    "good",
    "takes",
    "take",
    "swl",
    "up",
)


def masses(ask: Ask) -> list[Number]:
    """Masses in the question heavy enough to be a grown-up, in text order."""
    return [n for n in ask.units("kg", "lb", "stone") if n.kg >= LIGHTEST]


def body_share(ask: Ask) -> list[Figure]:
    """A load as a share of body weight ('25% of bodyweight', 'a fifth'), in all and for each hand of a carry."""
    share = _share(ask)
    if share is None or ask.last("one-rep-max") or ask.said(*_PROPS):
        return []
    carried = "loaded-carry" in ask.question.movements
    named = ask.now("body-share")
    if not named and (ask.now("next-load", "one-rep-max", "load-jump") or not (carried or (ask.short and _again(ask)))):
        return []
    body = _body(ask)
    if body is None or body * share / 100 < 0.5:
        return []
    load = body * share / 100
    hands = carried or _hands_named(ask)
    each = hands and _each(ask)
    total = load * 2 if each else load
    value = load / 2 if hands and not each and _hands_named(ask) else load
    unit = _unit(ask)
    if each:
        tail = f" in each hand, {mass(total, unit)} in all"
    elif hands:
        tail = f" in all, {mass(total / 2, unit)} in each hand of a pair"
    else:
        tail = ""
    sentence = (
        f"{plain(share)}% of a body weight of {mass(body, unit)} is {mass(load, unit)}{tail}. "
        "First time: go lighter, tall posture and easy breath; 2-3 reps or one trip left."
    )
    shown = value / KG_PER_LB if unit == "lb" else value
    inputs = {"body_kg": body, "percent": share}
    return [Figure("training-load", shown, unit, CUSTOM, sentence, None, inputs)]


def _again(ask: Ask) -> bool:
    last = ask.last("training-load")
    return last is not None and "body_kg" in last.inputs


def _share(ask: Ask) -> float | None:
    told = next((p for p in ask.percents() if 1 <= p <= 200), None)
    if told is not None or not ask.now("body-share"):
        return told
    words = [w.text for w in ask.question.words]
    return next((_FRACTIONS[w] for w in words if w in _FRACTIONS), None)


def _body(ask: Ask) -> float | None:
    found = masses(ask)
    if found:
        return max(n.kg for n in found)
    told = ask.fact("mass_kg")
    last = ask.last("training-load")
    return told if told is not None else (last.inputs.get("body_kg") if last else None)


def _unit(ask: Ask) -> str:
    if ask.now("in-pounds") or ask.now("in-kilos"):
        return "lb" if ask.now("in-pounds") else "kg"
    return "lb" if any(n.unit == "lb" for n in masses(ask)) else "kg"


def _hands_named(ask: Ask) -> bool:
    return ask.said(*_HANDS)


def _each(ask: Ask) -> bool:
    """Whether the share is that of one hand: 'a side' or 'in each hand' close behind it and no total named."""
    if ask.said(*_TOTAL):
        return False
    words = ask.question.words
    at = next((n.at for n in ask.numbers if n.unit == "%"), None)
    if at is None:
        at = next((i for i, w in enumerate(words) if w.text in _FRACTIONS), 0)
    return any(w.text in _HANDS and w.clause == words[at].clause for w in words[at + 1 : at + 8])


def rated(ask: Ask) -> list[Figure]:
    """The client's weight (with what is held) in both units, against the load a chair, step or belt is rated for."""
    found = ask.units("kg", "lb", "stone")
    limit = next((n for n in found if n.kg >= LIGHTEST and ask.near(n, *_RATED, before=3, after=2)), None)
    known = limit.kg if limit and ask.now("rated") else _earlier_rating(ask)
    if known is None:
        return []
    rest = [n for n in found if n is not limit]
    body = max(rest, key=lambda n: n.kg, default=None)
    if body is None or body.kg < LIGHTEST:
        return []
    held = sum(
        n.kg for n in rest if n is not body and ask.near(n, "plus", "with", "and", "holding", "belt", "bell", before=3)
    )
    load = body.kg + held
    unit = "lb" if (limit or body).unit == "lb" else "kg"
    over = load > known
    verdict = (
        "over the rating: do not use it, take kit rated well above" if over
        else "within the rating, but leave a margin of a quarter or so: a drop into a seat loads it harder" if load <= 0.8 * known
        else "within the rating with little margin; a drop into a seat loads it harder, so take stronger kit"
    )  # fmt: skip
    with_load = f", {mass(load, unit)} with what is held" if held else ""
    sentence = f"Body weight {mass(body.kg, unit)}{with_load} against a rating of {mass(known, unit)}: {verdict}."
    inputs = {"rated_kg": known, "load_kg": load}
    return [Figure("body-weight", body.kg, "kg", CUSTOM, sentence, None, inputs)]


def _earlier_rating(ask: Ask) -> float | None:
    """The rating told in the turn before, when this one only tells the weight."""
    last = ask.last("body-weight")
    if not ask.short:
        return None
    if last:
        return last.inputs.get("rated_kg")
    told = ask.fact("load_kg") if "rated" in ask.earlier and not ask.now("rated") else None
    return told if told is not None and told >= LIGHTEST else None
