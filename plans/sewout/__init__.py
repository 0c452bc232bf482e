"""How it will look: the finished piece drawn from its needle points alone, at true scale."""

from plans.sewout.drawing import draw_sewout
from plans.sewout.eye import at_arms_length
from plans.sewout.frame import Frame, frame
from plans.sewout.kept import detail_kept

__all__ = ["Frame", "at_arms_length", "detail_kept", "draw_sewout", "frame"]
