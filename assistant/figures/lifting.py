"""Askers for loads and repetitions: one-repetition maximum, shares of it, the next load, jumps, reps in reserve."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.figures import load
from assistant.figures.ask import Ask
from assistant.figures.numbers import Number
from assistant.shapes import Figure, Word
from assistant.units import CM_PER_IN, KG_PER_LB, plain

EPLEY, BRZYCKI, ACSM_2009 = (
    "epley-1985-poundage-chart",
    "brzycki-1993-strength-testing",
    "ratamess-2009-progression-models",
)
NSCA_CHART, NSCA_2019, ZOURDOS = (
    "national-training-load",
    "fragala-2019-resistance-training",
    "zourdos-2016-novel-resistance",
)
_MAX_WORDS = ("max", "maximum", "1rm", "rm", "e1rm")
_REP_WORDS = ("x", "for", "by", "times", "did", "got", "at", "does", "gets", "managed", "hit", "made")
_LINKS = ("of", "is", "was", "a", "at", "about", "around", "the", "s", "reckoned", "tested", "to", "be", "max")
_STATED = 4


def _weight(number: Number) -> tuple[float, str]:
    """A load in the unit it was given in (stone in kg)."""
    unit = "lb" if number.unit == "lb" else "kg"
    return (number.value if number.unit in (unit, "") else number.kg), unit


def _load_number(ask: Ask) -> Number | None:
    return next(iter(ask.units("kg", "lb", "stone")), None)


def _reps(ask: Ask, load_at: int) -> float | None:
    words = ask.question.words
    for n in reversed([n for n in ask.numbers if n.unit in ("x", "reps", "times")]):
        if (
            n.at != load_at
            and not _name_of_max(words, n)
            and not ask.near(n, "extra", "more", "left", "reserve", "over", before=1, after=2)
        ):
            return n.value
    for n in ask.numbers:
        if n.at == load_at or n.unit or n.spelled or n.value == ask.age or n.value != int(n.value) or n.value > 30:
            continue
        before = [w.text for w in words[max(0, n.at - 2) : n.at]]
        after = [w.text for w in words[n.at + 1 : n.at + 3]]
        of_set = before[-1:] == ["of"] and before[:1] in (["set"], ["sets"])
        at_load = after[:1] in (["at"], ["with"]) and n.at + 2 == load_at
        if (before[-1:] and before[-1] in _REP_WORDS) or of_set or at_load:
            return n.value
    return None


def _name_of_max(words: Sequence[Word], number: Number) -> bool:
    """Whether the number is the one of 'one rep max'."""
    return number.value == 1 and any(w.text.startswith(("max", "rm")) for w in words[number.at + 1 : number.at + 3])


def _bare_pair(ask: Ask) -> tuple[Number, float] | None:
    """'45 x 8' without a unit: the first number is a load in kg."""
    for one, two in zip(ask.numbers, ask.numbers[1:], strict=False):
        between = ask.words_between(one.at + one.width, two.at)
        if one.unit == "" and (two.unit == "x" or between in (["x"], ["for"])) and one.value > 15 and two.value <= 15:
            return one, two.value
    return None


def _both(value: float, unit: str) -> str:
    other = ("kg", value * KG_PER_LB) if unit == "lb" else ("lb", value / KG_PER_LB)
    return f"{plain(value)} {unit} ({plain(other[1])} {other[0]})"


def _max_of(ask: Ask) -> tuple[float, str, float, float] | None:
    """Estimated maximum as (value, unit, Epley, Brzycki) from a load and reps in the question."""
    number = _load_number(ask)
    reps = _reps(ask, number.at) if number else None
    if number is None:
        pair = _bare_pair(ask)
        number, reps = pair if pair else (None, None)
    if number is None or reps is None:
        return None
    weight, unit = _weight(number)
    one, two = load.epley(weight, reps), load.brzycki(weight, reps)
    return (one + two) / 2, unit, one, two


def one_rep_max(ask: Ask) -> list[Figure]:
    """Estimated one-repetition maximum, by two formulas, from a load and the reps done with it."""
    if not ask.now("one-rep-max"):
        return []
    found = _max_of(ask) or _max_again(ask)
    if found is None:
        return []
    value, unit, one, two = found
    if ask.now("formula-epley") != ask.now("formula-brzycki"):
        value = one if ask.now("formula-epley") else two
    sentence = (
        f"Estimated one-rep max (1RM) {_both(value, unit)}: Epley {plain(one)}, Brzycki {plain(two)} {unit}. "
        "An estimate only, best at 10 reps or fewer; older adults often have a little more."
    )
    inputs = {"epley": one, "brzycki": two}
    return [Figure("one-rep-max", value, unit, (EPLEY, BRZYCKI), sentence, (min(one, two), max(one, two)), inputs)]


def _max_again(ask: Ask) -> tuple[float, str, float, float] | None:
    """The last estimate, when a follow-up asks for one of the formulas."""
    last = ask.last("one-rep-max")
    if last is None or not ask.short or not ask.now("formula-epley", "formula-brzycki"):
        return None
    return last.value, last.unit, last.inputs["epley"], last.inputs["brzycki"]


def _base(ask: Ask) -> tuple[float, str, tuple[float, float]] | None:
    """The maximum a percentage is taken of: estimated from reps, stated, or that of the turn before."""
    stated = _stated_max(ask)
    if stated:
        value, unit = _weight(stated)
        return value, unit, (value, value)
    given = _max_of(ask) if ask.now("one-rep-max", "percent-of-max") else None
    if given:
        return given[0], given[1], (min(given[2:]), max(given[2:]))
    earlier = ask.last("one-rep-max")
    if earlier:
        return earlier.value, earlier.unit, earlier.range or (earlier.value, earlier.value)
    shared = ask.last("training-load")
    if shared and "one_rep_max" in shared.inputs:
        base = shared.inputs["one_rep_max"]
        return base, shared.unit, (base, base)
    return None


def training_load(ask: Ask) -> list[Figure]:
    """A load at a percentage of a given, estimated or earlier maximum; power sets at 40 to 60 percent."""
    percents = [p for p in ask.percents() if 10 <= p <= 110]
    fresh = bool(_stated_max(ask) or ask.now("one-rep-max"))
    if not fresh and not ask.last("one-rep-max", "training-load"):
        return []
    if not fresh and not ask.short:
        return []
    base = _base(ask)
    if base is None or ask.now("target-heart-rate"):
        return []
    reps = None if percents or ask.now("power-load") else _reps_wanted(ask, fresh)
    if ask.now("power-load") and not percents:
        return [_power(ask, base[0], base[1])]
    if reps is not None:
        percents = [load.percent_for(int(reps))]
    elif not percents:
        bare = [n.value for n in ask.units("") if 20 <= n.value <= 100]
        percents = bare if not fresh and bare and len(ask.question.words) <= _STATED else []
    if not percents or (fresh and not ask.now("percent-of-max", "one-rep-max")):
        return []
    if ask.now("in-pounds") and base[1] == "kg":
        base = base[0] / KG_PER_LB, "lb", (base[2][0] / KG_PER_LB, base[2][1] / KG_PER_LB)
    return _shares(base, percents[:2], reps)


def _reps_wanted(ask: Ask, fresh: bool) -> float | None:
    """The repetitions a load is wanted for: '12 reps load', or a bare 'and 15' after one."""
    last = ask.last("training-load")
    again = last is not None and "reps" in last.inputs and ask.short
    reps = [n.value for n in ask.units("reps", "x")] if ask.now("load-for-reps") or again else []
    if not reps and again and not fresh:
        reps = [n.value for n in ask.units("") if 1 <= n.value <= load.MAX_REPS]
    if not reps and again and last is not None:
        reps = [last.inputs["reps"]]
    return reps[0] if reps else None


def _shares(
    base: tuple[float, str, tuple[float, float]], percents: list[float], reps: float | None = None
) -> list[Figure]:
    top, unit, (least, most) = base
    share = percents[0]
    value, low, high = (x * share / 100 for x in (top, least, most))
    inputs = {"percent": share, "one_rep_max": top} | ({"reps": reps} if reps else {})
    if len(percents) == 2 and percents[1] != share:
        other = top * percents[1] / 100
        sentence = f"{plain(share)} to {plain(percents[1])}% of {plain(top)} {unit} one-rep max is {plain(value)} to {_both(other, unit)}."
        return [Figure("training-load", value, unit, (EPLEY, BRZYCKI), sentence, (value, other), inputs)]
    spread = f" ({plain(low)} to {plain(high)} {unit} by the two formulas)" if high - low > 0.05 else ""
    sentence = f"{plain(share)}% of {plain(top)} {unit} one-rep max is {_both(value, unit)}{spread}. Check it: two or three good reps should be left."
    return [Figure("training-load", value, unit, (EPLEY, BRZYCKI), sentence, (low, high), inputs)]


def _power(ask: Ask, top: float, unit: str) -> Figure:
    low, high = top * load.POWER_LOW / 100, top * load.POWER_HIGH / 100
    last = ask.last("training-load")
    share = last.inputs.get("percent") if last else None
    fits = (
        ""
        if share is None
        else f" {plain(share)}% is {'inside' if load.POWER_LOW <= share <= load.POWER_HIGH else 'outside'} that."
    )
    sentence = (
        f"Power sets: {plain(low)} to {_both(high, unit)}, 40 to 60% of {plain(top)} {unit}.{fits} "
        "Lift as fast as you can with control, lower over two to three seconds."
    )
    return Figure("training-load", (low + high) / 2, unit, (NSCA_2019,), sentence, (low, high), {"one_rep_max": top})


def _stated_max(ask: Ask) -> Number | None:
    """A load that the question calls a maximum."""
    for n in ask.units("kg", "lb", ""):
        words = ask.words_between(n.at - 4, n.at)
        place = max((i for i, w in enumerate(words) if w in _MAX_WORDS), default=None)
        plain_link = place is not None and all(w in _LINKS for w in words[place + 1 :])
        if (
            plain_link
            and n.value > 5
            and n.value != ask.age
            and (n.unit or ask.percents() or ask.last("training-load"))
        ):
            return n
    loads = [n for n in ask.units("kg", "lb") if _reps(ask, n.at) is None]
    for n in loads:
        if ask.near(n, *_MAX_WORDS, before=7, after=4):
            return n
    for n in ask.units(""):
        words = ask.words_between(n.at - 3, n.at)
        if not loads and any(w in _MAX_WORDS for w in words) and n.value > 5 and n.value != ask.age and ask.percents():
            return n
    return None


def converted(ask: Ask) -> list[Figure]:
    """The last figure in the other unit."""
    if len(ask.question.words) > 6 or not ask.before or ask.units("kg", "lb", "cm", "in", "%"):
        return []
    last = ask.before[0]
    if last.unit == "kg" and "in-pounds" in ask.triggers:
        factor, unit = 1 / KG_PER_LB, "lb"
    elif last.unit == "lb" and "in-kilos" in ask.triggers:
        factor, unit = KG_PER_LB, "kg"
    elif last.unit == "cm" and "in-inches" in ask.triggers:
        factor, unit = 1 / CM_PER_IN, "in"
    elif last.unit == "in" and "in-centimetres" in ask.triggers:
        factor, unit = CM_PER_IN, "cm"
    else:
        return []
    span = (last.range[0] * factor, last.range[1] * factor) if last.range else None
    word = {"lb": "lb (pounds)"}.get(unit, unit)
    sentence = f"That is {plain(last.value * factor)} {word} for {plain(last.value)} {last.unit}."
    return [Figure(last.quantity, last.value * factor, unit, last.sources, sentence, span, dict(last.inputs))]


def next_load(ask: Ask) -> list[Figure]:
    """The present load raised by 2 to 10 percent, or by the percentage asked for."""
    carried = bool({"load-increase", "next-load"} & {f.quantity for f in ask.before})
    if not (ask.wants("next-load") or (carried and ask.short)) or ask.now("one-rep-max", "support-share"):
        return []
    found = _present_load(ask)
    if found is None:
        return []
    weight, unit = found
    percents = [p for p in ask.percents() if 0 < p <= 20]
    if percents and ask.now("next-load"):
        value = weight * (1 + percents[0] / 100)
        sentence = f"{plain(percents[0])}% on top of {plain(weight)} {unit} is {_both(value, unit)}; the usual raise is 2 to 10%."
        return [
            Figure("next-load", value, unit, (ACSM_2009,), sentence, None, {"load": weight, "percent": percents[0]})
        ]
    low, high = load.next_load(weight)
    sentence = (
        f"Next load {plain(low)} to {_both(high, unit)}: 2 to 10% on top of {plain(weight)} {unit}, once one or two reps "
        "more than planned are there in two sessions running. Arms take the low end, legs the high."
    )
    return [Figure("next-load", weight * 1.06, unit, (ACSM_2009,), sentence, (low, high), {"load": weight})]


def _present_load(ask: Ask) -> tuple[float, str] | None:
    number = next(
        (n for n in ask.units("kg", "lb") if not ask.near(n, "weighs", "bodyweight", before=3, after=1)), None
    )
    if number:
        return _weight(number)
    known = ask.fact("load_kg")
    if known is None:
        return None
    unit = "lb" if ask.question.facts.units.get("load_kg") == "lb" else "kg"
    return (known / KG_PER_LB if unit == "lb" else known), unit


def load_jump(ask: Ask) -> list[Figure]:
    """How large a jump between two loads is, against 2 to 10 percent."""
    pairs = [n for n in ask.numbers if n.unit in ("kg", "lb", "") and not (n.unit == "" and n.value == ask.age)]
    last = ask.last("next-load")
    if last and ask.short and ask.said("only", "have", "got", "smallest", "lightest") and ask.numbers:
        return _jump(last.inputs["load"], ask.numbers[0].value, last.unit)
    if not ask.wants("load-jump") or not ask.units("kg", "lb") or len(pairs) < 2 or ask.now("support-share"):
        return []
    old, new = pairs[0].value, pairs[1].value
    if pairs[0].unit and pairs[1].unit and pairs[0].unit != pairs[1].unit:
        old, new = pairs[0].kg, pairs[1].kg
    if pairs[1].at - pairs[0].at > 6:
        return []
    return _jump(old, new, pairs[1].unit or pairs[0].unit)


def _jump(old: float, new: float, unit: str) -> list[Figure]:
    if not 0 < old < new or new > 3 * old:
        return []
    percent = load.jump_percent(old, new)
    over = percent > load.NEXT_HIGH
    verdict = (
        "above the usual 2 to 10%, so too much in one go: add reps first, use a load in between, or take the jump for fewer reps"
        if over else "within the usual 2 to 10%"
    )  # fmt: skip
    sentence = f"{plain(old)} to {plain(new)} {unit} is {plain(percent)}% more: {verdict}."
    return [Figure("load-increase", percent, "percent", (ACSM_2009,), sentence, None, {"from": old, "to": new})]


def reps_at(ask: Ask) -> list[Figure]:
    """Repetitions usual at a percentage of maximum, or the percentage for a number of repetitions."""
    percents = ask.percents()
    if ask.wants("reps-at") and percents and not ask.units("kg", "lb"):
        if percents[0] < 65 and not ask.said("chart", "table", "max", "1rm", "rm"):
            return []
        return [_chart_reps(percents[0])]
    reps = [n for n in ask.units("reps", "x") if not _name_of_max(ask.question.words, n)]
    if ask.now("percent-for-reps") and reps and not percents and not ask.units("kg", "lb"):
        value = load.percent_for(int(reps[0].value))
        sentence = f"{plain(reps[0].value)} reps usually go with about {plain(value)}% of maximum by the load chart; people differ."
        return [Figure("percent-1rm", value, "percent", (NSCA_CHART,), sentence, None, {"reps": reps[0].value})]
    return []


def _chart_reps(share: float) -> Figure:
    value = load.reps_at(share)
    sentence = f"About {round(value)} reps at {plain(share)}% of maximum by the load chart; people differ by two or three reps either way."
    span = (value - 1, value + 1)
    return Figure("reps-at-percent-1rm", float(round(value)), "reps", (NSCA_CHART,), sentence, span, {"percent": share})


def reps_in_reserve(ask: Ask) -> list[Figure]:
    """Reps left for a rating of the lifting scale, or the rating for reps left."""
    if not ask.now("effort-reserve"):
        return []
    words = [w.text for w in ask.question.words]
    rating = next((n for n in ask.units("", "%") if 5 <= n.value <= 10 and ask.near(n, "rpe", before=3, after=1)), None)
    if rating and not ask.said("6", "20"):
        left = load.reserve_from_effort(rating.value)
        sentence = f"RPE {plain(rating.value)} on the reps-in-reserve scale leaves {plain(left)} good rep{'' if left == 1 else 's'} in the tank (reserve = 10 - RPE)."
        return [Figure("reps-in-reserve", left, "reps", (ZOURDOS,), sentence, None, {"rpe": rating.value})]
    kept = next(
        (
            n
            for n in ask.numbers
            if 0 <= n.value <= 5 and ask.near(n, "left", "reserve", "rir", "tank", before=2, after=4)
        ),
        None,
    )
    if kept and "rpe" in words:
        rpe = 10 - kept.value
        sentence = f"{plain(kept.value)} reps left in the tank is RPE {plain(rpe)} on the reps-in-reserve scale (RPE = 10 - reserve)."
        return [Figure("rpe-lifting", rpe, "rating", (ZOURDOS,), sentence, None, {"reserve": kept.value})]
    return []
