"""Conversation files: what they hold, and every mistake at its line."""

import pytest

from assistant.rulebook.load import load
from assistant.trainer.conversations import Hearing, find, read
from tests.trainer.folders import BASE

HEAD = "who: the cook\nshows: a trial\n"


@pytest.fixture(scope="module")
def book():
    """The small folder."""
    return load(BASE)


def file(tmp_path, text):
    """A conversation file."""
    path = tmp_path / "a.yaml"
    path.write_text(text)
    return path


def test_a_whole_conversation_is_read(tmp_path, book):
    """Every key a turn may have."""
    made, problems = read(book, file(tmp_path, HEAD + """machine: {start-by: kick}
cause: joint-bad
turns:
  - says: the lamp is dead, it was dim before
    heard:
      - {fact: lamp, value: dead, words: lamp is dead}
      - {fact: lamp, value: dim, before: yes}
      - {fact: turning, value: none, denied: yes}
    missed: some words
    fired: [dark-lamp-is-no-current]
    ranked: [joint-bad]
    next: joint-wiggle
    kind: next
    must not: [battery-flat, lamp=bright, dim-lamp-is-low-volts]
    shown: [joint]
  - says: 11.4
    answers: battery-voltage
    heard: [{check: battery-voltage, value: 11.4}, {check: battery-voltage, value: low}]
    ranked: open
    next: workshop
    meant: why
    screen: {45: "Next  wiggle"}
"""))
    assert problems == [] and made is not None and made.name == "a"
    first, second = made.turns
    assert made.machine == (("start-by", "kick"),) and made.cause == ("joint-bad",) and first.line == 6
    assert first.heard == (Hearing("lamp", "dead", "lamp is dead"), Hearing("lamp", "dim", before=True), Hearing("turning", "none", denied=True))
    assert first.must_not == ("battery-flat", "lamp=bright", "dim-lamp-is-low-volts") and first.missed == ("some words",)
    assert second.heard == (Hearing("battery-voltage", 11.4), Hearing("battery-voltage", "low"))
    assert (second.answers, second.ranked, second.next, second.meant, second.screen) == ("battery-voltage", ("open",), "workshop", ("why",), ((45, "Next  wiggle"),))


@pytest.mark.parametrize(("text", "line", "code"), [
    ("shows: a trial\nturns: [{says: hello}]\n", 1, "conversation-shape"),
    (HEAD, 1, "conversation-shape"),
    (HEAD + "turns: []\n", 3, "conversation-shape"),
    (HEAD + "turns:\n  - say: hello\n", 4, "turn-shape"),
    (HEAD + "turns:\n  - says: hello\n    head: []\n", 5, "conversation-key"),
    (HEAD + "speaker: x\nturns: [{says: hello}]\n", 3, "conversation-key"),
    (HEAD + "machine: {start-by: steam}\nturns: [{says: hello}]\n", 3, "conversation-unknown-value"),
    (HEAD + "turns:\n  - says: hello\n    heard:\n      - {fact: lamp, value: dimm}\n", 6, "conversation-unknown-value"),
    (HEAD + "turns:\n  - says: hello\n    heard:\n      - {fact: lamps, value: dim}\n", 6, "conversation-unknown-id"),
    (HEAD + "turns:\n  - says: hello\n    heard:\n      - {fact: lamp, value: dim, words: dim}\n", 6, "words-not-said"),
    (HEAD + "turns:\n  - says: hello\n    heard:\n      - lamp\n", 6, "heard-shape"),
    (HEAD + "turns:\n  - says: hello\n    fired: [nothing-such]\n", 5, "conversation-unknown-id"),
    (HEAD + "turns:\n  - says: hello\n    next: nothing-such\n", 5, "conversation-unknown-id"),
    (HEAD + "turns:\n  - says: hello\n    kind: shout\n", 5, "conversation-unknown-id"),
    (HEAD + "turns:\n  - says: hello\n    must not: [lamp=dimm]\n", 5, "conversation-unknown-value"),
    (HEAD + "turns:\n  - says: hello\n    meant: [shout]\n", 5, "conversation-unknown-id"),
    (HEAD + "turns:\n  - says: hello\n    screen: [80]\n", 5, "turn-shape"),
    (HEAD + "turns: [}\n", 3, "yaml-syntax"),
])
def test_every_mistake_is_told_at_its_line(text, line, code, tmp_path, book):
    """And the file is not replayed."""
    made, problems = read(book, file(tmp_path, text))
    assert made is None and (problems[0].line, problems[0].code) == (line, code)


def test_folders_are_searched_and_files_named_are_taken(tmp_path):
    """In order of path, each once."""
    (tmp_path / "sub").mkdir()
    for name in ("b.yaml", "sub/a.yaml", "c.txt", ".d.yaml"):
        (tmp_path / name).write_text("x")
    found = find([tmp_path, tmp_path / "b.yaml"])
    assert [p.relative_to(tmp_path).as_posix() for p in found] == ["b.yaml", "sub/a.yaml"]
