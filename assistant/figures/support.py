"""Askers for support: share of body weight on poles, rail or band, band relief, and how far a tip may tilt."""

from __future__ import annotations

from assistant.figures import geometry, poles, relief
from assistant.figures.ask import CUSTOM, OWN, Ask
from assistant.figures.fitting import stature_or_default
from assistant.figures.numbers import Number
from assistant.shapes import Figure
from assistant.units import CM_PER_IN, KG_PER_LB, length, plain

_READS = (
    "reads",
    "read",
    "says",
    "shows",
    "to",
    "drops",
    "reading",
    "showing",
    "registers",
    "falls",
    "hits",
    "presses",
    "press",
    "pressing",
    "puts",
    "leans",
    "leaning",
)
_BODY = (
    "weighs",
    "weigh",
    "bodyweight",
    "body",
    "client",
    "is",
    "shes",
    "hes",
    "man",
    "woman",
    "bloke",
    "lady",
    "at",
    "of",
    "weight",
)
_ANCHOR = ("anchor", "anchored", "hook", "hooked", "fixed", "tied", "beam", "bar", "rack", "hung", "hangs")
_SLACK = ("slack", "unstretched", "resting", "rest", "limp", "long", "relaxed", "natural")
_HELD = ("hands", "handles", "held", "holds", "belt", "harness", "elbows")
_DEPTH = ("down", "deep", "depth", "drop", "drops", "lower", "bottom", "sinks", "sink", "sinking", "descends")
_RATE = ("stretch", "stretched", "per")
_WORDS, _AFTER, LIGHTEST, DEFAULT_DEPTH = 4, 3, 35.0, 30.0


def support_share(ask: Ask) -> list[Figure]:
    """Share of body weight on one or two pole tips, or taken by a band or rail (what the scale lacks)."""
    follow = ask.short and ask.last("support-share") is not None and ask.said(*_READS)
    if not (ask.wants("support-share") or follow) or (ask.now("band-relief") and ask.units("deg")):
        return []
    loads = _loads(ask)
    last = ask.last("support-share")
    if len(loads) < 2 and last and ask.short and ask.numbers and "body_kg" in last.inputs:
        loads = [Number(last.inputs["body_kg"], "kg", -1), *(loads or [Number(ask.numbers[0].value, "kg", 0)])]
    if len(loads) < 2:
        return []
    body = max(loads, key=lambda n: n.kg)
    rest = [n for n in loads if n is not body]
    hanging = rest[0].kg > body.kg / 2
    both = (
        len(rest) > 1 and not hanging and ask.said("left", "right", "both", "each", "two", "other", "poles", "sticks")
    )
    reading = sum(n.kg for n in rest[:2]) if both else rest[0].kg
    if not both and ask.said("each") and not hanging:
        reading *= 2
    share = relief.support_share(reading, body.kg, hanging)
    taken = body.kg - reading if hanging else reading
    unit = "lb" if "lb" in (loads[0].unit, body.unit) else "kg"
    shown = taken / KG_PER_LB if unit == "lb" else taken
    what = "The two poles take" if both else "The support takes"
    sentence = f"{what} {plain(shown)} {unit}, {plain(share)}% of body weight. Weigh it again at the same depth to see help fade."
    inputs = {"body_kg": body.kg, "reading_kg": reading}
    return [Figure("support-share", share, "percent", CUSTOM, sentence, None, inputs)]


def _loads(ask: Ask) -> list[Number]:
    """Masses of the question; a bare number that reads as one shares the unit of the others."""
    given = ask.units("kg", "lb", "stone")
    if not given:
        return []
    unit = given[0].unit if given[0].unit != "stone" else "kg"
    bare = [
        Number(n.value, unit, n.at)
        for n in ask.units("")
        if not n.spelled
        and (ask.near(n, *_READS, before=3, after=1) or (len(given) < 2 and ask.near(n, *_BODY, before=2, after=0)))
    ]
    return sorted([*given, *bare], key=lambda n: n.at)[:3]


def band_relief(ask: Ask) -> list[Figure]:
    """Relief of a band hung from above: pull x cos(angle from vertical) over body weight."""
    if not ask.now("band-relief"):
        return []
    angle = next((n.value for n in ask.units("deg")), None)
    loads = sorted(ask.units("kg", "lb", "stone", "n") or [], key=lambda n: n.kg)
    if len(loads) < 2:
        loads = sorted(_loads(ask), key=lambda n: n.kg)
    if angle is None or len(loads) < 2:
        return []
    pull, body = loads[0], loads[-1]
    share = relief.band_relief(pull.kg, body.kg, angle)
    up = pull.kg * share / 100 * body.kg / pull.kg
    sentence = (
        f"The band takes {plain(share)}% of body weight ({plain(up)} kg straight up): {plain(pull.kg)} kg x cos({plain(angle)} degrees) / "
        f"{plain(body.kg)} kg. It fades as the client rises."
    )
    inputs = {"pull_kg": pull.kg, "body_kg": body.kg, "angle": angle}
    return [Figure("support-share", share, "percent", OWN, sentence, None, inputs)]


def band_at_depth(ask: Ask) -> list[Figure]:
    """Pull of a band hung from above at a depth, from anchor height, slack length and stiffness; share of body weight."""
    if not ask.now("band-depth"):
        return []
    anchor, slack, stiffness = _told(ask, _ANCHOR), _told(ask, _SLACK), _stiffness(ask)
    if anchor is None or slack is None or stiffness is None:
        return []
    stature, asks = stature_or_default(ask)
    held = _told(ask, _HELD) or poles.ELBOW_HEIGHT * stature
    depth = _told(ask, _DEPTH) or DEFAULT_DEPTH
    band = relief.Band(anchor, held, slack, stiffness)
    pull, up = relief.band_pull(band, depth)
    top = relief.band_pull(band, 0.0)[1]
    mass = ask.fact("mass_kg") or next((n.kg for n in ask.units("kg", "lb", "stone") if n.kg >= LIGHTEST), None)
    unit = "lb" if any(n.unit == "lb" for n in ask.numbers) else "kg"
    share = f", {plain(100 * up / mass)}% of body weight" if mass else ""
    sentence = (
        f"{length(depth, ask.unit_first())} down the band pulls {_mass(pull, unit)}{share}; standing {_mass(top, unit)}: it fades as the client rises, while a pole can "
        f"press evenly. Held at {length(held, ask.unit_first())} when standing.{'' if _told(ask, _HELD) else asks}"
    )
    inputs = {
        "anchor_cm": anchor,
        "held_cm": held,
        "slack_cm": slack,
        "stiffness_kg_per_cm": stiffness,
        "depth_cm": depth,
    }
    figures = [Figure("band-pull", pull, "kg", OWN, sentence, None, inputs | ({"body_kg": mass} if mass else {}))]
    if mass:
        figures.append(Figure("support-share", 100 * up / mass, "percent", OWN, "", None, {"body_kg": mass}))
    return figures


def _mass(kg: float, unit: str) -> str:
    return (
        f"{plain(kg / KG_PER_LB)} lb ({plain(kg)} kg)"
        if unit == "lb"
        else f"{plain(kg)} kg ({plain(kg / KG_PER_LB)} lb)"
    )


def _told(ask: Ask, names: tuple[str, ...]) -> float | None:
    """The length whose nearest naming word is one of `names`."""
    words = [word.text for word in ask.question.words]
    every = (*_ANCHOR, *_SLACK, *_HELD, *_DEPTH, *_RATE)
    places = {i: w for i, w in enumerate(words) if w in every}
    clause = [word.clause for word in ask.question.words]
    for n in ask.units("cm", "m", "ft", "in"):
        own = {i for i in places if clause[i] == clause[n.at]} or set(places)
        before = [i for i in own if n.at - _WORDS <= i < n.at]
        after = [i for i in own if n.at < i <= n.at + _AFTER]
        near = min([*before, *after], key=lambda i: (abs(i - n.at), i > n.at), default=None)
        if near is not None and places[near] in names:
            return n.cm
    return None


def _stiffness(ask: Ask) -> float | None:
    """Kilograms per centimetre: '0.3 kg per cm', '2 lb an inch', or a pull at a stretch ('8 kg at 40 cm of stretch')."""
    words = [word.text for word in ask.question.words]
    for n in ask.units("kg", "lb", "n"):
        after = words[n.at + 2 : n.at + 5]
        if after[:1] in (["per"], ["a"], ["an"], ["each"], ["every"]) and after[1:2] in (
            ["cm"],
            ["in"],
            ["inch"],
            ["centimetre"],
        ):
            return n.kg / (1.0 if after[1] in ("cm", "centimetre") else CM_PER_IN)
    pulls = [n for n in ask.units("kg", "lb", "n") if n.kg < LIGHTEST]
    stretch = _told(ask, ("stretch", "stretched"))
    return pulls[0].kg / stretch if pulls and stretch else None


def tip_angle(ask: Ask) -> list[Figure]:
    """Largest tilt of a pole tip for a friction coefficient: atan(mu); or the friction a tilt needs."""
    if not ask.wants("tip-angle"):
        return []
    friction = next((n.value for n in ask.numbers if n.unit == "" and 0 < n.value < 1.5 and n.value != 1), None)
    if friction is not None:
        tilt = geometry.tip_tilt(friction)
        sentence = (
            f"At a friction of {plain(friction, 2)} the tip holds up to {plain(tilt)} degrees from upright (vertical): arctan {plain(friction, 2)}. "
            "Stay well inside: plant it within 10 degrees, press straight down, dry the floor and the rubber."
        )
        return [Figure("tip-angle", tilt, "degrees", OWN, sentence, None, {"friction": friction})]
    tilt_given = next((n.value for n in ask.units("deg") if 0 < n.value <= 60), None)
    if tilt_given is None:
        return []
    needed = geometry.friction_for(tilt_given)
    sentence = f"A pole tilted {plain(tilt_given)} degrees from upright needs a friction of at least {plain(needed, 2)} (tan of the angle) under its tip."
    return [Figure("tip-friction", needed, "ratio", OWN, sentence, None, {"tilt": tilt_given})]
