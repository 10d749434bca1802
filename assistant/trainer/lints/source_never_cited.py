"""A source that no entry and no computation cites.

Bad:
    sources:
      old-handbook: {plain: an old handbook}

Good:
    sources:
      old-handbook: {plain: an old handbook}
    limits:
      battery-least:
        plain: least volts of a full battery
        unit: V
        value: 12
        source: old-handbook
"""

from __future__ import annotations

from typing import Iterator

from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "source-never-cited"
LEVEL = "warning"


def check(view: View) -> Iterator[Finding]:
    """One finding for each such source."""
    cited = {use.id for use in view.uses if use.shelves == ("sources",)} | view.cited_by_computations
    for source in view.book.sources.values():
        if source.id not in cited:
            yield Finding(view.at("sources", source.id), f"Nothing cites '{source.id}'.", "cite it where a number comes from it, or take it out.")
