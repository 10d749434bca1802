"""Which step next: costs, what a step is expected to save, and the choice."""
