"""All phrases of one language, compiled for matching: groups of alternatives, who uses them, and the known words."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Collection, Container

from assistant.language.patterns import ANY_ORDER, AS_TYPED, CLOSE, DENIES, GAP_MARK, HEARD, LATER, NOT_BEFORE, NUMBER, Alternatives, Hearing, PatternError, hearing, in_words, is_scene, parse
from assistant.language.text import keep_stems, plain, recall_stems, stem_once
from assistant.rulebook.book import Rulebook, told_at_once

if TYPE_CHECKING:
    from assistant.language.index import Index

DEFAULT = "en"
PART = "part"  # the kind of a pattern that is a part of a scene
MAX_ALTERNATIVES = 600_000  # word sequences of all groups together
_STEMMERS = {"en": "english", "es": "spanish", "de": "german", "fr": "french", "it": "italian", "pt": "portuguese", "nl": "dutch",
             "sv": "swedish", "da": "danish", "no": "norwegian", "fi": "finnish", "ro": "romanian", "hu": "hungarian", "ru": "russian"}
# Classes of words that are grammar, not content: a language has its own and borrows none.
MACHINERY = ("small-words", "negators", "clause-breaks", "hedges", "questions", "question-heads", "turned-heads", "open-heads", "replies-no", "replies-yes",
             "denying-words", "any-words", "determiners", "suppositions", "subjects", "future-markers", "future-after",
             "past-markers", "once-markers", "likenings", "long-ago", "weeks-back", "present-markers", "others", "lent-from", "own", "book-words", "book-after",
             "rated-things", "made-for-volts", "measured-elsewhere", "taking-back", "putting-right", "answering-anew", "idle-negations", "limiting-words", "complaints", "things", "unstemmed", "not-fuzzed")


@dataclass(frozen=True, slots=True)
class Compiled:
    """One pattern: what it stands for. `kind` is phrase | measured | while | talk | sum | part; its pieces are in the index, under its number."""

    number: int
    kind: str
    topic: str
    value: str
    pattern: str
    place: str = ""
    belief: bool = False
    any_order: bool = False
    denies: bool = False


@dataclass(frozen=True, slots=True)
class Scene:
    """A phrase told over several sentences: its parts, in order.

    A part is words (`part-7`), or what was heard of a topic: anything (`@topic`), or one value of it (`@topic=value`).
    A scene of one part is what may be concluded from that part alone.
    """

    topic: str
    value: str
    pattern: str
    parts: tuple[str, ...]
    barred: tuple[tuple[str, ...], ...] = ()  # for each part, what must not come up between the one before it and its end
    close: tuple[bool, ...] = ()  # for each part, whether it must stand in the same sentence as the one before it, or the next

    @property
    def named(self) -> tuple[str, ...]:
        """All parts it looks for, also those that must not come up."""
        return (*self.parts, *(part for each in self.barred for part in each))


@dataclass
class Lexicon:
    """Compiled phrases with their indexes. Made once for a rulebook and a language."""

    language: str = DEFAULT
    patterns: list[Compiled] = field(default_factory=list)
    scenes: list[Scene] = field(default_factory=list)
    stems: dict[str, int] = field(default_factory=dict)  # what a known word is looked for as -> its number in the index
    index: Index | None = None  # which patterns may be where; there once all are compiled
    vocabulary: dict[str, str] = field(default_factory=dict)  # known word -> its stem
    resolved: dict[str, list[tuple[str, float]]] = field(default_factory=dict)  # what unknown words were taken for, so far
    as_typed: set[str] = field(default_factory=set)  # words, with their mark, that must be written just so
    small: frozenset[str] = frozenset()
    negators: frozenset[str] = frozenset()
    denying: tuple[str, ...] = ()  # the word that denies a thing, and the one that denies what follows a subject
    breaks: frozenset[str] = frozenset()
    unstemmed: frozenset[str] = frozenset()  # heard only as they are: their stem is another word
    kept: frozenset[str] = frozenset()  # never taken for a slip of another word
    function: frozenset[str] = frozenset()  # words that tell the language
    marks: dict[str, list[tuple[str, tuple[str, ...]]]] = field(default_factory=dict)  # first word -> (class, words) of the grammar
    contractions: dict[str, str] = field(default_factory=dict)
    numbered: frozenset[str] = frozenset()  # topics of which numbers tell
    bad: list[tuple[str, str, str]] = field(default_factory=list)  # place, pattern, why it does not read

    def parts_among(self, there: Collection[tuple[str, str]]) -> set[str]:
        """The parts of all scenes that may be told, where phrases of these (kind, topic) may be heard. What is heard of a number may always be."""
        topics = {topic for kind, topic in there if kind != PART}
        may = {topic for kind, topic in there if kind == PART} | {HEARD + topic for topic in topics | self.numbered}
        return {named for topics, names in self._scene_parts if may.issuperset(topics) for named in names}

    @cached_property
    def _scene_parts(self) -> list[tuple[frozenset[str], tuple[str, ...]]]:
        """For each scene the parts and topics that must be there, and all parts it looks for."""
        return [(frozenset(part.partition("=")[0] for part in scene.parts), scene.named) for scene in self.scenes]

    @cached_property
    def heard_parts(self) -> frozenset[str]:
        """The parts of scenes that are not words but what was heard of a topic."""
        return frozenset(part for scene in self.scenes for part in scene.named if part.startswith(HEARD))

    @cached_property
    def by_length(self) -> dict[int, tuple[str, ...]]:
        """The known words that others may be slips of, by their length."""
        lengths: dict[int, list[str]] = {}
        for word in sorted(self.vocabulary):
            if len(word) >= 4 and word.isalpha():
                lengths.setdefault(len(word), []).append(word)
        return {length: tuple(members) for length, members in lengths.items()}

    @property
    def stemmer(self) -> str:
        """The name of the stemmer of this language."""
        return _STEMMERS.get(self.language, "english")


def languages(book: Rulebook) -> list[str]:
    """The languages the files hold phrases for, the default one first."""
    found = {p.language for p in book.phrases} | {code for code, spoken in book.spoken.items() if spoken.talk}
    return [DEFAULT, *sorted(found - {DEFAULT})]


def build(book: Rulebook, language: str = DEFAULT) -> Lexicon:
    """Compile every phrase, measured name and talk pattern of a language. A pattern that does not read is listed in `bad`."""
    lexicon, words, heard = begun(book, language)
    spoken = book.spoken.get(language)
    words = {name: [" ".join(in_words(member, heard)) for member in members] for name, members in words.items()}
    maker = _Maker(lexicon, words, heard, book.checks)
    for phrase in book.phrases:
        if phrase.language == language:
            maker.phrase(phrase.topic, phrase.value, phrase.pattern, f"{phrase.file}:{phrase.line}", phrase.belief)
    for measured in book.measured.values():
        place = f"{measured.file}:{measured.line}"
        for pattern in measured.named:
            maker.add("measured", measured.id, "", pattern, place)
        for pattern in measured.while_:
            maker.add("while", measured.id, pattern, pattern, place)
    for kind, table in (("talk", spoken.talk), ("sum", spoken.sums)) if spoken else ():
        for name, patterns in table.items():
            for pattern in patterns:
                maker.add(kind, name, "", pattern, "")
    for members in words.values():
        for member in members:
            for word in member.split():
                maker.know(word.removeprefix(AS_TYPED))
    maker.finish()
    keep_stems(lexicon.stemmer, lexicon.vocabulary)
    return lexicon


def begun(book: Rulebook, language: str) -> tuple[Lexicon, dict[str, list[str]], Hearing]:
    """A lexicon that knows the grammar of its language and no phrase yet, its word classes, and how words are taken apart.

    Another language may use the word classes of the default one (numbers, borrowed trade words), but not its grammar.
    """
    spoken = book.spoken.get(language)
    base = book.spoken.get(DEFAULT) if language != DEFAULT else None
    words = {name: list(members) for name, members in (spoken.words if spoken else {}).items()}
    for name, members in (base.words if base else {}).items():
        if name not in MACHINERY:
            words.setdefault(name, []).extend(members)
    lexicon = Lexicon(language, contractions={plain(k): plain(v) for k, v in (spoken.contractions if spoken else {}).items()})
    lexicon.unstemmed = frozenset(plain(w.lower()) for w in words.get("unstemmed", []))
    lexicon.numbered = frozenset(book.measured)
    recall_stems(lexicon.stemmer)
    heard = hearing(lexicon.contractions)
    _grammar(lexicon, words, heard)
    return lexicon, words, heard


def _grammar(lexicon: Lexicon, words: dict[str, list[str]], heard: Hearing) -> None:
    """The word classes that the reader itself uses. Single words of them are told one by one, and so stay as they are written."""
    classes = {name: [tuple(in_words(w, heard) if " " in w else [plain(w.lower())]) for w in words.get(name, []) if w.strip()] for name in MACHINERY}
    single = {name: frozenset(w[0] for w in members if len(w) == 1) for name, members in classes.items()}
    lexicon.small, lexicon.negators, lexicon.breaks, lexicon.kept = (single[n] for n in ("small-words", "negators", "clause-breaks", "not-fuzzed"))
    lexicon.denying = tuple(" ".join(w) for w in classes["denying-words"])
    lexicon.function = lexicon.small | lexicon.negators | lexicon.breaks
    for name in MACHINERY:
        if name not in ("small-words", "clause-breaks", "not-fuzzed"):
            for member in classes[name]:
                lexicon.marks.setdefault(member[0], []).append((name, member))


class _Maker:
    """Compiles patterns into a lexicon; groups and alternatives that are the same are made once."""

    def __init__(self, lexicon: Lexicon, words: dict[str, list[str]], heard: Hearing, checks: Container[str]) -> None:
        self.lexicon, self.words, self.heard, self.checks = lexicon, words, heard, checks
        self.known: dict[tuple[int, ...], int] = {}  # groups by the word sequences they are made of
        self.classes: dict[int, int] = {}  # and those that are a word class, which come again and again, by the id of it
        self.class_ids: set[int] = set()
        self.groups: list[tuple[int, ...]] = []
        self.pieces: list[list[int]] = []  # of each pattern, as the index has them
        self.alternatives: dict[tuple[int, ...], int] = {}  # by the numbers of their stems
        self.numbers: dict[tuple[str, ...], int] = {}  # word sequences met before, in the order in which they came
        self.ends: list[int] = []  # of these: the alternative it is
        self.stems: dict[str, int] = {}
        self.parts: dict[str, str] = {}
        self.parsed: dict[str, Alternatives] = {}

    def know(self, word: str) -> str:
        """The stem of a word, which is a known one from now on."""
        if word not in self.lexicon.vocabulary:
            stem = self.lexicon.vocabulary[word] = word if word in self.lexicon.unstemmed else stem_once(word, self.lexicon.stemmer)
            self.lexicon.stems.setdefault(stem, len(self.lexicon.stems))
        return self.lexicon.vocabulary[word]

    def phrase(self, topic: str, value: str, pattern: str, place: str, belief: bool) -> None:
        """A phrase within a sentence, or one told over several."""
        if not is_scene(pattern):
            self.add("phrase", topic, value, pattern, place, belief)
            return
        barred = told_at_once(self.checks, topic, value)
        if barred:
            self.lexicon.bad.append((place, pattern, barred))
            return
        names: list[str] = []
        barred: list[tuple[str, ...]] = []
        close: list[bool] = []
        waiting: list[str] = []
        for text in (part.strip() for part in pattern.split(LATER)):
            bare = text.lstrip(NOT_BEFORE + CLOSE).strip()
            if not bare.startswith(HEARD) and bare not in self.parts and self.add(PART, f"part-{len(self.parts)}", "", bare, place):
                self.parts[bare] = self.lexicon.patterns[-1].topic
            name = bare if bare.startswith(HEARD) else self.parts.get(bare, "")
            if text.startswith(NOT_BEFORE):
                waiting.append(name)
                continue
            names.append(name)
            barred.append(tuple(waiting))
            close.append(text.startswith(CLOSE))
            waiting = []
        if all(names) and all(all(b) for b in barred):
            self.lexicon.scenes.append(Scene(topic, value, pattern, tuple(names), tuple(barred), tuple(close)))

    def add(self, kind: str, topic: str, value: str, pattern: str, place: str, belief: bool = False) -> bool:
        """Compile one pattern; False when it does not read."""
        try:
            if len(self.alternatives) > MAX_ALTERNATIVES:
                raise PatternError("all phrases together stand for more word sequences than can be kept in mind")
            denies = pattern.strip().startswith(DENIES)
            any_order = pattern.strip().removeprefix(DENIES).strip().startswith(ANY_ORDER)
            items = parse(pattern, self.words, self.parsed, self.heard)
            if len(self.class_ids) < len(self.parsed):
                self.class_ids = {id(made) for made in self.parsed.values()}  # which `parsed` keeps: so no other gets such an id
        except PatternError as error:
            self.lexicon.bad.append((place, pattern, str(error)))
            return False
        self.pieces.append([2 * (GAP_MARK if alternatives is None else self._group(alternatives)) + optional for alternatives, optional in items])
        self.lexicon.patterns.append(Compiled(len(self.lexicon.patterns), kind, topic, value, pattern, place, belief, any_order, denies))
        return True

    def finish(self) -> None:
        """Lay out the index, when all patterns are there."""
        from assistant.language.index import indexed  # late: arrays

        small = [self.lexicon.stems[word] for word in self.lexicon.small if word in self.lexicon.stems]
        any_order = {pattern.number for pattern in self.lexicon.patterns if pattern.any_order}
        self.lexicon.index = indexed(list(self.alternatives), self.groups, self.pieces, small, any_order)

    def _group(self, alternatives: Alternatives) -> int:
        group = self.classes.get(id(alternatives))
        if group is not None:
            return group
        numbers, met = self.numbers, []
        for words in alternatives:
            number = numbers.get(words)
            met.append(self._met(words) if number is None else number)
        met.sort()
        key = tuple(met)
        group = self.known.get(key)
        if group is None:
            group = self.known[key] = len(self.groups)
            self.groups.append(tuple({self.ends[number] for number in met}))
        if id(alternatives) in self.class_ids:
            self.classes[id(alternatives)] = group
        return group

    def _met(self, words: tuple[str, ...]) -> int:
        """The number of a word sequence that is met for the first time."""
        number = self.numbers[words] = len(self.ends)
        self.ends.append(self._alternative(words))
        return number

    def _alternative(self, words: tuple[str, ...]) -> int:
        stems = tuple([self.stems[w] if w in self.stems else self._stem(w) for w in words])
        return self.alternatives.setdefault(stems, len(self.alternatives))

    def _stem(self, word: str) -> int:
        """The number of what a word of a pattern is looked for as; worked out once."""
        if word.startswith(AS_TYPED):
            self.lexicon.as_typed.add(word)
            stem = word
        else:
            stem = word if word == NUMBER else self.know(plain(word))
        self.stems[word] = self.lexicon.stems.setdefault(stem, len(self.lexicon.stems))
        return self.stems[word]
