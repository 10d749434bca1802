"""Tickover: a chat-style assistant for a motorcycle that will not start."""
