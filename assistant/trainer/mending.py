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
    """Apply the safe edits file by file. A file that would get a new complaint by it is put back as it was."""
    by_file: dict[str, list[tuple[Edit, Problem]]] = {}
    for problem, edit in before.edits.items():
        by_file.setdefault(edit.file, []).append((edit, problem))
    done: list[Problem] = []
    left: list[Problem] = []
    known = {essence(p) for p in before.problems}
    now = before
    for file, pairs in sorted(by_file.items()):
        path = before.view.path_of(file)
        old = path.read_bytes()
        text, applied, refused = _edited(old.decode("utf-8"), pairs)
        left += refused
        if not applied:
            continue
        path.write_bytes(text.encode("utf-8"))
        after = inspect(folder)
        if any(essence(p) not in known for p in after.problems if p.level == "error"):
            path.write_bytes(old)
            left += applied
        else:
            done += applied
            now = after
    return Mended(tuple(sorted(done)), tuple(sorted(left)), now)


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
