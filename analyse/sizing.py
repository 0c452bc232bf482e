"""A drawing at a size: everything in mm, put together."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from analyse.detail.candidates import Candidate
from analyse.detail.features import candidates_of, detail_at
from analyse.detail.gaps import gaps_beside
from analyse.errors import JobError
from analyse.kinds.doubt import doubted
from analyse.kinds.families import Family, agreed, families_of, with_families
from analyse.kinds.parts import numbered, parts_of
from analyse.kinds.setting import Setting, width_error_px
from analyse.lettering.lines import lines_of
from analyse.trade import DEFAULT_CLOTH, THREADS, Trade, default_trade, nearest
from analyse.units import checked_mm
from analyse.values import Drawing, SizedDrawing
from analyse.widths.measuring import Measures, measure

WHITE = (255, 255, 255)


def size_drawing(
    drawing: Drawing,
    *,
    width_mm: float | None = None,
    height_mm: float | None = None,
    thread: str = "40",
    cloth: str = DEFAULT_CLOTH,
    cloth_rgb: tuple[int, int, int] | None = None,
    trade: Trade | None = None,
) -> SizedDrawing:
    """Parts with their kinds, and what of the detail survives. Errors: JobError."""
    scale = mm_per_px(drawing, width_mm, height_mm)
    setting = setting_of(drawing, scale, thread, cloth, trade or default_trade())
    left, top, right, bottom = drawing.extent_px
    measures, families, gaps = kept(drawing)
    parts = parts_of(drawing, measures, gaps, setting, lines_of(drawing, measures))
    parts = doubted(agreed(with_families(parts, families), setting), drawing, setting)
    candidates = details_of(drawing, setting, cloth_rgb or WHITE)
    return SizedDrawing(
        drawing=drawing, size_mm=((right - left) * scale, (bottom - top) * scale), mm_per_px=scale,
        origin_px=(left, top), thread=thread, cloth=cloth, cloth_rgb=cloth_rgb or WHITE, trade=setting.trade,
        parts=numbered(parts), detail=detail_at(drawing, candidates, parts, setting),
    )  # fmt: skip


def setting_of(drawing: Drawing, scale: float, thread: str, cloth: str, trade: Trade) -> Setting:
    """What a drawing is held against. Errors: JobError."""
    if thread not in THREADS:
        raise JobError(f"no thread is called {thread!r}", "--thread", nearest(thread, THREADS))
    return Setting(scale, width_error_px(drawing) * scale, thread, trade.cloth(cloth), trade)


def mm_per_px(drawing: Drawing, width_mm: float | None, height_mm: float | None) -> float:
    """The scale that gives the shapes' extent these lengths; with both it fits inside. Errors: JobError."""
    left, top, right, bottom = drawing.extent_px
    scales = []
    if width_mm is not None:
        scales.append(checked_mm(width_mm, "the width") / (right - left))
    if height_mm is not None:
        scales.append(checked_mm(height_mm, "the height") / (bottom - top))
    if not scales:
        raise JobError("no size was given", "the size", "ask for a width or a height, such as 3in")
    checked_mm(min(scales) * max(right - left, bottom - top), "the longer side at this size")
    return min(scales)


Kept = tuple[Measures, tuple[Family, ...], tuple[float, ...]]
_KEPT: WeakKeyDictionary[Drawing, Kept] = WeakKeyDictionary()


def kept(drawing: Drawing) -> Kept:
    """What needs no size: measures, families, the gap beside each region in px. Worked out once for a drawing."""
    if drawing not in _KEPT:
        measures = measure(drawing)
        families = families_of(drawing, measures, lines_of(drawing, measures))
        _KEPT[drawing] = measures, families, tuple(gaps_beside(drawing, measures))
    return _KEPT[drawing]


Details = dict[tuple[str, str, tuple[int, int, int]], tuple[Trade, list[Candidate]]]
_DETAILS: WeakKeyDictionary[Drawing, Details] = WeakKeyDictionary()


def details_of(drawing: Drawing, setting: Setting, cloth_rgb: tuple[int, int, int]) -> list[Candidate]:
    """Every detail before a size is known. Worked out once for a drawing, thread, cloth and trade table."""
    known = _DETAILS.setdefault(drawing, {})
    key = setting.thread, setting.cloth.name, cloth_rgb
    if key not in known or known[key][0] is not setting.trade:
        measures, families, _ = kept(drawing)
        known[key] = setting.trade, candidates_of(drawing, measures, families, setting, cloth_rgb)
    return known[key][1]
