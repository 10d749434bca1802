"""Where a new entry goes, and which round numbers fit there."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from assistant.trainer.view import View
from assistant.trainer.writing import roomy

SEEN, OTHERWISE = 40.0, 10.0  # round numbers of a stub, there to be replaced


def file_for_rule(view: View, topics: list[str], faults: list[str]) -> Path:
    """The file with most rules on these topics; else with most rules that point at these faults first, or that weigh them at all."""
    book = view.book
    votes = Counter(book.rules[r].file for t in topics for r in book.rules_on.get(t, ()))
    votes = votes or Counter(r.file for r in book.rules.values() if r.seen_in and max(r.seen_in, key=lambda f: r.seen_in[f]) in faults)
    votes = votes or Counter(r.file for r in book.rules.values() if set(faults) & set(r.seen_in))
    votes = votes or Counter(r.file for r in book.rules.values())
    return roomy(view.path_of(min(votes, key=lambda f: (-votes[f], f)))) if votes else view.folder / "rules" / "first.yaml"


def file_for(view: View, kind: str, need: str) -> Path:
    """The file with most entries of the kind for this need."""
    votes = Counter(e.file for e in view.book.kind(kind).values() if e.need == need) or Counter(e.file for e in view.book.kind(kind).values())
    return roomy(view.path_of(min(votes, key=lambda f: (-votes[f], f)))) if votes else view.folder / kind / f"{need}.yaml"


def file_for_phrase(view: View, topic: str) -> Path:
    """The file with most phrases of the topic."""
    votes = Counter(p.file for p in view.book.phrases if p.topic == topic) or Counter(p.file for p in view.book.phrases)
    return view.path_of(min(votes, key=lambda f: (-votes[f], f))) if votes else view.folder / "phrases" / "first.yaml"


def room(view: View, topic: str, value: str, fault: str | None) -> float:
    """How many of 100 machines with the fault (or with none that is listed) the other values of the topic leave for this one."""
    if view.book.many(topic):
        return 100.0
    rules = {r for v, r in view.book.single.get(topic, {}).items() if v != value}
    return 100 - sum((view.book.rules[r].otherwise or 0.0) if fault is None else view.book.per_100(r, fault) for r in rules)


def at_most(number: float, room: float) -> float:
    """A round number that fits, with a tenth to spare."""
    return number if number <= room else max(float(f"{room * 0.9:.2g}"), 0.1)


def text_of(path: Path, line: int) -> str:
    """One line of a file, from 1."""
    return path.read_text(encoding="utf-8").splitlines()[line - 1]


def own_line(view: View, file: str, line: int) -> bool:
    """Whether the phrase on a line is a list item with the line to itself."""
    return text_of(view.path_of(file), line).lstrip().startswith("- ")


def has_topic(path: Path, topic: str) -> bool:
    """Whether a file of phrases has a block for the topic."""
    return path.exists() and any(line.rstrip() == f"  {topic}:" for line in path.read_text(encoding="utf-8").splitlines())
