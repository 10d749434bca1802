"""No network at all: whole conversations and all commands in a program that would die at the first attempt to reach one."""

import os
import subprocess
import sys

GUARD = '''
import sys

ALLOWED = {1}  # AF_UNIX: the event loop of the terminal wakes itself by a pair of sockets within the program


def watch(event, arguments):
    if event == "socket.__new__" and int(arguments[1]) not in ALLOWED:
        raise SystemExit(f"NETWORK: {event} {arguments[1:]}")
    if event.startswith("socket.") and event not in ("socket.__new__",) or event.startswith(("urllib.", "http.", "ftplib.", "smtplib.", "subprocess.", "os.system", "os.exec", "os.posix_spawn", "os.fork")):
        print("NETWORK:", event, file=sys.__stderr__, flush=True)
        import os
        os._exit(77)


sys.addaudithook(watch)
'''

WHOLE = GUARD + '''
import io, os, contextlib
from assistant.cli import main

STORY = "it turns over fine but no spark at all\\nnew plugs last week\\n12.4 V with the key off\\nskip\\nwhy\\nwhat is a stator?\\nwhy not the coil\\nwhat if it read 11.5 V\\nis 11.9 enough at minus 5?\\njob sheet\\ntake that back\\n"


class Typed(io.TextIOWrapper):
    def isatty(self):
        return False


def run(*arguments, said=""):
    sys.stdin = Typed(io.BytesIO(said.encode()), "utf-8")
    with contextlib.redirect_stdout(Typed(io.BytesIO(), "utf-8")):
        status = main(list(arguments))
    assert status in (0, 1), (arguments, status)


run(said=STORY)
run("resume", "1", said="no\\nquit\\n")
run("ask", "--json", said=STORY)
run("ask", "no spark")
run("past")
run("sheet", "1", "--html")
run("compare", "1", "1")
run("export", "1", os.environ["TICKOVER_DATA"] + "/copy")
run("knowledge", "check")
run("knowledge", "list", "--json")
run("delete", "1")
print("all done", file=sys.__stdout__)
'''

TERMINAL = GUARD + '''
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput
from assistant.chat.sitting import Sitting
from assistant.chat.terminal import Terminal
from assistant.chat.warm import Warm
from assistant.session.keeper import Keeper
from assistant.session.store import Store, data_folder

with create_pipe_input() as keys:
    keys.send_text("no spark at all\\rwhy\\rquit\\r")
    front = Terminal(input=keys, output=DummyOutput())
    front.run(Sitting(Warm(None), Keeper(Store(data_folder())), front.view))
print("all done")
'''


def alone(code: str, tmp_path) -> subprocess.CompletedProcess:
    """Run code in a program of its own, from a folder without anything."""
    env = {**os.environ, "TICKOVER_DATA": str(tmp_path / "data"), "PYTHONPATH": os.pathsep.join(p or os.getcwd() for p in sys.path)}
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path, env=env, timeout=120)


def test_the_guard_guards(tmp_path):
    """A program that does try to reach a network, or to start another program, dies at it."""
    for attempt in ("import socket; socket.create_connection(('127.0.0.1', 9))", "import socket; socket.getaddrinfo('localhost', 80)", "import socket; socket.socket()",
                    "import urllib.request; urllib.request.urlopen('http://localhost')", "import subprocess; subprocess.run(['true'])", "import os; os.system('true')"):
        done = alone(GUARD + attempt, tmp_path)
        assert done.returncode != 0 and "NETWORK" in done.stderr, attempt


def test_whole_conversations_and_all_commands_without_a_network(tmp_path):
    """A chat, a resumed one, `ask`, the sheet, the list, the check of the knowledge files: none opens a socket or starts a program."""
    done = alone(WHOLE, tmp_path)
    assert (done.returncode, done.stdout.strip()) == (0, "all done"), done.stderr[-2000:]


def test_the_terminal_without_a_network(tmp_path):
    """Nor does the chat at a terminal."""
    done = alone(TERMINAL, tmp_path)
    assert (done.returncode, done.stdout.strip()) == (0, "all done"), done.stderr[-2000:]
