"""Misspelt and shortened words are understood; real words are left alone. Words outside the project: codespell's dictionary."""

from __future__ import annotations

import pytest
from bench import misspellings

from assistant.rulebase.index import SHORTEST, WORD_LIST
from assistant.rulebase.loading import Rulebase
from assistant.understanding.question import Reader
from assistant.understanding.spelling import slip_cost

RIGHT_CONCEPT = 95.0
STRAYED = 0.5  # per cent of the misspellings of other words


def test_an_open_list_of_misspellings(rulebase: Rulebase, reader: Reader, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("codespell_lib")
    out = misspellings.measure(rulebase, reader, share_of_others=0.02)
    with capsys.disabled():
        print("\n" + misspellings.report(out))
    assert out.pairs > 1500 and out.ordinary > 15_000 and out.others > 1000
    assert out.share >= RIGHT_CONCEPT, out.wrong_concept
    assert not out.turned
    assert 100 * len(out.strayed) / out.others <= STRAYED, out.strayed


def test_the_word_list_is_sorted_and_tells_its_source(rulebase: Rulebase) -> None:
    path = rulebase.root / WORD_LIST
    words = path.read_text("ascii").split()
    assert words == sorted(set(words)) and len(words) > 100_000
    told = path.with_name("english-words-licence.txt").read_text("utf-8")
    assert "SCOWL" in told and "Permission to use, copy, modify, distribute and sell" in told


def test_no_word_below_five_letters_is_reached_by_likeness(rulebase: Rulebase, reader: Reader) -> None:
    reached = {word for shape in rulebase.index.shapes for word in rulebase.index.shapes[shape]}
    assert reached and min(map(len, reached)) >= SHORTEST
    short = sorted(w for w in ("hips", "knee", "step", "band", "pole", "cane", "mat", "ramp", "rail", "copd", "gait"))
    for word in short:
        for wrong in (word + "q", word[0] + "q" + word[1:], "q" + word):
            assert reader.speller.mend(wrong) != word, (wrong, word)


@pytest.mark.parametrize("word", [
    "heal", "planter", "luge", "stroller", "balancer", "stripes", "stance", "chain", "lounge", "hinges", "pacer", "stoke",
    "cramp", "mate", "bridle", "sprint", "walker", "lunch", "spline", "cafes", "marsh", "bind", "cafe", "polo", "stroke",
])  # fmt: skip
def test_a_real_word_stays_as_typed(reader: Reader, word: str) -> None:
    assert [w.text for w in reader.read(f"the {word} there").words] == ["the", word, "there"]


@pytest.mark.parametrize(("text", "kind", "wanted"), [
    ("SLDL too easy", "movements", "single-leg-deadlift"),
    ("RDL cues", "movements", "hip-hinge"),
    ("TKR, squats, cautions", "conditions", "knee-replacement"),
    ("THR, squats, cautions", "conditions", "hip-replacement"),
    ("THA, squats, cautions", "conditions", "hip-replacement"),
    ("PD and step-ups, cautions", "conditions", "parkinsons"),
    ("knee OA, squats, easier", "conditions", "knee-osteoarthritis"),
    ("hip OA, squats, easier", "conditions", "hip-osteoarthritis"),
    ("STS too hard", "movements", "sit-to-stand"),
    ("how do I score the TUG", "screens", "timed-up-and-go"),
    ("one DB, how heavy, for squats", "equipment", "dumbbell"),
    ("limited ROM in squats, easier", "reports", "range"),
    ("high BP, cautions for squats", "conditions", "hypertension"),
    ("c/o knee pain in step-ups, easier", "reports", "pain"),
    ("s/p TKR, step-ups, cautions", "conditions", "knee-replacement"),
    ("L hip replaced, step-ups", "conditions", "hip-replacement"),
    ("bilat TKR, squats, cautions", "conditions", "knee-replacement"),
    ("RPE for squats", "movements", "squat"),
])  # fmt: skip
def test_short_forms(reader: Reader, text: str, kind: str, wanted: str) -> None:
    assert wanted in getattr(reader.read(text), kind)


@pytest.mark.parametrize(("short", "long"), [
    ("c/o", "complains of"), ("s/p", "after"), ("L", "left"), ("R", "right"), ("bilat", "bilateral"),
    ("contra", "contralateral"), ("ipsi", "ipsilateral"),
])  # fmt: skip
def test_short_forms_spelt_out(reader: Reader, short: str, long: str) -> None:
    assert " ".join(w.text for w in reader.read(f"knee {short} knee").words) == f"knee {long} knee"


def test_sob_is_breathlessness_and_rpe_is_effort(reader: Reader, rulebase: Rulebase) -> None:
    from assistant.conversation import Assistant

    assistant = Assistant(rulebase, reader)
    assert assistant.ask("sudden SOB at rest and blue lips, can she still do step-ups").status == "refer"
    assert any("effort-scales" in p.rule for p in assistant.ask("what RPE should beginners train at").points)


@pytest.mark.parametrize("side", [("L", "left"), ("R", "right")])
def test_sides(reader: Reader, side: tuple[str, str]) -> None:
    assert reader.read(f"{side[0]} knee replaced, step-ups easier").facts.words["side"] == side[1]


@pytest.mark.parametrize(("typed", "kind", "wanted"), [
    ("sqauts are too hard", "movements", "squat"),  # swapped
    ("squattt too hard", "movements", "squat"),  # held down
    ("lunegs forward, forwrad lunge", "movements", "forward-lunge"),
    ("spiltsquat too hard", "movements", "split-squat"),  # swapped, and no space
    ("splitsquat too hard", "movements", "split-squat"),  # missing space
    ("stepups on a box", "movements", "step-up"),
    ("sittostand too hard", "movements", "sit-to-stand"),
    ("cues for thesquat", "movements", "squat"),
    ("hipreplacement and squats", "conditions", "hip-replacement"),
    ("step-ups", "movements", "step-up"),  # hyphens
    ("stepup", "movements", "step-up"),
    ("sit to stands", "movements", "sit-to-stand"),  # plurals
    ("deadlifts", "movements", "hip-hinge"),
    ("dead lift with poles", "movements", "hip-hinge"),
    ("her Parkinson's and squats", "conditions", "parkinsons"),  # possessives
    ("Parkinsons squats", "conditions", "parkinsons"),
    ("parkinson’s squats", "conditions", "parkinsons"),
    ("the client’s stroke, squats", "conditions", "stroke"),
    ("osteoprosis and squats", "conditions", "osteoporosis"),  # a missing letter
    ("osteoporossis and squats", "conditions", "osteoporosis"),  # doubled
    ("rheumatiod arthritis and squats", "conditions", "rheumatoid-arthritis"),
    ("arthritic hip and squats", "conditions", "hip-osteoarthritis"),
    ("anaemia of no note, knee arthritis", "conditions", "knee-osteoarthritis"),  # UK and US
    ("travelling lunge", "movements", "walking-lunge"),
    ("traveling lunge", "movements", "walking-lunge"),
    ("heal raises too hard", "movements", "heel-raise"),
    ("planter fasciitis and step-ups", "conditions", "foot-pain"),
    ("walking luges", "movements", "walking-lunge"),
    ("one dumbell in the left hand, squats", "equipment", "dumbbell"),
    ("resistence bands", "equipment", "band"),
])  # fmt: skip
def test_phone_typing(reader: Reader, typed: str, kind: str, wanted: str) -> None:
    question = reader.read(typed)
    assert wanted in getattr(question, kind)


def test_uk_and_us_words_are_one(reader: Reader) -> None:
    for one, other in (("programme", "program"), ("centre", "center"), ("colour", "color"), ("oedema", "edema")):
        assert [w.text for w in reader.read(one).words] == [w.text for w in reader.read(other).words]


def test_a_likelier_slip_costs_less() -> None:
    assert slip_cost("sqaut", "squat") < slip_cost("squar", "squat") <= slip_cost("squbt", "squat")
    assert slip_cost("lungge", "lunge") < slip_cost("lungke", "lunge")


def test_a_misspelling_of_another_english_word_is_left_alone(reader: Reader) -> None:
    for wrong in ("adpatation", "prosesses", "dimenssion"):
        assert not reader.read(wrong).mentions, wrong
