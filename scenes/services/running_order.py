"""The running order of a draft: which scene follows which, and what becomes of the intervals.

An interval belongs to the place between two acts, not to the scene that happens to stand before
it: when scenes change places it stays where it was, and only the scene before it is another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from scenes.models import Scene


@dataclass
class Block:
    """Scenes up to the next border: the end of an act, or an interval."""

    act: str
    scenes: list[Scene] = field(default_factory=list)
    bearer: Scene | None = None  # the scene before the interval, while it stood last


def split_blocks(scenes: Sequence[Scene]) -> list[Block]:
    """The scenes in playing order, cut where the act changes or an interval follows."""
    blocks: list[Block] = []
    for scene in scenes:
        if not blocks or blocks[-1].bearer or blocks[-1].act != scene.act:
            blocks.append(Block(scene.act))
        blocks[-1].scenes.append(scene)
        if scene.is_interval:
            blocks[-1].bearer = scene
    return blocks


def step_scene(scenes: Sequence[Scene], scene: Scene, *, is_up: bool) -> list[Scene]:
    """One place up or down. At a border the scene crosses it first, and so changes its act."""
    blocks = split_blocks(scenes)
    at = _block_of(blocks, scene)
    inside = blocks[at].scenes
    place = inside.index(scene) + (-1 if is_up else 1)
    inside.remove(scene)
    if 0 <= place <= len(inside):
        inside.insert(place, scene)
    elif is_up and at > 0:
        _cross(scene, blocks[at], blocks[at - 1], -1)
    elif not is_up and at + 1 < len(blocks):
        _cross(scene, blocks[at], blocks[at + 1], 0)
    else:
        inside.insert(max(place, 0), scene)
    return _settle(blocks)


def place_scene(scenes: Sequence[Scene], scene: Scene, *, after: Scene | None) -> list[Scene]:
    """The scene behind `after`, in its act; or first of all where `after` is None."""
    if after == scene:
        return list(scenes)
    blocks = split_blocks(scenes)
    blocks[_block_of(blocks, scene)].scenes.remove(scene)
    if after is None:
        first = next((block for block in blocks if block.scenes), blocks[0])
        first.scenes.insert(0, scene)
    else:
        home = blocks[_block_of(blocks, after)]
        home.scenes.insert(home.scenes.index(after) + 1, scene)
    return _settle(blocks)


def drop_scene(scenes: Sequence[Scene], scene: Scene) -> list[Scene]:
    """The order without the scene; an interval after it falls to the scene before, if any."""
    blocks = split_blocks(scenes)
    home = blocks[_block_of(blocks, scene)]
    home.scenes.remove(scene)
    return _settle(blocks)


def _cross(scene: Scene, home: Block, other: Block, end: int) -> None:
    """The scene goes to the near end (-1 or 0) of the other block.

    Two intervals cannot follow each other: where the scene stood alone before one, the two
    neighbours change places instead.
    """
    if home.bearer and not home.scenes and other.scenes:
        home.scenes.append(other.scenes.pop(end))
    other.scenes.insert(len(other.scenes) if end else 0, scene)


def _block_of(blocks: list[Block], scene: Scene) -> int:
    return next(n for n, block in enumerate(blocks) if scene in block.scenes)


def _settle(blocks: list[Block]) -> list[Scene]:
    """Give each scene its act and position, and each interval to the last scene of its block."""
    order = []
    for block in blocks:
        for scene in block.scenes:
            scene.act = block.act
        if block.bearer and block.scenes and block.scenes[-1] != block.bearer:
            _hand_over(block.bearer, block.scenes[-1])
        order += block.scenes
    for position, scene in enumerate(order):
        scene.position = position
    return order


def _hand_over(bearer: Scene, last: Scene) -> None:
    """The interval and its minutes go to `last`; its own short gap goes back in exchange."""
    if last.is_interval:
        return
    bearer.gap_s, last.gap_s = last.gap_s, bearer.gap_s
    bearer.is_interval, last.is_interval = False, True
