"""A phrase that breaks the small pattern language and is therefore never heard.

Bad:
    phrases:
      lamp:
        dim: [lamp is (faint]

Good:
    phrases:
      lamp:
        dim: [lamp is (faint|yellow)]
"""

from __future__ import annotations

import re
from typing import Iterator

from assistant.language.patterns import PatternError, parse
from assistant.problems import quoted
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

_MARKS = re.compile(r"[<>()\[\]|{}~]|\.\.\.")  # of a pattern, which mean nothing in a member of a class
CODE = "phrase-does-not-read"
LEVEL = "error"
PARTIAL = True  # asked even when some part of the files cannot be read


def check(view: View) -> Iterator[Finding]:
    """One finding for each such phrase, name of a measurement, or thing said to the assistant."""
    for phrase, reason in view.phrase_pairs.bad:
        yield Finding(view.phrase_at(phrase), f"The phrase {quoted(phrase.pattern)} does not read: {reason}.", "correct it; see 'phrases' in DEVELOPERS.md.")
    for entry in view.book.measured.values():
        for key, patterns in (("named", entry.named), ("while", entry.while_)):
            for index, pattern in enumerate(patterns):
                reason = _trouble(pattern, view)
                if reason:
                    yield Finding(view.at("measured", entry.id, key, index), f"The name {quoted(pattern)} does not read: {reason}.",
                                  "correct it; see 'phrases' in DEVELOPERS.md.")
    for source in view.sources:
        classes = source.value.get("words") if isinstance(source.value, dict) else None
        for name, members in classes.items() if isinstance(classes, dict) else ():
            for index, member in enumerate(members if isinstance(members, list) else ()):
                if _MARKS.search(str(member)):
                    yield Finding((source.file, *source.at(("words", name, index))), f"The word class '{name}' holds {quoted(str(member))}, which no message is ever heard as.",
                                  "write the words out: brackets, gaps and classes stand in phrases only.")
    for source, kind, index, pattern in view.talk_lines():
        reason = _trouble(pattern, view)
        if reason:
            yield Finding((source.file, *source.at(("talk", kind, index))), f"The words {quoted(pattern)} do not read: {reason}.",
                          "correct them; see 'phrases' in DEVELOPERS.md.")


def _trouble(pattern: str, view: View) -> str | None:
    try:
        parse(pattern, view.book.words)
    except PatternError as error:
        return str(error)
    return None
