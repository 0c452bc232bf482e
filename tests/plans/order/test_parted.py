"""Lines that nowhere meet are sewn when the needle is near, not all at once."""

from __future__ import annotations

from plans.approaches import named
from plans.job import Job
from plans.layers import plan_sewings, survey
from plans.order.parted import parted
from tests.drawing_fixture import bold_mark, crest, scaled_beast, sized


def test_parting_keeps_every_line_and_every_wait() -> None:
    for pieces in (crest(), scaled_beast(), bold_mark()):
        layout = plan_sewings(survey(sized(pieces), Job()), named("line-work").recipe)
        after = parted(layout)
        assert sum(len(one.spines) for one in after.sewings) == sum(len(one.spines) for one in layout.sewings)
        for part in range(len(layout.beneath)):
            old, new = layout.beneath[part], after.beneath[part]
            assert (old < 0) == (new < 0)
            assert old < 0 or layout.sewings[old].part == after.sewings[new].part
        waits = {(after.sewings[a].part, after.sewings[b].part) for a, b in after.before}
        assert waits == {(layout.sewings[a].part, layout.sewings[b].part) for a, b in layout.before}
