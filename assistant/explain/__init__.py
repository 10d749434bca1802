"""Conclusions unrolled to rules, facts, limits and somebody's words, with numbers that add up."""
