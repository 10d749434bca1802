"""Runs the cases beside the rules. A case passes, fails, or cannot be run; a failure shows the rule's condition part by part."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import dataclass
from pathlib import Path

from assistant.dialogue.fold import fold
from assistant.dialogue.state import State
from assistant.dialogue.state import facts as facts_of
from assistant.dialogue.think import Mind
from assistant.evidence.ranking import lacking, priors, rank
from assistant.evidence.weights import weigh
from assistant.problems import Problem, count
from assistant.records import Known, Statement
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event
from assistant.trainer import case_files
from assistant.trainer.case_files import RuleCase
from assistant.trainer.told import state_of
from assistant.trainer.trace import trace


@dataclass(frozen=True)
class Failure:
    """One expectation that was not met, with the trace."""

    case: RuleCase
    what: str
    trace: tuple[str, ...]

    def text(self) -> str:
        """Place, what was expected, the facts, and how the condition stood."""
        given = ", ".join([f"{t}: {v:g}" if isinstance(v, float) else f"{t}: {v}" for t, v in self.case.facts]
                          + [f"not {t}: {v}" for t, v in self.case.denied])
        lines = [f'  says: "{line}"' for line in self.case.says] + ([f"  facts: {given}"] if given or not self.case.says else [])
        return "\n".join([f"{self.case.file}:{self.case.line}  {self.what}", *lines, *(f"  {line}" for line in self.trace)])


@dataclass(frozen=True)
class Result:
    """What running all cases gave."""

    cases: int
    failures: tuple[Failure, ...]
    problems: tuple[Problem, ...]
    without: tuple[str, ...]  # rules that no case fires

    @property
    def passed(self) -> bool:
        """Whether every case could be run and held, and every rule has one."""
        return not (self.failures or self.problems or self.without)


def run_folder(mind: Mind, folder: Path) -> Result:
    """All case files under a knowledge folder."""
    cases: list[RuleCase] = []
    problems: list[Problem] = []
    for path in case_files.find(folder):
        found, bad = case_files.read(mind.book, path, f"{folder.name or folder}/{path.relative_to(folder).as_posix()}")
        cases += found
        problems += bad
    failures = [failure for case in cases for failure in run_case(mind, case)]
    proved = {rule for case in cases for rule in (*case.fires, *case.not_yet)}
    return Result(len(cases), tuple(failures), tuple(sorted(problems)), tuple(sorted(set(mind.book.rules) - proved)))


def run_case(mind: Mind, case: RuleCase) -> list[Failure]:
    """Run one case; the failures, in the order of its expectations."""
    book = mind.book
    state = state_of(book, case.facts, case.denied)
    result = []
    if case.says:
        state, result = _hear(mind, case, state)
        if not (case.rules or case.raises):
            return result
    told = facts_of(book, state)
    derived, firings = mind.engine.run(told)
    known = (*told, *derived)
    fired = {f.rule for f in firings if not f.denial}
    result += [Failure(case, f"'{rule}' should fire and stays silent", tuple(trace(book, rule, known))) for rule in case.fires if rule not in fired]
    result += [Failure(case, f"'{rule}' should stay silent and fires", tuple(trace(book, rule, known))) for rule in case.silent if rule in fired]
    result += [Failure(case, f"'{rule}' fires now; move it from 'not yet' to 'fires'", tuple(trace(book, rule, known)))
               for rule in case.not_yet if rule in fired]
    if case.raises:
        result += _raises(book, case, known, firings)
    return result


def _hear(mind: Mind, case: RuleCase, state: State) -> tuple[State, list[Failure]]:
    """The state after the messages, and what should have been heard and was not, or the other way round."""
    for line in case.says:
        state = fold(mind.book, mind.reader, state, Event("said", {"text": line}))
    items = [n.item for n in state.notes if getattr(n.item, "when", "now") == "now" and not getattr(n.item, "denied", False)]
    heard = {(i.fact, i.value) if isinstance(i, Statement) else (i.check, i.outcome if i.value is None else i.value) for i in items}
    lines = tuple(f"heard {topic}: {value}" for topic, value in sorted(heard, key=str)) or ("nothing was heard",)
    return state, [Failure(case, f"'{topic}: {value}' should be heard and is not", lines) for topic, value in case.hears if (topic, value) not in heard] + \
        [Failure(case, f"'{topic}: {value}' should not be heard and is", lines) for topic, value in case.not_heard if (topic, value) in heard]


def _raises(book: Rulebook, case: RuleCase, known: tuple[Known, ...], firings: list) -> list[Failure]:
    common = priors(book, known, lacking(book, firings))
    ranking = rank(book, common, weigh(book, firings, common), firings)
    result = []
    for fault in case.raises:
        standing = ranking.of(fault)
        if standing is None:
            result.append(Failure(case, f"'{fault}' should be raised and does not exist on this machine", ()))
        elif standing.probability <= standing.prior:
            lines = tuple(f"{w.decibans:+.1f} dB  {w.rule}{'' if w.counts else f' (covered by {w.covered_by})'}" for w in ranking.weights if w.fault == fault)
            result.append(Failure(case, f"'{fault}' should be raised and goes from {standing.prior * 100:.1f} to {standing.probability * 100:.1f} in 100",
                                  lines or ("no rule that fired speaks of it",)))
    return result


def cases_command(folder: Path, options: argparse.Namespace) -> int:
    """The command. Exit status 0 when all is well, else 1."""
    from assistant.rulebook.load import load

    result = run_folder(Mind(load(folder)), folder)
    if options.json:
        json.dump({"cases": result.cases, "failures": [{"file": f.case.file, "line": f.case.line, "what": f.what, "trace": list(f.trace)} for f in result.failures],
                   "problems": [p.as_json() for p in result.problems], "rules_without_case": list(result.without)}, sys.stdout, ensure_ascii=False)
        print()
    else:
        for problem in result.problems:
            print(problem.text())
        for failure in result.failures:
            print(failure.text())
        if result.without:
            print(f"{count(len(result.without), 'rule')} without a case that fires it: {', '.join(result.without[:10])}"
                  f"{', ...' if len(result.without) > 10 else ''}. Write one with: tickover knowledge new case RULE")
        failed = len({f.case for f in result.failures})
        print(f"{count(result.cases, 'case')}: {result.cases - failed} passed, {failed} failed, {count(len(result.problems), 'complaint')}.")
    return 0 if result.passed else 1
