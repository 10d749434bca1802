"""How the ranking moved: which faults are worth a line, and their shares at every message."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.account_words import capital
from assistant.sheet.record import Chart, Line
from assistant.sheet.told import tells

if TYPE_CHECKING:
    from assistant.sheet.gather import Case

_LINES = 5
_LEAST = 0.02


def movement(case: "Case") -> tuple[str, ...]:
    """The faults to draw: the sheet's own, those on top at the end, those that led for a while; highest at the end first."""
    at = [m for m in case.moments if m.turn <= case.concluded.turn]
    peak: dict[str, float] = {}
    for moment in at:
        for place, standing in enumerate(moment.ranking.standings):
            if place < 3 or standing.fault == case.subject:
                led = 1.0 if place == 0 and moment.turn >= 0 else 0.0
                peak[standing.fault] = max(peak.get(standing.fault, 0.0), standing.probability + led * 0.05)
    last = at[-1].ranking
    chance = lambda fault: s.probability if (s := last.of(fault)) is not None else 0.0  # noqa: E731
    for standing in last.standings[:3]:
        peak[standing.fault] = peak.get(standing.fault, 0.0) + 1
    if case.subject is not None:
        peak[case.subject] = 3.0
    chosen = sorted(peak, key=lambda f: (-peak[f], f))[:_LINES]
    return tuple(sorted((f for f in chosen if peak[f] >= _LEAST), key=lambda f: (-chance(f), f)))


def chart(case: "Case", faults: tuple[str, ...]) -> Chart:
    """The shares of these faults at every moment up to the conclusion at which something was told."""
    every = [m for m in case.moments if m.turn <= case.concluded.turn]
    at = [m for before, m in zip([None, *every], every) if before is None or tells(before.state, m.state) or before.ranking != m.ranking]
    lines = tuple(Line(capital(case.book.faults[f].plain), tuple(s.probability if (s := m.ranking.of(f)) is not None else None for m in at)) for f in faults)
    marks = tuple((i, "repair") for i, m in enumerate(at) for r in case.state.repairs if r.turn == m.turn)
    return Chart("How it moved with each message of the story", tuple("start" if m.turn < 0 else str(m.turn + 1) for m in at), lines, marks)
