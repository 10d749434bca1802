"""From a message in plain words to statements, readings, intents, doubts, and what was not understood."""
