"""Knowledge files and conversation files are data: nothing in them runs, leads outside, grows without bound or keeps the program busy."""

import ast
import json
import time
from pathlib import Path

import pytest

from assistant.language.lexicon import build
from assistant.language.patterns import PatternError, parse
from assistant.rulebook import files, source
from assistant.rulebook.load import examine
from assistant.rulebook.source import Source, read_text
from assistant.session.log import parse as parse_log
from assistant.trainer import case_files
from tests.rulebook.folders import codes_of, folder_with

ASSISTANT = Path(__file__).parents[2] / "assistant"
CODE = ("!!python/object/apply:os.system ['touch {mark}']", "!!python/object/new:os.system [touch {mark}]", "!!python/name:os.system ''", "!!python/module:antigravity ''",
        "!!js/function 'x'", "!<tag:yaml.org,2002:python/object/apply:os.system> ['touch {mark}']", "!!binary aGVsbG8=", "!!set {{a}}", "!include /etc/passwd")


@pytest.mark.parametrize("value", CODE)
def test_a_tag_runs_nothing(tmp_path, value):
    """A tag that would make another reader call something is a complaint, in files of knowledge and of cases; nothing is called."""
    mark = tmp_path / "mark"
    text = f"parts:\n  coil: {value.format(mark=mark)}\n"
    assert "tag-used" in codes_of(folder_with(tmp_path, tagged=text))
    path = tmp_path / "x.cases.yaml"
    path.write_text(text.replace("parts", "cases"))
    assert case_files.read(examine(tmp_path / "knowledge")[0], path, "x")[1]
    assert not mark.exists()


def test_values_that_look_like_code_stay_words(tmp_path):
    """Format fields, percent signs, variables, commands and expressions in sentences are shown as they are."""
    odd = "{0.__class__} %s $HOME `id` $(id) ${jndi:x} __import__('os') <script>"
    folder = folder_with(tmp_path, odd=f"glossary:\n  odd: {{plain: {json.dumps(odd)}}}\n")
    book, problems = examine(folder)
    assert problems == [] and book.glossary["odd"].plain == odd


def called(name: str) -> set[str]:
    """Modules and functions that a module of the program imports or calls."""
    found: set[str] = set()
    for node in ast.walk(ast.parse((ASSISTANT / name).read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add((node.module or "").partition(".")[0])
        elif isinstance(node, ast.Call):
            found.add(getattr(node.func, "id", "") or f"{getattr(getattr(node.func, 'value', None), 'id', '')}.{getattr(node.func, 'attr', '')}")
    return found


def test_the_program_has_no_way_to_run_data():
    """No module evaluates text, unpickles, loads YAML by tags, starts another program, or opens a connection."""
    forbidden = {"eval", "exec", "compile", "__import__", "pickle", "marshal", "shelve", "dill", "subprocess", "os.system", "os.popen", "yaml.load", "yaml.unsafe_load", "yaml.full_load",
                 "socket", "urllib", "http", "ssl", "ftplib", "smtplib", "requests", "httpx", "ctypes", "webbrowser", "os.execv", "os.spawnv"}
    found = {path.relative_to(ASSISTANT).as_posix(): hit for path in ASSISTANT.rglob("*.py") if (hit := called(path.relative_to(ASSISTANT).as_posix()) & forbidden)}
    assert found == {}


def test_no_regular_expression_comes_from_a_file():
    """Every pattern given to `re` is written in the program itself, but for escaped words."""
    loose = []
    for path in ASSISTANT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(getattr(node.func, "value", None), "id", "") == "re" and node.func.attr != "escape" and node.args:
                pattern = node.args[0]
                parts = pattern.values if isinstance(pattern, ast.JoinedStr) else [pattern]
                for part in parts:
                    inner = part.value if isinstance(part, ast.FormattedValue) else part
                    fixed = isinstance(inner, ast.Constant) or isinstance(inner, ast.Name) and inner.id.isupper()
                    escaped = isinstance(inner, ast.Call) and getattr(inner.func, "attr", "") == "escape"
                    if not fixed and not escaped:
                        loose.append(f"{path.name}:{node.lineno}")
    assert loose == []


def quick(seconds: float = 8):
    """A guard against work that grows with the square: the block must be done in this time even on a busy machine."""

    class Clock:
        def __enter__(self):
            self.start = time.process_time()

        def __exit__(self, *_):
            assert time.process_time() - self.start < seconds

    return Clock()


@pytest.mark.parametrize("text", ["1" * 1_900_000, "a" * 1_900_000, "'" + "x " * 900_000 + "'", '"' + "\\u0041" * 300_000 + '"', "|\n      " + "y" * 1_000_000])
def test_a_giant_text_is_one_complaint(tmp_path, text):
    """A megabyte in one value is refused at its line, quickly, also where a number belongs."""
    with quick():
        assert codes_of(folder_with(tmp_path, giant=f"settings:\n  turn:\n    plain: a number\n    value: {text}\n")) == ["text-too-long"]


def test_a_giant_text_that_does_not_even_read(tmp_path):
    """A megabyte of letters on a line that is no YAML takes no longer than any other slip."""
    with quick():
        assert codes_of(folder_with(tmp_path, giant="parts:\n  coil: |\n   a\n  " + "y" * 1_000_000 + "\n")) == ["yaml-syntax"]


def test_a_giant_key_is_one_complaint(tmp_path):
    """A key may not be longer than any word."""
    assert codes_of(folder_with(tmp_path, giant=f"parts:\n  ? {'k' * 5000}\n  : {{plain: x}}\n")) == ["text-too-long"]


@pytest.mark.parametrize("text", ["a: [" + "x," * 900_000 + "x]", "- x\n" * 450_000, "a: {" + "".join(f"k{i}: v," for i in range(100_000)) + "}"])
def test_a_crowd_of_values_is_one_complaint(tmp_path, text):
    """A file that is small enough in bytes but holds far too many values is refused before it fills the memory."""
    with quick():
        assert codes_of(folder_with(tmp_path, crowd=text)) == ["file-too-large"]


def test_too_much_in_all(tmp_path, monkeypatch):
    """Many files, each within its bounds, are bounded too."""
    monkeypatch.setattr(files, "MAX_VALUES", 60)
    assert codes_of(folder_with(tmp_path))[-1] == "folder-too-large" or "folder-too-large" in codes_of(tmp_path / "knowledge")
    monkeypatch.setattr(files, "MAX_VALUES", 10**6)
    monkeypatch.setattr(files, "MAX_TOTAL", 900)
    assert "folder-too-large" in codes_of(tmp_path / "knowledge")


def test_thousands_of_mistakes(tmp_path):
    """A file with a wrong name in every line is complained of up to a bound, and quickly."""
    rules = "".join(f"  rule-{n}:\n    kind: evidence\n    says: Words.\n    when: {{no-such-topic-{n}: value-{n}}}\n    seen-in: {{no-such-fault-{n}: 4}}\n"
                    f"    otherwise: 2\n    source: no-such-source-{n}\n" for n in range(1500))
    with quick(20):
        found = codes_of(folder_with(tmp_path, rules_more="rules:\n" + rules))
    assert len(found) == source.MAX_COMPLAINTS + 1 and "too-many-complaints" in found


@pytest.mark.parametrize("pattern", ["(" * 5000 + "a" + ")" * 5000, "[" * 400 + "a" + "]" * 400, "a " * 20_000, "(" + "(a|b)" * 40 + ")", "((a|b)(c|d)" * 10 + ")" * 10, "(" * 3000, "|" * 3000,
                                     "... " * 700, "(a|" * 11 + "b" + ")" * 11])
def test_a_phrase_cannot_run_away(pattern):
    """Deep, long and branching phrases are refused, or read into something small; never the end of the program."""
    with quick():
        try:
            items = parse(pattern, {})
        except PatternError as error:
            assert len(str(error)) < 200
        else:
            assert sum(len(alternatives or ()) for alternatives, _ in items) <= 50_000


def test_all_phrases_together_are_bounded(tmp_path, monkeypatch):
    """Many phrases that each branch as far as one may are not all kept; those left out are listed."""
    monkeypatch.setattr("assistant.language.lexicon.MAX_ALTERNATIVES", 5000)
    lines = "".join(f"    - ((a{n}|b{n}) (c|d) (e|f) (g|h) (i|j) (k|l) (m|n) (o|p) (q|r) (s|t))\n" for n in range(40))
    folder = folder_with(tmp_path, phrases_more="talk:\n  why:\n" + lines)
    lexicon = build(examine(folder)[0])
    assert len(lexicon.index.groups_of.items) < 12_000 and any("together" in why for _, _, why in lexicon.bad)


def test_a_conversation_file_is_data(tmp_path):
    """Lines that are no events, however deep, long or odd, are stepped over; what is left is exactly the events."""
    good = b'{"v":1,"kind":"said","text":"no spark"}'
    odd = [b"[" * 200_000, b'{"v":1,"kind":"said","text":' + b"9" * 5000 + b"}", b'{"v":1,"kind":"said","text":{"__class__":"os.system"}}', b'{"v":1,"kind":"exec","text":"x"}',
           b"cos\nsystem\n(S'true'\ntR.", b"\x80\x04\x95", b'{"v":1e400,"kind":"said","text":"x"}', b'{"v":1,"kind":"asked","what":"../..","id":"../../etc/passwd"}']
    with quick():
        contents = parse_log(b"\n".join([good, *odd, good]), "log")
    assert [e.kind for e in contents.events if e.kind == "said"] == ["said", "said"]
    assert len(contents.events) <= 3 and contents.damaged


def test_a_message_cannot_keep_the_reader_busy():
    """Long messages of the worst kind are heard within a second or two: nothing grows with the square of the length."""
    from tests.fuzz.targets import mind

    reader, size = mind().reader, 6000
    mind().reader.read("no spark")
    for piece in ("1,111", ",111", "/", "(", "- ", "1-", "12 ", "\t1", "spark ", "not ", "what if ", "12.4 V ", "'", "no spark ", "why not ", "the starter clicks but the engine will not turn "):
        text = ("1,111" if piece == ",111" else "") + (piece * (size // len(piece)))[: size - 7] + (".5" if piece == ",111" else "")
        with quick(3):
            reader.read(text)


@pytest.mark.parametrize("text", ["\x90" * 20_000 + "\x1bX", "\x1b]" * 9000, "\x1b[" * 9000, "\x9d" * 20_000, "\x1b]" + "a" * 20_000 + "\x1bX"])
def test_stripping_takes_no_longer_than_reading(text):
    """Escape sequences that never end are taken out in one go."""
    from assistant.harmless import one_line, stripped

    with quick(0.5):
        assert "\x1b" not in stripped(text) and "\x90" not in one_line(text)


def test_nothing_is_read_twice_into_a_file(tmp_path):
    """The escapes of double quotes bring no character in that may not stand there as it is."""
    for escape in ("\\x1b[31m", "\\e[2J", "\\a", "\\u202e", "\\x9b", "\\0", "\\N", "\\L", "\\P"):
        made = read_text(f'parts:\n  coil: {{plain: "a {escape} coil"}}\n  "{escape}": {{plain: x}}\n', Source("x.yaml"))
        assert [p.code for p in made.problems] == ["control-character"] * 2, escape
