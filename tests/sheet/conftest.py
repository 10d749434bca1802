"""What the tests of the sheet share: conversations on the small trade, and one that says harmful things."""

from __future__ import annotations

import pytest

from assistant.dialogue.case import Case
from assistant.session.events import Event
from tests.explain.small import mind

HARMFUL = ("cranks slowly <script>alert('x')</script> <img src=x onerror=alert(1)> \x1b[31mred\x1b[0m \x1b]0;title\x07 \u202egnp.exe | `code` **bold** "
           "[link](javascript:alert(1)) ![i](http://x/y.png) & &lt; \"quoted\" 'single'\n# no heading\n- no list\n1. no number\n---\n> no quote\n</style></svg><h1>no</h1>\n\x00\x9b31m")


@pytest.fixture
def conversation():
    """Makes a case from messages, each heard without an answer, so that no test hangs on what would be asked next.

    A pair (what, id) is what had been asked before the next message: ("repair", "battery-flat"). The times are fixed.
    """

    def make(*messages: str | tuple[str, str], given: dict | None = None) -> Case:
        clock = iter(f"2026-03-01T10:{m:02}:{s:02}Z" for m in range(60) for s in range(60))
        case = Case(mind(), now=lambda: next(clock))
        for fact, value in (given or {}).items():
            case.add(Event("given", {"fact": fact, "value": value}))
        for message in messages:
            if isinstance(message, str):
                case.hear(message)
            else:
                case.add(Event("asked", {"what": message[0], "id": message[1], "choices": list(mind().book.values(message[1])), "plain": []}))
        return case

    return make


@pytest.fixture
def usual(conversation):
    """A conversation that comes to something: story, readings, a check, a question back."""
    return conversation("it cranks slowly and the lights are dim", ("check", "rest-volts"), "battery reads 11.3 V", "no spark", "why", "air is 5 C",
                        given={"start-by": "button"})
