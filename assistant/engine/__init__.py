"""The rule engine: facts in, firings out, in a stable order. The only package that imports experta."""
