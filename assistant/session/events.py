"""The kinds of event. The state of a conversation is always what its events replay to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

VERSION = 1
KINDS = ("opened", "resumed", "given", "said", "asked", "mended")
_OWN = ("v", "kind", "at")


class NewerVersion(ValueError):
    """The line was written by a program that knows more than this one."""


@dataclass(frozen=True)
class Event:
    """One event. `data` by kind:

    opened:  {knowledge: fingerprint}   the conversation began, on these files
    resumed: {knowledge: fingerprint}   it was gone on with, on these files
    given:   {fact, value}              a machine fact told by option, not in words
    said:    {text}                     a message, as typed
    asked:   {what, id, choices, plain} what the assistant asked or offered last (the words of the next answer lean on it)
    mended:  {lines}                    these lines above (numbers from 1) were torn or unreadable, and have been told about

    `at` is the clock when it was kept, in UTC. Only the order of the lines counts: clocks jump.
    """

    kind: str
    data: dict[str, Any] = field(default_factory=dict)
    at: str = ""

    def as_json(self) -> dict[str, Any]:
        """One line of the log."""
        return {"v": VERSION, "kind": self.kind, "at": self.at, **self.data}

    @classmethod
    def from_json(cls, raw: Any) -> "Event":
        """Raises NewerVersion for a later version, ValueError for anything else that is no event of this one."""
        if not isinstance(raw, dict):
            raise ValueError("this line is no event of a conversation")
        version = raw.get("v")
        if isinstance(version, int) and version > VERSION:
            raise NewerVersion(f"version {version} of the log; this program reads version {VERSION}")
        if version != VERSION or raw.get("kind") not in KINDS:
            raise ValueError("this line is no event of a conversation")
        data = {k: v for k, v in raw.items() if k not in _OWN}
        if not _SHAPES[raw["kind"]](data):
            raise ValueError(f"this line is no proper '{raw['kind']}'")
        return cls(raw["kind"], data, str(raw.get("at", "")))


def _texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(item, str) for item in value)


def _opened(data: dict[str, Any]) -> bool:
    return isinstance(data.get("knowledge", ""), str)


def _given(data: dict[str, Any]) -> bool:
    return isinstance(data.get("fact"), str) and isinstance(data.get("value"), (str, int, float))


def _said(data: dict[str, Any]) -> bool:
    return isinstance(data.get("text"), str)


def _asked(data: dict[str, Any]) -> bool:
    return (isinstance(data.get("what"), str) and isinstance(data.get("id", ""), str)
            and _texts(data.get("choices", [])) and _texts(data.get("plain", [])))


def _mended(data: dict[str, Any]) -> bool:
    lines = data.get("lines", [])
    return isinstance(lines, list) and all(isinstance(n, int) for n in lines)


_SHAPES = {"opened": _opened, "resumed": _opened, "given": _given, "said": _said, "asked": _asked, "mended": _mended}
