"""What can go wrong, as a person should hear of it: what is wrong, where, what to do."""

from __future__ import annotations


class ScantlingError(Exception):
    """Root of every error meant for a person.

    Parameters: what is wrong; where (a file, an option, a line); what to do about it.
    `exit_code` is what the command ends with.
    """

    exit_code = 1

    def __init__(self, what: str, where: str = "", do: str = "") -> None:
        super().__init__(what, where, do)
        self.what, self.where, self.do = what, where, do

    def __str__(self) -> str:
        rows = [self.what]
        rows += [f"  in  {self.where}"] if self.where else []
        rows += [f"  do  {self.do}"] if self.do else []
        return "\n".join(rows)


class JobError(ScantlingError):
    """Wrong use: job, size, decisions, settings or rack."""

    exit_code = 2


class ArtworkError(ScantlingError):
    """The artwork cannot be read, or is refused."""

    exit_code = 3


class NothingToSewError(ScantlingError):
    """The artwork was read and holds nothing to sew."""

    exit_code = 4


class OutputError(ScantlingError, OSError):
    """The output cannot be written, or a port or store is not reached."""

    exit_code = 5
