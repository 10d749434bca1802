"""Short answers to the question just asked: yes, nope, the second, dunno, or the words of a choice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Collection, Mapping, Sequence

from assistant.language.text import Token, stem

_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5,
             "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "a": 1, "b": 2, "c": 3, "d": 4, "e": 5, "f": 6, "last": -1, "latter": -1,
             "former": 1}
_SHARED = 0.7  # of the words of an answer: 'new points fitted' is not 'a new or other battery was fitted'
_TRIED = (("still-bad", "no-change"), ("cured", "cured"))  # what is said of the machine, and the outcome of a trial it stands for
_LEAD = {"the", "number", "option", "no", "answer", "choice", "its", "it", "is", "was", "i", "think", "say", "would", "probably", "one", "please", "that"}


@dataclass(frozen=True)
class Pending:
    """What was last asked. `choices` are the ids of the values or outcomes in the order they were shown, `plain` their words."""

    kind: str  # question | check | doubt | repair | proof
    id: str
    choices: tuple[str, ...] = ()
    plain: tuple[str, ...] = ()


def pick(pending: Pending, tokens: list[Token], intents: set[str], general: Mapping[str, Sequence[tuple[str, ...]]] = {},
         small: Collection[str] = ()) -> tuple[str, float] | None:
    """The choice that a short answer names, with its sureness; None when it names none or more than one.

    `general` holds for each choice what people say for it whatever was asked ('all good', 'nothing at all'), `small` the words
    that may stand around it.
    """
    words = [t.text for t in tokens if t.kind in ("word", "number")]
    if not words or len(words) > 12:
        return None
    choices = pending.choices
    by_place = _place(words, len(choices))
    if by_place is not None:
        return choices[by_place], 0.97
    said = " ".join(words)
    exact = [c for c, plain in zip(choices, pending.plain or choices)
             if said in (c.replace("-", " "), plain, f"{c} {plain}") or c == "-".join(words)]  # by its name, or by the line as it was shown
    if len(exact) == 1:
        return exact[0], 0.98
    for intent, outcome in _TRIED:  # of a trial: 'it starts now', 'still the same'
        if intent in intents and outcome in choices:
            return outcome, 0.9
    if len(words) <= 4 and "yes" in intents and "yes" in choices:
        return "yes", 0.97
    if len(words) <= 4 and "yes" in intents and {"normal", "none"} <= set(choices):
        return "normal", 0.85  # 'does it turn over?' 'Yes'
    if len(words) <= 4 and "no" in intents:
        for word in ("no", "none", "nothing"):
            if word in choices:
                return word, 0.95
    return _by_label(choices, words) or _generally(general, words, small) or _by_words(pending, words) or _named(choices, words)


def _generally(general: Mapping[str, Sequence[tuple[str, ...]]], words: list[str], small: Collection[str]) -> tuple[str, float] | None:
    """The one choice for which people say just this, with no more than small words around it; of several the one that takes in most words."""
    said = [stem(w) for w in words]
    best: list[tuple[int, str]] = []
    for choice, members in general.items():
        for member in members:
            own = [stem(w) for w in member]
            for at in range(len(said) - len(own) + 1):
                if said[at:at + len(own)] == own and all(w in small for w in words[:at] + words[at + len(own):]):
                    best.append((len(own), choice))
    most = max((size for size, _ in best), default=0)
    found = {choice for size, choice in best if size == most}
    return (found.pop(), 0.88) if len(found) == 1 else None


def _by_label(choices: tuple[str, ...], words: list[str]) -> tuple[str, float] | None:
    """The one choice whose own name holds all that is said: 'wet' of 'wet fuel', though others are wet too in their description."""
    said = {stem(w) for w in words if w not in _LEAD and len(w) > 1}
    if len(words) > 1 and _TURNING & set(words):
        return None
    found = [c for c in choices if said and said <= {stem(w) for w in c.split("-")}]
    return (found[0], 0.85) if len(found) == 1 else None


_TURNING = {"not", "no", "never", "nor", "neither", "cannot", "hardly", "without"}


def _named(choices: tuple[str, ...], words: list[str]) -> tuple[str, float] | None:
    """The one choice whose own word stands in a longer answer ('the filter is blocked solid'), with nothing that turns it round."""
    if _TURNING & set(words):
        return None
    found = [c for c in choices if len(c) > 3 and set(c.split("-")) <= set(words)]
    return (found[0], 0.75) if len(found) == 1 else None


def _place(words: list[str], count: int) -> int | None:
    rest = [w for w in words if w not in _LEAD] or [w for w in words if w in _ORDINALS]
    if len(rest) != 1:
        return None
    word = rest[0]
    number = int(word) if word.isdigit() and len(word) < 3 else _ORDINALS.get(word)
    if number is None:
        return None
    if number == -1:
        return count - 1 if count else None
    return number - 1 if 1 <= number <= count else None


def _by_words(pending: Pending, words: list[str]) -> tuple[str, float] | None:
    """The choice whose plain words share the most stems with the answer, if one stands out."""
    said = {stem(w) for w in words if len(w) > 2}
    if not said:
        return None
    turning, scores = bool(_TURNING & set(words)), []
    for choice, plain in zip(pending.choices, pending.plain or pending.choices):
        line = [w.strip(".,;()") for w in (choice.replace("-", " ") + " " + plain).lower().split()]
        turned = turning and not _TURNING & set(line)  # 'no click' is not 'one firm click'
        scores.append((0.0 if turned else len(said & {stem(w) for w in line if len(w) > 2}) / len(said), choice))
    scores.sort(reverse=True)
    if scores and scores[0][0] >= _SHARED and (len(scores) < 2 or scores[0][0] - scores[1][0] >= 0.2):
        return scores[0][1], 0.9 if pending.kind == "question" and scores[0][0] == 1 and len(said) > 1 else 0.8  # several words that all stand in its line are meant
    return None
