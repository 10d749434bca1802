"""What is meant: denied, asked, supposed, doubted, bygone, planned, or said of another machine."""

import pytest

from tests.language.sentences import SCOPED
from tests.language.test_properties import READER, heard


def stated(text: str) -> set:
    """What counts as so now."""
    return {(f[0], f[1]) for f in heard(text) if len(f) == 4 and f[2] is False and f[3] == "now"}


@pytest.mark.parametrize(("text", "said", "unsaid"), SCOPED)
def test_what_is_so_and_what_is_not(text, said, unsaid):
    """A fact is heard where it is stated of this machine now, and nowhere else."""
    found = stated(text)
    assert said is None or said in found
    assert unsaid not in found


def test_a_doubted_value_gives_way_to_a_sure_one():
    """'Out of petrol, I think, except I filled it' is no empty tank."""
    assert ("fuel-level", "empty") not in stated("Out of petrol, I thought, but I filled it up this morning at the pump.")


def test_double_negation_as_people_speak_is_one():
    """'No lights no nothing' still says that the lights are dead."""
    assert ("lights-key-on", "dead") in stated("no lights no nothing")


def test_a_fragment_belongs_to_the_sentence_before_it():
    """'Thumb on the button. Nothing.' is one statement in two sentences."""
    assert ("cranking", "none") in stated("Thumb on the button. Nothing.")


def test_a_conclusion_is_believed_less_than_a_look():
    """'Battery is fully charged' without a meter is kept, and is not as sure as a reading."""
    told, = READER.read("the battery is fully charged").readings
    measured, = READER.read("battery 12.8 V").readings
    assert told.confidence < 0.6 < measured.confidence


def test_a_story_told_over_sentences():
    """Where it was ridden, and that it died, may stand in two sentences; a trial of the starter after that is no new beginning."""
    found = stated("Was on the way to work on the dual carriageway. Then it just died. Pressed the button: nothing.")
    assert ("onset", "sudden-while-riding") in found and ("onset", "sudden-at-start") not in found


def test_parts_in_any_order():
    """A phrase whose parts may come in any order is heard both ways round."""
    assert ("plug-look", "wet-fuel") in stated("the plug came out soaked") and ("plug-look", "wet-fuel") in stated("soaked, that plug was")


def outcomes(text: str) -> set:
    """(check, outcome) of what was told in words."""
    return {(r.check, r.outcome) for r in READER.read(text).readings if r.value is None}


@pytest.mark.parametrize(("text", "found"), [
    ("I have no compression gauge", set()), ("no spark tester here", set()),
    ("spark is good with the other plug", {("spark-with-known-good-plug", "good")}),
    ("no spark on either", {("spark-at-plug", "none"), ("spark-at-other-plugs", "none")}),
    ("got a spark, but it is a miserable yellow thing", {("spark-at-plug", "weak")})])
def test_an_outcome_is_that_of_the_check_that_was_done(text, found):
    """A tool that is missing finds nothing, a trial is not the plain test it contains, and the last word on a check stands."""
    assert outcomes(text) == found


@pytest.mark.parametrize(("text", "said", "unsaid"), [
    ("the green light stays dark", ("warning-light", "neutral-light-off"), ("lights-key-on", "dead")),
    ("the lights were dead, now the lights are bright again", ("lights-key-on", "normal"), ("lights-key-on", "dead")),
    ("press the button and it just clicks", ("cranking", "none"), None),
    ("if I did not know better I would swear it was out of petrol", None, ("fuel-level", "empty")),
    ("it starts like nothing happened", None, ("firing", "none"))])
def test_what_longer_words_say_and_what_came_later(text, said, unsaid):
    """A sign inside a longer one is not heard twice; the later of two values stands; facts told side by side are both heard."""
    found = stated(text)
    assert said is None or said in found
    assert unsaid not in found


@pytest.mark.parametrize(("text", "said", "denied"), [
    ("Washed it? No.", None, ("recent-work", "washed")),
    ("Any smoke? None.", ("exhaust-smoke", "none"), None),
    ("Is there any smoke? No there is not.", ("exhaust-smoke", "none"), None),
    ("Does it turn over? No.", ("cranking", "none"), None),
    ("Doesn't turn over? No.", ("cranking", "none"), None),
    ("Does the pump prime? Nope", ("pump-prime", "silent"), None),
    ("Is the kill switch on run? Yes.", ("kill-switch", "run"), None),
    ("The lights come on? Yes they do", ("lights-key-on", "normal"), None),
    ("New plugs? Yes, fitted last week.", ("recent-work", "plugs-replaced"), None),
])
def test_a_question_with_its_own_answer_states(text, said, denied):
    """People repeat what they were asked and answer it."""
    assert said is None or said in stated(text)
    assert denied is None or denied in {(f[0], f[1]) for f in heard(text) if len(f) == 4 and f[2] is True} and denied not in stated(text)


@pytest.mark.parametrize("text", ["Could it be that the plugs are wet? No idea.", "Should I wash it? No.", "Not been washed? Yes.", "Is the tank empty? No clue.",
                                  "Washed it? No. Washed it? Yes? No?", "Is? No.", "Any? No.", "? No", "Has the? Yes"])
def test_a_question_that_is_no_answer_states_nothing(text):
    """Guesses, plans, an answer that can be taken either way, and questions without anything in them."""
    assert not {("recent-work", "washed"), ("fuel-level", "empty"), ("plug-look", "wet-fuel")} & stated(text)


def test_what_is_said_to_the_assistant_is_taken_as_it_was_written():
    """'Did I wash it? No' is no 'I did'."""
    assert {i.kind for i in READER.read("Did I wash it? No.").intents} == {"no"}


@pytest.mark.parametrize(("text", "done"), [
    ("Plugs, battery, air filter all replaced last month.", {"plugs-replaced", "battery-replaced", "air-filter"}),
    ("Coil, lead, cap and plug all new.", {"coil-or-leads", "plugs-replaced"}),
    ("Changed the plug cap.", {"coil-or-leads"}),
    ("New fuel filter fitted.", {"fuel-filter-fitted"}),
    ("The new coil is on order.", set()),
    ("New plugs coming tomorrow.", set()),
])
def test_work_told_in_a_list_and_work_to_come(text, done):
    """Each member of a list before or after its verb; a part's name inside a longer one is no member; what is on order is not done."""
    assert {value for fact, value in stated(text) if fact == "recent-work"} == done
