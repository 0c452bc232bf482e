"""What would make a detail hold at this size: the smallest usual change to it, in a practitioner's words."""

from __future__ import annotations

from dataclasses import replace

from analyse.kinds.setting import Setting
from analyse.values import Feature


def mended(feature: Feature, setting: Setting, count: int = 1, own: str = "") -> Feature:
    """The feature with its cure, also in its text; as it is where it holds or where only redrawing helps.

    count: how many alike it stands for, measured where they are narrowest. own: what mends it, where that is not the
    usual for its kind. Lettering: see `analyse.detail.cures`.
    """
    if feature.kind == "lettering":
        return feature
    cure = own if own and feature.state != "holds" else cure_of(feature, setting, count)
    return replace(feature, cure=cure, text=f"{feature.text}: {cure}") if cure else feature


def cure_of(feature: Feature, setting: Setting, count: int = 1) -> str:
    """The change in words; "" where it holds, and where a change would be more than the detail itself."""
    if feature.state == "holds":
        return ""
    if feature.unit == "dE00":
        return _of_colour(feature)
    return _of_width(feature, count) if feature.measure >= feature.needs * setting.value("detail.mendable") else ""


def _of_width(feature: Feature, count: int) -> str:
    missing = f"by {'up to ' if count > 1 else ''}{max(feature.needs - feature.measure, 0.01):.2f} mm"
    it = "them" if count > 1 else "it"
    if feature.kind == "dot":
        return f"grow {it} {missing}" + (f", or leave {it} out" if feature.state == "lost" else "")
    if feature.part is None:  # a gap, a counter, an even keyline: of cloth
        return f"open {it} {missing}, or close {it}"
    return f"thicken {it} {missing}"


def _of_colour(feature: Feature) -> str:
    if feature.kind == "shading":
        return "sew it in flat steps"
    return "leave it to the cloth, or another thread or cloth" if feature.on_cloth else "another thread for one of them"
