"""The stages put together: a log folded to a state, a state thought through, and the answer worded."""
