"""A progress bar on standard error, for runs that take longer than a moment. Silent where nobody looks."""

from __future__ import annotations

import sys
import time
from typing import Iterable, Iterator, Sequence, TextIO, TypeVar

T = TypeVar("T")
_PATIENCE = 0.6  # seconds before a bar is worth drawing
_WIDTH = 30


def progress(items: Sequence[T], what: str, stream: TextIO | None = None) -> Iterator[T]:
    """The items one by one, with a bar while they last."""
    out = stream if stream is not None else sys.stderr
    visible = getattr(out, "isatty", lambda: False)()
    start, drawn = time.monotonic(), False
    for number, item in enumerate(items):
        if visible and time.monotonic() - start > _PATIENCE and (number % max(len(items) // 200, 1) == 0):
            out.write("\r" + bar(number, len(items), what))
            out.flush()
            drawn = True
        yield item
    if drawn:
        out.write("\r" + " " * (len(bar(len(items), len(items), what))) + "\r")
        out.flush()


def bar(done: int, of: int, what: str) -> str:
    """'[######......] 12 of 40 conversations'."""
    full = round(_WIDTH * done / max(of, 1))
    return f"[{'#' * full}{'.' * (_WIDTH - full)}] {done} of {of} {what}"


__all__ = ["Iterable", "bar", "progress"]
