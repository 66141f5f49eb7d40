"""Reads drawings with ezdxf and prints, one JSON object a line, what they hold.

Usage: witness.py < list of paths. Entities of model space are counted and
measured after blocks are expanded; layers that are off or frozen are left out.
Lengths and boxes are in drawing units.
"""
import json
import math
import sys

import ezdxf
from ezdxf import recover

CLASSES = {
    "LINE": "line", "ARC": "round", "CIRCLE": "round", "ELLIPSE": "round",
    "LWPOLYLINE": "poly", "POLYLINE": "poly", "SPLINE": "spline",
}


def hidden(doc, name, insert):
    if name not in doc.layers:
        return False
    layer = doc.layers.get(name)
    return layer.is_frozen() or (layer.is_off() and not insert)


def expand(doc, entities, parent, depth):
    if depth > 20:
        raise ValueError("deep nesting")
    for e in entities:
        kind = e.dxftype()
        layer = e.dxf.get("layer", "0")
        if parent is not None and layer == "0":
            layer = parent
        if hidden(doc, layer, kind == "INSERT") or e.dxf.get("invisible", 0):
            continue
        if kind == "INSERT":
            if e.dxf.name[:2].upper() in ("*D", "*X", "*T"):
                continue
            parts = e.multi_insert() if e.mcount > 1 else [e]
            for part in parts:
                yield from expand(doc, part.virtual_entities(), layer, depth + 1)
        elif kind in CLASSES:
            yield e


def points(e):
    """Points along e: exact at ends and vertices, chords elsewhere."""
    kind = e.dxftype()
    if kind == "LINE":
        return [e.dxf.start, e.dxf.end]
    if kind in ("ARC", "CIRCLE"):
        # Ends and the points where the circle is widest.
        start, end = (e.dxf.start_angle, e.dxf.end_angle) if kind == "ARC" else (0.0, 360.0)
        span = (end - start) % 360 or 360
        angles = [start] + [a for a in range(-720, 1081, 90) if start < a < start + span] + [start + span]
        return list(e.vertices(angles))
    if kind == "ELLIPSE":
        return list(e.flattening(max(e.dxf.major_axis.magnitude, 1e-9) * 1e-6))
    if kind == "SPLINE":
        tool = e.construction_tool()
        box = list(tool.control_points)
        size = max((a - b).magnitude for a in box for b in box[:1]) or 1.0
        return list(tool.flattening(size * 2e-5, segments=4))
    out = []
    for part in e.virtual_entities():
        pts = points(part)
        # Arcs of a polyline may run backwards.
        if out and (out[-1] - pts[0]).magnitude > (out[-1] - pts[-1]).magnitude:
            pts.reverse()
        out.extend(pts)
    return out


def length(e):
    kind = e.dxftype()
    if kind == "CIRCLE":
        return 2 * math.pi * abs(e.dxf.radius)
    if kind == "ARC":
        span = (e.dxf.end_angle - e.dxf.start_angle) % 360 or 360
        return math.radians(span) * abs(e.dxf.radius)
    if kind in ("LWPOLYLINE", "POLYLINE"):
        return sum(length(p) for p in e.virtual_entities())
    pts = points(e)
    return sum((b - a).magnitude for a, b in zip(pts, pts[1:]))


def measure(path):
    try:
        doc = ezdxf.readfile(path)
    except ezdxf.DXFStructureError:
        doc, _ = recover.readfile(path)
    out = {"path": path, "version": doc.dxfversion, "counts": {}, "length": 0.0, "flat": True}
    low, high = [math.inf] * 2, [-math.inf] * 2
    for e in expand(doc, doc.modelspace(), None, 0):
        if e.dxftype() == "POLYLINE" and (e.is_polygon_mesh or e.is_poly_face_mesh):
            continue
        pts = points(e)
        size = length(e)
        if size == 0:
            continue
        name = CLASSES[e.dxftype()]
        out["counts"][name] = out["counts"].get(name, 0) + 1
        out["length"] += size
        z = [p[2] if len(p) > 2 else 0 for p in pts]
        if max(z) - min(z) > 1e-3:
            out["flat"] = False
        for p in pts:
            for i in range(2):
                low[i], high[i] = min(low[i], p[i]), max(high[i], p[i])
    if out["counts"]:
        out["box"] = low + high
    return out


for line in sys.stdin:
    path = line.rstrip("\n")
    try:
        out = measure(path)
    except Exception as e:  # a witness that fails has nothing to say
        out = {"path": path, "error": f"{type(e).__name__}: {e}"}
    print(json.dumps(out), flush=True)
