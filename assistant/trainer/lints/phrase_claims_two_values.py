"""One and the same sentence stands for two values of a topic, so that the person has to be asked which was meant.

Phrases are compared as they are heard: by stems, with alternatives and optional words spelt out.

Bad:
    phrases:
      lamp:
        dim: [(hardly|barely) any light]
        dead: [hardly any (light|lamp)]

Good:
    phrases:
      lamp:
        dim: [(hardly|barely) any light]
        dead: [not any (light|lamp)]
"""

from __future__ import annotations

from typing import Iterator

from assistant.problems import quoted
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "phrase-claims-two-values"
LEVEL = "warning"
PARTIAL = True  # asked even when some part of the files cannot be read


def check(view: View) -> Iterator[Finding]:
    """One finding for each pair of phrases, at the later one."""
    for a, b, sentence in view.phrase_pairs.rivals:
        yield Finding(view.phrase_at(b), f"{quoted(sentence)} stands for '{b.topic}: {b.value}' here and for '{a.topic}: {a.value}' at {a.file}:{a.line}.",
                      "keep it under one of them, or add the word that tells them apart.")
