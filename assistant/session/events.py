"""The kinds of event. The state of a conversation is always what its events replay to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

VERSION = 1
KINDS = ("opened", "given", "said", "asked")


@dataclass(frozen=True)
class Event:
    """One event. `data` by kind:

    opened: {knowledge: fingerprint}   the conversation began, on these files
    given:  {fact, value}              a machine fact told by option, not in words
    said:   {text}                     a message, as typed
    asked:  {what, id, choices, plain} what the assistant asked or offered last (the words of the next answer lean on it)
    """

    kind: str
    data: dict[str, Any] = field(default_factory=dict)
    at: str = ""

    def as_json(self) -> dict[str, Any]:
        """One line of the log."""
        return {"v": VERSION, "kind": self.kind, "at": self.at, **self.data}

    @classmethod
    def from_json(cls, raw: dict[str, Any]) -> "Event":
        """Raises ValueError for a kind or version that this program does not know."""
        if not isinstance(raw, dict) or raw.get("kind") not in KINDS:
            raise ValueError("this line is no event of a conversation")
        if raw.get("v") != VERSION:
            raise ValueError(f"this line was written by another version ({raw.get('v')})")
        data = {k: v for k, v in raw.items() if k not in ("v", "kind", "at")}
        return cls(raw["kind"], data, str(raw.get("at", "")))
