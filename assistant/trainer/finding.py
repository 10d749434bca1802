"""What a lint reports: a place, a sentence, a mend; and, where it is safe, the edit that carries the mend out."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.problems import Problem

Place = tuple[str, int, int]  # file as shown, line, column


@dataclass(frozen=True, slots=True)
class Edit:
    """One change to one line of a file. `new` None takes the line out; otherwise `old` becomes `new` at `column` (from 1)."""

    file: str
    line: int
    old: str
    new: str | None
    column: int = 1


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a lint found. An edit is given only where no judgement is needed to make it."""

    place: Place
    what: str
    mend: str
    edit: Edit | None = None

    def problem(self, code: str, level: str) -> Problem:
        """The finding as a complaint under its lint's code."""
        return Problem(*self.place, level, code, self.what, self.mend)
