"""Measure parts given as rings of points with shapely: a witness from outside.

Reads a JSON list of parts, each a list of rings (outline first) of [x, y], and
writes a JSON list of {area, length, width, gaps, valid}: net area, sum of ring
lengths, least width of the outline's hull, and for every cut-out the least
distance to another ring.
"""
import json
import math
import sys

from shapely.geometry import LinearRing, Polygon


def least_width(hull):
    pts = list(hull.exterior.coords)[:-1]
    best = math.inf
    for i, (x0, y0) in enumerate(pts):
        x1, y1 = pts[(i + 1) % len(pts)]
        l = math.hypot(x1 - x0, y1 - y0)
        if l == 0:
            continue
        far = max(abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / l for x, y in pts)
        best = min(best, far)
    return best


out = []
for rings in json.load(sys.stdin):
    poly = Polygon(rings[0], rings[1:])
    lines = [LinearRing(r) for r in rings]
    gaps = [
        min(lines[k].distance(lines[m]) for m in range(len(lines)) if m != k)
        for k in range(1, len(lines))
    ]
    out.append({
        "area": poly.area,
        "length": sum(l.length for l in lines),
        "width": least_width(poly.convex_hull),
        "gaps": gaps,
        "valid": poly.is_valid,
    })
json.dump(out, sys.stdout)
