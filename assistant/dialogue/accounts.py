"""The technician's answers: why, why not, what if, how sure, what after that. Short by default, whole on request.

Plain words first, numbers after them; each kind of account has its own module, this one is the door to all of them.
"""

from __future__ import annotations

from assistant.dialogue import account_sure, account_why, account_why_not
from assistant.dialogue.account_suppose import what_if
from assistant.dialogue.account_why import after_that
from assistant.dialogue.cards import Line
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind, Thinking
from assistant.language.match import find
from assistant.language.text import clean, tokenize

_TALK = frozenset({"talk"})
_MORE = "explain-more"  # the intent whose words ask for the whole of it


def why(mind: Mind, state: State, thinking: Thinking, about: str | None, whole: bool = False) -> list[Line]:
    """Why a fault stands where it stands, or why a step is offered; whole when the words of the message ask for more."""
    return account_why.why(mind, state, thinking, about, whole or in_full(mind, state.text))


def why_not(mind: Mind, state: State, thinking: Thinking, about: str | None, whole: bool = False) -> list[Line]:
    """Why another fault, or another step, is not in front."""
    return account_why_not.why_not(mind, state, thinking, about, whole or in_full(mind, state.text))


def how_sure(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """How sure the ranking is, and which test is the cheapest to doubt."""
    return account_sure.how_sure(mind, state, thinking, in_full(mind, state.text))


def more(mind: Mind, state: State, thinking: Thinking) -> list[Line]:
    """The account that was asked for last, now whole; where none was, that of the leader."""
    last = state.account
    kind, about = (last.kind, last.about) if last is not None else ("why", None)
    if kind == "why-not":
        return account_why_not.why_not(mind, state, thinking, about, whole=True)
    if kind == "what-if":
        return what_if(mind, state, thinking, about or "", whole=True)
    if kind == "sure":
        return account_sure.how_sure(mind, state, thinking, whole=True)
    return account_why.why(mind, state, thinking, about, whole=True)


def in_full(mind: Mind, message: str) -> bool:
    """Whether a message has the words for 'explain more' somewhere in it: why the coil, in full."""
    lexicon = mind.reader.lexicon
    tokens = tokenize(clean(message[:400]), lexicon.contractions)
    return any(m.pattern.topic == _MORE for m in find(lexicon, tokens, _TALK))


__all__ = ["after_that", "how_sure", "in_full", "more", "what_if", "why", "why_not"]
