"""Sheets written to files: new ones always, whole or not at all, in the first folder that takes them."""

from __future__ import annotations

import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Iterable

from assistant.dialogue.case import Case
from assistant.session.keeper import now
from assistant.sheet.gather import gather
from assistant.sheet.markdown import to_markdown
from assistant.sheet.page import to_page

_TRIES = 1000


@dataclass(frozen=True)
class Saved:
    """Where a sheet lies, and one plain line to show. Without paths it could not be written, and the line says why."""

    paths: tuple[Path, ...]
    line: str


def write(case: Case, folder: Path, name: str = "") -> tuple[Path, Path]:
    """Write both files of a conversation's sheet into a folder: (Markdown, page). Overwrites nothing; raises OSError.

    `name` is what the conversation is kept under. The conversation is only read.
    """
    sheet = gather(case.mind, case.events, name, now())
    stem = "job-sheet" + (f"-{kept}" if (kept := re.sub(r"[^A-Za-z0-9-]", "", name)[:20]) else "")
    for number in range(1, _TRIES):
        first, second = (Path(folder) / f"{stem}{f'-{number}' if number > 1 else ''}{end}" for end in (".md", ".html"))
        if first.exists() or second.exists() or os.path.islink(first) or os.path.islink(second):
            continue
        try:
            put(first, to_markdown(sheet))
            try:
                put(second, to_page(sheet))
            except BaseException:
                first.unlink(missing_ok=True)  # one file of two would look like the whole of it
                raise
        except FileExistsError:  # somebody was quicker
            continue
        return first, second
    raise FileExistsError(f"there are {_TRIES} job sheets in {folder} already")


def save(case: Case, folders: Iterable[Path], name: str = "") -> Saved:
    """The same into the first folder that can be written. Raises nothing for a folder that cannot."""
    trouble = ""
    for folder in folders:
        try:
            first, second = write(case, Path(folder), name)
        except OSError as error:
            trouble = trouble or f"{folder}: {error.strerror or error}"
            continue
        return Saved((first, second), f"The job sheet is written: {first} (plain text) and {second} (to print)."
                     + (f" Not where we are, because it cannot be written there ({trouble})." if trouble else ""))
    return Saved((), f"The job sheet could not be written ({trouble or 'no folder was given'}).")


def put(path: Path, text: str) -> None:
    """Write a new file so that it is there whole or not at all. Raises FileExistsError where there is one, else OSError."""
    handle, half = tempfile.mkstemp(prefix=".job-sheet-", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(half, 0o644 & ~_mask())
        try:
            os.link(half, path)  # fails where the name is taken, in one step
        except FileExistsError:
            raise
        except OSError:  # a file system without links
            with open(path, "x", encoding="utf-8", newline="\n") as file:
                file.write(text)
    finally:
        os.unlink(half)


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
