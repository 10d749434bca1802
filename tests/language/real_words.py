"""Finds real words that would be taken for a slip of a known word: `python -m tests.language.real_words WORDS.txt ...`.

Give it plain lists of English words, one a line (a Debian machine has them in wamerican-small and wbritish-small). It writes
the words to be left alone to the knowledge folder; run it again when many new words have come into the phrase files.
"""

from __future__ import annotations

import sys
import textwrap
from pathlib import Path

from assistant.language.lexicon import build
from assistant.language.spelling import resolve
from assistant.rulebook.load import load

KNOWLEDGE = Path(__file__).parents[2] / "knowledge"
FILE = KNOWLEDGE / "phrases" / "words-not-slips.yaml"
HEAD = """# Real words that look like a slip of one of ours and are none. Made by tests/language/real_words.py from lists of
# common English words; a word that is used in a phrase, or is a form of one, need not stand here.
language: en
words:
  not-fuzzed: [
"""


def main(paths: list[str]) -> int:
    """The command."""
    FILE.unlink(missing_ok=True)
    lexicon = build(load(KNOWLEDGE))
    words = {w.strip() for path in paths for w in Path(path).read_text(encoding="utf-8").splitlines()}
    plain = sorted(w for w in words if w.isascii() and w.islower() and w.isalpha() and len(w) >= 5)
    found = [w for w in plain if resolve(lexicon, w)[0][1] < 0.95]
    lines = textwrap.wrap(", ".join(f'"{w}"' if w in ("false", "true") else w for w in found), 150, break_on_hyphens=False)
    FILE.write_text(HEAD + "\n".join(f"    {line}" for line in lines) + "]\n", encoding="utf-8")
    print(f"{len(found)} of {len(plain)} words")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
