"""The plan: every approach laid, the best recommended, the verdict given."""

from __future__ import annotations

from collections.abc import Callable

from analyse.errors import JobError, NothingToSewError
from analyse.scans import judge_source
from analyse.trade import nearest
from analyse.values import SizedDrawing
from plans.approaches import ranked
from plans.job import APPROACHES as NAMES
from plans.job import Job
from plans.lay import lay_each
from plans.suggesting import left_to_cloth
from plans.values import LaidPlan, Plan
from plans.verdicts import verdict


def make_plan(
    sized: SizedDrawing, job: Job, lay_all: Callable[[SizedDrawing, Job], tuple[LaidPlan, ...]] = lay_each
) -> Plan:
    """Lay all approaches of a job and recommend one (the job's own, if it names one).

    lay_all: who lays them: this process alone, or a SecondHand beside it.
    Errors: JobError when it names an approach, place or wear that is not known; NothingToSewError when no part is
    large enough to sew.
    """
    _check(job, sized)
    if all(part.kind == "drop" for part in sized.parts):
        where = f"{sized.drawing.artwork.name}, {sized.size_mm[0]:.1f} x {sized.size_mm[1]:.1f} mm"
        raise NothingToSewError("every shape is too small to sew at this size", where, "ask for a larger size")
    laid = ranked(lay_all(sized, job), sized, job.approach)
    found, said = verdict(sized, laid), cautions(sized, laid[0].detail_kept)
    return Plan(sized, job, laid, found.said, said, _source(sized), found.changes, found.lost)


def _check(job: Job, sized: SizedDrawing) -> None:
    if job.approach and job.approach not in NAMES:
        raise JobError(f"no approach is called {job.approach!r}", "--approach", nearest(job.approach, NAMES))
    if job.place:
        sized.trade.place(job.place)
    wears = tuple(sized.trade.rows["stitch.no_snag"]["value"])
    if job.wear not in wears:
        raise JobError(f"no wear is called {job.wear!r}", "wear", nearest(job.wear, wears))


def _source(sized: SizedDrawing) -> tuple[str, ...]:
    """Where the picture falls short, and what of it is left to the cloth without having been asked."""
    left = left_to_cloth(sized)
    return (*falls_short(sized), left) if left else falls_short(sized)


def falls_short(sized: SizedDrawing) -> tuple[str, ...]:
    """Where the picture falls short at this size and what to ask the customer for; () where it shows enough."""
    source = judge_source(sized.drawing.artwork)
    asks = source.asks(sized.mm_per_px)
    return (*source.notes, asks) if asks else source.notes


def cautions(sized: SizedDrawing, shown: float = 1.0) -> tuple[str, ...]:
    """What the report always says, what this cloth adds, and that the sew-out shows little where it does.

    shown: share of the detail that the sew-out shows the recommended way.
    """
    always = tuple(str(sized.trade.rows[f"caution.{name}"]["text"]) for name in sized.trade.names("caution"))
    own = str(sized.trade.rows[f"cloth.{sized.cloth}"].get("caution", ""))
    title = sized.trade.cloth(sized.cloth).title
    little = f"On {title} the sew-out shows {100 * shown:.0f} % of the detail: look at it before you promise it."
    shows_little = shown < float(sized.trade.value("verdict.shown"))
    return (*always, *([own] if own else []), *([little] if shows_little else []))
