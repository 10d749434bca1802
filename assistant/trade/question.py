"""The records of the catalogue: a question the computations answer, and what it needs."""

from __future__ import annotations

from dataclasses import dataclass


ANY_UNIT, UNIT_OF_NUMBER, UNIT_WANTED = "any unit", "its unit", "other unit"  # in place of an argument's unit: what of the question it takes


@dataclass(frozen=True, slots=True)
class Argument:
    """One input. `default` is what the function assumes; without one it must be given, unless it is `optional`."""

    name: str
    plain: str
    unit: str = ""
    default: float | str | None = None
    topic: str | None = None
    choices: tuple[str, ...] = ()
    many: bool = False  # takes a list of numbers
    optional: bool = False

    @property
    def needed(self) -> bool:
        """Whether there is no answer without it."""
        return self.default is None and not self.optional


@dataclass(frozen=True, slots=True)
class Computation:
    """One question with its function.

    `reading` is the check whose reading is held against the result; `manual` the fact that beats it.
    """

    id: str
    question: str
    function: str
    arguments: tuple[Argument, ...]
    unit: str
    sense: str = "value"
    reading: str | None = None
    manual: str | None = None

    @property
    def missing_without(self) -> tuple[Argument, ...]:
        """The arguments somebody must give."""
        return tuple(a for a in self.arguments if a.needed)
