"""The table of what is typical: machines, normal answers, states, and the faults with what a truthful owner tells and finds.

The files are read as plain words (no number or yes/no is guessed), so that `off` and `no` stay words.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

FOLDER = Path(__file__).parent
UNKNOWN = "unknown"


@dataclass(frozen=True)
class Owner:
    """One fault on one machine: what its owner says at first, and what each question or check would give."""

    fault: str
    machine: str
    facts: dict[str, str]
    tells: tuple[str, ...]
    answers: dict[str, tuple[str, ...]]  # topic -> values; a topic that is missing is not known
    own: frozenset[str]  # topics that are there because of the fault, not because all is well

    def opening(self) -> dict[str, tuple[str, ...]]:
        """The first message: the machine, and what struck the owner most."""
        return {**{fact: (value,) for fact, value in self.facts.items()}, **{t: self.answers[t] for t in self.tells}}


@cache
def files() -> dict[str, dict[str, Any]]:
    """Every file of the table, by kind of content: machines, normal signs and checks, states, faults."""
    read = {p.stem: yaml.load(p.read_text(encoding="utf-8"), yaml.BaseLoader) for p in sorted(FOLDER.glob("*.yaml"))}
    faults: dict[str, Any] = {}
    for name, content in read.items():
        if name.startswith("typical-"):
            for fault, entry in content["faults"].items():
                assert fault not in faults, f"{fault} stands twice"
                faults[fault] = entry
    return {"machines": read["machines"]["machines"], "normal": read["normal"], "states": read["states"]["states"], "faults": faults}


def cells() -> list[tuple[str, str]]:
    """Every fault with each machine it exists on, in the order of the files."""
    return [(fault, machine) for fault, entry in files()["faults"].items() for machine in entry["on"]]


@cache
def owner(fault: str, machine: str) -> Owner:
    """The owner of one fault on one machine."""
    table = files()
    entry = table["faults"][fault]
    other = entry.get("unlike", {}).get(machine, {})
    made = table["machines"][machine]
    answers: dict[str, tuple[str, ...]] = {}
    own: set[str] = set()
    for part in ("signs", "checks"):
        for topic, value in table["normal"][part].items():
            answers[topic] = _values(value)
    for topic, value in made.get("normal", {}).items():
        answers[topic] = _values(value)
    layers = [table["states"][name] for name in other.get("like", entry.get("like", []))] + [entry, other]
    for layer in layers:
        for part in ("signs", "checks"):
            for topic, value in layer.get(part, {}).items():
                assert topic in table["normal"][part], f"{fault}: {topic} is not among the normal {part}"
                answers[topic] = _values(value)
                own.add(topic)
    tells = tuple(other.get("tells", entry.get("tells", ["cranking", "firing"])))
    known = {t: v for t, v in answers.items() if v != (UNKNOWN,)}
    return Owner(fault, machine, made["facts"], tuple(t for t in tells if t in known), known, frozenset(own))


def _values(value: Any) -> tuple[str, ...]:
    return tuple(value) if isinstance(value, list) else (value,)
