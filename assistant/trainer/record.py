"""A chat's log to a conversation file, with what happens on it now as the expectations: from 'it got this one wrong' to a test.

The trainer then corrects what is wrong. Where the log shows that something else was asked than would be asked now, the
turn says what it answers, so that the words keep their meaning.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any, Iterable

from assistant.dialogue.fold import fold
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind
from assistant.dialogue.turn import respond
from assistant.rulebook.load import load
from assistant.session.events import Event
from assistant.session.log import LogError
from assistant.session.log import read as read_log
from assistant.trainer.accept import expectation
from assistant.trainer.layout import flow, scalar
from assistant.trainer.replay import Happened, asked_event, heard_rows

_NAMED = ("question", "check", "repair")  # what can be named by `answers`
_LEADERS = 3
_LEAST = 0.1


def record(mind: Mind, events: Iterable[Event], who: str = "the owner", shows: str = "as it happened; correct what is wrong") -> str:
    """The conversation as the text of a file. Nothing is written."""
    book = mind.book
    state, told = State(), {}
    before: Happened | None = None
    rows: list[str] = []
    events = list(events)
    for index, event in enumerate(events):
        if event.kind == "given":
            told[str(event.data["fact"])] = event.data["value"]
            state = fold(book, mind.reader, state, event)
        elif event.kind == "said":
            answers = _answers(events[:index], before)
            if answers is not None:
                state = fold(book, mind.reader, state, asked_event(book, answers))
            state = fold(book, mind.reader, state, event)
            thinking = mind.think(state)
            made = respond(mind, state, thinking)
            now = Happened(state, thinking.known, thinking.firings, thinking.ranking, thinking, made.answer, made.asked)
            rows += _turn(now, before, str(event.data["text"]), answers)
            if made.asked is not None:
                state = fold(book, mind.reader, state, made.asked)
            before = now
    head = [f"who: {scalar(who)}", f"shows: {scalar(shows)}"] + ([f"machine: {flow(told)}"] if told else [])
    return "\n".join([*head, "turns:", *rows]) + "\n"


def _answers(events: list[Event], before: Happened | None) -> str | None:
    """What was open by the log, where that is not what would be open now."""
    asked = next((e for e in reversed(events) if e.kind in ("asked", "said")), None)
    if asked is None or asked.kind != "asked" or asked.data.get("what") not in _NAMED:
        return None
    now = before.asked.data if before is not None and before.asked is not None else {}
    identity = str(asked.data.get("id", ""))
    return identity if identity and (now.get("what"), now.get("id")) != (asked.data["what"], identity) else None


def _turn(now: Happened, before: Happened | None, says: str, answers: str | None) -> list[str]:
    lines = [f"  - says: {scalar(says)}"]
    old = {f.rule for f in before.firings or ()} if before is not None else set()
    ranked, step = _leaders(now), now.next
    if before is not None and ranked == _leaders(before):
        ranked = []  # nothing new: one line less to correct
    if now.answer is not None and now.answer.kind == "said":
        step = None  # what was open before is still open
    values: dict[str, Any] = {
        "answers": answers, "heard": heard_rows(now.state), "missed": [u.words for u in now.state.heard.not_understood],
        "meant": [f"{i.kind}={i.about}" if i.about and i.kind != "what-if" else i.kind for i in now.state.heard.intents],
        "fired": [f.rule for f in now.firings or () if f.rule not in old and not f.denial], "ranked": ranked, "next": step,
        "kind": now.answer.kind if now.answer is not None else None,
    }
    for key, value in values.items():
        if value:
            lines += expectation(key, value, 4)
    return lines


def _leaders(now: Happened) -> list[str]:
    return [s.fault for s in now.ranking.standings[:_LEADERS] if s.probability >= _LEAST] if now.ranking is not None else []


def record_command(folder: Path, options: argparse.Namespace) -> int:
    """The command. Exit status 0 when the file is written; 1 when the log cannot be read or the file is there already."""
    target = Path(options.file)
    if target.exists():
        print(f"tickover knowledge record: {target} exists already; name another file", file=sys.stderr)
        return 1
    try:
        path = _log_of(options.log)
        contents = read_log(path)
    except LogError as error:
        print(f"tickover knowledge record: {error}", file=sys.stderr)
        return 1
    for remark in contents.remarks:
        print(remark, file=sys.stderr)
    text = record(Mind(load(folder)), contents.events)
    try:
        with open(target, "x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        print(f"tickover knowledge record: {target} cannot be written: {error.strerror or error}", file=sys.stderr)
        return 1
    print(f"{target}: {text.count('  - says: ')} turns. Correct what is wrong, then: tickover knowledge replay {target}")
    return 0


def _log_of(name: str) -> Path:
    from assistant.session.store import Store, data_folder

    path = Path(name)
    return path if path.exists() or path.suffix else Store(data_folder()).find(name)[0]
