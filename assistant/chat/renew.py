"""The knowledge files were saved anew while somebody talks: what was said is gone through again, and what changed is told."""

from __future__ import annotations

from typing import TYPE_CHECKING, Sequence

from assistant.chat import reopen
from assistant.problems import Problem, count
from assistant.session.events import Event

if TYPE_CHECKING:
    from assistant.dialogue.case import Case
    from assistant.dialogue.think import Mind, Thinking

_LEAST = 0.005  # a share that moved by less is not worth a word
_FRESH = "The knowledge files have changed; I go by the new ones."


def refused(problems: Sequence[Problem]) -> list[str]:
    """Changed files that cannot be used: that they are not, how many complaints there are, and the first, line by line."""
    more = "" if len(problems) == 1 else f" There are {len(problems)}; the first:"
    return [f"The knowledge files have changed, but cannot be used: I go on by the old ones.{more}",
            *(line.strip() for line in problems[0].text().splitlines())]


def taken_up(old: "Case", new: "Case") -> list[str]:
    """Go through the old conversation on the new case's files. Returns what there is to say, in a line or two; nothing is kept but the change of files."""
    if not old.events:
        return [_FRESH]
    missed = reopen.replay(new, old.events)
    before = old.thinking or old.think()
    after = new.think()
    new.add(Event("resumed", {"knowledge": new.mind.book.fingerprint}))
    lines = [f"{_FRESH[:-1]}, and went through what you said again. {_ranking(old.mind, new.mind, before, after)} {_next(old.mind, new.mind, before, after)}"]
    if missed:
        lines.append(f"{count(missed, 'entry', 'entries')} of this conversation could not be followed on them.".capitalize())
    return lines


def _ranking(old: "Mind", new: "Mind", before: "Thinking", after: "Thinking") -> str:
    """Who leads now, or how far the leader moved."""
    from assistant.dialogue import phrasing
    from assistant.explain.difference import difference

    made = difference(before.ranking, after.ranking, before.firings, after.firings)
    first, second = made.leaders
    if second is None:
        return "Nothing is left in the ranking."
    name, now = new.book.faults[second].plain, phrasing.chance(after.ranking.standings[0].probability)
    if first != second:
        return f"Ahead is now {name}, {now}" + (f", in place of {old.book.faults[first].plain}." if first else ".")
    moved = next(c for c in made.changes if c.fault == second)
    if abs(moved.moved) >= _LEAST:
        return f"Still ahead is {name}: {100 * (moved.before or 0.0):.1f} in 100 before, {100 * (moved.after or 0.0):.1f} now."
    if any(abs(c.moved) >= _LEAST for c in made.changes):
        return f"Still ahead is {name}; behind it the order has shifted."
    return "The ranking is the same."


def _next(old: "Mind", new: "Mind", before: "Thinking", after: "Thinking") -> str:
    was, now = _step(old, before), _step(new, after)
    return f"The next step stays: {now}." if was == now else f"The next step is now: {now}; it was: {was}."


def _step(mind: "Mind", thinking: "Thinking") -> str:
    best = thinking.plan.best
    if best is None or best.kind == "workshop":
        return "the workshop"
    plain = mind.book.plain(best.id)
    return f"the repair of {plain}" if best.kind == "repair" else plain
