"""`rungbook client`: coded cards of what training needs to know of a client."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Callable
from datetime import date

from assistant.commands import naming
from assistant.commands.common import load
from assistant.commands.recording import cards, redactor
from assistant.commands.subcommands import Actions
from assistant.errors import InputError
from assistant.figures.norms import changing, tables_of
from assistant.journal import clients
from assistant.journal.clients import Card, RealChange
from assistant.journal.places import code
from assistant.journal.search import shown
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Knowledge
from assistant.understanding.question import Reader
from assistant.units import plain

_UNITS = {
    "sec": "s",
    "secs": "s",
    "seconds": "s",
    "second": "s",
    "reps": "stands",
    "lbs": "lb",
    "pts": "points",
    "": "",
}
_VALUE = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*([a-z/%]*)\s*", re.IGNORECASE)
_SEXES = {"f": "female", "m": "male", "female": "female", "male": "male"}
_LONGEST_NOTE = 500


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = (
        "examples: rungbook client add a12 --age 72 --sex f --condition hip-replacement:left:2024-11 --kit walking-poles\n"
        "          rungbook client result a12 tug 13.8; rungbook client rung a12 step-up height=4 --side left"
    )
    actions = Actions(parser)
    for name, act, about in (("add", _add, "start a card"), ("set", _set, "change a card")):
        below = actions.add(name, act, about, f"rungbook client {name} a12 --age 72 --sex f --stature 162")
        below.add_argument("code", help="the client's code: a-z, 0-9 and -, never a name")
        _person(below)
    for name, act, about in (
        ("show", _show, "one card"), ("undo", _undo, "take the last change back"), ("remove", _remove, "remove a card"),
    ):  # fmt: skip
        below = actions.add(name, act, about, f"rungbook client {name} a12")
        below.add_argument("code", help="the client's code")
        if name == "show":
            below.add_argument("--json", action="store_true", help="one JSON object")
    actions.add("list", _list, "all cards", "rungbook client list")
    result = actions.add(
        "result", _result, "note a screen's result", "rungbook client result a12 tug 13.8 --date 2026-02-01"
    )
    result.add_argument("code", help="the client's code")
    result.add_argument("screen", help="the screen: its id or any name of it, in quotes if it holds blanks")
    result.add_argument("value", help="the value, such as 13.8 or 13.8s")
    _when(result)
    rung = actions.add(
        "rung", _rung, "note the present rung", "rungbook client rung a12 step-up support=contralateral height=4"
    )
    rung.add_argument("code", help="the client's code")
    rung.add_argument("movement", help="the movement: its id or any name of it, in quotes if it holds blanks")
    rung.add_argument("levels", nargs="+", metavar="AXIS=LEVEL", help="where the client is on each axis")
    _when(rung)
    note = actions.add(
        "note", _note, "add a note; names are taken out", 'rungbook client note a12 "prefers the left rail"'
    )
    note.add_argument("code", help="the client's code")
    note.add_argument("text", nargs="+", help="the note")
    history = actions.add("history", _history, "results and rungs over time, against the smallest real change",
                          "rungbook client history a12 tug")  # fmt: skip
    history.add_argument("code", help="the client's code")
    history.add_argument("screen", nargs="?", default="", help="only this screen")


def _person(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--age", metavar="AGE", help="an age or a band such as 70-74; only the band is kept")
    parser.add_argument("--sex", metavar="SEX", help="f or m")
    parser.add_argument("--stature", metavar="HEIGHT", help="such as 162, 1.62m or 5'4")
    parser.add_argument("--condition", action="append", default=[], metavar="ID[:SIDE][:DATE]",
                        help="such as hip-replacement:left:2024-11 (repeatable)")  # fmt: skip
    parser.add_argument(
        "--without-condition", action="append", default=[], metavar="ID", help="take a condition off the card"
    )
    parser.add_argument("--kit", action="append", default=[], metavar="ID", help="kit the client has (repeatable)")
    parser.add_argument("--without-kit", action="append", default=[], metavar="ID", help="take kit off the card")


def _when(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--side", default="", metavar="SIDE", help="left, right or both")
    parser.add_argument("--date", default="", metavar="DAY", help="2026-02-01; today when left out")


def run(args: argparse.Namespace) -> int:
    """Exit code 0."""
    done: int = args.act(args)
    return done


# -- editing ---------------------------------------------------------------------------------------------------------


def _edit(args: argparse.Namespace, edit: Callable[[Card], None], new: bool = False) -> Card:
    """Change a card that exists, or start one that does not."""
    client = code(args.code, "client")

    def changed(card: Card | None) -> Card:
        if new and card is not None:
            raise InputError(
                "there is a card already", f"client {client}", f"change it: rungbook client set {client} ..."
            )
        if not new and card is None:
            raise InputError("no card", f"client {client}", f"start one: rungbook client add {client}")
        card = card or clients.new_card(client)
        edit(card)
        return card

    return cards().change(client, changed)


def _add(args: argparse.Namespace) -> int:
    return _set(args, new=True)


def _set(args: argparse.Namespace, new: bool = False) -> int:
    named = any((args.condition, args.without_condition, args.kit, args.without_kit, args.stature))
    rulebase = load(args) if named else None
    reader = Reader(rulebase) if rulebase else None
    today = date.today()
    changes: list[Callable[[Card], None]] = []
    if args.age:
        band = clients.age_band(args.age)
        changes.append(lambda card: card.update(ages=band, ages_set=today.isoformat()))
    if args.sex:
        sex = _SEXES.get(args.sex.strip().lower())
        if sex is None:
            raise InputError("not a sex that norms are published for", args.sex[:20], "f or m, or leave it out")
        changes.append(lambda card: card.update(sex=sex))
    if rulebase and reader:
        if args.stature:
            stature = _stature(args.stature, reader)
            changes.append(lambda card: card.update(stature_cm=stature))
        gone = {naming.subject(each, "condition", rulebase, reader) for each in args.without_condition}
        found = [_condition(each, rulebase, reader, today) for each in args.condition]
        changes.append(lambda card: _replace_conditions(card, found, gone))
        kit = [naming.subject(each, "equipment", rulebase, reader) for text in args.kit for each in text.split(",")]
        lost = {naming.subject(each, "equipment", rulebase, reader) for each in args.without_kit}
        changes.append(lambda card: card.update(kit=sorted({*card["kit"], *kit} - lost)))

    def edit(card: Card) -> None:
        for change in changes:
            change(card)

    print("\n".join(card_lines(_edit(args, edit, new))))
    return 0


def _replace_conditions(card: Card, found: list[dict[str, str]], gone: set[str]) -> None:
    again = {(each["id"], each["side"]) for each in found}
    kept = [c for c in card["conditions"] if c["id"] not in gone and (c["id"], c["side"]) not in again]
    card["conditions"] = sorted([*kept, *found], key=lambda each: (each["id"], each["side"]))


def _condition(raw: str, rulebase: Rulebase, reader: Reader, today: date) -> dict[str, str]:
    """`hip-replacement:left:2024-11` in parts; side and date in any order."""
    name, *rest = (part.strip() for part in raw.split(":"))
    found = {"id": naming.subject(name, "condition", rulebase, reader), "side": "", "since": ""}
    for part in rest:
        if part and part[0].isdigit():
            found["since"] = clients.day(part, today)
        elif part:
            found["side"] = clients.side(part)
    return found


def _stature(raw: str, reader: Reader) -> float:
    text = raw.strip()
    if re.fullmatch(r"\d{3}(\.\d+)?", text):
        text += " cm"
    value = reader.read(f"she is {text} tall").facts.values.get("stature_cm")
    if value is None or not 120 <= value <= 215:
        raise InputError("not a stature from 120 to 215 cm", raw[:20], "write 162, 1.62m or 5'4")
    return round(value, 1)


def _result(args: argparse.Namespace) -> int:
    rulebase = load(args)
    screen = _screen(args.screen, rulebase)
    value, unit = _measured(args.value, screen, rulebase.knowledge)
    today = date.today()
    made = {
        "screen": screen, "value": value, "unit": unit, "side": clients.side(args.side),
        "date": clients.day(args.date or today.isoformat(), today),
    }  # fmt: skip
    card = _edit(args, lambda card: card["results"].append(made))
    print("\n".join(_screen_lines(card, screen, rulebase)))
    return 0


def _screen(typed: str, rulebase: Rulebase) -> str:
    """The id of a screen from its id, a name of it, or words of its id that fit no other."""
    parts = set(re.split(r"[\s-]+", typed.strip().lower()))
    screens = [each.id for each in rulebase.knowledge.subjects.values() if each.kind == "screen"]
    fitting = [screen for screen in screens if parts <= set(screen.split("-"))]
    if len(fitting) == 1:
        return fitting[0]
    return naming.subject(typed, "screen", rulebase, Reader(rulebase))


def _measured(raw: str, screen: str, knowledge: Knowledge) -> tuple[float, str]:
    match = _VALUE.fullmatch(raw)
    if not match:
        raise InputError("not a value", raw[:20], "write a number, with its unit if you like: 13.8s")
    units = [t.change_unit if t.change is not None else t.unit for t in tables_of(knowledge, screen)]
    known = [unit for unit in units if unit not in ("ratio", "percent", "")] or [""]
    given = _UNITS.get(match[2].lower(), match[2].lower())
    if given and clients.converted(1.0, given, known[0]) is None and given not in known:
        raise InputError(f"{screen} is not measured in {given!r}", raw[:20], f"give it in {known[0] or 'points'}")
    return float(match[1]), given or known[0]


def _rung(args: argparse.Namespace) -> int:
    rulebase = load(args)
    movement = naming.subject(args.movement, "movement", rulebase, Reader(rulebase))
    ladder = rulebase.knowledge.subjects[movement].ladder
    if ladder is None:
        raise InputError("this movement has no ladder", movement)
    today = date.today()
    made = {
        "movement": movement, "side": clients.side(args.side), "levels": naming.state(args.levels, ladder, movement),
        "date": clients.day(args.date or today.isoformat(), today),
    }  # fmt: skip
    card = _edit(args, lambda card: card["rungs"].append(made))
    print("\n".join(_rung_lines(card)))
    return 0


def _note(args: argparse.Namespace) -> int:
    text = redactor(Reader(load(args))).text(shown(" ".join(args.text)))[:_LONGEST_NOTE]
    if not text:
        raise InputError("the note is empty", fix='rungbook client note a12 "prefers the left rail"')
    card = _edit(args, lambda card: card["notes"].append({"date": date.today().isoformat(), "text": text}))
    print(f"{card['code']}: {shown(text)}")
    return 0


def _undo(args: argparse.Namespace) -> int:
    print("\n".join(card_lines(cards().undo(args.code))))
    return 0


def _remove(args: argparse.Namespace) -> int:
    client = code(args.code, "client")
    if not cards().remove(client):
        raise InputError("no card", f"client {client}", "rungbook client list")
    print(f"removed the card of {client}; questions asked for {client} stay: rungbook log forget --client {client}")
    return 0


# -- showing ---------------------------------------------------------------------------------------------------------


def _list(args: argparse.Namespace) -> int:
    codes = cards().codes()
    for client in codes:
        try:
            card = cards().must(client)
        except InputError as error:
            print(f"{client}  cannot be read: {error.what}")
            continue
        print(f"{client}  {shown(', '.join([_who(card), *(each['id'] for each in card['conditions'])]), 100)}")
    if not codes:
        print("no cards yet: rungbook client add a12 --age 72 --sex f")
    return 0


def _who(card: Card) -> str:
    ages = f"{card['ages'][0]}-{card['ages'][1]}" if card.get("ages") else "age not given"
    return f"{ages} {card.get('sex') or ''}".strip()


def card_lines(card: Card) -> list[str]:
    """A card as lines."""
    stature = f"{plain(card['stature_cm'])} cm" if card.get("stature_cm") else "-"
    conditions = [_condition_text(each) for each in card["conditions"]]
    lines = [
        f"client     {shown(card['code'])}: {shown(_who(card))}, stature {stature}",
        f"conditions {shown('; '.join(conditions) or 'none noted')}",
        f"kit        {shown(', '.join(map(str, card['kit'])) or 'none noted')}",
        *_rung_lines(card),
    ]
    for each in sorted(card["results"], key=lambda r: str(r.get("date"))):
        lines.append(f"result     {shown(each.get('date'))} {shown(each.get('screen'))} {_value(each)}")
    lines += [f"note       {shown(each.get('date'))} {shown(each.get('text'))}" for each in card["notes"]]
    return lines


def _condition_text(each: dict[str, str]) -> str:
    since = f" since {each['since']}" if each.get("since") else ""
    return f"{each.get('id')}{' ' + each['side'] if each.get('side') else ''}{since}"


def _value(each: dict[str, object]) -> str:
    side = f" {each['side']}" if each.get("side") else ""
    return shown(f"{plain(float(str(each.get('value'))), 2)} {each.get('unit')}{side}".strip())


def _rung_lines(card: Card) -> list[str]:
    present = clients.profile(card, date.today()).rungs
    return [
        f"rung       {shown(where.replace('/', ', '))}: {shown(', '.join(f'{axis} {level}' for axis, level in levels.items()))}"
        for where, levels in sorted(present.items())
    ]


def _show(args: argparse.Namespace) -> int:
    card = cards().must(args.code)
    print(json.dumps(card, ensure_ascii=False, sort_keys=True) if args.json else "\n".join(card_lines(card)))
    return 0


def real_change(knowledge: Knowledge, screen: str, card: Card) -> RealChange | None:
    """The smallest real change of a screen for this client, and which way is better where a table in that unit tells."""
    tables = tables_of(knowledge, screen)
    found = changing(knowledge, screen, [str(each.get("id")) for each in card["conditions"]])
    if found is None or found.change is None:
        return None
    way = next((t.better for t in tables if t.unit == found.change_unit), "")
    if not way:
        way = next((t.better for t in tables if clients.converted(1.0, t.unit, found.change_unit) is not None), "")
    subject = knowledge.subjects.get(found.change_condition)
    source = knowledge.sources[found.change_source or found.source].short() + (f", {subject.name}" if subject else "")
    return RealChange(found.change, found.change_unit, source, way)


def _screen_lines(card: Card, screen: str, rulebase: Rulebase) -> list[str]:
    real = real_change(rulebase.knowledge, screen, card)
    lines = [rulebase.knowledge.subjects[screen].name if screen in rulebase.knowledge.subjects else shown(screen)]
    for step in clients.history(card, screen, real):
        change = "" if step.change is None else f"  {step.change:+g}"
        side = f" {shown(step.side)}" if step.side else ""
        lines.append(f"  {shown(step.day)}  {plain(step.value, 2)} {shown(step.unit)}{side}{change}  {step.verdict}")
    sides = sorted({str(each.get("side") or "") for each in card["results"] if each.get("screen") == screen})
    for side in sides:
        gain, verdict = clients.first_to_last(card, screen, side, real)
        if gain is not None and len(clients.history(card, screen, real)) > 2:
            lines.append(f"  first to last{' ' + side if side else ''}: {gain:+g}  {verdict}")
    if real is not None:
        lines.append(f"  smallest real change: {plain(real.value, 2)} {real.unit} ({real.source})")
    return lines


def _history(args: argparse.Namespace) -> int:
    rulebase = load(args)
    card = cards().must(args.code)
    wanted = _screen(args.screen, rulebase) if args.screen else ""
    screens = [s for s in sorted({str(each.get("screen")) for each in card["results"]}) if s == wanted or not wanted]
    for screen in screens:
        print("\n".join(_screen_lines(card, screen, rulebase)))
    if not wanted:
        for each in sorted(card["rungs"], key=lambda r: str(r.get("date"))):
            levels = ", ".join(f"{axis} {level}" for axis, level in dict(each.get("levels") or {}).items())
            side = f" {shown(each['side'])}" if each.get("side") else ""
            print(f"rung  {shown(each.get('date'))}  {shown(each.get('movement'))}{side}: {shown(levels)}")
    if not screens and not (card["rungs"] and not wanted):
        print("nothing noted yet: rungbook client result " + card["code"] + " tug 13.8")
    return 0
