"""What a shape is told to be: figures that no scale, turn or place changes, and networks that numpy runs as sklearn."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, affinity
from sklearn.exceptions import ConvergenceWarning
from sklearn.neural_network import MLPClassifier

from analyse.lettering.classifier import KINDS, Networks, chances, classifiable, looks, predict, second_look
from analyse.lettering.traits import NAMES, NEIGHBOURS, traits
from analyse.values import Drawing
from analyse.widths.measuring import measure
from tests.drawings import drawing_of
from tests.lettered import along, lettering

CAP = 80.0


def told(drawing: Drawing) -> NDArray[np.float64]:
    shapes, colours, _ = classifiable(drawing, measure(drawing))
    hulls = shapely.convex_hull(np.array([shape.whole.filled for shape in shapes], dtype=object))
    left, top, right, bottom = drawing.extent_px
    return traits(shapes, hulls, colours, max(right - left, bottom - top))[0][: len(drawing.regions)]


def as_sklearn(look: Networks) -> list[MLPClassifier]:
    """The shipped coefficients in scikit-learn's own networks."""
    made = []
    rows = np.zeros((len(KINDS), len(look.mean)))
    for layers in look.layers:
        network = MLPClassifier(tuple(len(offsets) for _, offsets in layers[:-1]), max_iter=1, random_state=0)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", ConvergenceWarning)
            network.fit(rows, np.arange(len(KINDS)))
        network.coefs_, network.intercepts_ = [w for w, _ in layers], [o for _, o in layers]
        made.append(network)
    return made


def test_numpy_predicts_what_scikit_learn_does() -> None:
    own, dice = looks(), np.random.default_rng(0)
    rows = own.first.mean + dice.normal(size=(400, len(NAMES))) * own.first.deviation
    near = dice.integers(-1, 400, size=(400, NEIGHBOURS))

    def seen(look: Networks, figures: NDArray[np.float64]) -> NDArray[np.float64]:
        standard = (figures - look.mean) / look.deviation
        return np.asarray(np.mean([network.predict_proba(standard) for network in as_sklearn(look)], axis=0))

    cooled = seen(own.second, second_look(rows, seen(own.first, rows), near)) ** (1 / own.heat)
    cooled[:, KINDS.index("letter")] *= own.favour
    assert predict(rows, near) == pytest.approx(cooled / cooled.sum(axis=1, keepdims=True), abs=1e-9)


def test_the_second_look_knows_what_neighbours_were_taken_for() -> None:
    rows, first = np.zeros((3, len(NAMES))), np.eye(len(KINDS))[[3, 3, 0]]
    told = second_look(rows, first, np.array([[1, 2, -1, -1], [-1, -1, -1, -1], [1, -1, -1, -1]]))[:, len(NAMES) :]
    beside, likest = told[:, len(KINDS) : 2 * len(KINDS)], told[:, -1]
    assert beside[0].tolist() == [0.5, 0.0, 0.0, 0.5, 0.0]
    assert beside[1].tolist() == [0.0] * len(KINDS)
    assert likest.tolist() == [1.0, 0.0, 1.0]


def test_traits_do_not_change_with_scale_turn_and_place() -> None:
    shapes = [
        *lettering("HARBOUR", CAP, along(400, 200)),
        Point(700, 300).buffer(30),
        LineString([(0, 300), (300, 330)]).buffer(9),
    ]
    one = told(drawing_of(*shapes))
    moved = [
        affinity.translate(affinity.rotate(affinity.scale(s, 2.5, 2.5, origin=(0, 0)), 90, (0, 0)), 3e3) for s in shapes
    ]
    assert told(drawing_of(*moved)) == pytest.approx(one, abs=0.03)


def test_letters_are_told_from_hatching_and_dots() -> None:
    hatching = [LineString([(40 * k, 500), (40 * k + 30, 470)]).buffer(4) for k in range(14)]
    dots = [Point(40 * k, 650).buffer(12) for k in range(12)]
    letters = lettering("GARDEN GATE", CAP, along(400, 200))
    drawing = drawing_of(*letters, *hatching, *dots, colours=[0] * len(letters) + [1] * 14 + [2] * 12)
    found = chances(drawing, measure(drawing)).regions
    assert found.sum(axis=1) == pytest.approx(1.0)
    of = found.argmax(axis=1)
    assert (of[: len(letters)] == KINDS.index("letter")).mean() >= 0.9
    assert (of[len(letters) : len(letters) + 14] == KINDS.index("texture")).all()
    assert (of[-12:] == KINDS.index("dot")).all()


def test_what_is_too_small_to_tell_is_told_nothing() -> None:
    drawing = drawing_of(Point(0, 0).buffer(1.0), Point(100, 0).buffer(30))
    found = chances(drawing, measure(drawing)).regions
    assert found[0].tolist() == [0.0] * len(KINDS)
    assert math.isclose(found[1].sum(), 1.0)
