"""Killed at any moment, nothing acknowledged is missing. A few hundred kills: python -m tests.session.killing --kills 300"""

import os
import subprocess
import sys

import pytest

from assistant.session.log import read
from assistant.session.store import Store
from tests.session.killing import kill_often


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is of other systems")
def test_forty_kills(tmp_path):
    """After each of 40 kills at random points every acknowledged message is in the log, once and in order."""
    acknowledged, _ = kill_often(tmp_path, 40, seed=7)
    assert acknowledged > 40


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is of other systems")
def test_the_whole_program_killed_in_the_middle(tmp_path):
    """The chat itself, killed after each answer and gone on with: every answered message is in the log, in order, and the answer goes on from it."""
    environment = {**os.environ, "TICKOVER_DATA": str(tmp_path), "PYTHONUNBUFFERED": "1"}
    answered = []
    messages = (("it turns over fine but no spark at all", b"spark test"), ("the battery reads 11.8 V", b"11.8"), ("now it reads 12.4 V with the key off", b"12.4"))
    for number, (text, sign) in enumerate(messages):
        process = subprocess.Popen([sys.executable, "-m", "assistant", *(["resume"] if number else [])], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment)
        assert process.stdin is not None and process.stdout is not None
        process.stdin.write(text.encode() + b"\n")
        process.stdin.flush()
        while sign not in (line := process.stdout.readline()):
            assert line, "ended by itself"
        process.kill()
        process.communicate()
        answered.append(text)
        contents = read(Store(tmp_path).find("1")[0])
        assert [e.data["text"] for e in contents.events if e.kind == "said"] == answered
    assert Store(tmp_path).names() == ["1"]
