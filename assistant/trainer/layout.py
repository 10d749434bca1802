"""YAML as the files are written: flow lists and mappings on one line where they fit, quoted only where needed."""

from __future__ import annotations

import re
from typing import Any

WIDTH = 120
_PLAIN = re.compile(r"[A-Za-z0-9(<][^#:\[\]{},&*!|>'\"%@`]*\Z")
_NUMBERLIKE = re.compile(r"[-+]?[0-9.]+\Z|(true|false|null)\Z", re.IGNORECASE)


def scalar(value: Any) -> str:
    """A value as it stands in a file."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:g}" if abs(value) < 1e6 else repr(value)
    text = str(value)
    if _PLAIN.match(text) and not _NUMBERLIKE.match(text) and text == text.strip():
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def flow(value: Any) -> str:
    """A value in flow style."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{scalar(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(flow(v) for v in value) + "]"
    return scalar(value)


def wrapped(head: str, text: str, indent: int) -> list[str]:
    """A key and its flow value; broken after commas where it would pass the width."""
    lines, line = [], head
    for piece in re.split(r"(?<=,) ", text):
        if len(line) + len(piece) > WIDTH and line.strip() and line != head:
            lines.append(line.rstrip())
            line = " " * indent
        line += piece + " "
    lines.append(line.rstrip())
    return lines
