"""Askers for fitting kit to the client: poles, canes and seats."""

from __future__ import annotations

from assistant.figures import geometry
from assistant.figures.ask import CUSTOM, OWN, Ask
from assistant.shapes import Figure
from assistant.units import inches, length, plain

KUMAR, POLE, SEAT = "kumar-1995-methods-estimating", "park-2015-nordic-walking", "kuo-2013-influence-chair"
DEFAULT_STATURE = 165.0
STEPS = ("step-up", "alternating-step-up", "lateral-step-up", "step-down")
SPLITS = ("split-squat", "reverse-lunge", "forward-lunge", "lateral-lunge", "half-kneel-to-stand", "walking-lunge")
SQUATS = ("squat", "sit-to-stand", "belt-squat")
DEFAULT_PAD, DEFAULT_SEAT = 10.16, 45.0
_SEATS = ("seat", "chair", "stool", "box", "bench", "plinth")


def stature_or_default(ask: Ask) -> tuple[float, str]:
    """The client's stature, or 165 cm with the line that asks for it."""
    stature = ask.fact("stature_cm")
    return (stature, "") if stature is not None else (DEFAULT_STATURE, " Tell me the client's height (165 cm taken).")


def _span(low: float, high: float, unit: str) -> str:
    metric = f"{plain(low, 0)} to {plain(high, 0)} cm"
    imperial = f"{plain(inches(low), 0)} to {plain(inches(high), 0)} in"
    return f"{imperial} ({metric})" if unit == "in" else f"{metric} ({imperial})"


def cane(ask: Ask) -> list[Figure]:
    """Cane length from stature, with the wrist-crease check."""
    stature = ask.fact("stature_cm")
    follow = ask.short and ask.last("pole-length", "cane-length") is not None
    named = ask.said("cane", "stick") and not ask.said("pole", "poles", "sticks")
    if not named or not (ask.wants("cane-length") or follow):
        return []
    crease = next(
        (n for n in ask.units("cm", "in") if 50 <= n.cm <= 110 and ask.near(n, "crease", "wrist", before=6, after=4)),
        None,
    )
    if crease:
        sentence = f"Cane {length(crease.cm, crease.unit)}: its handle meets the wrist crease, arm hanging, shoes on; the elbow then bends 15 to 30 degrees."
        return [Figure("cane-length", crease.cm, "cm", (KUMAR,), sentence, None, {"crease_cm": crease.cm})]
    if stature is None:
        return []
    value = geometry.cane(stature)
    sentence = (
        f"Cane about {length(value, ask.unit_first())}, from stature; then check that the handle meets the wrist crease with "
        "the arm hanging and shoes on (elbow bends 15 to 30 degrees when held)."
    )
    return [Figure("cane-length", value, "cm", (KUMAR,), sentence, (value - 3, value + 3), {"stature_cm": stature})]


def pole_extra(ask: Ask) -> list[Figure]:
    """How much longer poles are set for a step than for level walking."""
    kit = ask.said("pole", "stick") or "walking-poles" in ask.question.equipment or ask.last("pole-length") is not None
    if not ask.wants("pole-extra") or not ask.said("step", "box", "stair", "platform") or not kit:
        return []
    step = ask.fact("step_cm") or ask.fact("length_cm") or 20.0
    sentence = (
        f"Let the poles out about 5 to 10 cm (2 to 4 in) longer than for level walking, up to the full {length(step, ask.unit_first())} "
        "if the client must stand tall on top; tips stay on the floor."
    )
    return [Figure("pole-extra-length", 10.0, "cm", CUSTOM, sentence, (5.0, step), {"step_cm": step})]


def pole(ask: Ask) -> list[Figure]:
    """Pole length for standing, a step-up, a split squat or a squat."""
    kit = ask.said("pole", "stick") or "walking-poles" in ask.question.equipment or ask.last("pole-length") is not None
    follow = ask.short and ask.said("pole") and ask.last("cane-length") is not None
    if not (ask.wants("pole-length") or follow) or ask.said("cane") or not kit:
        return []
    given = ask.fact("stature_cm")
    if given is None and ask.question.intent not in ("setup", "dose", ""):
        return []
    stature, asks = stature_or_default(ask)
    fit, where = _pole_fit(ask, stature)
    if not fit.fits:
        return [_no_pole(fit, stature, where)]
    angles = (
        "elbow at about a right angle (90 degrees)" if fit.elbow_top == fit.elbow_bottom
        else f"elbow {plain(fit.elbow_top, 0)} degrees at one end and {plain(fit.elbow_bottom, 0)} at the other"
    )  # fmt: skip
    unit = ask.unit_first()
    sentence = f"Pole {_span(fit.low, fit.high, unit)}, start at {length(fit.length, unit)} {where}: {angles}. Then adjust by the elbow, shoes on.{asks}"
    sources = (POLE, "common-practice") if where.startswith("for standing") else OWN
    return [Figure("pole-length", fit.length, "cm", sources, sentence, (fit.low, fit.high), {"stature_cm": stature})]


def _pole_fit(ask: Ask, stature: float) -> tuple[geometry.PoleFit, str]:
    unit = ask.unit_first()
    movement = next(iter(ask.question.movements), "")
    step = ask.fact("step_cm")
    if step is None and movement in STEPS:
        step = next((n.cm for n in ask.units("in", "cm") if n.cm <= 45), None)
    if step and (movement in STEPS or ask.said("step", "box", "stair")):
        return geometry.step_up_pole(stature, step), f"for a step of {length(step, unit)}, tips on the floor"
    if movement in SPLITS:
        pad = ask.fact("pad_cm") or DEFAULT_PAD
        return geometry.split_squat_pole(stature, pad), f"for a split squat to a pad of {length(pad, unit)}"
    if movement in SQUATS:
        seat_height = ask.fact("seat_cm") or DEFAULT_SEAT
        return geometry.squat_pole(stature, seat_height), f"for a squat to a seat of {length(seat_height, unit)}"
    return geometry.walking_pole(stature), "for standing and walking"


def _no_pole(fit: geometry.PoleFit, stature: float, where: str) -> Figure:
    sentence = f"No single pole length keeps the elbow in range {where}: favour the bottom ({plain(fit.low, 0)} cm) or change length between sets."
    return Figure("pole-length", fit.low, "cm", OWN, sentence, (fit.low, fit.high), {"stature_cm": stature})


def seat(ask: Ask) -> list[Figure]:
    """Seat height from the knee crease or stature and a percentage of lower-leg length."""
    percents = [p for p in ask.percents() if 60 <= p <= 200]
    last = ask.last("seat-height")
    if last and "knee_cm" in last.inputs and ask.short and not ask.units("cm", "in"):
        percents = percents or [n.value for n in ask.units("") if 60 <= n.value <= 200]
        return [_seat(ask, last.inputs["knee_cm"], percents[0], True)] if percents else []
    if not ask.wants("seat-height") or (ask.question.screens and not percents):
        return []
    crease = next(
        (
            n
            for n in ask.units("cm", "in")
            if 25 <= n.cm <= 65
            and ask.near(n, "crease", "knee", "lower", "shank", "leg", "popliteal", "calf", before=6, after=5)
        ),
        None,
    )
    stature = ask.fact("stature_cm")
    if crease is not None:
        knee = crease.cm
    elif stature is not None and ask.said(*_SEATS):
        knee = geometry.knee_crease(stature)
    else:
        return []
    return [_seat(ask, knee, percents[0] if percents else None, crease is not None)]


def _seat(ask: Ask, knee: float, percent: float | None, measured: bool) -> Figure:
    share = percent or 110.0
    value = geometry.seat(knee, share)
    unit = ask.unit_first()
    origin = "" if measured else " (knee crease estimated from stature: measure it)"
    tail = (
        ""
        if percent
        else f" Level with the knee is {length(knee, unit)}, the easy end {length(knee * 1.2, unit)}. Feet flat on the floor; "
        "cushions or pads raise a low chair, a foot block helps short legs."
    )
    sentence = (
        f"Seat {length(value, unit)} high: {plain(share)}% of the {length(knee, unit)} knee height{origin}.{tail}"
    )
    span = None if percent else (knee, knee * 1.2)
    return Figure("seat-height", value, "cm", (SEAT,), sentence, span, {"knee_cm": knee, "percent": share})
