"""The one import of experta, after restoring what its pinned frozendict 1.2 expects of Python < 3.10.

frozendict 1.2 reads `collections.Mapping`, which moved to `collections.abc`. Importing experta also puts a
handler on the root logger; it is taken off again, so that the host program's logging stays its own.
"""

from __future__ import annotations

import collections
import collections.abc
import logging

_handlers, _level = list(logging.root.handlers), logging.root.level
if not hasattr(collections, "Mapping"):
    collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]

from experta import AS, NOT, Fact, KnowledgeEngine, L, P, Rule  # noqa: E402
from experta.abstract import Strategy  # noqa: E402
from experta.fact import InitialFact  # noqa: E402
from experta.matchers.rete import ReteMatcher  # noqa: E402
from experta.matchers.rete.check import FeatureCheck  # noqa: E402
from experta.matchers.rete.nodes import ConflictSetNode  # noqa: E402

for _handler in list(logging.root.handlers):
    if _handler not in _handlers:
        logging.root.removeHandler(_handler)
logging.root.setLevel(_level)

__all__ = ["AS", "NOT", "ConflictSetNode", "Fact", "FeatureCheck", "InitialFact", "KnowledgeEngine", "L", "P", "ReteMatcher", "Rule", "Strategy"]
