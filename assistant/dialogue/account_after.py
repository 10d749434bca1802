"""What would come after the next step: its outcomes as a small tree, the likeliest branches thought through one step further."""

from __future__ import annotations

from assistant.dialogue import phrasing
from assistant.dialogue.account_why import outcome_words
from assistant.dialogue.account_words import capital, lower
from assistant.dialogue.cards import Line
from assistant.dialogue.state import Note, State
from assistant.dialogue.think import Mind, Thinking
from assistant.records import Option, Reading, Statement
from assistant.rulebook.book import Rulebook

_RARE = 0.02  # rarer outcomes are left out
_THOUGHT = 2  # branches that are thought through; the others are named by the look ahead


def after_that(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """Each likely outcome of the next step and what would follow; from the likeliest, one step more."""
    book, best = mind.book, thinking.plan.best
    if best is None or best.kind == "workshop":
        return [("why", "Nothing after that: the workshop.")]
    if not any(chance > _RARE for _, chance, _ in best.outcomes):
        return [("why", f"{capital(book.plain(best.id))}. What comes then depends on the answer; I weigh anew what is left.")]
    lines: list[Line] = [("why", f"{capital(book.plain(best.id))}, and then:")]
    leads = dict(best.leads)
    likely = [(outcome, chance) for outcome, chance, _ in best.outcomes if chance > _RARE]
    through = {o for o, _ in sorted(likely, key=lambda row: -row[1])[:_THOUGHT]} if best.kind in ("check", "question") else set()
    for outcome, chance in likely:
        if outcome in through:
            then = _branch(book, supposed(mind, state, best, outcome).plan.best)
        else:
            then = _name(book, leads[outcome]) if outcome in leads else "done" if outcome == "cured" else ""
        if then:
            lines.append(("because", f"{capital(outcome_words(book, best, outcome))} ({phrasing.chance(chance)}): {then}."))
    if len(lines) < len(likely) + 1:
        lines.append(("because", "For any other answer I weigh anew what is left." if len(lines) > 1 else "What comes then depends on the answer; I weigh anew what is left."))
    return lines


def supposed(mind: Mind, state: State, option: Option, outcome: str) -> Thinking:
    """The whole thinking if the step gave this. The state is not touched."""
    item = Reading(option.id, outcome=outcome) if option.kind == "check" else Statement(option.id, outcome)
    return mind.think(state.with_(notes=(*state.notes, Note(state.turn, item)), opened=state.opened | set(option.opens)))


def _branch(book: Rulebook, step: Option | None) -> str:
    """A step, and what its likeliest outcome leads to."""
    if step is None:
        return ""
    text = _name(book, step.id)
    leads = dict(step.leads)
    known = [(chance, outcome) for outcome, chance, _ in step.outcomes if outcome in leads and outcome != "no-change"]
    if step.kind not in ("check", "question") or not known:
        return text
    chance, outcome = max(known, key=lambda row: (row[0], row[1]))
    return f"{text}; then, if {lower(outcome_words(book, step, outcome))} ({phrasing.chance(chance)}), {_name(book, leads[outcome])}"


def _name(book: Rulebook, step: str) -> str:
    if step == "workshop":
        return "the workshop"
    return f"to repair it: {lower(book.plain(step))}" if step in book.faults else lower(book.plain(step))


__all__ = ["after_that", "supposed"]
