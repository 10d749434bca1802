"""The package as a whole: pure, sourced, answerable, and what the knowledge files ask of it."""

import ast
import importlib
import inspect
import itertools
import pkgutil
import sys
from pathlib import Path
from typing import Any, Iterator

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

import assistant.trade as trade
from assistant.trade import catalogue
from assistant.trade.code_table import ROWS
from assistant.trade.result import Estimate

ROOT = Path(__file__).resolve().parents[2]
MODULES = [importlib.import_module(f"assistant.trade.{m.name}") for m in pkgutil.iter_modules(trade.__path__)]
EXAMPLES = {"temperature_c": 4, "kind": "agm", "altitude_m": 1200, "compression_ratio": 10.5, "dry_psi": 80, "nominal_mm": 0.7, "nominal_ohm": 4.5}


def knowledge() -> dict[str, dict[str, Any]]:
    """All knowledge files as plain text values, by kind and id. Limits and facts may stand in any file."""
    found: dict[str, dict[str, Any]] = {}
    for path in sorted((ROOT / "knowledge").rglob("*.yaml")):
        for kind, entries in (yaml.load(path.read_text(encoding="utf-8"), yaml.CBaseLoader) or {}).items():
            if isinstance(entries, dict):
                found.setdefault(kind, {}).update(entries)
    return found


@pytest.fixture(scope="module")
def files() -> dict[str, dict[str, Any]]:
    return knowledge()


def functions() -> Iterator[tuple[str, Any]]:
    """Every public function of the package."""
    for module in MODULES:
        for name, thing in vars(module).items():
            if inspect.isfunction(thing) and thing.__module__ == module.__name__ and not name.startswith("_"):
                yield f"{module.__name__.rpartition('.')[2]}.{name}", thing


def test_the_package_imports_nothing_else_of_ours() -> None:
    """Only itself and the standard library, at the top of any module."""
    for path in (ROOT / "assistant" / "trade").glob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            for name in names:
                assert name.startswith("assistant.trade") or name.split(".")[0] in sys.stdlib_module_names, f"{path.name}: {name}"


def test_every_function_says_what_it_holds_for() -> None:
    """Functions that estimate name source and validity in their docstring, or point to one that does."""
    for name, function in functions():
        doc = inspect.getdoc(function) or ""
        assert doc, name
        if inspect.signature(function).return_annotation == "Estimate" and not name.startswith(("catalogue.", "result.", "units.express")):
            assert "ource" in doc or "As `" in doc or "nverse" in doc, name
            assert "alid" in doc or "As `" in doc or "nverse" in doc or "able" in doc or "ource as" in doc or "as there" in doc, name


ANYTHING = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True), st.floats(-1, 30), st.floats(0, 1000), st.floats(0.01, 2), st.integers(-5, 100000),
    st.none(), st.booleans(), st.sampled_from(["flooded", "agm", "none", "cable", "tank", "points", "P0335", "x", ""]),
)  # fmt: skip


INNER = ("catalogue", "curve", "geometry", "intake", "result")  # called by other code, with checked numbers
OPEN = [(n, f) for n, f in functions() if n.split(".")[0] not in INNER and n not in ("units.express", "codes.codes_in")]


@pytest.mark.parametrize("name, function", OPEN, ids=[n for n, _ in OPEN])
def test_every_input_is_answered_or_refused_in_words(name: str, function: Any) -> None:
    """Whatever single numbers or words go in, out comes an answer or a ValueError with a sentence, never anything else."""
    parameters = inspect.signature(function).parameters
    lists = (
        {"readings", "volts", "loads", "readings_psi"}
        if name in ("acid.cell_spread", "charging.phase_balance", "charging.watts_used", "compression.between_cylinders")
        else set()
    )

    @settings(max_examples=40, deadline=None, derandomize=True)
    @given(st.fixed_dictionaries({p: st.lists(st.floats(-1, 500), max_size=5) if p in lists else ANYTHING for p in parameters}))
    def run(arguments: dict[str, Any]) -> None:
        try:
            function(**arguments)
        except ValueError as error:
            assert " " in str(error)

    run()


def test_modules_stay_small() -> None:
    """No module passes 400 lines."""
    assert {} == {p.name: n for p in (ROOT / "assistant" / "trade").glob("*.py") if (n := len(p.read_text(encoding="utf-8").splitlines())) > 400}


def test_limits_name_functions_that_exist_and_take_any_part_of_what_is_given(files: dict[str, dict[str, Any]]) -> None:
    """Each `computed-by` answers with a number, or says in a sentence what it lacks, for every subset of its arguments."""
    asked = {name: limit for name, limit in files["limits"].items() if "computed-by" in limit}
    assert asked
    for name, limit in asked.items():
        module, _, function = limit["computed-by"].partition(".")
        call = getattr(importlib.import_module(f"assistant.trade.{module}"), function)
        given = list(limit.get("given", {}))
        assert call(**{g: EXAMPLES[g] for g in given}).unit == limit["unit"], name
        for size in range(len(given) + 1):
            for part in itertools.combinations(given, size):
                try:
                    assert isinstance(call(**{g: EXAMPLES[g] for g in part}), Estimate), name
                except ValueError as error:
                    assert " " in str(error)


def test_a_limit_without_anything_known_is_what_the_files_say(files: dict[str, dict[str, Any]]) -> None:
    """Where a function needs nothing, its mild-weather answer is the plain value of the file, within its spread."""
    for name, limit in files["limits"].items():
        if "computed-by" not in limit:
            continue
        module, _, function = limit["computed-by"].partition(".")
        try:
            found = getattr(importlib.import_module(f"assistant.trade.{module}"), function)()
        except ValueError:
            continue
        assert found.low <= float(limit["value"]) <= found.high, name


@pytest.mark.parametrize("kind", ["flooded", "agm", "lithium-iron", "6-volt", "none"])
def test_every_battery_kind_of_the_files_is_met(kind: str, files: dict[str, dict[str, Any]]) -> None:
    """Each kind gives a limit, or a sentence where there is no battery."""
    from assistant.trade import battery

    assert kind in files["facts"]["battery-kind"]["values"]
    if kind == "none":
        with pytest.raises(ValueError, match="without a battery"):
            battery.resting_volts_good(kind)
    else:
        assert battery.resting_volts_good(kind).value > 5


def test_ids_of_the_catalogue_are_unique_and_topics_exist(files: dict[str, dict[str, Any]]) -> None:
    """Topics, readings and manual figures are ids of the knowledge files, in the same unit."""
    ids = [c.id for c in catalogue.COMPUTATIONS]
    assert len(ids) == len(set(ids))
    facts, checks = files["facts"], files["checks"]
    for computation in catalogue.COMPUTATIONS:
        topics = [(a.topic, a.unit) for a in computation.arguments if a.topic] + [(t, computation.unit) for t in (computation.reading, computation.manual) if t]
        for topic, unit in topics:
            entry = facts.get(topic) or checks[topic].get("reading", {})
            if "values" not in entry:
                assert unit == entry["unit"], f"{computation.id}: {topic}"


def test_every_question_is_answered_and_marks_what_it_assumed() -> None:
    """With only what it must have, each computation gives its unit, a spread, sources, and its defaults as assumed."""
    given = {"volts": 12.4, "rest_volts": 12.5, "cranking_volts": 10.0, "sg": 1.21, "wet_psi": 130, "dry_psi": 110, "supply_psi": 80, "held_psi": 70, "stroke_mm": 58,
             "displacement_cc": 250, "size": 120, "compression_ratio": 9.5}  # fmt: skip
    for computation in catalogue.COMPUTATIONS:
        arguments = {a.name: [60.0, 61.0, 62.0] if a.many else given.get(a.name, 9.0) for a in computation.missing_without}
        if any(a.name == "mm2" for a in computation.arguments):
            arguments["mm2"] = 2.5
        if any(a.name == "cca" for a in computation.arguments):
            arguments["cca"] = 180
        found = catalogue.answer(computation, arguments)
        assert computation.unit == found.unit, computation.id
        assert found.low <= found.value <= found.high and found.formula and found.source
        for argument in computation.arguments:
            if argument.default is not None:
                assert any(i.assumed and i.value == argument.default for i in found.inputs), f"{computation.id}: {argument.name}"


def test_the_three_questions_of_the_chat() -> None:
    """Compression expected, volts enough in the cold, days with a drain: number, formula, inputs and source."""
    expected = catalogue.answer(catalogue.find("compression-expected"), {"compression_ratio": 10})
    enough = catalogue.answer(catalogue.find("resting-volts-enough"), {"temperature_c": -5})
    days = catalogue.answer(catalogue.find("days-until-flat"), {"drain_ma": 40, "capacity_ah": 8})
    assert 150 <= expected.value <= 220 and 12.0 < enough.value < 12.5 and 6 <= days.value <= 9
    for found in (expected, enough, days):
        assert found.formula and found.source and found.inputs


def test_a_question_asks_for_what_it_lacks() -> None:
    """Missing and foreign inputs are refused in words; the manual wins."""
    with pytest.raises(ValueError, match="I need the compression ratio"):
        catalogue.answer(catalogue.find("compression-expected"), {})
    with pytest.raises(ValueError, match="nothing to do with colour"):
        catalogue.answer(catalogue.find("compression-expected"), {"colour": "red"})
    with pytest.raises(ValueError, match="no computation"):
        catalogue.find("weather")
    assert 9.9 == catalogue.answer(catalogue.find("cranking-volts-enough"), {}, manual=9.9).value


def test_what_can_be_answered_is_known() -> None:
    """A question is answerable once the topics of its needed inputs are known."""
    question = catalogue.find("compression-expected")
    assert not catalogue.is_answerable(question, {})
    assert catalogue.is_answerable(question, {"compression-ratio": 9.5})


def test_every_source_is_one_of_the_files(files: dict[str, dict[str, Any]]) -> None:
    """Source ids in the code are ids of the knowledge files, so that they can be named in plain words."""
    known = set(files["sources"])
    for path in (ROOT / "assistant" / "trade").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Estimate":
                for item in ast.walk(node.args[6]) if len(node.args) > 6 else ():
                    if isinstance(item, ast.Constant) and isinstance(item.value, str):
                        assert item.value in known, f"{path.name}:{node.lineno}: {item.value}"


def test_codes_point_at_needs_and_parts_of_the_files(files: dict[str, dict[str, Any]]) -> None:
    """What a code concerns can be found in the knowledge files."""
    for code, (meaning, need, parts) in ROWS.items():
        assert meaning and need in files["needs"], code
        assert set(parts) <= set(files["parts"]), code
