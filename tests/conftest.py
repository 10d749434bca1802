"""For all tests: what the program keeps for itself goes to a place of the test run, never to the user's own folders; long files run first."""

from __future__ import annotations

import os
import tempfile

os.environ.setdefault("TICKOVER_CACHE", tempfile.mkdtemp(prefix="tickover-cache-"))

LONG = ("test_safety.py", "test_reach.py", "test_guide.py", "test_planner.py", "test_network.py", "test_renew.py", "test_accounts.py")  # one left to the end keeps a worker waiting


def pytest_collection_modifyitems(items):
    """Files that take long go first, in the order above; the others stay as they are."""
    place = {name: number for number, name in enumerate(LONG)}
    items.sort(key=lambda item: place.get(item.path.name, len(LONG)))
