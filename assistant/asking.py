"""`tickover ask`: messages in, one answer after the last, as text or as the JSON object other programs rely on."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any, Iterable

from assistant.dialogue.cards import points
from assistant.dialogue.case import Case
from assistant.dialogue.state import Note, judged_reading
from assistant.dialogue.think import Mind, Thinking
from assistant.language.text import clean
from assistant.records import SEEN, Heard, Reading
from assistant.rulebook.book import Rulebook
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from assistant.session.events import Event

MAX_LINES = 2000


def ask_command(options: argparse.Namespace) -> int:
    """The command. Returns the exit status; KnowledgeError is the caller's."""
    book = load(knowledge_folder(options.knowledge))
    case = Case(Mind(book))
    for pair in options.machine:
        problem = _give(book, case, pair)
        if problem:
            print(f"tickover ask: {problem}", file=sys.stderr)
            return 2
    lines = list(options.message) or list(_input_lines())
    if not lines:
        print("tickover ask: no message; give one as an argument or on standard input", file=sys.stderr)
        return 2
    heard: list[Heard] = []
    for line in lines[:MAX_LINES]:
        case.say(line) if line is lines[-1] else case.hear(line)
        heard.append(case.state.heard)
    thinking = case.think()
    if options.json:
        sys.stdout.write(json.dumps(as_json(book, case, thinking, heard)) + "\n")  # plain ASCII: no character of a story reaches a terminal as it is
    else:
        _print_plain(book, case, thinking)
    sys.stdout.flush()
    return 0


def _input_lines() -> Iterable[str]:
    """Lines of standard input that hold something; bytes that are no text become the replacement sign."""
    data = sys.stdin.buffer.read(20_000_000) if hasattr(sys.stdin, "buffer") else sys.stdin.read().encode()
    return [line for line in data.decode("utf-8", "replace").splitlines() if line.strip()]


def _give(book: Rulebook, case: Case, pair: str) -> str | None:
    """Add a machine fact given as FACT=VALUE; returns what is wrong with it, if anything."""
    from assistant.problems import nearest

    fact, _, value = pair.partition("=")
    if fact not in book.facts:
        near = nearest(fact, book.facts)
        return f"'{fact}' is not a fact" + (f"; did you mean '{near[0]}'?" if near else "")
    entry = book.facts[fact]
    if entry.unit is not None:
        try:
            number = float(value)
        except ValueError:
            return f"'{fact}' takes a number in {entry.unit}, not '{value}'"
        case.add(Event("given", {"fact": fact, "value": number}))
        return None
    if value not in book.values(fact):
        near = nearest(value, book.values(fact))
        return f"'{fact}' has no value '{value}'" + (f"; did you mean '{near[0]}'?" if near else f"; use one of: {', '.join(book.values(fact))}")
    case.add(Event("given", {"fact": fact, "value": value}))
    return None


def as_json(book: Rulebook, case: Case, thinking: Thinking, heard: list[Heard]) -> dict[str, Any]:
    """The object of the interface: what was understood, the ranking, the next step, cautions and the rules that fired."""
    understood, readings, believed, missed = [], [], [], []
    for turn, one in enumerate(heard):
        for s in one.statements:
            row = {"turn": turn, "fact": s.fact, "value": s.value, "denied": s.denied, "confidence": round(s.confidence, 4),
                   "span": [s.span.start, s.span.end], "words": s.words}
            if s.when != "now":
                row["when"] = s.when
            understood.append(row)
        for r in one.readings:
            row = {"turn": turn, "check": r.check, "value": r.value, "unit": r.unit, "outcome": _outcome(book, case, r, turn, thinking),
                   "span": [r.span.start, r.span.end], "words": r.words, **({"where": r.where} if r.where else {})}
            (readings if r.confidence >= SEEN else believed).append(row)
        missed += [{"turn": turn, "span": [u.span.start, u.span.end], "words": u.words} for u in one.not_understood]
    answer = case.last
    return {
        "understood": understood, "readings": readings, "believed": believed, "not_understood": missed,
        "ranking": [{"fault": s.fault, "need": book.faults[s.fault].need, "probability": s.probability, "standing": s.standing,
                     "rules": list(s.rules)} for s in thinking.ranking.standings],
        "unlisted": thinking.ranking.unlisted,
        "next": _next(case),
        "cautions": [text for role, text in (answer.lines if answer else ()) if role == "caution"],
        "blocked": sorted({b.what for b in thinking.blocks}),
        "fired": [{"rule": f.rule, "file": book.rules[f.rule].file, "line": book.rules[f.rule].line, "facts": [_fact(k) for k in f.facts],
                   "weights": {w.fault: round(w.decibans, 4) for w in thinking.ranking.weights if w.rule == f.rule and w.counts}}
                  for f in thinking.firings],
    }


def _fact(known) -> str:
    return f"{'not ' if known.denied else ''}{known.topic}: {known.value}"


def _outcome(book: Rulebook, case: Case, reading: Reading, turn: int, thinking: Thinking) -> str | None:
    if reading.value is None:
        return reading.outcome
    judged, _ = judged_reading(book, reading.check, [Note(turn, reading)], list(thinking.facts))
    return judged.outcome


def _next(case: Case) -> dict[str, Any]:
    best = case.last.data.get("best") if case.last else None
    if best is None:
        return {"check": None, "question": None, "repair": None, "minutes": 0.0, "access": [], "expected_minutes_to_cure": None}
    return {"check": best.id if best.kind == "check" else None, "question": best.id if best.kind == "question" else None,
            "repair": best.id if best.kind == "repair" else None, "workshop": best.kind == "workshop", "minutes": round(best.minutes, 2),
            "access": list(best.opens), "expected_minutes_to_cure": round(best.expected_minutes, 2)}


def _print_plain(book: Rulebook, case: Case, thinking: Thinking) -> None:
    for role, text in case.last.lines if case.last else ():
        print(f"{role}: {clean(text)}")
    if case.last and case.last.kind == "alarm":
        return
    for name, chance, _ in points(book, thinking):
        print(f"points: {clean(name)}, {chance}")
