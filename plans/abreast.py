"""The approaches laid in two processes at once, where a second core is free; the plans are the same either way."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, Self

from analyse.ourselves import command

if TYPE_CHECKING:  # loaded only when there is something to lay: by then the second process has long begun
    from analyse.values import SizedDrawing
    from plans.job import Job
    from plans.sewout.kept import Zones
    from plans.values import LaidPlan

OURS, THEIRS = slice(None, 2), slice(2, None)
"""What this process lays and what the second does: each pair has sewings in common, and both take about as long."""


class SecondHand:
    """A second process that lays some of the approaches. Start it early: it gets ready while the artwork is read.

    Without a second core, or should the process fail, everything is laid in this one: slower, with the same result.
    """

    def __init__(self) -> None:
        self._process = _started() if cores() > 1 else None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self._process is not None:
            self._process.kill()
            with suppress(OSError), self._process:  # closes its pipes and waits for it
                pass

    def lay_all(self, sized: SizedDrawing, job: Job) -> tuple[LaidPlan, ...]:
        """All approaches laid, in their order."""
        zones = import_module("plans.sewout.kept").zones_mm(sized)
        self._ask(sized, job, zones)
        ours = _laid(sized, job, zones, OURS)
        return ours + (self._answer() or _laid(sized, job, zones, THEIRS))

    def _ask(self, sized: SizedDrawing, job: Job, zones: Zones) -> None:
        if self._process is not None and self._process.stdin is not None:
            with suppress(OSError), self._process.stdin as pipe:
                pickle.dump((sized, job, zones), pipe, pickle.HIGHEST_PROTOCOL)

    def _answer(self) -> tuple[LaidPlan, ...] | None:
        if self._process is None or self._process.stdout is None:
            return None
        try:
            laid: tuple[LaidPlan, ...] = pickle.load(self._process.stdout)  # noqa: S301 - our own process
        except (OSError, EOFError, pickle.UnpicklingError):
            return None
        return laid


def cores() -> int:
    """Processor cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def answer() -> None:
    """The second process: what it is asked on standard input, answered on standard output."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    import_module("plans.lay")
    sized, job, zones = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the process that began this one
    pickle.dump(_laid(sized, job, zones, THEIRS), sys.stdout.buffer, pickle.HIGHEST_PROTOCOL)
    sys.stdout.buffer.flush()


def _laid(sized: SizedDrawing, job: Job, zones: Zones, which: slice) -> tuple[LaidPlan, ...]:
    from plans.approaches import APPROACHES
    from plans.lay import lay_each

    return lay_each(sized, job, APPROACHES[which], zones)


def _started() -> subprocess.Popen[bytes] | None:
    itself, pipe = command("plans.abreast", "answer"), subprocess.PIPE
    try:
        return subprocess.Popen(itself, stdin=pipe, stdout=pipe, stderr=subprocess.DEVNULL)  # noqa: S603 - ourselves
    except OSError:
        return None
