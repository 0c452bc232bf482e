"""In which order the sewings are sewn, and where each begins and ends."""

from plans.order.blocks import fewest_blocks, sewing_order

__all__ = ["fewest_blocks", "sewing_order"]
