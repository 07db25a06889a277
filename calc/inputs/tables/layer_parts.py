"""Layers in parts: where their strength by points bends or jumps, and where a study cuts them."""

from collections.abc import Iterator, Sequence

from calc.engine.levels import above
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.profiles import parts_between

PART = "/"  # between the key of a layer and the number of its part; no key of the file has it


def parts_by_points(layer: Layer, top: float, paths: dict[str, str]) -> list[Layer]:
    """The parts of a layer between the points of its strength, with where their values stand in the file."""
    if layer.c_u_profile is None:
        return [layer]
    pieces = parts_between(layer.c_u_profile.line, top, top + layer.thickness)
    parts = []
    for number, (first, last, thickness, strength, growth) in enumerate(pieces, start=1):
        whole = len(pieces) == 1
        key = layer.key if whole else f"{layer.key}{PART}{number}"
        points = f"layer.{layer.key}.c_u_profile.points"
        paths[f"layer.{key}.c_u"] = f"{points}.{first}.c_u"
        paths[f"layer.{key}.c_u_growth"] = f"{points}.{last}.c_u"
        if not whole:
            paths[f"layer.{key}.thickness"] = f"{points}.{last}.depth"
        parts.append(
            layer.part(key, c_u=strength, c_u_growth=growth or None, thickness=layer.thickness if whole else thickness)
        )
    return parts


def cut_parts(layer: Layer, top: float, thickness: Sequence[float], paths: dict[str, str]) -> Iterator[Layer]:
    """Parts of these thicknesses, from the top of a layer down, each in one of the parts by the points of strength."""
    places: dict[str, str] = {}
    pieces = parts_by_points(layer, top, places)
    start, end = 0.0, pieces[0].thickness
    piece, above_piece = pieces.pop(0), 0.0
    for number, part in enumerate(thickness, start=1):
        if pieces and above(start + part / 2, end):
            piece, above_piece = pieces.pop(0), end
            end += piece.thickness
        key = f"{layer.key}{PART}{number}"
        for name in ("c_u", "c_u_growth"):
            if (path := places.get(f"layer.{piece.key}.{name}")) is not None:
                paths[f"layer.{key}.{name}"] = path
        growth = (piece.c_u_growth or 0.0) * (start - above_piece)
        yield piece.part(key, thickness=part, c_u=None if piece.c_u is None else piece.c_u + growth)
        start += part
