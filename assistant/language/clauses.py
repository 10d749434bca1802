"""Sentences and clauses of a message, and where the words that deny, doubt, ask or date something stand in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Sequence

from assistant.language.lexicon import Lexicon
from assistant.language.text import Token

_FRAGMENT = 3  # words: a sentence as short as this belongs to the one before it ("Thumb on the button. Nothing.")
_HEADING = 2  # words: 'Spark? None.' asks nothing, it is how people list things
_LONG = 80  # tokens: longer sentences take no more fragments
_LONGEST = 400  # tokens: a message without full stops is cut here, so that no work grows with its square


@dataclass
class Sentence:
    """The tokens between two full stops. `clause[i]` numbers the clause of token i; `question`: it ends in '?'."""

    tokens: list[Token]
    clause: list[int] = field(default_factory=list)
    question: bool = False
    marks: dict[str, list[tuple[int, int]]] = field(default_factory=dict)  # class -> token ranges
    bare: list[int] = field(default_factory=list)  # clauses that say nothing but a hedge: "I think"

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
    """Cut at full stops, question marks, semicolons and line ends; number the clauses of each piece.

    A fragment of a few words stays with the sentence before it, as a clause of its own.
    """
    pieces: list[tuple[list[Token], bool]] = []
    current: list[Token] = []
    for token in tokens:
        if token.kind != "hard":
            current.append(token)
            if len(current) < _LONGEST:
                continue
        _keep(pieces, current, token.text == "?")
        current = []
    _keep(pieces, current, False)
    return [_sentence(lexicon, piece, question) for piece, question in pieces]


def _keep(pieces: list[tuple[list[Token], bool]], current: list[Token], question: bool) -> None:
    if not current:
        return
    short = sum(t.kind in ("word", "number") for t in current) <= _FRAGMENT
    if short and not question and pieces and len(pieces[-1][0]) < _LONG and (not pieces[-1][1] or len(pieces[-1][0]) <= _HEADING):
        before = pieces[-1][0]
        pieces[-1] = (before, False)
        before.append(Token(",", "soft", before[-1].end, before[-1].end))
        before += current
    else:
        pieces.append((current, question))


def _sentence(lexicon: Lexicon, tokens: list[Token], question: bool) -> Sentence:
    made = Sentence(tokens, question=question)
    number = 0
    for index, token in enumerate(tokens):
        if token.kind == "soft":
            made.clause.append(number)
            number += 1
            continue
        if index and token.text in lexicon.breaks and tokens[index - 1].kind != "soft" and _goes_on(tokens, index):
            number += 1
        made.clause.append(number)
    texts = [t.text for t in tokens]
    for i, text in enumerate(texts):
        for name, member in lexicon.marks.get(text, ()):
            if len(member) == 1 or tuple(texts[i:i + len(member)]) == member:
                made.marks.setdefault(name, []).append((i, i + len(member)))
    made.bare = _bare(lexicon, made)
    return made


def _goes_on(tokens: list[Token], index: int) -> bool:
    """Whether anything follows a word that joins clauses: at the end of one ('it never did that before') it joins nothing."""
    return index + 1 < len(tokens) and tokens[index + 1].kind != "soft"


def _bare(lexicon: Lexicon, sentence: Sentence) -> list[int]:
    """Clauses made of hedging and small words alone."""
    result = []
    for start, _ in sentence.marks.get("hedges", ()):
        first, last = sentence.bounds(start)
        hedged = {i for s, e in sentence.marked("hedges", first, last) for i in range(s, e)}
        if all(i in hedged or t.kind == "soft" or t.text in lexicon.small or t.text in lexicon.breaks
               for i, t in enumerate(sentence.tokens[first:last], first)):
            result.append(sentence.clause[start])
    return result
