"""What the lints look at: the rulebook, the files as they were read, and what can be said about every topic."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, Iterator

from assistant.engine.normal import Literal, TooManyBranches, branches
from assistant.problems import Problem
from assistant.rulebook.book import Phrase, Rulebook
from assistant.rulebook.load import examine
from assistant.rulebook.models import KINDS
from assistant.rulebook.source import Source
from assistant.trainer.finding import Place
from assistant.trainer.phrase_pairs import PhrasePairs
from assistant.trainer.uses import Use, uses

_ID = re.compile(r"[\"']([a-z0-9]+(?:-[a-z0-9]+)+)[\"']")


@dataclass
class View:
    """A knowledge folder as far as it can be read. Everything is worked out once, when a lint first asks for it."""

    folder: Path
    book: Rulebook
    sources: list[Source]
    problems: list[Problem] = field(default_factory=list)
    earlier: "View | None" = None  # as it was read before

    @classmethod
    def of(cls, folder: Path, earlier: "View | None" = None) -> "View":
        """Read a folder. What was worked out when it was read `earlier`, and holds still, is taken from there."""
        sources: list[Source] = []
        book, problems = examine(folder, sources)
        return cls(folder, book, sources, problems, earlier)

    def path_of(self, file: str) -> Path:
        """The file on the disk behind a name as shown in complaints."""
        return self.folder / file.split("/", 1)[1] if "/" in file else self.folder

    @cached_property
    def _places(self) -> dict[tuple[str, str], Source]:
        found: dict[tuple[str, str], Source] = {}
        for source in self.sources:
            if isinstance(source.value, dict):
                for kind in KINDS:
                    entries = source.value.get(kind)
                    for key in entries if isinstance(entries, dict) else ():
                        found.setdefault((kind, str(key)), source)
        return found

    def at(self, kind: str, entry: str, *tail: Any) -> Place:
        """Where an entry stands, or the part of it that `tail` leads to (the nearest part that has a place)."""
        source = self._places[kind, entry]
        return (source.file, *source.at((kind, entry, *tail)))

    def marked(self, kind: str, entry: str, *tail: Any) -> bool:
        """Whether that very part of an entry stands in its file."""
        return (kind, entry, *tail) in self._places[kind, entry].marks

    @cached_property
    def _columns(self) -> dict[tuple[str, int], int]:
        return {(source.file, line): column for source in self.sources if isinstance(source.value, dict) and not {"phrases", "beliefs"}.isdisjoint(source.value)
                for path, (line, column) in source.marks.items() if len(path) == 4 and path[0] in ("phrases", "beliefs")}

    def phrase_at(self, phrase: Phrase) -> Place:
        """Where a phrase stands."""
        return (phrase.file, phrase.line, self._columns.get((phrase.file, phrase.line), 1))

    def talk_lines(self) -> Iterator[tuple[Source, str, int, str]]:
        """Every line of what people say to the assistant: its file, its intent, its number, its pattern."""
        for source in self.sources:
            talk = source.value.get("talk") if isinstance(source.value, dict) else None
            for kind, lines in talk.items() if isinstance(talk, dict) else ():
                for index, line in enumerate(lines if isinstance(lines, list) else [lines]):
                    yield source, kind, index, str(line)

    @cached_property
    def phrase_pairs(self) -> PhrasePairs:
        """The phrases of each topic, compared."""
        made = PhrasePairs(self.book, self.earlier.phrase_pairs if self.earlier else None)
        self.earlier = None  # it has given what it has; of many views in a row only the last is kept
        return made

    # -- what the computations name --------------------------------------------

    @cached_property
    def _in_computations(self) -> set[str]:
        """Every id that stands in quotes in the modules of the trade's computations."""
        import assistant.trade

        folder = Path(assistant.trade.__file__).parent
        return {name for path in sorted(folder.glob("*.py")) for name in _ID.findall(path.read_text(encoding="utf-8"))}

    @property
    def cited_by_computations(self) -> set[str]:
        """Sources that a computation gives for its numbers."""
        return self._in_computations & set(self.book.sources)

    @property
    def asked_by_computations(self) -> set[str]:
        """Facts and checks that a computation takes its numbers from."""
        return self._in_computations & {*self.book.facts, *self.book.checks}

    @cached_property
    def uses(self) -> list[Use]:
        """Every place where one entry names another."""
        return list(uses(self.book))

    # -- conditions ----------------------------------------------------------

    @cached_property
    def branches(self) -> dict[str, tuple[tuple[Literal, ...], ...]]:
        """rule -> the alternatives of its condition. A condition that branches too much is complained of elsewhere and left out."""
        result = {}
        for rule, condition in self.book.conditions.items():
            try:
                result[rule] = branches(condition)
            except TooManyBranches:
                continue
        return result

    # -- what can be said ----------------------------------------------------

    @cached_property
    def phrased(self) -> dict[tuple[str, str], list[Phrase]]:
        """(topic, value) -> the phrases that say it."""
        result: dict[tuple[str, str], list[Phrase]] = {}
        for phrase in self.book.phrases:
            result.setdefault((phrase.topic, phrase.value), []).append(phrase)
        return result

    @cached_property
    def derived(self) -> dict[str, dict[str, list[str]]]:
        """topic -> value -> the derive rules that conclude it."""
        result: dict[str, dict[str, list[str]]] = {}
        for rule in self.book.rules.values():
            for topic, value in rule.then.items():
                result.setdefault(topic, {}).setdefault(str(value), []).append(rule.id)
        return result

    def sayable(self, topic: str, value: str) -> bool:
        """Whether a value can become known: asked with its choices, said in words, measured, or concluded."""
        if topic in self.book.checks:
            return True
        fact = self.book.facts.get(topic)
        if fact is None:
            return True  # complained of as unknown
        return (fact.unit is not None or fact.ask is not None or (topic, value) in self.phrased
                or value in self.derived.get(topic, {}))

    def statable(self, topic: str) -> bool:
        """Whether anything at all can be said of a topic."""
        fact = self.book.facts.get(topic)
        if fact is None:
            return True
        return (fact.ask is not None or topic in self.book.measured or topic in self.derived or fact.about == "manual"
                or any((topic, value) in self.phrased for value in fact.values or ()))
