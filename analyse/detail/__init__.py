"""What survives: every detail with its measure, its need, and the design width from which it holds."""
