"""In which order the sewings are sewn, and where each begins and ends."""

from plans.order.blocks import fewest_blocks
from plans.order.sequence import Stop, sewing_order

__all__ = ["Stop", "fewest_blocks", "sewing_order"]
