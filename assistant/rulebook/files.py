"""A knowledge folder to the text of its files: which ones are read, and every complaint about the folder itself."""

from __future__ import annotations

import os
from pathlib import Path

from assistant.problems import Problem
from assistant.rulebook.source import Source, read_file

MAX_FILES = 2000


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
    shown = folder.name.lstrip("_") or str(folder)  # the copy in the wheel lies in _knowledge
    sources = []
    for path in found:
        name = f"{shown}/{path.relative_to(folder).as_posix()}"
        source = _read(path, name, root, path in linked)
        if source is not None:
            sources.append(source)
    for path in unread:
        source = Source(f"{shown}/{path.relative_to(folder).as_posix()}")
        source.complain((), "file-not-read", "This file is not read: its name ends in .yml.", "rename it so that it ends in .yaml.", "warning")
        sources.append(source)
    return sources, problems


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
    source = Source(name)
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
