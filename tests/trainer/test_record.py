"""A chat's log to a conversation file: the shortest way from 'it got this one wrong' to a failing test."""

from assistant.cli import main
from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.rulebook.load import load
from assistant.session.events import Event
from assistant.session.log import Log
from assistant.trainer.conversations import read
from assistant.trainer.record import record
from assistant.trainer.replay import replay
from tests.trainer.folders import BASE


def chat(path, *messages):
    """A log of a chat with these messages."""
    log = Log.create(path)
    case = Case(Mind(load(BASE)), keep=log.append)
    case.add(Event("opened", {"knowledge": "x"}))
    case.add(Event("given", {"fact": "start-by", "value": "kick"}))
    for message in messages:
        case.say(message)
    log.close()
    return case


def test_a_recorded_chat_replays_without_a_difference(tmp_path, capsys):
    """Everything that happened stands in the file as an expectation, readable and in order."""
    log, target = tmp_path / "log.jsonl", tmp_path / "talk.yaml"
    chat(log, "the lamp is dead: quite dark", "the second", "why", "sparrows sang on the roof")
    assert main(["knowledge", "record", str(log), str(target), "--knowledge", str(BASE)]) == 0
    assert "4 turns" in capsys.readouterr().out
    text = target.read_text()
    assert text.startswith("who: the owner\n") and "machine: {start-by: kick}\n" in text
    assert '  - says: "the lamp is dead: quite dark"\n    heard:\n      - {fact: lamp, value: dead, words: lamp is dead}\n' in text
    assert "    missed: [sparrows sang on the roof]\n" in text and "    meant: [why]\n" in text and "    fired: [dark-lamp-is-no-current, kick-only-needs-no-button]\n" in text
    mind = Mind(load(BASE))
    made, problems = read(mind.book, target)
    assert problems == [] and replay(mind, made, strict=True, whole=True).differences == ()


def test_where_the_log_was_asked_something_else_the_turn_says_what_it_answers():
    """The words of an answer keep their meaning though the planner would ask another thing today."""
    events = [Event("said", {"text": "the lamp is dead"}),
              Event("asked", {"what": "question", "id": "turning", "choices": ["quick", "slow", "none"], "plain": ["a", "b", "c"]}),
              Event("said", {"text": "the second"})]
    text = record(Mind(load(BASE)), events)
    if "answers: turning" not in text:  # it would be asked today as well
        events[1] = Event("asked", {"what": "check", "id": "joint-wiggle", "choices": ["moves", "tight"], "plain": ["a", "b"]})
        text = record(Mind(load(BASE)), events)
        assert "    answers: joint-wiggle\n    heard:\n      - {check: joint-wiggle, value: tight" in text
    else:
        assert "      - {fact: turning, value: slow" in text


def test_nothing_is_overwritten_and_a_missing_log_is_told_in_a_line(tmp_path, capsys):
    """Exit status 1 each time."""
    target = tmp_path / "talk.yaml"
    target.write_text("mine")
    log = tmp_path / "log.jsonl"
    chat(log, "the lamp is dead")
    assert main(["knowledge", "record", str(log), str(target), "--knowledge", str(BASE)]) == 1 and target.read_text() == "mine"
    assert main(["knowledge", "record", str(tmp_path / "no.jsonl"), str(tmp_path / "new.yaml"), "--knowledge", str(BASE)]) == 1
    err = capsys.readouterr().err
    assert "exists already" in err and "cannot be read" in err
