"""Askers for set-ups: poles, canes, pads, ramps, seats, steps and support shares."""

from __future__ import annotations

from assistant.figures import geometry
from assistant.figures.ask import CUSTOM, OWN, Ask
from assistant.figures.numbers import Number
from assistant.shapes import Figure
from assistant.units import CM_PER_IN, inches, length, plain

KUMAR, POLE, SEAT = "kumar-1995-methods-estimating", "authors-2015-nordic-walking", "kuo-2013-influence-chair"
DEFAULT_STATURE = 165.0
_STEPS = ("step-up", "alternating-step-up", "lateral-step-up", "step-down")
_SPLITS = ("split-squat", "reverse-lunge", "forward-lunge", "lateral-lunge", "half-kneel-to-stand")


def _span(low: float, high: float, unit: str) -> str:
    metric = f"{plain(low, 0)} to {plain(high, 0)} cm"
    imperial = f"{plain(inches(low), 0)} to {plain(inches(high), 0)} in"
    return f"{imperial} ({metric})" if unit == "in" else f"{metric} ({imperial})"


def support_share(ask: Ask) -> list[Figure]:
    """Share of body weight on a pole (tip on a scale) or taken by a band or rail (what the scale lacks)."""
    loads = ask.units("kg", "lb", "stone")
    if not loads or not ask.wants("support-share"):
        return []
    bare = [
        n
        for n in ask.numbers
        if n.unit == "" and ask.near(n, "reads", "read", "says", "shows", "to", "drops", "reading", before=3, after=1)
    ]
    both = sorted([*loads, *[Number(n.value, loads[0].unit, n.at) for n in bare]], key=lambda n: n.at)[:2]
    if len(both) < 2:
        return []
    one, two = both[0].kg, both[1].kg
    body, reading = max(one, two), min(one, two)
    hanging = reading > body / 2
    share = geometry.support_share(reading, body, hanging)
    taken = body - reading if hanging else reading
    unit = "lb" if both[0].unit == "lb" else "kg"
    shown = taken / 0.45359237 if unit == "lb" else taken
    sentence = f"The support takes {plain(shown)} {unit}, {plain(share)}% of body weight. Weigh it again at the same depth to see help fade."
    return [Figure("support-share", share, "percent", CUSTOM, sentence, None, {"body_kg": body, "reading_kg": reading})]


def cane(ask: Ask) -> list[Figure]:
    """Cane length from stature, or the wrist-crease rule."""
    stature = ask.fact("stature_cm")
    if not ask.wants("cane-length") or stature is None or not ask.said("cane", "stick") or ask.said("pole", "poles"):
        return []
    value = geometry.cane(stature)
    sentence = (
        f"Cane about {length(value, ask.unit_first())}, from stature; then check that the handle meets the wrist crease with "
        "the arm hanging and shoes on (elbow bends 15 to 30 degrees when held)."
    )
    return [Figure("cane-length", value, "cm", (KUMAR,), sentence, (value - 3, value + 3), {"stature_cm": stature})]


def pole_extra(ask: Ask) -> list[Figure]:
    """How much longer poles are set for a step than for level walking."""
    if (
        not ask.wants("pole-extra")
        or not ask.said("step", "box", "stair")
        or not (ask.said("pole", "stick") or ask.question.equipment)
    ):
        return []
    step = ask.fact("step_cm") or ask.fact("length_cm") or 20.0
    sentence = (
        f"Let the poles out about 5 to 10 cm (2 to 4 in) longer than for level walking, up to the full {length(step, ask.unit_first())} "
        "if the client must stand tall on top; tips stay on the floor."
    )
    return [Figure("pole-extra-length", 10.0, "cm", CUSTOM, sentence, (5.0, step), {"step_cm": step})]


def pole(ask: Ask) -> list[Figure]:
    """Pole length for standing, a step-up or a split squat."""
    stature = ask.fact("stature_cm")
    if (
        not ask.wants("pole-length")
        or ask.said("cane")
        or not (ask.said("pole", "stick") or "walking-poles" in ask.question.equipment)
    ):
        return []
    if stature is None:
        return []
    unit = ask.unit_first()
    movement = next(iter(ask.question.movements), "")
    if movement in _STEPS and ask.fact("step_cm"):
        step = ask.fact("step_cm") or 0.0
        fit = geometry.step_up_pole(stature, step)
        where = f"for a {length(step, unit)} step, tips on the floor"
    elif movement in _SPLITS:
        pad = ask.fact("pad_cm") or 10.16
        fit = geometry.split_squat_pole(stature, pad)
        where = f"for a split squat to a {length(pad, unit)} pad"
    else:
        fit, where = geometry.walking_pole(stature), "for standing and walking"
    if not fit.fits:
        return [_no_pole(fit, stature, where)]
    angles = (
        "elbow at about a right angle (90 degrees)" if fit.elbow_top == fit.elbow_bottom
        else f"elbow {plain(fit.elbow_top, 0)} degrees at one end and {plain(fit.elbow_bottom, 0)} at the other"
    )  # fmt: skip
    sentence = f"Pole {_span(fit.low, fit.high, unit)}, start at {length(fit.length, unit)} {where}: {angles}. Then adjust by the elbow, shoes on."
    sources = (POLE, "common-practice") if where.startswith("for standing") else OWN
    return [Figure("pole-length", fit.length, "cm", sources, sentence, (fit.low, fit.high), {"stature_cm": stature})]


def _no_pole(fit: geometry.PoleFit, stature: float, where: str) -> Figure:
    sentence = f"No single pole length keeps the elbow in range {where}: favour the bottom ({plain(fit.low, 0)} cm) or change length between sets."
    return Figure("pole-length", fit.low, "cm", OWN, sentence, (fit.low, fit.high), {"stature_cm": stature})


def ramp(ask: Ask) -> list[Figure]:
    """Angle of a ramp or wedge from its height and base."""
    sizes = ask.units("in", "cm")
    if not ask.wants("ramp-angle") or len(sizes) < 2:
        return []
    rise, run = sorted((sizes[0].cm, sizes[1].cm))
    angle = geometry.slope(rise, run)
    sentence = f"That ramp slopes {plain(angle)} degrees: angle = arctan({plain(rise / run, 2)}), height over base."
    return [Figure("ramp-angle", angle, "degrees", OWN, sentence, None, {"rise_cm": rise, "run_cm": run})]


def seat(ask: Ask) -> list[Figure]:
    """Seat height from the knee crease or stature and a percentage of lower-leg length."""
    if not ask.wants("seat-height") or ask.question.intent not in (
        "setup",
        "regress",
        "dose",
        "plan",
        "screen",
        "caution",
        "explain",
    ):
        return []
    percents = ask.units("%")
    crease = next(
        (n for n in ask.units("cm", "in") if ask.near(n, "crease", "knee", "lower", "shank", "leg", before=6, after=4)),
        None,
    )
    stature = ask.fact("stature_cm")
    if crease is not None:
        knee = crease.cm
    elif stature is not None and ask.said("seat", "chair", "stool", "box", "bench"):
        knee = geometry.knee_crease(stature)
    else:
        return []
    share = percents[0].value if percents else 110.0
    value = geometry.seat(knee, share)
    unit = ask.unit_first()
    origin = "" if crease else " (knee crease estimated from stature: measure it)"
    low, high = knee, knee * 1.2
    tail = (
        ""
        if percents
        else f" Level with the knee is {length(low, unit)}, the easy end {length(high, unit)}. Feet flat on the floor; cushions or pads raise a low chair, a foot block helps short legs."
    )
    sentence = (
        f"Seat {length(value, unit)} high: {plain(share)}% of the {length(knee, unit)} knee height{origin}.{tail}"
    )
    return [
        Figure(
            "seat-height",
            value,
            "cm",
            (SEAT,),
            sentence,
            None if percents else (low, high),
            {"knee_cm": knee, "percent": share},
        )
    ]


def weeks_to(ask: Ask) -> list[Figure]:
    """Weeks until a pad, ramp or step ladder is climbed at a steady rate."""
    sizes = ask.units("in", "cm")
    if not ask.wants("weeks-to") or len(sizes) < 2:
        return []
    drop, start = sorted((sizes[0].cm, sizes[1].cm))
    per = (
        2.0
        if ask.said("fortnight", "fortnightly")
        else next((n.value for n in ask.units("week")), 4.0 if ask.said("month", "monthly") else 1.0)
    )
    rungs = start / drop
    weeks = -(-rungs // 1) * per
    unit = sizes[0].unit
    steps = " - ".join(
        plain(max(0.0, (start - i * drop) / (CM_PER_IN if unit == "in" else 1.0)), 0)
        for i in range(int(-(-rungs // 1)) + 1)
    )
    sentence = f"About {plain(weeks)} weeks to the floor: {steps} {unit}, {plain(per)} weeks a rung, if each rung is clean, in control and pain stays at 2/10 or less first."
    return [Figure("weeks-to-floor", weeks, "weeks", CUSTOM, sentence, None, {"start_cm": start, "drop_cm": drop})]


def split_depth(ask: Ask) -> list[Figure]:
    """Knee angles and hip drop on a pad, the pad for an angle, or what a rear-foot ramp changes."""
    if not ask.wants("split-depth") or not any(m in _SPLITS for m in ask.question.movements):
        return []
    stature = ask.fact("stature_cm") or DEFAULT_STATURE
    unit = ask.unit_first("in")
    angle = next((n.value for n in ask.units("deg") if 20 <= n.value <= 130), None)
    rise = ask.fact("ramp_cm") or 0.0
    shown = length(stature, "cm") if ask.fact("stature_cm") else f"{length(stature)} (stature not given)"
    if angle is not None:
        rear = ask.said("rear", "back")
        pad = geometry.pad_for_knee(stature, angle, rear, rise)
        which = "rear" if rear else "front"
        sentence = f"For a {which} knee of {plain(angle)} degrees use a pad of about {length(pad, unit)}, at a stature of {shown}; good to about an inch, so watch the knee."
        return [
            Figure(
                "pad-height",
                pad,
                "cm",
                OWN,
                sentence,
                (max(0.0, pad - 2.5), pad + 2.5),
                {"stature_cm": stature, "angle": angle},
            )
        ]
    if rise and ask.said("ramp", "wedge", "board"):
        return [_ramp_change(ask, stature, rise, shown)]
    pad_cm = ask.fact("pad_cm")
    if pad_cm is None:
        return []
    here = geometry.split_squat(stature, pad_cm)
    below = geometry.split_squat(stature, max(0.0, pad_cm - 2 * CM_PER_IN))
    sentence = (
        f"On a {length(pad_cm, unit)} pad at {shown}: hips drop {length(here.drop, unit)}, front knee about {plain(here.front_knee, 0)} and rear "
        f"{plain(here.rear_knee, 0)} degrees, {plain(100 * here.share, 0)}% of full depth. The next pad down adds {length(below.drop - here.drop, unit)} "
        f"and {plain(below.front_knee - here.front_knee, 0)} degrees."
    )
    inputs = {"stature_cm": stature, "pad_cm": pad_cm}
    return [
        Figure("hip-drop", here.drop, "cm", OWN, sentence, None, inputs),
        Figure("front-knee-angle", here.front_knee, "degrees", OWN, "", None, inputs),
        Figure("rear-knee-angle", here.rear_knee, "degrees", OWN, "", None, inputs),
        Figure("depth-share", 100 * here.share, "percent", OWN, "", None, inputs),
    ]


def _ramp_change(ask: Ask, stature: float, rise: float, shown: str) -> Figure:
    pad = ask.fact("pad_cm") or 0.0
    flat, raised = geometry.split_squat(stature, pad), geometry.split_squat(stature, pad, rise)
    more = raised.rear_knee - flat.rear_knee
    sentence = (
        f"A {length(rise, ask.unit_first('in'))} ramp under the rear foot at {shown} leaves hip drop ({length(raised.drop)}) and the front knee as they "
        f"are and bends the rear knee about {plain(more, 0)} degrees more ({plain(flat.rear_knee, 0)} to {plain(raised.rear_knee, 0)})."
    )
    return Figure(
        "rear-knee-change",
        more,
        "degrees",
        OWN,
        sentence,
        None,
        {"stature_cm": stature, "ramp_cm": rise, "pad_cm": pad},
    )


def step_knee(ask: Ask) -> list[Figure]:
    """Lead-knee bend asked by a step."""
    step = ask.fact("step_cm")
    if not ask.wants("step-knee") or step is None or not any(m in _STEPS for m in ask.question.movements):
        return []
    stature = ask.fact("stature_cm") or DEFAULT_STATURE
    bend = geometry.step_knee(stature, step)
    given = "" if ask.fact("stature_cm") else " (stature not given: taken as 165 cm)"
    sentence = f"A {length(step, ask.unit_first())} step bends the lead knee about {plain(bend, 0)} degrees at the start{given}; a lower step or a foot set further forward takes some off."
    return [
        Figure(
            "step-knee-angle",
            bend,
            "degrees",
            OWN,
            sentence,
            (bend - 8, bend + 8),
            {"stature_cm": stature, "step_cm": step},
        )
    ]
