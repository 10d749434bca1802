"""How long reading takes: with all the phrases there are, with ten times as many, and as a message grows."""

import time
from dataclasses import replace

from assistant.language.read import Reader
from tests.language.test_properties import READER, TURNS
from tests.real import BOOK

WORDS = " ".join(TURNS).split()


def best(reader: Reader, text: str, times: int = 5) -> float:
    """Seconds of computing for one message, at best; what else the machine is doing does not count."""
    took = []
    for _ in range(times):
        start = time.process_time()
        reader.read(text)
        took.append(time.process_time() - start)
    return min(took)


def test_two_hundred_words():
    """A message of 200 words takes under 20 ms."""
    READER.read(" ".join(WORDS[:200]))
    assert best(READER, " ".join(WORDS[:200])) < 0.020


def test_ten_times_the_phrases():
    """With ten times the phrases it takes under 100 ms."""
    more = replace(BOOK, phrases=[replace(p, pattern=p.pattern.replace("(", f"(alias{n} ", 1)) if n else p for n in range(10) for p in BOOK.phrases])
    reader = Reader(more)
    reader.read(WORDS[0])
    assert len(reader.lexicon.patterns) > 8 * len(BOOK.phrases)
    assert best(reader, " ".join(WORDS[:200])) < 0.100


def test_time_grows_with_length_and_no_faster():
    """Eight times the words take no more than some twelve times as long."""
    short, long = " ".join(WORDS[:150]), " ".join(WORDS[:1200])
    READER.read(long)
    assert best(READER, long) < 12 * best(READER, short)


def test_a_megabyte_takes_bounded_time():
    """A megabyte is answered in no more time than the part of it that is read."""
    assert best(READER, "the bike will not start. " * 42_000, 1) < 3.0
