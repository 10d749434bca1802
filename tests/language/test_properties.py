"""What must hold of any message: case, spaces and idle sentences change nothing, and a denial leaves no affirmation."""

import json
from pathlib import Path

import pytest

from assistant.language.read import MAX_CHARACTERS, Reader
from tests.real import BOOK

READER = Reader(BOOK)
STORIES = [json.loads(line) for line in (Path(__file__).parent / "own-stories.jsonl").read_text(encoding="utf-8").splitlines()]
TURNS = [turn for story in STORIES for turn in story["turns"]]


def heard(text: str) -> set:
    """Statements and readings of a message, without their places."""
    found = READER.read(text)
    return {(s.fact, s.value, s.denied, s.when) for s in found.statements} | {(r.check, r.value, r.outcome, r.where) for r in found.readings}


IDLE = ("My cousin bakes very decent apple cakes for the whole village.", "Greetings from the seaside to all of you kind people.",
        "By the way, the photograph shows our dog beside the tomatoes.")


@pytest.mark.parametrize("idle", IDLE)
@pytest.mark.parametrize("text", TURNS[::4])
def test_an_idle_sentence_changes_no_statement(text, idle):
    """A sentence about something else, set before or after the story, adds nothing and takes nothing away."""
    assert heard(idle) == set()
    assert heard(f"{text}\n{idle}") == heard(text)
    assert heard(f"{idle}\n{text}") == heard(text)


@pytest.mark.parametrize("text", TURNS)
def test_case_spaces_and_a_last_full_stop_change_nothing(text):
    """Upper case, doubled spaces and a full stop at the end mean the same."""
    plain = heard(text)
    assert heard(text.upper()) == plain
    assert heard(text.replace(" ", "  ")) == plain
    assert heard(text.rstrip(".") + ".") == plain


@pytest.mark.parametrize(("text", "fact", "value"), [
    ("the starter is not clicking", "starter-sound", "single-click"), ("it does not backfire", "backfire", "exhaust"),
    ("the tank is not empty", "fuel-level", "empty"), ("the engine is not seized", "engine-turns", "locked"),
    ("there is no smoke", "exhaust-smoke", "black"), ("it is not in gear", "gear-and-stand", "in-gear")])
def test_a_denied_sentence_never_leaves_the_positive_fact(text, fact, value):
    """What is said not to be so is not heard as so."""
    assert (fact, value, False, "now") not in heard(text)


DENIABLE = (
    ("the engine {} seized", ("is", "is not"), "engine-turns", "locked"), ("the tank {} empty", ("is", "is not"), "fuel-level", "empty"),
    ("it {} backfire through the exhaust", ("does", "does not"), "backfire", "exhaust"), ("it {} blue smoke", ("makes", "never makes"), "exhaust-smoke", "blue"),
    ("there {} petrol on the floor", ("is", "is no"), "fuel-leak", "somewhere"), ("the oil level {} low", ("is", "is not"), "oil-level", "low"),
    ("it {} overheated", ("has", "has not"), "running-temperature", "hot"), ("the horn {}", ("works", "does not work"), "horn-or-indicators", "normal"),
    ("the headlight {} bright", ("is", "is not"), "lights-key-on", "normal"), ("the plug {} wet", ("is", "is not"), "plug-look", "wet-fuel"),
    ("I {} the plugs", ("changed", "have not changed"), "recent-work", "plugs-replaced"), ("the choke {} on", ("is", "is not"), "choke", "on"))


@pytest.mark.parametrize(("frame", "ways", "fact", "value"), DENIABLE)
def test_what_is_heard_is_gone_once_it_is_denied(frame, ways, fact, value):
    """The same sentence said and denied: heard the one way, and not the other."""
    said, denied = (heard(frame.format(way)) for way in ways)
    assert (fact, value, False, "now") in said
    assert (fact, value, False, "now") not in denied


def test_a_megabyte_is_read_in_part_and_said_so():
    """Of a very long text the head is read, and the rest is listed as not understood."""
    found = READER.read("the bike will not start " * 50_000)
    assert found.not_understood[-1].span.start == MAX_CHARACTERS
