"""An answer laid out at a width: rows of styled pieces of text. No colours, no terminal, nothing is decided here.

The reading order of the answer is kept line by line, so that a caution stands before the step it belongs to;
the small picture is put between what was heard and what comes next.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Iterable, Sequence

from assistant.chat.picture import Row, picture
from assistant.chat.text import for_encoding, safe, wrap

WIDEST = 88  # columns: longer lines are hard to follow in a cold garage
NARROW = 60  # under this, labels stand in the text and not beside it
TALL = 38  # rows of one screen: blank rows are left out where that makes an answer fit, and only there
LETTERS = "abcdef"  # as far as the letters are understood
_GUTTER = 10
_LABELS = {"heard": "Heard", "missed": "Missed", "note": "Note", "next": "Next", "ask": "Question", "why": "Why", "block": "Held back", "alarm": "Stop"}
_ENDS = {"cured": "Done", "workshop": "Stop"}
_FRONT = ("heard", "missed")  # what comes before the picture, with the notes among it
_SIGNALS = ("DANGER", "WARNING", "CAUTION")


@dataclass(frozen=True)
class View:
    """What the screen can do: its columns and the characters it can show."""

    columns: int = 80
    encoding: str = "utf-8"

    @property
    def room(self) -> int:
        """Columns used."""
        return max(20, min(self.columns, WIDEST))


@dataclass(frozen=True)
class Marks:
    """How choices are marked for picking: `count` of them (all, when None) by number, or by letter where a number would be a reading."""

    count: int | None = None
    letters: bool = False

    def of(self, number: int) -> str:
        """The mark of the n-th choice, from 1; a dash where it cannot be picked so."""
        if self.count is not None and number > self.count:
            return " - "
        return f"[{mark(number, self.letters)}]"


def mark(number: int, letters: bool) -> str:
    """What a person types for the n-th choice."""
    return LETTERS[number - 1] if letters and number <= len(LETTERS) else str(number)


def compose(lines: Sequence[tuple[str, str]], points: Sequence[tuple[str, str, float]], view: View, kind: str = "next",
            marks: Marks = Marks()) -> list[Row]:
    """An answer's lines and its picture as rows."""
    front = _front(lines)
    groups = [_block(lines[:front], view, kind, marks)]
    drawn = picture(points, _inner(view), view.encoding)
    if drawn:
        groups.append(_beside("Points to", drawn, view))
    groups += [_block(part, view, kind, marks) for part in _parts(lines[front:])]
    groups = [g for g in groups if g]
    rows: list[Row] = []
    bare = sum(len(g) for g in groups)
    spaced = not bare <= TALL < bare + len(groups) - 1
    for group in groups:
        if rows and spaced:
            rows.append([])
        rows += group
    return [[(style, for_encoding(text, view.encoding)) for style, text in row] for row in rows]


def remark_rows(remarks: Iterable[str], view: View) -> list[Row]:
    """What the program itself has to say (about the log, the keys): plain rows."""
    return [[("remark", for_encoding(line, view.encoding))] for remark in remarks for line in wrap(safe(remark), view.room)]


def to_text(rows: Iterable[Row]) -> str:
    """Rows as plain text, no trailing spaces."""
    return "\n".join("".join(text for _, text in row).rstrip() for row in rows)


def to_fragments(rows: Iterable[Row]) -> list[tuple[str, str]]:
    """Rows as prompt_toolkit's formatted text."""
    return [piece for row in rows for piece in (*((f"class:{style}" if style else "", text) for style, text in row), ("", "\n"))]


def _front(lines: Sequence[tuple[str, str]]) -> int:
    """How many lines come before the picture: what was heard, and the notes about it."""
    front = 0
    while front < len(lines) and lines[front][0] in (*_FRONT, "note"):
        front += 1
    return front


def _parts(lines: Sequence[tuple[str, str]]) -> list[Sequence[tuple[str, str]]]:
    """The rest in parts that a blank row may set apart: a step or question, its choices, the reason."""
    starts = [0]
    for index in range(1, len(lines)):
        role, before = lines[index][0], lines[index - 1][0]
        account = ("why", "because", "sum")
        if role != before and (role in ("next", "ask", "choice", "block", "alarm") or (role in account) != (before in account)):
            starts.append(index)
    return [lines[a:b] for a, b in zip(starts, [*starts[1:], len(lines)])]


def _block(lines: Sequence[tuple[str, str]], view: View, kind: str, marks: Marks) -> list[Row]:
    rows: list[Row] = []
    before, number, labelled = "", 0, ""
    lone_step = sum(role == "step" for role, _ in lines) == 1
    for role, raw in lines:
        text = safe(raw)
        number = number + 1 if role == before else 1
        label = _ENDS.get(kind, "Next") if role == "next" else _LABELS.get(role, "")
        if role == "caution":
            rows += _caution(text, view)
        elif role == "step" and not lone_step:
            rows += _item(f"{number}.", text, role, view)
        elif role == "choice":
            rows += _item(marks.of(number), text, role, view)
        elif role == "because":
            rows += _item("-", text, role, view)
        else:
            rows += _labelled("" if label == labelled else label, text, role, view)
            labelled = label or labelled
        before = role
    return rows


def _inner(view: View) -> int:
    return view.room - (_GUTTER if view.room >= NARROW else 0)


def _beside(label: str, rows: list[Row], view: View) -> list[Row]:
    if view.room < NARROW:
        return [[("label", f"{label}:")], *rows]
    return [[("label", f"{label if i == 0 else '':<{_GUTTER}}"), *row] for i, row in enumerate(rows)]


def _labelled(label: str, text: str, style: str, view: View) -> list[Row]:
    if view.room >= NARROW:
        return [[("label", f"{label if i == 0 else '':<{_GUTTER}}"), (style, line)] for i, line in enumerate(wrap(text, _inner(view)))]
    head = f"{label}: " if label else ""
    first, *more = wrap(head + text, view.room)
    return [[("label", first[: len(head)]), (style, first[len(head):])], *[[(style, line)] for line in more]]


def _item(sign: str, text: str, style: str, view: View) -> list[Row]:
    """A numbered or dashed item with its text hanging beside the mark."""
    left = " " * (_GUTTER if view.room >= NARROW else 0)
    hang = max(len(sign) + 1, 3)
    lines = wrap(text, view.room - len(left) - hang)
    return [[("number", left + (sign if i == 0 else "").ljust(hang)), (style, line)] for i, line in enumerate(lines)]


def _caution(text: str, view: View) -> list[Row]:
    """A caution with its signal word set off, so that it is seen without colour too."""
    signal = next((s for s in _SIGNALS if text.startswith(s)), "")
    rows = _item("!", text, "caution", view)
    if signal:
        (_, sign), (style, first) = rows[0][0], rows[0][1]
        rows[0] = [("signal", sign), ("signal", first[: len(signal)]), (style, first[len(signal):])]
    return rows
