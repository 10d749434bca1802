"""Tests of assistant/trade: behaviour, properties, limits of validity. Published values are in tests/published."""

from hypothesis import settings

quick = settings(max_examples=60, deadline=None, derandomize=True)
