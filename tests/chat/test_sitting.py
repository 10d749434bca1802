"""One person at one conversation: kept before answered, and no failure ever ends in a traceback."""

import errno

import pytest

from assistant.chat import reopen
from assistant.chat.screen import to_text
from assistant.chat.sitting import MAX_CHARACTERS
from assistant.dialogue.case import Case
from assistant.problems import KnowledgeError
from assistant.session import log as log_module
from assistant.session.events import Event
from assistant.session.keeper import Keeper
from assistant.session.log import read
from assistant.session.store import Store


def said(path):
    """The messages in a log."""
    return [e.data["text"] for e in read(path).events if e.kind == "said"]


def test_said_is_on_the_disk_before_it_is_answered(sit, monkeypatch):
    """When the thinking begins, the message lies in the log already."""
    sitting, seen = sit(), []
    sitting.begin()
    real = type(sitting.warm.mind()).think
    monkeypatch.setattr(type(sitting.warm.mind()), "think", lambda self, state: seen.append(said(sitting.keeper.path)) or real(self, state))
    sitting.hear("no spark at all")
    assert seen[0] == ["no spark at all"]
    sitting.end()


def test_a_failing_answer_is_one_remark_and_the_talk_goes_on(sit, monkeypatch):
    """A failure inside says what, where the log and the report lie, and how to go on; the next message is answered."""
    sitting = sit()

    def fail(self, state):
        raise ZeroDivisionError("x")

    with monkeypatch.context() as broken:
        broken.setattr(type(sitting.warm.mind()), "think", fail)
        rows, leaving = sitting.hear("no spark at all")
    text = " ".join(to_text(rows).split())
    assert not leaving and "ZeroDivisionError" in text and "Traceback" not in text and "take that back" in text
    assert list((sitting.keeper.store.data / "reports").glob("*.txt"))
    assert said(sitting.keeper.path) == ["no spark at all"]
    rows, _ = sitting.hear("it turns over fine")
    assert "Heard" in to_text(rows) and not sitting.failed


def test_when_it_cannot_answer_at_all_the_words_are_kept_and_it_stops(sit):
    """If the engine itself cannot be made, what was typed is in the log, and the chat ends in plain words."""
    sitting = sit(error=RuntimeError("no engine"))
    rows, leaving = sitting.hear("no spark at all")
    assert leaving and sitting.failed and "RuntimeError" in to_text(rows)
    assert said(sitting.keeper.path) == ["no spark at all"]
    assert "resume 1" in to_text(sitting.end())


def test_bad_knowledge_files_are_the_callers(sit):
    """Complaints about the files go out as they are."""
    with pytest.raises(KnowledgeError):
        sit(error=KnowledgeError([])).hear("hello")


def test_a_giant_message_is_refused_in_plain_words(sit):
    """Past the limit nothing is kept or read, and the limit is said; at the limit it is read."""
    sitting = sit()
    rows, leaving = sitting.hear("x" * 1_000_000)
    assert not leaving and "20,000" in to_text(rows) and sitting.keeper.path is None
    rows, _ = sitting.hear("a b c d e " * (MAX_CHARACTERS // 10))
    assert said(sitting.keeper.path)
    sitting.end()


@pytest.mark.parametrize("text, leaves", [("quit", True), ("bye", True), ("good night.", True), ("that's all for today", True), ("it quit", False),
                                          ("it just quit on me at the lights", False), ("no spark", False), ("why", False)])
def test_a_good_bye_leaves_and_a_story_does_not(sit, text, leaves):
    """Plain words end the chat; the same words inside a story do not."""
    sitting = sit()
    assert sitting.hear(text)[1] is leaves
    sitting.end()


def test_a_good_bye_at_once_leaves_nothing_behind(sit, tmp_path):
    """No conversation is made of a good-bye."""
    sitting = sit()
    sitting.hear("bye")
    assert to_text(sitting.end()) == "" and not list(tmp_path.iterdir())


def test_resume_stands_where_it_was_left(sit):
    """The state after going on equals the state before leaving, and the open question is asked again."""
    first = sit()
    for text in ("it has a battery and an electric start", "it cranks normally but there is no spark at all", "nobody touched it"):
        first.hear(text)
    first.end()
    assert first.case is not None
    again = sit(resume="")
    text = to_text(again.begin())
    assert again.case.state == first.case.state
    assert "conversation 1" in text and "What I have so far" in text
    again.hear("not sure")
    again.end()
    events = [e.kind for e in read(again.keeper.path).events]
    assert events.count("opened") == 1 and events.count("resumed") == 1


def test_resume_on_changed_files_says_so(sit, tmp_path):
    """A log that was made on other files is gone through again, and one line says so."""
    sitting = sit()
    sitting.hear("no spark at all")
    sitting.end()
    path = sitting.keeper.path
    path.write_text(path.read_text().replace('"knowledge":"', '"knowledge":"old-'))
    assert "have changed" in to_text(sit(resume="1").begin())


def test_what_is_no_longer_in_the_files_does_not_stop_it(mind):
    """Asked, given or chosen things that are gone are stepped over; the rest of the conversation holds."""
    case = Case(mind)
    stale = [Event("asked", {"what": w, "id": "gone", "choices": ["gone=x"], "plain": ["x"]}) for w in ("question", "check", "repair", "proof", "doubt", "dream")]
    events = [Event("opened", {"knowledge": "x"}), Event("given", {"fact": "gone", "value": "x"}), Event("said", {"text": "no spark at all"})]
    for event in stale:
        events += [event, Event("said", {"text": "1"}), Event("said", {"text": "yes, done"})]
    assert reopen.replay(case, events) == 1
    case.say("it turns over fine")
    assert len(reopen.remarks(mind.book, events, 1)) == 2


def test_replayed_twice_it_is_the_same(sit, mind):
    """The log of a conversation folds to the same state every time."""
    sitting = sit()
    for text in ("no spark", "2", "why", "take that back", "battery reads 12.4 V", "skip"):
        sitting.hear(text)
    sitting.end()
    cases = []
    for _ in range(2):
        case = Case(mind)
        assert reopen.replay(case, read(sitting.keeper.path).events) == 0
        cases.append(case)
    assert cases[0].state == cases[1].state == sitting.case.state


def test_a_full_disk_is_told_with_the_answer(sit, tmp_path, monkeypatch):
    """The answer still comes, with one line on where the words are now; leaving says how to go on with that place."""
    keeper = Keeper(Store(tmp_path / "a"), lambda: Store(tmp_path / "b"))
    sitting = sit(keeper=keeper)
    sitting.hear("no spark at all")
    real, tries = log_module.os.write, iter([True])

    def write(handle, data):
        if next(tries, False):
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(handle, data)

    monkeypatch.setattr(log_module.os, "write", write)
    text = to_text(sitting.hear("it turns over fine")[0])
    assert "Heard" in text and "No space left" in text
    assert said(keeper.path) == ["no spark at all", "it turns over fine"]
    assert "TICKOVER_DATA=" in to_text(sitting.end())


def test_escape_sequences_in_a_story_never_come_out(sit):
    """What a person types or pastes is shown without anything that a terminal obeys."""
    sitting = sit()
    text = ""
    for words in ("\x1b[31mfuel pours out\x1b[0m of \x9b2Jhose", "wobbleflop \x1b]0;owned\x07 gizmo \u202egnorw", "what have you got so far"):
        text += to_text(sitting.hear(words)[0])
    assert not any(ord(c) < 32 and c != "\n" or 0x7F <= ord(c) < 0xA0 or c == "\u202e" for c in text)
    sitting.end()


def test_help_names_the_keys_where_there_are_keys(sit):
    """The keys of the prompt stand in the help of the terminal."""
    sitting = sit(key_help=("Keys: Tab and so on.",))
    assert "Keys: Tab" in to_text(sitting.hear("help")[0])
    sitting.end()
