"""Why not this one: what speaks against a fault compared with the leader, what is missing for it, and what would lift it."""

from __future__ import annotations

from assistant.dialogue import phrasing
from assistant.dialogue.account_sums import decibans, share, tally
from assistant.dialogue.account_why import failed_repairs, why, why_step
from assistant.dialogue.account_words import capital, lower
from assistant.dialogue.cards import Line
from assistant.dialogue.state import Note, State
from assistant.dialogue.think import Mind, Thinking
from assistant.explain.contrast import Contrast, contrast, missing
from assistant.explain.lift import Lift, lifts
from assistant.explain.why import SILENT, tried_decibans
from assistant.records import Ranking, Reading, Statement
from assistant.rulebook.book import Rulebook

_AGAINST, _FOR, _MISSING, _LIFTS = 3, 2, 2, 6


def why_not(mind: Mind, state: State, thinking: Thinking, about: str | None, whole: bool = False) -> list[Line]:
    """What speaks against a fault or a step. For a fault: the contrast with the leader, what is missing, the lifting answer."""
    book, ranking = mind.book, thinking.ranking
    if about is None:
        return [("why", "Why not what? Name the part or the fault.")]
    if about in book.checks:
        return _why_not_step(book, thinking, about)
    standing = ranking.of(about)
    if standing is None:
        return [("why", f"{capital(book.plain(about))} does not exist on this machine.")]
    leader = ranking.standings[0]
    if leader.fault == about:
        return [("why", f"It is the one that leads, with {phrasing.chance(leader.probability)}."), *why(mind, state, thinking, about, whole)]
    name, other = book.faults[about].plain, book.faults[leader.fault].plain
    lines: list[Line] = [("why", f"{capital(name)}: {phrasing.chance(standing.probability)}. {capital(other)} leads with {phrasing.chance(leader.probability)}.")]
    lines += _contrast_lines(mind, state, thinking, about, leader.fault, whole)
    lines += _missing_lines(book, thinking, about, whole)
    lines += _lift_lines(mind, state, thinking, about, leader.fault, whole)
    return lines


def _contrast_lines(mind: Mind, state: State, thinking: Thinking, fault: str, leader: str, whole: bool) -> list[Line]:
    """What is told, as far as it sets the two apart, and the sum, which is the ratio of the two chances."""
    book = mind.book
    prior, rows = contrast(book, thinking.ranking, thinking.firings, leader, fault)
    against = [r for r in rows if r.difference > SILENT]
    speaks_for = [r for r in rows if r.difference < -SILENT]
    if not whole:
        against, speaks_for = against[:_AGAINST], speaks_for[:_FOR]
    lines: list[Line] = []
    if abs(prior) > SILENT:
        commoner = "the commoner" if prior < 0 else "the rarer"
        lines.append(("because", f"{'For' if prior < 0 else 'Against'} it: it is {commoner} of the two to begin with ({decibans(-prior)})."))
    lines += [_contrast_line("Against", book, r) for r in against] + [_contrast_line("For", book, r) for r in speaks_for]
    if not rows:
        lines.append(("why", "Nothing told so far sets the two apart; only how common they are does."))
    shown = [-r.difference for r in (*against, *speaks_for)]
    rest = -sum(r.difference for r in rows) - sum(shown)
    failed = failed_repairs(state)
    tried = tried_decibans(book, fault, failed) - tried_decibans(book, leader, failed)
    one, two = thinking.ranking.of(fault), thinking.ranking.of(leader)
    assert one is not None and two is not None
    lines.append(("sum", f"In numbers: {tally(-prior, shown, rest, tried)} against {book.faults[leader].plain}: {share(one.probability)} to {share(two.probability)}."
                  + ("" if whole else " Say \"explain more\" for the whole.")))
    return lines


def _contrast_line(side: str, book: Rulebook, row: Contrast) -> Line:
    return ("because", f"{side} it: {row.says} ({phrasing.number(row.second)} of 100 with this fault, {phrasing.number(row.first)} of 100 with the one that leads; "
            f"{decibans(-row.difference)}) [{row.rule}, {book.rules[row.rule].file}:{book.rules[row.rule].line}]")


def _missing_lines(book: Rulebook, thinking: Thinking, fault: str, whole: bool) -> list[Line]:
    rows = missing(book, fault, thinking.known, thinking.lacking)
    if not rows:
        return []
    lines: list[Line] = [("why", "Missing for it:")]
    for row in rows[: None if whole else _MISSING]:
        test = "its direct test, " if row.direct else ""
        lines.append(("because", f"{capital(test + lower(book.plain(row.topic)))}: {answer_words(book, row.topic, row.value)} "
                      f"({phrasing.number(row.seen)} of 100 with this fault, {phrasing.number(row.otherwise)} of 100 others)."))
    return lines


def _lift_lines(mind: Mind, state: State, thinking: Thinking, fault: str, leader: str, whole: bool) -> list[Line]:
    """The single answer that would put it in front, weighed anew the whole way."""
    book = mind.book
    found = lifts(book, thinking.ranking, thinking.firings, fault, leader, thinking.known, thinking.lacking, state.passed,
                  lambda topic, value: supposing(mind, state, topic, value), every=whole)
    if not found:
        return [("why", "No single answer that is still open would bring it nearer.")]
    best = found[0]
    if not best.over:
        return [("why", f"No single answer that is still open would put it above {book.faults[leader].plain}. The nearest is {_lift_words(book, best)}.")]
    lines: list[Line] = [("why", f"What would put it above {book.faults[leader].plain}: {_lift_words(book, best)}."
                          + ("" if best.leader == fault else f" Then {book.faults[best.leader].plain} would lead."))]
    quick = min(found, key=lambda x: (x.minutes, -x.fault, x.topic, x.value))
    if whole:
        lines += [("because", f"So would {_lift_words(book, lift)}.") for lift in found[1:_LIFTS]]
        if len(found) > _LIFTS:
            lines.append(("because", f"And {len(found) - _LIFTS} more."))
    elif quick.minutes < best.minutes:
        lines.append(("because", f"Quicker to find out: {_lift_words(book, quick)}."))
    return lines


def _lift_words(book: Rulebook, lift: Lift) -> str:
    return (f"{lower(book.plain(lift.topic))}: {answer_words(book, lift.topic, lift.value)} "
            f"(then {share(lift.fault)} to {share(lift.rival)}; {phrasing.minutes(lift.minutes)})")


def answer_words(book: Rulebook, topic: str, value: str) -> str:
    """An answer or an outcome in plain words."""
    gloss = book.values(topic).get(value, "").rstrip(".")
    word = value.replace("-", " ")
    return f"{word}, {gloss}" if gloss and topic in book.checks and gloss != word else gloss or word


def supposing(mind: Mind, state: State, topic: str, value: str) -> Ranking:
    """The ranking if this were answered now. The state is not touched."""
    item = Reading(topic, outcome=value) if topic in mind.book.checks else Statement(topic, value)
    return mind.weigh_up(state.with_(notes=(*state.notes, Note(state.turn, item))))[4]


def _why_not_step(book: Rulebook, thinking: Thinking, check_id: str) -> list[Line]:
    name = capital(book.plain(check_id))
    option = next((o for o in (thinking.plan.best, *thinking.plan.rivals) if o is not None and o.id == check_id), None)
    held = next((b for b in thinking.blocks if b.what == check_id), None)
    done = next((f for f in thinking.facts if f.topic == check_id), None)
    if held:
        return [("why", f"It is held back: {held.says} {held.until or ''}".strip())]
    if done is not None:
        return [("why", f"{name} is done: {phrasing.known_words(book, done)}.")]
    if not thinking.lacking.isdisjoint(book.checks[check_id].parts):
        return [("why", "This machine has not got the part.")]
    if check_id in thinking.state.passed:
        return [("why", f"{name} was passed over. Say that you want to do it, and it is back.")]
    best = thinking.plan.best
    if option is None or best is None:
        return [("why", f"{name} would tell us little now for its minutes.")]
    if option is best:
        return [("why", "It is the very next step."), *why_step(book, thinking, option)[:3]]
    return [("why", f"{name}: {option.expected_minutes - best.expected_minutes:.1f} min more in all than {book.plain(best.id)}."),
            *why_step(book, thinking, option)[:3]]
