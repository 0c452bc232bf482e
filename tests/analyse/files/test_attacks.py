"""Files made to crash, hang or fill a reader end in a refusal, in bounded time and memory, the reader alive.

The attacks are those tried on the libraries by themselves before this was built (which crashed, hung, or read local
files), and more of their kinds.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from analyse import ArtworkError, read_artwork
from analyse.limits import default_limits, with_limits
from tests.analyse.files.attacks import ATTACKS, COSTLY, svg

ROOT = Path(__file__).parents[3]
READ_ALL_THE_SAME = {
    "png 10,000 x 10,000",
    "svg entity set from outside",
    "svg local file",
    "svg 60,000 x 60,000",
    "svg patterns within patterns",
    "svg within svg",
    "pdf of a huge picture",
    "pdf of a huge page",
}
MOST_MB = 600
# Of processor time, below the limit shipped so that the test is quick; 1.5 s more for all the rest.
SECONDS = 1


@pytest.fixture(scope="module")
def ends(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, object]]:
    """What one process, reading all the attacks one after the other, says of each."""
    folder = tmp_path_factory.mktemp("attacks")
    paths = [folder / name.replace(" ", "_") for name in [*ATTACKS, *COSTLY]]
    for path, make in zip(paths, [*ATTACKS.values(), *COSTLY.values()], strict=True):
        path.write_bytes(make())
    done = subprocess.run(
        [sys.executable, Path(__file__).with_name("reading_cost.py"), str(SECONDS), *paths, "/dev/zero"],
        cwd=ROOT, env={"PYTHONPATH": str(ROOT), "PATH": ""}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    return {row["file"].replace("_", " "): row for row in rows}


@pytest.mark.parametrize("name", [*ATTACKS, "zero"])
def test_an_attack_is_refused_or_does_no_harm(name: str, ends: dict[str, dict[str, object]]) -> None:
    end = ends[name]
    if name not in READ_ALL_THE_SAME:
        assert str(end["end"]).startswith("3: "), end
    assert end["seconds"] < SECONDS + 1.5, end
    assert max(end["parent_mb"], end["child_mb"]) < MOST_MB, end


@pytest.mark.parametrize("name", COSTLY)
def test_the_largest_pictures_allowed_stay_within_memory(name: str, ends: dict[str, dict[str, object]]) -> None:
    assert max(ends[name]["parent_mb"], ends[name]["child_mb"]) < MOST_MB, ends[name]


def test_a_local_file_is_not_drawn(tmp_path: Path) -> None:
    from tests.analyse.files.test_reading import blocks

    blocks(40, 40).save(tmp_path / "secret.png")
    for reference in (f"file://{tmp_path}/secret.png", f"{tmp_path}/secret.png", "secret.png"):
        artwork = read_artwork(svg(f'<image width="100" height="100" xlink:href="{reference}"/>'.encode()))
        assert (artwork.rgba[..., 3] == 0).all(), reference
        assert any("left out" in note for note in artwork.notes)


@pytest.mark.parametrize(
    "inside",
    [
        '<rect width="9" height="9" fill="url(http://127.0.0.1:9/a.svg#p)"/>',
        "<style>@import url(http://127.0.0.1:9/a.css); rect {{ fill: url('file:///etc/passwd#p') }}</style>",
        '<foreignObject width="9" height="9"><p xmlns="http://www.w3.org/1999/xhtml">Club</p></foreignObject>',
        '<rect width="9" height="9" style="fill:url(//127.0.0.1/x)"/>',
        '<use xlink:href="other.svg#a"/>',
    ],
)
def test_references_that_leave_the_file_are_stripped_and_said(inside: str) -> None:
    artwork = read_artwork(svg(inside.encode()))
    assert any("left out" in note for note in artwork.notes)


def test_references_within_the_file_are_drawn() -> None:
    artwork = read_artwork(svg(b'<defs><rect id="r" width="100" height="100"/></defs><use xlink:href="#r"/>'))
    assert (artwork.rgba[..., 3] == 255).all()


def test_the_limit_met_is_named_and_can_be_raised() -> None:
    deep = svg(b"<g>" * 140 + b'<rect width="100" height="100"/>' + b"</g>" * 140)
    with pytest.raises(ArtworkError, match="128") as refused:
        read_artwork(deep)
    assert "--limit depth=" in refused.value.do
    raised = with_limits(default_limits(), {"depth": 200})
    assert (read_artwork(deep, limits=raised).rgba[..., 3] == 255).all()


def test_what_a_renderer_gets_is_processor_time_and_the_clock_only_ends_what_hangs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from analyse.files import sandbox

    def asleep(code: str) -> list[str]:
        return [sys.executable, "-S", "-c", f"import time; time.sleep(1.5); {code}"]

    limits = with_limits(default_limits(), {"seconds": 1, "clock": 30})
    monkeypatch.setattr(sandbox, "command", lambda *_: asleep("print('{\"size\": 1}')"))
    assert sandbox.render("svg", b"", "crest.svg", limits) == ({"size": 1}, b"")
    monkeypatch.setattr(sandbox, "command", lambda *_: asleep("time.sleep(60)"))
    with pytest.raises(ArtworkError, match="2 seconds on the clock") as refused:
        sandbox.render("svg", b"", "crest.svg", with_limits(limits, {"clock": 2}))
    assert "--limit seconds=4" in refused.value.do


def test_more_seconds_are_more_time_on_the_clock_too() -> None:
    assert default_limits().clock_seconds == 60
    assert with_limits(default_limits(), {"seconds": 120}).clock_seconds == 1440
