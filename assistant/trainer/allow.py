"""Exceptions granted in the files: `# allow: code, because ...` at the end of the line, or on a line of its own above it.

An allowance hides the complaints of that code on its line. One that hides nothing is itself reported, so that none
outlives its reason. What keeps the files from loading cannot be allowed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Iterable, Iterator

from assistant.problems import Problem, nearest, quoted
from assistant.rulebook.shapes import near_text
from assistant.trainer.finding import Edit, Finding
from assistant.trainer.view import View

UNUSED, REASONLESS, UNKNOWN = "allowance-unused", "allowance-without-reason", "allowance-of-unknown-code"
LEVELS = {UNUSED: "warning", REASONLESS: "error", UNKNOWN: "error"}
_COMMENT = re.compile(r"(?:^|(?<=\s))#\s*allow:\s*(?P<rest>.*)$")
_BECAUSE = re.compile(r",?\s*\bbecause\b\s*(?P<reason>.*)$")


@dataclass(frozen=True)
class Allowance:
    """One comment: where it stands, the line it speaks for, the codes it names and the reason it gives."""

    file: str
    line: int
    column: int
    covers: int
    codes: tuple[str, ...]
    reason: str
    text: str


def allowances(view: View, files: Iterable[str] | None = None) -> Iterator[Allowance]:
    """Every allowance in the files."""
    wanted = set(files) if files is not None else None
    for source in view.sources:
        if wanted is not None and source.file not in wanted:
            continue
        try:
            text = view.path_of(source.file).read_text(encoding="utf-8-sig")
        except (OSError, UnicodeDecodeError):
            continue  # complained of by the loader
        if "allow:" in text:
            yield from _in_file(source.file, text.splitlines())


def _in_file(file: str, lines: list[str]) -> Iterator[Allowance]:
    for number, line in enumerate(lines, start=1):
        match = _COMMENT.search(line)
        if match is None:
            continue
        covers = number
        if not line[: match.start()].strip():
            covers = next((n for n in range(number + 1, len(lines) + 1) if lines[n - 1].strip() and not lines[n - 1].lstrip().startswith("#")), number)
        because = _BECAUSE.search(match["rest"])
        named = match["rest"][: because.start()] if because else match["rest"]
        yield Allowance(file, number, match.start() + 1, covers, tuple(c for c in re.split(r"[,\s]+", named) if c),
                        because["reason"].strip() if because else "", line[match.start():])


def sift(view: View, problems: list[Problem], allowed: Iterable[str], known: Iterable[str]) -> tuple[list[Problem], list[tuple[str, Finding]]]:
    """(the complaints that are not allowed, what is wrong with the allowances as code and finding).

    `allowed` are the codes that an allowance may name, `known` all codes there are.
    """
    may, every = set(allowed), set(known)
    hidden: set[Problem] = set()
    findings: list[tuple[str, Finding]] = []
    for allowance in allowances(view):
        place = (allowance.file, allowance.line, allowance.column)
        if not allowance.reason:
            findings.append((REASONLESS, Finding(place, "An allowance needs its reason.", "write '# allow: code, because ...'.")))
            continue
        hit = False
        strange = [code for code in allowance.codes if code not in may]
        for code in strange or ([] if allowance.codes else [""]):
            if code in every:
                what, mend = f"'{code}' cannot be allowed: the files do not load, or mislead, with it.", "mend what it complains of."
            else:
                near = nearest(code, may)
                what, mend = f"{quoted(code)} is not a code.{near_text(near)}", f"write {near[0]}." if near else "write the code of the complaint."
            findings.append((UNKNOWN, Finding(place, what, mend)))
        for problem in problems:
            if problem.file == allowance.file and problem.line == allowance.covers and problem.code in allowance.codes and problem.code in may:
                hidden.add(problem)
                hit = True
        if not hit and not strange and allowance.codes:
            findings.append((UNUSED, Finding(place, f"This allowance of '{', '.join(allowance.codes)}' hides nothing.", "take the comment out.",
                                             Edit(allowance.file, allowance.line, allowance.text, "", allowance.column))))
    return [p for p in problems if p not in hidden], findings


SAMPLES = {  # code -> what it means, a bad and a good sample
    UNUSED: ("An allowance that no longer hides any complaint.",
             "sources:\n  common-practice-too: {plain: common practice}\nlimits:\n  volts-least:  # allow: source-never-cited, because it is old\n"
             "    plain: least volts\n    unit: V\n    value: 12\n    source: common-practice-too\n",
             "sources:\n  common-practice-too: {plain: common practice}  # allow: source-never-cited, because its numbers come next month\n"),
    REASONLESS: ("An allowance that does not say why.",
                 "sources:\n  old-book: {plain: an old book}  # allow: source-never-cited\n",
                 "sources:\n  old-book: {plain: an old book}  # allow: source-never-cited, because its numbers come next month\n"),
    UNKNOWN: ("An allowance that names no code, or one that cannot be allowed.",
              "sources:\n  old-book: {plain: an old book}  # allow: source-newer-cited, because its numbers come next month\n",
              "sources:\n  old-book: {plain: an old book}  # allow: source-never-cited, because its numbers come next month\n"),
}
