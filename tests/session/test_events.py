"""Events: what is written is what is read, and nothing else passes for one."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.session.events import KINDS, VERSION, Event, NewerVersion

SAMPLES = {
    "opened": {"knowledge": "abc"},
    "resumed": {"knowledge": "abc"},
    "given": {"fact": "start-by", "value": "kick"},
    "said": {"text": "no spark"},
    "asked": {"what": "check", "id": "spark-at-plug", "choices": ["good", "none"], "plain": ["fat", "no spark"]},
    "mended": {"lines": [3]},
}


def test_every_kind_has_a_sample_here():
    """The samples below cover all kinds."""
    assert set(SAMPLES) == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_written_and_read_is_the_same(kind):
    """An event survives its way through JSON."""
    event = Event(kind, SAMPLES[kind], "2025-01-02T03:04:05Z")
    assert Event.from_json(json.loads(json.dumps(event.as_json()))) == event


@pytest.mark.parametrize("raw", [
    None, [], "said", {}, {"v": VERSION}, {"v": VERSION, "kind": "boom"}, {"v": VERSION, "kind": "said"}, {"v": VERSION, "kind": "said", "text": 5},
    {"v": VERSION, "kind": "asked", "what": "check", "id": 3}, {"v": VERSION, "kind": "asked", "what": "check", "id": "a", "choices": "ab"},
    {"v": VERSION, "kind": "given", "fact": "a", "value": []}, {"v": VERSION, "kind": "mended", "lines": ["x"]}, {"v": "1", "kind": "said", "text": "a"},
    {"v": 0, "kind": "said", "text": "a"}, {"kind": "said", "text": "a"}])
def test_a_wrong_shape_is_refused(raw):
    """A line with a missing or wrong part is no event."""
    with pytest.raises(ValueError):
        Event.from_json(raw)


def test_a_newer_version_is_told_apart():
    """A line of a later version is not called damaged."""
    with pytest.raises(NewerVersion):
        Event.from_json({"v": VERSION + 1, "kind": "dreamt", "of": 1})


_JSON = st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
                     lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["v", "kind", "text", "id", "x"]), inner, max_size=4), max_leaves=8)


@given(_JSON | st.fixed_dictionaries({"v": st.just(VERSION), "kind": st.sampled_from(KINDS)}, optional={"text": _JSON, "lines": _JSON, "choices": _JSON}))
def test_any_json_gives_an_event_or_a_value_error(raw):
    """No JSON value does anything but become an event or be refused."""
    try:
        assert isinstance(Event.from_json(raw), Event)
    except ValueError:
        pass
