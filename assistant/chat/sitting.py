"""One person at one conversation: what is typed goes in, rows to show come out. Knows no terminal."""

from __future__ import annotations

import time
import traceback
from pathlib import Path
from typing import TYPE_CHECKING, Callable

from assistant.chat.picture import Row
from assistant.chat.screen import Marks, View, compose, remark_rows
from assistant.chat.warm import Warm
from assistant.problems import KnowledgeError, count
from assistant.session.events import Event
from assistant.session.keeper import Keeper, now
from assistant.session.log import Contents

if TYPE_CHECKING:
    from assistant.dialogue.case import Case
    from assistant.records import Answer

MAX_CHARACTERS = 20_000
_WELCOME = ("Tell me what the machine does, what it will not do, and what was last touched, in your own words.",
            "\"help\" shows what else you can say.")
_STOPPED = "Stopped. Say it again, or go on with something else."
_PERHAPS = "If you want to leave: \"quit\" by itself, or Ctrl-D."
_GOODBYE = 60  # characters: no longer message is looked at for a good-bye
_COURTESIES = {"thanks", "hello"}
_PICTURED = ("next", "question", "repair", "workshop")


class Sitting:
    """A conversation in the chat. `view` is asked for anew at each answer: windows change."""

    def __init__(self, warm: Warm, keeper: Keeper, view: Callable[[], View], contents: Contents | None = None, key_help: tuple[str, ...] = ()) -> None:
        self.warm = warm
        self.keeper = keeper
        self.case: "Case | None" = None
        self._view = view
        self._contents = contents
        self._key_help = key_help
        self.failed = False  # the program cannot answer at all

    def begin(self) -> list[Row]:
        """The first rows: a word of welcome, or how an earlier conversation stands. Raises KnowledgeError."""
        if self._contents is None:
            return self._remarks(*_WELCOME)
        rows = self._remarks(f"Going on with conversation {self.keeper.name}.")
        try:
            return [*rows, [], *self._recap()]
        except KnowledgeError:
            raise
        except Exception as error:
            self.failed = self.case is None
            return [*rows, *self._trouble(error)]

    def hear(self, text: str) -> tuple[list[Row], bool]:
        """The answer to one message as rows, and whether the person is leaving. Raises KnowledgeError only."""
        if not text.strip():
            return [], False
        if len(text) > MAX_CHARACTERS:
            return self.too_long(len(text)), False
        try:
            case = self._open()
        except KeyboardInterrupt:
            return self._remarks(_STOPPED), False
        except KnowledgeError:
            raise
        except Exception as error:
            self.failed = True
            self.keeper(Event("said", {"text": text}, now()))  # answered when it is gone on with
            return self._trouble(error), True
        try:
            goodbye = self._goodbye(case, text)
            if goodbye == "leave":
                return [], True
            changed = self._renewed(case)
            case = self.case or case
            if not case.events:  # begun at the first words, so that an empty conversation leaves nothing on the disk
                case.add(Event("opened", {"knowledge": case.mind.book.fingerprint}))
            answer = case.say(text)
            return [*changed, *self._answer_rows(case, answer), *self._remarks(*self._sheet(case), *([_PERHAPS] if goodbye else []))], False
        except KeyboardInterrupt:
            return self._remarks(_STOPPED), False
        except Exception as error:
            return self._trouble(error), False

    def _sheet(self, case: "Case") -> list[str]:
        """Where the job sheet lies that was asked for just now, in a line; nothing where none was asked for."""
        if not any(i.kind == "sheet" for i in case.state.heard.intents):
            return []
        from assistant.sheet.files import save  # late: most conversations ask for none

        return [save(case, [Path.cwd(), self.keeper.store.data], self.keeper.name).line]

    def too_long(self, characters: int) -> list[Row]:
        """What is said to a message past the limit."""
        return self._remarks(f"That is {characters:,} characters, and I read up to {MAX_CHARACTERS:,} in one message. "
                             "It is not kept; send me the part that matters, or in pieces.")

    def end(self) -> list[Row]:
        """The last rows: what is kept, and how to go on. Lets go of the log."""
        self.keeper.close()
        lines = []
        if self.keeper.unsaved:
            lines.append(f"Not saved: {count(len(self.keeper.unsaved), 'entry', 'entries')} of this conversation; the log could not be written.")
        elif self.keeper.path is not None:
            command = f"tickover resume {self.keeper.name}"
            if self.keeper.moved:
                command = f"TICKOVER_DATA={self.keeper.store.data} {command}"
            lines.append(f"Kept as conversation {self.keeper.name}. To go on with it: {command}")
        return self._remarks(*lines)

    def open_work(self) -> tuple[list[str], float]:
        """What stands open on the machine, in plain words, and the minutes spent."""
        if self.case is None:
            return [], 0.0
        access = self.case.mind.book.access
        return [access[a].plain for a in sorted(self.case.state.opened) if a in access and access[a].within is not None], self.case.state.minutes

    def _open(self) -> "Case":
        """The case, made when it is first needed: until then the files are being read."""
        if self.case is None:
            from assistant.dialogue.case import Case

            self.case = Case(self.warm.mind(), self.keeper, now)
        return self.case

    def _renewed(self, case: "Case") -> list[Row]:
        """Rows about knowledge files that were saved since the last message. Files that cannot be used change nothing."""
        try:
            news = self.warm.news()
            if news is None:
                return []
            from assistant.chat import renew

            if isinstance(news, list):
                return [*self._remarks(*renew.refused(news)), []]
            from assistant.dialogue.case import Case

            new = Case(news, self.keeper, now)
            lines = renew.taken_up(case, new)
            self.case = new
            return [*self._remarks(*lines), []]
        except Exception as error:
            return [*self._trouble(error), []]

    def _recap(self) -> list[Row]:
        from assistant.chat import reopen
        from assistant.dialogue.replies import summary
        from assistant.dialogue.turn import respond

        assert self._contents is not None
        case = self._open()
        mind = case.mind
        missed = reopen.replay(case, self._contents.events)
        remarks = self._remarks(*reopen.remarks(mind.book, self._contents.events, missed))
        case.add(Event("resumed", {"knowledge": mind.book.fingerprint}))
        thinking = case.think()
        turn = respond(mind, case.state, thinking)
        if turn.asked is not None and turn.asked.data != _asked(case):
            case.add(turn.asked)
        rows = compose(summary(mind.book, case.state, thinking), [], self._view(), "said")
        return [*remarks, *rows, [], *self._answer_rows(case, turn.answer)]

    def _answer_rows(self, case: "Case", answer: "Answer") -> list[Row]:
        from assistant.dialogue.cards import points

        lines = list(answer.lines)
        if any(i.kind == "help" for i in case.state.heard.intents):
            lines = _after_notes(lines, [("note", line) for line in self._key_help])
        drawn = points(case.mind.book, case.thinking) if answer.kind in _PICTURED and case.thinking is not None else []
        pending = case.state.pending
        marks = Marks(len(pending.choices) if pending is not None else None, lettered(case))
        return compose(lines, drawn, self._view(), answer.kind, marks)

    def _goodbye(self, case: "Case", text: str) -> str:
        """leave: the message is a good-bye and nothing else, so it is no event of the case. perhaps: a story may use such words too."""
        if len(text) > _GOODBYE:
            return ""
        try:
            heard = case.mind.reader.read(text, case.state.pending)
        except Exception:
            return ""  # it is kept first, and fails again where it can be told about
        kinds = {i.kind for i in heard.intents} - _COURTESIES
        if kinds != {"quit"} or heard.statements or heard.readings or heard.doubts:
            return ""
        covered = {place for i in heard.intents for place in range(i.span.start, i.span.end)}
        return "perhaps" if any(c.isalnum() and place not in covered for place, c in enumerate(text)) else "leave"

    def _remarks(self, *lines: str) -> list[Row]:
        """These lines and whatever the keeper has to say, as rows."""
        waiting, self.keeper.remarks = list(self.keeper.remarks), []
        return remark_rows([*waiting, *lines], self._view())

    def _trouble(self, error: Exception) -> list[Row]:
        """A failure of the program in one line: what, where what was said lies, where the report lies, how to go on."""
        place = traceback.extract_tb(error.__traceback__)[-1:]
        where = f" in {Path(place[0].filename).name}, line {place[0].lineno}" if place else ""
        report = self._report(error)
        kept = f"What you said is kept in {self.keeper.path}" if self.keeper.path is not None else "Nothing was said yet"
        onward = "I have to stop here" if self.failed else "Go on another way, or say \"take that back\""
        return self._remarks(f"I could not work out an answer ({type(error).__name__}{where}). {kept}"
                             f"{f'; the report is {report}' if report else ''}. {onward}.")

    def _report(self, error: Exception) -> Path | None:
        folder = self.keeper.store.data / "reports"
        path = folder / f"{time.strftime('%Y%m%d-%H%M%S')}.txt"
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            path.write_text("".join(traceback.format_exception(error)), "utf-8", "backslashreplace")
        except OSError:
            return None
        return path


def lettered(case: "Case") -> bool:
    """Whether the open choices are picked by letter: where a check gives a number, a bare number is that reading."""
    pending = case.state.pending
    return pending is not None and pending.kind == "check" and case.mind.book.checks[pending.id].reading is not None


def _asked(case: "Case") -> dict:
    pending = case.state.pending
    if pending is None:
        return {}
    return {"what": pending.kind, "id": pending.id, "choices": list(pending.choices), "plain": list(pending.plain)}


def _after_notes(lines: list[tuple[str, str]], more: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """More notes put after the last note of the answer."""
    last = max((i for i, (role, _) in enumerate(lines) if role == "note"), default=-1)
    return [*lines[: last + 1], *more, *lines[last + 1:]]
