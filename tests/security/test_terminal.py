"""No escape sequence from a knowledge file, a story, a machine's name, a file's name or an argument reaches a terminal or a sheet as it is."""

import json
import os
import shutil
import subprocess
import sys
import unicodedata

import pytest

from assistant.harmless import Harmless, one_line, output, stripped
from assistant.session.events import Event
from assistant.session.store import Store
from tests.rulebook.folders import folder_with

RED, TITLE, C1, TURN = "\x1b[31mred\x1b[0m", "\x1b]0;owned\x07", "\x9b2J\x9d0;x\x9c", "\u202eevil\u2066"
HOSTILE = f"no spark {RED} {TITLE} {C1} {TURN} \x07\x08\r\x00 and <script>alert(1)</script> | ` *bold*"
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="other file names there")


def obeyed(text: str) -> list[str]:
    """The characters of a text that a terminal would obey or that turn the order round; line feeds apart."""
    return sorted({hex(ord(c)) for c in text if c != "\n" and (unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or "\u202a" <= c <= "\u202e" or "\u2066" <= c <= "\u2069")})


def tickover(tmp_path, *arguments, said="", **environment):
    """Run the program; returns (status, output, errors) as text, with nothing replaced on the way."""
    env = {**os.environ, "TICKOVER_DATA": str(tmp_path / "data"), "PYTHONIOENCODING": "utf-8", **environment}
    done = subprocess.run([sys.executable, "-m", "assistant", *arguments], input=said if isinstance(said, bytes) else said.encode("utf-8", "surrogatepass"), capture_output=True, env=env, timeout=90)
    return done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8")


@pytest.fixture
def kept(tmp_path):
    """A conversation full of hostile words, kept as number 1."""
    _, log = Store(tmp_path / "data").create()
    log.append(Event("opened", {"knowledge": HOSTILE}, "2025-01-01T00:00:00Z"))
    for text in (HOSTILE, f"it turns over {RED} fine", f"the machine is called {TITLE} Bess"):
        log.append(Event("said", {"text": text}, HOSTILE if "Bess" in text else "2025-01-01T00:00:00Z"))
    log.append(Event("asked", {"what": "doubt", "id": HOSTILE, "choices": ["cranking=none"], "plain": [HOSTILE]}, ""))
    log.close()
    return tmp_path


def test_the_chat_on_a_pipe(tmp_path):
    """Hostile words are answered in plain ones, and are kept as they were said."""
    status, out, err = tickover(tmp_path, said=f"{HOSTILE}\nwhat is {RED}\nwhy not {TITLE}\n")
    assert (status, err, obeyed(out)) == (0, "", []) and "owned" not in out


def test_ask_in_plain_text(tmp_path):
    """`ask` prints nothing that a terminal obeys, whether the words come by pipe or as arguments."""
    words = [HOSTILE, RED, "\x1b", "\x9b", "\u202e12.4 V", "\ud800 no spark", f"what is a {RED}"]
    for arguments, said in ((("ask",), "\n".join(words)), (("ask", *(os.fsdecode(w.encode("utf-8", "surrogatepass")).replace("\0", " ") for w in words)), "")):
        status, out, err = tickover(tmp_path, *arguments, said=said)
        assert status == 0 and (obeyed(out), obeyed(err)) == ([], [])


def test_ask_for_programs(tmp_path):
    """The JSON is plain ASCII; a program that reads it gets the words back as they were said, with their places."""
    status, out, _ = tickover(tmp_path, "ask", "--json", said="no spark at all. " + HOSTILE.replace("\r", " "))
    assert status == 0 and out.isascii() and obeyed(out) == []
    assert json.loads(out)["readings"]


@pytest.mark.parametrize("arguments", [("ask", "--machine", f"{RED}=x", "no spark"), ("ask", "--machine", f"start-by={TITLE}", "x"), ("ask", f"--{RED}", "x"), ("resume", HOSTILE.replace("\0", "")),
                                       ("delete", RED), ("export", "1", f"/nowhere/{RED}"), ("sheet", RED), ("compare", RED, TITLE), ("knowledge", "show", f"{RED}"), ("knowledge", "list", TITLE),
                                       ("knowledge", RED), ("--knowledge", f"/nowhere/{RED}", "ask", "x"), ("knowledge", "check", "--explain", RED)])
def test_arguments_are_not_echoed_raw(kept, arguments):
    """Whatever is wrong with an argument is said without obeying it."""
    status, out, err = tickover(kept, *arguments)
    assert status != 0 and (obeyed(out), obeyed(err)) == ([], []) and "Traceback" not in err


def test_an_earlier_conversation(kept):
    """Resumed, listed, compared: what was kept in a log, hostile as it may be, is shown in plain words."""
    for arguments in (("resume", "1"), ("past",), ("compare", "1", "1")):
        status, out, err = tickover(kept, *arguments, said="summary\nwhy\nquit\n")
        assert status == 0 and (obeyed(out), obeyed(err)) == ([], []), arguments


def test_the_job_sheet(kept):
    """On the sheet, as text and as a page, hostile words are words: no sequence, no markup of theirs, no script, no other address."""
    for form in ((), ("--html",)):
        status, out, err = tickover(kept, "sheet", "1", *form)
        assert status == 0 and (obeyed(out), obeyed(err)) == ([], [])
        if not form:
            assert "<script" not in out.replace("\\<script", "") and "*bold*" not in out.replace("\\*bold\\*", "")
        if form:
            assert "<script" not in out and "&lt;script&gt;" in out and "http" not in out.replace("http-equiv", "").replace('xmlns="http://www.w3.org/2000/svg"', "")


@POSIX
def test_knowledge_files(tmp_path):
    """Escapes in values, keys, raw bytes and file names are complaints that are themselves harmless."""
    folder = folder_with(tmp_path, escaped='parts:\n  coil: {plain: "a \\e[31mcoil"}\n  "\\e]0;x\\a": {plain: x}\n', raw=b"parts:\n  coil2: {plain: a \x1b[31m coil}\n",
                         unknown="parts:\n  coil3: {plane: 'x \u202e y'}\n", tagged="parts:\n  coil4: !\x1b[31m x\n".encode(), kinds="'\u009b2J': {a: b}\n")
    shutil.copy(folder / "unknown.yaml", folder / "name\x1b[31m.yaml")
    shutil.copy(folder / "unknown.yaml", os.fsencode(folder) + b"/bytes\xff.yaml")
    for arguments in (("ask", "no spark"), ("knowledge", "check"), ("knowledge", "check", "--json"), ("knowledge", "list"), ("knowledge", "show", "coil3"), ()):
        status, out, err = tickover(tmp_path, "--knowledge", str(folder), *arguments, said="no spark\n")
        assert (obeyed(out), obeyed(err)) == ([], []) and "Traceback" not in err, arguments
    assert "control-character" in tickover(tmp_path, "--knowledge", str(folder), "knowledge", "check")[1]


def test_whoever_prints_prints_harmlessly(capsys):
    """While the commands run, the streams themselves let nothing through; afterwards they are as they were."""
    before = sys.stdout
    with output("stdout", "stderr"):
        print(HOSTILE, "\ud800", "half")
        print(RED, file=sys.stderr)
        sys.stdout.writelines(["a\x1b", "[31mb\n"])
    assert sys.stdout is before
    out, err = capsys.readouterr()
    assert (obeyed(out), obeyed(err)) == ([], []) and "red" in err and "half" in out


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_no_encoding_stops_the_output(encoding):
    """What the encoding cannot show becomes a question mark, not a failure."""
    import io

    raw = io.BytesIO()
    stream = Harmless(io.TextIOWrapper(raw, encoding))
    stream.write("12 °C \u03a9 \U0001f3cd \ud800")
    stream.flush()
    assert raw.getvalue().decode(encoding).startswith("12 ")


def test_line_ends_stay_only_where_lines_are_meant():
    """A text of one line can never become two, so that no sentence of a file can pretend to be another line of the answer."""
    for end in ("\n", "\r", "\r\n", "\u2028", "\u2029", "\x0b", "\x0c", "\x85"):
        assert len(one_line(f"a{end}WARNING b").splitlines()) == 1
    assert stripped("a\nb\tc") == "a\nb\tc"
