"""Replies to what is said to the assistant itself: why, what is, how sure, help, and the way to the workshop."""

from __future__ import annotations

import re

from assistant.dialogue import cards, phrasing
from assistant.dialogue.cards import Line
from assistant.dialogue.state import Note, State
from assistant.dialogue.think import Mind, Thinking
from assistant.explain.doubt import Suspect, cheapest_to_doubt
from assistant.language import stored_codes
from assistant.language.answers import Pending
from assistant.planning.costs import check_minutes, to_open
from assistant.records import Intent, Option, Ranking
from assistant.rulebook.book import Rulebook
from assistant.trade.codes import codes_in

_NUMBER_ALONE = re.compile(r"-?\d{1,4}[.,]\d{1,3}")  # with a point: a whole number is the number of a choice
HELP = (
    "Tell me in your own words what it does, what it will not do, and what was last touched. One thing at a time is fine.",
    "Answer with words, a number with its unit (12.4 V, 110 psi), or the number of a choice.",
    "You can also say: why / why not the coil / how sure are you / what if it read 11.5 V / what would you do after that",
    "what's a stator? / how do I use a meter? / I haven't got a meter / can't get the tank off / skip / already did that",
    "take that back / what have you got so far / I want to check the fuse first / done / still the same / it runs",
    "job sheet / start over / quit",
)


def remarks(book: Rulebook, state: State) -> list[Line]:
    """What the last message changed in the conversation itself."""
    said = {
        "taken-back": "Taken back: what you said last no longer counts.",
        "nothing-to-take-back": "There is nothing to take back yet.",
        "dated-back": "Noted as how it was before; it no longer counts for now.",
        "fresh": "A fresh start: nothing is known now.",
        "not-helped": "So that was not it, or not all of it. That tells us something; on to the next.",
        "cured": "Good.",
    }
    lines = [("note", said[r]) for r in state.remarks if r in said]
    if any(s.via == stored_codes.VIA for s in state.heard.statements):
        lines += _codes(state.text)
    return lines


def _codes(text: str) -> list[Line]:
    """What the stored codes in some words stand for."""
    return [("note", known.text()) for known in codes_in(text)]


def unanswered(book: Rulebook, state: State) -> list[Line]:
    """The open question once more, in short, when it got a message but no answer that could be read; empty otherwise."""
    pending, heard = state.pending, state.heard
    if pending is None or pending.kind not in ("question", "check", "repair") or not state.text.strip():
        return []
    if any(pending.id == getattr(s, "fact", None) for s in heard.statements) or any(r.check == pending.id for r in heard.readings):
        return []
    kinds = {i.kind for i in heard.intents}
    if heard.statements or heard.readings or heard.doubts or state.remarks or kinds - {"yes", "no", "done", "cured", "still-bad"}:
        return []
    if pending.kind == "repair" and kinds - {"no"}:
        return []
    tried = pending.kind == "check" and bool(kinds) and kinds <= {"yes", "done"}  # it was looked at, and not said what was seen
    if tried:
        opening: list[Line] = [("ask", "Good. Now what did it show?")]
    else:
        bare = _NUMBER_ALONE.fullmatch(state.text.strip())
        if pending.kind == "repair":
            note = "I could not read that. Say \"done\" when it is done and \"it runs\" or \"still the same\" after it, tell me what you see, or say \"skip\"."
        elif bare:
            note = f"{bare.group(0)} of what? Say it with its name and unit, such as \"battery 12.7 V\"."
        else:
            note = "I could not read an answer in that. Give the number of a choice, say it another way, or say \"skip\"."
        opening = [("note", note), *filter(None, (reminder(book, state),))]
    return [*opening, *[("choice", p) for p in _choices(book, pending)]]


def _choices(book: Rulebook, pending: Pending) -> list[str]:
    """The choices of a question or check as they were shown with it."""
    if pending.kind == "check":
        return [f"{o.replace('-', ' ')}: {p}" for o, p in book.checks[pending.id].outcomes.items()]
    return list(pending.plain)


def to_intents(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """Replies to every intent of the last message that asks for one, in order."""
    lines: list[Line] = []
    for intent in state.heard.intents:
        lines += _reply(mind, state, thinking, intent)
    return lines


def leaves_open(state: State) -> bool:
    """Whether the question that was open before still stands after this message."""
    moved = {"skip", "dont-know", "no-tool", "cannot-do", "already-did", "next", "want", "done", "have-tool", "stop-here"}
    return state.pending is not None and not moved & {i.kind for i in state.heard.intents}


def reminder(book: Rulebook, state: State) -> Line | None:
    """The open question in one line, to return to."""
    pending = state.pending
    if pending is None or pending.kind == "nothing":
        return None
    if pending.kind == "question":
        return ("ask", f"Back to the question: {book.facts[pending.id].ask or book.facts[pending.id].plain}")
    if pending.kind == "check":
        return ("ask", f"Back to the check: {book.checks[pending.id].plain}. What did it show?")
    if pending.kind == "repair":
        return ("ask", f"Still open: {book.faults[pending.id].repair.do}")
    if pending.kind == "proof":
        return ("ask", f"Still to prove: {book.faults[pending.id].proof.do}")
    return ("ask", "Still open: which of the two did you mean?")


def _reply(mind: Mind, state: State, thinking: Thinking, intent: Intent) -> list[Line]:
    from assistant.dialogue import accounts  # late: most turns ask for no account

    book = mind.book
    if intent.kind == "why":
        return accounts.why(mind, state, thinking, intent.about)
    if intent.kind == "why-not":
        return accounts.why_not(mind, state, thinking, intent.about)
    if intent.kind == "what-if":
        return accounts.what_if(mind, state, thinking, intent.about or "")
    if intent.kind == "sure":
        return accounts.how_sure(mind, state, thinking)
    if intent.kind == "after-that":
        return accounts.after_that(mind, state, thinking)
    if intent.kind == "explain-more":
        return accounts.more(mind, state, thinking)
    if intent.kind == "sum":
        from assistant.dialogue import sums  # late

        return sums.reply(book, thinking, intent.about or "", intent.words)
    if intent.kind in ("what-is", "how-to"):
        if intent.about is None and len(intent.words.split()) <= 1 and state.pending is not None:
            return _again(mind, state, thinking)  # a mere 'what?' asks for the same in other words
        return _codes(intent.words) or _term(book, state, intent)
    if intent.kind == "summary":
        return summary(book, state, thinking)
    if intent.kind == "help":
        return [("note", line) for line in HELP]
    if intent.kind == "repeat" and state.pending is not None:
        return _again(mind, state, thinking)
    if intent.kind in ("no-tool", "have-tool") and intent.about in book.tools:
        word = "without" if intent.kind == "no-tool" else "with"
        return [("note", f"Noted: {word} {book.tools[intent.about].plain} from here on.")]
    if intent.kind == "cannot-do":
        where = book.access[intent.about].plain if intent.about in book.access else None
        return [("note", f"Noted: no {where} here." if where else "Noted: we leave that out.")]
    if intent.kind in ("skip", "already-did"):
        return [("note", "Right, we leave that.")]
    if intent.kind == "dont-know" and state.pending is not None:
        return [("note", "No matter. We go another way.")]
    if intent.kind == "thanks":
        return [("note", "You are welcome.")]
    if intent.kind == "hello":
        told = state.heard.statements or state.heard.readings
        return [("note", "Hello. Tell me what it does and what was last touched.")] if state.turn <= 1 and not told else []
    return []


def _term(book: Rulebook, state: State, intent: Intent) -> list[Line]:
    about = intent.about
    if about is None and state.pending is not None and state.pending.kind == "check":
        about = state.pending.id
    if about in book.glossary:
        return [("note", book.glossary[about].plain)]
    if about in book.checks:
        check = book.checks[about]
        return [("note", f"{check.plain[:1].upper()}{check.plain[1:]}:"), *cards.cautions(book, check.hazards), *[("step", s) for s in check.steps]]
    if about in book.faults:
        return [("note", book.faults[about].what)]
    if about in book.facts:
        return [("note", f"{book.facts[about].plain}. {book.facts[about].how or ''}".strip())]
    if about in book.tools:
        return [("note", f"{book.tools[about].plain}.")]
    return [("note", "I have no entry for that word. Say it another way, or describe the part.")]


def _again(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    pending = state.pending
    assert pending is not None
    if pending.kind == "question" and pending.id in mind.book.facts:
        fact = mind.book.facts[pending.id]
        text = fact.plain[:1].upper() + fact.plain[1:]
        return [("note", f"In other words: {text}. {fact.how or ''}".strip()), *[("choice", p) for p in _choices(mind.book, pending)]]
    if pending.kind == "check":
        check = mind.book.checks[pending.id]
        return [("note", f"Once more: {check.plain}."), *cards.cautions(mind.book, check.hazards), *[("step", s) for s in check.steps],
                *[("choice", p) for p in _choices(mind.book, pending)]]
    return []


def summary(book: Rulebook, state: State, thinking: Thinking) -> list[Line]:
    """All that counts now, by turn, and what was taken back."""
    lines: list[Line] = [("note", "What I have so far:")]
    shown = [(f.turn, phrasing.known_words(book, f), f.words) for f in thinking.facts]
    for turn, text, words in sorted(shown):
        lines.append(("step", f"{text}" + (f"  (\"{words}\")" if words and words != "given" else "")))
    old = [n for n in state.notes if not n.active]
    if old:
        lines.append(("note", "No longer counted: " + "; ".join(phrasing.item_words(book, n.item) for n in old) + "."))
    if state.tools_lack:
        lines.append(("note", "Without: " + ", ".join(book.tools[t].plain for t in sorted(state.tools_lack) if t in book.tools) + "."))
    return lines


def option_for(mind: Mind, state: State, thinking: Thinking, identity: str) -> Option | None:
    """An option for a check or repair the person wants to do, costed, though the planner would not offer it now."""
    book = mind.book
    scene = mind.scene(state, thinking.known, thinking.lacking, thinking.ranking, thinking.blocks)
    if identity in book.checks:
        check = book.checks[identity]
        if not thinking.lacking.isdisjoint(check.parts):
            return None
        cost = check_minutes(book, mind.planner.prices, check, scene)
        if cost is None:
            return None
        minutes, opens = to_open(book, check.access, state.opened)
        return Option("check", identity, cost[0] + minutes, cost[0] + minutes, opens=opens)
    if identity in book.faults and thinking.lacking.isdisjoint(book.faults[identity].parts):
        repair = book.faults[identity].repair
        minutes, opens = to_open(book, repair.access, state.opened)
        return Option("repair", identity, repair.minutes + minutes, repair.minutes + minutes, opens=opens)
    return None


def wanted(book: Rulebook, state: State, thinking: Thinking) -> Line | None:
    """What I think of the step the person asked for: its cost against mine, or why it is held back."""
    if not state.wants:
        return None
    held = {b.what: b for b in thinking.blocks}
    if state.wants in held:
        block = held[state.wants]
        return ("block", f"Not that now: {block.says}" + (f" {block.until}" if block.until else ""))
    plan = thinking.plan
    mine = next((o for o in (plan.best, *plan.rivals) if o is not None and o.id == state.wants), None)
    if plan.best is not None and plan.best.id == state.wants:
        return ("note", "That is what I would do too.")
    if mine is not None and plan.best is not None:
        extra, own = mine.expected_minutes - plan.best.expected_minutes, "a workshop" if plan.best.kind == "workshop" else book.plain(plan.best.id)
        if extra < 1:
            return ("note", f"Fine. By my count that way costs about as much as my own next step ({own}).")
        return ("note", f"Fine. By my count that way costs {phrasing.minutes(extra)} more than my own next step ({own}).")
    return ("note", "Fine, though by itself it will not tell us much." if state.wants in book.checks else "Fine.")


def doubts(mind: Mind, state: State, thinking: Thinking) -> list[Suspect]:
    """Past tests in the order in which they are worth doubting."""

    def without(check: str) -> Ranking:
        notes = tuple(n if n.topic != check else Note(n.turn, n.item, False) for n in state.notes)
        return mind.weigh_up(state.with_(notes=notes))[4]

    return cheapest_to_doubt(mind.book, thinking.facts, thinking.ranking, state.opened, without)


def workshop(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """When to stop: the test that is cheapest to doubt, then what to hand to a workshop."""
    book = mind.book
    lines: list[Line] = []
    suspects = [] if state.stopped else doubts(mind, state, thinking)
    if suspects:
        s = suspects[0]
        lines.append(("next", f"Before you give up: repeat \"{book.checks[s.check].plain}\". It is the earlier test that is cheapest to doubt "
                      f"({phrasing.minutes(s.minutes)}; goes wrong about {round(s.spoils)} times in 100)."))
        if s.slip:
            lines.append(("note", f"Watch for this: {s.slip}"))
        lines.append(("note", f"Without it, it would point to: {book.faults[s.leader].plain}."))
    top = thinking.ranking.standings[0] if thinking.ranking.standings else None
    lines.append(("next", "Stop here: from now on a workshop is quicker and safer than more guessing."))
    if top is not None and top.probability > 0.3:
        lines.append(("note", f"Tell them it points to: {book.faults[top.fault].plain} ({phrasing.chance(top.probability)})."))
    done = [phrasing.known_words(book, f) for f in thinking.facts if f.topic in book.checks]
    if done:
        lines.append(("note", "Hand them what was measured: " + "; ".join(done) + "."))
    lines.append(("note", "Say \"job sheet\" and I write it all down for them."))
    return lines
