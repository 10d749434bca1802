"""Rewrites one expectation of a conversation file in place. All other lines, with their comments, stay as they are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from assistant.rulebook.source import read_file
from assistant.trainer.conversations import TURN
from assistant.trainer.layout import flow, wrapped


def rewrite(path: Path, turn: int, key: str, value: Any) -> None:
    """Give a turn (from 0) a new expectation under `key`, or take it out where `value` is empty."""
    source = read_file(path, str(path))
    lines = path.read_text(encoding="utf-8").splitlines()
    here = source.marks[("turns", turn)]
    indent = here[1] - 1
    new = expectation(key, value, indent) if value not in (None, [], {}, ()) else []
    if ("turns", turn, key) in source.marks:
        first, last = _block(source, lines, turn, key)
        lines[first - 1: last] = new
    else:
        order = [k for k in TURN if ("turns", turn, k) in source.marks and TURN.index(k) < TURN.index(key)]
        _, last = _block(source, lines, turn, order[-1])
        lines[last:last] = new
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def expectation(key: str, value: Any, indent: int) -> list[str]:
    """A key of a turn with its value, as lines."""
    pad = " " * indent
    if key == "heard":
        return [f"{pad}heard:", *(f"{pad}  - {flow(row)}" for row in value)]
    if key == "screen":
        lines = [f"{pad}screen:"]
        for width, text in value.items():
            lines += [f"{pad}  {width}: |2", *(f"{pad}    {line}".rstrip() for line in str(text).splitlines())]
        return lines
    return wrapped(f"{pad}{key}: ", flow(value), indent + 2)


def _block(source: Any, lines: list[str], turn: int, key: str) -> tuple[int, int]:
    """First and last line (from 1) of a key of a turn, comments after it not counted."""
    start = source.marks[("turns", turn, key)][0]
    starts = sorted({place[0] for path, place in source.marks.items() if len(path) == 3 and path[:2] == ("turns", turn)}
                    | {place[0] for path, place in source.marks.items() if len(path) == 2 and path[0] == "turns"}
                    | {place[0] for path, place in source.marks.items() if len(path) == 1})
    after = next((line for line in starts if line > start), len(lines) + 1)
    last = after - 1
    while last > start and (not lines[last - 1].strip() or lines[last - 1].lstrip().startswith("#")):
        last -= 1
    return start, last
