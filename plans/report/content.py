"""What the report says, as plain rows for its template."""

from __future__ import annotations

from typing import Any

from analyse.survival import survival
from analyse.values import Feature
from plans import minding, sizes, words
from plans.density.patches import most_points
from plans.hard import MOST as MOST_CAUSES
from plans.hard import MOST_SUNK, causes, sunken
from plans.pictures import Pictures
from plans.pictures.coding import data_uri, jpeg, shrunk
from plans.report.curve import survival_curve
from plans.report.figures import cost
from plans.report.lettering import lettering
from plans.report.mapped import part_map
from plans.report.marked import marked_artwork, plain_artwork
from plans.report.marks import MOST
from plans.report.order import order_data
from plans.report.steps import blocks
from plans.report.stiffness import stiffness_map
from plans.rows import told
from plans.values import LaidPlan, Plan

SEWOUT_PX = 1400
SMALL_PX = 700
MOST_LUMPS = 4
MOST_CHANGES = 5
Row = dict[str, Any]


def content(plan: Plan, pictures: Pictures, lines: list[Row] | None = None) -> Row:
    """Everything the template shows, in words and figures. lines: what `lettering` found, if it was asked before."""
    sized, density, cloth = plan.sized, plan.laid.density, plan.sized.trade.cloth(plan.sized.cloth)
    return {
        "name": words.name(plan),
        "verdict": plan.verdict,
        "lost": words.lost(plan),
        "changes": plan.changes[:MOST_CHANGES],
        "more_changes": len(plan.changes[MOST_CHANGES:]),
        "asked": asked(plan),
        "headline": headline(plan),
        "savings": words.savings(plan),
        "approach": words.approach(plan.laid.approach),
        "why": words.why(plan.laid),
        "width": f"{sized.size_mm[0]:.0f} mm",
        **_details(plan),
        "lettering": lettering(plan) if lines is None else lines,
        "detail_shares": [(state, words.share(sized.detail.share(key))) for key, state in words.STATES.items()],
        "plain": plain_artwork(plan, pictures.frame),
        "source": plan.source,
        "marked": marked_artwork(plan),
        **_sizes(plan),
        "map": part_map(plan),
        "kinds": sorted({step.sewing.kind for step in plan.steps}),
        "left_out": left_out(plan),
        "blocks": blocks(plan),
        "doubted": any(sized.parts[step.sewing.part].certainty < words.SURE for step in plan.steps),
        "all_large_enough": words.ALL_LARGE_ENOUGH,
        "approaches": [_approach(laid, plan) for laid in plan.approaches],
        **cost(plan),
        **_hardness(plan),
        "density": density,
        "cloth": cloth,
        "needle": sized.trade.value("thread.needle", thread=sized.thread),
        "rows": deciding_rows(plan),
        "beyond": words.out_of_place(plan),
        "frame": minding.frame(plan),
        "mind": [f"{said[:1].upper()}{said[1:]}." for said in minding.mind(plan)],
        "cautions": plan.cautions,
        "notes": [*sized.drawing.artwork.notes, *sized.drawing.notes],
        "not_acted_on": words.not_acted_on(plan.job.kept) if plan.job.kept else "",
        "artwork": sized.drawing.artwork,
        "order": order_data(plan, pictures.frame),
        **_pictures(pictures),
    }


def _hardness(plan: Plan) -> Row:
    """Where it turns hard and where detail sinks in, on its front and its back."""
    density, size_mm, trade = plan.laid.density, plan.sized.size_mm, plan.sized.trade
    found, sunk, cloth = causes(density, size_mm), sunken(density, size_mm), trade.cloth(plan.sized.cloth)
    return {
        "causes": found[:MOST_CAUSES],
        "more_causes": len(found[MOST_CAUSES:]),
        "sunken": sunk[:MOST_SUNK],
        "more_sunken": len(sunk[MOST_SUNK:]),
        "pricked_most": most_points(cloth, trade),
        "pricked": words.where(density.pricked_at_mm, size_mm),
        "back": density.back[:MOST_LUMPS],
        "more_back": len(density.back[MOST_LUMPS:]),
        "stiffness": stiffness_map(density, size_mm, cloth.hard_layers),
    }


def asked(plan: Plan) -> list[str]:
    """The job in a line: size, place, cloth, thread."""
    sized = plan.sized
    place = [sized.trade.place(plan.job.place).title] if plan.job.place else []
    return [words.size(sized.size_mm), *place, words.cloth(sized), f"{sized.thread}-weight thread"]


def headline(plan: Plan) -> list[tuple[str, str]]:
    """The figures a person wants first."""
    cost, heads = plan.estimate, int(plan.sized.trade.value("machine.heads"))
    figures = [
        ("stitches", words.count(cost.stitches)),
        ("colours", str(len({step.sewing.thread for step in plan.steps}))),
        ("trims", str(cost.trims)),
        ("minutes" if heads == 1 else f"minutes a piece, {heads} heads", f"{cost.minutes:.1f}"),
        ("thread", f"{cost.thread_m:.1f} m"),
    ]
    return figures if cost.price is None else [*figures, ("price", f"{cost.price:.2f}")]


def _sizes(plan: Plan) -> Row:
    """What holds at other widths."""
    sized = plan.sized
    found = survival(
        sized.drawing, thread=sized.thread, cloth=sized.cloth, cloth_rgb=sized.cloth_rgb, trade=sized.trade,
        widths_mm=[sized.size_mm[0]],
    )  # fmt: skip
    return {
        "curve": survival_curve(found, sized.size_mm[0]),
        "all_holds": sizes.all_holds(found),
        "shown": "",  # said at the head
        "gains": [sizes.gained(gain) for gain in sizes.heaviest_gains(found, sized.size_mm[0])],
        "places": sizes.places(found),
        "never": words.listed(found.never),
        "holdings": [sizes.holding_row(holding, found) for holding in found.holdings],
    }


def deciding_rows(plan: Plan) -> list[tuple[str, str, str, str]]:
    """The trade rows that decided a kind or a detail, and every row the shop has made its own."""
    keys = {part.reason.row for part in plan.sized.parts} | {feature.row for feature in plan.sized.detail.features}
    keys |= set(plan.sized.trade.own)
    return [told(key, plan.sized.trade) for key in sorted(keys) if key and _is_row(key, plan)]


def _is_row(key: str, plan: Plan) -> bool:
    rows = plan.sized.trade.rows
    table, _, field = key.rpartition(".")
    return "unit" in rows.get(key, {}) or field in rows.get(table, {})


def _details(plan: Plan) -> Row:
    """What does not hold, as the marks are numbered; the lighter rest of it; then what holds."""
    lost = words.not_holding(plan)
    ordered = [*lost, *(feature for feature in plan.sized.detail.features if feature.state == "holds")]
    rows = [_feature(number, feature) for number, feature in enumerate(ordered, 1)]
    return {"not_holding": rows[: len(lost)][:MOST], "lighter": rows[MOST : len(lost)], "holding": rows[len(lost) :]}


def _feature(number: int, feature: Feature) -> Row:
    return {
        "number": number,
        "name": words.feature_name(feature),
        "text": feature.text,
        "measure": words.measured(feature.measure, feature.unit),
        "needs": words.needs(feature),
        "holds_from": words.holds_from(feature),
        "state": feature.state,
        "state_text": words.STATES[feature.state],
        "weight": words.share(feature.weight),
        "row": feature.row,
    }


def left_out(plan: Plan) -> list[str]:
    """Why parts are left out, those of one colour and one reason together."""
    palette = plan.sized.drawing.palette
    dropped = [part for part in plan.sized.parts if part.kind == "drop"]
    texts = [f"{palette[part.colour].name}: {words.reason(part.reason)}" for part in dropped]
    return [words.listed([text] * texts.count(text)) for text in dict.fromkeys(texts)]


def _approach(laid: LaidPlan, plan: Plan) -> Row:
    most = max(other.estimate.stitches for other in plan.approaches) or 1
    before = plan.approaches[: plan.approaches.index(laid)]
    same = next((other for other in before if words.same_stitches(laid, other)), None)
    return {
        "name": words.approach(laid.approach),
        "recommended": laid is plan.laid,
        "same": words.approach(same.approach) if same else "",
        "stitches": words.count(laid.estimate.stitches),
        "bar": f"{100 * laid.estimate.stitches / most:.1f}",
        "minutes": f"{laid.estimate.minutes:.1f}",
        "trims": str(laid.estimate.trims),
        "changes": str(laid.estimate.colour_changes),
        "thread": f"{laid.estimate.thread_m:.1f}",
        "bobbin": f"{laid.estimate.bobbin_m:.1f}",
        "kept": words.share(laid.detail_kept),
        "patches": str(len(laid.density.hard_patches)),
        "drift": f"{laid.registration_mm:.2f}",
        "span": f"{words.count(laid.estimate.span[0])} to {words.count(laid.estimate.span[1])}",
    }


def _pictures(pictures: Pictures) -> Row:
    sewn = shrunk(pictures.sewout, SEWOUT_PX)
    small = {"eye": pictures.arms_length, "back_face": pictures.back, "drifted": pictures.drifted}
    return {
        "sewout": data_uri(jpeg(sewn, 84), "image/jpeg"),
        "sewout_px": (sewn.shape[1], sewn.shape[0]),
        "drift": f"{pictures.drift_mm:.1f} mm",
        **{name: data_uri(jpeg(shrunk(one, SMALL_PX), 80), "image/jpeg") for name, one in small.items()},
    }
