"""Graphical symbols after IEC 60617 that the schematic library does not hold.

Those with two terminals reach along x from 0 to 1, a battery to 0.45.
"""

from schemdraw.elements import Element
from schemdraw.segments import Segment, SegmentCircle, SegmentText

_GAP = (float("nan"), float("nan"))  # the library's sign for a break in a path


class CircuitBreaker(Element):
    """Circuit breaker: a switch with a cross at its fixed contact."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (0.86, 0.36), _GAP, (1, 0)]))
        for sign in (1, -1):
            self.segments.append(Segment([(0.9, 0.1 * sign), (1.1, -0.1 * sign)]))


class Isolator(Element):
    """Switch-disconnector: a switch with a bar and a small circle at its fixed contact."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (0.82, 0.36), _GAP, (1, 0)]))
        self.segments.append(Segment([(1, 0.15), (1, -0.15)]))
        self.segments.append(SegmentCircle((0.93, 0), 0.07, fill="bg", zorder=3))


class FuseLink(Element):
    """Fuse: a rectangle with the conductor running through."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (1, 0)]))
        box = [(0, 0.17), (1, 0.17), (1, -0.17), (0, -0.17), (0, 0.17)]
        self.segments.append(Segment(box))


class ResidualDevice(Element):
    """Residual-current device: a ring round the conductor that opens a switch."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (0.42, 0), (0.9, 0.3), _GAP, (1, 0)]))
        self.segments.append(SegmentCircle((0.2, 0), 0.15))
        self.segments.append(Segment([(0.2, 0.15), (0.2, 0.34), (0.66, 0.34), (0.66, 0.16)]))


class SurgeDevice(Element):
    """Surge protective device: a rectangle with an arrow into it."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        box = [(0.1, 0.17), (1, 0.17), (1, -0.17), (0.1, -0.17), (0.1, 0.17)]
        self.segments.append(Segment(box))
        self.segments.append(
            Segment([(0, 0), (0.78, 0)], arrow="->", arrowwidth=0.14, arrowlength=0.2)
        )


class Contact(Element):
    """A contact that something else opens and closes."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(Segment([(0, 0), (0.86, 0.3), _GAP, (1, 0)]))


class PvGenerator(Element):
    """Photovoltaic generator: a box with a chevron, light falling on it; out at the top."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        box = [(0, 0), (1.1, 0), (1.1, 0.9), (0, 0.9), (0, 0)]
        self.segments.append(Segment(box))
        self.segments.append(Segment([(0, 0), (0.55, 0.4), (1.1, 0)]))
        for shift in (0.0, 0.32):
            way = [(1.62, 0.55 + shift), (1.24, 0.25 + shift)]
            self.segments.append(Segment(way, arrow="->", arrowwidth=0.12, arrowlength=0.16))


class GeneratorSet(Element):
    """Rotating generator: a circle with a G, its terminal on the right."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.segments.append(SegmentCircle((0.4, 0), 0.4))
        self.segments.append(SegmentText((0.4, 0), "G", fontsize=14, align=("center", "center")))


class InverterCharger(Element):
    """Converter that works both ways: a box with a diagonal, = on one side and ~ on the other."""

    def __init__(self, width: float = 2.2, height: float = 2.0, **kwargs):
        super().__init__(**kwargs)
        w, h = width, height
        self.segments.append(Segment([(0, 0), (w, 0), (w, h), (0, h), (0, 0)]))
        self.segments.append(Segment([(0, 0), (w, h)]))
        self.segments.append(SegmentText((w * 0.78, h * 0.22), "=", fontsize=16))
        self.segments.append(SegmentText((w * 0.22, h * 0.78), "~", fontsize=16))


class BatteryUnit(Element):
    """Battery: two cells, long and short lines."""

    body = 0.45

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        for place, half in ((0, 0.35), (0.15, 0.17), (0.3, 0.35), (0.45, 0.17)):
            self.segments.append(Segment([(place, half), (place, -half)]))
