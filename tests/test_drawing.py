"""Drawings from fixed dataclasses: kept pictures at three widths, an ASCII twin and words for each, and true scale."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.commands import pictures
from assistant.conversation import Assistant
from assistant.figures import geometry, poles, posture
from assistant.figures.targets import target
from assistant.journal import clients
from assistant.rendering.charts import (
    HelpChart,
    HelpLine,
    History,
    help_chart,
    help_words,
    history_line,
    history_words,
)
from assistant.rendering.drawing import CLOSED, GOAL, HERE, NO_KIT, LadderView, Rail, Rung, ladder, ladder_words
from assistant.rendering.side_view import Block, Line, Scene, side_view, side_view_words
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Question

GOLDEN = Path(__file__).parent / "golden"
WIDTHS = (60, 80, 120, 200)

STEP = LadderView(
    "Ladder of step-up",
    (
        Rail("support", (
            Rung("both hands on a fixed surface"), Rung("two poles", (HERE,)),
            Rung("one pole, hand opposite the working leg"), Rung("one pole, same-side hand", (NO_KIT,)),
            Rung("no hand support", (GOAL, CLOSED)),
        )),
        Rail("height", (Rung("2 in (5 cm) step"), Rung("4 in (10 cm) step", (HERE,)), Rung("8 in (20 cm) step"))),
        Rail("load", (Rung("body weight", (HERE,)), Rung("a light load"))),
    ),
    ("split squat: Go to a supported split squat to an 8 in (20 cm) pad.",),
    ("sit-to-stand: Build the push with stands from a raised seat, then come back to a 2 in step.",),
)  # fmt: skip
SCENE = Scene(
    "Start of step-up, side view to scale",
    (
        Line((0, 86), (36, 60)), Line((36, 60), (25, 27)), Line((0, 86), (0, 46)), Line((0, 46), (0, 6)),
        Line((0, 86), (0, 133)), Line((0, 133), (0, 143)), Line((0, 133), (0, 103)), Line((0, 103), (31, 101)),
    ),
    (Line((19, 20), (43, 20)), Line((-6, 0), (18, 0))),
    ((0, 86), (36, 60), (0, 46), (0, 133), (0, 103), (31, 101)),
    (0, 151),
    (Block("step 8 in (20.3 cm) high", 18, 54, 20.3, 20.3), Block("ramp 2 in (5.1 cm) high", -60, -30, 5.1, 0.0)),
    (Line((31, 0), (31, 106)),),
    ("client 5 ft 4 in tall", "pole 42 in (106 cm) long", "elbow 87 degrees here, 44 on top"),
)  # fmt: skip
HELP = HelpChart(
    "Help at depth, 18% of body weight measured at the bottom",
    (
        HelpLine("pole pressed evenly", ((0, 8), (24, 8))),
        HelpLine("hanging band", ((0, 0), (6, 0), (24, 18))),
    ),
)
RESULTS = History(
    "30-second chair stand", "stands", (("2026-01-05", 8), ("2026-02-03", 9), ("2026-03-02", 9), ("2026-04-06", 11)), 12
)
DRAWINGS: dict[str, Callable[[int, bool], list[str]]] = {
    "ladder": lambda width, unicode: ladder(STEP, width, unicode),
    "side-view": lambda width, unicode: side_view(SCENE, width, unicode),
    "help": lambda width, unicode: help_chart(HELP, width, unicode),
    "history": lambda width, unicode: history_line(RESULTS, width, unicode),
}


@pytest.mark.parametrize("name", sorted(DRAWINGS))
@pytest.mark.parametrize("unicode", [True, False])
def test_drawing_is_as_kept(name: str, unicode: bool, golden: Callable[[Path, str], None]) -> None:
    """One file a drawing: the same picture at 60, 80 and 120 columns."""
    parts = [f"--- {width} columns\n" + "\n".join(DRAWINGS[name](width, unicode)) for width in WIDTHS[:3]]
    golden(GOLDEN / f"drawing-{name}{'' if unicode else '-ascii'}.txt", "\n".join(parts) + "\n")


@pytest.mark.parametrize("name", sorted(DRAWINGS))
@pytest.mark.parametrize("width", WIDTHS)
def test_drawing_keeps_to_its_width_and_its_twin_to_ascii(name: str, width: int) -> None:
    for unicode in (True, False):
        lines = DRAWINGS[name](width, unicode)
        assert max(map(len, lines)) <= width, lines
        assert all(line == line.rstrip() for line in lines)
        assert unicode or "\n".join(lines).isascii()


def test_every_mark_of_a_ladder_is_a_word_too() -> None:
    for width in WIDTHS:
        text = "\n".join(ladder(STEP, width))
        assert text.count("HERE") == 3 and "CLOSED" in text and "NO KIT" in text and "GOAL" in text
        assert "ON TO split squat" in text and "BACK TO sit-to-stand" in text


def test_feet_stand_on_the_present_rung_and_a_closed_rung_is_broken() -> None:
    lines = ladder(STEP, 200, unicode=False)
    assert "|o-o| HERE two poles" in "\n".join(lines)
    assert "|- -| GOAL CLOSED no hand support" in "\n".join(lines)


def test_the_hardest_rung_is_on_top() -> None:
    text = "\n".join(ladder(STEP, 60))
    assert text.index("8 in (20 cm)") < text.index("4 in (10 cm)") < text.index("2 in (5 cm)")


def test_ladder_in_words_names_every_rung_mark_and_door() -> None:
    text = "\n".join(ladder_words(STEP))
    for rail in STEP.rails:
        for rung in rail.rungs:
            assert rung.name in text
            assert all(mark in text for mark in rung.marks)
    assert "On to: split squat" in text and "Back to: sit-to-stand" in text


def test_side_view_in_words_gives_every_length_and_angle() -> None:
    text = side_view_words(SCENE)
    assert all(fact in text for fact in SCENE.facts)
    assert all(block.name in text for block in SCENE.blocks)


def test_side_view_is_to_scale() -> None:
    """A pole of 126 cm beside a block of 63 cm takes twice its rows; as wide as high takes twice the columns."""
    scene = Scene("t", (), (), (), (0, 150), (Block("box", 40, 103, 63, 63),), (Line((0, 0), (0, 125.9)),))
    rows = side_view(scene, 120, unicode=False)
    pole = sum("!" in row and "pole" not in row for row in rows)
    box = [row for row in rows if "##" in row]
    assert pole == 2 * len(box)
    assert abs(box[0].count("#") - 2 * len(box)) <= 1


def test_help_chart_in_words() -> None:
    text = help_words(HELP)
    assert "an even 8% of body weight" in text
    assert "from 0% standing to 18% at 24 cm down, nothing above 6 cm" in text


def test_history_in_words_tells_change_and_what_is_left() -> None:
    assert history_words(RESULTS) == (
        "30-second chair stand: 8 stands on 2026-01-05 to 11 stands on 2026-04-06, 4 results, 3 up (better); "
        "target 12 stands, 1 to go."
    )
    slower = History("timed up and go", "s", (("2026-01-05", 12.0), ("2026-02-05", 14.0)), 12.0, "lower")
    assert "2 up (worse)" in history_words(slower) and "2 to go" in history_words(slower)


def test_history_of_none_and_of_one_result() -> None:
    assert history_line(History("grip", "kg", ()), 60) == ["grip: no results yet."]
    assert history_line(History("grip", "kg", (("2026-01-05", 22.0),)), 60) == ["grip: 22 kg on 2026-01-05."]
    lines = history_line(History("grip", "kg", (("2026-01-05", 22.0),), 26.0), 60)
    assert any("o 22" in line for line in lines) and any("target 26" in line for line in lines)


# -- postures: the drawing and the figures come from the same numbers ---------------------------------------------------


@pytest.mark.parametrize("stature", [150.0, 165.0, 190.0])
@pytest.mark.parametrize("size", [5.08, 10.16, 20.32])
def test_posture_has_the_angles_of_the_geometry(stature: float, size: float) -> None:
    body = posture.step_start(stature, size)
    assert body.lead.bend == pytest.approx(geometry.step_knee(stature, size))
    split = geometry.split_squat(stature, size)
    low = posture.split_bottom(stature, size)
    assert low.lead.bend == pytest.approx(split.front_knee)
    assert low.trail.bend == pytest.approx(split.rear_knee)
    assert low.trail.knee[1] == pytest.approx(size + geometry.KNEE_CENTRE * stature)


@pytest.mark.parametrize("stature", [155.0, 170.0, 185.0])
def test_a_drawn_pole_has_its_length_and_elbow(stature: float) -> None:
    fit = poles.step_up_pole(stature, 20.32)
    body = posture.step_start(stature, 20.32, fit.length)
    assert body.pole is not None and body.arm is not None
    assert body.pole[1][1] - body.pole[0][1] == pytest.approx(fit.length)
    assert body.elbow_bend == pytest.approx(fit.elbow_bottom)
    assert body.pole[0][0] == pytest.approx(body.arm[1][0])


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("stature", [135.0, 165.0, 205.0])
def test_real_set_ups_fit_every_width(width: int, stature: float) -> None:
    for scene in (
        pictures.step_scene("step-up", stature, 20.32, True, "in"),
        pictures.split_scene("split squat", stature, 10.16, 5.08, True, "in"),
    ):
        lines = side_view(scene, width)
        assert max(map(len, lines)) <= width
        assert len(lines) < 40


# -- a band's true curve, and the line ahead -------------------------------------------------------------------------------


def test_a_band_of_known_stiffness_is_drawn_beside_a_pole(assistant: Assistant) -> None:
    """Anchor 250, hands 100, slack 130 cm, 0.25 kg per cm: standing 20 x 0.25 = 5 kg, 40 cm down 15 kg of 75."""
    text = "band anchored at 250 cm, hands at 100 cm, slack length 130 cm, 0.25 kg per cm, 40 cm down, she weighs 75 kg: pull?"
    answer = assistant.ask(text)
    chart = pictures.help_at_depth(answer.figures, assistant.turn.question or Question(text))
    assert chart is not None
    pole, band = chart.lines
    assert band.points[0] == pytest.approx((0, 100 * 5 / 75)) and band.points[-1] == pytest.approx((40, 20))
    assert pole.points[0][1] == pole.points[1][1] == pytest.approx(20)
    assert "from 6.7% standing to 20% at 40 cm down" in help_words(chart)
    for width in WIDTHS:
        assert max(map(len, help_chart(chart, width))) <= width


@pytest.mark.parametrize(("value", "ahead"), [(8, 10), (10, 14), (13, 14), (15, 14)])
def test_the_target_is_the_next_published_line(rulebase: Rulebase, value: float, ahead: float) -> None:
    """Women of 72: CDC STEADI 2017 below average under 10; Rikli & Jones 2013 independence from 14."""
    found = target(rulebase.knowledge, "30-s-chair-stand", 72, "female", (), value, "stands")
    assert found == ahead


def test_the_target_of_a_time_lies_below_it(rulebase: Rulebase) -> None:
    """STEADI 2017: 12 s; in Parkinson's Nocera 2013: 11.5 s."""
    assert target(rulebase.knowledge, "timed-up-and-go", 75, "male", ("parkinsons",), 13.0, "s") == 11.5
    assert target(rulebase.knowledge, "timed-up-and-go", 75, "male", (), 13.0, "m") is None


def test_a_clients_history_is_drawn_with_its_target(rulebase: Rulebase) -> None:
    card = clients.new_card("a12")
    card |= {"ages": [70, 74], "sex": "female"}
    card["results"] = [
        {"screen": "30-s-chair-stand", "date": "2026-01-05", "value": 8, "unit": "stands"},
        {"screen": "30-s-chair-stand", "date": "2026-03-05", "value": 11, "unit": "stands"},
    ]
    (history,) = pictures.histories(card, rulebase.knowledge)
    assert (history.target, history.better) == (14, "higher")
    assert "target 14 stands, 3 to go" in history_words(history)
    assert any("target 14" in line for line in history_line(history, 80))
