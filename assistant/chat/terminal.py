"""The chat at a terminal: prompt, keys, menu and toolbar by prompt_toolkit; answers printed above."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from prompt_toolkit import PromptSession, print_formatted_text
from prompt_toolkit.application import run_in_terminal
from prompt_toolkit.formatted_text import FormattedText

from assistant.chat.completer import completer
from assistant.chat.history import TolerantHistory
from assistant.chat.keys import CANCELLED, bindings
from assistant.chat.picture import Row
from assistant.chat.screen import View, remark_rows, to_fragments
from assistant.chat.sitting import MAX_CHARACTERS, Sitting
from assistant.chat.style import style
from assistant.chat.toolbar import toolbar
from assistant.problems import KnowledgeError

if TYPE_CHECKING:
    from prompt_toolkit.input import Input
    from prompt_toolkit.output import Output

_MENU_ROWS = 8


class Terminal:
    """A person at a terminal. `input` and `output` are prompt_toolkit's; tests give their own."""

    def __init__(self, history: TolerantHistory | None = None, input: "Input | None" = None, output: "Output | None" = None) -> None:
        self._sitting: Sitting | None = None
        self._session: PromptSession[str] = PromptSession(
            message=[("class:prompt", "> ")], prompt_continuation=[("class:prompt", "  ")], multiline=True, history=history,
            completer=completer(lambda: self._sitting.case if self._sitting else None), complete_while_typing=False,
            reserve_space_for_menu=_MENU_ROWS, key_bindings=bindings(MAX_CHARACTERS, self._refuse), bottom_toolbar=self._toolbar, style=style(),
            include_default_pygments_style=False, input=input, output=output)

    def view(self) -> View:
        """The width of the window now."""
        output = self._session.output
        return View(output.get_size().columns, output.encoding() or "ascii")

    def run(self, sitting: Sitting) -> int:
        """The whole conversation. Returns the exit status; KnowledgeError goes to the caller."""
        self._sitting = sitting
        self._show(sitting.begin())
        cancelled = told = False
        while not sitting.failed:
            try:
                if cancelled and not told:
                    self._show(remark_rows([CANCELLED], self.view()))
                told = cancelled
                text = self._session.prompt(pre_run=self._begin_warming)
                cancelled = told = False
                rows, leaving = sitting.hear(text)
                self._show(rows)
                if leaving:
                    break
            except KeyboardInterrupt:
                if cancelled:
                    break
                cancelled = True
            except EOFError:
                break
        self._show(sitting.end())
        return int(sitting.failed)

    def _begin_warming(self) -> None:
        """The prompt stands; now the files may be read. Bad files end the prompt with their complaints."""
        assert self._sitting is not None
        warm, app = self._sitting.warm, self._session.app
        loop: Any = app.loop

        def on_ready() -> None:
            if not app.is_running:
                return
            if not isinstance(warm.error, KnowledgeError):
                app.invalidate()  # any other failure is told about at the next message
            elif not app.is_done:
                if app.current_buffer.text.strip() and self._session.history is not None:
                    self._session.history.append_string(app.current_buffer.text)  # half a message is not lost with it
                app.exit(exception=warm.error)

        def from_thread() -> None:
            try:
                loop.call_soon_threadsafe(on_ready)
            except RuntimeError:
                pass  # the prompt was left already; whoever needs the Mind next meets the error

        warm.start(from_thread)

    def _refuse(self, characters: int) -> None:
        """A paste was too long: say so above the line being typed, which stays."""
        assert self._sitting is not None
        rows = self._sitting.too_long(characters)
        run_in_terminal(lambda: self._show(rows))

    def _toolbar(self) -> list[tuple[str, str]]:
        if self._sitting is None:
            return []
        opened, minutes = self._sitting.open_work()
        view = self.view()
        return toolbar(opened, minutes, view.columns, self._sitting.warm.ready, view.encoding)

    def _show(self, rows: list[Row]) -> None:
        if rows:
            print_formatted_text(FormattedText([("", "\n"), *to_fragments(rows)]), style=style(), output=self._session.output,
                                 include_default_pygments_style=False)
