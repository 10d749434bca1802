"""The technician's answers: why, why not, what if, how sure, what after that. Short by default, whole on request."""

from __future__ import annotations

from assistant.dialogue import phrasing
from assistant.dialogue.cards import Line
from assistant.dialogue.fold import fold
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind, Thinking
from assistant.explain.why import Account, Reason, account, contrast, roots, would_lift
from assistant.records import Option
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event

_SHORT_FOR, _SHORT_AGAINST = 3, 2


def _tried(mind: Mind, state: State, fault: str) -> float:
    import math

    if any(r.fault == fault and r.outcome == "no-change" for r in state.repairs):
        return 10 * math.log10(1 - mind.book.faults[fault].repair.cures / 100)
    return 0.0


def why(mind: Mind, state: State, thinking: Thinking, about: str | None, whole: bool = False) -> list[Line]:
    """Why a fault stands where it stands, or why a check is offered; without a name, both for the leader and the next step."""
    book = mind.book
    if about in book.checks or (about is None and thinking.plan.best is not None and not whole):
        option = next((o for o in (thinking.plan.best, *thinking.plan.rivals) if o is not None and (about is None or o.id == about)), None)
        lines = why_step(book, thinking, option) if option is not None else [("why", f"{book.plain(about or '')} is not on my list now.")]
        if about is not None:
            return lines
        top = thinking.ranking.standings[0].fault if thinking.ranking.standings else None
        return lines + (why(mind, state, thinking, top) if top else [])
    fault = about or (thinking.ranking.standings[0].fault if thinking.ranking.standings else None)
    if fault is None:
        return [("why", "There is nothing to explain yet: tell me what it does.")]
    made = account(book, thinking.ranking, thinking.firings, fault, _tried(mind, state, fault))
    if made is None:
        return [("why", f"{book.plain(fault)} does not exist on this machine, so it is not in the reckoning.")]
    return _account_lines(book, thinking, made, whole)


def _account_lines(book: Rulebook, thinking: Thinking, made: Account, whole: bool) -> list[Line]:
    lines: list[Line] = [("why", f"{_cap(book.faults[made.fault].plain)}: {phrasing.chance(made.probability)}.")]
    lines.append(("why", f"How common to begin with: {made.prior * 1000:.0f} in 1000 on such a machine ({made.prior_decibans:+.1f} dB)."))
    counted = [r for r in made.reasons if r.counts and abs(r.decibans) > 0.05]
    shown = counted if whole else [r for r in counted if r.decibans > 0][:_SHORT_FOR] + [r for r in counted if r.decibans < 0][:_SHORT_AGAINST]
    for reason in shown:
        lines += _reason_lines(book, thinking, reason)
    rest = sum(r.decibans for r in made.reasons if r.counts and r not in shown)
    if abs(rest) > 0.05:
        lines.append(("why", f"{rest:+.1f} dB  all the rest together (say \"explain more\" for the whole)."))
    if made.tried_decibans:
        lines.append(("why", f"{made.tried_decibans:+.1f} dB  the repair was tried and did not help."))
    covered = [r for r in made.reasons if not r.counts]
    if whole:
        for reason in covered:
            how = "replaced by" if reason.covered_how == "replaced" else "covered, same aspect as the stronger"
            lines.append(("why", f"({reason.decibans:+.1f} dB)  {reason.rule}: {how} {reason.covered_by}."))
    elif covered:
        lines.append(("why", f"Not counted twice: {len(covered)} more that say the same."))
    lines.append(("sum", f"Sum: {made.prior_decibans:+.1f} {_signed(sum(r.decibans for r in made.reasons if r.counts) + made.tried_decibans)} = "
                  f"{made.score:+.1f} dB; less {made.normal:+.1f} dB for all faults together = {made.score - made.normal:+.1f} dB, "
                  f"which is {made.probability * 100:.1f} in 100."))
    return lines


def _signed(value: float) -> str:
    return f"{'+' if value >= 0 else '-'} {abs(value):.1f}"


def _reason_lines(book: Rulebook, thinking: Thinking, reason: Reason) -> list[Line]:
    words = []
    for fact in reason.facts:
        for root in roots(thinking.known, thinking.firings, fact):
            text = f"you said \"{root.words}\"" if root.words and root.words != "given" else phrasing.known_words(book, root)
            if root.number is not None and root.topic in book.checks:
                text = f"you read {phrasing.known_words(book, root)}"
            if text not in words:
                words.append(text)
    no = "The opposite was said. " if reason.denial else ""
    sure = f" (believed {reason.confidence:.2f})" if reason.confidence < 0.9 else ""
    return [("why", f"{reason.decibans:+.1f} dB  {no}{reason.says}"),
            ("because", f"{'; '.join(words)}{sure}: {phrasing.number(reason.seen)} of 100 with this fault, {phrasing.number(reason.otherwise)} of 100 others. "
             f"[{reason.rule}, {reason.file}:{reason.line}, {_sources(book, reason.source)}]")]


def _sources(book: Rulebook, ids: tuple[str, ...]) -> str:
    return ", ".join(book.sources[s].plain if s in book.sources else s for s in ids) or "no source given"


def why_step(book: Rulebook, thinking: Thinking, option: Option) -> list[Line]:
    """Why this step and not the next best, in a sentence and in numbers."""
    if option.kind == "workshop":
        return [("why", "Everything left costs more than it is likely to save.")]
    name = _cap(book.plain(option.id)) if option.kind != "repair" else book.faults[option.id].repair.do
    lines: list[Line] = [("why", f"{name}: {phrasing.minutes(option.minutes)} now; about {phrasing.minutes(option.expected_minutes)} from here until it runs.")]
    if option.settles > 0.01:
        lines.append(("why", f"It settles things {phrasing.chance(option.settles)} times." if option.settles < 0.985 else "It settles things nearly always."))
    for outcome, probability, value in option.outcomes[:6]:
        if probability > 0.02:
            onward = dict(option.leads).get(outcome)
            then = f", then: {book.plain(onward)}" if onward else ""
            lines.append(("because", f"{_outcome_words(book, option, outcome)} ({phrasing.chance(probability)}): about {phrasing.minutes(value)} left{then}."))
    rival = next((o for o in thinking.plan.rivals if o.id != option.id), None)
    if rival is not None and rival.kind != "workshop":
        extra = rival.expected_minutes - option.expected_minutes
        if extra < 0.05:
            lines.append(("why", f"{_cap(book.plain(rival.id))} would do as well; the first by kind and name is taken."))
        else:
            lines.append(("why", f"Next best: {book.plain(rival.id)}, {extra:.1f} min more in all."))
    return lines


def _outcome_words(book: Rulebook, option: Option, outcome: str) -> str:
    if option.kind == "repair":
        return "If it helps" if outcome == "cured" else "If not"
    gloss = book.values(option.id).get(outcome, outcome)
    return f"{outcome.replace('-', ' ')} ({gloss})" if option.kind == "check" else gloss


def why_not(mind: Mind, state: State, thinking: Thinking, about: str | None) -> list[Line]:
    """What speaks against a fault compared with the leader, and which single answer would lift it most."""
    book, ranking = mind.book, thinking.ranking
    if about is None:
        return [("why", "Why not what? Name the part or the fault.")]
    if about in book.checks:
        option = next((o for o in (thinking.plan.best, *thinking.plan.rivals) if o is not None and o.id == about), None)
        held = next((b for b in thinking.blocks if b.what == about), None)
        if held:
            return [("why", f"It is held back: {held.says} {held.until or ''}".strip())]
        if any(f.topic == about for f in thinking.facts):
            return [("why", f"{_cap(book.plain(about))} is done: {phrasing.known_words(book, next(f for f in thinking.facts if f.topic == about))}.")]
        if not thinking.lacking.isdisjoint(book.checks[about].parts):
            return [("why", "This machine has not got the part.")]
        if option is None or thinking.plan.best is None:
            return [("why", f"{_cap(book.plain(about))} would tell us little now for its minutes.")]
        return [("why", f"{_cap(book.plain(about))}: {option.expected_minutes - thinking.plan.best.expected_minutes:.1f} min more in all than {book.plain(thinking.plan.best.id)}."),
                *why_step(book, thinking, option)[:3]]
    standing = ranking.of(about)
    if standing is None:
        return [("why", f"{_cap(book.plain(about))} does not exist on this machine.")]
    leader = ranking.standings[0]
    if leader.fault == about:
        return [("why", f"It is the one that leads: {phrasing.chance(leader.probability)}."), *why(mind, state, thinking, about)]
    prior, rows = contrast(book, ranking, leader.fault, about)
    lines: list[Line] = [("why", f"{_cap(book.faults[about].plain)}: {phrasing.chance(standing.probability)}. "
                          f"{_cap(book.faults[leader.fault].plain)} leads with {phrasing.chance(leader.probability)}.")]
    lines.append(("because", f"{prior:+.1f} dB  how common each is to begin with."))
    for row in rows[:5]:
        lines.append(("because", f"{row.difference:+.1f} dB  {row.says} [{row.rule}]"))
    total = prior + sum(r.difference for r in rows)
    lines.append(("sum", f"Together {total:+.1f} dB for {book.faults[leader.fault].plain}."))
    lifts = would_lift(book, ranking, about, thinking.known, state.passed)
    if lifts:
        topic, value, gain = lifts[0]
        enough = "that alone would put it in front" if gain > total else "that alone would not be enough"
        gloss = book.values(topic).get(value, value)
        lines.append(("why", f"What would lift it most: {book.plain(topic)} = {value.replace('-', ' ')} ({gloss}), {gain:+.1f} dB; {enough}."))
    return lines


def what_if(mind: Mind, state: State, thinking: Thinking, words: str) -> list[Line]:
    """A supposed answer or reading, as a difference. The conversation is not touched."""
    book = mind.book
    guess = fold(book, mind.reader, state.with_(pending=state.pending), Event("said", {"text": words}))
    new = [n for n in guess.notes if n.turn == guess.turn - 1]
    if not new:
        return [("why", "I could not read a fact or a number in that. Say it as you would report it: what if it read 11.5 V.")]
    then = mind.think(guess)
    lines: list[Line] = [("why", "Supposing: " + "; ".join(phrasing.item_words(book, n.item) for n in new))]
    before = {s.fault: s.probability for s in thinking.ranking.standings}
    changed = sorted(then.ranking.standings, key=lambda s: -max(s.probability, before.get(s.fault, 0.0)))[:5]
    for s in changed:
        lines.append(("because", f"{book.faults[s.fault].plain}: {before.get(s.fault, 0.0) * 100:.1f} -> {s.probability * 100:.1f} in 100"))
    old_rules, new_rules = {f.rule for f in thinking.firings}, {f.rule for f in then.firings}
    if new_rules - old_rules:
        lines.append(("because", "Rules gained: " + ", ".join(sorted(new_rules - old_rules)[:6])))
    if old_rules - new_rules:
        lines.append(("because", "Rules lost: " + ", ".join(sorted(old_rules - new_rules)[:6])))
    if then.plan.best is not None:
        lines.append(("why", f"Next would be: {book.plain(then.plan.best.id)}."))
    return lines


def how_sure(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """The leader's chance, its spread when each past test may have slipped, and the test that is cheapest to doubt."""
    from assistant.dialogue.replies import doubts
    from assistant.dialogue.state import Note

    book = mind.book
    if not thinking.ranking.standings:
        return [("why", "Not at all yet.")]
    top = thinking.ranking.standings[0]
    low = high = top.probability
    for check in sorted({f.topic for f in thinking.facts if f.topic in book.checks}):
        notes = tuple(n if n.topic != check else Note(n.turn, n.item, False) for n in state.notes)
        other = mind.weigh_up(state.with_(notes=notes))[4].of(top.fault)
        if other is not None:
            low, high = min(low, other.probability), max(high, other.probability)
    lines: list[Line] = [("why", f"{_cap(book.faults[top.fault].plain)}: {phrasing.chance(top.probability)}. Something not in my files: {phrasing.chance(thinking.ranking.unlisted)}.")]
    if high - low > 0.005:
        lines.append(("why", f"If any one test so far was spoilt, between {low * 100:.0f} and {high * 100:.0f} in 100."))
    suspects = doubts(mind, state, thinking)
    if suspects:
        s = suspects[0]
        lines.append(("why", f"Cheapest to doubt: {book.checks[s.check].plain} (goes wrong about {round(s.spoils)} times in 100; {phrasing.minutes(s.minutes)} to repeat)."))
    return lines


def after_that(book: Rulebook, thinking: Thinking) -> list[Line]:
    """The likely path as a small tree: each outcome of the next step and what would follow."""
    best = thinking.plan.best
    if best is None or best.kind == "workshop":
        return [("why", "Nothing after that: the workshop.")]
    lines: list[Line] = [("why", _cap(book.plain(best.id)))]
    leads = dict(best.leads)
    for outcome, probability, value in best.outcomes:
        if probability > 0.02:
            step = leads.get(outcome)
            then = book.plain(step) if step else ("done" if outcome == "cured" else "see what is left")
            lines.append(("because", f"{_outcome_words(book, best, outcome)} ({phrasing.chance(probability)}) -> {then}"))
    return lines


def _cap(text: str) -> str:
    return text[:1].upper() + text[1:]
