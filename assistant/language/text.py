"""Messages to tokens: lower case, contractions unfolded, numbers kept whole, every token with its place in the message."""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Mapping

from assistant.rulebook import cache

_TOKEN = re.compile(
    r"""(?P<number>(?<![\w.])[-+]?(?:\d{1,3}(?>(?:,\d{3})+)(?![\d.,]{0,8}\d)|\d+(?:[.,]\d+)?|\.\d+)(?![\d]))
      | (?P<word>[^\W\d_]+(?:['’`´][^\W\d_]+)*)
      | (?P<hard>[.!?;\n…]+)
      | (?P<soft>[,:()\[\]"“”–—/]|-(?=\s|-)|\s-\s?)
      | (?P<other>\S)""",
    re.VERBOSE,
)
_APOSTROPHES = str.maketrans({"’": "'", "`": "'", "´": "'", "‘": "'"})
_INVISIBLE = re.compile(r"[\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff\ufe0f]")
_DRAWN_OUT = re.compile(r"(.)\1{2,}")  # "sooooo": no word of ours has a letter three times running


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or mark. `text` is lower case without accents; `kind` is word | number | hard | soft | other."""

    text: str
    kind: str
    start: int
    end: int


@lru_cache(maxsize=8)
def _stemmer(language: str):
    import snowballstemmer  # late: only a message needs it

    return snowballstemmer.stemmer(language)


_kept: dict[str, dict[str, str]] = {}  # language -> stems of known words worked out in an earlier run


def stem_once(word: str, language: str = "english") -> str:
    """The stem of a word (Snowball). Words of up to three letters are left as they are."""
    if len(word) <= 3:
        return word
    found = _kept.get(language, {}).get(word)
    return found if found is not None else _stemmer(language).stemWord(word)


stem = lru_cache(maxsize=20_000)(stem_once)  # what the lexicon knows, it keeps itself


def recall_stems(language: str) -> None:
    """Take the stems of known words from the earlier run, if any are kept; working thousands out takes longer than reading the files."""
    if language not in _kept:
        table = cache.recall(f"stems-{language}", stemmer_code(language)) or {}
        once = {word: word for word in table}  # most stems are those of several words, or words themselves
        _kept[language] = {word: once.setdefault(found, found) for word, found in table.items()}


def keep_stems(language: str, known: Mapping[str, str]) -> None:
    """Keep the stems of known words for the next run, where there are new ones among them. A word that stands for itself may be one without a stem of its own."""
    longer = [word for word in known if len(word) > 3]
    if any(word not in _kept.get(language, {}) for word in longer):
        cache.remember(f"stems-{language}", {word: known[word] if known[word] != word else stem_once(word, language) for word in longer}, stemmer_code(language))


@lru_cache(maxsize=8)
def stemmer_code(language: str) -> str:
    """What tells one version of the stemmer from another: its code."""
    try:
        here = Path(find_spec("snowballstemmer").origin)  # type: ignore[union-attr, arg-type]
        return hashlib.sha256(b"".join(here.with_name(f"{name}.py").read_bytes() for name in ("basestemmer", f"{language}_stemmer"))).hexdigest()
    except (OSError, AttributeError, TypeError):
        return os.urandom(16).hex()  # not to be told: nothing is found under this


def plain(word: str) -> str:
    """A word without accents: people on a phone leave them out as often as not."""
    if word.isascii():
        return word
    return "".join(c for c in unicodedata.normalize("NFKD", word) if not unicodedata.combining(c))


def tokenize(message: str, contractions: Mapping[str, str]) -> list[Token]:
    """Split a message into tokens. A contraction yields several tokens that share its place."""
    result: list[Token] = []
    for match in _TOKEN.finditer(message):
        kind = match.lastgroup or "other"
        raw, start, end = match.group().strip(), match.start(), match.end()
        if not raw and kind != "hard" or kind == "other" and raw.translate(_APOSTROPHES) == "'":
            continue  # a quotation mark says nothing
        if raw == "-" and message[start - 1:start].isalpha() and message[end:end + 1].isalpha():
            continue  # 'e-start', 'push-started': as often written in two words
        if kind == "word":
            for word in unfold(plain(raw.translate(_APOSTROPHES).lower()), contractions).split():
                result.append(Token(word, "word", start, end))
        elif kind == "hard":
            result.append(Token("?" if "?" in raw else ".", "hard", start, end))
        else:
            result.append(Token(raw.lower(), kind, start, end))
    return result


def unfold(text: str, contractions: Mapping[str, str]) -> str:
    """The words a written word stands for: contractions, the English possessive and drawn-out letters."""
    whole = contractions.get(text) or contractions.get(text.replace("'", ""))
    if whole is None and text.endswith("n't"):
        whole = text[:-3] + " not"
    if whole is None and "'" in text:
        whole = text.split("'")[0] if text.endswith("'s") else text.replace("'", "")
    if whole is None and _DRAWN_OUT.search(text):
        short = _DRAWN_OUT.sub(r"\1", text)
        whole = short if len(short) > 3 else _DRAWN_OUT.sub(r"\1\1", text)  # of a noise ("rrrr", "rrrrrr") one length is enough
    return whole or text


def clean(message: str) -> str:
    """The message with invisible and control characters turned to spaces, place for place."""
    message = _INVISIBLE.sub(" ", message)
    return "".join(" " if (c < " " and c != "\n") or "\x7f" <= c <= "\x9f" else c for c in message)
