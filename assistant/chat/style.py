"""How each kind of text looks. Colours are the terminal's own sixteen, chosen to be read on dark and on light; meaning never hangs on colour."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prompt_toolkit.styles import Style

STYLES = {
    "label": "bold",
    "heard": "",
    "missed": "italic",
    "note": "",
    "next": "bold",
    "ask": "bold",
    "caution": "ansired",
    "signal": "bold ansired",
    "step": "",
    "number": "bold",
    "choice": "",
    "why": "",
    "because": "",
    "sum": "",
    "block": "ansired",
    "alarm": "bold ansired",
    "dots": "ansigreen",
    "points": "",
    "chance": "",
    "rest": "italic",
    "remark": "italic",
    "prompt": "bold",
    "bottom-toolbar": "noreverse",
    "toolbar.open": "bold",
    "toolbar.time": "",
    "toolbar.hint": "italic",
    "completion-menu.completion": "noinherit reverse",
    "completion-menu.completion.current": "noinherit bold underline",
    "completion-menu.meta.completion": "noinherit reverse",
    "completion-menu.meta.completion.current": "noinherit bold underline",
}


@lru_cache(maxsize=1)
def style() -> "Style":
    """The styles for prompt_toolkit."""
    from prompt_toolkit.styles import Style

    return Style.from_dict(STYLES)
