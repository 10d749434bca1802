"""The log: what append returned from is in the file, whatever happens to the file afterwards."""

import errno
import json
import os
import subprocess
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.session import log as log_module
from assistant.session.events import VERSION, Event
from assistant.session.log import MAX_LINE, Log, LogError, parse, read


def said(text: str) -> Event:
    """A message event."""
    return Event("said", {"text": text}, "2025-01-02T03:04:05Z")


def fill(path, *texts):
    """A closed log with these messages."""
    log = Log.create(path)
    for text in texts:
        log.append(said(text))
    log.close()
    return path


def texts(contents):
    """The messages in a log."""
    return [e.data["text"] for e in contents.events if e.kind == "said"]


def test_reopening_gives_back_everything_in_order(tmp_path):
    """A closed log opens again with all its events, and grows at its end."""
    path = fill(tmp_path / "a", "one", "two")
    log, contents = Log.open(path)
    log.append(said("three"))
    log.close()
    assert texts(contents) == ["one", "two"]
    assert texts(read(path)) == ["one", "two", "three"]
    assert read(path).remarks == ()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(st.lists(st.text(st.characters(), max_size=40), max_size=5))
def test_any_text_comes_back_as_it_was(tmp_path, messages):
    """Line ends, control characters, emoji and halves of surrogate pairs survive the file."""
    path = tmp_path / "any"
    path.unlink(missing_ok=True)
    fill(path, *messages)
    assert texts(read(path)) == messages
    assert path.read_bytes().count(b"\n") == len(messages)


def test_one_sync_for_each_event(tmp_path, monkeypatch):
    """Each append waits for the disk exactly once: a guard on cost and on safety."""
    calls = []
    monkeypatch.setattr(log_module, "to_disk", lambda handle: calls.append(handle))
    fill(tmp_path / "a", "one", "two", "three")
    assert len(calls) == 3


def test_torn_at_every_byte(tmp_path):
    """Cut anywhere, the whole lines before the cut are there, one remark is made, and the log goes on growing."""
    whole = fill(tmp_path / "whole", "one", "zwei \u20ac", "three").read_bytes()
    ends = [i + 1 for i, b in enumerate(whole) if b == 10]
    for cut in range(len(whole) + 1):
        path = tmp_path / "cut"
        path.write_bytes(whole[:cut])
        log, contents = Log.open(path)
        before = sum(e <= cut for e in ends)
        complete = before + (cut + 1 in ends)  # only the line end is missing: the event itself is whole
        assert len(contents.events) == complete
        assert len(contents.remarks) == (0 if cut == 0 or cut in ends or cut + 1 in ends else 1)
        log.append(said("after"))
        log.close()
        assert len(read(path).events) == complete + 1
        path.unlink()


def test_a_told_tear_is_not_told_again(tmp_path):
    """Once a mended event names the line, later openings are silent about it."""
    path = fill(tmp_path / "a", "one", "two")
    path.write_bytes(path.read_bytes()[:-5])
    log, contents = Log.open(path)
    assert contents.damaged == (2,)
    log.append(Event("mended", {"lines": [2]}))
    log.close()
    again = read(path)
    assert again.remarks == () and texts(again) == ["one"]


def test_a_damaged_line_in_the_middle_is_stepped_over_and_stays(tmp_path):
    """Other lines are still read, the remark names the place, the bytes are untouched."""
    path = fill(tmp_path / "a", "one", "two", "three")
    lines = path.read_bytes().splitlines(True)
    path.write_bytes(lines[0] + b"\xff\x00rubbish\n" + lines[2])
    contents = read(path)
    assert texts(contents) == ["one", "three"]
    assert len(contents.remarks) == 1 and "line 2" in contents.remarks[0]
    assert b"rubbish" in path.read_bytes()


@pytest.mark.parametrize("line", [b"[" * 100_000, b'{"v":1,"kind":"said","text":' + b"9" * 10_000 + b"}", b'"' + b"x" * (MAX_LINE + 1) + b'"', b"NaN"])
def test_hostile_lines_are_stepped_over(tmp_path, line):
    """Deep nesting, giant numbers and giant lines are damage, not a crash."""
    path = fill(tmp_path / "a", "one")
    path.write_bytes(path.read_bytes() + line + b"\n")
    assert texts(read(path)) == ["one"]


def test_a_newer_file_is_left_as_it_is(tmp_path):
    """A log of a later version is refused in one line and not changed by a byte."""
    path = fill(tmp_path / "a", "one")
    data = path.read_bytes() + json.dumps({"v": VERSION + 1, "kind": "dreamt"}).encode() + b"\n"
    path.write_bytes(data)
    with pytest.raises(LogError, match="newer") as caught:
        Log.open(path)
    assert "\n" not in str(caught.value)
    assert path.read_bytes() == data


def test_one_writer_at_a_time(tmp_path):
    """A second chat on the same log is refused while the first is open, and welcome after."""
    path = tmp_path / "a"
    first = Log.create(path)
    with pytest.raises(LogError, match="another chat"):
        Log.open(path)
    first.append(said("still mine"))
    first.close()
    second, contents = Log.open(path)
    assert texts(contents) == ["still mine"]
    second.close()


def test_a_full_disk_leaves_whole_lines(tmp_path, monkeypatch):
    """A write that stops half way raises, takes its half line off again, and the next one is clean."""
    path = tmp_path / "a"
    log = Log.create(path)
    log.append(said("one"))
    real = os.write

    def half(handle, data):
        monkeypatch.setattr(log_module.os, "write", full)
        return real(handle, bytes(data)[:7])

    def full(handle, data):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(log_module.os, "write", half)
    with pytest.raises(OSError):
        log.append(said("two"))
    monkeypatch.setattr(log_module.os, "write", real)
    log.append(said("three"))
    log.close()
    assert texts(read(path)) == ["one", "three"] and read(path).remarks == ()


FULL = """
import resource, signal, sys
from pathlib import Path
from assistant.session.events import Event
from assistant.session.log import Log
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))
log, kept = Log.create(Path(sys.argv[1])), 0
try:
    while True:
        log.append(Event("said", {"text": "x" * 90}))
        kept += 1
except OSError:
    print(kept)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_real_limit_on_the_file(tmp_path):
    """The system itself refuses to let the file grow: all acknowledged lines are there, and no half one."""
    path = tmp_path / "a"
    done = subprocess.run([sys.executable, "-c", FULL, str(path)], capture_output=True, text=True, check=True)
    assert int(done.stdout) > 10
    assert len(read(path).events) == int(done.stdout) and read(path).remarks == ()


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="no such flag there")
def test_a_link_is_not_followed(tmp_path):
    """A link in place of a log leads nowhere."""
    fill(tmp_path / "real", "secret")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with pytest.raises(LogError):
        Log.open(tmp_path / "link")
    with pytest.raises(LogError):
        read(tmp_path / "link")


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300) | st.lists(st.sampled_from([b'{"v":1,"kind":"said","text":"a"}', b"{", b"", b"\xff", b"[]", b"1", b'{"v":1}', b"\r"])).map(b"\n".join))
def test_any_bytes_give_contents_or_one_line(data):
    """No bytes make the reader do anything but read, or refuse in one line."""
    try:
        contents = parse(data, "x")
    except LogError as error:
        assert "\n" not in str(error)
    else:
        assert len(contents.remarks) <= 2
