"""The knowledge files as they are, and random conversations about them: for tests that must hold whatever the files say."""

from __future__ import annotations

from hypothesis import strategies as st

from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Denied, Is, Within, topics, walk
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load

BOOK = load(knowledge_folder())


def conversations(book: Rulebook, most: int = 8) -> st.SearchStrategy[list[Known]]:
    """Things that may have been said: what the conditions of a few rules ask for, and for some other topics any values or denials."""
    told = sorted({t for c in book.conditions.values() for t in topics(c) if book.values(t)})
    rules = sorted(book.conditions)

    @st.composite
    def conversation(draw: st.DrawFn) -> list[Known]:
        facts: dict[tuple[str, str], Known] = {}
        taken: set[str] = set()

        def say(topic: str, value: str, number: float | None, denied: bool) -> None:
            if topic not in taken or book.many(topic):
                sure = draw(st.sampled_from([0.55, 0.8, 1.0]))
                facts.setdefault((topic, value), Known(topic, value, number, denied, sure, len(facts), f"{topic} {value}"))
                if not denied:
                    taken.add(topic)

        for rule in draw(st.lists(st.sampled_from(rules), max_size=4)):
            for node in walk(book.conditions[rule]):
                if isinstance(node, (Is, Denied)):
                    say(node.topic, draw(st.sampled_from(node.values)), None, isinstance(node, Denied))
                elif isinstance(node, Within):
                    number = draw(st.sampled_from([b for b in (node.at_least, node.above, node.at_most, node.below) if b is not None]))
                    number += draw(st.sampled_from([-0.5, 0.0, 0.5]))
                    values = list(book.values(node.topic))
                    say(node.topic, draw(st.sampled_from(values)) if values else str(number), number, False)
        for topic in draw(st.lists(st.sampled_from(told), max_size=most, unique=True)):
            say(topic, draw(st.sampled_from(list(book.values(topic)))), None, draw(st.integers(0, 3)) == 0)
        return list(facts.values())

    return conversation()
