"""All solids of a scene, in the frame of the detector."""

from dataclasses import dataclass

from thumbwright.phantom.bodies import body_members, body_parts
from thumbwright.phantom.bones import Part, bone_parts
from thumbwright.phantom.objects import (
    LeadLetter,
    MetalRuler,
    Ring,
    ball_part,
    letter_parts,
    ring_part,
    ruler_parts,
    screw_part,
)
from thumbwright.phantom.scene import RAYS, Distractor, Scene
from thumbwright.phantom.soft_parts import Member, half_width_at, ray_members


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assembly:
    """Soft parts, whose union counts, and the parts that lie in them or beside them."""

    members: tuple[Member, ...]
    parts: tuple[Part, ...]


def assembled(scene: Scene) -> Assembly:
    """Return all solids of a scene in the frame of the detector."""
    stance = scene.stance
    members, parts = body_members(scene), body_parts(scene)
    for number in range(RAYS):
        chain, size = scene.chain(number), scene.sizes[number]
        members += ray_members(size, chain)
        for link in chain.links:
            bone = size.bones[link.number]
            parts += bone_parts(bone, link.frame, cut_at_mm=link.cut_at_mm)
    placed = [stance.part(part) for part in parts]
    placed += [ball_part(ball, stance.place(ball.centre_mm)) for ball in scene.balls]
    for thing in scene.things:
        placed += _thing_parts(scene, thing)
    return Assembly(members=tuple(stance.member(member) for member in members), parts=tuple(placed))


def _thing_parts(scene: Scene, thing: Distractor) -> list[Part]:
    stance = scene.stance
    if isinstance(thing, LeadLetter):
        return letter_parts(thing, stance.place(thing.centre_mm))
    if isinstance(thing, MetalRuler):
        return [stance.part(part) for part in ruler_parts(thing)]
    links = scene.chain(thing.finger).links
    if isinstance(thing, Ring):
        link = links[1]
        at_mm = thing.place_share * link.length_mm
        half = half_width_at(scene.sizes[thing.finger], link, at_mm)
        return [stance.part(ring_part(thing, link.frame, link.length_mm, half))]
    return [stance.part(screw_part(thing, links[0].frame))]
