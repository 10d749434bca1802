"""A knowledge folder to every complaint about it: the loader's, the reviewer's, and those about allowances.

Printing is not done here: see `checking`. Nothing is changed here: see `mending`.
"""

from __future__ import annotations

import gc
import re
import textwrap
from dataclasses import dataclass, field
from pathlib import Path

from assistant.problems import Problem
from assistant.rulebook.codes import CODES, WARNINGS
from assistant.trainer import allow, case_files, conversations
from assistant.trainer.finding import Edit
from assistant.trainer.lints import all_lints
from assistant.trainer.view import View

# What the loader says of a name that leads nowhere; `id-renamed-in-one-place` knows better at the same place.
_LOST = "unknown-"
_LINES = re.compile(r":\d+|\bline \d+| and in (?:one|\d+) other places?")


@dataclass(frozen=True)
class Inspection:
    """What was found, in order of place, and the edits that mend some of it."""

    view: View
    problems: tuple[Problem, ...]
    edits: dict[Problem, Edit] = field(default_factory=dict)

    @property
    def errors(self) -> list[Problem]:
        """Those that keep the files from being used, or would mislead."""
        return [p for p in self.problems if p.level == "error"]

    @property
    def warnings(self) -> list[Problem]:
        """Those worth a look."""
        return [p for p in self.problems if p.level == "warning"]


def inspect(folder: Path, earlier: Inspection | None = None) -> Inspection:
    """Ask every question about a folder. Where a part cannot be read, only what holds without it is asked.

    Given what was found `earlier`, before something was written, it is quicker.
    """
    collecting = gc.isenabled()
    gc.disable()  # much is made and all of it is kept: looking for garbage would be a quarter of the time
    try:
        return _inspect(View.of(folder, earlier.view if earlier else None))
    finally:
        if collecting:
            gc.enable()


def _inspect(view: View) -> Inspection:
    partial = not view.sources or any(s.unread or s.value is None and any(p.level == "error" for p in s.problems) for s in view.sources)
    found: list[Problem] = []
    edits: dict[Problem, Edit] = {}
    for lint in all_lints():
        if partial and not getattr(lint, "PARTIAL", False):
            continue
        for finding in lint.check(view):
            problem = finding.problem(lint.CODE, lint.LEVEL)
            found.append(problem)
            if finding.edit is not None:
                edits[problem] = finding.edit
    renamed = {(p.file, p.line, p.column) for p in found if p.code == "id-renamed-in-one-place"}
    loader = [p for p in view.problems if not (p.code.startswith(_LOST) and (p.file, p.line, p.column) in renamed)]
    may = {lint.CODE for lint in all_lints() if lint.LEVEL == "warning"} | set(WARNINGS)
    kept, about_allowances = allow.sift(view, loader + found, may, codes())
    if not partial:
        for code, finding in about_allowances:
            problem = finding.problem(code, allow.LEVELS[code])
            kept.append(problem)
            if finding.edit is not None:
                edits[problem] = finding.edit
        if not any(p.code == "file-not-read" for p in view.problems):  # what the cases miss may stand in it
            kept += _about_cases(view)
    return Inspection(view, tuple(sorted(set(kept))), {p: e for p, e in edits.items() if p in set(kept)})


def essence(problem: Problem) -> tuple[str, str, str]:
    """A complaint without its line numbers and without how often it is made: the same before and after something was mended elsewhere."""
    return problem.file, problem.code, _LINES.sub("", problem.what)


def _about_cases(view: View) -> list[Problem]:
    """What is wrong with the files of cases: a rule renamed beside them shows here. Whether the cases hold is not asked."""
    shown = view.folder.name or str(view.folder)
    return [problem for path in case_files.find(view.folder)
            for problem in case_files.read(view.book, path, f"{shown}/{path.relative_to(view.folder).as_posix()}")[1]]


def codes() -> list[str]:
    """Every code a complaint can carry."""
    return sorted({*CODES, *case_files.CODES, *conversations.CODES, *allow.SAMPLES, *(lint.CODE for lint in all_lints())})


@dataclass(frozen=True)
class Explanation:
    """A code in full: its level, what it means, and samples (empty where only a folder could show it)."""

    code: str
    level: str
    means: str
    bad: str = ""
    good: str = ""


def explain(code: str) -> Explanation | None:
    """What a code means; None when there is no such code."""
    for lint in all_lints():
        if lint.CODE == code:
            text, bad, good = samples(lint.__doc__ or "")
            return Explanation(code, lint.LEVEL, text, bad, good)
    if code in allow.SAMPLES:
        return Explanation(code, allow.LEVELS[code], *allow.SAMPLES[code])
    told = {**CODES, **case_files.CODES, **conversations.CODES}
    if code in told:
        from assistant.trainer.loader_samples import SAMPLES

        return Explanation(code, "warning" if code in WARNINGS else "error", told[code], *SAMPLES.get(code, ("", "")))
    return None


def samples(docstring: str) -> tuple[str, str, str]:
    """(what is wrong, the bad sample, the good sample) of a lint's docstring."""
    means, _, rest = docstring.partition("\nBad:\n")
    bad, _, good = rest.partition("\nGood:\n")
    return means.strip(), textwrap.dedent(bad).strip() + "\n", textwrap.dedent(good).strip() + "\n"
