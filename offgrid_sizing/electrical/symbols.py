"""Graphical symbols after IEC 60617 that the schematic library does not hold."""

from schemdraw.elements import Element, Element2Term
from schemdraw.segments import Segment, SegmentCircle, SegmentText

_GAP = (float("nan"), float("nan"))  # the library's sign for a break in a path


class CircuitBreaker(Element2Term):
    """Circuit breaker: a switch with a cross at its fixed contact."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (0.86, 0.36), _GAP, (1, 0)]))
        for sign in (1, -1):
            self.segments.append(Segment([(0.9, 0.1 * sign), (1.1, -0.1 * sign)]))


class Isolator(Element2Term):
    """Switch-disconnector: a switch with a bar and a small circle at its fixed contact."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (0.82, 0.36), _GAP, (1, 0)]))
        self.segments.append(Segment([(1, 0.15), (1, -0.15)]))
        self.segments.append(SegmentCircle((0.93, 0), 0.07, fill="bg", zorder=3))


class FuseLink(Element2Term):
    """Fuse: a rectangle with the conductor running through."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (1, 0)]))
        box = [(0, 0.17), (1, 0.17), (1, -0.17), (0, -0.17), (0, 0.17)]
        self.segments.append(Segment(box))


class PvGenerator(Element):
    """Photovoltaic generator: a box with a chevron, light falling on it; out on the right."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        box = [(0, 0.5), (1.4, 0.5), (1.4, -0.5), (0, -0.5), (0, 0.5)]
        self.segments.append(Segment(box))
        self.segments.append(Segment([(0, 0.5), (0.45, 0), (0, -0.5)]))
        for shift in (0.0, 0.35):
            self.segments.append(
                Segment(
                    [(0.2 + shift, 1.05), (0.5 + shift, 0.65)],
                    arrow="->",
                    arrowwidth=0.12,
                    arrowlength=0.16,
                )
            )
        self.anchors["out"] = (1.4, 0)


class InverterCharger(Element):
    """Converter that works both ways: a box with a diagonal, = on one side and ~ on the other."""

    def __init__(self, width: float = 2.8, height: float = 2.2, **kwargs):
        super().__init__(**kwargs)
        w, h = width, height
        self.segments.append(Segment([(0, 0), (w, 0), (w, h), (0, h), (0, 0)]))
        self.segments.append(Segment([(0, 0), (w, h)]))
        self.segments.append(SegmentText((w * 0.78, h * 0.22), "=", fontsize=16))
        self.segments.append(SegmentText((w * 0.22, h * 0.78), "~", fontsize=16))
        for name, place in {
            "pv": (0, h * 0.3),
            "pv2": (0, h * 0.75),
            "bank": (w * 0.5, 0),
            "ac_in": (w * 0.28, h),
            "ac_out": (w * 0.72, h),
        }.items():
            self.anchors[name] = place


class BatteryUnit(Element2Term):
    """Battery: two cells, long and short lines."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), _GAP, (0.45, 0)]))
        for place, half in ((0, 0.35), (0.15, 0.17), (0.3, 0.35), (0.45, 0.17)):
            self.segments.append(Segment([(place, half), (place, -half)]))
