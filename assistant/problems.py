"""Problem: one complaint about a knowledge or conversation file, with its place and its mend."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import Any, Iterable

from assistant.harmless import one_line


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """A complaint. Orders by place, so that lists read down the file."""

    file: str
    line: int
    column: int
    level: str  # error | warning
    code: str
    what: str
    mend: str

    def text(self) -> str:
        """The complaint as three lines: place and code, what is wrong, the mend."""
        return f"{one_line(self.file)}:{self.line}:{self.column}  {self.level}  {self.code}\n  {one_line(self.what)}\n  Mend: {one_line(self.mend)}"

    def as_json(self) -> dict[str, Any]:
        """The same fields, for machines."""
        return {name: getattr(self, name) for name in ("file", "line", "column", "level", "code", "what", "mend")}


class KnowledgeError(Exception):
    """The knowledge files cannot be used. Carries every complaint, not the first only."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = sorted(problems)
        super().__init__(f"{count(len(self.problems), 'complaint')} about the knowledge files")


def count(number: int, noun: str, plural: str | None = None) -> str:
    """'one rule', '3 rules': counts that agree."""
    if number == 1:
        return f"one {noun}"
    return f"{number if number else 'no'} {plural or noun + 's'}"


def quoted(value: Any, longest: int = 60) -> str:
    """A value of a file as it is shown in a complaint: in quotes, on one line, not too long."""
    text = " ".join(one_line(str(value)).split())
    return f"'{text if len(text) <= longest else text[: longest - 3] + '...'}'"


def article(noun: str) -> str:
    """The noun with a or an before it."""
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"


def nearest(word: str, known: Iterable[str], at_most: int = 3) -> list[str]:
    """The nearest known words to a misspelt one, best first; empty when none is near."""
    from rapidfuzz import process  # late: only a complaint needs it
    from rapidfuzz.distance import Indel

    word = word[:200]
    # no likeness by difflib is above that by insertions and deletions, and those are quickly counted
    likely = [name for name, _, _ in process.extract(word, sorted(known), scorer=Indel.normalized_similarity, score_cutoff=0.59, limit=None)]
    return difflib.get_close_matches(word, sorted(likely), n=at_most, cutoff=0.6)
