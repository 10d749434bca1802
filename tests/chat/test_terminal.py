"""The prompt driven by keys: what is typed, pasted, dropped and left ends where it should."""

import threading
import time

import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from assistant.chat.history import MAX_BYTES, TolerantHistory
from assistant.chat.keys import CANCELLED
from assistant.chat.screen import to_text
from assistant.chat.terminal import Terminal
from assistant.problems import KnowledgeError, Problem
from assistant.session.log import read

PAUSE = 0.7  # seconds: Tab looks for its suggestions in the background
PATIENCE = 30  # seconds for an answer on a busy machine
CTRL_C, CTRL_D, ENTER, ALT_ENTER, TAB, UP = "\x03", "\x04", "\r", "\x1b\r", "\t", "\x1b[A"


def paste(text):
    """What a terminal sends for a paste."""
    return f"\x1b[200~{text}\x1b[201~"


@pytest.fixture
def at_prompt(sit, tmp_path):
    """Types these keys at a prompt, a None being a pause, in which what was sent is answered first; returns the exit status, the messages kept, and all that was shown."""

    def feed(source, keys, shown):
        sent = 0
        for part in [keys] if isinstance(keys, str) else keys:
            if part is None:
                latest = time.monotonic() + PATIENCE
                while len(shown) < sent and time.monotonic() < latest:
                    time.sleep(0.01)
                time.sleep(PAUSE)
            else:
                sent += part.count(ENTER)
                source.send_text(part)

    def act(keys, history=None, **options):
        shown = []
        with create_pipe_input() as source:
            threading.Thread(target=feed, args=(source, keys, shown), daemon=True).start()
            terminal = Terminal(history, source, DummyOutput())
            terminal._show = lambda rows: shown.append(to_text(rows))
            sitting = sit(**options)
            status = terminal.run(sitting)
        path = sitting.keeper.path
        return status, [e.data["text"] for e in read(path).events if e.kind == "said"] if path else [], "\n".join(shown)

    return act


def test_a_typed_line_is_said(at_prompt):
    """Enter sends; Ctrl-D on an empty line leaves; leaving says how to go on."""
    status, said, shown = at_prompt("it turns over fine" + ENTER + CTRL_D)
    assert (status, said) == (0, ["it turns over fine"])
    assert "Heard" in shown and "tickover resume 1" in shown


def test_a_paste_of_several_lines_is_one_message(at_prompt):
    """Line ends inside a paste do not send it, whatever their kind."""
    _, said, _ = at_prompt(paste("it was left all winter\r\nno spark\rnobody touched it") + ENTER + CTRL_D)
    assert said == ["it was left all winter\nno spark\nnobody touched it"]


def test_alt_enter_begins_a_new_line(at_prompt):
    """A message can be typed in lines."""
    assert at_prompt("no spark" + ALT_ENTER + "no fuel" + ENTER + CTRL_D)[1] == ["no spark\nno fuel"]


def test_ctrl_c_drops_the_line_and_a_second_one_leaves(at_prompt):
    """The dropped line is not said; one Ctrl-C between two messages does not leave."""
    status, said, shown = at_prompt("nonsense" + CTRL_C + "no spark" + ENTER + CTRL_C + "it turns over fine" + ENTER + "more" + CTRL_C + CTRL_C)
    assert (status, said) == (0, ["no spark", "it turns over fine"])
    assert shown.count(CANCELLED) == 3


@pytest.mark.parametrize("keys", [CTRL_D, CTRL_C + CTRL_C, "quit" + ENTER, ENTER + "   " + ENTER + CTRL_D])
def test_leaving_at_once_keeps_nothing(at_prompt, tmp_path, keys):
    """Where nothing was said there is no conversation, and no word about one."""
    status, said, shown = at_prompt(keys)
    assert (status, said) == (0, []) and "resume" not in shown and not (tmp_path / "conversations").exists()


def test_a_quick_answer_by_tab(at_prompt):
    """Tab shows them, Tab again takes the first, Enter sends it: an answer to the open question."""
    _, said, _ = at_prompt(["no spark" + ENTER, None, TAB, None, TAB, None, ENTER + CTRL_D])
    assert len(said) == 2 and said[1]


def test_a_giant_paste_is_refused_and_the_line_stays(at_prompt):
    """A megabyte is not taken in; the limit is said; what was typed before it can still be sent."""
    _, said, shown = at_prompt("no spark" + paste("x" * 1_000_000) + ENTER + CTRL_D)
    assert said == ["no spark"] and "1,000,000 characters" in shown and "20,000" in shown


def test_bad_knowledge_files_end_the_prompt(at_prompt):
    """The complaints reach the caller though nobody has pressed a key."""
    error = KnowledgeError([Problem("a.yaml", 1, 1, "error", "x", "y", "z")])
    with pytest.raises(KnowledgeError):
        at_prompt("half a line", error=error)


def test_an_engine_that_cannot_be_made_ends_in_words(at_prompt):
    """Another failure shows at the first message: the words are kept, the status is 1."""
    status, said, shown = at_prompt("no spark" + ENTER, error=RuntimeError("x"))
    assert (status, said) == (1, ["no spark"]) and "RuntimeError" in shown


def test_history_is_kept_between_runs(at_prompt, tmp_path):
    """The arrow brings back what was typed in an earlier run, several lines together."""
    at_prompt(paste("no spark\nat all") + ENTER + CTRL_D, history=TolerantHistory(tmp_path / "h" / "typed"))
    _, said, _ = at_prompt(UP + UP + ENTER + CTRL_D, history=TolerantHistory(tmp_path / "h" / "typed"))
    assert said == ["no spark\nat all"]


def test_history_troubles_are_nobodys_business(at_prompt, tmp_path):
    """A history file that cannot be made, read or is rubbish changes nothing."""
    (tmp_path / "file").write_text("x")
    rubbish = tmp_path / "rubbish"
    rubbish.write_bytes(b"\xff\x00\n+\xfe\n# \n+ok\n")
    for path in (tmp_path / "file" / "typed", tmp_path, rubbish):
        assert at_prompt("no spark" + ENTER + CTRL_D, history=TolerantHistory(path))[1] == ["no spark"]


def test_a_long_history_is_trimmed(tmp_path):
    """The file does not grow for ever; the newest messages stay."""
    path = tmp_path / "typed"
    path.write_text("".join(f"\n# 2025\n+message {n} {'x' * 100}\n" for n in range(8000)))
    strings = list(TolerantHistory(path).load_history_strings())
    assert path.stat().st_size < MAX_BYTES and strings[0].startswith("message 7999")


def test_going_on_shows_the_story_so_far(at_prompt):
    """A resumed conversation opens with what is known and what is asked."""
    at_prompt("no spark at all" + ENTER + CTRL_D)
    _, said, shown = at_prompt("it turns over fine" + ENTER + CTRL_D, resume="")
    assert said == ["no spark at all", "it turns over fine"] and "Going on with conversation 1" in shown
