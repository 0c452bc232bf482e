"""Limits of untrusted files: rows with reasons, named when they are met, raised by name."""

from __future__ import annotations

from dataclasses import fields

import pytest

from analyse import ArtworkError, JobError
from analyse.limits import Limits, default_limits, exceeded, rows, with_limits


def test_every_row_is_a_limit_with_unit_and_reason() -> None:
    assert set(rows()) == {field.name for field in fields(Limits)}
    assert all(row["unit"] and row["why"] for row in rows().values())


def test_a_limit_is_raised_by_name() -> None:
    raised = with_limits(default_limits(), {"pixels": "2e8", "seconds": 9})
    assert (raised.pixels, raised.seconds, raised.bytes) == (200_000_000, 9, default_limits().bytes)


@pytest.mark.parametrize("value", ["nan", "-1", "0", "many", "inf"])
def test_a_limit_is_a_number_above_nothing(value: str) -> None:
    with pytest.raises(JobError):
        with_limits(default_limits(), {"pixels": value})


def test_an_unknown_limit_names_the_nearest() -> None:
    with pytest.raises(JobError, match="did you mean 'pixels'"):
        with_limits(default_limits(), {"pixel": 5})


@pytest.mark.parametrize("found", [129, 1_234_567, 900_000_000])
def test_the_raise_a_refusal_names_is_enough(found: int) -> None:
    error = exceeded(default_limits(), "depth", found, "badge.svg")
    assert isinstance(error, ArtworkError)
    assert int(error.do.rpartition("=")[2]) > found
