"""Rates of one's own: numbers of the settings that this run of the program takes in place of those in the files.

What an hour is worth, what a workshop costs and how much risk weighs is for the owner to say: `--set workshop-minutes=200`, or the
variable TICKOVER_SET with several, separated by commas.
"""

from __future__ import annotations

import hashlib
import math
import os

from assistant.problems import KnowledgeError, Problem, nearest, quoted
from assistant.rulebook.book import Rulebook

VARIABLE = "TICKOVER_SET"
_MOST = 1e6


def applied(book: Rulebook) -> Rulebook:
    """The rulebook with the owner's numbers in it; the same one where none are set. Raises KnowledgeError for a name or number that is none."""
    asked = [part.strip() for part in os.environ.get(VARIABLE, "").split(",") if part.strip()]
    if not asked:
        return book
    problems: list[Problem] = []
    for part in asked:
        name, _, text = (piece.strip() for piece in part.partition("="))
        setting = book.settings.get(name)
        if setting is None:
            near = nearest(name, book.settings)
            _complain(problems, "unknown-word", f"No setting is called {quoted(name)}.", f"{'did you mean ' + ' or '.join(near) + '? ' if near else ''}`tickover knowledge list settings` names them.")
            continue
        value = _number(text)
        if value is None:
            _complain(problems, "number-out-of-range", f"{quoted(name)} is given {quoted(text)}, which is no number from 0 to {_MOST:.0f}.", f"write it so: {name}={setting.value:g}.")
            continue
        book.settings[name] = setting.model_copy(update={"value": value})
    if problems:
        raise KnowledgeError(problems)
    book.fingerprint = hashlib.sha256(f"{book.fingerprint} {sorted(asked)}".encode()).hexdigest()[:16]  # other numbers, other advice
    return book


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) and 0 <= value <= _MOST else None


def _complain(problems: list[Problem], code: str, what: str, mend: str) -> None:
    problems.append(Problem("--set", len(problems) + 1, 1, "error", code, what, mend))
