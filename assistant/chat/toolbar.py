"""The line at the foot of the screen: what stands open on the machine, and the minutes spent."""

from __future__ import annotations

from typing import Sequence

from assistant.chat.text import for_encoding, safe, shorten, width

_HINTS = ("Tab: quick answers", "Ctrl-D: leave")


def toolbar(opened: Sequence[str], minutes: float, columns: int, ready: bool = True, encoding: str = "utf-8") -> list[tuple[str, str]]:
    """The line as styled pieces, never wider than `columns`; hints give way first, then the names."""
    time = f" {round(minutes)} min " if minutes >= 0.5 else " 0 min "
    names = [safe(name) for name in opened]
    text = "Open: " + ", ".join(names) if names else "Nothing open"
    if not ready:
        text = "Reading the knowledge files"
    room = max(columns - width(time) - 3, 0)
    if width(text) > room and len(names) > 1:
        text = f"Open: {len(names)} places, {names[-1]}"
    text = shorten(text, room)
    pieces = [("toolbar.open", f" {text} "), ("", "|"), ("toolbar.time", time)]
    used = sum(width(piece) for _, piece in pieces)
    for hint in _HINTS:
        if used + width(hint) + 3 <= columns:
            pieces.append(("toolbar.hint", f"| {hint} "))
            used += width(hint) + 3
    return [(f"class:{style}" if style else "", for_encoding(piece, encoding)) for style, piece in pieces]
