"""How often each layer of a store is emptied, for stores of every size in one pass.

Number the Wh of a store by their depth below full. Charge fills the empty layers nearest the top
first, a drop empties the full ones nearest the top first. So what a layer does depends on none
below it: a small store does what the upper part of a large one does, and one pass through the
endless store tells about all. Plain source, compiled by `cache`.
"""


def layers_used(net, worth, times, depth, more_worth, more_times, top, bottom):
    """Which layers each drop empties, as edges: beyond each depth so much less is used.

    Parameters
    ----------
    net : float64 array, shape (m,)
        Into the store, negative out of it, in order. [Wh]
    worth, times : float64 arrays, shape (m,)
        What a drop counts for each Wh of it, in two currencies at once.
    depth, more_worth, more_times : float64 arrays, shape (2 m + 1,)
        Filled: a drop of worth w through the layers from a to b leaves −w at a and w at b, so that
        the sum over all edges deeper than z is what the layer at z was used for.
    top, bottom : float64 arrays, shape (m,)
        Room for the full layers, stretch by stretch, the uppermost last; the first, from 0 to
        infinity, is set: the store begins full.

    Returns
    -------
    int
        Edges filled: at most two for each stretch that a drop takes from, which are no more than
        there are steps, since a charge makes at most one and the first step can make none.
    """
    depth[0] = 0.0
    more_worth[0] = 0.0
    more_times[0] = 0.0
    found = 1
    last = 0
    for t in range(net.shape[0]):
        left = net[t]
        if left > 0.0:
            if top[last] > 0.0:
                if left < top[last]:
                    last = last + 1
                    top[last] = 0.0
                    bottom[last] = left
                    left = 0.0
                else:
                    left = left - top[last]
                    top[last] = 0.0
            while left > 0.0 and last > 0:
                gap = top[last - 1] - bottom[last]
                if left < gap:
                    bottom[last] = bottom[last] + left
                    left = 0.0
                else:
                    left = left - gap
                    last = last - 1
                    top[last] = 0.0
        else:
            left = -left
            while left > 0.0:
                begin = top[last]
                end = min(begin + left, bottom[last])
                if depth[found - 1] != begin:  # else this drop goes on where the last one ended
                    depth[found] = begin
                    more_worth[found] = 0.0
                    more_times[found] = 0.0
                    found = found + 1
                more_worth[found - 1] = more_worth[found - 1] - worth[t]
                more_times[found - 1] = more_times[found - 1] - times[t]
                depth[found] = end
                more_worth[found] = worth[t]
                more_times[found] = times[t]
                found = found + 1
                if begin + left < bottom[last]:
                    top[last] = end
                    left = 0.0
                else:
                    left = left - (end - begin)
                    last = last - 1
    return found
