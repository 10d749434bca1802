"""A knowledge folder to the text of its files: which ones are read, and every complaint about the folder itself."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from assistant.harmless import one_line
from assistant.problems import Problem
from assistant.rulebook.source import MAX_BYTES, Source, read_file

MAX_FILES = 2000
MAX_TOTAL = 40_000_000  # bytes of all files together
MAX_VALUES = 1_500_000  # in all files together


def read_all(folder: Path) -> tuple[list[Source], list[Problem]]:
    """Every `.yaml` file under the folder, in order of path, but for hidden ones and `.cases.yaml`.

    Nothing outside the folder is ever read: a link that leads out is a complaint, and linked folders are not entered.
    """
    problems: list[Problem] = []

    def complain(code: str, what: str, mend: str) -> None:
        problems.append(Problem(str(folder), 1, 1, "error", code, what, mend))

    try:
        if not folder.is_dir():
            complain("folder-missing", f"The knowledge folder '{folder}' {'is not a folder' if folder.exists() else 'does not exist'}.",
                     "name the right folder with --knowledge DIR, or install Tickover anew.")
            return [], problems
        root = folder.resolve()
    except (OSError, RuntimeError) as error:  # not allowed to look, a name too long, links in a circle
        complain("folder-unreadable", f"The knowledge folder '{folder}' cannot be read: {_reason(error)}.", "give it read permission.")
        return [], problems
    errors: list[OSError] = []
    found, linked, unread = _walk(folder, errors)
    for error in errors:
        complain("folder-unreadable", f"The folder '{error.filename}' cannot be read: {_reason(error)}.", "give it read permission.")
    if not found and not errors:
        complain("folder-empty", "The knowledge folder holds no .yaml file.", "name the right folder with --knowledge DIR.")
    if len(found) > MAX_FILES:
        complain("folder-too-large", f"The folder holds {len(found)} files; a knowledge folder may have {MAX_FILES}.",
                 "name the right folder with --knowledge DIR, or merge small files.")
        return [], problems
    sources: list[Source] = []
    total = values = 0
    for path in found:
        total += _size(path)
        if total > MAX_TOTAL or values > MAX_VALUES:
            complain("folder-too-large", "The files of this folder hold more than a knowledge folder may.", "name the right folder with --knowledge DIR.")
            break
        source = _read(path, _shown(folder, path), root, path in linked)
        if source is not None:
            sources.append(source)
            values += len(source.marks)
    for path in unread:
        source = Source(one_line(_shown(folder, path)))
        source.complain((), "file-not-read", "This file is not read: its name ends in .yml.", "rename it so that it ends in .yaml.", "warning")
        sources.append(source)
    return sources, problems


def ordinary(folder: Path) -> list[tuple[Path, str]] | None:
    """The files that `read_all` would read, with the names they are shown as; None where anything about the folder is out of the ordinary."""
    errors: list[OSError] = []
    found, linked, unread = _walk(folder, errors)
    if errors or linked or unread or not 0 < len(found) <= MAX_FILES:
        return None
    total = 0
    for path in found:
        state = path.lstat()
        total += state.st_size
        if not stat.S_ISREG(state.st_mode) or state.st_size > MAX_BYTES:
            return None
    named = [(path, _shown(folder, path)) for path in found]
    return named if total <= MAX_TOTAL and all(one_line(name) == name for _, name in named) else None


def _shown(folder: Path, path: Path) -> str:
    """What a file is called in complaints; the copy of the folder in the wheel lies in _knowledge."""
    return f"{folder.name.lstrip('_') or folder}/{path.relative_to(folder).as_posix()}"


def _size(path: Path) -> int:
    """Bytes that reading a file will take: one that is too large by itself is not read."""
    try:
        size = path.lstat().st_size
    except OSError:
        return 0
    return size if size <= MAX_BYTES else 0


def _walk(folder: Path, errors: list[OSError]) -> tuple[list[Path], set[Path], list[Path]]:
    """(files to read and linked folders, the linked folders among them, files that look meant but are not read)."""
    found: list[Path] = []
    linked: set[Path] = set()
    unread: list[Path] = []
    for here, folders, files in os.walk(folder, onerror=errors.append):
        folders[:] = [name for name in folders if not name.startswith(".")]
        for name in folders:
            if os.path.islink(os.path.join(here, name)):
                linked.add(Path(here, name))
        for name in files:
            if name.startswith("."):  # an editor's lock or swap file
                continue
            if name.endswith(".yaml") and not name.endswith(".cases.yaml"):
                found.append(Path(here, name))
            elif name.endswith(".yml"):
                unread.append(Path(here, name))
    return sorted([*found, *linked]), linked, sorted(unread)


def _read(path: Path, name: str, root: Path, is_linked_folder: bool) -> Source | None:
    source = Source(one_line(name))
    if source.file != name:
        source.complain((), "file-unreadable", "The name of this file holds characters that cannot be shown.", "rename it.")
        return source
    try:
        outside = not path.resolve().is_relative_to(root)
    except (OSError, RuntimeError) as error:
        source.complain((), "file-unreadable", f"This file cannot be read: {_reason(error)}.", "remove it.")
        return source
    if outside:
        source.complain((), "outside-folder", "This is a link to a place outside the knowledge folder.", "copy what it leads to into the folder.")
        return source
    if is_linked_folder:  # what it leads to is read at its own place
        return None
    return read_file(path, name)


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or "its links lead round in a circle"
