"""Short answers read with the words their question lends them. What the answers mean: common practice, no source."""

import pytest

from assistant.language.answers import Pending
from assistant.language.lent import SLOT, lent
from assistant.language.read import Reader
from assistant.records import Heard, Span, Statement
from tests.real import BOOK

READER = Reader(BOOK)
LENDING = [(entry.id, wording) for kind in (BOOK.facts, BOOK.checks) for entry in kind.values() for wording in entry.lends]


def asked(fact: str) -> Pending:
    """The question about a fact, as it is put."""
    values = BOOK.facts[fact].values
    return Pending("question", fact, tuple(values), tuple(values.values()))


def answer(fact: str, said: str) -> set[str]:
    """The values heard of the fact that was asked for."""
    return {("not " if s.denied else "") + str(s.value) for s in READER.read(said, asked(fact)).statements if s.fact == fact}


@pytest.mark.parametrize("fact, said, value", [
    ("lights-on-start", "headlight goes dim", "dim-a-lot"), ("lights-on-start", "black out", "go-out"), ("lights-on-start", "nothing changes", "steady"),
    ("lights-key-on", "a bit weak", "dim"), ("cranking", "dead", "none"), ("cranking", "really slow", "slow"), ("pump-prime", "can't hear anything", "silent"),
    ("firing", "runs for a second", "fires-then-dies"), ("stalls", "at lights", "at-stops"), ("fuel-level", "nearly empty", "low"),
    ("fuel-age", "two months", "months-old"), ("battery-age", "5 years", "over-three-years"), ("last-ran", "yesterday", "days-ago"),
    ("onset", "on the motorway", "sudden-while-riding"), ("onset", "slowly over months", "gradual"), ("happens-when", "in the rain", "wet-only"),
    ("recent-work", "carb", "carburettor-cleaned"), ("kick-feel", "won't move", "solid"), ("lights-when-it-stopped", "went off", "went-out")])
def test_an_answer_of_a_word_or_two(fact, said, value):
    """Heard of what was asked, in capitals and with a full stop too."""
    assert answer(fact, said) == {value} == answer(fact, said.upper() + ".")


@pytest.mark.parametrize("check, said, outcome", [
    ("spark-at-plug", "yes nice and blue", "good"), ("spark-at-plug", "orange", "weak"), ("spark-at-plug", "nothing at all", "none"),
    ("relay-click", "no click", "silent"), ("relay-click", "yeah it clicks", "clicks"), ("main-fuse", "it's fine", "intact"), ("circuit-fuses", "all good", "intact"),
    ("circuit-fuses", "one blown", "blown"), ("terminals-tug-and-look", "a bit loose", "bad"), ("terminals-tug-and-look", "tight and clean", "good"),
    ("fuel-flow-at-hose", "pours for a bit then stops", "steady-then-stops"), ("air-filter-look", "filthy", "dirty"), ("turn-engine-by-hand", "stuck solid", "locked"),
    ("wiggle-test", "no change", "good"), ("finger-over-plug-hole", "barely any puff", "low"), ("jump-start-trial", "cranks better but no start", "better"),
    ("controls-walk-round", "all as it should be", "good"), ("kill-switch-continuity", "no beep", "open")])
def test_what_a_check_showed_in_a_word_or_two(check, said, outcome):
    """Heard as the outcome that is meant, and never as the one that the word alone would name."""
    found = BOOK.checks[check]
    pending = Pending("check", check, tuple(found.outcomes), tuple(found.outcomes.values()))
    assert [r.outcome for r in READER.read(said, pending).readings if r.check == check] == [outcome]


@pytest.mark.parametrize("fact, wording", LENDING)
def test_the_question_alone_tells_nothing(fact, wording):
    """With a word in the slot that nobody knows nothing is heard of it, nor with a slot left empty."""
    for said in ("qwxzv", ""):
        assert lent(READER.read, fact, [wording], said) == []


@pytest.mark.parametrize("fact, said", [("lights-on-start", "why"), ("cranking", "I don't know"), ("firing", "what?"), ("last-ran", "skip"), ("onset", "take that back")])
def test_what_is_said_to_the_assistant_is_no_answer(fact, said):
    """It keeps its meaning."""
    assert answer(fact, said) == set() and READER.read(said, asked(fact)).intents


def test_what_is_said_of_something_else_stays_that():
    """Another sign told in place of the answer."""
    heard = READER.read("the plug is wet with petrol", asked("lights-on-start"))
    assert {(s.fact, s.value) for s in heard.statements} == {("plug-look", "wet-fuel")}


def test_the_words_of_the_answer_are_the_ones_shown():
    """The span is that of the message, whatever was read around it."""
    said = "  headlight goes dim. "
    statement, = READER.read(said, asked("lights-on-start")).statements
    assert said[statement.span.start:statement.span.end] == statement.words == "headlight goes dim"


def test_the_first_wording_that_tells_counts():
    """Later ones are not tried."""
    tried = []

    def read(text: str) -> Heard:
        tried.append(text)
        return Heard((Statement("lamp", "dim", span=Span(0, 9)),) if text == "lamp dim" else ())

    found = lent(read, "lamp", [f"{SLOT} with the key on", f"lamp {SLOT}", f"lamp is {SLOT}"], "dim")
    assert tried[:2] == ["dim with the key on", "lamp dim"] and "lamp is dim" not in tried and [(s.words, s.value) for s in found] == [("dim", "dim")]
