"""Sentences and clauses of a message, and where the words that deny, doubt, ask or date something stand in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Sequence

from assistant.language.lexicon import Lexicon
from assistant.language.text import Token


@dataclass
class Sentence:
    """The tokens between two full stops. `clause[i]` numbers the clause of token i; `asked` clauses end in '?'."""

    tokens: list[Token]
    clause: list[int] = field(default_factory=list)
    question: bool = False
    marks: dict[str, list[tuple[int, int]]] = field(default_factory=dict)  # class -> token ranges

    def bounds(self, index: int) -> tuple[int, int]:
        """Token range of the clause that holds a token."""
        number = self.clause[index]
        first, last = index, index + 1
        while first > 0 and self.clause[first - 1] == number:
            first -= 1
        while last < len(self.clause) and self.clause[last] == number:
            last += 1
        return first, last

    def marked(self, name: str, first: int, last: int) -> list[tuple[int, int]]:
        """Occurrences of a class of words inside a token range."""
        return [(s, e) for s, e in self.marks.get(name, ()) if s >= first and e <= last]


def sentences(lexicon: Lexicon, tokens: Sequence[Token]) -> list[Sentence]:
    """Cut at full stops, question marks, semicolons and line ends; number the clauses of each piece."""
    result: list[Sentence] = []
    current: list[Token] = []
    for token in tokens:
        if token.kind == "hard":
            if current:
                result.append(_sentence(lexicon, current, token.text == "?"))
                current = []
        else:
            current.append(token)
    if current:
        result.append(_sentence(lexicon, current, False))
    return result


def _sentence(lexicon: Lexicon, tokens: list[Token], question: bool) -> Sentence:
    made = Sentence(tokens, question=question)
    number = 0
    for index, token in enumerate(tokens):
        if token.kind == "soft":
            made.clause.append(number)
            number += 1
            continue
        if index and token.text in lexicon.breaks and tokens[index - 1].kind != "soft":
            number += 1
        made.clause.append(number)
    texts = [t.text for t in tokens]
    for name in ("negators", "hedges", "questions", "future-markers", "past-markers", "present-markers"):
        made.marks[name] = _occurrences(texts, lexicon.classes.get(name, ()))
    return made


def _occurrences(texts: list[str], members: Sequence[tuple[str, ...]]) -> list[tuple[int, int]]:
    by_first: dict[str, list[tuple[str, ...]]] = {}
    for member in members:
        by_first.setdefault(member[0], []).append(member)
    found = []
    for i, text in enumerate(texts):
        for member in by_first.get(text, ()):
            if tuple(texts[i:i + len(member)]) == member:
                found.append((i, i + len(member)))
    return found
