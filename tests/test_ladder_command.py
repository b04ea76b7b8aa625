"""`rungbook ladder`: names, marks, routes with their criteria, and an honest no; and the command line around it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from assistant import cli
from assistant.commands.asking import readings
from assistant.commands.offers import Offer, matching
from assistant.matching import routes
from assistant.matching.limits import Limits, limits
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Axis, Entry, Forbid, Knowledge, Ladder, Level, Neighbour, Subject

CLEAN = "Two clean sessions."


def _ladder(ups: tuple[Neighbour, ...] = ()) -> Ladder:
    support = Axis("support", "", (
        Level("rail", "a rail", "Hold the rail.", None, (), ()),
        Level("poles", "two poles", "Give two poles.", None, ("walking-poles",), ()),
        Level("none", "no hands", "Let go.", None, (), ()),
    ))  # fmt: skip
    height = Axis("height", "in", tuple(Level(f"{n}-in", f"{n} in", f"Use {n} in.", n, (), ()) for n in (2, 4, 6)))
    return Ladder((support, height), {"support": "rail", "height": "2-in"}, {}, (), CLEAN, "Back one.", (), (), ups, ())


def _entry(name: str, conditions: tuple[str, ...], forbids: tuple[Forbid, ...], only: bool = False) -> Entry:
    return Entry(
        name, "caution", conditions[0], (), conditions, False, (), (), only, "", f"Say of {name}.", "", "", (),
        "guideline", "", (), forbids, (), (), "", 0,
    )  # fmt: skip


@pytest.fixture
def small() -> Knowledge:
    """Three movements in a row, one condition that closes the top rungs."""
    one, two = Neighbour("middle", "Go on.", ()), Neighbour("last", "Go on again.", ())
    return Knowledge(
        subjects={
            "first": Subject("first", "movement", "first one", "", _ladder((one,))),
            "middle": Subject("middle", "movement", "middle one", "", _ladder((two,))),
            "last": Subject("last", "movement", "last one", "", _ladder()),
            "stroke": Subject("stroke", "condition", "stroke", ""),
            "walking-poles": Subject("walking-poles", "equipment", "walking poles", ""),
        },
        entries={
            "top": _entry("top", ("stroke",), (Forbid(("first",), "support", "none", "", ""),)),
            "rare": _entry("rare", ("stroke",), (Forbid((), "height", "2-in", "", ""),), only=True),
        },
    )


def test_a_route_is_one_rung_at_a_time(small: Knowledge) -> None:
    way = routes.way(
        small, "first", {"support": "rail", "height": "2-in"}, {"support": "none", "height": "4-in"}, Limits()
    )
    assert way.rungs is not None and len(way.rungs) == 3


def test_no_route_names_every_rung_that_blocks_it(small: Knowledge) -> None:
    bounds = limits(small, ["stroke"], ["walking-poles"])
    start, goal = {"support": "rail", "height": "2-in"}, {"support": "none", "height": "6-in"}
    way = routes.way(small, "first", start, goal, bounds)
    assert way.rungs is None
    told = [(level.id, reason) for _, level, reason in way.blocked]
    assert told == [("poles", "needs walking poles, which is not there"), ("none", "stroke: Say of top.")]
    assert routes.furthest(small, "first", start, goal, bounds) == {"support": "rail", "height": "6-in"}


def test_a_rule_for_a_special_case_closes_nothing(small: Knowledge) -> None:
    assert [entry.id for entry in limits(small, ["stroke"]).entries] == ["top"]


def test_doors_lead_on_but_not_through_a_closed_start(small: Knowledge) -> None:
    assert routes.doors(small, "first", "last", Limits()) == [("middle", "Go on."), ("last", "Go on again.")]
    shut = Limits((_entry("shut", ("stroke",), (Forbid(("middle",), "height", "2-in", "", ""),)),))
    assert routes.doors(small, "first", "last", shut) is None


# -- the command on the shipped knowledge --------------------------------------------------------------------------------


def _run(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    code = cli.main(args)
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.usefixtures("rulebase")
@pytest.mark.parametrize("name", ["step-up", "step up", "Step_Up", "box step", "stepup"])
def test_a_movement_goes_by_any_of_its_names(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(capsys, "ladder", name)
    assert code == 0 and out.startswith("Ladder of step-up,")
    for label in ("Support: 1 ", "Height: 1 ", "On to: ", "Back to: ", "Up when: ", "Back: ", "First: ", "From: "):
        assert f"\n{label}" in out, label


@pytest.mark.usefixtures("rulebase")
@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("ladder", "stpe-up"), ("stpe-up", "did you mean 'step-up'?")),
        (("ladder", "step-up", "--condition", "strok"), ("strok", "did you mean 'stroke'?")),
        (("ladder", "step-up", "--from", "hieght=4"), ("no axis 'hieght'", "did you mean 'height'?")),
        (("ladder", "step-up", "--to", "height=5"), ("no level '5'", "4-in")),
        (("ladder", "step-up", "--to", "height="), ("axis=level",)),
        (("ladder", "step-up", "--form", "x"), ("no option '--form'", "did you mean --from?")),
        (("laddr",), ("no command 'laddr'", "did you mean `rungbook ladder`?")),
        (("her knee hurts",), ("rungbook ask",)),
        (("--jurnal", "x"), ("--jurnal", "did you mean --journal?")),
        (("completion", "bsh"), ("did you mean 'bash'?",)),
    ],
)
def test_what_is_not_known_gets_the_nearest_name_and_exit_2(
    args: tuple[str, ...], words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = _run(capsys, *args)
    assert code == 2 and out == "" and err.count("\n") == 1
    assert all(word in err for word in words), err


@pytest.mark.usefixtures("rulebase")
def test_a_route_rung_by_rung_with_its_criteria(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(
        capsys,
        "ladder",
        "step-up",
        "--from",
        "support=two-poles",
        "height=4",
        "--to",
        "support=contralateral",
        "height=8",
    )
    assert code == 0 and "two poles (here)" in out and "8 in (20 cm) step (goal)" in out
    assert "Route: step-up, from two poles, 4 in (10 cm) step" in out and "3 rungs" in out
    assert [line.split(":")[0] for line in out.splitlines() if line.startswith("Rung ")] == [
        "Rung 1",
        "Rung 2",
        "Rung 3",
    ]
    assert "\nEach up: " in out and "\nEach back: " in out


@pytest.mark.usefixtures("rulebase")
def test_a_condition_and_missing_kit_close_rungs_and_block_the_route(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(capsys, "ladder", "step-up", "--condition", "stroke", "--to", "support=none")
    assert code == 0 and "(goal, closed)" in out
    assert "No route: no safe route" in out and "Blocked: support: no hand support (stroke: " in out and "Open: " in out
    _, out, _ = _run(capsys, "ladder", "step-up", "--without", "poles", "--to", "support=none")
    assert "(start, no kit)" in out and "Instead: touch-down only: Touch the rail" in out
    assert "Rung 1: support: Hold the rail with one hand, opposite the working leg" in out and "No route" not in out
    _, out, _ = _run(
        capsys, "ladder", "step-up", "--without", "poles", "--without", "fixed-support", "--to", "support=none"
    )
    assert "needs walking poles" in out and "No route: " in out and "With kit: " in out


@pytest.mark.usefixtures("rulebase")
def test_a_route_through_the_doors_to_another_movement(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(capsys, "ladder", "step-up", "--to", "floor transfer", "support=none")
    assert code == 0 and "Route: step-up to floor transfer: " in out
    assert "\nCross to: " in out and "\nNeeds: " in out and "Route: floor transfer, from " in out


# -- the command line ----------------------------------------------------------------------------------------------------


def test_help_shows_every_command_with_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(capsys, "--help")
    assert code == 0
    for name in cli.COMMANDS:
        assert f"\n  {name} " in out and f"rungbook {name}" in out.replace("rungbook alone", ""), name
        assert name in cli.EXAMPLES, f"{name} needs an example"


@pytest.mark.parametrize("name", sorted(cli.COMMANDS))
def test_every_command_has_help_with_an_example(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main([name, "--help"])
    out = capsys.readouterr().out
    assert left.value.code == 0 and "example" in out and "--knowledge" in out


def test_version_and_options_before_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert _run(capsys, "--version")[1].startswith("rungbook ")
    assert cli.split(["--coach", "ab", "ask", "x", "--json"]) == ("ask", ["--coach", "ab", "x", "--json"])
    assert cli.split(["--no-log"]) == ("", ["--no-log"])


@pytest.mark.usefixtures("rulebase")
def test_one_answer_imports_neither_rich_nor_the_prompt_nor_yaml() -> None:
    code = (
        "import sys; from assistant.cli import main; main(['ask', '--no-log', 'step-ups easier']);"
        "sys.exit(', '.join({'rich', 'prompt_toolkit', 'yaml', 'difflib', 'assistant.commands.chat'} & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


# -- completion in the conversation, long texts --------------------------------------------------------------------------

OFFERS = [
    Offer("hip replacement", "condition: a", ("thr", "new hip"), 1),
    Offer("hip hinge", "movement: b", ("deadlift",), 0),
    Offer("knee replacement", "condition: c", ("tkr",), 1),
    Offer("draw", "word: d", alone=True),
]


@pytest.mark.parametrize(
    ("before", "expected"),
    [
        ("hip", [("hip hinge", 3), ("hip replacement", 3)]),
        ("68, her Hip rep", [("hip replacement", 7)]),
        ("after a thr", [("hip replacement", 3)]),
        ("repl", [("hip replacement", 4), ("knee replacement", 4)]),
        ("dr", [("draw", 2)]),
        ("she can dr", []),
        ("hip ", []),
        ("", []),
    ],
)
def test_completion_is_a_function_of_the_text(before: str, expected: list[tuple[str, int]]) -> None:
    assert [(offer.text, taken) for offer, taken in matching(before, OFFERS)] == expected


def test_a_long_text_is_read_whole_in_pieces_that_overlap() -> None:
    lines = [f"line {number} of the notes" for number in range(600)]
    pieces = list(readings("\n".join(lines)))
    assert all(any(f"line {number} of" in piece for piece in pieces) for number in range(600))
    assert any("notes. line 1 of" in piece for piece in pieces) and any("notes line 1 of" in piece for piece in pieces)


def test_shipped_concepts_are_offered_with_an_explanation(rulebase: Rulebase) -> None:
    from assistant.commands.offers import concepts

    found = {offer.text: offer for offer in concepts(rulebase)}
    assert found["step-up"].hint.startswith("movement: ladder of support")
    assert found["hip replacement"].hint.startswith("condition: ") and len(found["hip replacement"].hint) > 20
    assert matching("thr", list(found.values()))[0][0].text == "hip replacement"
