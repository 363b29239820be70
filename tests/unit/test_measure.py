"""The quadrature that volumes and masses stand on."""

import numpy as np
import pytest

from rackgen.parts.measure import _gauss


@pytest.mark.parametrize("count", [2, 5, 8, 12])
def test_nodes_and_weights_are_those_of_the_library(count: int) -> None:
    nodes, weights = _gauss(count)
    theirs, their_weights = np.polynomial.legendre.leggauss(count)
    assert np.allclose(nodes, theirs, atol=1e-13)
    assert np.allclose(weights, their_weights, atol=1e-13)
