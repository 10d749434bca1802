"""The knowledge files read and compiled in a background thread, while the person types the first message."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Callable

if TYPE_CHECKING:
    from assistant.dialogue.think import Mind
    from assistant.problems import Problem
    from assistant.rulebook.reload import Watcher


class Warm:
    """A Mind in the making. `start` begins it, `mind` waits for it."""

    def __init__(self, knowledge: str | None) -> None:
        self._knowledge = knowledge
        self._mind: "Mind | None" = None
        self._thread: threading.Thread | None = None
        self._when_ready: Callable[[], None] | None = None
        self._watcher: "Watcher | None" = None
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

    def news(self) -> "None | Mind | list[Problem]":
        """None while the files are as they were; a new Mind where they were saved anew, which is in force from then on; or what is wrong with them.

        A look at the dates of the files is all it costs where nothing changed. Call it when the Mind is there.
        """
        found = self._watcher.poll() if self._watcher is not None else None
        if found is None or isinstance(found, list):
            return found
        from assistant.dialogue.rehearse import rehearse
        from assistant.dialogue.think import Mind

        mind = Mind(found)
        rehearse(mind)
        self._mind = mind
        return mind

    def _make(self) -> None:
        try:
            from assistant.dialogue.rehearse import rehearse
            from assistant.dialogue.think import Mind
            from assistant.rulebook.find import knowledge_folder
            from assistant.rulebook.load import load
            from assistant.rulebook.reload import Watcher

            folder = knowledge_folder(self._knowledge)
            watcher = Watcher(folder)  # before they are read: what is saved meanwhile is news
            mind = Mind(load(folder))
            watcher.holds(mind.book)
            rehearse(mind)
            self._mind, self._watcher = mind, watcher
        except BaseException as error:  # whatever it is belongs to the thread that asks for the Mind
            self.error = error
        if self._when_ready is not None:
            self._when_ready()
