"""Files damaged at random end as a picture or a refusal in words; 3,000 of them: tests/benchmarks/fuzz.py."""

from __future__ import annotations

import pytest

from tests.benchmarks.fuzz import end_of, mutations, seeds

COUNT = 60


@pytest.mark.parametrize("kind", seeds())
def test_the_seeds_are_sound(kind: str) -> None:
    assert all(
        end_of(data, kind) == "read"
        for data in dict.fromkeys(seeds()[kind][: 1 if kind in ("svg", "pdf", "heic") else 3])
    )


def test_damaged_files_end_in_a_picture_or_in_words() -> None:
    ends = {end_of(data, name) for name, data in mutations(COUNT)}
    assert ends == {"read", "refused 3"}
