"""A child process opens what could hang, crash or eat memory: within limits where there are any, by the clock."""

from __future__ import annotations

import json
import os
import subprocess
from dataclasses import asdict
from typing import Any

from analyse.errors import ArtworkError, JobError
from analyse.limits import Limits, too_dear
from analyse.ourselves import command

# One thread, one heap: what each more would reserve counts as memory.
_LEAN = {"OPENBLAS_NUM_THREADS": "1", "MALLOC_ARENA_MAX": "1"}
# What a child may not do without on each system; nothing else of the environment reaches it.
_ENVIRONMENT = ("SYSTEMROOT", "PATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "TMPDIR", "TEMP")


def render(kind: str, data: bytes, name: str, limits: Limits, **asked: Any) -> tuple[dict[str, Any], bytes]:
    """What the child answers: a header (size and notes), and the picture's bytes.

    Errors: ArtworkError when the child refuses the file, dies or does not end in time; JobError for a wrong page.
    """
    request = json.dumps({"kind": kind, "name": name, "limits": asdict(limits), **asked})
    try:
        done = subprocess.run(  # noqa: S603 - ourselves
            command("analyse.files.child", "main", request),
            input=data,
            capture_output=True,
            timeout=limits.clock_seconds,
            env={key: os.environ[key] for key in _ENVIRONMENT if key in os.environ} | _LEAN,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise too_dear(limits, "seconds", kind, name, by_clock=True) from error
    head, _, body = done.stdout.partition(b"\n")
    answer = _answer(head)
    if "refused" in answer:
        error_type = JobError if answer.get("by") == "JobError" else ArtworkError
        raise error_type(*answer["refused"])
    if done.returncode != 0 or not answer:
        raise _died(done.returncode, kind, name, limits)
    return answer, body


def _answer(head: bytes) -> dict[str, Any]:
    try:
        answer = json.loads(head)
    except ValueError:
        return {}
    return answer if isinstance(answer, dict) else {}


def _died(code: int, kind: str, name: str, limits: Limits) -> ArtworkError:
    if -code in _signals("SIGXCPU"):
        return too_dear(limits, "seconds", kind, name)
    if -code in _signals("SIGABRT", "SIGKILL"):
        return too_dear(limits, "memory", kind, name)
    do = "ask for it as a PNG, 2,000 px wide, or for a simpler file"
    return ArtworkError(f"the {kind.upper()} made its reader fail", name, do)


def _signals(*names: str) -> set[int]:
    import signal

    return {int(getattr(signal, name)) for name in names if hasattr(signal, name)}
