"""How sure: the leader's chance, its spread when every past test may have slipped, and the test that is cheapest to doubt."""

from __future__ import annotations

from assistant.dialogue import phrasing
from assistant.dialogue.account_sums import share
from assistant.dialogue.account_words import capital, lower
from assistant.dialogue.cards import Line
from assistant.dialogue.state import Note, State
from assistant.dialogue.think import Mind, Thinking
from assistant.explain.doubt import cheapest_to_doubt
from assistant.explain.slips import Sureness, sureness
from assistant.problems import count
from assistant.records import Ranking
from assistant.rulebook.book import Rulebook

_TESTS = 4


def how_sure(mind: Mind, state: State, thinking: Thinking, whole: bool = False) -> list[Line]:
    """Plain words first, then each test with its slips, then the numbers. `whole` lists every test, and all that are worth a doubt."""
    book, ranking = mind.book, thinking.ranking
    if not ranking.standings:
        return [("why", "Not at all yet.")]
    top = ranking.standings[0]
    lines: list[Line] = [("why", f"{capital(book.faults[top.fault].plain)}: {phrasing.chance(top.probability)}. "
                          f"Something not in my files: {phrasing.chance(ranking.unlisted)}.")]
    found = sureness(book, thinking.facts, top.fault, lambda checks: without(mind, state, checks))
    if not found.spoilt:
        return [*lines, ("why", "No test counts so far: this rests on what you told me and on how common each fault is.")]
    lines.append(("why", _spread_words(found)))
    lines += _tests(book, found, whole)
    suspects = cheapest_to_doubt(book, thinking.facts, ranking, state.opened, lambda check: without(mind, state, frozenset({check})))
    if suspects:
        s = suspects[0]
        lines.append(("why", f"Cheapest to doubt: {lower(book.checks[s.check].plain)} ({phrasing.minutes(s.minutes)} to repeat). "
                      f"Without it, {book.faults[s.leader].plain} would stand at {share(s.probability)}."))
        if s.slip:
            lines.append(("because", f"Its commonest slip: {lower(s.slip)}"))
        lines += [("because", f"Then: {lower(book.checks[o.check].plain)} ({phrasing.minutes(o.minutes)}; without it, {book.faults[o.leader].plain} "
                   f"at {share(o.probability)}).") for o in suspects[1:] if whole]
    which = f"all {found.patterns} patterns of slips" if found.left_out < 0.0005 else (
        f"the {found.patterns} likeliest patterns of slips, with {share(found.left_out)} left out")
    lines.append(("sum", f"In numbers: {share(found.now)} if no test slipped, {share(found.mean)} over {which}; "
                  f"from {found.low * 100:.1f} to {share(found.high)} in nine of ten."))
    return lines


def _spread_words(found: Sureness) -> str:
    low, high, mean = (phrasing.chance(p) for p in (found.low, found.high, found.mean))
    head = "Tests slip. Allowing each test so far its known rate of slips"
    if low == high == mean:
        return f"{head}, it stays {mean}."
    if low == high:
        return f"{head}, it comes to {mean}."
    return f"{head}, it comes to {mean}, and lies between {low} and {high} nine times in ten."


def _tests(book: Rulebook, found: Sureness, whole: bool) -> list[Line]:
    rows = sorted(found.spoilt.items(), key=lambda row: (-row[1][1], row[0]))
    shown = rows if whole else rows[:_TESTS]
    lines: list[Line] = [("because", f"{capital(book.checks[check].plain)}: goes wrong about {max(round(before * 100), 1)} times in 100; "
                          f"as it fits with all the rest, about {_of_100(after)} here.") for check, (before, after) in shown]
    if len(rows) > len(shown):
        lines.append(("because", f"And {count(len(rows) - len(shown), 'more test')}, less in doubt."))
    return lines


def _of_100(probability: float) -> str:
    return str(round(probability * 100)) if probability >= 0.005 else "none"


def without(mind: Mind, state: State, checks: frozenset[str]) -> Ranking:
    """The ranking as if these checks had not been done. The state is not touched."""
    notes = tuple(Note(n.turn, n.item, False) if n.topic in checks else n for n in state.notes)
    return mind.weigh_up(state.with_(notes=notes))[4]
