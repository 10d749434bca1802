"""Cases for rules, made from their own conditions and tried before they are written. One case may prove several rules."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Iterable

from assistant.dialogue.state import facts as facts_of
from assistant.dialogue.think import Mind
from assistant.trainer.examples import Facts, fitting, near_misses
from assistant.trainer.layout import flow, wrapped
from assistant.trainer.told import state_of
from assistant.trainer.view import View


@dataclass
class Draft:
    """A case in the making."""

    facts: Facts
    fires: list[str] = field(default_factory=list)
    silent: list[str] = field(default_factory=list)
    raises: list[str] = field(default_factory=list)


def drafts(view: View, mind: Mind, rules: Iterable[str]) -> tuple[list[Draft], list[str]]:
    """(cases that fire each rule and cases that leave it silent, rules for which no facts could be found that fire it)."""
    made: dict[tuple, Draft] = {}
    fired_by: dict[tuple, set[str]] = {}
    failed: list[str] = []

    def fired(facts: Facts) -> set[str]:
        key = _key(facts)
        if key not in fired_by:
            fired_by[key] = {f.rule for f in mind.engine.run(facts_of(view.book, state_of(view.book, *facts)))[1] if not f.denial}
        return fired_by[key]

    wanted = list(rules)
    for rule in wanted:
        facts = fitting(view, rule)
        if facts is None or rule not in fired(facts):
            failed.append(rule)
            continue
        made.setdefault(_key(facts), Draft(facts)).fires.append(rule)
    for rule in wanted:
        for facts in near_misses(view, rule):
            if rule not in fired(facts):
                made.setdefault(_key(facts), Draft(facts)).silent.append(rule)
    return list(made.values()), failed


def _key(facts: Facts) -> tuple:
    return (frozenset(facts[0]), frozenset(facts[1]))


def case_lines(draft: Draft) -> list[str]:
    """The case as lines of a file of cases."""
    told: dict[str, list] = {}
    for topic, value in draft.facts[0]:
        told.setdefault(topic, []).append(value)
    rows = {"facts": {t: v[0] if len(v) == 1 else v for t, v in told.items()}, "denied": dict(draft.facts[1]), "fires": draft.fires,
            "stays silent": draft.silent, "raises": draft.raises}
    lines: list[str] = []
    for key, value in rows.items():
        if value:
            lines += wrapped(f"{'  - ' if not lines else '    '}{key}: ", flow(value), 6)
    return lines
