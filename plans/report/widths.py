"""The same artwork at several widths, each true to size, with what does not hold there: a page of its own."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from analyse.sizing import size_drawing
from analyse.survival import Survival
from analyse.units import LARGEST_MM
from analyse.values import SizedDrawing
from plans import sizes, words
from plans.pictures.design import paper_under
from plans.pictures.svg import drawing, element
from plans.report.curve import survival_curve
from plans.report.marked import artwork, marked_rows, sheet
from plans.report.page import rendered

APART = 1.1  # pictures whose widths differ by less show the same


def telling_widths(found: Survival, asked_mm: float | None, largest_mm: float) -> list[float]:
    """Widths worth a picture: the smallest useful one, the asked one, where most is gained, and where all holds.

    All but what is hardly seen: what is lost beyond is no reason for a larger picture.
    """
    within = [gain for gain in found.gains if gain.width_mm <= largest_mm]
    most = max(within, key=lambda gain: (gain.share, -gain.width_mm)).width_mm if within else 0.0
    wanted = [asked_mm or 0.0, found.nearly_mm, min(found.fine_mm, found.nearly_mm), most]
    wanted = [min(width, largest_mm) for width in wanted] + [found.useful_mm]
    kept: list[float] = []
    for width in wanted:
        if 0 < width <= max(largest_mm, asked_mm or 0.0) and all(
            max(width, other) / min(width, other) >= APART for other in kept
        ):
            kept.append(width)
    return sorted(kept)


def widths_page(title: str, sized: SizedDrawing, found: Survival, asked_mm: float | None) -> str:
    """The page as HTML text, every name in it escaped. sized: the drawing at any size, on its cloth."""
    aspect = sized.size_mm[1] / sized.size_mm[0]
    largest = min(float(sized.trade.value("survival.largest")), LARGEST_MM / max(aspect, 1.0))
    widths = telling_widths(found, asked_mm, largest) or [sized.size_mm[0]]
    return rendered(
        "widths.html",
        {
            "title": words.printable(title),
            "curve": survival_curve(found, asked_mm if asked_mm is not None else widths[-1]),
            "all_holds": sizes.all_holds(found),
            "shown": sizes.shown_to(sized.drawing),
            "gains": [sizes.gained(gain) for gain in sizes.heaviest_gains(found)],
            "never": words.listed(found.never),
            "places": sizes.places(found),
            "pictures": pictures([_at(sized, width) for width in widths]),
        },
    )


def pictures(drawings: Sequence[SizedDrawing]) -> list[tuple[Markup, Markup, str]]:
    """Each true to size, large with its marks if it has any, and its caption. The artwork is held once, and scaled."""
    made: list[tuple[Markup, Markup, str]] = []
    for sized in drawings:
        share = sized.size_mm[0] / drawings[0].size_mm[0]
        again = element("use", href="#art", transform=f"scale({share:.6f})")
        marked = drawing(*marked_rows(sized, again)) if sized.detail.share("holds") < words.ALL else Markup()
        made.append((_true_to_size(sized, again if made else artwork(sized)), marked, _caption(sized)))
    return made


def _true_to_size(sized: SizedDrawing, art: Markup) -> Markup:
    width, height = sized.size_mm
    rows = [sheet((0.0, 0.0, width, height), paper_under(sized)), art]
    label = f"The artwork, {words.size(sized.size_mm)}"
    return drawing((0.0, 0.0, width, height), label, rows, width=f"{width:.1f}mm", height=f"{height:.1f}mm")


def _caption(sized: SizedDrawing) -> str:
    features = sized.detail.features
    held = sum(feature.state == "holds" for feature in features)
    share = words.share(sized.detail.share("holds")) if features else "all"
    return f"{words.size(sized.size_mm)}: {share} of the look holds, {held} of {words.some(len(features), 'detail')}"


def _at(sized: SizedDrawing, width_mm: float) -> SizedDrawing:
    return size_drawing(
        sized.drawing, width_mm=width_mm, thread=sized.thread, cloth=sized.cloth, cloth_rgb=sized.cloth_rgb,
        trade=sized.trade,
    )  # fmt: skip
