"""What it will cost: stitches, thread, minutes, price, and how far another hand would land from it."""

from plans.estimate.counting import Counts, count, estimate
from plans.estimate.rules import RuleOfThumb, rules_of_thumb
from plans.estimate.span import SpanPart, span_parts

__all__ = ["Counts", "RuleOfThumb", "SpanPart", "count", "estimate", "rules_of_thumb", "span_parts"]
