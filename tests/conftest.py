"""For all tests: what the program keeps for itself goes to a place of the test run, never to the user's own folders."""

from __future__ import annotations

import os
import tempfile

os.environ.setdefault("TICKOVER_CACHE", tempfile.mkdtemp(prefix="tickover-cache-"))
