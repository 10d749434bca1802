"""An entry with numbers that does not say where they come from.

Bad:
    limits:
      battery-least:
        plain: least volts of a full battery
        unit: V
        value: 12

Good:
    limits:
      battery-least:
        plain: least volts of a full battery
        unit: V
        value: 12
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "source-missing"
LEVEL = "warning"
_KINDS = ("rules", "checks", "limits", "faults")


def check(view: View) -> Iterator[Finding]:
    """One finding for each such entry."""
    for kind in _KINDS:
        for entry in getattr(view.book, kind).values():
            if not entry.source:
                yield Finding(view.at(kind, entry.id), f"'{entry.id}' names no source for its numbers.",
                              "add source: with the id of a source; common-practice where the trade says so and nobody has published it.")
