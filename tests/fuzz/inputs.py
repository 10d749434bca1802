"""Inputs for the fuzzers: a few sound ones for each target, words that matter, and careless hands that change them."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Sequence

HERE = Path(__file__).parent
SEEDS = HERE / "seeds"
ROOT = HERE.parents[1]

_STORIES = (
    "turns over fine, no spark\nnew plugs last week", "one click and nothing", "12.4 V with the key off\n110 psi on the left, 60 on the right", "skip", "why not the coil",
    "take that back", "what if it read 11.5 V", "is 11.9 enough at minus 5?", "the red one", "2", "b", "@start-by=kick\nno spark", "I haven't got a meter", "done", "still the same",
    "it isn't clicking and the lights don't dim", "what's a stator?", "started after I washed it, used to be fine", "12v4 at rest, drops to 8 volts cranking", "job sheet", "-",
    "no arranca, no hay chispa", "yes", "it runs", "fuel pours out of the hose", "14k ohm", "@displacement-cc=125\nflooded")
_ODD = ("\x1b[31m", "\x9b2J", "\u202e", "\ud800", "\0", "1,111,111.5", "9" * 400, "1e999", "nan", "½", "٣", "'" * 30, "n't" * 20, "not " * 30, "((((", "]]", "...", "<engine>", "|", "#",
        "=", "%s", "{0}", "V", "psi", "-", "to", "or", "minus", "\u200b", "ﬁ", "e\u0301", "\n", "\r", "\u2028", "🏍")
_YAML = ("rules:\n", "facts:\n", "checks:\n", "faults:\n", "phrases:\n", "  a:\n", "when: ", "{not: ", "{any: [", "&a ", "*a", "!!python/object:os.system ", "<<: ", "? ", "- ", ": ", "|\n", ">-\n",
         "'", '"\\x1b[31m"', "---\n", "...", "%YAML 1.1\n", "\t", "~", ".inf", ".nan", "1e999", "0x10", "0o7", "06", "yes", "seen-in: {", "otherwise: 4", "source: common-practice", "kind: evidence",
         "kind: derive", "then: {", "per-1000:", "reading: {", "bands: [", "(a|", "[b", "<", ">> ")
_LOG = tuple(json.dumps(row).encode() + b"\n" for row in (
    {"v": 1, "kind": "opened", "at": "2025-01-01T00:00:00Z", "knowledge": "x"}, {"v": 1, "kind": "said", "at": "2025-01-01T00:00:01Z", "text": "no spark"},
    {"v": 1, "kind": "given", "at": "", "fact": "start-by", "value": "kick"}, {"v": 1, "kind": "asked", "what": "question", "id": "cranking", "choices": ["none"], "plain": ["x"]},
    {"v": 1, "kind": "asked", "what": "proof", "id": "plug-fouled", "choices": ["yes", "no"], "plain": ["a", "b"]}, {"v": 1, "kind": "said", "at": "x", "text": "yes"},
    {"v": 1, "kind": "asked", "what": "doubt", "id": "it", "choices": ["cranking=none", "x=y"], "plain": ["a", "b"]}, {"v": 1, "kind": "mended", "lines": [2]},
    {"v": 1, "kind": "asked", "what": "repair", "id": "plug-fouled", "choices": [], "plain": []}, {"v": 1, "kind": "resumed", "knowledge": "y"}, {"v": 2, "kind": "new"},
    {"v": 1, "kind": "given", "fact": "displacement-cc", "value": "many"}, {"v": 1, "kind": "given", "fact": "cranking", "value": 3}, {"v": 1, "kind": "said", "text": "undo"}))


def sound(target: str) -> list[bytes]:
    """Inputs that are nothing special, to start from."""
    if target == "loader":
        files = [*sorted((ROOT / "tests" / "rulebook" / "base").glob("*.yaml")), *sorted((ROOT / "tests" / "rulebook" / "broken").glob("*.yaml"))]
        small = [path.read_bytes() for path in files if path.stat().st_size < 4000]
        return [how + data for data in small for how in (b"\x00", b"\x50")]
    if target == "log":
        return [b"".join(_LOG[:3]), b"".join(_LOG), *_LOG]
    lead = [b""] if target == "ask" else [bytes([n]) for n in range(8)]
    return [lead[i % len(lead)] + story.encode() for i, story in enumerate(_STORIES)]


def words(target: str) -> list[bytes]:
    """Pieces that are worth putting in."""
    odd = [w.encode("utf-8", "surrogatepass") for w in _ODD]
    if target == "loader":
        return [*odd, *(w.encode() for w in _YAML)]
    if target == "log":
        return [*odd, *_LOG, b'"v":', b'"kind":', b'"text":', b"[" * 50, b'{"v":1,', b"}", b"\\ud800", b"1e400", b"NaN", b"null"]
    return [*odd, *(w.encode() for story in _STORIES for w in story.split()), b" and ", b" but ", b". ", b"? "]


class Hands:
    """Changes inputs without thinking, by dice. `corpus` grows by what `keep` is given."""

    def __init__(self, target: str, dice: random.Random, longest: int = 6000) -> None:
        self.dice, self.longest = dice, longest
        self.corpus: list[bytes] = sound(target)
        self.words = words(target)

    def next(self) -> bytes:
        """A new input."""
        dice = self.dice
        data = bytearray(dice.choice(self.corpus))
        for _ in range(dice.choice((1, 1, 2, 3, 5, 9))):
            at = dice.randint(0, len(data))
            way = dice.random()
            if way < 0.35:
                data[at:at] = dice.choice(self.words)
            elif way < 0.5:
                data[at: at + dice.randint(1, 12)] = b""
            elif way < 0.62:
                other = dice.choice(self.corpus)
                start = dice.randint(0, len(other))
                data[at:at] = other[start: start + dice.randint(1, 60)]
            elif way < 0.74:
                data[at: at + 1] = bytes([dice.randrange(256)])
            elif way < 0.84:
                data[at: at + 1] = dice.choice((" ", "\n", ".", ",", "é", "0", "-")).encode()
            elif way < 0.92 and data:
                end = min(len(data), at + dice.randint(1, 30))
                data[at:at] = bytes(data[at:end]) * dice.choice((2, 3, 30))
            else:
                data = bytearray(dice.choice(self.words) * dice.choice((1, 3, 60))) + data
        return bytes(data[: self.longest])


def failures(target: str) -> Sequence[Path]:
    """Inputs that failed once, kept as files."""
    return sorted((SEEDS / target).glob("*.bin"))
