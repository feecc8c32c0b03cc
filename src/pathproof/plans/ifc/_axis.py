"""The reference line of a wall, as the file draws it."""

from typing import Any

import numpy as np

from pathproof.plans.ifc._bodies import FloatArray


def reference_line(wall: Any) -> FloatArray | None:
    """Corners of the wall's axis in the wall's own coordinates, shape (n, 2); none without one. [m]

    The axis is the line the wall was drawn by, not its middle; arcs come as chords with a
    sagitta of at most half a millimetre.
    """
    representation = wall.Representation
    for shape in representation.Representations if representation is not None else ():
        if shape.RepresentationIdentifier == "Axis" and shape.Items:
            return _points(shape.Items[0])
    return None


def _points(curve: Any) -> FloatArray | None:
    import ifcopenshell.geom
    from ifcopenshell import ifcopenshell_wrapper

    settings = ifcopenshell.geom.settings()
    settings.set("dimensionality", ifcopenshell_wrapper.CURVES)
    settings.set("mesher-linear-deflection", 0.0005)
    settings.set("mesher-angular-deflection", 0.1)
    try:
        shape = ifcopenshell.geom.create_shape(settings, curve)
    except RuntimeError:  # what the geometry engine raises for a curve it cannot make
        return None
    vertices = np.array(shape.verts, dtype=np.float64).reshape(-1, 3)
    edges = np.array(shape.edges, dtype=np.int64).reshape(-1, 2)
    if len(edges) == 0 or not np.isfinite(vertices).all():
        return None
    points = vertices[_chain(edges)][:, :2]
    steps = np.hypot(*np.diff(points, axis=0).T)
    kept = points[np.concatenate([[True], steps > 1e-6])]
    return kept if len(kept) >= 2 else None


def _chain(edges: "np.ndarray[Any, np.dtype[np.int64]]") -> list[int]:
    """Vertex numbers in drawing order; edges come one after the other."""
    order = [int(edges[0, 0])]
    for a, b in edges.tolist():
        if order[-1] == a:
            order.append(b)
        else:
            break
    return order
