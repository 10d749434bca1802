"""Sentences and clauses of a message, and where the words that deny, doubt, ask or date something stand in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Collection, Sequence

from assistant.language.lexicon import Lexicon
from assistant.language.text import Token

_FRAGMENT = 3  # words: a sentence as short as this belongs to the one before it ("Thumb on the button. Nothing.")
_HEADING = 2  # words: 'Spark? None.' asks nothing, it is how people list things
_REPLY = 3  # words: 'no not really'
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
    told: Sentence | None = None  # what the person's own answer to this question tells, as a statement

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

    def after(self, name: str) -> int:
        """The token after all that stands at the beginning and belongs to a class of words; 0 where nothing does."""
        at, ends = 0, dict(sorted(self.marks.get(name, ())))  # of members that begin alike the longest
        while at in ends or at and at < len(self.tokens) and self.tokens[at].kind == "soft":
            at = ends.get(at, at + 1)
        return at

    def of_another(self, at: int, used: Collection[int] = (), opening: int = 0) -> bool:
        """Whether another machine is named before a token, and nothing of the person's own since.

        The name may be among the first `opening` words of what begins there, but none of those it uses. What is lent by
        another machine is tried on this one: 'with the battery off my mate's bike it cranks'.
        """
        others = self.marks.get("others")
        if not others:
            return False
        lent = {i for _, e in self.marks.get("lent-from", ()) for i in (e, e + 1)}
        spoken = [(s, True) for s, e in others if e <= at + opening and s not in used and s not in lent]
        own = [(s, False) for s, e in self.marks.get("own", ()) if e <= at + 2 * opening]
        return bool(spoken) and max(spoken + own)[1]


def sentences(lexicon: Lexicon, tokens: Sequence[Token]) -> list[Sentence]:
    """Cut at full stops, question marks, semicolons and line ends; number the clauses of each piece.

    A fragment of a few words stays with the sentence before it, as a clause of its own.
    """
    pieces: list[_Piece] = []
    current: list[Token] = []
    for token in tokens:
        if token.kind != "hard":
            current.append(token)
            if len(current) < _LONGEST:
                continue
        _keep(lexicon, pieces, current, token.text == "?")
        current = []
    _keep(lexicon, pieces, current, False)
    return [_sentence(lexicon, piece) for piece in pieces]


@dataclass
class _Piece:
    tokens: list[Token]
    question: bool
    answer: bool | None = None  # that the person gives himself to his question


def _keep(lexicon: Lexicon, pieces: list[_Piece], current: list[Token], question: bool) -> None:
    if not current:
        return
    before = pieces[-1] if pieces else None
    if before and before.question and not question:
        before.answer = _reply(lexicon, current)
    short = sum(t.kind in ("word", "number") for t in current) <= _FRAGMENT
    if short and not question and before and len(before.tokens) < _LONG and (not before.question or len(before.tokens) <= _HEADING and before.answer is not False):
        before.question = False
        before.tokens.append(Token(",", "soft", before.tokens[-1].end, before.tokens[-1].end))
        before.tokens += current
    else:
        pieces.append(_Piece(current, question))


def _reply(lexicon: Lexicon, tokens: list[Token]) -> bool | None:
    """Whether words begin with a plain yes or no: one that stands alone or is followed by who or what it is said of, as in 'No it has not'."""
    texts = [t.text for t in tokens]
    for name, means in (("replies-no", False), ("replies-yes", True)):
        for length in range(min(_REPLY, len(texts)), 0, -1):
            if (name, tuple(texts[:length])) in lexicon.marks.get(texts[0], ()):
                after = tokens[length:length + 1]
                if not after or after[0].kind == "soft" or any(n == "subjects" for n, _ in lexicon.marks.get(after[0].text, ())):
                    return means
    return None


def _sentence(lexicon: Lexicon, piece: _Piece) -> Sentence:
    made = _cut(lexicon, piece.tokens, piece.question)
    if piece.answer is None or not piece.question or not lexicon.denying:
        return made
    told = _told(lexicon, made, piece.answer)
    made.told = None if told is None else _cut(lexicon, told, False)
    return made


def _told(lexicon: Lexicon, asked: Sentence, yes: bool) -> list[Token] | None:
    """What a question and the person's own answer tell: 'Washed it? No.' as 'no washed it', 'Does it turn over? No.' as 'it does not turn over'.

    None where the answer to a question that denies may be taken either way, and where it is not one to be answered by yes or no.
    """
    tokens = asked.tokens
    some = {s for s, _ in asked.marks.get("any-words", ())}
    heads = [e for s, e in asked.marks.get("turned-heads", ()) if s == 0]
    if asked.marks.get("questions") or any(s == 0 for s, _ in asked.marks.get("open-heads", ())):
        return None
    denies = bool(asked.marks.get("negators"))
    if denies and yes:
        return None
    head, at = 0, 0
    if heads:  # who or what it is asked of goes before the head
        head = heads[0]
        at = head + (2 if any(s == head for s, _ in asked.marks.get("determiners", ())) else 1)
    place = tokens[min(at, len(tokens) - 1)].start
    denying = [] if denies or yes else [Token(lexicon.denying[-1 if heads and at not in some else 0], "word", place, place)]
    return [*tokens[head:at], *tokens[:head], *denying, *tokens[at + 1 if at in some else at:]]


def _cut(lexicon: Lexicon, tokens: list[Token], question: bool) -> Sentence:
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
