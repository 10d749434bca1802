"""From a folder of YAML to a checked Rulebook, or to every complaint about it with its place."""
