"""Why a fault stands where it stands, and why a step is offered. Short first, whole on request."""

from __future__ import annotations

from assistant.dialogue import phrasing
from assistant.dialogue.account_sums import decibans, per_1000, whole_sum
from assistant.dialogue.account_words import capital, lower, short_reason, sources, whole_reason
from assistant.dialogue.cards import Line
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind, Thinking
from assistant.explain.contrast import contrast
from assistant.explain.why import SILENT, Account, account, tried_decibans
from assistant.records import Option
from assistant.rulebook.book import Rulebook

_UNLISTED_LEAST = 0.1  # from here the unlisted is worth a word


def failed_repairs(state: State) -> set[str]:
    """Faults whose repair was done and did not help."""
    return {r.fault for r in state.repairs if r.outcome == "no-change"}


def account_of(mind: Mind, state: State, thinking: Thinking, fault: str) -> Account | None:
    """The account of one fault as the conversation stands."""
    return account(mind.book, thinking.ranking, thinking.firings, fault, thinking.known,
                   tried_decibans(mind.book, fault, failed_repairs(state)))


def why(mind: Mind, state: State, thinking: Thinking, about: str | None, whole: bool = False) -> list[Line]:
    """Why a fault stands where it stands, or why a check is offered; without a name, the next step and then the leader."""
    book = mind.book
    top = thinking.ranking.standings[0].fault if thinking.ranking.standings else None
    if about in book.checks:
        option = next((o for o in (thinking.plan.best, *thinking.plan.rivals) if o is not None and o.id == about), None)
        if option is None:
            from assistant.dialogue.account_why_not import why_not

            return why_not(mind, state, thinking, about)
        return why_step(book, thinking, option)
    if about is None and not whole and thinking.plan.best is not None:
        return why_step(book, thinking, thinking.plan.best) + (why(mind, state, thinking, top) if top else [])
    fault = about or top
    if fault is None:
        return [("why", "There is nothing to explain yet: tell me what it does.")]
    made = account_of(mind, state, thinking, fault)
    if made is None:
        return [("why", f"{capital(book.plain(fault))} does not exist on this machine, so it is not in the reckoning.")]
    return _whole(book, made) if whole else _short(mind, state, thinking, made)


def _short(mind: Mind, state: State, thinking: Thinking, made: Account) -> list[Line]:
    book = mind.book
    speaks_for, against, rest = made.short()
    lines: list[Line] = [_head(book, made), ("why", f"To begin with, it is behind about {per_1000(made.prior)} of 1000 no-starts of such a machine.")]
    lines += [short_reason(book, r) for r in (*speaks_for, *against)]
    if not speaks_for and not against:
        lines.append(("why", "Nothing told so far speaks for it or against it."))
    if made.tried_decibans:
        lines.append(("because", f"Against: its repair was done and did not help ({decibans(made.tried_decibans)})."))
    lines += _what_else(mind, state, thinking, made)
    lines.append(("sum", "In numbers: " + whole_sum(made, [r.decibans for r in (*speaks_for, *against)], rest) + " Say \"explain more\" for the whole."))
    return lines


def _what_else(mind: Mind, state: State, thinking: Thinking, made: Account) -> list[Line]:
    """What is open: the next step, the runner-up with the one sign that separates them, the unlisted."""
    book, best = mind.book, thinking.plan.best
    lines: list[Line] = []
    if best is not None and best.kind in ("question", "check"):
        lines.append(("why", f"Not known yet, and worth most now: {lower(book.plain(best.id))}."))
    elif best is not None and best.kind == "workshop":
        lines.append(("why", "Nothing left to ask or check would save more than it costs."))
    rivals = [s for s in thinking.ranking.standings if s.fault != made.fault]
    if rivals and thinking.ranking.standings[0].fault == made.fault:
        _, rows = contrast(book, thinking.ranking, thinking.firings, made.fault, rivals[0].fault)
        apart = "; nothing told so far sets the two apart."
        if rows and abs(rows[0].difference) > SILENT:
            apart = f"; what sets the two apart most speaks for {'this one' if rows[0].difference > 0 else 'that one'}: {lower(rows[0].says)}"
        lines.append(("why", f"Next in line: {book.plain(rivals[0].fault)}, {phrasing.chance(rivals[0].probability)}{apart}"))
    if thinking.ranking.unlisted > _UNLISTED_LEAST:
        lines.append(("why", f"Something that is not in my files: {phrasing.chance(thinking.ranking.unlisted)}."))
    return lines


def _whole(book: Rulebook, made: Account) -> list[Line]:
    fault = book.faults[made.fault]
    lines: list[Line] = [_head(book, made)]
    lines.append(("because", f"To begin with, {decibans(made.prior_decibans)}: behind {per_1000(made.prior)} of 1000 no-starts of such a machine. "
                  f"[{fault.id}, {fault.file}:{fault.line}; {sources(book, tuple(fault.source))}]"))
    for reason in made.reasons:
        how = f"{reason.covered_by} says it more exactly" if reason.covered_how == "replaced" else f"the stronger {reason.covered_by} speaks of the same aspect"
        lines += whole_reason(book, reason, how)
    if made.tried_decibans:
        lines.append(("because", f"{decibans(made.tried_decibans)}: its repair was done and did not help; it cures {phrasing.number(fault.repair.cures)} of 100 such machines. "
                      f"[{fault.file}:{fault.line}]"))
    lines.append(("sum", "In numbers: " + whole_sum(made, [r.decibans for r in made.counted], 0.0)))
    return lines


def _head(book: Rulebook, made: Account) -> Line:
    word = f", {made.standing.replace('-', ' ')}" if made.standing != "suspected" else ""
    return ("why", f"{capital(book.faults[made.fault].plain)}: {phrasing.chance(made.probability)}{word}.")


def why_step(book: Rulebook, thinking: Thinking, option: Option) -> list[Line]:
    """Why this step and not the next best, in a sentence and in numbers."""
    if option.kind == "workshop":
        return [("why", "Everything left costs more than it is likely to save.")]
    name = capital(book.plain(option.id)) if option.kind != "repair" else book.faults[option.id].repair.do.rstrip(".")
    lines: list[Line] = [("why", f"{name}: {phrasing.minutes(option.minutes)} now; about {phrasing.minutes(option.expected_minutes)} from here until it runs.")]
    if option.settles > 0.01:
        lines.append(("why", f"It settles things {phrasing.chance(option.settles)} times." if option.settles < 0.985 else "It settles things nearly always."))
    for outcome, probability, value in option.outcomes[:6]:
        if probability > 0.02:
            onward = dict(option.leads).get(outcome)
            then = f", then: {book.plain(onward)}" if onward else ""
            lines.append(("because", f"{capital(outcome_words(book, option, outcome))} ({phrasing.chance(probability)}): about {phrasing.minutes(value)} left{then}."))
    rival = next((o for o in thinking.plan.rivals if o.id != option.id), None)
    if rival is not None and rival.kind != "workshop":
        extra = rival.expected_minutes - option.expected_minutes
        if extra < 0.05:
            lines.append(("why", f"{capital(book.plain(rival.id))} would do as well; the first by kind and name is taken."))
        else:
            lines.append(("why", f"Next best: {book.plain(rival.id)}, {extra:.1f} min more in all."))
    return lines


def outcome_words(book: Rulebook, option: Option, outcome: str) -> str:
    """An outcome of a step as a person would say it."""
    if option.kind == "repair":
        return "if it helps" if outcome == "cured" else "if not"
    gloss = book.values(option.id).get(outcome, outcome)
    return f"{outcome.replace('-', ' ')} ({gloss})" if option.kind == "check" else gloss
