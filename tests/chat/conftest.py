"""What the chat's tests share: one Mind on the real files, and a way to sit a scripted person at the terminal."""

from __future__ import annotations

import pytest

from assistant.chat.screen import View
from assistant.chat.sitting import Sitting
from assistant.chat.warm import Warm
from assistant.session.keeper import Keeper
from assistant.session.store import Store


@pytest.fixture(scope="session")
def mind():
    """The real knowledge, read and compiled once."""
    return Warm(None).mind()


class Made(Warm):
    """A Warm whose Mind is there already, or whose making fails."""

    def __init__(self, mind=None, error=None):
        super().__init__(None)
        self._given, self._fails = mind, error

    def _make(self):
        self._mind, self.error = self._given, self._fails
        if self._when_ready is not None:
            self._when_ready()


@pytest.fixture
def sit(mind, tmp_path):
    """Makes sittings that keep their conversations under tmp_path; `resume` goes on with the last one."""

    def make(columns=80, encoding="utf-8", resume=None, mind=mind, error=None, keeper=None, key_help=()):
        keeper = keeper or Keeper(Store(tmp_path))
        contents = keeper.resume(resume) if resume is not None else None
        return Sitting(Made(mind, error), keeper, lambda: View(columns, encoding), contents, key_help)

    return make
