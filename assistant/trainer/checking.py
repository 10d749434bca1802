"""`tickover knowledge check`: prints what `lint` finds, as text or JSON, and carries out the safe mends on request."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Iterable

from assistant.problems import Problem, count, nearest
from assistant.trainer.lint import Inspection, codes, explain, inspect


def check_command(folder: Path, options: argparse.Namespace) -> int:
    """The command. Exit status: 0 sound, 1 errors (warnings too under --strict), 2 bad usage."""
    if options.explain:
        return _explain(options.explain)
    folder, only, trouble = _scope(folder, [Path(p) for p in options.path])
    if trouble:
        print(f"tickover knowledge check: {trouble}", file=sys.stderr)
        return 2
    found = inspect(folder)
    if options.mend:
        from assistant.trainer.mending import mend

        mended = mend(folder, found)
        found = mended.now
        for problem in mended.done:
            print(f"mended: {problem.file}:{problem.line}  {problem.code}: {problem.mend}", file=sys.stderr)
        if mended.left:
            print(f"left as they were, because the mend would not be safe: {len(mended.left)}.", file=sys.stderr)
    shown = [p for p in found.problems if only is None or p.file in only]
    if options.json:
        json.dump([p.as_json() for p in shown], sys.stdout, ensure_ascii=False)
        print()
    else:
        _print(shown, found)
    return status(shown, options.strict)


def status(problems: Iterable[Problem], strict: bool) -> int:
    """The exit status for what was found."""
    levels = {p.level for p in problems}
    return 1 if "error" in levels or (strict and "warning" in levels) else 0


def _print(shown: list[Problem], found: Inspection) -> None:
    for problem in shown:
        print(problem.text())
    errors, warnings = sum(p.level == "error" for p in shown), sum(p.level == "warning" for p in shown)
    mendable = sum(p in found.edits for p in shown)
    print(f"{count(errors, 'error')}, {count(warnings, 'warning')}." + (f" --mend can see to {mendable}." if mendable else ""))


def _scope(folder: Path, paths: list[Path]) -> tuple[Path, set[str] | None, str]:
    """(folder to read, the files to report on or None for all, what is wrong with the paths).

    A folder that holds knowledge of its own is read in place of the usual one; anything inside the usual one limits the report.
    """
    if not paths:
        return folder, None, ""
    root = folder.resolve()
    only: set[str] = set()
    for path in paths:
        if not path.exists():
            return folder, None, f"'{path}' does not exist"
        here = path.resolve()
        if here == root:
            return folder, None, ""
        if not here.is_relative_to(root):
            if path.is_dir() and len(paths) == 1:
                return path, None, ""
            return folder, None, f"'{path}' is not in the knowledge folder {folder}; name its folder with --knowledge DIR"
        files = sorted(here.rglob("*.yaml")) if here.is_dir() else [here]
        only |= {f"{folder.name or folder}/{f.relative_to(root).as_posix()}" for f in files}
    return folder, only, ""


def _explain(code: str) -> int:
    if code == "list":
        every = [e for e in map(explain, codes()) if e is not None]
        for each in every:
            print(f"{each.code:<32} {each.level:<8} {' '.join(each.means.split()).split('. ')[0].rstrip('.')}")
        return 0
    told = explain(code)
    if told is None:
        near = nearest(code, codes())
        print(f"tickover knowledge check: no code '{code}'" + (f"; did you mean '{near[0]}'?" if near else "; --explain list shows all"), file=sys.stderr)
        return 2
    print(f"{told.code}  ({told.level})\n\n{told.means}")
    for name, sample in (("Bad", told.bad), ("Good", told.good)):
        if sample:
            print(f"\n{name}:\n")
            print("\n".join(f"    {line}" for line in sample.rstrip().splitlines()))
    return 0
