"""Askers for loads, repetitions, heart rate and oxygen cost."""

from __future__ import annotations

from assistant.figures import load
from assistant.figures.ask import CUSTOM, Ask
from assistant.figures.numbers import Number
from assistant.shapes import Figure
from assistant.units import KG_PER_LB, plain

EPLEY, BRZYCKI, ACSM_2009 = (
    "epley-1985-poundage-chart",
    "brzycki-1993-strength-testing",
    "ratamess-2009-progression-models",
)
NSCA_CHART, NSCA_2019 = "national-training-load", "fragala-2019-resistance-training"
TANAKA, KARVONEN, STEPPING = "tanaka-2001-age-predicted", "karvonen-1957-training-heart", "acsm-2018-acsm-s"
WALKING, WHO = "bushman-2020-metabolic-calculations", "who-2020-who-guidelines"
RATE_LIMITED = ("beta-blockers", "atrial-fibrillation", "pacemaker", "parkinsons")
_LOADS = ("one-rep-max", "training-load", "next-load", "load")


def _load_number(ask: Ask) -> Number | None:
    return next((n for n in ask.numbers if n.unit in ("kg", "lb", "stone")), None)


def _reps(ask: Ask, load_at: int) -> float | None:
    words = ask.question.words
    for n in ask.numbers:
        if n.at == load_at or n.unit not in ("", "reps"):
            continue
        before = words[n.at - 1].text if n.at else ""
        if n.unit == "reps" or before in ("x", "for", "by", "times", "did", "got", "at"):
            return n.value
    return None


def _both(value: float, unit: str) -> str:
    other = ("kg", value * KG_PER_LB) if unit == "lb" else ("lb", value / KG_PER_LB)
    return f"{plain(value)} {unit} ({plain(other[1])} {other[0]})"


def _max_of(ask: Ask) -> tuple[float, str, float, float] | None:
    """Estimated maximum as (value, unit, Epley, Brzycki) from a load and reps in the question."""
    number = _load_number(ask)
    reps = _reps(ask, number.at) if number else None
    if number is None or reps is None:
        return None
    unit = "lb" if number.unit == "lb" else "kg"
    weight = number.value if unit == number.unit else number.kg
    one, two = load.epley(weight, reps), load.brzycki(weight, reps)
    return (one + two) / 2, unit, one, two


def one_rep_max(ask: Ask) -> list[Figure]:
    """Estimated one-repetition maximum, by two formulas, from a load and the reps done with it."""
    if not ask.wants("one-rep-max"):
        return []
    found = _max_of(ask)
    if found is None:
        return []
    value, unit, one, two = found
    sentence = (
        f"Estimated one-rep max {_both(value, unit)}: Epley {plain(one)}, Brzycki {plain(two)} {unit}. "
        "An estimate only, best at 10 reps or fewer; older adults often have a little more."
    )
    span = (min(one, two), max(one, two))
    return [Figure("one-rep-max", value, unit, (EPLEY, BRZYCKI), sentence, span)]


def training_load(ask: Ask) -> list[Figure]:
    """A load at a percentage of a given, estimated or earlier maximum; power sets at 40 to 60 percent."""
    percents = ask.units("%")
    earlier = ask.last("one-rep-max")
    given = _max_of(ask)
    stated = _stated_max(ask)
    if given:
        base, unit, span = given[0], given[1], (min(given[2:]), max(given[2:]))
    elif stated:
        unit = "lb" if stated.unit == "lb" else "kg"
        base = stated.value if unit == stated.unit else stated.kg
        span = (base, base)
    elif earlier and ask.wants("percent-of-max") and (percents or ask.wants("power-load")):
        base, unit, span = earlier.value, earlier.unit, earlier.range or (earlier.value, earlier.value)
    else:
        return []
    if ask.wants("power-load") and not percents:
        low, high = base * load.POWER_LOW / 100, base * load.POWER_HIGH / 100
        sentence = (
            f"Power sets: {plain(low)} to {plain(high)} {unit}, 40 to 60% of {plain(base)} {unit}; "
            "lift as fast as you can with control, lower over two to three seconds."
        )
        return [Figure("training-load", (low + high) / 2, unit, (NSCA_2019,), sentence, (low, high))]
    if not percents or not (given or stated or earlier):
        return []
    if (given or stated) and not ask.wants("percent-of-max", "one-rep-max"):
        return []
    share = percents[0].value
    value, low, high = (x * share / 100 for x in (base, *span))
    spread = f" ({plain(low)} to {plain(high)} {unit} by the two formulas)" if high - low > 0.05 else ""
    sentence = f"{plain(share)}% of {plain(base)} {unit} one-rep max is {_both(value, unit)}{spread}. Check it: two or three good reps should be left."
    return [
        Figure(
            "training-load",
            value,
            unit,
            (EPLEY, BRZYCKI),
            sentence,
            (low, high),
            {"percent": share, "one_rep_max": base},
        )
    ]


def _stated_max(ask: Ask) -> Number | None:
    """A load that the question calls a maximum."""
    for n in ask.units("kg", "lb"):
        if ask.near(n, "max", "maximum", "1rm", "rm", before=7, after=4):
            return n
    return None


def converted(ask: Ask) -> list[Figure]:
    """The last figure in the other unit."""
    if len(ask.question.words) > 6 or not ask.before:
        return []
    last = ask.before[0]
    if last.unit == "kg" and "in-pounds" in ask.triggers:
        factor, unit = 1 / KG_PER_LB, "lb"
    elif last.unit == "lb" and "in-kilos" in ask.triggers:
        factor, unit = KG_PER_LB, "kg"
    elif last.unit == "cm" and "in-inches" in ask.triggers:
        factor, unit = 1 / 2.54, "in"
    elif last.unit == "in" and "in-centimetres" in ask.triggers:
        factor, unit = 2.54, "cm"
    else:
        return []
    span = (last.range[0] * factor, last.range[1] * factor) if last.range else None
    word = {"lb": "lb (pounds)"}.get(unit, unit)
    sentence = f"That is {plain(last.value * factor)} {word} for {plain(last.value)} {last.unit}."
    return [Figure(last.quantity, last.value * factor, unit, last.sources, sentence, span, dict(last.inputs))]


def next_load(ask: Ask) -> list[Figure]:
    """The present load raised by 2 to 10 percent."""
    known = ask.fact("load_kg")
    carried = "load-increase" in {f.quantity for f in ask.before} or ask.last("next-load") is not None
    if known is None or not (ask.wants("next-load") or carried) or ask.question.intent not in ("dose", "progress"):
        return []
    unit = "lb" if ask.question.facts.units.get("load_kg") == "lb" else "kg"
    weight = known / KG_PER_LB if unit == "lb" else known
    low, high = load.next_load(weight)
    sentence = (
        f"Next load {plain(low)} to {plain(high)} {unit}: 2 to 10% on top of {plain(weight)} {unit}, once one or two reps "
        "more than planned are there in two sessions running."
    )
    return [Figure("next-load", weight * 1.06, unit, (ACSM_2009,), sentence, (low, high), {"load": weight})]


def load_jump(ask: Ask) -> list[Figure]:
    """How large a jump between two loads is, against 2 to 10 percent."""
    pairs = [n for n in ask.numbers if n.unit in ("kg", "lb", "")]
    if not ask.wants("load-jump") or not ask.units("kg", "lb") or len(pairs) < 2:
        return []
    old, new = pairs[0].value, pairs[1].value
    if not 0 < old < new or new > 3 * old or pairs[1].at - pairs[0].at > 4:
        return []
    percent = load.jump_percent(old, new)
    over = percent > load.NEXT_HIGH
    verdict = (
        "above the usual 2 to 10%, so too much in one go: add reps first, use a load in between, or take the jump for fewer reps"
        if over else "within the usual 2 to 10%"
    )  # fmt: skip
    unit = pairs[1].unit or pairs[0].unit
    sentence = f"{plain(old)} to {plain(new)} {unit} is {plain(percent)}% more: {verdict}."
    return [Figure("load-increase", percent, "percent", (ACSM_2009,), sentence, None, {"from": old, "to": new})]


def reps_at(ask: Ask) -> list[Figure]:
    """Repetitions usual at a percentage of maximum, or the percentage for a number of repetitions."""
    percents = ask.units("%")
    if ask.wants("reps-at") and percents and not ask.units("kg", "lb"):
        share = percents[0].value
        value = load.reps_at(share)
        sentence = f"About {round(value)} reps at {plain(share)}% of maximum by the load chart; people differ by two or three reps either way."
        return [
            Figure(
                "reps-at-percent-1rm",
                float(round(value)),
                "reps",
                (NSCA_CHART,),
                sentence,
                (value - 1, value + 1),
                {"percent": share},
            )
        ]
    reps = ask.units("reps")
    if ask.wants("percent-for-reps") and reps and not percents and not ask.units("kg", "lb"):
        value = load.percent_for(int(reps[0].value))
        sentence = f"{plain(reps[0].value)} reps usually go with about {plain(value)}% of maximum by the load chart; people differ."
        return [Figure("percent-1rm", value, "percent", (NSCA_CHART,), sentence, None, {"reps": reps[0].value})]
    return []


def _rate_limited(ask: Ask) -> str:
    known = ask.knowledge.subjects
    return next((known[c].name for c in ask.question.conditions if c in RATE_LIMITED and c in known), "")


def max_heart_rate(ask: Ask) -> list[Figure]:
    """Age-predicted maximal heart rate; not for clients on rate-limiting drugs or with an unreliable pulse."""
    age = ask.fact("age")
    if not ask.wants("max-heart-rate") or age is None or _rate_limited(ask):
        return []
    value = load.tanaka(age)
    sentence = (
        f"Predicted maximum about {plain(value)} bpm at {plain(age)} (208 - 0.7 x age); it can miss by 10 beats or more either way. "
        "Not for anyone on a beta-blocker: use effort and the talk test."
    )
    return [Figure("heart-rate-max", value, "bpm", (TANAKA,), sentence, (value - 10, value + 10), {"age": age})]


def reserve_target(ask: Ask) -> list[Figure]:
    """Heart-rate reserve target from age, resting pulse and percentage."""
    earlier = ask.last("heart-rate-target")
    if not ask.wants("target-heart-rate") and earlier is None:
        return []
    percents = [n.value for n in ask.units("%")]
    bare = [n.value for n in ask.numbers if n.unit == "" and 20 <= n.value <= 95]
    age = ask.fact("age") or (earlier.inputs.get("age") if earlier else None)
    resting = _resting(ask) or (earlier.inputs.get("resting") if earlier else None)
    share = percents or (bare if earlier and len(ask.question.words) <= 5 else [])
    if age is None or resting is None or not share or _rate_limited(ask):
        return []
    maximum = load.tanaka(age)
    rates = [load.karvonen(maximum, resting, s) for s in share[:2]]
    sentence = (
        f"Target {' to '.join(plain(r) for r in rates)} bpm: {' to '.join(plain(s) for s in share[:2])}% of heart-rate reserve, from a "
        f"predicted maximum of {plain(maximum)} bpm and {plain(resting)} at rest. Check it against the talk test."
    )
    span = (min(rates), max(rates)) if len(rates) > 1 else None
    return [
        Figure(
            "heart-rate-target",
            rates[0],
            "bpm",
            (KARVONEN, TANAKA),
            sentence,
            span,
            {"age": age, "resting": resting, "percent": share[0]},
        )
    ]


def _resting(ask: Ask) -> float | None:
    for n in ask.numbers:
        plausible = n.unit in ("", "bpm") and 35 <= n.value <= 110 and n.value != ask.fact("age")
        if plausible and ask.near(n, "resting", "rest", "rhr", before=4, after=2):
            return n.value
    return None


def stepping_cost(ask: Ask) -> list[Figure]:
    """METs of stepping from step height and rate, or of walking from speed."""
    if not ask.wants("stepping-cost"):
        return []
    heights = ask.units("cm", "in")
    rate = next(
        (
            n.value
            for n in ask.numbers
            if n.unit in ("", "times", "steps")
            and 4 <= n.value <= 40
            and ask.near(n, "min", "minute", "rate", "cadence", before=3, after=4)
        ),
        None,
    )
    if heights and rate is not None:
        oxygen = load.stepping_oxygen(heights[0].cm / 100, rate)
        sentence = (
            f"About {plain(load.mets(oxygen))} METs ({plain(oxygen)} mL/kg/min): {plain(heights[0].value)} {heights[0].unit} step, "
            f"{plain(rate)} up-and-downs a minute. Holding a rail or pole lowers it."
        )
        inputs = {"step_cm": heights[0].cm, "rate": rate}
        return [Figure("stepping-mets", load.mets(oxygen), "MET", (STEPPING,), sentence, None, inputs)]
    speed = _walking_speed(ask)
    if speed is None:
        return []
    oxygen = load.walking_oxygen(speed)
    sentence = f"About {plain(load.mets(oxygen))} METs ({plain(oxygen)} mL/kg/min) for walking at {plain(speed / 60, 2)} m/s on the level."
    return [Figure("walking-mets", load.mets(oxygen), "MET", (WALKING,), sentence, None, {"m_per_min": speed})]


def _walking_speed(ask: Ask) -> float | None:
    """Metres a minute from mph, km/h or m/s."""
    words = [w.text for w in ask.question.words]
    for n in ask.numbers:
        after = words[n.at + 1 : n.at + 4]
        if after[:1] == ["mph"]:
            return n.value * 26.8
        if after[:1] in (["kmh"], ["kph"]) or after[:2] in (["km", "h"], ["km", "per"], ["km", "an"]):
            return n.value * 1000 / 60
        if after[:1] == ["mps"]:
            return n.value * 60
    return None


def weekly_minutes(ask: Ask) -> list[Figure]:
    """Minutes a week from minutes a day, against 150 to 300."""
    minutes = ask.units("min")
    days = next(
        (
            n.value
            for n in ask.numbers
            if n.unit in ("day", "times", "")
            and 1 <= n.value <= 7
            and ask.near(n, "week", "weekly", "day", before=3, after=4)
        ),
        None,
    )
    if not minutes or days is None or not ask.wants("weekly-minutes"):
        return []
    total = minutes[0].value * days
    gap = f"{plain(150 - total)} short of" if total < 150 else "within or above"
    sentence = f"{plain(minutes[0].value)} min x {plain(days)} days is {plain(total)} min a week, {gap} the 150 to 300 min of moderate effort advised."
    return [
        Figure(
            "aerobic-minutes-week",
            total,
            "min",
            (WHO,) if WHO in ask.knowledge.sources else CUSTOM,
            sentence,
            (150, 300),
        )
    ]
