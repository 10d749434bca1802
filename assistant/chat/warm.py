"""The knowledge files read and compiled in a background thread, while the person types the first message."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Callable

if TYPE_CHECKING:
    from assistant.dialogue.think import Mind


class Warm:
    """A Mind in the making. `start` begins it, `mind` waits for it."""

    def __init__(self, knowledge: str | None) -> None:
        self._knowledge = knowledge
        self._mind: "Mind | None" = None
        self._thread: threading.Thread | None = None
        self._when_ready: Callable[[], None] | None = None
        self.error: BaseException | None = None

    @property
    def ready(self) -> bool:
        """Whether the files are read and the rules compiled, or it has failed."""
        return self._thread is not None and not self._thread.is_alive()

    @property
    def made(self) -> "Mind | None":
        """The Mind if it is there already."""
        return self._mind

    def start(self, when_ready: Callable[[], None] | None = None) -> None:
        """Begin, once. `when_ready` is called from the thread, at the end or at a failure."""
        if self._thread is None:
            self._when_ready = when_ready
            self._thread = threading.Thread(target=self._make, name="warm", daemon=True)
            self._thread.start()

    def mind(self) -> "Mind":
        """Wait for the Mind. Raises KnowledgeError where the files are bad, or whatever else stopped it."""
        self.start()
        assert self._thread is not None
        self._thread.join()
        if self.error is not None:
            raise self.error
        assert self._mind is not None
        return self._mind

    def _make(self) -> None:
        try:
            from assistant.dialogue.think import Mind
            from assistant.rulebook.find import knowledge_folder
            from assistant.rulebook.load import load

            mind = Mind(load(knowledge_folder(self._knowledge)))
            _rehearse(mind)
            self._mind = mind
        except BaseException as error:  # whatever it is belongs to the thread that asks for the Mind
            self.error = error
        if self._when_ready is not None:
            self._when_ready()


def _rehearse(mind: "Mind") -> None:
    """One message to nobody: whatever is compiled at its first use is compiled now."""
    from assistant.dialogue.case import Case

    try:
        Case(mind).say("it will not start")
    except Exception:
        pass  # a fault in answering shows at a real message, where it can be told about
