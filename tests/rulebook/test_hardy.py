"""Whatever somebody does to the files, the loader answers with complaints; and the files as they are load quickly."""


from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.rulebook.codes import CODES
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import examine
from assistant.rulebook.source import Source, read_text
from tests.rulebook.folders import BASE, folder_with

TEXTS = [path.read_text() for path in sorted(BASE.glob("*.yaml"))]
LINES = sorted({line for text in TEXTS for line in text.splitlines() if line.strip()})
WORDS = sorted({word for text in TEXTS for word in text.replace(":", " : ").split()})
hardy = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """A sound file after a few careless edits: lines lost, doubled, moved in or out, words swapped, characters typed."""
    lines = draw(st.sampled_from(TEXTS)).splitlines()
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1)) if lines else 0
        edit = draw(st.sampled_from(("lose", "double", "shift", "word", "type", "foreign")))
        line = lines[at] if lines else ""
        if edit == "lose":
            lines[at : at + 1] = []
        elif edit == "double":
            lines.insert(at, line)
        elif edit == "shift":
            lines[at : at + 1] = [" " * draw(st.integers(0, 8)) + line.lstrip()]
        elif edit == "word":
            words = line.split(" ")
            words[draw(st.integers(0, len(words) - 1))] = draw(st.sampled_from(WORDS))
            lines[at : at + 1] = [" ".join(words)]
        elif edit == "foreign":
            lines.insert(at, draw(st.sampled_from(LINES)))
        else:
            where = draw(st.integers(0, len(line)))
            lines[at : at + 1] = [line[:where] + draw(st.sampled_from(list("{}[]:,#'\"|>&*!%@`-?\t~0 \\"))) + line[where:]]
    return "\n".join(lines) + "\n"


@given(text=damaged(), also=damaged())
@hardy
def test_careless_edits_give_complaints(tmp_path_factory, text, also):
    """No edit makes the loader fall over; every complaint has a known code, a place in the folder, a sentence and a mend."""
    folder = folder_with(tmp_path_factory.mktemp("damaged"), text=text, also=also)
    for name in ("facts", "rules"):
        (folder / f"{name}.yaml").unlink()
    _, problems = examine(folder)
    for problem in problems:
        assert problem.code in CODES
        assert problem.file.startswith("knowledge/") and problem.line >= 1 and problem.column >= 1
        assert problem.what.endswith((".", "...")) and problem.mend.endswith(".")
        assert problem.text().count("\n") == 2
    lines = {name: (folder / f"{name}.yaml").read_text().count("\n") + 1 for name in ("text", "also")}
    assert all(p.line <= lines.get(p.file.removeprefix("knowledge/").removesuffix(".yaml"), 10**6) for p in problems)


@given(st.text(max_size=200))
@hardy
def test_any_text_is_read_or_complained_of(text):
    """A text of any characters whatever is read or complained of, never an exception."""
    source = read_text(text, Source("x.yaml"))
    assert all(problem.code in CODES for problem in source.problems)
    assert source.problems or text.strip()


def test_the_files_have_no_errors():
    """The knowledge files as they are have no error. How long reading them takes is measured in tests.benchmarks.speed."""
    _, problems = examine(knowledge_folder())
    assert [p.text() for p in problems if p.level == "error"] == []
