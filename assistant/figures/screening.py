"""Askers for screens: cut-offs and norms by age and sex, and scores from their parts."""

from __future__ import annotations

from assistant.figures import norms
from assistant.figures.ask import CUSTOM, Ask
from assistant.figures.numbers import Number
from assistant.rulebase.model import Table
from assistant.shapes import Figure
from assistant.units import KG_PER_LB, plain

SPPB, BRITO = "guralnik-1994-short-physical", "brito-2012-ability-sit"
_UNIT_OF = {
    "s": ("s", ""),
    "stands": ("stands", "reps", ""),
    "kg": ("kg", "lb", ""),
    "points": ("points", ""),
    "m": ("m", ""),
    "yd": ("yd", ""),
    "in": ("in", "cm", ""),
    "m/s": ("m", ""),
    "steps": ("steps", ""),
    "curls": ("curls", "reps", ""),
}
_COUNTS = {
    "a": 1,
    "an": 1,
    "one": 1,
    "1": 1,
    "both": 2,
    "two": 2,
    "2": 2,
    "three": 3,
    "3": 3,
    "each": 1,
    "no": 0,
    "none": 0,
    "four": 4,
    "4": 4,
}
_SUPPORTS = ("hand", "hands", "knee", "knees", "forearm", "forearms", "thigh", "elbow")


def sppb(ask: Ask) -> list[Figure]:
    """SPPB total or its balance points from times, or a total from part scores."""
    stances = ask.said("tandem", "stances", "stance", "semi")
    parts = ask.said("balance", "gait") and ask.said("chairs", "chair")
    if not (ask.wants("sppb") or "sppb" in ask.question.screens):
        return []
    earlier = ask.last("sppb-total")
    balance, gait, chairs = _balance(ask), _gait(ask), _chairs(ask)
    if earlier and not (balance is not None and gait is not None):
        before = earlier.inputs
        balance = balance if balance is not None else before.get("balance")
        gait = gait if gait is not None else before.get("gait")
        chairs = chairs if chairs is not None else before.get("chairs")
    if balance is not None and gait is not None and chairs is not None:
        return [_sppb_total(balance, gait, chairs)]
    if balance is not None and (stances or parts):
        sentence = f"SPPB balance: {plain(balance)} of 4 points (side by side 10 s 1; semi-tandem 10 s 1; tandem 10 s 2, 3 to 9.99 s 1, under 3 s 0)."
        return [Figure("sppb-balance-points", balance, "points", (SPPB,), sentence)]
    return []


def _sppb_total(balance: float, gait: float, chairs: float) -> Figure:
    total = balance + gait + chairs
    meaning = (
        "low (8 or less)"
        if total <= 8
        else "in between: moderate, not low (8 or less is low)"
        if total <= 9
        else "above the low band (8 or less)"
    )
    sentence = f"SPPB total {plain(total)} of 12 points: balance {plain(balance)}, gait {plain(gait)}, chairs {plain(chairs)}. That is {meaning}; one point is a real change."
    return Figure(
        "sppb-total", total, "points", (SPPB,), sentence, None, {"balance": balance, "gait": gait, "chairs": chairs}
    )


def _part(ask: Ask, *names: str) -> float | None:
    """A small whole number right after one of the names: a part score given as such."""
    words = ask.question.words
    for n in ask.numbers:
        before = [w.text for w in words[max(0, n.at - 2) : n.at]]
        if (
            n.unit in ("", "points")
            and 0 <= n.value <= 4
            and n.value == int(n.value)
            and any(b in names for b in before)
        ):
            return n.value
    return None


def _balance(ask: Ask) -> float | None:
    part = _part(ask, "balance")
    if part is not None:
        return part
    if ask.said("all") and ask.said("stances", "stance", "held"):
        return 4.0
    side = _time_after(ask, ("side", "together"))
    semi = _time_after(ask, ("semi",))
    tandem = _time_after(ask, ("tandem", "full"), unless="semi")
    if semi is None and tandem is None:
        return None
    return float(norms.sppb_balance(10.0 if side is None else side, 10.0 if semi is None else semi, tandem or 0.0))


def _time_after(ask: Ask, names: tuple[str, ...], unless: str = "") -> float | None:
    words = [w.text for w in ask.question.words]
    for i, word in enumerate(words):
        if word not in names or (unless and i and words[i - 1] == unless):
            continue
        for n in ask.numbers:
            if (
                i < n.at <= i + 4
                and n.unit in ("s", "")
                and not any(w in ("semi", "tandem", "full") for w in words[i + 1 : n.at] if w not in names)
            ):
                return n.value
    return None


def _gait(ask: Ask) -> float | None:
    part = _part(ask, "gait", "walk", "walking")
    if part is not None:
        return part
    metres = next((n for n in ask.units("m") if 2 <= n.value <= 6), None)
    if metres is None:
        return None
    time = next((n for n in ask.units("s") if metres.at < n.at <= metres.at + 6), None)
    return float(norms.sppb_gait(time.value, metres.value)) if time else None


def _chairs(ask: Ask) -> float | None:
    part = _part(ask, "chairs", "chair", "stands")
    if part is not None:
        return part
    words = [w.text for w in ask.question.words]
    for i, word in enumerate(words):
        if word in ("chair", "chairs", "stands", "sts", "sit"):
            time = next((n for n in ask.units("s") if i < n.at <= i + 6), None)
            if time:
                return float(norms.sppb_chairs(time.value))
    return None


def sitting_rising(ask: Ask) -> list[Figure]:
    """Sitting-rising score from supports, or the study band and hazard of a score."""
    if "sitting-rising-test" not in ask.question.screens and not ask.wants("sitting-rising"):
        return []
    table = ask.knowledge.tables.get("sitting-rising-hazard")
    score = next((n.value for n in ask.numbers if 0 <= n.value <= 10 and n.unit in ("", "points")), None)
    supports, known = _supports(ask)
    if known:
        ways = 2 if ask.said("each", "both", "way", "ways") or not ask.said("down", "up") else 1
        per_way = supports
        total = norms.sitting_rising(per_way, per_way if ways == 2 else 0)
        sentence = f"Sitting-rising score {plain(total)} of 10 points: 5 down and 5 up, less 1 for each support (hand, forearm, knee, side of leg) and 0.5 for each wobble."
        return [
            Figure("sitting-rising-score", total, "points", (BRITO,), sentence, None, {"supports_each_way": per_way})
        ]
    if score is None or table is None:
        return []
    row = norms.band(table, score)
    if row is None or row.value is None:
        return []
    sentence = (
        f"A score of {plain(score)} lies in the {plain(row.low or 0)}-{plain(row.high or 0)} band: hazard of death {plain(row.value, 2)} times that of 8 to 10, "
        "in adults of 51 to 80 over about six years. It is an association, not a forecast for one person."
    )
    return [
        Figure("sitting-rising-hazard-ratio", row.value, "ratio", (table.source,), sentence, None, {"score": score}),
        Figure("sitting-rising-score", score, "points", (table.source,)),
    ]


def _supports(ask: Ask) -> tuple[float, bool]:
    words = [w.text for w in ask.question.words]
    count, known = 0.0, False
    for i, word in enumerate(words):
        if word in _SUPPORTS and i:
            number = _COUNTS.get(words[i - 1])
            if number is not None:
                count, known = count + number, True
    return count, known


def gait_speed(ask: Ask) -> list[Figure]:
    """Speed from a distance and a time, against the usual lines."""
    if not (ask.wants("gait-speed") or "gait-speed" in ask.question.screens):
        return []
    distance = next(iter(ask.units("m", "ft", "yd")), None)
    if distance is None:
        return []
    time = next((n for n in ask.units("s") if n.at > distance.at), next(iter(ask.units("s")), None))
    if time is None or time.value <= 0:
        return []
    metres = distance.value * {"m": 1.0, "ft": 0.3048, "yd": 0.9144}[distance.unit]
    if not 1 <= metres <= 400:
        return []
    speed = metres / time.value
    line = (
        "below 0.8 m/s, slow"
        if speed <= 0.8
        else "between 0.8 (slow) and 1.0 m/s (early warning)"
        if speed < 1.0
        else "at or above 1.0 m/s"
    )
    sentence = f"{plain(metres, 2)} m in {plain(time.value)} s is {plain(speed, 2)} m/s: {line}. A change of 0.1 m/s is a real one."
    table = ask.knowledge.tables.get("gait-speed-slow")
    return [
        Figure(
            "gait-speed",
            speed,
            "m/s",
            (table.source,) if table else CUSTOM,
            sentence,
            None,
            {"metres": metres, "seconds": time.value},
        )
    ]


def grip(ask: Ask) -> list[Figure]:
    """Grip strength in kilograms against the low-grip lines for the sex."""
    if "grip-strength" not in ask.question.screens and not ask.said("grip", "dynamometer", "handgrip"):
        return []
    number = next(iter(ask.units("kg", "lb")), None)
    sex = ask.question.facts.words.get("sex", "")
    first, second = ask.knowledge.tables.get("grip-low-ewgsop2"), ask.knowledge.tables.get("grip-low-fnih")
    if number is None or first is None or second is None:
        return []
    kg = number.kg
    converted = f"{plain(number.value)} lb is {plain(kg)} kg. " if number.unit == "lb" else ""
    inputs = {"grip_kg": kg}
    measured = Figure("grip-strength", kg, "kg", (first.source,), "", None, inputs)
    lines = [(t, norms.row_for(t, None, sex, ())) for t in (first, second)]
    values = [(t, r.row.value) for t, r in lines if r and r.row.value is not None]
    if not values:
        sentence = f"{converted}Low grip lines: under 16 kg for women, under 27 kg for men. Tell me the client's sex for a verdict."
        return [Figure("grip-strength", kg, "kg", (first.source,), sentence, None, inputs)]
    text = " and ".join(dict.fromkeys(f"under {plain(v)} kg" for _, v in values))
    low = kg < values[0][1]
    verdict = "below it: low" if low else "not below it"
    sentence = f"{converted}The low-grip line for this sex is {text}; {plain(kg)} kg is {verdict}. Best of three tries, same hand and handle setting."
    return [Figure("grip-cutoff", values[0][1], "kg", (first.source, second.source), sentence, None, inputs), measured]


def tables(ask: Ask) -> list[Figure]:
    """Any other screen named: its lines for this client, and where the measured value lies."""
    named = any(m.kind == "screen" for m in ask.question.mentions)
    if not named and not ask.numbers:
        return []
    for screen in ask.question.screens:
        found = _table_figures(ask, screen)
        if found:
            return found
    return []


def _table_figures(ask: Ask, screen: str) -> list[Figure]:
    age, sex = ask.fact("age"), ask.question.facts.words.get("sex", "")
    figures: list[Figure] = []
    lines: list[str] = []
    for table in norms.tables_of(ask.knowledge, screen):
        if table.quantity.startswith("sppb") and screen != "sppb":
            continue
        reading = norms.nearest_row(table, age, sex, ask.question.conditions)
        if reading is None or len(lines) >= 2:
            continue
        row = reading.row
        value = row.value if row.value is not None else row.low
        if value is None or (row.label and row.value is None):
            continue
        span = (row.low, row.high) if row.value is None and row.low is not None and row.high is not None else None
        figures.append(
            Figure(table.quantity, value, table.unit, (reading.source,), "", span, {"age": age} if age else {})
        )
        lines.append(_verdict(ask, table, value, span, len(lines)))
    if not figures or not lines[0]:
        return []
    sentence = " ".join(line for line in lines if line)
    change = next((t for t in norms.tables_of(ask.knowledge, screen) if t.change is not None), None)
    if change is not None and change.change is not None:
        sentence += f" Smallest real change: {plain(change.change, 2)} {change.change_unit}."
    first = figures[0]
    figures[0] = Figure(first.quantity, first.value, first.unit, first.sources, sentence, first.range, first.inputs)
    return figures


def _verdict(ask: Ask, table: Table, value: float, span: tuple[float, float] | None, number: int) -> str:
    measured = _measured(ask, table)
    who = _who(ask, table)
    unit = "s" if table.unit == "s" else table.unit
    line = f"{plain(span[0])} to {plain(span[1])}" if span else plain(value, 2)
    if not measured:
        return f"Line{who}: {line} {unit} ({table.meaning})." if number == 0 else ""
    verdicts = []
    for each in measured[:2]:
        verdicts.append(f"{plain(each, 2)} {unit} is {_place(table, each, value, span)}")
    text = "; ".join(verdicts)
    return f"{'The line' if number == 0 else 'Also'}{who} is {line} {unit} ({table.meaning}): {text}."


def _place(table: Table, measured: float, value: float, span: tuple[float, float] | None) -> str:
    low, high = span or (value, value)
    inclusive = any(word in table.meaning for word in ("or longer", "or more", "or slower", "or lower", "or larger"))
    if table.better == "higher":
        bad = measured <= low if inclusive else measured < low
        return "below it, low: a flag" if bad else "within or above it" if span else "not below it, no flag"
    bad = measured >= high if inclusive else measured > high
    return "over it, slow: raised risk, a flag" if bad else "not over it, within the line, no flag"


def _who(ask: Ask, table: Table) -> str:
    age, sex = ask.fact("age"), ask.question.facts.words.get("sex", "")
    if not any(row.sex in ("female", "male") for row in table.rows):
        sex = ""
    person = {"female": "women", "male": "men"}.get(sex, "")
    rows = [
        r
        for r in table.rows
        if r.age_min is not None and r.age_max is not None and age is not None and r.age_min <= age < r.age_max + 1
    ]
    band = f" {plain(rows[0].age_min or 0)} to {plain(rows[0].age_max or 0)}" if rows else ""
    return f" for {person}{band}" if person else f" at{band}" if band else ""


def _measured(ask: Ask, table: Table) -> list[float]:
    """Values in the question that can be a result of this table's test."""
    units = _UNIT_OF.get(table.unit, ("",))
    age = ask.fact("age")
    result = []
    for n in ask.numbers:
        if n.unit not in units or (n.unit == "" and (n.value == age or n.value > 1900)):
            continue
        if _part_of_name(ask, n):
            continue
        result.append(n.value if n.unit != "lb" else n.value * KG_PER_LB)
    exact = [n.value for n in ask.numbers if n.unit == units[0] and not _part_of_name(ask, n)]
    return exact or result


def _part_of_name(ask: Ask, number: Number) -> bool:
    """Whether the number belongs to the test's name (30 s chair stand, 5 x STS, 4 stage, H&Y 2)."""
    if any(m.kind == "screen" and m.span[0] <= number.at < m.span[1] for m in ask.question.mentions):
        return True
    words = [w.text for w in ask.question.words]
    before = words[number.at - 1] if number.at else ""
    after = words[number.at + 1] if number.at + 1 < len(words) else ""
    return before in ("y", "hy", "yahr", "stage", "grade", "nyha", "age", "aged") or after in (
        "x",
        "stage",
        "times",
        "year",
        "feet",
        "foot",
        "meter",
        "m",
    )
