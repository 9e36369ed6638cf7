"""Films that several tests look at, exposed once."""

import numpy as np
import pytest

from thumbwright.core.case.examined import Side
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.objects import MetalBall
from thumbwright.phantom.physics import Exposure, Response
from thumbwright.phantom.projection import centred_geometry
from thumbwright.phantom.scene import Scene, foot_scene, hand_scene

COARSE = centred_geometry(pitch_mm=(0.4, 0.4))
CLEAN = Exposure(
    noisy=False,
    grain_share=0.0,
    scatter_to_primary=0.0,
    heel_share=0.0,
    response=Response.LINEAR,
    bits=16,
)


def exposed(scene: Scene) -> PhantomFilm:
    return expose(scene, COARSE, CLEAN, np.random.default_rng(1))


@pytest.fixture(scope="session", name="hand")
def fixture_hand() -> PhantomFilm:
    ball = MetalBall(diameter_mm=20.0, centre_mm=(-85.0, -25.0, 27.0))
    return exposed(hand_scene(side=Side.RIGHT, balls=(ball,)))


@pytest.fixture(scope="session", name="foot")
def fixture_foot() -> PhantomFilm:
    ball = MetalBall(diameter_mm=20.0, centre_mm=(-60.0, 60.0, 27.0))
    return exposed(foot_scene(side=Side.LEFT, balls=(ball,)))
