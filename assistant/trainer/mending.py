"""Carries out the edits that need no judgement. Lines are changed in place, so comments and layout stay as they are."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from assistant.problems import Problem
from assistant.trainer.finding import Edit
from assistant.trainer.lint import Inspection, essence, inspect


@dataclass(frozen=True)
class Mended:
    """What was done, what was left because the edit would not have been safe, and how the folder stands now."""

    done: tuple[Problem, ...]
    left: tuple[Problem, ...]
    now: Inspection


def mend(folder: Path, before: Inspection) -> Mended:
    """Apply the safe edits: all at once, and where that brings a new complaint file by file, so that each such file is put back as it was."""
    by_file: dict[str, list[tuple[Edit, Problem]]] = {}
    for problem, edit in before.edits.items():
        by_file.setdefault(edit.file, []).append((edit, problem))
    left: list[Problem] = []
    changes: list[tuple[Path, bytes, bytes, list[Problem]]] = []  # file, as it was, as it would be, what that mends
    for file, pairs in sorted(by_file.items()):
        path = before.view.path_of(file)
        old = path.read_bytes()
        text, applied, refused = _edited(old.decode("utf-8"), pairs)
        left += refused
        if applied:
            changes.append((path, old, text.encode("utf-8"), applied))
    now = _try(folder, changes, before)
    if now is not None:
        return Mended(tuple(sorted(p for _, _, _, applied in changes for p in applied)), tuple(sorted(left)), now)
    done, now = [], before
    for change in changes:
        after = _try(folder, [change], before)
        if after is None:
            left += change[3]
        else:
            done += change[3]
            now = after
    return Mended(tuple(sorted(done)), tuple(sorted(left)), now)


def _try(folder: Path, changes: list[tuple[Path, bytes, bytes, list[Problem]]], before: Inspection) -> Inspection | None:
    """Write the files and look again; where a new error shows, put them back and return None."""
    try:
        for path, _, new, _ in changes:
            path.write_bytes(new)
        after = inspect(folder, before)
    except BaseException:  # stopped halfway: nothing is left half mended
        _put_back(changes)
        raise
    known = {essence(p) for p in before.problems}
    if any(essence(p) not in known for p in after.problems if p.level == "error"):
        _put_back(changes)
        return None
    return after


def _put_back(changes: list[tuple[Path, bytes, bytes, list[Problem]]]) -> None:
    for path, old, _, _ in changes:
        path.write_bytes(old)


def _edited(text: str, pairs: list[tuple[Edit, Problem]]) -> tuple[str, list[Problem], list[Problem]]:
    """The text with the edits in it, from the last line up; and which were made and which could not be."""
    lines = text.splitlines(keepends=True)
    applied: list[Problem] = []
    refused: list[Problem] = []
    for edit, problem in sorted(pairs, key=lambda pair: (-pair[0].line, -pair[0].column)):
        line = lines[edit.line - 1] if edit.line <= len(lines) else ""
        changed = _line(line, edit)
        if changed is None:
            refused.append(problem)
            continue
        lines[edit.line - 1] = changed
        applied.append(problem)
    return "".join(lines), applied, refused


def _line(line: str, edit: Edit) -> str | None:
    """The line after an edit; empty to take it out; None where it does not stand there as expected."""
    body = line.rstrip("\r\n")
    end = line[len(body):]
    if edit.new is None:  # only a list item that has its line to itself
        item = body.strip()
        return "" if item in (f"- {edit.old}", f'- "{edit.old}"', f"- '{edit.old}'") else None
    start = body.find(edit.old, edit.column - 1)
    if start < 0:
        return None
    rest = body[start + len(edit.old):]
    before = body[start - 1: start]
    if edit.new and (before.isalnum() or before == "-" or rest[:1].isalnum() or rest[:1] == "-"):
        return None
    changed = (body[:start] + edit.new + rest).rstrip() if not edit.new else body[:start] + edit.new + rest
    return changed + end if changed.strip() else ""
