"""In which order the sewings are sewn, and where each begins and ends."""

from plans.order.blocks import fewest_blocks
from plans.order.sequence import sewing_order
from plans.order.stops import Stop

__all__ = ["Stop", "fewest_blocks", "sewing_order"]
