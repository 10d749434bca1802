"""What if: the difference a supposed answer would make, the same as if it were given, and nothing of it is kept."""

from __future__ import annotations

import re

import pytest

from assistant.dialogue.account_suppose import suppose
from assistant.dialogue.case import Case
from assistant.rulebook.find import knowledge_folder
from assistant.session.events import Event
from assistant.session.keeper import Keeper
from assistant.session.store import Store
from tests.dialogue.test_accounts import add_up
from tests.explain.small import mind

SUPPOSED = ["what if the battery reads 10.2 V", "what if the plug is wet", "what if no spark", "what if it does not turn", "what if the battery reads 99 V",
            "what if the moon is full", "what if good spark", "what if the lights are dead"]


def begun(*messages: str, keep=None) -> Case:
    """A conversation on the small trade, heard without answers, and then a question that stands open."""
    case = Case(mind(), keep)
    for message in messages or ("it cranks slowly and the lights are dim", "battery reads 12.6 V"):
        case.hear(message)
    case.add(Event("asked", {"what": "question", "id": "stood", "choices": ["winter", "days"], "plain": []}))
    return case


def said(case: Case, message: str) -> list[str]:
    """The answer, without the reminder of the open question."""
    return [text for role, text in case.say(message).lines if role in ("why", "because", "sum")]


@pytest.mark.parametrize("message", SUPPOSED)
def test_the_conversation_is_untouched(message):
    """After a what-if: the same notes, repairs, open question, ranking and next step, and only its own words in the log."""
    case = begun()
    before, thinking, events = case.state, case.think(), list(case.events)
    case.say(message)
    after = case.state
    assert (after.notes, after.repairs, after.pending, after.opened, after.passed, after.tools_lack, after.cured, after.stopped) == (
        before.notes, before.repairs, before.pending, before.opened, before.passed, before.tools_lack, before.cured, before.stopped)
    assert case.events[: len(events)] == events
    assert [e.kind for e in case.events[len(events):]] == ["said"]
    again = case.think()
    assert again.ranking == thinking.ranking and again.facts == thinking.facts
    assert (again.plan.best.kind, again.plan.best.id) == (thinking.plan.best.kind, thinking.plan.best.id)


def test_the_log_on_the_disk_holds_nothing_supposed(tmp_path):
    """Replaying the log of a conversation with a what-if gives the same state as one without it, but for the count of messages."""
    keeper = Keeper(Store(tmp_path))
    case = begun(keep=keeper)
    case.say("what if the battery reads 10.2 V")
    keeper.close()
    again, plain = Case(mind()), begun()
    again.replay(Keeper(Store(tmp_path)).resume("").events)
    assert again.state.notes == plain.state.notes and again.think().ranking == plain.think().ranking


def test_the_difference_is_what_the_answer_would_make():
    """The shares said for afterwards are those of the ranking once the same words are really said."""
    case = begun()
    told = said(case, "what if the battery reads 10.2 V")
    moves = {m[1].lower(): float(m[2]) for t in told if (m := re.match(r"(.+?): (?:from|still) .*\(.* to ([\d.]+) in 100\)", t))}
    case.say("the battery reads 10.2 V")
    ranking, book = case.think().ranking, mind().book
    assert "flat battery" in moves
    for standing in ranking.standings:
        if (name := book.faults[standing.fault].plain) in moves:
            assert moves[name] == pytest.approx(standing.probability * 100, abs=0.06)


def test_rules_gained_and_lost_and_the_leader_are_said():
    """A low reading in place of a good one: two rules more, one less, another leader, each rule with its place."""
    told = said(begun("no spark", "battery reads 12.6 V"), "what if the battery reads 10.2 V")
    whole = "\n".join(told)
    assert re.search(r"Rule gained: Under eleven volts it is quite flat\. \[very-low-volts-say-it-louder, workshop/knowledge\.yaml:\d+\]", whole)
    assert "Rule lost: Good volts clear the battery." in whole
    assert "Flat battery would lead instead of fouled plug." in whole
    assert "The next step would be: " in whole
    assert "Nothing of this is noted: it was only supposed." in whole


def test_the_numbers_of_a_what_if_add_up():
    """The move of the new leader is the sum of what the rules and the common term give."""
    told = said(begun("no spark", "battery reads 12.6 V"), "what if the battery reads 10.2 V")
    assert told[-1].startswith("In numbers, flat battery:")
    add_up(re.sub(r"dB\.$", "dB", told[-1]))


def test_a_supposed_answer_to_the_open_question_is_read_as_one():
    """Behind an open check, 'what if 11 V' is a reading of that check."""
    case = begun("it cranks slowly")
    case.add(Event("asked", {"what": "check", "id": "rest-volts", "choices": ["low", "good", "high"], "plain": []}))
    assert any("measure the battery at rest: 10 V" in t for t in said(case, "what if 10 V"))
    assert not any(n.topic == "rest-volts" for n in case.state.notes)


def test_a_number_no_meter_would_show_is_refused():
    """99 V is a slip of the typing, supposed or not."""
    assert said(begun(), "what if the battery reads 99 V") == ["99 V cannot be right for: measure the battery at rest (0 to 30 V)."]


def test_words_without_a_fact_are_not_guessed_at():
    """What cannot be read as an answer is said to be so."""
    assert said(begun(), "what if the moon is full")[0].startswith("I could not read a fact or a number in that.")


def test_a_supposed_repair_is_one_that_does_not_help():
    """Behind an open repair, 'what if done it' supposes that it was done and did not help."""
    case = begun("it cranks slowly", "lights are dim")
    case.add(Event("asked", {"what": "repair", "id": "battery-flat", "choices": [], "plain": []}))
    guess, supposed = suppose(mind(), case.state, "charged it")
    assert supposed == ["charge it, and it does not help"]
    assert guess.repairs[-1].outcome == "no-change" and case.state.repairs == ()


@pytest.fixture(scope="module")
def real():
    """The real files, with their own words."""
    from assistant.dialogue.think import Mind
    from assistant.rulebook.load import load

    return Mind(load(knowledge_folder()))


@pytest.mark.parametrize("message", ["what if it read 11.5 V", "what if the battery reads 10.9 V", "suppose there was no spark at the plug", "what if i replaced the coil",
                                     "ok what if the lights were dead", "what would it mean if the plug was wet", "why not the spark plug", "why not the battery"])
def test_on_the_real_files_nothing_supposed_or_objected_is_told(real, message):
    """The sentences people suppose or object with leave no note behind on the real phrases."""
    case = Case(real)
    case.say("my 125 turns over fine but will not start")
    case.say("battery reads 12.6 V")
    before = case.state
    answer = case.say(message)
    assert case.state.notes == before.notes and case.state.repairs == before.repairs
    assert {i.kind for i in case.state.heard.intents} <= {"what-if", "why-not"}
    assert any(role == "why" for role, _ in answer.lines)


@pytest.mark.parametrize("message", ["if it is cold it will not start", "starts fine if it is warm", "battery reads 11.9 V. what if it read 12.7 V?"])
def test_a_condition_in_a_story_is_still_told(real, message):
    """An 'if' is not yet a supposition, and one sentence that supposes does not silence the next to it."""
    heard = real.reader.read(message)
    alone = real.reader.read(message.split(". what")[0])
    assert heard.statements == alone.statements and heard.readings == alone.readings


@pytest.mark.parametrize("message", ["start over", ""])
def test_starting_over_cannot_be_supposed(real, message):
    """A fresh start is no answer, nor is nothing: nothing is folded in."""
    case = Case(real)
    case.say("my 125 turns over fine but will not start")
    guess, supposed = suppose(real, case.state, message)
    assert supposed == [] and guess.notes == case.state.notes


@pytest.mark.parametrize(("more", "words"), [(1, "Rule gained besides: "), (3, "Rules gained besides: ")])
def test_rules_past_the_first_few_are_named_and_counted_right(more, words):
    """Four are told in full; the rest by name, and all of them on request."""
    from assistant.dialogue.account_suppose import _RULES, _rules
    from assistant.explain.difference import Difference
    from tests.explain.small import mind

    book = mind().book
    gained = tuple(sorted(book.rules)[: _RULES + more])
    made = Difference((), (0.0, 0.0), (None, None), gained, ())
    short, whole = ([t for _, t in _rules(book, made, most)] for most in (_RULES, None))
    assert len(short) == _RULES + 1 and short[-1] == words + ", ".join(gained[_RULES:]) + "."
    assert len(whole) == len(gained) and all(t.startswith("Rule gained: ") for t in whole)
