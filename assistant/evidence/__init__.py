"""Firings to weights in decibans, and weights with priors to a ranking of all hypotheses of this machine."""
