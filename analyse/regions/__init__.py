"""Which shapes the flat colours fill: shared outlines, nesting, who touches whom."""
