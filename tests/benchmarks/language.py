"""What each layer of the reader earns: `python -m tests.benchmarks.language [STORIES.jsonl ...] [--json]`.

Every row reads all stories with one layer taken away; the first two are the plain ways to do without most of them.
"""

from __future__ import annotations

import argparse
import json
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import Any, Iterator
from unittest.mock import patch

from assistant.dialogue.think import Mind
from assistant.language import clauses, match, measures, polarity, scenes, weigh
from assistant.language.polarity import Sense
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from tests.language.sentences import SCOPED
from tests.scoring import read_stories, score_story, total

OWN = Path(__file__).parents[1] / "language" / "own-stories.jsonl"
SHOWN = ("fact_precision", "fact_recall", "reading_precision", "reading_recall", "reversed", "top1", "top3", "brier")
_SLIP_EVERY = 6  # words of six letters and more between two slips of the finger, in the misspelt stories


def _meant(*_: Any) -> Sense:
    return Sense(True, False, 1.0, "now")


def _exact(lexicon, word: str) -> list[tuple[str, float]]:
    return [(lexicon.vocabulary.get(word, word), 1.0)]


def _nothing_between(lexicon, tokens, start: int, end: int, gap: bool):
    return (0.0, False, 0) if start == end or gap else None


def _no(*_: Any) -> bool:
    return False


def layers() -> Iterator[tuple[str, list]]:
    """Each row: its name, and what is put in place of what."""
    senseless = [patch.object(weigh, "sense", _meant), patch.object(weigh, "denied", _no), patch.object(scenes, "sense", _meant)]
    whole = [patch.object(clauses, "_FRAGMENT", 0)]
    yield "plain token matching", [*senseless, *whole, patch.object(match, "resolve", _exact), patch.object(match, "_between", _nothing_between),
                                   patch.object(scenes, "told", lambda *_: [])]
    yield "fuzzy, no clause or negation", [*senseless, *whole, patch.object(scenes, "told", lambda *_: [])]
    yield "without typing slips", [patch.object(match, "resolve", lambda lexicon, word: [o for o in RESOLVE(lexicon, word) if o[1] > 0.95] or [(word, 1.0)])]
    yield "without loose words between", [patch.object(match, "_between", _nothing_between)]
    yield "without negation", [patch.object(polarity, "_negated", _no)]
    yield "without questions and conditions", [patch.object(polarity, "_asked", _no), patch.object(polarity, "_supposed", _no)]
    yield "without answers to one's own questions", [patch.object(clauses, "_told", lambda *_: None)]
    yield "without other machines", [patch.object(clauses.Sentence, "of_another", _no)]
    yield "without plans", [patch.object(polarity, "_planned", _no)]
    yield "without doubt words", [patch.object(polarity, "_hedged", _no)]
    yield "without time", [patch.object(polarity, "_when", lambda *_: "now")]
    yield "without the manual's numbers", [patch.object(measures, "_of_book", _no)]
    yield "without parts in any order", [patch.object(match, "_gather", lambda *_: [])]
    yield "without scenes", [patch.object(scenes, "told", lambda *_: [])]
    yield "without fragments joined", whole
    yield "all of it", []


RESOLVE = match.resolve


def misspelt(text: str) -> str:
    """The text with two letters changed over in every so many long words, always the same ones."""
    words, count = text.split(" "), 0
    for place, word in enumerate(words):
        if len(word) >= 6 and word.isalpha():
            count += 1
            if count % _SLIP_EVERY == 0:
                words[place] = word[:3] + word[4] + word[3] + word[5:]
    return " ".join(words)


def scoped_wrong(mind: Mind) -> int:
    """How many of the sentences about scope are taken wrongly."""
    wrong = 0
    for text, said, unsaid in SCOPED:
        found = {(s.fact, s.value) for s in mind.reader.read(text).statements if not s.denied and s.when == "now"}
        wrong += said is not None and said not in found or unsaid in found
    return wrong


def main(arguments: list[str] | None = None) -> int:
    """The command."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("stories", type=Path, nargs="*", default=[OWN])
    options.add_argument("--json", action="store_true")
    chosen = options.parse_args(arguments)
    mind = Mind(load(knowledge_folder()))
    stories = [s for path in chosen.stories for s in read_stories(path)]
    slipped = [{**s, "turns": [misspelt(t) for t in s["turns"]]} for s in stories]
    shown = (*SHOWN, "misspelt_recall", "scope_wrong")
    rows = []
    for name, changes in layers():
        with ExitStack() as stack:
            for change in changes:
                stack.enter_context(change)
            figures = total([score_story(mind, s) for s in stories])
            slips = total([score_story(mind, s) for s in slipped])["fact_recall"]
            wrong = scoped_wrong(mind)
            mind.reader.lexicon.resolved.clear()
        rows.append({"layer": name, **{k: round(figures[k], 3) for k in SHOWN}, "misspelt_recall": round(slips, 3), "scope_wrong": wrong})
    if chosen.json:
        print(json.dumps(rows))
        return 0
    print(f"{'':34}" + "".join(f"{k.replace('_precision', ' P').replace('_recall', ' R').replace('_', ' '):>12}" for k in shown))
    for row in rows:
        print(f"{row['layer']:34}" + "".join(f"{row[k]:12}" for k in shown))
    return 0


if __name__ == "__main__":
    sys.exit(main())
