"""Cases beside rules: `rules/X.cases.yaml` next to `rules/X.yaml`, read with a complaint at the line of every mistake.

    cases:
      - facts: {cranking: slow, battery-resting-voltage: 11.4, onset: [gradual, after-storage]}
        denied: {lights-key-on: dead}         # somebody said that it is not so
        fires: [slow-cranking-and-low-volts]  # rules that must fire
        stays silent: [cranking-stops-dead]   # rules that must not
        not yet: [rule-that-should]           # a known gap; fails as soon as it starts to fire
        raises: [battery-discharged]          # faults that must come out likelier than they began
      - says: it drags over like treacle      # or words, one text or a list of messages, in place of facts
        hears: {cranking: slow}
        does not hear: {cranking: none}
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.problems import Problem, count, nearest, quoted
from assistant.rulebook.book import Rulebook
from assistant.rulebook.shapes import near_text
from assistant.rulebook.source import Path_, Source, as_word, read_file

ENDING = ".cases.yaml"
KEYS = ("facts", "denied", "says", "hears", "does not hear", "fires", "stays silent", "not yet", "raises", "because")
_RULES = ("fires", "stays silent", "not yet")
CODES = {
    "cases-shape": "A file of cases holds something else than one list of cases.",
    "case-shape": "A case, or a part of it, does not have the shape it should.",
    "case-key": "A case has a key that cases do not know.",
    "case-expects-nothing": "A case gives facts and expects nothing of them.",
    "case-contradicts-itself": "A case expects a rule to fire and to stay silent.",
    "case-unknown-rule": "A case names a rule that does not exist.",
    "case-unknown-fault": "A case names a fault that does not exist.",
    "case-unknown-topic": "A case names a topic that is neither a fact nor a check.",
    "case-unknown-value": "A case gives a topic a value that it has not got.",
    "case-values-exclude": "A case gives a topic several values that exclude one another.",
}


@dataclass(frozen=True)
class RuleCase:
    """One case. `facts` and `denied` are pairs of topic and value; a number is a reading or a number told."""

    file: str
    line: int
    facts: tuple[tuple[str, str | float], ...]
    denied: tuple[tuple[str, str], ...] = ()
    fires: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    not_yet: tuple[str, ...] = ()
    raises: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    hears: tuple[tuple[str, str | float], ...] = ()
    not_heard: tuple[tuple[str, str | float], ...] = ()

    @property
    def rules(self) -> tuple[str, ...]:
        """All rules it speaks of."""
        return (*self.fires, *self.silent, *self.not_yet)


def find(folder: Path) -> list[Path]:
    """All case files under a knowledge folder, in order of path."""
    return sorted(p for p in folder.rglob(f"*{ENDING}") if not any(part.startswith(".") for part in p.relative_to(folder).parts))


def read(book: Rulebook, path: Path, shown_as: str) -> tuple[list[RuleCase], list[Problem]]:
    """The cases of one file, and what is wrong with it. A case with a mistake is left out."""
    source = read_file(path, shown_as)
    cases: list[RuleCase] = []
    if source.problems:
        return cases, source.problems
    rows = source.value.get("cases") if isinstance(source.value, dict) else None
    if not isinstance(rows, list) or set(source.value) != {"cases"}:
        source.complain((), "cases-shape", "A file of cases holds one list under 'cases:'.", "write cases:, and each case after '- '.")
        return cases, source.problems
    for index, row in enumerate(rows):
        before = len(source.problems)
        made = _case(book, source, ("cases", index), row)
        if made is not None and len(source.problems) == before:
            cases.append(made)
    return cases, source.problems


def _case(book: Rulebook, source: Source, path: Path_, row: Any) -> RuleCase | None:
    if not isinstance(row, dict):
        source.complain(path, "case-shape", "A case is a mapping with 'facts' and what is expected of them.", "write facts: {...}, and fires: [...].")
        return None
    for key in row:
        if key not in KEYS:
            near = nearest(str(key), KEYS)
            source.complain((*path, key), "case-key", f"{quoted(key)} is not a key of a case.{near_text(near)}",
                            f"write {near[0]}." if near else f"use one of: {', '.join(KEYS)}.")
    facts = _facts(book, source, (*path, "facts"), row.get("facts", {}))
    denied = _facts(book, source, (*path, "denied"), row.get("denied", {}))
    lists = {key: _ids(source, (*path, key), row.get(key, []), book.rules, "rule") for key in _RULES}
    raises = _ids(source, (*path, "raises"), row.get("raises", []), book.faults, "fault")
    says = row.get("says", [])
    says = [says] if isinstance(says, str) else says
    if not isinstance(says, list) or not all(isinstance(line, str) for line in says):
        source.complain((*path, "says"), "case-shape", "'says' is a message or a list of messages.", "write words; quote them if they hold ': '.")
        return None
    hears, not_heard = (_facts(book, source, (*path, key), row.get(key, {})) for key in ("hears", "does not hear"))
    if not any(lists.values()) and not raises and not hears and not not_heard:
        source.complain(path, "case-expects-nothing", "This case expects nothing.", "add fires:, stays silent:, not yet:, raises: or hears:.")
    both = sorted(set(lists["fires"]) & {*lists["stays silent"], *lists["not yet"]})
    if both:
        source.complain(path, "case-contradicts-itself", f"'{both[0]}' cannot both fire and stay silent.", "keep it in one of the lists.")
    line, _ = source.at(path)
    return RuleCase(source.file, line, tuple(facts), tuple((t, str(v)) for t, v in denied), lists["fires"], lists["stays silent"], lists["not yet"], raises,
                    tuple(says), tuple(hears), tuple(not_heard))


def _ids(source: Source, path: Path_, value: Any, known: Any, noun: str) -> tuple[str, ...]:
    names = value if isinstance(value, list) else [value]
    for index, name in enumerate(names):
        if name not in known:
            near = nearest(str(name), known)
            place = (*path, index) if isinstance(value, list) else path
            source.complain(place, f"case-unknown-{noun}", f"{quoted(name)} is not a {noun} in the knowledge files.{near_text(near)}",
                            f"write {near[0]}." if near else f"write the id of a {noun}.")
    return tuple(str(n) for n in names)


def _facts(book: Rulebook, source: Source, path: Path_, raw: Any) -> list[tuple[str, str | float]]:
    if not isinstance(raw, dict):
        source.complain(path, "case-shape", f"'{path[-1]}' is a mapping from topic to value.", "write for instance {cranking: slow}.")
        return []
    result: list[tuple[str, str | float]] = []
    for topic, value in raw.items():
        place = (*path, topic)
        if topic not in book.facts and topic not in book.checks:
            near = nearest(str(topic), [*book.facts, *book.checks])
            source.complain(place, "case-unknown-topic", f"{quoted(topic)} is neither a fact nor a check.{near_text(near)}",
                            f"write {near[0]}." if near else "write the id of a fact or a check.")
            continue
        values = value if isinstance(value, list) else [value]
        if len(values) > 1 and not book.many(topic):
            source.complain(place, "case-values-exclude", f"'{topic}' has one value at a time; this gives it {count(len(values), 'value')}.", "keep one.")
            continue
        result += [(topic, made) for v in values if (made := _value(book, source, place, topic, v)) is not None]
    return result


def _value(book: Rulebook, source: Source, place: Path_, topic: str, value: Any) -> str | float | None:
    known = book.values(topic)
    numeric = topic in book.checks and book.checks[topic].reading is not None or topic in book.facts and book.facts[topic].unit is not None
    word = as_word(value)
    if word in known:
        return word
    if isinstance(value, (int, float)) and not isinstance(value, bool) and numeric:
        return float(value)
    near = nearest(word, known)
    source.complain(place, "case-unknown-value", f"'{topic}' has no value {quoted(word)}.{near_text(near)}",
                    f"write {near[0]}." if near else f"use one of: {', '.join(known)}." if known else "write a number.")
    return None
