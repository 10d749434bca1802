"""The technician's answers: why, why not, what if, how sure, what after that. Short by default, whole on request.

Plain words first, numbers after them; each kind of account has its own module, this one is the door to all of them.
"""

from __future__ import annotations

from assistant.dialogue import account_after, account_sure, account_why, account_why_not
from assistant.dialogue.account_suppose import what_if
from assistant.dialogue.cards import Line
from assistant.dialogue.state import State, concluded
from assistant.dialogue.think import Mind, Thinking
from assistant.language.match import find
from assistant.language.text import clean, tokenize

_TALK = frozenset({"talk"})
_MORE = "explain-more"  # the intent whose words ask for the whole of it


def why(mind: Mind, state: State, thinking: Thinking, about: str | None, whole: bool = False) -> list[Line]:
    """Why a fault stands where it stands, or why a step is offered; whole when the words of the message ask for more.

    After a repair that cured, or whose proof is open, this is the account of that fault as it stood before.
    """
    at, then, head = _rested(mind, state, thinking)
    return head + account_why.why(mind, at, then, about or (state.repairs[-1].fault if head else None), whole or in_full(mind, state.text))


def why_not(mind: Mind, state: State, thinking: Thinking, about: str | None, whole: bool = False) -> list[Line]:
    """Why another fault, or another step, is not in front."""
    at, then, head = _rested(mind, state, thinking)
    return head + account_why_not.why_not(mind, at, then, about, whole or in_full(mind, state.text))


def how_sure(mind: Mind, state: State, thinking: Thinking, whole: bool = False) -> list[Line]:
    """How sure the ranking is, and which test is the cheapest to doubt."""
    at, then, head = _rested(mind, state, thinking)
    return head + account_sure.how_sure(mind, at, then, whole or in_full(mind, state.text))


def after_that(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """The likely path after the next step; after a repair its proof, after a cure nothing."""
    if state.cured:
        return [("why", "Nothing after that: it is cured.")]
    if state.repairs and state.repairs[-1].outcome is None:
        return [("why", f"After that comes the proof: {mind.book.faults[state.repairs[-1].fault].proof.do}")]
    return account_after.after_that(mind, state, thinking)


def more(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """The account that was asked for last, now whole; where none was, that of the leader."""
    last = state.account
    kind, about = (last.kind, last.about) if last is not None else ("why", None)
    if kind == "why-not":
        return why_not(mind, state, thinking, about, whole=True)
    if kind == "what-if":
        return what_if(mind, state, thinking, about or "", whole=True)
    if kind == "sure":
        return how_sure(mind, state, thinking, whole=True)
    return why(mind, state, thinking, about, whole=True)


def _rested(mind: Mind, state: State, thinking: Thinking) -> tuple[State, Thinking, list[Line]]:
    """What the conclusion rests on: after a repair the state before it, with a line that says so."""
    at = concluded(state)
    if at is state:
        return state, thinking, []
    word = "Cured" if state.cured else "Repaired"
    return at, mind.think(at), [("why", f"{word}: {mind.book.faults[state.repairs[-1].fault].plain}. This is how it stood before the repair.")]


def in_full(mind: Mind, message: str) -> bool:
    """Whether a message has the words for 'explain more' somewhere in it: why the coil, in full."""
    lexicon = mind.reader.lexicon
    tokens = tokenize(clean(message[:400]), lexicon.contractions)
    return any(m.pattern.topic == _MORE for m in find(lexicon, tokens, _TALK))


__all__ = ["after_that", "how_sure", "in_full", "more", "what_if", "why", "why_not"]
