"""The trade's computations: numbers in, numbers with their spread out. Imports nothing else of ours.

Each family has its module; `catalogue` lists the questions they answer. A result is an `Estimate`: its value, how far
it may be off, the formula in words, what was assumed, and the ids of its sources (knowledge/sources.yaml names them).
Input that cannot be true raises ValueError with a sentence that a rider can act on.
"""
