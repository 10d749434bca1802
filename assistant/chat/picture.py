"""The small picture of where it points: ten marks for ten such machines, as many filled as would have this fault."""

from __future__ import annotations

from typing import Sequence

from assistant.chat.text import can_show, safe, width, wrap

Fragment = tuple[str, str]  # style name, text
Row = list[Fragment]

_MARKS = ("●", "○")  # filled, empty
_ASCII = ("o", ".")
MARKS = 10
FAINT = 0.095  # a leader under this is no direction: one mark in ten would say too much


def marks(probability: float, encoding: str = "utf-8") -> str:
    """A probability as ten marks."""
    filled, empty = _MARKS if can_show("".join(_MARKS), encoding) else _ASCII
    count = min(MARKS, max(0, int(probability * MARKS + 0.5)))
    return filled * count + empty * (MARKS - count)


def picture(points: Sequence[tuple[str, str, float]], columns: int, encoding: str = "utf-8") -> list[Row]:
    """Rows of marks, name and chance. `points` are (plain name, chance in words, probability), the likeliest first.

    Where they make up the whole, the last one is the rest. Empty when the evidence points nowhere yet.
    """
    if not points or points[0][2] < FAINT:
        return []
    rest = len(points) - 1 if len(points) > 1 and abs(sum(p for _, _, p in points) - 1) < 1e-9 else len(points)
    points = [(safe(name), safe(chance), p) for name, chance, p in points]
    room = max(columns - MARKS - 1, 8)
    fitting = [width(name) for name, chance, _ in points if width(name) + 2 + width(chance) <= room]
    pad = max(fitting, default=0)
    while any(width(name) <= pad and pad + 2 + width(chance) > room for name, chance, _ in points):
        pad -= 1
    rows: list[Row] = []
    for index, (name, chance, probability) in enumerate(points):
        style = "points" if index < rest else "rest"
        first, *more = wrap(name, room)
        row: Row = [("dots", marks(probability, encoding)), ("", " "), (style, first)]
        beside = width(name) <= pad
        if beside:
            row.append(("chance", " " * (pad - width(first) + 2) + chance))
        rows.append(row)
        rows += [[("", " " * (MARKS + 1)), (style, line)] for line in more]
        if not beside:
            rows += [[("", " " * (MARKS + 1)), ("chance", line)] for line in wrap(chance, room)]
    return rows
