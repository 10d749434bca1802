"""Tickover: a chat-style assistant for a motorcycle that will not start."""

__version__ = "0.1.0"
