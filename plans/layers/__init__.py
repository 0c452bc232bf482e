"""The layers of one approach: every part as it is to be sewn, what runs under what, and every shared edge."""

from plans.layers.fields import Survey, survey
from plans.layers.recipe import Recipe
from plans.layers.sewings import Layout, plan_sewings

__all__ = ["Layout", "Recipe", "Survey", "plan_sewings", "survey"]
