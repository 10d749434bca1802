"""The whole program as a person starts it: pipes, plain terminals, lost terminals, closed pipes, and the commands about the past."""

import os
import signal
import subprocess
import sys
import time

import pytest

from assistant.session.log import read
from assistant.session.store import Store

FOOT = b"leave"  # the end of the foot line: the prompt is there
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="other terminals there")


def start(tmp_path, *arguments, **options):
    """The program with its own data folder."""
    environment = {**os.environ, "TICKOVER_DATA": str(tmp_path / "data"), "PYTHONIOENCODING": "utf-8", **options.pop("env", {})}
    return subprocess.Popen([sys.executable, "-m", "assistant", *arguments], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                            env=environment, **options)


def run(tmp_path, text, *arguments, **options):
    """Feed it a text; returns status, output and errors."""
    process = start(tmp_path, *arguments, **options)
    out, err = process.communicate(text if isinstance(text, bytes) else text.encode(), timeout=60)
    return process.returncode, out.decode("utf-8", "replace"), err.decode()


def said(tmp_path, name="1"):
    """The messages of a conversation."""
    return [e.data["text"] for e in read(Store(tmp_path / "data").find(name)[0]).events if e.kind == "said"]


def test_a_pipe_gets_answers_without_control_codes(tmp_path):
    """Each line is a message; nothing but text and line ends comes out, even for hostile words; the end says how to go on."""
    status, out, err = run(tmp_path, "it turns over fine\n\x1b[31mwobble\x1b]0;x\x07\n\n")
    assert (status, err) == (0, "")
    assert not any(ord(c) < 32 and c != "\n" for c in out)
    assert "Heard" in out and "tickover resume 1" in out
    assert len(said(tmp_path)) == 2


@pytest.mark.parametrize("columns", [45, 80])
def test_a_pipe_keeps_to_the_width(tmp_path, columns):
    """COLUMNS is held to."""
    _, out, _ = run(tmp_path, "no spark at all and fuel pours out\nhelp\nwhy\n", env={"COLUMNS": str(columns)})
    assert max(map(len, out.splitlines())) <= columns


def test_an_ascii_pipe(tmp_path):
    """Where only ASCII can be shown, ASCII is what comes."""
    status, out, _ = run(tmp_path, "no spark \u2026 12.4\u00a0V caf\u00e9 \U0001f3cd\n", env={"PYTHONIOENCODING": "ascii"})
    assert status == 0 and out.isascii()


def test_bytes_that_are_no_text_and_a_giant_line(tmp_path):
    """Rubbish bytes are a message like any other; a megabyte in a line is refused with its length."""
    status, out, err = run(tmp_path, b"\xff\xfe\x00\x80 no spark\n" + b"x" * 1_000_000 + b"\nquit\n")
    assert (status, err) == (0, "") and "1,000,000 characters" in out
    assert len(said(tmp_path)) == 1


@POSIX
def test_a_reader_that_leaves(tmp_path):
    """When nobody reads the answers any more: no traceback, and what was said before is kept."""
    process = start(tmp_path)
    process.stdout.close()
    process.stdin.write(b"no spark at all\nit turns over\n")
    process.stdin.close()
    assert process.wait(60) == 1
    assert b"Traceback" not in process.stderr.read()
    process.stderr.close()


@POSIX
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT] + ([signal.SIGHUP] if hasattr(signal, "SIGHUP") else []))
def test_asked_to_end(tmp_path, number):
    """A signal ends it in order, with the status that tells which, and nothing of what was answered is missing."""
    process = start(tmp_path)
    process.stdin.write(b"no spark at all\n")
    process.stdin.flush()
    while b"Question" not in (line := process.stdout.readline()) and b"Next" not in line:
        assert line
    process.send_signal(number)
    process.stdin.write(b"\n")
    try:
        process.stdin.close()
    except BrokenPipeError:
        pass
    assert process.wait(60) == 128 + number
    assert b"Traceback" not in process.stderr.read() and said(tmp_path) == ["no spark at all"]
    process.stdout.close()
    process.stderr.close()


def test_bad_names_and_busy_conversations(tmp_path):
    """A conversation that is not there, or open elsewhere: one line, status 1, nothing changed."""
    assert run(tmp_path, "", "resume")[0] == 1
    run(tmp_path, "no spark\n")
    status, out, err = run(tmp_path, "", "resume", "../1")
    assert status == 1 and out == "" and err.count("\n") == 1
    _, log, _ = Store(tmp_path / "data").open("1")
    for arguments in (("resume", "1"), ("delete", "1")):
        status, _, err = run(tmp_path, "more\n", *arguments)
        assert status == 1 and err.count("\n") == 1 and "another chat" in err
    log.close()
    assert said(tmp_path) == ["no spark"]


def test_past_export_delete(tmp_path):
    """The list has a line for each, export copies, delete deletes."""
    assert "no earlier" in run(tmp_path, "", "past")[1]
    run(tmp_path, "no spark at all\n")
    status, out, _ = run(tmp_path, "", "past")
    assert status == 0 and "no spark at all" in out and out.count("\n") == 1
    assert run(tmp_path, "", "export", "1", str(tmp_path / "copy"))[0] == 0 and (tmp_path / "copy").exists()
    assert run(tmp_path, "", "export", "1", str(tmp_path / "copy"))[0] == 1
    assert run(tmp_path, "", "delete", "1")[0] == 0 and run(tmp_path, "", "resume", "1")[0] == 1


def test_a_folder_that_cannot_be_written(tmp_path):
    """The chat goes on, says once where the words are, and how to go on from there."""
    (tmp_path / "data").write_text("in the way")
    status, out, err = run(tmp_path, "no spark at all\nit turns over\n", env={"TMPDIR": str(tmp_path)})
    assert status == 0 and out.count("cannot be written") == 1 and "TICKOVER_DATA=" in out and "Traceback" not in err


class AtTerminal:
    """The program in a real terminal of its own; `with` sees to its end."""

    def __init__(self, tmp_path, columns=80, **environment):
        import fcntl
        import pty
        import struct
        import termios

        self.pid, self.handle = pty.fork()
        if self.pid == 0:
            os.environ.update({"TICKOVER_DATA": str(tmp_path / "data"), "TERM": "xterm", **environment})
            os.execv(sys.executable, [sys.executable, "-m", "assistant"])
        fcntl.ioctl(self.handle, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
        self.seen, self.place = b"", 0

    def until(self, wanted, seconds=30):
        """Read until this has been shown after what was waited for before; returns what came in between."""
        import select

        end = time.monotonic() + seconds
        while wanted not in self.seen[self.place:]:
            assert time.monotonic() < end, (wanted, self.seen[-500:])
            if select.select([self.handle], [], [], 0.1)[0]:
                try:
                    data = os.read(self.handle, 65536)
                except OSError:  # the program closed its side
                    data = b""
                assert data, (wanted, self.seen[-500:])
                if b"\x1b[6n" in data:
                    os.write(self.handle, b"\x1b[10;1R")
                self.seen += data
        before, self.place = self.place, self.seen.index(wanted, self.place) + len(wanted)
        return self.seen[before: self.place]

    def __enter__(self):
        return self

    def __exit__(self, *_):
        if self.handle >= 0:
            os.kill(self.pid, signal.SIGKILL)
            self.status()

    def type(self, keys):
        """Press keys."""
        os.write(self.handle, keys)

    def status(self):
        """Wait for the end."""
        code = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        os.close(self.handle)
        self.handle = -1
        return code


@POSIX
def test_at_a_real_terminal(tmp_path):
    """Prompt, answer, foot line, good-bye."""
    with AtTerminal(tmp_path) as terminal:
        terminal.until(FOOT)
        terminal.type(b"no spark at all\r")
        terminal.until(b"Question")
        terminal.until(FOOT)
        terminal.type(b"\x04")
        terminal.until(b"tickover resume 1")
        assert terminal.status() == 0 and said(tmp_path) == ["no spark at all"]


@POSIX
def test_no_colour_when_asked(tmp_path):
    """NO_COLOR: no colour code is sent, whatever else is."""
    import re

    with AtTerminal(tmp_path, NO_COLOR="1") as terminal:
        terminal.until(FOOT)
        terminal.type(b"it turns over fine\r")
        terminal.until(b"Question")
        terminal.until(FOOT)
        terminal.type(b"\x04")
        terminal.until(b"tickover resume")
        terminal.status()
        codes = {part for code in re.findall(rb"\x1b\[([0-9;]*)m", terminal.seen) for part in code.split(b";")}
        assert not any(part.isdigit() and 30 <= int(part) <= 107 for part in codes)


@POSIX
def test_a_dumb_terminal_gets_plain_lines(tmp_path):
    """TERM=dumb: a place to type and plain answers, no control codes; Ctrl-C drops the line, twice leaves."""
    with AtTerminal(tmp_path, TERM="dumb") as terminal:
        terminal.until(b"> ")
        terminal.type(b"no spark at all\n")
        terminal.until(b"Question")
        terminal.until(b"> ")
        terminal.type(b"\x03")
        terminal.until(b"once more")
        terminal.until(b"> ")
        terminal.type(b"\x03")
        terminal.until(b"tickover resume 1")
        assert terminal.status() == 0 and b"\x1b" not in terminal.seen


@POSIX
def test_a_lost_terminal(tmp_path):
    """The window is closed: the program ends by itself and what was said is kept."""
    with AtTerminal(tmp_path) as terminal:
        terminal.until(FOOT)
        terminal.type(b"no spark at all\r")
        terminal.until(b"Question")
        terminal.until(FOOT)
        os.kill(terminal.pid, signal.SIGHUP)
        assert terminal.status() == 129 and said(tmp_path) == ["no spark at all"]


@POSIX
def test_the_prompt_comes_before_the_files_are_read(tmp_path):
    """The person can type while the knowledge is being read: the first foot line says that it still is."""
    with AtTerminal(tmp_path) as terminal:
        assert b"Reading" in terminal.until(FOOT)
