"""What if: a supposed answer or reading folded into a copy of the conversation, and what would be different. Nothing is kept."""

from __future__ import annotations

from assistant.dialogue import phrasing
from assistant.dialogue.account_sums import moved, share
from assistant.dialogue.account_words import capital, lower
from assistant.dialogue.cards import Line
from assistant.dialogue.fold import fold
from assistant.dialogue.state import Note, RepairDone, State
from assistant.dialogue.think import Mind, Thinking
from assistant.explain.difference import Change, Difference, difference, shift
from assistant.explain.why import tried_decibans
from assistant.problems import count
from assistant.records import Reading
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event

_CHANGES, _RULES, _LEAST, _LEAST_WHOLE = 5, 4, 0.005, 0.01
_ASIDE = ("tools_have", "tools_lack", "cannot_open", "passed")


def what_if(mind: Mind, state: State, thinking: Thinking, words: str, whole: bool = False) -> list[Line]:
    """A supposed answer, as a difference: the ranking before and after, rules gained and lost, the next step. `whole` names every rule,
    and every fault that moves by one in 100.
    """
    book = mind.book
    guess, supposed = suppose(mind, state, words)
    impossible = _impossible(mind, guess)
    if impossible:
        return [("why", impossible)]
    if not supposed:
        return [("why", "I could not read a fact or a number in that. Say it as you would report it, for instance: what if it read 11.5 V.")]
    then = mind.think(guess)
    made = difference(thinking.ranking, then.ranking, thinking.firings, then.firings)
    lines: list[Line] = [("why", "Supposing: " + "; ".join(supposed) + ".")]
    lines += _moves(book, made, None if whole else _CHANGES)
    lines += _rules(book, made, None if whole else _RULES)
    lines += _next(book, thinking, then)
    lines.append(("why", "Nothing of this is noted: it was only supposed."))
    number = _sum(book, state, guess, thinking, then, made, None if whole else _RULES)
    return lines + ([("sum", number)] if number else [])


def suppose(mind: Mind, state: State, words: str) -> tuple[State, list[str]]:
    """A copy of the state with the words folded in as if they were said, and what is different in it, in plain words.

    A supposed repair is taken as one that was done and did not help: if it had, there would be nothing to ask.
    """
    book = mind.book
    guess = fold(book, mind.reader, state, Event("said", {"text": words}))
    if guess.turn != state.turn + 1 or "fresh" in guess.remarks:
        return state, []
    supposed = [phrasing.item_words(book, n.item) for n in guess.notes[len(state.notes):]]
    dropped = [new for old, new in zip(state.notes, guess.notes) if old.active and not new.active]
    if len(guess.repairs) > len(state.repairs):
        last = guess.repairs[-1]
        guess = guess.with_(repairs=(*guess.repairs[:-1], RepairDone(last.fault, last.turn, "no-change", last.notes)), cured=None)
        supposed.append(f"{lower(book.faults[last.fault].repair.do).rstrip('.')}, and it does not help")
    elif dropped:
        supposed += [f"without {phrasing.item_words(book, n.item)}" for n in dropped]
    for name in _ASIDE:
        new = sorted(getattr(guess, name) - getattr(state, name))
        word = {"tools_have": "with", "tools_lack": "without", "cannot_open": "no way to", "passed": "leaving out"}[name]
        supposed += [f"{word} {book.plain(identity)}" for identity in new]
    return guess, supposed


def _impossible(mind: Mind, guess: State) -> str:
    """The sentence for a number that no meter would show there; empty for anything else."""
    from assistant.dialogue.state import judged_reading

    book = mind.book
    for note in guess.notes:
        item = note.item
        if note.turn == guess.turn - 1 and isinstance(item, Reading) and item.value is not None:
            scale = book.checks[item.check].reading
            if scale is not None and judged_reading(book, item.check, [Note(note.turn, item)], [])[0].impossible:
                return (f"{phrasing.number(item.value)} {item.unit or ''} cannot be right for: {book.plain(item.check)} "
                        f"({phrasing.number(scale.range[0])} to {phrasing.number(scale.range[1])} {scale.unit}).")
    return ""


def _moves(book: Rulebook, made: Difference, most: int | None) -> list[Line]:
    moving = [c for c in made.changes if abs(c.moved) >= _LEAST]
    shown = moving[:most] if most is not None else [c for c in moving if abs(c.moved) >= _LEAST_WHOLE] or moving
    if not shown:
        return [("why", "That would change next to nothing in the ranking.")]
    lines: list[Line] = []
    if made.leaders[0] != made.leaders[1] and made.leaders[1] is not None:
        lines.append(("why", f"{capital(book.faults[made.leaders[1]].plain)} would lead" + (f" instead of {book.faults[made.leaders[0]].plain}." if made.leaders[0] else ".")))
    elif made.leaders[1] is not None:
        lines.append(("why", f"{capital(book.faults[made.leaders[1]].plain)} would still lead."))
    lines += [("because", _move(book, c)) for c in shown]
    left = len(moving) - len(shown)
    return lines + ([("because", f"And {count(left, 'fault')} more, by less than one in 100 each.")] if most is None and left else [])


def _move(book: Rulebook, change: Change) -> str:
    name = capital(book.faults[change.fault].plain)
    if change.after is None:
        return f"{name}: off the list; this machine would not have the part."
    if change.before is None:
        return f"{name}: on the list, {phrasing.chance(change.after)}."
    before, after = phrasing.chance(change.before), phrasing.chance(change.after)
    numbers = f"({change.before * 100:.1f} to {share(change.after)})"
    return f"{name}: still {after} {numbers}." if before == after else f"{name}: from {before} to {after} {numbers}."


def _rules(book: Rulebook, made: Difference, most: int | None) -> list[Line]:
    lines: list[Line] = []
    for word, rules in (("gained", made.gained), ("lost", made.lost)):
        lines += [("because", f"Rule {word}: {book.rules[r].says} [{r}, {book.rules[r].file}:{book.rules[r].line}]") for r in rules[:most]]
        if most is not None and len(rules) > most:
            lines.append(("because", f"Rule{'s' if len(rules) > most + 1 else ''} {word} besides: {', '.join(rules[most:])}."))
    return lines


def _next(book: Rulebook, thinking: Thinking, then: Thinking) -> list[Line]:
    now, best = thinking.plan.best, then.plan.best
    if best is None:
        return []
    name = "the workshop" if best.kind == "workshop" else lower(book.plain(best.id))
    name = f"to repair it: {name}" if best.kind == "repair" else name
    if now is not None and (now.kind, now.id) == (best.kind, best.id):
        return [("why", f"The next step would stay: {name}.")]
    return [("why", f"The next step would be: {name}.")]


def _sum(book: Rulebook, state: State, guess: State, thinking: Thinking, then: Thinking, made: Difference, most: int | None) -> str:
    """Why the new leader stands where it would: prior, rules, the common term, in decibans that make the move."""
    fault = made.leaders[1]
    if fault is None:
        return ""
    failed = [{r.fault for r in s.repairs if r.outcome == "no-change"} for s in (state, guess)]
    tried = (tried_decibans(book, fault, failed[0]), tried_decibans(book, fault, failed[1]))
    made_move = shift(thinking.ranking, then.ranking, fault, {fault: tried})
    text = moved(made_move, most) if made_move is not None else ""
    return f"In numbers, {book.faults[fault].plain}: {text}" if text else ""
