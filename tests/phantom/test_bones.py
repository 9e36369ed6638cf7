"""One bone: shell inside bone, bone inside soft tissue, ends where they are said to be."""

from dataclasses import replace

import numpy as np
import pytest

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.assembly import assembled
from thumbwright.phantom.bodies import body_parts
from thumbwright.phantom.bones import BoneSize, PlateEnd, bone_parts, outer_shape
from thumbwright.phantom.chords import height_inside, rays_to
from thumbwright.phantom.poses import Loss
from thumbwright.phantom.projection import Vector, centred_geometry, leaning
from thumbwright.phantom.scene import Scene, foot_scene, hand_scene
from thumbwright.phantom.sizes import PersonSize, adult, child
from thumbwright.phantom.solids import Frame

PEOPLE = {"adult": adult(), "small adult": adult(0.85), "small child of 2": child(2.0, 0.82)}
EVERY_BONE = [
    pytest.param(bone, id=f"{name}, {part} ray {ray + 1}, bone {number + 1}")
    for name, person in PEOPLE.items()
    for part, rays in (("hand", person.hand), ("foot", person.foot))
    for ray, size in enumerate(rays)
    for number, bone in enumerate(size.bones)
]
GEOMETRY = centred_geometry(field_mm=(100.0, 100.0), pitch_mm=(0.5, 0.5))
FRAME = Frame(origin=np.array([*GEOMETRY.source_mm, 30.0]), axes=leaning(20.0, 4.0, 30.0))


@pytest.mark.parametrize("bone", EVERY_BONE)
def test_base_and_end_lie_on_the_surface_on_the_axis(bone: BoneSize) -> None:
    shape = outer_shape(bone)
    assert not shape.holds(0.0, 0.0, -1e-6)
    assert shape.holds(0.0, 0.0, 1e-6)
    assert shape.holds(0.0, 0.0, bone.length_mm - 1e-6)
    assert not shape.holds(0.0, 0.0, bone.length_mm + 1e-6)


@pytest.mark.parametrize("bone", EVERY_BONE)
def test_nothing_of_a_bone_lies_beyond_its_end(bone: BoneSize) -> None:
    shape = outer_shape(bone)
    reach = np.linspace(-1.0, 1.0, 9) * bone.base_width_mm
    beyond = bone.length_mm + 1e-6
    assert not any(shape.holds(float(u), float(v), beyond) for u in reach for v in reach)


@pytest.mark.parametrize("bone", EVERY_BONE)
def test_spongy_bone_marrow_and_plate_lie_inside_the_shell(bone: BoneSize) -> None:
    outer, *inner = [part.shape for part in bone_parts(bone, FRAME)]
    rng = np.random.default_rng(8)
    half = bone.base_width_mm / 2
    for u, v, w in rng.uniform([-half, -half, -2], [half, half, bone.length_mm + 1], (700, 3)):
        point = (float(u), float(v), float(w))
        assert outer.holds(*point) or not any(shape.holds(*point) for shape in inner)


@pytest.mark.parametrize("bone", EVERY_BONE)
def test_no_ray_passes_a_negative_way(bone: BoneSize) -> None:
    across, down = GEOMETRY.columns_mm[None, ::2], GEOMETRY.rows_mm[::2, None]
    rays = rays_to(GEOMETRY, FRAME, across, down)
    heights = [height_inside(part.shape, rays) for part in bone_parts(bone, FRAME)]
    assert all(float(height.min()) > -1e-9 for height in heights)
    assert float((heights[0] - heights[1]).min()) > -1e-9


def test_a_cut_bone_ends_on_its_axis_at_the_cut() -> None:
    bone = adult().hand[0].bones[0]
    shape = bone_parts(bone, FRAME, cut_at_mm=20.0)[0].shape
    assert shape.holds(0.0, 0.0, 20.0 - 1e-6)
    assert not shape.holds(0.0, 0.0, 20.0 + 1e-6)
    assert not shape.holds(bone.waist_width_mm / 2 - 0.2, 0.0, 20.0 - 0.1)


def test_a_fused_bone_has_no_plate_and_an_open_one_has_it_at_its_own_end() -> None:
    bone = adult().hand[1].bones[0]
    fused = bone_parts(bone, FRAME)
    for end, place_mm in ((PlateEnd.BASE, 5.0), (PlateEnd.HEAD, bone.length_mm - 7.0)):
        parts = bone_parts(replace(bone, plate=end), FRAME)
        assert len(parts) == len(fused) + 1
        low = bone.length_mm / 2 if end is PlateEnd.HEAD else 0.0
        inside = [
            w for w in np.arange(0.05, bone.length_mm, 0.1) if parts[-1].shape.holds(0, 0, float(w))
        ]
        assert inside
        assert min(inside) >= low
        assert np.mean(inside) == pytest.approx(place_mm, abs=2.5)


def test_a_child_has_plates_at_the_ends_that_anatomy_names() -> None:
    person = child(6.0)
    for rays in (person.hand, person.foot):
        first_bones = [ray.bones[0].plate for ray in rays]
        assert first_bones == [PlateEnd.BASE] + 4 * [PlateEnd.HEAD]
        assert all(bone.plate is PlateEnd.BASE for ray in rays for bone in ray.bones[1:])
    assert all(bone.plate is None for ray in adult().hand for bone in ray.bones)


def test_a_child_grows() -> None:
    lengths = [child(age).hand[0].bones[0].length_mm for age in (2.0, 6.0, 10.0, 14.0)]
    assert lengths == sorted(lengths)
    assert lengths[-1] < adult().hand[0].bones[0].length_mm


def scenes(person: PersonSize) -> list[Scene]:
    return [
        hand_scene(side=Side.RIGHT, person=person),
        hand_scene(side=Side.LEFT, person=person, loss=Loss(kept_share=0.45)),
        foot_scene(side=Side.RIGHT, person=person),
    ]


@pytest.mark.parametrize("name", PEOPLE)
def test_every_bone_lies_wholly_in_soft_tissue(name: str) -> None:
    for scene in scenes(PEOPLE[name]):
        whole = assembled(scene)
        for number in range(5):
            for link in scene.chain(number).links:
                bone = scene.sizes[number].bones[link.number]
                shape = bone_parts(bone, link.frame, cut_at_mm=link.cut_at_mm)[0].shape
                frame = scene.stance.frame(link.frame)
                for place in surface(shape.box.u_mm[1], shape.box.w_mm, bone, frame):
                    assert any(
                        member.shape.holds(*((place - member.frame.origin) @ member.frame.axes.T))
                        for member in whole.members
                    )


@pytest.mark.parametrize("name", PEOPLE)
def test_wrist_tarsus_and_small_bones_lie_in_soft_tissue_where_they_are_on_the_film(
    name: str,
) -> None:
    rng = np.random.default_rng(6)
    for scene in scenes(PEOPLE[name]):
        members = assembled(scene).members
        for part in body_parts(scene):
            box = part.shape.box
            low, high = np.array([box.u_mm, box.v_mm, box.w_mm]).T
            for u, v, w in rng.uniform(low, high, (60, 3)).tolist():
                place = np.array(scene.stance.place(part.frame.place(u, v, w)))
                on_film = place[1] < 230.0 * scene.factor
                if on_film and part.shape.holds(u, v, w):
                    assert any(
                        member.shape.holds(*((place - member.frame.origin) @ member.frame.axes.T))
                        for member in members
                    )


def surface(
    half_mm: float, along_mm: tuple[float, float], bone: BoneSize, frame: Frame
) -> list[Vector]:
    """Return points on a sleeve that is a little wider than the bone at its widest."""
    return [
        frame.place(
            half_mm * float(np.cos(turn)), half_mm * bone.flatness * float(np.sin(turn)), float(w)
        )
        for turn in np.linspace(0, 2 * np.pi, 12, endpoint=False)
        for w in np.linspace(*along_mm, 9)
    ]


@pytest.mark.parametrize(
    "wrong",
    [{"waist_width_mm": 1.1}, {"cortex_mm": 5.0}, {"head_width_mm": 50.0}],
)
def test_a_bone_whose_parts_run_into_each_other_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(FilmError, match="mend the sizes"):
        replace(adult().hand[0].bones[0], **wrong)  # type: ignore[arg-type]
