"""`tickover knowledge learn FILE`: frequencies from confirmed cases, proposed as a patch. Nothing is ever written.

A case is one JSON object a line: what was known, and what it was in the end.

    {"facts": [{"fact": "cranking", "value": "none"}], "denials": [], "readings": [{"check": "spark-at-plug", "outcome": "none"}],
     "faults": ["main-fuse-blown"]}

Facts, denials and checks read in words may also be one mapping: {"facts": {"cranking": "none", "spark-at-plug": "none"}, ...}.
The present number is taken as `--strength` machines seen; each confirmed case in which the topic was spoken of at all
adds one. A topic nobody spoke of says nothing, which errs towards what people find worth telling: look at each change.
"""

from __future__ import annotations

import argparse
import difflib
import json
import re
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Iterable

from assistant.dialogue.state import facts as facts_of
from assistant.problems import count, nearest, quoted
from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import All, Condition, topics
from assistant.rulebook.evaluate import holds, index
from assistant.rulebook.load import examine
from assistant.rulebook.shapes import near_text
from assistant.trainer.beta import Beta
from assistant.trainer.layout import scalar
from assistant.trainer.told import state_of
from assistant.trainer.view import View

_SHIFT = 1.0  # of 100: smaller changes are not worth a line in a patch
OTHERWISE = "otherwise"
_SAMPLE = '{"facts": {"cranking": "none"}, "faults": ["main-fuse-blown"]}'


@dataclass(frozen=True)
class Confirmed:
    """One case whose cause is known."""

    known: tuple[Known, ...]
    faults: frozenset[str]


@dataclass(frozen=True)
class Proposal:
    """One number of one rule: as it stands, what was seen, and what it should be, with the middle 90 in 100 of it."""

    rule: str
    of: str  # a fault, or 'otherwise'
    old: float
    hits: int
    cases: int
    new: float
    low: float
    high: float
    file: str
    line: int
    column: int

    def text(self) -> str:
        """The proposal on one line."""
        return (f"{self.rule}, {self.of}: {self.old:g} -> {self.new:g}  (seen in {self.hits} of {count(self.cases, 'case')}; "
                f"likely {self.low:.0f} to {self.high:.0f})  {self.file}:{self.line}")


def read_confirmed(book: Rulebook, path: Path) -> tuple[list[Confirmed], list[str]]:
    """The cases of a file, and what is wrong with its lines."""
    cases: list[Confirmed] = []
    wrong: list[str] = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if not line.strip():
            continue
        try:
            raw = json.loads(line)
            faults = frozenset(raw.get("faults") or raw.get("resolved", {}).get("faults", []))
            told = _pairs(raw.get("facts", []))
            told += [(str(k), v if isinstance(v, str) else float(v)) for k, v in raw.get("machine", {}).items()]
            told += [(r["check"], float(r["value"]) if r.get("value") is not None else r["outcome"]) for r in raw.get("readings", [])]
            denied = [(topic, str(value)) for topic, value in _pairs(raw.get("denials", []))]
        except (ValueError, KeyError, TypeError, AttributeError):
            wrong.append(f"{path}:{number}  this line is not a confirmed case; one reads {_SAMPLE}")
            continue
        strange = [f for f in faults if f not in book.faults]
        if strange or not faults:
            wrong.append(f"{path}:{number}  " + (f"{quoted(strange[0])} is not a fault.{near_text(nearest(strange[0], book.faults))}" if strange else
                                                 f"no fault was confirmed; a case reads {_SAMPLE}"))
            continue
        unknown = [t for t, _ in (*told, *denied) if t not in book.facts and t not in book.checks]
        wrong += [f"{path}:{number}  {quoted(t)} is neither a fact nor a check, and is left out.{near_text(nearest(t, [*book.facts, *book.checks]))}" for t in unknown]
        told = [(t, v) for t, v in told if t in book.facts or (t in book.checks and v is not None)]
        cases.append(Confirmed(facts_of(book, state_of(book, told, [d for d in denied if d[0] in book.facts])), faults))
    return cases, wrong


def _pairs(raw: Any) -> list[tuple[str, str | float]]:
    """Topics with their values, told as a mapping or as a list of {fact, value}."""
    if isinstance(raw, dict):
        rows = [(str(topic), v) for topic, value in raw.items() for v in (value if isinstance(value, list) else [value])]
    else:
        rows = [(f["fact"], f["value"]) for f in raw]
    return [(topic, v if isinstance(v, str) else float(v)) for topic, v in rows]


def propose(view: View, cases: Iterable[Confirmed], strength: float, least: int) -> list[Proposal]:
    """Every number that the cases move by a point or more, in order of place."""
    rows = [(c.faults, index(c.known), {k.topic for k in c.known}) for c in cases]
    result: list[Proposal] = []
    for rule_id in view.book.weighing:
        rule, condition = view.book.rules[rule_id], view.book.conditions.get(rule_id)
        if condition is None:
            continue
        waits_for, gate = topics(condition), _about_the_machine(view.book, condition)
        told = [(faults, holds(condition, known)) for faults, known, spoken in rows if waits_for <= spoken and all(holds(p, known) for p in gate)]
        for fault, old in rule.seen_in.items():
            hits = [held for faults, held in told if fault in faults]
            result += _proposal(view, rule_id, fault, old, hits, strength, least, ("seen-in", fault))
        others = [held for faults, held in told if faults.isdisjoint(rule.seen_in)]
        result += _proposal(view, rule_id, OTHERWISE, rule.otherwise or 50.0, others, strength, least, (OTHERWISE,))
    return sorted(result, key=lambda p: (p.file, p.line, p.column))


def _about_the_machine(book: Rulebook, condition: Condition) -> list[Condition]:
    """The parts that only say which machines the numbers are of: on the others the rule says nothing, so they do not count against it."""
    parts = condition.parts if isinstance(condition, All) else ()
    machine = {f.id for f in book.facts.values() if f.about == "machine"}
    gate = [part for part in parts if topics(part) <= machine]
    return gate if len(gate) < len(parts) else []


def _proposal(view: View, rule: str, of: str, old: float, hits: list[bool], strength: float, least: int, tail: tuple[str, ...]) -> list[Proposal]:
    if len(hits) < least:
        return []
    after = Beta.elicited(old, strength).after(sum(hits), len(hits))
    new = min(max(round(after.mean, 0 if 2 <= after.mean <= 98 else 1), 0.1), 99.9)
    if abs(new - old) < _SHIFT:
        return []
    return [Proposal(rule, of, old, sum(hits), len(hits), new, *after.interval(), *view.at("rules", rule, *tail))]


def sound(view: View, proposals: list[Proposal]) -> tuple[list[Proposal], list[Proposal]]:
    """(proposals that keep the files sound together, those taken back because the numbers of their rule would pass 100)."""
    kept, dropped = list(proposals), []
    with tempfile.TemporaryDirectory() as place:
        while kept:
            copy = Path(place) / view.folder.name
            shutil.rmtree(copy, ignore_errors=True)
            shutil.copytree(view.folder, copy)
            for file, text in patched(view, kept).items():
                (copy / view.path_of(file).relative_to(view.folder)).write_text(text, encoding="utf-8")
            errors = [p for p in examine(copy)[1] if p.level == "error"]
            if not errors:
                break
            named = {word for error in errors for word in re.findall(r"'([^']+)'", error.what)}  # a sum past 100 names its rules
            out = [p for p in kept if p.rule in named and p.new > p.old] or [p for p in kept if p.rule in named] or kept
            dropped += out
            kept = [p for p in kept if p not in out]
    return kept, dropped


def patched(view: View, proposals: Iterable[Proposal]) -> dict[str, str]:
    """file -> its text with the proposals in it."""
    result: dict[str, str] = {}
    for p in sorted(proposals, key=lambda p: (p.file, -p.line, -p.column)):
        text = result.get(p.file) or view.path_of(p.file).read_text(encoding="utf-8")
        lines = text.splitlines(keepends=True)
        line = lines[p.line - 1]
        head, tail = line[: p.column - 1], line[p.column - 1:]
        lines[p.line - 1] = head + re.sub(rf"({re.escape(p.of)}\s*:\s*)[0-9.]+", lambda m: m[1] + scalar(p.new), tail, count=1)
        result[p.file] = "".join(lines)
    return result


def patch(view: View, proposals: list[Proposal]) -> str:
    """The proposals as one unified diff."""
    parts: list[str] = []
    for file, text in sorted(patched(view, proposals).items()):
        old = view.path_of(file).read_text(encoding="utf-8").splitlines(keepends=True)
        parts += difflib.unified_diff(old, text.splitlines(keepends=True), f"a/{file}", f"b/{file}")
    return "".join(parts)


def learn_command(folder: Path, options: argparse.Namespace) -> int:
    """The command: proposals as comment lines, then the patch, on standard output. Exit status 0; 1 when the file cannot be read."""
    view = View.of(folder)
    if any(p.level == "error" for p in view.problems):
        print("tickover knowledge learn: the knowledge files have errors; mend them first (tickover knowledge check)", file=sys.stderr)
        return 1
    try:
        cases, wrong = read_confirmed(view.book, Path(options.file))
    except (OSError, UnicodeDecodeError) as error:
        print(f"tickover knowledge learn: {options.file} cannot be read: {getattr(error, 'strerror', None) or 'it is not text'}", file=sys.stderr)
        return 1
    for line in wrong:
        print(line, file=sys.stderr)
    kept, dropped = sound(view, propose(view, cases, options.strength, options.least))
    if options.json:
        print(json.dumps({"cases": len(cases), "proposals": [_plain(p) for p in kept], "taken_back": [_plain(p) for p in dropped],
                          "patch": patch(view, kept)}, ensure_ascii=False))
        return 0
    print(f"# {count(len(cases), 'confirmed case')}, each present number counted as {options.strength:g} machines: {count(len(kept), 'change')} proposed.")
    for p in kept:
        print(f"# {p.text()}")
    for p in dropped:
        print(f"# not proposed, the numbers would pass 100 together: {p.text()}")
    print(patch(view, kept), end="")
    return 0


def _plain(p: Proposal) -> dict[str, Any]:
    return {name: getattr(p, name) for name in p.__dataclass_fields__}
