"""Films of the five invented people, with points placed by three invented observers."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, Placement, RayName
from thumbwright.demo.people import Person
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.notes import film_note, placed_by_hand
from thumbwright.phantom.physics import Exposure, Photometric, Response
from thumbwright.phantom.poses import Loss
from thumbwright.phantom.projection import centred_geometry
from thumbwright.phantom.random_cases import Protocol, posed, with_metal, within_film
from thumbwright.phantom.scene import Scene, field_for, foot_scene, hand_scene

OBSERVERS = ("first", "second", "third")
SCATTER_MM = 0.3
BALL_TOLERANCE_MM = 3.0
BODY_END = frozenset({Landmark.METACARPAL_BASE, Landmark.STUMP_BONE_END, Landmark.METACARPAL_HEAD})
"""Points that are not there when the loss runs through the CMC joint."""
PROTOCOL = Protocol(ball_diameter_mm=(20.0,), ball_tolerance_mm=BALL_TOLERANCE_MM, letter_prob=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoFilm:
    """One film of an invented person, and what is said of it."""

    picture: PhantomFilm
    note: FilmNote


def films_of(person: Person) -> Iterator[DemoFilm]:
    """Expose both hands and both feet of a person, one after the other.

    Yields
    ------
    DemoFilm
        Injured hand, other hand, left foot, right foot.
    """
    rng = np.random.default_rng(person.seed)
    loss = Loss(kept_share=person.kept_share, soft_beyond_mm=person.soft_beyond_mm)
    hurt, sound = person.injured, person.injured.other
    scenes = (
        (f"hand_{hurt.value}.dcm", _hand(person, hurt, loss, rng)),
        (f"hand_{sound.value}.dcm", _hand(person, sound, None, rng)),
        ("foot_left.dcm", _foot(person, Side.LEFT, rng)),
        ("foot_right.dcm", _foot(person, Side.RIGHT, rng)),
    )
    for number, (file, scene) in enumerate(scenes):
        picture = _exposed(scene, person, number, rng)
        yield DemoFilm(picture=picture, note=_note(picture, file, person, rng))


def _hand(person: Person, side: Side, loss: Loss | None, rng: np.random.Generator) -> Scene:
    height = float(rng.uniform(*PROTOCOL.bone_height_mm))
    scene = hand_scene(side=side, person=person.size, height_mm=height, loss=loss)
    return with_metal(posed(scene, rng, PROTOCOL), 0, (0.25, 20.0), rng, PROTOCOL)


def _foot(person: Person, side: Side, rng: np.random.Generator) -> Scene:
    height = float(rng.uniform(*PROTOCOL.bone_height_mm))
    scene = foot_scene(side=side, person=person.size, height_mm=height)
    ray = 1 if PROTOCOL.toe is RayName.SECOND_TOE else 0
    return with_metal(posed(scene, rng, PROTOCOL), ray, (0.70, 19.5), rng, PROTOCOL)


def _exposed(scene: Scene, person: Person, number: int, rng: np.random.Generator) -> PhantomFilm:
    """Expose one film; detectors differ from film to film, as they do."""
    geometry = centred_geometry(field_mm=field_for(person.size))
    exposure = Exposure(
        bits=(12, 14, 16)[number % 3],
        response=Response.LOGARITHMIC if number % 2 == 0 else Response.LINEAR,
        photometric=Photometric.MONOCHROME1 if number == 1 else Photometric.MONOCHROME2,
    )
    return expose(within_film(scene, geometry), geometry, exposure, rng)


def _note(picture: PhantomFilm, file: str, person: Person, rng: np.random.Generator) -> FilmNote:
    scatter_px = SCATTER_MM / picture.geometry.column_pitch_mm
    wanted = tuple(
        point
        for point in picture.truth.points
        if person.cmc_kept or picture.truth.side is not person.injured or point not in BODY_END
    )
    rounds = tuple(
        _rounded(
            placed_by_hand(
                picture.truth, rng, observer=who, scatter_px=scatter_px, landmarks=wanted
            )
        )
        for who in OBSERVERS
    )
    return film_note(picture, file, placements=rounds, ball_height_tolerance_mm=BALL_TOLERANCE_MM)


def _rounded(placement: Placement) -> Placement:
    """Keep a tenth of a pixel, which is as fine as a person places a point."""
    return Placement(
        observer=placement.observer,
        points={
            point: (round(column, 1), round(row, 1))
            for point, (column, row) in placement.points.items()
        },
    )
