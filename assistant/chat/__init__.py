"""The terminal: a prompt loop, and answers laid out at a width. No reasoning here."""
