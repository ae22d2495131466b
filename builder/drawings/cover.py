"""The picture for the cover, without any text.

In: a resolved design and the room on paper.  Out: a scene: work that stands up, a box, as it stands
on the table; flat work closed, before the same work open.
"""

from __future__ import annotations

from dataclasses import replace

from builder.drawings.finished_view import cover_scene
from builder.drawings.raised_state import raised_scene
from builder.drawings.scene import Scene
from builder.drawings.wording import words_of
from builder.resolve.placement import finished_size
from builder.resolve.resolved import ResolvedDesign

#: Work is no flat thing when it is at least this high, as a share of its shorter side.
_STANDS = 4


def stands_up(resolved: ResolvedDesign) -> bool:
    """Whether the closed work is so high that it is to be seen from the side."""
    size = finished_size(resolved)
    return size is not None and _STANDS * size[2] >= min(size[0], size[1])


def scene_for_cover(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """``cover``, within ``max_width`` x ``max_height`` mm."""
    if not stands_up(resolved):
        return cover_scene(resolved, max_width, max_height)
    scene = raised_scene(resolved, "closed", max_width, max_height)
    title = resolved.design.title
    words = words_of(resolved).phrase("draw_cover_standing", design=title)
    return replace(scene, key="cover", title=title, text_equivalent=words)
