"""A phrase that adds nothing: all it can hear is heard by another phrase for the same value.

Phrases are compared as they are heard, by stems, so "cranks" and "cranking" are one word.

Bad:
    phrases:
      lamp:
        dim: [lamp is (dim|faint|yellow), lamp is yellow]

Good:
    phrases:
      lamp:
        dim: [lamp is (dim|faint|yellow), lamp glows yellow]
"""

from __future__ import annotations

from typing import Iterator

from assistant.problems import quoted
from assistant.trainer.finding import Edit, Finding
from assistant.trainer.view import View

CODE = "phrase-shadowed"
LEVEL = "warning"
PARTIAL = True  # asked even when some part of the files cannot be read


def check(view: View) -> Iterator[Finding]:
    """One finding for each such phrase; of two that hear the same, the later one."""
    for a, b in view.phrase_pairs.shadowed:
        place = view.phrase_at(a)
        yield Finding(place, f"{quoted(a.pattern)} hears nothing that {quoted(b.pattern)} at {b.file}:{b.line} does not hear for '{a.topic}: {a.value}' too.",
                      "take it out.", Edit(a.file, a.line, a.pattern, None, place[2]))
