#!/usr/bin/env python3
"""Draws the drawings in reading/, one for each case that a programmer meets.

What must be understood is written into each drawing as comments (group 999):

    want parts 2          different parts
    want pieces 3         all parts with their quantities
    want cutouts 1        cut-outs of all different parts
    want incomplete 1     parts that cannot be trusted
    want TAKEN 2          runs of curves taken for TAKEN (bend, etch, lead-in, ...)
    want message CODE     a message; every code that comes must be wanted
    want text WORDS       words that one of the messages must hold
    want NAME VALUE       a measure: area, length, used, apart, flange, gap, up, joints, held, bridges, forms, doubt

Run it from its own folder; it writes every drawing anew.
"""
import math
import os

OUT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "reading")


class Drawing:
    def __init__(self, name, *wants, units=4, measurement=None):
        self.name, self.wants, self.units, self.measurement = name, wants, units, measurement
        self.body = []

    def add(self, kind, layer, *pairs):
        self.body += [(0, kind), (8, layer), *pairs]

    def line(self, x1, y1, x2, y2, layer="CUT"):
        self.add("LINE", layer, (10, x1), (20, y1), (11, x2), (21, y2))
        return self

    def lines(self, *xy, layer="CUT"):
        for i in range(0, len(xy) - 2, 2):
            self.line(*xy[i:i + 4], layer=layer)
        return self

    def poly(self, *xy, layer="CUT", closed=True):
        self.lines(*xy, layer=layer)
        return self.line(*xy[-2:], *xy[:2], layer=layer) if closed else self

    def rect(self, x1, y1, x2, y2, layer="CUT"):
        return self.poly(x1, y1, x2, y1, x2, y2, x1, y2, layer=layer)

    def circle(self, x, y, r, layer="CUT"):
        self.add("CIRCLE", layer, (10, x), (20, y), (40, r))
        return self

    def arc(self, x, y, r, a, b, layer="CUT"):
        self.add("ARC", layer, (10, x), (20, y), (40, r), (50, a), (51, b))
        return self

    def round(self, x, y, r, n, a=0, b=360, layer="CUT", every=0):
        """n chords of an arc, one by one; every third so many in one polyline."""
        at = [(x + r * math.cos(math.radians(a + (b - a) * k / n)), y + r * math.sin(math.radians(a + (b - a) * k / n))) for k in range(n + 1)]
        if b - a == 360:
            at[n] = at[0]
        k = 0
        while k < n:
            many = every if every and k % 3 == 0 else 1
            piece = at[k:k + many + 1]
            if len(piece) > 2:
                self.add("LWPOLYLINE", layer, (90, len(piece)), (70, 0), *[t for p in piece for t in ((10, p[0]), (20, p[1]))])
            else:
                self.line(*piece[0], *piece[1], layer=layer)
            k += len(piece) - 1
        return self

    def text(self, x, y, words, layer="TEXT", h=3):
        self.add("TEXT", layer, (10, x), (20, y), (40, h), (1, words))
        return self

    def save(self):
        pairs = [(999, "want " + w) for w in self.wants]
        head = []
        if self.units is not None:
            head += [(9, "$INSUNITS"), (70, self.units)]
        if self.measurement is not None:
            head += [(9, "$MEASUREMENT"), (70, self.measurement)]
        if head:
            pairs += [(0, "SECTION"), (2, "HEADER"), *head, (0, "ENDSEC")]
        pairs += [(0, "SECTION"), (2, "ENTITIES"), *self.body, (0, "ENDSEC"), (0, "EOF")]
        with open(os.path.join(OUT, self.name + ".dxf"), "w", encoding="utf-8", newline="\n") as f:
            for code, value in pairs:
                f.write(f"{code}\n{value}\n")


def draw(name, *wants, **more):
    return Drawing(name, *wants, **more)


def ring_slots(d, x, y, r1, r2, n, bridge):
    """n slots between two circles, with bridges of a width between them."""
    for k in range(n):
        a1 = 360 / n * k + math.degrees(bridge / 2 / r1)
        a2 = 360 / n * (k + 1) - math.degrees(bridge / 2 / r1)
        d.arc(x, y, r1, a1, a2).arc(x, y, r2, a1, a2)
        for a in (a1, a2):
            c, s = math.cos(math.radians(a)), math.sin(math.radians(a))
            d.line(x + r1 * c, y + r1 * s, x + r2 * c, y + r2 * s)
    return d


def main():
    os.makedirs(OUT, exist_ok=True)
    for name in os.listdir(OUT):
        os.remove(os.path.join(OUT, name))
    all_ = []

    def new(*a, **k):
        d = draw(*a, **k)
        all_.append(d)
        return d

    # contours
    new("drawn-twice", "parts 1", "cutouts 1", "message duplicate-lines").rect(0, 0, 100, 60).rect(0, 0, 100, 60).circle(30, 30, 10).circle(30, 30, 10)
    new("drawn-twice-in-part", "parts 1", "message duplicate-lines").rect(0, 0, 100, 60).line(20, 0, 70, 0)
    new("gap-within-tolerance", "parts 1").lines(0, 0, 100, 0, 100, 60, 0, 60, 0, 0.04)
    new("gap-too-wide", "parts 0", "open-contour 1", "message open-contour", "message no-contour", "message curves",
        "text draw a line from (0.000, 0.000) to (0.000, 5.000), gap 5.000 mm").lines(0, 0, 100, 0, 100, 60, 0, 60, 0, 5)
    new("cut-out-open", "parts 1", "cutouts 0", "incomplete 1", "open-contour 1", "message open-contour", "message curves",
        "text gap 3.000 mm").rect(0, 0, 100, 60).lines(20, 20, 40, 20, 40, 40, 20, 40, 20, 23)
    new("hole-nearly-round", "parts 1", "incomplete 1", "open-contour 1", "message open-contour", "message curves").rect(0, 0, 100, 60).arc(50, 30, 20, 0, 345)
    new("overshoot", "parts 1", "overshoot 2", "message overshoot", "message curves",
        "text a line runs 0.700 mm past its corner to (100.700, 0.000): trim it at (100.000, 0.000)").lines(
        0, 0, 100.7, 0).lines(100, -0.7, 100, 60, 0, 60, 0, 0)
    d = new("rounded-corner-overshot", "parts 1", "overshoot 1", "message overshoot", "message curves")
    d.lines(0, 0, 100, 0, 100, 60, 0, 60, 0, 0).arc(5, 5, 5, 180, 270)
    new("crosses-itself", "parts 1", "pieces 2", "incomplete 1", "message crossing", "message nest",
        "text a contour crosses itself at (50.000, 30.000)").poly(0, 0, 100, 60, 100, 0, 0, 60)
    new("touches-itself", "parts 1", "message touching", "text a contour touches itself at (50.000, 0.000)").poly(
        0, 0, 100, 0, 100, 60, 50, 0, 0, 60)
    new("cut-outs-cross", "parts 1", "cutouts 2", "incomplete 1", "message crossing",
        "text two cut-outs cross").rect(0, 0, 100, 60).circle(40, 30, 10).circle(55, 30, 10)
    new("hole-crosses-outline", "parts 1", "cutouts 1", "incomplete 1", "message crossing",
        "text a cut-out crosses the outline").rect(0, 0, 100, 60).circle(30, 8, 10)
    new("holes-touch", "parts 1", "cutouts 2", "message touching", "text two contours touch at (50.000, 30.000)").rect(0, 0, 100, 60).circle(40, 30, 10).circle(60, 30, 10)
    new("shared-cut", "parts 1", "pieces 2", "message shared-cut", "message nest").lines(0, 0, 50, 0, 100, 0, 100, 60, 50, 60, 0, 60, 0, 0).line(50, 0, 50, 60)
    new("shared-cut-drawn-twice", "parts 1", "pieces 2", "message duplicate-lines", "message nest").rect(0, 0, 50, 60).rect(50, 0, 100, 60)
    new("t-junction", "parts 1", "bend 1", "message chord", "message bend-lines", "message curves",
        "gap 0").rect(0, 0, 100, 60).line(50, 0.03, 50, 59.97)

    # what a line means
    new("bend-from-edge-to-edge", "parts 1", "bend 1", "flange 30", "message chord", "message bend-lines", "message curves").rect(0, 0, 100, 60).line(30, 0, 30, 60)
    new("bends-that-cross", "parts 1", "centre-line 2", "message chord", "message centre-lines", "message curves").circle(0, 0, 50).line(50, 0, -50, 0).line(0, 50, 0, -50)
    new("bend-layer", "parts 1", "bend 1", "message bend-lines", "message curves").rect(0, 0, 100, 60).line(30, 0, 30, 60, layer="BEND")
    new("etch-inside", "parts 1", "etch 1", "message etch-lines", "message curves").rect(0, 0, 100, 60).lines(20, 20, 40, 20, 50, 40)
    new("etch-from-an-edge", "parts 1", "etch 1", "message etch-lines", "message curves").rect(0, 0, 100, 60).line(50, 0, 50, 20)
    new("etch-layer", "parts 1", "cutouts 0", "etch 1", "message etch-lines", "message curves").rect(0, 0, 100, 60).circle(30, 30, 10, layer="ENGRAVE")
    new("note-layer", "parts 1", "cutouts 0").rect(0, 0, 100, 60).rect(20, 20, 40, 40, layer="DIMENSIONS")
    new("construction-layer", "parts 1", "cutouts 0").rect(0, 0, 100, 60).circle(30, 30, 10, layer="CONSTRUCTION").line(0, 0, 100, 60, layer="const0")
    new("centre-lines-over-a-hole", "parts 1", "cutouts 1", "centre-line 2", "message chord", "message centre-lines", "message curves").rect(
        0, 0, 100, 60).circle(50, 30, 10).line(35, 30, 65, 30).line(50, 15, 50, 45)
    new("lead-in-outside", "parts 1", "lead-in 1", "message lead-ins", "message curves").rect(0, 0, 100, 60).line(46, -6, 50, 0)
    new("lead-in-in-a-hole", "parts 1", "cutouts 1", "lead-in 1", "message lead-ins", "message curves").rect(0, 0, 100, 60).circle(50, 30, 15).line(50, 30, 65, 30)
    new("pierce-at-a-lead-in", "parts 1", "cutouts 1", "lead-in 1", "pierce 1", "message lead-ins", "message pierce-marks", "message curves").rect(
        0, 0, 100, 60).circle(50, 30, 15).line(50, 30, 65, 30).circle(50, 30, 0.5)
    new("pierce-outside", "parts 1", "lead-in 1", "pierce 1", "message lead-ins", "message pierce-marks", "message curves").rect(0, 0, 100, 60).line(50, -6, 50, 0).circle(50, -7, 1)
    new("scrap-cut", "parts 1", "cutouts 1", "scrap-cut 1", "message chord", "message scrap-cuts", "message curves").rect(0, 0, 100, 60).rect(20, 10, 80, 50).line(50, 10, 50, 50)
    new("countersink", "parts 1", "cutouts 1", "countersink 1", "message countersinks").rect(0, 0, 100, 60).circle(50, 30, 3.3).circle(50, 30, 6.3)
    new("rotor-in-its-stator", "parts 2", "cutouts 2", "message nest", "message island", "message nearest-parts", "apart 1").circle(0, 0, 60).circle(0, 0, 31).circle(0, 0, 30).circle(0, 0, 10)
    new("pocket-round-bolt-holes", "parts 1", "cutouts 3", "pocket 1", "message pockets").rect(0, 0, 120, 80).rect(20, 20, 100, 60).circle(25, 25, 2).circle(95, 25, 2).rect(40, 35, 80, 50)

    # joints
    new("joints", "parts 1", "joints 2", "held 2", "message held-by-joints").lines(50.4, 0, 100, 0, 100, 60, 50.4, 60).lines(49.6, 60, 0, 60, 0, 0, 49.6, 0)
    new("gap-at-a-corner", "parts 1", "joints 1", "held 1", "message held-by-joints",
        "text at a corner no joint is wanted: draw a line from").lines(0, 0, 100, 0, 100, 60, 0, 60, 0, 0.8)
    ring_slots(new("bridges-of-three-slots", "parts 1", "cutouts 3", "bridges 3", "message bridges").rect(0, 0, 200, 200), 100, 100, 60, 62, 3, 0.8)
    ring_slots(new("bridge-of-one-slot", "parts 1", "cutouts 1", "bridges 1", "message bridges").rect(0, 0, 200, 200), 100, 100, 60, 62, 1, 0.8)
    d = new("screen-has-no-bridges", "parts 1", "cutouts 16", "bridges 0").rect(0, 0, 41, 41)
    for i in range(4):
        for k in range(4):
            d.rect(1 + 10 * i, 1 + 10 * k, 10 + 10 * i, 10 + 10 * k)

    # chords that stand for curves, and such that do not
    plate = 100 * 60
    new("hole-of-single-lines", "parts 1", "cutouts 1", f"area {plate - 100 * math.pi}", f"length {320 + 20 * math.pi}", "message chords-refitted",
        "text 48 chords drawn one by one stand for curves and became 1 arc;").rect(0, 0, 100, 60).round(50, 30, 10, 48)
    slot = 40 * 16 + 64 * math.pi
    new("slot-of-lines-and-short-polylines", "parts 1", "cutouts 1", f"area {plate - slot}", f"length {320 + 80 + 16 * math.pi}", "message chords-refitted",
        "text 48 chords drawn one by one stand for curves and became 2 arcs").rect(0, 0, 100, 60).line(30, 22, 70, 22).round(
        70, 30, 8, 24, -90, 90, every=3).line(70, 38, 30, 38).round(30, 30, 8, 24, 90, 270, every=4)
    new("corners-of-single-lines", "parts 1", f"area {plate - (4 - math.pi) * 100}", "message chords-refitted",
        "text 64 chords drawn one by one stand for curves and became 4 arcs").line(10, 0, 90, 0).round(90, 10, 10, 16, -90, 0).line(
        100, 10, 100, 50).round(90, 50, 10, 16, 0, 90).line(90, 60, 10, 60).round(10, 50, 10, 16, 90, 180).line(0, 50, 0, 10).round(10, 10, 10, 16, 180, 270)
    new("bend-over-a-round-of-lines", "parts 1", "bend 1", f"area {math.pi * 400}", "message chords-refitted",
        "message bend-lines", "message curves").round(0, 0, 20, 72).line(20, 0, -20, 0, layer="BEND")
    d = new("bend-ends-within-a-chord", "parts 1", "bend 1", "message chords-refitted", "message chord", "message bend-lines", "message curves")
    h = 20 * math.cos(math.pi / 36)
    d.round(0, 0, 20, 36).line(h * math.cos(math.pi / 36), h * math.sin(math.pi / 36), h * math.cos(math.pi * 37 / 36), h * math.sin(math.pi * 37 / 36))
    new("etch-in-a-round-of-lines", "parts 1", "etch 1", f"area {math.pi * 400}", "message chords-refitted", "message etch-lines", "message curves").round(
        0, 0, 20, 72).round(0, 0, 10, 12, 0, 60)
    new("joint-in-a-round-of-lines", "parts 1", "joints 1", "held 1", "message chords-refitted", "message held-by-joints").round(0, 0, 20, 70, 0, 357)
    new("countersink-of-lines", "parts 1", "cutouts 1", "countersink 1", f"area {plate - 9 * math.pi}", "message countersinks", "message chords-refitted").rect(
        0, 0, 100, 60).round(50, 30, 3, 36).round(50, 30, 6, 48)
    new("shared-cut-of-chords", "parts 2", "pieces 2", "message shared-cut", "message nest").line(0, 0, 50, 0).line(50, 0, 100, 0).line(
        100, 0, 100, 60).line(100, 60, 50, 60).line(50, 60, 0, 60).line(0, 60, 0, 0).round(50 - 30 * math.sqrt(3), 30, 60, 24, -30, 30)
    new("hexagon-of-lines", "parts 1", "cutouts 1").rect(0, 0, 100, 60).round(50, 30, 10, 6)
    new("knurl-of-sixteen-lines", "parts 1", "cutouts 1").rect(0, 0, 100, 60).round(50, 30, 10, 16)
    d = new("gear-of-lines", "parts 1", "pieces 1")
    at = [((22 if k % 4 in (1, 2) else 18) * f(2 * math.pi * (k + (0.3 if k % 2 else 0)) / 96)) for k in range(96) for f in (math.cos, math.sin)]
    d.poly(*at)
    new("ring-of-coarse-facets", "parts 1", "message coarse-chords", "text 24 chords turn like those of a curve").round(0, 0, 100, 24)

    # nests
    new("sheet-on-its-layer", "parts 1", "pieces 2", "sheet-border 1", "used 0.24", "apart 40", "message sheet-border", "message nest",
        "message nearest-parts").rect(0, 0, 300, 200, layer="SHEET").rect(20, 20, 140, 80).rect(20, 120, 140, 180)
    d = new("sheet-round-parts-with-holes", "parts 1", "pieces 3", "cutouts 1", "sheet-border 1", "apart 10", "message sheet-border", "message nest", "message nearest-parts")
    d.rect(0, 0, 300, 100)
    for k in range(3):
        d.rect(10 + 90 * k, 10, 90 + 90 * k, 90).rect(30 + 90 * k, 30, 60 + 90 * k, 60)
    new("sheet-round-one-part", "parts 1", "cutouts 2", "sheet-border 1", "message sheet-border", "message nest").rect(0, 0, 300, 200).rect(50, 50, 250, 150).circle(70, 70, 5).circle(230, 130, 5)
    new("drawing-frame", "parts 1", "cutouts 2", "sheet-border 2", "message sheet-border", "message nest").rect(0, 0, 420, 297).rect(
        10, 10, 410, 287).rect(100, 100, 300, 200).circle(120, 120, 6).rect(200, 130, 250, 170)
    d = new("sheet-of-the-trade", "parts 1", "pieces 4", "sheet-border 1", "apart 50", "message sheet-border", "message nest", "message nearest-parts")
    d.rect(0, 0, 2000, 1000)
    for k in range(4):
        d.poly(50 + 450 * k, 100, 450 + 450 * k, 100, 450 + 450 * k, 500, 50 + 450 * k, 300)
    d = new("countersinks-cross-the-bore", "parts 2", "pieces 3", "cutouts 5", "incomplete 1", "message crossing", "message island", "message nest",
            "message nearest-parts", "apart 1")
    d.rect(0, 0, 300, 150).circle(150, 75, 40).circle(30, 30, 10).circle(270, 120, 10)
    for x in (100, 200):
        d.circle(x, 75, 15).circle(x + 1, 75, 8)
    new("plate-with-windows-is-no-sheet", "parts 1", "cutouts 3").rect(0, 0, 300, 200).rect(20, 20, 140, 80).rect(20, 120, 140, 180).circle(220, 100, 30)
    new("island-in-a-cut-out", "parts 2", "cutouts 2", "apart 10", "message nest", "message island", "message nearest-parts").poly(
        0, 0, 200, 0, 200, 150, 150, 200, 0, 200).rect(20, 20, 120, 120).rect(30, 30, 110, 110).rect(50, 50, 70, 70)
    new("parts-overlap", "parts 2", "incomplete 2", "message crossing", "message nest", "message parts-overlap",
        "text two parts overlap").rect(0, 0, 100, 60).rect(90, 10, 190, 65)
    new("distance-of-round-parts", "parts 2", "apart 5", "message nest", "message nearest-parts").circle(0, 0, 30).circle(55, 0, 20)
    new("mirrored-parts", "parts 2", "pieces 2", "message nest", "message nearest-parts", "apart 20").poly(
        0, 0, 50, 0, 50, 20, 20, 20, 20, 80, 0, 80).poly(120, 0, 70, 0, 70, 20, 100, 20, 100, 80, 120, 80)

    # bends and forms
    new("bend-near-a-hole", "parts 1", "cutouts 1", "bend 1", "flange 20", "gap 4", "message bend-lines", "message curves").rect(
        0, 0, 100, 60).line(20, 0, 20, 60, layer="BEND").circle(29, 30, 5)
    new("bend-up-by-layer", "parts 1", "bend 1", "up up", "message bend-lines", "message curves").rect(0, 0, 100, 60).line(20, 0, 20, 60, layer="BEND_UP")
    new("bend-down-by-note", "parts 1", "bend 1", "up down", "message bend-lines", "message curves").rect(0, 0, 100, 60).line(
        20, 0, 20, 60, layer="BIEGELINIE").text(22, 30, "UNTEN 90%%d R1")
    new("bend-directions-contradict", "parts 1", "bend 1", "message bend-lines", "message curves", "message bend-direction").rect(
        0, 0, 100, 60).line(20, 0, 20, 60, layer="BEND_UP").text(22, 30, "BEND DOWN 90")
    d = new("louvre-is-no-cut-out", "parts 1", "cutouts 0", "forms 2").rect(0, 0, 100, 60)
    d.rect(20, 20, 60, 26, layer="LOUVRE").rect(20, 40, 60, 46, layer="LOUVRE")

    # units
    new("inch-in-the-header-mm-in-the-numbers", "parts 1", "cutouts 2", "doubt as mm 80 x 60 mm with holes from 3.2 mm", "message units-doubt",
        units=1).rect(0, 0, 80, 60).circle(10, 10, 1.6).circle(70, 50, 1.6)
    new("mm-in-the-header-inch-in-the-numbers", "parts 1", "cutouts 2", "doubt as inch 304.8 x 203.2 mm with holes from 6.35 mm", "message units-doubt").rect(
        0, 0, 12, 8).circle(1, 1, 0.125).circle(11, 7, 0.125)
    d = new("numbers-in-points", "parts 1", "cutouts 3", "doubt as points (1/72 inch) they are 3.2, 4.3, 6.6 mm", "message units-doubt")
    p = 72 / 25.4
    d.rect(0, 0, 100 * p, 60 * p).circle(10 * p, 10 * p, 1.6 * p).circle(30 * p, 10 * p, 2.15 * p).circle(60 * p, 30 * p, 3.3 * p)
    new("size-in-a-note", "parts 1", "doubt the note", "message units-doubt").rect(0, 0, 12, 8).text(1, 1, "PLATE 304.8 x 203.2", h=0.5)
    new("size-in-a-note-confirms", "parts 1", "doubt none", units=1).rect(0, 0, 12, 8).text(1, 1, "PLATE 304.8 x 203.2", h=0.5)
    new("measurement-word-says-metric", "parts 1", "doubt inch makes sense", "message units-doubt", units=1, measurement=1).rect(0, 0, 6, 3)
    new("no-units", "parts 1", "doubt none", units=None).rect(0, 0, 100, 60)

    for d in all_:
        d.save()


if __name__ == "__main__":
    main()
