"""Killed at any moment, nothing acknowledged is missing. A few hundred kills: python -m tests.session.killing --kills 300"""

import sys

import pytest

from tests.session.killing import kill_often


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is of other systems")
def test_forty_kills(tmp_path):
    """After each of 40 kills at random points every acknowledged message is in the log, once and in order."""
    acknowledged, _ = kill_often(tmp_path, 40, seed=7)
    assert acknowledged > 40
