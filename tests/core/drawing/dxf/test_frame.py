from __future__ import annotations

import numpy as np
import pytest
from ezdxf.math import OCS

from kerfproof.drawing.dxf.frame import BlockTransform, Tilted, object_axes


def test_the_axes_of_minus_z_mirror_x() -> None:
    # Arbitrary axis rule of the DXF reference for N = (0, 0, -1): Ax = (-1, 0, 0), Ay = (0, 1, 0).
    assert object_axes((0, 0, -1)).T.tolist() == [[-1, 0, 0], [0, 1, 0], [0, 0, -1]]


@pytest.mark.parametrize("normal", [(0, 0, 1), (0, 0, -2), (1, 0, 0), (0.01, 0.01, 1), (0.3, -0.5, 0.8), (0, 1, 0)])
def test_the_axes_are_those_of_the_dxf_library(normal: tuple[float, float, float]) -> None:
    ocs = OCS(normal)
    expected = np.column_stack([ocs.ux.xyz, ocs.uy.xyz, ocs.uz.xyz])
    assert np.allclose(object_axes(normal), expected, atol=1e-12)


def test_an_extrusion_without_direction_is_refused() -> None:
    with pytest.raises(ValueError, match="no direction"):
        object_axes((0, 0, 0))


def test_a_plane_of_minus_z_mirrors_and_drops_the_elevation() -> None:
    plane = BlockTransform.scaled(25.4).plane((0, 0, -1), 7)
    assert plane.at(1, 2) == pytest.approx((-25.4, 50.8))
    assert plane.mirrored
    assert plane.even


def test_a_tilted_plane_and_points_at_several_heights_are_refused() -> None:
    frame = BlockTransform.scaled(1)
    with pytest.raises(Tilted):
        frame.plane((0, 0.1, 1), 0)
    with pytest.raises(Tilted):
        frame.world([(0, 0, 0), (10, 0, 1)])
    assert frame.world([(0, 0, 3), (10, 0, 3)]).tolist() == [[0, 0], [10, 0]]


def test_a_tilt_that_the_block_around_takes_back_lies_flat() -> None:
    stood = BlockTransform.scaled(1).child(object_axes((0, -1, 0)), np.zeros(3))
    with pytest.raises(Tilted):
        stood.plane((0, 0, 1), 0)
    back = stood.child(np.linalg.inv(object_axes((0, -1, 0))), np.zeros(3))
    assert back.plane((0, 0, 1), 0).at(3, 4) == pytest.approx((3, 4))
