"""Conversation files: what was said turn by turn, and what is expected of the assistant. Read with a complaint at the line of every mistake.

    who: the ferry cook                     # who speaks; a role, never a name
    shows: One click is a joint.            # what the conversation is there for
    machine: {start-by: electric}           # optional: told before the first word
    cause: battery-terminal-bad             # optional: what it was in the end
    turns:
      - says: it only clicks                # the message as typed
        answers: fuel-level                 # optional: what was open before it, where that is not left to the assistant
        heard:                              # all of these must be heard; more may be
          - {fact: starter-sound, value: single-click, words: only clicks}
          - {check: battery-resting-voltage, value: 12.4}
        missed: [my aunt says hello]        # words that are not understood, and said to be so
        meant: [why]                        # what was said to the assistant itself
        fired: [one-click-and-no-crank]     # rules that must fire
        ranked: [battery-terminal-bad]      # the first faults, in this order
        next: battery-resting-voltage       # what is offered: a fact, check or fault; workshop; nothing
        kind: next                          # kind of answer
        must not: [coil-bad, cranking=slow] # never offered, fired or heard
        shown: [edge]                       # words that stand in the answer
        screen: {80: "..."}                 # the whole answer at a width

`next`, `kind`, `ranked` and the text of a screen may be `open`: not settled yet, and filled in by `replay --accept`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Iterable

from assistant.problems import Problem, nearest, quoted
from assistant.rulebook.book import Rulebook
from assistant.rulebook.shapes import near_text
from assistant.rulebook.source import Path_, Source, as_word, read_file

OPEN = "open"
TOP = ("who", "shows", "machine", "cause", "turns")
TURN = ("says", "answers", "heard", "missed", "meant", "fired", "ranked", "next", "kind", "must not", "shown", "screen")
ROW = ("fact", "check", "value", "words", "denied", "before", "where")
KINDS = ("next", "question", "doubt", "repair", "proof", "cured", "workshop", "said", OPEN)
NOWHERE = ("workshop", "nothing")
CODES = {
    "conversation-shape": "A conversation file, or its head, does not have the shape it should.",
    "conversation-key": "A conversation has a key that conversations do not know.",
    "conversation-unknown-id": "A conversation names an id that does not exist.",
    "conversation-unknown-value": "A conversation gives a topic a value that it has not got.",
    "turn-shape": "A turn, or a part of it, does not have the shape it should.",
    "heard-shape": "What is heard is not a mapping with a fact or a check.",
    "words-not-said": "The words in which something is heard are not in the message.",
}


@dataclass(frozen=True)
class Hearing:
    """One thing that must be heard. `value` is a word, a number, or None for any."""

    topic: str
    value: str | float | None
    words: str = ""
    denied: bool = False
    before: bool = False
    where: str | None = None


@dataclass(frozen=True)
class Turn:
    """One message and what is expected after it. None means that nothing is expected of it."""

    line: int
    says: str
    answers: str | None = None
    heard: tuple[Hearing, ...] | None = None
    missed: tuple[str, ...] | None = None
    meant: tuple[str, ...] | None = None
    fired: tuple[str, ...] = ()
    ranked: tuple[str, ...] = ()
    next: str | None = None
    kind: str | None = None
    must_not: tuple[str, ...] = ()
    shown: tuple[str, ...] = ()
    screen: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True)
class Conversation:
    """One file."""

    file: str
    who: str
    shows: str
    turns: tuple[Turn, ...]
    machine: tuple[tuple[str, str | float], ...] = ()
    cause: tuple[str, ...] = ()
    path: Path | None = field(default=None, compare=False)

    @property
    def name(self) -> str:
        """The file's name without folder and ending: what it is called in reports."""
        return Path(self.file).stem


def find(places: Iterable[Path]) -> list[Path]:
    """Conversation files named, and those under the folders named, in order of path."""
    result: list[Path] = []
    for place in places:
        result += sorted(p for p in place.rglob("*.yaml") if not p.name.startswith(".")) if place.is_dir() else [place]
    return list(dict.fromkeys(result))


def read(book: Rulebook, path: Path, shown_as: str | None = None) -> tuple[Conversation | None, list[Problem]]:
    """One conversation, or None with what is wrong with the file."""
    source = read_file(path, shown_as or str(path))
    if source.problems:
        return None, source.problems
    reader = _Reader(book, source)
    made = reader.conversation(path)
    return (made if not source.problems else None), source.problems


class _Reader:
    """Reads one file; complains into its source."""

    def __init__(self, book: Rulebook, source: Source) -> None:
        self.book, self.source = book, source

    def conversation(self, path: Path) -> Conversation | None:
        raw = self.source.value
        if not isinstance(raw, dict):
            self.source.complain((), "conversation-shape", "A conversation is a mapping with 'who', 'shows' and 'turns'.", "see DEVELOPERS.md, 'Conversations'.")
            return None
        self._keys(raw, (), TOP, "a conversation")
        for key in ("who", "shows"):
            if not isinstance(raw.get(key), str):
                self.source.complain((key,), "conversation-shape", f"'{key}' is missing, or is not a text.", f"add {key}: with a few words.")
        turns = raw.get("turns")
        if not isinstance(turns, list) or not turns:
            self.source.complain(("turns",), "conversation-shape", "'turns' is a list of turns, each with 'says'.", "write turns:, and each turn after '- '.")
            return None
        machine = [(t, v) for t, v in (raw.get("machine") or {}).items()] if isinstance(raw.get("machine", {}), dict) else []
        told = tuple((str(t), made) for t, v in machine if (made := self._value(("machine", t), str(t), v)) is not None)
        cause = raw.get("cause", [])
        causes = self._ids(("cause",), [cause] if isinstance(cause, str) else cause, {"faults": self.book.faults}, "fault")
        made = [self._turn(("turns", i), row) for i, row in enumerate(turns)]
        return Conversation(self.source.file, str(raw.get("who")), str(raw.get("shows")), tuple(t for t in made if t is not None), told, causes, path)

    def _turn(self, path: Path_, row: Any) -> Turn | None:
        if not isinstance(row, dict) or not isinstance(row.get("says"), (str, int, float)):
            self.source.complain(path, "turn-shape", "A turn is a mapping that begins with 'says' and the message.", "write - says: and the words; quote them if they hold ': '.")
            return None
        self._keys(row, path, TURN, "a turn")
        says = as_word(row["says"])
        book = self.book
        topics = {"facts": book.facts, "checks": book.checks}
        steps = {**topics, "faults": book.faults}
        heard = row.get("heard")
        rows = None if heard is None else tuple(h for i, r in enumerate(heard if isinstance(heard, list) else [heard])
                                                if (h := self._hearing((*path, "heard", i), r, says)) is not None)
        answers = self._one((*path, "answers"), row.get("answers"), steps, "fact, check or fault", ())
        return Turn(
            self.source.at(path)[0], says, answers, rows, self._texts(path, row, "missed", None), self._texts(path, row, "meant", None, book.talk),
            self._ids((*path, "fired"), row.get("fired", []), {"rules": book.rules}, "rule"),
            (OPEN,) if row.get("ranked") == OPEN else self._ids((*path, "ranked"), row.get("ranked", []), {"faults": book.faults}, "fault"),
            self._one((*path, "next"), row.get("next"), steps, "fact, check or fault", (*NOWHERE, OPEN)),
            self._one((*path, "kind"), row.get("kind"), {"kinds": KINDS}, "kind of answer", ()),
            self._must_not((*path, "must not"), row.get("must not", [])), self._texts(path, row, "shown", ()) or (), self._screen(path, row))

    def _hearing(self, path: Path_, row: Any, says: str) -> Hearing | None:
        if not isinstance(row, dict) or not ({"fact", "check"} & set(row)):
            self.source.complain(path, "heard-shape", "What is heard is a mapping with a fact or a check, and its value.", "write {fact: cranking, value: none, words: only clicks}.")
            return None
        self._keys(row, path, ROW, "what is heard")
        key = "fact" if "fact" in row else "check"
        topic = as_word(row[key])
        shelf = self.book.facts if key == "fact" else self.book.checks
        if self._one((*path, key), topic, {key + "s": shelf}, key, ()) is None:
            return None
        value = self._value((*path, "value"), topic, row["value"]) if "value" in row else None
        words = as_word(row.get("words", ""))
        if words and _squeeze(words) not in _squeeze(says):
            self.source.complain((*path, "words"), "words-not-said", f"{quoted(words)} is not in the message.", "copy the words from the message.")
        return Hearing(topic, value, words, row.get("denied") in ("yes", True), row.get("before") in ("yes", True), row.get("where"))

    # -- pieces ----------------------------------------------------------------

    def _keys(self, row: dict, path: Path_, known: tuple[str, ...], of: str) -> None:
        for key in row:
            if key not in known:
                near = nearest(str(key), known)
                self.source.complain((*path, key), "conversation-key", f"{quoted(key)} is not a key of {of}.{near_text(near)}",
                                     f"write {near[0]}." if near else f"use one of: {', '.join(known)}.")

    def _ids(self, path: Path_, raw: Any, shelves: dict[str, Any], noun: str) -> tuple[str, ...]:
        names = raw if isinstance(raw, list) else [raw]
        return tuple(name for i, n in enumerate(names) if (name := self._one((*path, i) if isinstance(raw, list) else path, n, shelves, noun, ())) is not None)

    def _one(self, path: Path_, name: Any, shelves: dict[str, Any], noun: str, also: tuple[str, ...]) -> str | None:
        if name is None:
            return None
        word = as_word(name)
        known = [*also, *(i for shelf in shelves.values() for i in shelf)]
        if word in known:
            return word
        near = nearest(word, known)
        self.source.complain(path, "conversation-unknown-id", f"{quoted(word)} is not a {noun}.{near_text(near)}", f"write {near[0]}." if near else f"write the id of a {noun}.")
        return None

    def _must_not(self, path: Path_, raw: Any) -> tuple[str, ...]:
        book = self.book
        result = []
        for i, name in enumerate(raw if isinstance(raw, list) else [raw]):
            topic, sign, value = as_word(name).partition("=")
            place = (*path, i) if isinstance(raw, list) else path
            shelves = {"t": book.facts, "c": book.checks} if sign else {"t": book.facts, "c": book.checks, "f": book.faults, "r": book.rules}
            if self._one(place, topic, shelves, "fact or check" if sign else "fact, check, fault or rule", ()) is None:
                continue
            if not sign or self._value(place, topic, value) is not None:
                result.append(as_word(name))
        return tuple(result)

    def _value(self, path: Path_, topic: str, value: Any) -> str | float | None:
        book = self.book
        if topic not in book.facts and topic not in book.checks:
            self._one(path, topic, {"f": book.facts, "c": book.checks}, "fact or check", ())
            return None
        known, word = book.values(topic), as_word(value)
        if word in known:
            return word
        numeric = (topic in book.checks and book.checks[topic].reading) or (topic in book.facts and book.facts[topic].unit is not None)
        if numeric and isinstance(value, (int, float)) and not isinstance(value, bool):
            return float(value)
        near = nearest(word, known)
        self.source.complain(path, "conversation-unknown-value", f"'{topic}' has no value {quoted(word)}.{near_text(near)}",
                             f"write {near[0]}." if near else f"use one of: {', '.join(known)}." if known else "write a number.")
        return None

    def _texts(self, path: Path_, row: dict, key: str, missing: Any, known: Any = None) -> tuple[str, ...] | None:
        if key not in row:
            return missing
        raw = row[key]
        items = tuple(as_word(i) for i in (raw if isinstance(raw, list) else [raw]))
        if known is not None:
            for i, item in enumerate(items):
                self._one((*path, key, i), item.partition("=")[0], {"talk": known}, "thing said to the assistant", ())
        return items

    def _screen(self, path: Path_, row: dict) -> tuple[tuple[int, str], ...]:
        raw = row.get("screen", {})
        if not isinstance(raw, dict) or not all(isinstance(k, int) or str(k).isdigit() for k in raw):
            self.source.complain((*path, "screen"), "turn-shape", "'screen' is a mapping from a width to the text at that width.", "write screen: {80: ...}.")
            return ()
        return tuple((int(k), str(v).rstrip("\n")) for k, v in raw.items())


def _squeeze(text: str) -> str:
    return " ".join(text.lower().split())
