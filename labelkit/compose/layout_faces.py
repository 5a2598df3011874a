"""Which of the layouts that come with labelkit have a face that can write a guest's name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from labelkit.common.errors import FaceError
from labelkit.common.resources import layouts_dir
from labelkit.order.layout import Layout, completed, read_layout
from labelkit.typeset.faces import Face, FaceRequest, load_face


def layouts_writing(names: Iterable[str]) -> tuple[str, ...]:
    """The layouts whose own face for guests has every letter of all these names, in order.

    Faces that stand in are the same in all of them.
    """
    wanted = "".join(names)
    return tuple(name for name, face in _guest_faces().items() if not face.missing(wanted))


@lru_cache(maxsize=1)
def _guest_faces() -> Mapping[str, Face]:
    """The face of a guest's name by layout, where it is installed."""
    faces: dict[str, Face] = {}
    for path in sorted(layouts_dir().glob("*.toml")):
        try:
            faces[path.stem] = _guest_face(read_layout(path))
        except FaceError:
            continue
    return faces


def _guest_face(layout: Layout) -> Face:
    plan = completed(layout.panel("front"), ["guest"])
    block = next(block for block in plan.blocks if block.element == "guest")
    spec = layout.faces[block.face]
    return load_face(FaceRequest(spec.family, spec.weight, spec.widths[0], spec.italic))
