"""How the piece will feel: thread and needle points through all layers, and where it turns hard."""

from plans.density.measure import measure_density

__all__ = ["measure_density"]
