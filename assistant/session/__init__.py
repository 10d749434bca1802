"""The conversation as an append-only log of events. Stores words and what was asked, never conclusions."""
