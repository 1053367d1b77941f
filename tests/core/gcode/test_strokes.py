from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerfproof.gcode.words import NumberFormat
from kerfproof.gcode.writer.strokes import Strokes, strokes
from kerfproof.geom.path import Path
from kerfproof.registry import load_folder

NGC = load_folder("kerfproof.gcode.dialects", "DIALECT")["ngc"]
MM, INCH = NumberFormat(False, 4), NumberFormat(True, 5)


def random_arcs(count: int, seed: int = 3) -> np.ndarray:
    """Return vertices (2 count, 3) of arcs as pairs: chords of 1 um to 1 m, sweeps up to a half circle."""
    rng = np.random.default_rng(seed)
    start = rng.uniform(-1500, 1500, (count, 2))
    angle, chord = rng.uniform(0, 2 * np.pi, count), 10 ** rng.uniform(-3, 3, count)
    bulge = np.where(rng.random(count) < 0.2, rng.choice([-1.0, 1.0], count), rng.uniform(-1, 1, count))
    bulge = np.where(rng.random(count) < 0.2, bulge * 10 ** rng.uniform(-9, -1, count), bulge)
    end = start + chord[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    pairs = np.stack([np.column_stack([start, bulge]), np.column_stack([end, np.zeros(count)])], axis=1)
    return pairs.reshape(-1, 3)


def radius_gap(s: Strokes, unit_steps: float) -> np.ndarray:
    """Return the difference of start and end radius of arcs whose start is the run's start, in program units."""
    arcs = s.word > 1
    begin, end, center = s.start[s.run[arcs]], s.end[arcs], s.center[arcs]
    r0 = np.hypot(*center.T)
    r1 = np.hypot(*(end - begin - center).T)
    return np.abs(r0 - r1) / unit_steps


@pytest.mark.parametrize(
    ("words", "tolerance"),
    [(MM, 0.002), (INCH, 0.0002), (NumberFormat(False, 3), 0.002), (NumberFormat(True, 4), 0.0002)],
)
def test_200_000_random_arcs_keep_the_radius_tolerance_of_the_standard(words: NumberFormat, tolerance: float) -> None:
    # NISTIR 6556, 3.5.3.2: 0.002 mm or 0.0002 inch.
    vertices = random_arcs(200_000)
    runs = list(vertices.reshape(-1, 2, 3))
    drawn = strokes(runs, words, NGC)
    gap = radius_gap(drawn, 10.0**words.decimals)
    assert len(gap) > 100_000
    assert gap.max() < tolerance


def test_written_arcs_stay_within_a_micrometre_of_the_drawn_ones() -> None:
    vertices = random_arcs(20_000, seed=8)
    p0, p1, b = vertices[::2, :2], vertices[1::2, :2], vertices[::2, 2]
    chord = p1 - p0
    bow = (p0 + p1) / 2 + (b / 2)[:, None] * np.column_stack([chord[:, 1], -chord[:, 0]])  # middle of the drawn arc
    for words in (MM, INCH):
        drawn = strokes(list(vertices.reshape(-1, 2, 3)), words, NGC)
        arcs = drawn.word > 1
        run = drawn.run[arcs]
        start, end = drawn.start[run] / words.steps_per_mm, drawn.end[arcs] / words.steps_per_mm
        center = start + drawn.center[arcs] / words.steps_per_mm
        radius = np.hypot(*(start - center).T)
        assert np.abs(np.hypot(*(bow[run] - center).T) - radius).max() < 1.0e-3
        assert np.abs(end - p1[run]).max() <= 0.5 / words.steps_per_mm + 1e-9


def test_the_direction_word_follows_the_bulge() -> None:
    run = Path([(0, 0, 0.3), (10, 0, -0.3), (20, 0, 0), (30, 0, 0)], False).vertices
    assert strokes([run], MM, NGC).word.tolist() == [3, 2, 1]


def test_strokes_whose_rounded_ends_coincide_are_left_out_and_the_chain_stays_joined() -> None:
    run = np.array([(0, 0, 0), (10, 0, 1.0), (10.00003, 0, 0), (10.00004, 0.00004, 0), (10, 10, 0)])
    drawn = strokes([run], MM, NGC)
    assert drawn.texts(MM) == ["G1 X10 Y0", "G1 X10 Y10"]
    assert drawn.index.tolist() == [0, 3]


def test_arcs_that_bow_less_than_half_a_step_are_lines() -> None:
    run = np.array([(0, 0, 1e-8), (1000, 0, 1e-5), (2000, 0, 0)])
    assert strokes([run], MM, NGC).word.tolist() == [1, 3]


def test_a_full_circle_arrives_and_leaves_as_two_halves() -> None:
    run = Path.circle((50, 30), 10).opened().vertices
    assert strokes([run], MM, NGC).texts(MM) == ["G3 X40 Y30 I-10 J0", "G3 X60 Y30 I10 J0"]


def test_centres_are_absolute_where_the_control_wants_them_so() -> None:
    run = Path.circle((50, 30), 10).opened().vertices
    control = replace(NGC, arc_centers_absolute=True)
    assert strokes([run], MM, control).texts(MM) == ["G3 X40 Y30 I50 J30", "G3 X60 Y30 I50 J30"]


def test_nothing_is_written_with_a_minus_zero_or_an_exponent() -> None:
    vertices = random_arcs(2_000, seed=4) * np.array([1e-3, 1e-3, 1.0])
    texts = strokes(list(vertices.reshape(-1, 2, 3)), MM, NGC).texts(MM)
    assert not [text for text in texts if "-0 " in text or text.endswith("-0") or "e" in text]
