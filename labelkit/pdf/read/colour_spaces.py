"""How a colour of a colour space shows, where it is not one of the device's own three.

Separations, and L*a*b*, as far as labels have them: a tint that rises evenly to its solid
(ISO 32000-1, 8.6.5.4, 8.6.6.4 and 7.10.3). Any other space is taken for black, as is what a file
says nothing readable of: letters in it are there, and their contrast is for the eye.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

_DEVICE = {"/DeviceGray": 1, "/G": 1, "/DeviceRGB": 3, "/RGB": 3, "/DeviceCMYK": 4, "/CMYK": 4}
"""Spaces of a device, by how many numbers a colour has."""
_LAB_TO_SRGB = (
    (3.1338561, -1.6168667, -0.4906146),
    (-0.9787684, 1.9161415, 0.0334540),
    (0.0719453, -0.2289914, 1.4052427),
)
"""CIE XYZ under D50 to linear sRGB by Bradford (from memory, as of handbooks of colour)."""


def read_colour(space: Any, values: Sequence[float]) -> list[float]:
    """Red, green and blue (0 to 1) of a colour in a colour space."""
    space = _resolve(space)
    if isinstance(space, str):
        return _read_device_colour(values) if space in _DEVICE else [0.0] * 3
    if not isinstance(space, list) or not space:
        return [0.0] * 3
    family = _resolve(space[0])
    if family == "/Separation" and len(values) == 1:
        solid = _read_tint(_resolve(space[3]), values[0])
        return read_colour(space[2], solid) if solid else [0.0] * 3
    if family == "/Lab" and len(values) == 3:
        return _read_lab(values)
    if family == "/ICCBased":
        return _read_device_colour(values)
    return [0.0] * 3


def _read_device_colour(values: Sequence[float]) -> list[float]:
    if len(values) == 4:
        *colours, black = values
        return [(1 - v) * (1 - black) for v in colours]
    return [values[0]] * 3 if len(values) == 1 else list(values[:3])


def _read_tint(function: Any, tint: float) -> list[float]:
    """The colour of a tint by an exponential function; empty for another kind."""
    if not hasattr(function, "get") or function.get("/FunctionType") != 2:
        return []
    share = min(max(tint, 0.0), 1.0) ** float(function["/N"])
    start = [float(v) for v in function.get("/C0", [0.0])]
    end = [float(v) for v in function.get("/C1", [1.0])]
    return [a + share * (b - a) for a, b in zip(start, end, strict=True)]


def _read_lab(values: Sequence[float]) -> list[float]:
    """ISO 32000-1, 8.6.5.4: whatever the white it names, it is seen as the white of a screen."""
    lightness, a, b = values
    m = (lightness + 16) / 116
    white = (0.96422, 1.0, 0.82521)
    xyz = [w * _unbend(v) for w, v in zip(white, (m + a / 500, m, m - b / 200), strict=True)]
    linear = [sum(k * v for k, v in zip(row, xyz, strict=True)) for row in _LAB_TO_SRGB]
    return [min(max(_encode(v), 0.0), 1.0) for v in linear]


def _unbend(value: float) -> float:
    return value**3 if value >= 6 / 29 else 108 / 841 * (value - 4 / 29)


def _encode(light: float) -> float:
    """IEC 61966-2-1."""
    return 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


def _resolve(item: Any) -> Any:
    return item.get_object() if hasattr(item, "get_object") else item
