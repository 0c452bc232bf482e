"""`scantling`: every way out has its code, and a bug leaves one line and a file with the traceback."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

VERSION = "0.1.0"
INTERRUPTED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line. Returns the exit code: 0 done, 2 to 5 by the errors, 130 interrupted, 1 a bug."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # its products are small, and the other core is busy
    given = list(sys.argv[1:] if arguments is None else arguments)
    if given == ["--version"]:
        sys.stdout.write(f"scantling {VERSION}\n")
        return 0
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        return _run(given)
    except KeyboardInterrupt:
        sys.stderr.write("\nscantling: interrupted\n")
        return INTERRUPTED
    except BrokenPipeError:
        return _reader_gone()
    except Exception as error:  # noqa: BLE001 - the last net: a bug is told in one line
        sys.stderr.write(_bug(error))
        return 1


def _run(given: list[str]) -> int:
    import click

    from analyse.errors import ScantlingError
    from plans.commands import commands

    try:
        commands.main(given, prog_name="scantling", standalone_mode=False)
    except ScantlingError as error:
        sys.stderr.write(_told(error))
        return error.exit_code
    except click.ClickException as error:
        error.show(sys.stderr)
        return 2
    except click.Abort:
        raise KeyboardInterrupt from None
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    sys.stdout.flush()
    return 0


def _told(error: Exception) -> str:
    from plans.words import printable

    rows = "\n".join(printable(row) for row in str(error).splitlines())
    return f"scantling: {rows}\n"


def _reader_gone() -> int:
    """Whoever read our output has gone: that is their choice, not a fault."""
    import os

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def _bug(error: Exception) -> str:
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile(
        "w", prefix="scantling-bug-", suffix=".txt", delete=False, encoding="utf-8", errors="backslashreplace"
    ) as file:
        file.write(f"scantling {VERSION}\n{''.join(traceback.format_exception(error))}")
    said = " ".join(str(error).split())[:200]
    return f"scantling: a bug of ours: {type(error).__name__}: {said} (the traceback lies in {file.name})\n"


if __name__ == "__main__":
    sys.exit(main())
