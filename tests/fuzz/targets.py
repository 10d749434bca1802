"""What is fuzzed: functions from bytes to nothing. Each raises when something that must hold for every input does not.

`loader` reads knowledge files, `front` hears messages, `log` reads conversation files and goes through them again, `ask`
answers. None may raise of itself, and each result is looked at: places inside the text, known ids, finite numbers, sums.
"""

from __future__ import annotations

import json
import math
import shutil
import tempfile
import zlib
from functools import lru_cache
from pathlib import Path
from typing import Callable

from assistant import harmless
from assistant.asking import _give, as_json
from assistant.chat.reopen import remarks, replay
from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.dialogue.turn import respond
from assistant.language.answers import Pending
from assistant.problems import Problem
from assistant.records import Heard
from assistant.rulebook.book import Rulebook
from assistant.rulebook.codes import CODES
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import examine, load
from assistant.rulebook.source import Source, read_text
from assistant.session.events import Event
from assistant.session.log import LogError, parse
from assistant.session.store import Summary, summary_line, when

BASE = Path(__file__).parents[1] / "rulebook" / "base"


@lru_cache(maxsize=1)
def mind() -> Mind:
    """The real files, read and compiled once."""
    return Mind(load(knowledge_folder()))


@lru_cache(maxsize=1)
def questions() -> list[Pending | None]:
    """What may stand open when a message comes: nothing, and some of everything."""
    book = mind().book
    made: list[Pending | None] = [None, None, Pending("nothing", "", (), ())]
    for kind, ids in (("question", sorted(book.facts)), ("check", sorted(book.checks))):
        for identity in ids[:: max(1, len(ids) // 6)]:
            values = book.values(identity)
            made.append(Pending(kind, identity, tuple(values), tuple(values.values())))
    fault = sorted(book.faults)[0]
    made.append(Pending("repair", fault, (), ()))
    made.append(Pending("proof", fault, ("yes", "no"), ("that is how it is now", "still not right")))
    topic = next(t for t in sorted(book.facts) if len(book.values(t)) > 1)
    first, second = list(book.values(topic).items())[:2]
    made.append(Pending("doubt", "it", (f"{topic}={first[0]}", f"{topic}={second[0]}"), (first[1], second[1])))
    return made


@lru_cache(maxsize=1)
def _folder() -> Path:
    """The small sound folder, copied to where files can be changed."""
    place = Path(tempfile.mkdtemp(prefix="fuzz-", dir="/dev/shm" if Path("/dev/shm").is_dir() else None)) / "knowledge"
    shutil.copytree(BASE, place)
    return place


def text_of(data: bytes) -> str:
    """Bytes as a message, as they come from a pipe or an argument: halves of surrogate pairs may be among them."""
    return data.decode("utf-8", "replace" if data[-1:] < b"\x80" else "surrogateescape")


def loader(data: bytes) -> None:
    """A knowledge file with any content: read alone, or in a folder with others. The first byte says which."""
    how, content = data[:1], data[1:]
    if how > b"\x40":
        source = Source("knowledge/x.yaml")
        read_text(content.decode("utf-8", "replace"), source)
        _complaints(source.problems)
        return
    path = _folder() / "x.yaml"
    path.write_bytes(content)
    book, problems = examine(_folder())
    _complaints(problems)
    if not any(p.level == "error" for p in problems):
        small = Mind(book)
        _heard(book, "no spark", small.reader.read("no spark"))
        small.think(Case(small).state)


def front(data: bytes) -> None:
    """A message, heard while something stands open; the first byte says what."""
    if not data:
        return
    message = text_of(data[1:])
    _heard(mind().book, message, mind().reader.read(message, questions()[data[0] % len(questions())]))


def log(data: bytes) -> None:
    """A conversation file with any content, and what can be read of it gone through again."""
    try:
        contents = parse(data, "log")
    except LogError as error:
        assert "\n" not in str(error)
        return
    for event in contents.events:
        assert Event.from_json(json.loads(json.dumps(event.as_json()))) == event or "NaN" in json.dumps(event.as_json())
        when(event.at)
    assert all("\n" not in remark for remark in contents.remarks)
    said = [str(e.data["text"]) for e in contents.events if e.kind == "said"]
    summary_line(Summary("1", contents.events[-1].at if contents.events else "", len(said), "".join(said)[:200]), 80)
    chance = zlib.crc32(data)
    if chance % 4 == 0 and 0 < len(contents.events) < 12 and sum(map(len, said)) < 4000:  # the dear parts are done now and then
        case = Case(mind())
        missed = replay(case, contents.events)
        remarks(mind().book, contents.events, missed)
        if chance % 64 == 0:
            case.think()
            _answer(respond(case.mind, case.state, case.thinking).answer.lines)


def ask(data: bytes) -> None:
    """Lines of a story, answered after the last; lines that begin with @ are facts about the machine."""
    case, heard = Case(mind()), []
    lines = [line for line in text_of(data).splitlines() if line.strip()][:6]
    for line in lines:
        if line.startswith("@"):
            _give(case.mind.book, case, line[1:])
            continue
        answer = case.say(line)
        _answer(answer.lines)
        heard.append(case.state.heard)
    if not heard:
        return
    thinking = case.think()
    told = as_json(case.mind.book, case, thinking, heard)
    again = json.loads(json.dumps(told, allow_nan=False))
    total = sum(row["probability"] for row in again["ranking"]) + again["unlisted"]
    assert abs(total - 1) < 1e-9, total
    assert all(0 <= row["probability"] <= 1 for row in again["ranking"])


TARGETS: dict[str, Callable[[bytes], None]] = {"loader": loader, "front": front, "log": log, "ask": ask}


def _complaints(problems: list[Problem]) -> None:
    for problem in problems:
        assert problem.code in CODES and problem.line >= 1 and problem.column >= 1, problem
        text = problem.text()
        assert text.count("\n") == 2 and harmless.stripped(text) == text, text


def _answer(lines: tuple[tuple[str, str], ...]) -> None:
    assert lines and all(isinstance(role, str) and isinstance(text, str) for role, text in lines)


def _heard(book: Rulebook, message: str, heard: Heard) -> None:
    """What was made of a message speaks of what the files know, and of places in the message."""
    for item in (*heard.statements, *heard.readings, *heard.intents, *heard.doubts, *heard.not_understood):
        assert 0 <= item.span.start <= item.span.end <= len(message), item
    for statement in heard.statements:
        fact = book.facts[statement.fact]
        assert statement.value in (fact.values or {}) or math.isfinite(float(statement.value)), statement
        assert 0 < statement.confidence <= 1, statement
    for reading in heard.readings:
        assert reading.check in book.checks and 0 < reading.confidence <= 1, reading
        assert reading.value is None or math.isfinite(reading.value), reading
        assert reading.value is not None or reading.outcome in book.checks[reading.check].outcomes, reading
