"""What lies on something is sewn after it."""

from __future__ import annotations

from pathlib import Path

from analyse import read_artwork, trace
from plans.job import Job
from plans.layers import Recipe, plan_sewings, survey

EYE = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 60">
<path d="M2 30 Q30 -20 58 30 L40 58 L30 50 L20 58 Z" fill="#8b9299"/><circle cx="30" cy="30" r="2.9" fill="#d08a2e"/>
<circle cx="30" cy="30" r="1.6" fill="#24272d"/><circle cx="29.5" cy="29.2" r=".55" fill="#f8f4ea"/></svg>"""
"""Pale on dark on bright: by their lightness alone the glint would go under the pupil."""


def test_a_glint_in_a_pupil_in_an_iris_is_sewn_last(tmp_path: Path) -> None:
    (tmp_path / "eye.svg").write_text(EYE)
    sized = trace(read_artwork(tmp_path / "eye.svg")).at(width_mm=56.0)
    layout = plan_sewings(survey(sized, Job()), Recipe("side-by-side", "beside"))
    named = {sized.drawing.palette[sewing.thread].rgb: index for index, sewing in enumerate(layout.sewings)}
    iris, pupil, glint = (named[rgb] for rgb in ((208, 138, 46), (36, 39, 45), (248, 244, 234)))
    assert (iris, pupil) in layout.before or (pupil, iris) in layout.before
    assert (pupil, glint) in layout.before
